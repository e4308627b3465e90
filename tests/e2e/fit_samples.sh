#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit fit and compare on the sample runs, whose truth is known (sample-runs/truth): the JSON has
# the keys it promises and nothing half-known, intervals hold the truth, and more runs say more.
. "$(dirname "$0")/common.bash" || exit 2
/usr/bin/python3 - <<'PYTHON'
import json
import math
import os
import subprocess
import sys

noonfit = os.environ["TEST_PROGRAMS"] + "/noonfit"
samples = os.environ["TEST_SOURCE"] + "/sample-runs/"
failures = 0


def check(good, what):
    global failures
    if not good:
        failures += 1
        print("FAILED:", what)


def run(*arguments):
    words = [",".join(samples + b for b in a.split(",")) if a.startswith("wash") else a
             for a in arguments]
    done = subprocess.run([noonfit, *words, "--json"], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          text=True)
    check(done.returncode == 0 and not done.stderr, f"{arguments}: {done.returncode} {done.stderr}")
    return json.loads(done.stdout)


def truth(name):
    with open(f"{samples}truth/{name}.json", encoding="utf-8") as f:
        return json.load(f)


QUANTITY = ["value", "u", "u_random", "u_systematic", "lo95", "hi95", "unit"]


def quantity(what, q, may_be_null=False):
    if q is None:
        return check(may_be_null, f"{what} is null")
    check(list(q) == QUANTITY, f"{what}: keys {list(q)}")
    check(q["lo95"] < q["value"] < q["hi95"], f"{what}: value outside its interval")
    check(abs(math.hypot(q["u_random"], q["u_systematic"]) - q["u"]) < 1e-9 + 1e-6 * q["u"],
          f"{what}: u is not the root of its parts")


def has(what, thing, keys):
    missing = [k for k in keys if k not in thing]
    check(not missing, f"{what}: no {missing}")


def shape_of_fit(what, f):
    has(what, f, ["program", "version", "runs", "collector", "model", "reference_temperature",
                  "loss_includes_store", "parameters", "range", "curve", "energy", "stagnation_K",
                  "time_constant_s", "residual_rms_K", "warnings"])
    for r in f["runs"]:
        has(what, r, ["folder", "rows", "duration_s", "used_s"])
        check(0 < r["used_s"] <= r["duration_s"], f"{what}: used {r['used_s']} s")
    has(what, f["parameters"], ["eta0", "a1", "a2", "a5", "store_loss"])
    for name in ("eta0", "a1", "a5"):
        quantity(f"{what} {name}", f["parameters"][name])
    quantity(f"{what} a2", f["parameters"]["a2"], True)
    quantity(f"{what} store_loss", f["parameters"]["store_loss"], f["loss_includes_store"])
    quantity(f"{what} run_efficiency", f["energy"]["run_efficiency"])
    quantity(f"{what} stagnation", f["stagnation_K"])
    quantity(f"{what} time constant", f["time_constant_s"], f["model"] == "store")
    has(what, f["energy"], ["sun_J", "water_J"])
    has(what, f["range"], ["reduced_temperature", "temperature_difference_K", "irradiance_W_m2"])
    lo, hi = f["range"]["reduced_temperature"]
    x = [p["reduced_temperature"] for p in f["curve"]]
    check(x == sorted(x) and abs(x[0] - lo) < 1e-9 and abs(x[-1] - hi) < 1e-9,
          f"{what}: the curve is not that of the tested range")
    check(all(p["lo95"] < p["eta"] < p["hi95"] for p in f["curve"]), f"{what}: curve outside its band")
    for w in f["warnings"]:
        check(w["code"] and w["text"] and "\n" not in w["text"], f"{what}: warning {w}")


def holds(what, f, name):
    """The truth's curve in the band, at both ends and in the middle of the tested range. The
    truth's is at normal incidence, the band at the run's mean angle."""
    t = truth(name)
    basis = f["reference_temperature"] + ("_with_store" if f["loss_includes_store"] else "")
    curve = t[basis]["curve"]
    modifier = f["incidence"]["modifier"] if f.get("incidence") else 1
    lost = t[basis]["eta0"] * (1 - modifier)
    for i in (0, len(f["curve"]) // 2, -1):
        p = f["curve"][i]
        x = p["reduced_temperature"]
        k = next((k for k in range(1, len(curve)) if curve[k]["reduced_temperature"] >= x),
                 len(curve) - 1)  # a little beyond its end it goes on straight
        a, b = curve[k - 1], curve[k]
        part = (x - a["reduced_temperature"]) / (b["reduced_temperature"] - a["reduced_temperature"])
        eta = a["eta"] + part * (b["eta"] - a["eta"]) - lost
        check(p["lo95"] <= eta <= p["hi95"],
              f"{what}: at {x:.4f} truth {eta:.4f}, said {p['lo95']:.4f} to {p['hi95']:.4f}")


# -- each sample by itself

answers = {}
for name, model, lumped in [("wash-stand-glazed", "both", False), ("wash-stand-bare", "both", False),
                            ("wash-stand-glazed-panel-pump", "both", False),
                            ("wash-stand-bare-store-only", "store", None)]:
    f = answers[name] = run("fit", name)
    shape_of_fit(name, f)
    check(f["model"] == model, f"{name}: model {f['model']}")
    if lumped is not None:
        check(f["loss_includes_store"] == lumped, f"{name}: loss_includes_store")
    holds(name, f, name)
    e, t = f["energy"]["run_efficiency"], truth(name)["run_efficiency"]
    check(e["lo95"] <= t <= e["hi95"], f"{name}: run efficiency {e['value']}, true {t}")

# -- several runs of one collector

alone = answers["wash-stand-glazed"]
hot = run("fit", "wash-stand-glazed", "wash-stand-glazed-hot")
three = run("fit", "wash-stand-glazed", "wash-stand-glazed-hot", "wash-stand-glazed-cool-down")
for what, f, n in (("with hot start", hot, 2), ("with cool-down", three, 3)):
    shape_of_fit(what, f)
    check(len(f["runs"]) == n, f"{what}: {len(f['runs'])} runs")
    check(f["parameters"]["a1"]["u"] < alone["parameters"]["a1"]["u"], f"{what}: a1 is not narrower")
check(hot["range"]["temperature_difference_K"][1] > alone["range"]["temperature_difference_K"][1] + 5,
      "the hot start does not widen the tested range")
check(three["parameters"]["store_loss"]["u"] < 0.5 * hot["parameters"]["store_loss"]["u"],
      f"the cool-down does not tell the container's loss: {three['parameters']['store_loss']['u']:.3g} "
      f"after {hot['parameters']['store_loss']['u']:.3g}")
q = three["parameters"]["store_loss"]
check(q["lo95"] <= truth("wash-stand-glazed")["device"]["store_loss_W_K"] <= q["hi95"],
      f"the container's loss: {q['lo95']:.3g} to {q['hi95']:.3g}")

# A container that cools overnight is no part of the run: what is counted is said, in seconds too.
counted = three["energy"]["counted_s"]
check(abs(counted - sum(r["duration_s"] for r in three["runs"][:2])) < 60, f"counted: {counted:.0f} s")
two = run("fit", "wash-stand-glazed", "wash-stand-glazed-cool-down")["energy"]
check(abs(two["run_efficiency"]["value"] - alone["energy"]["run_efficiency"]["value"]) < 0.01,
      f"a cool-down lowers the efficiency of the run: {two['run_efficiency']['value']:.3f}")

# -- less of one record

store = run("fit", "wash-stand-glazed", "--store-only")
check(store["model"] == "store" and store["loss_includes_store"], "--store-only")
holds("--store-only", store, "wash-stand-glazed")
check(store["parameters"]["a1"]["value"] > alone["parameters"]["a1"]["value"] + 1,
      "--store-only: the container's loss is not in a1")
loop = run("fit", "wash-stand-glazed", "--loop-only")
check(loop["model"] == "loop", "--loop-only")
holds("--loop-only", loop, "wash-stand-glazed")
inlet = run("fit", "wash-stand-glazed", "--reference", "inlet")
check(inlet["reference_temperature"] == "inlet", "--reference inlet")
check(inlet["parameters"]["eta0"]["value"] < alone["parameters"]["eta0"]["value"] - 0.01,
      "--reference inlet: eta0 is not that of the inlet")
holds("--reference inlet", inlet, "wash-stand-glazed")
mean = run("fit", "wash-stand-glazed", "--reference", "mean")
check(mean["reference_temperature"] == "mean", "--reference mean")

# -- compare

c = run("compare", "wash-stand-glazed", "wash-stand-bare")
has("compare", c, ["builds", "differences", "reference_day", "verdict"])
has("compare", c["reference_day"], ["irradiance_W_m2", "air_degC", "store_kg", "from_degC", "to_degC"])
check(len(c["builds"]) == 2 and len(c["differences"]) == 1, "compare: two builds, one difference")
for f in c["builds"]:
    shape_of_fit("compare " + f["collector"]["name"], dict(f, program="", version=""))
d = c["differences"][0]
check(d["of"] == "wash-stand-bare" and d["against"] == "wash-stand-glazed", "compare: which of which")
for name in ("eta0", "a1", "heat_up_s"):
    quantity("difference of " + name, d[name])
check(0 <= d["probability_better"] <= 1, "compare: probability")
check(d["eta0"]["u"] < 0.7 * min(f["parameters"]["eta0"]["u"] for f in c["builds"]),
      "compare: the shared pyranometer does not cancel")
check("wash-stand-glazed" in c["verdict"] and "wash-stand-bare" in c["verdict"], c["verdict"])
three = run("compare", "wash-stand-glazed,wash-stand-glazed-hot", "wash-stand-bare",
            "wash-stand-bare-store-only")
check(len(three["builds"]) == 3 and len(three["differences"]) == 3, "compare three")
check(len(three["builds"][0]["runs"]) == 2, "compare: a list of runs is one build")
check(three["builds"][0]["reference_temperature"] == three["builds"][2]["reference_temperature"],
      "compare: not all on one basis")
stated = run("compare", "wash-stand-glazed", "wash-stand-bare", "--sun", "800", "--air", "12", "--from",
             "10C", "--to", "30C", "--water", "25")
day = stated["reference_day"]
check((day["irradiance_W_m2"], day["air_degC"], day["store_kg"], day["from_degC"], day["to_degC"])
      == (800, 12, 25, 10, 30), f"the stated day is not used: {day}")
heat = stated["differences"][0]["heat_up_s"]
check(heat["lo95"] > 0, f"on a cold day the bare one is not slower: {heat}")

sys.exit(1 if failures else 0)
PYTHON
