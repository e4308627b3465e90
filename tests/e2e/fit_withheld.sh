#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Answers that judge themselves: a record that nothing can be made of is withheld by every command
# (exit status 1, the reason on standard error, inspect says the same), --anyway gives it with the
# doubt first, a doubtful one is graded, in text, JSON, page and comparison; a good one is not.
. "$(dirname "$0")/common.bash" || exit 2
good="$TEST_SOURCE/sample-runs/wash-stand-glazed"
bare="$TEST_SOURCE/sample-runs/wash-stand-bare"

# spoil RUN AWK-PROGRAM: a copy of the good run; c["sun"] is a column's number.
spoil() {
    cp -r "$good" "$1"
    awk -F, -v OFS=, 'NR == 1 { for (i = 1; i <= NF; i++) { n = $i; sub(/_.*/, "", n); c[n] = i }
                                print; next }
                      { '"$2"' } { print }' "$good/readings.csv" >"$1/readings.csv"
}
grade() {
    python3 -c 'import json, sys
t = json.load(open(sys.argv[1]))["trust"]
print(t["grade"], *(r["code"] for r in t["reasons"]))' "$1"
}
day=(--sun 900 --air 20C --from 15C --to 40C)

spoil half '$c["sun"] = 0.4 * $c["sun"]'
for command in "fit half" "predict half ${day[*]}" "size half ${day[*]} --within 2h" "pump half" \
    "compare half $bare" "compare $bare half" "report half -o page.html"; do
    # shellcheck disable=SC2086
    noonfit $command >out 2>said
    [ $? = 1 ] || fail "$command: exit status not 1"
    [ -s out ] && fail "$command: an answer on standard output"
    grep -q "withheld: .*Check" said || fail "$command: no reason: $(cat said)"
    # shellcheck disable=SC2086
    noonfit $command --anyway >out 2>said || fail "$command --anyway: $(cat said)"
done
[ -e page.html ] && grep -q Doubtful page.html || fail "the page does not say its doubt"
noonfit fit half --anyway | head -1 | grep -q '^Doubtful\.' || fail "the doubt is not in front"
noonfit compare "$bare" half 2>&1 | grep -q "wash-stand-glazed" || fail "compare does not say whose"
noonfit compare "$bare" half 2>&1 | grep -q "withheld: wash-stand-bare" && fail "the wrong one is blamed"

# What fit refuses inspect says beforehand, in the same words.
spoil swapped 'v = $c["inlet"]; $c["inlet"] = $c["outlet"]; $c["outlet"] = v'
noonfit fit swapped >out 2>said
[ $? = 1 ] || fail "swapped probes are not withheld"
words=$(python3 -c 'import json, subprocess
d = json.loads(subprocess.run(["noonfit", "inspect", "swapped", "--json"], capture_output=True).stdout)
print(next(f["text"] for f in d["findings"] if f["severity"] == "fault"))')
grep -qF "$words" said || fail "inspect says otherwise: $words"

# So does its document, with the reason's code; null where there is nothing to refuse.
refusal() {
    noonfit inspect "$1" --json | python3 -c 'import json, sys
r = json.load(sys.stdin)["refusal"]
print(r and r[sys.argv[1]])' "$2"
}
# What is refused before any search is what a search comes to.
[ "$(refusal swapped code)" = "$(noonfit fit swapped --anyway --json >out.json &&
    python3 -c 'import json; print(json.load(open("out.json"))["trust"]["reasons"][0]["code"])')" ] ||
    fail "swapped: refused for $(refusal swapped code), searched $(grade out.json)"

spoil short 'if (NR > 5) next'
for run in swapped half short; do
    noonfit fit "$run" >out 2>said && fail "$run is not refused"
    words=$(refusal "$run" text)
    tr '\n' ' ' <said | grep -qF "$words" || fail "$run: inspect says $words, fit $(cat said)"
done
noonfit fit half --anyway --json >json
[[ "$(grade json)" == "doubtful $(refusal half code)"* ]] || fail "half: $(refusal half code), $(grade json)"
[ "$(refusal "$TEST_SOURCE/sample-runs/wash-stand-glazed" code)" = None ] || fail "a good record is refused"
[ "$(refusal "$TEST_SOURCE/sample-runs/wash-stand-glazed-cool-down" code)" = None ] || fail "a cool-down is refused"

# From 1.15 on no minimum is near what is: such a record is withheld, and that by an absurd gain.
spoil shaded 'if (NR > 1300) $c["sun"] = 1.1 * $c["sun"]'
noonfit fit shaded --json >json || fail "a doubtful answer is not given"
[ "$(grade json | cut -d' ' -f1)" = doubtful ] || fail "a shadow: $(grade json)"
grade json | grep -q gain-step || fail "a shadow: $(grade json)"
noonfit predict shaded "${day[@]}" --json >json && [ "$(grade json | cut -d' ' -f1)" = doubtful ] ||
    fail "predict does not inherit"
noonfit compare "$bare" shaded --json >json && [ "$(grade json | cut -d' ' -f1)" = doubtful ] ||
    fail "compare does not inherit"

for run in wash-stand-glazed wash-stand-bare wash-stand-bare-store-only wash-stand-glazed-panel-pump; do
    noonfit fit "$TEST_SOURCE/sample-runs/$run" --json >json
    [ "$(grade json)" = good ] || fail "$run: $(grade json)"
done
finish
