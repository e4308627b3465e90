#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Bytes that make no sense are recognised and said: a wrong baud rate, a missing checksum, silence;
# and what comes in between is still recorded.
. "$(dirname "$0")/record_common.bash" || exit 2

# The cases run side by side, each in a folder of its own, since each needs seconds of patience.
says() ( # NAME PATTERN SENDER [ADAPTER-KEY]: what SENDER sends makes noonlog note PATTERN
    work=$work/$1
    mkdir "$work" && cd "$work" || exit 1
    small_rig ${4:+"$4"}
    feed --linger 30 < <("$3" 2>/dev/null) # stderr would keep ctest waiting
    noonlog record rig.ini run --quiet &
    await "grep -q '$2' run/notes.csv"
    noonlog stop run || fail "stop"
    kill "$feeder" 2>/dev/null
    expect "$1: no row came of it" [ "$(rows run)" -eq 0 ]
    expect "$1: whole files" whole run
    exit $failures
)
noise() { # what 9600 baud looks like at 115200: mostly high bits, zeros, few line ends
    for _ in $(seq 100); do printf '\x80\x00\xf8\x1e\x00\x80\xe6\x06\x0a\x9e\xfe\x00'; sleep 0.1; done
}
plain() { for i in $(seq 100); do echo "store=$i,sun=5"; sleep 0.1; done; }
chatter() { for i in $(seq 100); do echo "temp1=$i temp2=5"; sleep 0.1; done; }
silence() { sleep 30; }
says noise 'bytes arrive but no line parses: is the baud rate really 115200? Many adapters use 9600' noise &
cases=$!
says unsummed 'without the checksum \*HH' plain "checksum = xor8" &
cases="$cases $!"
says stranger 'none gives a reading (no key that the rig names): .*temp1=' chatter &
cases="$cases $!"
says silent 'nothing has arrived from .* is the adapter powered' silence &
cases="$cases $!"
for pid in $cases; do wait "$pid" || failures=$((failures + 1)); done
expect "noise is in the log, escaped" grep -q '\\x80' noise/run/adapter.log

# A byte that was lost or hit: what is left must not pass for a reading.
holed() { for i in $(seq 100); do printf 'store=2%d.5,sun=5\nstore=1\0.25,sun=5\n' "$((i % 10))"; sleep 0.1; done; }
(
    mkdir hole && cd hole && work=$work/hole || exit 1
    small_rig
    feed --linger 30 < <(holed 2>/dev/null)
    noonlog record rig.ini run --quiet &
    await 'rows run -ge 12'
    noonlog stop run || fail "stop"
    kill "$feeder" 2>/dev/null
    expect "1<NUL>.25 is no 1.25" bash -c '! cut -d, -f3 run/readings.csv | grep -q "^1\."'
    expect "it is in the log, escaped" grep -q 'store=1\\x00\.25,sun=5$' run/adapter.log
    garbled=$(sed -n 's/.*garbled (\([0-9]*\)).*/\1/p' run/notes.csv | tail -n 1)
    good=$(rows run) # a line of each kind by turns
    expect "and counted: $garbled beside $good rows" [ "${garbled:-0}" -ge $((good - 1)) ]
    expect "and no more than there were" [ "${garbled:-99}" -le $((good + 1)) ]
    exit $failures
) || failures=$((failures + 1))

# Garbage between good lines: every good line is a row, every bad one is counted.
mixed() {
    LC_ALL=C awk 'BEGIN {
        for (i = 1; i < 256; i++) code[sprintf("%c", i)] = i
        print ""
        for (n = 10; n <= 40; n++) {
            print sum("store=" n ",sun=500")
            printf "store=99,sun=1*00\n%c\033[31mstore\007\n", 0
            for (i = 0; i < 3000; i++) printf "x"
            printf "\nstore=9%s\n", sum("store=8,sun=500") # its end was lost: run together
        }
        print sum("store=77,sun=500")
    }
    function xor(a, b,   r, bit) {
        for (bit = 1; bit < 256; bit *= 2) {
            if (a % 2 != b % 2) r += bit
            a = int(a / 2); b = int(b / 2)
        }
        return r + 0
    }
    function sum(text,   i, x) {
        for (i = 1; i <= length(text); i++) x = xor(x, code[substr(text, i, 1)])
        return sprintf("%s*%02X", text, x)
    }'
}
small_rig "checksum = xor8"
feed --linger 30 < <(mixed 2>/dev/null)
noonlog record rig.ini run 2>said &
await "grep -q ',77.0000' run/readings.csv"
noonlog stop run
expect "31 good ones and the last" [ "$(rows run)" -eq 32 ]
expect "none of the bad ones" bash -c '! cut -d, -f3 run/readings.csv | grep -Eq "^(99|8|9)"'
expect "counted" grep -q 'garbled (31), checksum wrong (62), over-long (31)' run/notes.csv
expect "no control characters in the notes" bash -c '! grep -qP "[\x00-\x08\x0b-\x1f\x7f]" run/notes.csv'
expect "nor in the log" bash -c '! grep -qP "[\x00-\x08\x0b-\x1f\x7f-\xff]" run/adapter.log'
expect "nor on the terminal" bash -c '! grep -qP "[\x00-\x08\x0b-\x1f\x7f]" said'
finish
