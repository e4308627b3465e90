/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which serial device is which, by what libserialport knows of it. For port.c and serial.c. */
#ifndef NR_PORT_USB_H
#define NR_PORT_USB_H

#include <stdbool.h>
#include <stddef.h>

/* True when libserialport knows the device (false for pseudo-terminals). */
bool nr_usb_is_serial(const char *path);

/* "usb:VID:PID:SERIAL" (SERIAL left out when the device has none); false when it is no USB
 * device: out is then "". */
bool nr_usb_identity(const char *path, char *out, size_t size);

/* The path where a device of this identity is now. An identity without a serial number matches
 * the first device of that VID and PID. */
bool nr_usb_find(const char *identity, char *path, size_t size);

#endif
