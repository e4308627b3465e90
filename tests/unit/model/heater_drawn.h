/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heaters and weathers drawn at random for the tests of the segmented model: every parameter at
 * work in most, and each thing that may be missing missing in some. */
#ifndef NR_TESTS_HEATER_DRAWN_H
#define NR_TESTS_HEATER_DRAWN_H

#include "analyze/model/loop.h"

#include <gsl/gsl_rng.h>

#include <stdbool.h>

#define DRAWN_BLOCKS 6
#define DRAWN_STEPS 24

typedef struct heater_drawn {
    nr_loop_params params;
    nr_loop_input input;
    double sun[DRAWN_STEPS], air[DRAWN_STEPS], flow[DRAWN_STEPS], drive[DRAWN_STEPS];
    double wind[DRAWN_STEPS], oblique[DRAWN_STEPS], sky[DRAWN_STEPS], iam[DRAWN_STEPS];
    double humidity[DRAWN_STEPS], inlet[DRAWN_STEPS], outlet[DRAWN_STEPS];
    float weight[NR_OUTS][DRAWN_STEPS][2];
} heater_drawn;

static inline double drawn(gsl_rng *rng, double low, double high)
{
    return low + (high - low) * gsl_rng_uniform(rng);
}

/* In two of three. */
static inline bool has(gsl_rng *rng)
{
    return gsl_rng_uniform(rng) < 2.0 / 3;
}

static inline void draw_params(nr_loop_params *p, gsl_rng *rng)
{
    *p = (nr_loop_params){.area_m2 = drawn(rng, 0.5, 2),
                          .optical = drawn(rng, 0.6, 0.9),
                          .loss_W_m2K = drawn(rng, 3, 20),
                          .loss2_W_m2K2 = drawn(rng, 0, 0.05),
                          .wind_Ws_m3K = drawn(rng, 0, 1),
                          .exchange_W_m2K = drawn(rng, 20, 200),
                          .capacity_J_m2K = drawn(rng, 3000, 9000),
                          .cover_J_m2K = has(rng) ? drawn(rng, 1000, 9000) : 0,
                          .fluid_J_K = drawn(rng, 1000, 9000),
                          .store_J_K = drawn(rng, 2e4, 9e4),
                          .store_loss_W_K = drawn(rng, 0.5, 4),
                          .sun_offset_W_m2 = drawn(rng, -9, 9),
                          .sun_gain = drawn(rng, -0.1, 0.1),
                          .air_offset_K = drawn(rng, -1, 1),
                          .flow_factor = drawn(rng, 0.8, 1.2),
                          .flow_exponent = has(rng) ? drawn(rng, -1, 1) : 0,
                          .layers = drawn(rng, -0.2, 0.3),
                          .b0 = drawn(rng, 0, 0.3),
                          .t_store_degC = drawn(rng, 10, 40),
                          .t_collector_degC = drawn(rng, 10, 60),
                          .wind_gain_s_m = drawn(rng, 0, 0.05),
                          .sky = drawn(rng, 0.1, 1),
                          .aside_W_m2 = drawn(rng, -30, 30),
                          .sky_offset_W_m2 = drawn(rng, -9, 9),
                          .inlet_offset_K = drawn(rng, -1, 1),
                          .inlet_gain = drawn(rng, -0.02, 0.02),
                          .outlet_offset_K = drawn(rng, -1, 1),
                          .outlet_gain = drawn(rng, -0.02, 0.02),
                          .pump_W = drawn(rng, 0, 30),
                          .opening_m2 = has(rng) ? drawn(rng, 0.05, 0.3) : 0,
                          .humidity_offset = drawn(rng, -0.1, 0.1),
                          .lost_J_K = drawn(rng, -3000, 9000),
                          .back_J_m2K = has(rng) ? drawn(rng, 3000, 20000) : 0,
                          .back_gap_W_m2K = drawn(rng, 1, 9),
                          .sun_on_air_K = drawn(rng, -1, 2),
                          .dew = has(rng) ? drawn(rng, 0.05, 0.4) : 0,
                          .dries_s = drawn(rng, 60, 900),
                          .sun_fade = has(rng) ? drawn(rng, -0.1, 0.1) : 0,
                          .loss_trend = drawn(rng, -0.5, 0.5),
                          .inlet_drift_K = drawn(rng, -1, 1),
                          .outlet_drift_K = drawn(rng, -1, 1)};
}

/* Weights of a block's steps that sum to one, some of them none at all. */
static inline void draw_weights(heater_drawn *h, gsl_rng *rng)
{
    const size_t per = h->input.steps_per_block;
    for (int c = 0; c < NR_OUTS; c++)
        for (size_t b = 0; b < h->input.blocks; b++) {
            float sum = 0;
            for (size_t k = b * per; k < (b + 1) * per; k++)
                for (int end = 0; end < 2; end++) {
                    h->weight[c][k][end] = has(rng) ? (float)drawn(rng, 0.1, 1) : 0;
                    sum += h->weight[c][k][end];
                }
            for (size_t k = b * per; k < (b + 1) * per && sum > 0; k++)
                for (int end = 0; end < 2; end++)
                    h->weight[c][k][end] /= sum;
        }
}

/* h is not to be moved or copied: its input points into it. */
static inline void draw_heater(heater_drawn *h, int number)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 7301 + (unsigned long)number);
    draw_params(&h->params, rng);
    for (int k = 0; k < DRAWN_STEPS; k++) {
        h->sun[k] = drawn(rng, 0, 1000);
        h->air[k] = drawn(rng, 5, 30);
        h->flow[k] = gsl_rng_uniform(rng) < 0.2 ? 0 : drawn(rng, 20, 200);
        h->drive[k] = gsl_rng_uniform(rng) < 0.2 ? 0 : drawn(rng, -0.5, 0.5);
        h->wind[k] = drawn(rng, -2, 2);
        h->oblique[k] = drawn(rng, 0, 0.5);
        h->sky[k] = drawn(rng, -100, 0);
        h->iam[k] = drawn(rng, 0.8, 1);
        h->humidity[k] = drawn(rng, 0.2, 0.8);
        h->inlet[k] = drawn(rng, 10, 40);
        h->outlet[k] = drawn(rng, 20, 60);
    }
    size_t per = 1 + (size_t)gsl_rng_uniform_int(rng, 4);
    bool driven = number % 2;
    h->input = (nr_loop_input){.blocks = DRAWN_BLOCKS,
                               .steps_per_block = per,
                               .step_s = drawn(rng, 4, 40),
                               .sun_W_m2 = h->sun,
                               .air_degC = h->air,
                               .flow_W_K = h->flow,
                               .drive = has(rng) ? h->drive : NULL,
                               .wind_m_s = has(rng) ? h->wind : NULL,
                               .obliquity = has(rng) ? h->oblique : NULL,
                               .sky_W_m2 = has(rng) ? h->sky : NULL,
                               .iam = has(rng) ? NULL : h->iam,
                               .humidity = has(rng) ? h->humidity : NULL,
                               .inlet_degC = driven ? h->inlet : NULL,
                               .outlet_degC = driven && has(rng) ? h->outlet : NULL,
                               .lag_s = {drawn(rng, 0, 60), drawn(rng, 0, 60), drawn(rng, 0, 60)},
                               .two_stages = number % 4 > 1};
    draw_weights(h, rng);
    for (int c = 0; c < NR_OUTS; c++)
        h->input.weight[c] = has(rng) ? NULL : (const float(*)[2])h->weight[c];
    gsl_rng_free(rng);
}

#endif
