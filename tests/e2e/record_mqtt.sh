#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Rows to a real broker on loopback, which is killed and started again in the middle: no row is
# missing in the run, what the broker missed is counted. Then with TLS and a password.
. "$(dirname "$0")/record_common.bash" || exit 2
PATH=$PATH:/usr/sbin

port=$(python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])')
broker() { # NAME: with NAME.conf
    mosquitto -c "$1.conf" >"$1.log" 2>&1 &
    broker=$!
    feeders="$feeders $broker"
    await "grep -q running $1.log"
}
listen() { # FILE ARGUMENT...
    local file=$1
    shift
    mqttlisten "$@" >"$file" &
    feeders="$feeders $!"
    await "grep -q listening $file"
}
heard() { grep -c elapsed_s "$1"; }

printf 'listener %s 127.0.0.1\nallow_anonymous true\nuser root\n' "$port" >plain.conf
small_rig
feed --lines 100000 --hz 20
broker plain
listen heard.plain "$port" shed/wash-stand
noonlog record rig.ini run --mqtt localhost:"$port" --topic shed/wash-stand --quiet &
recorder=$!
await '[ $(heard heard.plain) -ge 20 ]'
kill -9 $broker
wait $broker 2>/dev/null
await "grep -q ',port,.*mqtt: connection to localhost:$port lost; the recording goes on' run/notes.csv"
await "rows run -ge $(($(rows run) + 30))"
before=$(heard heard.plain)
broker plain
await "grep -q 'mqtt: connected to localhost:$port again' run/notes.csv"
await "[ \$(heard heard.plain) -ge $((before + 20)) ]"
noonlog stop run >/dev/null || fail "stop"
wait $recorder || fail "the recorder's exit status"
lines=$(grep -c seq= run/adapter.log)
expect "no line is missing from the log" [ "$(sed -n 's/.*seq=\([0-9]*\).*/\1/p' run/adapter.log | tail -1)" -eq "$lines" ]
expect "every line but the first is a row" [ "$(rows run)" -eq $((lines - 1)) ]
published=$(sed -n 's/.*mqtt: \([0-9]*\) rows published to shed\/wash-stand.*/\1/p' run/notes.csv)
missed=$(sed -n 's/.*published to shed\/wash-stand, \([0-9]*\) not confirmed.*/\1/p' run/notes.csv)
expect "published and missed are all rows: ${published:-none} + ${missed:-0}" \
    [ $((${published:-0} + ${missed:-0})) -eq "$(rows run)" ]
python3 - <<'END' || fail "what was heard is not what was recorded"
import csv, json
rows = {r["elapsed_s"]: r for r in csv.DictReader(open("run/readings.csv"))}
heard = [json.loads(l) for l in open("heard.plain") if l.startswith("{")]
assert len(heard) >= 40
for h in heard:
    row = rows["%.3f" % h["elapsed_s"]]
    assert list(h) == list(row), (h, row)
    assert h["time_utc"] == row["time_utc"]
    for name in list(h)[2:]:
        assert abs(h[name] - float(row[name])) < 1e-3, (name, h, row)
END
kill $broker

# Nobody there, and a name that is none: the run is recorded all the same.
noonlog record rig.ini alone --mqtt localhost:"$port" --topic t --for 2s --quiet || fail "record without a broker"
expect "all rows" [ "$(rows alone)" -ge 30 ]
expect "said" grep -q 'mqtt: cannot connect to localhost:.*: Connection refused' alone/notes.csv
expect "counted" grep -q 'mqtt: 0 rows published to t, [0-9]* not confirmed' alone/notes.csv
noonlog record rig.ini never --mqtt localhost 2>said
expect "a broker without a topic: exit status" [ $? -eq 2 ]

# TLS and a password, from a file that is its owner's only.
openssl req -x509 -newkey rsa:2048 -nodes -keyout key.pem -out ca.pem -days 2 -subj /CN=localhost \
    -addext subjectAltName=DNS:localhost >/dev/null 2>&1 || fail "openssl"
mosquitto_passwd -b -c passwords shed 'open = sesame' >/dev/null 2>&1 || fail "mosquitto_passwd"
{
    printf 'listener %s 127.0.0.1\nallow_anonymous false\nuser root\npassword_file %s\n' "$port" "$work/passwords"
    printf 'certfile %s\nkeyfile %s\n' "$work/ca.pem" "$work/key.pem"
} >tls.conf
broker tls
listen heard.tls "$port" shed/+ ca.pem shed 'open = sesame'
printf 'user = shed\npassword = open = sesame\nca = %s\n' "$work/ca.pem" >login
chmod 644 login
noonlog record rig.ini never --mqtt localhost:"$port" --topic shed/tls --mqtt-login login 2>said
expect "a password that others may read: exit status" [ $? -eq 2 ]
expect "says how to mend it" grep -q 'chmod 600' said
expect "and not the password" bash -c '! grep -q sesame said'
chmod 600 login
noonlog record rig.ini safe --mqtt localhost:"$port" --topic shed/tls --mqtt-login login --quiet &
await '[ $(heard heard.tls) -ge 10 ]'
noonlog stop safe >/dev/null || fail "stop"
sed -i 's/sesame/says me/' login
noonlog record rig.ini wrong --mqtt localhost:"$port" --topic shed/tls --mqtt-login login --quiet &
await "grep -q 'mqtt: localhost:.* refuses: ' wrong/notes.csv"
noonlog stop wrong >/dev/null || fail "stop"
openssl req -x509 -newkey rsa:2048 -nodes -keyout other.pem -out otherca.pem -days 2 -subj /CN=localhost >/dev/null 2>&1
printf 'user = shed\npassword = open = sesame\nca = %s\n' "$work/otherca.pem" >login
noonlog record rig.ini forged --mqtt localhost:"$port" --topic shed/tls --mqtt-login login --quiet &
await "grep -q 'mqtt: .*certificate' forged/notes.csv"
noonlog stop forged >/dev/null || fail "stop"
expect "a forged broker gets no row" [ "$(heard heard.tls)" -le "$(rows safe)" ]
finish
