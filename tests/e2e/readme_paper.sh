#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# README's way for the person without electronics, from its own text: the rig file it shows, the
# sheet, the readings typed in, the verdict. The answer's interval holds what the readings were
# computed from, and the table needs no option.
. "$(dirname "$0")/common.bash" || exit 2
# With sanitizers: fontconfig, which cairo asks for its letters, keeps its tables to the end.
echo "leak:libfontconfig" >"$work/.leaks"
export LSAN_OPTIONS="suppressions=$work/.leaks:print_suppressions=0"
export TZ=UTC LC_ALL=C.UTF-8
# The rig file as README prints it.
awk '/^\*\*1\. Say what stands there/ { on = 1 } /^\*\*2\. Print the sheet/ { exit } on' \
    "$TEST_SOURCE/README.md" | sed -n 's/^    //p' >bucket.ini
[ "$(grep -c '^\[' bucket.ini)" -eq 7 ] || fail "bucket.ini is not what it was: $(cat bucket.ini)"
noonfit sheet bucket.ini -o sheet.pdf >said 2>&1 || fail "sheet: $(cat said)"
# Typed in: the sheet's own heads, the sample's rows.
head -2 sheet.csv | tail -1 >heads
diff heads <(sed -n 2p "$TEST_SOURCE/sample-runs/two-thermometers/imported/sheet.csv") ||
    fail "the sheet has other heads than the sample"
cp "$TEST_SOURCE/sample-runs/two-thermometers/imported/sheet.csv" sheet.csv
noonlog import sheet.csv --rig bucket.ini evening >said 2>&1 || fail "import: $(cat said)"
cmp evening/readings.csv "$TEST_SOURCE/sample-runs/two-thermometers/readings.csv" || fail "readings"
noonfit inspect evening >said 2>&1 || fail "inspect: $(cat said)"
noonfit fit evening --json >fit.json || fail "fit"
python3 - <<'EOF' || fail "the verdict"
import json, sys
fit = json.load(open("fit.json"))
fit = fit["collectors"][0] if "collectors" in fit else fit
p = fit["parameters"]
# 0.70; 5.5 W/(m2 K) and 2 W/K of the container on 7.5 ft2 (0.6968 m2).
for name, truth in (("eta0", 0.70), ("a1", 5.5 + 2 / 0.6968)):
    q = p[name]
    if not q["lo95"] <= truth <= q["hi95"]:
        sys.exit("%s: %g not in %g .. %g" % (name, truth, q["lo95"], q["hi95"]))
EOF
# One reading at a time instead.
noonlog take walk --rig bucket.ini store=64F air=72F --at "2026-05-16 11:05" >said 2>&1 ||
    fail "take: $(cat said)"
noonlog take walk store=96.4F air=74F --at "2026-05-16 12:20" >said 2>&1 || fail "take: $(cat said)"
[ "$(wc -l <walk/readings.csv)" -eq 3 ] || fail "two readings make two rows"
finish
