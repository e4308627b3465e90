/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A whole run in a few hundred points, however long it is: what a curve is drawn from.
 *
 * Readings are averaged over spans of equal length. When there is no room for another span, every
 * two become one. The last span is still filling.
 */
#ifndef NR_WATCH_HISTORY_H
#define NR_WATCH_HISTORY_H

#include "logger/run/rig.h"

#define NR_HISTORY_POINTS 480

typedef struct nr_history {
    double span_s; /* 0: nothing yet */
    size_t count;  /* spans, empty ones (a gap) included */
    unsigned taken[NR_RIG_CHANNELS][NR_HISTORY_POINTS];
    double sum[NR_RIG_CHANNELS][NR_HISTORY_POINTS];
} nr_history;

void nr_history_begin(nr_history *history);

/* time_s >= 0; value NAN is no reading. */
void nr_history_take(nr_history *history, size_t channel, double time_s, double value);

/* Middle of a span; and the mean in it, NAN when it holds no reading. */
double nr_history_time_s(const nr_history *history, size_t point);
double nr_history_value(const nr_history *history, size_t channel, size_t point);

#endif
