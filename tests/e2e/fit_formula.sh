#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The curve and its band drawn again from the printed formula, by another program, to the last digit; the
# covariance of the coefficients agrees with their uncertainties.
. "$(dirname "$0")/common.bash" || exit 2
set -e
for run in wash-stand-glazed wash-stand-bare wash-stand-bare-store-only; do
    noonfit fit --json "$TEST_SOURCE/sample-runs/$run" | python3 -c '
import json, math, sys
fit = json.load(sys.stdin)
f = fit["curve_formula"]
for p in fit["curve"] + fit["extrapolation"]:
    x = [p["reduced_temperature"] ** k for k in range(len(f["coefficients"]))]
    eta = sum(c * v for c, v in zip(f["coefficients"], x))
    u = math.sqrt(sum(c * a * b for row, a in zip(f["covariance"], x) for c, b in zip(row, x)))
    assert abs(eta - p["eta"]) < 1e-14, (eta, p)
    assert abs(eta - f["coverage_factor"] * u - p["lo95"]) < 1e-10, (u, p)
    assert f["range"][0] - 1e-12 <= p["reduced_temperature"] <= f["range"][1] + 1e-12
at_zero = f["coefficients"][0]
assert abs(at_zero - fit["parameters"]["eta0"]["value"]) < 1e-6  # one of them the model itself
assert abs(math.sqrt(f["covariance"][0][0]) - fit["parameters"]["eta0"]["u"]) < 1e-6
c = fit["covariance"]
for i, name in enumerate(c["names"]):
    u = fit["incidence"]["u_b0"] if name == "b0" else fit["parameters"][name]["u"]
    assert name == "b0" or abs(math.sqrt(c["matrix"][i][i]) - u) < 1e-6 * u, (name, u)
    for k in range(len(c["names"])):
        assert abs(c["matrix"][i][k] - c["matrix"][k][i]) <= 1e-9 * abs(c["matrix"][i][k])
        assert c["matrix"][i][k] ** 2 <= c["matrix"][i][i] * c["matrix"][k][k] * (1 + 1e-9)
# The rise without flow follows from the balance that is printed, and the straight line from the coefficients.
s = fit["stagnation"]
d = fit["stagnation_K"]["value"]
assert abs(s["gain"] * s["irradiance_W_m2"] - d * (s["loss_W_m2K"] + s["loss2_W_m2K2"] * d)) < 1e-6, s
line = fit["parameters"]["eta0"]["value"] * s["irradiance_W_m2"] / fit["parameters"]["a1"]["value"]
assert abs(s["straight_line_K"] - line) < 1e-9
'
done

# In words: the same correlation, and both numbers of the stagnation side by side.
out=$(noonfit fit --units si "$TEST_SOURCE/sample-runs/wash-stand-glazed" | tr '\n' ' ')
r=$(noonfit fit --json "$TEST_SOURCE/sample-runs/wash-stand-glazed" | python3 -c '
import json, math, sys
fit = json.load(sys.stdin)
m = fit["covariance"]["matrix"]
print("%+.2f %.0f %.0f" % (m[0][1] / math.sqrt(m[0][0] * m[1][1]), fit["stagnation_K"]["value"],
                         fit["stagnation"]["straight_line_K"]))')
read -r correlation rise straight <<<"$r"
case "$out" in
*"eta0 and a1 are correlated by r = $correlation:"*) ;;
*) echo "no correlation $correlation in: $out" >&2; exit 1 ;;
esac
case "$out" in
*"Stagnation of $rise K is where"*"would end at $straight K."*) ;;
*) echo "no stagnation $rise, $straight in: $out" >&2; exit 1 ;;
esac
