#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The year's irradiation on two planes, kWh/m2, from an EPW table on standard input: tilted 40 degrees
to the south, and turned after the sun. Written apart from the C code: declination and equation of
time by Spencer (1971), Hay and Davies (1980) hour by hour at the middle of the part of the hour that
has the sun up, ground 0.2."""
import csv
import math
import sys

rows = list(csv.reader(sys.stdin))
latitude, longitude, zone = (float(rows[0][k]) for k in (6, 7, 8))
phi = math.radians(latitude)
days_before = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334]


def sun(day, clock_h):
    b = 2 * math.pi * (day - 1) / 365
    declination = (0.006918 - 0.399912 * math.cos(b) + 0.070257 * math.sin(b) - 0.006758 * math.cos(2 * b)
                   + 0.000907 * math.sin(2 * b) - 0.002697 * math.cos(3 * b) + 0.00148 * math.sin(3 * b))
    minutes = 229.2 * (0.000075 + 0.001868 * math.cos(b) - 0.032077 * math.sin(b)
                       - 0.014615 * math.cos(2 * b) - 0.04089 * math.sin(2 * b))
    solar_h = clock_h - zone + longitude / 15 + minutes / 60
    omega = math.radians(15 * (solar_h - 12))
    up = math.sin(phi) * math.sin(declination) + math.cos(phi) * math.cos(declination) * math.cos(omega)
    return declination, omega, up


def on_plane(dni, dhi, ghi, up, facing, tilt, top):
    share = min(dni / top, 1)
    sky = (1 + math.cos(tilt)) / 2
    facing = max(facing, 0)
    return (dni * facing + dhi * share * facing / max(up, 0.035) + dhi * (1 - share) * sky
            + ghi * 0.2 * (1 - sky))


tilted = turned = 0.0
beta = math.radians(40)
for row in rows[8:]:
    month, day, hour = int(row[1]), int(row[2]), int(row[3])
    n = days_before[month - 1] + day
    ghi, dhi = float(row[13]), float(row[15])
    parts = [sun(n, hour - 1 + (k + 0.5) / 60) for k in range(60)]
    lit = [p for p in parts if p[2] > 0]
    if not lit:
        continue
    mean = sum(p[2] for p in lit) / 60
    top = 1361 * (1 + 0.033 * math.cos(2 * math.pi * n / 365))
    dni = min(max(ghi - dhi, 0) / max(mean, 0.035 * len(lit) / 60), top)
    for declination, omega, up in lit[len(lit) // 4::max(len(lit) // 2, 1)][:2]:
        facing = (math.sin(phi - beta) * math.sin(declination)
                  + math.cos(phi - beta) * math.cos(declination) * math.cos(omega))
        here = min(dhi, ghi) * up / mean
        weight = len(lit) / 60 / 2 / 1000
        both = dni * up + here
        tilted += on_plane(dni, here, both, up, facing, beta, top) * weight
        turned += on_plane(dni, here, both, up, 1.0, math.acos(up), top) * weight
print(f"{tilted:.1f} {turned:.1f}")
