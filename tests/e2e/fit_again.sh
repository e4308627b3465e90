#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The same answer every time: records that are each looked at by a thread of their own, two of them
# with a probe that was bumped, so that every thread has something to make sure of.
PROGRAMS_NEEDED=noonfit
. "$(dirname "$0")/common.bash" || exit 2
good="$TEST_SOURCE/sample-runs/wash-stand-glazed"

# bumped RUN KELVIN: a copy of the good run whose outlet jumps in the middle.
bumped() {
    cp -r "$good" "$1"
    awk -F, -v OFS=, -v by="$2" '
        NR == 1 { for (i = 1; i <= NF; i++) if ($i ~ /^outlet/) c = i; print; next }
        $2 > 1800 { $c += by } { print }' "$good/readings.csv" >"$1/readings.csv"
}
bumped up 0.8
bumped down -0.8
noonfit fit "$good" up down --anyway --json >first.json || fail "no answer"
grep -q '"probe-jump"' first.json || fail "the bump is not found: nothing was made sure of"
noonfit fit "$good" up down --anyway --json >again.json || fail "no answer the second time"
cmp -s first.json again.json || fail "another answer: $(diff first.json again.json | head -5)"
finish
