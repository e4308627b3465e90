#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit tally through the program: units and uncertainties as people write them, JSON against a sum
# by hand, picture, what is refused and withheld.
. "$(dirname "$0")/common.bash" || exit 2
bucket=(--water 6gal --area 7.5ft2 --from 64F --to 95F --in 75m)

noonfit tally "${bucket[@]}" --air 72F --sun 850W/m2 --json >sun.json || fail "with sun"
noonfit tally "${bucket[@]}" --site 46.18,9.9 --date 2026-05-16 --start 11:00 --tilt 30 --azimuth 180 \
    --json >sky.json || fail "clear sky"
noonfit tally "${bucket[@]}" --json >none.json || fail "without sun"
noonfit tally --water 6gal+-0.1gal --area 7.5+-3% --from "64F±1F" --to 95+-2 --in 75m+-2m \
    --sun 850+-5% --units us --json >area.json || fail "7.5 m2"
grep -q little-gain area.json || fail "7.5 m2 on a bucket is believed"
noonfit tally --water 6gal+-0.1gal --area 7.5ft2+-3% --from "64F±1F" --to 95+-2 --in 75m+-2m \
    --sun 850+-5% --units us --json >stated.json || fail "stated uncertainties"
# Longer than any number that a person writes: not cut to one that can be read, but refused.
many=0.$(printf '%062d' 1)
for one in "64F+-$many" "${many}F+-1F"; do
    noonfit tally "${bucket[@]}" --from "$one" --json >long.json 2>said && fail "taken: $one"
    grep -q -- --from said || fail "refused, but why: $(cat said)"
done
python3 - <<'END' || fail "JSON"
import json
sun, sky, none, stated = (json.load(open(n + ".json")) for n in ("sun", "sky", "none", "stated"))
# 6 US gallons at 20 degC, 31 degF, 4181 J/(kg K) (steam tables about 27 degC), 7.5 ft2, 75 min
heat = 6 * 3.785411784 * 0.9982 * 31 / 1.8 * 4181
assert abs(sun["heat_J"]["value"] / heat - 1) < 2e-3, sun["heat_J"]
assert abs(sun["power_W"]["value"] / (heat / 4500) - 1) < 2e-3
share = heat / (850 * 7.5 * 0.09290304 * 4500)
assert abs(sun["run_efficiency"]["value"] / share - 1) < 2e-3, sun["run_efficiency"]
q = sun["run_efficiency"]
assert q["lo95"] < q["value"] < q["hi95"] and q["hi95"] - q["value"] > q["value"] - q["lo95"]
assert sun["dominates"] == "sun" and sun["trust"]["grade"] == "good"
assert abs(sum(i["share_run_efficiency"] for i in sun["inputs"]) - 1) < 1e-9
assert abs(sun["over_air_K"] - 7.5 / 1.8) < 1e-6
assert [f["code"] for f in sun["further"]] == ["between", "later", "cooling"]
assert none["run_efficiency"] is None and none["sun_J"] is None
assert none["heat_J"]["value"] == sun["heat_J"]["value"] and none["dominates"] in ("from", "to")
# May in the Alps, a plane 30 degrees to the south an hour around noon: near straight on, near 1000
assert sky["clear_sky"] and 900 < sky["irradiance_W_m2"] < 1100 and sky["incidence_deg"] < 20
u = {i["input"]: (i["u"], i["stated"]) for i in stated["inputs"]}
want = {"water": 0.1 * 3.785411784 * 0.9982, "area": 0.03 * 7.5 * 0.09290304, "from": 1 / 1.8,
        "to": 2 / 1.8, "in": 120, "sun": 42.5}
for name, value in want.items():
    assert abs(u[name][0] / value - 1) < 1e-9 and u[name][1], (name, u[name], value)
END

noonfit tally "${bucket[@]}" --sun 850 --units us --plot both.svg >text || fail "text and picture"
grep -q "61 % went into the water" text || fail "the sentence"
grep -q "Btu" text || fail "US units"
grep -q "cannot tell the loss" text || fail "what it cannot say"
grep -q "What three more readings" both.svg || fail "the picture has no words"
[ "$(wc -L <text)" -le 80 ] || fail "wider than 80 columns"

refused() {
    local status=$1 words=$2
    shift 2
    noonfit tally "$@" >out 2>said
    local got=$?
    [ $got = "$status" ] || fail "tally $*: exit status $got"
    grep -q -- "$words" said || fail "tally $*: no \"$words\" in $(cat said)"
    [ ! -s out ] || fail "tally $*: output beside an error"
}
refused 2 "(--water" --area 0.7
refused 2 "--to" --water 20 --area 0.7 --from 30C --to 20C --in 1h
refused 2 "read as degC; write 110F" --water 20 --area 0.7 --from 20 --to 110 --in 1h --units si
refused 2 "exclude each other" "${bucket[@]}" --sun 850 --site 46,9
refused 2 "(--tilt" "${bucket[@]}" --site 46,9 --date 2026-05-16 --start 11:00
refused 2 "(--date" "${bucket[@]}" --site 46,9 --tilt 30 --azimuth 180
refused 2 "latitude and longitude" "${bucket[@]}" --site 46
refused 2 "no standard uncertainty" "${bucket[@]}" --sun 850+-x
refused 2 "no standard uncertainty" --water 20 --area 0.7 --from 20C+-5% --to 40C --in 1h
refused 2 "give 0.1 to" --water 20+- --area 0.7 --from 20C --to 40C --in 1h
refused 1 "sun was down" "${bucket[@]}" --site 46,9 --date 2026-05-16 --start 1:00 --tilt 30 --azimuth 180
refused 1 "withheld" --water 60 --area 0.7 --from 20C --to 45C --in 1h --sun 800
# Numbers of a thermometer in degF, without their F.
refused 1 "write 64F and 95F" --water 24 --area 0.7 --from 64 --to 95 --in 75m --sun 850 --units si
refused 1 "^noonfit: the answer is withheld" --water 24 --area 0.7 --from 64C --to 95C --in 75m --sun 850 --units si
refused 1 "^noonfit: the answer is withheld" --water 24 --area 0.7 --from 39 --to 95 --in 75m --sun 850 --units si
noonfit tally --water 60 --area 0.7 --from 20C --to 45C --in 1h --sun 800 --anyway >text ||
    fail "--anyway"
head -2 text | grep -q "Doubtful.*311 %" || fail "the doubt is not in front: $(head -2 text)"
finish
