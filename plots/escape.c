/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/escape.h"

#include "logger/base/paragraph.h"
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
    size_t cut = nr_columns_fit(clean, (int)columns);
    if (clean[cut] == '\0' || columns == 0) {
        (void)nr_copy(to, size, columns == 0 ? "" : clean);
        return to;
    }
    cut = nr_columns_fit(clean, (int)columns - 1); /* one makes room for the ellipsis */
    (void)snprintf(to, size, "%.*s\u2026", (int)cut, clean);
    return to;
}

size_t nr_gp_letters(const char *text)
{
    return (size_t)nr_columns(text, strlen(text));
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
    return (size_t)nr_columns(text, same);
}

/* The byte where so many columns end. */
static size_t byte_of(const char *text, size_t columns)
{
    return nr_columns_fit(text, (int)columns);
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
    size_t from = 0;
    if (nr_gp_letters(clean) <= columns) {
        (void)nr_copy(to, size, clean);
        return to;
    }
    /* One column makes room for the ellipsis. */
    while (clean[from] != '\0' && nr_gp_letters(clean + from) + 1 > columns)
        do
            from++;
        while (((unsigned char)clean[from] & 0xC0) == 0x80);
    (void)snprintf(to, size, "\u2026%s", clean + from);
    return to;
}
