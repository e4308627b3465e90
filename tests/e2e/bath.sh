#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# `bath`: offsets from thermometers in one bath, live and from a run, into the rig file.
. "$(dirname "$0")/record_common.bash" || exit 2

# thermometers N: N lines of three probes in a bath of 30 degC: store 0.4 high, inlet 0.25 low,
# outlet right; scatter of +-0.02 that averages out.
thermometers() {
    awk -v n="$1" 'BEGIN { for (i = 0; i < n; i++) {
        a = (i * 7 % 5 - 2) / 100; b = (i * 3 % 5 - 2) / 100; c = (i * 11 % 5 - 2) / 100
        printf "store=%.4f,inlet=%.4f,outlet=%.4f,sun=1\n", 30.4 + a, 29.75 + b, 30 + c } }'
}
rig() {
    printf '; a rig with a remark\n[adapter]\nport = %s\ninterval_s = 0.02\n' "$work/port"
    printf '[channel store]\nunit = degC  ; big\n[channel inlet]\nunit = degC\noffset = 0.1\n'
    printf '[channel outlet]\nunit = degC\nu_offset = 0.05\n[channel sun]\nunit = W_m2\n'
}
rig >rig.ini

# as_run FOLDER: lines on stdin become a run, 10 a second.
as_run() {
    mkdir "$1" && cp rig.ini "$1" && printf 'time_utc,elapsed_s,kind,text\n' >"$1/notes.csv"
    awk '{ printf "2026-05-04T10:%02d:%06.3fZ\t%.3f\t-\t%s\n", NR / 600, NR / 10 % 60, NR / 10, $0 }' >"$1/adapter.log"
    noonlog rebuild "$1" >/dev/null || fail "no run $1"
}

# Live, against one channel; the keys go into the file, the rest of which stays.
cp rig.ini new.ini
thermometers 400 | while read -r line; do echo "$line"; sleep 0.02; done |
    ptyfeed "$work/port" &
feeders="$feeders $!"
await '[ -e port ]'
expect "live bath" noonlog bath rig.ini --for 3s --reference outlet --json --write new.ini >bath.json 2>said
expect "JSON" python3 - <<'PY'
import json
b = json.load(open("bath.json"))
assert b["baths"][0]["kind"] == "channel" and b["baths"][0]["reference"] == "outlet", b
assert abs(b["baths"][0]["u_common_K"] - 0.05) < 1e-12
c = {x["channel"]: x for x in b["channels"]}
assert set(c) == {"store", "inlet"}, c
for name, correction, old in (("store", -0.4, 0.0), ("inlet", 0.25, 0.1)):
    k, p = c[name]["keys"], c[name]["baths"][0]
    # inlet was corrected by 0.1 while measured: it reads 0.15 low and needs 0.25 in all
    assert abs(k["offset"] - correction) < 0.02, (name, k)
    assert 0.005 < k["u_offset"] < 0.03, (name, k)
    assert p["readings"] >= 20 and not p["constant"], p
    assert len(c[name]["baths"]) == len(b["baths"]) == 1, c[name]
assert b["common_left_out"] is True
PY
expect "the file has the key" grep -Eq '^offset = -0.(39|40|41)' new.ini
expect "remarks stay" [ "$(head -1 new.ini)" = "; a rig with a remark" ]
expect "other channels stay" [ "$(sed -n '/channel outlet/,$p' new.ini)" = "$(sed -n '/channel outlet/,$p' rig.ini)" ]
expect "the rig that was measured stays" cmp -s rig.ini <(rig)

# Ice and boiling one after the other, by an adapter that speaks all the time; Enter starts each.
echo 0 >level
rm -f port
while [ -e level ]; do
    read -r level <level
    echo "store=$level.5,inlet=$level,outlet=$level,sun=1"
    sleep 0.02
done 2>/dev/null | ptyfeed "$work/port" &
feeders="$feeders $!"
await '[ -e port ]'
mkfifo keys
noonlog bath rig.ini --ice --boiling --pressure 1013.25 --for 3s --only store <keys >text 2>said &
bath=$!
exec 7>keys
await "grep -q 'crushed ice' said"
echo >&7
await "grep -q 'boiling water, wait' said"
echo 100 >level.new && mv level.new level
sleep 1 # the old temperature is on its way still
echo >&7
wait $bath || { fail "bath in two steps"; cat said; }
rm -f level
exec 7>&-
# read 0.5 at 0 and 100.5 at 99.974 degC: gain 0.99974, offset -0.49987; not from mixed readings
expect "gain of two steps" grep -q '^gain = 0.9997' text
expect "offset of two steps" grep -Eq '^offset = -0\.(50|499)' text
noonlog bath rig.ini --ice --boiling --pressure 1000 --for 2s </dev/null >text 2>said
expect "no Enter, no bath" [ $? -eq 1 ]

# From a run. Text names the finding first, then the keys.
thermometers 200 | as_run run
expect "bath of a run" noonlog bath run --reference outlet >text
expect "sentence first" grep -q 'differ by up to 0.55 K' text
expect "keys" grep -q '^offset = -0.4' text
expect "remark on the reference" grep -q 'off together by 0.10 K' text
expect "against their mean" noonlog bath run >text
expect "says what that is worth" grep -q 'no reference' text
expect "degF" noonlog bath run --at 86F --u 0.1 --units us >text
expect "degF in the text" grep -q '86.00 °F' text
expect "differences in degF" grep -Eq 'store .* \+0\.7[0-9] °F' text

# Ice and boiling from two runs: gain and offset.
fixed() { # fixed TRUE NAME: store reads 2 % low and 0.5 high
    awk -v t="$1" 'BEGIN { for (i = 0; i < 100; i++) { a = (i * 7 % 5 - 2) / 100
        printf "store=%.4f,inlet=%.4f,outlet=%.4f,sun=1\n", 0.98 * t + 0.5 + a, t + a, t - a } }' |
        as_run "$2"
}
fixed 0 ice
fixed 99.606 boiling
cp rig.ini two.ini
expect "two points" noonlog bath ice boiling --ice --boiling --pressure 1000 --write two.ini >text 2>said
expect "gain 1/0.98" grep -Eq '^gain = 1\.020' two.ini
expect "offset -0.5/0.98" grep -Eq '^offset = -0\.5[01]' two.ini
expect "the file is a rig still" noonlog rebuild ice --rig two.ini >/dev/null
expect "store is right in ice now" awk -F, 'NR > 1 { s += $3; n++ } END { exit !(s / n < 0.02 && s / n > -0.02) }' ice/readings.csv
noonlog bath ice boiling --ice --boiling --pressure 1000 >/dev/null 2>said
expect "runs converted differently are not mixed" [ $? -eq 2 ]
expect "says which" grep -q 'boiling/rig.ini:[0-9]*: .channel store. is not converted here' said

# Refusals: what is missing is said, and nothing is written.
cp rig.ini kept.ini
sed -i '/channel store/a offset = 3' kept.ini
before=$(cksum <kept.ini)
noonlog bath run --reference outlet --write kept.ini >/dev/null 2>said
expect "another conversion: exit status 2" [ $? -eq 2 ]
expect "says why" grep -q 'kept.ini:[0-9]*: .channel store. is not converted here' said
expect "the file is untouched" [ "$(cksum <kept.ini)" = "$before" ]
noonlog bath run --reference store >/dev/null 2>said
expect "a reference without uncertainty" [ $? -eq 2 ]
expect "asks for it" grep -q -- '--u 0.1' said
noonlog bath run --boiling >/dev/null 2>said
expect "boiling without elevation" [ $? -eq 2 ]
expect "asks for it" grep -q 'elevation_m or --pressure' said
noonlog bath run --reference sun 2>said
expect "no thermometer" grep -q 'no thermometer of that name' said
noonlog bath run --at 30C --ice --u 1 2>said
expect "two references" [ $? -eq 2 ]
head -12 run/readings.csv >few && cp few run/readings.csv
noonlog bath run --reference outlet >/dev/null 2>said
expect "too few readings: exit status 1" [ $? -eq 1 ]
expect "says how many are needed" grep -q 'at least 20\|20 are needed' said
finish
