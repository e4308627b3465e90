/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/wire/counter.h"

#include <math.h>
#include <string.h>

static const double wrap_ms = 4294967296.0;
/* A jump of up to this many times the expected advance, plus the slack, is believed. */
static const double jump_factor = 10;
static const double jump_slack_s = 60;

void nr_counter_init(nr_counter *counter, double interval_s)
{
    memset(counter, 0, sizeof *counter);
    counter->interval_s = interval_s;
}

static void fit_segment(nr_counter_fit *fit)
{
    fit->total_n += fit->n;
    fit->total_sxx += fit->sxx;
    fit->total_sxy += fit->sxy;
    fit->total_syy += fit->syy;
    fit->segments++;
    fit->n = fit->mean_x = fit->mean_y = fit->sxx = fit->sxy = fit->syy = 0;
}

static void fit_add(nr_counter_fit *fit, double x, double y)
{
    fit->n += 1;
    double dx = x - fit->mean_x;
    double dy = y - fit->mean_y;
    fit->mean_x += dx / fit->n;
    fit->mean_y += dy / fit->n;
    fit->sxx += dx * (x - fit->mean_x);
    fit->sxy += dx * (y - fit->mean_y);
    fit->syy += dy * (y - fit->mean_y);
}

/* Adapter seconds per host second as seen so far, never below 1. */
static double rate(const nr_counter *counter)
{
    const nr_counter_fit *fit = &counter->fit;
    double sxx = fit->sxx + fit->total_sxx;
    if (fit->n < 5 || sxx <= 0)
        return 1;
    return fmax(1, (fit->sxy + fit->total_sxy) / sxx);
}

static nr_count believe(nr_counter *counter, uint32_t count, double host_s, double elapsed_s,
                        nr_count how, double *out)
{
    if (how == NR_COUNT_RESTARTED)
        fit_segment(&counter->fit);
    counter->started = true;
    counter->doubting = false;
    counter->last = count;
    counter->host_s = host_s;
    counter->elapsed_s = elapsed_s;
    fit_add(&counter->fit, host_s, elapsed_s);
    *out = elapsed_s;
    return how;
}

static double advance_ms(uint32_t from, uint32_t to)
{
    return (double)(uint32_t)(to - from);
}

nr_count nr_counter_take(nr_counter *counter, double count_ms, double host_s, double *elapsed_s)
{
    if (!(count_ms >= 0 && count_ms < wrap_ms) || count_ms != floor(count_ms))
        return NR_COUNT_DOUBTED;
    uint32_t count = (uint32_t)count_ms;
    if (!counter->started)
        return believe(counter, count, host_s, host_s, NR_COUNT_FIRST, elapsed_s);

    double host_step_s = fmax(host_s - counter->host_s, 0);
    double expected_s = fmax(counter->interval_s, host_step_s * rate(counter));
    double limit_ms = 1000 * (jump_factor * expected_s + jump_slack_s);
    double step_ms = advance_ms(counter->last, count);
    if (step_ms <= limit_ms) {
        nr_count how = count < counter->last ? NR_COUNT_WRAPPED : NR_COUNT_ON;
        return believe(counter, count, host_s, counter->elapsed_s + step_ms / 1000, how, elapsed_s);
    }
    /* Not an advance. A small number looks like an adapter that has just started; any other jump
     * must be confirmed by the count after it. */
    bool fresh = count < counter->last && count_ms <= limit_ms;
    bool confirmed = counter->doubting && advance_ms(counter->doubted, count) <= limit_ms;
    if (fresh || confirmed)
        return believe(counter, count, host_s, counter->elapsed_s + host_step_s, NR_COUNT_RESTARTED,
                       elapsed_s);
    counter->doubting = true;
    counter->doubted = count;
    return NR_COUNT_DOUBTED;
}

bool nr_counter_drift(const nr_counter *counter, double *drift, double *u_drift)
{
    const nr_counter_fit *fit = &counter->fit;
    double n = fit->n + fit->total_n;
    double sxx = fit->sxx + fit->total_sxx;
    double sxy = fit->sxy + fit->total_sxy;
    double syy = fit->syy + fit->total_syy;
    double freedom = n - (double)fit->segments - 2;
    if (n < 10 || freedom < 1 || sxx <= 0)
        return false;
    double slope = sxy / sxx;
    double rss = fmax(syy - slope * sxy, 0);
    *drift = slope - 1;
    *u_drift = sqrt(rss / freedom / sxx);
    return true;
}
