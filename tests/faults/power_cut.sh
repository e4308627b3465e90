#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# A power cut leaves any mixture of file ends: each file cut at a random place behind what was
# synced, or filled up with NUL bytes. The folder reads cleanly after --resume, and no row before
# the cut is lost. COUNT=300 is the long version.
. "$(dirname "$0")/../e2e/record_common.bash" || exit 2

count=${COUNT:-15}
RANDOM=${SEED:-815}
echo "power cut $count times, seed ${SEED:-815}"
small_rig "interval_s = 0.02"
feed --lines 100000000 --hz 100
how="rig.ini run"
nuls=0
for i in $(seq "$count"); do
    rows_before=$([ -e run ] && rows run || echo 0)
    noonlog record $how --quiet &
    recorder=$!
    await "rows run -ge $((rows_before + 5 + RANDOM % 20))"
    kill -9 $recorder
    wait $recorder 2>/dev/null
    for file in readings.csv adapter.log notes.csv; do
        size=$(stat -c %s run/$file)
        keep=$((size - RANDOM % 180))
        [ $keep -ge 70 ] || keep=70
        truncate -s $keep run/$file
        if [ $((RANDOM % 3)) -eq 0 ]; then
            truncate -s $((keep + RANDOM % 5000)) run/$file
            nuls=$((nuls + 1))
        fi
    done
    # What is whole now must be there in the end.
    kept=$(tr -d '\000' <run/readings.csv | wc -l)
    tr -d '\000' <run/readings.csv | head -n "$kept" >kept.csv
    how="--resume run"
    noonlog record $how --quiet --sync 0.1s &
    await "rows run -ge $((kept + 1))"
    noonlog stop run || fail "stop"
    cmp -s kept.csv <(head -n "$kept" run/readings.csv) || fail "cut $i: rows of before are gone"
    whole run || fail "cut $i: not whole"
done
expect "time goes up" rising run
noonlog rebuild run >said || fail "rebuild"
expect "no damaged line in the log" bash -c '! grep -qi "damaged" said'
echo "survived $count cuts ($nuls files with NUL bytes), $(rows run) rows"
finish
