#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""night_sky.py NOONFIT: a bare plate that is pumped by day and again in a clear night, warm water and no sun.

The plate has physics of its own: it radiates by the fourth powers of its own and the sky's temperature
(Stefan-Boltzmann), loses to the air by the wind (W. H. McAdams, Heat Transmission: 5.7 + 3.8 v), and its steady state
is found by bisection, not by any formula of the programs. Fitted together, day and night give a curve whose interval
holds that steady state, by a `sky` channel and by `humidity` alone; the night narrows the share in the sky's exchange;
neither the night's cold outlet nor its missing sun is taken for a fault of the probes or of the curve."""
import json
import math
import os
import random
import subprocess
import sys
import tempfile

SIGMA, KELVIN = 5.670374419e-8, 273.15
AREA, ABSORBS, EMITS, TO_FLUID, HEAT, FLUID_KG, BEHIND = 1.0, 0.92, 0.90, 90.0, 6000.0, 0.30, 1.0  # m2, W/(m2 K), J/(m2 K)
WATER_KG, DRY_J_K, STORE_W_K, CP, PARTS = 30.0, 1500.0, 0.8, 4184.0, 8
W_K = 0.998 / 60 * CP  # a litre a minute
STEP_S = 1.0

RIG = """[test]
title = A mat by day and by night
[site]
latitude_deg = 46.18
longitude_deg = 9.9
[collector]
name = mat
gross_area_m2 = 1.0
u_gross_area_m2 = 0.005
tilt_deg = 35
azimuth_deg = 180
glazing = none
fluid_kg = 0.3
heat_capacity_J_K = 6000
u_heat_capacity_J_K = 900
iam_b0 = 0
back = none
[store]
water_kg = 30
dry_heat_capacity_J_K = 1500
lid = yes
loss_W_K = 0.8
u_loss_W_K = 0.2
pump_W = 0
"""
CHANNELS = {"store": ("degC", "u_offset = 0.1"), "inlet": ("degC", "u_offset = 0.1"), "outlet": ("degC", "u_offset = 0.1"),
            "air": ("degC", "shaded = yes\nu_offset = 0.2"), "sun": ("W_m2", "plane = collector\nu_gain = 0.03"),
            "flow": ("L_min", "u_gain = 0.02"), "wind": ("m_s", "u_gain = 0.05"), "sky": ("degC", "u_offset = 1"),
            "humidity": ("percent", "u_offset = 3")}


def leaving(plate, air, sky, wind):
    """W/m2 from the plate to all but the water."""
    return ((5.7 + 3.8 * wind + BEHIND) * (plate - air) +
            EMITS * SIGMA * ((plate + KELVIN) ** 4 - (sky + KELVIN) ** 4))


def steady(inlet, sun, air, sky, wind):
    """Efficiency and mean of inlet and outlet."""
    t = inlet
    for _ in range(PARTS):
        low, high, a = -60.0, 200.0, AREA / PARTS
        for _ in range(50):
            plate = (low + high) / 2
            out = (a * TO_FLUID * plate + W_K * t) / (a * TO_FLUID + W_K)
            gains = ABSORBS * sun - leaving(plate, air, sky, wind) - TO_FLUID * (plate - out) > 0
            low, high = (plate, high) if gains else (low, plate)
        t = out
    return W_K * (t - inlet) / (AREA * sun), (inlet + t) / 2


def efficiency(x, sun, air, sky, wind):
    """At (mean temperature - air)/sun = x."""
    low, high = air - 40, air + 80
    for _ in range(50):
        inlet = (low + high) / 2
        eta, mean = steady(inlet, sun, air, sky, wind)
        low, high = (inlet, high) if (mean - air) / sun < x else (low, inlet)
    return eta


def dew_point_sky(air, humidity):
    """The sky that a plane of 35 degrees sees, by its emissivity: P. Berdahl and M. Martin, Solar Energy 32 (1984) 663-664,
    0.711 + 0.56 Td/100 + 0.73 (Td/100)^2; the rest is ground of 0.95 at the air's temperature. degC"""
    g = math.log(humidity / 100) + 17.62 * air / (243.12 + air)  # Magnus, WMO No. 8
    dew = 243.12 * g / (17.62 - g) / 100
    share = (1 + math.cos(math.radians(35))) / 2
    seen = share * (0.711 + 0.56 * dew + 0.73 * dew * dew) + (1 - share) * 0.95
    return seen ** 0.25 * (air + KELVIN) - KELVIN


def day(t):
    air = 18 + t / 1500
    return 880 + 20 * math.sin(t / 700), air, 1.6 + 0.5 * math.sin(t / 300) + 0.3 * math.sin(t / 97), 50.0


def night(t):
    air = 11 - t / 3000
    return 0.0, air, 1.2 + 0.4 * math.sin(t / 350) + 0.3 * math.sin(t / 111), 60.0


def record(folder, weather, begins_s, store, channels, chance):
    os.makedirs(folder)
    with open(folder + "/rig.ini", "w") as to:
        to.write(RIG + "[adapter]\nport = adapter\nline = pairs\ninterval_s = 2\n")
        for name in channels:
            to.write("[channel %s]\nunit = %s\nsensor = %s-of-all\n%s\n" % (name, CHANNELS[name][0], name, CHANNELS[name][1]))
    with open(folder + "/notes.csv", "w") as to:
        to.write("time_utc,elapsed_s,kind,text\n")
    plate, fluid, a = [store] * PARTS, [store] * PARTS, AREA / PARTS
    with open(folder + "/readings.csv", "w") as to:
        to.write("time_utc,elapsed_s," + ",".join("%s_%s" % (c, CHANNELS[c][0]) for c in channels) + "\n")
        for k in range(4501):
            sun, air, wind, humidity = weather(k * STEP_S)
            sky = dew_point_sky(air, humidity)
            if k % 2 == 0:
                def probe(t):
                    return round((t + chance.gauss(0, 0.02)) * 16) / 16
                seen = {"store": probe(store), "inlet": probe(store), "outlet": probe(fluid[-1]),
                        "air": air + chance.gauss(0, 0.03), "sun": max(0, sun + chance.gauss(0, 1.5)),
                        "flow": 1 + chance.gauss(0, 0.01), "wind": max(0, wind + chance.gauss(0, 0.15)),
                        "sky": sky + chance.gauss(0, 0.1), "humidity": humidity + chance.gauss(0, 0.5)}
                s = begins_s + k * STEP_S
                to.write("2026-06-14T%02d:%02d:%02d.000Z,%.3f," % (s // 3600, s // 60 % 60, s % 60, k * STEP_S) +
                         ",".join("%.4f" % seen[c] for c in channels) + "\n")
            before = store
            for i in range(PARTS):
                passed = TO_FLUID * (plate[i] - fluid[i])
                plate[i] += STEP_S * (ABSORBS * sun - leaving(plate[i], air, sky, wind) - passed) / HEAT
                fluid[i] += STEP_S * (a * passed + W_K * (before - fluid[i])) / (FLUID_KG / PARTS * CP)
                before = fluid[i]
            store += STEP_S * (W_K * (fluid[-1] - store) - STORE_W_K * (store - air)) / (WATER_KG * CP + DRY_J_K)


def run(*words, status=0):
    got = subprocess.run(words, capture_output=True, text=True)
    assert got.returncode == status, (words, got.returncode, got.stderr)
    return got


def share_u(fit):
    return next(l["found_u"] for l in fit["learned"] if l["label"].startswith("share in the long-wave"))


def judge(name, fit):
    at = fit["conditions"]
    assert at["irradiance_W_m2"] > 850, "%s: the night counts as sunshine: %s" % (name, at)
    reasons = [r["code"] for r in fit["trust"]["reasons"]]
    assert not set(reasons) & {"undetermined", "probes-disagree"}, (name, reasons)
    sky = dew_point_sky(at["air_degC"], 50.0)
    for point in fit["curve"]:
        true = efficiency(point["reduced_temperature"], at["irradiance_W_m2"], at["air_degC"], sky, at["wind_m_s"])
        assert point["lo95"] < true < point["hi95"], "%s: %s for %.4f" % (name, point, true)
    p = fit["parameters"]
    cold, warm = (efficiency(x, at["irradiance_W_m2"], at["air_degC"], sky, at["wind_m_s"]) for x in (0.0, 0.015))
    slope = (cold - warm) / 0.015
    assert p["a1"]["lo95"] < slope < p["a1"]["hi95"], "%s: a1 %s for %.2f" % (name, p["a1"], slope)
    assert p["eta0"]["u"] < 0.05, p["eta0"]
    print("%-10s eta0 %.3f u %.3f, a1 %.2f u %.2f for %.2f" % (name, p["eta0"]["value"], p["eta0"]["u"],
                                                              p["a1"]["value"], p["a1"]["u"], slope))


def main(noonfit):
    chance = random.Random(1)
    with tempfile.TemporaryDirectory() as folder:
        for name in ("sky", "humidity"):
            channels = ["store", "inlet", "outlet", "air", "sun", "flow", "wind", name]
            sunny, dark = folder + "/day-" + name, folder + "/night-" + name
            record(sunny, day, 10.25 * 3600, 16.0, channels, chance)
            record(dark, night, 20.5 * 3600, 42.0, channels, chance)
            alone = json.loads(run(noonfit, "fit", "--json", "--anyway", sunny).stdout)
            both = json.loads(run(noonfit, "fit", "--json", "--anyway", sunny, dark).stdout)
            judge(name, both)
            night_run = both["runs"][1]["channels"]
            outlet = next(c for c in night_run if c["name"] == "outlet")
            assert outlet["used"] > 350 and outlet["residual_rms_K"] < 0.05, outlet
            assert share_u(both) < 0.75 * share_u(alone), (name, share_u(both), share_u(alone))
            refused = run(noonfit, "fit", dark, status=1)
            assert "the pump never ran while the sun shone" in " ".join(refused.stderr.split()), refused.stderr
            said = run(noonfit, "inspect", dark, "--json").stdout
            codes = [f["code"] for f in json.loads(said)["findings"]]
            assert "no-sun" in codes and "probes-disagree" not in codes, codes


main(sys.argv[1])
