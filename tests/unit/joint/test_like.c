/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What two builds have in common: sensors and sky as one parameter, the model's own error, and
 * priors that lean on each other. */
#include "analyze/joint/like.h"
#include "tests/unit/quality/records.h"

static nr_virtual_params params_of(bool bare)
{
    nr_virtual_params p = bare ? nr_virtual_bare() : nr_virtual_glazed();
    p.duration_s = 1500;
    p.interval_s = 5;
    p.sensor[NR_VC_SUN].u_offset = 3;
    return p;
}

typedef struct two {
    nr_virtual_run *run[2];
    nr_series *series[2];
    nr_joint *joint;
} two;

enum { SAME_SKY, ANOTHER_DAY, ONE_IS_BARE, BOTH_BARE, BARE_ANOTHER_DAY };

static void set_up_two(two *t, int how)
{
    static const size_t build_of[2] = {0, 1};
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {0};
    nr_virtual_params p = params_of(how >= BOTH_BARE), q = params_of(how >= ONE_IS_BARE);
    snprintf(q.build, sizeof q.build, "another");
    q.start_utc_s += how == ANOTHER_DAY || how == BARE_ANOTHER_DAY ? 86400 : 0;
    t->run[0] = simulate(&p);
    t->run[1] = simulate(&q);
    for (int i = 0; i < 2; i++) {
        t->run[i]->run.rig.store.lid = NR_LID_UNKNOWN; /* so that vapour is a term */
        t->run[i]->run.rig.store.water_end_kg.given = false;
        ck_assert_int_eq(nr_series_build(&t->run[i]->run, &t->series[i], &err), NR_OK);
    }
    ck_assert_int_eq(nr_joint_setup((const nr_series *const *)t->series, build_of, 2, 2, &options,
                                    &t->joint, &err),
                     NR_OK);
}

static void tear_down_two(two *t)
{
    nr_joint_free(t->joint);
    for (int i = 0; i < 2; i++) {
        nr_series_free(t->series[i]);
        nr_virtual_run_free(t->run[i]);
    }
}

/* Of like builds under one sky most of the model's own error is one parameter, and each has as much
 * of it as alone; on another day a half is theirs together. A bare one shares none. */
START_TEST(like_errs_like_like)
{
    two t;
    set_up_two(&t, _i);
    const nr_joint *j = t.joint;
    int own[2], shared[2];
    for (size_t b = 0; b < 2; b++) {
        own[b] = nr_joint_index(j, b, NR_TERM_MODEL_GAIN);
        shared[b] = nr_joint_index(j, b, NR_TERM_MODEL_GAIN_LIKE);
    }
    ck_assert_int_ne(own[0], own[1]);
    double u = j->parameter[own[0]].prior_u;
    if (_i == ONE_IS_BARE) {
        ck_assert_int_eq(shared[0], -1);
        ck_assert_int_eq(shared[1], -1);
    } else {
        const nr_parameter *a = &j->parameter[shared[0]], *b = &j->parameter[shared[1]];
        ck_assert((a == b) == (_i == SAME_SKY));
        ck_assert_int_eq(a->group != 0, _i == ANOTHER_DAY);
        ck_assert_uint_eq(a->group, b->group);
        double together = a->prior_u * a->prior_u * nr_term_find(NR_TERM_MODEL_GAIN_LIKE)->like;
        NEAR_RELATIVE(together, 0.5 * 0.005 * 0.005, 1e-12);
        u = hypot(u, a->prior_u);
    }
    NEAR_RELATIVE(u, 0.005, 1e-12); /* what terms_collector.c says of one build */
    tear_down_two(&t);
}
END_TEST

static bool lean(const nr_joint *j, nr_term term)
{
    const nr_parameter *a = &j->parameter[nr_joint_index(j, 0, term)];
    const nr_parameter *b = &j->parameter[nr_joint_index(j, 1, term)];
    ck_assert_ptr_ne(a, b);
    return a->group != 0 && a->group == b->group;
}

/* What nobody stated leans on its like: a make's things on any day, what happens in an hour in that
 * hour. What was stated, what was searched for, and what a probe does by itself, does not. */
START_TEST(unstated_leans_on_its_like)
{
    two t;
    set_up_two(&t, _i);
    const nr_joint *j = t.joint;
    ck_assert(lean(j, NR_TERM_LOSS2) == (_i != ONE_IS_BARE));
    ck_assert(lean(j, NR_TERM_LN_EXCHANGE) == (_i != ONE_IS_BARE));
    ck_assert(lean(j, NR_TERM_LOST) == (_i == SAME_SKY));
    ck_assert(!lean(j, NR_TERM_DRIFT_INLET)); /* a probe's own: terms_sensors.c */
    ck_assert(!lean(j, NR_TERM_DRIFT_OUTLET));
    ck_assert(!lean(j, NR_TERM_OPTICAL));
    ck_assert(!lean(j, NR_TERM_AREA));        /* stated */
    ck_assert(!lean(j, NR_TERM_LN_CAPACITY)); /* stated */
    tear_down_two(&t);
}
END_TEST

/* A stated board of another weight is no like. */
START_TEST(what_differs_does_not_lean)
{
    static const double board_J_K[2][2] = {{6000, 6000}, {6000, 12000}};
    for (int differ = 0; differ < 2; differ++) {
        two t;
        set_up_two(&t, SAME_SKY);
        nr_joint_free(t.joint);
        for (int i = 0; i < 2; i++)
            t.run[i]->run.rig.collector.back_heat_capacity_J_K =
                (nr_value){.given = true, .value = board_J_K[differ][i]};
        static const size_t build_of[2] = {0, 1};
        nr_joint_options options = {.use_store = true, .use_loop = true};
        ck_assert_int_eq(nr_joint_setup((const nr_series *const *)t.series, build_of, 2, 2,
                                        &options, &t.joint, NULL),
                         NR_OK);
        ck_assert(lean(t.joint, NR_TERM_LN_BACK) == !differ);
        tear_down_two(&t);
    }
}
END_TEST

/* Rows and normal equations of leaning priors are those of the correlation matrix that like.h
 * names, inverted here by hand for two: 1/(1 - s^2) on the diagonal, -s/(1 - s^2) beside it. */
START_TEST(leaning_priors_have_their_correlation)
{
    two t;
    set_up_two(&t, SAME_SKY);
    const nr_joint *j = t.joint;
    size_t of[2] = {(size_t)nr_joint_index(j, 0, NR_TERM_LOSS2),
                    (size_t)nr_joint_index(j, 1, NR_TERM_LOSS2)};
    double s = nr_term_find(NR_TERM_LOSS2)->like;
    ck_assert(s > 0 && s < 1);
    double expected[2][2] = {{1 / (1 - s * s), -s / (1 - s * s)},
                             {-s / (1 - s * s), 1 / (1 - s * s)}};
    for (int a = 0; a < 2; a++)
        for (int b = 0; b < 2; b++) {
            double sum = 0;
            for (size_t r = 0; r < j->parameters; r++)
                sum += nr_like_slope(j, r, of[a]) * nr_like_slope(j, r, of[b]);
            NEAR_RELATIVE(sum, expected[a][b], 1e-12);
            NEAR_RELATIVE(nr_like_information(j, of[a], of[b]), expected[a][b], 1e-12);
        }
    double *x = malloc(j->parameters * sizeof *x), squares = 0;
    for (size_t i = 0; i < j->parameters; i++)
        x[i] = j->parameter[i].prior;
    x[of[0]] += 2 * j->parameter[of[0]].prior_u;
    x[of[1]] -= 1 * j->parameter[of[1]].prior_u;
    for (size_t i = 0; i < j->parameters; i++)
        squares += pow(nr_like_residual(j, x, i), 2);
    NEAR_RELATIVE(squares, 4 * expected[0][0] + 2 * 2 * -1 * expected[0][1] + 1 * expected[1][1],
                  1e-12);
    free(x);
    tear_down_two(&t);
}
END_TEST

/* One sky, one air and their sensors are one parameter each for all collectors of one hour; another
 * day has its own, but for what is the sensor's. */
START_TEST(one_sky_for_all)
{
    static const struct {
        nr_term term;
        bool daily;
    } shared[] = {{NR_TERM_SUN_GAIN, false},   {NR_TERM_SUN_OFFSET, false},
                  {NR_TERM_AIR_OFFSET, false}, {NR_TERM_SUN_FADE, true},
                  {NR_TERM_SKY_OFFSET, true},  {NR_TERM_HUMIDITY, true}};
    for (int how = BOTH_BARE; how <= BARE_ANOTHER_DAY; how++) {
        two t;
        set_up_two(&t, how);
        for (size_t k = 0; k < sizeof shared / sizeof *shared; k++) {
            int a = nr_joint_index(t.joint, 0, shared[k].term);
            int b = nr_joint_index(t.joint, 1, shared[k].term);
            ck_assert_msg(a >= 0 && b >= 0, "no term %d", (int)shared[k].term);
            ck_assert_msg((a == b) == (how == BOTH_BARE || !shared[k].daily), "term %d",
                          (int)shared[k].term);
        }
        tear_down_two(&t);
    }
}
END_TEST

/* Wind that nobody measured rises over both, whatever their channels are. */
START_TEST(one_wind_for_all)
{
    two t;
    set_up_two(&t, BOTH_BARE);
    ck_assert(lean(t.joint, NR_TERM_LOSS_TREND));
    tear_down_two(&t);
    set_up_two(&t, BARE_ANOTHER_DAY);
    ck_assert(!lean(t.joint, NR_TERM_LOSS_TREND));
    tear_down_two(&t);
}
END_TEST

static bool one_parameter(const nr_joint *j, nr_term term)
{
    int a = nr_joint_index(j, 0, term), b = nr_joint_index(j, 1, term);
    ck_assert(a >= 0 && b >= 0);
    return a == b;
}

/* Parts of one collector's record are two builds of what was weighed, measured and plugged in once;
 * two collectors of one record are not, nor are other records. What may have been changed is each
 * part's own, and so is what happened in it. */
START_TEST(measured_once)
{
    enum { PARTS, TWO_COLLECTORS, TWO_RECORDS };
    two t;
    set_up_two(&t, SAME_SKY);
    nr_joint_free(t.joint);
    for (size_t i = 0; i < 2; i++) {
        nr_run *run = &t.run[i]->run;
        for (size_t c = 0; c < run->rig.channels; c++)
            run->rig.channel[c].sensor[0] = '\0'; /* nobody gave it a name */
        run->record = _i == TWO_RECORDS ? NULL : &t.run[0]->run;
        run->collector = _i == TWO_COLLECTORS ? i : 0;
    }
    static const size_t build_of[2] = {0, 1};
    nr_joint_options options = {.use_store = true, .use_loop = true};
    ck_assert_int_eq(nr_joint_setup((const nr_series *const *)t.series, build_of, 2, 2, &options,
                                    &t.joint, NULL),
                     NR_OK);
    static const nr_term once[] = {NR_TERM_AREA,        NR_TERM_WATER,        NR_TERM_DRY,
                                   NR_TERM_LN_FLOW,     NR_TERM_OFFSET_INLET, NR_TERM_OFFSET_OUTLET,
                                   NR_TERM_OFFSET_STORE};
    static const nr_term each[] = {NR_TERM_OPTICAL,     NR_TERM_LOSS,       NR_TERM_LN_EXCHANGE,
                                   NR_TERM_LN_CAPACITY, NR_TERM_STORE_LOSS, NR_TERM_DRIFT_INLET,
                                   NR_TERM_LOST};
    for (size_t k = 0; k < sizeof once / sizeof *once; k++)
        ck_assert_msg(one_parameter(t.joint, once[k]) == (_i == PARTS), "%s",
                      nr_term_find(once[k])->name);
    for (size_t k = 0; k < sizeof each / sizeof *each; k++)
        ck_assert_msg(!one_parameter(t.joint, each[k]), "%s", nr_term_find(each[k])->name);
    ck_assert(one_parameter(t.joint, NR_TERM_SUN_GAIN) == (_i != TWO_RECORDS));
    for (int i = 0; i < 2; i++)
        t.run[i]->run.record = NULL;
    tear_down_two(&t);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("like");
    TCase *all = tcase_create("all");
    tcase_add_loop_test(all, like_errs_like_like, 0, 3);
    tcase_add_loop_test(all, unstated_leans_on_its_like, 0, 3);
    tcase_add_test(all, what_differs_does_not_lean);
    tcase_add_test(all, leaning_priors_have_their_correlation);
    tcase_add_test(all, one_sky_for_all);
    tcase_add_test(all, one_wind_for_all);
    tcase_add_loop_test(all, measured_once, 0, 3);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
