#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# A recording in the background: its errors come back, others can ask it, note into it, end it.
. "$(dirname "$0")/record_common.bash" || exit 2

# A process that holds the lock and is no recorder: asked, never signalled, and left alone. Waits beside the rest.
mkdir -p strange/.noonlog && echo pid=1 >strange/.noonlog/state
python3 -c 'import fcntl, time
f = open("strange/.noonlog/state", "r+"); fcntl.lockf(f, fcntl.LOCK_EX); open("held", "w"); time.sleep(600)' &
stranger=$!
await '[ -e held ]'
noonlog stop strange 2>strange-said &
strange_stop=$!

small_rig
feed --lines 400 --hz 20
noonlog record rig.ini run --background >said || fail "background"
expect "names the process" grep -q "in the background (process $(noonlog status --json run | field pid))" said
await 'rows run -ge 5'
expect "status says recording" grep -q 'recording, process' <(noonlog status run)
expect "status as JSON" [ "$(noonlog status --json run | field recording)" = true ]

# One writer.
noonlog record --resume run 2>said && fail "a second recorder was let in"
expect "says who records" grep -q 'is recording into this run' said

# Words of a person, and the pump's state.
noonlog note run "glass on" || fail "note"
noonlog note run --pump off "cloud" || fail "pump note"
noonlog note run '=HYPERLINK("x")' || fail "note"
noonlog note run $'tab\tand \e[2Jescape' || fail "note"
expect "note" grep -q ',note,"\?glass on' run/notes.csv
expect "pump note" grep -q ',pump,"\?off: cloud' run/notes.csv
expect "no formula" grep -q "'=HYPERLINK" run/notes.csv
expect "no control characters" bash -c '! grep -qP "[\x00-\x08\x0b-\x1f\x7f]" run/notes.csv'
elapsed=$(awk -F, '/glass on/ { print $2 }' run/notes.csv)
expect "the note stands in the run's time" awk -v t="$elapsed" 'BEGIN { exit !(t > 0 && t < 60) }'

noonlog stop run || fail "stop"
expect "stopped" [ "$(noonlog status --json run | field recording)" = false ]
expect "stop is noted" grep -q ',stop,' run/notes.csv
expect "what was said is kept" grep -q 'recording starts' run/.noonlog/messages
noonlog stop run 2>/dev/null
expect "nothing to stop: 1" [ $? -eq 1 ]
noonlog note run "later" 2>said
expect "a note afterwards wants a time" [ $? -eq 1 ]
noonlog note run --at 2s "later" || fail "note --at"
expect "at that time" grep -q ',2.000,note,"\?later' run/notes.csv
expect "whole files" whole run

# Killed before everything was on the disk: what is there for sure is said; where all is, it is not.
cp -r run killed
state=killed/.noonlog/state
sed -i 's/^rows=.*/rows=90/; s/^on_disk=.*/on_disk=60/; s/^ended=.*/ended=0/; s/^trouble=.*/trouble=/;
    s/^elapsed_s=.*/elapsed_s=90061.9/; s/^lines=.*/lines=95/; s/^rejected=.*/rejected=5/; s/^lost=.*/lost=0/' $state
noonlog status killed >said
expect "how long, in hours" grep -qx 'killed: not recording; 90 rows in 25:01:01, 95 lines, 5 of them without a reading' said
expect "nothing was lost that is known of" bash -c '! grep -q "^lost" said'
expect "rows that are sure" grep -qx '60 rows are on the disk for sure' said
expect "no closing word" grep -q 'ended without a closing word' said
sed -i 's/^on_disk=.*/on_disk=90/; s/^lost=.*/lost=1/; s/^trouble=.*/trouble=No space left on device/' $state
noonlog status killed >said
expect "what was lost" grep -qx 'lost: 1 rows, lines or notes' said
expect "and why" grep -qx 'trouble: No space left on device' said
expect "all are" bash -c '! grep -q "for sure" said'
sed -i 's/^on_disk=.*/on_disk=60/; /^ended=/d' $state
noonlog status killed >said
expect "a recorder that tells no such thing" bash -c '! grep -qE "for sure|closing word" said'

# A recorder that the kernel shows as another program, as under an emulator: it is asked, and goes.
cp "$(command -v noonlog)" other-program
./other-program record rig.ini run3 --quiet &
await '[ -e run3/readings.csv ] && noonlog status run3 >/dev/null'
noonlog stop run3 >said || fail "stop of another program's"
expect "its closing word" grep -qE '^run3: [0-9]+ rows on the disk' said
expect "it was told to" grep -q ',stop,.*told to stop' run3/notes.csv
expect "nothing is left to ask" [ ! -e run3/.noonlog/stop ]

# The child's error comes back through the pipe.
sed 's#^port = .*#port = /dev/not-there#' rig.ini >other.ini
noonlog record other.ini run2 --background 2>said
expect "error status comes back" [ $? -eq 2 ]
expect "error text comes back" grep -q '/dev/not-there' said
expect "no folder is left" [ ! -e run2 ]

wait $strange_stop
expect "a stranger is not stopped: 2" [ $? -eq 2 ]
expect "names him" grep -q "process $stranger holds the lock of this run and is no recorder" strange-said
expect "he lives" kill -0 $stranger
expect "no request is left" [ ! -e strange/.noonlog/stop ]
kill $stranger
finish
