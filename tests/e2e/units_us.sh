#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# US units: every number that the commands show, in tables and in sentences, is the SI answer converted and
# then rounded, right to the last digit shown. The conversions here are written out from NIST SP 811
# (2008), appendix B.8, apart from the program's: foot 0.3048 m, Btu(IT) 1055.05585262 J, US gallon
# 3.785411784 L, mile 1609.344 m; degF = 1.8 degC + 32. Water 0.9982 kg/L, as in rig files.
. "$(dirname "$0")/common.bash" || exit 2
cd "$TEST_SOURCE/sample-runs" || exit 1
glazed=wash-stand-glazed
day="--sun 900 --air 68F --from 59F --to 104F"
noonfit fit $glazed --units us >"$work/fit.txt" && noonfit fit $glazed --json >"$work/fit.json" &&
    noonfit compare $glazed wash-stand-bare $day --units us >"$work/compare.txt" &&
    noonfit compare $glazed wash-stand-bare $day --json >"$work/compare.json" &&
    noonfit inspect $glazed --units us >"$work/inspect.txt" &&
    noonfit inspect $glazed --json >"$work/inspect.json" &&
    noonfit predict $glazed $day --units us >"$work/predict.txt" &&
    noonfit predict $glazed $day --json >"$work/predict.json" || exit 1
panel=wash-stand-glazed-panel-pump
clear="--day 2026-06-21 --by 15:00 --air 70F --from 55F --to 140F --tap 50F"
for form in --json '--units us'; do
    suffix=$([ "$form" = --json ] && echo json || echo txt)
    # shellcheck disable=SC2086
    noonfit size $glazed $clear $form >"$work/size.$suffix" &&
        noonfit pump $panel $form >"$work/pump.$suffix" &&
        noonfit plan wash-stand-bare/rig.ini $form >"$work/plan.$suffix" || exit 1
done

# The locale's system holds where nothing is said; --units and rig.ini come first.
if localedef -i en_US -f UTF-8 "$work/en_US.UTF-8" 2>/dev/null; then
    LOCPATH=$work LC_ALL=en_US.UTF-8 noonfit fit $glazed | cmp - "$work/fit.txt" || exit 1
    LOCPATH=$work LC_ALL=en_US.UTF-8 noonfit fit $glazed --units si >"$work/si.txt"
    noonfit fit $glazed | cmp - "$work/si.txt" || exit 1
fi

# No line is wider than a terminal, though the units are long.
awk 'length($0) > 80 { print FILENAME ": " length($0) " columns: " $0; wide = 1 } END { exit wide }' \
    "$work"/*.txt || exit 1

# The same question in either units, in numbers of SP 811: the same answer.
two() { # COMMAND... -- SI OPTION... -- US OPTION...
    local command=() si=() us=() part=0 word
    for word in "$@"; do
        [ "$word" = -- ] && part=$((part + 1)) && continue
        [ $part -eq 0 ] && command+=("$word")
        [ $part -eq 1 ] && si+=("$word")
        [ $part -eq 2 ] && us+=("$word")
    done
    noonfit "${command[@]}" "${si[@]}" --json >"$work/si.json" &&
        noonfit "${command[@]}" "${us[@]}" --json >"$work/us.json" || exit 1
    python3 - "$work/si.json" "$work/us.json" <<'P' || exit 1
import json, sys
def numbers(x):
    if isinstance(x, dict): return [n for k in sorted(x) for n in numbers(x[k])]
    if isinstance(x, list): return [n for v in x for n in numbers(v)]
    return [x] if isinstance(x, float) else []
a, b = (numbers(json.load(open(f))) for f in sys.argv[1:3])
assert len(a) == len(b) > 20, (len(a), len(b))
for x, y in zip(a, b):
    assert abs(x - y) <= 1e-6 * max(abs(x), abs(y), 1e-3), (x, y)
P
}
two predict $glazed -- --sun 850 --air 20 --from 10 --to 40 --water 37.78598 --wind 2.2352 --area 0.9290304 --store-loss 1.582583779 --u-air 1 -- \
    --sun 0.85kW_m2 --air 68F --from 50F --to 104F --water 10gal --wind 5mph --area 10ft2 --store-loss 3Btu_h_degF --u-air 1.8degF
two compare $glazed wash-stand-bare -- --sun 900 --water 40 --wind 2.2352 -- --sun 285.2984976Btu_h_ft2 --water 40kg --wind 5mph
two pump $panel -- --coil 254 -- --coil 10in

python3 - "$work" <<'P'
import json, re, sys
from decimal import ROUND_HALF_UP, Decimal as D

work = sys.argv[1]
FOOT, BTU, GALLON, MILE, WATER = D("0.3048"), D("1055.05585262"), D("3.785411784"), D("1609.344"), D("0.9982")
KELVIN = D(9) / D(5)  # degF in one K
checked = 0

def text(name):
    return open("%s/%s.txt" % (work, name)).read()

def answer(name):
    return json.load(open("%s/%s.json" % (work, name)), parse_float=D)

def joined(name):
    return " ".join(text(name).split())

def expect(what, shown, exact):
    """shown: digits as printed, where zeros before a missing point may be rounding; exact: the
    converted value."""
    global checked
    checked += 1
    place = D(1).scaleb(-len(shown.partition(".")[2]))
    if "." not in shown and len(shown) > 3:
        place = D(1).scaleb(len(shown) - len(shown.rstrip("0")))
    if abs(D(shown) - exact) > place / 2 * D("1.000001"):
        sys.exit("%s: shown %s, is %s" % (what, shown, exact))

NUMBER = r"(-?\d+(?:\.\d+)?)"

def row(name, label, q, factor, unit, page=None):
    found = re.search(r"^ *%s +%s +%s \.\. %s +%s +%s *(.*(?:\n {40,}\S.*)?)$" % ((label,) + (NUMBER,) * 5), page or text(name), re.M)
    if not found:
        sys.exit("%s: no row %s" % (name, label))
    for shown, key in zip(found.groups(), ("value", "lo95", "hi95", "u_random", "u_systematic")):
        expect("%s %s %s" % (name, label, key), shown, q[key] * factor)
    if found.group(6).strip() != unit:
        sys.exit("%s %s: unit %s" % (name, label, found.group(6)))

# W/(m2 K) in Btu/(h ft2 degF), and so on, each from its own units.
LOSS = 3600 / BTU * FOOT**2 / KELVIN
STORE = 3600 / BTU / KELVIN
CAPACITY = 1 / BTU * FOOT**2 / KELVIN
SUN = 3600 / BTU * FOOT**2
fit, p = answer("fit"), answer("fit")["parameters"]
row("fit", "zero-loss efficiency  eta0", p["eta0"], 1, "")
row("fit", "loss coefficient      a1", p["a1"], LOSS, "Btu/(h ft2 degF)")
row("fit", "heat capacity         a5", p["a5"], CAPACITY, "Btu/(ft2 degF)")
row("fit", "container's loss", p["store_loss"], STORE, "Btu/(h degF)")
row("fit", "stagnation, at least", fit["stagnation_K"], KELVIN, "degF")
row("fit", "time constant", fit["time_constant_s"], D(1) / 60, "min")
said = joined("fit")

def sentence(said, pattern, *exact):
    found = re.search(pattern.replace("#", NUMBER), said)
    if not found:
        sys.exit("not said: " + pattern)
    for shown, value in zip(found.groups(), exact):
        expect(pattern, shown, value)

a1 = p["a1"]
sentence(said, r"Fahrenheit warmer costs # \(95 %: # to #\) Btu/h per square foot",
         *(a1[k] * LOSS for k in ("value", "lo95", "hi95")))
sentence(said, r"Per # ft2 of gross area", fit["collector"]["gross_area_m2"] / FOOT**2)
sentence(said, r"over the air in # Btu/\(h ft2\); it may", 1000 * SUN)
sentence(said, r"Sun on the collector: # Btu .* gained by the water: # Btu",
         fit["energy"]["sun_J"] / BTU, fit["energy"]["water_J"] / BTU)
low, high = fit["range"]["temperature_difference_K"]
sentence(said, r"Tested from # degF (?:above|below) to # degF above the air", abs(low) * KELVIN, high * KELVIN)

compare, said = answer("compare"), joined("compare")
d = compare["reference_day"]
sentence(said, r"The reference day, as stated: # Btu/\(h ft2\) of sun, air at # degF, wind # mph, # gal of water from # to # degF",
         d["irradiance_W_m2"] * SUN, d["air_degC"] * KELVIN + 32, d["wind_m_s"] * 3600 / MILE,
         d["store_kg"] / WATER / GALLON, d["from_degC"] * KELVIN + 32, d["to_degC"] * KELVIN + 32)
part = text("compare")
part = part[part.index("loss coefficient a1"):part.index("heat-up on")]
for build in compare["builds"]:
    row("compare", build["collector"]["name"], build["parameters"]["a1"], LOSS, "Btu/(h ft2 degF)", part)
crossing = abs(compare["differences"][0]["crossing_K"]) * KELVIN
sentence(said, r"their curves cross # degF (?:above|below) the air", crossing)

for channel in answer("inspect")["channels"]:
    scale, shift = {"degC": (KELVIN, 32), "W_m2": (SUN, 0), "L_min": (1 / GALLON, 0), "m_s": (3600 / MILE, 0)}[channel["unit"]]
    found = re.search(r"^  %s +(\d+) +%s +%s +%s +%s " % ((channel["name"],) + (NUMBER,) * 4), text("inspect"), re.M)
    for shown, key in zip(found.groups()[1:4], ("min", "mean", "max")):
        expect("inspect %s %s" % (channel["name"], key), shown, channel[key] * scale + shift)
    expect("inspect %s noise" % channel["name"], found.group(5), channel["noise"] * scale)

predict, said = answer("predict"), joined("predict")
sentence(said, r"In # Btu/\(h ft2\) of sun and air of # degF, # gal of water take # minutes from # to # degF",
         900 * SUN, D(68), predict["day"]["store_kg"] / WATER / GALLON,
         predict["time_s"]["value"] / 60, D(59), D(104))
row("predict", "time to the target", predict["time_s"], D(1) / 60, "min")
last = predict["trace"][-1]
lines = re.findall(r"^ *(\d+) +%s +%s \.\. %s +(\d+)$" % ((NUMBER,) * 3), text("predict"), re.M)
expect("end of the trace", lines[-1][1], last["store_degC"] * KELVIN + 32)
expect("its lower limit", lines[-1][2], last["lo95"] * KELVIN + 32)
# Sentences: from the number itself, not from what SI would have shown of it.
low, high = fit["range"]["temperature_difference_K"]
dim, bright = fit["range"]["irradiance_W_m2"]
sentence(said, r"Tested were # degF to # degF above the air in # to # Btu/\(h ft2\)",
         low * KELVIN, high * KELVIN, dim * SUN, bright * SUN)

size, said = answer("size"), joined("size")
asked = size["day"]
sentence(said, r"# gal of water get from # to # degF \(95 %: # to # degF\): the target of # degF",
         asked["store_kg"] / WATER / GALLON, D(55),
         *(size["warmest_degC"][k] * KELVIN + 32 for k in ("value", "lo95", "hi95")), D(140))
sentence(said, r"It takes at least # ft2 of this build, # ft2 to be",
         size["area_m2"]["best"] / FOOT**2, size["area_m2"]["sure95"] / FOOT**2)
sentence(said, r"At most # gal of water get there, # gal of water to be",
         *(size["water_kg"][k] / WATER / GALLON for k in ("best", "sure95")))
sentence(said, r"tap water of # degF down to # degF that is about # gal of water",
         D(50), size["uses"]["use_degC"] * KELVIN + 32, size["uses"]["mixed_L"] / GALLON)

pump, said = answer("pump"), joined("pump")
flow = pump["flow_L_min"]
now = next(f for f in pump["flows"] if abs(f["flow_L_min"] - flow["value"]) < D("1e-9"))
sentence(said, r"The pump moves # gal/min \(95 %: # to # gal/min\)", *(flow[k] / GALLON for k in ("value", "lo95", "hi95")))
PSI = D("0.45359237") * D("9.80665") / (FOOT / 12) ** 2
sentence(said, r"loses # psi to friction", now["pressure_drop_Pa"][0] / PSI)
sentence(said, r"stalls below # Btu/\(h ft2\) \(95 %: # to # Btu", *(pump["stall"]["irradiance_W_m2"][k] * SUN for k in ("value", "lo95", "hi95")))
sentence(said, r"fitted loss UL = # Btu/\(h ft2 degF\)", pump["loss_W_m2K"] * LOSS)

plan, said = answer("plan"), joined("plan")
sentence(said, r"to \+-# Btu/\(h ft2 degF\) \(95 %\)", plan["u_a1"] * LOSS * D("1.96"))
test = plan["test"]
sentence(said, r"air at # degF, wind # mph, flow # gal/min, a container losing # Btu/\(h degF\)",
         test["air_degC"] * KELVIN + 32, test["wind_m_s"] * 3600 / MILE, test["flow_L_min"] / GALLON,
         test["store_loss_W_K"] * STORE)

shown = "".join(text(n) for n in ("compare", "fit", "inspect", "predict", "size", "pump", "plan"))
if re.search(r"[^\n -~]", shown):
    sys.exit("a control character is shown")
SI = r".*(degC|W/\(m2|\d L/min|MJ|kPa|\d kg|m/s).*"
if re.search(SI, shown):
    sys.exit("SI in a US answer: " + re.search(SI, shown).group(0))
print("%d numbers checked" % checked)
P
