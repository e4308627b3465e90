#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# From copper to verdict: the demo through the adapter's firmware on the simulated board. The answers
# have to hold the truth as they do without it.
DEMO_OPTION=--adapter exec bash "$(dirname "$0")/rig_demo.sh"
