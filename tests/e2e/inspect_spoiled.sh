#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit inspect on spoiled copies of a good sample run: the fault is named, and no other.
. "$(dirname "$0")/common.bash" || exit 2
good="$TEST_SOURCE/sample-runs/wash-stand-glazed"

# spoil CODES AWK-PROGRAM: a copy changed by the program, in which c["store"] is a column's number
# and rows are counted from the header; CODES are the doubts and faults it must give.
spoil() {
    local want=$1 program=$2
    rm -rf run
    cp -r "$good" run
    awk -F, -v OFS=, 'NR == 1 { for (i = 1; i <= NF; i++) { n = $i; sub(/_.*/, "", n); c[n] = i }
                                print; next }
                      { '"$program"' } { print }' "$good/readings.csv" >run/readings.csv
    noonfit inspect run --json >json 2>said || fail "$want: exit status $?: $(cat said)"
    got=$(python3 -c 'import json
print(" ".join(f["code"] for f in json.load(open("json"))["findings"] if f["severity"] != "note"))')
    [ "$got" = "$want" ] || fail "wanted '$want', got '$got': $program"
    noonfit inspect run >text || fail "$want: text"
    if [ -n "$want" ]; then
        grep -q 'is good' text && fail "$want: still called good"
        grep -q -- '->' text || fail "$want: no advice"
    fi
}

spoil "" ""
spoil "gaps" "if (NR > 1000 && NR < 1300) next"
spoil "stuck" "if (NR == 800) v = \$c[\"store\"]; if (NR > 800 && NR < 1300) \$c[\"store\"] = v"
spoil "missing-readings" "if (NR > 800 && NR < 1300) \$c[\"air\"] = \"\""
spoil "empty-channel" "\$c[\"flow\"] = \"\""
spoil "wrong-unit" "\$c[\"air\"] = 1.8 * \$c[\"air\"] + 32"
spoil "wrong-unit" "\$c[\"sun\"] = \$c[\"sun\"] / 1000"
spoil "wrong-unit" "\$c[\"flow\"] = \$c[\"flow\"] * 60"
spoil "swapped-probes" "v = \$c[\"inlet\"]; \$c[\"inlet\"] = \$c[\"outlet\"]; \$c[\"outlet\"] = v"
spoil "out-of-range" "if (NR > 800 && NR < 820) \$c[\"outlet\"] = -127"
spoil "too-short" "if (NR > 120) exit"
spoil "flow-dead" "\$c[\"flow\"] = 0"
spoil "sun-too-high" "\$c[\"sun\"] = 1.6 * \$c[\"sun\"]"

# A power cut left bytes that were never written in the middle: the rest is read, and it is said.
cp "$good/readings.csv" run/readings.csv
printf '\0\0\0\0\0\0\0\0\0\0\0\0' | dd of=run/readings.csv bs=1 seek=100000 conv=notrunc 2>/dev/null
noonfit inspect run --json >json || fail "damaged: exit status $?"
python3 -c 'import json; assert [f["code"] for f in json.load(open("json"))["findings"] if f["severity"] != "note"] == ["damaged-lines"]' ||
    fail "damaged-lines is not the only finding"

# A board that started in 1970 and was told the time while the recording was taken up again (as
# recorders before wrote it): read as it stands, the pause is a note, and the answer is that of the
# record with a right clock; a note behind the pause is in its place. The sun's angle, too: it is
# worked out from labels that are right only behind the jump.
rm -rf run same
cp -r "$good" run
cp -r "$good" same
# same: what it is to be read as. Rows are 2 s apart, the jump leaves 1 s.
python3 - "$good/readings.csv" run same <<'PY'
import datetime, sys
rows = open(sys.argv[1]).read().split("\n")
same = list(rows)
jump, shift, start = 1000, 1.76e9, None
utc = lambda s: datetime.datetime.strptime(s, "%Y-%m-%dT%H:%M:%S.%fZ")
for i in range(1, len(rows)):
    cell = rows[i].split(",")
    if len(cell) < 2:
        continue
    if i < jump:
        start = start or utc(cell[0])
        later = (utc(cell[0]) + datetime.timedelta(seconds=1)).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"
        same[i] = ",".join([later] + cell[1:])
        cell[0] = (datetime.datetime(1970, 1, 1) + (utc(cell[0]) - start)).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"
    else:
        same[i] = ",".join([cell[0], f"{float(cell[1]) - 1:.3f}"] + cell[2:])
        cell[1] = f"{float(cell[1]) + shift:.3f}"
        late = cell[0], float(cell[1])
    rows[i] = ",".join(cell)
open(sys.argv[2] + "/readings.csv", "w").write("\n".join(rows))
open(sys.argv[3] + "/readings.csv", "w").write("\n".join(same))
open(sys.argv[2] + "/notes.csv", "a").write(f"{late[0]},{late[1]:.3f},note,the end\n")
PY
for r in same run; do
    noonfit fit "$r" --json >"fit.${r##*/}" 2>said || fail "clock-jump: fit of $r: $(cat said)"
done
noonfit inspect run --json >json || fail "clock-jump: exit status $?"
python3 - <<'PY' || fail "clock-jump"
import json
good, late = (json.load(open("fit." + n)) for n in ("same", "run"))
for p in ("eta0", "a1"):
    a, b = (d["parameters"][p]["value"] for d in (good, late))
    assert abs(a - b) < 1e-6 * abs(a), (p, a, b)
assert abs(good["incidence"]["mean_deg"] - late["incidence"]["mean_deg"]) < 0.05
found = [f for f in json.load(open("json"))["findings"] if f["code"] == "clock-jump"]
assert len(found) == 1 and "20370 days" in found[0]["text"], found
PY
noonfit report run -o page.html >/dev/null 2>said || fail "clock-jump: report: $(cat said)"

finish
