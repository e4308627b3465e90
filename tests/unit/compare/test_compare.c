/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of compare: errors that both builds share cancel, others do not; a difference that is
 * not there is not found, one that is there is. */
#include "tests/unit/compare/pairs.h"

/* The rig's own time on the day the answer chose, for the mass it chose. */
static double true_heat_up_s(const nr_virtual_run *run, const nr_reference_day *on)
{
    nr_virtual_conditions c = run->mean;
    c.sun_W_m2 = on->sun_W_m2;
    c.air_degC = on->air_degC;
    double s =
        nr_virtual_heat_up_s(&run->device, &c, on->store_kg, on->from_degC, on->to_degC, 86400);
    ck_assert_double_gt(s, 60);
    return s;
}

/* value(of) - value(against) must be what the two builds' own results say. */
static void check_difference(const nr_compare *c)
{
    const nr_difference *d = &c->difference[0];
    const nr_fit *of = c->build[d->of], *against = c->build[d->against];
    NEAR(d->eta0.value, of->eta0.value - against->eta0.value, 1e-9);
    NEAR(d->a1.value, of->a1.value - against->a1.value, 1e-9);
    NEAR(d->heat_up_s.value, c->heat_up[d->of].time_s.value - c->heat_up[d->against].time_s.value,
         1e-6);
    ck_assert(d->probability_better >= 0 && d->probability_better <= 1);
    ck_assert_int_eq(of->reference, against->reference);
}

/* Two identical builds: the pyranometer's 5 % is in each eta0 and in neither difference. Ten pairs;
 * at 95 % two or fewer miss in 98.8 %. */
START_TEST(a_shared_pyranometer_cancels)
{
    enum { SEEDS = 10 };
    unsigned eta_inside = 0, time_inside = 0;
    for (unsigned long seed = 1; seed <= SEEDS; seed++) {
        nr_virtual_params p = build_params("left", seed), q = build_params("right", seed);
        pair x = make_pair(&p, &q);
        const nr_compare *c = x.compare;
        const nr_difference *d = &c->difference[0];
        check_difference(c);
        for (int b = 0; b < 2; b++)
            ck_assert_msg(d->eta0.u < 0.5 * c->build[b]->eta0.u,
                          "seed %lu: u of the difference %g, of build %d %g", seed, d->eta0.u, b,
                          c->build[b]->eta0.u);
        /* The builds are drawn from the same drawing, so they differ a little; the pyranometer's
         * error is in both fits' scale, hence its gain. */
        double truth = true_efficiency(d->of ? x.b : x.a, c->build[d->of], 0) -
                       true_efficiency(d->against ? x.b : x.a, c->build[d->against], 0);
        eta_inside += covers(&d->eta0, truth);
        time_inside += covers(&d->heat_up_s, true_heat_up_s(d->of ? x.b : x.a, &c->day) -
                                                 true_heat_up_s(d->against ? x.b : x.a, &c->day));
        drop(&x);
    }
    ck_assert_msg(eta_inside >= 8, "difference of eta0 inside in %u of 10", eta_inside);
    ck_assert_msg(time_inside >= 8, "difference of heat-up inside in %u of 10", time_inside);
}
END_TEST

/* With a pyranometer each, the two errors add: the difference is known worse than either. */
START_TEST(own_pyranometers_do_not)
{
    nr_virtual_params p = build_params("left", 3), q = build_params("right", 3);
    pair shared = make_pair(&p, &q);
    snprintf(q.sensor[NR_VC_SUN].identity, sizeof q.sensor[0].identity, "garden pyranometer");
    pair own = make_pair(&p, &q);
    const nr_difference *d = &own.compare->difference[0];
    NEAR_RELATIVE(d->eta0.u, hypot(own.compare->build[0]->eta0.u, own.compare->build[1]->eta0.u),
                  0.05);
    ck_assert_double_gt(d->eta0.u, 2.5 * shared.compare->difference[0].eta0.u);
    drop(&shared);
    drop(&own);
}
END_TEST

static void own_instruments(nr_virtual_params *p, const char *set)
{
    for (int c = 0; c < NR_VC_COUNT; c++)
        snprintf(p->sensor[c].identity, sizeof p->sensor[c].identity, "%s-%d", set, c);
}

/* One of two records of a build, on two days. */
static nr_virtual_params day_of(int build, int which, unsigned long seed)
{
    nr_virtual_params p = build_params(build ? "right" : "left", seed);
    p.day_seed += (unsigned long)which;
    p.start_utc_s += 86400.0 * which;
    return p;
}

/* Both builds from two records each; the runs in order of build and day. */
static nr_compare *compare_days(nr_virtual_run *run[4])
{
    const nr_run *left[] = {&run[0]->run, &run[1]->run}, *right[] = {&run[2]->run, &run[3]->run};
    const nr_run *const *const groups[2] = {left, right};
    static const size_t counts[2] = {2, 2};
    nr_fit_options options = nr_fit_defaults();
    nr_compare *c = NULL;
    nr_err err = {0};
    ck_assert_msg(!nr_compare_builds(groups, counts, 2, NULL, &options, &c, &err), "%s", err.text);
    return c;
}

/* The difference of two builds, each with instruments of its own, from two records of each on two
 * days; swapped: with the instruments exchanged for the second. */
static nr_quantity difference_of_two_days(unsigned long seed, bool swapped, double *error)
{
    nr_virtual_run *run[4];
    for (int i = 0; i < 4; i++) {
        nr_virtual_params p = day_of(i / 2, i % 2, seed);
        own_instruments(&p, (i / 2 + (swapped ? i % 2 : 0)) % 2 ? "set two" : "set one");
        run[i] = simulate(&p);
    }
    nr_compare *c = compare_days(run);
    nr_quantity q = c->difference[0].eta0;
    *error = q.value -
             (true_efficiency(run[2], c->build[1], 0) - true_efficiency(run[0], c->build[0], 0));
    nr_compare_free(c);
    for (int i = 0; i < 4; i++)
        nr_virtual_run_free(run[i]);
    return q;
}

/* Exchanged, the instruments' own errors (a pyranometer of 5 % each among them) are in both builds'
 * means alike: u falls to what noise, masses and the model leave, and so do the errors. */
START_TEST(swapped_sensors_cancel)
{
    double worst[2] = {0, 0}, u[2] = {0, 0};
    for (unsigned long seed = 31; seed < 34; seed++)
        for (int swapped = 0; swapped < 2; swapped++) {
            double error;
            nr_quantity q = difference_of_two_days(seed, swapped, &error);
            worst[swapped] = fmax(worst[swapped], fabs(error));
            u[swapped] = fmax(u[swapped], q.u);
            /* A pyranometer of seed 31 is off by 3.6 of its u: only the swap gets over that. */
            ck_assert_msg(!swapped || fabs(error) < 3 * q.u, "seed %lu: error %g, u %g", seed,
                          error, q.u);
        }
    ck_assert_msg(u[1] < 0.4 * u[0], "u swapped %g, as they were %g", u[1], u[0]);
    ck_assert_msg(worst[1] < worst[0], "errors swapped %g, as they were %g", worst[1], worst[0]);
    ck_assert(worst[1] < 0.035); /* 5 % of 0.7 */
}
END_TEST

/* A pyranometer for each build, of 5 % uncertainty, all else the builds' own. Computed by hand:
 * while they stay, eta0 of each is off by its own, eta g, so that their variance in the difference
 * is (g eta_left)^2 + (g eta_right)^2; exchanged, each build has the mean of both errors, and g
 * (eta_left - eta_right) / sqrt(2) is left of it. */
START_TEST(an_exchange_narrows_by_what_is_computed)
{
    enum { STAYED, EXCHANGED, SHARED, CASES };
    double u[CASES], eta[2] = {0, 0};
    for (int how = 0; how < CASES; how++) {
        nr_virtual_run *run[4];
        for (int i = 0; i < 4; i++) {
            nr_virtual_params p = day_of(i / 2, i % 2, 41);
            int which = how == STAYED ? i / 2 : how == EXCHANGED ? (i / 2 + i % 2) % 2 : i % 2;
            p.stated.optical *= i / 2 ? 0.9 : 1;
            snprintf(p.sensor[NR_VC_SUN].identity, sizeof p.sensor[0].identity, "%d", which);
            run[i] = simulate(&p);
        }
        nr_compare *c = compare_days(run);
        u[how] = c->difference[0].eta0.u;
        for (int b = 0; b < 2; b++)
            eta[b] += c->build[b]->eta0.value / CASES;
        /* One over both on each day is shared, and no exchange. */
        ck_assert_uint_eq(c->exchanged_count, how == EXCHANGED);
        ck_assert(how != EXCHANGED || !strcmp(c->exchanged[0], "sun"));
        nr_compare_free(c);
        for (int i = 0; i < 4; i++)
            nr_virtual_run_free(run[i]);
    }
    double stayed = 0.05 * 0.05 * (eta[0] * eta[0] + eta[1] * eta[1]);
    double left = 0.05 * 0.05 * (eta[0] - eta[1]) * (eta[0] - eta[1]) / 2;
    NEAR_RELATIVE(u[STAYED] * u[STAYED] - u[EXCHANGED] * u[EXCHANGED], stayed - left, 0.05);
    ck_assert_msg(u[EXCHANGED] < 1.1 * u[SHARED], "u exchanged %g, shared %g", u[EXCHANGED],
                  u[SHARED]);
}
END_TEST

START_TEST(the_other_way_round)
{
    nr_virtual_params p = build_params("left", 4), q = build_params("right", 4);
    q.stated.optical *= 0.93;
    pair there = make_pair(&p, &q), back = make_pair(&q, &p);
    const nr_difference *d = &there.compare->difference[0], *e = &back.compare->difference[0];
    check_difference(back.compare);
    double sign = d->of == e->of ? -1 : 1;
    /* Refits end within a hundredth of a standard error. */
    NEAR(d->eta0.value, sign * e->eta0.value, 0.05 * d->eta0.u);
    NEAR(d->heat_up_s.value, sign * e->heat_up_s.value, 0.05 * d->heat_up_s.u);
    NEAR_RELATIVE(d->eta0.u, e->eta0.u, 0.02);
    double p_there = d->probability_better, p_back = e->probability_better;
    NEAR(p_there, sign < 0 ? 1 - p_back : p_back, 0.02);
    drop(&there);
    drop(&back);
}
END_TEST

/* A tenth better in eta0 is called so in at least 80 % of pairs: of ten, five or fewer would then
 * come in 3.3 %, four or fewer in 0.6 %. */
START_TEST(a_tenth_better_is_seen)
{
    enum { SEEDS = 10 };
    unsigned seen = 0, wrong = 0;
    for (unsigned long seed = 11; seed < 11 + SEEDS; seed++) {
        nr_virtual_params p = build_params("plain", seed), q = build_params("better", seed);
        q.stated.optical *= 1.1;
        pair x = make_pair(&p, &q);
        const nr_difference *d = &x.compare->difference[0];
        double sign = d->of == 1 ? 1 : -1; /* better minus plain */
        double lo = fmin(sign * d->eta0.lo95, sign * d->eta0.hi95);
        double hi = fmax(sign * d->eta0.lo95, sign * d->eta0.hi95);
        /* Ten percent of an hour against some 45 s: the better one heats up faster, surely. */
        double faster = sign > 0 ? d->probability_better : 1 - d->probability_better;
        ck_assert_msg(faster > 0.9, "seed %lu: better is faster with %g", seed, faster);
        seen += lo > 0;
        wrong += hi < 0;
        drop(&x);
    }
    ck_assert_msg(seen >= 5, "seen in %u of 10", seen);
    ck_assert_uint_eq(wrong, 0);
}
END_TEST

/* Ten builds, two each under one pyranometer. */
START_TEST(heat_up_times_hold_the_truth)
{
    enum { SEEDS = 5 };
    unsigned inside = 0;
    for (unsigned long seed = 21; seed < 21 + SEEDS; seed++) {
        nr_virtual_params p = build_params("left", seed), q = build_params("right", seed);
        q.stated.optical *= 0.9;
        pair x = make_pair(&p, &q);
        for (int b = 0; b < 2; b++)
            inside += covers(&x.compare->heat_up[b].time_s,
                             true_heat_up_s(b ? x.b : x.a, &x.compare->day));
        drop(&x);
    }
    ck_assert_msg(inside >= 7, "heat-up time inside in %u of 10", inside);
}
END_TEST

START_TEST(wrong_counts_are_refused)
{
    nr_virtual_params p = build_params("left", 2);
    nr_virtual_run *run = simulate(&p);
    const nr_run *record = &run->run;
    const nr_run *const *groups[NR_BUILDS + 1];
    size_t counts[NR_BUILDS + 1];
    for (int i = 0; i <= NR_BUILDS; i++) {
        groups[i] = &record;
        counts[i] = 1;
    }
    nr_fit_options options = nr_fit_defaults();
    nr_compare *c = NULL;
    nr_err err = {0};
    ck_assert_int_eq(nr_compare_builds(groups, counts, 1, NULL, &options, &c, &err), NR_BAD);
    ck_assert_int_eq(nr_compare_builds(groups, counts, NR_BUILDS + 1, NULL, &options, &c, &err),
                     NR_BAD);
    ck_assert_ptr_null(c);
    nr_virtual_run_free(run);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_shared_pyranometer_cancels,
                                  own_pyranometers_do_not,
                                  swapped_sensors_cancel,
                                  an_exchange_narrows_by_what_is_computed,
                                  the_other_way_round,
                                  a_tenth_better_is_seen,
                                  heat_up_times_hold_the_truth,
                                  wrong_counts_are_refused,
                                  NULL};
    return run_tests("compare", tests);
}
