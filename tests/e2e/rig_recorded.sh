#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The virtual rig recorded by noonlog: what arrives in readings.csv is what was simulated, through
# a slow logger, a bad line and pulled plugs.
. "$(dirname "$0")/record_common.bash" || exit 2

# Fast, but no faster than a disk that is synced every second can follow.
speed=1000
virtual-rig write all --duration 21m || fail "no run folder"

# cells RUN: its readings without the time columns.
cells() {
    tail -n +2 "$1/readings.csv" | cut -d, -f3-
}

# serve_and_record RUN OPTION...: until the rig has said all. The recorder is $recorder meanwhile.
serve_and_record() {
    local run=$1 rig
    shift
    virtual-rig rig --link "$work/port" "$@" >rig.ini
    virtual-rig serve --link "$work/port" --speed $speed --duration 21m "$@" &
    rig=$!
    await '[ -e port ]'
    noonlog record rig.ini "$run" --quiet 2>said &
    recorder=$!
    ${meanwhile:-true}
    wait $rig || fail "$run: the rig did not end well"
    noonlog stop "$run" >/dev/null || fail "$run: stop failed"
    wait $recorder || fail "$run: record did not end well: $(cat said)"
    expect "$run: whole rows" whole "$run"
    expect "$run: time goes up" rising "$run"
}

# Undisturbed: cell by cell the simulated run, and a second apart by the adapter's clock.
serve_and_record plain
cells all >want
cells plain >got
expect "plain: every cell" cmp want got
awk -F, 'NR > 2 { d = $2 - last; if (d < 0.9985 || d > 1.0015) exit 1 } { last = $2 }' \
    plain/readings.csv || fail "plain: the adapter's clock sets the time"

# The logger stands still for two seconds while the rig speaks on.
nap() {
    await '[ -s slow/readings.csv ]'
    await 'rows slow -gt 50'
    kill -STOP $recorder
    sleep 2
    kill -CONT $recorder
}
meanwhile=nap serve_and_record slow
cells slow >got
expect "slow: every cell" cmp want got

# Spoiled lines: a row less each, but never a reading that was not simulated.
serve_and_record spoiled --garbage 0.02 --half 0.02 --flip 0.02
cells spoiled >got
sort -u want >want.sorted
expect "spoiled: no invented reading" [ -z "$(sort -u got | comm -23 - want.sorted)" ]
expect "spoiled: most lines are good" [ "$(rows spoiled)" -ge 1050 ]
expect "spoiled: and some are not" [ "$(rows spoiled)" -le 1240 ]

# Pulled plugs: the logger finds the adapter again, and time goes on. What falls between is gone
# (the port is away for simulated minutes), what arrives is true.
serve_and_record pulled --hang-up-every 8m --hang-up-for 0.1
cells pulled >got
expect "pulled: no invented reading" [ -z "$(sort -u got | comm -23 - want.sorted)" ]
expect "pulled: rows before and after" [ "$(rows pulled)" -ge 480 ]
expect "pulled: it is noted" grep -q ',port,' pulled/notes.csv
finish
