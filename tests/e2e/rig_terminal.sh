#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The virtual rig on its pseudo-terminal: nothing is lost to a slow reader, and it leaves cleanly.
. "$(dirname "$0")/record_common.bash" || exit 2

# What `write` puts in readings.csv must come over the wire, line by line: all of it, once, in
# order, with a right checksum. The reader sleeps in the middle with the buffers full.
cat >slow.py <<'PY'
import csv, functools, os, sys, time

port, table, sep, first = sys.argv[1], sys.argv[2], sys.argv[3], int(sys.argv[4])
fd, data, naps = os.open(port, os.O_RDWR | os.O_NOCTTY), b"", 0
while True:
    try:
        got = os.read(fd, 700)
    except OSError:  # the adapter unplugged itself: the end
        break
    if not got:
        break
    data += got
    if len(data) > 100000 * (naps + 1) and naps < 2:
        naps += 1
        time.sleep(1)
lines = data.decode().split("\r\n")
assert lines[0].startswith("# virtual rig"), lines[0]
assert lines[-1] == "", "the last line has no end: %r" % lines[-1]
lines = lines[1:-1]
rows = list(csv.DictReader(open(table)))
assert len(lines) == len(rows), "%d lines of %d rows" % (len(lines), len(rows))
names = [n for n in rows[0] if n not in ("time_utc", "elapsed_s")]
for line, row in zip(lines, rows):
    body, check = line.rsplit("*", 1)
    xor = functools.reduce(lambda a, b: a ^ b, body.encode(), 0)
    assert "%02X" % xor == check, line
    fields = [f.split("=")[-1] for f in body.split(sep)]
    ms = (first + round(1000 * float(row["elapsed_s"]))) % 2**32
    assert int(fields[0]) == ms, (line, ms)
    assert len(fields) == 1 + len(names), line
    for field, name in zip(fields[1:], names):
        assert abs(float(field) - float(row[name])) < 0.0051, (line, name, row[name])
print(len(lines), "lines")
PY

virtual-rig write all || fail "no run folder"
for shape in 'pairs comma , 0' 'values semicolon ; 4294000000'; do
    set -- $shape
    virtual-rig serve --link "$work/port" --speed max --line "$1" --separator "$2" --first-ms "$4" &
    rig=$!
    await '[ -e port ]'
    expect "$1: every line arrives" timeout 60 python3 slow.py port all/readings.csv "$3" "$4"
    wait $rig || fail "$1: the rig did not end well"
    expect "$1: the link is gone" [ ! -L port ]
done

# Nobody comes: it says so. Exit status 1: cannot.
virtual-rig serve --link "$work/port" --wait 0.2 2>said
expect "status without a reader" [ $? -eq 1 ]
expect "says that nobody came" grep -q 'nobody opened it' said
expect "the link is gone again" [ ! -L port ]

# Told to stop, waiting or speaking: an end like another.
virtual-rig serve --link "$work/port" &
rig=$!
await '[ -e port ]'
kill -TERM $rig
wait $rig || fail "a signal is no failure"
expect "the link is gone after the signal" [ ! -L port ]

# What is there already and is no link stays.
echo mine >file
virtual-rig serve --link "$work/file" --wait 0.2 2>said
expect "status with a file in the way" [ $? -eq 2 ]
expect "the file is untouched" [ "$(cat file)" = mine ]
virtual-rig write all 2>said
expect "a run folder is never overwritten" [ $? -eq 2 ]
virtual-rig write new --set water_kg=-3 2>said
expect "nonsense is refused" [ $? -eq 2 ]
expect "and leaves nothing" [ ! -e new ]

# Two adapters in a row under one name: the second reader gets the second one.
virtual-rig truth --seed 3 >truth.json
expect "the truth is JSON" python3 -c 'import json; json.load(open("truth.json"))["mean"]["eta0"]'
finish
