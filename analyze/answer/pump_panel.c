/* Each start and stop of the pump lies between two rows, and so does the irradiance at it. The
 * median over the events is taken, because under the edge of a cloud the sun may fall by hundreds
 * of W/m2 between two rows. */
#include "analyze/answer/pump_panel.h"

#include <math.h>
#include <stdlib.h>

#define MOST_EVENTS 256
/* A pump that stops in more than this share of the usual sun was switched off, not starved. */
#define STARVED 0.75
/* Rows further apart than this say nothing about the sun between them. */
#define LONGEST_STEP_S 30.0
/* Standard deviation of a median of n normal values, times sqrt(n): sqrt(pi/2). */
#define MEDIAN_U 1.2533141373155003

typedef struct events {
    size_t count;
    double sun[MOST_EVENTS], width[MOST_EVENTS];
} events;

static void add(events *e, double before, double after)
{
    if (e->count == MOST_EVENTS || isnan(before + after))
        return;
    e->sun[e->count] = (before + after) / 2;
    e->width[e->count++] = fabs(after - before);
}

static void collect(const nr_series *s, events *starts, events *stops)
{
    const nr_quality *q = s->quality;
    const double *t = s->run->readings->elapsed_s;
    for (size_t i = 1; q->pump && i < q->rows; i++) {
        if (q->pump[i] == q->pump[i - 1] || q->pump[i] == NR_PUMP_IS_UNKNOWN ||
            q->pump[i - 1] == NR_PUMP_IS_UNKNOWN || t[i] - t[i - 1] > LONGEST_STEP_S)
            continue;
        add(q->pump[i] == NR_PUMP_IS_ON ? starts : stops, nr_quality_value(q, NR_ROLE_SUN, i - 1),
            nr_quality_value(q, NR_ROLE_SUN, i));
    }
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *v, size_t n)
{
    qsort(v, n, sizeof *v, by_value);
    return n % 2 ? v[n / 2] : (v[n / 2 - 1] + v[n / 2]) / 2;
}

static nr_pump_threshold threshold(events *e)
{
    nr_pump_threshold t = {.events = e->count, .W_m2 = nr_quantity_unknown("W/m2")};
    if (e->count == 0)
        return t;
    double middle = median(e->sun, e->count), away[MOST_EVENTS];
    for (size_t i = 0; i < e->count; i++)
        away[i] = fabs(e->sun[i] - middle);
    /* 1.4826 times the median deviation is the standard deviation of normal values. */
    double spread = 1.4826 * median(away, e->count) * MEDIAN_U / sqrt((double)e->count);
    double between = median(e->width, e->count) / sqrt(12.0);
    t.W_m2 = nr_quantity_make(middle, hypot(spread, between), 0, INFINITY, "W/m2");
    return t;
}

void nr_pump_panel(nr_series *const *series, size_t runs, nr_pump *p)
{
    events *starts = calloc(1, sizeof *starts), *stops = calloc(1, sizeof *stops);
    double sun = 0;
    for (size_t r = 0; starts && stops && r < runs; r++) {
        collect(series[r], starts, stops);
        sun = fmax(sun, isnan(series[r]->mean_sun_W_m2) ? 0 : series[r]->mean_sun_W_m2);
    }
    p->start = p->stall = (nr_pump_threshold){.W_m2 = nr_quantity_unknown("W/m2")};
    if (starts && stops) {
        p->start = threshold(starts);
        p->stall = threshold(stops);
    }
    p->panel_driven = p->stall.events > 0 && p->stall.W_m2.value < STARVED * sun;
    free(starts);
    free(stops);
}
