#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A year's warmest water, day by day, by a balance of the container alone: season.py EPW FIT SEASON.
Written apart from the C code: the steady curve of `noonfit fit --json` (eta0, a1 and what does not go with the sun), its modifier and
heat capacity, the container's loss; sun of plane.py's kind (Spencer 1971, Hay and Davies 1980) at
steps of ten minutes; no segments, no cover, no wind, and a loss that does not grow with temperature
(which is worth up to 3 K at 70 degC). Says how far `noonfit season --json` is off."""
import csv
import json
import math
import sys

rows = list(csv.reader(open(sys.argv[1])))
fit = json.load(open(sys.argv[2]))
season = json.load(open(sys.argv[3]))
latitude, longitude, zone = (float(rows[0][k]) for k in (6, 7, 8))
phi, beta = math.radians(latitude), math.radians(season["asked"]["tilt_deg"])
before = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334]
p = fit["parameters"]
eta0, a1, a5, loss = (p[k]["value"] for k in ("eta0", "a1", "a5", "store_loss"))
b0, area = fit["incidence"]["b0"], fit["collector"]["gross_area_m2"]
flow_W_K = fit["conditions"]["flow_L_min"] / 60 * 4186
capacity = season["asked"]["water_kg"] * 4183 + 1500 + a5 * area
# Sky and diffuse light act whatever the irradiance.
constant = fit["conditions"]["constant_W_m2"]
eta0 = (eta0 - constant / fit["conditions"]["irradiance_W_m2"]) / fit["incidence"]["modifier"]
hours = {}
for r in rows[8:]:
    hours[(before[int(r[1]) - 1] + int(r[2]), int(r[3]) - 1)] = [float(r[k]) for k in (6, 13, 15)]


def sun(day, clock_h):
    b = 2 * math.pi * (day - 1) / 365
    d = (0.006918 - 0.399912 * math.cos(b) + 0.070257 * math.sin(b) - 0.006758 * math.cos(2 * b)
         + 0.000907 * math.sin(2 * b) - 0.002697 * math.cos(3 * b) + 0.00148 * math.sin(3 * b))
    eot = 229.2 * (0.000075 + 0.001868 * math.cos(b) - 0.032077 * math.sin(b)
                   - 0.014615 * math.cos(2 * b) - 0.04089 * math.sin(2 * b))
    w = math.radians(15 * (clock_h - zone + longitude / 15 + eot / 60 - 12))
    up = math.sin(phi) * math.sin(d) + math.cos(phi) * math.cos(d) * math.cos(w)
    facing = math.sin(phi - beta) * math.sin(d) + math.cos(phi - beta) * math.cos(d) * math.cos(w)
    return max(up, 0), max(facing, 0)


def useful(day, clock_h):
    """Absorbed irradiance at eta0 = 1, and the air."""
    air, ghi, dhi = hours[(day, int(clock_h))]
    up, facing = sun(day, clock_h)
    mean = sum(sun(day, int(clock_h) + (k + 0.5) / 12)[0] for k in range(12)) / 12
    if up <= 0 or mean <= 0:
        return 0, air
    top = 1361 * (1 + 0.033 * math.cos(2 * math.pi * day / 365))
    dni, here = min(max(ghi - dhi, 0) / max(mean, 0.035), top), dhi * up / mean
    share = min(dni / top, 1)
    beam = dni * facing
    modifier = max(1 - b0 * (min(1 / facing, 11) - 1), 0) if facing > 0 else 0
    rest = (here * share * facing / max(up, 0.035) + here * (1 - share) * (1 + math.cos(beta)) / 2
            + (dni * up + here) * 0.2 * (1 - math.cos(beta)) / 2)
    return beam * modifier + rest * fit["incidence"]["modifier"], air


worst, total, reached = 0.0, 0.0, 0
for k, day in enumerate(season["calendar"]):
    n = k + 1
    T = top = day["from_degC"]
    # Mean solar time on the file's clock.
    shift = zone - longitude / 15
    t = season["asked"]["start_solar_s"] / 3600 + shift
    while t < season["asked"]["by_solar_s"] / 3600 + shift:
        G, air = useful(n, t + 1 / 12)
        # The mean fluid is half the rise over the container warmer.
        q = (eta0 * G + constant - a1 * (T - air)) / (1 + a1 * area / (2 * flow_W_K))
        T += (area * q - loss * (T - air)) * 600 / capacity
        top = max(top, T)
        t += 1 / 6
    off = day["warmest_degC"] - top
    worst, total = max(worst, abs(off)), total + off
    reached += top >= season["asked"]["to_degC"]
mean = total / len(season["calendar"])
print(f"mean {mean:+.2f} K, worst {worst:.2f} K, reached {reached} against {season['days']['reached']:.0f}")
sys.exit(0 if abs(mean) < 1.2 and worst < 4 and abs(reached - season["days"]["reached"]) <= 7 else 1)
