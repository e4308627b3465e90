#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Polled sensors: a libmodbus server on a pair of pseudo-terminals is read, lost and found again.
. "$(dirname "$0")/record_common.bash" || exit 2

bus() {
    modbusfeed "$work/port" "$@" &
    feeders="$feeders $!"
    await "[ -e port ]"
}
register() { # NAME REGISTER TYPE SCALE [UNIT]
    printf '[channel %s]\nunit = x\nmodbus_unit = %s\nmodbus_register = %s\nmodbus_type = %s\n' \
        "$1" "${5:-7}" "$2" "$3"
    printf 'modbus_scale = %s\n' "$4"
}
{
    printf '[adapter]\nkind = modbus\nport = %s\nbaud = 19200\ninterval_s = 0.2\n' "$work/port"
    register count 0 u16 1
    register cold 1 s16 10
    register level 2 f32 1
    register minus 4 s32 1
    register big 0 iu16 100
} >rig.ini

bus --die-after 45
noonlog record rig.ini run --quiet &
await 'rows run -ge 5'
expect "s16 / 10, f32, s32, input u16 / 100" \
    [ "$(sed -n 3p run/readings.csv | cut -d, -f4-7)" = "-12.5,3.25,-1234567,600" ]
expect "polled anew each time" awk -F, 'NR > 2 && $3 <= last { exit 1 } { last = $3 }' run/readings.csv
await "grep -q ',port,.*no answer\|port lost\|gives a reading\|nothing has arrived' run/notes.csv"
before=$(rows run)
rm port
bus
await "rows run -gt $((before + 3))"
noonlog stop run || fail "stop"
expect "the log has the registers' own numbers" grep -q 'cold@7:1:s16=-125,level@7:2:f32=3.25,minus@7:4:s32=-1234567,big@7:0:iu16=60000' run/adapter.log
expect "whole files" whole run
expect "time goes up" rising run

# One sensor that does not answer leaves its cell empty and no other.
register dead 0 u16 1 9 >>rig.ini
noonlog record rig.ini run2 --for 4s --quiet || fail "record"
expect "its cell is empty" [ "$(sed -n 3p run2/readings.csv | cut -d, -f8)" = "" ]
expect "the others are not" [ "$(sed -n 3p run2/readings.csv | cut -d, -f4)" = "-12.5" ]
expect "and that is noted" grep -q 'channel dead: 0 readings' run2/notes.csv

# Nobody answers: said, with what to look at.
{
    printf '[adapter]\nkind = modbus\nport = %s\nbaud = 19200\ninterval_s = 0.2\n' "$work/port"
    register dead 0 u16 1 9
} >rig.ini
noonlog record rig.ini run3 --quiet &
await "grep -q ',port,.*no answer on the bus: .*; wiring, addresses, baud rate 19200, parity' run3/notes.csv"
noonlog stop run3 || fail "stop"
expect "no row" [ "$(rows run3)" -eq 0 ]
finish
