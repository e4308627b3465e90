#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit fit and compare on what is no record, or a record that cannot answer: status 2 with file
# and line for the former, 1 with the reason for the latter; one message, no result, no crash, and
# nothing written.
. "$(dirname "$0")/common.bash" || exit 2
good=$TEST_SOURCE/sample-runs/wash-stand-glazed
other=$TEST_SOURCE/sample-runs/wash-stand-bare
mkdir clean

# refuse STATUS WHAT PATTERN COMMAND...: also that a picture asked for does not appear, in part or
# under another name.
refuse() {
    local status=$1 what=$2 pattern=$3 got
    shift 3
    (cd clean && "$@") >out 2>said
    got=$?
    [ $got -eq "$status" ] || fail "$what: exit status $got, not $status: $(head -c 400 said)"
    [ ! -s out ] || fail "$what: printed a result: $(head -c 200 out)"
    grep -Eq "^noonfit: $pattern" said || fail "$what: said $(head -c 400 said)"
    ! grep -Eq 'AddressSanitizer|runtime error' said || fail "$what: $(cat said)"
    [ "$(wc -c <said)" -lt 3000 ] || fail "$what: a flood of $(wc -c <said) bytes"
    [ -z "$(ls -A clean)" ] || fail "$what: left behind $(ls -A clean)" && rm -rf clean/*
}

fresh() {
    rm -rf run
    cp -r "$good" run
}

fit() { # STATUS WHAT PATTERN
    refuse "$1" "$2" "$3" "$noonfit" fit ../run --plot fit.png --budget-plot budget.svg
}

# The reading is the same for all; a few also as JSON and in a comparison.
everywhere() { # STATUS WHAT PATTERN
    fit "$@"
    refuse "$1" "$2 (JSON)" "$3" "$noonfit" fit ../run --json
    refuse "$1" "$2 (compare)" "$3" "$noonfit" compare "$other" ../run --plot compare.pdf
}

# readings COLUMN EXPRESSION: every cell of a column replaced by an awk expression.
readings() {
    awk -F, -v OFS=, -v name="$1" 'NR == 1 { for (i = 1; i <= NF; i++) if ($i ~ "^" name) c = i }
        NR > 1 && c { $c = '"$2"' } 1' "$good/readings.csv" >run/readings.csv
}

# -- readings.csv

fresh && : >run/readings.csv
everywhere 2 "empty file" '../run/readings.csv: is empty; readings need time_utc'
fresh && sed -i '2,$d' run/readings.csv
fit 2 "header only" '../run/readings.csv: there are no readings'
fresh && sed -i '1s/elapsed_s/elapsed/' run/readings.csv
fit 2 "no elapsed_s" '../run/readings.csv:1: there is no column elapsed_s'
fresh && sed -i '500s/[0-9.]*$/abc/' run/readings.csv
fit 2 "no number" '../run/readings.csv:500: column wind_m_s: "abc" is not a number; write'
fresh && sed -i '500{h;d};501{G}' run/readings.csv
everywhere 2 "time backwards" '../run/readings.csv:501: column elapsed_s: .* does not come after'
fresh && sed -i '700s/,[^,]*$//' run/readings.csv
fit 2 "a cell too few" '../run/readings.csv:700: '
fresh && sed -i '700s/$/,1/' run/readings.csv
fit 2 "a cell too many" '../run/readings.csv:700: '
fresh && rm run/readings.csv
fit 2 "no readings" '../run/readings.csv: cannot be opened'
fresh && head -c 300000 /dev/urandom >run/readings.csv
fit 2 "binary garbage" '../run/readings.csv'
fresh && { head -1 "$good/readings.csv"; head -c 3000000 /dev/zero | tr '\0' 7; echo; } >run/readings.csv
fit 2 "a huge cell" '../run/readings.csv:2: '
fresh && { head -1 "$good/readings.csv"; yes , | head -1000000 | tr -d '\n'; echo; } >run/readings.csv
fit 2 "a million cells" '../run/readings.csv:2: '

fresh && sed -i '140,$d' run/readings.csv
everywhere 1 "shorter than five minutes" '../run: the answer is withheld: The record is only [0-9]+ s long. A fit needs five minutes'
fresh && sed -i '3,$d' run/readings.csv
fit 1 "one row" '../run: the answer is withheld: The record is only 0 s long'
fresh && sed -i '1s/,sun_W_m2/,light_W_m2/' run/readings.csv && sed -i 's/^\[channel sun\]/[channel light]/' run/rig.ini
fit 1 "no sun column" '../run: readings.csv has no sun column; the efficiency is heat gained over'
fresh && readings sun '""'
fit 1 "sun all empty" '../run: the answer is withheld: The sun column holds no reading at all'
fresh && readings sun 0
everywhere 1 "no sun" '../run: the pump never ran while the sun shone \(highest irradiance 0 W/m2'
fresh && readings sun '3 + NR % 7 / 10'
fit 1 "no sun, noise" '../run: the answer is withheld: The sun column stays below'
fresh && awk -F, -v OFS=, 'NR == 1 { for (i = 1; i <= NF; i++) if ($i ~ /^(store|inlet)/) c[i] = 1 }
    NR > 1 { for (i in c) $i = "" } 1' "$good/readings.csv" >run/readings.csv
fit 1 "no water temperature" '../run: the answer is withheld: The store column holds no reading at all'
fresh && awk -F, -v OFS=, 'NR > 1 { for (i = 3; i <= NF; i++) $i = "" } 1' "$good/readings.csv" \
    >run/readings.csv
fit 1 "nothing but empty cells" '../run: the answer is withheld: The air column holds no reading at all'


# A flow meter that stood still while the water warmed is a dead one: answered without it, and said.
fresh && readings flow 0
"$noonfit" fit run --json >out 2>said || fail "dead flow meter: $(cat said)"
grep -q '"model": "store"' out || fail "dead flow meter: $(grep '"model"' out)"
grep -q '"readings-left-out"' out || fail "dead flow meter: not a word about it"

# -- rig.ini

fresh && sed -i 's/^gross_area_m2.*/gross_area_m2 = 0/' run/rig.ini
everywhere 2 "area zero" '../run/rig.ini:[0-9]+: \[collector\] gross_area_m2 = "0": not believable'
fresh && sed -i 's/^gross_area_m2.*/gross_area_m2 = -1.2/' run/rig.ini
fit 2 "area negative" '../run/rig.ini:[0-9]+: \[collector\] gross_area_m2 = "-1.2": not believable'
fresh && sed -i 's/^gross_area_m2.*/gross_area_m2 = nan/' run/rig.ini
fit 2 "area no number" '../run/rig.ini:[0-9]+: \[collector\] gross_area_m2 = "nan": not a number'
fresh && sed -i '/gross_area_m2/d' run/rig.ini
fit 2 "no area" '../run/rig.ini:[0-9]+: \[collector\] gross_area_m2 .* is missing'
fresh && sed -i 's/^water_kg.*/water_kg = 0/' run/rig.ini
fit 2 "no water" '../run/rig.ini:[0-9]+: \[store\] water_kg = "0"'
fresh && echo 'colour = black' >>run/rig.ini
everywhere 2 "unknown key" '../run/rig.ini:[0-9]+: .* has no key "colour"; keys here: '
fresh && echo '[gauge sun]' >>run/rig.ini
fit 2 "unknown section" '../run/rig.ini:[0-9]+: .*gauge'
fresh && head -c 30000 /dev/urandom >run/rig.ini
fit 2 "binary rig" '../run/rig.ini'
fresh && { cat "$good/rig.ini"; head -c 2000000 /dev/zero | tr '\0' a; } >run/rig.ini
fit 2 "huge rig" '../run/rig.ini: is larger than 1 MB'
fresh && rm run/rig.ini
fit 2 "no rig" '../run/rig.ini: cannot be opened'

# -- no folder at all

rm -rf run
everywhere 2 "missing folder" '../run: cannot be opened as a run folder'
cp "$good/rig.ini" run
fit 2 "a file" '../run: is a file; a run is a folder'
rm run && mkdir run
fit 2 "an empty folder" '../run/rig.ini: cannot be opened'

# -- usage

refuse 2 "no run" 'fit: name at least one run folder' "$noonfit" fit
refuse 2 "one build" 'compare: one build; name another' "$noonfit" compare "$good"
refuse 2 "a run twice" '.*is named for two builds' "$noonfit" compare "$good" "$other" "$good"
refuse 2 "twice" '.*is named twice' "$noonfit" fit "$good" "$good/"
refuse 2 "an empty name" '.*an empty name in the list' "$noonfit" compare "$good,," "$other"
refuse 2 "nothing to fit" 'fit: --store-only and --loop-only' \
    "$noonfit" fit "$good" --store-only --loop-only
refuse 2 "unknown option" 'fit: unknown option "--colour"' "$noonfit" fit "$good" --colour
# The same range on every computer: a long may have 32 bits.
refuse 2 "a large seed" 'fit: --seed 2147483648: give a whole number from 0 to 2147483647' \
    "$noonfit" fit "$good" --seed 2147483648
refuse 2 "no such unit" 'fit: --units metric: give si or us; see .noonfit fit --help.' "$noonfit" fit "$good" --units metric

finish
