#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Looks at pictures as far as a machine can: pictures.py FOLDER

Of every FOLDER/KIND-NAME.svg: no text reaches beyond the canvas, no two texts lie over each other; of
those with a FOLDER/*.json beside them (energy and card: that of the fit), every number of the title is
the answer's, rounded. Each of these numbers is then spoiled by one in its last digit, which has to be
seen, so that no number of any title goes unlooked at. Widths of letters are read from the font that
fontconfig gives for sans-serif, as gnuplot's readers do.
"""
import glob
import json
import math
import os
import re
import struct
import subprocess
import sys
import unicodedata
import xml.etree.ElementTree as ET

SVG = "{http://www.w3.org/2000/svg}"
ASCENT, DESCENT = 0.74, 0.20  # of the text size: capitals and what hangs below the line
TOUCH = 1.5                   # px by which boxes may meet


class Font:
    """Advance widths of a TrueType font (tables cmap format 4, hhea, hmtx, head)."""

    def __init__(self, path):
        self.data = data = open(path, "rb").read()
        tables = {}
        for i in range(struct.unpack(">H", data[4:6])[0]):
            tag, _, offset, _ = struct.unpack(">4sIII", data[12 + 16 * i:28 + 16 * i])
            tables[tag] = offset
        self.em = struct.unpack(">H", data[tables[b"head"] + 18:tables[b"head"] + 20])[0]
        self.long = struct.unpack(">H", data[tables[b"hhea"] + 34:tables[b"hhea"] + 36])[0]
        self.hmtx = tables[b"hmtx"]
        self.map = self.read_map(tables[b"cmap"])

    def read_map(self, at):
        data = self.data
        for i in range(struct.unpack(">H", data[at + 2:at + 4])[0]):
            offset = at + struct.unpack(">HHI", data[at + 4 + 8 * i:at + 12 + 8 * i])[2]
            if struct.unpack(">H", data[offset:offset + 2])[0] == 4:
                return self.read_segments(offset)
        raise ValueError("no map of characters that this reads")

    def read_segments(self, at):
        data, glyphs = self.data, {}
        n = struct.unpack(">H", data[at + 6:at + 8])[0] // 2
        def words(from_, kind="H"):
            return struct.unpack(f">{n}{kind}", data[from_:from_ + 2 * n])
        ends, starts = words(at + 14), words(at + 16 + 2 * n)
        deltas, offsets = words(at + 16 + 4 * n, "h"), words(at + 16 + 6 * n)
        for k in range(n):
            for c in range(starts[k], min(ends[k], 0xFFFE) + 1):
                if offsets[k] == 0:
                    glyphs[c] = (c + deltas[k]) & 0xFFFF
                    continue
                where = at + 16 + 6 * n + 2 * k + offsets[k] + 2 * (c - starts[k])
                glyph = struct.unpack(">H", data[where:where + 2])[0]
                glyphs[c] = (glyph + deltas[k]) & 0xFFFF if glyph else 0
        return glyphs

    def width(self, text):
        wide = 0.0
        for c in text:
            glyph = self.map.get(ord(c), 0)
            if glyph:
                at = self.hmtx + 4 * min(glyph, self.long - 1)
                wide += struct.unpack(">H", self.data[at:at + 2])[0] / self.em
            elif not unicodedata.combining(c):
                wide += 1.0 if unicodedata.east_asian_width(c) in "WF" else 0.6
        return wide


def texts(path):
    """Canvas and the boxes of all words: (left, top, right, bottom, words, size)."""
    root = ET.parse(path).getroot()
    canvas = [float(x) for x in root.get("viewBox").split()[2:]]
    found = []

    def walk(element, at, size, anchor, turned):
        move = element.get("transform", "")
        if m := re.search(r"translate\(([-\d.]+),\s*([-\d.]+)\)", move):
            at = (at[0] + float(m.group(1)), at[1] + float(m.group(2)))
        if m := re.search(r"rotate\(([-\d.]+)", move):
            turned = abs(float(m.group(1))) > 1
        size = float(element.get("font-size", size))
        anchor = element.get("text-anchor", anchor)
        if element.tag == SVG + "text":
            words = "".join(element.itertext())
            if words.strip():
                wide = FONT.width(words) * size
                left = at[0] - {"middle": wide / 2, "end": wide}.get(anchor, 0)
                if turned:
                    raise ValueError(f"{path}: turned text: {words}")
                found.append((left, at[1] - ASCENT * size, left + wide, at[1] + DESCENT * size,
                              words, size))
            return
        for child in element:
            walk(child, at, size, anchor, turned)

    walk(root, (0, 0), 0, "start", False)
    return canvas, found


def look(path):
    problems = []
    (width, height), boxes = texts(path)
    if len(boxes) < 5:
        problems.append("hardly a word in it")
    for left, top, right, bottom, words, _ in boxes:
        if left < 0 or top < 0 or right > width or bottom > height:
            problems.append(f"beyond the canvas: {words!r} ({left:.0f} to {right:.0f})")
    for i, a in enumerate(boxes):
        for b in boxes[i + 1:]:
            if (min(a[2], b[2]) - max(a[0], b[0]) > TOUCH and
                    min(a[3], b[3]) - max(a[1], b[1]) > TOUCH):
                problems.append(f"over each other: {a[4]!r} and {b[4]!r}")
    return problems, headline(boxes)


def headline(boxes):
    """The words in the largest letters: a title, over two lines on a portrait canvas; a card's numbers."""
    largest = max((b[5] for b in boxes), default=0)
    return " ".join(b[4] for b in boxes if b[5] == largest)


def fahrenheit(x):
    return 1.8 * x + 32


ASKED_START = 9.5 * 60   # of a clear day by pictures.sh, minutes after midnight of the clock
ASKED_ZONE = 2 * 60      # and what its clock is ahead of UTC


def of_title(kind, doc, us):
    """What the numbers of a title may be, from the JSON, in order."""
    T = fahrenheit if us else float
    loss = 0.17611 if us else 1.0  # W/(m2 K) in Btu/(h ft2 degF), NIST SP 811
    if kind == "fit":
        return [100 * doc["parameters"]["eta0"]["value"], loss * doc["parameters"]["a1"]["value"]]
    if kind == "energy":
        return [100 * doc["energy"]["run_efficiency"]["value"]]
    if kind == "card":
        return [100 * doc["parameters"]["eta0"]["value"], loss * doc["parameters"]["a1"]["value"],
                100 * doc["energy"]["run_efficiency"]["value"]]
    if kind in ("predict", "sky"):
        q, T_end = doc["time_s"], doc["final_degC"]
        if q is None or q["value"] is None:
            return [T(doc["day"]["to_degC"]), T(T_end["value"]), 95, T(T_end["lo95"]), T(T_end["hi95"])]
        begin = ASKED_START if kind == "sky" else 0
        return [T(doc["day"]["to_degC"])] + [begin + q["value"] / 60, 95, begin + q["lo95"] / 60,
                                             begin + q["hi95"] / 60]
    if kind in ("size", "months"):
        q, wish = doc["warmest_degC"], [T(doc["day"]["to_degC"])]
        wish.append(doc["day"]["by_utc_s"] / 60 + ASKED_ZONE if doc["day"]["clear_sky"]
                    else doc["day"]["within_s"] / 60)
        if kind == "size":
            return wish + [T(q["value"]), 95, T(q["lo95"]), T(q["hi95"])]
        likely = [m for m in doc["months"] if 0.5 <= (m["probability_reached"] or 0) < 0.95]
        return wish + ([float(len(likely))] if likely else [])
    if kind == "plan":
        minutes = doc["test"]["duration_s"] / 60
        return [minutes, 1.96 * doc["u_eta0"], 1.96 * loss * doc["u_a1"], 95]
    if kind == "pump":
        rows = {round(r["flow_L_min"] / doc["flow_L_min"]["value"], 2): r for r in doc["flows"]}
        now, twice = rows[1.0]["pressure_drop_Pa"], rows[2.0]["pressure_drop_Pa"]
        power = [2 * twice[0] / now[1], 2 * twice[1] / now[0]]
        return [100 * rows[2.0]["change"]["value"]] + (power if round(power[1]) > round(power[0])
                                                       else power[:1])
    if kind == "compare":
        if len(doc["labels"]) > 2:
            first = doc["ranking"][0]["time_s"]
            return [float(len(doc["labels"]))] + [first["value"] / 60, 95, first["lo95"] / 60,
                                                  first["hi95"] / 60]
        q = doc["differences"][0]["heat_up_s"]
        if q is None or q["value"] is None:
            return []
        low, high = sorted((abs(q["lo95"]), abs(q["hi95"])))
        return [abs(q["value"]) / 60, 95, low / 60, high / 60]
    if kind == "cooldown":
        q, heat = doc["parameters"]["store_loss"], 1.8956 if us else 1.0  # W/K in Btu/(h degF)
        return [heat * q["value"], 95, heat * q["lo95"], heat * q["hi95"]]
    if kind == "season":
        d = doc["days"]
        return [T(doc["asked"]["to_degC"]), d["reached"], d["of"], 95, d["lo95"], d["hi95"]]
    if kind == "tally":
        if doc["run_efficiency"] is None:  # W, in Btu/h by NIST SP 811; to three digits
            q, of = doc["power_W"], 3.412141633 if us else 1
            return [float(f"{of * x:.3g}") for x in (q["value"], 95 / of, q["lo95"], q["hi95"])]
        q = doc["run_efficiency"]
        return [100 * q["value"], 95, 100 * q["lo95"], 100 * q["hi95"]]
    if kind == "inspect":
        grades = [f["severity"] for f in doc["findings"]]
        counted = [float(grades.count("fault")), float(grades.count("doubt"))]
        return counted if sum(counted) else []
    return None


NUMBER = re.compile(r"[-\u2212]?\d+(?::\d\d|\.\d+)?")


def without_name(kind, title, name):
    """The title without the name and without units that have digits."""
    words = title.split(name, 1)[1] if name and name in title else title
    words = words.split(": ", 1)[-1] if kind in ("fit", "energy") else words
    # The names of a comparison, cut to the room, may have numbers of their own.
    words = re.sub(r"^.* is ([\d.]+ min) faster than .*(\(95 %: [^(]*)$", r"\1 \2", words)
    words = re.sub(r"^.* (heats up first of )", r"\1", words)
    return re.sub(r"[a-zA-Z\u03b7][\u2080\u2081]|\(m\u00b2 K\)|ft\u00b2", "", words)


def differs(text, value):
    """Whether a number as shown, or a time of the clock in minutes, is not the answer's."""
    if ":" in text:
        hours, minutes = text.split(":")
        return abs((60 * int(hours) + int(minutes) - value + 720) % 1440 - 720) > 0.5001
    step = 10.0 ** -len(text.split(".")[1]) if "." in text else 1.0
    return not math.isclose(float(text.replace("\u2212", "-")), value, rel_tol=0, abs_tol=0.5001 * step)


def spoiled(text, by):
    """The number, off by so many in its last digit."""
    digits = re.sub(r"\D", "", text)
    off = str(int(digits) + by).rjust(len(digits), "0")
    if ":" in text:
        return off[:-2] + ":" + off[-2:]
    places = len(text.split(".")[1]) if "." in text else 0
    sign = text[0] if text[0] in "-\u2212" else ""
    return sign + (off[:-places] + "." + off[-places:] if places else off)


def check_title(kind, title, name, doc, us):
    """Numbers of the title against the answer; and whether one that is off by one would be seen."""
    shown = NUMBER.findall(without_name(kind, title, name))
    wanted = of_title(kind, doc, us)
    if wanted is None:
        return [f"nothing says what the numbers of such a title are: {title!r}"], 0
    if kind == "compare" and not wanted:
        return [], 0  # only names
    if len(shown) != len(wanted):
        return [f"{len(wanted)} numbers wanted in the title {title!r}"], 0
    problems = [f"the title says {text}, the answer {value:g}: {title!r}"
                for text, value in zip(shown, wanted) if differs(text, value)]
    # On the edge of rounding one of the two neighbours is as good.
    problems += [f"{text} spoiled would not be seen: {title!r}" for text, value in zip(shown, wanted)
                 if not any(differs(spoiled(text, by), value) for by in (1, -1) if int(re.sub(
                     r"\D", "", text)) + by >= 0)]
    return problems, len(shown)


FONT = Font(subprocess.run(["fc-match", "-f", "%{file}", "sans-serif"], check=True,
                           capture_output=True, text=True).stdout)


# Whose answer a picture shows where it has none of its own name.
ANSWER = {"energy": "fit", "card": "fit"}
# Their titles have no numbers: what limits an answer, who heats up first.
NUMBERLESS = ("budget", "ranking")


def main(folder):
    bad = seen = titles = numbers = 0
    for path in sorted(glob.glob(folder + "/*.svg")):
        problems, title = look(path)
        seen += 1
        kind, _, variant = os.path.basename(path)[:-4].partition("-")
        answer = f"{folder}/{ANSWER.get(kind, kind)}-{variant}.json"
        if os.path.exists(answer):
            doc = json.load(open(answer, encoding="utf-8"))
            name = doc.get("collector", {}).get("name", "") if isinstance(doc, dict) else ""
            found, count = check_title(kind, title, name, doc, variant.startswith("us"))
            problems += found
            titles += 1
            numbers += count
        elif kind in NUMBERLESS:
            if NUMBER.search(title):
                problems.append(f"a number in a title that has none: {title!r}")
        else:
            problems.append("no answer to hold its title against")
        for problem in problems:
            print(f"{os.path.basename(path)}: {problem}")
        bad += bool(problems)
    print(f"{seen} pictures, {titles} titles with {numbers} numbers held against answers, {bad} bad")
    return bad or seen == 0


if __name__ == "__main__":
    sys.exit(bool(main(sys.argv[1])))
