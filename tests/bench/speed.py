# SPDX-License-Identifier: GPL-3.0-or-later
"""What noonfit costs, side by side in one run: medians of processor time (user and system), of the wall's and of
peak memory, and their ratios to a bare pass of libcsv and to pandas.read_csv over the same file (where it is
installed); then how cost grows with rows and with runs, as a table and a picture.

usage: speed.py BUILD [--growth] [--most-rows N] [--most-runs N] [--repeat N] [--plot FILE]

Ratios are what counts: the computer is shared, and they are taken in turn. Takes minutes; asserts nothing."""
import argparse
import datetime
import math
import os
import statistics
import subprocess
import sys
import tempfile
import time

here = os.path.dirname(os.path.abspath(__file__))
samples = os.path.join(here, "..", "..", "sample-runs")
sample = os.path.join(samples, "wash-stand-glazed")


def once(command):
    began = time.monotonic()
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    said = child.stderr.read()
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        return None, said.decode(errors="replace").strip()
    return (used.ru_utime + used.ru_stime, time.monotonic() - began, used.ru_maxrss / 1024), ""


def measure(commands, repeat):
    """Each in turn, `repeat` times: {name: (cpu s, wall s, MiB)} of medians; None: it failed."""
    seen = {name: [] for name in commands}
    for _ in range(repeat):
        for name, command in commands.items():
            got, said = once(command)
            if not got:
                print("  %s: %s" % (name, said), file=sys.stderr)
            seen[name].append(got)
    return {name: None if None in all_ else tuple(statistics.median(v) for v in zip(*all_))
            for name, all_ in seen.items()}


def row(name, got, of=None):
    if not got:
        print("%-34s -" % name)
        return
    print("%-34s %8.2f %8.2f %8.0f%s" % ((name,) + got + ("   %5.2f" % (got[0] / of[0]) if of else "",)))


def stretched(build, folder, rows, seconds):
    os.makedirs(folder)
    for name in ("rig.ini", "notes.csv"):
        with open(os.path.join(sample, name)) as source, open(os.path.join(folder, name), "w") as to:
            to.write(source.read() if name == "rig.ini" else source.readline())
    with open(os.path.join(sample, "readings.csv")) as source, open(os.path.join(folder, "readings.csv"), "w") as to:
        subprocess.run([build + "/tests/bench-stretch", str(rows), str(seconds)], stdin=source, stdout=to, check=True)
    return folder


def lively(build, folder):
    """A heat-up of 75 minutes every 5.2 ms: as many rows, and nothing in it that ends the question before a search."""
    return stretched(build, folder, 864000, 4493)


def year(folder):
    """A year by the hour, made up: 8,760 rows for `season`."""
    path = os.path.join(folder, "year.csv")
    with open(path, "w", encoding="utf-8") as to:
        to.write("time_utc,GHI_W_m2,DHI_W_m2,air_degC,wind_m_s\n")
        for hour in range(8760):
            at = datetime.datetime(2025, 1, 1) + datetime.timedelta(hours=hour)
            summer = math.sin(math.pi * hour / 8760) ** 2
            up = max(0.0, math.sin(math.pi * (at.hour - 6) / 12)) * (0.4 + 0.6 * summer)
            cloud = 0.3 + 0.7 * ((at.timetuple().tm_yday * 7 + at.hour // 4) % 5) / 4
            sun = 950 * up * cloud
            to.write("%s,%.1f,%.1f,%.1f,%.1f\n" % (at.strftime("%Y-%m-%dT%H:%M:%SZ"), sun,
                                                  min(sun, 120 * up + 0.2 * sun), 2 + 18 * summer + 6 * up,
                                                  1 + at.day % 4))
    return path


def days(build, folder, count):
    """A heat-up a day of one heater with the same sensors, by the virtual rig: sun and clouds, cold and warm."""
    out = []
    for i in range(count):
        run = os.path.join(folder, "day-%03d" % i)
        if not os.path.isdir(run):
            day = datetime.date(2026, 4, 2) + datetime.timedelta(days=i)
            subprocess.run([build + "/virtual-rig", "write", run, "--build", "glazed", "--iam", "0.1", "--interval", "2",
                            "--channels", "loop,wind", "--day", "clear" if i % 3 else "cloudy", "--day-seed", str(i + 1),
                            "--start", "%sT10:15:00Z" % day, "--duration", "75m", "--air", str(14 + i % 10),
                            "--store-above", str(i % 12 - 4)], stdout=subprocess.DEVNULL, check=True)
        out.append(run)
    return out


def side_by_side(folder):
    day = stretched(a.build, folder + "/day", 864000, 86400)
    table = day + "/readings.csv"
    got = measure({"bare libcsv": [a.build + "/tests/bench-csvpass", table],
                   "pandas.read_csv": ["/usr/bin/python3", "-c", pandas, table],
                   "pandas without a file": ["/usr/bin/python3", "-c", "import pandas"],
                   "inspect": [noonfit, "inspect", day],
                   "inspect, a search needed": [noonfit, "inspect", lively(a.build, folder + "/lively")]}, a.repeat)
    print("%-34s %8s %8s %8s   ratio" % ("864,000 rows", "cpu s", "wall s", "MiB"))
    for name in got:
        row(name, got[name], got["bare libcsv"])
    if got["pandas.read_csv"] and got["inspect"]:
        bare = got["pandas.read_csv"][0] - got["pandas without a file"][0]
        print("inspect against pandas.read_csv %.2f; without what importing pandas costs %.2f" %
              (got["inspect"][0] / got["pandas.read_csv"][0], got["inspect"][0] / bare))
    got = measure({"fit": [noonfit, "fit", sample],
                   "fit --monte-carlo 200": [noonfit, "fit", sample, "--monte-carlo", "200"],
                   "budget": [noonfit, "budget", sample], "fit --standard": [noonfit, "fit", sample, "--standard"],
                   "plan": [noonfit, "plan", sample + "/rig.ini"],
                   "season, 8,760 h, 200 draws": [noonfit, "season", sample, "--weather", year(folder), "--latitude",
                                                  "50.1", "--longitude", "8.7", "--tilt", "45", "--azimuth", "180",
                                                  "--to", "40C", "--draws", "200"],
                   "compare": [noonfit, "compare", sample, samples + "/wash-stand-bare"]}, a.repeat)
    print("\n%-34s %8s %8s %8s   ratio to fit" % ("", "cpu s", "wall s", "MiB"))
    for name in got:
        row(name, got[name], got["fit"])


def growth(folder):
    curves = {}
    print("%-34s %8s %8s %8s" % ("inspect, by rows in a day", "cpu s", "wall s", "MiB"))
    rows = 10000
    while rows <= a.most_rows:
        run = stretched(a.build, "%s/rows-%d" % (folder, rows), rows, 86400)
        got = measure({"%d" % rows: [noonfit, "inspect", run]}, 1 if rows > 1000000 else min(a.repeat, 3))
        for name in got:
            row(name, got[name])
            if got[name]:
                curves.setdefault("rows", []).append((rows,) + got[name])
        subprocess.run(["rm", "-rf", run])
        rows *= 10
    print("\n%-34s %8s %8s %8s" % ("fit, by daily runs of 75 min", "cpu s", "wall s", "MiB"))
    runs = 1
    while runs <= a.most_runs:
        got = measure({"%d" % runs: [noonfit, "fit"] + days(a.build, folder, runs) + ["--anyway"]}, 1)
        for name in got:
            row(name, got[name])
            if got[name]:
                curves.setdefault("runs", []).append((runs,) + got[name])
        runs = runs * 2 if runs * 2 <= a.most_runs or runs == a.most_runs else a.most_runs
    return curves


def draw(folder, curves, to_file):
    with open(folder + "/plot", "w") as to:
        to.write("set term pngcairo size 1200,560 font ',12'\nset output '%s'\nset multiplot layout 1,2\n"
                 "set logscale xy\nset grid lc '#dddddd'\nset border 3\nset tics nomirror\n"
                 "set key left top\nset rmargin 4\n" % os.path.abspath(to_file))
        for name, words in (("rows", "rows in one record (inspect)"), ("runs", "runs fitted together (fit)")):
            points = curves.get(name, [])
            if not points:
                continue
            to.write("set xlabel '%s'\nset ylabel '%s'\n" % (words, "" if name == "runs" else "s and MiB"))
            to.write("set xrange [%g:%g]\n" % (points[0][0] / 1.5, points[-1][0] * 1.5))
            to.write("set xtics (%s)\n" % ", ".join("'%s' %d" % (short(p[0]), p[0]) for p in points))
            to.write("set format y '%g'\nplot '-' u 1:2 w lp pt 7 lw 2 lc '#0072b2' t 'processor time, s', "
                     "'-' u 1:2 w lp pt 5 lw 2 dt 2 lc '#d55e00' t 'memory, MiB'\n")
            for column in (1, 3):
                for point in points:
                    to.write("%g %g\n" % (point[0], point[column]))
                to.write("e\n")
    subprocess.run(["gnuplot", folder + "/plot"], check=True)


def short(count):
    return "%d million" % (count // 1000000) if count >= 1000000 else "{:,}".format(count)


ask = argparse.ArgumentParser()
ask.add_argument("build")
ask.add_argument("--most-rows", type=int, default=10000000)
ask.add_argument("--most-runs", type=int, default=120)
ask.add_argument("--repeat", type=int, default=5)
ask.add_argument("--growth", action="store_true", help="how cost grows, and nothing else")
ask.add_argument("--plot", help="where the picture of the growth goes (default: BUILD/speed.png)")
a = ask.parse_args()
noonfit = a.build + "/noonfit"
pandas = "import pandas, sys; pandas.read_csv(sys.argv[1])"
with tempfile.TemporaryDirectory() as place:
    if not a.growth:
        side_by_side(place)
    picture = a.plot or a.build + "/speed.png"
    draw(place, growth(place), picture)
    print("\nthe growth as a picture: %s" % picture)
