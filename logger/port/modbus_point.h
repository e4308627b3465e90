/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a Modbus register means: types as written in rig.ini. For modbus.c and its test.
 *
 * Two registers make one 32-bit number with the high word first, as the Modbus application
 * protocol (V1.1b3, 4.2) orders the bytes of one register; the order of words is common practice.
 */
#ifndef NR_PORT_MODBUS_POINT_H
#define NR_PORT_MODBUS_POINT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* "247:65535:iu32" */
#define NR_MODBUS_ADDRESS 24

/* "iu16" and so on: function 4 (input registers) instead of 3 (holding registers). */
bool nr_modbus_is_input(const char *type);

/* Registers the type takes: 1 or 2. */
int nr_modbus_words(const char *type);

/* The number in them; NAN for a float that is none and for an unknown type. */
double nr_modbus_value(const char *type, const uint16_t *words);

/* "7:1:s16": unit, register and type, as adapter.log names the origin of an answer. */
void nr_modbus_address(int unit, int address, const char *type, char out[NR_MODBUS_ADDRESS]);

#endif
