/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/core/out.h"

#define DIGITS 10 /* of 2^32 */

void nr_fw_out_begin(nr_fw_out *out)
{
    out->sum = 0;
}

void nr_fw_out_char(nr_fw_out *out, char c)
{
    out->sum = (uint8_t)(out->sum ^ (uint8_t)c);
    out->put(out->context, c);
}

void nr_fw_out_text(nr_fw_out *out, const char *text)
{
    while (*text)
        nr_fw_out_char(out, *text++);
}

void nr_fw_out_flash(nr_fw_out *out, const char *text)
{
#ifdef __AVR__
    for (char c; (c = (char)pgm_read_byte(text)) != 0; text++)
        nr_fw_out_char(out, c);
#else
    nr_fw_out_text(out, text);
#endif
}

/* At least one digit before the point, and all behind it. */
static void digits(nr_fw_out *out, uint32_t value, uint8_t decimals)
{
    char digit[DIGITS];
    uint8_t count = 0;
    while (value > 0 || count <= decimals) {
        digit[count++] = (char)('0' + value % 10);
        value /= 10;
    }
    while (count-- > 0) {
        nr_fw_out_char(out, digit[count]);
        if (count == decimals && decimals > 0)
            nr_fw_out_char(out, '.');
    }
}

void nr_fw_out_u32(nr_fw_out *out, uint32_t value)
{
    digits(out, value, 0);
}

void nr_fw_out_fixed(nr_fw_out *out, int32_t value, uint8_t decimals)
{
    uint32_t size = (uint32_t)value;
    if (value < 0) {
        nr_fw_out_char(out, '-');
        size = 0u - size; /* right for the lowest number too */
    }
    digits(out, size, decimals);
}

static char hex_digit(uint8_t value)
{
    return (char)(value < 10 ? '0' + value : 'A' + value - 10);
}

void nr_fw_out_hex(nr_fw_out *out, uint8_t byte)
{
    nr_fw_out_char(out, hex_digit(byte >> 4));
    nr_fw_out_char(out, hex_digit(byte & 15));
}

void nr_fw_out_checked_end(nr_fw_out *out)
{
    uint8_t sum = out->sum; /* of what stands before the asterisk */
    nr_fw_out_char(out, '*');
    nr_fw_out_hex(out, sum);
    nr_fw_out_end(out);
}

void nr_fw_out_end(nr_fw_out *out)
{
    nr_fw_out_char(out, '\n');
}
