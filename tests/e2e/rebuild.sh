#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# `rebuild`: the same rows again from adapter.log, and other ones after a correction.
. "$(dirname "$0")/record_common.bash" || exit 2

small_rig
feed --lines 60 --hz 20
noonlog record rig.ini run --for 20s --quiet &
recorder=$!
await 'rows run -ge 30'
noonlog rebuild run 2>said && fail "rebuilt a run that is being recorded"
expect "says that it is being recorded" grep -q 'is recording into this run' said
await 'rows run -ge 59'
noonlog stop run
wait $recorder || fail "record did not end cleanly"
cp -r run as_recorded

# Unchanged rig: byte for byte what was recorded, and nothing is touched.
expect "rebuild" noonlog rebuild run >said
expect "says so" grep -q '59 rows from 60 lines, the same as before' said
for file in readings.csv adapter.log notes.csv rig.ini; do
    expect "$file is untouched" cmp -s run/$file as_recorded/$file
done
expect "no old readings are kept for nothing" [ ! -e run/.noonlog/readings.csv.before ]

# The readings lost or spoiled: they come back.
head -c 700 as_recorded/readings.csv >run/readings.csv
expect "rebuild of spoiled readings" noonlog rebuild run >/dev/null
expect "the recorded readings are back" cmp -s run/readings.csv as_recorded/readings.csv
rm run/readings.csv
expect "rebuild of lost readings" noonlog rebuild run >/dev/null
expect "the lost readings are back" cmp -s run/readings.csv as_recorded/readings.csv

# A correction in the run's own rig.ini: store is 0.5 K higher from the first row to the last.
sed -i '/channel store/a offset = 0.5' run/rig.ini
expect "rebuild after a correction" noonlog rebuild run >/dev/null
paste -d, <(cut -d, -f3 as_recorded/readings.csv) <(cut -d, -f3 run/readings.csv) >pairs
expect "all rows are corrected" awk -F, 'NR > 1 { d = $2 - $1 - 0.5; if (d * d > 1e-8) bad = 1; n++ } END { exit bad || n != 59 }' pairs
expect "other columns stay" cmp -s <(cut -d, -f1,2,4- as_recorded/readings.csv) <(cut -d, -f1,2,4- run/readings.csv)
expect "the old readings are kept" cmp -s run/.noonlog/readings.csv.before as_recorded/readings.csv
expect "it is noted" grep -q ',note,"readings.csv made again from adapter.log: 59 rows' run/notes.csv
expect "adapter.log is never changed" cmp -s run/adapter.log as_recorded/adapter.log

# Another rig file: it becomes the run's, the old one is kept.
expect "rebuild with another rig" noonlog rebuild run --rig as_recorded/rig.ini >/dev/null
expect "as it was" cmp -s run/readings.csv as_recorded/readings.csv
expect "its rig is frozen" cmp -s run/rig.ini as_recorded/rig.ini
expect "the old rig is kept" grep -q '^offset = 0.5' run/.noonlog/rig.ini.before

# What cannot be: a rig that fits no line, a rig with a slip, damaged and missing lines.
sed 's/channel /channel x/' as_recorded/rig.ini >other.ini
noonlog rebuild run --rig other.ini 2>said
expect "no line fits: exit status 1" [ $? -eq 1 ]
expect "says so" grep -q 'none of the 60 lines' said
sed 's/^.adapter.$/[adapter roof]/' as_recorded/rig.ini >other.ini
noonlog rebuild run --rig other.ini 2>said
expect "another adapter: exit status 1" [ $? -eq 1 ]
expect "names it" grep -q 'are of .adapter., which this rig does not have' said
sed 's/degC/degX/' as_recorded/rig.ini >other.ini
noonlog rebuild run --rig other.ini 2>said
expect "a slip in the rig: exit status 2" [ $? -eq 2 ]
expect "file and line" grep -q 'other.ini:[0-9]*:' said
expect "the readings stay" cmp -s run/readings.csv as_recorded/readings.csv
expect "and the rig" cmp -s run/rig.ini as_recorded/rig.ini
sed -i '10s/.*/no row at all/' run/adapter.log
expect "rebuild with a damaged line" noonlog rebuild run >said
expect "58 rows" [ "$(rows run)" -eq 58 ]
expect "names the line" grep -q 'damaged.*first is line 10' said
rm run/adapter.log
noonlog rebuild run 2>said
expect "no adapter.log: exit status 1" [ $? -eq 1 ]
expect "nothing half-written is left" [ -z "$(ls run/.noonlog | grep new)" ]

# A FIFO or a device in its place is said and hangs nothing (without a writer, reading it would).
for thing in fifo device; do
    rm -f run/adapter.log
    if [ $thing = fifo ]; then mkfifo run/adapter.log; else ln -s /dev/zero run/adapter.log; fi
    timeout 20 noonlog rebuild run 2>said
    expect "$thing: rebuild: exit status" [ $? -eq 2 ]
    expect "$thing: rebuild says what it is" grep -q 'adapter.log: is not a plain file' said
    timeout 20 noonlog record --resume run --quiet 2>said
    expect "$thing: record --resume: exit status" [ $? -eq 2 ]
done
rm run/adapter.log
cp -r "$TEST_SOURCE/sample-runs/wash-stand-glazed" shared
rm shared/adapter.log
mkfifo shared/adapter.log
expect "a report does not wait for a FIFO" timeout 100 noonfit report shared -o page.html >/dev/null
expect "and has its page" grep -q '</html>' page.html

# Taken up again in between, by an adapter with its own clock that was reset.
small_rig clock=adapter interval_s=1
feed --lines 30 --hz 20
noonlog record rig.ini run2 --for 60s --quiet &
recorder=$!
await 'rows run2 -ge 20'
kill -9 $recorder
wait $recorder 2>/dev/null
feed --lines 2000 --hz 20 --ms0 500 # the recorder stops before these do, however slow it is
noonlog record --resume run2 --for 600s --quiet &
recorder=$!
await 'rows run2 -ge 45'
noonlog stop run2
wait $recorder || fail "the resumed recording did not end cleanly"
cp run2/readings.csv kept.csv
expect "rebuild of a resumed run" noonlog rebuild run2 >said
expect "the same rows" cmp -s run2/readings.csv kept.csv || diff run2/readings.csv kept.csv | head

# noonlog 1.0 on a board that started in 1970, was told the time and took the run up again: fifty-six
# years are no pause.
small_rig
mkdir run3 run3/.noonlog
cp rig.ini run3
{
    echo '# time_utc, elapsed_s of the host, adapter, line as it came'
    for i in 1 2 3; do printf '1970-01-01T00:0%d:00.000Z\t%d.000\t-\tstore=2%d,sun=5\n' $i $i $i; done
    echo '# resume'
    for i in 4 5 6; do printf '2026-05-28T20:0%d:00.000Z\t17800000%d0.500\t-\tstore=2%d,sun=5\n' $i $i $i; done
} >run3/adapter.log
noonlog rebuild run3 >said || fail "rebuild over 1970"
expect "time goes on a second after the last row, and then as it went" \
    [ "$(cut -d, -f2 run3/readings.csv | tail -6 | tr '\n' ' ')" = "1.000 2.000 3.000 4.000 14.000 24.000 " ]
finish
