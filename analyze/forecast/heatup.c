/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/heatup.h"

#include "analyze/physics/evaporation.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The first guess of the heat-up time is widened by this before it is simulated. */
#define MARGIN 1.3

static double weather_at(const nr_forecast *w, const double *v, double t_s)
{
    double at = (t_s + w->from_s) / w->every_s;
    if (w->count < 2 || !(at > 0))
        return v[0];
    size_t k = (size_t)at;
    if (k + 1 >= w->count)
        return v[w->count - 1];
    return v[k] + (v[k + 1] - v[k]) * (at - (double)k);
}

static nr_loop_params params_for(const nr_joint *j, const double *x, const nr_heatup_case *c)
{
    nr_loop_params p = nr_joint_device(j, c->piece, x);
    const nr_series *s = nr_joint_piece(j, c->piece).series;
    double told_kg = s->water_kg;
    if (c->true_water)
        told_kg *= 1 + nr_joint_term(j, c->piece, NR_TERM_WATER, x);
    if (!isnan(c->water_kg))
        p.store_J_K += (c->water_kg - told_kg) * s->cp_J_kgK;
    if (!isnan(c->store_loss_W_K))
        p.store_loss_W_K = c->store_loss_W_K - c->contained_W_K;
    p.t_store_degC = p.t_collector_degC = c->from_degC;
    /* The forecast is the truth, and it happens to no record. */
    p.air_offset_K = p.sun_on_air_K = p.sun_fade = p.loss_trend = p.lost_J_K = 0;
    p.dew = 0;
    p.humidity_offset = 0;
    if (!isnan(c->store_loss_W_K)) /* of another container, evaporation and all */
        p.opening_m2 = 0;
    if (!c->same_meter)
        p.sun_offset_W_m2 = p.sun_gain = 0;
    if (c->grow > 0) {
        p.area_m2 *= c->grow;
        p.fluid_J_K *= c->grow;
        p.flow_factor *= c->grow;
    }
    return p;
}

/* Net long-wave exchange: as over the record, for what another day's sky does is not forecast. */
static double sky_of(const nr_joint *j, const nr_heatup_case *c)
{
    return nr_joint_piece(j, c->piece).series->mean_sky_W_m2;
}

static size_t steps_of(const nr_heatup_case *c)
{
    return c->steps ? c->steps : NR_HEATUP_STEPS;
}

/* One simulation of `seconds` in the case's steps, block = one step. */
static bool simulate(const nr_loop_params *p, const nr_heatup_case *c, double sky_W_m2,
                     double seconds, double *store)
{
    size_t n = steps_of(c);
    double step = seconds / (double)n;
    double *work = malloc(8 * n * sizeof *work);
    if (!work)
        return false;
    double *sun = work, *air = work + n, *flow = work + 2 * n, *wind = work + 3 * n;
    double *oblique = work + 4 * n, *sky = work + 5 * n, *humidity = work + 6 * n;
    double *iam = work + 7 * n;
    for (size_t k = 0; k < n; k++) {
        double t = step * ((double)k + 0.5);
        sun[k] = weather_at(&c->weather, c->weather.sun_W_m2, t);
        air[k] = weather_at(&c->weather, c->weather.air_degC, t);
        oblique[k] = c->weather.obliquity ? weather_at(&c->weather, c->weather.obliquity, t) : 0;
        iam[k] = c->weather.iam ? weather_at(&c->weather, c->weather.iam, t) : 1;
        flow[k] = c->flow_W_K *
                  (c->weather.flow_share ? weather_at(&c->weather, c->weather.flow_share, t) : 1);
        wind[k] = c->weather.wind_above_mean_m_s;
        sky[k] = sky_W_m2;
        humidity[k] = NR_USUAL_HUMIDITY;
    }
    nr_loop_input in = {.blocks = n,
                        .steps_per_block = 1,
                        .step_s = step,
                        .sun_W_m2 = sun,
                        .air_degC = air,
                        .flow_W_K = flow,
                        .wind_m_s = wind,
                        .obliquity = oblique,
                        .iam = c->weather.iam ? iam : NULL,
                        .sky_W_m2 = sky_W_m2 != 0 ? sky : NULL,
                        .humidity = humidity};
    nr_loop_output out = {.reading = {store, NULL, NULL}};
    nr_loop_run(&in, p, &out);
    free(work);
    return true;
}

/* Time at which the trace (block means, so at the middle of each step) reaches the target. */
static double crossing(const double *store, size_t n, double step, double from, double to)
{
    double before = from, when = 0;
    for (size_t k = 0; k < n; k++) {
        double now = step * ((double)k + 0.5);
        if (store[k] >= to)
            return when + (now - when) * (to - before) / (store[k] - before);
        before = store[k];
        when = now;
    }
    return NAN;
}

double nr_result_heat_up_s(const nr_joint *j, const double *x, const void *context)
{
    const nr_heatup_case *c = context;
    if (c->to_degC <= c->from_degC)
        return 0;
    nr_loop_params p = params_for(j, x, c);
    double store[NR_HEATUP_STEPS];
    size_t n = steps_of(c);
    /* Coarse over the whole limit first, then fine up to just beyond the coarse answer. */
    if (!simulate(&p, c, sky_of(j, c), c->limit_s, store))
        return NAN;
    double rough = crossing(store, n, c->limit_s / (double)n, c->from_degC, c->to_degC);
    if (isnan(rough))
        return NAN;
    double span = fmin(MARGIN * rough + c->limit_s / (double)n, c->limit_s);
    if (!simulate(&p, c, sky_of(j, c), span, store))
        return NAN;
    double fine = crossing(store, n, span / (double)n, c->from_degC, c->to_degC);
    return isnan(fine) ? rough : fine;
}

bool nr_heatup_trace(const nr_joint *j, const double *x, const nr_heatup_case *c, size_t count,
                     double *store_degC)
{
    nr_loop_params p = params_for(j, x, c);
    double store[NR_HEATUP_STEPS];
    size_t n = steps_of(c);
    if (!simulate(&p, c, sky_of(j, c), c->limit_s, store))
        return false;
    for (size_t i = 0; i < count; i++) {
        double at = (double)i / (double)(count - 1) * (double)n - 0.5; /* middles of the steps */
        if (at <= 0) {
            store_degC[i] = c->from_degC + (store[0] - c->from_degC) * (at + 0.5) / 0.5;
            continue;
        }
        size_t k = (size_t)at;
        store_degC[i] = k + 1 < n
                            ? store[k] + (store[k + 1] - store[k]) * (at - (double)k)
                            : store[n - 1] + (store[n - 1] - store[n - 2]) * (at - (double)(n - 1));
    }
    return true;
}

bool nr_heatup_band(const nr_joint *j, const nr_heatup_case *c, size_t count, double *store_degC,
                    double *u_K)
{
    size_t m = nr_joint_parameters(j);
    const double *best = nr_joint_x(j);
    double *slope = calloc(count * m, sizeof(double)), *x = malloc(m * sizeof(double));
    double *above = malloc(count * sizeof(double)), *below = malloc(count * sizeof(double));
    bool good = slope && x && above && below && nr_heatup_trace(j, best, c, count, store_degC);
    if (good)
        memcpy(x, best, m * sizeof(double));
    for (size_t i = 0; good && i < m; i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        /* The sky is the record's (sky_of), and so is what was misread of it: a bare collector's
         * share in it was told by both together. */
        if (!nr_term_lasts(p.term) && p.term != NR_TERM_SKY_OFFSET)
            continue;
        double h = 1e-3 * p.scale;
        x[i] = best[i] + h;
        good = nr_heatup_trace(j, x, c, count, above);
        x[i] = best[i] - h;
        good = good && nr_heatup_trace(j, x, c, count, below);
        x[i] = best[i];
        for (size_t k = 0; good && k < count; k++)
            slope[k * m + i] = (above[k] - below[k]) / (2 * h);
    }
    for (size_t k = 0; good && k < count; k++)
        u_K[k] = sqrt(nr_joint_variance(j, slope + k * m, NULL, NULL, NULL));
    free(slope);
    free(x);
    free(above);
    free(below);
    return good;
}
