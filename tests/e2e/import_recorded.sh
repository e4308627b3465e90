#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Tables of all kinds become the readings they were written from, byte for byte; `rebuild` makes the
# same again from what is kept.
. "$(dirname "$0")/common.bash" || exit 2
count=0
for folder in "$TEST_SOURCE"/tests/recorded/import/*/; do
    name=$(basename "$folder")
    table=$(cd "$folder" && ls table.*)
    run=$work/$name
    eval "args=($(cat "$folder/args"))"
    count=$((count + 1))
    if ! TZ=UTC "$noonlog" import "$folder/$table" --rig "$folder/rig.ini" "$run" "${args[@]}" >"$work/said" 2>&1; then
        echo "$name: refused: $(cat "$work/said")"
        failures=$((failures + 1))
        continue
    fi
    if ! diff "$folder/expected.csv" "$run/readings.csv" >"$work/diff"; then
        echo "$name: other readings than expected:"
        head -8 "$work/diff"
        cat "$work/said"
        failures=$((failures + 1))
        continue
    fi
    cmp -s "$folder/$table" "$run/imported/$table" || {
        echo "$name: the table is not kept as it was"
        failures=$((failures + 1))
    }
    printf 'time_utc,elapsed_s\n' >"$run/readings.csv"
    TZ=Asia/Tokyo "$noonlog" rebuild "$run" >"$work/said" 2>&1
    cmp "$folder/expected.csv" "$run/readings.csv" || {
        echo "$name: rebuild: $(cat "$work/said")"
        failures=$((failures + 1))
    }
done
[ "$count" -ge 20 ] || fail "only $count tables"
finish
