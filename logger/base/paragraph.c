/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/paragraph.h"

#include "logger/base/text.h"

#include <limits.h>
#include <locale.h>
#include <stdarg.h>
#include <stdbool.h>
#include <string.h>
#include <wchar.h>

#define TEXT 2048

static size_t ascii_length(const char *text, size_t bytes)
{
    size_t i = 0;
    while (i < bytes && (unsigned char)text[i] < 0x80)
        i++;
    return i;
}

/* Bytes of the text that take at most so many columns, with the columns they take. */
static size_t measure(const char *text, size_t bytes, int most, int *columns)
{
    mbstate_t state = {0};
    size_t at = 0;
    *columns = 0;
    while (at < bytes) {
        wchar_t c;
        size_t length = mbrtowc(&c, text + at, bytes - at, &state);
        bool whole = length > 0 && length <= bytes - at;
        int wide = whole ? wcwidth(c) : 1;
        wide = wide < 0 ? 1 : wide;
        if (*columns + wide > most)
            break;
        *columns += wide;
        at += whole ? length : 1;
        if (!whole)
            state = (mbstate_t){0};
    }
    return at;
}

/* The same where the C library knows no UTF-8: every character counts one. */
static size_t count(const char *text, size_t bytes, int most, int *columns)
{
    size_t at = 0;
    *columns = 0;
    for (; at < bytes; at++) {
        bool begins = ((unsigned char)text[at] & 0xC0) != 0x80;
        if (begins && *columns == most)
            break;
        *columns += begins;
    }
    return at;
}

/* The C library knows widths in a UTF-8 locale only, whatever the user's is; C.UTF-8 is in every
 * Debian. */
static size_t fit(const char *text, size_t bytes, int most, int *columns)
{
    size_t plain = ascii_length(text, bytes);
    if (plain == bytes) {
        *columns = plain < (size_t)most ? (int)plain : most;
        return (size_t)*columns;
    }
    locale_t utf8 = newlocale(LC_CTYPE_MASK, "C.UTF-8", (locale_t)0);
    if (utf8 == (locale_t)0)
        return count(text, bytes, most, columns);
    locale_t before = uselocale(utf8);
    size_t taken = measure(text, bytes, most, columns);
    uselocale(before);
    freelocale(utf8);
    return taken;
}

int nr_columns(const char *text, size_t bytes)
{
    int columns;
    (void)fit(text, bytes, INT_MAX, &columns);
    return columns;
}

size_t nr_columns_fit(const char *text, int columns)
{
    int taken;
    return fit(text, strlen(text), columns > 0 ? columns : 0, &taken);
}

void nr_paragraph(FILE *to, const char *first, const char *text)
{
    char clean[TEXT];
    nr_clean(clean, sizeof clean, text, strlen(text));
    if (clean[0] == '\0')
        return;
    int indent = nr_columns(first, strlen(first)), column = indent;
    fputs(first, to);
    bool fresh = true;
    for (const char *p = clean; *p != '\0';) {
        p += strspn(p, " ");
        size_t length = strcspn(p, " ");
        if (length == 0)
            break;
        int wide = nr_columns(p, length);
        if (!fresh && column + 1 + wide > NR_LINE_WIDTH) {
            fprintf(to, "\n%*s", indent, "");
            column = indent;
            fresh = true;
        }
        fprintf(to, "%s%.*s", fresh ? "" : " ", (int)length, p);
        column += wide + (fresh ? 0 : 1);
        fresh = false;
        p += length;
    }
    fputc('\n', to);
}

void nr_paragraph_of(FILE *to, const char *first, const char *format, ...)
{
    char text[TEXT];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    nr_paragraph(to, first, text);
}
