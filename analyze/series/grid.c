/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/series/inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A row that is a mean is one of at most this many intervals: after a gap, not of the gap. */
#define LONGEST_MEAN 1.5

void nr_grid_free(nr_grid *grid)
{
    for (int c = 0; c < NR_ROLES; c++)
        free(grid->value[c]);
    free(grid->pump);
    free(grid->running);
    free(grid->drive);
    free(grid->inlet);
    free(grid->outlet);
    free(grid->sky);
    for (int c = 0; c < NR_OUTS; c++)
        free(grid->weight[c]);
    *grid = (nr_grid){0};
}

/* When a row's values are true: its own time, or the middle of the time it is the mean of. */
static inline double row_time(const nr_run *run, const nr_quality *q, nr_cursor *t, size_t row)
{
    double t_s = nr_at(t, row);
    if (run->rig.rows != NR_ROWS_MEAN)
        return t_s;
    double before = row > 0 ? t_s - nr_at(t, row - 1) : q->interval_s;
    return t_s - fmin(before, LONGEST_MEAN * q->interval_s) / 2;
}

/* Sums of the steps of one channel, of all in one pass over the rows. */
typedef struct channel_sums {
    int role;
    double *sum;
    unsigned *count;
} channel_sums;

static void sum_up(const nr_quality *q, const nr_run *run, double step_s, const nr_grid *grid,
                   channel_sums *of, size_t channels)
{
    nr_good_rows rows;
    nr_cursor t;
    nr_good_begin(&rows, q);
    nr_cursor_begin(&t, &q->elapsed_s);
    for (size_t r = grid->first; r < grid->end; r++) {
        double at = (row_time(run, q, &t, r) - grid->start_s) / step_s;
        if (!(at >= 0) || !(at < (double)grid->steps))
            continue;
        for (size_t c = 0; c < channels; c++) {
            double v = nr_good_at(&rows, (nr_role)of[c].role, r);
            if (isnan(v))
                continue;
            of[c].sum[(size_t)at] += v;
            of[c].count[(size_t)at]++;
        }
    }
}

static bool step_means(const nr_quality *q, const nr_run *run, double step_s, nr_grid *grid)
{
    channel_sums of[NR_ROLES];
    size_t channels = 0;
    bool good = true;
    for (int role = 0; role < NR_ROLES; role++) {
        if (!q->channel[role].value || q->channel[role].good == 0)
            continue;
        channel_sums *c = &of[channels++];
        c->role = role;
        c->sum = grid->value[role] = calloc(grid->steps, sizeof(double));
        c->count = calloc(grid->steps, sizeof(unsigned));
        good = good && c->sum && c->count;
    }
    if (good)
        sum_up(q, run, step_s, grid, of, channels);
    for (size_t c = 0; c < channels; c++) {
        for (size_t k = 0; good && k < grid->steps; k++)
            of[c].sum[k] = of[c].count[k] ? of[c].sum[k] / of[c].count[k] : NAN;
        free(of[c].count);
    }
    return good;
}

/* The pump's state holds from a row to the next one. A stop of seconds more or less is no small
 * thing: the store stops rising at that moment, and what it then does is read as the container's
 * loss. */
static bool pump_steps(const nr_quality *q, double step_s, nr_grid *grid)
{
    nr_cursor t;
    nr_cursor_begin(&t, &q->elapsed_s);
    grid->pump = calloc(grid->steps, 1);
    grid->running = calloc(grid->steps, sizeof(double));
    if (!grid->pump || !grid->running)
        return false;
    size_t r = grid->first;
    for (size_t k = 0; k < grid->steps; k++) {
        double end = grid->start_s + step_s * (double)(k + 1);
        unsigned char state = q->pump[r];
        double on = q->pump[r] != NR_PUMP_IS_OFF, rows = 1;
        while (r + 1 < grid->end && nr_at(&t, r + 1) < end) {
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

nr_code nr_grid_build(const nr_quality *q, const nr_run *run, double step_s, size_t first,
                      size_t end, nr_grid *grid, nr_err *err)
{
    /* A reading stands in the middle of its interval, so that the mean of a block is the mean over
     * the block's time; with slow readings under clouds a shift of half an interval would show. */
    double half = q->interval_s / 2;
    nr_cursor t;
    nr_cursor_begin(&t, &q->elapsed_s);
    *grid = (nr_grid){.first = first, .end = end, .start_s = row_time(run, q, &t, first) - half};
    double span = row_time(run, q, &t, end - 1) + half - grid->start_s;
    grid->steps = (size_t)(span / step_s + 1e-9);
    if (pump_steps(q, step_s, grid) && step_means(q, run, step_s, grid))
        return NR_OK;
    nr_grid_free(grid);
    return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}

/* Adds one row to the weights of the steps of its block. */
static void weigh(float (*weight)[2], size_t from, size_t to, double begin, double end)
{
    if (end - begin < 1e-9) { /* an instant, between the edges of its step */
        size_t k = (size_t)begin;
        double part = begin - (double)k;
        weight[k][0] += (float)(1 - part);
        weight[k][1] += (float)part;
        return;
    }
    for (size_t k = from; k < to; k++) {
        double share = fmin(end, (double)k + 1) - fmax(begin, (double)k);
        if (share > 0) {
            weight[k][0] += (float)(share / 2);
            weight[k][1] += (float)(share / 2);
        }
    }
}

static void normalise(float (*weight)[2], size_t steps, size_t per_block)
{
    for (size_t b = 0; b + per_block <= steps; b += per_block) {
        double sum = 0;
        for (size_t k = b; k < b + per_block; k++)
            sum += (double)weight[k][0] + (double)weight[k][1];
        /* Without a reading: the mean of the block, as one would have shown it. */
        for (size_t k = b; k < b + per_block; k++)
            for (int end = 0; end < 2; end++)
                weight[k][end] =
                    (float)(sum > 0 ? (double)weight[k][end] / sum : 0.5 / (double)per_block);
    }
}

bool nr_grid_weights(const nr_quality *q, const nr_run *run, nr_role role, double step_s,
                     size_t per_block, const nr_grid *grid, size_t first_step, size_t steps,
                     float (**out)[2])
{
    float(*weight)[2] = calloc(steps ? steps : 1, sizeof *weight);
    *out = weight;
    if (!weight)
        return false;
    bool mean = run->rig.rows == NR_ROWS_MEAN;
    nr_good_rows rows;
    nr_cursor elapsed;
    nr_good_begin(&rows, q);
    nr_cursor_begin(&elapsed, &q->elapsed_s);
    for (size_t r = grid->first; r < grid->end; r++) {
        double t = row_time(run, q, &elapsed, r);
        double at = (t - grid->start_s) / step_s - (double)first_step;
        if (!(at >= 0) || !(at < (double)steps) || isnan(nr_good_at(&rows, role, r)))
            continue;
        double half = mean ? (nr_at(&elapsed, r) - t) / step_s : 0;
        size_t block = (size_t)at / per_block * per_block;
        size_t to = block + per_block < steps ? block + per_block : steps;
        weigh(weight, block, to, at - half, at + half);
    }
    normalise(weight, steps, per_block);
    return true;
}

size_t nr_grid_bridge(double *value, size_t steps, double step_s, double limit_s, double far_s,
                      double alike)
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
        double a = left ? value[k - 1] : right ? value[end] : NAN;
        double b = right ? value[end] : a;
        double hole_s = (double)(end - k) * step_s;
        bool same = left && right && fabs(a - b) <= alike * fmax(fabs(a), fabs(b));
        if ((left || right) && (hole_s <= limit_s || (same && hole_s <= far_s))) {
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
        if (raw[k] != 0 ? !isnan(raw[k]) : isinf(noise))
            value[k] = sigma_mean(raw, steps, k, 4 * noise, reach);
    free(raw);
    return true;
}

/* Slope over this time at least, so that noise is not taken for change. */
#define SLOPE_S 20.0

bool nr_grid_unlag(double *value, size_t steps, double step_s, double lag_s)
{
    if (!(lag_s > 0))
        return true;
    double *raw = malloc((steps ? steps : 1) * sizeof(double));
    if (!raw)
        return false;
    memcpy(raw, value, steps * sizeof(double));
    size_t reach = (size_t)ceil(fmax(SLOPE_S, lag_s) / 2 / step_s);
    for (size_t k = 0; k < steps; k++) {
        size_t a = k > reach ? k - reach : 0, b = k + reach < steps ? k + reach : steps - 1;
        double slope = b > a ? (raw[b] - raw[a]) / (step_s * (double)(b - a)) : NAN;
        value[k] += isnan(slope) ? 0 : lag_s * slope;
    }
    free(raw);
    return true;
}
