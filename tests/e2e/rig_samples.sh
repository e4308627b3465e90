#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The committed sample runs are what the virtual rig simulates today: a change of its physics or
# of the rig file's keys must not leave old runs (and the truths the README quotes) behind.
. "$(dirname "$0")/common.bash" || exit 2
"$TEST_SOURCE/sample-runs/regenerate" --check "$TEST_PROGRAMS"
