/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/watch/history.h"

#include <math.h>
#include <string.h>

#define FIRST_SPAN_S 1.0

void nr_history_begin(nr_history *h)
{
    memset(h, 0, sizeof *h);
    h->span_s = FIRST_SPAN_S;
}

/* Every two spans become one of twice the length. */
static void halve(nr_history *h)
{
    for (size_t c = 0; c < NR_RIG_CHANNELS; c++)
        for (size_t i = 0; i < NR_HISTORY_POINTS; i++) {
            unsigned taken = 0;
            double sum = 0.0;
            for (size_t k = 2 * i; k < 2 * i + 2 && k < NR_HISTORY_POINTS; k++) {
                taken += h->taken[c][k];
                sum += h->sum[c][k];
            }
            h->taken[c][i] = taken;
            h->sum[c][i] = sum;
        }
    h->count = (h->count + 1) / 2;
    h->span_s *= 2.0;
}

void nr_history_take(nr_history *h, size_t channel, double time_s, double value)
{
    if (!(time_s >= 0.0) || isnan(value) || channel >= NR_RIG_CHANNELS)
        return;
    if (h->span_s <= 0.0)
        nr_history_begin(h);
    while (time_s / h->span_s >= NR_HISTORY_POINTS)
        halve(h);
    size_t at = (size_t)(time_s / h->span_s);
    h->taken[channel][at]++;
    h->sum[channel][at] += value;
    if (at >= h->count)
        h->count = at + 1;
}

double nr_history_time_s(const nr_history *h, size_t point)
{
    return ((double)point + 0.5) * h->span_s;
}

double nr_history_value(const nr_history *h, size_t channel, size_t point)
{
    unsigned n = h->taken[channel][point];
    return n > 0 ? h->sum[channel][point] / n : NAN;
}
