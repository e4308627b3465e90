/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows in time: interval, gaps, and what the wall clock did against the monotonic one.
 *
 * A clock step is a lasting change of time_utc - elapsed_s: the medians of a few rows before and
 * after differ. A single late row (a busy computer) is none. The drift between steps is the median
 * slope of short stretches. */
#include "analyze/quality/checks.h"

#include <math.h>

#define PAUSE_S 1800.0 /* longer than settling times, delays and windows */
#define PAUSE_INTERVALS 50.0
#define GAP_INTERVALS 2.5 /* a longer pause than this many intervals is a gap */
#define STEP_ROWS 5       /* rows whose median stands for one side of a clock step */
#define STEP_S 1.0        /* smaller than this is jitter of arrival */
#define RATE_STRETCHES 40

typedef struct clocks {
    nr_cursor utc_s, elapsed_s;
    size_t rows;
} clocks;

static void find_gaps(nr_quality *q, clocks *c)
{
    for (size_t i = 1; i < q->rows; i++) {
        double before = nr_at(&c->elapsed_s, i - 1), pause = nr_at(&c->elapsed_s, i) - before;
        if (!(pause > GAP_INTERVALS * q->interval_s))
            continue;
        if (q->gaps < NR_QUALITY_EVENTS)
            q->gap[q->gaps] = (nr_quality_event){before, pause};
        q->gaps++;
        q->gaps_s += pause;
    }
}

static double offset_at(clocks *c, size_t i)
{
    return nr_at(&c->utc_s, i) - nr_at(&c->elapsed_s, i);
}

/* Median of offset over rows from..from+STEP_ROWS-1. */
static double offset_near(clocks *c, size_t from)
{
    double offset[STEP_ROWS];
    for (size_t i = 0; i < STEP_ROWS; i++)
        offset[i] = offset_at(c, from + i);
    return nr_quantile(offset, STEP_ROWS, 0.5);
}

static void find_steps(nr_quality *q, clocks *c)
{
    for (size_t i = STEP_ROWS; i + STEP_ROWS <= q->rows; i++) {
        /* A steady drift across a gap is no step. */
        double pause = nr_at(&c->elapsed_s, i) - nr_at(&c->elapsed_s, i - 1);
        double jump = offset_at(c, i) - offset_at(c, i - 1) - q->clock_rate * pause;
        if (!(fabs(jump) > STEP_S))
            continue;
        double lasting = offset_near(c, i) - offset_near(c, i - STEP_ROWS);
        double span = nr_at(&c->elapsed_s, i + STEP_ROWS / 2) -
                      nr_at(&c->elapsed_s, i - STEP_ROWS + STEP_ROWS / 2);
        lasting -= q->clock_rate * span;
        if (fabs(lasting) < 0.5 * fabs(jump) || lasting * jump < 0.0)
            continue;
        if (q->clock_steps < NR_QUALITY_EVENTS)
            q->clock_step[q->clock_steps] = (nr_quality_event){nr_at(&c->elapsed_s, i), lasting};
        q->clock_steps++;
        i += STEP_ROWS - 1;
    }
}

/* Steps fall into few of the stretches, so the median of the stretches' slopes does not see them.
 */
static double find_rate(clocks *c, double *scratch)
{
    size_t length = c->rows / RATE_STRETCHES;
    if (length < 2 * (size_t)STEP_ROWS)
        return NAN;
    for (size_t k = 0; k < RATE_STRETCHES; k++) {
        size_t from = k * length, to = from + length - STEP_ROWS;
        double span = nr_at(&c->elapsed_s, to) - nr_at(&c->elapsed_s, from);
        scratch[k] = (offset_near(c, to) - offset_near(c, from)) / span;
    }
    return nr_quantile(scratch, RATE_STRETCHES, 0.5);
}

static double counted(double pause, double most)
{
    return pause < most ? pause : most;
}

/* The rows of a block, from where its first one stands. */
static void count_block(const void *source, size_t block, double *out)
{
    const nr_quality *q = source;
    size_t from = block * NR_VALUES_BLOCK;
    size_t rows = q->rows - from < NR_VALUES_BLOCK ? q->rows - from : NR_VALUES_BLOCK;
    nr_cursor t;
    nr_cursor_begin(&t, &q->elapsed_s);
    double busy_s = out[0] = q->busy_from_s[block], before = nr_at(&t, from);
    for (size_t i = 1; i < rows; i++) {
        double now = nr_at(&t, from + i);
        busy_s += counted(now - before, q->pause_most_s);
        out[i] = busy_s;
        before = now;
    }
}

/* Pauses are cut to a length in which nothing that is looked for on a grid reaches across. */
void nr_count_busy(nr_quality *q)
{
    nr_cursor t;
    nr_cursor_begin(&t, &q->elapsed_s);
    q->pause_most_s = fmax(PAUSE_S, PAUSE_INTERVALS * q->interval_s);
    double busy_s = 0;
    for (size_t i = 0; i < q->rows; i++) {
        if (i > 0)
            busy_s += counted(nr_at(&t, i) - nr_at(&t, i - 1), q->pause_most_s);
        if (i % NR_VALUES_BLOCK == 0)
            q->busy_from_s[i / NR_VALUES_BLOCK] = busy_s;
    }
    q->busy_s = (nr_values){.fill = count_block, .source = q};
}

/* nr_passes'. */
static size_t pauses(void *context, size_t chunk, double *out)
{
    clocks *c = context;
    size_t n = 0, from = chunk * NR_VALUES_BLOCK, end = from + NR_VALUES_BLOCK;
    for (size_t i = from > 0 ? from : 1; i < end && i < c->rows; i++)
        out[n++] = nr_at(&c->elapsed_s, i) - nr_at(&c->elapsed_s, i - 1);
    return n;
}

void nr_check_timing(nr_quality *q, const nr_quality_source *source, double *scratch)
{
    clocks c = {.rows = q->rows};
    nr_cursor_begin(&c.elapsed_s, &source->elapsed_s);
    nr_cursor_begin(&c.utc_s, &source->utc_s);
    q->duration_s = nr_at(&c.elapsed_s, q->rows - 1) - nr_at(&c.elapsed_s, 0);
    nr_passes stream = {.chunks = q->rows / NR_VALUES_BLOCK + 1, .fill = pauses, .context = &c};
    size_t n;
    q->interval_s = nr_passes_smallest(&stream, nr_rank_middle, scratch, &n);
    find_gaps(q, &c);
    q->clock_rate = NAN;
    if (!nr_values_there(&source->utc_s))
        return;
    double rate = find_rate(&c, scratch);
    q->clock_rate = isnan(rate) ? 0.0 : rate; /* for the steps of a record too short to tell */
    find_steps(q, &c);
    q->clock_rate = rate;
}
