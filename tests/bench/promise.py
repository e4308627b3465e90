#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""What `noonfit plan` promises against what fits get, record by record, at several strengths of the gusts.

usage: promise.py BENCH-ADVERSITY NOONFIT [NOONFIT-BEFORE] [--seeds N] [--first SEED] [--kind NAME]...
                  [--gusts SHARE,SECONDS]... [--wind M_S] [--untold]

Records come from the adversity benchmark's truth (other physics than the plan's); each is planned with its own mean
irradiance, air and first temperature of the water, and with wind and fitted loss, as somebody would who has tested
before; with --untold the plan supposes those two, and the wind of the records is as drawn. Printed: median of promised
u over u got, and the range. A second program is asked the same. Asserts nothing."""
import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile


def document(program, *words):
    done = subprocess.run([program, *words, "--json", "--units", "si"], capture_output=True, text=True)
    return json.loads(done.stdout) if done.returncode == 0 else None


def promised(program, folder, fit, options):
    at, run = fit["conditions"], fit["runs"][0]
    with open(os.path.join(folder, "readings.csv")) as readings:
        head = readings.readline().strip().split(",")
        first = next(float(row[head.index("store_degC")])
                     for row in (line.strip().split(",") for line in readings) if row[head.index("store_degC")])
    loss = max(fit["parameters"]["a1"]["value"], 1)
    told = [] if options.untold else ["--wind", f"{options.wind:g}", "--loss", f"{loss:.2f}"]
    return document(program, "plan", os.path.join(folder, "rig.ini"), "--for", f"{run['duration_s'] / 60:.1f}m",
                    "--sun", f"{at['irradiance_W_m2']:.0f}", "--air", f"{at['air_degC']:.1f}",
                    "--from", f"{first:.1f}", *told)


def ratios(program, folder, options):
    fit = document(program, "fit", folder)
    plan = fit and promised(program, folder, fit, options)
    if not plan or plan["loss_includes_store"] != fit["loss_includes_store"]:
        return None
    return [plan["u_" + name] / fit["parameters"][name]["u"] for name in ("eta0", "a1")]


def one_level(options, program, kind, gusts):
    with tempfile.TemporaryDirectory() as keep:
        wind = [] if options.untold else ["--wind", str(options.wind)]
        subprocess.run([options.bench, program, "--kind", kind, "--seeds", str(options.seeds), "--first",
                        str(options.first), *wind, "--gusts", gusts, "--keep", keep],
                       check=True, stdout=subprocess.DEVNULL)
        all_of = [ratios(program, os.path.join(keep, name), options) for name in sorted(os.listdir(keep))]
    of = [r for r in all_of if r]
    if not of:
        return "nothing answered"
    said = [f"{statistics.median(r[i] for r in of):.2f} ({min(r[i] for r in of):.2f} to {max(r[i] for r in of):.2f})"
            for i in (0, 1)]
    return f"N {len(of):2d}  u(eta0) {said[0]}  u(a1) {said[1]}"


def main():
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("bench")
    words.add_argument("program", nargs="+")
    words.add_argument("--seeds", type=int, default=6)
    words.add_argument("--first", type=int, default=1)
    words.add_argument("--kind", action="append")
    words.add_argument("--gusts", action="append")
    words.add_argument("--wind", type=float, default=1.5)
    words.add_argument("--untold", action="store_true")
    options = words.parse_args()
    for kind in options.kind or ["g-bare", "g-bare-wind", "g-glazed"]:
        for gusts in options.gusts or ["0.25,6", "0.35,15", "0.45,30"]:
            for program in options.program:
                print(f"{kind:12} gusts {gusts:8} {one_level(options, program, kind, gusts)}  {program}")
                sys.stdout.flush()


if __name__ == "__main__":
    main()
