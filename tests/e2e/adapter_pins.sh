#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The adapter's firmware on the simulated board: what stands at its pins comes back in its lines
# within resolution, and every fault is survived and said. The probes stand at the corners of their
# data sheet's times; nothing may lie outside of them.
. "$(dirname "$0")/common.bash" || exit 2
firmware=$TEST_PROGRAMS/adapter.elf

# board NAME SECONDS: scenario from stdin; lines to NAME.txt, the report to NAME.report.
board() {
    cat >"$1.scenario"
    "$TEST_PROGRAMS/virtual-board" "$firmware" --scenario "$1.scenario" --out "$1.txt" --for "$2" \
        2>"$1.report" || { cat "$1.report"; exit 1; }
}

board plain 8 <<'SCENARIO'
0 noise 0.7
0 hum 0.02
0 reference 1.083
0 supply 4.7
0 probe 1 21.53
0 probe 2 -10.13
0 probe 3 99.97
0 volt ntc1 1.7
0 volt ntc2 4.7
0 volt div1 0.9
0 volt div2 3.3
0 volt cell 0.9375
0 volt pump 0.75
0 pulses 1 7.5
0 pulses 2 0.5
0.5 ask r1083
SCENARIO

# All twelve, fed by the data wire, both meters at the limit, every fault of the wire.
board faults 17 <<'SCENARIO'
0 noise 0.7
0 feed wire
0 probe 1 1
0 probe 2 2
0 probe 3 3
0 probe 4 4
0 probe 5 5
0 probe 6 6
0 probe 7 7
0 probe 8 8
0 probe 9 9
0 probe 10 10
0 probe 11 11
0 pulses 1 10000
0 pulses 2 10000
0.003 preset clock_ms 4294962000
3 pull 2
5 damage 3 1
6.5 probe 12 12
6.9 plug 2
9 short
11 open
13.2 ask i
SCENARIO

board resets 18 <<'SCENARIO'
0 probe 1 20
3.5 brown-out
7.5 hang
12.5 brown-out
15 ask e0
15.1 ask zz9
15.2 ask e2
15.3 ask s
SCENARIO

board kept 13 <<'SCENARIO'
0 probe 1 20
0.5 ask e2
5.5 brown-out
SCENARIO

# Beyond what is promised: pulses are lost, and nothing else.
board beyond 6 <<'SCENARIO'
0 feed wire
0 probe 1 20
0 pulses 1 20000
0 pulses 2 20000
SCENARIO

python3 - "$TEST_SOURCE/logger/adapter/README.md" <<'PY'
import sys

failed = []
def expect(what, holds):
    if not holds:
        failed.append(what)

def read(name):
    lines, said = [], []
    for line in open(name + ".txt"):
        line = line.rstrip("\n")
        if line.startswith("#"):
            said.append(line)
            continue
        if "*" not in line:
            continue  # the simulation ended in the middle of it
        text, check = line.rsplit("*", 1)
        total = 0
        for c in text.encode():
            total ^= c
        expect(name + ": checksum of " + line, "%02X" % total == check)
        lines.append(dict(f.split("=", 1) for f in text.split(",")))
    report = open(name + ".report").read()
    expect(name + ": " + report, ": 0 pulses, 0 slots, 0 feeds" in report)
    return lines, said, report

def probes(line):
    return {k: v for k, v in line.items() if len(k) == 16}

def near(what, got, wanted, tolerance):
    expect("%s: %s for %g" % (what, got, wanted), got != "" and abs(float(got) - wanted) <= tolerance)

# --- what was simulated comes back ----------------------------------------------------------
lines, said, report = read("plain")
expect("lines come", len(lines) >= 6)
for line in lines[2:]:
    # half a step of 1/16 K, to the printed digit
    values = sorted(float(v) for v in probes(line).values())
    for got, wanted in zip(values, (-10.13, 21.53, 99.97)):
        near("probe", got, wanted, 0.03126)
    # Shares of the supply: noise 0.7 steps of 64, a hundred of them, five standard deviations.
    for key, volt in (("ntc1", 1.7), ("div1", 0.9), ("div2", 3.3)):
        near(key, line[key], volt / 4.7 * 65536, 5 * 0.7 * 64 / 10)
    expect("an open thermistor is empty", line["ntc2"] == "")
    for key, volt in (("cell", 0.9375), ("pump", 0.75)):
        near(key, line[key], 1000 * volt, 5 * 0.7 * 1083 / 1024 / 10)
    near("hz1", line["hz1"], 7.5, 0.001)
    near("hz2", line["hz2"], 0.5 if line in lines[3:] else 0, 0.001)
    expect("count", 7 <= int(line["pulses1"]) <= 8)
steps = {int(b["ms"]) - int(a["ms"]) for a, b in zip(lines, lines[1:])}
expect("a line a second: %s" % steps, steps == {1000})
expect("power said once", [l.get("reset") for l in lines[:3]] == ["power", None, None])
expect("reference", "# interval 1 s, reference 1083 mV" in said)

# --- faults ---------------------------------------------------------------------------------
lines, said, report = read("faults")
steps = {(int(b["ms"]) - int(a["ms"])) % 2**32 for a, b in zip(lines, lines[1:])}
# A long answer, with all probes at one second, may make a round late; the next is on time again.
expect("twelve probes fit into a second: %s" % steps,
       max(steps) <= 1030 and min(steps) >= 970 and len(steps) <= 3 and len(lines) >= 15)
wraps = [b for a, b in zip(lines, lines[1:]) if int(b["ms"]) < int(a["ms"])]
expect("the counter wraps once and loses nothing", len(wraps) == 1 and len(probes(wraps[0])) >= 11)
counted = sum(int(l["pulses1"]) for l in lines[1:]), sum(int(l["pulses2"]) for l in lines[1:])
wanted = 10 * ((int(lines[-1]["ms"]) - int(lines[0]["ms"])) % 2**32)
expect("both meters at 10 kHz: %s of %d" % (counted, wanted),
       max(abs(c - wanted) for c in counted) <= 10)  # a millisecond's worth: the stamp's grain
def history(number):
    names = [k for k in lines[-1] if len(k) == 16 and lines[-1][k] == "%d.0000" % number]
    expect("probe %d is there at the end" % number, len(names) == 1)
    return [l.get(names[0], "absent") if names else "absent" for l in lines]
expect("pulled: empty, then back: %s" % history(2),
       history(2)[1] == "2.0000" and "" in history(2)[3:6] and history(2)[-1] == "2.0000")
expect("damaged once: %s" % history(3), history(3)[:7].count("") == 1)
expect("plugged in later: %s" % history(12), history(12)[0] == "absent")
short = [i for i, l in enumerate(lines) if l.get("bus") == "short"]
expect("the short is said while it lasts: %s" % short, 1 <= len(short) <= 3)
for line in lines[1:]:  # an edge at the very tick of the clock is stamped right, too
    near("hz1", line["hz1"], 10000, 1)
for i in short:
    expect("no probe speaks through a short", set(probes(lines[i]).values()) == {""})
for l in lines:
    expect("never power-on's 85", "85.0000" not in l.values())
expect("identified", "# noonrun adapter 1" in said and said[-1] == "# end")
expect("every probe named", sum(s.startswith("# probe 28") for s in said) == 12)
expect("fed by the wire", "# probes fed by the data wire" in said)
free = [int(s.split()[2]) for s in said if s.startswith("# stack")]
# Of 2048 bytes. The deepest is reached here: all probes, both interrupts, requests.
expect("stack: %s bytes never used" % free, free and free[0] >= 512)
print("stack never used: %s bytes; %s" % (free, report.split(":", 1)[1].strip()))
readme = open(sys.argv[1]).read()
expect("README tells another stack: %s" % free, "; %d bytes were never" % free[0] in readme)

# --- resets ---------------------------------------------------------------------------------
lines, said, report = read("resets")
words = [l["reset"] for l in lines if "reset" in l]
expect("each cause once: %s" % words, words == ["power", "brown-out", "watchdog", "brown-out"])
expect("three resets", ", 3 resets" in report)
begins = [int(l["ms"]) for l in lines if "reset" in l]
expect("the counter starts anew: %s" % begins, max(begins) < 1000)
expect("reads on", list(probes(lines[-1]).values()) == ["20.0000"])
expect("refused requests get help", sum(s.startswith("# ask ") for s in said) == 2)
expect("setting read back", said.count("# interval 2 s, reference 1100 mV") == 2)
expect("obeyed", int(lines[-1]["ms"]) - int(lines[-2]["ms"]) in (1000, 2000))

lines, said, report = read("kept")
steps = [int(b["ms"]) - int(a["ms"]) for a, b in zip(lines, lines[1:]) if "reset" not in b]
expect("every two seconds, after a reset too: %s" % steps,
       steps == [2000] * len(steps) and len(steps) >= 4)

lines, said, report = read("beyond")
for line in lines[1:]:
    expect("20 kHz: some are lost", 15000 < int(line["pulses1"]) < 20000)
    expect("nothing else is", list(probes(line).values()) == ["20.0000"])

for what in failed:
    print("FAILED:", what)
sys.exit(bool(failed))
PY
status=$?

# Flash and memory: room to spare, and what README says of them is so.
size=$(avr-size "$firmware" | tail -n 1)
read -r text data bss _ <<<"$size"
flash=$((text + data))
echo "flash $flash of 32768 bytes, RAM $((data + bss)) of 2048 bytes"
[ "$flash" -lt 16384 ] || { echo "FAILED: half of the flash is full"; status=1; }
[ $((data + bss)) -lt 1024 ] || { echo "FAILED: half of the memory is full"; status=1; }
kilobytes=$(awk "BEGIN { printf \"%.1f\", $flash / 1000 }")
grep -q "^| flash | $kilobytes KB |" "$TEST_SOURCE/logger/adapter/README.md" &&
    grep -q "^| variables | $((data + bss)) bytes" "$TEST_SOURCE/logger/adapter/README.md" ||
    { echo "FAILED: README tells other sizes"; status=1; }
exit $status
