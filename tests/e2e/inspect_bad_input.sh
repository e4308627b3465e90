#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit inspect on what is no record: status 2 and one line naming file and line; on a record
# that is hopeless but readable: status 0, findings, no crash.
. "$(dirname "$0")/common.bash" || exit 2
good="$TEST_SOURCE/sample-runs/wash-stand-glazed"

# refuse WORDS PATTERN: inspect of run/ ends with status 2 and one line that has the pattern.
refuse() {
    noonfit inspect run >out 2>said
    local status=$?
    [ $status -eq 2 ] || fail "$1: exit status $status"
    [ -s out ] && fail "$1: wrote a result"
    grep -Eq "$2" said || fail "$1: said $(cat said)"
}

fresh() {
    rm -rf run
    cp -r "$good" run
}

fresh && : >run/readings.csv && refuse "empty file" 'readings.csv'
fresh && sed -i '1s/elapsed_s/elapsed/' run/readings.csv && refuse "missing column" 'readings.csv:1: '
fresh && sed -i '500s/[0-9.]*$/abc/' run/readings.csv && refuse "no number" 'readings.csv:500: .*abc'
fresh && sed -i '500{h;d};501{G}' run/readings.csv && refuse "time backwards" 'readings.csv:501: '
fresh && sed -i 's/^gross_area_m2.*/gross_area_m2 = 0/' run/rig.ini && refuse "no area" 'rig.ini:[0-9]+: '
fresh && echo 'colour = black' >>run/rig.ini && refuse "unknown key" 'rig.ini:[0-9]+: .*colour'
rm -rf run && refuse "no folder" 'run'

# One row; and nothing but empty cells.
fresh && sed -i '3,$d' run/readings.csv
noonfit inspect run >out 2>said || fail "one row: exit status $?: $(cat said)"
grep -q 'cannot be fitted' out || fail "one row: $(head -2 out)"
fresh && awk -F, 'NR == 1 { n = NF; print; next }
    { printf "%s,%s", $1, $2; for (i = 3; i <= n; i++) printf ","; print "" }' \
    "$good/readings.csv" >run/readings.csv
noonfit inspect run >out 2>said || fail "empty cells: exit status $?: $(cat said)"
grep -q 'no reading at all' out || fail "empty cells: $(cat out)"

noonfit inspect 2>said
[ $? -eq 2 ] || fail "no argument"
noonfit inspect "$good" --colour 2>said
[ $? -eq 2 ] || fail "unknown option"

finish
