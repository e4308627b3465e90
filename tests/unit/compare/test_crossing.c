/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of compare: two curves that meet. */
#include "tests/unit/compare/pairs.h"

/* Where a glazed curve and a bare one meet. Each end of the interval is a ratio r for which a - r b
 * is 1.96 of its standard deviations from nothing (Fieller); what a and b have in common is taken
 * from the crossing's own u, by the law of propagation (JCGM 100:2008, 5.2.2). */
START_TEST(curves_that_cross)
{
    nr_virtual_params p = build_params("plain", 31), q = nr_virtual_bare();
    p.store_above_air_K = q.store_above_air_K = 8;
    q.rig_seed = 31;
    q.day_seed = p.day_seed;
    q.interval_s = p.interval_s;
    pair x = make_pair(&p, &q);
    const nr_difference *d = &x.compare->difference[0];
    ck_assert(d->crossing_known);
    double sun = d->crossing.value * d->a1.value / d->eta0.value;
    double a = d->eta0.value, b = d->a1.value, at = d->crossing.value / sun;
    double va = d->eta0.u * d->eta0.u, vb = d->a1.u * d->a1.u, u = d->crossing.u / sun * b;
    double vab = (va + at * at * vb - u * u) / (2 * at);
    ck_assert_double_lt(d->crossing.lo95, d->crossing.value);
    ck_assert_double_gt(d->crossing.hi95, d->crossing.value);
    for (int end = 0; end < 2; end++) {
        double r = (end ? d->crossing.hi95 : d->crossing.lo95) / sun;
        NEAR_RELATIVE(fabs(a - r * b) / sqrt(va - 2 * r * vab + r * r * vb), 1.959964, 1e-4);
    }
    drop(&x);
}
END_TEST

/* A band about the best estimate, as far above as below, of no width where the water begins. */
START_TEST(bands_of_heating_up)
{
    nr_virtual_params p = build_params("left", 32), q = build_params("right", 32);
    pair x = make_pair(&p, &q);
    for (int b = 0; b < 2; b++) {
        const nr_heat_up *h = &x.compare->heat_up[b];
        ck_assert_uint_gt(h->count, 10);
        for (size_t i = 0; i < h->count; i++)
            NEAR(h->hi95[i] - h->store_degC[i], h->store_degC[i] - h->lo95[i], 1e-9);
        /* A time is positive: its interval is one of its logarithm, as wide as 1.96 u or a little
         * more, where few rows tell of the noise. */
        const nr_quantity *time = &h->time_s;
        ck_assert(time->known);
        NEAR_RELATIVE(sqrt(time->lo95 * time->hi95), time->value, 1e-9);
        double k = log(time->hi95 / time->value) * time->value / time->u;
        ck_assert_msg(k > 1.9599 && k < 2.1, "k %g", k);
        /* Then the water is as warm as was asked for. */
        size_t i = 1;
        while (i + 1 < h->count && h->t_s[i] < time->value)
            i++;
        double part = (time->value - h->t_s[i - 1]) / (h->t_s[i] - h->t_s[i - 1]);
        double then = h->store_degC[i - 1] + part * (h->store_degC[i] - h->store_degC[i - 1]);
        NEAR(then, x.compare->day.to_degC, 0.01);
        NEAR(h->hi95[0], h->store_degC[0], 1e-9);
        ck_assert_double_gt(h->hi95[h->count - 1], h->store_degC[h->count - 1] + 0.05);
    }
    drop(&x);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {curves_that_cross, bands_of_heating_up, NULL};
    return run_tests("crossing", tests);
}
