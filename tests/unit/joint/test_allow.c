/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a solution allows for that its residuals do not show, each condition from both sides: an
 * estimate of a short simulated record is set up, and its noise made up. Factors and limits:
 * allow.c (tried on the virtual rig; no source). */
#include "analyze/joint/allow.h"
#include "analyze/joint/misreading.h"
#include "tests/unit/quality/records.h"

static nr_virtual_run *run;
static nr_series *series;
static nr_joint *joint;
static nr_piece *piece;
static int gain, loss;

static void set_up(void)
{
    static const size_t build_of[1] = {0};
    nr_virtual_params p = nr_virtual_glazed();
    nr_joint_options options = {.use_store = true, .use_loop = false};
    nr_err err = {.text = ""};
    p.duration_s = 1800;
    p.interval_s = 10;
    run = simulate(&p);
    ck_assert_msg(!nr_series_build(&run->run, &series, &err), "%s", err.text);
    const nr_series *one = series;
    ck_assert_msg(!nr_joint_setup(&one, build_of, 1, 1, &options, &joint, &err), "%s", err.text);
    piece = &joint->piece[0];
    gain = piece->index[NR_TERM_MODEL_GAIN];
    loss = piece->index[NR_TERM_MODEL_LOSS];
    ck_assert(gain >= 0 && loss >= 0 && piece->fits[NR_OUT_STORE] && !piece->driven);
    series->pump_known = series->sparse = false;
    piece->fits[NR_OUT_OUTLET] = false;
}

static void tear_down(void)
{
    nr_joint_free(joint);
    nr_series_free(series);
    nr_virtual_run_free(run);
}

/* The u that is added to the model's own of the gain, for a wander of so many kelvins. */
static double added(double wander_K, double *to_loss)
{
    double before[2] = {joint->parameter[gain].prior_u, joint->parameter[loss].prior_u};
    piece->noise[NR_OUT_STORE].sigma = 2 * wander_K; /* a quarter of its variance is slow */
    piece->noise[NR_OUT_STORE].slow = 0.25;
    joint->hidden_K[0] = 0;
    nr_joint_allow_for_hidden_stops(joint);
    double u = joint->parameter[gain].prior_u, v = joint->parameter[loss].prior_u;
    *to_loss = sqrt(fmax(v * v - before[1] * before[1], 0));
    NEAR(joint->covariance[(size_t)gain * (joint->parameters + 1)], u * u,
         u > before[0] ? 1e-12 : INFINITY);
    joint->parameter[gain].prior_u = before[0];
    joint->parameter[loss].prior_u = before[1];
    return sqrt(fmax(u * u - before[0] * before[0], 0));
}

START_TEST(stops_that_nobody_saw)
{
    double rise = nr_piece_store_rise_K(piece), to_loss;
    ck_assert(rise > 1);
    ck_assert(added(0.0299, &to_loss) == 0 && to_loss == 0 && joint->hidden_K[0] == 0);
    NEAR_RELATIVE(added(0.0301, &to_loss), 4 * 0.0301 / rise, 1e-6);
    NEAR_RELATIVE(to_loss, 10 * 0.0301 / rise, 1e-6);
    NEAR(joint->hidden_K[0], 0.0301, 1e-12);
    NEAR_RELATIVE(added(0.06, &to_loss), 4 * 0.06 / rise, 1e-6);
    /* Where something tells of the pump, or of the sun, or too few readings of a wander. */
    series->pump_known = true;
    ck_assert(added(0.06, &to_loss) == 0);
    series->pump_known = false;
    piece->fits[NR_OUT_OUTLET] = true;
    ck_assert(added(0.06, &to_loss) == 0);
    piece->fits[NR_OUT_OUTLET] = false;
    piece->driven = true;
    ck_assert(added(0.06, &to_loss) == 0);
    piece->driven = false;
    piece->fits[NR_OUT_STORE] = false;
    ck_assert(added(0.06, &to_loss) == 0);
    piece->fits[NR_OUT_STORE] = true;
    size_t used = piece->used_count[NR_OUT_STORE];
    piece->used_count[NR_OUT_STORE] = 11;
    ck_assert(added(0.06, &to_loss) == 0);
    piece->used_count[NR_OUT_STORE] = 12;
    ck_assert(added(0.06, &to_loss) > 0);
    piece->used_count[NR_OUT_STORE] = used;
}
END_TEST

/* One that is no worse than what was allowed for already adds nothing. */
START_TEST(once_and_not_again)
{
    double u = joint->parameter[gain].prior_u;
    piece->noise[NR_OUT_STORE].sigma = 0.1;
    piece->noise[NR_OUT_STORE].slow = 0.36; /* wanders by 0.06 K */
    joint->hidden_K[0] = 0.0601;
    nr_joint_allow_for_hidden_stops(joint);
    ck_assert(joint->parameter[gain].prior_u == u && joint->hidden_K[0] == 0.0601);
    joint->hidden_K[0] = 0.0599;
    nr_joint_allow_for_hidden_stops(joint);
    ck_assert(joint->parameter[gain].prior_u > u);
    NEAR(joint->hidden_K[0], 0.06, 1e-12);
}
END_TEST

/* Of few readings no more wanders than what is left of them. */
START_TEST(few_readings)
{
    double rise = nr_piece_store_rise_K(piece), to_loss;
    series->sparse = true;
    for (size_t b = 0; b < piece->part->blocks; b++)
        joint->residual[piece->row[NR_OUT_STORE] + b] = 0.1;
    NEAR_RELATIVE(added(0.06, &to_loss), 4 * 0.05 / rise, 1e-6); /* half of 0.1, not of 0.12 */
    for (size_t b = 0; b < piece->part->blocks; b++)
        joint->residual[piece->row[NR_OUT_STORE] + b] = 0.2;
    NEAR_RELATIVE(added(0.06, &to_loss), 4 * 0.06 / rise, 1e-6);
}
END_TEST

/* The sun between its readings: a slope's u over the loss, as the gain has it; no more than was
 * known beforehand; none where it was seen. */
START_TEST(sun_between_readings)
{
    int slope = piece->index[NR_TERM_LOSS];
    ck_assert(slope >= 0 && piece->index[NR_TERM_OPTICAL] >= 0);
    joint->x[slope] = 8;
    joint->x[piece->index[NR_TERM_OPTICAL]] = 0.7;
    double optical = nr_joint_term(joint, 0, NR_TERM_OPTICAL, joint->x);
    double a = fabs(nr_joint_term(joint, 0, NR_TERM_LOSS, joint->x));
    double before = joint->parameter[loss].prior_u, u;
    NEAR(a, 8, 1e-9);
    NEAR(optical, 0.7, 1e-9);
    series->unseen_slope_W_m2K = 0;
    nr_joint_allow_for_unseen_sun(joint);
    ck_assert(joint->parameter[loss].prior_u == before);
    series->unseen_slope_W_m2K = 0.5;
    nr_joint_allow_for_unseen_sun(joint);
    u = joint->parameter[loss].prior_u;
    double expected = fmin(optical * 0.5, joint->parameter[slope].prior_u) / a;
    NEAR_RELATIVE(sqrt(u * u - before * before), expected, 1e-6);
    joint->parameter[loss].prior_u = before;
    series->unseen_slope_W_m2K = 1e6; /* nobody knows less than beforehand */
    nr_joint_allow_for_unseen_sun(joint);
    u = joint->parameter[loss].prior_u;
    NEAR_RELATIVE(sqrt(u * u - before * before), joint->parameter[slope].prior_u / a, 1e-6);
    joint->parameter[loss].prior_u = before;
    series->unseen_slope_W_m2K = INFINITY;
    nr_joint_allow_for_unseen_sun(joint);
    ck_assert(joint->parameter[loss].prior_u == before);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {stops_that_nobody_saw, once_and_not_again, few_readings,
                                  sun_between_readings, NULL};
    return run_tests_in("allow", tests, set_up, tear_down);
}
