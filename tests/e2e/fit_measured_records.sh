#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit fit on measured records of a real collector (tests/data/real-collector: source, licence,
# data sheet), made into run folders here: its curve against a plain regression of the same days,
# computed here, and against the collector's data sheet; whatever container is stated, with and
# without what tells of the sky, with other row spacings, a day or several.
. "$(dirname "$0")/common.bash" || exit 2
/usr/bin/python3 - <<'PYTHON'
import csv
import datetime
import json
import math
import os
import subprocess
import sys
import tempfile

import numpy

noonfit = os.environ["TEST_PROGRAMS"] + "/noonfit"
data = os.environ["TEST_SOURCE"] + "/tests/data/real-collector/"
AREA = 1.66
# Solar noon by the equation of time of the date (minutes) at longitude 7 degrees; solar hours at
# time_s = 0 are the README's.
DAYS = {"a": (datetime.date(2018, 8, 7), 9.10, -5.7), "b": (datetime.date(2018, 7, 25), 7.93, -6.5)}
LATITUDE, LONGITUDE = 49.2, 7.0
# The data sheet at the days' means, README: 3.5 m/s of wind, 815 W/m2, a clear sky.
SHEET_ETA0, SHEET_A1 = 0.413, 13.5
POINTS = 7
failures = 0


def check(good, what):
    global failures
    if not good:
        failures += 1
        print("FAILED:", what)


def read(day):
    with open(f"{data}day-{day}.csv", encoding="utf-8") as f:
        rows = list(csv.DictReader(f))
    return {name: numpy.array([float(row[name]) for row in rows]) for name in rows[0]}


def kg_per_m3(t):  # Kell 1975 as a short form: within 0.02 kg/m3 here
    return 1000 * (1 - (t + 288.9414) / (508929.2 * (t + 68.12963)) * (t - 3.9863) ** 2)


def longwave(air, humidity):
    """Long-wave irradiance in a plane of 45 degrees by Berdahl and Martin, README."""
    g = numpy.log(humidity / 100) + 17.625 * air / (243.04 + air)
    dew = 243.04 * g / (17.625 - g) / 100
    view = (1 + math.cos(math.pi / 4)) / 2
    seen = view * (0.711 + 0.56 * dew + 0.73 * dew ** 2) + (1 - view) * 0.95
    return seen * 5.670374419e-8 * (air + 273.15) ** 4


def regression(days):
    """q = eta0 G - a1 (Tm - Ta) - c5 dTm/dt over ten-minute means, below 60 degrees, above 200 W/m2."""
    a, q = [], []
    for day in days:
        r = read(day)
        t, mean = r["time_s"], (r["inlet_degC"] + r["outlet_degC"]) / 2
        gain = r["mass_flow_kg_s"] * 4180 * (r["outlet_degC"] - r["inlet_degC"]) / AREA
        for k in range(0, len(t) - 4, 5):
            s = slice(k, k + 5)
            if (r["incidence_deg"][s] >= 60).any() or (r["irradiance_W_m2"][s] <= 200).any():
                continue
            a.append([r["irradiance_W_m2"][s].mean(), (r["air_degC"] - mean)[s].mean(),
                      -(mean[k + 4] - mean[k]) / (t[k + 4] - t[k])])
            q.append(gain[s].mean())
    return numpy.linalg.lstsq(numpy.array(a), numpy.array(q), rcond=None)[0]


def folder(work, day, name, channels, site=True, container=100, means=True, every=1, store=None, shaded=""):
    date, solar_h, equation_min = DAYS[day]
    start = (datetime.datetime.combine(date, datetime.time())
             + datetime.timedelta(hours=solar_h - LONGITUDE / 15, minutes=-equation_min))
    r = read(day)
    table = {"inlet_degC": r["inlet_degC"], "outlet_degC": r["outlet_degC"], "air_degC": r["air_degC"],
             "sun_W_m2": r["irradiance_W_m2"], "wind_m_s": r["wind_m_s"],
             "flow_L_min": r["mass_flow_kg_s"] / kg_per_m3(r["inlet_degC"]) * 60000,
             "humidity_percent": r["relative_humidity_percent"],
             "sky_W_m2": longwave(r["air_degC"], r["relative_humidity_percent"])}
    if store is not None:
        table["store_degC"] = store(r)
        channels = channels + ["store"]
    columns = [c for c in table if c.split("_")[0] in channels]
    path = f"{work}/{day}-{name}"
    os.mkdir(path)
    # The README's standard uncertainties.
    u = {"inlet": "u_offset = 0.05", "outlet": "u_offset = 0.05", "air": "u_offset = 0.2",
         "sun": "u_gain = 0.015", "flow": "u_gain = 0.01", "store": "u_offset = 0.1"}
    with open(path + "/rig.ini", "w", encoding="utf-8") as f:
        f.write(f"[test]\nrows = {'mean' if means else 'instant'}\n")
        if site:
            f.write(f"[site]\nlatitude_deg = {LATITUDE}\nlongitude_deg = {LONGITUDE}\n")
        f.write(f"[collector]\ngross_area_m2 = {AREA}\nglazing = none\n")
        if site:
            f.write("tilt_deg = 45\nazimuth_deg = 180\n")
        if container:
            f.write(f"[store]\nwater_kg = {container}\n")
        for c in columns:
            channel, unit = c.split("_", 1)
            plane = "plane = collector\n" if channel == "sun" else ""
            f.write(f"[channel {channel}]\nunit = {unit}\nsensor = bench {channel}\n{plane}"
                    f"{shaded if channel == 'air' else ''}"
                    f"{u.get(channel, '')}\n")
    with open(path + "/readings.csv", "w", encoding="utf-8") as f:
        f.write("time_utc,elapsed_s," + ",".join(columns) + "\n")
        for i in range(0, len(r["time_s"]), every):
            at = start + datetime.timedelta(seconds=r["time_s"][i])
            f.write(at.strftime("%Y-%m-%dT%H:%M:%S.000Z") + f",{r['time_s'][i] - r['time_s'][0]:.3f},"
                    + ",".join(f"{table[c][i]:.4f}" for c in columns) + "\n")
    with open(path + "/notes.csv", "w", encoding="utf-8") as f:
        f.write("time_utc,elapsed_s,kind,text\n")
    return path


def fit(what, *arguments):
    done = subprocess.run([noonfit, "fit", *arguments, "--json"], stdout=subprocess.PIPE,
                          stderr=subprocess.PIPE, text=True)
    check(done.returncode == 0, f"{what}: {done.returncode} {done.stderr}")
    return json.loads(done.stdout) if done.returncode == 0 else None


def judge(what, answer, days):
    if not answer:
        return
    eta0, a1, c5 = regression(days)
    second = answer["means"]
    # The program's own regression of means: other windows (from the first row it uses), its own water.
    if second and "sixth" not in what:
        check(abs(second["eta0"]["value"] - eta0) < 0.012, f"{what}: means {second['eta0']}, here {eta0:.3f}")
        middle = sum(answer["range"]["reduced_temperature"]) / 2
        own = second["eta0"]["value"] - second["a1"]["value"] * middle
        check(abs(own - (eta0 - a1 * middle)) < 0.01, f"{what}: means give {own:.3f} at {middle:.4f}, here "
              f"{eta0 - a1 * middle:.3f}")
        if len(days) == 2:
            check(abs(second["a1"]["value"] - a1) < 1, f"{what}: means {second['a1']}, here {a1:.2f}")
            check(not second["a5_held"] and abs(second["a5"]["value"] - c5) < 2.5 * second["a5"]["u"],
                  f"{what}: means {second['a5']}, here {c5:.0f}")
    check(second is not None or len(days) < 2, f"{what}: no second opinion by means")
    curve = answer["curve"]
    x = [p["reduced_temperature"] for p in curve]
    lo, hi = answer["range"]["reduced_temperature"]
    for point in numpy.linspace(lo, hi, POINTS):
        eta, low, high = (numpy.interp(point, x, [p[k] for p in curve]) for k in ("eta", "lo95", "hi95"))
        plain, sheet = eta0 - a1 * point, SHEET_ETA0 - SHEET_A1 * point
        here = f"{what} at {point:.4f}"
        check(low - 0.01 <= plain <= high + 0.01,
              f"{here}: {eta:.3f} ({low:.3f} to {high:.3f}), plain regression {plain:.3f}")
        check(abs(eta - sheet) <= 0.06, f"{here}: {eta:.3f}, data sheet {sheet:.3f}")
        check((high - low) / 2 <= 0.05, f"{here}: half-width {(high - low) / 2:.3f}")
    print(f"{what}: eta0 {answer['parameters']['eta0']['value']:.3f}, a1 "
          f"{answer['parameters']['a1']['value']:.2f}; plain {eta0:.3f}, {a1:.2f}")


# README, so that what the days are held against is right itself: 0.388 and 13.3 of both days.
eta0, a1, _ = regression("ab")
check(abs(eta0 - 0.388) < 0.002 and abs(a1 - 13.3) < 0.15, f"the regression: {eta0} {a1}")

BASE = ["inlet", "outlet", "air", "sun", "flow"]
KINDS = {
    "humidity": dict(channels=BASE + ["wind", "humidity"]),
    "sky": dict(channels=BASE + ["wind", "sky"]),
    "neither": dict(channels=BASE + ["wind"]),
    "no site, no container": dict(channels=BASE + ["wind"], site=False, container=0),
    "no wind": dict(channels=BASE + ["humidity"]),
    "instants": dict(channels=BASE + ["wind", "humidity"], means=False, shaded="shaded = yes\n"),
    "every sixth minute": dict(channels=BASE + ["wind", "humidity"], every=3, means=False,
                               shaded="shaded = yes\n"),
    # A container that has nothing to do with the loop: its water warms by 3 K an hour.
    "foreign container": dict(channels=BASE + ["wind", "humidity"], container=30,
                              store=lambda r: 20 + 3 * r["time_s"] / 3600 + 0.02 * (r["time_s"] % 7)),
}


def agrees(what, thinned, whole):
    """Two readings of three thrown away: most of the uncertainty is the sensors' and the same in both;
    what the readings alone make different is within the random parts."""
    for name in ("eta0", "a1"):
        one, other = thinned["parameters"][name], whole["parameters"][name]
        off = abs(one["value"] - other["value"])
        most = 2 * math.hypot(one["u_random"], other["u_random"])
        check(off < most, f"{what}: {name} {one['value']:.3f}, with all rows {other['value']:.3f}, of "
              f"{most:.3f}")


ALL = {}
with tempfile.TemporaryDirectory() as work:
    for name, how in KINDS.items():
        path = {day: folder(work, day, name.replace(" ", "-").replace(",", ""), **how) for day in "ab"}
        for days in ("a", "b", "ab"):
            answer = fit(f"{name}, {days}", *[path[d] for d in days])
            judge(f"{name}, {days}", answer, days)
            ALL[name, days] = answer
            if answer and "sixth" in name:
                agrees(f"{name}, {days}", answer, ALL["instants", days])
            if answer and name == "foreign container":
                codes = [w["code"] for w in answer["warnings"]]
                check("container-left-out" in codes, f"{name}, {days}: nothing said of it")
sys.exit(1 if failures else 0)
PYTHON
