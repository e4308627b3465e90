/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The benchmark's truth agrees with itself: what it simulates comes to rest where its balances at
 * rest, which answers are held against, say. And what the rig file is told is the quantity that the
 * key asks for. */
#include "tests/adversity/kinds.h"
#include "tests/unit/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static ad_heater heater_of(bool glazed, double fluid_kg)
{
    return (ad_heater){.glazed = glazed,
                       .area_m2 = 1.2,
                       .optical = 0.78,
                       .b0 = 0.1,
                       .emittance = 0.9,
                       .absorber_J_m2K = 4500,
                       .cover_J_m2K = 4000,
                       .cover_absorbs = 0.04,
                       .bond_W_m2K = 90,
                       .fluid_kg = fluid_kg,
                       .board_J_m2K = 5000,
                       .board_W_m2K = 20,
                       .gap_W_m2K = 1.5,
                       .wind0 = 4,
                       .wind1 = 3};
}

static const ad_input noon = {.absorbed_share = 0.97,
                              .sun_W_m2 = 900,
                              .air_degC = 20,
                              .wind_m_s = 1.5,
                              .sky_degC = 6,
                              .humidity = 0.5,
                              .flow_kg_s = 0.03,
                              .own_inlet = true,
                              .inlet_degC = 35};

#define STEP_S 0.5
static const ad_store store = {
    .water_kg = 40, .dry_J_K = 1500, .mix_W_K = 2000, .probe_height = 0.5};

static void rests(bool glazed, double fluid_kg)
{
    ad_heater h = heater_of(glazed, fluid_kg);
    ad_state x;
    double outlet;
    double eta = ad_efficiency(&h, &noon, noon.inlet_degC, &outlet);
    ad_start(&h, &store, 30, 20, &x);
    for (int i = 0; i < (int)(4 * 3600 / STEP_S); i++)
        ad_step(&h, &store, &noon, STEP_S, &x);
    NEAR(x.fluid[AD_STRIPS - 1], outlet, 1e-4);
    NEAR(noon.flow_kg_s * AD_CP * (x.fluid[AD_STRIPS - 1] - noon.inlet_degC) /
             (noon.sun_W_m2 * h.area_m2),
         eta, 1e-5);
}

/* Little water and much flow: half of a strip's content moves in a step, or several strips' do. */
START_TEST(simulation_rests_where_balances_say)
{
    rests(true, 0.4);
    rests(false, 0.4);
    rests(true, 0.1);
    rests(false, 1.0);
}
END_TEST

#define DRAWS 400
#define MOST_MEAN 0.25 /* five standard deviations of the mean */

/* The truth over what is said of it, less 1: normal, of mean nothing and standard deviation u. */
static void is_said(const char *what, const double *ratio, double u)
{
    double sum = 0, squares = 0;
    for (int i = 0; i < DRAWS; i++) {
        double z = (ratio[i] - 1) / u;
        sum += z;
        squares += z * z;
    }
    double mean = sum / DRAWS, rms = sqrt(squares / DRAWS);
    ck_assert_msg(fabs(mean) < MOST_MEAN && rms > 0.8 && rms < 1.2, "%s: mean %.2f, rms %.2f", what,
                  mean, rms);
}

static const ad_kind *kind_named(const char *name)
{
    for (size_t k = 0; k < ad_kind_count; k++)
        if (strcmp(ad_kinds[k].name, name) == 0)
            return &ad_kinds[k];
    return NULL;
}

static void says_what_is(const char *kind)
{
    static double area[DRAWS], water[DRAWS], fluid[DRAWS], capacity[DRAWS];
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    ck_assert_ptr_nonnull(kind_named(kind));
    for (unsigned i = 0; i < DRAWS; i++) {
        ad_case c;
        gsl_rng_set(rng, i + 1);
        ad_draw(kind_named(kind), rng, &c);
        area[i] = c.heater.area_m2 / c.area_said;
        water[i] = c.store.water_kg / c.water_said;
        fluid[i] = c.heater.fluid_kg / c.fluid_said;
        /* heat_capacity_J_K: the absorber and its tube, without panes and back */
        capacity[i] = c.heater.absorber_J_m2K * c.heater.area_m2 / c.capacity_said;
    }
    gsl_rng_free(rng);
    is_said("area", area, 0.005);
    is_said("water", water, 0.006);
    is_said("fluid", fluid, 0.1);
    is_said("heat capacity", capacity, 0.15);
}

START_TEST(rig_file_is_told_what_its_keys_ask_for)
{
    says_what_is("g-glazed");
    says_what_is("g-bare");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {simulation_rests_where_balances_say,
                                  rig_file_is_told_what_its_keys_ask_for, NULL};
    return run_tests("adversity's truth", tests);
}
