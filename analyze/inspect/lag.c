/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Delays between channels, by cross-correlation, where the record is lively enough to show them.
 *
 * A straight heat-up has no features, and an offset then looks like a delay. So the rates of
 * change are correlated with their trend taken out, and a delay is only told when the correlation
 * is high and falls off clearly on both sides of its peak. */
#include "analyze/inspect/subjects.h"

#include <math.h>
#include <stdlib.h>

#define GRID_S 5.0
#define MOST_S 240.0     /* longest delay looked for */
#define LEAST_S 900.0    /* of lively record */
#define HIGH 0.7         /* correlation */
#define FALL 0.12        /* by how much it is lower ... */
#define ASIDE_S 60.0     /* ... this far from the peak */
#define DEAD_BAND_S 15.0 /* shorter delays are not worth a word */

/* The row after each step's last. */
static void row_ends(const nr_quality *q, size_t *end, size_t steps)
{
    nr_cursor busy;
    nr_cursor_begin(&busy, &q->busy_s);
    for (size_t k = 0, i = 0; k < steps; k++) {
        while (i < q->rows && nr_at(&busy, i) < GRID_S * (double)(k + 1))
            i++;
        end[k] = i;
    }
}

/* Means of a channel on the grid; holes of a step are bridged, longer ones NAN. */
static void on_grid(const nr_inspection *inspection, nr_role role, const size_t *end, size_t steps,
                    double *out)
{
    nr_good_rows rows;
    nr_good_begin(&rows, inspection->q);
    for (size_t k = 0, i = 0; k < steps; k++) {
        double sum = 0.0, n = 0.0;
        for (; i < end[k]; i++) {
            double v = nr_good_at(&rows, role, i);
            if (isnan(v) || inspection->q->pump[i] == NR_PUMP_IS_OFF)
                continue;
            sum += v;
            n += 1.0;
        }
        out[k] = sum / n;
        if (k >= 2 && isnan(out[k - 1]) && !isnan(out[k - 2]) && !isnan(out[k]))
            out[k - 1] = 0.5 * (out[k - 2] + out[k]);
    }
}

/* Change over half a minute, with its straight trend over the record taken out. */
static void rates(double *v, size_t steps)
{
    const size_t wide = 6;
    double n = 0.0, sx = 0.0, sy = 0.0, sxx = 0.0, sxy = 0.0;
    for (size_t k = 0; k < steps; k++) {
        v[k] = k + wide < steps ? v[k + wide] - v[k] : NAN;
        if (isnan(v[k]))
            continue;
        double x = (double)k;
        n += 1.0;
        sx += x;
        sy += v[k];
        sxx += x * x;
        sxy += x * v[k];
    }
    double slope = (n * sxy - sx * sy) / (n * sxx - sx * sx), level = (sy - slope * sx) / n;
    for (size_t k = 0; k < steps; k++)
        v[k] -= level + slope * (double)k;
}

/* Correlation of first[k] with then[k + shift]. */
static double correlation(const double *first, const double *then, size_t steps, size_t shift)
{
    double n = 0.0, ab = 0.0, aa = 0.0, bb = 0.0;
    for (size_t k = 0; k + shift < steps; k++) {
        double a = first[k], b = then[k + shift];
        if (isnan(a) || isnan(b))
            continue;
        n += 1.0;
        ab += a * b;
        aa += a * a;
        bb += b * b;
    }
    return n * GRID_S < LEAST_S || !(aa > 0.0 && bb > 0.0) ? NAN : ab / sqrt(aa * bb);
}

/* Delay of `then` behind `first`, s; NAN where the record does not show one. */
static double delay(const double *first, const double *then, size_t steps)
{
    const size_t most = (size_t)(MOST_S / GRID_S), aside = (size_t)(ASIDE_S / GRID_S);
    double best = -1.0;
    size_t at = 0;
    for (size_t s = 0; s <= most; s++) {
        double r = correlation(first, then, steps, s);
        if (r > best) {
            best = r;
            at = s;
        }
    }
    if (best < HIGH || at == most)
        return NAN;
    double later = correlation(first, then, steps, at + aside);
    double sooner = at >= aside ? correlation(first, then, steps, at - aside)
                                : correlation(then, first, steps, aside - at);
    return later < best - FALL && sooner < best - FALL ? GRID_S * (double)at : NAN;
}

static const struct {
    nr_role first, then;
    nr_finding_code code;
} pairs[] = {
    {NR_ROLE_SUN, NR_ROLE_OUTLET, NR_FIND_LAG_COLLECTOR},
    {NR_ROLE_INLET, NR_ROLE_STORE, NR_FIND_LAG_STORE},
    {NR_ROLE_STORE, NR_ROLE_INLET, NR_FIND_LAG_INLET},
};

void nr_inspect_lags(nr_inspection *inspection)
{
    size_t steps = (size_t)(nr_number(&inspection->q->busy_s, inspection->q->rows - 1) / GRID_S);
    double *first = calloc(2 * steps + 1, sizeof *first), *then = first ? first + steps : NULL;
    size_t *end = calloc(steps + 1, sizeof *end);
    if (!first || !end || inspection->q->interval_s > 2.0 * GRID_S)
        steps = 0;
    row_ends(inspection->q, end, steps);
    for (size_t p = 0; steps > 0 && p < sizeof pairs / sizeof *pairs; p++) {
        if (!inspection->q->channel[pairs[p].first].good ||
            !inspection->q->channel[pairs[p].then].good)
            continue;
        on_grid(inspection, pairs[p].first, end, steps, first);
        on_grid(inspection, pairs[p].then, end, steps, then);
        rates(first, steps);
        rates(then, steps);
        double s = delay(first, then, steps);
        if (s >= DEAD_BAND_S)
            nr_find(inspection, pairs[p].code, NR_SEVERITY_NOTE, pairs[p].then, NAN, NAN,
                    NR_SEEN(s));
    }
    free(first);
    free(end);
}
