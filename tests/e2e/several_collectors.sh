#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Several collectors in one record: fit of each, compare of all, one by name; parts of a record; before
# and after a note. The record is made of two sample runs of one sky; the answers are those of the two.
. "$(dirname "$0")/common.bash" || exit 2
python3 "$TEST_SOURCE/tests/e2e/join_runs.py" "$samples/wash-stand-glazed" "$samples/wash-stand-bare" both ||
    fail "the record could not be made"

noonfit fit both --json >both.json || fail "fit"
noonfit fit "$samples/wash-stand-glazed" --json >left.json
noonfit fit both --collector left --json >one.json || fail "fit --collector"
noonfit compare both --json >pair.json || fail "compare of one record"
noonfit compare "$samples/wash-stand-glazed" "$samples/wash-stand-bare" --json >apart.json
noonfit inspect both --json >inspect.json || fail "inspect"
python3 - <<'END' || fail "the answers of one record are not those of two"
import json
load = lambda name: json.load(open(name))
both, left, one, pair, apart = map(load, ("both.json", "left.json", "one.json", "pair.json", "apart.json"))
eta0 = lambda f: f["parameters"]["eta0"]
assert [c["collector"]["name"] for c in both["collectors"]] == ["left", "right"]
assert abs(eta0(both["collectors"][0])["value"] - eta0(left)["value"]) < 1e-4
assert eta0(one) == eta0(both["collectors"][0]) and one["collector"]["name"] == "left"
assert pair["labels"] == ["left", "right"], pair["labels"]
a, b = pair["differences"][0]["eta0"], apart["differences"][0]["eta0"]
# The sample runs name one pyranometer, so that its error cancels in both.
assert abs(a["value"] - b["value"]) < 2e-3 and abs(a["u"] - b["u"]) < 2e-3, (a, b)
assert a["u"] < 0.7 * eta0(left)["u"]
assert len(load("inspect.json")["collectors"]) == 2
END

refuse() {
    local status=$1 words=$2
    shift 2
    noonfit "$@" >out 2>said
    local got=$?
    [ $got = "$status" ] || fail "$*: exit status $got"
    grep -q -- "$words" said || fail "$*: no \"$words\" in $(cat said)"
}
refuse 2 'holds several collectors (left, right)' predict both --sun 900 --air 20C --from 15C --to 40C
refuse 2 'no collector "middle"' fit both --collector middle
for picture in --plot --budget-plot --energy-plot; do # each by itself
    refuse 2 'a picture is of one collector' fit both $picture x.png
done
refuse 2 'use `noonfit compare`' fit "$samples/wash-stand-glazed" "$samples/wash-stand-bare"
refuse 2 'one build; name another' compare "$samples/wash-stand-glazed"
noonfit predict both --collector right --sun 900 --air 20C --from 15C --to 30C >out || fail "predict"
noonfit compare both "$samples/wash-stand-glazed-hot" --json >three.json || fail "a third build"
python3 - <<'END' || fail "three builds"
import json
c = json.load(open("three.json"))
assert len(c["labels"]) == 3
r = c["ranking"]
assert [x["rank"] for x in r] == [1, 2, 3] and sorted(x["label"] for x in r) == sorted(c["labels"])
times = [x["time_s"]["value"] for x in r]
assert times == sorted(times), times
assert all(1 <= x["rank_lo95"] <= x["rank"] <= x["rank_hi95"] <= 3 and x["group"] for x in r), r
for d in c["differences"]:
    own, wide = d["heat_up_s"], d["all_pairs"]["heat_up_s"]
    assert wide[0] < own["lo95"] < own["hi95"] < wide[1], d  # each its own, and all together
    assert abs(own["hi95"] - own["value"] - 1.959964 * own["u"]) < 1e-3 * own["u"]
END
noonfit compare both "$samples/wash-stand-glazed-hot" >out || fail "text of three builds"
grep -q 'heats up first of 3' out && grep -q -- '--pairs' out || fail "three builds begin with a ranking"
! grep -q 'left - right\|right - left' out || fail "pairs nobody asked for"
noonfit compare both "$samples/wash-stand-glazed-hot" --pairs | grep -q 'right - left' || fail "--pairs"
noonfit report both -o page.html || fail "report"
grep -q left page.html || fail "no name on the page"
# The page answers the question that compare answers, in the same words.
noonfit report both -o asked.html --to 40C --air 18C --sun 900 || fail "report with a question"
noonfit compare both --to 40C --air 18C --sun 900 | tr '\n' ' ' | sed 's/\. .*/./' >sentence
grep -q 'beats right' sentence || fail "compare's sentence: $(cat sentence)"
python3 - <<'END' || fail "the page does not say what compare says"
import html, re
told = lambda text: re.sub(r"[^a-z0-9.]+", " ", text.lower())
page = html.unescape(re.sub(r"<[^>]*>", " ", open("asked.html").read()))
page, sentence = (told(t.replace("\u00b2", "2").replace("\u00b0C", "degC")) for t in (page, open("sentence").read()))
assert sentence in page, sentence
END
refuse 2 'want two collectors or more' report both --collector left -o x.html --to 40C
refuse 2 'must be above --from' report both -o x.html --to 20C --from 30C

# Parts: by time since the start and by the clock, the same rows.
noonfit fit "$samples/wash-stand-glazed" --use 10m..55m --json >part.json || fail "--use"
begin=$(sed -n 2p "$samples/wash-stand-glazed/readings.csv" | cut -d, -f1)
clock() { date -u -d "$begin + $1 min" +%H:%M; }
noonfit fit "$samples/wash-stand-glazed" --use "$(clock 10)Z..$(clock 55)Z" --json >clock.json || fail "clock"
TZ=America/Denver noonfit fit "$samples/wash-stand-glazed" --json \
    --use "$(TZ=America/Denver date -d "$begin + 10 min" +%H:%M)..$(TZ=America/Denver date -d "$begin + 55 min" +%H:%M)" \
    >zone.json || fail "a clock of another zone"
python3 - <<'END' || fail "parts of a record"
import json
part, clock, zone = (json.load(open(n + ".json")) for n in ("part", "clock", "zone"))
rows = [d["runs"][0]["rows"] for d in (part, clock, zone)]
assert 1340 <= rows[0] <= 1360 and abs(rows[1] - rows[0]) <= 31 and rows[1] == rows[2], rows
END
refuse 1 'no row lies in that part' fit "$samples/wash-stand-glazed" --use 5h..6h
refuse 2 'give a part such as' fit "$samples/wash-stand-glazed" --use 10m-20m
refuse 2 'give a part such as' fit "$samples/wash-stand-glazed" --use 30m..20m
refuse 2 'give a part such as' fit "$samples/wash-stand-glazed" --use ..
refuse 2 'give a part such as' fit "$samples/wash-stand-glazed" --use 10:30+99:00..
refuse 2 'give a part such as' fit "$samples/wash-stand-glazed" --use 10:30+02:75..
refuse 2 'give a part such as' fit "$samples/wash-stand-glazed" --use 10:30+-5:00..

# Before and after a note.
cp -r "$samples/wash-stand-glazed" noted
printf '2026-05-16T10:52:00.000Z,2220.000,note,lid open\n' >>noted/notes.csv
noonfit compare noted --change "lid open" --json >change.json || fail "--change"
python3 - <<'END' || fail "before and after"
import json
c = json.load(open("change.json"))
assert c["labels"] == ["before", "after: lid open"], c["labels"]
d = c["differences"][0]["eta0"]
assert d["lo95"] < 0 < d["hi95"], d  # nothing was changed
assert d["u"] < 0.02  # the sensors are the same
END
refuse 2 'no notes have the words "pane off"; the notes are: .*lid open' compare noted --change "pane off"

finish
