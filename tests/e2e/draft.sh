#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# `draft`: from an adapter that nobody has described to a rig file that listens and records.
. "$(dirname "$0")/record_common.bash" || exit 2

feed --lines 2000 --hz 20 --checksum
expect "a rig file is written" noonlog draft "$work/port" drafted.ini --for 2s 2>wrapped
tr '\n' ' ' <wrapped >said
expect "says what to do next" grep -q 'noonlog listen drafted.ini' said
expect "known by name" grep -q 'known by their names' said
expect "no port name of another place" grep -qx "port = $work/port" drafted.ini
expect "checksum found" grep -qx 'checksum = xor8' drafted.ini
expect "asks what no test can see" grep -q "^;   What is behind the absorber?" drafted.ini
expect "it listens" noonlog listen drafted.ini --for 2s >text
expect "store converted" grep -Eq '^  store +2[0-9.]+ +2[0-9.]+ °C' text
expect "it records" noonlog record drafted.ini run --for 2s --quiet
expect "rows" [ "$(rows run)" -gt 20 ]
expect "columns" grep -q 'store_degC.*inlet_degC.*sun_W_m2' run/readings.csv

# Never over a file that is there; before anything is listened to.
cp drafted.ini before.ini
noonlog draft "$work/port" drafted.ini --for 1s 2>said
expect "refused" [ $? -eq 2 ]
expect "says why" grep -q 'drafted.ini: exists' said
expect "untouched" cmp -s drafted.ini before.ini

# No room for it: said, and no half of a file is left.
(trap '' XFSZ; ulimit -f 0; exec noonlog draft "$work/port" full.ini --for 1s 2>&1) | cat >said
expect "no room: said" grep -q 'full.ini.*cannot be written: File too large' <(tr '\n' ' ' <said)
expect "no room: no file" [ ! -e full.ini ]

# To the terminal, in the other units.
noonlog draft "$work/port" --for 1s --units us 2>/dev/null >us.ini
expect "US keys" grep -q '^;water_gal' us.ini
kill $feeder
wait $feeder 2>/dev/null; rm -f port

# Bytes that are no text, and silence: exit status 1, and nothing is left behind.
head -c 4000 /dev/urandom | tr -d '\n\r' | sed 's/.\{40\}/&\n/g' >noise
feed --linger 20 < <(for i in $(seq 100); do cat noise; sleep 0.1; done 2>/dev/null)
noonlog draft "$work/port" none.ini --baud 9600 --for 1s 2>said
expect "noise: exit status 1" [ $? -eq 1 ]
expect "noise: said" grep -q 'no lines of text' said
kill $feeder
wait $feeder 2>/dev/null; rm -f port
feed --linger 20 </dev/null
noonlog draft "$work/port" none.ini --baud 9600 --for 1s 2>said
expect "silence: exit status 1" [ $? -eq 1 ]
expect "silence: said" grep -q 'nothing came' said
expect "no file" [ ! -e none.ini ]

# What cannot be: bad usage.
noonlog draft 2>said
expect "no port: exit status 2" [ $? -eq 2 ]
noonlog draft /nowhere/tty x.ini 2>said
expect "no such port: exit status 2" [ $? -eq 2 ]
expect "names it" grep -q '/nowhere/tty' said
finish
