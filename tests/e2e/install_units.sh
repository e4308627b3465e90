#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The systemd unit is configured for where the program goes, and systemd finds nothing wrong with it
# where systemd is there to ask; its exposure by systemd's own measure stays "OK".
. "$(dirname "$0")/common.bash" || exit 2
unit=$TEST_PROGRAMS/logger/noonlog/noonlog@.service
[ -f "$unit" ] || { echo "no $unit"; exit 1; }
! grep -q '@CMAKE' "$unit" || { echo "unit is not configured"; exit 1; }
! grep -q '^User=root' "$unit" || { echo "unit runs as root"; exit 1; }
grep -q '^DynamicUser=yes' "$unit" && grep -q '^SupplementaryGroups=dialout' "$unit" ||
    { echo "unit is not for an unprivileged user of serial ports"; exit 1; }
grep -q '^StateDirectory=noonlog/%i$' "$unit" ||
    { echo "instances share a folder: the second one to start takes the files of the first"; exit 1; }
! grep -q 'STATE_DIRECTORY/%i' "$unit" || { echo "the run is not in the instance's folder"; exit 1; }
command -v systemd-analyze >/dev/null || { echo "no systemd-analyze here: not verified"; exit 0; }
# The program is not installed while testing: verify with the one that was built.
sed "s#\"[^\" ]*/noonlog\"#\"$TEST_PROGRAMS/noonlog\"#g" "$unit" >"$work/noonlog@wash-stand.service"
# systemd also speaks of other units of this machine; only ours counts.
said=$(systemd-analyze verify "$work/noonlog@wash-stand.service" 2>&1 | grep -F 'noonlog@')
[ -z "$said" ] || { echo "$said"; exit 1; }
exposure=$(systemd-analyze security --offline=true "$work/noonlog@wash-stand.service" 2>/dev/null |
    sed -n 's/.*Overall exposure level.*: \([0-9.]*\) .*/\1/p')
echo "exposure ${exposure:-unknown} (0 best, 10 worst)"
[ -z "$exposure" ] || awk -v e="$exposure" 'BEGIN { exit !(e < 2.5) }' || exit 1
