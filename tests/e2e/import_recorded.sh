#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Tables of all kinds become the readings they were written from, byte for byte; `rebuild` makes the
# same again from what is kept.
set -u
noonlog=$TEST_PROGRAMS/noonlog
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
count=0
for folder in "$TEST_SOURCE"/tests/recorded/import/*/; do
    name=$(basename "$folder")
    table=$(cd "$folder" && ls table.*)
    run=$work/$name
    eval "args=($(cat "$folder/args"))"
    count=$((count + 1))
    if ! TZ=UTC "$noonlog" import "$folder/$table" --rig "$folder/rig.ini" "$run" "${args[@]}" >"$work/said" 2>&1; then
        echo "$name: refused: $(cat "$work/said")"
        failed=$((failed + 1))
        continue
    fi
    if ! diff "$folder/expected.csv" "$run/readings.csv" >"$work/diff"; then
        echo "$name: other readings than expected:"
        head -8 "$work/diff"
        cat "$work/said"
        failed=$((failed + 1))
        continue
    fi
    cmp -s "$folder/$table" "$run/imported/$table" || {
        echo "$name: the table is not kept as it was"
        failed=$((failed + 1))
    }
    printf 'time_utc,elapsed_s\n' >"$run/readings.csv"
    TZ=Asia/Tokyo "$noonlog" rebuild "$run" >"$work/said" 2>&1
    cmp "$folder/expected.csv" "$run/readings.csv" || {
        echo "$name: rebuild: $(cat "$work/said")"
        failed=$((failed + 1))
    }
done
echo "$count tables, $failed failed"
[ "$count" -ge 20 ] && [ "$failed" -eq 0 ]
