#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The run folder is moved away and comes back; another run that took its name meanwhile is not
# touched.
. "$(dirname "$0")/../e2e/record_common.bash" || exit 2

small_rig "interval_s = 0.02"
feed --lines 100000000 --hz 50
noonlog record rig.ini run --sync 0.1s 2>said &
recorder=$!
await 'rows run -ge 20'
mv run away
await "grep -q 'the run folder has vanished' said"
sleep 1
mv away run
await "grep -q 'writing again after' run/notes.csv"

# Away again, and a stranger under its name.
mv run away
mkdir -p run/.noonlog
yes 'somebody else, a line as long as any' | head -n 100000 | tee run/readings.csv >run/adapter.log
before=$(cat run/readings.csv run/adapter.log | cksum)
await "[ \$(grep -c 'the run folder has vanished' said) -ge 2 ]"
sleep 1
expect "the stranger is untouched" [ "$(cat run/readings.csv run/adapter.log | cksum)" = "$before" ]
mv run stranger
mv away run
await "[ \$(grep -c 'writing again after' run/notes.csv) -ge 2 ]"
noonlog stop run || fail "stop"
wait $recorder
expect "exit status: nothing lost" [ $? -eq 0 ]
expect "whole files" whole run
expect "time goes up" rising run
lines=$(grep -c seq= run/adapter.log)
expect "no line is missing" [ "$(sed -n 's/.*seq=\([0-9]*\).*/\1/p' run/adapter.log | tail -1)" -eq "$lines" ]
expect "every line but the first is a row" [ "$(rows run)" -eq $((lines - 1)) ]
echo "vanished twice, $lines lines received, 0 lost"
finish
