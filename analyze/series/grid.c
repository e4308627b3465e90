/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/series/parts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void nr_grid_free(nr_grid *grid)
{
    for (int c = 0; c < NR_ROLES; c++)
        free(grid->value[c]);
    free(grid->pump);
    free(grid->running);
    free(grid->drive);
    *grid = (nr_grid){0};
}

static bool step_means(const nr_quality *q, const nr_run *run, double step_s, nr_grid *grid,
                       int role)
{
    double *sum = calloc(grid->steps, sizeof(double));
    unsigned *count = calloc(grid->steps, sizeof(unsigned));
    if (sum && count) {
        for (size_t r = 0; r < q->rows; r++) {
            double at = (run->readings->elapsed_s[r] - grid->start_s) / step_s;
            double v = nr_quality_value(q, (nr_role)role, r);
            if (!(at < (double)grid->steps) || isnan(v))
                continue;
            sum[(size_t)at] += v;
            count[(size_t)at]++;
        }
        for (size_t k = 0; k < grid->steps; k++)
            sum[k] = count[k] ? sum[k] / count[k] : NAN;
        grid->value[role] = sum;
    } else {
        free(sum);
    }
    free(count);
    return grid->value[role] != NULL;
}

/* The pump's state holds from a row to the next one. A stop of seconds more or less is no small
 * thing: the store stops rising at that moment, and what it then does is read as the container's
 * loss. */
static bool pump_steps(const nr_quality *q, const nr_run *run, double step_s, nr_grid *grid)
{
    grid->pump = calloc(grid->steps, 1);
    grid->running = calloc(grid->steps, sizeof(double));
    if (!grid->pump || !grid->running)
        return false;
    size_t r = 0;
    for (size_t k = 0; k < grid->steps; k++) {
        double end = grid->start_s + step_s * (double)(k + 1);
        unsigned char state = q->pump[r];
        double on = q->pump[r] != NR_PUMP_IS_OFF, rows = 1;
        while (r + 1 < q->rows && run->readings->elapsed_s[r + 1] < end) {
            r++;
            on += q->pump[r] != NR_PUMP_IS_OFF;
            rows++;
            if (q->pump[r] == NR_PUMP_IS_OFF) /* a step counts as running only when all of it is */
                state = NR_PUMP_IS_OFF;
        }
        grid->pump[k] = state;
        grid->running[k] = on / rows;
    }
    return true;
}

nr_code nr_grid_build(const nr_quality *q, const nr_run *run, double step_s, nr_grid *grid,
                      nr_err *err)
{
    /* A reading stands in the middle of its interval, so that the mean of a block is the mean over
     * the block's time; with slow readings under clouds a shift of half an interval would show. */
    double half = q->interval_s / 2;
    *grid = (nr_grid){.start_s = run->readings->elapsed_s[0] - half};
    double span = run->readings->elapsed_s[q->rows - 1] + half - grid->start_s;
    grid->steps = (size_t)(span / step_s);
    bool good = pump_steps(q, run, step_s, grid);
    for (int c = 0; c < NR_ROLES && good; c++)
        if (q->channel[c].value && q->channel[c].good > 0)
            good = step_means(q, run, step_s, grid, c);
    if (good)
        return NR_OK;
    nr_grid_free(grid);
    return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}

size_t nr_grid_bridge(double *value, size_t steps, double step_s, double limit_s)
{
    size_t filled = 0;
    for (size_t k = 0; k < steps;) {
        if (!isnan(value[k])) {
            k++;
            continue;
        }
        size_t end = k;
        while (end < steps && isnan(value[end]))
            end++;
        bool left = k > 0, right = end < steps;
        if ((double)(end - k) * step_s <= limit_s && (left || right)) {
            double a = left ? value[k - 1] : value[end];
            double b = right ? value[end] : a;
            for (size_t i = k; i < end; i++)
                value[i] = a + (b - a) * (double)(i - k + 1) / (double)(end - k + 1);
            filled += end - k;
        }
        k = end;
    }
    return filled;
}

/* Mean of the neighbours of k that belong to it; direction by direction, so that it stops at the
 * first one that does not. */
static double sigma_mean(const double *v, size_t steps, size_t k, double band, size_t reach)
{
    double sum = v[k], count = 1;
    for (size_t i = 1; i <= reach && k + i < steps && fabs(v[k + i] - v[k]) < band; i++) {
        sum += v[k + i];
        count++;
    }
    for (size_t i = 1; i <= reach && i <= k && fabs(v[k - i] - v[k]) < band; i++) {
        sum += v[k - i];
        count++;
    }
    return sum / count;
}

bool nr_grid_smooth(double *value, size_t steps, double noise, size_t reach)
{
    double *raw = malloc((steps ? steps : 1) * sizeof(double));
    if (!raw)
        return false;
    memcpy(raw, value, steps * sizeof(double));
    for (size_t k = 0; k < steps; k++)
        if (raw[k] > 0 || (isinf(noise) && !isnan(raw[k])))
            value[k] = sigma_mean(raw, steps, k, 4 * noise, reach);
    free(raw);
    return true;
}
