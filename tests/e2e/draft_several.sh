#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Two collectors on one adapter that nobody has described: `draft --touch` asks for the probes of each,
# what it writes says whose they are, and `listen` misses nothing of either.
. "$(dirname "$0")/record_common.bash" || exit 2

echo '21.0 22.0 20.0 23.0 19.0' >temps
hand() { # the temperatures from now on
    echo "$*" >temps.new && mv temps.new temps
}
while sleep 0.05; do
    read -r a b c d e <temps
    echo "t1=$a,t2=$b,t3=$c,t4=$d,t5=$e,sun=900"
done | ptyfeed "$work/port" &
await '[ -e port ]'

ask() { await "grep -q 'probe of .$1' said"; }
mkfifo keys
noonlog draft "$work/port" drafted.ini --for 0.5s --collector left --collector right --touch <keys 2>said &
drafting=$!
exec 9>keys
ask store_left
hand 21.0 22.0 23.0 23.0 19.0
ask inlet_left
echo >&9
ask outlet_left
hand 21.0 26.0 22.0 23.0 19.0
ask store_right
hand 21.0 24.0 26.0 23.0 22.5 # the left one's hand is on its probe again: it has its name already
ask inlet_right
echo >&9
ask outlet_right
echo >&9
ask air
hand 24.0 23.0 24.0 23.0 20.0
expect "drafted" wait $drafting
exec 9>&-
channel() { sed -n "/^\[channel $1\]/,/^unit/p" drafted.ini | grep -E '^(role|of|field)' | tr -d ' ' | sort | tr '\n' ' '; }
is() { [ "$(channel "$1")" = "$2" ] || fail "$1: $(channel "$1") for $2"; }
is store_left 'field=t3 of=left role=store '
is outlet_left 'field=t2 of=left role=outlet '
is store_right 'field=t5 of=right role=store '
is air 'field=t1 '
expect "what nobody touched keeps its name" grep -q '^\[channel t4\]' drafted.ini
expect "a container each" grep -q '^\[store right\]' drafted.ini

noonlog listen drafted.ini --for 0.5s >text || fail "listen"
expect "both have what an efficiency needs" test "$(grep -c 'no channel' text)" = 0
expect "only the untouched one is not used" grep -q 'not used by noonfit: t4$' text
expect "names in full, in columns" grep -Eq '^  outlet_left  *[0-9.]+ +[0-9.]+ °C' text
sed '/^\[channel store_right\]/,/^unit/d' drafted.ini >lacking.ini
noonlog listen lacking.ini --for 0.5s >text || fail "listen without a store"
expect "says whose store is missing" grep -q 'no channel store of right' text

# An adapter whose keys say it: nothing is left to be asked.
kill "$(jobs -p | head -1)" 2>/dev/null
while sleep 0.05; do
    echo "store_left=20,outlet_left=25,store_right=21,outlet_right=27,air=18,sun=900,flow_left=1,flow_right=1"
done | ptyfeed "$work/other" &
await '[ -e other ]'
printf '\n\n' | noonlog draft "$work/other" named.ini --for 0.5s --touch 2>said || fail "draft of named keys"
expect "asks for the inlets alone" test "$(grep -c 'probe of' said)" = 2
expect "whose they are" grep -A2 -x '\[channel flow_right\].*' named.ini -q
noonlog listen named.ini --for 0.5s >text || fail "listen to named keys"
expect "all of them are known" test "$(grep -c 'no channel\|not used' text)" = 0
finish
