#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Thins records and holds the answers against those of all rows.

    fit_thinned.py NOONFIT RECORD...     [--table]

What is systematic (gains, offsets, masses) is the same in both, so two answers differ by what thinning
adds to the random part alone; u holds both. Of the differences in units of the thinned answer's u
at most one in twenty may be beyond 2, as chance has it, and none beyond FAR."""
import csv
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile

FAR = 3.0
BEYOND_2 = 0.05


def at(rows, wanted):
    """The first rows at or after each of the times; each row once."""
    out, i = [], 0
    for t in wanted:
        while i < len(rows) and rows[i][0] < t:
            i += 1
        if i < len(rows) and (not out or out[-1] is not rows[i]):
            out.append(rows[i])
    return out


def steps(rows, draw):
    t, times = rows[0][0], []
    while t <= rows[-1][0]:
        times.append(t)
        t += draw()
    return at(rows, times)


def ways(rows):
    chance = random.Random(5)
    first, last = rows[0][0], rows[-1][0]
    parts = lambda n: at(rows, [first + (last - first) * k / (n - 1) for k in range(n)])
    bunches = [first + k + 2 * i for k in range(0, int(last - first), 300) for i in range(8)]
    return {
        "10 s": steps(rows, lambda: 10),
        "60 s": steps(rows, lambda: 60),
        "5 min": steps(rows, lambda: 300),
        "10 min": steps(rows, lambda: 600),
        "50 to 70 s": steps(rows, lambda: chance.uniform(50, 70)),
        "3 to 7 min": steps(rows, lambda: chance.uniform(180, 420)),
        "a tenth at random": sorted(chance.sample(rows, len(rows) // 10)),
        "60 at random": sorted(chance.sample(rows, 60)),
        "bunches of 8 in 5 min": at(rows, bunches),
        "dense then 5 min": [r for r in rows if r[0] < first + 1500]
        + [r for r in steps(rows, lambda: 300) if r[0] >= first + 1500],
        "each minute twice": [r for r in steps(rows, lambda: 60) for _ in (0, 1)],
        "seven": parts(7),
        "three": parts(3),
        "two": parts(2),
    }


def read(folder):
    with open(os.path.join(folder, "readings.csv"), encoding="utf-8", newline="") as f:
        table = list(csv.reader(f))
    return table[0], [(float(r[1]), tuple(r)) for r in table[1:]]


def write(folder, head, rows, to):
    os.makedirs(to)
    shutil.copy(os.path.join(folder, "rig.ini"), to)
    before = None
    with open(os.path.join(to, "readings.csv"), "w", encoding="utf-8", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(head)
        for t, row in rows:
            cells = list(row)
            if before is not None and t <= before:
                t = before + 0.001
                cells[1] = "%.3f" % t
            before = t
            out.writerow(cells)


def ask(noonfit, folder):
    done = subprocess.run([noonfit, "fit", folder, "--json"], capture_output=True, text=True,
                          check=False)
    if done.returncode:
        return None, done.stderr.strip()
    fit = json.loads(done.stdout)
    tested = [p for p in fit["curve"]]
    return {"run efficiency": fit["energy"]["run_efficiency"],
            "a1": fit["parameters"]["a1"],
            "curve": tested}, ""


def efficiency(curve, x):
    """Value and u at x, by a straight line between the curve's points."""
    for a, b in zip(curve, curve[1:]):
        if a["reduced_temperature"] <= x <= b["reduced_temperature"]:
            w = (x - a["reduced_temperature"]) / (b["reduced_temperature"] - a["reduced_temperature"])
            mix = lambda k: a[k] + w * (b[k] - a[k])
            return {"value": mix("eta"), "u": (mix("hi95") - mix("lo95")) / 3.92}
    return None


def main():
    noonfit, *folders = [a for a in sys.argv[1:] if a != "--table"]
    table, failures, count, beyond = "--table" in sys.argv, 0, 0, 0
    for folder in folders:
        head, rows = read(folder)
        whole, why = ask(noonfit, folder)
        if whole is None:
            print("FAILED: %s: %s" % (folder, why))
            return 1
        middle = whole["curve"][len(whole["curve"]) // 2]["reduced_temperature"]
        with tempfile.TemporaryDirectory() as work:
            for name, some in ways(rows).items():
                to = os.path.join(work, name.replace(" ", "-"))
                write(folder, head, some, to)
                thin, why = ask(noonfit, to)
                label = "%s, %s (%d rows)" % (os.path.basename(folder), name, len(some))
                if thin is None:
                    print("FAILED: %s: %s" % (label, why))
                    failures += 1
                    continue
                pairs = {k: (whole[k], thin[k]) for k in ("run efficiency", "a1")}
                pairs["efficiency"] = (efficiency(whole["curve"], middle),
                                       efficiency(thin["curve"], middle))
                for what, (a, b) in pairs.items():
                    if a is None or b is None:
                        continue
                    off = abs(a["value"] - b["value"]) / b["u"]
                    if table:
                        print("%-45s %-15s %8.3f (%.3f)  %8.3f (%.3f) %5.2f"
                              % (label, what, a["value"], a["u"], b["value"], b["u"], off))
                    count += 1
                    beyond += not off <= 2
                    if not off <= FAR:
                        print("FAILED: %s: %s %.4g, of all rows %.4g: %.1f u (%.3g)"
                              % (label, what, b["value"], a["value"], off, b["u"]))
                        failures += 1
    if beyond > BEYOND_2 * count:
        failures += 1
    print("%s: %d differences, %d beyond 2 u" % ("FAILED" if failures else "agree", count, beyond))
    return 1 if failures else 0


sys.exit(main())
