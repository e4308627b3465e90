#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Recorded pairs: every adapter.log in tests/recorded gives exactly its readings.csv.
. "$(dirname "$0")/common.bash" || exit 2
seen=0
for pair in "$TEST_SOURCE"/tests/recorded/*/; do
    [ -f "$pair/adapter.log" ] || continue # import/ holds tables
    name=$(basename "$pair")
    mkdir "$work/$name"
    cp "$pair/adapter.log" "$pair/rig.ini" "$work/$name/"
    head -1 "$pair/readings.csv" >"$work/$name/readings.csv" # there is something to rebuild
    "$TEST_PROGRAMS/noonlog" rebuild "$work/$name" >"$work/said" 2>&1 || { cat "$work/said"; failures=1; }
    diff "$pair/readings.csv" "$work/$name/readings.csv" || { echo "FAILED: $name"; failures=1; }
    seen=$((seen + 1))
done
[ "$seen" -ge 2 ] || { echo "only $seen pairs"; failures=1; }
finish
