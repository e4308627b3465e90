#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Readings by hand: the first makes the run, a wrong one is corrected and kept, rebuild knows them,
# and beside a recording they come among its rows when it ends.
. "$(dirname "$0")/common.bash" || exit 2
export TZ=America/Denver
cleanup() {
    [ -z "${feeder:-}" ] || kill "$feeder" 2>/dev/null
    [ -z "${recorder:-}" ] || kill "$recorder" 2>/dev/null
    rm -rf "$work"
}
trap cleanup EXIT

cat >bucket.ini <<'EOF'
[channel store]
unit = degF
[channel air]
unit = degC
EOF
take() { "$noonlog" take "$@" >said 2>&1 </dev/null; }

take evening store=64F && fail "a run without a rig file"
take evening --rig bucket.ini store=64F air=hot && fail "a reading that is none"
[ ! -e evening ] || fail "a refused reading has made a run"
take evening --rig bucket.ini store=646F air=21,5 --at "2026-05-16 11:05" || fail "first: $(cat said)"
grep -q "cannot well be" said || fail "646 degF is not doubted"
take evening store=64.6 --at "2026-05-16 11:05" --note stirred || fail "again: $(cat said)"
take evening air=72 --at "2026-05-16 11:10" || fail "degF in degC: $(cat said)"
grep -q "air=72F" said || fail "72 degC of air is not doubted"
take evening air=72F --at "2026-05-16 11:10" || fail "corrected"
take evening store=297.15K --at "2026-05-16 11:15" || fail "kelvin"
take evening store=3V --at "2026-05-16 11:20" && fail "volts are no degF"
# A round within half a minute of the last would take its place, as a correction does.
take evening --every 59s && fail "rounds that correct each other"
grep -q "from 1m" said || fail "too soon: $(cat said)"
take evening --every 60s && fail "rounds without a terminal"
grep -q "from 1m" said && fail "a minute is long enough: $(cat said)"
take evening --rig bucket.ini store=70F && fail "a second rig file"
cat >expected <<'EOF'
time_utc,elapsed_s,store_degC,air_degC
2026-05-16T17:05:00.000Z,0.000,18.1111,21.5000
2026-05-16T17:10:00.000Z,300.000,,22.2222
2026-05-16T17:15:00.000Z,600.000,24.0000,
EOF
diff expected evening/readings.csv || fail "readings"
[ "$(wc -l <evening/by-hand.csv)" -eq 7 ] || fail "by-hand.csv keeps every reading"
grep -q stirred evening/notes.csv || fail "the note"
cp evening/readings.csv before
rm evening/readings.csv
"$noonlog" rebuild evening >said 2>&1 || fail "rebuild: $(cat said)"
cmp before evening/readings.csv || fail "rebuild makes the same"

# A torn line, as a crash leaves it, hurts nothing.
printf '2026-05-16T17:2' >>evening/by-hand.csv
take evening store=75F --at "2026-05-16 11:20" || fail "after a crash: $(cat said)"
tail -1 evening/readings.csv | grep -q '^2026-05-16T17:20:00.000Z,900.000,23.8889,$' || fail "row after a crash"

# Asked on a terminal: an empty answer passes a channel over, a wrong one is asked again.
printf '66\n\n' | script -qec "$noonlog take asked --rig bucket.ini" /dev/null >said 2>&1
grep -q "store, .F" said || fail "asks with the unit: $(cat said)"
tail -1 asked/readings.csv | grep -q ',18.8889,$' || fail "asked: $(cat asked/readings.csv)"
# A time of day in a run of another day is asked for its day; a week apart is another test.
rows=$(wc -l <evening/readings.csv)
take evening store=70F --at 11:40 && fail "guesses the day: $(cat said)"
grep -q 'of which day.*--at "2026-05-16 11:40"' said || fail "does not ask the day: $(cat said)"
take evening store=70F && fail "today in a run of May: $(cat said)"
grep -q "a run is one test" said || fail "two tests in a run: $(cat said)"
take evening store=70F --at "2026-05-24 11:40" && fail "eight days later"
[ "$(wc -l <evening/readings.csv)" -eq "$rows" ] || fail "a refused reading has made a row"
cp -r evening later
take later store=70F --at "2026-05-22 11:40" || fail "six days later: $(cat said)"
# Its first reading asks what no test can see; nothing is wider than a terminal.
printf '[collector]\ngross_area_m2 = 1\n[store]\nwater_kg = 20\n[channel store]\nunit = degF\n' >whole.ini
take whole --rig whole.ini store=64.25F --at "2026-05-16 11:05" || fail "whole: $(cat said)"
take whole store=164.375F --at "2026-05-16 11:05:20" --note "a long one" || fail "again: $(cat said)"
"$noonlog" take whole2 --rig whole.ini store=22F --at "2026-05-16 11:05" >>said 2>&1 </dev/null
grep -q "Has the container a lid" said || fail "does not ask: $(cat said)"
sed 's|°|o|g' said | awk 'length > 80 { print; exit 1 }' || fail "wider than 80 columns"

# Beside a recording: the recorder alone writes readings.csv; at its end the hands are in it.
cat >wired.ini <<'EOF'
[adapter]
port = port
interval_s = 0.2
[channel store]
unit = degC
[channel air]
unit = degC
EOF
"$TEST_PROGRAMS/tests/ptyfeed" port --lines 600 --hz 20 >/dev/null 2>&1 &
feeder=$!
for _ in $(seq 50); do [ -e port ] && break; sleep 0.1; done
"$noonlog" record wired.ini wired --quiet &
recorder=$!
for _ in $(seq 100); do [ "$(cat wired/readings.csv 2>/dev/null | wc -l)" -gt 5 ] && break; sleep 0.1; done
sleep 1 # a reading by hand has whole seconds: not before the first row
take wired air=19.5 || fail "beside a recording: $(cat said)"
grep -q "recording is running" said || fail "does not say that a recording runs"
grep -q ',19.5000$' wired/readings.csv && fail "the recorder's file was written by another"
"$noonlog" stop wired >/dev/null || fail "stop"
wait "$recorder"
recorder=
[ "$(grep -c ',19.5000$' wired/readings.csv)" -eq 1 ] || fail "not among the rows: $(cat wired/readings.csv)"
awk -F, 'NR > 1 && $2 + 0 <= last { exit 1 } NR > 1 { last = $2 + 0 }' wired/readings.csv || fail "order"
[ "$(wc -l <wired/readings.csv)" -gt 5 ] || fail "the adapter's rows are gone"
finish
