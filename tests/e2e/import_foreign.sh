#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Tables as strangers bring them give their readings, or are refused with the option that settles it.
. "$(dirname "$0")/common.bash" || exit 2
python3 -B "$TEST_SOURCE/tests/e2e/import_foreign.py" "$TEST_PROGRAMS/noonlog" || fail "foreign tables"
finish
