/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/adapter_log.h"

#include "logger/base/text.h"
#include "logger/base/utc.h"

#include <stddef.h>
#include <stdio.h>
#include <string.h>

static size_t escape(const nr_wire_line *line, char *to)
{
    static const char hex[] = "0123456789ABCDEF";
    size_t n = 0;
    for (size_t i = 0; i < line->length; i++) {
        unsigned char c = (unsigned char)line->text[i];
        if (c == '\\') {
            to[n++] = '\\';
            to[n++] = '\\';
        } else if (c >= 0x20 && c < 0x7f) {
            to[n++] = (char)c;
        } else {
            to[n++] = '\\';
            to[n++] = 'x';
            to[n++] = hex[c >> 4];
            to[n++] = hex[c & 15];
        }
    }
    return n;
}

size_t nr_adapter_log_row(double utc_s, double elapsed_s, const char *adapter,
                          const nr_wire_line *line, char *out, size_t size)
{
    char utc[NR_UTC_SIZE];
    if (size < NR_ADAPTER_LOG_ROW)
        return 0;
    nr_utc_format(utc_s, utc);
    size_t n = (size_t)snprintf(out, 96 + NR_NAME, "%s\t%.3f\t%s\t", utc, elapsed_s,
                                *adapter ? adapter : "-");
    n += escape(line, out + n);
    const struct {
        bool set;
        char mark;
    } marks[] = {{line->first, '^'}, {line->cut, '+'}, {line->open, '-'}};
    for (size_t i = 0; i < sizeof marks / sizeof marks[0]; i++) {
        if (!marks[i].set)
            continue;
        out[n++] = '\\';
        out[n++] = marks[i].mark;
    }
    out[n++] = '\n';
    return n;
}

static int hex_digit(char c)
{
    const char *digits = "0123456789ABCDEF";
    const char *at = c ? strchr(digits, c) : NULL;
    return at ? (int)(at - digits) : -1;
}

/* One escape starting at p[0] == '\\' with `left` bytes from there. Returns its length, 0 when
 * it is none. */
static size_t unescape_one(const char *p, size_t left, nr_logged *out, char *byte, bool *is_byte)
{
    *is_byte = true;
    if (left >= 2 && p[1] == '\\') {
        *byte = '\\';
        return 2;
    }
    if (left >= 4 && p[1] == 'x') {
        int high = hex_digit(p[2]), low = hex_digit(p[3]);
        *byte = (char)(high * 16 + low);
        return high < 0 || low < 0 ? 0 : 4;
    }
    *is_byte = false;
    if (left >= 2 && p[1] == '^')
        out->line.first = true;
    else if (left >= 2 && p[1] == '+')
        out->line.cut = true;
    else if (left >= 2 && p[1] == '-')
        out->line.open = true;
    else
        return 0;
    return 2;
}

static bool unescape(const char *p, size_t length, nr_logged *out)
{
    size_t n = 0;
    bool marked = false;
    for (size_t i = 0; i < length;) {
        char byte = p[i];
        bool is_byte = true;
        size_t used = 1;
        if (byte == '\\')
            used = unescape_one(p + i, length - i, out, &byte, &is_byte);
        else if ((unsigned char)byte < 0x20 && byte != '\t')
            return false; /* we write those as \xHH: this is damage */
        marked = marked || !is_byte;
        if (used == 0 || (is_byte && (marked || n == sizeof out->text)))
            return false;
        if (is_byte)
            out->text[n++] = byte;
        i += used;
    }
    out->line.text = out->text;
    out->line.length = n;
    return n > 0;
}

/* Copies the column that ends at the next tab and moves *p behind it. */
static bool take_column(const char **p, const char *end, char *to, size_t size)
{
    const char *tab = memchr(*p, '\t', (size_t)(end - *p));
    if (!tab || (size_t)(tab - *p) >= size)
        return false;
    memcpy(to, *p, (size_t)(tab - *p));
    to[tab - *p] = '\0';
    *p = tab + 1;
    return true;
}

bool nr_adapter_log_parse(const char *row, size_t length, nr_logged *out)
{
    char column[NR_UTC_SIZE];
    const char *end = row + length;
    memset(out, 0, offsetof(nr_logged, text));
    if (length > 0 && row[0] == '#') {
        size_t marker = sizeof NR_ADAPTER_LOG_RESUME - 2; /* without line end and NUL */
        out->resume = length == marker && memcmp(row, NR_ADAPTER_LOG_RESUME, marker) == 0;
        return out->resume;
    }
    if (!take_column(&row, end, column, sizeof column) || !nr_utc_parse(column, &out->utc_s) ||
        !take_column(&row, end, column, sizeof column) ||
        !nr_parse_double(column, &out->elapsed_s) ||
        !take_column(&row, end, out->adapter, sizeof out->adapter))
        return false;
    if (strcmp(out->adapter, "-") == 0)
        out->adapter[0] = '\0';
    return unescape(row, (size_t)(end - row), out);
}
