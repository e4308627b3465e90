/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A target that some builds reach, or none: how likely each would get there, who is better then,
 * how far heat-ups are drawn; what the day takes from the records where they state it or not; by
 * which names builds go. Worked out a second time beside the same estimate. */
#include "analyze/compare/compare.h"
#include "analyze/fit/derive.h"
#include "analyze/forecast/heatup.h"
#include "tests/unit/quality/records.h"

static nr_virtual_run *run[2];
static nr_compare *c;
static nr_joint *whole, *part[2];
static nr_series *series[2];

static void set_up(void)
{
    for (int b = 0; b < 2; b++) {
        nr_virtual_params p = b ? nr_virtual_bare() : nr_virtual_glazed();
        p.rig_seed = 5;
        p.day_seed = 4;
        p.interval_s = 30;
        p.duration_s = 1800;
        p.channels |= NR_VC_BIT(NR_VC_WIND);
        p.stated.iam_b0 = 0.1;
        run[b] = simulate(&p);
        snprintf(run[b]->run.folder, sizeof run[b]->run.folder, "tests/%s", b ? "bare" : "glazed");
        snprintf(run[b]->run.rig.collector.name, sizeof run[b]->run.rig.collector.name, "%s",
                 b ? "b" : "a");
    }
}

static void drop(void)
{
    nr_compare_free(c);
    for (int b = 0; b < 2; b++) {
        nr_joint_free(part[b]);
        nr_series_free(series[b]);
        part[b] = NULL;
        series[b] = NULL;
    }
    nr_joint_free(whole);
    whole = NULL;
    c = NULL;
}

static void tear_down(void)
{
    drop();
    for (int b = 0; b < 2; b++)
        nr_virtual_run_free(run[b]);
}

static void compare(nr_reference_day on)
{
    static const size_t counts[] = {1, 1}, build_of[] = {0, 1};
    const nr_run *one[2] = {&run[0]->run, &run[1]->run}, *const * groups[] = {one, one + 1};
    nr_fit_options options = nr_fit_defaults();
    nr_err err = {.text = ""};
    options.plain = true;
    drop();
    ck_assert_msg(!nr_compare_builds(groups, counts, 2, &on, &options, &c, &err), "%s", err.text);
    for (int b = 0; b < 2; b++)
        ck_assert(!nr_series_build(one[b], &series[b], &err));
    ck_assert(!nr_fit_joint(series, build_of, 2, 2, &options, &whole, &err));
    for (size_t b = 0; b < 2; b++)
        ck_assert(!nr_joint_part(whole, b, &part[b], &err));
}

static double chance_below(double z)
{
    return erfc(-z / M_SQRT2) / 2;
}

/* That the store, after half a day, would be over the target. */
static double likely(size_t b)
{
    nr_curve_at at[2] = {nr_derive_conditions(part[0], 0, true),
                         nr_derive_conditions(part[1], 0, true)};
    double oblique = (at[0].conditions.obliquity + at[1].conditions.obliquity) / 2;
    double wind = series[b]->wind_zero_m_s, end[3], u[3];
    nr_heatup_case half_a_day = {
        .weather = {.count = 1,
                    .every_s = 43200,
                    .sun_W_m2 = &c->day.sun_W_m2,
                    .air_degC = &c->day.air_degC,
                    .obliquity = &oblique,
                    .wind_above_mean_m_s = isnan(wind) ? 0 : c->day.wind_m_s - wind},
        .water_kg = c->day.store_kg,
        .true_water = true,
        .store_loss_W_K = NAN,
        .flow_W_K = at[b].conditions.flow_W_K,
        .from_degC = c->day.from_degC,
        .to_degC = c->day.to_degC,
        .limit_s = 43200};
    ck_assert(nr_heatup_band(part[b], &half_a_day, 3, end, u));
    return chance_below((end[2] - c->day.to_degC) / u[2]);
}

static nr_reference_day to(double degC)
{
    return (nr_reference_day){800, 20, 2, 30, 15, degC, false};
}

/* Glass gets warmer than none: a target of which only the glazed one is sure, and one beyond. */
START_TEST(who_gets_there)
{
    compare(to(30));
    ck_assert(c->heat_up[0].time_s.known && c->heat_up[1].time_s.known && c->day.stated);
    double longest = fmax(c->heat_up[0].time_s.hi95, c->heat_up[1].time_s.hi95);
    for (size_t b = 0; b < 2; b++) {
        ck_assert(c->heat_up[b].probability_reached == 1);
        NEAR_RELATIVE(c->heat_up[b].t_s[80], 1.25 * longest, 1e-9);
    }
    const nr_quantity *d = &c->difference[0].heat_up_s;
    NEAR(c->difference[0].probability_better, chance_below(-d->value / d->u), 1e-9);
    compare(to(62)); /* a bare one loses all it gains from some 40 K over the air on */
    ck_assert(c->heat_up[0].time_s.known && !c->heat_up[1].time_s.known);
    ck_assert(c->heat_up[0].probability_reached == 1);
    NEAR(c->heat_up[1].probability_reached, likely(1), 1e-6);
    ck_assert(c->difference[0].probability_better == 0); /* of the bare one */
    ck_assert(!c->difference[0].heat_up_s.known && c->verdict.best == 0);
    for (size_t b = 0; b < 2; b++)
        NEAR_RELATIVE(c->heat_up[b].t_s[80], fmin(1.25 * c->heat_up[0].time_s.hi95, 43200), 1e-9);
    compare(to(99.5));
    ck_assert(!c->heat_up[0].time_s.known && !c->heat_up[1].time_s.known);
    ck_assert(c->difference[0].probability_better == 0.5 && !c->verdict.reached);
    for (size_t b = 0; b < 2; b++) {
        NEAR(c->heat_up[b].probability_reached, likely(b), 1e-6);
        NEAR(c->heat_up[b].t_s[80], 1.25 * 7200, 1e-6);
    }
}
END_TEST

/* The mean of what is stated; where nothing is, of what is usual. */
START_TEST(what_the_day_takes)
{
    const nr_reference_day open = {NAN, NAN, NAN, NAN, NAN, NAN, false};
    nr_value *water[2] = {&run[0]->run.rig.store.water_kg, &run[1]->run.rig.store.water_kg};
    compare(open);
    ck_assert(!c->day.stated);
    NEAR(c->day.store_kg, (water[0]->value + water[1]->value) / 2, 1e-9);
    NEAR(c->day.wind_m_s, (series[0]->mean_wind_m_s + series[1]->mean_wind_m_s) / 2, 1e-9);
    ck_assert(c->day.to_degC - c->day.from_degC >= 5);
    ck_assert_str_eq(c->label[0], "a");
    ck_assert_str_eq(c->label[1], "b");
    water[0]->value = 41;
    water[1]->given = false;
    snprintf(run[1]->run.rig.collector.name, sizeof run[1]->run.rig.collector.name, "a");
    nr_reference_day some = open;
    some.to_degC = 36;
    compare(some);
    NEAR(c->day.store_kg, 41, 1e-9);
    ck_assert(c->day.to_degC == 36 && !c->day.stated);
    ck_assert_str_eq(c->label[0], "glazed"); /* twins go by their folders */
    ck_assert_str_eq(c->label[1], "bare");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {who_gets_there, what_the_day_takes, NULL};
    return run_tests_in("compare_unreached", tests, set_up, tear_down);
}
