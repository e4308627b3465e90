/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each start and stop brackets the threshold. A pump that has lost its sun coasts for seconds while
 * the cloud goes on closing: the threshold lies above the irradiance at which the flow was gone and
 * below that at which it had not begun to collapse. Likewise for a start. What all brackets have in
 * common is the answer; where they contradict each other (a threshold moves with the panel's
 * temperature and the water's), their contradiction is its uncertainty. */
#include "analyze/fit/panel_pump.h"

#include <math.h>
#include <stdlib.h>

#define MOST_EVENTS 256
/* A pump that stops in more than this share of the usual sun was switched off, not starved. */
#define STARVED 0.75
/* Rows further apart than this say nothing about the sun between them. */
#define LONGEST_STEP_S 30.0
/* A pump is at rest this long after it lost its supply. */
#define COAST_S 40.0
/* Flow that falls below HOLDS of what it was COLLAPSE_S before is collapsing: clouds alone are
 * slower. */
#define COLLAPSE_S 3.0
#define HOLDS 0.75
/* Flow below this share of the usual is a meter's noise about zero. */
#define STANDS 0.06
/* No pyranometer in the plane of a panel tells its irradiance better. */
#define LEAST_U_W_M2 5.0

typedef struct events {
    size_t count;
    double low[MOST_EVENTS], high[MOST_EVENTS]; /* brackets, W/m2 */
} events;

static void add(events *e, double a, double b)
{
    if (e->count == MOST_EVENTS || isnan(a + b))
        return;
    e->low[e->count] = fmin(a, b);
    e->high[e->count++] = fmax(a, b);
}

/* The last row before a stop at `off` in which the flow still held: since a few seconds before it
 * had not collapsed. */
static size_t still_holding(const nr_quality *q, nr_cursor *t, size_t off)
{
    double off_s = nr_at(t, off);
    size_t i = off - 1;
    for (; i > 0 && off_s - nr_at(t, i) < COAST_S; i--) {
        size_t before = i - 1;
        while (before > 0 && nr_at(t, i) - nr_at(t, before) < COLLAPSE_S)
            before--;
        if (nr_quality_value(q, NR_ROLE_FLOW, i) >=
            HOLDS * nr_quality_value(q, NR_ROLE_FLOW, before))
            break;
    }
    return i;
}

/* The last row before a start at `on` without flow. */
static size_t still_standing(const nr_quality *q, nr_cursor *t, size_t on)
{
    double on_s = nr_at(t, on);
    size_t i = on - 1;
    while (i > 0 && on_s - nr_at(t, i) < COAST_S &&
           nr_quality_value(q, NR_ROLE_FLOW, i) > STANDS * q->pump_typical)
        i--;
    return i;
}

static void collect(const nr_series *s, events *starts, events *stops)
{
    const nr_quality *q = s->quality;
    nr_cursor t;
    nr_cursor_begin(&t, &q->elapsed_s);
    bool flow = q->pump_source == NR_PUMP_FROM_FLOW;
    for (size_t i = 1; q->pump && i < q->rows; i++) {
        if (q->pump[i] == q->pump[i - 1] || q->pump[i] == NR_PUMP_IS_UNKNOWN ||
            q->pump[i - 1] == NR_PUMP_IS_UNKNOWN ||
            nr_at(&t, i) - nr_at(&t, i - 1) > LONGEST_STEP_S)
            continue;
        bool on = q->pump[i] == NR_PUMP_IS_ON;
        size_t last = !flow ? i - 1 : on ? still_standing(q, &t, i) : still_holding(q, &t, i);
        add(on ? starts : stops, nr_quality_value(q, NR_ROLE_SUN, last),
            nr_quality_value(q, NR_ROLE_SUN, i));
    }
}

static nr_pump_threshold threshold(const events *e)
{
    nr_pump_threshold t = {.events = e->count, .W_m2 = nr_quantity_unknown(NR_UNIT_W_M2)};
    if (e->count == 0)
        return t;
    double low = -INFINITY, high = INFINITY;
    for (size_t i = 0; i < e->count; i++) {
        low = fmax(low, e->low[i]);
        high = fmin(high, e->high[i]);
    }
    /* Equally likely anywhere between (JCGM 100, 4.3.7); crossed brackets likewise. */
    double u = hypot(fabs(high - low) / sqrt(12.0), LEAST_U_W_M2);
    t.W_m2 = nr_quantity_make((low + high) / 2, u, 0, INFINITY, NR_UNIT_W_M2);
    return t;
}

nr_code nr_panel_pump_find(nr_series *const *series, size_t runs, nr_panel_pump *out, nr_err *err)
{
    events *starts = calloc(1, sizeof *starts), *stops = calloc(1, sizeof *stops);
    double sun = 0;
    nr_code code = NR_OK;
    if (!starts || !stops)
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t r = 0; !code && r < runs; r++) {
        collect(series[r], starts, stops);
        sun = fmax(sun, isnan(series[r]->mean_sun_W_m2) ? 0 : series[r]->mean_sun_W_m2);
    }
    if (!code) {
        *out = (nr_panel_pump){.start = threshold(starts), .stall = threshold(stops)};
        out->driven = out->stall.events > 0 && out->stall.W_m2.value < STARVED * sun;
    }
    free(starts);
    free(stops);
    return code;
}
