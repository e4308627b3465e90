#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Recorded pairs: every adapter.log in tests/recorded gives exactly its readings.csv.
set -u
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
seen=0
for pair in "$TEST_SOURCE"/tests/recorded/*/; do
    [ -f "$pair/adapter.log" ] || continue # import/ holds tables
    name=$(basename "$pair")
    mkdir "$work/$name"
    cp "$pair/adapter.log" "$pair/rig.ini" "$work/$name/"
    head -1 "$pair/readings.csv" >"$work/$name/readings.csv" # there is something to rebuild
    "$TEST_PROGRAMS/noonlog" rebuild "$work/$name" >"$work/said" 2>&1 || { cat "$work/said"; failed=1; }
    diff "$pair/readings.csv" "$work/$name/readings.csv" || { echo "FAILED: $name"; failed=1; }
    seen=$((seen + 1))
done
[ "$seen" -ge 2 ] || { echo "only $seen pairs"; failed=1; }
exit $failed
