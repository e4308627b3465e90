#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# A Modbus bus whose answers are late, doubled, foreign, cut or garbled: no number ever stands under
# another channel's name, neither in readings.csv nor in adapter.log; what was lost is an empty cell
# and a note, and the next good answer counts again.
. "$(dirname "$0")/../e2e/record_common.bash" || exit 2

bus() { # [FAULT EVERY]
    rm -f "$work/port"
    badbus "$work/port" "$@" &
    feeder=$!
    feeders="$feeders $feeder"
    await "[ -e port ]"
}
# Apart and neighbouring registers of two units; each holds 1000 times its unit plus its address.
channels="7:1 7:5 7:6 7:9 9:2 9:4"
{
    printf '[adapter]\nkind = modbus\nport = %s\nbaud = 19200\ninterval_s = 0.1\n' "$work/port"
    for c in $channels; do
        printf '[channel r%s]\nunit = x\nmodbus_unit = %s\nmodbus_register = %s\nmodbus_type = u16\n' \
            "${c/:/_}" "${c%:*}" "${c#*:}"
    done
} >rig.ini

# right RUN: every cell is its own register's number or empty, and so is every pair of the log.
right() {
    awk -F, 'NR == 1 { for (i = 3; i <= NF; i++) { split(substr($i, 2), a, "_"); own[i] = 1000 * a[1] + a[2] } next }
        { for (i = 3; i <= NF; i++) if ($i != "" && $i + 0 != own[i]) { print "row " NR ": " $0; bad = 1 } }
        END { exit bad }' "$1/readings.csv" || return 1
    cut -f4 "$1/adapter.log" | grep -v '^#' | tr ',' '\n' | sed 's/\\^//' |
        awk -F'[@:=]' 'NF == 5 && $5 != "" && $5 != 1000 * $2 + $3 { print; bad = 1 } END { exit bad }'
}
# full RUN: rows with every cell.
full() {
    awk -F, 'NR > 1 { for (i = 3; i <= NF; i++) if ($i == "") next; n++ } END { print n + 0 }' "$1/readings.csv"
}

for fault in "" "once 8" "late 7" "later 7" "double 1" "swap 7" "foreign 7" "cut 7" "garbled 7" "noise 2" "singly 0"; do
    name=run_$(echo ${fault:-none} | cut -d' ' -f1)
    bus $fault
    noonlog record rig.ini $name --quiet &
    await "rows $name -ge 9"
    noonlog stop $name || fail "$fault: stop"
    kill $feeder
    wait $feeder 2>/dev/null
    expect "$fault: each number is its own channel's" right $name
    expect "$fault: whole rows" [ "$(full $name)" -ge 3 ]
    expect "$fault: whole files" whole $name
    expect "$fault: the log names unit, register and type" grep -q 'r7_5@7:5:u16=7005' $name/adapter.log
    case $fault in
    "" | double* | noise* | singly*) expect "$fault: nothing to note" [ "$(grep -c 'pts/.*: .*' $name/notes.csv)" -eq 0 ] ;;
    once* | late* | later*) expect "$fault: noted" grep -q ',port,.*gave no answer in time' $name/notes.csv ;;
    swap* | foreign*) expect "$fault: noted" grep -q ',port,.*more answers than questions' $name/notes.csv ;;
    esac
    cp $name/readings.csv kept.csv
    noonlog rebuild $name >/dev/null || fail "$fault: rebuild"
    expect "$fault: rebuild gives the same file" cmp $name/readings.csv kept.csv
done

# One of two is gone: the other goes on, and it is said once.
bus vanish 12
noonlog record rig.ini gone --quiet &
await "rows gone -ge 20"
noonlog stop gone || fail "stop"
expect "each number is its own channel's" right gone
expect "the other goes on" [ "$(tail -1 gone/readings.csv | cut -d, -f3-8)" = "7001,7005,7006,7009,," ]
expect "it is said" grep -q ',port,.*unit 9 does not answer; it is asked less often now' gone/notes.csv
expect "once" [ "$(grep -c 'unit 9' gone/notes.csv)" -le 2 ]

# A channel that was given another's register is mended by a rebuild; a log of noonlog 1.0 is read.
sed 's/^modbus_register = 5$/modbus_register = 6/; t; s/^modbus_register = 6$/modbus_register = 5/' rig.ini >other.ini
noonlog rebuild gone --rig other.ini >/dev/null || fail "rebuild"
expect "the numbers follow the register" [ "$(tail -1 gone/readings.csv | cut -d, -f3-6)" = "7001,7006,7005,7009" ]
sed -i 's/@[0-9:]*u16//g' gone/adapter.log
noonlog rebuild gone >/dev/null || fail "rebuild of a log without addresses"
expect "then the names count" [ "$(tail -1 gone/readings.csv | cut -d, -f3-6)" = "7001,7005,7006,7009" ]
finish
