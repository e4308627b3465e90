/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/number.h"

#include "logger/base/text.h"
#include "logger/import/fold.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

#define LONGEST 64 /* of a number with its unit */

/* The folded cell without blanks around it and without ="..." (some programs keep a spreadsheet
 * from meddling by it). NULL: too long for a number. */
static char *prepare(const char *cell, char room[LONGEST])
{
    if (strlen(cell) >= LONGEST)
        return NULL;
    nr_fold(cell, room, LONGEST);
    char *p = nr_trim(room);
    size_t n = strlen(p);
    if (n > 3 && p[0] == '=' && p[1] == '"' && p[n - 1] == '"') {
        p[n - 1] = '\0';
        p = nr_trim(p + 2);
    }
    return p;
}

static bool digit(char c)
{
    return c >= '0' && c <= '9';
}

static size_t digits(const char *p)
{
    size_t n = 0;
    while (digit(p[n]))
        n++;
    return n;
}

/* Figures in groups of three behind the first: how long, or 0. */
static size_t grouped(const char *p, const char *signs)
{
    size_t n = digits(p);
    if (n == 0 || n > 3 || !p[n] || !strchr(signs, p[n]))
        return 0;
    char sign = p[n];
    size_t end = n;
    while (p[end] == sign && digits(p + end + 1) == 3)
        end += 4;
    return end > n ? end : 0;
}

/* Plain text of the number at p for nr_parse_double; returns what follows it, NULL: no number. */
static const char *plain(const char *p, char decimal, char out[LONGEST])
{
    const char thousands[] = {decimal == '.' ? ',' : '.', '\'', ' ', '\0'};
    size_t n = 0;
    if (*p == '-' || *p == '+')
        out[n++] = *p++;
    size_t whole = grouped(p, thousands), figures = 0;
    if (whole == 0)
        whole = digits(p);
    for (; whole > 0; whole--, p++)
        if (digit(*p)) {
            out[n++] = *p;
            figures++;
        }
    if (*p == decimal) {
        size_t behind = digits(p + 1);
        if (figures == 0)
            out[n++] = '0';
        figures += behind;
        out[n++] = '.';
        memcpy(out + n, p + 1, behind);
        n += behind;
        if (behind == 0)
            out[n++] = '0';
        p += behind + 1;
    }
    if (figures == 0)
        return NULL;
    if (*p == 'e' || *p == 'E') {
        size_t sign = p[1] == '-' || p[1] == '+', power = digits(p + 1 + sign);
        if (power > 0 && power < 5) {
            memcpy(out + n, p, 1 + sign + power);
            n += 1 + sign + power;
            p += 1 + sign + power;
        }
    }
    out[n] = '\0';
    return p;
}

bool nr_number_of(const char *cell, char decimal, double *value, nr_stated_unit *unit)
{
    char room[LONGEST], number[LONGEST + 4];
    const char *p = prepare(cell, room);
    nr_stated_unit stated = {.word = ""};
    p = p && strlen(p) + 4 < LONGEST ? plain(p, decimal, number) : NULL;
    if (!p || !nr_parse_double(number, value) || !isfinite(*value))
        return false;
    const char *rest = p + strspn(p, " ");
    if (*rest && !isalpha((unsigned char)*rest) && *rest != '%')
        return false; /* a date, a time: no unit begins so */
    if (*rest) {
        stated = nr_unit_of_words(p);
        if (stated.measure == NR_MEASURE_NONE)
            return false;
    }
    if (unit)
        *unit = stated;
    return true;
}

void nr_decimal_look(nr_decimal_evidence *e, const char *cell)
{
    double value;
    char room[LONGEST];
    bool by_point = nr_number_of(cell, '.', &value, NULL);
    bool by_comma = nr_number_of(cell, ',', &value, NULL);
    if (!by_point && !by_comma)
        return;
    const char *p = prepare(cell, room);
    p += *p == '-' || *p == '+';
    const char *point = strchr(p, '.'), *comma = strchr(p, ',');
    if (!point && !comma) {
        e->whole++;
    } else if (by_point != by_comma) {
        e->point += by_point;
        e->comma += by_comma;
    } else if (point && !comma) {
        bool leading_zero = p[0] == '0';
        e->point += leading_zero;
        e->open_point += !leading_zero;
    } else if (comma && !point) {
        bool leading_zero = p[0] == '0';
        e->comma += leading_zero;
        e->open_comma += !leading_zero;
    }
}
