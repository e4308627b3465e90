# SPDX-License-Identifier: GPL-3.0-or-later
# For the scripts that record: adapters on pseudo-terminals, and waiting for what they bring. Sourced, in
# the place of common.bash. Times out by ctest; nothing here depends on how fast the machine is.
. "$(dirname "${BASH_SOURCE[0]}")/common.bash" || exit 2
feeders=""
command -v ptyfeed >/dev/null || { echo "no ptyfeed in $PATH"; exit 2; }

cleanup() {
    for pid in $feeders $(jobs -p); do kill -9 "$pid" 2>/dev/null; done
    wait 2>/dev/null
    cd /
    rm -rf "$work"
}
trap cleanup EXIT

# small_rig [ADAPTER-KEY=VALUE...]: rig.ini for what ptyfeed sends.
small_rig() {
    {
        printf '[test]\ntitle = wash stand on a pseudo-terminal\n[adapter]\nport = %s\n' "$work/port"
        case "$*" in *interval_s*) ;; *) echo 'interval_s = 0.1' ;; esac
        for key in "$@"; do echo "$key"; done
        printf '[channel store]\nunit = degC\n[channel inlet]\nunit = degC\n'
        printf '[channel sun]\nunit = W_m2\n'
    } >rig.ini
}

# feed [OPTION...]: an adapter at $work/port, in the background; its process is $feeder.
feed() {
    rm -f "$work/port"
    ptyfeed "$work/port" "$@" <&0 &
    feeder=$!
    feeders="$feeders $feeder"
    await '[ -e port ]'
}

# await CONDITION: until it holds, at most $patience_s seconds.
patience_s=30
await() {
    local i
    for i in $(seq $((patience_s * 20))); do
        eval "$(await_words "$1")" && return 0
        sleep 0.05
    done
    echo "FAILED: waited in vain for: $1"
    tail -n 20 run*/notes.csv 2>/dev/null
    exit 1
}
await_words() {
    case $1 in
    rows\ *) set -- $1; echo "[ \$(rows $2) $3 $4 ]" ;;
    *) echo "$1" ;;
    esac
}

# rows RUN: whole rows in its readings.csv.
rows() {
    local n
    n=$(cat "$1/readings.csv" 2>/dev/null | wc -l)
    echo $((n > 0 ? n - 1 : 0))
}

# rising RUN: elapsed_s strictly increases.
rising() {
    awk -F, 'NR > 1 { if (NR > 2 && $2 + 0 <= last) exit 1; last = $2 + 0 }' "$1/readings.csv"
}

# field NAME: of a flat JSON object on stdin.
field() {
    sed -n "s/^ *\"$1\": \"\{0,1\}\([^\",]*\)\"\{0,1\},\{0,1\}$/\1/p"
}

# whole RUN: every line of every file is complete, the right length, and has no NUL.
whole() {
    local columns
    columns=$(head -1 "$1/readings.csv" | awk -F, '{ print NF }')
    awk -F, -v n="$columns" 'NF != n { print "readings.csv:" NR ": " $0; bad = 1 } END { exit bad }' \
        "$1/readings.csv" || return 1
    for file in readings.csv adapter.log notes.csv; do
        [ "$(tail -c 1 "$1/$file" | od -An -tx1 | tr -d ' ')" = 0a ] || { echo "$file: torn end"; return 1; }
        ! grep -qaP '\x00' "$1/$file" || { echo "$file: NUL bytes"; return 1; }
    done
}
