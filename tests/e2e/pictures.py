#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Looks at pictures as far as a machine can: pictures.py FOLDER

Of every FOLDER/*.svg: no text reaches beyond the canvas, no two texts lie over each other; of those
with a FOLDER/*.json beside them, every number of the title is the answer's, rounded. Widths of
letters are read from the font that fontconfig gives for sans-serif, as gnuplot's readers do.
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
    return problems, max(boxes, key=lambda b: b[5])[4] if boxes else ""


def fahrenheit(x):
    return 1.8 * x + 32


def clock(day, seconds):
    """Minutes after midnight of the clock of the question."""
    return day["start_s"] / 60 + seconds / 60


def of_title(kind, doc, us):
    """What the numbers of a title may be, from the JSON, in order."""
    T = fahrenheit if us else float
    loss = 0.17611 if us else 1.0  # W/(m2 K) in Btu/(h ft2 degF), NIST SP 811
    if kind == "fit":
        return [100 * doc["parameters"]["eta0"]["value"], loss * doc["parameters"]["a1"]["value"]]
    if kind == "energy":
        return [100 * doc["energy"]["run_efficiency"]["value"]]
    if kind == "predict":
        q = doc["time_s"]
        return [T(doc["day"]["to_degC"]), q["value"] / 60, 95, q["lo95"] / 60, q["hi95"] / 60]
    if kind == "size":
        q = doc["warmest_degC"]
        return [T(doc["day"]["to_degC"]), None, None, T(q["value"]), 95, T(q["lo95"]), T(q["hi95"])]
    if kind == "plan":
        minutes = doc["test"]["duration_s"] / 60
        return [minutes, 1.96 * doc["u_eta0"], 1.96 * loss * doc["u_a1"], 95]
    if kind == "pump":
        rows = {round(r["flow_L_min"] / doc["flow_L_min"]["value"], 2): r for r in doc["flows"]}
        return [100 * rows[2.0]["change"]["value"], None]
    if kind == "compare":
        if len(doc["labels"]) > 2:
            first = doc["ranking"][0]["time_s"]
            return [float(len(doc["labels"]))] + [first["value"] / 60, 95, first["lo95"] / 60,
                                                  first["hi95"] / 60]
        q = doc["differences"][0]["heat_up_s"]
        low, high = sorted((abs(q["lo95"]), abs(q["hi95"])))
        return [abs(q["value"]) / 60, 95, low / 60, high / 60]
    if kind == "cooldown":
        q, heat = doc["parameters"]["store_loss"], 1.8956 if us else 1.0  # W/K in Btu/(h degF)
        return [heat * q["value"], 95, heat * q["lo95"], heat * q["hi95"]]
    if kind == "season":
        d = doc["days"]
        return [T(doc["asked"]["to_degC"]), d["reached"], d["of"], 95, d["lo95"], d["hi95"]]
    if kind == "tally":
        q = doc["run_efficiency"]
        return [100 * q["value"], 95, 100 * q["lo95"], 100 * q["hi95"]]
    if kind == "inspect":
        grades = [f["severity"] for f in doc["findings"]]
        counted = [float(grades.count("fault")), float(grades.count("doubt"))]
        return counted if sum(counted) else []
    return None


def check_title(kind, title, name, doc, us):
    """Numbers of the title, without those of the name and of units."""
    words = title.split(name, 1)[1] if name and name in title else title
    words = words.split(": ", 1)[-1] if kind in ("fit", "energy") else words
    words = re.sub(r"[a-zA-Z\u03b7][\u2080\u2081]|\(m\u00b2 K\)|ft\u00b2", "", words)
    shown = re.findall(r"[-\u2212]?\d+(?:\.\d+)?", words)
    wanted = of_title(kind, doc, us)
    if wanted is None:
        return []
    if kind == "compare":
        shown = shown[-len(wanted):]  # names, cut to the room, may have numbers of their own
    if len(shown) != len(wanted):
        return [f"{len(wanted)} numbers wanted in the title {title!r}"]
    problems = []
    for text, value in zip(shown, wanted):
        number = float(text.replace("\u2212", "-"))
        step = 10.0 ** -len(text.split(".")[1]) if "." in text else 1.0
        if value is not None and not math.isclose(number, value, abs_tol=0.5001 * step):
            problems.append(f"the title says {text}, the answer {value:g}: {title!r}")
    return problems


FONT = Font(subprocess.run(["fc-match", "-f", "%{file}", "sans-serif"], check=True,
                           capture_output=True, text=True).stdout)


def main(folder):
    bad = seen = titles = 0
    for path in sorted(glob.glob(folder + "/*.svg")):
        problems, title = look(path)
        seen += 1
        answer = re.sub(r"(fit|energy)(.*)\.svg$", r"fit\2.svg", path)[:-3] + "json"
        kind, _, variant = os.path.basename(path)[:-4].partition("-")
        if os.path.exists(answer):
            doc = json.load(open(answer, encoding="utf-8"))
            name = doc.get("collector", {}).get("name", "") if isinstance(doc, dict) else ""
            found = check_title(kind, title, name, doc, variant.startswith("us"))
            problems += found
            titles += 1
        for problem in problems:
            print(f"{os.path.basename(path)}: {problem}")
        bad += bool(problems)
    print(f"{seen} pictures, {titles} titles held against answers, {bad} bad")
    return bad or seen == 0


if __name__ == "__main__":
    sys.exit(bool(main(sys.argv[1])))
