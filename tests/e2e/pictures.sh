#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Every picture of the sample runs as SVG, in both systems of units, with plain, long and wide names:
# no text outside the canvas, no two texts over each other, every number of a title the answer's own
# (pictures.py). That PNG and PDF come out is seen where each command is tested.
. "$(dirname "$0")/common.bash" || exit 2
export TZ=UTC

mkdir "$work/pictures"
at=$work/pictures

# named COPY RUN NAME: a run whose collector and title have that name, of every fifth row
named() {
    cp -r "$samples/$2" "$1"
    awk 'NR == 1 || NR % 5 == 0' "$samples/$2/readings.csv" >"$1/readings.csv"
    sed -i "s|^name *=.*|name = $3|; s|^title *=.*|title = $3: $3|" "$1/rig.ini"
}

long='Market garden wash stand, below WWW of the tunnel, glass 4mm' # sixty letters
wide='洗い場の太陽熱温水器硝子四粍平板型集熱'
named "a-folder-with-a-name-as-long-as-anybody-would-like-to-have-one" wash-stand-glazed "$long"
named "a-folder-with-a-name-as-long-as-anybody-would-like-to-have-two" wash-stand-bare "${long/4mm/3mm}"
named wide wash-stand-glazed "$wide"
named wide-bare wash-stand-bare "${wide:0:15}"

# of_fit VARIANT UNITS GLAZED BARE PANEL-PUMP
of_fit() {
    local v=$1 units=$2 glazed=$3 bare=$4 panel=$5
    {
        "$noonfit" fit "$glazed" --json --units "$units" --plot "$at/fit-$v.svg" \
            --energy-plot "$at/energy-$v.svg" --budget-plot "$at/budget-$v.svg" >"$at/fit-$v.json" &&
            "$noonfit" inspect "$panel" --json --units "$units" --plot "$at/inspect-$v.svg" \
                >"$at/inspect-$v.json" &&
            "$noonfit" card "$glazed" -o "$at/card-$v.svg" --units "$units" &&
            "$noonfit" card "$glazed" "$bare" -o "$at/ranking-$v.svg" --units "$units" &&
            "$noonfit" compare "$glazed" "$bare" --sun 900 --air 20C --from 15C --to 40C --json \
                --units "$units" --plot "$at/compare-$v.svg" >"$at/compare-$v.json"
    } || fail "$v: fit, inspect, card, compare"
}

# asked VARIANT UNITS GLAZED PANEL-PUMP
asked() {
    local v=$1 units=$2 glazed=$3 panel=$4
    local sky="--day 2026-06-21 --start 9:30+02:00 --air 22C --from 12C --to 43C"
    local steady="--sun 900 --air 22C --from 12C --to 43C"
    # shellcheck disable=SC2086
    {
        "$noonfit" predict "$glazed" $steady --json --units "$units" --plot "$at/predict-$v.svg" \
            >"$at/predict-$v.json" &&
            "$noonfit" predict "$glazed" $sky --json --units "$units" --plot "$at/sky-$v.svg" >"$at/sky-$v.json"
    } || fail "$v: predict"
    "$noonfit" pump "$panel" --json --units "$units" --plot "$at/pump-$v.svg" >"$at/pump-$v.json" ||
        fail "$v: pump"
}

of_fit si si "$samples/wash-stand-glazed" "$samples/wash-stand-bare" "$samples/wash-stand-glazed-panel-pump"
of_fit us us wide wide-bare wide
of_fit si-long si a-folder*one a-folder*two a-folder*one
asked si si "$samples/wash-stand-glazed" "$samples/wash-stand-glazed-panel-pump"
asked us us wide wide
"$noonfit" size wide --day 2026-06-21 --by 15:00+02:00 --air 22C --from 8C --to 40C --tap 8C --json \
    --units us --plot "$at/size-us.svg" >"$at/size-us.json" || fail "size"
"$noonfit" size a-folder*one --day 2026-06-21 --by 15:00+02:00 --months --from 8C --to 40C --tap 8C \
    --air 2C,3C,7C,11C,15C,19C,21C,20C,17C,12C,6C,3C --json --units si --plot "$at/months-si.svg" \
    >"$at/months-si.json" ||
    fail "months"

# A year of weather, two readings, an evening with the pump off, more builds than two.
gzip -dc "$TEST_SOURCE/tests/data/weather/denver-tmy3.epw.gz" >year.epw
"$noonfit" season a-folder*one --weather year.epw --json --units us --plot "$at/season-us.svg" \
    >"$at/season-us.json" || fail "season"
for units in si us; do
    "$noonfit" tally --water 6gal --area 7.5ft2 --from 64F --to 95F --in 75m --air 72F --sun 850W/m2 \
        --json --units $units --plot "$at/tally-$units.svg" >"$at/tally-$units.json" || fail "tally"
    "$noonfit" fit "$samples/wash-stand-glazed-cool-down" --json --units $units \
        --plot "$at/cooldown-$units.svg" >"$at/cooldown-$units.json" || fail "cool-down"
done
"$noonfit" compare a-folder*one wide wide-bare --json --units si --plot "$at/compare-si-many.svg" \
    >"$at/compare-si-many.json" || fail "three builds"
"$noonfit" card a-folder*one wide wide-bare -o "$at/ranking-many.svg" || fail "three builds"
# What is not there: a target that no build reaches, one that the day does not reach, a sun nobody measured.
"$noonfit" compare a-folder*one wide --sun 900 --air 20C --from 15C --to 95C --json --units si \
    --plot "$at/compare-si-none.svg" >"$at/compare-si-none.json" || fail "a target out of reach"
"$noonfit" predict wide --day 2026-06-21 --start 9:30+02:00 --air 22C --from 12C --to 95C --json --units us \
    --plot "$at/sky-us-none.svg" >"$at/sky-us-none.json" || fail "a temperature out of reach"
"$noonfit" tally --water 6gal --area 7.5ft2 --from 64F --to 95F --in 75m --air 72F --json --units us \
    --plot "$at/tally-us-dark.svg" >"$at/tally-us-dark.json" || fail "no sun"

# Several runs of one build, a cool-down among them; the store alone; clouds; a plan.
for units in si us; do
    "$noonfit" fit "$samples/wash-stand-glazed-cool-down" "$samples/wash-stand-glazed" --json \
        --units $units --plot "$at/fit-$units-runs.svg" --energy-plot "$at/energy-$units-runs.svg" \
        >"$at/fit-$units-runs.json" || fail "two runs"
    "$noonfit" plan "$samples/wash-stand-bare-store-only/rig.ini" --json --units $units \
        --plot "$at/plan-$units.svg" >"$at/plan-$units.json" || fail "plan"
done
"$noonfit" fit "$samples/wash-stand-bare-store-only" --json --plot "$at/fit-si-store.svg" \
    --energy-plot "$at/energy-si-store.svg" --units si >"$at/fit-si-store.json" || fail "store alone"

# A record with spikes, a gap in the middle and words of a person: triangles, flags.
cp -r "$samples/wash-stand-glazed-panel-pump" noted
python3 - noted <<'PYTHON' || fail "a noted record"
import sys
rows = open(sys.argv[1] + "/readings.csv").read().splitlines()
column = rows[0].split(",").index("outlet_degC")
for row in (700, 1500):
    cells = rows[row].split(",")
    cells[column] = "99.0"
    rows[row] = ",".join(cells)
del rows[1000:1150]
open(sys.argv[1] + "/readings.csv", "w").write("\n".join(rows) + "\n")
with open(sys.argv[1] + "/notes.csv", "a") as notes:
    for i in range(8):
        notes.write(f'2026-05-19T10:{5 + 5 * i:02}:00Z,{300 + 300 * i},note,"A cloud, and a word {i} about it that goes on"\n')
PYTHON
"$noonfit" inspect noted --json --units si --plot "$at/inspect-si-noted.svg" >"$at/inspect-si-noted.json" ||
    fail "a noted record"
grep -q '①' "$at/inspect-si-noted.svg" && grep -q '(2 more)' "$at/inspect-si-noted.svg" || fail "no flags"

# Letters that no font here has are squares, said once, and nothing else of the picture changes: it is
# that of a name written in squares. In an SVG they stay what they are.
named unreadable wash-stand-glazed 洗い場
named squares wash-stand-glazed □□□
cat >fonts.conf <<FONTS
<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd"><fontconfig><dir>$work/fonts</dir>
<cachedir>$work/fonts</cachedir></fontconfig>
FONTS
mkdir fonts && cp "$(fc-match -f '%{file}' sans-serif)" fonts/
for name in unreadable squares; do
    cp -rT $name same
    FONTCONFIG_FILE=$work/fonts.conf "$noonfit" fit same --plot $name.png --energy-plot $name-energy.png \
        >out 2>$name.err || fail "$name"
    FONTCONFIG_FILE=$work/fonts.conf "$noonfit" fit same --plot $name.svg >out 2>>$name.err || fail "$name"
done
cmp unreadable.png squares.png && cmp unreadable-energy.png squares-energy.png || fail "not drawn as squares"
[ "$(grep -c 'no font here' unreadable.err)" -eq 1 ] || fail "squares: $(cat unreadable.err)"
[ ! -s squares.err ] || fail "a word too much: $(cat squares.err)"
grep -q 洗い場 unreadable.svg || fail "letters lost from an SVG"

# The pictures inside a page: portrait ones for a telephone among them.
"$noonfit" report wide -o page.html --units us || fail "page"
python3 - page.html "$at" <<'PYTHON' || fail "the pictures of a page"
import re, shutil, sys
found = re.findall(r"<svg.*?</svg>", open(sys.argv[1], encoding="utf-8").read(), re.S)
kinds = ["card"] + [kind for kind in ("fit", "budget", "energy", "inspect") for _ in range(2)]
for i, (kind, svg) in enumerate(zip(kinds, found)):
    assert ('viewBox="0 0 1080 1350"' in svg) == (i == 0 or i % 2 == 1), (kind, i)
    open(f"{sys.argv[2]}/{kind}-us-page-{i}.svg", "w", encoding="utf-8").write(svg)
    for answer in ("fit", "inspect"):
        shutil.copy(f"{sys.argv[2]}/{answer}-us.json", f"{sys.argv[2]}/{answer}-us-page-{i}.json")
assert len(found) == len(kinds), len(found)
PYTHON

python3 "$TEST_SOURCE/tests/e2e/pictures.py" "$at" || fail "pictures"

# The looker sees what it is for: a number of a title off by one, words over the edge, words over words.
mkdir spoiled
cp "$at/fit-si.json" spoiled/
cp "$at/plan-si.json" spoiled/plan-edge.json
cp "$at/plan-si.json" spoiled/plan-over.json
off=$(grep -o '[0-9]* % at zero loss' "$at/fit-si.svg" | head -1 | cut -d' ' -f1)
sed "s/$off % at zero loss/$((off + 1)) % at zero loss/" "$at/fit-si.svg" >spoiled/fit-si.svg
words() {
    sed "s|</svg>|<g transform=\"translate($1,790)\" font-size=\"16\"><text>$2</text></g></svg>|"
}
words 1150 "over the edge" <"$at/plan-si.svg" >spoiled/plan-edge.svg
words 300 "one word" <"$at/plan-si.svg" | words 320 "another" >spoiled/plan-over.svg
if python3 "$TEST_SOURCE/tests/e2e/pictures.py" spoiled >seen; then fail "spoiled pictures are praised"; fi
for said in "fit-si.svg: the title says $((off + 1))" "plan-edge.svg: beyond the canvas: 'over the edge'" \
    "plan-over.svg: over each other: 'one word' and 'another'" "3 pictures, 3 titles with 10 numbers held against answers, 3 bad"; do
    grep -qF "$said" seen || fail "not seen: $said"
done
[ "$(wc -l <seen)" -eq 4 ] || fail "more seen than was spoiled: $(cat seen)"

finish
