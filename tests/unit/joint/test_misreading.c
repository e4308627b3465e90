/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What an outlet departs from any model: at least a share of the rise, half of it common to all
 * records under like conditions. */
#include "analyze/joint/misreading.h"
#include "tests/unit/quality/records.h"

#define RUNS 3

typedef struct three {
    nr_virtual_run *run[RUNS];
    nr_series *series[RUNS];
    nr_joint *joint;
} three;

/* Two mornings that differ in their noise alone, and one that begins 30 K warmer. */
static void set_up(three *t, bool loop)
{
    static const size_t build_of[RUNS] = {0, 0, 0};
    nr_joint_options options = {.use_store = true, .use_loop = loop};
    nr_err err = {0};
    for (int i = 0; i < RUNS; i++) {
        nr_virtual_params p = nr_virtual_glazed();
        p.duration_s = 1500;
        p.interval_s = 5;
        p.start_utc_s += i * 86400;
        p.store_above_air_K += i == 2 ? 30 : 0;
        t->run[i] = simulate(&p);
        ck_assert_int_eq(nr_series_build(&t->run[i]->run, &t->series[i], &err), NR_OK);
    }
    ck_assert_int_eq(nr_joint_setup((const nr_series *const *)t->series, build_of, RUNS, 1,
                                    &options, &t->joint, &err),
                     NR_OK);
}

static void tear_down(three *t)
{
    nr_joint_free(t->joint);
    for (int i = 0; i < RUNS; i++) {
        nr_series_free(t->series[i]);
        nr_virtual_run_free(t->run[i]);
    }
}

START_TEST(like_days_err_alike)
{
    three t;
    set_up(&t, true);
    const nr_piece *p = t.joint->piece;
    ck_assert_uint_eq(t.joint->pieces, RUNS);
    NEAR(p[0].alike, 1.5, 0.01); /* 1 + 0.5: the morning after is like it, the warm one is not */
    NEAR(p[1].alike, 1.5, 0.01);
    NEAR(p[2].alike, 1, 0.01);
    /* By hand: water gained by the flow of the first rows, about 8 K in this rig's sun. */
    ck_assert_msg(p[0].seen.rise_K > 5 && p[0].seen.rise_K < 14, "%g", p[0].seen.rise_K);
    /* A store that rises by so much: 0.03 K and 0.4 % of it, and what the sun did unseen twice. */
    const double *v = p[0].part->reading[NR_OUT_STORE];
    size_t first = 0; /* the first minutes set nothing */
    while (!p[0].used[NR_OUT_STORE][first])
        first++;
    double rise = v[p[0].part->blocks - 1] - v[first];
    NEAR(nr_misreading_store_K(&p[0]), 0.03 + (0.004 + 2 * p[0].series->unseen_gain) * rise, 1e-3);
    /* Half of that is usual, and half as much again in variance for the morning after. */
    nr_noise store = nr_misreading_noise(&p[0], NR_OUT_STORE, (nr_noise){.sigma = 0.001});
    NEAR(store.sigma * sqrt(store.slow), sqrt(1.5) * nr_misreading_store_K(&p[0]) / 3, 1e-3);
    tear_down(&t);
    set_up(&t, false); /* nothing drives: the container closes the loop */
    ck_assert(t.joint->piece[0].seen.rise_K == 0 && t.joint->piece[0].alike == 1);
    tear_down(&t);
}
END_TEST

/* Variances by hand: of 10 K 0.4 % are 0.04 K, slowly; three alike, each half, are twice. */
START_TEST(at_least_a_share_of_the_rise)
{
    nr_series series = {.block_s = 10};
    nr_piece p = {.series = &series, .seen.rise_K = 10, .alike = 2};
    nr_noise less =
        nr_misreading_noise(&p, NR_OUT_OUTLET, (nr_noise){.sigma = 0.02, .slow = 0.25, .phi = 0.7});
    double fast = 0.75 * 0.02 * 0.02, slow = 2 * 0.04 * 0.04;
    NEAR(less.sigma, sqrt(fast + slow), 1e-12);
    NEAR(less.slow, slow / (fast + slow), 1e-12);
    /* Of the slow variance a sixteenth was there with 0.7, the rest has ten minutes. */
    NEAR(less.phi, 0.7 / 16 + exp(-10.0 / 600) * 15 / 16, 1e-12);
    /* Of second order: neighbours 0.9 and 0.5 are (0.9 + 0.5) / (1 + 0.45) of each other. */
    nr_noise smooth = nr_misreading_noise(
        &p, NR_OUT_OUTLET, (nr_noise){.sigma = 0.02, .slow = 0.25, .phi = 0.9, .phi2 = 0.5});
    NEAR(smooth.phi, 1.4 / 1.45 / 16 + exp(-10.0 / 600) * 15 / 16, 1e-12);
    NEAR(smooth.phi2, 0, 0);
    nr_noise white =
        nr_misreading_noise(&p, NR_OUT_OUTLET, (nr_noise){.sigma = 0.02, .slow = 0.25, .phi = 0.5});
    NEAR(white.sigma, sqrt(0.02 * 0.02 + slow), 1e-12); /* forgets at once: none of it is slow */
    NEAR(white.phi, exp(-10.0 / 600), 1e-12);
    nr_noise slower = nr_misreading_noise(&p, NR_OUT_OUTLET,
                                          (nr_noise){.sigma = 0.02, .slow = 0.25, .phi = 0.99});
    NEAR(slower.sigma, sqrt(fast + slow), 1e-12);
    NEAR(slower.phi, 0.99, 1e-12);
    nr_noise more =
        nr_misreading_noise(&p, NR_OUT_OUTLET, (nr_noise){.sigma = 0.1, .slow = 0.81, .phi = 0.5});
    slow = 2 * 0.09 * 0.09;
    fast = 0.19 * 0.1 * 0.1;
    NEAR(more.sigma, sqrt(fast + slow), 1e-12); /* 0.09 K are there anyway: only the like days */
    NEAR(more.slow, slow / (fast + slow), 1e-12);
    NEAR(more.phi, 0.5, 1e-12);
    p.alike = 1;
    nr_noise alone =
        nr_misreading_noise(&p, NR_OUT_OUTLET, (nr_noise){.sigma = 0.1, .slow = 0.81, .phi = 0.5});
    NEAR(alone.sigma, 0.1, 1e-12);
}
END_TEST

/* By hand: 10 K up between blocks 99 and 102 and level elsewhere; half a step of 5 s and 0.07 of a
 * transit of 60 s are 4.89 s together. About block 100 the outlet rises by 20 K in 20 s. */
START_TEST(fronts_count_less)
{
    enum { BLOCKS = 200 };
    double outlet[BLOCKS];
    unsigned char used[BLOCKS];
    for (int b = 0; b < BLOCKS; b++) {
        outlet[b] = b < 100 ? 30 : b > 100 ? 50 : 40;
        used[b] = b >= 30;
    }
    nr_part part = {.blocks = BLOCKS, .reading[NR_OUT_OUTLET] = outlet};
    nr_series series = {.block_s = 10, .step_s = 5, .transit_s = 60};
    nr_piece p = {.series = &series,
                  .part = &part,
                  .used[NR_OUT_OUTLET] = used,
                  .used_count[NR_OUT_OUTLET] = BLOCKS - 30};
    ck_assert(nr_misreading_fronts(&p));
    double late = sqrt(2.5 * 2.5 + 4.2 * 4.2);
    NEAR(p.fronts[100], pow(late * 20 / 20, 2), 1e-9);
    NEAR(p.fronts[99], pow(late * 10 / 20, 2), 1e-9);
    NEAR(p.fronts[98], 0, 1e-12);
    ck_assert(p.whitener[NR_OUT_OUTLET].more == p.fronts);
    /* The noise is taken from where it is level, and used. */
    ck_assert(!p.even[20] && p.even[40] && !p.even[99] && !p.even[101] && p.even[102]);
    free(p.fronts);
    free(p.even);
    for (int b = 0; b < BLOCKS; b++) /* hardly anything is: all tell it */
        outlet[b] = 30 + (b > 150 ? 150 : b) * 0.1;
    ck_assert(nr_misreading_fronts(&p));
    ck_assert(p.even[40] && !p.even[20]);
    free(p.fronts);
    free(p.even);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {like_days_err_alike, at_least_a_share_of_the_rise,
                                  fronts_count_less, NULL};
    return run_tests("misreading", tests);
}
