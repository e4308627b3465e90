#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# A recorder that was killed in the middle of a row is taken up again: the torn end goes, time goes
# on where it would be by now, and rebuild gives the same rows from the log.
. "$(dirname "$0")/record_common.bash" || exit 2

small_rig
feed --lines 100000 --hz 20
noonlog record rig.ini run --quiet &
recorder=$!
await 'rows run -ge 20'
kill -9 $recorder
wait $recorder 2>/dev/null
before=$(rows run)
last=$(tail -1 run/readings.csv | cut -d, -f2)
cp run/readings.csv kept.csv
printf '2026-05-28T20:26:51.000Z,11.0' >>run/readings.csv
printf '2026-05-28T20:26:51.000Z\t11.0' >>run/adapter.log
printf '2026-05-28T20' >>run/notes.csv
sleep 3
noonlog record --resume run --quiet &
await "rows run -ge $((before + 20))"
noonlog stop run || fail "stop"
expect "whole files" whole run
expect "time goes up" rising run
expect "every row of before is still there" \
    cmp -s <(head -n "$(wc -l <kept.csv)" run/readings.csv) kept.csv
first=$(sed -n "$((before + 2))p" run/readings.csv | cut -d, -f2)
expect "the pause is in elapsed_s: $last to $first" awk -v a="$last" -v b="$first" \
    'BEGIN { exit !(b - a > 2.9) }'
expect "the pause is a gap in notes.csv" grep -q ',gap,.*no readings for' run/notes.csv
expect "the torn ends are noted" grep -q ',start,.*taken up again after .*torn last lines moved to' run/notes.csv
expect "and kept" grep -q '2026-05-28T20:26:51.000Z,11.0$' run/.noonlog/cut-readings.csv
expect "the log marks it" grep -qx '# resume' run/adapter.log
cp run/readings.csv kept.csv
noonlog rebuild run >/dev/null || fail "rebuild"
expect "rebuild gives the same file" cmp run/readings.csv kept.csv

# A finished run can be taken up again too; a folder that is no run cannot.
noonlog record --resume run --quiet --for 1000s &
await "rows run -ge $(($(rows run) + 5))"
noonlog stop run || fail "stop"
expect "whole files" whole run
mkdir empty
noonlog record --resume empty 2>said
expect "no run, no resume" [ $? -eq 2 ]
expect "says what is missing" grep -q 'empty/rig.ini' said
finish
