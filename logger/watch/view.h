/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The live view as lines of text. Pure: no terminal, no clock, no file.
 *
 * The few numbers that matter come first and large: water temperature, change a minute, heat,
 * minutes to the target; then how it went so far and what noonfit makes of it, the channels as a
 * table, then the last notes. States are words. A small terminal gets fewer lines and columns,
 * never broken ones.
 */
#ifndef NR_WATCH_VIEW_H
#define NR_WATCH_VIEW_H

#include "logger/ask/interim.h"
#include "logger/watch/pump_seen.h"
#include "logger/watch/tail.h"
#include "logger/watch/trend.h"

#define NR_VIEW_LINES 100
#define NR_VIEW_COLUMNS 160
#define NR_VIEW_BYTES (4 * NR_VIEW_COLUMNS + 1)

typedef enum nr_view_style { NR_STYLE_PLAIN, NR_STYLE_STRONG, NR_STYLE_WARNING } nr_view_style;

typedef struct nr_view_line {
    nr_view_style style; /* a warning also says so in words */
    char text[NR_VIEW_BYTES];
} nr_view_line;

typedef struct nr_view {
    size_t count; /* <= rows asked for */
    nr_view_line line[NR_VIEW_LINES];
} nr_view;

typedef struct nr_view_options {
    int columns, rows; /* of the terminal; cut to what the view can hold */
    bool fahrenheit;
    bool utf8;                 /* else plain ASCII */
    double target_degC;        /* NAN: none */
    bool leave_hint;           /* "q ends the view" at the bottom */
    const nr_interim *interim; /* what noonfit says of the run; NULL: it was not asked */
} nr_view_options;

/* Looks at the run's collectors one after the other, and at the first in the end. */
void nr_view_compose(nr_tail *tail, const nr_view_options *options, nr_view *out);

/* Columns a text takes: its code points. */
int nr_view_width(const char *text);

#endif
