/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/escape.h"

#include "logger/base/text.h"

#include <math.h>
#include <string.h>

static void quote(FILE *to, const char *text, bool tic)
{
    char clean[1024];
    nr_clean(clean, sizeof clean, text, strlen(text));
    fputc('\'', to);
    for (const char *p = clean; *p != '\0'; p++) {
        if (*p == '\'')
            fputs("\u2019", to); /* the typographer's apostrophe */
        else if (*p == '`')
            fputs("\u2018", to);
        else if (*p == '@')
            fputs("(at)", to);
        else if (*p == '%' && tic)
            fputs("%%", to);
        else
            fputc(*p, to);
    }
    fputc('\'', to);
}

void nr_gp_quote(FILE *to, const char *text)
{
    quote(to, text, false);
}

void nr_gp_quote_tic(FILE *to, const char *text)
{
    quote(to, text, true);
}

void nr_gp_number(FILE *to, double value)
{
    char text[64];
    if (!isfinite(value) || snprintf(text, sizeof text, "%.9g", value) <= 0) {
        fputs("NaN", to);
        return;
    }
    for (char *p = text; *p != '\0'; p++)
        if (*p == ',')
            *p = '.';
    fputs(text, to);
}

char *nr_gp_shorten(char *to, size_t size, const char *text, size_t columns)
{
    char clean[1024];
    nr_clean(clean, sizeof clean, text, strlen(text));
    size_t seen = 0, cut = 0, bytes = 0;
    for (; clean[bytes] != '\0'; bytes++) {
        bool begins = ((unsigned char)clean[bytes] & 0xC0) != 0x80;
        if (begins && seen + 1 == columns)
            cut = bytes; /* where the ellipsis would go */
        if (begins && seen == columns) {
            (void)snprintf(to, size, "%.*s\u2026", (int)cut, clean);
            return to;
        }
        seen += begins;
    }
    (void)nr_copy(to, size, clean);
    return to;
}

size_t nr_gp_letters(const char *text)
{
    size_t n = 0;
    for (; *text != '\0'; text++)
        n += ((unsigned char)*text & 0xC0) != 0x80;
    return n;
}

size_t nr_gp_differs_at(const char *text, const char *other)
{
    size_t same = 0;
    while (text[same] != '\0' && text[same] == other[same])
        same++;
    if (text[same] == other[same])
        return 0;
    /* Back to where the character that differs begins. */
    while (same > 0 && ((unsigned char)text[same] & 0xC0) == 0x80)
        same--;
    size_t n = 0;
    for (size_t i = 0; i < same; i++)
        n += ((unsigned char)text[i] & 0xC0) != 0x80;
    return n;
}

/* The byte where character n begins. */
static size_t byte_of(const char *text, size_t n)
{
    size_t i = 0;
    for (; text[i] != '\0'; i++)
        if (((unsigned char)text[i] & 0xC0) != 0x80 && n-- == 0)
            return i;
    return i;
}

char *nr_gp_shorten_apart(char *to, size_t size, const char *text, size_t columns, size_t at)
{
    char clean[1024], rest[1024];
    nr_clean(clean, sizeof clean, text, strlen(text));
    size_t all = nr_gp_letters(clean), head = columns / 3;
    /* What the plain cut keeps tells it already, or there is no room for two parts. */
    if (all <= columns || at + 2 < columns || columns < 6)
        return nr_gp_shorten(to, size, clean, columns);
    size_t tail = columns - head - 1, from = at < all - tail ? at - 1 : all - tail;
    (void)nr_gp_shorten(rest, sizeof rest, clean + byte_of(clean, from), tail);
    (void)snprintf(to, size, "%.*s\u2026%s", (int)byte_of(clean, head), clean, rest);
    return to;
}

char *nr_gp_shorten_front(char *to, size_t size, const char *text, size_t columns)
{
    char clean[1024];
    nr_clean(clean, sizeof clean, text, strlen(text));
    size_t length = strlen(clean), seen = 0, from = length;
    while (from > 0 && seen < columns)
        seen += ((unsigned char)clean[--from] & 0xC0) != 0x80;
    if (from == 0) {
        (void)nr_copy(to, size, clean);
        return to;
    }
    /* One character makes room for the ellipsis. */
    do
        from++;
    while (((unsigned char)clean[from] & 0xC0) == 0x80);
    (void)snprintf(to, size, "\u2026%s", clean + from);
    return to;
}
