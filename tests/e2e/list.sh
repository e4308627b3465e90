#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit list: all records below a folder, broken ones with their reason; CSV and JSON hold the same
# numbers to the last digit, those of `fit`; fit and compare as CSV hold those of their JSON.
. "$(dirname "$0")/common.bash" || exit 2
mkdir -p all/2026/may all/2026/broken all/2026/torn all/.hidden all/empty
cp -r "$samples/wash-stand-side-by-side" all/2026/may/both
cp -r "$samples/wash-stand-glazed-cool-down" all/evening
cp -r "$samples/wash-stand-bare" all/.hidden/old
ln -s "$work/all" all/2026/round # a circle
cp "$samples/wash-stand-bare/readings.csv" all/2026/broken
sed 's/^gross_area_m2.*/gross_area_m2 = large/' "$samples/wash-stand-bare/rig.ini" >all/2026/broken/rig.ini
cp "$samples/wash-stand-bare/rig.ini" "$samples/wash-stand-bare/adapter.log" all/2026/torn
: >all/2026/torn/readings.csv
cp -r "$samples/wash-stand-bare" all/formula
sed -i 's/^name = .*/name = =1+1, which is a long name for a formula/' all/formula/rig.ini

noonfit list all >text 2>said || fail "list: exit status $?: $(cat said)"
[ -s said ] && fail "said $(cat said)"
noonfit list all/ --json >list.json || fail "--json"
noonfit list all --csv >list.csv || fail "--csv"
noonfit list all/2026 --units us >us || fail "--units us"
grep -q 'Btu/(h ft2 degF)' us || fail "no US unit: $(tail -3 us)"
awk 'length > 80' text us | grep . && fail "lines wider than 80"
(cd all/2026/may && noonfit fit both --json) >fit.json || fail "fit"
(cd all/2026/may && noonfit fit both --csv) >fit.csv || fail "fit --csv"
noonfit fit all/evening --json >evening.json || fail "fit of the cool-down"
grep -q 'cool-down: the container.s loss only, [0-9]' text || fail "the cool-down: $(grep -A3 evening text)"
noonfit compare all/2026/may/both --json >pair.json || fail "compare"
noonfit compare all/2026/may/both --csv >pair.csv || fail "compare --csv"
python3 - <<'END' || fail "the numbers"
import csv, json
load = lambda name: json.load(open(name))
rows = lambda name: list(csv.DictReader(open(name, newline="")))
listed, table, fit = load("list.json"), rows("list.csv"), load("fit.json")
grades = [(r["folder"], r["grade"]) for r in listed["collectors"]]
assert grades == [("all/2026/broken", "broken"), ("all/2026/may/both", "good"), ("all/2026/may/both", "good"),
                  ("all/2026/torn", "broken"), ("all/evening", "good"), ("all/formula", "good")], grades
assert listed["records"] == 5 and listed["broken"] == 2
assert "rig.ini:" in listed["collectors"][0]["reason"] and "large" in listed["collectors"][0]["reason"]
assert "readings.csv" in listed["collectors"][3]["reason"]
assert [r["grade"] for r in table] == [g for _, g in grades]
assert table[5]["collector"].startswith("'=1+1, which"), table[5]
both = [r for r in listed["collectors"] if r["folder"].endswith("both")]
for one, row, by_fit in zip(both, [r for r in table if r["folder"].endswith("both")], fit["collectors"]):
    assert one["collector"] == by_fit["collector"]["name"] == row["collector"]
    for key, column in (("eta0", "eta0"), ("a1", "a1_W_m2K")):
        assert one[key] == by_fit["parameters"][key], key
        assert float(row[column]) == one[key]["value"] and float(row["u_" + column]) == one[key]["u"]
evening, row, alone = listed["collectors"][4], table[4], load("evening.json")["parameters"]["store_loss"]
assert evening["cool_down"] and evening["eta0"] is None and evening["a1"] is None and evening["reason"] is None
assert evening["store_loss"] == alone and row["cool_down"] == "yes" and row["eta0"] == row["a1_W_m2K"] == ""
assert float(row["store_loss_W_K"]) == alone["value"] and float(row["u_store_loss_W_K"]) == alone["u"]
assert not any(r["cool_down"] for r in listed["collectors"] if r is not evening)
assert table[0]["eta0"] == "" and table[0]["start_utc"] == ""

def same(row, quantity):
    if quantity is None:
        assert row["value"] == row["u"] == "", row
        return
    for key in ("value", "u", "u_random", "u_systematic", "lo95", "hi95"):
        assert float(row[key]) == quantity[key], (row, key)
    assert row["unit"] == quantity["unit"]

cells = {(r["collector"], r["against"], r["quantity"]): r for r in rows("fit.csv")}
for f in fit["collectors"]:
    for key in ("eta0", "a1", "a2", "a5", "store_loss"):
        same(cells[f["collector"]["name"], "", key], f["parameters"][key])
    same(cells[f["collector"]["name"], "", "run_efficiency"], f["energy"]["run_efficiency"])
pair = load("pair.json")
cells = {(r["collector"], r["against"], r["quantity"]): r for r in rows("pair.csv")}
for d in pair["differences"]:
    for key in ("eta0", "a1", "heat_up_s"):
        same(cells[d["of"], d["against"], key], d[key])
    assert float(cells[d["of"], d["against"], "probability_better"]["value"]) == d["probability_better"]
for label, h in zip(pair["labels"], pair["heat_up"]):
    same(cells[label, "", "heat_up_s"], h["time_s"])
END

refuse() {
    local status=$1 words=$2
    shift 2
    noonfit "$@" >out 2>said
    local got=$?
    [ $got = "$status" ] || fail "$*: exit status $got"
    grep -q -- "$words" said || fail "$*: no \"$words\" in $(cat said)"
}
refuse 1 'no record is here' list all/empty
refuse 2 'No such file' list nowhere
refuse 2 'not both' list all --json --csv
refuse 2 'not both' fit all/formula --json --csv
noonfit list all/2026/may/both >one || fail "a record itself"
[ "$(grep -c good one)" = 2 ] || fail "of itself: $(cat one)"
noonfit list all >/dev/full 2>said && fail "a full disk is no error"
noonfit list all --csv >/dev/full 2>said && fail "a full disk is no error"
finish
