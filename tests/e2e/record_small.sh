#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Small enough for a small board: less than 8 MB resident, and nothing is allocated for a row: a
# run of ten times the rows makes exactly as many allocations.
. "$(dirname "$0")/record_common.bash" || exit 2

# The sanitizers bring their own allocator and hundreds of MB.
if grep -q __asan_init "$(command -v noonlog)"; then
    echo "a sanitized build: nothing to measure"
    exit 0
fi
small_rig "interval_s = 0.02"
allocations() { # RUN LINES
    feed --lines "$2" --hz 50 --linger 30
    LD_PRELOAD=$TEST_PROGRAMS/tests/faultmalloc.so MALLOC_COUNT=$work/$1.count \
        noonlog record rig.ini "$1" --let-sleep --quiet &
    recorder=$!
    await "rows $1 -ge $(($2 - 1))"
    basename "$(readlink /proc/$recorder/exe)" >program
    sed -n 's/^VmHWM:[^0-9]*\([0-9]*\) kB/\1/p' /proc/$recorder/status >"$1.kB"
    noonlog stop "$1" || fail "stop"
    wait $recorder
    kill "$feeder" 2>/dev/null
}
allocations run1 30
allocations run2 300
echo "$(cat run2.kB) kB resident at most; allocations: $(cat run1.count) for 30 lines, $(cat run2.count) for 300"
# Under an emulator of another processor (tests/long/other-cpus) the memory is the emulator's, too.
if [ "$(cat program)" = noonlog ]; then
    expect "less than 8 MB" [ "$(cat run2.kB)" -lt 8192 ]
fi
expect "allocations counted" [ "$(cat run1.count)" -gt 0 ]
expect "as many allocations for 300 lines as for 30" [ "$(cat run1.count)" -eq "$(cat run2.count)" ]
finish
