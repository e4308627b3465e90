#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Every source file says its licence, and every room is on the map.

spdx.py TOP: the first line of each source (the second behind #!) is the SPDX line; each folder below logger
and analyze with a CMakeLists.txt of its own stands in DEVELOPERS.md's table of folders.
"""
import os
import re
import sys

LINE = "SPDX-License-Identifier: GPL-3.0-or-later"
ENDS = (".c", ".h", ".py", ".sh", ".bash", ".cmake", ".S", "CMakeLists.txt")
# Put together of others' data and of what a program has written.
WITHOUT = ("build", ".git", "tests/data", "tests/recorded", "tests/fuzz/corpus")


def sources(top):
    for folder, inside, names in os.walk(top):
        inside[:] = [name for name in inside
                     if os.path.relpath(os.path.join(folder, name), top) not in WITHOUT]
        for name in names:
            path = os.path.join(folder, name)
            if name.endswith(ENDS) or ("." not in name and starts_a_program(path)):
                yield path


def starts_a_program(path):
    with open(path, "rb") as source:
        return source.read(2) == b"#!"


def says(path):
    with open(path, encoding="utf-8") as source:
        first = source.readline()
        return LINE in (source.readline() if first.startswith("#!") else first)


def main():
    top = sys.argv[1]
    wrong, count = [], 0
    for path in sources(top):
        count += 1
        if not says(path):
            wrong.append(f"{os.path.relpath(path, top)}: no SPDX line at its beginning")
    with open(os.path.join(top, "DEVELOPERS.md"), encoding="utf-8") as page:
        table = page.read().split("## The map")[1].split("\n### ")[0]
    told = set(re.findall(r"^\| `([\w/-]+)` \|", table, re.M))
    for root in ("logger", "analyze"):
        for name in sorted(os.listdir(os.path.join(top, root))):
            room = f"{root}/{name}"
            if os.path.isfile(os.path.join(top, room, "CMakeLists.txt")) and room not in told:
                wrong.append(f"DEVELOPERS.md: {room} is not in the table of folders")
    for room in sorted(told):
        if not os.path.isdir(os.path.join(top, room)):
            wrong.append(f"DEVELOPERS.md: there is no folder {room}")
    print("\n".join(wrong + [f"{count} sources, {len(told)} folders on the map"]))
    return bool(wrong) or count < 500


if __name__ == "__main__":
    sys.exit(main())
