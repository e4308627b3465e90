/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bytes to lines.
 *
 * Knows no port and no clock: the caller feeds what arrived and gets whole lines back. What may
 * arrive: half a line after opening, NULs and noise from a wrong baud rate, a line that never
 * ends. None of it stops the stream: what is dropped is counted, and the next line end puts
 * everything right.
 *
 * A line ends at LF, CR or CR LF. Empty lines are skipped. No byte is taken out of a line: one with
 * a NUL in it is handed on as it is, for fields.h to refuse ("1<NUL>.25" is not 1.25).
 */
#ifndef NR_WIRE_LINES_H
#define NR_WIRE_LINES_H

#include <stdbool.h>
#include <stddef.h>

/* 48 channels of "name@unit:register:type=-123.4567," fit; whatever is longer is no reading. */
#define NR_LINE_MAX 2000

typedef struct nr_wire_line {
    const char *text; /* not terminated; valid only during the call */
    size_t length;
    bool first; /* the first since start or nr_lines_restart: its beginning may be missing */
    bool cut;   /* over-long: only its first NR_LINE_MAX bytes are here, the rest was dropped */
    bool open;  /* given by nr_lines_restart: its end never came */
} nr_wire_line;

typedef void (*nr_wire_line_take)(void *context, const nr_wire_line *line);

typedef struct nr_lines {
    char text[NR_LINE_MAX];
    size_t length;
    bool first, cut;
    unsigned long bytes;    /* all that were fed */
    unsigned long lines;    /* handed on, except those with `open` set */
    unsigned long overlong; /* lines that were cut */
    unsigned long dropped;  /* bytes dropped: the rest of over-long lines */
} nr_lines;

void nr_lines_init(nr_lines *lines);

/* Calls take once for each line that the bytes complete, in order. */
void nr_lines_feed(nr_lines *lines, const char *bytes, size_t count, nr_wire_line_take take,
                   void *context);

/* The port was lost or opened again: what is pending goes out with `open` set (take may be NULL),
 * and the next line counts as a first one. The counters stay. */
void nr_lines_restart(nr_lines *lines, nr_wire_line_take take, void *context);

#endif
