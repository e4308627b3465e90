#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# fit --standard: the tables of a test laboratory, what of the standard the record meets, and no certificate;
# its numbers follow from each other. fit --curve quadratic: a2 with what is said of it.
. "$(dirname "$0")/common.bash" || exit 2
runs=$TEST_SOURCE/sample-runs
for units in si us; do
    for run in wash-stand-glazed wash-stand-bare; do
        out=$(noonfit fit --standard --units $units "$runs/$run") || fail "$run: $?"
        awk 'length > 80 || / $/' <<<"$out" | grep . && fail "$run: lines too long, or blanks at their end"
        for part in "no certificate" "eta0,hem" "T\\*m" "not measured" "NOT met" "not known" "FR UL" "whatever the sun"; do
            grep -q -- "$part" <<<"$out" || fail "$run, $units: no \"$part\""
        done
        [[ $(tr -s ' \n' ' ' <<<"$out") == *"do not go with the sun (sky, diffuse light)"* ]] || fail "$run, $units: the sky"
        case "$out" in *nan* | *"{"*) fail "$run: $out" ;; esac
    done
done
noonfit fit --standard --json "$runs/wash-stand-bare" | python3 -c '
import json, sys
s = json.load(sys.stdin)["standard"]
c = {k: v["value"] for k, v in s["coefficients"].items() if v}
assert s["certificate"] is False and not s["covered"]
for k in "eta0_hem constant a1 a3 a4 a5 a6 bu b1 b2 FR_tau_alpha FR_UL".split():
    assert k in c, k
mean = s["conditions"]["irradiance_W_m2"]["mean"]
assert -70 < c["constant"] < -25, c["constant"]
for p in s["power"]:
    gain = (c["eta0_hem"] * mean - c["constant"]) * p["irradiance_W_m2"] / mean + c["constant"]
    W = s["gross_area_m2"] * (gain - c["a1"] * p["difference_K"])
    assert abs(W - p["W"]["value"]) < 0.003 * p["irradiance_W_m2"], (W, p)
    assert p["W"]["coverage_factor"] >= 1.9599 and p["W"]["degrees_of_freedom"] >= 1
assert sum(p["tested"] for p in s["power"]) < len(s["power"]) == 12
assert {r["result"] for r in s["requirements"]} == {"met", "not met", "not known"}
' || fail "JSON"
[ "$(noonfit fit --json "$runs/wash-stand-bare" | python3 -c 'import json, sys; print(json.load(sys.stdin)["standard"])')" = None ] ||
    fail "a standard that was not asked for"
status=0
out=$(noonfit fit --standard "$runs/wash-stand-bare-store-only" 2>&1) || status=$?
[ "$status" = 1 ] && [[ $out == *"need inlet, outlet and flow"* ]] || fail "store only: $status $out"
out=$(noonfit fit --curve quadratic "$runs/wash-stand-glazed" | tr '\n' ' ')
[[ $out == *"growing by          a2"*"cannot tell a2"* ]] || fail "quadratic: $out"
out=$(noonfit fit "$runs/wash-stand-glazed" | tr '\n' ' ')
[[ $out == *"growing by"* ]] && fail "a2 without being asked: $out"
finish
