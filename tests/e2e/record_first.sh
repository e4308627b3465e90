#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The main road of `record`: lines in at one end, a run folder out at the other.
. "$(dirname "$0")/record_common.bash" || exit 2

small_rig
feed --lines 40 --hz 20
noonlog record rig.ini run --for 10s --quiet &
recorder=$!
await 'rows run -ge 39'
expect "the right process holds the run" [ "$(noonlog status --json run | field pid)" = "$recorder" ]
noonlog stop run || fail "stop failed"
wait $recorder || fail "record did not end cleanly"

# ptyfeed: line n carries store = 20 + n/100; the first line may be a half and gives no row.
expect "39 rows of 40 lines" [ "$(rows run)" -eq 39 ]
expect "all lines are logged" [ "$(grep -c 'seq=' run/adapter.log)" -eq 40 ]
expect "head" [ "$(head -1 run/readings.csv)" = "time_utc,elapsed_s,store_degC,inlet_degC,sun_W_m2" ]
expect "first row" [ "$(sed -n 2p run/readings.csv | cut -d, -f3-5)" = "20.0200,19.0200,702.00" ]
expect "last row" [ "$(tail -1 run/readings.csv | cut -d, -f3-5)" = "20.4000,19.4000,740.00" ]
expect "time goes up" rising run
expect "the rig is frozen unchanged" cmp -s rig.ini run/rig.ini
expect "start is noted" grep -q ',start,' run/notes.csv
expect "stop is noted" grep -q ',stop,.*39 rows from 40 lines' run/notes.csv

# A run is never overwritten.
before=$(cat run/* | cksum)
noonlog record rig.ini run --for 1s --quiet 2>said && fail "overwrote a run"
expect "says why" grep -q 'already and not empty' said
expect "the run is untouched" [ "$(cat run/* | cksum)" = "$before" ]

# A port that is not there leaves no folder behind.
sed 's#^port = .*#port = /dev/not-there#' rig.ini >other.ini
noonlog record other.ini run2 --quiet 2>said
expect "exit status of a bad port" [ $? -eq 2 ]
expect "names the port" grep -q '/dev/not-there' said
expect "no folder is left" [ ! -e run2 ]
finish
