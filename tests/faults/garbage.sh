#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# A megabyte of anything (the program's own machine code) between good lines: the recorder lives,
# invents no reading, and reads the next good line.
. "$(dirname "$0")/../e2e/record_common.bash" || exit 2

small_rig "checksum = xor8"
{
    echo
    echo "store=21.50,inlet=19.81,sun=812*6C"
    cat "$(command -v noonlog)"
    echo
    echo "store=21.50,inlet=19.81,sun=812*6C"
} >stream
feed --linger 20 <stream
noonlog record rig.ini run 2>said &
recorder=$!
await 'rows run -ge 2'
noonlog stop run || fail "stop"
wait $recorder
expect "clean end" [ $? -eq 0 ]
# 6C is the exclusive or of the line's characters by hand; only those two lines have it right.
expect "two readings, both true" [ "$(cut -d, -f3-5 run/readings.csv | tail -n +2 | sort -u)" = "21.5000,19.8100,812.00" ]
expect "just two" [ "$(rows run)" -eq 2 ]
expect "the log is plain text" bash -c '! LC_ALL=C grep -qP "[^\t\x20-\x7e]" run/adapter.log'
expect "so is what was said" bash -c '! LC_ALL=C grep -qP "[\x00-\x08\x0b-\x1f\x7f]" said run/notes.csv'
expect "whole files" whole run
cp run/readings.csv kept.csv
noonlog rebuild run >/dev/null || fail "rebuild"
expect "rebuild agrees" cmp run/readings.csv kept.csv
echo "$(stat -c %s stream) bytes, $(noonlog status --json run | field rejected) lines rejected, 2 of 2 good ones recorded"
finish
