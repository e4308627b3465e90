#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Two readings to a dozen in an hour are answered, with intervals that hold the truth.
. "$(dirname "$0")/common.bash" || exit 2
python3 "$TEST_SOURCE/tests/e2e/fit_few.py" "$TEST_PROGRAMS/noonlog" "$TEST_PROGRAMS/noonfit" "$TEST_SOURCE/sample-runs"
