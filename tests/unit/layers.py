#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The order of rooms in DEVELOPERS.md, held over every #include line.

layers.py TOP [BUILD]: each room (a folder of sources) includes only rooms that stand above it in the
list, so that nobody calls upstream; every room is in the list, and every entry is a room; a header
inside.h is included by its own room alone. With a build
folder also: inside a room no two sources call each other, directly or round about (what they share
belongs into a third).
"""
import os
import re
import subprocess
import sys

LIST = re.compile(r"^```layers\n(.*?)^```$", re.M | re.S)
INCLUDE = re.compile(r'^\s*#\s*include\s+"([^"]+)"')
ROOTS = ("logger", "analyze", "plots", "sample-runs")


def order_of(top):
    with open(os.path.join(top, "DEVELOPERS.md"), encoding="utf-8") as page:
        found = LIST.search(page.read())
    if not found:
        sys.exit("DEVELOPERS.md: there is no ```layers block")
    rooms = [line.split()[0] for line in found.group(1).splitlines() if line.strip()]
    for room in rooms:
        if rooms.count(room) > 1:
            sys.exit(f"DEVELOPERS.md: {room} stands in the order of rooms twice")
    return {room: place for place, room in enumerate(rooms)}


def sources(top):
    for root in ROOTS:
        for folder, _, names in os.walk(os.path.join(top, root)):
            for name in sorted(names):
                if name.endswith((".c", ".h")):
                    yield os.path.relpath(os.path.join(folder, name), top)


def includes(top, path):
    with open(os.path.join(top, path), encoding="utf-8") as source:
        for number, line in enumerate(source, 1):
            found = INCLUDE.match(line)
            if found:
                yield number, found.group(1)


def calls_of(library):
    """Which object of a static library uses functions or tables of which other."""
    listed = subprocess.run(["nm", "-A", "-P", library], capture_output=True, text=True, check=True)
    defined, wanted = {}, {}
    for line in listed.stdout.splitlines():
        place, symbol = line.split(": ", 1)
        name = place[place.rindex("[") + 1:-1].removesuffix(".o")
        word, kind = symbol.split()[:2]
        if kind == "U":
            wanted.setdefault(name, set()).add(word)
        elif kind.isupper():
            defined[word] = name
    return {name: {defined[word] for word in words if word in defined} - {name}
            for name, words in wanted.items()}


def circle(graph):
    """A list of sources that need each other in turn; None when there is none."""
    done, path = set(), []

    def visit(source):
        if source in path:
            return path[path.index(source):] + [source]
        if source in done:
            return None
        path.append(source)
        for other in sorted(graph.get(source, ())):
            found = visit(other)
            if found:
                return found
        path.pop()
        done.add(source)
        return None

    for source in sorted(graph):
        found = visit(source)
        if found:
            return found
    return None


def circles(top, build):
    """One per room at most, from the room's library."""
    for root, _, names in os.walk(build):
        room = os.path.relpath(root, build)
        for name in sorted(names):
            # a room that is gone leaves its library behind
            if name.endswith(".a") and os.path.isfile(os.path.join(top, room, "CMakeLists.txt")):
                found = circle(calls_of(os.path.join(root, name)))
                if found:
                    yield f"{room}: sources that need each other: " + " -> ".join(found)


def main():
    top = sys.argv[1]
    order = order_of(top)
    faults, seen = [], set()
    for path in sources(top):
        room = os.path.dirname(path)
        seen.add(room)
        if room not in order:
            faults.append(f"{path}: {room} is not in the order of rooms of DEVELOPERS.md")
            continue
        for number, other in includes(top, path):
            target = os.path.dirname(other)
            if not os.path.isfile(os.path.join(top, other)):
                faults.append(f"{path}:{number}: {other} is no file of this tree")
            elif target != room and target not in order:
                faults.append(f"{path}:{number}: includes {target}, which is no room")
            elif target != room and order[target] > order[room]:
                faults.append(f"{path}:{number}: {room} includes {other}: that is upstream")
            elif target != room and other.endswith("/inside.h"):
                faults.append(f"{path}:{number}: {other} is for the sources of {target} alone")
    faults += [f"DEVELOPERS.md: {room} is in the order of rooms and holds no source"
               for room in order if room not in seen]
    if len(sys.argv) > 2:
        faults += circles(top, sys.argv[2])
    print("\n".join(faults) if faults else f"{len(seen)} rooms, in order")
    return bool(faults)


if __name__ == "__main__":
    sys.exit(main())
