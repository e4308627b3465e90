#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The adapter's own clock: a rig that runs 50 times faster than the wall clock, a counter that
# wraps in the middle, a reset; and --for counts the series' time.
. "$(dirname "$0")/record_common.bash" || exit 2

small_rig "clock = adapter" "interval_s = 1" "checksum = xor8"
feed --lines 300 --hz 50 --ms0 4294867296 --checksum # wraps after 100 lines
noonlog record rig.ini run --for 200s --quiet || fail "record"
# Line n is n seconds after the first, which is placed at its arrival (well under a second after
# the start); with the checksum the first line counts. 200 or 201 rows fit into 200 s.
n=$(rows run)
expect "rows within 200 s of the series: $n" [ "$n" -ge 201 -a "$n" -le 202 ]
# The line that ends the run is in the log like any other, so its row is in the readings.
expect "the first row beyond is the last one" awk -F, \
    'NR > 2 && last > 200 { exit 1 } NR > 1 { last = $2 } END { exit !(last > 200) }' run/readings.csv
cp run/readings.csv kept.csv
noonlog rebuild run >/dev/null || fail "rebuild"
expect "rebuild gives the same file" cmp run/readings.csv kept.csv
expect "one second a row, through the wrap" awk -F, \
    'NR > 2 && ($2 - last < 0.9995 || $2 - last > 1.0005) { exit 1 } { last = $2 }' run/readings.csv
expect "labels follow the series" awk -F, 'function s(t) { return substr(t, 15, 2) * 60 + substr(t, 18, 6) }
    NR > 2 { d = s($1) - last; if (d < 0) d += 3600; if (d < 0.99 || d > 1.01) exit 1 } { last = s($1) }' run/readings.csv
expect "the wrap is noted" grep -q ',clock,.*wrapped' run/notes.csv
expect "the rate is noted" grep -q ',clock,.*its clock runs at [45][0-9].* times' run/notes.csv
expect "whole files" whole run
kill "$feeder" 2>/dev/null

# A reset: the counter starts again, time goes on.
{
    for i in 1 2 3 4 5; do echo "ms=$((500000 + i * 100)),store=2$i"; sleep 0.1; done
    echo "# restarted"
    for i in 1 2 3 4 5; do echo "ms=$((i * 100)),store=3$i"; sleep 0.1; done
} >lines
small_rig "clock = adapter"
feed --linger 2 < <(while read -r line; do echo "$line"; sleep 0.1; done <lines)
noonlog record rig.ini run2 --quiet &
await 'rows run2 -ge 9'
noonlog stop run2
expect "the reset is noted" grep -q ',clock,.*reset: its counter went from 500500 to 100' run2/notes.csv
expect "time goes up over the reset" rising run2
expect "all rows but the first (a half)" [ "$(rows run2)" -eq 9 ]
finish
