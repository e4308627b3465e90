/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A step of the search along what a record tells: F' = h / (h + U) times the gain, F' U, and the
 * heat capacity over F'. Those go where a straight step takes them to the first order (worked out
 * here from the definitions), however far the step is. */
#include "analyze/joint/evaluate.h"
#include "analyze/joint/inside.h"
#include "tests/unit/quality/records.h"

static nr_virtual_run *run;
static nr_series *series;
static nr_joint *joint;
static double x[64], step[64], asked[64];
static int at[NR_TERMS];

static void set_up(void)
{
    static const size_t build_of[1] = {0};
    nr_virtual_params p = nr_virtual_glazed();
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {.text = ""};
    p.duration_s = 900;
    p.interval_s = 10;
    run = simulate(&p);
    ck_assert_msg(!nr_series_build(&run->run, &series, &err), "%s", err.text);
    const nr_series *one = series;
    ck_assert_msg(!nr_joint_setup(&one, build_of, 1, 1, &options, &joint, &err), "%s", err.text);
    ck_assert_uint_le(joint->parameters, 64);
    for (int t = 0; t < NR_TERMS; t++)
        at[t] = joint->piece[0].index[t];
    ck_assert(at[NR_TERM_LN_EXCHANGE] >= 0 && at[NR_TERM_LOSS] >= 0 && at[NR_TERM_OPTICAL] >= 0);
    for (size_t i = 0; i < joint->parameters; i++) {
        x[i] = 0.1 + 0.01 * (double)i;
        step[i] = 0;
    }
    x[at[NR_TERM_LN_EXCHANGE]] = log(100);
    x[at[NR_TERM_LOSS]] = 8;
    x[at[NR_TERM_OPTICAL]] = 0.75;
}

static void tear_down(void)
{
    nr_joint_free(joint);
    nr_series_free(series);
    nr_virtual_run_free(run);
}

/* A step goes in (what is taken off x), and the place where it leads comes out. */
static void steps(void)
{
    memcpy(asked, step, sizeof asked);
    nr_joint_straight_step(joint, x, step);
}

static double to(int term)
{
    return step[at[term]];
}

START_TEST(products_go_straight)
{
    static const double moves[][3] = {{0.2, 1, 0.02}, {-0.3, -2, 0.1}, {0, 3, 0}, {1, -5, -0.2}};
    for (size_t k = 0; k < sizeof moves / sizeof *moves; k++) {
        double h = 100, u = 8, factor = h / (h + u);
        memset(step, 0, sizeof step);
        step[at[NR_TERM_LN_EXCHANGE]] = -moves[k][0];
        step[at[NR_TERM_LOSS]] = -moves[k][1];
        step[at[NR_TERM_OPTICAL]] = -moves[k][2];
        steps();
        /* d F' = F' (1 - F') d ln h - F'^2 / h d U */
        double d_factor = factor * (1 - factor) * moves[k][0] - factor * factor / h * moves[k][1];
        double h_now = exp(to(NR_TERM_LN_EXCHANGE)), u_now = to(NR_TERM_LOSS);
        double now = h_now / (h_now + u_now);
        NEAR(to(NR_TERM_LN_EXCHANGE), log(100) + moves[k][0], 1e-12);
        NEAR(now * u_now, factor * u + factor * moves[k][1] + u * d_factor, 1e-9);
        NEAR(now * to(NR_TERM_OPTICAL), factor * (0.75 + moves[k][2]) + 0.75 * d_factor, 1e-9);
        /* ln of the capacity over F' has no curve of its own. */
        if (at[NR_TERM_LN_CAPACITY] >= 0)
            NEAR(to(NR_TERM_LN_CAPACITY) + log(now / factor),
                 x[at[NR_TERM_LN_CAPACITY]] + d_factor / factor, 1e-9);
        static const nr_term alike[] = {NR_TERM_LOSS2, NR_TERM_WIND, NR_TERM_SKY, NR_TERM_ASIDE};
        for (size_t i = 0; i < 4; i++)
            if (at[alike[i]] >= 0)
                NEAR(now * to((int)alike[i]), x[at[alike[i]]] * (factor + d_factor), 1e-9);
        /* Nothing else moves. */
        if (at[NR_TERM_OFFSET_OUTLET] >= 0)
            NEAR(to(NR_TERM_OFFSET_OUTLET), x[at[NR_TERM_OFFSET_OUTLET]], 1e-15);
    }
}
END_TEST

/* F' U comes no nearer to h than 0.95 of it, and neither falls to nothing: beyond, the step is as
 * it was asked. */
START_TEST(steps_too_far)
{
    static const struct {
        double loss, d_loss;
        bool straight;
    } of[] = {{8, -7, true}, {8, -9.5, false}, {8, 95, true}, {8, 105, false}, {-1, 0.5, false}};
    for (size_t k = 0; k < sizeof of / sizeof *of; k++) {
        double h = 100, u = of[k].loss, factor = h / (h + u);
        double product = factor * u + factor * factor * of[k].d_loss;
        x[at[NR_TERM_LOSS]] = u;
        memset(step, 0, sizeof step);
        step[at[NR_TERM_LOSS]] = -of[k].d_loss;
        ck_assert((u > 0 && product > 0 && product < 95) == of[k].straight);
        steps();
        bool moved = fabs(to(NR_TERM_LOSS) - (u - asked[at[NR_TERM_LOSS]])) > 1e-9;
        ck_assert_msg(moved == of[k].straight, "%g by %g", u, of[k].d_loss);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {products_go_straight, steps_too_far, NULL};
    return run_tests_in("straight", tests, set_up, tear_down);
}
