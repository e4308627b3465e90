/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The segmented collector and its store: energy is neither made nor lost, the tangents are the
 * derivatives, the discretised model tends to the equations it stands for, and the limit of one
 * mixed mass is the textbook's exponential. */
#include "tests/unit/model/heater.h"

/* ---- energy ---- */

/* Everything cools down to the air in the end, so the heat stored at the start and absorbed on the
 * way must all have been lost: to rounding, whatever sun, wind and pump did. */
START_TEST(what_comes_in_goes_out_or_stays)
{
    enum { STEPS = 60000 };
    static double sun[STEPS], air[STEPS], flow[STEPS], wind[STEPS], oblique[STEPS];
    static double absorbed[STEPS], to_water[STEPS], lost[STEPS], store_lost[STEPS], store[STEPS];
    nr_loop_params p = heater(_i);
    p.layers = 0.1;
    day d;
    fill_day(&d);
    for (int k = 0; k < STEPS; k++) {
        sun[k] = k < DAY_STEPS ? d.sun[k] : p.sun_offset_W_m2;
        air[k] = 20;
        flow[k] = k < DAY_STEPS ? d.flow[k] : 50;
        wind[k] = d.wind[k % DAY_STEPS];
        oblique[k] = 0.05;
    }
    nr_loop_input in = {.blocks = STEPS,
                        .steps_per_block = 1,
                        .step_s = 10,
                        .sun_W_m2 = sun,
                        .air_degC = air,
                        .flow_W_K = flow,
                        .wind_m_s = wind,
                        .obliquity = oblique};
    nr_loop_output out = {.reading = {store},
                          .absorbed_W = absorbed,
                          .to_water_W = to_water,
                          .collector_loss_W = lost,
                          .store_loss_W = store_lost};
    nr_loop_run(&in, &p, &out);
    double in_J = 0, out_J = 0, water_J = 0, kept_J = 0, true_air = 20 - p.air_offset_K;
    for (int k = 0; k < STEPS; k++) {
        in_J += 10 * absorbed[k];
        out_J += 10 * (lost[k] + store_lost[k]);
        water_J += 10 * to_water[k];
        kept_J += 10 * store_lost[k];
    }
    NEAR_AT("all is at air temperature in the end", store[STEPS - 1], true_air, 1e-9);
    double collector_J =
        (p.capacity_J_m2K * p.area_m2 + p.fluid_J_K) * (p.t_collector_degC - true_air) +
        p.cover_J_m2K * p.area_m2 * NR_COVER_SHARE * (p.t_collector_degC - true_air);
    double store_J = p.store_J_K * (p.t_store_degC - true_air);
    ck_assert_double_gt(in_J, 1e6);
    NEAR_AT("absorbed + stored at first = lost", out_J, in_J + collector_J + store_J, 1e-9 * in_J);
    NEAR_AT("store: brought + stored at first = lost", kept_J, water_J + store_J, 1e-9 * in_J);
    double sunshine_J = 0;
    for (int k = 0; k < STEPS; k++)
        sunshine_J += 10 * p.area_m2 * p.optical * (sun[k] - p.sun_offset_W_m2) / 1.03 *
                      (1 - p.b0 * oblique[k]);
    NEAR_RELATIVE(in_J, sunshine_J, 1e-12);
}
END_TEST

/* ---- tangents ---- */

static void nudge(nr_loop_params *p, int which, double h)
{
    switch (which) {
    case NR_DYN_OPTICAL:
        p->optical += h;
        break;
    case NR_DYN_LOSS:
        p->loss_W_m2K += h;
        break;
    case NR_DYN_LOSS2:
        p->loss2_W_m2K2 += h;
        break;
    case NR_DYN_WIND:
        p->wind_Ws_m3K += h;
        break;
    case NR_DYN_LN_EXCHANGE:
        p->exchange_W_m2K *= exp(h);
        break;
    case NR_DYN_LN_CAPACITY:
        p->capacity_J_m2K *= exp(h);
        break;
    case NR_DYN_LN_FLUID:
        p->fluid_J_K *= exp(h);
        break;
    case NR_DYN_STORE_LOSS:
        p->store_loss_W_K += h;
        break;
    case NR_DYN_LN_STORE:
        p->store_J_K *= exp(h);
        break;
    case NR_DYN_SUN_OFFSET:
        p->sun_offset_W_m2 += h;
        break;
    case NR_DYN_AIR_OFFSET:
        p->air_offset_K += h;
        break;
    case NR_DYN_LN_FLOW:
        p->flow_factor *= exp(h);
        break;
    case NR_DYN_FLOW_EXPONENT:
        p->flow_exponent += h;
        break;
    case NR_DYN_LAYERS:
        p->layers += h;
        break;
    case NR_DYN_B0:
        p->b0 += h;
        break;
    case NR_DYN_LN_COVER:
        p->cover_J_m2K *= exp(h);
        break;
    case NR_DYN_WIND_GAIN:
        p->wind_gain_s_m += h;
        break;
    case NR_DYN_SKY:
        p->sky += h;
        break;
    case NR_DYN_SKY_OFFSET:
        p->sky_offset_W_m2 += h;
        break;
    case NR_DYN_INLET_OFFSET:
        p->inlet_offset_K += h;
        break;
    case NR_DYN_INLET_GAIN:
        p->inlet_gain += h;
        break;
    case NR_DYN_OUTLET_OFFSET:
        p->outlet_offset_K += h;
        break;
    case NR_DYN_OUTLET_GAIN:
        p->outlet_gain += h;
        break;
    case NR_DYN_PUMP:
        p->pump_W += h;
        break;
    case NR_DYN_OPENING:
        p->opening_m2 += h;
        break;
    case NR_DYN_HUMIDITY:
        p->humidity_offset += h;
        break;
    case NR_DYN_LOST:
        p->lost_J_K += h;
        break;
    case NR_DYN_LN_BACK:
        p->back_J_m2K *= exp(h);
        break;
    case NR_DYN_LN_GAP:
        p->back_gap_W_m2K *= exp(h);
        break;
    case NR_DYN_SUN_ON_AIR:
        p->sun_on_air_K += h;
        break;
    case NR_DYN_SUN_FADE:
        p->sun_fade += h;
        break;
    case NR_DYN_LOSS_TREND:
        p->loss_trend += h;
        break;
    case NR_DYN_INLET_DRIFT:
        p->inlet_drift_K += h;
        break;
    case NR_DYN_OUTLET_DRIFT:
        p->outlet_drift_K += h;
        break;
    case NR_DYN_DEW:
        p->dew += h;
        break;
    case NR_DYN_LN_DRIES:
        p->dries_s *= exp(h);
        break;
    case NR_DYN_ASIDE:
        p->aside_W_m2 += h;
        break;
    case NR_DYN_T_STORE:
        p->t_store_degC += h;
        break;
    case NR_DYN_T_COLLECTOR:
        p->t_collector_degC += h;
        break;
    default:
        ck_abort_msg("parameter %d is not tested", which);
    }
}

#define BLOCKS (DAY_STEPS / 2)

static void readings_at(const nr_loop_input *in, const nr_loop_params *p, int which, double h,
                        double r[NR_OUTS][BLOCKS])
{
    nr_loop_params q = *p;
    nudge(&q, which, h);
    nr_loop_output out = {.reading = {r[0], r[1], r[2]}};
    nr_loop_run(in, &q, &out);
}

/* What has to act where: a cover only where there is one; probes only where they drive; layers and
 * an unmeasured flow's drive only in a closed loop (this driven day has measured flow). */
static bool acts(int j, bool cover, bool driven)
{
    switch (j) {
    case NR_DYN_LN_COVER:
        return cover;
    case NR_DYN_INLET_OFFSET:
    case NR_DYN_INLET_GAIN:
    case NR_DYN_OUTLET_OFFSET:
    case NR_DYN_OUTLET_GAIN:
    case NR_DYN_INLET_DRIFT:
    case NR_DYN_OUTLET_DRIFT:
        return driven;
    case NR_DYN_LAYERS:
    case NR_DYN_FLOW_EXPONENT:
        return !driven;
    default:
        return true;
    }
}

/* Half of the steps weigh in their block, unevenly: readings at their own times. */
static void uneven(float (*weight)[2])
{
    for (int b = 0; b < DAY_STEPS / 2; b++) {
        weight[2 * b][0] = 0;
        weight[2 * b][1] = b % 3 ? 0.25f : 0;
        weight[2 * b + 1][0] = b % 3 ? 0.25f : 0.7f;
        weight[2 * b + 1][1] = b % 3 ? 0.5f : 0.3f;
    }
}

/* Fourth-order central differences: truncation and rounding both far below the tolerance. */
START_TEST(tangents_are_the_derivatives)
{
    static const double step[NR_DYN_COUNT] = {
        [NR_DYN_OPTICAL] = 1e-3,       [NR_DYN_LOSS] = 1e-2,        [NR_DYN_LOSS2] = 1e-4,
        [NR_DYN_WIND] = 1e-2,          [NR_DYN_LN_EXCHANGE] = 1e-3, [NR_DYN_LN_CAPACITY] = 1e-3,
        [NR_DYN_LN_FLUID] = 1e-3,      [NR_DYN_STORE_LOSS] = 1e-2,  [NR_DYN_LN_STORE] = 1e-3,
        [NR_DYN_SUN_OFFSET] = 0.1,     [NR_DYN_AIR_OFFSET] = 1e-2,  [NR_DYN_LN_FLOW] = 1e-3,
        [NR_DYN_FLOW_EXPONENT] = 1e-3, [NR_DYN_B0] = 1e-3,          [NR_DYN_LN_COVER] = 1e-3,
        [NR_DYN_LAYERS] = 1e-3,        [NR_DYN_T_STORE] = 1e-2,     [NR_DYN_T_COLLECTOR] = 1e-2,
        [NR_DYN_WIND_GAIN] = 1e-4,     [NR_DYN_SKY] = 1e-3,         [NR_DYN_SKY_OFFSET] = 0.1,
        [NR_DYN_INLET_OFFSET] = 1e-2,  [NR_DYN_INLET_GAIN] = 1e-3,  [NR_DYN_OUTLET_OFFSET] = 1e-2,
        [NR_DYN_OUTLET_GAIN] = 1e-3,   [NR_DYN_PUMP] = 0.1,         [NR_DYN_OPENING] = 1e-3,
        [NR_DYN_HUMIDITY] = 1e-2,      [NR_DYN_LOST] = 100,         [NR_DYN_LN_BACK] = 1e-3,
        [NR_DYN_LN_GAP] = 1e-3,        [NR_DYN_SUN_ON_AIR] = 1e-2,  [NR_DYN_SUN_FADE] = 1e-3,
        [NR_DYN_LOSS_TREND] = 1e-3,    [NR_DYN_INLET_DRIFT] = 1e-2, [NR_DYN_OUTLET_DRIFT] = 1e-2,
        [NR_DYN_ASIDE] = 0.1,          [NR_DYN_DEW] = 1e-3,         [NR_DYN_LN_DRIES] = 1e-2};
    static double tangent[NR_OUTS][BLOCKS * NR_DYN_COUNT], plain[NR_OUTS][BLOCKS];
    static double r[NR_OUTS][BLOCKS], p1[NR_OUTS][BLOCKS], m1[NR_OUTS][BLOCKS], p2[NR_OUTS][BLOCKS],
        m2[NR_OUTS][BLOCKS];
    static float weight[DAY_STEPS][2];
    bool cover = _i % 2, driven = _i / 2 > 0;
    nr_loop_params p = troubled(cover);
    p.wind_gain_s_m = 0.01;
    day d;
    fill_day(&d);
    nr_loop_input in = day_input(&d, 5);
    in.sky_W_m2 = d.sky;
    in.humidity = d.humidity;
    if (driven) {
        uneven(weight);
        in.inlet_degC = d.inlet;
        in.outlet_degC = d.outlet;
        in.drive = NULL;
        in.weight[NR_OUT_OUTLET] = in.weight[NR_OUT_STORE] = (const float(*)[2])weight;
        in.two_stages = _i / 2 == 2;
    }
    nr_loop_output out = {.reading = {r[0], r[1], r[2]},
                          .tangent = {tangent[0], tangent[1], tangent[2]}};
    nr_loop_run(&in, &p, &out);
    readings_at(&in, &p, NR_DYN_OPTICAL, 0, plain);
    ck_assert_msg(!memcmp(plain, r, sizeof r), "the tangents change the readings");
    for (int j = 0; j < NR_DYN_USED; j++) {
        double h = step[j], largest = 0;
        readings_at(&in, &p, j, h, p1);
        readings_at(&in, &p, j, -h, m1);
        readings_at(&in, &p, j, 2 * h, p2);
        readings_at(&in, &p, j, -2 * h, m2);
        for (int c = 0; c < NR_OUTS; c++)
            for (int b = 0; b < BLOCKS; b++)
                largest = fmax(largest, fabs(tangent[c][b * NR_DYN_COUNT + j]));
        ck_assert_msg(acts(j, cover, driven) ? largest > 1e-5 : largest == 0,
                      "parameter %d acts on nothing, or should not: %g", j, largest);
        for (int c = 0; c < NR_OUTS; c++) {
            for (int b = 0; b < BLOCKS; b++) {
                double slope = (8 * (p1[c][b] - m1[c][b]) - (p2[c][b] - m2[c][b])) / (12 * h);
                char what[64];
                snprintf(what, sizeof what, "parameter %d, output %d, block %d", j, c, b);
                NEAR_AT(what, tangent[c][b * NR_DYN_COUNT + j], slope, 1e-7 * largest + 1e-11 / h);
            }
        }
    }
}
END_TEST

/* ---- simulations that share a beginning ---- */

/* Where the weather is another's up to a block, what is simulated from there on is what the whole
 * is, to the last bit, and nothing before it is touched. */
START_TEST(a_simulation_goes_on_where_another_stood)
{
    enum { FROM = 70, UNTOUCHED = -273 };
    static double base[NR_OUTS][BLOCKS], whole[NR_OUTS][BLOCKS], rest[NR_OUTS][BLOCKS];
    static nr_loop_stand stand[BLOCKS];
    static float weight[DAY_STEPS][2];
    nr_loop_params p = troubled(_i % 2);
    p.layers = 0.1;
    day d;
    fill_day(&d);
    nr_loop_input in = day_input(&d, 5);
    in.humidity = d.humidity;
    uneven(weight);
    in.weight[NR_OUT_STORE] = in.weight[NR_OUT_OUTLET] = (const float(*)[2])weight;
    in.inlet_degC = _i / 2 ? d.inlet : NULL;
    in.outlet_degC = _i / 2 ? d.outlet : NULL;
    in.two_stages = _i / 2 == 2;
    nr_loop_output out = {.reading = {base[0], base[1], base[2]}, .stand = stand};
    nr_loop_run(&in, &p, &out);
    for (int k = FROM * 2; k < DAY_STEPS; k++) {
        d.sun[k] *= 1.1;
        d.inlet[k] += 1;
        d.outlet[k] += 2;
    }
    out = (nr_loop_output){.reading = {whole[0], whole[1], whole[2]}};
    nr_loop_run(&in, &p, &out);
    for (int c = 0; c < NR_OUTS; c++)
        for (int b = 0; b < BLOCKS; b++)
            rest[c][b] = UNTOUCHED;
    out = (nr_loop_output){.reading = {rest[0], rest[1], rest[2]}};
    nr_loop_run_from(&in, &p, &out, FROM, stand);
    for (int c = 0; c < NR_OUTS; c++) {
        for (int b = 0; b < BLOCKS; b++)
            ck_assert_msg(rest[c][b] == (b < FROM ? UNTOUCHED : whole[c][b]),
                          "output %d, block %d: %.17g for %.17g", c, b, rest[c][b], whole[c][b]);
        ck_assert_msg(!memcmp(base[c], whole[c], FROM * sizeof(double)), "output %d", c);
        ck_assert_double_gt(fabs(whole[c][BLOCKS - 1] - base[c][BLOCKS - 1]), 0.05);
    }
}
END_TEST

/* The container alone, where readings drive it, is what it is beside the collector. */
START_TEST(a_container_that_is_driven_needs_no_collector)
{
    static double beside[NR_OUTS][BLOCKS], alone[BLOCKS];
    nr_loop_params p = troubled(true);
    day d;
    fill_day(&d);
    nr_loop_input in = day_input(&d, 5);
    in.humidity = d.humidity;
    in.inlet_degC = d.inlet;
    in.outlet_degC = _i ? d.outlet : NULL; /* not driven: the collector's own outlet feeds it */
    nr_loop_output out = {.reading = {beside[0], beside[1], beside[2]}};
    nr_loop_run(&in, &p, &out);
    out = (nr_loop_output){.reading = {[NR_OUT_STORE] = alone}};
    nr_loop_run(&in, &p, &out);
    ck_assert_msg(!memcmp(beside[NR_OUT_STORE], alone, sizeof alone), "the store alone differs");
}
END_TEST

/* ---- the equations it stands for ---- */

/* Store and outlet after twenty minutes of constant weather; steps of 5 s and less. */
static void ends(const nr_loop_params *p, double step_s, double *store, double *outlet)
{
    enum { MOST = 2000 };
    static double sun[MOST], air[MOST], flow[MOST], wind[MOST], oblique[MOST], s[MOST], o[MOST];
    static double humidity[MOST];
    size_t steps = (size_t)(1200 / step_s + 0.5);
    for (size_t k = 0; k < steps; k++) {
        sun[k] = 800;
        air[k] = 22;
        flow[k] = 65;
        wind[k] = 0.5;
        oblique[k] = 0.1;
        humidity[k] = 0.4;
    }
    nr_loop_input in = {.blocks = steps,
                        .steps_per_block = 1,
                        .step_s = step_s,
                        .sun_W_m2 = sun,
                        .air_degC = air,
                        .flow_W_K = flow,
                        .wind_m_s = wind,
                        .obliquity = oblique,
                        .humidity = humidity};
    nr_loop_output out = {.reading = {s, NULL, o}};
    nr_loop_run(&in, p, &out);
    /* A block of one step is the mean of its two ends: half a step early. */
    *store = s[steps - 1] + (s[steps - 1] - s[steps - 2]) / 2;
    *outlet = o[steps - 1] + (o[steps - 1] - o[steps - 2]) / 2;
}

/* Against GSL's eighth-order integrator. Backward Euler is of first order: at the step that is used
 * (5 s) it is off by the stated amount, at half the step by half of that, and the two together
 * extrapolate to the truth. */
START_TEST(it_solves_its_equations)
{
    static const double dries_min[] = {15, 12, 25};
    nr_loop_params p = _i / 2 ? dewy(_i % 2, dries_min[_i / 2 - 1]) : heater(_i % 2);
    moment m = {.p = &p,
                .sun = 800,
                .air = 22,
                .flow = 65,
                .wind = 0.5,
                .oblique = 0.1,
                .humidity = 0.4,
                .span_s = 1200};
    double y[STATES], s5, o5, s2, o2, s1, o1;
    start_states(&m, y);
    integrate(&m, 1200, y);
    double store = y[STORE], outlet = y[BOARDS - 1];
    ends(&p, 5, &s5, &o5);
    ends(&p, 2.5, &s2, &o2);
    ends(&p, 1.25, &s1, &o1);
    NEAR_AT("store at 5 s", s5, store, 0.015);
    NEAR_AT("outlet at 5 s", o5, outlet, 0.03);
    NEAR_AT("store, first order", (s2 - store) / (s5 - store), 0.5, 0.02);
    NEAR_AT("outlet, first order", (o2 - outlet) / (o5 - outlet), 0.5, 0.02);
    NEAR_AT("store, extrapolated", 2 * s1 - s2, store, 2e-4);
    NEAR_AT("outlet, extrapolated", 2 * o1 - o2, outlet, 2e-4);
}
END_TEST

/* ---- sensors ---- */

/* A sensor's lag: in a steady climb the reading trails by lag times the rate; inlet and store are
 * the same water. */
START_TEST(sensors_trail_by_their_lag)
{
    enum { STEPS = 400 };
    static double sun[STEPS], air[STEPS], flow[STEPS], quick[STEPS], slow[STEPS], inlet[STEPS];
    nr_loop_params p = heater(false);
    p.loss2_W_m2K2 = p.store_loss_W_K = p.wind_Ws_m3K = 0;
    p.loss_W_m2K = 1e-6; /* so that the climb is straight */
    for (int k = 0; k < STEPS; k++) {
        sun[k] = 800;
        air[k] = 20;
        flow[k] = 80;
    }
    nr_loop_input in = {.blocks = STEPS,
                        .steps_per_block = 1,
                        .step_s = 5,
                        .sun_W_m2 = sun,
                        .air_degC = air,
                        .flow_W_K = flow,
                        .lag_s = {0, 30, 0}};
    nr_loop_output out = {.reading = {quick, inlet, NULL}};
    nr_loop_run(&in, &p, &out);
    in.lag_s[0] = 30;
    out = (nr_loop_output){.reading = {slow, NULL, NULL}};
    nr_loop_run(&in, &p, &out);
    double rate = (quick[STEPS - 1] - quick[STEPS - 101]) / 500;
    ck_assert_double_gt(rate, 1e-3);
    NEAR_RELATIVE(quick[STEPS - 1] - slow[STEPS - 1], 30 * rate, 1e-3);
    NEAR(slow[STEPS - 1], inlet[STEPS - 1], 1e-12);
}
END_TEST

/* ---- steps of second order ---- */

enum { FRONT_STEPS = 400 };

/* A driven tube under even conditions; outlet[k]: as it is after step k. */
static void drive_tube(const nr_loop_params *p, double step_s, size_t steps, bool two,
                       const double *sun, double inlet_degC, double *outlet)
{
    static double air[FRONT_STEPS], flow[FRONT_STEPS], inlet[FRONT_STEPS];
    static float after[FRONT_STEPS][2];
    for (size_t k = 0; k < steps; k++) {
        air[k] = 20;
        flow[k] = 80;
        inlet[k] = inlet_degC;
        after[k][1] = 1;
    }
    nr_loop_input in = {.blocks = steps,
                        .steps_per_block = 1,
                        .step_s = step_s,
                        .sun_W_m2 = sun,
                        .air_degC = air,
                        .flow_W_K = flow,
                        .inlet_degC = inlet,
                        .outlet_degC = inlet,
                        .weight = {[NR_OUT_OUTLET] = (const float(*)[2])after},
                        .two_stages = two};
    nr_loop_run(&in, p, &(nr_loop_output){.reading = {[NR_OUT_OUTLET] = outlet}});
}

/* Water 10 K warmer enters a tube of mixed cells that nothing else touches: what has come out by a
 * time t is Erlang's distribution, 1 - exp(-x) sum x^k/k!, x = t over a cell's content. */
static double front_error(double step_s, bool two)
{
    static double sun[FRONT_STEPS], outlet[FRONT_STEPS];
    size_t steps = (size_t)(60 / step_s);
    nr_loop_params p = {.area_m2 = 1,
                        .exchange_W_m2K = 1e-9,
                        .capacity_J_m2K = 5000,
                        .fluid_J_K = 1600, /* 2.5 s a cell */
                        .store_J_K = 80000,
                        .flow_factor = 1,
                        .t_store_degC = 20,
                        .t_collector_degC = 20};
    drive_tube(&p, step_s, steps, two, sun, 30, outlet);
    double worst = 0;
    for (size_t k = 0; k < steps; k++) {
        double x = step_s * (double)(k + 1) / (p.fluid_J_K / NR_SEGMENTS / 80), term = 1, sum = 0;
        for (int i = 0; i < NR_SEGMENTS; i++) {
            sum += term;
            term *= x / (i + 1);
        }
        worst = fmax(worst, fabs(outlet[k] - (20 + 10 * (1 - exp(-x) * sum))));
    }
    return worst;
}

START_TEST(two_stages_follow_a_front)
{
    double whole = front_error(2.5, true), half = front_error(1.25, true);
    ck_assert_double_gt(front_error(2.5, false), 0.5);
    ck_assert_double_lt(whole, 0.2);
    ck_assert_msg(whole > 3 * half && whole < 5 * half, "second order: %g, %g", whole, half);
}
END_TEST

/* With a wide open way to the water, absorber and water are one mass. When the sun comes out, what
 * a cell gathers has come out by a time t as by Erlang's distribution of the cells that are left,
 * itself included: the outlet's rise is q/W times the mean of those. */
START_TEST(two_stages_follow_a_cloud)
{
    static double sun[FRONT_STEPS], outlet[FRONT_STEPS];
    const double step_s = 2.5, cell_s = (1600 + 2400) / 80.0 / NR_SEGMENTS;
    nr_loop_params p = {.area_m2 = 1,
                        .optical = 0.8,
                        .exchange_W_m2K = 1e7,
                        .capacity_J_m2K = 2400,
                        .fluid_J_K = 1600,
                        .store_J_K = 80000,
                        .flow_factor = 1,
                        .t_store_degC = 20,
                        .t_collector_degC = 20};
    for (int k = 0; k < FRONT_STEPS; k++)
        sun[k] = 1000;
    for (int two = 0; two < 2; two++) {
        double worst = 0;
        drive_tube(&p, step_s, 60, two, sun, 20, outlet);
        for (int k = 0; k < 60; k++) {
            double x = step_s * (k + 1) / cell_s, rise = 0;
            for (int stage = 1; stage <= NR_SEGMENTS; stage++) {
                double term = 1, sum = 0;
                for (int i = 0; i < stage; i++) {
                    sum += term;
                    term *= x / (i + 1);
                }
                rise += (1 - exp(-x) * sum) / NR_SEGMENTS;
            }
            worst = fmax(worst, fabs(outlet[k] - (20 + 800 / 80.0 * rise)));
        }
        if (two)
            ck_assert_double_lt(worst, 0.02);
        else
            ck_assert_double_gt(worst, 0.1);
    }
}
END_TEST

/* ---- the lumped limit ---- */

/* All in one at one temperature: A 0.5 m2, eta0 0.7, U 10, G 900, air 22, start 18 degC, 80000 J/K
 * give 31.4994 degC after an hour (closed form, T = Te + (T0 - Te) exp(-UA t/C), Te = Ta + eta0
 * G/U). The sweep sees the store as it was before the step, which in this limit is the explicit
 * Euler rule: T is then too high by (Te - T0) exp(-t/tau) t dt / (2 tau^2), 0.00188 K at 5 s. */
static double lumped(double step_s)
{
    enum { MOST = 3600 };
    static double sun[MOST], air[MOST], flow[MOST], store[MOST];
    size_t steps = (size_t)(3600 / step_s + 0.5);
    for (size_t k = 0; k < steps; k++) {
        sun[k] = 900;
        air[k] = 22;
        flow[k] = 1e7;
    }
    nr_loop_params p = {.area_m2 = 0.5,
                        .optical = 0.7,
                        .loss_W_m2K = 10,
                        .exchange_W_m2K = 1e9,
                        .capacity_J_m2K = 1e-3,
                        .fluid_J_K = 1e-3,
                        .store_J_K = 80000,
                        .flow_factor = 1,
                        .t_store_degC = 18,
                        .t_collector_degC = 18};
    nr_loop_input in = {.blocks = steps,
                        .steps_per_block = 1,
                        .step_s = step_s,
                        .sun_W_m2 = sun,
                        .air_degC = air,
                        .flow_W_K = flow};
    nr_loop_output out = {.reading = {store}};
    nr_loop_run(&in, &p, &out);
    return store[steps - 1] + (store[steps - 1] - store[steps - 2]) / 2;
}

START_TEST(one_mass_heats_up_exponentially)
{
    const double exact = 31.4994, error_5s = 0.00188; /* the value has four decimals */
    double at5 = lumped(5), at2 = lumped(2.5);
    NEAR(at5, exact + error_5s, 1e-4);
    NEAR(at2, exact + error_5s / 2, 1e-4);
    NEAR(2 * at2 - at5, exact, 1e-4);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("loop");
    TCase *all = tcase_create("loop");
    tcase_set_timeout(all, 60);
    tcase_add_loop_test(all, what_comes_in_goes_out_or_stays, 0, 2); /* bare, glazed */
    tcase_add_loop_test(all, tangents_are_the_derivatives, 0, 6); /* closed, driven, two stages */
    tcase_add_loop_test(all, it_solves_its_equations, 0, 8);      /* then with troubles */
    tcase_add_loop_test(all, a_simulation_goes_on_where_another_stood, 0, 6);
    tcase_add_loop_test(all, a_container_that_is_driven_needs_no_collector, 0, 2);
    tcase_add_test(all, sensors_trail_by_their_lag);
    tcase_add_test(all, two_stages_follow_a_front);
    tcase_add_test(all, two_stages_follow_a_cloud);
    tcase_add_test(all, one_mass_heats_up_exponentially);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
