#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# kill -9 at random moments: after each one noonfit reads the folder, every line that a sync had
# confirmed is there, nothing that was there is changed, and the recording is taken up again.
# COUNT=1000 is the long version.
. "$(dirname "$0")/../e2e/record_common.bash" || exit 2

count=${COUNT:-40}
RANDOM=${SEED:-4711}
echo "kill -9 at $count random moments, seed ${SEED:-4711}"
small_rig "interval_s = 0.02"
printf '[collector]\ngross_area_m2 = 1.5\n[store]\nwater_kg = 40\n' >>rig.ini
feed --lines 100000000 --hz 200
export SYNCED=$work/synced
touch synced kept.readings.csv kept.adapter.log kept.notes.csv

# size_synced FILE: how much of it the last sync that worked has confirmed.
size_synced() { awk -v f="$1" '$1 == f { s = $2 } END { print s + 0 }' synced; }

# holds FILE: all that was synced is there, and all that was there after the last kill is unchanged.
holds() {
    local size=$(stat -c %s "run/$1" 2>/dev/null || echo 0)
    [ "$size" -ge "$(size_synced "$1")" ] || { echo "$1: $size bytes, synced were $(size_synced "$1")"; return 1; }
    cmp -s -n "$(stat -c %s "kept.$1")" "kept.$1" "run/$1" || { echo "$1: what was there has changed"; return 1; }
}
# keep FILE: its whole lines as they are now must be there ever after.
keep() {
    local whole=$(LC_ALL=C grep -abc '' "run/$1")
    [ -z "$(tail -c 1 "run/$1" | tr -d '\n')" ] || whole=$((whole - 1))
    head -n "$whole" "run/$1" >"kept.$1"
}
# reads: noonfit reads the folder, if it has a row.
reads() {
    [ "$(rows run)" -gt 0 ] || return 0
    noonfit inspect run --json >json 2>said.by.noonfit && return 0
    cat said.by.noonfit
    return 1
}

early=0
read_cleanly=0
survived=0
how="rig.ini run"
for i in $(seq "$count"); do
    LD_PRELOAD=$TEST_PROGRAMS/tests/faultdisk.so noonlog record $how --sync 0.02s --quiet 2>said &
    recorder=$!
    # From before the folder is there to some hundred rows on; every fifth kill is in the first
    # 20 ms, where the folder is made.
    ms=$((i % 5 == 0 ? RANDOM % 20 : RANDOM % 300))
    sleep "0.$(printf '%03d' $ms)"
    kill -9 $recorder 2>/dev/null
    wait $recorder 2>/dev/null
    status=$?
    if [ $status -ne 137 ]; then
        fail "kill $i: it had ended by itself with status $status: $(cat said)"
        continue
    fi
    if [ ! -e run/rig.ini ]; then
        # Killed before the run was there: the next start must not mind what is half-made.
        early=$((early + 1))
        continue
    fi
    how="--resume run"
    good=1
    for file in readings.csv adapter.log notes.csv; do
        holds $file || { fail "kill $i, $file"; good=0; }
        keep $file
    done
    if reads; then
        [ "$(rows run)" -eq 0 ] || read_cleanly=$((read_cleanly + 1))
    else
        fail "kill $i: noonfit does not read it"
        good=0
    fi
    survived=$((survived + good))
done
expect "the start was hit, too, but not every time" [ $early -lt "$count" ]
rows_seen=$(rows run)
noonlog record $how --quiet --for 100000s &
await "rows run -gt $rows_seen"
noonlog stop run >/dev/null || fail "stop after all kills"
expect "whole files" whole run
expect "time goes up" rising run
for file in readings.csv adapter.log notes.csv; do
    holds $file || fail "$file in the end"
done
# Each line that the adapter sent has a number: those of the synced part are there, each once.
head -c "$(size_synced adapter.log)" run/adapter.log | grep -o 'seq=[0-9]*' | sort >synced.lines
grep -o 'seq=[0-9]*' run/adapter.log | sort >all.lines
expect "lines were synced" [ "$(wc -l <synced.lines)" -gt "$count" ]
expect "each synced line is there" [ -z "$(comm -23 synced.lines all.lines)" ]
expect "once" [ -z "$(grep -v '\\\\-' run/adapter.log | grep -o 'seq=[0-9]*' | sort | uniq -d)" ]
cp run/readings.csv kept.csv
noonlog rebuild run >/dev/null || fail "rebuild"
# A row is written right after its logged line; a kill may fall between the two.
extra=$(($(rows run) - $(wc -l <kept.csv) + 1))
expect "log and readings agree but for at most a row a kill: $extra" [ $extra -ge 0 -a $extra -le "$count" ]
echo "survived $survived of $((count - early)) kills ($early more before the run was there), noonfit read" \
    "$read_cleanly folders with rows, $(wc -l <synced.lines) synced lines all there; $extra rows only in adapter.log"
finish
