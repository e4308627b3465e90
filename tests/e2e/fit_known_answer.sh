#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit fit against a second implementation of simulation and fit in Python with scipy.
. "$(dirname "$0")/common.bash" || exit 2
/usr/bin/python3 "$TEST_SOURCE/tests/known-answer/fit.py" "$TEST_PROGRAMS/noonfit" "$work/run"
