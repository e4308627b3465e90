#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# README.md and the pages it leads to keep their word: outputs shown are what the programs say,
# files and headings linked to are there, the shortest rig file and the adapter page's are accepted,
# pictures are pictures.
. "$(dirname "$0")/common.bash" || exit 2
cd "$TEST_SOURCE" || exit 1

python3 tests/e2e/readme_blocks.py README.md || failures=1

# links FILE: what it links to, relative to itself.
links() {
    grep -oE '\]\([^)]+\)' "$1" | sed 's/^](//; s/)$//' | grep -vE '^[a-z]+:'
}

# The name a heading gets: lower case, no punctuation, dashes for blanks.
anchors() {
    sed -nE 's/^#+ //p' "$1" | tr '[:upper:]' '[:lower:]' | sed -E 's/[^a-z0-9 _-]//g; s/ /-/g'
}

count=0
for page in README.md DEVELOPERS.md logger/ADAPTER.md sample-runs/README.md; do
    while read -r link; do
        count=$((count + 1))
        file=$(dirname "$page")/${link%%#*}
        [ -n "${link%%#*}" ] || file=$page
        [ -e "$file" ] || fail "$page: no file $link"
        [[ $link != *#* ]] || anchors "$file" | grep -qx -- "${link#*#}" ||
            fail "$page: no heading $link"
    done < <(links "$page")
done
[ "$count" -gt 8 ] || fail "only $count links found"

for picture in sample-runs/pictures/*.png; do
    [ "$(head -c 8 "$picture" | od -An -tx1 | tr -d ' ')" = 89504e470d0a1a0a ] ||
        fail "$picture is no PNG"
    [ "$(stat -c %s "$picture")" -lt 100000 ] || fail "$picture is not small"
    grep -q "$picture" README.md || fail "$picture is not used"
done

# The rig files shown: noonlog takes them, as far as the port that is not there.
awk '/^```ini/ { on = 1; next } /^```/ { on = 0 } on' README.md >"$work/shortest.ini"
awk '/^    \[adapter\]/ { on = 1 } /^\*\*Bought/ { on = 0 } on' logger/ADAPTER.md |
    sed 's/^    //' >"$work/adapter.ini"
sed -n '/^\.SH EXAMPLE/,/^\.fi/p' logger/run/man/noonrun-rig.5 | grep -v '^\.' >"$work/page.ini"
for rig in shortest adapter page; do
    [ "$(wc -l <"$work/$rig.ini")" -gt 10 ] || fail "$rig.ini not found"
    said=$("$TEST_PROGRAMS/noonlog" listen "$work/$rig.ini" --port "$work/none" 2>&1)
    [ $? -eq 2 ] && [[ $said == *"$work/none"* ]] || fail "$rig.ini: $said"
done

# Every key of the JSON documents is explained to developers.
runs=sample-runs
# A bath stands still: the first minutes of the slowest record.
mkdir "$work/bath"
cp $runs/wash-stand-glazed-cool-down/{rig.ini,notes.csv} "$work/bath/"
head -n 41 $runs/wash-stand-glazed-cool-down/readings.csv >"$work/bath/readings.csv"
{
    noonfit fit $runs/wash-stand-glazed --monte-carlo 20 --json
    noonfit compare $runs/wash-stand-glazed $runs/wash-stand-bare --json
    noonfit inspect $runs/wash-stand-glazed-panel-pump --json
    noonfit predict $runs/wash-stand-glazed --day 2026-06-21 --start 9:30 --air 22C --from 12C \
        --to 43C --json
    noonfit size $runs/wash-stand-glazed --day 2026-06-21 --by 15:00 --air 22C --from 12C --to 40C \
        --tap 12C --months --json
    noonfit pump $runs/wash-stand-glazed-panel-pump --json
    noonfit plan $runs/wash-stand-bare-store-only/rig.ini --json
    noonlog bath "$work/bath" --json
} >"$work/documents" 2>"$work/said" || fail "$(cat "$work/said")"
python3 - "$work/documents" DEVELOPERS.md <<'P' || failures=1
import json, re, sys

text, told = open(sys.argv[1]).read(), set(re.findall(r"`(\w+)`", open(sys.argv[2]).read()))
keys, at, documents, decoder = set(), 0, 0, json.JSONDecoder()

def collect(value, name=""):
    if isinstance(value, dict) and name != "keys":  # those are the rig file's
        for key, inner in value.items():
            keys.add(key)
            collect(inner, key)
    elif isinstance(value, list):
        for inner in value:
            collect(inner, name)

while at < len(text):
    document, at = decoder.raw_decode(text, at)
    collect(document)
    documents += 1
    at += len(text[at:]) - len(text[at:].lstrip())
missing = sorted(keys - told)
if missing or documents != 8:
    sys.exit("DEVELOPERS.md does not explain: %s (%d documents)" % (", ".join(missing), documents))
P

# The line with a checksum: its checksum is right, by another program's sum.
line=$(grep -oE 'ms=2000,[^ ]*\*[0-9A-F]{2}$' logger/ADAPTER.md)
python3 - "$line" <<'P' || fail "checksum of $line"
import functools, operator, sys

text, _, given = sys.argv[1].partition("*")
sys.exit(functools.reduce(operator.xor, text.encode()) != int(given, 16))
P
finish
