#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# `watch`: beside a recording of another process, on a finished run, in a real terminal (tmux).
. "$(dirname "$0")/record_common.bash" || exit 2
export LC_ALL=C.UTF-8

small_rig
feed --lines 4000 --hz 50
noonlog record rig.ini run --for 10m --quiet &
recorder=$!
await 'rows run -ge 30'

# Not a terminal: printed once, as text.
expect "once" noonlog watch run >text
expect "state" grep -q 'recording 0:00:0' text
expect "title" grep -q 'wash stand on a pseudo-terminal' text
expect "channels" grep -Eq '^  inlet +(19|20)\.[0-9] °C' text
expect "no escapes" bash -c '! grep -qP "\x1b" text'
expect "a narrow one" noonlog watch run --once --size 24x6 >text
expect "24 columns" [ "$(wc -L <text)" -le 24 ]
expect "6 lines" [ "$(wc -l <text)" -le 6 ]
expect "the smallest" noonlog watch run --once --size 1x1 >text
expect "the largest" noonlog watch run --once --size 160x100 >text
for size in 0x24 80x0 161x24 80x101 80 80x24x; do
    noonlog watch run --once --size $size >/dev/null 2>said && fail "--size $size"
    expect "says how" grep -q 'wants columns and rows, up to 160x100' said
done

# Out of descriptors: a word why, not silence.
LD_PRELOAD=$TEST_PROGRAMS/tests/faultdescriptors.so noonlog watch run --once >text 2>said
expect "status of out of descriptors" [ $? -eq 2 ]
expect "says it" grep -q '^noonlog: .*: Too many open files' said

# A target that is reached while watching: one note, whoever watches. (ptyfeed: store = 20 + n/100)
if command -v tmux >/dev/null; then
    screen() { tmux -L "noonlog-$$" capture-pane -p -t watch; }
    trap 'tmux -L "noonlog-$$" kill-server 2>/dev/null; cleanup' EXIT
    tmux -L "noonlog-$$" -f /dev/null new-session -d -s watch -x 80 -y 24 \
        "exec bash --norc" || fail "no tmux"
    tmux -L "noonlog-$$" send-keys -t watch "noonlog watch run --target 21.5C" Enter
    await 'screen | grep -q "water in the store"'
    await 'screen | grep -q "q ends this view; the recording goes on"'
    await 'screen | grep -q "is reached"'
    await 'grep -q ",target,.store has reached 21.5 degC" run/notes.csv'
    await 'screen | grep -q "target  *store has"'
    screen >picture
    expect "24 lines" [ "$(wc -l <picture)" -le 24 ]
    expect "80 columns" [ "$(wc -L <picture)" -le 80 ]
    tmux -L "noonlog-$$" resize-window -t watch -x 38 -y 10
    await 'screen | grep -q "^water [0-9]"'
    tmux -L "noonlog-$$" send-keys -t watch q
    await '! screen | grep -q "water"'
    # the shell has its screen and its echo back
    tmux -L "noonlog-$$" send-keys -t watch "printf '%s\\n' here again" Enter
    await 'screen | grep -q "^again"'
    await 'screen | grep -q "here again"'
    # a second one with the same target writes no second note
    tmux -L "noonlog-$$" send-keys -t watch "noonlog watch run --target 21.5C" Enter
    await 'screen | grep -q "is reached"'
    tmux -L "noonlog-$$" send-keys -t watch C-c
    await '! screen | grep -q "is reached"'
    expect "one note" [ "$(grep -c ',target,' run/notes.csv)" -eq 1 ]
else
    fail "tmux is needed for this test"
fi

# The bytes themselves: one bell, another screen and back, the terminal's modes as they were.
cat >bytes.py <<'PY'
import os, pty, sys, termios, time
pid, fd = pty.fork()
if pid == 0:
    os.environ["TERM"] = "xterm"
    os.execvp("noonlog", ["noonlog", "watch", sys.argv[1], "--target", sys.argv[2]])
before, seen, end = termios.tcgetattr(fd), b"", time.time() + 40
while b"is reached" not in seen or seen.count(b"\x1b[H") < 4:
    assert time.time() < end, seen[-500:]
    seen += os.read(fd, 65536)
os.write(fd, b"q")
while True:
    try:
        more = os.read(fd, 65536)
    except OSError:
        break
    if not more:
        break
    seen += more
assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 0
assert seen.count(b"\a") == 1, seen.count(b"\a")
assert seen.startswith(b"\x1b[?1049h") and seen.endswith(b"\x1b[?1049l"), (seen[:20], seen[-20:])
assert b"\x1b[2J" not in seen, "clears the screen: it would flicker"
PY
more=$(awk -F, 'END { printf "%.2f", $3 + 1.5 }' run/readings.csv)
expect "one bell, a screen of its own" python3 bytes.py run "${more}C"
expect "the target is noted" [ "$(grep -c ',target,' run/notes.csv)" -eq 2 ]

expect "the recording went on" kill -0 $recorder
noonlog stop run
wait $recorder || fail "record did not end cleanly"

# A finished run: the same view, and nothing is written into it.
before=$(cat run/* | cksum)
expect "finished" noonlog watch run --once --target 20.1C --units us >text
expect "ended" grep -q 'ended after 0:0' text
expect "in degF" grep -q '68.2 °F was reached' text
expect "untouched" [ "$(cat run/* | cksum)" = "$before" ]

noonlog watch nowhere 2>said
expect "no run: exit status 2" [ $? -eq 2 ]
expect "says so" grep -q 'this is no run folder' said
noonlog watch run --target warm 2>said
expect "a target that is none" [ $? -eq 2 ]
finish
