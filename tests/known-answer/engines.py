# SPDX-License-Identifier: GPL-3.0-or-later
"""Heat-ups of the model against two engines of other people: ngspice, which solves the same thermal network
as an electrical one (temperatures as volts, heat as amperes, J/K as farads), and scipy's Radau integrator for
stiff systems; its steady state against the handbook's closed form.

usage: engines.py HEATUP RUN...    (needs ngspice and scipy)

Stated tolerances. ngspice and scipy, neither of which steps as the model does, agree within 0.01 K. The model
is backward Euler, whose error goes with its step: extrapolated from steps of 5 s and 1 s to none, it is within
0.01 K rms of them, and 0.05 K at any moment that the fit uses (the outlet with the pump running and two transit
times past any change of it; the store always). At its usual step of 5 s the store is within 0.02 K, and what a step
of 1 s leaves of the error is a fifth of it (0.15 to 0.25): of first order, as it should be.
Steady state: 8 mixed cells are the closed form of mixed cells to 1e-6 and Duffie and Beckman's FR (eq. 6.7.4,
plug flow) within NTU/16 of it."""
import json
import math
import os
import subprocess
import sys
import tempfile

import numpy as np
from scipy.integrate import solve_ivp

MOST_ENGINES_K = 0.01
MOST_LIMIT_K, MOST_LIMIT_RMS_K = 0.05, 0.01
MOST_STORE_K = 0.02
failed = 0


def fail(text):
    global failed
    failed = 1
    print(text)


def edges(case, name):
    """Times at which a step-wise constant input changes, and its values from there on."""
    v = case[name]
    at = [0] + [k for k in range(1, len(v)) if v[k] != v[k - 1]]
    return [k * case["step"] for k in at], [v[k] for k in at]


def input_at(case):
    """sun, flow (steps, the same at any step length) and air (a line through the middles of the steps)."""
    sun_t, sun_v = edges(case, "sun")
    flow_t, flow_v = edges(case, "flow_steps")
    n, step = len(case["air"]), case["step"]
    slope = (case["air"][-1] - case["air"][0]) / (n - 1) / step

    def at(t):
        return (sun_v[np.searchsorted(sun_t, t, "right") - 1], case["air"][0] + slope * (t - step / 2),
                flow_v[np.searchsorted(flow_t, t, "right") - 1])
    return at, sorted(set(sun_t + flow_t + [n * step]))


def start(case):
    p, n = case["params"], case["segments"]
    air = case["air"][0]
    cover = case["cover_share"] * p["t_collector"] + (1 - case["cover_share"]) * air
    return [p["t_collector"]] * n + [cover] * n + [p["t_collector"]] * n + [p["t_store"]]


def by_scipy(case, times):
    p, n, share = case["params"], case["segments"], case["cover_share"]
    at, stops = input_at(case)
    area = p["area"] / n

    def slope(t, y):
        sun, air, flow = at(t)
        a, c, f, s = y[:n], y[n:2 * n], y[2 * n:3 * n], y[-1]
        loss = area * (p["loss"] + p["loss2"] * (a - air))
        if p["cover"]:
            inner = loss / (1 - share) * (a - c)
            dc = (inner - loss / share * (c - air)) / (p["cover"] * area)
        else:
            inner, dc = loss * (a - air), np.zeros(n)
        swap = p["exchange"] * area * (a - f)
        da = (area * p["optical"] * sun - inner - swap) / (p["capacity"] * area)
        df = (swap + flow * (np.concatenate(([s], f[:-1])) - f)) / (p["fluid"] / n)
        ds = (flow * (f[-1] - s) - p["store_loss"] * (s - air)) / p["store"]
        return np.concatenate((da, dc, df, [ds]))

    y, out = np.array(start(case)), []
    for begin, end in zip(stops[:-1], stops[1:]):
        inside = [t for t in times if begin <= t < end or (t == end == stops[-1])]
        # Evaluated strictly inside: the input at the stop itself is the next part's.
        got = solve_ivp(lambda t, v: slope(min(t, end - 1e-9), v), (begin, end), y, "Radau",
                        t_eval=inside + ([end] if not inside or inside[-1] != end else []),
                        rtol=1e-9, atol=1e-9)
        out += [got.y[:, i] for i in range(len(inside))]
        y = got.y[:, -1]
    out = np.array(out)
    return {"store": out[:, -1], "outlet": out[:, 3 * n - 1]}


def netlist(case, times):
    p, n, share = case["params"], case["segments"], case["cover_share"]
    area, end = p["area"] / n, len(case["air"]) * case["step"]
    y = start(case)

    def steps(name):
        t, v = edges(case, name)
        points = ["0 %.12g" % v[0]]
        for k in range(1, len(t)):
            points += ["%.9f %.12g" % (t[k] - 1e-4, v[k - 1]), "%.9f %.12g" % (t[k], v[k])]
        return " ".join(points + ["%g %.12g" % (end + 1, v[-1])])
    at, _ = input_at(case)
    lines = ["* the thermal network", "Vsun sun 0 PWL(%s)" % steps("sun"), "Vflow flow 0 PWL(%s)" % steps("flow_steps"),
             "Vair air 0 PWL(0 %.12g %g %.12g)" % (at(0)[1], end, at(end)[1])]
    for i in range(n):
        before = "f%d" % (i - 1) if i else "st"
        loss = "(%.12g*(%.12g+%.12g*(V(a%d)-V(air))))" % (area, p["loss"], p["loss2"], i)
        lines += ["Ca%d a%d 0 %.12g ic=%.12g" % (i, i, p["capacity"] * area, y[i]),
                  "Bs%d 0 a%d I=%.12g*V(sun)" % (i, i, area * p["optical"]),
                  "Cf%d f%d 0 %.12g ic=%.12g" % (i, i, p["fluid"] / n, y[2 * n + i]),
                  "Rx%d a%d f%d %.12g" % (i, i, i, 1 / (p["exchange"] * area)),
                  "Bw%d 0 f%d I=V(flow)*(V(%s)-V(f%d))" % (i, i, before, i)]
        if p["cover"]:
            lines += ["Cc%d c%d 0 %.12g ic=%.12g" % (i, i, p["cover"] * area, y[n + i]),
                      "Bi%d a%d c%d I=%s/%.12g*(V(a%d)-V(c%d))" % (i, i, i, loss, 1 - share, i, i),
                      "Bo%d c%d air I=%s/%.12g*(V(c%d)-V(air))" % (i, i, loss, share, i)]
        else:
            lines += ["Bi%d a%d air I=%s*(V(a%d)-V(air))" % (i, i, loss, i)]
    lines += ["Cst st 0 %.12g ic=%.12g" % (p["store"], y[-1]),
              "Bst 0 st I=V(flow)*(V(f%d)-V(st))" % (n - 1),
              "Bls st air I=%.12g*(V(st)-V(air))" % p["store_loss"],
              ".options reltol=1e-7 vntol=1e-9 abstol=1e-9 method=gear maxord=2",
              ".tran 5 %g 0 1 uic" % end, ".control", "run", "set wr_singlescale", "option numdgt=12",
              "wrdata OUT v(st) v(f%d)" % (n - 1), ".endc", ".end"]
    return "\n".join(lines) + "\n"


def by_ngspice(case, times):
    with tempfile.TemporaryDirectory() as folder:
        out = os.path.join(folder, "out")
        with open(os.path.join(folder, "net.cir"), "w") as to:
            to.write(netlist(case, times).replace("OUT", out))
        done = subprocess.run(["ngspice", "-b", to.name], capture_output=True, text=True, cwd=folder)
        if not os.path.exists(out):
            sys.exit("ngspice: " + done.stdout[-2000:] + done.stderr[-2000:])
        table = np.loadtxt(out)
    return {"store": np.interp(times, table[:, 0], table[:, 1]),
            "outlet": np.interp(times, table[:, 0], table[:, 2])}


def settled(case):
    """Steps whose outlet the fit would use."""
    flow, step = np.array(case["flow_steps"]), case["step"]
    transit = case["params"]["fluid"] / max(flow)
    use = flow > 0
    for k in np.flatnonzero(np.diff(flow)) + 1:
        use[k:k + int(2 * transit / step) + 1] = False
    return use


def removal(case):
    """Steady state: eta at x = 0 is FR times the optical gain, and the slope is FR UL."""
    p, n = case["params"], case["segments"]
    if p["loss2"]:
        return
    eta0, eta = case["eta_inlet"]
    factor = p["exchange"] / (p["exchange"] + p["loss"])
    ntu = p["area"] * p["loss"] * factor / case["flow"]
    plug = (1 - math.exp(-ntu)) / ntu * factor
    cells = (1 - (1 + ntu / n) ** -n) / ntu * factor
    for fr in (eta0 / p["optical"], (eta0 - eta) / 0.03 / p["loss"]):
        if abs(fr / cells - 1) > 1e-6:
            fail("%s: FR %.9f, closed form of mixed cells %.9f" % (case["name"], fr, cells))
        if abs(fr / plug - 1) > ntu / (2 * n):
            fail("%s: FR %.6f, handbook %.6f" % (case["name"], fr, plug))


def run(step):
    return json.loads(subprocess.run([sys.argv[1], str(step)] + sys.argv[2:], check=True,
                                     capture_output=True, text=True).stdout)


coarse, fine = run(5), run(1)
for five, one in zip(coarse, fine):
    removal(five)
    ends = np.arange(0, 3601, 5.0)
    ours, spice = by_scipy(one, ends), by_ngspice(one, ends)
    for what in ("store", "outlet"):
        apart = np.max(np.abs(ours[what] - spice[what]))
        if not apart < MOST_ENGINES_K:
            fail("%s, %s: ngspice and scipy are %.4f K apart" % (five["name"], what, apart))
        # Readings are means over their steps: of both ends.
        off5 = np.array(five[what]) - (ours[what][:-1] + ours[what][1:]) / 2
        means = np.array(one[what]).reshape(-1, 5).mean(axis=1)
        off1 = means - (ours[what][:-1] + ours[what][1:]) / 2
        use = settled(five) if what == "outlet" else np.full(len(off5), True)
        off5, off1 = off5[use], off1[use]
        most, limit = np.max(np.abs(off5)), (5 * off1 - off5) / 4
        far, rms = np.max(np.abs(limit)), math.sqrt(np.mean(limit ** 2))
        if not (far < MOST_LIMIT_K and rms < MOST_LIMIT_RMS_K):
            fail("%s, %s: without the step's error %.4f K off, %.4f rms" % (five["name"], what, far, rms))
        if what == "store" and not most < MOST_STORE_K:
            fail("%s: store %.4f K off" % (five["name"], most))
        left = math.sqrt(np.mean(off1 ** 2)) / math.sqrt(np.mean(off5 ** 2))
        if not 0.15 < left < 0.25:
            fail("%s, %s: a fifth of the step leaves %.3f of the error" % (five["name"], what, left))
        if os.environ.get("SHOW"):
            print("%-24s %-7s engines %.5f K; model 5 s %.4f (1 s %.3f of it), extrapolated %.4f, rms %.4f" %
                  (five["name"], what, apart, most, left, far, rms))
sys.exit(failed)
