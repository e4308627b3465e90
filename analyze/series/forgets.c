/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/series/inside.h"
#include "analyze/series/unseen.h"

#include <math.h>
#include <stdlib.h>

/* Readings to each side whose mean is the course. */
#define COURSE 4

typedef struct readings {
    size_t n;
    double *t_s, *value, *course; /* [n] */
    size_t *step;                 /* [n] */
} readings;

static void readings_free(readings *r)
{
    free(r->t_s);
    free(r->value);
    free(r->course);
    free(r->step);
}

/* False: out of memory. */
static bool readings_make(const double *raw, size_t steps, double step_s, readings *r)
{
    *r = (readings){.t_s = calloc(steps + 1, sizeof(double)),
                    .value = calloc(steps + 1, sizeof(double)),
                    .course = calloc(steps + 1, sizeof(double)),
                    .step = calloc(steps + 1, sizeof(size_t))};
    if (!r->t_s || !r->value || !r->course || !r->step)
        return false;
    for (size_t k = 0; k < steps; k++) {
        if (isnan(raw[k]))
            continue;
        r->t_s[r->n] = step_s * (double)k;
        r->value[r->n] = raw[k];
        r->step[r->n++] = k;
    }
    /* As many to each side, so that a slope is none of its wander. */
    for (size_t i = 0; i < r->n; i++) {
        size_t room = i < r->n - 1 - i ? i : r->n - 1 - i, reach = room < COURSE ? room : COURSE;
        for (size_t k = i - reach; k <= i + reach; k++)
            r->course[i] += r->value[k] / (double)(2 * reach + 1);
    }
    return true;
}

/* sinh(part / tau) / sinh(whole / tau), without their size. */
static double share(double part, double whole, double tau)
{
    return exp((part - whole) / tau) * expm1(-2 * part / tau) / expm1(-2 * whole / tau);
}

bool nr_grid_forget(const double *raw, double *value, size_t steps, double step_s,
                    double interval_s)
{
    readings r;
    bool good = readings_make(raw, steps, step_s, &r);
    double tau = good ? nr_unseen_of(r.t_s, r.value, r.n, interval_s).memory_s : 0;
    for (size_t i = 0; good && tau > 0 && i + 1 < r.n; i++) {
        double length = r.t_s[i + 1] - r.t_s[i];
        for (size_t k = r.step[i] + 1; k < r.step[i + 1]; k++) {
            double after = step_s * (double)(k - r.step[i]), before = length - after;
            double course = (r.course[i] * before + r.course[i + 1] * after) / length;
            if (isnan(value[k])) /* a gap, not bridged */
                continue;
            value[k] = course + (r.value[i] - r.course[i]) * share(before, length, tau) +
                       (r.value[i + 1] - r.course[i + 1]) * share(after, length, tau);
        }
    }
    readings_free(&r);
    return good;
}
