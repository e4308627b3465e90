#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# `serve`: the live page beside a recording, on a finished run, and under clients that mean harm.
# What a browser makes of the page is in tests/long/page.
. "$(dirname "$0")/record_common.bash" || exit 2
export LC_ALL=C.UTF-8
command -v curl >/dev/null || { echo "curl is needed for this test"; exit 2; }

# serve_run OPTION...: starts it; $url and $server.
serve_run() {
    rm -f links
    noonlog serve "$@" >links 2>said &
    server=$!
    await '[ -s links ]'
    url=$(head -n 1 links)
    base=${url%%#*}
}
status() { curl -s -o body -w '%{http_code}' "$@"; }
# Read by the shell: an awk may wait until its buffer is full before it looks at the first line.
events() { # events COUNT [CURL-OPTION...]: that many of them, then the line is cut
    local left=$1 line
    shift
    curl -sN "$@" "${base}events" | while IFS= read -r line; do
        printf '%s\n' "$line"
        [[ $line != data:* ]] || [ $((left -= 1)) -gt 0 ] || break
    done
}

small_rig
feed --lines 6000 --hz 20
noonlog record rig.ini run --for 20m --quiet &
recorder=$!
await 'rows run -ge 5'

# --- the page -------------------------------------------------------------------------------
serve_run run --listen 127.0.0.1:0 --target 90C
expect "one link, no token" [ "$(wc -l <links)" -eq 1 ]
case $url in http://127.0.0.1:*/) ;; *) fail "not a link: $url" ;; esac
expect "the page" [ "$(status "$base")" = 200 ]
expect "is a page" grep -q '<!doctype html>' body
for file in page.js page.css icon.svg; do
    expect "$file" [ "$(status "$base$file")" = 200 ]
    expect "$file is the tree's" cmp -s body "$TEST_SOURCE/logger/serve/web/$file"
done
curl -sD head -o page "$base"
expect "a policy" grep -qi "^Content-Security-Policy: default-src 'none'; script-src 'self'" head
expect "nothing inline, nothing from elsewhere" \
    bash -c '! grep -Eq "style=|onclick|<script>|<style|https?://" page'

# --- events -------------------------------------------------------------------------------------
events 5 >got
expect "state, curve, told at once" [ "$(grep -cE '^event: (state|curve|told)' got)" -ge 5 ]
for topic in state curve told; do
    expect "$topic is JSON" bash -c "grep -A1 '^event: $topic' got | sed -n 's/^data: //p' |
        python3 -c 'import json,sys; [json.loads(line) for line in sys.stdin]'"
done
expect "the title" grep -q '"title":"wash stand on a pseudo-terminal"' got
id=$(sed -n 's/^id: //p' got | head -n 1)
events 3 -H "Last-Event-ID: $id" >got
expect "who has the curve is not sent it again" bash -c '! grep -A9 "^retry" got | head -n 6 | grep -q "event: curve"'
expect "but the state" grep -q 'event: state' got
events 3 -H "Last-Event-ID: 1-$((${id#*-} + 0))" >got
expect "another start's id is not believed" grep -q 'event: curve' got

# --- notes --------------------------------------------------------------------------------------
post() { status -X POST -H "Noonrun: 1" "$@"; }
expect "a note" [ "$(post -d 'glass on' "${base}note")" = 200 ]
expect "is in the run" grep -q ',note,.glass on' run/notes.csv
expect "a formula is defused" [ "$(post -d '=1+1<script>' "${base}note")" = 200 ]
expect "in the file" grep -q ",note,.'=1+1<script>" run/notes.csv
expect "the pump" [ "$(post -d off "${base}pump")" = 200 ]
expect "is noted" grep -q ',pump,.off' run/notes.csv
expect "pump maybe" [ "$(post -d maybe "${base}pump")" = 400 ]
expect "no words" [ "$(post -d '  ' "${base}note")" = 400 ]
expect "400 bytes" [ "$(post --data-binary "$(printf 'x%.0s' {1..400})" "${base}note")" = 200 ]
expect "401 bytes" [ "$(post --data-binary "$(printf 'x%.0s' {1..401})" "${base}note")" = 413 ]
expect "a megabyte" [ "$(head -c 1000000 /dev/zero | tr '\0' y | post -H 'Expect:' --data-binary @- "${base}note")" = 413 ]
# A sender that looks for no answer before all is sent hears why, too, instead of a broken line.
cat >late.py <<'PY'
import socket, sys, time
port, header, size, step = int(sys.argv[1]), sys.argv[2], int(sys.argv[3]), 100000
s = socket.create_connection(("127.0.0.1", port), 10)
s.settimeout(30)
chunked = "chunked" in header
s.sendall(("POST /note HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n%s\r\n\r\n" % (port, header)).encode())
try:
    for at in range(0, size, step):
        time.sleep(0.05)
        piece = b"y" * min(step, size - at)
        s.sendall(b"%x\r\n%s\r\n" % (len(piece), piece) if chunked else piece)
    s.sendall(b"0\r\n\r\n" if chunked else b"")
    time.sleep(0.2)
    print(s.recv(4096).split(b" ")[1].decode())
except OSError as e:
    print(e)
PY
late() { python3 late.py "$(sed 's/.*:\([0-9]*\).*/\1/' <<<"$base")" "$@"; }
expect "sent to the end: too long" [ "$(late $'Noonrun: 1\r\nContent-Length: 1000000' 1000000)" = 413 ]
expect "sent to the end: a foreign form" [ "$(late 'Content-Length: 1000000' 1000000)" = 403 ]
expect "sent to the end: in pieces" [ "$(late $'Noonrun: 1\r\nTransfer-Encoding: chunked' 1000000)" = 411 ]
expect "pieces without end: cut off" bash -c '! [ "$1" -gt 0 ] 2>/dev/null' - \
    "$(late $'Noonrun: 1\r\nTransfer-Encoding: chunked' 6000000)"
expect "not sent yet: told at once" [ "$(post -H 'Expect: 100-continue' --data-binary "@late.py" "${base}note")" = 413 ]
expect "without a length" [ "$(post -H 'Transfer-Encoding: chunked' -d x "${base}note")" = 411 ]
expect "a target" [ "$(post -d 20.5C "${base}target")" = 200 ]
await 'grep -q ",target,.store has reached 20.5 degC" run/notes.csv'
expect "no target" [ "$(post -d '' "${base}target")" = 200 ]
expect "a warm target" [ "$(post -d warm "${base}target")" = 400 ]

# --- who is not let in ------------------------------------------------------------------------
notes_before=$(grep -c ',note,' run/notes.csv)
expect "a foreign form" [ "$(status -X POST -d x "${base}note")" = 403 ]
expect "a foreign page" [ "$(post -H 'Origin: http://evil.example' -d x "${base}note")" = 403 ]
expect "an origin of its own" [ "$(post -H 'Origin: null' -d x "${base}note")" = 403 ]
expect "our own page" [ "$(post -H "Origin: ${base%/}" -d own "${base}note")" = 200 ]
expect "a name that leads here" [ "$(post -H 'Host: evil.example' -d x "${base}note")" = 421 ]
expect "also to read" [ "$(status -H 'Host: evil.example' "$base")" = 421 ]
expect "also to listen" [ "$(status -H 'Host: evil.example:8033' "${base}events")" = 421 ]
expect "no Host at all" [ "$(status -0 -H 'Host:' "$base")" -ge 400 ]
for path in ../run/rig.ini %2e%2e/rig.ini readings.csv /page.js page.js/../../rig.ini 'page.js%00' \
    notes.csv .noonlog/state; do
    expect "path $path" [ "$(status --path-as-is "$base$path")" = 404 ]
done
expect "another method" [ "$(status -X DELETE "$base")" = 405 ]
expect "a note by GET" [ "$(status -H 'Noonrun: 1' "${base}note?text=x")" = 405 ]
expect "one note more, ours" [ "$(grep -c ',note,' run/notes.csv)" -eq $((notes_before + 1)) ]

# --- who means harm: the page is there all the same, and the recorder does not notice ------------
cat >hostile.py <<'PY'
import socket, sys, time, urllib.request
port = int(sys.argv[1])
def line():
    s = socket.create_connection(("127.0.0.1", port), 10)
    s.settimeout(40)
    return s
def good():
    end = time.time() + 40
    while True:  # all places may be taken for a moment
        try:
            return urllib.request.urlopen("http://127.0.0.1:%d/" % port, timeout=5).status == 200
        except OSError:
            if time.time() > end:
                return False
            time.sleep(0.2)
def answer(s):
    """All that comes until the other end closes."""
    got = b""
    try:
        while True:
            more = s.recv(65536)
            if not more:
                return got
            got += more
    except ConnectionError:
        return got
head = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n"
# headers without end, a line without end, a header of 60 kB, nonsense, TLS, bare NULs
for text in (b"GET / HTTP/1.1\r\n" + b"X: y\r\n" * 20000, b"GET /" + b"a" * 200000,
             head + b"Cookie: " + b"c" * 60000 + b"\r\n\r\n", b"\r\n\r\n\r\nnonsense\r\n\r\n",
             b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" * 50, b"\0" * 5000,
             b"GET / HTTP/9.9\r\nHost: x\r\n\r\n", b"POST /note HTTP/1.1\r\nHost: 127.0.0.1\r\n"
             b"Noonrun: 1\r\nContent-Length: 5\r\nContent-Length: 400\r\n\r\nabcde",
             b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nHost: evil.example\r\n\r\n"):
    s = line()
    try:
        s.sendall(text)
        s.shutdown(socket.SHUT_WR)
    except OSError:
        pass
    got = answer(s)
    assert b"\r\n\r\n<!doctype" not in got or text.count(b"Host") == 2, (text[:60], got[:200])
    s.close()
    assert good(), text[:60]
# those that begin and never end, a byte at a time; those that say nothing; those that break off
slow = []
for i in range(60):
    try:
        s = line()
        s.sendall(head[: i % len(head)])
        slow.append(s)
    except OSError:
        pass
end, closed = time.time() + 60, 0
while closed < len(slow) and time.time() < end:
    closed = 0
    for s in slow:
        try:
            s.sendall(b"X")
            s.setblocking(False)
            closed += s.recv(100) == b"" or 1
        except BlockingIOError:
            pass
        except OSError:
            closed += 1
        finally:
            s.setblocking(True)
            s.settimeout(5)
    time.sleep(0.3)
assert closed == len(slow), "%d of %d slow ones are still there" % (closed, len(slow))
assert good(), "after the slow ones"
# listeners that never read, and listeners that vanish
deaf = []
for i in range(40):
    try:
        s = line()
        s.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
        s.sendall(b"GET /events HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        deaf.append(s)
    except OSError:
        pass
for s in deaf[:20]:
    s.close()
for s in deaf[20:]:
    s.close()
assert good(), "after the deaf ones"
PY
port=${base##*:}
port=${port%/}
expect "stands against the hostile" python3 hostile.py "$port"
expect "still the same server" kill -0 $server
before=$(rows run)
await "rows run -gt $before"
expect "nothing of it in the run" [ "$(grep -c ',note,' run/notes.csv)" -eq $((notes_before + 1)) ]

# --- the end, with open lines -----------------------------------------------------------------
curl -sN "${base}events" >open1 & one=$!
curl -sN "${base}events" >/dev/null & two=$!
python3 -c 'import socket,sys,time
s = socket.create_connection(("127.0.0.1", int(sys.argv[1]))); s.sendall(b"GET / HT"); time.sleep(60)' "$port" & half=$!
await '[ -s open1 ]'
kill -TERM $server
wait $server
expect "ends cleanly with lines open" [ $? -eq 0 ]
wait $one $two
kill $half 2>/dev/null
noonlog_again() {
    serve_run run --listen "127.0.0.1:$1"
    kill -INT $server
    wait $server
}
noonlog_again "$port" || fail "the port is not free again"

# --- for telephones: a token ---------------------------------------------------------------------
serve_run run --listen 0.0.0.0:0
token=${url##*#}
expect "a token of 32 digits" grep -Eq '#[0-9a-f]{32}$' links
expect "says what it is for" grep -q 'can write notes' links
base=http://127.0.0.1:$(sed -n '1s/.*:\([0-9]*\)\/.*/\1/p' links)/
expect "without it: to read" [ "$(status "$base")" = 200 ]
expect "not to write" [ "$(post -d x "${base}note")" = 401 ]
expect "with a wrong one" [ "$(post -H "Authorization: Bearer ${token%?}x" -d x "${base}note")" = 401 ]
expect "with it" [ "$(post -H "Authorization: Bearer $token" -d 'by token' "${base}note")" = 200 ]
expect "is in the run" grep -q ',note,.by token' run/notes.csv
expect "not in the page" bash -c "! curl -s $base ${base}page.js | grep -q $token"
other=$token
kill -TERM $server
wait $server
serve_run run --listen 0.0.0.0:0
expect "another token each time" [ "${url##*#}" != "$other" ]

# The port is taken; addresses that are none.
taken=$(sed -n '1s/.*:\([0-9]*\)\/.*/\1/p' links)
noonlog serve run --listen "0.0.0.0:$taken" >/dev/null 2>said
expect "the port is taken: 2" [ $? -eq 2 ]
expect "says so" grep -q 'cannot listen' said
kill -TERM $server
wait $server
for bad in here:8033 127.0.0.1 127.0.0.1:99999 :8033 ::1:8033 '[127.0.0.1]:8033' 127.0.0.1:80x; do
    noonlog serve run --listen "$bad" >/dev/null 2>said
    expect "--listen $bad: 2" [ $? -eq 2 ]
    expect "--listen $bad: says so" grep -q 'wants an address' said
done
noonlog serve nowhere 2>said
expect "no run: 2" [ $? -eq 2 ]

# In a terminal, the link as a code to photograph: square, black on white.
cat >terminal.py <<'PY'
import os, pty, re, signal, sys
pid, fd = pty.fork()
if pid == 0:
    os.execvp("noonlog", ["noonlog", "serve", "run", "--listen", "0.0.0.0:0"])
seen = b""
while b"can write notes" not in seen:
    seen += os.read(fd, 65536)
os.kill(pid, signal.SIGTERM)
code = re.findall(r"\x1b\[38;5;16;48;5;231m([^\x1b]*)\x1b\[0m", seen.decode())
assert len(code) > 15, seen
assert all(len(row) == len(code[0]) for row in code) and abs(2 * len(code) - len(code[0])) <= 1, code
assert all(row.startswith("    ") and row.endswith("    ") for row in code), "no quiet zone"
assert len(code[0]) <= 80
assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 0
PY
expect "a code in a terminal" python3 terminal.py

noonlog stop run
wait $recorder || fail "record did not end cleanly"

# --- a finished run: shown, not written to ---------------------------------------------------------
before=$(cat run/*.* | cksum)
serve_run run --listen 127.0.0.1:0 --target 20.1C --units us
events 3 >got
expect "ended" grep -q '"state":"ended after' got
expect "in degF" grep -q '"unit":"°F"' got
expect "no note" [ "$(post -d late "${base}note")" = 409 ]
kill -TERM $server
wait $server
expect "untouched" [ "$(cat run/*.* | cksum)" = "$before" ]
finish
