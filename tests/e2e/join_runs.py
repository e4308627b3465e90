#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Two runs of the same sky made into one record of two collectors: join_runs.py RUN RUN NEW."""
import configparser
import csv
import os
import sys

left, right, out = sys.argv[1:]
os.mkdir(out)
names = ["left", "right"]
own = ["store", "inlet", "outlet", "flow"]
rigs = []
for run in (left, right):
    rig = configparser.ConfigParser()
    rig.optionxform = str
    rig.read(os.path.join(run, "rig.ini"))
    rigs.append(rig)
with open(os.path.join(out, "rig.ini"), "w") as to:
    for section in ("test", "site"):
        to.write(f"[{section}]\n" + "".join(f"{k} = {v}\n" for k, v in rigs[0][section].items()) + "\n")
    for name, rig in zip(names, rigs):
        for section in ("collector", "store"):
            to.write(f"[{section} {name}]\n")
            to.write("".join(f"{k} = {v}\n" for k, v in rig[section].items() if k != "name") + "\n")
        for channel in own:
            to.write(f"[channel {name}-{channel}]\nrole = {channel}\nof = {name}\n")
            to.write("".join(f"{k} = {v}\n" for k, v in rig[f"channel {channel}"].items()) + "\n")
    for channel in ("air", "sun", "wind"):
        to.write(f"[channel {channel}]\n")
        to.write("".join(f"{k} = {v}\n" for k, v in rigs[0][f"channel {channel}"].items()) + "\n")
tables = [list(csv.DictReader(open(os.path.join(run, "readings.csv")))) for run in (left, right)]
units = {"store": "degC", "inlet": "degC", "outlet": "degC", "flow": "L_min"}
with open(os.path.join(out, "readings.csv"), "w", newline="") as to:
    head = ["time_utc", "elapsed_s"] + [f"{n}-{c}_{units[c]}" for n in names for c in own]
    writer = csv.writer(to, lineterminator="\n")
    writer.writerow(head + ["air_degC", "sun_W_m2", "wind_m_s"])
    for a, b in zip(*tables):
        writer.writerow([a["time_utc"], a["elapsed_s"]]
                        + [t[f"{c}_{units[c]}"] for t in (a, b) for c in own]
                        + [a["air_degC"], a["sun_W_m2"], a["wind_m_s"]])
open(os.path.join(out, "notes.csv"), "w").write("time_utc,elapsed_s,kind,text\n")
