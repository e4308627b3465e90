#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit season through the program: a typical year against a balance by another program, text, JSON,
# picture, the same seed the same numbers, refusals.
. "$(dirname "$0")/common.bash" || exit 2
glazed=$TEST_SOURCE/sample-runs/wash-stand-glazed
gzip -dc "$TEST_SOURCE/tests/data/weather/denver-tmy3.epw.gz" >year.epw

noonfit fit --json "$glazed" >fit.json || fail "fit"
noonfit season "$glazed" --weather year.epw --json >season.json || fail "season --json"
python3 "$TEST_SOURCE/tests/known-answer/season.py" year.epw fit.json season.json ||
    fail "far from the balance of another program"
noonfit season "$glazed" --weather year.epw --json >again.json
cmp -s season.json again.json || fail "the same seed gives other numbers"
python3 - <<'END' || fail "JSON"
import json
s = json.load(open("season.json"))
d = s["days"]
assert s["program"] == "noonfit" and d["of"] == 365, d
assert d["lo95"] <= d["reached"] <= d["hi95"] and d["year_lo95"] < d["reached"] < d["year_hi95"], d
assert sum(m["reached"] for m in s["by_month"]) == d["reached"], d
assert [m["days"] for m in s["by_month"]] == [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
assert len(s["calendar"]) == 365 and s["calendar"][0]["date"] == "2025-01-01", s["calendar"][0]
assert abs(sum(c["uses"] for c in s["calendar"]) - s["uses"]["count"]) < 1e-6
july, january = s["by_month"][6], s["by_month"][0]
assert july["warmest_degC"] > january["warmest_degC"] + 15 and s["changes"] is None
END

# A plain table of one summer day and a half: one day, no year to differ from.
{
    echo time_utc,GHI_W_m2,DHI_W_m2,air_degC,wind_m_s
    for h in $(seq 0 47); do
        sun=$(awk -v h=$((h % 24)) 'BEGIN { s = sin((h - 4) * 3.14159 / 16); print (s > 0 ? 850 * s : 0) }')
        echo "2026-06-$(printf '%02dT%02d' $((20 + h / 24)) $((h % 24))):00:00Z,$sun,$(awk -v s="$sun" 'BEGIN { print 0.2 * s }'),20,2"
    done
} >plain.csv
noonfit season "$glazed" --weather plain.csv --json --price 150 --changes >plain.json || fail "plain table"
python3 - <<'END' || fail "JSON of a plain table"
import json
s = json.load(open("plain.json"))
assert s["weather"]["format"] == "plain" and len(s["calendar"]) in (1, 2), s["weather"]
assert s["days"]["year_lo95"] is None
assert abs(s["cost_per_kWh"] - 150 / (10 * s["heat_kWh"]["value"])) < 1e-12
codes = [c["code"] for c in s["changes"]]
assert "second-collector" in codes and "later-start" in codes, codes
by = {c["code"]: c["heat_kWh"] for c in s["changes"]}
told = {c["code"]: c["text"] for c in s["changes"]}
assert "second collector" in told["second-collector"] and "later" in told["later-start"], told
assert by["second-collector"] > 0 > by["later-start"] and by["re-aimed"] > 0, by
END

noonfit season "$glazed" --weather year.epw --to 110F --units us --plot year.svg >text || fail "text"
grep -q 'reaches 110 degF on' text || fail "no degF: $(head -1 text)"
grep -q 'Legionella' text || fail "no cautions"
awk 'length > 80 { exit 1 }' text || fail "text wider than 80 columns"
grep -q '110 °F on' year.svg || fail "no finding in the picture"

refuse() {
    local status=$1 words=$2
    shift 2
    noonfit season "$@" >out 2>said
    local got=$?
    [ $got = "$status" ] || fail "season $*: exit status $got"
    grep -q -- "$words" said || fail "season $*: no \"$words\" in $(cat said)"
    [ ! -s out ] || fail "season $*: output beside an error"
}
refuse 2 'name the year: --weather FILE' "$glazed"
refuse 2 'none.epw' "$glazed" --weather none.epw
refuse 2 'no line names the columns' "$glazed" --weather "$glazed/adapter.log"
refuse 2 'must be half an hour after the start or more (--by TIME, --start TIME)' "$glazed" --weather year.epw --start 12:00 --by 12:20
refuse 2 '110 was read as degC; write 110F' "$glazed" --weather year.epw --to 110
refuse 2 'warmer than the start (--to T, --from T)' "$glazed" --weather year.epw --to 20C --from 30C
head -c 100000 year.epw >cut.epw
refuse 2 'cut.epw:' "$glazed" --weather cut.epw

finish
