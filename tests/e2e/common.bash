# SPDX-License-Identifier: GPL-3.0-or-later
# What every script of e2e and faults begins with: where the programs are, a scratch folder that is left behind by
# nobody and is the working folder, and checks that say what failed. Sourced; ends with `finish`. A script runs alone
# as well as under ctest:
#   TEST_PROGRAMS=BUILD bash tests/e2e/SCRIPT.sh
set -u
: "${TEST_PROGRAMS:?is to be the folder the programs were built in}"
TEST_PROGRAMS=$(cd "$TEST_PROGRAMS" && pwd) || exit 2
TEST_SOURCE=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd) || exit 2
export TEST_PROGRAMS TEST_SOURCE LC_ALL="${LC_ALL:-C.UTF-8}"
# With sanitizers: preloaded shims come before their library.
export ASAN_OPTIONS="${ASAN_OPTIONS:+$ASAN_OPTIONS:}verify_asan_link_order=0"
PATH="$TEST_PROGRAMS:$TEST_PROGRAMS/tests:$PATH"
noonfit=$TEST_PROGRAMS/noonfit
noonlog=$TEST_PROGRAMS/noonlog
samples=$TEST_SOURCE/sample-runs
# A stage that builds the recorder alone runs the scripts that need no other.
for program in ${PROGRAMS_NEEDED:-noonfit noonlog}; do
    command -v $program >/dev/null || { echo "no $program in $TEST_PROGRAMS"; exit 2; }
done
failures=0
work=$(mktemp -d)
trap 'cd / && rm -rf "$work"' EXIT
cd "$work" || exit 2

fail() {
    echo "FAILED: $*"
    failures=$((failures + 1))
}

# expect WORDS COMMAND...: the command must succeed.
expect() {
    local words=$1
    shift
    "$@" || fail "$words"
}

finish() {
    [ $failures -eq 0 ] && exit 0
    echo "$failures failed"
    ls -la run* 2>/dev/null
    exit 1
}
