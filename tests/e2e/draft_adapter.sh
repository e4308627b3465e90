#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# `draft` with the reference adapter, simulated: it is asked who it is, its probes stand in the file by
# their identities, and the file listens and records.
. "$(dirname "$0")/record_common.bash" || exit 2

cat >scenario <<'SCENARIO'
0 noise 0.7
0 probe 1 21.5
0 probe 2 22.125
0 probe 3 19
0 volt pump 0.75
0 pulses 1 7.5
SCENARIO
virtual-board "$TEST_PROGRAMS/adapter.elf" --scenario scenario --link "$work/port" --for 100000 \
    --speed 5 2>report &
feeders=$!
await '[ -e port ]'
expect "drafted" noonlog draft "$work/port" drafted.ini --for 3s 2>wrapped
tr '\n' ' ' <wrapped >said
expect "knows the adapter" grep -q 'A reference adapter, version 1' said
expect "three sensors" [ "$(grep -c '^sensor = 28[0-9A-F]\{14\}$' drafted.ini)" -eq 3 ]
for line in 'checksum = xor8' 'field = 2870BB06519CE784' 'sensor = 2870BB06519CE784' \
    'interval_s = 1'; do
    grep -qx "$line" drafted.ini || fail "no line $line: $(cat drafted.ini)"
done
expect "its clock" grep -q '^clock = adapter' drafted.ini
expect "recorded" noonlog record drafted.ini run --for 15s --quiet
expect "rows" [ "$(rows run)" -gt 10 ]
expect "in volts" grep -q 'pump_V' run/readings.csv
finish
