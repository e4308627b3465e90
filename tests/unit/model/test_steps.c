/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The simulation step by step: the balances that analyze/model/loop.h draws, written down as one
 * dense system for all temperatures of a step and solved by elimination with pivots (GSL), for
 * heaters and weathers drawn at random. What the sweep along the tube finds must be that, to
 * rounding, in every output; and its tangents the differences of its own readings. */
#include "analyze/model/loop.h"
#include "analyze/physics/evaporation.h"
#include "tests/unit/model/heater_drawn.h"
#include "tests/unit/near.h"

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_rng.h>

#include <stdbool.h>

/* ---- the same, written down ---- */

/* Unknowns of a step: absorbers, covers, fluids and boards, segment by segment. */
#define UNKNOWNS (4 * NR_SEGMENTS)
enum { ABSORBER, COVER, FLUID, BOARD };

typedef struct air {
    double sun_power, air, flow, loss_by_wind, trend, when;
} air;

/* What the recorded weather truly was and does, by the comments of nr_loop_params. */
static air air_at(const heater_drawn *h, size_t k)
{
    const nr_loop_params *p = &h->params;
    const nr_loop_input *in = &h->input;
    double steps = (double)(in->blocks * in->steps_per_block), t = ((double)k + 0.5) * in->step_s;
    double when = t / (steps * in->step_s) - 0.5, wind = in->wind_m_s ? in->wind_m_s[k] : 0;
    double incidence = in->iam ? in->iam[k] : 1;
    if (!in->iam && in->obliquity)
        incidence = 1 - p->b0 * in->obliquity[k];
    double sun = (in->sun_W_m2[k] - p->sun_offset_W_m2) / (1 + p->sun_gain);
    sun /= 1 + p->sun_fade * when;
    double gain = p->optical * incidence * (1 - p->wind_gain_s_m * wind);
    if (p->dew != 0)
        gain *= 1 - p->dew * exp(-t / p->dries_s);
    double sky = in->sky_W_m2 ? p->sky * (in->sky_W_m2[k] + p->sky_offset_W_m2) : 0;
    double drive = in->drive ? in->drive[k] : 0;
    return (air){.sun_power = gain * sun + sky - p->aside_W_m2 / (1 + p->sun_gain),
                 .air = in->air_degC[k] - p->air_offset_K - p->sun_on_air_K * in->sun_W_m2[k] / 1e3,
                 .flow = in->flow_W_K[k] * p->flow_factor * exp(p->flow_exponent * drive),
                 .loss_by_wind = p->wind_Ws_m3K * wind,
                 .trend = 1 + p->loss_trend * when,
                 .when = when};
}

/* Heat goes between two unknowns, W/K. */
static void couple(gsl_matrix *m, size_t one, size_t other, double by)
{
    *gsl_matrix_ptr(m, one, one) += by;
    *gsl_matrix_ptr(m, one, other) -= by;
    *gsl_matrix_ptr(m, other, other) += by;
    *gsl_matrix_ptr(m, other, one) -= by;
}

/* And between one and what is given. */
static void given(gsl_matrix *m, gsl_vector *right, size_t one, double by, double temperature)
{
    *gsl_matrix_ptr(m, one, one) += by;
    *gsl_vector_ptr(right, one) += by * temperature;
}

/* T: temperatures by segment and kind, before and then after a step of implicit Euler. Returns what
 * the covers lose to the air, W. */
static double implicit_step(double T[UNKNOWNS], const nr_loop_params *p, const air *w, double inlet,
                            double step_s)
{
    gsl_matrix *m = gsl_matrix_calloc(UNKNOWNS, UNKNOWNS);
    gsl_vector *right = gsl_vector_calloc(UNKNOWNS), *x = gsl_vector_alloc(UNKNOWNS);
    gsl_permutation *order = gsl_permutation_alloc(UNKNOWNS);
    const double area = p->area_m2 / NR_SEGMENTS, g = p->back_gap_W_m2K;
    const double inside = g / (g + NR_BACK_OUTSIDE_W_M2K);
    const double heat[] = {area * p->capacity_J_m2K, area * p->cover_J_m2K,
                           p->fluid_J_K / NR_SEGMENTS,
                           p->back_J_m2K > 0 ? area * p->back_J_m2K * inside * inside : 1};
    double outside[NR_SEGMENTS], lost = 0;
    for (size_t i = 0; i < NR_SEGMENTS; i++) {
        size_t at = 4 * i;
        double loss = p->loss_W_m2K * w->trend + p->loss2_W_m2K2 * (T[at + ABSORBER] - w->air) +
                      w->loss_by_wind;
        outside[i] = area * loss / NR_COVER_SHARE;
        for (size_t kind = 0; kind < 4; kind++)
            given(m, right, at + kind, heat[kind] / step_s, T[at + kind]);
        *gsl_vector_ptr(right, at + ABSORBER) += area * w->sun_power;
        couple(m, at + ABSORBER, at + COVER, area * loss / (1 - NR_COVER_SHARE));
        given(m, right, at + COVER, outside[i], w->air);
        couple(m, at + ABSORBER, at + FLUID, area * p->exchange_W_m2K);
        couple(m, at + ABSORBER, at + BOARD, p->back_J_m2K > 0 ? area * g * inside : 0);
        *gsl_matrix_ptr(m, at + FLUID, at + FLUID) += w->flow;
        if (i > 0)
            *gsl_matrix_ptr(m, at + FLUID, at - 4 + FLUID) -= w->flow;
        else
            *gsl_vector_ptr(right, at + FLUID) += w->flow * inlet;
    }
    int sign;
    gsl_linalg_LU_decomp(m, order, &sign);
    gsl_linalg_LU_solve(m, order, right, x);
    for (size_t u = 0; u < UNKNOWNS; u++)
        T[u] = gsl_vector_get(x, u);
    for (size_t i = 0; i < NR_SEGMENTS; i++) {
        lost += outside[i] * (T[4 * i + COVER] - w->air);
        if (!(p->back_J_m2K > 0)) /* no board: it is shown as the absorber is */
            T[4 * i + BOARD] = T[4 * i + ABSORBER];
    }
    gsl_matrix_free(m);
    gsl_vector_free(right);
    gsl_vector_free(x);
    gsl_permutation_free(order);
    return lost;
}

/* Alexander's method of second order in two implicit stages of g = 1 - 1/sqrt(2) of the step: y1 =
 * y + g h f(y1), y2 = y + (1 - g) h f(y1) + g h f(y2); or one of first order. */
static double tube_step(double T[UNKNOWNS], const heater_drawn *h, const air *w, double inlet)
{
    const double step_s = h->input.step_s, g = 1 - 1 / sqrt(2);
    if (!h->input.two_stages || !h->input.inlet_degC)
        return implicit_step(T, &h->params, w, inlet, step_s);
    double before[UNKNOWNS];
    memcpy(before, T, sizeof before);
    double first = implicit_step(T, &h->params, w, inlet, g * step_s);
    for (size_t u = 0; u < UNKNOWNS; u++)
        T[u] = before[u] + (1 - g) * step_s * ((T[u] - before[u]) / (g * step_s));
    return (1 - g) * first + g * implicit_step(T, &h->params, w, inlet, g * step_s);
}

typedef struct plain {
    double T[UNKNOWNS], store, below, inlet, sensor[NR_OUTS];
} plain;

static double truth(double reading, double offset, double drift, double gain, double when)
{
    return (reading - offset - drift * when) / (1 + gain);
}

static plain plain_start(const heater_drawn *h)
{
    const nr_loop_params *p = &h->params;
    air w = air_at(h, 0);
    plain s = {.store = p->t_store_degC, .inlet = p->t_store_degC};
    for (size_t u = 0; u < UNKNOWNS; u++)
        s.T[u] = u % 4 != COVER ? p->t_collector_degC
                                : w.air + NR_COVER_SHARE * (p->t_collector_degC - w.air);
    if (h->input.inlet_degC)
        s.inlet = truth(h->input.inlet_degC[0], p->inlet_offset_K, p->inlet_drift_K, p->inlet_gain,
                        w.when);
    s.sensor[NR_OUT_STORE] = p->t_store_degC;
    s.sensor[NR_OUT_INLET] = s.inlet;
    s.sensor[NR_OUT_OUTLET] = p->t_collector_degC;
    return s;
}

/* Implicit Euler of dy/dt = (to - y) / tau. */
static double relaxed(double y, double to, double tau, double step_s)
{
    return (tau * y + step_s * to) / (tau + step_s);
}

#define LAYERS_S 150 /* as loop.c has it: a decision, no source */

static void plain_step(plain *s, const heater_drawn *h, size_t k, double power[4])
{
    const nr_loop_params *p = &h->params;
    const nr_loop_input *in = &h->input;
    air w = air_at(h, k);
    if (in->inlet_degC)
        s->inlet =
            truth(in->inlet_degC[k], p->inlet_offset_K, p->inlet_drift_K, p->inlet_gain, w.when);
    power[2] += tube_step(s->T, h, &w, s->inlet);
    double end = s->T[UNKNOWNS - 4 + FLUID], fed = end;
    if (in->outlet_degC)
        fed = truth(in->outlet_degC[k], p->outlet_offset_K, p->outlet_drift_K, p->outlet_gain,
                    w.when);
    double heat = p->store_J_K - p->lost_J_K * (w.when + 0.5);
    double comes = w.flow * (fed - s->inlet) + (w.flow > 0 ? p->pump_W : 0);
    if (in->humidity)
        comes -= p->opening_m2 *
                 nr_evaporation_W_m2(s->store, w.air, in->humidity[k] + p->humidity_offset);
    power[0] += p->area_m2 * w.sun_power;
    power[1] += w.flow * (end - s->inlet);
    s->store = (heat * s->store + in->step_s * (comes + p->store_loss_W_K * w.air)) /
               (heat + in->step_s * p->store_loss_W_K);
    power[3] += p->store_loss_W_K * (s->store - w.air);
    if (!in->inlet_degC) {
        double rise = w.flow > 0 ? end - s->store : 0;
        s->below = relaxed(s->below, p->layers * rise, LAYERS_S, in->step_s);
        s->inlet = s->store - s->below;
    }
    const double true_now[NR_OUTS] = {
        [NR_OUT_STORE] = s->store, [NR_OUT_INLET] = s->inlet, [NR_OUT_OUTLET] = end};
    for (int c = 0; c < NR_OUTS; c++)
        s->sensor[c] = relaxed(s->sensor[c], true_now[c], in->lag_s[c], in->step_s);
}

/* ---- held against the model ---- */

typedef struct told {
    double reading[NR_OUTS][DRAWN_BLOCKS], power[4][DRAWN_BLOCKS];
    nr_loop_stand stand[DRAWN_BLOCKS];
} told;

static void tell(const heater_drawn *h, told *t)
{
    nr_loop_output out = {.reading = {t->reading[0], t->reading[1], t->reading[2]},
                          .absorbed_W = t->power[0],
                          .to_water_W = t->power[1],
                          .collector_loss_W = t->power[2],
                          .store_loss_W = t->power[3],
                          .stand = t->stand};
    nr_loop_run(&h->input, &h->params, &out);
}

static void same_stand(const char *what, const nr_loop_stand *is, const plain *s)
{
    for (size_t i = 0; i < NR_SEGMENTS; i++) {
        NEAR_AT(what, is->absorber[i], s->T[4 * i + ABSORBER], 1e-8);
        NEAR_AT(what, is->cover[i], s->T[4 * i + COVER], 1e-8);
        NEAR_AT(what, is->fluid[i], s->T[4 * i + FLUID], 1e-8);
        NEAR_AT(what, is->back[i], s->T[4 * i + BOARD], 1e-8);
    }
    NEAR_AT(what, is->store, s->store, 1e-8);
    NEAR_AT(what, is->below, s->below, 1e-8);
    NEAR_AT(what, is->inlet, s->inlet, 1e-8);
    for (int c = 0; c < NR_OUTS; c++)
        NEAR_AT(what, is->sensor[c], s->sensor[c], 1e-8);
}

/* Of the state before a step and after it, in the mean of its block. */
static void weights(const heater_drawn *h, int c, size_t k, double weight[2])
{
    for (int end = 0; end < 2; end++)
        weight[end] = h->input.weight[c] ? (double)h->input.weight[c][k][end]
                                         : 0.5 / (double)h->input.steps_per_block;
}

static void held_against(const heater_drawn *h, int number)
{
    told t;
    tell(h, &t);
    plain s = plain_start(h);
    const size_t per = h->input.steps_per_block;
    for (size_t b = 0; b < h->input.blocks; b++) {
        double power[4] = {0}, mean[NR_OUTS] = {0}, weight[2];
        char what[64];
        snprintf(what, sizeof what, "heater %d, block %zu", number, b);
        same_stand(what, &t.stand[b], &s);
        for (size_t k = b * per; k < (b + 1) * per; k++) {
            plain before = s;
            plain_step(&s, h, k, power);
            for (int c = 0; c < NR_OUTS; c++) {
                weights(h, c, k, weight);
                mean[c] += weight[0] * before.sensor[c] + weight[1] * s.sensor[c];
            }
        }
        for (int c = 0; c < NR_OUTS; c++)
            NEAR_AT(what, t.reading[c][b], mean[c], 1e-6 * (h->input.weight[c] != NULL) + 1e-8);
        for (int q = 0; q < 4; q++)
            NEAR_AT(what, t.power[q][b], power[q] / (double)per, 1e-6);
    }
}

START_TEST(every_step_is_the_dense_system)
{
    for (int number = 0; number < 40; number++) {
        heater_drawn h;
        draw_heater(&h, number);
        held_against(&h, number);
    }
}
END_TEST

/* ---- tangents ---- */

#define MEMBER(name) offsetof(nr_loop_params, name)
static const struct {
    int dyn;
    size_t member;
    bool logarithm;
    double step;
} parameters[] = {{NR_DYN_OPTICAL, MEMBER(optical), false, 1e-3},
                  {NR_DYN_LOSS, MEMBER(loss_W_m2K), false, 1e-2},
                  {NR_DYN_LOSS2, MEMBER(loss2_W_m2K2), false, 1e-4},
                  {NR_DYN_WIND, MEMBER(wind_Ws_m3K), false, 1e-2},
                  {NR_DYN_LN_EXCHANGE, MEMBER(exchange_W_m2K), true, 1e-3},
                  {NR_DYN_LN_CAPACITY, MEMBER(capacity_J_m2K), true, 1e-3},
                  {NR_DYN_LN_FLUID, MEMBER(fluid_J_K), true, 1e-3},
                  {NR_DYN_STORE_LOSS, MEMBER(store_loss_W_K), false, 1e-2},
                  {NR_DYN_LN_STORE, MEMBER(store_J_K), true, 1e-3},
                  {NR_DYN_SUN_OFFSET, MEMBER(sun_offset_W_m2), false, 0.1},
                  {NR_DYN_AIR_OFFSET, MEMBER(air_offset_K), false, 1e-2},
                  {NR_DYN_LN_FLOW, MEMBER(flow_factor), true, 1e-3},
                  {NR_DYN_FLOW_EXPONENT, MEMBER(flow_exponent), false, 1e-3},
                  {NR_DYN_LAYERS, MEMBER(layers), false, 1e-3},
                  {NR_DYN_B0, MEMBER(b0), false, 1e-3},
                  {NR_DYN_LN_COVER, MEMBER(cover_J_m2K), true, 1e-3},
                  {NR_DYN_T_STORE, MEMBER(t_store_degC), false, 1e-2},
                  {NR_DYN_T_COLLECTOR, MEMBER(t_collector_degC), false, 1e-2},
                  {NR_DYN_WIND_GAIN, MEMBER(wind_gain_s_m), false, 1e-4},
                  {NR_DYN_SKY, MEMBER(sky), false, 1e-3},
                  {NR_DYN_SKY_OFFSET, MEMBER(sky_offset_W_m2), false, 0.1},
                  {NR_DYN_INLET_OFFSET, MEMBER(inlet_offset_K), false, 1e-2},
                  {NR_DYN_INLET_GAIN, MEMBER(inlet_gain), false, 1e-3},
                  {NR_DYN_OUTLET_OFFSET, MEMBER(outlet_offset_K), false, 1e-2},
                  {NR_DYN_OUTLET_GAIN, MEMBER(outlet_gain), false, 1e-3},
                  {NR_DYN_PUMP, MEMBER(pump_W), false, 0.1},
                  {NR_DYN_OPENING, MEMBER(opening_m2), false, 1e-3},
                  {NR_DYN_HUMIDITY, MEMBER(humidity_offset), false, 1e-2},
                  {NR_DYN_LOST, MEMBER(lost_J_K), false, 100},
                  {NR_DYN_LN_BACK, MEMBER(back_J_m2K), true, 1e-3},
                  {NR_DYN_LN_GAP, MEMBER(back_gap_W_m2K), true, 1e-3},
                  {NR_DYN_SUN_ON_AIR, MEMBER(sun_on_air_K), false, 1e-2},
                  {NR_DYN_SUN_FADE, MEMBER(sun_fade), false, 1e-3},
                  {NR_DYN_LOSS_TREND, MEMBER(loss_trend), false, 1e-3},
                  {NR_DYN_INLET_DRIFT, MEMBER(inlet_drift_K), false, 1e-2},
                  {NR_DYN_OUTLET_DRIFT, MEMBER(outlet_drift_K), false, 1e-2},
                  {NR_DYN_ASIDE, MEMBER(aside_W_m2), false, 0.1},
                  {NR_DYN_DEW, MEMBER(dew), false, 1e-3},
                  {NR_DYN_LN_DRIES, MEMBER(dries_s), true, 1e-2}};
#define PARAMETERS (sizeof parameters / sizeof parameters[0])

static void readings_with(const heater_drawn *h, size_t i, double by,
                          double r[NR_OUTS][DRAWN_BLOCKS])
{
    nr_loop_params p = h->params;
    double *member = (void *)((char *)&p + parameters[i].member);
    *member = parameters[i].logarithm ? *member * exp(by) : *member + by;
    nr_loop_output out = {.reading = {r[0], r[1], r[2]}};
    nr_loop_run(&h->input, &p, &out);
}

/* A parameter that is not carried because it is off (dew of none) has a slope all the same. */
static bool is_off(const heater_drawn *h, int dyn)
{
    return (dyn == NR_DYN_DEW && h->params.dew == 0) ||
           (dyn == NR_DYN_OPENING && h->params.opening_m2 == 0);
}

/* Central differences of fourth order, 20 steps of simulation each: 8 (f1 - f-1) - (f2 - f-2) over
 * 12 h. */
static void tangents_of(const heater_drawn *h, int number)
{
    static double tangent[NR_OUTS][DRAWN_BLOCKS * NR_DYN_COUNT];
    nr_loop_output out = {.tangent = {tangent[0], tangent[1], tangent[2]}};
    nr_loop_run(&h->input, &h->params, &out);
    for (size_t i = 0; i < PARAMETERS; i++) {
        double r[4][NR_OUTS][DRAWN_BLOCKS], step = parameters[i].step;
        for (int k = 0; k < 4; k++)
            readings_with(h, i, step * (k % 2 ? -1 : 1) * (1 + k / 2), r[k]);
        for (int c = 0; c < NR_OUTS; c++)
            for (size_t b = 0; b < h->input.blocks; b++) {
                double slope = 8 * (r[0][c][b] - r[1][c][b]) - (r[2][c][b] - r[3][c][b]);
                char what[80];
                snprintf(what, sizeof what, "heater %d, parameter %d, output %d, block %zu", number,
                         parameters[i].dyn, c, b);
                slope = is_off(h, parameters[i].dyn) ? 0 : slope / (12 * step);
                NEAR_AT(what, tangent[c][b * NR_DYN_COUNT + (size_t)parameters[i].dyn], slope,
                        1e-6 * fabs(slope) + 1e-11 / step);
            }
    }
    for (int c = 0; c < NR_OUTS; c++)
        for (size_t b = 0; b < h->input.blocks; b++)
            for (size_t j = NR_DYN_USED; j < NR_DYN_COUNT; j++)
                ck_assert_double_eq(tangent[c][b * NR_DYN_COUNT + j], 0);
}

START_TEST(tangents_are_differences)
{
    ck_assert_uint_eq(PARAMETERS, NR_DYN_USED);
    for (int number = 0; number < 40; number++) {
        heater_drawn h;
        draw_heater(&h, number);
        tangents_of(&h, number);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {every_step_is_the_dense_system, tangents_are_differences, NULL};
    return run_tests("steps", tests);
}
