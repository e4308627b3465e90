#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The uncertainty budget in the form of the GUM: table, CSV and JSON tell the same, what they tell adds up by
# the formulas of JCGM 100, and the combined uncertainty is that of `noonfit fit`.
. "$(dirname "$0")/common.bash" || exit 2
set -e
run=$TEST_SOURCE/sample-runs/wash-stand-glazed

noonfit budget --json --csv "$work/budget.csv" "$run" >"$work/budget.json"
noonfit fit --json "$run" >"$work/fit.json"
/usr/bin/python3 - "$work" <<'EOF'
import csv, json, math, sys
from scipy.stats import t
budget = json.load(open(sys.argv[1] + "/budget.json"))
fit = json.load(open(sys.argv[1] + "/fit.json"))
table = list(csv.DictReader(open(sys.argv[1] + "/budget.csv", newline="")))
assert [b["of"] for b in budget["budgets"]] == ["eta0", "a1"]
for b in budget["budgets"]:
    u = fit["parameters"][b["of"]]["u"]
    rows = [r for r in table if r["result"] == b["of"]]
    assert rows[-1]["input"] == "combined" and len(rows) == len(b["inputs"]) + 1
    squares = sum(r["contribution"] ** 2 for r in b["inputs"])
    assert abs(math.sqrt(squares) / u - 1) < 1e-4, (squares, u)
    # JCGM 100, G.2b and G.4.1, by other code
    fourth = sum(r["contribution"] ** 4 / r["degrees_of_freedom"] for r in b["inputs"]
                 if r["degrees_of_freedom"])
    dof = squares ** 2 / fourth
    assert abs(dof / b["degrees_of_freedom"] - 1) < 1e-6, (dof, b["degrees_of_freedom"])
    k = t.ppf(0.975, math.floor(dof))
    assert abs(k - b["coverage_factor"]) < 1e-7 and abs(k * u - b["expanded_u"]) < 1e-3 * u
    for r, cells in zip(b["inputs"], rows):
        assert cells["input"] == r["input"] and cells["type"] == r["type"]
        assert abs(float(cells["contribution"]) / r["contribution"] - 1) < 1e-8
        if r["type"] == "B":
            assert abs(abs(r["sensitivity"]) * r["u"] - r["contribution"]) < 1e-9 * u
        else:
            assert cells["sensitivity"] == "" and float(cells["degrees_of_freedom"]) >= 1
EOF

out=$(noonfit budget --units us --of stagnation "$run" | tr '\n' ' ')
case "$out" in
*"rise over the air: "*" degF, combined standard uncertainty"*"Welch-Satterthwaite"*) ;;
*) echo "stagnation: $out" >&2; exit 1 ;;
esac
[ "$(noonfit budget --csv - --of a5 "$run" | tail -1 | cut -d, -f1,2)" = '"a5","combined"' ]
# One thermometer in the store: the container's loss is in a1, and is no result of its own.
status=0
noonfit budget --of store_loss "$TEST_SOURCE/sample-runs/wash-stand-bare-store-only" 2>"$work/err" || status=$?
[ "$status" = 1 ] && grep -q "does not determine store_loss" "$work/err" ||
    { echo "store_loss: $status $(cat "$work/err")" >&2; exit 1; }
# Nothing half-written where the table cannot be.
status=0
noonfit budget --csv "$work/none/budget.csv" "$run" >"$work/out" 2>"$work/err" || status=$?
[ "$status" = 2 ] && [ ! -s "$work/out" ] || { echo "no folder: $status" >&2; exit 1; }
