/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Noise and resolution of a channel.
 *
 * The second difference x[i-1] - 2 x[i] + x[i+1] of independent noise s has variance 6 s^2 and is
 * blind to level and trend. Of a finely resolved channel its median tells s and does not see a few
 * cloud edges. Of a coarse one the median is 0 or a whole step, so there its mean square is taken,
 * clipped at a few steps against outliers; this s holds the resolution's own q^2/12. */
#include "analyze/quality/checks.h"

#include <assert.h>
#include <math.h>

#define MOST                                                                                       \
    1500         /* second differences, and stretches, looked at, over the record: enough for 3 % */
#define EVEN 1.5 /* neighbouring intervals may differ by this factor */
#define CLIP_STEPS 4.0  /* second differences of a coarse channel count up to this many steps */
#define STEP_SHARE 0.05 /* this quantile of the changes is the resolution */
#define SELDOM_S 60.0   /* readings this far apart need not show their resolution */
#define ROUNDED 0.05    /* of a step, by what is written in the file */
#define MAD_TO_SD 1.4826
#define CLIP_NOISES 4.0  /* outliers in the quiet parts count up to this many noises */
#define CHUNK 100        /* samples of one stretch when the quiet parts are looked for */
#define QUIET_SHARE 0.25 /* this quantile of the stretches' noises is the quiet noise */

#define NOISE_STEPS 0.35  /* with less noise than this many steps, equal readings prove nothing */
#define NOISE_SHARE 0.8   /* of the noise is believed */
#define REST_SUN_W_M2 5.0 /* a pyranometer at night */
#define REST_WIND_M_S 0.5 /* a cup that does not turn yet */
#define REST_FLOW_L_MIN 0.02

bool nr_at_rest(nr_role role, double value)
{
    switch (role) {
    case NR_ROLE_SUN:
        return fabs(value) <= REST_SUN_W_M2;
    case NR_ROLE_WIND:
        return fabs(value) <= REST_WIND_M_S;
    case NR_ROLE_FLOW:
        return fabs(value) <= REST_FLOW_L_MIN;
    case NR_ROLE_PUMP: /* a battery's voltage may well stand still */
        return true;
    default:
        return false;
    }
}

double nr_stay_chance(const nr_quality_channel *c)
{
    double q = c->step, noise = c->quiet_noise;
    if (isnan(q) || isnan(noise) || noise < NOISE_STEPS * q)
        return 1.0;
    double own = NOISE_SHARE * sqrt(noise * noise - q * q / 12.0);
    return erf(q / (2.0 * sqrt(2.0) * own)); /* in the middle of a step: the worst case */
}

static bool even(double before, double after)
{
    return before < EVEN * after && after < EVEN * before;
}

static bool even_at(const nr_dense *d, size_t i)
{
    double t_s = nr_dense_t_s(d, i);
    return even(t_s - nr_dense_t_s(d, i - 1), nr_dense_t_s(d, i + 1) - t_s);
}

static double second_difference(const nr_dense *d, size_t i)
{
    return fabs(nr_dense_value(d, i - 1) - 2.0 * nr_dense_value(d, i) + nr_dense_value(d, i + 1));
}

typedef struct stretches {
    const nr_dense *d;
    size_t every; /* so many-th of NR_VALUES_BLOCK readings */
} stretches;

/* nr_passes': from one reading to the next. */
static size_t changes(void *context, size_t chunk, double *out)
{
    const stretches *s = context;
    const nr_dense *d = s->d;
    size_t n = 0, from = chunk * s->every * NR_VALUES_BLOCK, end = from + NR_VALUES_BLOCK;
    double before = from > 0 && from < d->count ? nr_dense_value(d, from - 1) : NAN;
    for (size_t i = from; i < end && i < d->count; i++) {
        double value = nr_dense_value(d, i), change = fabs(value - before);
        if (change > 1e-9)
            out[n++] = change;
        before = value;
    }
    return n;
}

/* The largest step of which every change is a multiple (Euclid's algorithm, with what rounding in a
 * file leaves): a thermometer read every five minutes may never show its smallest change. */
static double common_step(const double *change, size_t n, double step)
{
    for (size_t i = 0; i < n; i++) {
        double rest = change[i];
        while (rest > ROUNDED * step) {
            double left = fabs(rest - step * round(rest / step));
            if (left <= ROUNDED * step)
                break;
            rest = step;
            step = left;
        }
    }
    return step;
}

static size_t among_the_smallest(size_t count)
{
    return nr_rank_of(STEP_SHARE, count);
}

static double find_step(const nr_dense *d, double *scratch)
{
    stretches looked_at = {.d = d, .every = nr_passes_every(d->count)};
    nr_passes stream = {
        .chunks = nr_passes_chunks(d->count), .fill = changes, .context = &looked_at};
    size_t n;
    double step = nr_passes_smallest(&stream, among_the_smallest, scratch, &n);
    if (n == 0 || nr_dense_t_s(d, d->count - 1) - nr_dense_t_s(d, 0) < SELDOM_S * (double)d->count)
        return step;
    return common_step(scratch, n, step); /* all are there: they are fewer than NR_PASSES_KEPT */
}
static_assert((NR_PASSES_ENOUGH + 1) * NR_VALUES_BLOCK < NR_PASSES_KEPT, "changes are kept");

/* Cloud edges make a record lively in places; what the sensor itself does shows elsewhere.
 * Stretches without any change say nothing about noise. */
static double find_quiet(const nr_dense *d, double noise, double *scratch)
{
    size_t n = 0;
    double clip = CLIP_NOISES * sqrt(6.0) * noise;
    size_t stride = 1 + d->count / CHUNK / MOST;
    for (size_t from = 1; from + CHUNK / 2 < d->count; from += stride * CHUNK) {
        size_t used = 0;
        double sum = 0.0;
        double t[3] = {NAN, nr_dense_t_s(d, from - 1), nr_dense_t_s(d, from)};
        double v[3] = {NAN, nr_dense_value(d, from - 1), nr_dense_value(d, from)};
        for (size_t i = from; i < from + CHUNK && i + 1 < d->count; i++) {
            t[0] = t[1], t[1] = t[2], t[2] = nr_dense_t_s(d, i + 1);
            v[0] = v[1], v[1] = v[2], v[2] = nr_dense_value(d, i + 1);
            if (!even(t[1] - t[0], t[2] - t[1]))
                continue;
            double x = fabs(v[0] - 2.0 * v[1] + v[2]);
            x = x < clip ? x : clip;
            sum += x * x;
            used++;
        }
        if (used >= 10 && sum > 0.0)
            scratch[n++] = sqrt(sum / (double)used / 6.0);
    }
    return nr_quantile(scratch, n, QUIET_SHARE);
}

static double find_noise(const nr_dense *d, double step, double *scratch)
{
    size_t stride = 1 + d->count / MOST, n = 0;
    for (size_t i = 1; i + 1 < d->count; i += stride)
        if (even_at(d, i))
            scratch[n++] = second_difference(d, i);
    if (n < 5)
        return NAN;
    double median = nr_quantile(scratch, n, 0.5);
    if (isnan(step) || median >= 2.5 * step)
        return MAD_TO_SD * median / sqrt(6.0);
    double clip = CLIP_STEPS * step, sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        double x = scratch[i] < clip ? scratch[i] : clip;
        sum += x * x;
    }
    return sqrt(sum / (double)n / 6.0);
}

void nr_check_noise(nr_quality *q, const nr_dense *d, double *scratch)
{
    nr_quality_channel *c = &q->channel[d->role];
    if (d->count < 10)
        return;
    c->step = find_step(d, scratch);
    c->noise = find_noise(d, c->step, scratch);
    c->quiet_noise = find_quiet(d, c->noise, scratch);
}
