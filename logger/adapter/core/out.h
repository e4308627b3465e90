/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text out of the adapter: characters into a sink, with the xor8 of all of them kept.
 *
 * No printf: its floating point would take a fifth of the flash. All numbers are whole or fixed
 * point.
 */
#ifndef NR_ADAPTER_CORE_OUT_H
#define NR_ADAPTER_CORE_OUT_H

#include <stdint.h>

typedef struct nr_fw_out {
    void (*put)(void *context, char c); /* may wait for room; never fails */
    void *context;
    uint8_t sum; /* exclusive or of all characters since nr_fw_out_begin */
} nr_fw_out;

/* A line begins: the sum is zero. */
void nr_fw_out_begin(nr_fw_out *out);

void nr_fw_out_char(nr_fw_out *out, char c);
void nr_fw_out_text(nr_fw_out *out, const char *text);

/* The same from the flash of the microcontroller; on a host it is the plain one. Every text of the
 * firmware goes through it: RAM is for what changes. */
void nr_fw_out_flash(nr_fw_out *out, const char *text);

void nr_fw_out_u32(nr_fw_out *out, uint32_t value);

/* value / 10^decimals with all its decimals: (-5, 2) is "-0.05". decimals 0..9. */
void nr_fw_out_fixed(nr_fw_out *out, int32_t value, uint8_t decimals);

/* Two digits, upper case. */
void nr_fw_out_hex(nr_fw_out *out, uint8_t byte);

/* "*HH" of all characters so far, and the line's end. */
void nr_fw_out_checked_end(nr_fw_out *out);

/* The line's end alone. */
void nr_fw_out_end(nr_fw_out *out);

#ifdef __AVR__
#include <avr/pgmspace.h>
#define NR_FW_FLASH(text) PSTR(text)
#else
#define NR_FW_FLASH(text) (text)
#endif

#endif
