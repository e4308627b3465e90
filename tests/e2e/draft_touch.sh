#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# `draft --touch` and `listen` with warm hands: an adapter that nobody has described sends three
# temperatures; the script is the hand.
. "$(dirname "$0")/record_common.bash" || exit 2

echo '21.0 22.0 20.0' >temps
hand() { # the three temperatures from now on
    echo "$*" >temps.new && mv temps.new temps
}
while sleep 0.05; do
    read -r a b c <temps
    echo "t1=$a,t2=$b,t3=$c,sun=900"
done | ptyfeed "$work/port" &
feeders=$!
await '[ -e port ]'

# Store and outlet by hand, inlet passed over with Enter, air passed over too.
mkfifo keys
noonlog draft "$work/port" drafted.ini --for 1s --touch <keys 2>said &
drafting=$!
exec 9>keys
await 'grep -q "probe of .store" said'
hand 21.0 22.0 23.5
await 'grep -q "probe of .inlet" said'
echo >&9
await 'grep -q "probe of .outlet" said'
hand 24.0 22.0 23.0
await 'grep -q "probe of .air" said'
echo >&9
expect "drafted" wait $drafting
exec 9>&-
for pair in store=t3 outlet=t1; do
    expect "${pair%=*} is ${pair#*=}" \
        grep -A1 -x "\[channel ${pair%=*}\].*" drafted.ini -q
    [ "$(sed -n "/^\[channel ${pair%=*}\]/,/^unit/s/^field = //p" drafted.ini)" = "${pair#*=}" ] ||
        fail "$pair: $(cat drafted.ini)"
done
expect "what nobody touched keeps its name" grep -q '^\[channel t2\]' drafted.ini
expect "said what warmed" grep -q 'store. is t3: it warmed by 3.5 K' said

# Ctrl-C in the middle: nothing is written. (bash lets background jobs ignore SIGINT.)
noonlog draft "$work/port" none.ini --for 1s --touch </dev/null 2>said &
drafting=$!
await 'grep -q "probe of .store" said'
kill -TERM $drafting
wait $drafting
expect "stopped: exit status 1" [ $? -eq 1 ]
expect "stopped: no file" [ ! -e none.ini ]

# listen marks the one in the hand.
# It warms all the while, for nobody knows when listening begins.
hand 21.0 22.0 20.0
noonlog listen drafted.ini --for 4s >text 2>news &
listening=$!
for degC in $(seq 20 0.25 120); do
    kill -0 $listening 2>/dev/null || break
    hand 21.0 22.0 "$degC"
    sleep 0.1
done
wait $listening
expect "said while it warms" grep -q 'store warms' news
expect "marked" grep -Eq '^  store .*<- warmed' text
expect "said once" [ "$(grep -c 'store warms' news)" -eq 1 ]
expect "only that one" [ "$(grep -c 'warmed' text)" -eq 1 ]
finish
