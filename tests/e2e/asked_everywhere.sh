#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# What no test can see is asked for in one line each, by sheet, take and inspect, with its key; and
# no more once the rig file says. (draft: e2e.draft)
. "$(dirname "$0")/common.bash" || exit 2
cat >rig.ini <<'END'
[collector]
gross_area_m2 = 0.7
[store]
water_kg = 20
[channel store]
unit = degC
[channel air]
unit = degC
[channel sun]
unit = W_m2
END
sed -e 's/^gross.*/&\naim = fixed\nback = none\ndew = no/' -e 's/^water_kg.*/&\nwater_end_kg = 20\nlid = yes/' \
    -e 's/^\[channel air\]/&\nshaded = yes/' -e 's/^\[channel sun\]/&\nplane = collector/' -e 's/^\[channel store\]/&\nu_drift = 0.05/' rig.ini >full.ini
questions=("lie flat?" "turned after the sun?" "out of the sun?" "behind the absorber?" "wet with dew" "drift in a test?" "a lid?")

noonfit sheet rig.ini -o sheet.svg >out || fail "sheet"
noonfit sheet full.ini -o full.svg >out || fail "sheet of an answered rig"
noonlog take evening --rig rig.ini store=20 air=19 sun=800 >out 2>taken || fail "take: $(cat taken)"
noonlog take answered --rig full.ini store=20 air=19 sun=800 >out 2>nothing || fail "take: $(cat nothing)"
noonlog take evening store=21 air=19 sun=800 >out 2>second || fail "take again"
noonfit inspect evening >seen || fail "inspect"
noonfit inspect answered >seen-full || fail "inspect of an answered rig"
for q in "${questions[@]}"; do
    for file in sheet.svg taken seen; do
        tr '\n' ' ' <$file | sed 's/  */ /g' | grep -qF "$q" || fail "$file does not ask: $q"
    done
    for file in full.svg nothing second seen-full; do
        tr '\n' ' ' <$file | sed 's/  */ /g' | grep -qF "$q" && fail "$file asks: $q"
    done
done
tr '\n' ' ' <taken | sed 's/  */ /g' | grep -qF "shaded = yes or no in [channel air]" || fail "take does not name the key"
finish
