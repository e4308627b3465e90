#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Two adapters in one run: one row for each line of the first, the second's values beside it; when
# the first is unplugged the second goes on alone.
. "$(dirname "$0")/record_common.bash" || exit 2

cat >rig.ini <<RIG
[adapter tank]
port = $work/tank
interval_s = 0.1
[adapter roof]
port = $work/roof
interval_s = 0.1
[channel store]
unit = degC
adapter = tank
[channel sun]
unit = W_m2
adapter = roof
RIG
ptyfeed "$work/tank" --lines 60 --hz 20 --linger 0.2 &
ptyfeed "$work/roof" --lines 4000 --hz 20 --seq0 50 &
await '[ -e tank ] && [ -e roof ]'
noonlog record rig.ini run --quiet &
await 'rows run -ge 70'
noonlog stop run || fail "stop"
both=$(awk -F, 'NR > 1 && $3 != "" && $4 != ""' run/readings.csv | wc -l)
alone=$(awk -F, 'NR > 1 && $3 == "" && $4 != ""' run/readings.csv | wc -l)
expect "rows with both: $both" [ "$both" -ge 30 ]
expect "rows of the second alone: $alone" [ "$alone" -ge 10 ]
expect "59 readings of the tank" [ "$(awk -F, 'NR > 1 && $3 != ""' run/readings.csv | wc -l)" -eq 59 ]
expect "no value of the roof twice in a row" awk -F, \
    'NR > 2 && $4 != "" && $4 == last { exit 1 } { last = $4 }' run/readings.csv
expect "the log names them" [ "$(awk -F'\t' '$3 == "tank"' run/adapter.log | wc -l)" -eq 60 ]
expect "the loss is noted" grep -q ',port,.*port lost' run/notes.csv
expect "time goes up" rising run
expect "whole files" whole run
noonlog rebuild run >/dev/null || fail "rebuild"
finish
