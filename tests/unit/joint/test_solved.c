/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a solution is, whatever way the search went: a minimum by its gradient, with the covariance
 * of its curvature, and a noise that is the one of its own residuals; of a loop's record, and of
 * few readings by hand. */
#include "tests/unit/joint/solution.h"

typedef struct solved {
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *j;
} solved;

static void solve_record(solved *s, unsigned channels, double duration_s, double interval_s)
{
    static const size_t build_of[1] = {0};
    nr_err err = {.text = ""};
    nr_virtual_params p = nr_virtual_glazed();
    p.rig_seed = p.day_seed = 7306;
    p.duration_s = duration_s;
    p.interval_s = interval_s;
    p.channels = channels;
    s->run = simulate(&p);
    ck_assert_msg(!nr_series_build(&s->run->run, &s->series, &err), "%s", err.text);
    const nr_series *one = s->series;
    nr_joint_options options = {.use_store = true, .use_loop = true};
    ck_assert_msg(!nr_joint_setup(&one, build_of, 1, 1, &options, &s->j, &err), "%s", err.text);
    s->j->threads = 1;
    solve_it(s->j);
}

static void take_down(solved *s)
{
    nr_joint_free(s->j);
    nr_series_free(s->series);
    nr_virtual_run_free(s->run);
}

/* Readings every ten seconds: the noise is the most likely one of what is left, as misreading.h
 * has it; none is believed to be less than 0.002 K. */
START_TEST(a_loop)
{
    solved s;
    solve_record(&s, NR_VC_LOOP_SET, 1500, 10);
    const nr_piece *p = &s.j->piece[0];
    check_rows(s.j);
    check_minimum(s.j);
    ck_assert(p->driven && p->fits[NR_OUT_STORE] && p->fits[NR_OUT_OUTLET]);
    for (int c = 0; c < NR_OUTS; c++) {
        if (!p->fits[c])
            continue;
        nr_noise e = nr_noise_estimate(s.j->residual + p->row[c], nr_piece_tells(p, c),
                                       p->part->blocks, 0.002);
        e = nr_misreading_noise(p, c, e);
        same_noise(&p->noise[c], &e);
    }
    take_down(&s);
}
END_TEST

/* What parameters took of so few readings counts as lost, two of 0.05 K are counted with them; and
 * fewer than twelve say nothing of their memory: that is of ten minutes, and four fifths slow. A
 * reading is no better than its step lets it be. */
static void check_few(double duration_s, double interval_s, double step_K, bool tell_memory)
{
    solved s;
    solve_record(&s, NR_VC_STORE_SET, duration_s, interval_s);
    const nr_piece *p = &s.j->piece[0];
    nr_joint *j = s.j;
    nr_err err = {.text = ""};
    ck_assert(s.series->sparse && p->fits[NR_OUT_STORE]);
    ck_assert_msg((p->used_count[NR_OUT_STORE] >= 12) == tell_memory, "%zu readings",
                  p->used_count[NR_OUT_STORE]);
    for (size_t c = 0; c < s.run->run.rig.channels; c++)
        if (!strcmp(s.run->run.rig.channel[c].name, "store"))
            s.run->run.rig.channel[c].resolution = step_K;
    ck_assert_msg(!nr_joint_solve(j, &err), "%s", err.text);
    check_rows(j);
    check_minimum(j);
    double taken = 0, n = (double)p->used_count[NR_OUT_STORE], squares = 0;
    double floor = fmax(0.002, step_K > 0 ? step_K / sqrt(12) : 0);
    const double *residual = j->residual + p->row[NR_OUT_STORE];
    for (size_t i = 0; i < j->parameters; i++) {
        double u = j->parameter[i].prior_u;
        taken += fmax(1 - j->covariance[i * (j->parameters + 1)] / (u * u), 0);
    }
    nr_noise e = nr_noise_estimate(residual, p->used[NR_OUT_STORE], p->part->blocks, floor);
    for (size_t b = 0; b < p->part->blocks; b++)
        squares += p->used[NR_OUT_STORE][b] ? residual[b] * residual[b] : 0;
    if (!tell_memory) {
        e.sigma = sqrt(squares / n);
        e.slow = 0.8;
        e.phi = exp(-s.series->block_s / 600);
    }
    double all = n * e.sigma * e.sigma + 2 * 0.05 * 0.05;
    e.sigma = fmax(sqrt(all / (fmax(n - taken, 0) + 2)), floor);
    same_noise(&p->noise[NR_OUT_STORE], &e);
    take_down(&s);
}

START_TEST(few_readings)
{
    check_few(4800, 600, NAN, false);
    check_few(4800, 600, 0.5, false);
    check_few(7500, 300, NAN, true);
    check_few(7500, 300, 1, true);
}
END_TEST

/* Beyond three runs or eighty parameters, and near another's solution, piece by piece. */
START_TEST(what_is_large)
{
    nr_joint j = {.parameters = 80, .runs = 3};
    ck_assert(!nr_joint_is_large(&j));
    j.parameters = 81;
    ck_assert(nr_joint_is_large(&j));
    j.parameters = 80;
    j.runs = 4;
    ck_assert(nr_joint_is_large(&j));
    j.runs = 1;
    j.near = true;
    ck_assert(nr_joint_is_large(&j));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_loop, few_readings, what_is_large, NULL};
    return run_tests("solved", tests);
}
