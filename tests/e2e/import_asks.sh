#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# What a table cannot tell is asked for, with the option that settles it, and that option does settle
# it; nothing is written meanwhile.
. "$(dirname "$0")/common.bash" || exit 2
export TZ=UTC
printf '[channel store]\nunit = degF\n[channel air]\nunit = degF\n' >rig.ini

# asks WORDS [OPTION...]: refused with these words, exit status 2, no run; then with the options it is
# made and the readings are those of `want`.
asks() {
    local words=$1
    shift
    rm -rf run
    "$noonlog" import table --rig rig.ini run >said 2>&1
    [ $? -eq 2 ] || fail "$words: not refused: $(cat said)"
    tr '\n' ' ' <said | grep -qF -- "$words" || fail "$words: said instead: $(cat said)"
    [ ! -e run ] || fail "$words: a run is left"
    [ $# -gt 0 ] || return 0
    "$noonlog" import table --rig rig.ini run "$@" >said 2>&1 || fail "$words: still: $(cat said)"
    diff want run/readings.csv || fail "$words: other readings"
}
want() {
    echo "time_utc,elapsed_s,store_degC,air_degC"
    printf '%s\n' "$@"
}

printf 'Time,Tank,Air\n05/06/2026 10:00,50,68\n05/06/2026 10:05,59,68\n' >table
want 2026-06-05T10:00:00.000Z,0.000,10.0000,20.0000 2026-06-05T10:05:00.000Z,300.000,15.0000,20.0000 >want
asks '--time-format "%d/%m/%Y %H:%M" or --time-format "%m/%d/%Y %H:%M"' --time-format '%d/%m/%Y %H:%M'
want 2026-05-06T10:00:00.000Z,0.000,10.0000,20.0000 2026-05-06T10:05:00.000Z,300.000,15.0000,20.0000 >want
asks 'the day or the month first' --time-format '%m/%d/%Y %H:%M'

want 2026-05-16T10:00:00.000Z,0.000,10.0000,20.0000 2026-05-16T10:05:00.000Z,300.000,15.0000,20.0000 >want
printf 'Time,Tank top,Tank bottom,Air\n2026-05-16 10:00,50,1,68\n2026-05-16 10:05,59,2,68\n' >table
asks '--map "Tank top=store" or --map "Tank bottom=store"' --map 'Tank top=store'
printf '2026-05-16 10:00,50,68\n2026-05-16 10:05,59,68\n' >table
asks '--map "COLUMN=store"' --map 2=store --map 3=air
printf 'Time,Thing,Other\n2026-05-16 10:00,10,68\n2026-05-16 10:05,15,68\n' >table
asks '--map "COLUMN=store"' --map 'Thing=store degC' --map Other=air

want 1970-01-01T00:00:00.000Z,0.000,10.0000,20.0000 1970-01-01T00:05:00.000Z,300.000,15.0000,20.0000 >want
printf 'Time,Tank,Air\n0,50,68\n5,59,68\n' >table
asks '--time 1 with --time-format s, min, h or ms' --time 1 --time-format min
printf 'Elapsed,Tank,Air\n0:00,50,68\n5:00,59,68\n' >table
asks '--time-format %H:%M or --time-format %M:%S' --time-format %M:%S

want 2026-11-01T07:20:00.000Z,0.000,10.0000,20.0000 >want
printf 'Time,Tank,Air\n2026-11-01 01:20,50,68\n' >table
"$noonlog" import table --rig rig.ini run1 --zone America/Denver >said 2>&1 && fail "the double hour is guessed"
grep -q -- '--zone -06:00' said || fail "the double hour: $(cat said)"
"$noonlog" import table --rig rig.ini run1 --zone -06:00 >said 2>&1 || fail "with an offset: $(cat said)"
diff want run1/readings.csv || fail "double hour"
printf 'Time,Tank,Air\n2026-03-08 02:20,50,68\n2026-03-08 02:25,50,68\n' >table
"$noonlog" import table --rig rig.ini run2 --zone America/Denver >said 2>&1 && fail "the hour that never was"
grep -q 'never was' said || fail "spring: $(cat said)"
"$noonlog" import table --rig rig.ini run2 --zone Nowhere/Land >said 2>&1 && fail "no zone"

# What is no table.
printf 'PK\003\004zip' >table
asks 'a workbook or an archive'
: >table
asks 'is empty'
printf 'Time,Tank\n' >table
asks 'no columns of numbers'
printf 'one line of words and nothing more\n' >table
asks 'no columns of numbers'

# A codes' column, preview, a rig drafted.
printf 'Time,Tank (F),Air (F)\n2026-05-16 10:00,50,888.8\n2026-05-16 10:05,59,888.8\n' >table
"$noonlog" import table --rig rig.ini run3 --preview >said 2>&1 || fail "preview: $(cat said)"
[ ! -e run3 ] || fail "--preview has written"
grep -q 'a code for no reading (888.8)' said || fail "codes are not said: $(cat said)"
"$noonlog" import table >draft.ini 2>said || fail "draft: $(cat said)"
grep -qx '\[channel store\].*' draft.ini && grep -qx 'unit = degF' draft.ini || fail "the draft: $(cat draft.ini)"
"$noonlog" import table drafted >said 2>&1 || fail "with a draft: $(cat said)"
cmp -s table drafted/imported/table || fail "the table is not kept"
# The rig filled in, and a channel renamed: rebuilt.
sed -i 's/^\[channel air\]/[channel air]\noffset = 1/; s/^;gross_area_ft2 =/gross_area_ft2 = 8/; s/^;water_gal =/water_gal = 6/' drafted/rig.ini
"$noonlog" rebuild drafted >said 2>&1 || fail "rebuild: $(cat said)"
# Never over a run that is there.
"$noonlog" import table --rig rig.ini drafted >said 2>&1 && fail "over a run"
# A full disk leaves nothing.
if [ -e /dev/full ]; then
    "$noonlog" import table --rig rig.ini /dev/full/run >said 2>&1 && fail "into a device"
fi

# What was made of it is told in columns, a long head cut to its own, and where to go on.
rm -rf run
printf 'Time,The temperature of the water in the tank at the top,Air\n2026-05-16 10:00,50,68\n2026-05-16 10:05,59,68\n' >table
"$noonlog" import table --rig rig.ini run --map 2=store >said 2>&1 || fail "a long head: $(cat said)"
grep -q '^  The temperature of the wat  store       degF  *50  *59  --map$' said || fail "a long head: $(cat said)"
grep -q '^  Air                         air         degF  *68  *68  its name$' said || fail "a short head: $(cat said)"
grep -qF 'Written to run. Next: `noonfit inspect run`.' said || fail "where to go on: $(cat said)"
finish
