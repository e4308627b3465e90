#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# A bare collector pumped under the night sky, together with a sunny day: its sky and humidity channels tell.
. "$(dirname "$0")/common.bash" || exit 2
python3 "$TEST_SOURCE/tests/e2e/night_sky.py" "$TEST_PROGRAMS/noonfit"
