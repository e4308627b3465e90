#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""import_foreign.py NOONLOG [NAME...]: tables as strangers bring them (import_tables.py). `import` must give
the readings each was made from, or refuse with the option that settles it, and with that option give
them. With names only those, and what was said."""
import configparser
import csv
import datetime as dt
import os
import subprocess
import sys
import tempfile

from import_tables import CASES


def write_rig(folder, text):
    path = os.path.join(folder, "rig.ini")
    with open(path, "w") as f:
        for word in text.split():
            channel, unit = word.split("=")
            f.write("[channel %s]\nunit = %s\n" % (channel, unit))
    return path


def differences(path, rows):
    with open(path, newline="") as f:
        read = list(csv.DictReader(f))
    if len(read) != len(rows):
        return "%d rows for %d" % (len(read), len(rows))
    for got, (when, values) in zip(read, rows):
        stamp = dt.datetime.fromisoformat(got["time_utc"].replace("Z", "+00:00"))
        if abs((stamp - when).total_seconds()) > 0.0011:
            return "%s for %s" % (got["time_utc"], when.isoformat())
        for column, text in got.items():
            if column in ("time_utc", "elapsed_s"):
                continue
            wanted = values.get(column.split("_")[0])
            if (text == "") != (wanted is None) or (text and abs(float(text) - wanted) > 0.006):
                return "%s at %s: %s for %s" % (column, got["time_utc"], text or "nothing", wanted)
    return None


def drafted(noonlog):
    """Without a rig: the heads say that there are two collectors, and whose each column is."""
    text = "Zeit;Speicher links [°C];Speicher rechts [°C];Eintritt links [°C];Eintritt rechts [°C];Luft [°C];Einstrahlung [W/m²]\n"
    for minute in range(5):
        text += "2026-05-16 10:%02d;%s\n" % (minute, ";".join("%d,5" % (20 + 10 * c + minute) for c in range(6)))
    wanted = {"store_links": ("store", "links"), "store_rechts": ("store", "rechts"), "inlet_links": ("inlet", "links"),
              "inlet_rechts": ("inlet", "rechts"), "air": (None, None), "sun": (None, None)}
    with tempfile.TemporaryDirectory() as folder:
        path, run = os.path.join(folder, "table.csv"), os.path.join(folder, "run")
        with open(path, "w") as f:
            f.write(text)
        done = subprocess.run([noonlog, "import", path, run], text=True, env=dict(os.environ, TZ="UTC"),
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        if done.returncode != 0:
            return "refused: %s" % done.stdout
        rig = configparser.ConfigParser(comment_prefixes=";", inline_comment_prefixes=";")
        rig.read(os.path.join(run, "rig.ini"))
        found = {s.split()[1]: (rig[s].get("role"), rig[s].get("of")) for s in rig.sections() if s.startswith("channel")}
        if found != wanted:
            return "channels %s" % found
        for section in ("collector links", "store links", "collector rechts", "store rechts"):
            if section not in rig:
                return "no [%s]" % section
        with open(os.path.join(run, "readings.csv"), newline="") as f:
            first = next(csv.DictReader(f))
        got = [float(v) for k, v in first.items() if k not in ("time_utc", "elapsed_s")]
        return None if sorted(got) == [20.5 + 10 * c for c in range(6)] else "readings %s" % first


def main():
    noonlog, failed = sys.argv[1], 0
    only = sys.argv[2:]
    for name, make, options in CASES:
        if only and name not in only:
            continue
        with tempfile.TemporaryDirectory() as folder:
            table, rows = make()
            path = os.path.join(folder, "table")
            with open(path, "wb") as f:
                f.write(table if isinstance(table, bytes) else table.encode())
            rig, run = write_rig(folder, options["rig"]), os.path.join(folder, "run")
            call = [noonlog, "import", path, "--rig", rig, run] + options.get("args", [])

            def ask(more):
                return subprocess.run(call + more, text=True, env=dict(os.environ, TZ=options.get("tz", "UTC")),
                                      stdout=subprocess.PIPE, stderr=subprocess.STDOUT)

            wrong, done = None, ask([])
            if "asks" in options:
                if done.returncode != 2 or options["asks"] not in " ".join(done.stdout.split()):
                    wrong = "does not ask for %s" % options["asks"]
                elif "then" in options:
                    done = ask(options["then"])
                else:
                    continue
            if not wrong and done.returncode != 0:
                wrong = "refused"
            wrong = wrong or differences(os.path.join(run, "readings.csv"), rows)
            if wrong or only:
                print("%s: %s\n%s" % (name, wrong, done.stdout))
            failed += wrong is not None
    wrong = None if only else drafted(noonlog)
    if wrong:
        print("two collectors, no rig: %s" % wrong)
        failed += 1
    print("%d tables, %d failed" % (len(CASES) + (not only), failed))
    return 1 if failed else 0


sys.exit(main())
