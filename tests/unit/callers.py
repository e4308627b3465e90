#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""No public function without a caller in the programs.

callers.py TOP BUILD: every nr_ function or table that a source of the programs shows to others is used by
another source of them; or by its own source and by a test that holds it alone, such as a formula against
its table or a parser against garbage. What nobody else needs is static; what only tests need belongs to
them.
"""
import os
import re
import subprocess
import sys

ROOTS = ("logger", "analyze", "plots", "sample-runs")
# Called by the other end: by its library under a fixed name, or by the firmware of the adapter, which
# another compiler makes.
OTHERS = ("nr_fw_",)
# The tables of the rig file's keys, row by row: the manual page and README are held against them.
FOR_TESTS = ("nr_rig_describe_table",)


def objects(build):
    for root in ROOTS:
        for folder, _, names in os.walk(os.path.join(build, root)):
            yield from (os.path.join(folder, name) for name in names if name.endswith(".o"))


def listed_by_build(build):
    """Only what the build still makes: objects of sources that are gone stay behind."""
    for path in objects(build):
        folder, name = os.path.split(path)
        inside = folder.split(os.sep + "CMakeFiles" + os.sep)
        if len(inside) == 2:
            yield path, os.path.relpath(inside[0], build), name.removesuffix(".o")


COMMENT = re.compile(r"/\*.*?\*/", re.S)


def words_of(paths):
    """How often each nr_ word stands in the sources, remarks apart."""
    count = {}
    for path in paths:
        with open(path, encoding="utf-8") as source:
            for word in re.findall(r"\bnr_\w+", COMMENT.sub("", source.read())):
                count[word] = count.get(word, 0) + 1
    return count


def tests_of(top):
    for folder, _, names in os.walk(os.path.join(top, "tests")):
        yield from (os.path.join(folder, name) for name in names if name.endswith((".c", ".h")))


def main():
    top, build = sys.argv[1:3]
    shown, wanted = {}, set()
    place = {path: f"{room}/{source}" for path, room, source in listed_by_build(build)
             if os.path.isfile(os.path.join(top, room, source)) or
             os.path.isfile(os.path.join(build, room, source))}
    symbols = subprocess.run(["nm", "-P", "-A", *place], capture_output=True, text=True, check=True).stdout
    for line in symbols.splitlines():
        path, word, kind = line.split()[:3]
        if kind == "U":
            wanted.add(word)
        elif kind.isupper() and word.startswith("nr_"):
            shown[word] = place[path.rstrip(":")]
    if not shown:
        sys.exit(f"{build}: no object files below it")
    tested = words_of(tests_of(top))
    lonely = []
    for word, at in sorted(shown.items(), key=lambda item: item[::-1]):
        if word in wanted or word.startswith(OTHERS) or word in FOR_TESTS:
            continue
        own = words_of([os.path.join(top, at)]).get(word, 0) > 1
        if own and word in tested:
            continue
        lonely.append(word)
        print(f"{at}: {word} is public, and " +
              ("only its own source uses it: static" if own else
               "only tests use it: theirs" if word in tested else "nobody uses it"))
    print(f"{len(shown)} public functions and tables")
    return bool(lonely)


if __name__ == "__main__":
    sys.exit(main())
