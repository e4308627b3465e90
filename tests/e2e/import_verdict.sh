#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# From a table with foreign heads to a verdict, as README says: no rig file beforehand. The drafted one
# asks what no test can see and offers the sun as a stated number, of which nobody asks a plane.
. "$(dirname "$0")/common.bash" || exit 2
export TZ=Europe/Berlin LC_ALL=C.UTF-8
# The sample's readings (0.70; see its notes) as a thermometer with two channels exports them.
python3 - "$TEST_SOURCE/sample-runs/two-thermometers/readings.csv" <<'EOF'
import csv, datetime, sys
with open(sys.argv[1], newline="") as f, open("messung.csv", "w", encoding="latin-1", newline="") as out:
    out.write("Thermometer Export\r\nGerät;Garten\r\n\r\nDatum;Uhrzeit;Kanal 1 (°C);Kanal 2 (°C);Alarm\r\n")
    for r in csv.DictReader(f):
        t = datetime.datetime.fromisoformat(r["time_utc"].rstrip("Z")) + datetime.timedelta(hours=2)
        cells = "%.1f;%.1f;aus\r\n" % (float(r["store_degC"]), float(r["air_degC"]))
        out.write(t.strftime("%d.%m.%Y;%H:%M:%S;") + cells.replace(".", ","))
EOF
noonlog import messung.csv evening >said 2>&1 || fail "import: $(cat said)"
grep -q "16 rows in 75 min, 2026-05-16T11:05:00.000Z" said || fail "said: $(cat said)"
rig=evening/rig.ini
for words in "Has the container a lid?" "What is behind the absorber?" "turned after the sun?" \
    "out of the sun?" "lie flat?" "left at the end?"; do
    grep -qF "$words" $rig || fail "does not ask: $words"
done
edit() { sed -i "$1" $rig; }
edit '/channel kanal-1/,/role/ s/;role = .*/role = store/; /channel kanal-2/,/role/ s/;role = .*/role = air/'
edit 's/^;gross_area_m2 = .*/gross_area_m2 = 0.6968/; s/^;water_L = .*/water_L = 22.7/'
edit 's/^;glazing = .*/glazing = single/'
noonfit inspect evening >said || fail "inspect"
tr '\n' ' ' <said | sed 's/  */ /g' | grep -qF 'State it in [channel sun] of the rig file (convert = stated' ||
    fail "inspect does not say what helps: $(cat said)"
noonfit fit evening >said 2>&1 && fail "fitted without a sun"
grep -qF 'state it in [channel sun] (convert = stated' said || fail "fit does not say what helps: $(cat said)"
edit '/;\[channel sun\]/,/u_value/ s/^;//'
noonlog rebuild evening >said 2>&1 || fail "rebuild: $(cat said)"
noonfit fit evening --json >fit.json || fail "fit"
python3 - <<'EOF' || fail "the verdict"
import json, sys
fit = json.load(open("fit.json"))
e, labels, run = fit["parameters"]["eta0"], [b["label"] for b in fit["budget"]], fit["runs"][0]
wrong = [w for w in (
    not e["lo95"] < 0.70 < e["hi95"] and "eta0 %s" % e,
    any("plane" in l for l in labels) and "asks a number's plane: %s" % labels,
    "sun, stated as a constant: its course" not in labels and "labels: %s" % labels,
    run["used_s"] > run["duration_s"] and "more used than there is: %s of %s" % (run["used_s"], run["duration_s"]),
) if w]
print("\n".join(wrong), end="")
sys.exit(1 if wrong else 0)
EOF
finish
