/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/text.h"

#include <errno.h>
#include <locale.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

static bool blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

static bool digit(char c)
{
    return c >= '0' && c <= '9';
}

/* The pieces of a decimal number; text points behind them afterwards. */
typedef struct decimal {
    bool negative, exact; /* exact: mantissa holds every digit */
    uint64_t mantissa;
    int digits;    /* seen, leading zeros not counted */
    long exponent; /* value = mantissa * 10^exponent */
} decimal;

static bool scan_digits(const char **text, decimal *d, long step)
{
    const char *p = *text;
    for (; digit(*p); p++) {
        d->exponent -= step;
        if (d->digits == 0 && *p == '0')
            continue;
        if (++d->digits > 18)
            d->exact = false;
        else
            d->mantissa = d->mantissa * 10 + (uint64_t)(*p - '0');
    }
    bool any = p != *text;
    *text = p;
    return any;
}

static bool scan_exponent(const char **text, decimal *d)
{
    const char *p = *text;
    if (*p != 'e' && *p != 'E')
        return true;
    p++;
    bool negative = *p == '-';
    if (*p == '-' || *p == '+')
        p++;
    if (!digit(*p))
        return false;
    long exponent = 0;
    for (; digit(*p); p++)
        if (exponent < 100000)
            exponent = exponent * 10 + (*p - '0');
    d->exponent += negative ? -exponent : exponent;
    *text = p;
    return true;
}

/* Grammar: sign? (digits (. digits?)? | . digits) (e sign? digits)? */
static bool scan_decimal(const char **text, decimal *d)
{
    const char *p = *text;
    *d = (decimal){.exact = true};
    d->negative = *p == '-';
    if (*p == '-' || *p == '+')
        p++;
    bool any = scan_digits(&p, d, 0);
    if (*p == '.') {
        p++;
        any = scan_digits(&p, d, 1) || any;
    }
    if (!any || !scan_exponent(&p, d))
        return false;
    *text = p;
    return true;
}

/* strtod follows the program's locale; the number on file does not. */
static double slow_value(const char *text)
{
    locale_t c = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    if (c == (locale_t)0)
        return NAN;
    double value = strtod_l(text, NULL, c);
    freelocale(c);
    return value;
}

/* A mantissa below 2^53 and a power of ten up to 22 are both exact doubles, so one division or
 * multiplication is correctly rounded (Clinger 1990). That is nearly every cell of a record, and
 * several times faster than strtod. */
static double decimal_value(const decimal *d, const char *start)
{
    static const double power[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                   1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                   1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    if (!d->exact || d->mantissa > (UINT64_C(1) << 53) || d->exponent < -22 || d->exponent > 22)
        return slow_value(start);
    double value = (double)d->mantissa;
    if (d->exponent < 0)
        value /= power[-d->exponent];
    else
        value *= power[d->exponent];
    return d->negative ? -value : value;
}

bool nr_parse_double(const char *text, double *out)
{
    while (blank(*text))
        text++;
    const char *start = text;
    decimal d;
    if (!scan_decimal(&text, &d))
        return false;
    while (blank(*text))
        text++;
    if (*text)
        return false;
    double value = decimal_value(&d, start);
    if (!isfinite(value))
        return false;
    *out = value;
    return true;
}

bool nr_parse_long(const char *text, long lo, long hi, long *out)
{
    while (blank(*text))
        text++;
    const char *p = text;
    if (*p == '-' || *p == '+')
        p++;
    if (!digit(*p))
        return false;
    errno = 0;
    char *end;
    long value = strtol(text, &end, 10);
    while (blank(*end))
        end++;
    if (*end || errno == ERANGE || value < lo || value > hi)
        return false;
    *out = value;
    return true;
}

bool nr_parse_yes(const char *text, bool *out)
{
    static const char *const words[2][4] = {{"no", "false", "off", "0"},
                                            {"yes", "true", "on", "1"}};
    for (int yes = 0; yes < 2; yes++)
        for (int i = 0; i < 4; i++)
            if (strcasecmp(text, words[yes][i]) == 0) {
                *out = yes == 1;
                return true;
            }
    return false;
}

/* Seconds in a duration's unit letter, 0 when it is none; rank orders them. */
static double duration_unit(char c, int *rank)
{
    switch (c) {
    case 'd':
        *rank = 4;
        return 86400;
    case 'h':
        *rank = 3;
        return 3600;
    case 'm':
        *rank = 2;
        return 60;
    case 's':
        *rank = 1;
        return 1;
    default:
        return 0;
    }
}

bool nr_parse_duration(const char *text, double *seconds)
{
    double sum = 0;
    int last_rank = 5;
    const char *p = text;
    if (!*p)
        return false;
    while (*p) {
        const char *start = p;
        decimal d;
        if (*p == '-' || *p == '+' || !scan_decimal(&p, &d))
            return false;
        double value = decimal_value(&d, start);
        int rank = 0;
        double unit = duration_unit(*p, &rank);
        if (!*p && start == text)
            unit = 1; /* a bare number is seconds */
        else if (unit == 0 || rank >= last_rank)
            return false;
        else
            p++;
        last_rank = rank;
        sum += value * unit;
    }
    if (!isfinite(sum))
        return false;
    *seconds = sum;
    return true;
}

size_t nr_format_number(char *out, size_t size, double value, int decimals)
{
    char text[400];
    int length;
    if (!isfinite(value))
        length = 0;
    else if (decimals < 0)
        length = snprintf(text, sizeof text, "%.10g", value);
    else
        length = snprintf(text, sizeof text, "%.*f", decimals, value);
    if (length < 0 || (size_t)length >= sizeof text)
        length = 0;
    size_t used = 0;
    bool point = false, all_zero = true;
    char plain[sizeof text];
    for (int i = 0; i < length; i++) {
        /* Whatever a locale puts between the digits (a comma, several bytes) becomes a point. */
        bool keep = digit(text[i]) || text[i] == '-' || text[i] == '+' || text[i] == 'e';
        if (keep || !point)
            plain[used++] = keep ? text[i] : '.';
        point = point || !keep;
        all_zero = all_zero && !(text[i] >= '1' && text[i] <= '9');
    }
    const char *start = plain;
    if (all_zero && used > 0 && plain[0] == '-') { /* no "-0.00" */
        start++;
        used--;
    }
    if (used >= size) {
        if (size > 0)
            *out = '\0';
        return 0;
    }
    memcpy(out, start, used);
    out[used] = '\0';
    return used;
}

bool nr_copy(char *to, size_t size, const char *from)
{
    if (size == 0)
        return false;
    size_t length = strlen(from);
    bool fits = length < size;
    if (!fits)
        length = size - 1;
    memcpy(to, from, length);
    to[length] = '\0';
    return fits;
}

/* Length of the well-formed UTF-8 character at p (Unicode table 3-7), 0 when malformed. */
static size_t utf8_length(const unsigned char *p, size_t left, uint32_t *code)
{
    static const uint32_t least[5] = {0, 0, 0x80, 0x800, 0x10000};
    size_t length;
    if (p[0] < 0x80) {
        *code = p[0];
        return 1;
    }
    if (p[0] >= 0xc2 && p[0] <= 0xdf)
        length = 2;
    else if (p[0] >= 0xe0 && p[0] <= 0xef)
        length = 3;
    else if (p[0] >= 0xf0 && p[0] <= 0xf4)
        length = 4;
    else
        return 0;
    if (left < length)
        return 0;
    uint32_t c = p[0] & (0xffu >> (length + 1));
    for (size_t i = 1; i < length; i++) {
        if ((p[i] & 0xc0) != 0x80)
            return 0;
        c = c << 6 | (p[i] & 0x3fu);
    }
    if (c < least[length] || c > 0x10ffff || (c >= 0xd800 && c <= 0xdfff))
        return 0;
    *code = c;
    return length;
}

/* Characters that move the cursor, end a line or turn the reading direction around. */
static bool unsafe(uint32_t c)
{
    return c < 0x20 || (c >= 0x7f && c <= 0x9f) || c == 0x061c || c == 0x200e || c == 0x200f ||
           (c >= 0x2028 && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069);
}

void nr_clean(char *to, size_t size, const char *from, size_t from_length)
{
    if (size == 0)
        return;
    const unsigned char *p = (const unsigned char *)from;
    size_t used = 0;
    while (from_length > 0) {
        uint32_t code = 0;
        size_t length = utf8_length(p, from_length, &code);
        bool bad = length == 0 || unsafe(code);
        size_t in = length == 0 ? 1 : length;
        size_t out = bad ? 1 : length;
        if (used + out >= size)
            break; /* never half a character */
        if (bad)
            to[used] = '?';
        else
            memcpy(to + used, p, out);
        used += out;
        p += in;
        from_length -= in;
    }
    to[used] = '\0';
}

char *nr_trim(char *text)
{
    size_t start = 0, end = strlen(text);
    while (end > 0 && blank(text[end - 1]))
        end--;
    while (start < end && blank(text[start]))
        start++;
    memmove(text, text + start, end - start);
    text[end - start] = '\0';
    return text;
}
