/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/derive.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A second loss coefficient is reported when it is this many standard uncertainties from zero (the
 * T-ratio rule of ISO 9806, 3 in the 2013 and 2017 editions, from memory), when the record has
 * halved the prior's uncertainty, and when the tested range is wide enough to bend in. */
#define T_RATIO 3.0
#define DATA_DECIDE 0.5
#define LEAST_BEND_RANGE_K 20.0
/* Where the slope is read off when the tested range is narrow or one-sided. */
#define LEAST_SPAN 0.01

bool nr_derive_knows_flow(const nr_joint *j, size_t build)
{
    for (size_t i = 0; i < nr_joint_pieces(j); i++) {
        nr_piece_view p = nr_joint_piece(j, i);
        if (p.build == build &&
            (p.series->flow_known || (p.fits[NR_OUT_OUTLET] && p.fits[NR_OUT_STORE])))
            return true;
    }
    return false;
}

nr_curve_at nr_derive_conditions(const nr_joint *j, size_t build, bool mean_reference)
{
    nr_curve_at at = {.piece = nr_joint_piece_of(j, build), .mean = mean_reference};
    double n = 0, flow = 0, oblique = 0, angles = 0, table = 0;
    for (size_t r = 0; r < nr_joint_runs(j); r++) {
        const nr_series *s = nr_joint_series(j, r);
        if (nr_joint_build_of(j, r) != build || isnan(s->mean_sun_W_m2))
            continue;
        n++;
        at.conditions.sun_W_m2 += s->mean_sun_W_m2;
        at.conditions.sky_W_m2 += s->mean_sky_W_m2;
        at.conditions.has_sky = at.conditions.has_sky || s->sky_source != NR_SKY_NOT_USED;
        at.conditions.air_degC += s->mean_air_degC;
        flow += s->mean_flow_W_K;
        if (!isnan(s->obliquity_mean)) {
            oblique += s->obliquity_mean;
            table += s->iam_mean;
            angles++;
        }
    }
    at.conditions.sun_W_m2 /= n;
    at.conditions.sky_W_m2 /= n;
    at.conditions.iam = angles > 0 ? table / angles : 0;
    at.conditions.air_degC /= n;
    at.conditions.flow_W_K = flow / n;
    at.conditions.obliquity = angles > 0 ? oblique / angles : 0;
    return at;
}

/* Whether the record itself, not the prior, says that the loss grows with temperature. */
static bool bend_shows(const nr_joint *j, size_t piece, const nr_fit *f)
{
    int i = nr_joint_index(j, piece, NR_TERM_LOSS2);
    if (i < 0 || f->dT_range[1] - f->dT_range[0] < LEAST_BEND_RANGE_K)
        return false;
    nr_parameter_view p = nr_joint_parameter(j, (size_t)i);
    if (!(p.u < DATA_DECIDE * p.prior_u))
        return false;
    /* What the record alone says: the posterior with the prior taken out again. */
    double weight = 1 / (p.u * p.u), prior = 1 / (p.prior_u * p.prior_u);
    double value = (weight * p.value - prior * p.prior) / (weight - prior);
    double ratio = value * sqrt(weight - prior);
    /* Second opinion: the Bayesian information criterion falls by ratio^2 - ln n when the
     * parameter is kept (G. Schwarz, Annals of Statistics 6 (1978) 461-464). */
    size_t rows;
    (void)nr_joint_chi2(j, &rows);
    return ratio > T_RATIO && ratio * ratio > log((double)rows);
}

/* Whether a reading of the container is in the fit. */
static bool store_told(const nr_joint *j, size_t piece)
{
    nr_piece_view p = nr_joint_piece(j, piece);
    return !p.driven || p.fits[NR_OUT_STORE];
}

/* What the rise without flow is made of, so that it can be followed by hand. */
static void derive_standstill(const nr_joint *j, const nr_curve_at *at, nr_fit *f)
{
    nr_standstill *s = &f->standstill;
    nr_loop_params p = nr_joint_device(j, at->piece, nr_joint_x(j));
    int bend = nr_joint_index(j, at->piece, NR_TERM_LOSS2);
    s->sun_W_m2 = NR_STANDSTILL_SUN_W_M2;
    s->gain = p.optical;
    s->gain -= p.aside_W_m2 / s->sun_W_m2;
    if (at->conditions.has_sky)
        s->gain += p.sky * (at->conditions.sky_W_m2 + p.sky_offset_W_m2) / s->sun_W_m2;
    s->loss_W_m2K = p.loss_W_m2K;
    s->loss2_W_m2K2 = p.loss2_W_m2K2;
    s->straight_K = f->a1.value > 0 ? f->eta0.value * s->sun_W_m2 / f->a1.value : NAN;
    if (bend < 0)
        return;
    nr_parameter_view v = nr_joint_parameter(j, (size_t)bend);
    s->loss2_u = v.u;
    s->loss2_taken = !(v.u < DATA_DECIDE * v.prior_u);
}

static void derive_coefficients(const nr_joint *j, nr_curve_at *at, nr_fit *f,
                                const nr_derive_options *options, double *share[NR_SHARES])
{
    f->a2_told = bend_shows(j, at->piece, f);
    at->bend = f->a2_told || options->quadratic;
    nr_curve_at zero = *at;
    f->eta0 =
        nr_result_quantity(j, nr_result_efficiency, &zero, 0, NR_UNIT_ONE, share[NR_SHARE_ETA0]);
    f->constant_W_m2 = nr_result_constant_W_m2(j, nr_joint_x(j), at);
    if (f->incidence.known) {
        zero.conditions.obliquity = 0;
        zero.conditions.iam = zero.conditions.iam > 0 ? 1 : 0;
        f->eta0_normal = nr_result_quantity(j, nr_result_efficiency, &zero, 0, NR_UNIT_ONE, NULL);
    } else {
        f->eta0_normal = nr_quantity_unknown(NR_UNIT_ONE);
    }
    f->a1 = nr_result_quantity(j, nr_result_a1, at, 0, NR_UNIT_W_M2K, share[NR_SHARE_A1]);
    f->a2 = at->bend ? nr_result_quantity(j, nr_result_a2, at, 0, NR_UNIT_W_M2K2, NULL)
                     : nr_quantity_unknown(NR_UNIT_W_M2K2);
    f->a5 = nr_result_positive(j, nr_result_a5, at, NR_UNIT_J_M2K);
    f->stagnation_K = nr_result_positive(j, nr_result_stagnation_K, at, NR_UNIT_K);
    derive_standstill(j, at, f);
    f->store_loss = f->loss_includes_store || !store_told(j, at->piece)
                        ? nr_quantity_unknown(NR_UNIT_W_K)
                        : nr_result_quantity(j, nr_result_store_loss, at, 0, NR_UNIT_W_K, NULL);
    f->time_constant_s = options->time_constant && options->mean_reference
                             ? nr_result_positive(j, nr_result_time_constant_s, at, NR_UNIT_S)
                             : nr_quantity_unknown(NR_UNIT_S);
}

static void add_budget(nr_fit *f, const nr_joint *j, double *const share[NR_SHARES])
{
    double total[NR_SHARES] = {0};
    size_t m = nr_joint_parameters(j);
    for (int s = 0; s < NR_SHARES; s++)
        for (size_t i = 0; i <= m; i++)
            total[s] += share[s][i];
    for (size_t i = 0; i <= m; i++) {
        nr_parameter_view of = {.term = NR_TERMS};
        const nr_parameter_view *p = i < m ? &of : NULL;
        if (p)
            of = nr_joint_parameter(j, i);
        if (p && !p->has_prior)
            continue;
        const char *label = p ? p->label : "noise of the record: resolution, wind, mixing";
        size_t k = 0;
        while (k < f->budget_items &&
               (f->budget[k].term != (int)of.term || f->budget[k].variant != of.variant))
            k++;
        if (k == NR_BUDGET_ITEMS)
            continue;
        nr_budget_item *item = &f->budget[k];
        if (k == f->budget_items) {
            f->budget_items++;
            *item = (nr_budget_item){
                .term = (int)of.term, .variant = of.variant, .stated_u = p ? p->prior_u : NAN};
            snprintf(item->label, sizeof item->label, "%s", label);
            snprintf(item->channel, sizeof item->channel, "%s", p ? p->channel : "");
            item->bought = p && p->ask[0] ? 1 - pow(p->asked_u / p->prior_u, 2) : 0;
            snprintf(item->ask, sizeof item->ask, "%s", p ? p->ask : "");
            snprintf(item->unit, sizeof item->unit, "%s", p ? p->unit : "");
        }
        for (int s = 0; s < NR_SHARES; s++)
            item->share[s] += total[s] > 0 ? share[s][i] / total[s] : 0;
    }
}

static int by_share(const void *a, const void *b)
{
    double x = ((const nr_budget_item *)a)->share[NR_SHARE_ETA0];
    double y = ((const nr_budget_item *)b)->share[NR_SHARE_ETA0];
    return (x < y) - (x > y);
}

/* Sizes are fitted as logarithms or roots; people want the thing itself. */
static void undo_scale(const nr_parameter_view *p, nr_learned *l)
{
    double slope_stated, slope_found;
    switch (nr_term_transform(p->term)) {
    case NR_LOGARITHM:
        if (!nr_term_natural_unit(p->term)[0])
            return; /* of a ratio, the logarithm is the relative departure */
        l->stated = slope_stated = exp(l->stated);
        l->found = slope_found = exp(l->found);
        break;
    case NR_SQUARE_ROOT:
        slope_stated = 2 * l->stated;
        slope_found = 2 * fabs(l->found);
        l->stated *= l->stated;
        l->found *= l->found;
        break;
    default:
        return;
    }
    l->stated_u *= slope_stated;
    l->found_u *= slope_found;
    snprintf(l->unit, sizeof l->unit, "%s", nr_term_natural_unit(p->term));
}

static void add_learned(nr_fit *f, const nr_joint *j, size_t build)
{
    size_t m = nr_joint_parameters(j);
    for (size_t i = 0; i < m && f->learned_items < NR_BUDGET_ITEMS; i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        if (!p.has_prior || !nr_term_is_input(p.term) || !nr_joint_concerns(j, build, i))
            continue;
        nr_learned *l = &f->learned[f->learned_items++];
        snprintf(l->label, sizeof l->label, "%s", p.label);
        snprintf(l->unit, sizeof l->unit, "%s", p.unit);
        l->stated = p.prior;
        l->stated_u = p.said_u;
        l->found = p.value;
        l->found_u = p.u;
        undo_scale(&p, l);
    }
}

static void derive_incidence(const nr_joint *j, size_t build, const nr_curve_at *at, nr_fit *f)
{
    double n = 0;
    f->incidence = (nr_incidence){.lo_deg = INFINITY, .hi_deg = -INFINITY};
    for (size_t r = 0; r < nr_joint_runs(j); r++) {
        const nr_series *s = nr_joint_series(j, r);
        if (nr_joint_build_of(j, r) != build || isnan(s->incidence_mean_deg) ||
            isnan(s->mean_sun_W_m2))
            continue;
        n++;
        f->incidence.mean_deg += s->incidence_mean_deg;
        f->incidence.lo_deg = fmin(f->incidence.lo_deg, s->incidence_lo_deg);
        f->incidence.hi_deg = fmax(f->incidence.hi_deg, s->incidence_hi_deg);
    }
    if (!(n > 0))
        return;
    f->incidence.known = true;
    f->incidence.mean_deg /= n;
    f->incidence.b0 = nr_joint_term(j, at->piece, NR_TERM_B0, nr_joint_x(j));
    int index = nr_joint_index(j, at->piece, NR_TERM_B0);
    f->incidence.u_b0 = index >= 0 ? nr_joint_parameter(j, (size_t)index).prior_u : 0;
    f->incidence.modifier = at->conditions.iam > 0 ? at->conditions.iam
                                                   : 1 - f->incidence.b0 * at->conditions.obliquity;
}

nr_fit_model nr_derive_model(const nr_joint *j, size_t build)
{
    bool store = false, loop = false;
    for (size_t i = 0; i < nr_joint_pieces(j); i++) {
        nr_piece_view p = nr_joint_piece(j, i);
        if (p.build != build)
            continue;
        store = store || p.fits[NR_OUT_STORE];
        loop = loop || (p.fits[NR_OUT_OUTLET] && p.series->flow_known);
    }
    return store && loop ? NR_MODEL_BOTH : loop ? NR_MODEL_LOOP : NR_MODEL_STORE;
}

static void describe(const nr_joint *j, size_t build, const nr_curve_at *at, nr_fit *f)
{
    const nr_rig *rig = &nr_joint_piece(j, at->piece).series->run->rig;
    snprintf(f->collector_name, sizeof f->collector_name, "%s", rig->collector.name);
    f->gross_area_m2 = rig->collector.gross_area_m2.value;
    f->model = nr_derive_model(j, build);
    f->loss_includes_store = !nr_joint_store_loss_separate(j, build);
    f->reference = at->mean ? NR_REFERENCE_MEAN : NR_REFERENCE_INLET;
    f->mean_sun_W_m2 = at->conditions.sun_W_m2;
    f->mean_air_degC = at->conditions.air_degC;
    f->mean_wind_m_s = NAN;
    double flow = 0, steps = 0;
    for (size_t r = 0; r < nr_joint_runs(j); r++) {
        const nr_series *s = nr_joint_series(j, r);
        if (nr_joint_build_of(j, r) != build)
            continue;
        if (s->flow_known && isfinite(s->mean_flow_L_min)) {
            flow += s->mean_flow_L_min * s->sunny_steps;
            steps += s->sunny_steps;
        }
        if (!isnan(s->wind_zero_m_s))
            f->mean_wind_m_s = s->wind_zero_m_s;
    }
    f->mean_flow_L_min = steps > 0 ? flow / steps : NAN;
}

double nr_derive_span(const nr_fit *f)
{
    return fmax(fmax(f->x_range[1], fabs(f->x_range[0])), LEAST_SPAN);
}

static nr_code derive_all(const nr_joint *j, size_t build, const nr_derive_options *options,
                          nr_fit *f, double *const share[NR_SHARES], nr_err *err)
{
    nr_curve_at at = nr_derive_conditions(j, build, options->mean_reference);
    if (!(at.conditions.sun_W_m2 > 0) || !(at.conditions.flow_W_K > 0))
        return nr_fail(err, NR_CANNOT, nr_joint_piece(j, at.piece).series->run->folder, 0,
                       "the pump never ran while the sun shone: there is no heat gain to derive an "
                       "efficiency from");
    describe(j, build, &at, f);
    derive_incidence(j, build, &at, f);
    nr_code code = nr_derive_runs(j, build, f, err);
    if (code)
        return code;
    at.span = nr_derive_span(f);
    double *const shares[NR_SHARES] = {share[0], share[1], share[2]};
    derive_coefficients(j, &at, f, options, (double **)shares);
    if (options->brief)
        return NR_OK;
    nr_derive_energy energy;
    code = NR_OK;
    if (nr_derive_energy_open(j, build, &energy))
        nr_derive_energy_fill(j, &energy, f, share[NR_SHARE_RUN]);
    else
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    nr_derive_energy_close(&energy);
    if (!code)
        code = nr_derive_curve(j, &at, f, err);
    if (code || options->for_trust)
        return code;
    code = nr_derive_points(j, build, f, err);
    if (!code)
        code = nr_derive_means(j, build, f, err);
    if (code)
        return code;
    nr_derive_classical(f);
    add_budget(f, j, share);
    qsort(f->budget, f->budget_items, sizeof f->budget[0], by_share);
    add_learned(f, j, build);
    nr_derive_warnings(j, build, f);
    return NR_OK;
}

nr_code nr_derive_fit(const nr_joint *j, size_t build, const nr_derive_options *options,
                      nr_fit **out, nr_err *err)
{
    *out = NULL;
    nr_fit *f = calloc(1, sizeof *f);
    double *share[NR_SHARES] = {NULL};
    bool good = f != NULL;
    for (int s = 0; s < NR_SHARES; s++)
        good = (share[s] = calloc(nr_joint_parameters(j) + 1, sizeof(double))) && good;
    nr_code code = good ? derive_all(j, build, options, f, share, err)
                        : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (int s = 0; s < NR_SHARES; s++)
        free(share[s]);
    if (code)
        nr_fit_free(f);
    else
        *out = f;
    return code;
}
