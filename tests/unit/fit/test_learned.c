/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a fit says about its inputs: the stated ones as stated, and what is fitted by its root in
 * the thing itself, with u by the slope, 2 sqrt(x) times the root's (JCGM 100:2008, 5.1.2). */
#include "tests/unit/fit/simulated.h"

static const nr_learned *learned(const nr_fit *f, const char *label)
{
    for (size_t i = 0; i < f->learned_items; i++)
        if (strstr(f->learned[i].label, label))
            return &f->learned[i];
    ck_abort_msg("nothing learned about %s", label);
    return NULL;
}

START_TEST(roots_and_logarithms)
{
    nr_virtual_params p = exact_glazed();
    p.duration_s = 1500;
    p.interval_s = 5;
    nr_virtual_run *run = simulated(&p);
    const nr_run *one = &run->run;
    nr_fit_options options = nr_fit_defaults();
    nr_fit *f = NULL;
    nr_err err = {.text = ""};
    ck_assert_msg(nr_fit_runs(&one, 1, &options, &f, &err) == NR_OK, "%s", err.text);
    /* The heat of a cover: the root of it is 60 +- 18 beforehand (terms_collector.c); a short
     * record tells little more, and never that it is worse known than before. */
    const nr_learned *cover = learned(f, "glazing, heat capacity");
    NEAR(cover->stated, 3600, 1e-6);
    NEAR(cover->stated_u, 2 * 60 * 18, 1e-6);
    double root_u = cover->found_u / (2 * sqrt(cover->found));
    ck_assert_msg(root_u > 2 && root_u < 18.5, "u of the root %g", root_u);
    for (size_t i = 0; i < f->learned_items; i++)
        ck_assert_msg(f->learned[i].found_u <= 2.5 * f->learned[i].stated_u, "%s: %g, before %g",
                      f->learned[i].label, f->learned[i].found_u, f->learned[i].stated_u);
    nr_fit_free(f);
    nr_virtual_run_free(run);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {roots_and_logarithms, NULL};
    return run_tests("learned", tests);
}
