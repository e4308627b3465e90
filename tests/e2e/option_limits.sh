#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Numbers that options take: each limit is taken, and what is just beyond it is not, with words that name the
# option and both limits. The limits are what a person could mean (a wash stand is no power station), so they
# stand here once more, not read from the programs.
. "$(dirname "$0")/common.bash" || exit 2

# taken PROGRAM COMMAND OPTION VALUE: whatever else is missing, nobody complains of the option
said_of() {
    "$1" $2 "--$3=$4" >out 2>said
    grep -qe "--$3[ =]" <(tr '\n' ' ' <said)
}

check() { # PROGRAM COMMAND OPTION TOO-LITTLE LEAST MOST TOO-MUCH
    local v
    for v in "$5" "$6"; do
        said_of "$1" "$2" "$3" "$v" && fail "$1 $2 --$3 $v is refused: $(head -1 said)"
    done
    for v in "$4" "$7"; do
        [ "$v" = - ] || said_of "$1" "$2" "$3" "$v" || fail "$1 $2 --$3 $v is taken"
    done
    return 0
}

while read -r program command option values; do
    [ -n "$program" ] || continue
    # a run that is none: options are read first
    # shellcheck disable=SC2086
    check "$program" "${command//,/ }" "$option" $values
done <<'END'
noonfit predict,nowhere     sun         49.9 50 1500 1501
noonfit predict,nowhere     wind        -0.1 0 50 50.1
noonfit predict,nowhere     water       0.09 0.1 10000 10001
noonfit predict,nowhere     area        0.009 0.01 1000 1001
noonfit predict,nowhere     store-loss  -0.1 0 1000 1001
noonfit predict,nowhere     latitude    -90.1 -90 90 90.1
noonfit predict,nowhere     longitude   -180.1 -180 180 180.1
noonfit predict,nowhere     elevation   -431 -430 6000 6001
noonfit predict,nowhere     tilt        -0.1 0 90 90.1
noonfit predict,nowhere     azimuth     -0.1 0 360 360.1
noonfit predict,nowhere     within      59s 60s 7d 605000s
noonfit predict,nowhere     u-sun       -0.1 0 100 100.1
noonfit predict,nowhere     u-air       -0.1 0 30 30.1
noonfit compare,a,b         sun         49.9 50 1500 1501
noonfit compare,a,b         water       0.09 0.1 10000 10001
noonfit compare,a,b         wind        -0.1 0 50 50.1
noonfit size,nowhere        each        0.09 0.1 1000 1001
noonfit season,nowhere      each        0.09 0.1 1000 1001
noonfit season,nowhere      water       0.09 0.1 10000 10001
noonfit season,nowhere      area        0.009 0.01 1000 1001
noonfit season,nowhere      store-loss  -0.1 0 1000 1001
noonfit season,nowhere      tilt        -0.1 0 90 90.1
noonfit season,nowhere      price       -0.1 0 1e7 10000001
noonfit season,nowhere      draws       19 20 10000 10001
noonfit fit,nowhere         monte-carlo 19 20 1000000 1000001
noonfit fit,nowhere         seed        -1 0 2147483647 2147483648
noonfit budget,nowhere      monte-carlo 19 20 1000000 1000001
noonfit inspect,nowhere,--plot=x.svg every 0.9s 1s 1d 86401s
noonfit plan,nowhere        for         599s 600s 12h 43201s
noonfit plan,nowhere        loss        0.49 0.5 60 60.1
noonfit pump,nowhere        coil        9.9 10 20000 20001
noonfit sheet,nowhere       every       9.9s 10s 1d 86401s
noonfit tally               tilt        -0.1 0 90 90.1
noonfit tally               azimuth     -0.1 0 360 360.1
noonfit tally               elevation   -431 -430 6000 6001
noonfit tally               seed        -1 0 2147483647 2147483648
noonlog draft,/nowhere      baud        299 300 1000000 1000001
noonlog draft,/nowhere      for         0s 0.1s 1h 3601s
noonlog listen,nowhere.ini  for         0s 0.1s 1d 86401s
noonlog record,nowhere.ini,run for      0s 0.1s 3650d 315360001s
noonlog record,nowhere.ini,run sync     0s 0.1s 1d 86401s
noonlog import,nowhere.csv  skip        -1 0 1000000 1000001
noonlog take,nowhere        every       59s 60s 1d 86401s
END

# What is written on a scrap of paper: the others are given, one is at its limit.
tally() { # OPTION VALUE
    local -A given=([water]=20 [area]=0.7 [from]=20C [to]=45C [in]=100m [sun]=800 [air]=20C)
    local words=() name
    [ "$1" != from ] || given[to]=100C
    given[$1]=$2
    for name in "${!given[@]}"; do words+=("--$name=${given[$name]}"); done
    noonfit tally "${words[@]}" >out 2>said
    grep -qe "--$1 " <(tr '\n' ' ' <said)
}
while read -r option little least most much; do
    [ -n "$option" ] || continue
    for v in "$least" "$most"; do tally "$option" "$v" && fail "tally --$option $v is refused: $(head -1 said)"; done
    for v in "$little" "$much"; do tally "$option" "$v" || fail "tally --$option $v is taken"; done
done <<'END'
water 0.09 0.1 10000 10001
area 0.009 0.01 1000 1001
from -0.1C 0C 99C 99.1C
in 59s 60s 1d 86401s
sun 49.9 50 1500 1501
air -60.1C -60C 60C 60.1C
END
tally to 100C && fail "100C is refused: $(head -1 said)"
tally to 100.1C || fail "100.1C is taken"
finish
