/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/text.h"
#include "logger/import/fold.h"
#include "logger/import/moment_pieces.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

#define LONGEST 160

typedef struct reading {
    nr_moment m;
    long year, month, day, of_year;
    double epoch_s;
} reading;

static const struct {
    char letter;
    const char *stands_for;
} shorthands[] = {{'T', "%H:%M:%S"}, {'R', "%H:%M"}, {'D', "%m/%d/%y"}, {'F', "%Y-%m-%d"}};

/* Figures for one letter: how many at most, lowest and highest value. */
static const struct {
    char letter;
    int most;
    long low, high;
} numbers[] = {{'Y', 4, 1970, 2199}, {'y', 2, 0, 99},  {'m', 2, 1, 12}, {'d', 2, 1, 31},
               {'e', 2, 1, 31},      {'j', 3, 1, 366}, {'H', 2, 0, 24}, {'I', 2, 1, 12},
               {'M', 2, 0, 59},      {'S', 2, 0, 60}};

static void keep(reading *r, char letter, long v)
{
    switch (letter) {
    case 'Y':
        r->year = v;
        break;
    case 'y':
        r->year = v < 70 ? 2000 + v : 1900 + v;
        break;
    case 'm':
        r->month = v;
        break;
    case 'd':
    case 'e':
        r->day = v;
        break;
    case 'j':
        r->of_year = v;
        break;
    case 'H':
    case 'I':
        r->m.hour = v;
        r->m.has_time = true;
        r->m.groups = r->m.groups > 2 ? r->m.groups : 2;
        break;
    case 'M':
        r->m.minute = (int)v;
        r->m.has_time = true;
        break;
    default:
        r->m.second = (double)v;
        r->m.groups = 3;
    }
}

static const char *fraction(const char *p, reading *r)
{
    double step = 0.1;
    for (; isdigit((unsigned char)*p); p++, step /= 10, r->m.fraction++)
        r->m.second += step * (*p - '0');
    return p;
}

/* Seconds or milliseconds since 1970. */
static const char *epoch(const char *p, reading *r)
{
    char text[40];
    size_t n = strspn(p, "0123456789.");
    if (n == 0 || n >= sizeof text)
        return NULL;
    memcpy(text, p, n);
    text[n] = '\0';
    return nr_parse_double(text, &r->epoch_s) ? p + n : NULL;
}

/* Before %M or %S glued to it, hours may have lost their zeros: 905 is 09:05. */
static int glued_figures(const char *p, const char *pattern)
{
    int there = 0, follow = 0;
    while (isdigit((unsigned char)p[there]))
        there++;
    for (const char *f = pattern; f[0] == '%' && (f[1] == 'M' || f[1] == 'S'); f += 2)
        follow += 2;
    int left = there - follow;
    return follow == 0 ? 2 : left < 0 ? 0 : left > 2 ? 2 : left;
}

static const char *number(const char *p, char letter, const char *pattern, reading *r)
{
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        if (numbers[i].letter != letter)
            continue;
        long v;
        int n, most = numbers[i].most;
        bool glued_hour = letter == 'H' && pattern[0] == '%' && pattern[1] == 'M';
        if (glued_hour)
            most = glued_figures(p, pattern);
        const char *q = nr_moment_figures(p, most, &v, &n);
        if ((n == 0 && !glued_hour) || v < numbers[i].low || v > numbers[i].high)
            return NULL;
        keep(r, letter, v);
        if (letter == 'S' && (*q == '.' || *q == ',') && isdigit((unsigned char)q[1]) &&
            pattern[0] != *q)
            q = fraction(q + 1, r);
        return q;
    }
    return NULL;
}

static const char *one(const char *p, char letter, const char *pattern, reading *r)
{
    const char *q = p;
    int month;
    switch (letter) {
    case 'b':
    case 'B':
    case 'h':
        month = nr_moment_month(&q);
        r->month = month;
        return month ? q : NULL;
    case 'a':
    case 'A':
        q = nr_moment_weekday(p);
        while (q > p && strchr(" ,.", q[-1]))
            q--; /* the pattern has those itself */
        return q > p ? q : NULL;
    case 'p':
    case 'P':
        q = nr_moment_half(p, &r->m.half);
        return q > p ? q : NULL;
    case 'z':
    case 'Z':
        q = nr_moment_zone(p, &r->m);
        return r->m.has_offset ? q : NULL;
    case 'f':
    case 'L':
        q = fraction(p, r);
        return q > p ? q : NULL;
    case 's':
        return epoch(p, r);
    case '%':
        return *p == '%' ? p + 1 : NULL;
    default:
        return number(p, letter, pattern, r);
    }
}

static const char *match(const char *p, const char *pattern, reading *r)
{
    while (*pattern && p) {
        if (isspace((unsigned char)*pattern)) {
            pattern++;
            p += strspn(p, " ");
            continue;
        }
        if (*pattern != '%' || !pattern[1]) {
            char c = (char)tolower((unsigned char)*pattern++);
            p = *p == c ? p + 1 : NULL;
            continue;
        }
        char letter = pattern[1];
        pattern += 2;
        const char *longer = NULL;
        for (size_t i = 0; i < sizeof shorthands / sizeof *shorthands; i++)
            if (shorthands[i].letter == letter)
                longer = shorthands[i].stands_for;
        p = longer ? match(p, longer, r) : one(p, letter, pattern, r);
    }
    return p;
}

/* Date from what was found; false: there is none on the calendar. */
static bool finish(reading *r, nr_moment *out)
{
    nr_moment *m = &r->m;
    if (isfinite(r->epoch_s)) {
        double days = floor(r->epoch_s / 86400);
        if (!(r->epoch_s >= 0) || days > 80000)
            return false;
        m->has_date = m->sure = m->has_time = m->has_offset = true;
        m->year = 1970, m->month = 1, m->day = 1;
        m->days = (long)days;
        m->second = r->epoch_s - days * 86400;
        m->hour = m->minute = 0;
        m->groups = 3;
    } else if (r->of_year > 0 && r->year > 0) {
        m->has_date = m->sure = true;
        m->year = (int)r->year, m->month = 1, m->day = 1;
        m->days = r->of_year - 1;
        if (r->of_year == 366 && !nr_date_exists(m->year, 2, 29))
            return false;
    } else if (r->year > 0 && r->month > 0 && r->day > 0) {
        m->has_date = m->sure = true;
        m->year = (int)r->year, m->month = (int)r->month, m->day = (int)r->day;
        if (!nr_date_exists(m->year, m->month, m->day))
            return false;
    } else if (r->year > 0 || r->month > 0 || r->day > 0 || r->of_year > 0) {
        return false;
    }
    *out = *m;
    return (m->has_date || m->has_time) && isfinite(nr_moment_time_s(m));
}

bool nr_moment_by(const char *cell, const char *pattern, nr_moment *out)
{
    char room[LONGEST], folded[LONGEST];
    reading r = {.epoch_s = NAN};
    *out = (nr_moment){0};
    if (strlen(cell) >= LONGEST / 2 || strlen(pattern) >= LONGEST / 2)
        return false;
    nr_fold(cell, room, sizeof room);
    nr_small(room);
    nr_fold(pattern, folded, sizeof folded);
    const char *end = match(nr_trim(room), nr_trim(folded), &r);
    return end && end[strspn(end, " ")] == '\0' && finish(&r, out);
}
