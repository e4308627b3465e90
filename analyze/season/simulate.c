/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/season/inside.h"

#include "analyze/forecast/day.h"
#include "analyze/forecast/heatup.h"
#include "analyze/forecast/mixing.h"

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Points of the weather within a day, and of the trace that the warmest is looked for in. */
#define EVERY_S 600.0
#define TRACE 109
/* Part of a parameter's scale over which differences are taken (answer/results.c has why). */
#define PART_OF_SCALE 1e-3
/* Stations measure wind at 10 m over open ground; at 1.5 m it is ln(1.5/0.05)/ln(10/0.05) of that
 * (logarithmic profile, roughness of farmland 5 cm: common practice, no source). */
#define WIND_AT_COLLECTOR 0.64
#define COLDEST_FILL_DEGC 1.0 /* water, not ice */
#define DAY_S 86400.0
/* Of a day's simulation: steps of three minutes lag by one and a half, and a year has 365 days. */
#define STEPS_S 180.0

static nr_code no_memory(nr_err *err)
{
    return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}

/* --- draws ------------------------------------------------------------------------------------ */

/* The covariance of the lasting parameters as its lower triangle L, L L^T. A parameter that the
 * others fix leaves a pivot of nothing: so much is added that the root exists. */
static nr_code root_of_covariance(const nr_joint *j, const nr_season_draws *d, gsl_matrix **out,
                                  nr_err *err)
{
    size_t m = nr_joint_parameters(j), n = d->lasting;
    double *a = calloc(2 * m, sizeof *a), *b = a ? a + m : NULL;
    *out = gsl_matrix_alloc(n, n);
    if (!a || !*out) {
        free(a);
        return no_memory(err);
    }
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k <= i; k++) {
            memset(a, 0, 2 * m * sizeof *a);
            a[d->parameter[i]] = b[d->parameter[k]] = 1;
            double c = nr_joint_covariance(j, a, b) * (i == k ? 1 + 1e-9 : 1);
            gsl_matrix_set(*out, i, k, c);
            gsl_matrix_set(*out, k, i, c);
        }
    free(a);
    if (gsl_linalg_cholesky_decomp1(*out))
        return nr_fail(err, NR_CANNOT, NULL, 0,
                       "the fit's covariance has no root; the record does not hold the collector");
    return NR_OK;
}

nr_code nr_season_draw(const nr_solved *s, size_t count, unsigned long seed, nr_season_draws *d,
                       nr_err *err)
{
    const nr_joint *j = s->joint;
    size_t m = nr_joint_parameters(j);
    *d = (nr_season_draws){.count = count, .parameter = calloc(m, sizeof *d->parameter)};
    if (!d->parameter)
        return no_memory(err);
    for (size_t i = 0; i < m; i++)
        if (nr_term_lasts(nr_joint_parameter(j, i).term))
            d->parameter[d->lasting++] = i;
    d->departure = calloc(count * d->lasting + 1, sizeof *d->departure);
    gsl_matrix *root = NULL;
    nr_code code = d->departure ? root_of_covariance(j, d, &root, err) : no_memory(err);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double *z = calloc(d->lasting + 1, sizeof *z);
    if (!code && (!rng || !z))
        code = no_memory(err);
    if (!code)
        gsl_rng_set(rng, seed);
    for (size_t k = 0; !code && k < count; k++) {
        for (size_t i = 0; i < d->lasting; i++)
            z[i] = gsl_ran_gaussian_ziggurat(rng, 1);
        for (size_t i = 0; i < d->lasting; i++)
            for (size_t l = 0; l <= i; l++)
                d->departure[k * d->lasting + i] += gsl_matrix_get(root, i, l) * z[l];
    }
    free(z);
    gsl_rng_free(rng);
    gsl_matrix_free(root);
    return code;
}

void nr_season_draws_free(nr_season_draws *d)
{
    free(d->parameter);
    free(d->departure);
    *d = (nr_season_draws){0};
}

/* --- one day ---------------------------------------------------------------------------------- */

typedef struct work {
    const nr_solved *solved;
    const nr_season_draws *draws;
    const nr_hourly *weather;
    const nr_season_question *q;
    nr_hourly_plane plane;
    double b0;
    size_t points;
    nr_hourly_sample *sample; /* [points] from start to deadline, and the whole day before that */
    double *values;           /* [5 * points] for the forecast */
    double *x, *slope;        /* [parameters], [lasting] */
} work;

static double warmest(const work *w, const nr_heatup_case *c, const double *x)
{
    double trace[TRACE], top = -INFINITY;
    if (!nr_heatup_trace(w->solved->joint, x, c, TRACE, trace))
        return NAN;
    for (size_t k = 0; k < TRACE; k++)
        top = fmax(top, trace[k]);
    return top;
}

/* Air over the whole day: its mean for the fill, its least for frost. False: no whole day. */
static bool whole_day(const work *w, double midnight_s, double *mean, double *least)
{
    nr_hourly_sample hour[24];
    nr_hourly_samples(w->weather, &w->plane, midnight_s, 3600, 24, hour);
    *mean = 0;
    *least = INFINITY;
    for (int k = 0; k < 24; k++) {
        if (isnan(hour[k].air_degC))
            return false;
        *mean += hour[k].air_degC / 24;
        *least = fmin(*least, hour[k].air_degC);
    }
    return true;
}

/* The weather from start to deadline as the forecast wants it; sums and means into the day. */
static bool sunny_part(work *w, double midnight_s, nr_forecast *f, nr_season_day *day)
{
    size_t n = w->points;
    double *sun = w->values, *air = sun + n, *oblique = air + n, *flow = oblique + n;
    double *iam = flow + n, wind = 0;
    nr_hourly_samples(w->weather, &w->plane, midnight_s + w->q->start_s - EVERY_S / 2, EVERY_S, n,
                      w->sample);
    bool running = false;
    for (size_t k = 0; k < n; k++) {
        const nr_hourly_sample *s = &w->sample[k];
        if (isnan(s->sun_W_m2 + s->air_degC))
            return false;
        double share = s->sun_W_m2 > 0 ? s->beam_W_m2 / s->sun_W_m2 : 0;
        double part = k == 0 || k == n - 1 ? 0.5 : 1;
        oblique[k] = nr_day_obliquity(w->solved, share, s->incidence_deg);
        iam[k] = nr_day_modifier(w->solved, share, s->incidence_deg);
        running = nr_day_pump_runs(w->solved, s->sun_W_m2, running);
        flow[k] = running ? 1 : 0;
        sun[k] = s->sun_W_m2 * fmax(1 - w->b0 * oblique[k], 0);
        air[k] = s->air_degC;
        wind += WIND_AT_COLLECTOR * s->wind_m_s / (double)n;
        day->sun_kWh_m2 += part * s->sun_W_m2 * EVERY_S / 3.6e6;
        day->air_degC += s->air_degC / (double)n;
    }
    *f = (nr_forecast){.count = n,
                       .every_s = EVERY_S,
                       .sun_W_m2 = sun,
                       .air_degC = air,
                       .obliquity = oblique,
                       .iam = w->solved->at.conditions.iam > 0 ? iam : NULL,
                       .flow_share = flow};
    if (isfinite(wind) && isfinite(w->solved->wind_m_s))
        f->wind_above_mean_m_s = wind - w->solved->wind_m_s;
    return true;
}

/* The warmest on the best estimate, its slopes to the lasting parameters, and each draw's. */
static bool warm_day(work *w, const nr_heatup_case *c, nr_season_day *day, double *of_draw,
                     size_t stride)
{
    const nr_joint *j = w->solved->joint;
    const nr_season_draws *d = w->draws;
    size_t m = nr_joint_parameters(j);
    memcpy(w->x, nr_joint_x(j), m * sizeof *w->x);
    day->warmest_degC = warmest(w, c, w->x);
    for (size_t i = 0; i < d->lasting; i++) {
        size_t p = d->parameter[i];
        double h = PART_OF_SCALE * nr_joint_parameter(j, p).scale, here = w->x[p];
        w->x[p] = here + h;
        w->slope[i] = (warmest(w, c, w->x) - day->warmest_degC) / h;
        w->x[p] = here;
    }
    double sum = 0;
    size_t reached = 0;
    for (size_t k = 0; k < d->count; k++) {
        double change = 0;
        for (size_t i = 0; i < d->lasting; i++)
            change += w->slope[i] * d->departure[k * d->lasting + i];
        /* Water does not get colder than it was poured in by a worse collector. */
        double T = fmax(day->warmest_degC + change, day->from_degC);
        of_draw[k * stride] = T;
        sum += change * change;
        reached += T >= w->q->to_degC;
    }
    day->u_K = d->count ? sqrt(sum / (double)d->count) : 0;
    day->probability =
        d->count ? (double)reached / (double)d->count : day->warmest_degC >= w->q->to_degC;
    return isfinite(day->warmest_degC);
}

static nr_heatup_case case_of(const work *w, const nr_forecast *f, const nr_season_day *day)
{
    const nr_season_question *q = w->q;
    nr_day d = nr_day_stated();
    d.water_kg = q->water_kg;
    d.store_loss_W_K = q->store_loss_W_K;
    d.area_m2 = q->area_m2;
    d.from_degC = day->from_degC;
    d.to_degC = q->to_degC;
    d.limit_s = q->by_s - q->start_s;
    nr_day_weather weather = {.forecast = *f};
    nr_heatup_case c = nr_day_case(w->solved, &d, &weather);
    c.steps = (size_t)fmin(ceil(c.limit_s / STEPS_S), NR_HEATUP_STEPS);
    return c;
}

/* --- the year --------------------------------------------------------------------------------- */

/* Room for every day the table touches. */
static nr_code open_run(const nr_hourly *weather, size_t draws, nr_season_run *run, double *first_s,
                        nr_err *err)
{
    double from = weather->row[0].from_s, to = weather->row[weather->rows - 1].from_s;
    double shift = weather->longitude_deg * DAY_S / 360; /* mean solar time is ahead of UTC */
    *first_s = floor((from + shift) / DAY_S) * DAY_S;
    size_t most = (size_t)((to - *first_s + shift) / DAY_S) + 1;
    *run = (nr_season_run){.draws = draws,
                           .day = calloc(most, sizeof *run->day),
                           .warmest = calloc(most * (draws + 1), sizeof(double))};
    run->days = most;
    return run->day && run->warmest ? NR_OK : no_memory(err);
}

void nr_season_run_free(nr_season_run *run)
{
    free(run->day);
    free(run->warmest);
    *run = (nr_season_run){0};
}

static nr_code open_work(work *w, nr_err *err)
{
    size_t m = nr_joint_parameters(w->solved->joint);
    w->points = (size_t)ceil((w->q->by_s - w->q->start_s) / EVERY_S) + 1;
    w->sample = calloc(w->points, sizeof *w->sample);
    w->values = calloc(5 * w->points, sizeof *w->values);
    w->x = calloc(m, sizeof *w->x);
    w->slope = calloc(w->draws->lasting + 1, sizeof *w->slope);
    w->b0 = nr_day_unfitted_b0(w->solved);
    w->plane = (nr_hourly_plane){.tilt_deg = w->q->tilt_deg,
                                 .azimuth_deg = w->q->azimuth_deg,
                                 .re_aimed = w->q->re_aimed,
                                 .albedo = 0.2};
    return w->sample && w->values && w->x && w->slope ? NR_OK : no_memory(err);
}

static void close_work(work *w)
{
    free(w->sample);
    free(w->values);
    free(w->x);
    free(w->slope);
}

nr_code nr_season_simulate(const nr_solved *s, const nr_season_draws *draws,
                           const nr_hourly *weather, const nr_season_question *q,
                           nr_season_progress progress, void *progress_context, nr_season_run *run,
                           nr_err *err)
{
    nr_hourly placed = *weather;
    placed.latitude_deg = q->latitude_deg;
    placed.longitude_deg = q->longitude_deg;
    work w = {.solved = s, .draws = draws, .weather = &placed, .q = q};
    double first_s = 0;
    nr_code code = open_run(&placed, draws->count, run, &first_s, err);
    if (!code)
        code = open_work(&w, err);
    size_t kept = 0, all = run->days;
    for (size_t k = 0; !code && k < all; k++) {
        /* Mean solar midnight of the place. */
        double date = first_s + DAY_S * (double)k;
        double midnight = date - placed.longitude_deg * DAY_S / 360, mean;
        nr_season_day day = {.date_s = date};
        nr_forecast f;
        if (progress)
            progress(progress_context, k, all);
        if (!whole_day(&w, midnight, &mean, &day.least_air_degC) ||
            !sunny_part(&w, midnight, &f, &day))
            continue;
        day.from_degC = isnan(q->from_degC) ? fmax(mean, COLDEST_FILL_DEGC) : q->from_degC;
        nr_heatup_case c = case_of(&w, &f, &day);
        if (!warm_day(&w, &c, &day, run->warmest + kept, all))
            code = nr_fail(err, NR_CANNOT, NULL, 0, "a day of the year cannot be simulated");
        day.uses = nr_season_uses(q, &day, day.warmest_degC);
        run->day[kept++] = day;
    }
    close_work(&w);
    /* Close up: warmest[draw][day] with the days there are. */
    for (size_t k = 0; !code && k < draws->count; k++)
        memmove(run->warmest + k * kept, run->warmest + k * all, kept * sizeof(double));
    run->days = kept;
    if (!code && !kept)
        code = nr_fail(err, NR_CANNOT, NULL, 0, "the table of weather has no whole day");
    return code;
}

double nr_season_uses(const nr_season_question *q, const nr_season_day *day, double warmest_degC)
{
    double tap = isnan(q->tap_degC) ? day->from_degC : q->tap_degC;
    double mixed = nr_mixed_L(q->water_kg, warmest_degC, tap, q->use_degC);
    return isfinite(mixed) ? mixed / q->use_L : 0;
}
