#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# A disk that is full, that fails to write, that fails to sync: said, tried again, nothing of what
# fits in memory is lost, nothing is torn. In one run, one trouble after the other.
PROGRAMS_NEEDED=noonlog
. "$(dirname "$0")/../e2e/record_common.bash" || exit 2

small_rig "interval_s = 0.02"
feed --lines 100000000 --hz 50
export FAULT_FILE=$work/fault
record() { LD_PRELOAD=$TEST_PROGRAMS/tests/faultdisk.so noonlog record "$@"; }
record rig.ini run --sync 0.1s 2>said &
await 'rows run -ge 20'
for fault in full eio sync; do
    said_before=$(grep -c 'trying again' said)
    echo $fault >fault
    await "[ \$(grep -c 'trying again' said) -gt $said_before ]"
    sleep 1
    expect "status tells of $fault" grep -q 'kept in memory' <(sleep 1; noonlog status run)
    rm fault
    await "[ \$(grep -c 'writing again after' run/notes.csv) -gt $said_before ]"
done
expect "no gap" bash -c '! grep -q ,gap, run/notes.csv'
# Slow is no fault: a sync takes four seconds, and lines are read and stamped all the same when they
# arrive, 50 a second. (Read between syncs they would come in bunches, four seconds apart.)
echo slow >fault
slow_from=$(grep -c seq= run/adapter.log)
await "[ \$(grep -c seq= run/adapter.log) -ge $((slow_from + 350)) ]"
rm fault
noonlog note run "after all that" || fail "note"
noonlog stop run || fail "stop"
wait %2
expect "exit status: nothing lost" [ $? -eq 0 ]
expect "full is named" grep -q 'No space left on device' said
expect "an error of the disk is named" grep -q 'Input/output error' said
expect "nothing was lost, three times" [ "$(grep -c 'writing again after.*nothing was lost' run/notes.csv)" -eq 3 ]
expect "whole files" whole run
expect "time goes up" rising run
# Two seconds: half of what reading between syncs would leave, and more than a busy machine makes.
expect "lines are stamped when they come, also on a slow disk" awk -F'\t' -v from="$slow_from" '
    /seq=/ && ++n > from + 1 && n <= from + 350 && $2 - last > worst { worst = $2 - last }
    /seq=/ { last = $2 }
    END { print "longest silence on the slow disk: " worst " s"; exit !(worst < 2) }' run/adapter.log
lines=$(grep -c seq= run/adapter.log)
expect "no line is missing from the log" [ "$(sed -n 's/.*seq=\([0-9]*\).*/\1/p' run/adapter.log | tail -1)" -eq "$lines" ]
expect "every line but the first is a row" [ "$(rows run)" -eq $((lines - 1)) ]
echo "3 troubles and a slow disk, $lines lines received, $(rows run) rows, 0 lost"

# A disk that stays full to the end: what is there is whole, and the exit status says the rest.
rm -f run/x
record rig.ini run2 --sync 0.1s 2>said &
recorder=$!
await 'noonlog status run2 --json | grep -q "\"on_disk\": [1-9]"'
echo full >fault
await "grep -q 'trying again' said"
noonlog stop run2 2>stopped
expect "stop passes the exit status on" [ $? -eq 2 ]
wait $recorder
expect "exit status" [ $? -eq 2 ]
expect "says so" grep -q 'of [0-9]* rows only [0-9]* are on the disk for sure' said
expect "so does stop" grep -q 'of [0-9]* rows only [0-9]* are on the disk for sure' stopped
sure=$(sed -n 's/.*rows only \([0-9]*\) are.*/\1/p' stopped)
expect "and it is true: $sure" [ "$sure" -le "$(rows run2)" -a "$sure" -ge 1 ]
expect "status tells the trouble afterwards" grep -q "trouble: .*only $sure are on the disk" <(noonlog status run2)
rm fault
before=$(rows run2)
noonlog record --resume run2 --quiet &
await "rows run2 -ge $((before + 20))"
noonlog stop run2 || fail "stop"
expect "whole files" whole run2
expect "time goes up" rising run2
finish
