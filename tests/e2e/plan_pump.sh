#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit plan and pump through the program.
. "$(dirname "$0")/common.bash" || exit 2
runs=$TEST_SOURCE/sample-runs

# A plan for a sample's own rig against the fit of the sample: within 20 %.
noonfit plan $runs/wash-stand-glazed --for 75m --loss 5.6 --day 2026-05-16 --start 11:00+01:00 \
    --air 20C --from 15C --json >plan.json || fail "plan --json"
noonfit fit $runs/wash-stand-glazed --json >fit.json || fail "fit --json"
python3 - <<'PYTHON' || fail "plan against fit"
import json
p, f = json.load(open("plan.json")), json.load(open("fit.json"))["parameters"]
for name in ("eta0", "a1"):
    planned, came = p["u_" + name], f[name]["u"]
    print(name, planned, came)
    assert abs(planned / came - 1) < .2, (name, planned, came)
assert [s for s in p["improvements"] if s["code"] == "better-sun"]
assert p["side_by_side"]["u_eta0_difference"] < p["side_by_side"]["u_eta0_difference_apart"]
order = {"free": 0, "an evening": 1, "money": 2}
costs = [order[s["cost"]] for s in p["improvements"]]
assert costs == sorted(costs)
PYTHON
noonfit plan $runs/wash-stand-bare-store-only/rig.ini --for 2h >text || fail "plan"
grep -q "container's included" text || fail "plan does not say that the losses are one: $(cat text)"
grep -q "loop-sensors" text || fail "plan does not propose sensors in the loop"
noonfit plan $runs/wash-stand-bare-store-only/rig.ini --units us | grep -q "Btu/(h ft2 degF)" || fail "US"
for ending in png svg pdf; do
    noonfit plan $runs/wash-stand-bare-store-only/rig.ini --plot plan.$ending --json >plan.json ||
        fail "plan --plot $ending"
done
python3 - <<'PYTHON' || fail "plan --plot --json, or more readings that tell less"
import json
p = json.load(open("plan.json"))
steps = {s["code"]: s for s in p["improvements"]}
for code in ("longer", "hot-start", "loop-sensors"):  # whoever has more can still ask the part
    s = steps[code]
    assert s["u_eta0"] <= p["u_eta0"], (code, s)
    assert s["separates_store_loss"] or s["u_a1"] <= p["u_a1"], (code, s)
assert steps["hot-start"]["eta0_by_part"]
assert "first run alone" not in steps["hot-start"]["text"]
PYTHON
[ "$(head -c 4 plan.png | tail -c 3)" = PNG ] || fail "plan.png is no PNG"
[ "$(head -c 5 plan.pdf)" = %PDF- ] || fail "plan.pdf is no PDF"
for words in "with the container" "Cost: nothing" "Cost: money" "Hollow bar" "irradiance sensor"; do
    grep -q -e "$words" plan.svg || fail "plan.svg: no $words"
done
noonfit plan $runs/wash-stand-bare-store-only/rig.ini --units us --plot plan.svg >text || fail "plan us"
grep -q "14 °F colder" plan.svg || fail "plan.svg: not in US units"
printf '[collector]\ngross_area_m2 = lots\n' >bad.ini
noonfit plan bad.ini 2>said
[ $? = 2 ] || fail "a bad rig file: not exit status 2"
grep -q "bad.ini:2:" said || fail "a bad rig file: no place: $(cat said)"
noonfit plan nothing.ini 2>said && fail "no rig file, no error"
printf '[collector]\ngross_area_m2 = 1\n[store]\nwater_kg = 20\n[channel air]\nunit = degC\n[channel sun]\nunit = W_m2\n' >blind.ini
noonfit plan blind.ini 2>said
[ $? = 1 ] || fail "a rig without a thermometer in the water: not exit status 1: $(cat said)"

noonfit pump $runs/wash-stand-glazed-panel-pump >text || fail "pump"
grep -q "too fast" text || fail "pump does not correct the belief"
grep -q "stalls below" text || fail "pump does not tell where it stalls"
noonfit pump $runs/wash-stand-glazed --coil 200 --json >pump.json || fail "pump --json"
python3 - <<'PYTHON' || fail "pump: JSON"
import json
p = json.load(open("pump.json"))
rows = p["flows"]
assert all(a["heat_removal_factor"] < b["heat_removal_factor"] for a, b in zip(rows, rows[1:]))
assert all(a["outlet_degC"] > b["outlet_degC"] for a, b in zip(rows, rows[1:]))
# A coil of 0.2 m: Ito's critical number is 20000 (4.826/200)^0.32 = 6074, so 1 L/min is uncertain.
assert p["flows"][3]["regime"] == "uncertain", p["flows"][3]
assert p["panel_driven"] is False
PYTHON
# One picture in every form; JSON beside it stays JSON.
for ending in png svg pdf; do
    noonfit pump $runs/wash-stand-glazed-panel-pump --plot pump.$ending --json >with.json ||
        fail "pump --plot $ending"
done
python3 -c 'import json; json.load(open("with.json"))' || fail "pump --plot --json"
[ "$(head -c 4 pump.png | tail -c 3)" = PNG ] || fail "pump.png is no PNG"
[ "$(head -c 5 pump.pdf)" = %PDF- ] || fail "pump.pdf is no PDF"
for words in "Twice the flow gathers" "stalls below" "starts again at" ">turbulent<"; do
    grep -q -e "$words" pump.svg || fail "pump.svg: no $words"
done
noonfit pump $runs/wash-stand-glazed --units us --plot pump.svg >text || fail "pump --plot us"
grep -q "gal/min" pump.svg || fail "pump.svg: not in US units"
grep -q "stalls below" pump.svg && fail "pump.svg: a stall that nobody saw"

noonfit pump $runs/wash-stand-bare-store-only 2>said
[ $? = 1 ] || fail "no flow, no outlet: not exit status 1"
finish
