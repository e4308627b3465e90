/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/tally/tally.h"

#include "analyze/fit/safety.h"
#include "analyze/physics/clearsky.h"
#include "analyze/physics/water.h"
#include "analyze/tally/more.h"
#include "logger/base/order.h"
#include "logger/run/instrument.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_statistics_double.h>

#include <math.h>
#include <stdlib.h>

/* Where the sky model is asked within the time. */
#define EVERY_S 60.0
/* Two times read to the full minute, each a rectangle of 60 s (JCGM 100:2008, 4.3.7). */
#define CLOCK_U_S (60 * M_SQRT2 / sqrt(12.0))
#define WATER_U 0.02
#define AREA_U 0.01
#define SUN_U 0.10
/* Below this share of the sun an input is more likely wrong than the collector so bad. */
#define LITTLE 0.1
/* Tries for a draw that is not below zero; a u of its whole value needs two. */
#define TRIES 100

const char *nr_tally_input_name(nr_tally_input input)
{
    static const char *const name[NR_TALLY_INPUTS] = {"water", "area", "from", "to", "in", "sun"};
    return name[input];
}

/* The usual standard uncertainty of an input, where none is stated (some are relative to its
 * value); clear_sky: the irradiance is a sky model's. */
static double usual_u(nr_tally_input input, double value, bool clear_sky)
{
    switch (input) {
    case NR_TALLY_WATER:
        return WATER_U * value;
    case NR_TALLY_AREA:
        return AREA_U * value;
    case NR_TALLY_DURATION:
        return CLOCK_U_S;
    case NR_TALLY_SUN:
        return (clear_sky ? NR_CLEAR_SKY_U : SUN_U) * value;
    default:
        return nr_instrument_find("kitchen", NR_DIM_TEMPERATURE)->u_offset;
    }
}

const char *nr_tally_usual_source(nr_tally_input input, bool clear_sky)
{
    switch (input) {
    case NR_TALLY_WATER:
        return "marks of a bucket or jug; common practice, no source";
    case NR_TALLY_AREA:
        return "a tape measure; common practice, no source";
    case NR_TALLY_DURATION:
        return "two times read to the minute (JCGM 100, 4.3.7)";
    case NR_TALLY_SUN:
        return clear_sky ? "a sky model on one day; common practice, no source"
                         : "a hand-held meter, or a mean guessed from one; common practice, no "
                           "source";
    default:
        return "a kitchen thermometer, within 1 degC (EN 13485 class 1, from memory)";
    }
}

nr_tally_question nr_tally_open(void)
{
    nr_tally_question q = {.air_degC = NAN,
                           .latitude_deg = NAN,
                           .longitude_deg = NAN,
                           .elevation_m = 0,
                           .tilt_deg = NAN,
                           .azimuth_deg = NAN,
                           .start_utc_s = NAN,
                           .draws = 20000,
                           .seed = 1};
    for (int i = 0; i < NR_TALLY_INPUTS; i++)
        q.input[i] = (nr_stated){NAN, NAN};
    return q;
}

/* J, W, 1 of one set of inputs; NAN where the sun is not known. */
static void results_of(const double in[NR_TALLY_INPUTS], double out[NR_TALLY_RESULTS])
{
    out[NR_TALLY_HEAT] =
        in[NR_TALLY_WATER] * nr_water_enthalpy_rise_J_kg(in[NR_TALLY_FROM], in[NR_TALLY_TO]);
    out[NR_TALLY_POWER] = out[NR_TALLY_HEAT] / in[NR_TALLY_DURATION];
    out[NR_TALLY_EFFICIENCY] = out[NR_TALLY_POWER] / (in[NR_TALLY_SUN] * in[NR_TALLY_AREA]);
}

static bool temperature(nr_tally_input input)
{
    return input == NR_TALLY_FROM || input == NR_TALLY_TO;
}

static nr_code clear_sky(nr_tally *t, nr_err *err)
{
    const nr_tally_question *q = &t->asked;
    nr_place place = {q->latitude_deg, q->longitude_deg, q->elevation_m, q->tilt_deg,
                      q->azimuth_deg};
    if (isnan(q->latitude_deg + q->longitude_deg))
        return nr_fail_asked(err, "site", "a clear-sky irradiance needs a place");
    if (isnan(q->tilt_deg + q->azimuth_deg))
        return nr_fail_asked(err, "tilt,azimuth",
                             "a clear-sky irradiance needs the collector's plane");
    if (isnan(q->start_utc_s))
        return nr_fail_asked(err, "date,start", "a clear-sky irradiance needs to know when");
    double whole = q->input[NR_TALLY_DURATION].value, sun = 0, angle = 0;
    size_t n = (size_t)ceil(whole / EVERY_S);
    for (size_t k = 0; k < n; k++) {
        double at = q->start_utc_s + whole * ((double)k + 0.5) / (double)n;
        nr_clear_instant now = nr_clear_sky_at(at, place, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT);
        sun += fmax(now.plane.total, 0);
        angle += fmax(now.plane.total, 0) * now.incidence_deg;
    }
    if (!(sun > 0))
        return nr_fail(err, NR_CANNOT, NULL, 0,
                       "the sun was down, or behind the collector, at that place and time");
    t->asked.input[NR_TALLY_SUN].value = sun / (double)n;
    t->incidence_deg = angle / sun;
    return NR_OK;
}

static nr_code complete(nr_tally *t, nr_err *err)
{
    nr_tally_question *q = &t->asked;
    for (int i = 0; i < NR_TALLY_SUN; i++)
        if (isnan(q->input[i].value))
            return nr_fail_asked(err, nr_tally_input_name((nr_tally_input)i),
                                 "say all that the balance is made of");
    if (q->input[NR_TALLY_TO].value <= q->input[NR_TALLY_FROM].value)
        return nr_fail_asked(err, "to,from",
                             "the water must have become warmer; what it loses standing still is "
                             "told by `noonfit fit` of a cool-down");
    if (q->clear_sky) {
        nr_code code = clear_sky(t, err);
        if (code)
            return code;
    }
    t->sun_known = isfinite(q->input[NR_TALLY_SUN].value);
    for (int i = 0; i < NR_TALLY_INPUTS; i++) {
        nr_stated *in = &q->input[i];
        t->u_stated[i] = isfinite(in->u);
        if (!t->u_stated[i])
            in->u = usual_u((nr_tally_input)i, in->value, q->clear_sky);
    }
    return NR_OK;
}

/* Each input's own part of the variance, by what one u of it does either way. */
static void shares(nr_tally *t, double part[NR_TALLY_RESULTS][NR_TALLY_INPUTS])
{
    double in[NR_TALLY_INPUTS], up[NR_TALLY_RESULTS], down[NR_TALLY_RESULTS];
    for (int i = 0; i < NR_TALLY_INPUTS; i++)
        in[i] = t->asked.input[i].value;
    for (int i = 0; i < NR_TALLY_INPUTS; i++) {
        /* A hundredth of u, so that a large u does not run through zero. */
        double middle = in[i], u = t->asked.input[i].u, step = u / 100;
        in[i] = middle + step;
        results_of(in, up);
        in[i] = middle - step;
        results_of(in, down);
        in[i] = middle;
        for (int r = 0; r < NR_TALLY_RESULTS; r++) {
            double effect = (up[r] - down[r]) / (2 * step) * u;
            part[r][i] = isfinite(effect) && u > 0 ? effect * effect : 0;
        }
    }
    for (int r = 0; r < NR_TALLY_RESULTS; r++) {
        double all = 0;
        for (int i = 0; i < NR_TALLY_INPUTS; i++)
            all += part[r][i];
        for (int i = 0; i < NR_TALLY_INPUTS; i++)
            t->share[r][i] = all > 0 ? part[r][i] / all : 0;
    }
    const double *of = t->share[t->sun_known ? NR_TALLY_EFFICIENCY : NR_TALLY_POWER];
    for (int i = 0; i < NR_TALLY_INPUTS; i++)
        if (of[i] > of[t->dominates])
            t->dominates = (nr_tally_input)i;
}

static double draw_one(const gsl_rng *chance, const nr_stated *in, bool above_zero)
{
    for (int k = 0; k < TRIES; k++) {
        double x = in->value + gsl_ran_gaussian(chance, in->u);
        if (!above_zero || x > 0)
            return x;
    }
    return in->value;
}

/* random: what another such test has anew, as a share of the variance. */
static nr_quantity quantity_of(double value, double *drawn, size_t n, double random,
                               nr_quantity_unit unit)
{
    if (!isfinite(value))
        return nr_quantity_unknown(unit);
    double u = gsl_stats_sd(drawn, 1, n);
    qsort(drawn, n, sizeof *drawn, nr_ascending);
    return (nr_quantity){.known = true,
                         .value = value,
                         .u = u,
                         .u_random = u * sqrt(random),
                         .u_systematic = u * sqrt(1 - random),
                         .lo95 = gsl_stats_quantile_from_sorted_data(drawn, 1, n, 0.025),
                         .hi95 = gsl_stats_quantile_from_sorted_data(drawn, 1, n, 0.975),
                         .unit = unit};
}

static nr_code monte_carlo(nr_tally *t, nr_err *err)
{
    static const nr_quantity_unit unit[NR_TALLY_RESULTS] = {NR_UNIT_J, NR_UNIT_W, NR_UNIT_ONE};
    size_t n = t->asked.draws;
    double *drawn = malloc(NR_TALLY_RESULTS * n * sizeof *drawn);
    gsl_rng *chance = gsl_rng_alloc(gsl_rng_mt19937);
    if (!drawn || !chance) {
        free(drawn);
        gsl_rng_free(chance);
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    gsl_rng_set(chance, t->asked.seed);
    double in[NR_TALLY_INPUTS], out[NR_TALLY_RESULTS];
    for (size_t k = 0; k < n; k++) {
        for (int i = 0; i < NR_TALLY_INPUTS; i++)
            in[i] = isfinite(t->asked.input[i].value)
                        ? draw_one(chance, &t->asked.input[i], !temperature((nr_tally_input)i))
                        : NAN;
        results_of(in, out);
        for (int r = 0; r < NR_TALLY_RESULTS; r++)
            drawn[(size_t)r * n + k] = out[r];
    }
    for (int i = 0; i < NR_TALLY_INPUTS; i++)
        in[i] = t->asked.input[i].value;
    results_of(in, out);
    for (int r = 0; r < NR_TALLY_RESULTS; r++) {
        double random =
            t->share[r][NR_TALLY_FROM] + t->share[r][NR_TALLY_TO] + t->share[r][NR_TALLY_DURATION];
        t->result[r] = quantity_of(out[r], drawn + (size_t)r * n, n, fmin(random, 1), unit[r]);
    }
    free(drawn);
    gsl_rng_free(chance);
    return NR_OK;
}

static void judge(nr_tally *t)
{
    const nr_quantity *share = &t->result[NR_TALLY_EFFICIENCY];
    if (share->known && share->lo95 > NR_TALLY_MOST)
        t->trust = (nr_trust){.count = 1,
                              .reason = {{.code = NR_TRUST_TOO_MUCH_HEAT,
                                          .withholds = true,
                                          .weight = share->lo95 / NR_TALLY_MOST,
                                          .number = {share->value}}}};
    else if (share->known && share->hi95 < LITTLE)
        t->trust = (nr_trust){.count = 1,
                              .reason = {{.code = NR_TRUST_GAIN_LITTLE,
                                          .weight = LITTLE / share->hi95,
                                          .number = {share->value}}}};
    const nr_stated *to = &t->asked.input[NR_TALLY_TO];
    nr_quantity end = nr_quantity_make(to->value, to->u, 0, INFINITY, NR_UNIT_DEGC);
    nr_safety_water(&t->cautions, &end);
}

nr_code nr_tally_make(const nr_tally_question *question, nr_tally *t, nr_err *err)
{
    *t = (nr_tally){.asked = *question, .incidence_deg = NAN, .sun_J = NAN};
    nr_code code = complete(t, err);
    if (code)
        return code;
    double part[NR_TALLY_RESULTS][NR_TALLY_INPUTS];
    shares(t, part);
    code = monte_carlo(t, err);
    if (code)
        return code;
    const nr_stated *in = t->asked.input;
    t->over_air_K = (in[NR_TALLY_FROM].value + in[NR_TALLY_TO].value) / 2 - t->asked.air_degC;
    if (t->sun_known)
        t->sun_J = in[NR_TALLY_SUN].value * in[NR_TALLY_AREA].value * in[NR_TALLY_DURATION].value;
    judge(t);
    nr_tally_more_of(t, usual_u(NR_TALLY_FROM, t->asked.air_degC, false));
    return NR_OK;
}
