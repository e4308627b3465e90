#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Draws wiring.svg, the adapter's wiring: logger/adapter/wiring.py > logger/adapter/wiring.svg

Symbols after IEC 60617: resistors are boxes, a thermistor's box is crossed by a bent line. A test holds
the drawing in the tree against this script.
"""

INK, FAINT, SUPPLY, SIGNAL = "#1b1b1b", "#6b6b6b", "#d55e00", "#0072b2"  # colours: Okabe and Ito
WIDTH, HEIGHT = 1200, 1240
EDGE = 250  # the board's right edge

out = []


def put(text):
    out.append("  " + text)


def words(x, y, text, anchor="start", size=15, colour=INK, weight="normal"):
    text = text.replace("&", "&amp;").replace("<", "&lt;")
    put(f'<text x="{x}" y="{y}" text-anchor="{anchor}" font-size="{size}" fill="{colour}" '
        f'font-weight="{weight}">{text}</text>')


def wire(*points, colour=INK):
    path = " ".join(f"{x},{y}" for x, y in points)
    put(f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="2"/>')


def box(x, y, width, height, fill="#ffffff", round_by=0):
    put(f'<rect x="{x}" y="{y}" width="{width}" height="{height}" rx="{round_by}" fill="{fill}" '
        f'stroke="{INK}" stroke-width="2"/>')


def dot(x, y):
    put(f'<circle cx="{x}" cy="{y}" r="4" fill="{INK}"/>')


def ground(x, y):
    for half, down in ((14, 0), (9, 5), (4, 10)):
        wire((x - half, y + down), (x + half, y + down))


def supply(x, y, text="5 V"):
    wire((x - 12, y), (x + 12, y), colour=SUPPLY)
    words(x, y - 8, text, "middle", 14, SUPPLY, "bold")


def resistor(x, y1, y2, text, side="right"):
    """From (x, y1) down to (x, y2)."""
    middle = (y1 + y2) / 2
    wire((x, y1), (x, middle - 20))
    box(x - 7, middle - 20, 14, 40)
    wire((x, middle + 20), (x, y2))
    if side == "right":
        words(x + 16, middle + 5, text)
    else:
        words(x - 16, middle + 5, text, "end")


def flat_resistor(x1, x2, y, text):
    middle = (x1 + x2) / 2
    wire((x1, y), (middle - 20, y))
    box(middle - 20, y - 7, 40, 14)
    wire((middle + 20, y), (x2, y))
    words(middle, y - 13, text, "middle")


def thermistor(x, y1, y2, text):
    middle = (y1 + y2) / 2
    resistor(x, y1, y2, text)
    wire((x - 22, middle + 18), (x - 12, middle + 18), (x + 16, middle - 18))


def capacitor(x, y1, y2, text):
    middle = (y1 + y2) / 2
    wire((x, y1), (x, middle - 4))
    wire((x - 13, middle - 4), (x + 13, middle - 4))
    wire((x - 13, middle + 4), (x + 13, middle + 4))
    wire((x, middle + 4), (x, y2))
    words(x + 18, middle + 5, text)


def pin(y, chip, number, text, colour=SIGNAL):
    words(EDGE - 10, y + 5, chip, "end", 16, INK, "bold")
    words(EDGE - 62, y + 5, number, "end", 13, FAINT)
    put(f'<circle cx="{EDGE}" cy="{y}" r="5" fill="{colour}"/>')
    words(72, y - 18, text, size=13, colour=FAINT)


def board():
    box(60, 60, EDGE - 60, HEIGHT - 120, "#f3f6f8", 10)
    words(155, 92, "ATmega328P board", "middle", 16, INK, "bold")
    words(155, 112, "16 MHz, 5 V", "middle", 14, FAINT)
    wire((60, 160), (20, 160))
    words(24, 150, "USB", size=13, colour=FAINT)


def probes(y):
    pin(y, "PB0", "pin 14", "1-Wire")
    wire((EDGE, y), (930, y), colour=SIGNAL)
    resistor(330, y - 70, y, "4.7 kΩ (2.2 kΩ beyond ten metres)")
    supply(330, y - 70)
    dot(330, y)
    wire((660, y - 50), (960, y - 50), colour=SUPPLY)
    words(652, y - 45, "5 V", "end", 14, SUPPLY, "bold")
    wire((660, y + 50), (960, y + 50))
    words(652, y + 55, "GND", "end", 14, INK, "bold")
    for i, x in enumerate((700, 800, 900)):
        box(x, y - 24, 62, 48, round_by=8)
        words(x + 31, y + 5, ("probe", "probe", "up to 12")[i], "middle", 13)
        wire((x + 16, y - 50), (x + 16, y - 24), colour=SUPPLY)
        wire((x + 46, y + 24), (x + 46, y + 50))
        dot(x + 16, y - 50)
        dot(x + 46, y + 50)
    words(985, y - 4, "or fed by the data wire:", size=14)
    words(985, y + 16, "tie each 5 V to its GND", size=14)


def meter(y, chip, number, name, what):
    pin(y, chip, number, name)
    wire((EDGE, y), (480, y), colour=SIGNAL)
    capacitor(420, y, y + 50, "10 nF")
    ground(420, y + 50)
    dot(420, y)
    flat_resistor(480, 620, y, "1 kΩ")
    wire((620, y), (760, y), colour=SIGNAL)
    box(760, y - 34, 170, 68, round_by=8)
    words(845, y - 4, what, "middle", 14)
    words(845, y + 15, "open collector or reed", "middle", 12, FAINT)
    wire((930, y - 20), (960, y - 20), colour=SUPPLY)
    words(968, y - 15, "5 V", size=14, colour=SUPPLY, weight="bold")
    wire((930, y + 20), (960, y + 20))
    words(968, y + 25, "GND", size=14, weight="bold")


def thermistors(y):
    pin(y, "PC0", "pin 23", "ntc1")
    wire((EDGE, y), (520, y), colour=SIGNAL)
    capacitor(400, y, y + 60, "100 nF")
    ground(400, y + 60)
    dot(400, y)
    resistor(520, y - 75, y, "4.7 kΩ, 0.1 %")
    supply(520, y - 75)
    dot(520, y)
    thermistor(520, y, y + 75, "thermistor, 10 kΩ at 25 °C")
    ground(520, y + 75)
    words(790, y - 22, "PC1 (pin 24), ntc2: the same again.", size=14)
    words(790, y + 2, "PC2 (pin 25), div1 and PC3 (pin 26), div2: any", size=14)
    words(790, y + 22, "divider fed from the same 5 V: a wind vane's", size=14)
    words(790, y + 42, "potentiometer, a light-dependent resistor.", size=14)
    for i, (chip, number, name) in enumerate(
            (("PC1", "pin 24", "ntc2"), ("PC2", "pin 25", "div1"), ("PC3", "pin 26", "div2"))):
        pin(y + 46 * (i + 1), chip, number, name)


def cell(y):
    pin(y, "PC4", "pin 27", "cell")
    flat_resistor(EDGE, 420, y, "1 kΩ")
    capacitor(300, y + 0, y + 55, "")
    words(318, y + 33, "100 nF")
    ground(300, y + 55)
    dot(300, y)
    put(f'<polygon points="560,{y - 55} 560,{y + 55} 450,{y}" fill="#ffffff" stroke="{INK}" '
        'stroke-width="2"/>')
    words(530, y + 6, "× 20", "middle", 15)
    wire((420, y), (450, y))
    words(500, y - 60, "amplifier, rail to rail, low offset, 5 V", "middle", 14)
    wire((560, y - 28), (760, y - 28), colour=SIGNAL)
    wire((560, y + 28), (760, y + 28))
    resistor(720, y - 28, y + 28, "", "left")
    dot(720, y - 28)
    dot(720, y + 28)
    words(706, y - 2, "shunt 0.05 Ω", "end", 14)
    words(706, y + 16, "four-wire", "end", 12, FAINT)
    wire((720, y + 28), (720, y + 60))
    ground(720, y + 60)
    box(760, y - 45, 120, 90, "#ffffff", 4)
    for x in (790, 820, 850):
        wire((x, y - 45), (x, y + 45), colour=FAINT)
    words(915, y + 6, "reference cell, in the plane", size=14)
    words(742, y - 36, "+", size=18)
    words(742, y + 48, "−", size=18)


def pump(y):
    pin(y, "PC5", "pin 28", "pump")
    wire((EDGE, y), (520, y), colour=SIGNAL)
    capacitor(400, y, y + 60, "100 nF")
    ground(400, y + 60)
    dot(400, y)
    dot(520, y)
    resistor(520, y, y + 75, "10 kΩ, 0.1 %")
    ground(520, y + 75)
    flat_resistor(520, 680, y, "150 kΩ, 0.1 %")
    wire((680, y), (760, y))
    words(770, y - 4, "+ of the pump's supply, up to 16 V, behind its fuse", size=14)
    words(770, y + 16, "(its − goes to GND)", size=14)


def reference(y):
    pin(y, "AREF", "pin 21", "reference")
    wire((EDGE, y), (400, y))
    capacitor(400, y, y + 55, "100 nF, and nothing else: the firmware chooses the reference")
    ground(400, y + 55)


def main():
    board()
    probes(185)
    meter(330, "PD2", "pin 4", "pulses1, hz1", "flow meter 1")
    meter(440, "PD3", "pin 5", "pulses2, hz2", "flow meter 2 or cups")
    thermistors(590)
    cell(850)
    pump(985)
    reference(1115)
    words(60, 40, "Wiring of the reference adapter", size=22, weight="bold")
    words(1140, 40, "pin numbers: the 28-pin case", "end", 14, FAINT)
    words(1140, HEIGHT - 30,
          "All grounds meet at one point of the board. Signal wires away from the pump's; low "
          "voltage only.", "end", 14, FAINT)
    print('<?xml version="1.0" encoding="UTF-8"?>')
    print("<!-- SPDX-License-Identifier: GPL-3.0-or-later. Made by wiring.py: change it there. -->")
    print(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
          'font-family="DejaVu Sans, Helvetica, Arial, sans-serif">')
    print("  <title>Wiring of the reference adapter</title>")
    print(f'  <rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>')
    print("\n".join(out))
    print("</svg>")


main()
