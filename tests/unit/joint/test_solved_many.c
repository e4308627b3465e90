/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Solutions that begin at another's: many records where one of each build ended by itself, and one
 * record where the same one ended before. What they begin from is worked out by the test; what they
 * find is a minimum with the covariance of its curvature. */
#include "tests/unit/joint/solution.h"

enum { MANY = 4 };

static nr_virtual_run *run[MANY];
static nr_series *series[MANY];
static const size_t build_of[MANY] = {0, 1, 0, 0};

/* Two builds under one sky; the last record is read half as often. */
static void simulate_many(void)
{
    nr_err err = {.text = ""};
    for (int i = 0; i < MANY; i++) {
        nr_virtual_params p = nr_virtual_glazed();
        p.rig_seed = 7310 + build_of[i];
        p.day_seed = 7310 + (unsigned long)i;
        p.start_utc_s += 86400 * i;
        p.duration_s = 1200;
        p.interval_s = i == 3 ? 20 : 10;
        p.channels = NR_VC_STORE_SET;
        run[i] = simulate(&p);
        ck_assert_msg(!nr_series_build(&run[i]->run, &series[i], &err), "%s", err.text);
    }
    ck_assert_double_gt(series[3]->block_s, series[0]->block_s);
}

static void free_many(void)
{
    for (int i = 0; i < MANY; i++) {
        nr_series_free(series[i]);
        nr_virtual_run_free(run[i]);
    }
}

static nr_joint *solution_of(size_t first, size_t count, size_t builds,
                             const nr_joint_options *options)
{
    static const size_t zero[MANY] = {0};
    nr_joint *j = NULL;
    nr_err err = {.text = ""};
    ck_assert_msg(!nr_joint_setup((const nr_series *const *)series + first,
                                  builds == 1 ? zero : build_of, count, builds, options, &j, &err),
                  "%s", err.text);
    j->threads = 1;
    solve_it(j);
    return j;
}

/* What both builds have in common begins where the second of them ended. */
static bool told_by_later(const nr_joint *j, const nr_piece *p, int term)
{
    return p == &j->piece[0] && p->index[term] == j->piece[1].index[term];
}

/* Where piece p of a build begins that `alone` was solved of: its parameters where it is the same
 * piece, and its noise; of others the noise only, which forgets by the time and not by the block.
 */
static void begins_there(const nr_joint *j, const nr_piece *p, const nr_joint *alone, bool same)
{
    const nr_piece *from = &alone->piece[0];
    const nr_noise *is = &p->noise_begins[NR_OUT_STORE], *was = &from->noise[NR_OUT_STORE];
    double blocks = same ? 1 : p->series->block_s / from->series->block_s;
    NEAR_RELATIVE(is->sigma, was->sigma, 1e-9);
    NEAR(is->slow, was->slow, 1e-9);
    NEAR(is->phi, pow(was->phi, blocks), 1e-9);
    NEAR(is->phi2, pow(was->phi2, blocks), 1e-9);
    for (int t = 0; same && t < NR_TERMS; t++)
        if (p->index[t] >= 0 && from->index[t] >= 0 && !told_by_later(j, p, t))
            NEAR_AT(nr_term_find((nr_term)t)->name, j->parameter[p->index[t]].start,
                    alone->x[from->index[t]], 1e-9 * (1 + fabs(alone->x[from->index[t]])));
}

START_TEST(many_records)
{
    simulate_many();
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_joint *all = solution_of(0, MANY, 2, &options);
    nr_joint *alone[2] = {solution_of(0, 1, 1, &options), solution_of(1, 1, 1, &options)};
    ck_assert(nr_joint_is_large(all) && !nr_joint_is_large(alone[0]));
    ck_assert_uint_eq(all->pieces, MANY);
    for (size_t i = 0; i < MANY; i++)
        begins_there(all, &all->piece[i], alone[build_of[i]], i < 2);
    check_rows(all);
    check_minimum(all);
    nr_joint_free(all);
    nr_joint_free(alone[0]);
    nr_joint_free(alone[1]);
    free_many();
}
END_TEST

/* Near where another ended: in fewer evaluations the same; and of what is expected there a step or
 * a few are enough. */
START_TEST(where_another_ended)
{
    simulate_many();
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_joint *first = solution_of(0, 1, 1, &options);
    nr_joint_begin *begin = nr_joint_begin_at(first);
    options.begin = begin;
    for (int expected = 0; expected < 2; expected++) {
        options.expected = expected;
        nr_joint *again = solution_of(0, 1, 1, &options);
        ck_assert(again->near && again->spent > 0 && again->spent < first->spent);
        for (size_t i = 0; i < again->parameters; i++) {
            double u = sqrt(first->covariance[i * (first->parameters + 1)]);
            NEAR_AT(again->parameter[i].row->name, again->x[i], first->x[i], 0.1 * u);
            NEAR(again->parameter[i].start, first->x[i], 1e-6 * (1 + fabs(first->x[i])));
        }
        check_rows(again);
        check_minimum(again);
        nr_joint_free(again);
    }
    /* Of a record that is read half as often the memory is by the time, too. */
    options.expected = false;
    nr_joint *other = solution_of(3, 1, 1, &options);
    const nr_noise *is = &other->piece[0].noise_begins[NR_OUT_STORE];
    double blocks = series[3]->block_s / series[0]->block_s;
    if (other->near) {
        NEAR(is->phi, pow(first->piece[0].noise[NR_OUT_STORE].phi, blocks), 1e-9);
        NEAR(is->sigma, first->piece[0].noise[NR_OUT_STORE].sigma, 1e-12);
    }
    nr_joint_free(other);
    nr_joint_begin_free(begin);
    nr_joint_free(first);
    free_many();
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {many_records, where_another_ended, NULL};
    return run_tests("solved_many", tests);
}
