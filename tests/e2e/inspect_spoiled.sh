#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit inspect on spoiled copies of a good sample run: the fault is named, and no other.
set -u
PATH="$TEST_PROGRAMS:$PATH"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 2
failures=0
fail() {
    echo "FAILED: $*"
    failures=$((failures + 1))
}
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

[ $failures -eq 0 ]
