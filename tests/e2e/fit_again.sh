#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The same answer every time: records that are each looked at by a thread of their own, each with a
# probe that was bumped, so that every thread has something to make sure of. In the thread stage the
# sanitizer ends noonfit where two threads touch the same place.
PROGRAMS_NEEDED="noonfit virtual-rig"
. "$(dirname "$0")/common.bash" || exit 2

# bumped DAY: half an hour; the outlet jumps in the middle.
bumped() {
    virtual-rig write "day$1" --build glazed --interval 10 --channels loop --day clear --day-seed "$1" \
        --start "2026-05-1$1T10:15:00Z" --duration 30m >/dev/null || fail "virtual-rig"
    awk -F, -v OFS=, '
        NR == 1 { for (i = 1; i <= NF; i++) if ($i ~ /^outlet/) c = i; print; next }
        $2 > 900 { $c += 1.2 } { print }' "day$1/readings.csv" >bumped.csv
    mv bumped.csv "day$1/readings.csv"
}
bumped 1
bumped 2
bumped 3
noonfit fit day? --anyway --json >first.json || fail "no answer"
[ "$(grep -c '"probe-jump"' first.json)" -ge 2 ] || fail "the bumps are not found: nothing was made sure of"
noonfit fit day? --anyway --json >again.json || fail "no answer the second time"
cmp -s first.json again.json || fail "another answer: $(diff first.json again.json | head -5)"
finish
