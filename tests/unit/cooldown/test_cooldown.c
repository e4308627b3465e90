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

int main(void)
{
    Suite *suite = suite_create("cooldown");
    TCase *tc = tcase_create("cooldown");
    tcase_add_test(tc, kept_promise);
    tcase_add_test(tc, is_it_one);
    tcase_add_test(tc, exact_law);
    suite_add_tcase(suite, tc);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? 1 : 0;
}
