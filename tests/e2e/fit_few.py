#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""fit_few.py NOONLOG NOONFIT SAMPLES: two to twelve readings of an hour, at even and uneven times, by the
store alone and with loop channels, in SI and US units, imported from a table. inspect, fit and predict
answer each; the run's efficiency holds the simulation's own (water, area and irradiance as they truly
were) in its 95 % interval, of which one in twenty may miss; the zero-loss efficiency likewise."""
import csv
import datetime as dt
import json
import os
import random
import re
import subprocess
import sys
import tempfile

US = {"degC": ("degF", 1.8, 32), "L_min": ("gal_min", 1 / 3.785411784, 0), "m_s": ("mph", 1 / 0.44704, 0)}
LOOP = ("inlet", "outlet", "flow", "wind", "pump")
WATER_J_KGK = 4182.0  # at 20 degC, IAPWS R6-95


def thinned(rows, count, even):
    chance = random.Random(100 * count + even)
    first = float(rows[0]["elapsed_s"])
    times = [3600 * k / (count - 1) if even else chance.uniform(0, 3600) for k in range(count)]
    if not even:
        times[:2] = 0, 3600
    out = []
    for t in sorted(times):
        row = next(r for r in rows if float(r["elapsed_s"]) >= first + 300 + t)
        if row not in out:
            out.append(row)
    return out


def write_table(path, picked, columns, us):
    def cell(text, unit):
        return "%.2f" % (float(text) * US[unit][1] + US[unit][2]) if us and unit in US and text else text

    with open(path, "w") as f:
        f.write("Time," + ",".join("%s (%s)" % (c, US[u][0] if us and u in US else u) for c, u in columns) + "\n")
        for r in picked:
            stamp = dt.datetime.fromisoformat(r["time_utc"].rstrip("Z")).isoformat(" ", "seconds")
            f.write(stamp + "," + ",".join(cell(r[c + "_" + u], u) for c, u in columns) + "\n")


def write_rig(path, text, loop):
    keep = True
    with open(path, "w") as f:
        for line in text.splitlines(True):
            if line.startswith("["):
                name = re.match(r"\[channel (\S+)\]", line)
                keep = not line.startswith("[adapter") and (loop or not name or name.group(1) not in LOOP)
            f.write(line if keep else "")


def true_run_efficiency(rows, picked, device):
    start, end = float(picked[0]["elapsed_s"]), float(picked[-1]["elapsed_s"])
    sun = [(float(r["elapsed_s"]), float(r["sun_W_m2"])) for r in rows
           if r["sun_W_m2"] and start <= float(r["elapsed_s"]) <= end]
    light = sum((b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in zip(sun, sun[1:]))

    def store(at):
        near = [float(r["store_degC"]) for r in rows if r["store_degC"] and abs(float(r["elapsed_s"]) - at) < 20]
        return sum(near) / len(near)

    heat = (device["water_kg"] * WATER_J_KGK + device["store_dry_J_K"]) * (store(end) - store(start))
    return heat / (light * device["gross_area_m2"])


def main():
    noonlog, noonfit, samples = sys.argv[1:4]
    environment = dict(os.environ, TZ="UTC")
    tried, outside, wrong = 0, [], []
    cases = [(n, even, loop, us) for n in (2, 3, 5, 7, 12) for even in (0, 1) for loop in (0, 1)
             for us in ((n + even + loop) % 2,)]
    for record in ("wash-stand-glazed",):
        with open(os.path.join(samples, record, "readings.csv"), newline="") as f:
            rows = list(csv.DictReader(f))
        with open(os.path.join(samples, record, "rig.ini")) as f:
            rig = f.read()
        with open(os.path.join(samples, "truth", record + ".json")) as f:
            truth = json.load(f)
        for n, even, loop, us in cases:
            what = "%s: %d readings, %s, %s, %s" % (record, n, "even" if even else "uneven",
                                                   "loop" if loop else "store alone", "US" if us else "SI")
            columns = [tuple(c.split("_", 1)) for c in rows[0] if c not in ("time_utc", "elapsed_s")]
            columns = [c for c in columns if loop or c[0] not in LOOP]
            picked = thinned(rows, n, even)
            with tempfile.TemporaryDirectory() as folder:
                def ask(*words):
                    done = subprocess.run(words, text=True, capture_output=True, env=environment)
                    if done.returncode != 0:
                        wrong.append("%s: %s: exit %d: %s" % (what, words[1], done.returncode, done.stderr))
                    return done.stdout if done.returncode == 0 else None

                run, ini = os.path.join(folder, "run"), os.path.join(folder, "rig.ini")
                table = os.path.join(folder, "table.csv")
                write_table(table, picked, columns, us)
                write_rig(ini, rig, loop)
                if ask(noonlog, "import", table, "--rig", ini, run) is None:
                    continue
                seen = ask(noonfit, "inspect", run, "--json")
                usable = json.loads(seen)["usable_for"] if seen else []
                if usable != (["store", "loop"] if loop else ["store"]):
                    wrong.append("%s: usable for %s" % (what, usable))
                ask(noonfit, "predict", run, "--from", "15C", "--to", "30C", "--air", "20C", "--sun", "850", "--json")
                text = ask(noonfit, "fit", run, "--json")
                if text is None:
                    continue
                fit = json.loads(text)
                tried += 1
                for name, q, true in (("run", fit["energy"]["run_efficiency"],
                                       true_run_efficiency(rows, picked, truth["device"])),
                                      ("eta0", fit["parameters"]["eta0"], truth["inlet"]["eta0"])):
                    if not q["lo95"] <= true <= q["hi95"]:
                        outside.append("%s: %s %.3f in [%.3f %.3f]" % (what, name, true, q["lo95"], q["hi95"]))
                    if q["hi95"] - q["lo95"] < 0.04:
                        wrong.append("%s: %s is too sure: %s" % (what, name, q))
                if n <= 3 and "loss-as-usual" not in [w["code"] for w in fit["warnings"]]:
                    wrong.append("%s: the loss is not named as the usual one" % what)
                if not loop and not fit["loss_includes_store"]:
                    wrong.append("%s: the container's loss is told apart" % what)
    print("%d answered, outside: %s" % (tried, outside))
    print("\n".join(wrong))
    return 1 if wrong or tried < len(cases) or len(outside) > 2 else 0


sys.exit(main())
