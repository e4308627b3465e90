#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# noonfit fit of a lone cool-down: Newton's cooling worked by hand, readings an hour apart, a simulated
# evening, what is no cool-down, and the loss put into a rig file with everything else left alone.
. "$(dirname "$0")/common.bash" || exit 2
# T = air + (T0 - air) exp(-t UA/C), C = 20 kg x 4179 J/(kg K) (water about 40 degC, any steam table)
# + 800 J/K. Air that falls by 1 K an hour, too: then T follows with a lag C/UA behind it.
cat >make.py <<'END'
import math, os, random, sys
folder, UA, hours, every, air0, slope, step, jump = sys.argv[1], *map(float, sys.argv[2:9])
C, T0, chance = 20 * 4179 + 800, 50.0, random.Random(3)
k = UA / C
os.makedirs(folder)
open(folder + "/rig.ini", "w").write("""; a bucket in the evening
[collector]
name = bucket
gross_area_m2 = 0.7
glazing = single

[store]
water_kg = 20
u_water_kg = 0.1
dry_heat_capacity_J_K = 800
u_dry_heat_capacity_J_K = 80
lid = yes ; it fits

[channel store]
unit = degC
u_offset = 0.1
[channel air]
unit = degC
u_offset = 0.1
""")
with open(folder + "/readings.csv", "w") as f:
    f.write("time_utc,elapsed_s,store_degC,air_degC\n")
    t = 0.0
    while t <= hours * 3600:
        s = slope / 3600
        # x' = -k (x - air0 - s t): x = air0 + s (t - 1/k) + (T0 - air0 + s/k) exp(-k t)
        x = air0 + s * (t - 1 / k) + (T0 - air0 + s / k) * math.exp(-k * t)
        x += jump if jump and t > hours * 1800 else 0
        x += chance.gauss(0, 0.02) if step else 0
        x = round(x / step) * step if step else x
        f.write("2026-05-17T%02d:%02d:%02d.000Z,%.3f,%.4f,%.3f\n" % (
            18 + t // 3600, t % 3600 // 60, t % 60, t, x, air0 + s * t))
        t += every
END
python3 make.py steady 2.0 4 20 20 0 0 0 && python3 make.py falling 2.0 4 20 20 -1 0.0625 0 &&
    python3 make.py hourly 2.0 5 3600 20 0 0.1 0 && python3 make.py poured 2.0 4 20 20 0 0.0625 -1 &&
    python3 make.py short 2.0 0.7 600 36 0 1 0 || exit 2
for run in steady falling hourly poured; do
    noonfit fit $run --json >$run.json 2>said || fail "fit $run: $(cat said)"
done
noonfit fit "$TEST_SOURCE/sample-runs/wash-stand-glazed-cool-down" --json >sample.json || fail "sample"
python3 - "$TEST_SOURCE" <<'END' || fail "JSON"
import json, sys
out = {n: json.load(open(n + ".json")) for n in ("steady", "falling", "hourly", "poured", "sample")}
def loss(name):
    return out[name]["parameters"]["store_loss"]
assert abs(loss("steady")["value"] - 2.0) < 2e-3, loss("steady")
assert abs(out["steady"]["time_constant_s"] / ((20 * 4179 + 800) / 2.0) - 1) < 2e-3
assert abs(loss("falling")["value"] - 2.0) < 0.02, loss("falling")
for name in ("steady", "falling", "hourly"):
    q = loss(name)
    assert q["lo95"] < 2.0 < q["hi95"] and out[name]["trust"]["grade"] == "good", (name, q)
    assert out[name]["cool_down"] is True and out[name]["parameters"]["eta0"] is None
# by hand, of the steady one, about 26 K over the air: thermometers 0.14 K, water and dry heat 0.5 %, law 3 %
u = 2.0 * ((0.1414 / 25.5) ** 2 + 0.005 ** 2 + 0.03 ** 2) ** 0.5
assert abs(loss("steady")["u"] / u - 1) < 0.1, (loss("steady")["u"], u)
assert loss("hourly")["u"] > loss("falling")["u"]
# what scalds or goes stale is said to whoever reads the document, too
assert all(isinstance(out[name]["cautions"], list) for name in out), out["steady"].keys()
assert out["sample"]["cautions"], "water kept warm without a caution"
assert [r["code"] for r in out["poured"]["trust"]["reasons"]] == ["store-step"], out["poured"]["trust"]
truth = json.load(open(sys.argv[1] + "/sample-runs/truth/wash-stand-glazed-cool-down.json"))
q = loss("sample")
assert q["lo95"] < truth["device"]["store_loss_W_K"] < q["hi95"], q
END

# into a rig file: the two keys and nothing else, whatever stood there
cat >rig.ini <<'END'
; the wash-stand
[collector]
name = bucket
gross_area_ft2 = 7.5   ; measured twice

[store]
water_kg = 20
loss_Btu_h_degF = 3 ; a guess
lid = yes ; it fits

[channel store]
unit = degC
END
cp rig.ini before.ini
noonfit fit falling --write rig.ini >text 2>said || fail "--write: $(cat said)"
grep -q "loses" text && grep -q "are in \[store\] of rig.ini" said || fail "--write does not say what it did"
diff before.ini rig.ini | grep '^[<>]' | sort >changed
value=$(sed -n 's/^> loss_W_K = //p' changed)
printf '%s\n' "< loss_Btu_h_degF = 3 ; a guess" "> loss_W_K = $value" \
    "> u_loss_W_K = $(sed -n 's/^> u_loss_W_K = //p' changed)" | sort >want
cmp -s want changed || fail "--write changed: $(cat changed)"
awk -v x="$value" 'BEGIN { exit !(x > 1.9 && x < 2.1) }' || fail "wrote loss_W_K = $value"
noonfit fit falling --write rig.ini >text 2>&1 || fail "--write a second time"
[ "$(grep -c loss_W_K rig.ini)" = 2 ] || fail "the keys stand there twice"

refused() {
    local status=$1 words=$2
    shift 2
    cp rig.ini kept.ini
    noonfit fit "$@" >out 2>said
    local got=$?
    [ $got = "$status" ] || fail "fit $*: exit status $got"
    grep -q -- "$words" said || fail "fit $*: no \"$words\" in $(cat said)"
    cmp -s rig.ini kept.ini || fail "fit $*: the rig file changed"
}
refused 1 "doubtful loss is not written" poured --write rig.ini
refused 1 "cool-down by itself" "$TEST_SOURCE/sample-runs/wash-stand-glazed" --write rig.ini
refused 1 "too little to tell" short
refused 2 "nowhere.ini" falling --write nowhere.ini
printf '[collector]\nname = bucket\ngross_area_m2 = 0.7\n[channel store]\nunit = degC\n' >bare.ini
refused 1 "no section \[store\]" falling --write bare.ini
noonfit fit poured --write rig.ini --anyway >out 2>said || fail "--anyway: $(cat said)"
noonfit fit falling --plot cool.svg --units us >text || fail "picture"
grep -q "Btu/(h degF)" text && grep -q "The container loses" cool.svg || fail "US units, picture"
finish
