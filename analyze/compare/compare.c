/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/compare/compare.h"

#include "analyze/compare/exchanged.h"
#include "analyze/compare/lines.h"
#include "analyze/compare/rank.h"
#include "analyze/compare/skies.h"
#include "analyze/compare/verdict.h"
#include "analyze/fit/derive.h"
#include "analyze/forecast/heatup.h"

#include <gsl/gsl_cdf.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Points of a heat-up curve. */
#define TRACE 81
/* A heat-up longer than this is not reached. */
#define LIMIT_S (12 * 3600.0)
/* The shortest rise worth comparing when the records do not overlap. */
#define LEAST_RISE_K 5.0
/* Size of the difference a good test should be able to show. */
#define WORTH_SEEING 0.10
/* Crossing points are told up to this far from the air's temperature. */
#define CROSSING_LOW_K (-10.0)
#define CROSSING_HIGH_K 80.0

typedef struct problem {
    nr_series *series[NR_JOINT_RUNS];
    size_t build_of[NR_JOINT_RUNS];
    size_t runs, builds;
    nr_joint *joint;
    nr_joint *part[NR_BUILDS]; /* of it, one a build */
    /* Of the parts: common irradiance, air and incidence; each build's own flow. */
    nr_curve_at at[NR_BUILDS];
    nr_heatup_case day[NR_BUILDS];
    nr_skies weather;
    nr_lines lines;
} problem;

void nr_compare_free(nr_compare *c)
{
    if (!c)
        return;
    for (size_t b = 0; b < c->builds; b++) {
        nr_fit_free(c->build[b]);
        free(c->heat_up[b].t_s);
        free(c->heat_up[b].store_degC);
        free(c->heat_up[b].lo95);
        free(c->heat_up[b].hi95);
    }
    free(c);
}

static void problem_free(problem *p)
{
    nr_lines_free(&p->lines);
    for (size_t b = 0; b < p->builds; b++)
        nr_joint_free(p->part[b]);
    nr_joint_free(p->joint);
    nr_series_free_all(p->series, p->runs);
    free(p);
}

static nr_code open_series(problem *p, const nr_run *const *const *groups, const size_t *counts,
                           size_t builds, nr_err *err)
{
    p->builds = builds;
    for (size_t g = 0; g < builds; g++) {
        for (size_t i = 0; i < counts[g]; i++) {
            if (p->runs == NR_JOINT_RUNS)
                return nr_fail(err, NR_BAD, NULL, 0, "at most %d runs can be compared together",
                               NR_JOINT_RUNS);
            nr_code code = nr_series_build(groups[g][i], &p->series[p->runs], err);
            if (code)
                return code;
            p->build_of[p->runs++] = g;
        }
    }
    return NR_OK;
}

/* Builds are only comparable when all of them are separated from their containers, or none. */
static nr_code solve(problem *p, const nr_fit_options *options, nr_compare *c, nr_err *err)
{
    nr_code code =
        nr_fit_joint(p->series, p->build_of, p->runs, p->builds, options, &p->joint, err);
    if (code)
        return code;
    size_t separate = 0;
    for (size_t b = 0; b < p->builds; b++)
        separate += nr_joint_store_loss_separate(p->joint, b);
    if (separate == 0 || separate == p->builds)
        return NR_OK;
    nr_joint_free(p->joint);
    p->joint = NULL;
    nr_fit_options lumped = *options;
    lumped.lump_store_loss = true;
    nr_warning_add(&c->warnings, NR_WARN_LOSS_INCLUDES_STORE_FOR_ALL);
    return nr_fit_joint(p->series, p->build_of, p->runs, p->builds, &lumped, &p->joint, err);
}

/* Conditions all builds are judged under. */
static void common_conditions(problem *p, bool mean_reference)
{
    double sun = 0, air = 0, oblique = 0;
    for (size_t b = 0; b < p->builds; b++) {
        p->at[b] = nr_derive_conditions(p->part[b], 0, mean_reference);
        sun += p->at[b].conditions.sun_W_m2 / (double)p->builds;
        air += p->at[b].conditions.air_degC / (double)p->builds;
        oblique += p->at[b].conditions.obliquity / (double)p->builds;
    }
    for (size_t b = 0; b < p->builds; b++) {
        p->at[b].conditions.sun_W_m2 = sun;
        p->at[b].conditions.air_degC = air;
        p->at[b].conditions.obliquity = oblique;
    }
}

static void store_range(const nr_fit *f, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t r = 0; r < f->runs; r++) {
        const nr_fit_channel *ch = &f->run[r].channel[0]; /* store, or inlet without one */
        for (size_t b = 0; b < f->run[r].blocks; b++) {
            *low = fmin(*low, ch->modelled[b]);
            *high = fmax(*high, ch->modelled[b]);
        }
    }
}

/* The stated day, or one inside what every build was tested at, in round numbers. */
static void choose_day(const problem *p, const nr_reference_day *stated, nr_compare *c)
{
    double from = -INFINITY, to = INFINITY, water = 0, wind = 0, windy = 0, weighed = 0, usual = 0;
    for (size_t b = 0; b < p->builds; b++) {
        double low, high;
        store_range(c->build[b], &low, &high);
        from = fmax(from, low);
        to = fmin(to, high);
    }
    for (size_t r = 0; r < p->runs; r++) { /* what is only taken for usual, where nothing else is */
        bool stated_water = p->series[r]->run->rig.store.water_kg.given;
        water += stated_water ? p->series[r]->water_kg : 0;
        weighed += stated_water;
        usual += p->series[r]->water_kg / (double)p->runs;
        double w = p->series[r]->mean_wind_m_s;
        wind += isnan(w) ? 0 : w;
        windy += !isnan(w);
    }
    nr_reference_day day = {.sun_W_m2 = 50 * round(p->at[0].conditions.sun_W_m2 / 50),
                            .air_degC = round(p->at[0].conditions.air_degC),
                            .wind_m_s = windy > 0 ? wind / windy : NAN,
                            .store_kg = weighed > 0 ? water / weighed : usual,
                            .from_degC = ceil(from),
                            .to_degC = floor(to)};
    if (day.to_degC - day.from_degC < LEAST_RISE_K)
        day.to_degC = day.from_degC + LEAST_RISE_K;
    if (stated) {
        day.stated =
            !isnan(stated->sun_W_m2 + stated->air_degC + stated->from_degC + stated->to_degC);
        day.sun_W_m2 = isnan(stated->sun_W_m2) ? day.sun_W_m2 : stated->sun_W_m2;
        day.air_degC = isnan(stated->air_degC) ? day.air_degC : stated->air_degC;
        day.wind_m_s = isnan(stated->wind_m_s) ? day.wind_m_s : stated->wind_m_s;
        day.store_kg = isnan(stated->store_kg) ? day.store_kg : stated->store_kg;
        day.from_degC = isnan(stated->from_degC) ? day.from_degC : stated->from_degC;
        day.to_degC = isnan(stated->to_degC) ? day.to_degC : stated->to_degC;
    }
    c->day = day;
}

static double mean_wind(const problem *p, size_t build)
{
    for (size_t r = 0; r < p->runs; r++)
        if (p->build_of[r] == build && !isnan(p->series[r]->wind_zero_m_s))
            return p->series[r]->wind_zero_m_s;
    return NAN;
}

static nr_heatup_case day_of(const problem *p, const nr_compare *c, size_t b)
{
    double wind = mean_wind(p, b);
    return (nr_heatup_case){
        .piece = p->at[b].piece,
        .weather = {.count = 1,
                    .every_s = LIMIT_S,
                    .sun_W_m2 = &c->day.sun_W_m2,
                    .air_degC = &c->day.air_degC,
                    .obliquity = &p->at[b].conditions.obliquity,
                    .iam = p->at[b].conditions.iam > 0 ? &p->at[b].conditions.iam : NULL,
                    .wind_above_mean_m_s = isnan(wind) ? 0 : c->day.wind_m_s - wind},
        .water_kg = c->day.store_kg,
        .true_water = true, /* builds are judged by the same water, whoever weighed theirs */
        .store_loss_W_K = NAN,
        .flow_W_K = p->at[b].conditions.flow_W_K,
        .from_degC = c->day.from_degC,
        .to_degC = c->day.to_degC,
        .limit_s = LIMIT_S};
}

/* Chance that the target is reached at all: that the store would still be gaining heat there. */
static double probability_reached(const problem *p, size_t b)
{
    const nr_heatup_case *day = &p->day[b];
    double at_limit = NAN, u = NAN, trace[2], u_trace[2];
    if (nr_heatup_band(p->part[b], day, 2, trace, u_trace)) {
        at_limit = trace[1];
        u = u_trace[1];
    }
    return gsl_cdf_ugaussian_P((at_limit - day->to_degC) / u);
}

static nr_code heat_up(const problem *p, nr_compare *c, size_t b, double span_s, nr_err *err)
{
    nr_heat_up *h = &c->heat_up[b];
    h->count = TRACE;
    h->t_s = malloc(TRACE * sizeof(double));
    h->store_degC = malloc(TRACE * sizeof(double));
    h->lo95 = malloc(TRACE * sizeof(double));
    h->hi95 = malloc(TRACE * sizeof(double));
    double u[TRACE];
    nr_heatup_case day = p->day[b];
    day.limit_s = span_s;
    if (!h->t_s || !h->store_degC || !h->lo95 || !h->hi95 ||
        !nr_heatup_band(p->part[b], &day, TRACE, h->store_degC, u))
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    double k = gsl_cdf_ugaussian_Pinv(0.975);
    for (size_t i = 0; i < TRACE; i++) {
        h->t_s[i] = span_s * (double)i / (TRACE - 1);
        h->lo95[i] = h->store_degC[i] - k * u[i];
        h->hi95[i] = h->store_degC[i] + k * u[i];
    }
    return NR_OK;
}

static nr_code heat_ups(problem *p, nr_compare *c, bool brief, nr_err *err)
{
    double longest = 0;
    for (size_t b = 0; b < p->builds && brief; b++)
        c->heat_up[b].time_s = nr_quantity_unknown(NR_UNIT_S);
    if (brief)
        return NR_OK;
    for (size_t b = 0; b < p->builds; b++) {
        p->day[b] = day_of(p, c, b);
        c->heat_up[b].time_s =
            nr_result_positive(p->part[b], nr_result_heat_up_s, &p->day[b], NR_UNIT_S);
        c->heat_up[b].probability_reached =
            c->heat_up[b].time_s.known ? 1 : probability_reached(p, b);
        if (c->heat_up[b].time_s.known)
            longest = fmax(longest, c->heat_up[b].time_s.hi95);
    }
    if (!(longest > 0))
        longest = 2 * 3600;
    for (size_t b = 0; b < p->builds; b++) {
        nr_code code = heat_up(p, c, b, fmin(1.25 * longest, LIMIT_S), err);
        if (code)
            return code;
    }
    return NR_OK;
}

/* Every result of every build once, with its gradient. */
static nr_code take_lines(problem *p, const nr_compare *c, nr_err *err)
{
    nr_skies_find(p->joint, &p->weather);
    nr_code code = nr_lines_begin(&p->lines, p->joint, &p->weather, err);
    for (size_t b = 0; b < p->builds && !code; b++) {
        nr_curve_at at = p->at[b];
        at.span = nr_derive_span(c->build[b]);
        at.bend = c->build[b]->a2.known;
        code = nr_lines_add(&p->lines, NR_BY_ETA0, b, p->part[b], &p->weather, nr_result_efficiency,
                            &at, err);
        if (!code)
            code = nr_lines_add(&p->lines, NR_BY_A1, b, p->part[b], &p->weather, nr_result_a1, &at,
                                err);
        if (!code && c->heat_up[b].time_s.known)
            code = nr_lines_add(&p->lines, NR_BY_TIME, b, p->part[b], &p->weather,
                                nr_result_heat_up_s, &p->day[b], err);
    }
    return code;
}

/* Covariance of the differences in eta0 and a1. */
static double covariance(const nr_lines *l, const nr_difference *d)
{
    return nr_lines_covariance(l, NR_BY_ETA0, d->of, NR_BY_A1, d->of) -
           nr_lines_covariance(l, NR_BY_ETA0, d->of, NR_BY_A1, d->against) -
           nr_lines_covariance(l, NR_BY_ETA0, d->against, NR_BY_A1, d->of) +
           nr_lines_covariance(l, NR_BY_ETA0, d->against, NR_BY_A1, d->against);
}

/* Where two straight curves meet, as T - Tair at the common irradiance: the ratio of two
 * differences, its interval by E. C. Fieller, J. R. Stat. Soc. B 16 (1954) 175-185 (from memory).
 * Where the slopes differ for certain, it is bounded. */
static void set_crossing(const problem *p, nr_difference *d)
{
    double sun = p->at[0].conditions.sun_W_m2, k = gsl_cdf_ugaussian_Pinv(0.975);
    double a = d->eta0.value, b = d->a1.value;
    double at = a / b * sun;
    bool slopes_differ = d->a1.known && (d->a1.lo95 > 0 || d->a1.hi95 < 0);
    d->crossing = nr_quantity_unknown(NR_UNIT_K);
    d->crossing_known = slopes_differ && at > CROSSING_LOW_K && at < CROSSING_HIGH_K;
    d->crossing_K = d->crossing_known ? at : NAN;
    if (!d->crossing_known)
        return;
    double va = d->eta0.u * d->eta0.u, vb = d->a1.u * d->a1.u, vab = covariance(&p->lines, d);
    double r = a / b, u = sqrt(fmax(va - 2 * r * vab + r * r * vb, 0)) / fabs(b);
    double q2 = b * b - k * k * vb, q1 = a * b - k * k * vab, q0 = a * a - k * k * va;
    double root = sqrt(fmax(q1 * q1 - q2 * q0, 0));
    d->crossing = nr_quantity_make(at, u * sun, 0, INFINITY, NR_UNIT_K);
    d->crossing.lo95 = (q1 - root) / q2 * sun;
    d->crossing.hi95 = (q1 + root) / q2 * sun;
}

static double probability_better(const nr_compare *c, const nr_difference *d)
{
    if (d->heat_up_s.known)
        return gsl_cdf_ugaussian_P(-d->heat_up_s.value / d->heat_up_s.u);
    return c->heat_up[d->of].time_s.known ? 1 : c->heat_up[d->against].time_s.known ? 0 : 0.5;
}

static void compare_pair(const problem *p, nr_compare *c, size_t of, size_t against)
{
    nr_difference *d = &c->difference[c->differences++];
    double k = c->all_k[NR_BY_TIME];
    *d = (nr_difference){
        .of = of, .against = against, .confidence_adjusted = 2 * gsl_cdf_ugaussian_P(k) - 1};
    d->eta0 = nr_lines_difference(&p->lines, NR_BY_ETA0, of, against, NR_UNIT_ONE);
    d->a1 = nr_lines_difference(&p->lines, NR_BY_A1, of, against, NR_UNIT_W_M2K);
    d->heat_up_s = nr_lines_difference(&p->lines, NR_BY_TIME, of, against, NR_UNIT_S);
    d->probability_better = probability_better(c, d);
    set_crossing(p, d);
    double effect = WORTH_SEEING * fabs(c->build[against]->eta0.value);
    d->power = d->eta0.known ? gsl_cdf_ugaussian_P(effect / d->eta0.u - c->all_k[NR_BY_ETA0]) : NAN;
}

/* Two builds share the model's own error as one parameter. */
static bool tested_together(const nr_joint *j)
{
    for (size_t a = 0; a < nr_joint_builds(j); a++)
        for (size_t b = 0; b < a; b++) {
            int one = nr_joint_index(j, nr_joint_piece_of(j, a), NR_TERM_MODEL_GAIN_LIKE);
            if (one >= 0 &&
                one == nr_joint_index(j, nr_joint_piece_of(j, b), NR_TERM_MODEL_GAIN_LIKE))
                return true;
        }
    return false;
}

static nr_code compare_all(problem *p, nr_compare *c, nr_err *err)
{
    nr_code code = take_lines(p, c, err);
    if (!code)
        code = nr_rank_all(&p->lines, c, err);
    c->skies = p->weather.count;
    c->like = tested_together(p->joint);
    nr_exchanged_find(p->joint, c);
    for (size_t against = 0; against < p->builds && !code; against++)
        for (size_t of = against + 1; of < p->builds; of++)
            compare_pair(p, c, of, against);
    return code;
}

/* Label: the collector's name, or the folder's when names are missing or the same. */
static void label_builds(const problem *p, nr_compare *c)
{
    for (size_t b = 0; b < c->builds; b++) {
        const nr_run *run = p->series[0]->run;
        for (size_t r = p->runs; r-- > 0;)
            run = p->build_of[r] == b ? p->series[r]->run : run;
        const char *slash = strrchr(run->folder, '/');
        const char *name = c->build[b]->collector_name;
        bool twin = !name[0];
        for (size_t o = 0; o < c->builds; o++)
            twin = twin || (o != b && !strcmp(name, c->build[o]->collector_name));
        snprintf(c->label[b], sizeof c->label[b], "%.63s",
                 twin ? slash ? slash + 1 : run->folder : name);
    }
}

static nr_code answer(problem *p, const nr_reference_day *day, bool brief, nr_compare *c,
                      nr_err *err)
{
    bool mean_reference = true;
    for (size_t b = 0; b < p->builds; b++) {
        nr_code code = nr_joint_part(p->joint, b, &p->part[b], err);
        if (code)
            return code;
    }
    for (size_t b = 0; b < p->builds; b++)
        mean_reference = mean_reference && nr_derive_knows_flow(p->part[b], 0);
    nr_derive_options how = {
        .mean_reference = mean_reference, .time_constant = !brief, .brief = brief};
    for (size_t b = 0; b < p->builds; b++) {
        nr_code code = nr_derive_fit(p->part[b], 0, &how, &c->build[b], err);
        if (code)
            return code;
        c->builds = b + 1;
    }
    label_builds(p, c);
    for (size_t b = 0; b < p->builds; b++) {
        nr_code code = brief ? NR_OK : nr_trust_judge(p->part[b], 0, NULL, c->build[b], err);
        if (code)
            return code;
        nr_trust_inherit(&c->trust, &c->build[b]->trust, c->label[b]);
    }
    common_conditions(p, mean_reference);
    choose_day(p, day, c);
    nr_code code = heat_ups(p, c, brief, err);
    if (!code)
        code = compare_all(p, c, err);
    if (!code)
        nr_verdict_judge(c);
    return code;
}

nr_code nr_compare_builds(const nr_run *const *const *groups, const size_t *counts, size_t builds,
                          const nr_reference_day *day, const nr_fit_options *options,
                          nr_compare **out, nr_err *err)
{
    *out = NULL;
    if (builds < 2 || builds > NR_BUILDS)
        return nr_fail(err, NR_BAD, NULL, 0, "2 to %d builds can be compared, not %zu", NR_BUILDS,
                       builds);
    problem *p = calloc(1, sizeof *p);
    nr_compare *c = calloc(1, sizeof *c);
    nr_code code = c && p ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code)
        code = open_series(p, groups, counts, builds, err);
    if (!code)
        code = solve(p, options, c, err);
    if (!code)
        code = answer(p, day, options->brief, c, err);
    if (p)
        problem_free(p);
    if (code)
        nr_compare_free(c);
    else
        *out = c;
    return code;
}
