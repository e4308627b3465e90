/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The chance of something far, against Bayes' theorem by quadrature. */
#include "analyze/estimate/mixture.h"
#include "tests/unit/near.h"

#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>

typedef struct mixture {
    double d, s, u, far;
} mixture;

/* Far and one-sided, times the likelihood; the sum over what might have gone besides the usual. */
static double far_evidence(double x, void *context)
{
    const mixture *m = context;
    double error = hypot(m->s, m->u);
    return 2 * gsl_ran_gaussian_pdf(x, m->far) * gsl_ran_gaussian_pdf(m->d - x, error);
}

/* Bayes' theorem by quadrature over all of the far side and the near, in place of the closed form,
 * which lets the tail below nothing count. */
static double by_quadrature(mixture m)
{
    gsl_integration_workspace *w = gsl_integration_workspace_alloc(500);
    gsl_function f = {far_evidence, &m};
    double sum = 0, error;
    gsl_integration_qagiu(&f, 0, 0, 1e-9, 500, w, &sum, &error);
    gsl_integration_workspace_free(w);
    double usual = 0.9 * gsl_ran_gaussian_pdf(m.d, hypot(m.s, m.u));
    return m.d * m.d * 0.1 * sum / (0.1 * sum + usual);
}

START_TEST(as_bayes_has_it)
{
    static const mixture far[] = {{0.17, 0.03, 0.004, 0.1}, {0.15, 0.02, 0.005, 0.1}};
    for (size_t i = 0; i < 2; i++)
        NEAR(nr_mixture_variance(far[i].d, far[i].s, far[i].u, far[i].far, 0.1),
             by_quadrature(far[i]), 1e-3 * far[i].d * far[i].d);
    /* Where it is doubtful half of the far side's tail lies below nothing: never less, at most
     * twice the odds. */
    mixture m = {0.05, 0.04, 0.004, 0.1};
    double v = nr_mixture_variance(m.d, m.s, m.u, m.far, 0.1), whole = by_quadrature(m);
    ck_assert_msg(v >= whole && v < 2 * whole, "%g for %g", v, whole);
    ck_assert(nr_mixture_variance(-0.1, 0.03, 0.004, 0.1, 0.1) ==
              0); /* nobody pours water in evenly */
    ck_assert(nr_mixture_variance(0.1, INFINITY, 0.004, 0.1, 0.1) == 0);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {as_bayes_has_it, NULL};
    return run_tests("mixture", tests);
}
