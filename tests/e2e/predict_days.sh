#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit predict and size through the program: text, JSON, picture, round trips, refusals.
. "$(dirname "$0")/common.bash" || exit 2
runs=$TEST_SOURCE/sample-runs
glazed=$runs/wash-stand-glazed
# status WANTED WORDS ARGUMENTS...: exit status, and WORDS in what is said.
status() {
    local wanted=$1 words=$2
    shift 2
    noonfit "$@" >out 2>said
    local got=$?
    [ $got = "$wanted" ] || fail "noonfit $*: exit status $got, not $wanted: $(cat said)"
    grep -q -e "$words" out said || fail "noonfit $*: no \"$words\" in: $(cat out said)"
    if [ "$wanted" != 0 ]; then
        [ -s out ] && fail "noonfit $*: output beside an error"
        [ "$(wc -l <said)" = 1 ] || fail "noonfit $*: not one line of error: $(cat said)"
    fi
}

steady="--sun 900 --air 20C --from 15C --to 40C"
status 0 "36 kg of water take" predict $glazed $steady
noonfit predict $glazed $steady --json --plot day.png >day.json || fail "predict --json --plot"
[ "$(head -c 4 day.png | tail -c 3)" = PNG ] || fail "no picture"
# The reference day of the demo, true for the simulated heater itself.
python3 - "$runs/truth/wash-stand-glazed.json" <<'PYTHON' || fail "predict: JSON"
import json, sys
x, truth = json.load(open("day.json")), json.load(open(sys.argv[1]))
true_s = truth["reference_day"]["heat_up_s"]
t = x["time_s"]
assert x["reached"] is True and t["unit"] == "s"
assert t["lo95"] < true_s < t["hi95"], (t, true_s)
assert abs((t["u_random"]**2 + t["u_systematic"]**2)**.5 / t["u"] - 1) < 1e-6
trace = x["trace"]
assert trace[0]["time_s"] == 0 and abs(trace[0]["store_degC"] - 15) < .01
assert all(a["store_degC"] < b["store_degC"] for a, b in zip(trace, trace[1:]))
assert all(p["lo95"] <= p["store_degC"] <= p["hi95"] for p in trace)
assert x["final_degC"]["unit"] == "degC" and x["day"]["clear_sky"] is False
assert "outside-tested" in [c["code"] for c in x["cautions"]]
PYTHON

# The same question in the other units.
noonfit predict $glazed --units us --sun 900 --air 68 --from 59F --to 104 --json >us.json
python3 -c '
import json
a, b = json.load(open("day.json")), json.load(open("us.json"))
assert abs(a["time_s"]["value"] - b["time_s"]["value"]) < 1' || fail "units"
noonfit predict $glazed --units us --sun 900 --air 68 --from 59F --to 104 | grep -q "59 to 104 degF" ||
    fail "US sentence"

# Never reached: null, exit status 0, a way out.
noonfit predict $glazed --sun 250 --air 0C --from 5C --to 60C --json >never.json || fail "never"
python3 -c '
import json
x = json.load(open("never.json"))
assert x["reached"] is False and x["time_s"] is None and x["remedy"]
assert x["final_degC"]["value"] < 60' || fail "never: JSON"

# A clear day: zone and solar time are the same day (9.9 E is 39.6 minutes ahead of UTC).
noonfit predict $glazed --day 2026-06-21 --start 8:00Z --air 22C --from 12C --to 43C --json >z.json
noonfit predict $glazed --day 2026-06-21 --start 10:00+02:00 --air 22C --from 12C --to 43C --json >c.json
python3 -c '
import json
a, b = json.load(open("z.json")), json.load(open("c.json"))
assert a["time_s"] == b["time_s"] and a["trace"] == b["trace"]
assert " 8:00" in a["sentence"] and " 10:00" in b["sentence"]' || fail "one instant, two zones"
# The picture's clock is the one of the question.
for start in 8:00 8:00Z 10:00+02:00; do
    noonfit predict $glazed --day 2026-06-21 --start $start --air 22C --from 12C --to 43C \
        --plot "clock-$start.svg" >/dev/null || fail "predict --plot, $start"
done
grep -q ">solar time<" clock-8:00.svg || fail "no solar time in the picture"
grep -q ">clock, UTC<" clock-8:00Z.svg || fail "no UTC in the picture"
grep -q ">clock, UTC+02:00<" clock-10:00+02:00.svg || fail "no zone in the picture"
status 0 "solar time" predict $glazed --day 2026-06-21 --start 9:00 --air 22C --from 12C --to 43C
status 0 "after the sun" predict $glazed --day 2026-06-21 --start 9:00 --re-aimed --air 22C --from 12C --to 43C
status 0 "clear sky" predict $glazed --day 2026-12-21 --start 9:00 --latitude 40 --longitude -105.2 \
    --elevation 1600 --tilt 60 --azimuth 180 --air 5C --from 8C --to 38C

# Round trip: the water that `size` allows takes just as long as was allowed.
noonfit size $glazed --sun 800 --within 2h --air 20C --from 15C --to 38C --json >size.json || fail size
water=$(python3 -c 'import json; print(json.load(open("size.json"))["water_kg"]["best"])')
noonfit predict $glazed --sun 800 --air 20C --from 15C --to 38C --water "$water" --json >back.json
python3 -c '
import json
t = json.load(open("back.json"))["time_s"]["value"]
assert abs(t - 7200) < 10, t' || fail "round trip"
status 0 "latest start" size $glazed --day 2026-06-21 --by 15:00+02:00 --air 22C --from 12C --to 40C
status 0 "uses of 5 L" size $glazed --day 2026-06-21 --by 15:00 --air 22C --from 12C --to 40C --tap 12C
noonfit size $glazed --day 2026-06-21 --by 15:00 --months --air 2,3,7,11,15,19,21,20,17,12,6,3 \
    --from 8C --to 40C --json >year.json || fail "months"
python3 -c '
import json
m = json.load(open("year.json"))["months"]
assert len(m) == 12 and m[5]["air_degC"] == 19 and m[5]["water_kg"] > m[11]["water_kg"]' || fail "months: JSON"

# The other sizes, in JSON and as a picture; the year as another.
python3 -c '
import json
x = json.load(open("size.json"))
area, water = x["by_area"], x["by_water"]
assert all(a["area_m2"] < b["area_m2"] for a, b in zip(area, area[1:]))
assert all(a["warmest_degC"]["value"] > b["warmest_degC"]["value"] for a, b in zip(water, water[1:]))
assert area[0]["warmest_degC"]["value"] < 38 < water[0]["warmest_degC"]["value"]' || fail "by_area"
ask="--day 2026-06-21 --by 15:00+02:00 --air 22C --from 12C --to 40C"
for ending in png svg pdf; do
    noonfit size $glazed $ask --plot size.$ending >text || fail "size --plot $ending"
    noonfit size $glazed $ask --months --plot year.$ending --json >year.json || fail "months --plot"
done
python3 -c 'import json; json.load(open("year.json"))' || fail "months --plot --json"
[ "$(head -c 4 size.png | tail -c 3)" = PNG ] || fail "size.png is no PNG"
[ "$(head -c 5 year.pdf)" = %PDF- ] || fail "year.pdf is no PDF"
grep -q "by 15:00 is reached" size.svg || fail "size.svg: no finding"
latest=$(grep -o "latest start  *[0-9:]*" text | grep -o "[0-9:]*$")
grep -q "UTC+02:00: $latest at the latest" size.svg || fail "size.svg: not $latest"
grep -q "sure in every month" year.svg || fail "year.svg: no finding"
noonfit size $glazed --sun 150 --within 1h --air 0C --from 5C --to 60C --units us --plot no.svg >text ||
    fail "size --plot, not reached"
grep -q "140 °F within 60 min is not reached" no.svg || fail "no.svg: not said"
status 2 "\.png, \.svg or \.pdf" size $glazed $ask --plot size.jpg

# Refusals say what is missing.
status 2 "\-\-from T" predict $glazed --sun 900 --air 20C
status 2 "\-\-sun" predict $glazed --air 20C --from 15C --to 40C
status 2 "must be warmer than the start (--to T, --from T)" predict $glazed --sun 900 --air 20C --from 40C --to 15C
status 2 "such as 2026-06-21" predict $glazed --day 21.6.2026 --air 20C --from 15C --to 40C
status 2 "such as 10:30" predict $glazed --day 2026-06-21 --start 25:00 --air 20C --from 15C --to 40C
status 2 "exclude each other" predict $glazed --day 2026-06-21 --start 9:00 --sun 900 --air 20C --from 15C --to 40C
status 2 "give 50 to 1500 W_m2" predict $glazed --sun 9000 --air 20C --from 15C --to 40C
status 2 "unknown option" predict $glazed --frm 3
status 2 "name at least one run" predict
status 1 "sun has set" predict $glazed --day 2026-06-21 --start 22:00 --air 20C --from 15C --to 40C
status 1 "" predict $runs/wash-stand-glazed-cool-down $steady
status 2 "\-\-within" size $glazed --sun 900 --air 20C --from 15C --to 40C
status 2 "\-\-by" size $glazed --day 2026-06-21 --air 20C --from 15C --to 40C
status 2 "twelve" size $glazed --day 2026-06-21 --by 15:00 --months --air 1,2,3 --from 15C --to 40C
status 0 "Usage: noonfit predict" predict --help
status 0 "Usage: noonfit size" size --help

finish
