#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The paper form in its forms and sizes, and the table beside it, which import reads without options.
. "$(dirname "$0")/common.bash" || exit 2
# With sanitizers: fontconfig, which cairo asks for its letters, keeps its tables to the end.
echo "leak:libfontconfig" >"$work/.leaks"
export LSAN_OPTIONS="suppressions=$work/.leaks:print_suppressions=0"
cat >bucket.ini <<'EOF'
[test]
title = Bucket & <beans>
[collector]
gross_area_m2 = 0.9
[channel store]
unit = degF
[channel air]
unit = degC
[channel sun]
unit = W_m2
convert = stated
value = 850
EOF
"$noonfit" sheet bucket.ini -o sheet.svg >said 2>&1 || fail "svg: $(cat said)"
python3 -c 'import sys, xml.dom.minidom as x
t = [n.firstChild.data for n in x.parse("sheet.svg").getElementsByTagName("text")]
sys.exit(not ("Bucket & <beans>" in t and "store" in t and "air" in t and "sun" not in t))' ||
    fail "the svg's words"
"$noonfit" sheet bucket.ini -o sheet.pdf --paper letter --every 10m >said 2>&1 || fail "pdf: $(cat said)"
[ "$(head -c 8 sheet.pdf)" = %PDF-1.4 ] || fail "an old printer reads $(head -c 8 sheet.pdf)"
grep -aq '/MediaBox \[ 0 0 61[12]' sheet.pdf || fail "letter: $(grep -a MediaBox sheet.pdf)"
# A title of wide letters is cut between two of them; on paper they come from a font that has them, where one is.
title=洗い場の太陽熱温水器硝子四粍平板型集熱洗い場の太陽熱温水器硝子四粍
sed "s/^title = .*/title = $title/" bucket.ini >wide.ini
"$noonfit" sheet wide.ini -o wide.svg >said 2>&1 && grep -q ">${title:0:30}<" wide.svg || fail "wide: $(cat said)"
"$noonfit" sheet wide.ini -o wide.pdf >said 2>&1 || fail "wide, pdf: $(cat said)"
usual=$(fc-match -f '%{family[0]}' sans-serif | tr -d ' ')
if [ -n "$(fc-list ':charset=6d17')" ]; then
    grep -ao '/BaseFont /[^ ]*' wide.pdf | grep -qv "$usual" || fail "wide letters from $usual, which has none"
fi
"$noonfit" sheet bucket.ini -o a4.html --paper a4 >said 2>&1 || fail "html: $(cat said)"
grep -q 'size:A4' a4.html || fail "A4"
"$noonfit" sheet bucket.ini -o sheet.doc >said 2>&1 && fail "a form that is none"
"$noonfit" sheet bucket.ini -o nowhere/sheet.pdf >said 2>&1 && fail "a folder that is none"
[ ! -e sheet.pdf.part ] || fail "half a sheet"

# Typed in as a person does: the date once, times by the clock.
sed -i '1s/Date,/Date,5\/16\/2026/' sheet.csv
awk 'NR == 3 { print "10:15 AM,64,21.5,stirred"; next } NR == 4 { print "10:20 AM,66.5,21.7,"; next }
    NR == 5 { print "12:05 PM,95,23,cloud"; next } { print }' sheet.csv >typed.csv
TZ=UTC "$noonlog" import typed.csv --rig bucket.ini evening >said 2>&1 || fail "import: $(cat said)"
cat >expected <<'EOF'
time_utc,elapsed_s,store_degC,air_degC,sun_W_m2
2026-05-16T10:15:00.000Z,0.000,17.7778,21.5000,850.00
2026-05-16T10:20:00.000Z,300.000,19.1667,21.7000,850.00
2026-05-16T12:05:00.000Z,6600.000,35.0000,23.0000,850.00
EOF
diff expected evening/readings.csv || fail "readings: $(cat said)"
"$noonfit" sheet bucket.ini -o sheet.pdf >said 2>&1
grep -q "5/16/2026" sheet.csv || fail "a table that was filled in is overwritten"
grep -q "left as it is" said || fail "does not say so"

# Several collectors: all on one page, or a page for one; the table is of all, and import reads it.
cat >two.ini <<'EOF'
[collector left]
gross_area_m2 = 0.9
[store left]
water_L = 20
[collector right]
gross_area_m2 = 0.9
[store right]
water_L = 20
[channel store_left]
unit = degC
role = store
of = left
[channel store_right]
unit = degC
role = store
of = right
[channel air]
unit = degC
EOF
"$noonfit" sheet two.ini -o two.svg >said 2>&1 || fail "two: $(cat said)"
for words in 'Collector left:' 'Water of right' 'left, right' '°C right'; do
    grep -q "$words" two.svg || fail "two: no \"$words\""
done
"$noonfit" sheet two.ini -o right.svg --collector right >said 2>&1 || fail "one of two: $(cat said)"
grep -q 'Collector left\|of left\|left, right\|°C left' right.svg && fail "the other collector is on the page"
cmp two.csv right.csv || fail "the table is not of all"
"$noonfit" sheet two.ini -o x.svg --collector middle >said 2>&1 && fail "a collector that is none"
grep -q 'there is: left, right' said || fail "does not say which: $(cat said)"
sed -i '1s/Date,/Date,2026-05-16/' two.csv
awk 'NR == 3 { print "10:15,18,18.5,21,"; next } NR == 4 { print "10:20,19,20,21,"; next } { print }' two.csv >typed2.csv
TZ=UTC "$noonlog" import typed2.csv --rig two.ini both >said 2>&1 || fail "import of two: $(cat said)"
grep -q '^2026-05-16T10:20:00.000Z,300.000,19.0000,20.0000,21.0000$' both/readings.csv ||
    fail "readings of two: $(cat both/readings.csv)"

# Too many channels for one page: one for each collector, in order, with its own and the shared ones.
demo=$samples/wash-stand-side-by-side/rig.ini
"$noonfit" sheet "$demo" -o demo.html >said 2>&1 || fail "eleven channels: $(cat said)"
grep -q 'demo.html (a page for each collector) to print' said || fail "does not say how many pages: $(cat said)"
python3 - <<'END' || fail "the pages of the demo's rig"
import re
pages = re.findall("<svg.*?</svg>", open("demo.html").read(), re.S)
words = [re.findall(">([^<>]+)</text>", p) for p in pages]
assert len(pages) == 2, len(pages)
for page, mine, other in ((words[0], "glazed", "bare"), (words[1], "bare", "glazed")):
    assert any(w.startswith("Collector wash-stand-%s:" % mine) for w in page), page
    assert not any("wash-stand-%s" % other in w for w in page), page
    for channel in ("store", "inlet", "outlet", "flow", "air", "sun", "wind"):
        assert page.count(channel) == 1, (channel, page)
END
"$noonfit" sheet "$demo" -o demo.pdf >said 2>&1 || fail "pages as pdf: $(cat said)"
grep -aq '/Count 2' demo.pdf || fail "a pdf of $(grep -a /Count demo.pdf)"
"$noonfit" sheet "$demo" -o demo.svg >said 2>&1
[ $? = 1 ] || fail "pages as svg: $(cat said)"
tr '\n' ' ' <said | grep -q 'has a page for each collector.*--collector' || fail "svg: $(cat said)"
[ ! -e demo.svg ] || fail "half of the pages"
"$noonfit" sheet "$demo" -o demo.svg --collector wash-stand-bare >said 2>&1 || fail "one as svg: $(cat said)"
python3 - "$demo" <<'END' || fail "the rig with many channels"
import sys
text = open(sys.argv[1]).read()
for i in range(3):
    text += "\n[channel spare%d]\nunit = degC\n" % i
open("many.ini", "w").write(text)
END
"$noonfit" sheet many.ini -o many.pdf >said 2>&1 && fail "ten channels on a page"
grep -q 'has 10 channels to read; a page has room for 1 to 9' said || fail "ten: $(cat said)"

"$noonfit" plan two.ini >said 2>&1 && fail "a plan of two"
grep -q 'a plan is of one' said || fail "plan: $(cat said)"
finish
