/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/port/modbus_point.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

bool nr_modbus_is_input(const char *type)
{
    return type[0] == 'i';
}

/* Without the prefix for input registers. */
static const char *plain(const char *type)
{
    return nr_modbus_is_input(type) ? type + 1 : type;
}

int nr_modbus_words(const char *type)
{
    return strcmp(plain(type) + 1, "32") == 0 ? 2 : 1;
}

double nr_modbus_value(const char *type, const uint16_t *words)
{
    const char *t = plain(type);
    uint32_t both = (uint32_t)words[0] << 16 | (nr_modbus_words(type) == 2 ? words[1] : 0u);
    float f;
    if (strcmp(t, "u16") == 0)
        return words[0];
    if (strcmp(t, "s16") == 0)
        return (int16_t)words[0];
    if (strcmp(t, "u32") == 0)
        return both;
    if (strcmp(t, "s32") == 0)
        return (int32_t)both;
    if (strcmp(t, "f32") == 0) {
        memcpy(&f, &both, sizeof f);
        return isfinite(f) ? (double)f : NAN;
    }
    return NAN;
}

void nr_modbus_address(int unit, int address, const char *type, char out[NR_MODBUS_ADDRESS])
{
    snprintf(out, NR_MODBUS_ADDRESS, "%d:%d:%.4s", unit, address, type);
}
