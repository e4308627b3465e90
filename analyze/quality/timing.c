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

static void find_gaps(nr_quality *q, const double *t)
{
    for (size_t i = 1; i < q->rows; i++) {
        double pause = t[i] - t[i - 1];
        if (!(pause > GAP_INTERVALS * q->interval_s))
            continue;
        if (q->gaps < NR_QUALITY_EVENTS)
            q->gap[q->gaps] = (nr_quality_event){t[i - 1], pause};
        q->gaps++;
        q->gaps_s += pause;
    }
}

/* Median of offset over rows from..from+STEP_ROWS-1. */
static double offset_near(const nr_quality_input *input, size_t from)
{
    double offset[STEP_ROWS];
    for (size_t i = 0; i < STEP_ROWS; i++)
        offset[i] = input->utc_s[from + i] - input->elapsed_s[from + i];
    return nr_quantile(offset, STEP_ROWS, 0.5);
}

static double offset_at(const nr_quality_input *input, size_t i)
{
    return input->utc_s[i] - input->elapsed_s[i];
}

static void find_steps(nr_quality *q, const nr_quality_input *input)
{
    for (size_t i = STEP_ROWS; i + STEP_ROWS <= q->rows; i++) {
        /* A steady drift across a gap is no step. */
        double pause = input->elapsed_s[i] - input->elapsed_s[i - 1];
        double jump = offset_at(input, i) - offset_at(input, i - 1) - q->clock_rate * pause;
        if (!(fabs(jump) > STEP_S))
            continue;
        double lasting = offset_near(input, i) - offset_near(input, i - STEP_ROWS);
        double span =
            input->elapsed_s[i + STEP_ROWS / 2] - input->elapsed_s[i - STEP_ROWS + STEP_ROWS / 2];
        lasting -= q->clock_rate * span;
        if (fabs(lasting) < 0.5 * fabs(jump) || lasting * jump < 0.0)
            continue;
        if (q->clock_steps < NR_QUALITY_EVENTS)
            q->clock_step[q->clock_steps] = (nr_quality_event){input->elapsed_s[i], lasting};
        q->clock_steps++;
        i += STEP_ROWS - 1;
    }
}

/* Steps fall into few of the stretches, so the median of the stretches' slopes does not see them.
 */
static double find_rate(const nr_quality_input *input, double *scratch)
{
    size_t length = input->rows / RATE_STRETCHES;
    if (length < 2 * (size_t)STEP_ROWS)
        return NAN;
    for (size_t k = 0; k < RATE_STRETCHES; k++) {
        size_t from = k * length, to = from + length - STEP_ROWS;
        double span = input->elapsed_s[to] - input->elapsed_s[from];
        scratch[k] = (offset_near(input, to) - offset_near(input, from)) / span;
    }
    return nr_quantile(scratch, RATE_STRETCHES, 0.5);
}

/* Pauses are cut to a length in which nothing that is looked for on a grid reaches across. */
void nr_count_busy(nr_quality *q, const double *t)
{
    double longest = fmax(PAUSE_S, PAUSE_INTERVALS * q->interval_s);
    q->busy_s[0] = 0;
    for (size_t i = 1; i < q->rows; i++)
        q->busy_s[i] = q->busy_s[i - 1] + (t[i] - t[i - 1] < longest ? t[i] - t[i - 1] : longest);
}

void nr_check_timing(nr_quality *q, const nr_quality_input *input, double *scratch)
{
    const double *t = input->elapsed_s;
    q->duration_s = t[q->rows - 1] - t[0];
    for (size_t i = 1; i < q->rows; i++)
        scratch[i - 1] = t[i] - t[i - 1];
    q->interval_s = nr_quantile(scratch, q->rows - 1, 0.5);
    find_gaps(q, t);
    q->clock_rate = NAN;
    if (!input->utc_s)
        return;
    double rate = find_rate(input, scratch);
    q->clock_rate = isnan(rate) ? 0.0 : rate; /* for the steps of a record too short to tell */
    find_steps(q, input);
    q->clock_rate = rate;
}
