#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The curve and its band drawn again from the printed formula, by another program, to the last digit; the
# covariance of the coefficients agrees with their uncertainties.
set -eu
PATH="$TEST_PROGRAMS:$PATH"
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
'
done
