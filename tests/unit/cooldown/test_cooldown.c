/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The container's loss from evenings of the virtual rig, whose truth is known; which records are
 * cool-downs. By hand: e2e.fit_cool_down. */
#include "analyze/cooldown/cooldown.h"
#include "analyze/cooldown/curve.h"
#include "tests/unit/fit/simulated.h"

#include <check.h>
#include <math.h>

static nr_virtual_params evening(unsigned long seed)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.pump = NR_PUMP_OFF;
    p.rig_seed = p.day_seed = seed;
    p.interval_s = 20;
    p.duration_s = 3 * 3600;
    p.start_utc_s += 10 * 3600; /* in the evening */
    p.store_above_air_K = 25;
    return p;
}

/* Forty containers, masses and probes drawn from what is stated of them: 95 % of the intervals hold
 * the truth; of forty 34 to 40 do in 99 % of such trials (binomial). Seeds 1 to 40. */
START_TEST(kept_promise)
{
    int inside = 0;
    double sum = 0, u = 0;
    for (unsigned long seed = 1; seed <= 40; seed++) {
        nr_virtual_params q = evening(seed);
        nr_virtual_run *run = simulated(&q);
        nr_cooldown *x = NULL;
        nr_err err = {.text = ""};
        ck_assert_int_eq(nr_cooldown_of(&run->run), NR_COOLDOWN_IS);
        ck_assert_msg(nr_cooldown_fit(&run->run, &x, &err) == NR_OK, "%s", err.text);
        ck_assert_uint_eq(x->trust.count, 0);
        double truth = run->device.store_loss_W_K;
        inside += x->loss_W_K.lo95 < truth && truth < x->loss_W_K.hi95;
        sum += (x->loss_W_K.value - truth) * (x->loss_W_K.value - truth);
        u += x->loss_W_K.u;
        nr_cooldown_free(x);
        nr_virtual_run_free(run);
    }
    printf("inside %d of 40, rms %.3f, mean u %.3f W/K (seeds 1 to 40)\n", inside, sqrt(sum / 40),
           u / 40);
    ck_assert_int_ge(inside, 34);
    ck_assert(u / 40 < 0.2); /* and the promise is worth something: 2.5 W/K */
}
END_TEST

START_TEST(is_it_one)
{
    nr_virtual_params q = evening(1);
    q.store_above_air_K = 1;
    nr_virtual_run *run = simulated(&q);
    ck_assert_int_eq(nr_cooldown_of(&run->run), NR_COOLDOWN_NOT_WARM);
    nr_virtual_run_free(run);
    q = exact_glazed();
    run = simulated(&q);
    ck_assert_int_eq(nr_cooldown_of(&run->run), NR_COOLDOWN_PUMPED);
    nr_virtual_run_free(run);
    q.channels = NR_VC_STORE_SET; /* nothing tells of the pump */
    run = simulated(&q);
    ck_assert_int_eq(nr_cooldown_of(&run->run), NR_COOLDOWN_SUN);
    nr_cooldown *x = NULL;
    nr_err err;
    ck_assert_int_eq(nr_cooldown_fit(&run->run, &x, &err), NR_CANNOT);
    ck_assert(x == NULL);
    nr_virtual_run_free(run);
}
END_TEST

/* Air in straight lines, readings at uneven times: x' = -k (x - a - g t) has the solution x = a + g
 * (t
 * - 1/k) + (x0 - a + g/k) exp(-k t), worked out here apart from the code. */
START_TEST(exact_law)
{
    enum { N = 14 };
    double t[N], store[N], air[N], k = 1.0 / 30000, a = 20, g = -1.0 / 3600, x0 = 50;
    for (int i = 0; i < N; i++) {
        t[i] = 700.0 * i + 211.0 * (i % 3);
        air[i] = a + g * t[i];
        store[i] = a + g * (t[i] - 1 / k) + (x0 - a + g / k) * exp(-k * t[i]);
    }
    nr_cool_curve c;
    nr_err err = {.text = ""};
    ck_assert(nr_cool_curve_make(t, store, air, N, NAN, &c, &err) == NR_OK);
    ck_assert(nr_cool_curve_fit(&c, 0.01, &err) == NR_OK);
    NEAR_RELATIVE(c.rate, k, 1e-6);
    NEAR(c.rms_K, 0, 1e-6);
    /* 0.01 K of a mean difference of 28 K or so (JCGM 100, 5.1): */
    double over = 0;
    for (int i = 0; i < N; i++)
        over += (store[i] - air[i]) / N;
    NEAR_RELATIVE(c.u_rate_probes / c.rate, 0.01 / over, 0.1);
    nr_cool_curve_free(&c);
}
END_TEST

/* A part of a long recording begins late, and a law of cooling does not ask when: the same cells,
 * the same rate. The water here starts closer to an air that swings, so that the first guess of the
 * rate is a poor one. */
START_TEST(begun_late)
{
    enum { N = 600 };
    double t[N], late[N], store[N], air[N], k = 1.0 / 20000, g = 1.0 / 1800;
    for (int i = 0; i < N; i++) {
        t[i] = 20.0 * i;
        late[i] = 90000 + t[i];
        air[i] = 15 + g * t[i];
        store[i] = 15 + g * (t[i] - 1 / k) + (12 + g / k) * exp(-k * t[i]);
    }
    nr_cool_curve from_0, from_late;
    nr_err err = {.text = ""};
    ck_assert(nr_cool_curve_make(t, store, air, N, NAN, &from_0, &err) == NR_OK);
    ck_assert(nr_cool_curve_make(late, store, air, N, NAN, &from_late, &err) == NR_OK);
    ck_assert_uint_eq(from_late.cells, from_0.cells);
    ck_assert_uint_eq(from_late.n, from_0.n);
    NEAR(from_late.block_s, from_0.block_s, 0);
    for (size_t i = 0; i < from_0.n; i++) {
        NEAR(from_late.t[i], 90000 + from_0.t[i], 1e-6);
        NEAR(from_0.air[i], 15 + g * from_0.t[i], 1e-9);
    }
    ck_assert(nr_cool_curve_fit(&from_0, 0.01, &err) == NR_OK);
    ck_assert(nr_cool_curve_fit(&from_late, 0.01, &err) == NR_OK);
    NEAR_RELATIVE(from_0.rate, k, 1e-4);
    NEAR_RELATIVE(from_late.rate, from_0.rate, 1e-9);
    nr_cool_curve_free(&from_0);
    nr_cool_curve_free(&from_late);
}
END_TEST

/* Few readings that lie by turns above and below the law: their noise is that of n - 2 degrees of
 * freedom, and the rate's uncertainty that of a straight least-squares line through its slopes
 * (both worked out here). */
START_TEST(noise_of_few)
{
    enum { N = 12 };
    double t[N], store[N], air[N], k = 1.0 / 30000, x0 = 30, sum[3] = {0}, squares = 0;
    for (int i = 0; i < N; i++) {
        t[i] = 900.0 * i;
        air[i] = 20;
        store[i] = 20 + x0 * exp(-k * t[i]) + (i % 2 ? 0.1 : -0.1);
        double start = exp(-k * t[i]), rate = -t[i] * x0 * exp(-k * t[i]);
        sum[0] += start * start;
        sum[1] += start * rate;
        sum[2] += rate * rate;
    }
    nr_cool_curve c;
    nr_err err = {.text = ""};
    ck_assert(nr_cool_curve_make(t, store, air, N, NAN, &c, &err) == NR_OK);
    ck_assert_uint_eq(c.n, N);
    ck_assert(nr_cool_curve_fit(&c, 1e-3, &err) == NR_OK);
    for (size_t i = 0; i < c.n; i++)
        squares += (c.reading[i] - c.fitted[i]) * (c.reading[i] - c.fitted[i]);
    double sigma = sqrt(squares / (N - 2));
    NEAR(sigma, 0.11, 0.01);
    NEAR_RELATIVE(c.u_rate_noise, sigma * sqrt(sum[0] / (sum[0] * sum[2] - sum[1] * sum[1])), 0.02);
    NEAR(c.degrees, N - 2, 0);
    nr_cool_curve_free(&c);
}
END_TEST

/* What the heat capacity's uncertainty adds to the loss, for each way to state the masses: a fifth
 * of a dry heat without uncertainty, and two hundredths of the water where none is stated (joint/
 * terms_store.c). */
START_TEST(masses_stated_and_not)
{
    static const struct {
        bool dry, u_dry, u_water;
    } of[] = {{true, true, true}, {true, false, true}, {false, false, true}, {true, true, false}};
    nr_virtual_params q = evening(3);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_virtual_run *run = simulated(&q);
        run->run.rig.store.water_kg.u = 0.4;
        run->run.rig.store.water_kg.u_given = of[i].u_water;
        run->run.rig.store.dry_heat_capacity_J_K = (nr_value){.given = of[i].dry,
                                                              .value = 20000,
                                                              .u_given = of[i].u_dry,
                                                              .u = of[i].u_dry ? 1500 : NAN};
        double water_kg = run->run.rig.store.water_kg.value;
        nr_cooldown *x = NULL;
        nr_err err = {.text = ""};
        ck_assert_msg(nr_cooldown_fit(&run->run, &x, &err) == NR_OK, "%s", err.text);
        double water = water_kg * 4180; /* J/K; cp between 20 and 60 degC to 0.1 % */
        double dry = of[i].dry ? 20000 : 0.01 * water;
        double u_dry = !of[i].dry ? 0.01 * water : of[i].u_dry ? 1500 : 0.2 * 20000;
        double u_water = of[i].u_water ? 0.4 / water_kg : 0.02;
        double share = x->loss_W_K.value * hypot(u_water * water, u_dry) / (water + dry);
        NEAR_RELATIVE(x->heat_capacity_J_K, water + dry, 0.002);
        NEAR_RELATIVE(sqrt(x->share_water) * x->loss_W_K.u, share, 0.005);
        nr_cooldown_free(x);
        nr_virtual_run_free(run);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        kept_promise, is_it_one, exact_law, begun_late, noise_of_few, masses_stated_and_not, NULL};
    return run_tests("cooldown", tests);
}
