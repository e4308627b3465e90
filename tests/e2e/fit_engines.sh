#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The model's heat-ups, of a set of collectors and of two that were fitted, against ngspice and a stiff
# integrator of scipy, and its steady state against the handbook: tests/known-answer/engines.py.
. "$(dirname "$0")/common.bash" || exit 2
/usr/bin/python3 "$TEST_SOURCE/tests/known-answer/engines.py" "$TEST_PROGRAMS/tests/heatup" \
    "$TEST_SOURCE/sample-runs/wash-stand-glazed" "$TEST_SOURCE/sample-runs/wash-stand-bare"
