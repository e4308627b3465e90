#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The outputs shown in a Markdown file are what the programs say.

    readme_blocks.py FILE.md            compares; exit status 1 and the differences where they differ
    readme_blocks.py FILE.md --write    puts what the programs say now into the file

A block is fenced as ```console, its first line is `$ noonfit ...`. A last line [...] means that the
output goes on; --write then shows as many paragraphs as there were. Numbers may differ by two in
their last digit, as they may on another machine.
"""
import os
import re
import shlex
import subprocess
import sys

BLOCK = re.compile(r"```console\n\$ ([^\n]*)\n(.*?)```", re.S)
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def output_of(command):
    words = shlex.split(command)
    if words[0] not in ("noonfit", "noonlog"):
        sys.exit("not run: " + command)
    env = dict(os.environ, LC_ALL="C.UTF-8", TZ="UTC")
    program = os.path.join(os.environ["TEST_PROGRAMS"], words[0])
    done = subprocess.run([program] + words[1:], env=env, capture_output=True, text=True)
    if done.returncode not in (0, 1):
        sys.exit("%s\n%s" % (command, done.stderr))
    return done.stdout + done.stderr


def same_line(shown, real):
    if NUMBER.sub("#", shown).split() != NUMBER.sub("#", real).split():
        return False
    for a, b in zip(NUMBER.findall(shown), NUMBER.findall(real)):
        digits = max(len(x.partition(".")[2]) for x in (a, b))
        if abs(float(a) - float(b)) > 2.001 * 10.0 ** -digits:
            return False
    return True


def differences(shown, real):
    lines, actual = shown.splitlines(), real.splitlines()
    open_end = lines and lines[-1] == "[...]"
    if open_end:
        lines.pop()
    if not lines or len(actual) < len(lines) or (not open_end and len(actual) != len(lines)):
        return ["%d lines shown, the program says %d" % (len(lines), len(actual))]
    return ["shown: %s\nreal:  %s" % (a, b) for a, b in zip(lines, actual) if not same_line(a, b)]


def keep(real, shown):
    if not shown.endswith("[...]\n"):
        return real
    count = len(shown.split("\n\n"))
    return "\n\n".join(real.split("\n\n")[:count]) + "\n[...]\n"


def main():
    path = sys.argv[1]
    text = open(path).read()
    blocks = list(BLOCK.finditer(text))
    if not blocks:
        sys.exit("no block in " + path)
    failed = 0
    for match in reversed(blocks):
        command, shown = match.groups()
        real = output_of(command)
        if "--write" in sys.argv:
            text = text[: match.start(2)] + keep(real, shown) + text[match.end(2) :]
            continue
        for difference in differences(shown, real):
            failed = 1
            print("%s\n%s" % (command, difference))
    if "--write" in sys.argv:
        open(path, "w").write(re.sub(r" +$", "", text, flags=re.M))
    if failed:
        print("If that is meant: TEST_PROGRAMS=BUILD tests/e2e/readme_blocks.py %s --write" % path)
    return failed


sys.exit(main())
