#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The cable is pulled and put back, at moments that cut lines in two; the device may come back
# under another name. CYCLES=100 is the long version.
. "$(dirname "$0")/../e2e/record_common.bash" || exit 2

cycles=${CYCLES:-8}
RANDOM=${SEED:-1205}
echo "$cycles unplug and replug cycles, seed ${SEED:-1205}"
small_rig "checksum = xor8"
feed --lines 5 --hz 100 --checksum --linger 0.1
noonlog record rig.ini run --quiet &
sent=5
await '[ -s run/notes.csv ]'
for i in $(seq "$cycles"); do
    await "[ \$(grep -c 'port lost' run/notes.csv) -ge $i ]"
    # A half line is the last thing before the cable goes.
    n=$((5 + RANDOM % 10))
    rm -f port
    {
        echo
        for k in $(seq $n); do printf 'store=%d,sun=%d\n' $((20 + i % 50)) "$k"; done |
            LC_ALL=C awk 'BEGIN { for (i = 1; i < 256; i++) code[sprintf("%c", i)] = i }
                function xor(a, b,   r, bit) {
                    for (bit = 1; bit < 256; bit *= 2) { if (a % 2 != b % 2) r += bit; a = int(a / 2); b = int(b / 2) }
                    return r + 0
                }
                { x = 0; for (i = 1; i <= length($0); i++) x = xor(x, code[substr($0, i, 1)]); printf "%s*%02X\n", $0, x }'
        printf 'store=99,s'
    } | ptyfeed "$work/port" --linger 0.3 &
    sent=$((sent + n))
done
await "[ \$(grep -c 'port lost' run/notes.csv) -ge $((cycles + 1)) ]"
# A name that leads nowhere could lead to another test's adapter next.
await '[ ! -L port ]'
noonlog stop run || fail "stop"
found=$(grep -c 'port found again' run/notes.csv)
expect "found again $found times" [ "$found" -eq "$cycles" ]
expect "every whole line is a row: $(rows run) of $sent" [ "$(rows run)" -eq "$sent" ]
expect "the half lines are logged as such" [ "$(grep -c 'store=99,s\\-$' run/adapter.log)" -eq "$cycles" ]
expect "none of them is a row" bash -c '! cut -d, -f3 run/readings.csv | grep -q ^99'
expect "time goes up" rising run
expect "whole files" whole run
echo "$cycles cycles, $sent whole lines sent, $(rows run) recorded, $((sent - $(rows run))) lost"
finish
