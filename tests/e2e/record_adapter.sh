#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The whole chain but for copper: the compiled firmware on the simulated board, its serial line a
# pseudo-terminal, recorded by noonlog. What was simulated stands in readings.csv within resolution;
# a pulled probe, a brown-out and a counter that wraps are seen for what they are.
. "$(dirname "$0")/record_common.bash" || exit 2

cat >scenario <<'SCENARIO'
0 noise 0.7
0 probe 1 21.5
0 probe 2 40.0625
0 volt ntc1 2.5
0 volt cell 0.92
0 pulses 1 7.5
0.003 preset clock_ms 4294957000
8 probe 1 21.5625
20 pull 2
30 plug 2
40 brown-out
SCENARIO
virtual-board "$TEST_PROGRAMS/adapter.elf" --scenario scenario --link "$work/port" --for 80 \
    --speed 10 2>report &
feeders=$!
await '[ -e port ]'

# The identities are the board's; a swapped plug would change nothing.
cat >rig.ini <<RIG
[adapter]
port = $work/port
baud = 38400
line = pairs
checksum = xor8
clock = adapter
[channel store]
unit = degC
field = 2870BB06519CE784
convert = onewire_degC
[channel outlet]
unit = degC
field = 28DF74099E33C8B3
convert = onewire_degC
[channel air]
unit = degC
field = ntc1
convert = ntc_beta
full_scale = 65536
series_ohm = 10000
r25 = 10000
beta = 3950
[channel sun]
unit = W_m2
field = cell
convert = sun_shunt
shunt_ohm = 0.05
isc_A = 0.92
volt_per_raw = 0.00005
isc_tempco_1_K = 0
[channel flow]
unit = L_min
field = hz1
convert = flow_hz
pulses_per_L = 450
RIG
expect "recorded" noonlog record rig.ini run --for 70s --quiet
python3 - run <<'PY' || fail "the readings are not what was simulated"
import csv, sys
rows = list(csv.DictReader(open(sys.argv[1] + "/readings.csv")))
failed = []
def expect(what, holds):
    if not holds:
        failed.append(what)
def near(row, key, wanted, tolerance):
    expect("%s at %s s: %s for %g" % (key, row["elapsed_s"], row[key], wanted),
           row[key] != "" and abs(float(row[key]) - wanted) <= tolerance)
expect("rows: %d" % len(rows), len(rows) >= 60)
steps = [round(float(b["elapsed_s"]) - float(a["elapsed_s"]), 3) for a, b in zip(rows, rows[1:])]
expect("the wrap and the reset leave no other step: %s" % sorted(set(steps)),
       sum(s == 1 for s in steps) >= len(steps) - 2)
for row in rows[2:]:
    expect("store", row["store_degC"] in ("", "21.5", "21.5000", "21.5625"))
    near(row, "air_degC", 25, 0.05)          # half the supply: the thermistor at r25
    near(row, "sun_W_m2", 1000, 1)           # 0.92 A by 0.05 ohm by 20
stores = [r["store_degC"] for r in rows]
expect("the store's step of 1/16 K is seen", any(s.startswith("21.5625") for s in stores))
outlets = [r["outlet_degC"] for r in rows]
expect("pulled: empty, then back", 5 <= outlets.count("") <= 15 and outlets[-1] != "")
flows = [float(r["flow_L_min"]) for r in rows[3:] if r["flow_L_min"]]
expect("flow: %s" % sorted(set(flows)), sum(abs(f - 1) < 0.0005 for f in flows) >= len(flows) - 4)
for what in failed:
    print("FAILED:", what)
sys.exit(bool(failed))
PY
expect "said once why it was reset" [ "$(grep -c 'reset=brown-out' run/adapter.log)" -eq 1 ]
expect "the reset is noticed" grep -qi 'clock' run/notes.csv
finish
