#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit inspect on the committed sample runs: good records are called good, in text, JSON and US
# units, and the cool-down is told from a failed test.
. "$(dirname "$0")/common.bash" || exit 2
for run in "$TEST_SOURCE"/sample-runs/wash-stand-*; do
    name=${run##*/}
    noonfit inspect "$run" >text 2>said || fail "$name: exit status $?: $(cat said)"
    [ -s said ] && fail "$name: said $(cat said)"
    noonfit inspect "$run" --json >json || fail "$name: --json"
    # The keys of the document, and what a good record must say.
    python3 - "$name" <<'PYTHON' || fail "$name: JSON"
import json, sys
name = sys.argv[1]
document = json.load(open("json"))
collectors = document.get("collectors", [document])
assert len(collectors) == (2 if "side-by-side" in name else 1)
for x in collectors:
    for key in ("rows", "duration_s", "interval_s", "channels", "gaps", "findings", "usable_for"):
        assert key in x, key
    for key in ("name", "valid", "min", "max", "stuck_s", "spikes"):
        assert all(key in c for c in x["channels"]), key
    for f in x["findings"]:
        assert f["severity"] in ("note", "doubt", "fault") and f["code"] and f["text"], f
    bad = [f["code"] for f in x["findings"] if f["severity"] != "note"]
    if "cool-down" in name:
        assert bad == ["no-sun"] and x["usable_for"] == [], (bad, x["usable_for"])
    else:
        loop = "store-only" not in name
        assert bad == [], bad
        assert x["usable_for"] == (["store", "loop"] if loop else ["store"]), x["usable_for"]
    if "panel-pump" in name:
        assert "pump-stops" in [f["code"] for f in x["findings"]]
PYTHON
    case $name in
    *side-by-side*) [ "$(grep -c 'is good' text)" = 2 ] || fail "$name: $(head -3 text)" ;;
    *cool-down*) head -1 text | grep -q 'has no sun' || fail "$name: first line: $(head -1 text)" ;;
    *) head -1 text | grep -q 'is good' || fail "$name: first line: $(head -1 text)" ;;
    esac
    noonfit inspect "$run" --units us >us || fail "$name: --units us"
    grep -q degC us && fail "$name: degC in US units: $(grep -m1 degC us)"
done

noonfit inspect "$TEST_SOURCE/sample-runs/wash-stand-glazed-panel-pump" --plot p.svg >/dev/null ||
    fail "no plot"
grep -q '</svg>' p.svg || fail "the plot is no SVG"

# What fit refuses, inspect says beforehand and in the same words: two thirds of the irradiance, more
# heat than a collector can make, and no fault of a channel. The record itself is not refused.
cp -r "$TEST_SOURCE/sample-runs/wash-stand-glazed" dim
awk -F, -v OFS=, 'NR == 1 { for (i = 1; i <= NF; i++) if ($i == "sun_W_m2") c = i; print; next }
    { $c *= 0.68; print }' "$TEST_SOURCE/sample-runs/wash-stand-glazed/readings.csv" >dim/readings.csv
noonfit fit dim >/dev/null 2>refusal && fail "fit does not refuse two thirds of the irradiance"
noonfit inspect dim | tr -s '\n ' ' ' >text
grep -qF "fit refuses this record: $(sed 's/^noonfit: dim: //' refusal)" text ||
    fail "inspect does not say what fit refuses: $(cat refusal)"
noonfit inspect "$TEST_SOURCE/sample-runs/wash-stand-glazed" | grep -q refuses &&
    fail "a good record is said to be refused"

finish
