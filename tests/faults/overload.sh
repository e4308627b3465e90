#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# A megabyte a second of lines: every line is in the log. SECONDS_LONG=60 is the long version.
. "$(dirname "$0")/../e2e/record_common.bash" || exit 2

seconds=${SECONDS_LONG:-3}
patience_s=$((30 + 2 * seconds))
pad=${PAD:-64} # bytes a line, with its line end 65: 16,131 lines a second
lines=$((seconds * 1048576 / (pad + 1)))
small_rig "checksum = xor8" "interval_s = 0.001"
start=$(date +%s%N)
feed --lines $lines --hz $((1048576 / (pad + 1))) --pad $((pad - 3)) --checksum --linger 2
noonlog record rig.ini run --quiet &
await '[ -s run/adapter.log ]'
await "[ \"\$(tail -c 200 run/adapter.log | sed -n 's/.*seq=\([0-9]*\).*/\1/p' | tail -1)\" = $lines ]"
took=$((($(date +%s%N) - start) / 1000000))
noonlog stop run || fail "stop"
logged=$(grep -c seq= run/adapter.log)
expect "all lines are logged: $logged of $lines" [ "$logged" -eq "$lines" ]
expect "in order, each once" awk -F'[=,]' '/seq=/ { if ($2 + 0 != ++n) exit 1 }' run/adapter.log
expect "no line was rejected" [ "$(noonlog status --json run | field rejected)" -eq 0 ]
expect "time goes up" rising run
expect "whole files" whole run
echo "$lines lines of $((pad + 1)) bytes in $took ms: $((lines - logged)) lost; $(rows run) rows (one a millisecond at most)"
finish
