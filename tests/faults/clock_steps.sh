#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The wall clock is set forward by an hour and back by two, and the computer sleeps: noted, and
# elapsed_s goes on as if nothing had been.
. "$(dirname "$0")/../e2e/record_common.bash" || exit 2

small_rig
feed --lines 100000 --hz 10
export CLOCK_STEP=$work/step
LD_PRELOAD=$TEST_PROGRAMS/tests/faultclock.so noonlog record rig.ini run --quiet &
await 'rows run -ge 10'
echo "3600 0" >step.new && mv step.new step
await "grep -q 'wall clock was set forward by 3600' run/notes.csv"
await "rows run -ge $(($(rows run) + 10))"
echo "-3600 0" >step.new && mv step.new step
await "grep -q 'wall clock was set back by 7200' run/notes.csv"
await "rows run -ge $(($(rows run) + 10))"
expect "elapsed_s has no jump of more than 2 s" awk -F, \
    'NR > 2 && $2 - last > 2 { exit 1 } { last = $2 }' run/readings.csv
expect "time_utc did follow" awk -F, 'NR > 1 { h[substr($1, 12, 2)] = 1 } END { for (i in h) n++; exit !(n >= 3) }' run/readings.csv
echo "-3600 600" >step.new && mv step.new step
await "grep -q 'computer was suspended for 600' run/notes.csv"
await "rows run -ge $(($(rows run) + 10))"
noonlog stop run || fail "stop"
expect "the sleep is in elapsed_s" awk -F, \
    'NR > 2 && $2 - last > 600 && $2 - last < 602 { found = 1 } { last = $2 } END { exit !found }' run/readings.csv
expect "and is a gap" grep -q ',gap,.*no readings for 600' run/notes.csv
expect "time goes up" rising run
expect "whole files" whole run
finish
