#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit's results as people take them away: text, JSON, pictures and pages of the sample runs,
# through the real program. Pages are read back by python3's HTML parser, pictures by their heads.
. "$(dirname "$0")/common.bash" || exit 2
# expect STATUS COMMAND...: runs it, output in $work/out and $work/err
expect() {
    local status=$1 got
    shift
    "$@" >"$work/out" 2>"$work/err"
    got=$?
    [ "$got" -eq "$status" ] || fail "exit status $got, not $status: $* ($(head -c 300 "$work/err"))"
}

# Every tenth row of the sample runs: what forms a picture has, what a page is made of and whether it
# comes back does not hang on their number; pictures.sh looks at pictures of the whole records.
thin=$work/thin
mkdir "$thin"
for run in wash-stand-glazed wash-stand-glazed-hot wash-stand-bare; do
    cp -r "$samples/$run" "$thin/$run"
    awk 'NR == 1 || NR % 10 == 0' "$samples/$run/readings.csv" >"$thin/$run/readings.csv"
    awk 'NR % 10 == 0' "$samples/$run/adapter.log" >"$thin/$run/adapter.log"
done
glazed=$thin/wash-stand-glazed
bare=$thin/wash-stand-bare

# -- pictures: three forms, nothing beside them

mkdir "$work/pictures"
for ending in png svg pdf; do
    expect 0 "$noonfit" fit "$glazed" --plot "$work/pictures/fit.$ending" \
        --budget-plot "$work/pictures/budget.$ending" --energy-plot "$work/pictures/energy.$ending"
    expect 0 "$noonfit" inspect "$glazed" --plot "$work/pictures/inspect.$ending"
    expect 0 "$noonfit" compare "$glazed" "$bare" --plot "$work/pictures/compare.$ending"
done
[ "$(find "$work/pictures" -type f | wc -l)" -eq 15 ] || fail "not 15 pictures: $(ls "$work/pictures")"
for name in fit budget energy inspect compare; do
    [ "$(head -c 4 "$work/pictures/$name.png" | tail -c 3)" = PNG ] || fail "$name.png is no PNG"
    [ "$(head -c 5 "$work/pictures/$name.pdf")" = %PDF- ] || fail "$name.pdf is no PDF"
    python3 -c 'import sys, xml.dom.minidom as m; m.parse(sys.argv[1])' \
        "$work/pictures/$name.svg" || fail "$name.svg is no XML"
done
grep -q 'irradiance' "$work/pictures/fit.svg" || fail "fit.svg has no text of its own"

# An ending that is no picture, a place that is none, no gnuplot: status 2, nothing written.
expect 2 "$noonfit" fit "$glazed" --plot "$work/fit.jpg"
grep -q '\.png, \.svg or \.pdf' "$work/err" || fail "fit.jpg: $(cat "$work/err")"
expect 2 "$noonfit" fit "$glazed" --plot "$work/nowhere/fit.png"
mkdir "$work/empty"
expect 2 env PATH="$work/empty" "$noonfit" fit "$glazed" --plot "$work/fit.png"
grep -q 'gnuplot-nox' "$work/err" || fail "no gnuplot: $(cat "$work/err")"
[ ! -s "$work/out" ] || fail "a failed picture still printed a result"
[ -z "$(find "$work" -maxdepth 1 -name 'fit*')" ] || fail "left behind: $(ls "$work")"

# -- a card to post: three forms, its numbers those of the fit

mkdir "$work/cards"
for ending in png svg pdf; do
    expect 0 "$noonfit" card "$glazed" -o "$work/cards/one.$ending"
    expect 0 "$noonfit" card "$glazed" "$bare" -o "$work/cards/two.$ending" --units us
done
[ "$(find "$work/cards" -type f | wc -l)" -eq 6 ] || fail "not 6 cards: $(ls "$work/cards")"
expect 0 "$noonfit" fit --json "$glazed"
python3 - "$work/out" "$work/cards/one.svg" "$work/cards/two.svg" \
    "$(sha256sum "$glazed/readings.csv")" <<'PYTHON' || fail "the card"
import json, re, sys
fit = json.load(open(sys.argv[1]))
text = [re.sub(r"<[^>]*>", "", t).strip() for t in re.findall(r"<text.*?</text>", open(sys.argv[2]).read(), re.S)]
shown = [float(t) for t in text if re.fullmatch(r"\d+\.\d+", t)]
for want in (100 * fit["parameters"]["eta0"]["value"], fit["parameters"]["a1"]["value"],
             100 * fit["energy"]["run_efficiency"]["value"]):
    assert any(abs(x - want) <= 0.051 for x in shown), (want, shown)
parts = [int(m.group(1)) for t in text for m in [re.search(r"(\d+) %$", t)] if m and len(t) > 6 and "\u00b1" not in t]
assert 96 <= sum(parts) <= 104, parts
assert any(sys.argv[4][:24] in t for t in text), "checksum"
two = re.sub(r"<[^>]*>", "", open(sys.argv[3]).read())
assert "1. " in two and "2. " in two and two.count("min") >= 2
PYTHON
expect 2 "$noonfit" card "$glazed"
expect 2 "$noonfit" card "$glazed" -o "$work/cards/one.gif"

# -- pages

cat >"$work/check.py" <<'PYTHON'
import html.parser
import sys

VOID = {"meta", "br", "hr", "img", "link", "input"}


class Page(html.parser.HTMLParser):
    def __init__(self):
        super().__init__()
        self.open, self.ids, self.headings, self.text, self.problems = [], set(), [], "", []
        self.pictures = 0

    def handle_starttag(self, tag, attributes):
        attributes = dict(attributes)
        if tag not in VOID:
            self.open.append(tag)
        self.note(tag, attributes)

    def handle_startendtag(self, tag, attributes):
        self.note(tag, dict(attributes))

    def note(self, tag, attributes):
        if tag in ("script", "iframe", "img", "link", "object", "embed"):
            self.problems.append(f"<{tag}>")
        for name, value in attributes.items():
            if name.startswith("on") or "javascript:" in (value or ""):
                self.problems.append(f"{name}={value}")
            if name in ("src", "href", "xlink:href") and not (value or "").startswith(
                    ("#", "data:application/gzip;base64,")):
                self.problems.append(f"leads elsewhere: {name}={value[:80]}")
        if "id" in attributes:
            if attributes["id"] in self.ids:
                self.problems.append(f"id twice: {attributes['id']}")
            self.ids.add(attributes["id"])
        if tag in ("h1", "h2", "h3"):
            self.headings.append(int(tag[1]))
        if tag == "svg":
            self.pictures += 1
            if attributes.get("role") != "img" or not attributes.get("aria-label"):
                self.problems.append("a picture without words")

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.problems.append(f"</{tag}> closes something else")

    def handle_data(self, data):
        self.text += data


page = Page()
page.feed(open(sys.argv[1], encoding="utf-8").read())
page.close()
if page.open:
    page.problems.append(f"not closed: {page.open}")
if page.headings.count(1) != 1 or any(b > a + 1 for a, b in zip(page.headings, page.headings[1:])):
    page.problems.append(f"headings out of order: {page.headings}")
if page.pictures < int(sys.argv[2]):
    page.problems.append(f"{page.pictures} pictures")
for words in sys.argv[3:]:
    if words not in page.text:
        page.problems.append(f"not said: {words}")
print("\n".join(page.problems))
sys.exit(bool(page.problems))
PYTHON

# Twice the same command gives twice the same page.
export SOURCE_DATE_EPOCH=1780000000
cd "$thin" || exit 2
expect 0 "$noonfit" report wash-stand-glazed wash-stand-glazed-hot -o "$work/one.html"
cp "$work/one.html" "$work/first.html"
expect 0 "$noonfit" report wash-stand-glazed wash-stand-glazed-hot -o "$work/one.html"
cmp -s "$work/one.html" "$work/first.html" || fail "the same command gives another page"
sum=$(sha256sum wash-stand-glazed-hot/readings.csv | cut -d' ' -f1)
python3 "$work/check.py" "$work/one.html" 5 "Warm as the air around it" "Made by noonfit" \
    "2026-05-28" "$sum" "noonfit report wash-stand-glazed wash-stand-glazed-hot -o" \
    "Never heat a loop" || fail "one.html"

# The page is the whole record: read like the folders, its files are theirs, its links unpack.
expect 0 "$noonfit" fit --json wash-stand-glazed wash-stand-glazed-hot
cp "$work/out" "$work/folders.json"
expect 0 "$noonfit" fit --json "$work/one.html"
python3 - "$work" <<'PYTHON' || fail "the page gives another answer than the folders"
import json, sys
one, other = (json.load(open(sys.argv[1] + name)) for name in ("/folders.json", "/out"))
for answer in (one, other):
    for run in answer["runs"]:
        del run["folder"]
sys.exit(one != other)
PYTHON
python3 - "$work/one.html" <<'PYTHON' || fail "the files in the page"
import base64, gzip, hashlib, re, sys
page = open(sys.argv[1], encoding="utf-8").read()
links = re.findall(r'<a class="record" data-run="(\d)" data-folder="([^"]*)" data-file="([^"]*)" '
                   r'data-bytes="(\d+)" data-sha256="([0-9a-f]{64})" download="[^"]*" '
                   r'href="data:application/gzip;base64,([^"]*)"', page)
assert len(links) == 9, len(links)
for run, folder, name, size, digest, data in links:
    raw = gzip.decompress(base64.b64decode(data, validate=True))
    assert len(raw) == int(size) and hashlib.sha256(raw).hexdigest() == digest, name
    if name != "results.json":
        assert raw == open(folder + "/" + name, "rb").read(), name
PYTHON
# The run folders again, byte for byte; never over one that is there, nothing left of a bad page.
expect 0 "$noonlog" import "$work/one.html" "$work/made"
for run in wash-stand-glazed wash-stand-glazed-hot; do
    diff -r "$run" "$work/made/$run" >&2 || fail "$run is another after its way through the page"
done
expect 0 "$noonlog" import "$work/one.html#2" "$work/second"
diff -r wash-stand-glazed-hot "$work/second" >&2 || fail "the second run"
expect 2 "$noonlog" import "$work/one.html#2" "$work/second"
grep -q 'already' "$work/err" || fail "over a folder: $(head -c 300 "$work/err")"
expect 2 "$noonlog" import "$work/one.html"
expect 0 "$noonlog" import "$work/one.html" "$work/not" --preview
expect 2 "$noonlog" import "$work/first.html#9" "$work/not"
sed 's/base64,\(.\{60\}\)./base64,\1!/' "$work/one.html" >"$work/bad.html"
expect 2 "$noonlog" import "$work/bad.html" "$work/not"
[ ! -e "$work/not" ] || fail "a folder was made of nothing"
expect 0 "$noonfit" inspect "$work/one.html#2"
expect 2 "$noonfit" inspect "$work/one.html"
expect 2 "$noonfit" fit "$work/one.html#3"
grep -q 'has 2 runs, no run 3' "$work/err" || fail "run 3: $(head -c 300 "$work/err")"
expect 2 "$noonfit" fit "$work/one.html" "$work/one.html#1"
grep -q 'named twice' "$work/err" || fail "twice: $(head -c 300 "$work/err")"
expect 0 "$noonfit" report "$work/one.html" -o "$work/again.html"
sed 's/base64,\(.\{60\}\)./base64,\1!/' "$work/one.html" >"$work/bad.html"
expect 2 "$noonfit" fit "$work/bad.html"
grep -q 'damaged' "$work/err" || fail "a damaged page: $(head -c 300 "$work/err")"
echo '<p>words</p>' >"$work/words.html"
expect 2 "$noonfit" fit "$work/words.html"
grep -q 'holds no record' "$work/err" || fail "a page without a record: $(head -c 300 "$work/err")"
expect 0 "$noonfit" report "$glazed" -o "$work/private.html"
! grep -qF "$work" "$work/private.html" || fail "the page tells where the run lay"

expect 0 "$noonfit" report wash-stand-glazed wash-stand-bare -o "$work/two.html" --units us
expect 0 "$noonfit" compare "$work/two.html#1" "$work/two.html#2"
python3 "$work/check.py" "$work/two.html" 9 "against" "°F" "All builds are fitted together" ||
    fail "two.html"

# An imported table and how it was read are in the page, too, and come out under the table's own name; one
# that names a path makes nothing.
table="my table (1).csv"
cut -d, -f1,3- wash-stand-glazed/readings.csv >"$work/$table"
expect 0 "$noonlog" import "$work/$table" --rig wash-stand-glazed/rig.ini "$work/imported-run"
expect 0 "$noonfit" report "$work/imported-run" -o "$work/imported.html"
expect 0 "$noonlog" import "$work/imported.html" "$work/imported-again"
cmp "$work/$table" "$work/imported-again/imported/$table" || fail "another table out of the page"
diff -r -x .noonlog "$work/imported-run" "$work/imported-again" >&2 || fail "the imported run is another"
expect 0 "$noonlog" rebuild "$work/imported-again"
expect 0 "$noonfit" report "$work/imported.html" -o "$work/imported-twice.html"
[ "$(grep -o 'data-file="imported/[a-z.]*"' "$work/imported-twice.html" | wc -l)" -eq 2 ] ||
    fail "a page of a page without its table"
sed -i 's|^table = .*|table = ../../stray|' "$work/imported-run/imported/how.ini"
expect 0 "$noonfit" report "$work/imported-run" -o "$work/stray.html"
! grep -q 'imported/table' "$work/stray.html" || fail "a table by a path"

# A rig with hostile words in it: shown, not obeyed.
cp -r wash-stand-glazed "$work/hostile"
sed -i 's|^title *=.*|title = `touch harm`</h1><script>alert(1)</script>|' "$work/hostile/rig.ini"
cd "$work" || exit 2
expect 0 "$noonfit" report hostile -o "$work/hostile.html"
python3 "$work/check.py" "$work/hostile.html" 4 "</h1><script>alert(1)</script>" ||
    fail "hostile.html"
[ ! -e harm ] || fail "a title was executed"

# Usage.
expect 2 "$noonfit" report hostile
expect 2 "$noonfit" report -o "$work/x.html"
expect 2 "$noonfit" report hostile -o "$work/x.txt"
expect 2 "$noonfit" report nowhere -o "$work/x.html"
expect 2 "$noonfit" inspect
expect 0 "$noonfit" report --help
expect 0 "$noonfit" inspect --help
[ -z "$(find "$work" -maxdepth 1 -name 'x.*' -o -maxdepth 1 -name '*.part')" ] ||
    fail "left behind: $(ls "$work")"

# -- JSON is JSON, whatever else is asked for

for command in "fit hostile" "inspect hostile" "compare hostile $bare"; do
    # shellcheck disable=SC2086
    expect 0 "$noonfit" $command --json --units us
    python3 -c 'import json, sys; json.load(sys.stdin)' <"$work/out" || fail "$command --json"
done

# -- a full disk is an error

for command in "fit hostile" "fit hostile --json" "inspect hostile"; do
    # shellcheck disable=SC2086
    "$noonfit" $command >/dev/full 2>"$work/err"
    [ $? -eq 2 ] || fail "$command to a full disk: $(cat "$work/err")"
done
finish
