#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The demo from end to end, but for installing and building: two heaters recorded on one adapter, compared,
# fitted, drawn; and the answers agree with what the simulated heaters really are.
# DEMO_OPTION=--adapter: through the adapter's firmware (rig_demo_adapter.sh).
. "$(dirname "$0")/common.bash" || exit 2
out="$work/out"
NOONRUN_PROGRAMS="$TEST_PROGRAMS" "$TEST_SOURCE/sample-runs/demo" ${DEMO_OPTION:+"$DEMO_OPTION"} "$out" >"$work/said" 2>&1 || {
    tail -30 "$work/said"
    exit 1
}
cd "$out" || exit 1
for picture in fit-glazed fit-bare compare; do
    [ "$(head -c 4 $picture.png | tail -c 3)" = PNG ] || { echo "$picture.png is no picture"; exit 1; }
done
# A folder that no demo made is left alone.
mkdir "$work/mine"
if NOONRUN_PROGRAMS="$TEST_PROGRAMS" "$TEST_SOURCE/sample-runs/demo" "$work/mine" 2>/dev/null; then
    echo "took a folder that is not its own"
    exit 1
fi
day="--sun 900 --air 20C --from 15C --to 40C"
runs=side-by-side
[ -z "${DEMO_OPTION:-}" ] || runs="wash-stand-glazed wash-stand-bare"
# shellcheck disable=SC2086
noonfit compare $runs $day --json >compare.json || exit 1
for build in glazed bare; do
    virtual-rig truth --build $build --channels loop,wind >truth-$build.json || exit 1
done
# The chances are fixed by the rig's seed, so the 95 % intervals hold the truth or they do not.
python3 - <<'PY'
import json, sys

answer = json.load(open("compare.json"))
truth = [json.load(open("truth-%s.json" % b)) for b in ("glazed", "bare")]

def holds(what, quantity, value):
    if not quantity["lo95"] <= value <= quantity["hi95"]:
        sys.exit("%s: %g is not in %g..%g" % (what, value, quantity["lo95"], quantity["hi95"]))

for build, real in zip(answer["builds"], truth):
    holds(real["build"] + " eta0", build["parameters"]["eta0"], real["mean"]["eta0"])
    holds(real["build"] + " run", build["energy"]["run_efficiency"], real["run_efficiency"])
gain = truth[1]["reference_day"]["heat_up_s"] - truth[0]["reference_day"]["heat_up_s"]
difference = answer["differences"][0]
sign = 1 if difference["of"] == "wash-stand-bare" else -1
holds("gain", {k: sign * difference["heat_up_s"][v] for k, v in
               (("lo95", "lo95" if sign > 0 else "hi95"), ("hi95", "hi95" if sign > 0 else "lo95"))},
      gain)
PY
