/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/stated.h"

#include "logger/base/text.h"
#include "logger/base/units.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PLUS_MINUS "\u00b1"

/* The two sides of "+-"; right[0] == 0: there is none. False: too long, or nothing behind it. */
static bool parted(const char *text, char left[64], char right[64])
{
    const char *at = strstr(text, "+-"), *sign = strstr(text, PLUS_MINUS);
    size_t mark = at ? 2 : strlen(PLUS_MINUS);
    at = at ? at : sign;
    right[0] = '\0';
    size_t length = at ? (size_t)(at - text) : strlen(text);
    if (length >= 64 || (at && strlen(at + mark) >= 64))
        return false;
    memcpy(left, text, length);
    left[length] = '\0';
    if (at)
        nr_copy(right, 64, at + mark);
    return !at || right[strspn(right, " ")] != '\0';
}

/* Where the number ends and the unit begins. */
static const char *unit_of(const char *text)
{
    char *end;
    (void)strtod(text, &end); /* the strict reader has read it, or will */
    while (*end == ' ')
        end++;
    return end;
}

/* The u of a value; read: one number with its unit in the answer's unit. */
typedef bool reader(const char *text, const void *how, double *out);

static bool read_u(const char *left, const char *right, reader *read, const void *how, double value,
                   double *u)
{
    double per_cent, above, zero;
    char number[64], with_unit[140], nothing[80];
    const char *unit = unit_of(right);
    if (strcmp(unit, "%") == 0) {
        nr_copy(number, sizeof number, right);
        number[strcspn(number, "%")] = '\0';
        if (!nr_parse_double(number, &per_cent) || per_cent < 0)
            return false;
        *u = fabs(value) * per_cent / 100;
        return true;
    }
    unit = *unit ? unit : unit_of(left);
    (void)snprintf(with_unit, sizeof with_unit, "%.*s%s", (int)strcspn(right, "%"), right,
                   *unit_of(right) ? "" : unit);
    (void)snprintf(nothing, sizeof nothing, "0%s", unit);
    /* The difference from nothing: degF have an offset, and a u has none. */
    if (!read(with_unit, how, &above) || !read(nothing, how, &zero) || above < zero)
        return false;
    *u = above - zero;
    return true;
}

typedef struct quantity_how {
    const char *unit;
} quantity_how;

static bool read_quantity(const char *text, const void *how, double *out)
{
    return nr_parse_quantity(text, ((const quantity_how *)how)->unit, out);
}

static bool read_temperature(const char *text, const void *how, double *out)
{
    return nr_parse_temperature(text, *(const bool *)how, out);
}

static bool read_duration(const char *text, const void *how, double *out)
{
    (void)how;
    return nr_parse_duration(text, out);
}

static nr_code bad_u(const nr_command *command, const char *name, const char *right, nr_err *err)
{
    return nr_usage(err, command,
                    "--%s: +-%s is no standard uncertainty: give it in the value's unit or in per "
                    "cent, such as 64F+-1F or 850+-5%%",
                    name, right);
}

nr_code nr_stated_quantity(const nr_command *command, const char *name, const char *text,
                           const char *unit, double low, double high, nr_stated *out, nr_err *err)
{
    char left[64], right[64], units[80];
    const quantity_how how = {unit};
    double value;
    if (!text)
        return NR_OK;
    if (!parted(text, left, right) || !read_quantity(left, &how, &value) || value < low ||
        value > high) {
        nr_quantity_units(unit, units, sizeof units);
        return nr_usage(err, command, "--%s %s: give %g to %g %s, as a number or with a unit (%s)",
                        name, text, low, high, unit, units);
    }
    if (right[0] && !read_u(left, right, read_quantity, &how, value, &out->u))
        return bad_u(command, name, right, err);
    out->value = value;
    return NR_OK;
}

nr_code nr_stated_temperature(const nr_command *command, const char *name, const char *text,
                              bool fahrenheit, double low, double high, nr_stated *out, nr_err *err)
{
    char left[64], right[64];
    double value;
    if (!text)
        return NR_OK;
    if (!parted(text, left, right))
        return nr_usage(err, command, "--%s %s: give a temperature, such as 43C or 110F+-1F", name,
                        text);
    nr_code code = nr_temperature_option(command, name, left, fahrenheit, low, high, &value, err);
    if (code)
        return code;
    /* Per cent of a temperature depends on where zero lies. */
    if (right[0] &&
        (strchr(right, '%') || !read_u(left, right, read_temperature, &fahrenheit, value, &out->u)))
        return bad_u(command, name, right, err);
    out->value = value;
    return NR_OK;
}

nr_code nr_stated_duration(const nr_command *command, const char *name, const char *text,
                           double low, double high, nr_stated *out, nr_err *err)
{
    char left[64], right[64];
    double value;
    if (!text)
        return NR_OK;
    if (!parted(text, left, right) || !nr_parse_duration(left, &value) || value < low ||
        value > high)
        return nr_usage(err, command,
                        "--%s %s: give a duration such as 45m or 1h15m, from %g min to %g h", name,
                        text, low / 60, high / 3600);
    if (right[0] && !read_u(left, right, read_duration, NULL, value, &out->u))
        return bad_u(command, name, right, err);
    out->value = value;
    return NR_OK;
}
