/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/model/steady.h"

#include <math.h>

double nr_steady_gain_W_m2(const nr_loop_params *p, const nr_steady_conditions *c)
{
    double modifier = c->iam > 0 ? c->iam : 1 - p->b0 * c->obliquity;
    double gain = p->optical * c->sun_W_m2 * modifier * (1 - p->wind_gain_s_m * c->wind_m_s);
    gain -= p->aside_W_m2;
    return gain + (c->has_sky ? p->sky * (c->sky_W_m2 + p->sky_offset_W_m2) : 0);
}

/* The absorber's balance at a fluid temperature f: optical S = loss(a) (a - air) + h (a - f). */
static double absorber_temperature(const nr_loop_params *p, const nr_steady_conditions *c, double f)
{
    double gain = nr_steady_gain_W_m2(p, c);
    double loss = p->loss_W_m2K + p->wind_Ws_m3K * c->wind_m_s;
    double a = (gain + loss * c->air_degC + p->exchange_W_m2K * f) / (loss + p->exchange_W_m2K);
    if (p->loss2_W_m2K2 == 0)
        return a;
    for (int i = 0; i < 20; i++) {
        double d = a - c->air_degC;
        double residual = gain - loss * d - p->loss2_W_m2K2 * d * d - p->exchange_W_m2K * (a - f);
        double slope = loss + 2 * p->loss2_W_m2K2 * d + p->exchange_W_m2K;
        double step = residual / slope;
        a += step;
        if (fabs(step) < 1e-12 * (1 + fabs(a)))
            break;
    }
    return a;
}

/* One mixed cell: W (f - before) = A h (a(f) - f). */
static double cell_outlet(const nr_loop_params *p, const nr_steady_conditions *c, double flow,
                          double before)
{
    double ha = p->exchange_W_m2K * p->area_m2 / NR_SEGMENTS;
    /* Secant on a nearly linear balance: two points fix it when the loss is linear. */
    double f0 = before, f1 = before + 1;
    double r0 = flow * (f0 - before) - ha * (absorber_temperature(p, c, f0) - f0);
    for (int i = 0; i < 20; i++) {
        double r1 = flow * (f1 - before) - ha * (absorber_temperature(p, c, f1) - f1);
        if (r1 == r0)
            break;
        double f2 = f1 - r1 * (f1 - f0) / (r1 - r0);
        f0 = f1;
        r0 = r1;
        f1 = f2;
        if (fabs(f1 - f0) < 1e-11 * (1 + fabs(f1)))
            break;
    }
    return f1;
}

nr_operating_point nr_steady_state(const nr_loop_params *p, const nr_steady_conditions *c,
                                   double inlet_degC)
{
    double flow = c->flow_W_K * p->flow_factor;
    double f = inlet_degC;
    for (int i = 0; i < NR_SEGMENTS; i++)
        f = cell_outlet(p, c, flow, f);
    nr_operating_point s = {.power_W = flow * (f - inlet_degC), .outlet_degC = f};
    return s;
}

double nr_steady_efficiency(const nr_loop_params *p, const nr_steady_conditions *c, double x,
                            bool mean)
{
    double want = c->air_degC + x * c->sun_W_m2;
    double sun_W = c->sun_W_m2 * p->area_m2;
    nr_operating_point at = nr_steady_state(p, c, want);
    if (!mean)
        return at.power_W / sun_W;
    double t0 = want, m0 = (want + at.outlet_degC) / 2;
    double t1 = want - (m0 - want);
    for (int i = 0; i < 20; i++) {
        at = nr_steady_state(p, c, t1);
        double m1 = (t1 + at.outlet_degC) / 2;
        if (fabs(m1 - want) < 1e-10 * (1 + fabs(want)) || m1 == m0)
            break;
        double t2 = t1 - (m1 - want) * (t1 - t0) / (m1 - m0);
        t0 = t1;
        m0 = m1;
        t1 = t2;
    }
    return at.power_W / sun_W;
}

double nr_stagnation_rise_K(const nr_loop_params *p, double sun_W_m2)
{
    double gain = p->optical * sun_W_m2;
    double b = p->loss_W_m2K, c = p->loss2_W_m2K2;
    if (c == 0)
        return b > 0 ? gain / b : INFINITY;
    double root = b * b + 4 * c * gain;
    if (root < 0)
        return INFINITY;
    double rise = 2 * gain / (b + sqrt(root)); /* the form that does not cancel */
    return rise > 0 ? rise : INFINITY;
}

#define TIME_CONSTANT_STEP_S 1.0
#define TIME_CONSTANT_STEPS 1800

double nr_time_constant_s(const nr_loop_params *p, const nr_steady_conditions *c)
{
    nr_steady_conditions sunny =
        *c; /* a step of the sun alone: what the sky does is there before */
    sunny.has_sky = false;
    nr_loop_params q = *p;
    q.aside_W_m2 = 0;
    double goal =
        (1 - exp(-1)) * (nr_steady_state(&q, &sunny, c->air_degC).outlet_degC - c->air_degC);
    q.t_store_degC = q.t_collector_degC = 0; /* air is zero here */
    q.store_J_K = 1e15; /* a store that never warms: the inlet stays at air temperature */
    q.store_loss_W_K = 0;
    q.sun_offset_W_m2 = q.sun_gain = q.air_offset_K = q.sun_on_air_K = 0;
    q.dew = q.sun_fade = q.loss_trend = q.lost_J_K = q.pump_W = q.opening_m2 = 0;
    double sun[TIME_CONSTANT_STEPS], air[TIME_CONSTANT_STEPS], flow[TIME_CONSTANT_STEPS];
    double wind[TIME_CONSTANT_STEPS], obliquity[TIME_CONSTANT_STEPS], outlet[TIME_CONSTANT_STEPS];
    for (size_t i = 0; i < TIME_CONSTANT_STEPS; i++) {
        sun[i] = c->sun_W_m2 * (c->iam > 0 ? c->iam : 1);
        air[i] = 0;
        flow[i] = c->flow_W_K;
        wind[i] = c->wind_m_s;
        obliquity[i] = c->iam > 0 ? 0 : c->obliquity;
    }
    nr_loop_input in = {.blocks = TIME_CONSTANT_STEPS,
                        .steps_per_block = 1,
                        .step_s = TIME_CONSTANT_STEP_S,
                        .sun_W_m2 = sun,
                        .air_degC = air,
                        .flow_W_K = flow,
                        .wind_m_s = wind,
                        .obliquity = obliquity};
    nr_loop_output out = {.reading = {NULL, NULL, outlet}};
    nr_loop_run(&in, &q, &out);
    double last = 0;
    for (size_t i = 0; i < TIME_CONSTANT_STEPS; i++) {
        /* outlet[i] is a mean over step i: it stands for the step's middle. */
        if (outlet[i] >= goal) {
            double before = i ? (double)i - 0.5 : 0, after = (double)i + 0.5;
            return TIME_CONSTANT_STEP_S *
                   (before + (after - before) * (goal - last) / (outlet[i] - last));
        }
        last = outlet[i];
    }
    return NAN;
}
