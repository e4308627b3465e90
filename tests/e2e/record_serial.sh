#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The libserialport path: a pseudo-terminal that looks like a USB serial port (faultserial.c) is
# listed, opened by path and by identity, lost, and found again under another name.
. "$(dirname "$0")/record_common.bash" || exit 2

export FAULT_ROOT=$work/root
with_serial="env LD_PRELOAD=$TEST_PROGRAMS/tests/faultserial.so"

# plug NAME SERIAL: a USB serial adapter appears as /dev/NAME.
plug() {
    local usb=$FAULT_ROOT/sys/devices/pci0/usb1/1-$1
    mkdir -p "$usb/if0/ttyport/tty/$1" "$FAULT_ROOT/sys/class/tty" "$FAULT_ROOT/dev"
    # libserialport looks for these some levels above the port's device.
    echo 1 >"$usb/busnum"
    echo 5 >"$usb/devnum"
    echo 1a86 >"$usb/idVendor"
    echo 7523 >"$usb/idProduct"
    echo "USB $(printf '\033')[31mSerial" >"$usb/product"
    echo "Maker" >"$usb/manufacturer"
    echo "$2" >"$usb/serial"
    ln -sfn ../../../../../../ "$usb/if0/ttyport/tty/$1/none"
    ln -sfn ../.. "$usb/if0/ttyport/tty/$1/device"
    ln -sfn "../../devices/pci0/usb1/1-$1/if0/ttyport/tty/$1" "$FAULT_ROOT/sys/class/tty/$1"
    ln -sfn "$(readlink port)" "$FAULT_ROOT/dev/$1"
}
unplug() { rm -f "$FAULT_ROOT/sys/class/tty/$1" "$FAULT_ROOT/dev/$1"; }

small_rig
sed -i 's#^port = .*#port = /dev/ttyUSB7#' rig.ini
feed --lines 20 --hz 20 --linger 1.5
plug ttyUSB7 A50285BI
expect "listed by path and identity" grep -q '^/dev/ttyUSB7 *usb:1A86:7523:A50285BI  Maker USB ?\[31mSerial' <($with_serial noonlog ports)
expect "as JSON" [ "$($with_serial noonlog ports --json | tr -d ' ' | grep -c '"identity":"usb:1A86:7523:A50285BI"')" -eq 1 ]

$with_serial noonlog record rig.ini run --quiet &
await 'rows run -ge 19'
unplug ttyUSB7
await "grep -q ',port,.*port lost' run/notes.csv"
expect "opened as a serial port with an identity" grep -q 'port open: /dev/ttyUSB7, usb:1A86:7523:A50285BI, 115200 baud' run/notes.csv
# Another adapter takes the old name first; ours comes back as ttyUSB8.
feed --lines 1000 --hz 20 --seq0 90000 --now
plug ttyUSB7 OTHER001
await "grep -q 'another device (usb:1A86:7523:OTHER001) is there now' run/notes.csv"
feed --lines 20 --hz 20 --seq0 1000
plug ttyUSB8 A50285BI
await "grep -q 'port found again.*ttyUSB8, usb:1A86:7523:A50285BI' run/notes.csv"
await 'rows run -ge 36'
$with_serial noonlog stop run || fail "stop"
expect "nothing of the other adapter" bash -c '! grep -q "seq=90" run/adapter.log'
expect "whole files" whole run

# By identity, wherever it is.
sed -i 's#^port = .*#port = usb:1a86:7523:A50285BI#' rig.ini
feed --lines 1000 --hz 20
plug ttyUSB8 A50285BI
$with_serial noonlog record rig.ini run2 --quiet &
await 'rows run2 -ge 3'
$with_serial noonlog stop run2 || fail "stop"
expect "found by identity" grep -q 'port open: /dev/ttyUSB8' run2/notes.csv
sed -i 's#^port = .*#port = usb:0403:6001#' rig.ini
$with_serial noonlog record rig.ini run3 2>said
expect "an identity that is not there" [ $? -eq 2 ]
expect "says so" grep -q 'no port with this USB identity' said
# A system without sysfs (a container): what is missing is said, and a port by its path works.
mkdir none
without="env LD_PRELOAD=$TEST_PROGRAMS/tests/faultserial.so FAULT_ROOT=$work/none"
expect "ports is no error" $without noonlog ports >text 2>said
expect "what is missing and what works" grep -q 'no /sys/class/tty.*port = /dev/ttyUSB0) works all the same' said
expect "JSON is JSON" python3 -c 'import json, sys; json.load(sys.stdin)["ports"]' < <($without noonlog ports --json 2>/dev/null)
small_rig "interval_s = 0.05"
feed --lines 100000 --hz 20
expect "a port by its path" $without noonlog record rig.ini plain --for 1s --quiet
expect "gives rows" [ "$(rows plain)" -ge 10 ]
sed "s|^port = .*|port = usb:1A86:7523|" rig.ini >usb.ini
$without noonlog record usb.ini never 2>said
expect "an identity does not: exit status" [ $? -eq 2 ]
expect "and why" grep -q 'there is no /sys/class/tty.*name the device instead' said
finish
