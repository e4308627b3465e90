#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# --manifest on every command, and `noonfit check`: the same again; and told apart: a changed input, a changed
# option, a changed number, another folder. A manifest from anybody writes nothing outside.
. "$(dirname "$0")/common.bash" || exit 2
mkdir -p there/results
cp -r "$TEST_SOURCE/sample-runs/wash-stand-glazed" there/glazed
cp -r "$TEST_SOURCE/sample-runs/wash-stand-bare" there/bare
# says STATUS PATTERN COMMAND...
says() {
    local status=0 out want=$1 pattern=$2
    shift 2
    out=$("$@" 2>&1) || status=$?
    out=$(tr '\n' ' ' <<<"$out")
    [ "$status" = "$want" ] || fail "$*: status $status, not $want: $out"
    [[ $out == *$pattern* ]] || fail "$*: \"$pattern\" is not in: $out"
}

cd there || exit 1
# With a manifest the answer is what it is without.
noonfit fit glazed --units si >plain.txt
noonfit fit glazed --units si --manifest results/text.json >with.txt || fail "fit --manifest"
cmp plain.txt with.txt || fail "the answer is another with --manifest"
noonfit fit glazed --json --plot results/fit.svg --energy-plot results/e.pdf --manifest=results/fit.json >fit.out ||
    fail "fit --json --manifest"
noonfit compare glazed bare --json --manifest results/compare.json >/dev/null || fail "compare"
noonfit inspect glazed --manifest results/inspect.json >/dev/null || fail "inspect"
noonfit report glazed -o results/page.html --manifest results/report.json >/dev/null || fail "report"
[ "$(python3 -c 'import json; print(json.load(open("results/fit.json"))["inputs"][1]["sha256"])')" = \
    "$(sha256sum glazed/readings.csv | cut -d' ' -f1)" ] || fail "checksum of an input"
[ "$(python3 -c 'import json; print(json.load(open("results/fit.json"))["outputs"][0]["sha256"])')" = \
    "$(sha256sum results/fit.svg | cut -d' ' -f1)" ] || fail "checksum of an output"
says 0 "4 of 4 files read" noonfit check results/text.json
says 0 "8 of 8 files read" noonfit check results/compare.json
says 0 "The same: all" noonfit check results/inspect.json
says 0 "1 of 1 files written" noonfit check results/report.json

# Another folder: seen from the manifest, wherever one stands, and wherever the whole was moved to.
cd "$work" || exit 1
says 0 "2 of 2 files written" noonfit check there/results/fit.json
mv there elsewhere
says 0 "The same: all" noonfit check elsewhere/results/fit.json
mkdir alone && cp elsewhere/results/fit.json alone
says 2 "--in FOLDER" noonfit check alone/fit.json --in "$work/nowhere"
says 2 "cannot be repeated" noonfit check alone/fit.json --in "$work/alone"
says 0 "The same: all" noonfit check alone/fit.json --in elsewhere
cd elsewhere || exit 1

# A changed number is found, with its line and both values.
value=$(python3 -c 'import json; print("%.17g" % json.load(open("fit.out"))["parameters"]["eta0"]["value"])')
sed "s/\\\\\"value\\\\\": $value/\\\\\"value\\\\\": 0.9999/" results/fit.json >results/number.json
says 1 "it was 0.9999, now $value" noonfit check results/number.json
says 1 "1 of " noonfit check results/number.json
# A changed option, too: all numbers that follow from it.
sed 's/"--json",/"--json", "--reference", "inlet",/' results/fit.json >results/option.json
says 1 "Not the same" noonfit check results/option.json
sed 's/"--json"/"--jsom"/' results/fit.json >results/option.json
says 2 "cannot be repeated" noonfit check results/option.json
# A changed input: named, and what came of it.
sed -i '1200s/^\([^,]*,[^,]*\),[0-9.]*,/\1,30.00,/' glazed/readings.csv
says 1 "glazed/readings.csv: what was read is changed" noonfit check results/fit.json
[ "$(noonfit check results/fit.json --json | python3 -c '
import json, sys
d = json.load(sys.stdin)
print(d["same"], d["different"] > 0, [i["state"] for i in d["inputs"]])')" = \
    "False True ['same', 'changed', 'same', 'same']" ] || fail "check --json"
rm glazed/notes.csv
says 1 "glazed/notes.csv: what was read is gone" noonfit check results/fit.json
cp "$TEST_SOURCE/sample-runs/wash-stand-glazed/"*.csv glazed/
says 0 "The same: all" noonfit check results/fit.json

# A file that is changed in place: done again on what it was, also when it has been changed since; and told apart.
cp -r "$samples/wash-stand-glazed-cool-down" evening
cp evening/rig.ini own.ini
noonfit fit evening --write own.ini --manifest results/write.json >/dev/null 2>&1 || fail "fit --write --manifest"
cmp -s evening/rig.ini own.ini && fail "--write has written nothing"
says 0 "1 of 1 files written" noonfit check results/write.json
cp own.ini kept.ini
sed -i 's/^title = .*/title = renamed since/' own.ini
says 0 "1 of 1 files written" noonfit check results/write.json
grep -q "renamed since" own.ini || fail "check has written into the file itself"
sed '/"before":/s/title = /title = not /' results/write.json >results/other.json
says 1 "own.ini: what was written is changed" noonfit check results/other.json
rm own.ini
says 0 "1 of 1 files written" noonfit check results/write.json

# An answer that is a refusal is repeated as one; what is no question has no manifest.
says 1 "" noonfit fit "$TEST_SOURCE/sample-runs/wash-stand-glazed" --use 0m..2m --manifest results/refused.json
says 0 "The same" noonfit check results/refused.json
says 2 "unknown option" noonfit fit glazed --nonsense --manifest results/nonsense.json
[ ! -e results/nonsense.json ] || fail "a manifest of nonsense"
says 2 "no folder" noonfit fit glazed --manifest nowhere/m.json
says 2 "no value" noonfit fit glazed --manifest

# From anybody: files are written nowhere but in the folder that is thrown away, commands are our own.
before=$(find "$work" -type f | sort | xargs sha256sum)
sed "s|results/fit.svg|$work/elsewhere/plain.txt|" results/fit.json >/tmp/hostile.$$
noonfit check /tmp/hostile.$$ --in . >/dev/null 2>&1
[ "$before" = "$(find "$work" -type f | sort | xargs sha256sum)" ] || fail "a manifest has written"
rm -f /tmp/hostile.$$
for bad in '' '{' '[]' '{"manifest": 1}' 'not json'; do
    printf '%s' "$bad" >bad.json
    says 2 "no manifest" noonfit check bad.json
done
sed 's/"fit",/"check",/' results/fit.json >bad.json
says 2 "no command that this program could repeat" noonfit check bad.json
says 2 "cannot be read" noonfit check nothing.json
[ -z "$(find /tmp -maxdepth 1 -name 'noonfit-check-*' -newer plain.txt)" ] || fail "a folder is left behind"
finish
