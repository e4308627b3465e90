#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# `listen`: what arrives before a test, and what is wrong with it.
. "$(dirname "$0")/record_common.bash" || exit 2

small_rig
feed --lines 300 --hz 20
expect "a good rig: exit status 0" noonlog listen rig.ini --for 2s >text
expect "sentence first" grep -q '^All 3 channels give readings; [0-9]* of [0-9]* lines in 2 s could be read' text
expect "raw and converted" grep -Eq '^  store +20\.[0-9]+ +20\.[0-9]+ °C' text
noonlog listen rig.ini --for 1s --units us >text.us
expect "US units for all that have them" grep -Eq '^  store +2[0-9.]+ +[67][0-9]\.[0-9]+ °F' text.us
expect "irradiance too" grep -Eq '^  sun +7[0-9]+ +2[0-9]+ Btu/\(h ft²\)  *2' text.us
expect "an example line" grep -Eq '^  seq=[0-9]+,ms=' text
expect "what is not recorded" grep -q 'also carry seq' text
sed -i '/channel inlet/a field = nowhere' rig.ini
noonlog listen rig.ini --for 2s --json >json
expect "a channel without readings: exit status 1" [ $? -eq 1 ]
expect "JSON" python3 - <<'PY'
import json
d = json.load(open("json"))
c = {x["channel"]: x for x in d["channels"]}
assert c["store"]["good"] > 0 and 20 < c["store"]["value"] < 24, c
assert c["inlet"]["good"] == 0 and c["inlet"]["value"] is None and c["inlet"]["missing"] > 0, c
a = d["adapters"][0]
assert a["bytes"] > 0 and a["good"] > 0 and a["last_good"].startswith("seq="), a
f = {(x["code"], x["channel"]): x for x in d["findings"]}
assert f[("missing", "inlet")]["severity"] == "fault", f
assert "store" in f[("missing", "inlet")]["text"], f
PY
kill $feeder
wait $feeder 2>/dev/null; rm -f port

# Escape sequences from the wire never reach the terminal.
small_rig
printf 'store=\033[31m21,inlet=1,sun=1\nstore=\033]0;x\a5,inlet=2,sun=2\n%.0s' 1 2 3 4 >sent
(cat sent; sleep 4) | ptyfeed "$work/port" &
feeders="$feeders $!"
await "[ -e port ]"
noonlog listen rig.ini --for 1s >text 2>said
expect "exit status 1" [ $? -eq 1 ]
expect "no escape, no bell" bash -c '! grep -qP "[\x00-\x08\x0b-\x1f\x7f]" text said'

sed -i 's#^port = .*#port = /dev/not-there#' rig.ini
noonlog listen rig.ini 2>said
expect "no port: exit status 2" [ $? -eq 2 ]
expect "names it" grep -q '/dev/not-there' said
expect "conversions are listed" bash -c 'noonlog listen --help | grep -q "^  ntc_beta "'
finish
