/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of the segmented model: a heater with every feature at work, a changeable day, and
 * the same equations (the drawing in analyze/model/loop.h) as a system of ordinary differential
 * equations for GSL's integrator, written a second time and sharing no line with the model. */
#ifndef NR_TESTS_HEATER_H
#define NR_TESTS_HEATER_H

#include "analyze/model/loop.h"
#include "tests/unit/near.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>

#include <stdbool.h>

static inline nr_loop_params heater(bool cover)
{
    return (nr_loop_params){.area_m2 = 0.9,
                            .optical = 0.78,
                            .loss_W_m2K = 5.5,
                            .loss2_W_m2K2 = 0.02,
                            .wind_Ws_m3K = 0.8,
                            .exchange_W_m2K = 55,
                            .capacity_J_m2K = 8000,
                            .cover_J_m2K = cover ? 6500 : 0,
                            .fluid_J_K = 1500,
                            .store_J_K = 90000,
                            .store_loss_W_K = 2.5,
                            .sun_offset_W_m2 = 4,
                            .sun_gain = 0.03,
                            .air_offset_K = 0.3,
                            .flow_factor = 0.97,
                            .flow_exponent = 0.5,
                            .layers = 0,
                            .b0 = 0.12,
                            .sky = 0.6,
                            .sky_offset_W_m2 = 5,
                            .inlet_offset_K = 0.2,
                            .inlet_gain = 0.01,
                            .outlet_offset_K = -0.1,
                            .outlet_gain = 0.005,
                            .t_store_degC = 16,
                            .t_collector_degC = 33,
                            .dries_s = 900};
}

/* The same with all that a driveway adds. */
static inline nr_loop_params dewy(bool cover, double dries_min)
{
    nr_loop_params p = heater(cover);
    p.pump_W = 4;
    p.sun_on_air_K = 0.8;
    p.aside_W_m2 = 25;
    p.dew = 0.2;
    p.dries_s = 60 * dries_min;
    p.sun_fade = 0.04;
    p.loss_trend = 0.2;
    p.inlet_drift_K = 0.3;
    p.outlet_drift_K = -0.2;
    p.lost_J_K = 9000;
    p.opening_m2 = 0.07;
    p.humidity_offset = 0.05;
    p.back_J_m2K = 9000;
    p.back_gap_W_m2K = 4;
    return p;
}

static inline nr_loop_params troubled(bool cover)
{
    return dewy(cover, 15);
}

#define DAY_STEPS 360
/* Clouds, gusts, a turning sun, and a pump that stops for a while. */
typedef struct day {
    double sun[DAY_STEPS], air[DAY_STEPS], flow[DAY_STEPS], wind[DAY_STEPS], oblique[DAY_STEPS];
    double drive[DAY_STEPS], sky[DAY_STEPS], inlet[DAY_STEPS], outlet[DAY_STEPS];
    double humidity[DAY_STEPS];
} day;

static inline void fill_day(day *d)
{
    for (int k = 0; k < DAY_STEPS; k++) {
        d->sun[k] = k % 90 < 60 ? 850 + 20 * sin(0.1 * k) : 240;
        d->air[k] = 20 + 0.005 * k;
        d->flow[k] = k >= 150 && k < 190 ? 0 : 60 + 5 * sin(0.05 * k);
        d->drive[k] = 0.3 * sin(0.03 * k);
        d->wind[k] = cos(0.07 * k);
        d->sky[k] = -70 + 10 * sin(0.02 * k);
        d->inlet[k] = 18 + 0.02 * k + sin(0.04 * k);
        d->outlet[k] = d->inlet[k] + 6 + cos(0.03 * k);
        d->humidity[k] = 0.4 + 0.1 * sin(0.02 * k);
        d->oblique[k] = 0.02 + 0.0003 * k;
    }
}

static inline nr_loop_input day_input(const day *d, double step_s)
{
    return (nr_loop_input){.blocks = DAY_STEPS / 2,
                           .steps_per_block = 2,
                           .step_s = step_s,
                           .sun_W_m2 = d->sun,
                           .air_degC = d->air,
                           .flow_W_K = d->flow,
                           .drive = d->drive,
                           .wind_m_s = d->wind,
                           .obliquity = d->oblique,
                           .lag_s = {12, 4, 6}};
}

/* ---- the second implementation: constant weather in one call ---- */

#define BOARDS (3 * NR_SEGMENTS)
#define STORE (4 * NR_SEGMENTS)
#define STATES (STORE + 1)

typedef struct moment {
    const nr_loop_params *p;
    double sun, air, flow, wind, oblique; /* as recorded */
    double humidity, span_s;              /* of the record, for what changes along it */
    bool fixed_store;
} moment;

/* Vapour pressure by Magnus's formula as WMO No. 8 has it (annex 4.B), kPa: other constants than
 * the model's, 0.1 % apart. */
static inline double magnus(double degC)
{
    return 0.6112 * exp(17.62 * degC / (243.12 + degC));
}

/* y: absorbers, covers, fluids, boards, store. The board stands in full, with its way out, whose
 * loss at rest is part of U and taken off there. With the cover in between, the loss U splits into
 * U / (1 - share) inside and U / share outside. */
static inline int heat_flows(double t, const double y[], double dy[], void *context)
{
    const moment *m = context;
    const nr_loop_params *p = m->p;
    const double area = p->area_m2 / NR_SEGMENTS, fluid = p->fluid_J_K / NR_SEGMENTS;
    const double when = m->span_s > 0 ? t / m->span_s - 0.5 : 0;
    const double sun = (m->sun - p->sun_offset_W_m2) / (1 + p->sun_gain) /
                       (1 + p->sun_fade * when) * (1 - p->b0 * m->oblique);
    const double air = m->air - p->air_offset_K - p->sun_on_air_K * m->sun / 1000;
    const double w = m->flow * p->flow_factor, gap = p->back_gap_W_m2K;
    const double through = gap > 0 ? 1 / (1 / gap + 1 / NR_BACK_OUTSIDE_W_M2K) : 0;
    const double *a = y, *c = y + NR_SEGMENTS, *f = y + 2 * NR_SEGMENTS, *board = y + BOARDS;
    double store = y[STORE], before = store;
    for (int i = 0; i < NR_SEGMENTS; i++) {
        double loss = p->loss_W_m2K * (1 + p->loss_trend * when) + p->loss2_W_m2K2 * (a[i] - air) +
                      p->wind_Ws_m3K * m->wind;
        double dew = p->dew * exp(-t / p->dries_s);
        double to_fluid = p->exchange_W_m2K * (a[i] - f[i]);
        double inner =
            p->cover_J_m2K > 0 ? loss / (1 - NR_COVER_SHARE) * (a[i] - c[i]) : loss * (a[i] - air);
        double outer = loss / NR_COVER_SHARE * (c[i] - air);
        double behind = gap * (a[i] - board[i]);
        double unsteady = behind - through * (a[i] - air);
        dy[i] = (p->optical * sun * (1 - dew) - p->aside_W_m2 / (1 + p->sun_gain) - inner -
                 to_fluid - unsteady) /
                p->capacity_J_m2K;
        dy[NR_SEGMENTS + i] = p->cover_J_m2K > 0 ? (inner - outer) / p->cover_J_m2K : 0;
        dy[2 * NR_SEGMENTS + i] = (area * to_fluid + w * (before - f[i])) / fluid;
        dy[BOARDS + i] = p->back_J_m2K > 0
                             ? (behind - NR_BACK_OUTSIDE_W_M2K * (board[i] - air)) / p->back_J_m2K
                             : 0;
        before = f[i];
    }
    double vapour =
        p->opening_m2 * 89 * (magnus(store) - (m->humidity + p->humidity_offset) * magnus(air));
    double heat = w * (before - store) - p->store_loss_W_K * (store - air) + p->pump_W - vapour;
    dy[STORE] = m->fixed_store ? 0 : heat / (p->store_J_K - p->lost_J_K * (when + 0.5));
    return GSL_SUCCESS;
}

static inline void start_states(const moment *m, double *y)
{
    const nr_loop_params *p = m->p;
    const double air = m->air - p->air_offset_K - p->sun_on_air_K * m->sun / 1000;
    const double inside = p->back_gap_W_m2K / (p->back_gap_W_m2K + NR_BACK_OUTSIDE_W_M2K);
    for (int i = 0; i < NR_SEGMENTS; i++) {
        y[i] = y[2 * NR_SEGMENTS + i] = p->t_collector_degC;
        y[NR_SEGMENTS + i] = NR_COVER_SHARE * p->t_collector_degC + (1 - NR_COVER_SHARE) * air;
        y[BOARDS + i] = air + inside * (p->t_collector_degC - air);
    }
    y[STORE] = p->t_store_degC;
}

/* From y at time 0 to `seconds`. */
static inline void integrate(moment *m, double seconds, double *y)
{
    gsl_odeiv2_system system = {heat_flows, NULL, STATES, m};
    gsl_odeiv2_driver *driver =
        gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rk8pd, 0.1, 1e-9, 1e-9);
    double t = 0;
    ck_assert_int_eq(gsl_odeiv2_driver_apply(driver, &t, seconds, y), GSL_SUCCESS);
    gsl_odeiv2_driver_free(driver);
}

#endif
