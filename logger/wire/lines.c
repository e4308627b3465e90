/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/wire/lines.h"

#include <string.h>

void nr_lines_init(nr_lines *lines)
{
    memset(lines, 0, sizeof *lines);
    lines->first = true;
}

static void finish(nr_lines *lines, bool open, nr_wire_line_take take, void *context)
{
    if (lines->length > 0 && take) {
        nr_wire_line line = {.text = lines->text,
                             .length = lines->length,
                             .first = lines->first,
                             .cut = lines->cut,
                             .open = open};
        take(context, &line);
    }
    if (lines->length > 0 && !open)
        lines->lines++;
    if (lines->cut)
        lines->overlong++;
    /* A line end is a line end even when nothing stood before it: what follows is whole. */
    lines->first = false;
    lines->length = 0;
    lines->cut = false;
}

void nr_lines_feed(nr_lines *lines, const char *bytes, size_t count, nr_wire_line_take take,
                   void *context)
{
    lines->bytes += count;
    for (size_t i = 0; i < count; i++) {
        char c = bytes[i];
        if (c == '\n' || c == '\r') {
            finish(lines, false, take, context);
        } else if (lines->length == NR_LINE_MAX) {
            lines->cut = true;
            lines->dropped++;
        } else {
            lines->text[lines->length++] = c;
        }
    }
}

void nr_lines_restart(nr_lines *lines, nr_wire_line_take take, void *context)
{
    finish(lines, true, take, context);
    lines->first = true;
}
