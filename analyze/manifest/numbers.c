/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/manifest/numbers.h"

#include "logger/base/text.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

static bool is_word(char c)
{
    return isalnum((unsigned char)c) || c == '_' || (unsigned char)c >= 0x80;
}

/* Length of the number that begins at p, 0: none. `before`: the character in front of it. */
static size_t number_at(const char *p, char before)
{
    const char *q = p;
    if (is_word(before) || before == '.')
        return 0;
    if (*q == '-' || *q == '+')
        q++;
    const char *digits = q;
    while (isdigit((unsigned char)*q))
        q++;
    if (*q == '.' && isdigit((unsigned char)q[1]))
        for (q++; isdigit((unsigned char)*q); q++)
            continue;
    if (q == digits)
        return 0;
    if (*q == 'e' || *q == 'E') {
        const char *e = q + 1;
        e += *e == '-' || *e == '+';
        if (isdigit((unsigned char)*e))
            for (q = e; isdigit((unsigned char)*q); q++)
                continue;
    }
    return (size_t)(q - p);
}

static void keep(nr_numbers *out, const char *text, const char *at, const char *was,
                 size_t was_length, const char *now, size_t now_length)
{
    if (out->kept == NR_DIFFERENCES)
        return;
    nr_number_difference *d = &out->difference[out->kept++];
    const char *line = text;
    d->line = 1;
    for (const char *p = text; p < at; p++)
        if (*p == '\n') {
            d->line++;
            line = p + 1;
        }
    nr_clean(d->words, sizeof d->words, line, strcspn(line, "\n"));
    nr_clean(d->was, sizeof d->was, was, was_length);
    nr_clean(d->now, sizeof d->now, now, now_length);
}

void nr_numbers_compare(const char *was, const char *now, nr_numbers *out)
{
    const char *a = was, *b = now;
    *out = (nr_numbers){0};
    while (*a || *b) {
        char before = a > was ? a[-1] : ' ', before_now = b > now ? b[-1] : ' ';
        size_t n = number_at(a, before), m = number_at(b, before_now);
        if (n && m) {
            out->numbers++;
            if (n != m || strncmp(a, b, n)) {
                out->different++;
                keep(out, was, a, a, n, b, m);
            }
            a += n;
            b += m;
        } else if (*a == *b && !n && !m) {
            a++;
            b++;
        } else if ((isspace((unsigned char)*a) || isspace((unsigned char)*b)) && a > was &&
                   b > now) {
            /* Columns and lines move with the width of a number. */
            a += strspn(a, " \n");
            b += strspn(b, " \n");
            if (*a != *b && !(number_at(a, ' ') && number_at(b, ' ')))
                break;
        } else {
            break;
        }
    }
    if (*a || *b) {
        out->words = true;
        if (out->kept == NR_DIFFERENCES)
            out->kept--;
        keep(out, was, a, a, strcspn(a, "\n"), b, strcspn(b, "\n"));
    }
}
