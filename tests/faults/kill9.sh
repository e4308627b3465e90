#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# kill -9 at random moments: after each one the folder reads cleanly, no row that was there is
# lost, and the recording is taken up again. COUNT=1000 is the long version.
. "$TEST_SOURCE/tests/e2e/record_common.bash" || exit 2

count=${COUNT:-40}
RANDOM=${SEED:-4711}
echo "kill -9 at $count random moments, seed ${SEED:-4711}"
small_rig "interval_s = 0.02"
feed --lines 100000000 --hz 200
survived=0
lost_rows=0
rows_seen=0
early=0
how="rig.ini run"
for i in $(seq "$count"); do
    noonlog record $how --quiet 2>said &
    recorder=$!
    # From before the folder is there to some hundred rows on; every fifth kill is in the first
    # 20 ms, where the folder is made.
    ms=$((i % 5 == 0 ? RANDOM % 20 : RANDOM % 300))
    sleep "0.$(printf '%03d' $ms)"
    kill -9 $recorder 2>/dev/null
    wait $recorder 2>/dev/null
    if [ ! -e run/rig.ini ]; then
        # Killed before the run was there: the next start must not mind what is half-made.
        early=$((early + 1))
        survived=$((survived + 1))
        continue
    fi
    if [ -e kept.csv ] && ! cmp -s -n "$(stat -c %s kept.csv)" kept.csv run/readings.csv; then
        lost_rows=$((lost_rows + 1))
        echo "kill $i: rows of before are gone"
    fi
    # All whole rows as they are now must be there after the next kill.
    if [ -e run/readings.csv ]; then
        head -c "$(grep -ab '' run/readings.csv | tail -1 | cut -d: -f1)" run/readings.csv >kept.csv
        rows_seen=$(rows run)
    fi
    how="--resume run"
    survived=$((survived + 1))
done
noonlog record $how --quiet --for 100000s &
await "rows run -gt $rows_seen"
noonlog stop run || fail "stop after all kills"
expect "whole files" whole run
expect "time goes up" rising run
expect "rows lost in $lost_rows of $count" [ $lost_rows -eq 0 ]
cp run/readings.csv kept.csv
noonlog rebuild run >/dev/null || fail "rebuild"
# A row is written right after its logged line; a kill may fall between the two.
extra=$(($(rows run) - $(wc -l <kept.csv) + 1))
expect "log and readings agree but for at most a row a kill: $extra" [ $extra -ge 0 -a $extra -le "$count" ]
echo "survived $survived of $count, $(rows run) rows, $early kills before the run was there, none lost; $extra rows only in adapter.log"
finish
