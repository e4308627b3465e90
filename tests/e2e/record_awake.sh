#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The computer is kept awake by asking systemd-inhibit, here one of our own that says what it was
# asked and can refuse: granted, granted without the lid, refused; it ends with the recorder, also
# with one that was killed.
. "$(dirname "$0")/record_common.bash" || exit 2

mkdir bin
cat >bin/systemd-inhibit <<'END'
#!/bin/sh
echo "$@" >>"$ASKED"
[ "$1" != "--what=$REFUSE" ] && [ "$REFUSE" != all ] || exit 1
shift 4
echo $$ >"$ASKED.pid"
exec "$@"
END
chmod +x bin/systemd-inhibit
export PATH=$work/bin:$PATH ASKED=$work/asked REFUSE=none
small_rig
feed --lines 100000 --hz 20
noonlog record rig.ini run --quiet &
recorder=$!
await "grep -q 'is kept awake while it records, also with its lid closed' run/notes.csv"
expect "asked for sleep, idle and lid" grep -q -- '--what=sleep:idle:handle-lid-switch --who=noonlog' asked
expect "status says so" bash -c 'noonlog status run | grep -q "kept awake, also with its lid closed"'
expect "and in JSON" bash -c 'noonlog status run --json | grep -q "\"awake\": \"lid\""'
expect "room is known" bash -c 'noonlog status run --json | grep -Eq "\"free_MB\": [0-9]"'
expect "it lives" kill -0 "$(cat asked.pid)"
kill -9 $recorder
await '! kill -0 $(cat asked.pid) 2>/dev/null'

export REFUSE=sleep:idle:handle-lid-switch
noonlog record rig.ini run2 --quiet &
await "grep -q 'is kept awake while it records; do not close its lid' run2/notes.csv"
noonlog stop run2 >/dev/null || fail "stop"
await '! kill -0 $(cat asked.pid) 2>/dev/null'

export REFUSE=all
noonlog record rig.ini run3 --quiet &
await "grep -q 'is not kept awake' run3/notes.csv"
await 'noonlog status run3 | grep -q "the computer is not kept awake"'
expect "watch says so" bash -c 'noonlog watch run3 --once | grep -q "not kept awake"'
noonlog stop run3 >/dev/null || fail "stop"

: >asked
noonlog record rig.ini run4 --let-sleep --for 1s --quiet || fail "record --let-sleep"
expect "nothing was asked" [ ! -s asked ]
expect "nor said" bash -c '! grep -q awake run4/notes.csv'
finish
