/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the view: words and numbers on one side, the canvas on the other. */
#ifndef NR_WATCH_VIEW_WORDS_H
#define NR_WATCH_VIEW_WORDS_H

#include "logger/watch/view.h"

#define NR_VIEW_WORDS 200

/* --- view_words.c: what is said ------------------------------------------------------------- */

typedef struct nr_view_words {
    char water[24];                 /* "38.4", or "-" */
    char unit[8];                   /* "°C" */
    char rate[NR_VIEW_WORDS];       /* "+0.42 °C a minute (0.38 to 0.46)" */
    char heat[NR_VIEW_WORDS];       /* "+571 W (+560 to +582)"; "" not known */
    char course[NR_VIEW_WORDS];     /* "▁▂▄▅▇ 15.0 to 31.8 °C"; "" before there is one */
    char efficiency[NR_VIEW_WORDS]; /* "62 % of the sun so far in the water ..."; "" not told */
    char stop[NR_VIEW_WORDS];       /* "if you stop now: ..." or why not; "" not told */
    char target[NR_VIEW_WORDS];     /* "" without a target */
    char sun[NR_VIEW_WORDS];        /* "" without a sun channel */
    char pump[NR_VIEW_WORDS];       /* "" when nothing is known of it */
    char state[NR_VIEW_WORDS];      /* "recording 0:42:10" */
    char warning[2 * NR_VIEW_WORDS]; /* scald; "" */
    bool state_strange;              /* the state wants attention */
} nr_view_words;

void nr_view_say(const nr_tail *tail, const nr_view_options *options, nr_view_words *out);

/* --- view_builds.c: several collectors ------------------------------------------------------ */

/* A column each: water, rate, heat and time to the target, and who leads. Returns the lines, at
 * most `most`. */
size_t nr_view_builds(nr_tail *tail, const nr_view_options *options, int columns,
                      nr_view_line *line, size_t most);

/* --- what both need ------------------------------------------------------------------------- */

/* A reading in the channel's shown unit. */
double nr_view_shown(const nr_tail_channel *channel, bool us, double value);

/* "38.4" in the channel's shown unit; "-" for NAN. */
void nr_view_number(const nr_tail_channel *channel, bool fahrenheit, double value, char *out,
                    size_t size);

/* "0:42:10" */
void nr_view_clock(double seconds, char *out, size_t size);

/* "3 min", "45 s", "2 h 5 min" */
void nr_view_ago(double seconds, char *out, size_t size);

/* What is the matter with a channel; "" when nothing. */
void nr_view_remark(const nr_tail *tail, const nr_tail_channel *channel, char *out, size_t size);

/* The unit's label as shown. */
const char *nr_view_label(const nr_tail_channel *channel, const nr_view_options *options);

#endif
