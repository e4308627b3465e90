/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Before and after, worked by hand. Enthalpies of saturated water as the steam tables of any
 * handbook print them (from memory): 15 degC 62.98, 20 83.91, 25 104.83, 35 146.64, 40 167.53, 45
 * 188.44 kJ/kg; at 1 bar the differences are the same within 0.1 %. */
#include "analyze/tally/tally.h"
#include "tests/unit/near.h"

#include <check.h>
#include <math.h>

static nr_stated of(double value, double u)
{
    return (nr_stated){value, u};
}

/* 20 kg from 20 to 45 degC in 100 min under 800 W/m2 on 0.7 m2. */
static nr_tally_question worked(void)
{
    nr_tally_question q = nr_tally_open();
    q.input[NR_TALLY_WATER] = of(20, 0.2);
    q.input[NR_TALLY_AREA] = of(0.7, 0.007);
    q.input[NR_TALLY_FROM] = of(20, 0.3);
    q.input[NR_TALLY_TO] = of(45, 0.3);
    q.input[NR_TALLY_DURATION] = of(6000, 30);
    q.input[NR_TALLY_SUN] = of(800, 40);
    return q;
}

static nr_tally made(const nr_tally_question *q)
{
    nr_tally t;
    nr_err err = {.text = ""};
    ck_assert_msg(nr_tally_make(q, &t, &err) == NR_OK, "%s", err.text);
    return t;
}

START_TEST(by_hand)
{
    nr_tally_question q = worked();
    nr_tally t = made(&q);
    const nr_quantity *heat = &t.result[NR_TALLY_HEAT], *W = &t.result[NR_TALLY_POWER],
                      *share = &t.result[NR_TALLY_EFFICIENCY];
    double J = 20 * (188.44 - 83.91) * 1000;
    NEAR_RELATIVE(heat->value, J, 1e-3);
    NEAR_RELATIVE(W->value, J / 6000, 1e-3);
    NEAR_RELATIVE(t.sun_J, 3.36e6, 1e-9);
    NEAR_RELATIVE(share->value, J / 3.36e6, 1e-3); /* 0.6222 */
    /* In per cent of the value: water 1, area 1, the two readings 0.3 sqrt(2)/25 = 1.697, time 0.5,
     * sun 5: heat 1.970, power 2.032, share 5.489 (JCGM 100, 5.1.6). */
    NEAR_RELATIVE(heat->u / heat->value, 0.01970, 0.02);
    NEAR_RELATIVE(W->u / W->value, 0.02032, 0.02);
    NEAR_RELATIVE(share->u / share->value, 0.05489, 0.02);
    NEAR(t.share[NR_TALLY_EFFICIENCY][NR_TALLY_SUN], 25 / 30.13, 0.002);
    NEAR(t.share[NR_TALLY_HEAT][NR_TALLY_WATER], 1 / 3.88, 0.002);
    ck_assert_int_eq(t.dominates, NR_TALLY_SUN);
    /* What another test has anew: readings and clock, (2.88 + 0.25)/30.13 of the variance. */
    NEAR_RELATIVE(share->u_random / share->u, sqrt(3.13 / 30.13), 0.01);
    NEAR_RELATIVE(hypot(share->u_random, share->u_systematic), share->u, 1e-9);
    ck_assert_uint_eq(t.trust.count, 0);
}
END_TEST

/* With the sun alone uncertain the share goes as 1/G, and its quantiles are those of G turned
 * round: 0.6222/(1 +- 1.95996 x 0.1). The interval is not symmetric, and drawn, not derived. */
START_TEST(interval)
{
    nr_tally_question q = worked();
    for (int i = 0; i < NR_TALLY_SUN; i++)
        q.input[i].u = 0;
    q.input[NR_TALLY_SUN].u = 80;
    nr_tally t = made(&q);
    const nr_quantity *share = &t.result[NR_TALLY_EFFICIENCY];
    NEAR_RELATIVE(share->lo95 / share->value, 1 / 1.195996, 0.006);
    NEAR_RELATIVE(share->hi95 / share->value, 1 / 0.804004, 0.012);
    NEAR(t.share[NR_TALLY_EFFICIENCY][NR_TALLY_SUN], 1, 1e-9);
    NEAR(t.result[NR_TALLY_HEAT].u, 0, 1e-6 * t.result[NR_TALLY_HEAT].value);
    q.seed = 2;
    nr_tally other = made(&q);
    ck_assert(other.result[NR_TALLY_EFFICIENCY].lo95 != share->lo95);
    NEAR_RELATIVE(other.result[NR_TALLY_EFFICIENCY].lo95, share->lo95, 0.01);
}
END_TEST

/* 50.00 lb of water (22.68 kg) through 31 degF are 50 x 31 = 1550 Btu, by the old definition of the
 * Btu. */
START_TEST(in_pounds)
{
    nr_tally_question q = worked();
    q.input[NR_TALLY_WATER] = of(50 * 0.45359237, NAN);
    q.input[NR_TALLY_FROM] = of((64 - 32) / 1.8, NAN);
    q.input[NR_TALLY_TO] = of((95 - 32) / 1.8, NAN);
    nr_tally t = made(&q);
    NEAR_RELATIVE(t.result[NR_TALLY_HEAT].value / 1055.06, 1550, 3e-3);
    ck_assert(!t.u_stated[NR_TALLY_WATER] && t.u_stated[NR_TALLY_SUN]);
    /* The usual: 2 % of the mass, 1 K/sqrt(3) a reading: 0.6. */
    NEAR_RELATIVE(t.asked.input[NR_TALLY_WATER].u, 0.02 * 22.6796, 1e-4);
    NEAR(t.asked.input[NR_TALLY_TO].u, 1 / sqrt(3), 0.03);
}
END_TEST

/* So much water that its curve is a parabola: of five readings at even times d apart, each with u,
 * the coefficient of t^2 has u/(sqrt(14) d^2); and it is -(U/C) T'/2. Cooling by next to nothing
 * is a straight line: four readings h apart give its slope u/(h sqrt(5)). */
START_TEST(three_more)
{
    nr_tally_question q = worked();
    q.input[NR_TALLY_WATER] = of(2000, 1);
    q.air_degC = 20;
    nr_tally t = made(&q);
    double C = 2000 * 4180.0, rate = 25.0 / 6000, d = 6000.0 / 4, h = NR_TALLY_COOLING_S / 3;
    NEAR_RELATIVE(t.more_u[NR_TALLY_BETWEEN], 0.3 / (sqrt(14) * d * d) * 2 * C / rate / 0.7, 0.02);
    NEAR_RELATIVE(t.more_u[NR_TALLY_COOLING], hypot(0.3, 0.6) / (h * sqrt(5)) * C / 25, 0.02);
    ck_assert(t.more_u[NR_TALLY_LATER] < t.more_u[NR_TALLY_BETWEEN] / 2);
    q.air_degC = 44.5; /* water as warm as the air does not cool */
    ck_assert(isnan(made(&q).more_u[NR_TALLY_COOLING]));
}
END_TEST

START_TEST(without_sun)
{
    nr_tally_question q = worked();
    q.input[NR_TALLY_SUN] = of(NAN, NAN);
    nr_tally t = made(&q);
    ck_assert(!t.sun_known && !t.result[NR_TALLY_EFFICIENCY].known && isnan(t.sun_J));
    NEAR_RELATIVE(t.result[NR_TALLY_HEAT].value, 20 * 104530.0, 1e-3);
    ck_assert(t.dominates == NR_TALLY_FROM || t.dominates == NR_TALLY_TO);
}
END_TEST

/* Straight under a clear sky at the equator on an equinox at solar noon: a plane that lies flat is
 * met at a few degrees; and at midnight there is no sun. */
START_TEST(clear_sky)
{
    nr_tally_question q = worked();
    q.input[NR_TALLY_SUN] = of(NAN, NAN);
    q.clear_sky = true;
    q.latitude_deg = q.longitude_deg = q.tilt_deg = 0;
    q.azimuth_deg = 180;
    q.start_utc_s = 1773964800 + 43200 - 3000; /* 20 March 2026, half of the time before noon */
    nr_tally t = made(&q);
    ck_assert(t.incidence_deg > 2 && t.incidence_deg < 9); /* 12.5 degrees away at either end */
    /* Ineichen and Perez as a general photovoltaic library's tests print it: 1038.159 W/m2 at
     * zenith 10, air mass 1, turbidity 3, 1364 W/m2; by hand to 1374 W/m2 (Spencer) and a mean
     * cosine of 0.992 over 12.5 degrees. */
    NEAR_RELATIVE(t.asked.input[NR_TALLY_SUN].value, 1038.159 * 1374 / 1364 / 0.9848 * 0.992, 0.01);
    NEAR_RELATIVE(t.asked.input[NR_TALLY_SUN].u, 0.1 * t.asked.input[NR_TALLY_SUN].value, 1e-9);
    q.start_utc_s -= 43200;
    nr_err err = {.text = ""};
    ck_assert_int_eq(nr_tally_make(&q, &t, &err), NR_CANNOT);
    q.latitude_deg = NAN;
    ck_assert_int_eq(nr_tally_make(&q, &t, &err), NR_BAD);
}
END_TEST

/* Withheld when even the low end is more than a collector can: on both sides of the limit. */
START_TEST(more_than_there_is)
{
    nr_tally_question q = worked();
    for (int i = 0; i < NR_TALLY_INPUTS; i++)
        q.input[i].u = 0;
    q.input[NR_TALLY_SUN].value = 800 * 0.6222 / 0.952;
    nr_tally t = made(&q);
    ck_assert_uint_eq(t.trust.count, 1);
    ck_assert(nr_trust_withholds(&t.trust));
    q.input[NR_TALLY_SUN].value = 800 * 0.6222 / 0.948;
    t = made(&q);
    ck_assert_uint_eq(t.trust.count, 0);
    q.input[NR_TALLY_AREA].value = 0.7 * 0.948 / 0.101; /* nor is next to nothing believed */
    ck_assert_uint_eq(made(&q).trust.count, 0);
    q.input[NR_TALLY_AREA].value = 0.7 * 0.948 / 0.099;
    t = made(&q);
    ck_assert_uint_eq(t.trust.count, 1);
    ck_assert(!nr_trust_withholds(&t.trust));
}
END_TEST

START_TEST(incomplete)
{
    nr_tally t;
    nr_err err = {.text = ""};
    for (int i = 0; i < NR_TALLY_SUN; i++) {
        nr_tally_question q = worked();
        q.input[i].value = NAN;
        ck_assert_int_eq(nr_tally_make(&q, &t, &err), NR_BAD);
        ck_assert_str_eq(err.asked, nr_tally_input_name((nr_tally_input)i));
    }
    nr_tally_question q = worked();
    q.input[NR_TALLY_TO].value = 19;
    ck_assert_int_eq(nr_tally_make(&q, &t, &err), NR_BAD);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("tally");
    TCase *tc = tcase_create("tally");
    tcase_add_test(tc, by_hand);
    tcase_add_test(tc, interval);
    tcase_add_test(tc, in_pounds);
    tcase_add_test(tc, three_more);
    tcase_add_test(tc, without_sun);
    tcase_add_test(tc, clear_sky);
    tcase_add_test(tc, more_than_there_is);
    tcase_add_test(tc, incomplete);
    suite_add_tcase(suite, tc);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? 1 : 0;
}
