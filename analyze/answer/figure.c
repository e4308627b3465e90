/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/figure.h"

#include "logger/base/text.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

const char *nr_figure(char room[NR_FIGURE_ROOM], const char *format, double value)
{
    char read[24];
    if (!isfinite(value)) {
        (void)snprintf(room, NR_FIGURE_ROOM, "?");
        return room;
    }
    (void)snprintf(read, sizeof read, format, value);
    /* A small loss is no "-0". */
    const char *shown = read[0] == '-' && read[strspn(read, "-0.")] == '\0' ? read + 1 : read;
    (void)snprintf(room, NR_FIGURE_ROOM, "%c%s|%.17g%c%s", NR_FIGURE_OPEN, format, value,
                   NR_FIGURE_READ, shown);
    return room;
}

/* "%+.3g|": what of it matters for another unit. */
static const char *read_format(const char *p, nr_figure_mark *mark)
{
    if (*p++ != '%')
        return NULL;
    mark->plus = *p == '+';
    p += mark->plus;
    if (p[0] != '.' || !isdigit((unsigned char)p[1]))
        return NULL;
    mark->digits = p[1] - '0';
    p += 2;
    if (*p != 'f' && *p != 'g')
        return NULL;
    mark->significant = *p == 'g';
    return p[1] == '|' ? p + 2 : NULL;
}

bool nr_figure_at(const char *text, nr_figure_mark *mark)
{
    char number[32];
    if (text[0] != NR_FIGURE_OPEN)
        return false;
    const char *p = read_format(text + 1, mark);
    const char *end = p != NULL ? strchr(p, NR_FIGURE_READ) : NULL;
    if (end == NULL || (size_t)(end - p) >= sizeof number)
        return false;
    memcpy(number, p, (size_t)(end - p));
    number[end - p] = '\0';
    mark->read = end + 1;
    return nr_parse_double(number, &mark->value);
}

void nr_figure_strip(char *to, size_t size, const char *text)
{
    size_t used = 0;
    if (size == 0)
        return;
    for (const char *p = text; *p != '\0' && used + 1 < size;) {
        if (*p != NR_FIGURE_OPEN) {
            to[used++] = *p++;
            continue;
        }
        nr_figure_mark mark;
        if (nr_figure_at(p, &mark))
            p = mark.read;
        else if (p[1] == '%' ||
                 p[1] == '\0') /* cut off by a too small buffer: it takes the rest with it */
            break;
        else
            to[used++] = *p++;
    }
    to[used] = '\0';
}
