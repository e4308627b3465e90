#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# An adapter behind a TCP connection: recorded, cut in the middle of a line, found again; IPv6; a
# wrong address is said; looking up a name holds nothing up.
. "$(dirname "$0")/record_common.bash" || exit 2

serve() { # NAME [OPTION...]: its port is then $number
    rm -f "$1"
    python3 "$TEST_SOURCE/tests/e2e/tcpfeed.py" "$@" &
    server=$!
    feeders="$feeders $server"
    await "[ -e $1 ]"
    number=$(cat "$1")
}
serve one --cut 8
small_rig
sed -i "s#^port = .*#port = tcp:localhost:$number#" rig.ini
noonlog record rig.ini run --quiet &
await "rows run -ge 20"
noonlog stop run >/dev/null || fail "stop"
expect "whole files" whole run
expect "time goes up" rising run
expect "each cut is a lost connection" [ "$(grep -c 'port lost (closed by the other side): tcp:localhost' run/notes.csv)" -ge 2 ]
expect "and is found again" grep -q "port found again after .*: tcp:localhost:$number" run/notes.csv
expect "half lines are marked in the log" grep -q 'seq=8,store=\\-$' run/adapter.log
expect "and no row" bash -c '! cut -d, -f3 run/readings.csv | grep -q "^$"'
expect "connected, without a baud rate" grep -q ',port,"\{0,1\}connected: tcp:localhost:[0-9]*"\{0,1\}$' run/notes.csv
expect "nothing was written to it" kill -0 $server

# The other side goes away for a while and is back at the same place.
noonlog record rig.ini run2 --quiet &
await "rows run2 -ge 3"
kill $server
wait $server 2>/dev/null
await "grep -q 'waiting for the port.*Connection refused' run2/notes.csv"
before=$(rows run2)
serve one --port "$number"
await "rows run2 -ge $((before + 5))"
noonlog stop run2 >/dev/null || fail "stop"
kill $server

# What is wrong is said at the start.
noonlog record rig.ini never 2>said
expect "nobody there: exit status" [ $? -eq 2 ]
expect "and why" grep -q 'cannot connect: Connection refused' said
noonlog record rig.ini never --port tcp:fd00::5:4001 2>said
expect "an address that is none: exit status" [ $? -eq 2 ]
expect "and what is right" grep -q 'IPv6 address in brackets' said
noonlog record rig.ini never --port tcp:no.such.name.invalid:4001 2>said
expect "a name that is none: exit status" [ $? -eq 2 ]
expect "and that" grep -q 'no.such.name.invalid cannot be looked up' said
expect "no folder is left" [ ! -e never ]

if python3 -c 'import socket; socket.socket(socket.AF_INET6).bind(("::1", 0))' 2>/dev/null; then
    serve six --v6
    noonlog record rig.ini run6 --port "tcp:[::1]:$number" --quiet &
    await "rows run6 -ge 5"
    noonlog stop run6 >/dev/null || fail "stop"
    kill $server
fi

# A second adapter whose name takes five seconds to look up, again and again: the first one's lines
# are stamped when they come.
{
    small_rig "interval_s = 0.1"
    cat rig.ini
    printf '[adapter far]\nport = tcp:slow.invalid:4001\ninterval_s = 0.1\n[channel air]\nunit = degC\nadapter = far\n'
} >both.ini
feed --lines 100000 --hz 20
LD_PRELOAD=$TEST_PROGRAMS/tests/faultlookup.so noonlog record both.ini slow --wait --quiet &
await "[ \$(grep -c 'cannot be looked up' slow/notes.csv) -ge 1 ]"
await "rows slow -ge 120"
noonlog stop slow >/dev/null || fail "stop"
expect "no silence while a name is looked up" awk -F'\t' '/seq=/ { if (n++ > 1 && $2 - last > 2) exit 1; last = $2 }' slow/adapter.log
finish
