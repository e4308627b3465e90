#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Time stamps as they are: dense records from the physics of the adversity benchmark, which is not the
# fit's, thinned in every way people thin them (regular, jitter, by hand, at random, in bunches,
# doubled rows, a dozen, five, three, two), have answers that agree with that of all rows.
. "$(dirname "$0")/common.bash" || exit 2
# A clear and a cloudy day; loop channels and the store alone. Rows of two seconds.
for record in "g-glazed 9207" "g-clouds 9202" "g-store 9206"; do
    # shellcheck disable=SC2086
    set -- $record
    "$TEST_PROGRAMS/tests/bench-adversity" --seeds 1 --first "$2" --kind "$1" --keep "$work" \
        "$TEST_PROGRAMS/noonfit" >"$work/said" || {
        cat "$work/said"
        exit 1
    }
done
python3 "$TEST_SOURCE/tests/e2e/fit_thinned.py" "$TEST_PROGRAMS/noonfit" "$work"/g-*-*
