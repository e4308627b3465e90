/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A loss that the model misreads turns the curve where the record pins it: at the water that
 * entered on average, whose heat the record measures, whatever share of it was lost. */
#include "analyze/model/steady.h"
#include "tests/unit/joint/bundle.h"

/* Relative; far more than the model's own error, so that nothing hides in rounding. */
#define WRONG 0.1

typedef struct test {
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *joint;
    double *x;
    nr_steady_conditions at;
    double entering;
} test;

static void open_test(test *t, nr_virtual_params p, bool loop)
{
    static const size_t build_of[1] = {0};
    nr_joint_options options = {.use_store = true, .use_loop = loop};
    nr_err err = {.text = ""};
    p.duration_s = 2400;
    p.interval_s = 10;
    p.store_above_air_K = 8;
    *t = (test){.run = simulate(&p)};
    ck_assert_msg(!nr_series_build(&t->run->run, &t->series, &err), "%s", err.text);
    const nr_series *one = t->series;
    ck_assert_msg(!nr_joint_setup(&one, build_of, 1, 1, &options, &t->joint, &err), "%s", err.text);
    solve_it(t->joint);
    t->x = malloc(t->joint->parameters * sizeof *t->x);
    ck_assert(t->x);
    memcpy(t->x, t->joint->x, t->joint->parameters * sizeof *t->x);
    /* The record's own means, taken here once more from its arrays. */
    const nr_part *part = &t->series->part[0];
    double sun = 0, air = 0, flow = 0, water = 0, n = 0;
    for (size_t k = 1; k + 1 < part->steps; k++) {
        const double *reading = part->reading[part->inlet_degC ? NR_OUT_INLET : NR_OUT_STORE];
        double degC = reading[k / t->series->steps_per_block];
        if (!(part->flow_W_K[k] > 0) || isnan(degC))
            continue;
        sun += part->sun_W_m2[k];
        air += part->air_degC[k];
        flow += part->flow_W_K[k];
        water += degC;
        n++;
    }
    t->at = (nr_steady_conditions){.sun_W_m2 = sun / n,
                                   .air_degC = air / n,
                                   .flow_W_K = flow / n,
                                   .sky_W_m2 = t->series->mean_sky_W_m2,
                                   .has_sky = t->series->sky_source != NR_SKY_NOT_USED};
    t->entering = (water - air) / sun;
}

static void close_test(test *t)
{
    free(t->x);
    nr_joint_free(t->joint);
    nr_series_free(t->series);
    nr_virtual_run_free(t->run);
}

static double efficiency(test *t, double wrong, double reduced)
{
    int loss = t->joint->piece[0].index[NR_TERM_MODEL_LOSS];
    ck_assert_int_ge(loss, 0);
    t->x[loss] = wrong;
    nr_loop_params p = nr_joint_device(t->joint, 0, t->x);
    return nr_steady_efficiency(&p, &t->at, reduced, false);
}

/* Away from there it turns: by the loss's part of the slope, which a tenth more loss makes a tenth
 * steeper, less what a worse absorber no longer hands on. */
static void turns_about_what_entered(nr_virtual_params p, bool loop)
{
    test t;
    open_test(&t, p, loop);
    double x = t.entering, far = 0.03;
    double as_is = efficiency(&t, 0, x), slope = efficiency(&t, 0, x + far) - as_is;
    for (int sign = -1; sign <= 1; sign += 2) {
        double here = efficiency(&t, sign * WRONG, x) - as_is;
        double there = efficiency(&t, sign * WRONG, x + far) - efficiency(&t, 0, x + far);
        ck_assert_msg(fabs(here) < 0.02 * fabs(there), "%g here, %g there", here, there);
        ck_assert_msg(there * sign < 0 && fabs(there) > 0.6 * WRONG * fabs(slope) &&
                          fabs(there) < WRONG * fabs(slope),
                      "%g there, of a slope of %g", there, slope);
    }
    close_test(&t);
}

START_TEST(glazed_with_its_loop)
{
    turns_about_what_entered(nr_virtual_glazed(), true);
}
END_TEST

START_TEST(bare_with_its_loop)
{
    turns_about_what_entered(nr_virtual_bare(), true);
}
END_TEST

START_TEST(bare_by_its_store)
{
    nr_virtual_params p = nr_virtual_bare();
    p.channels = NR_VC_STORE_SET;
    p.state_store_loss = true;
    turns_about_what_entered(p, false);
}
END_TEST

/* The loss rises with the difference: what it was there is what turns. */
START_TEST(loss_that_rises)
{
    test t;
    open_test(&t, nr_virtual_glazed(), true);
    int rise = t.joint->piece[0].index[NR_TERM_LOSS2];
    ck_assert_int_ge(rise, 0);
    t.x[rise] = 0.05;
    double here = efficiency(&t, WRONG, t.entering) - efficiency(&t, 0, t.entering);
    double there = efficiency(&t, WRONG, t.entering + 0.03) - efficiency(&t, 0, t.entering + 0.03);
    ck_assert_msg(fabs(here) < 0.02 * fabs(there), "%g here, %g there", here, there);
    close_test(&t);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {glazed_with_its_loop, bare_with_its_loop,
                                         bare_by_its_store, loss_that_rises, NULL};
    return run_tests("pivot", tests);
}
