/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/text.h"
#include "logger/base/utc.h"
#include "logger/run/readings.h"

#include <math.h>
#include <string.h>

/* Enough that rounding is far below any sensor's step (a digital thermometer's is 0.0625 K), and at
 * least one, so that a line cut by a crash shows (readings.h). */
static int decimals(const nr_unit *unit)
{
    switch (unit->dimension) {
    case NR_DIM_TEMPERATURE:
    case NR_DIM_FLOW:
    case NR_DIM_VOLTAGE:
        return 4;
    case NR_DIM_CURRENT:
        return 5;
    case NR_DIM_IRRADIANCE:
    case NR_DIM_PERCENT:
        return 2;
    case NR_DIM_SPEED:
    case NR_DIM_POWER:
    case NR_DIM_VOLUME:
        return 3;
    default:
        return -1; /* a unit of the user's own: significant digits */
    }
}

/* Where the product with a power of ten is so small and so far from the middle of two decimals that
 * its own rounding cannot matter, the quotient of whole numbers is what reading the text gives. */
#define LARGEST 1e9
#define FROM_MIDDLE 1e-6

static bool rounds(double value, int places, double *to)
{
    static const double power[] = {1, 1e1, 1e2, 1e3, 1e4, 1e5};
    if (places < 0 || places >= (int)(sizeof power / sizeof power[0]))
        return false;
    double scaled = value * power[places], whole = floor(scaled);
    if (!(fabs(scaled) < LARGEST) || fabs(scaled - whole - 0.5) < FROM_MIDDLE)
        return false;
    *to = (scaled - whole > 0.5 ? whole + 1 : whole) / power[places] + 0.0; /* and no -0 */
    return true;
}

double nr_readings_as_written(const nr_unit *unit, double value)
{
    double quickly;
    if (rounds(value, decimals(unit), &quickly))
        return quickly;
    char text[400];
    double back;
    nr_format_number(text, sizeof text, value, decimals(unit));
    return nr_parse_double(text, &back) ? back : NAN;
}

/* Appends; *used becomes size when it does not fit. */
static void append(char *out, size_t size, size_t *used, const char *text)
{
    size_t length = strlen(text);
    if (*used >= size || length >= size - *used) {
        *used = size;
        return;
    }
    memcpy(out + *used, text, length + 1);
    *used += length;
}

static size_t finish(char *out, size_t size, size_t used)
{
    append(out, size, &used, "\n");
    if (used < size)
        return used;
    if (size > 0)
        out[0] = '\0';
    return 0;
}

size_t nr_readings_header(const nr_rig *rig, char *out, size_t size)
{
    size_t used = 0;
    append(out, size, &used, "time_utc,elapsed_s");
    for (size_t i = 0; i < rig->channels; i++) {
        char name[2 * NR_NAME];
        nr_rig_column_name(&rig->channel[i], name, sizeof name);
        append(out, size, &used, ",");
        append(out, size, &used, name);
    }
    return finish(out, size, used);
}

size_t nr_readings_row(const nr_rig *rig, double utc_s, double elapsed_s, const double *value,
                       char *out, size_t size)
{
    size_t used = 0;
    char time[NR_UTC_SIZE], number[400];
    nr_utc_format(utc_s, time);
    append(out, size, &used, time);
    append(out, size, &used, ",");
    nr_format_number(number, sizeof number, elapsed_s, 3);
    append(out, size, &used, number);
    for (size_t i = 0; i < rig->channels; i++) {
        append(out, size, &used, ",");
        nr_format_number(number, sizeof number, value[i],
                         decimals(nr_rig_column_unit(&rig->channel[i])));
        append(out, size, &used, number);
    }
    return finish(out, size, used);
}
