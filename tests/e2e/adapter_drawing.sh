#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The wiring in the adapter's README is what its script draws, and well-formed.
. "$(dirname "$0")/common.bash" || exit 2
folder=$TEST_SOURCE/logger/adapter
python3 "$folder/wiring.py" | cmp - "$folder/wiring.svg" || exit 1
python3 -c 'import sys, xml.etree.ElementTree as tree; tree.parse(sys.argv[1])' "$folder/wiring.svg"
