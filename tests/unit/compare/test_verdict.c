/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who is better and what would settle it, from made-up results whose verdict is plain arithmetic.
 */
#include "analyze/compare/verdict.h"
#include "tests/unit/near.h"

static nr_compare c;

static nr_quantity time_of(double value, double u_random, double u_systematic)
{
    double u = hypot(u_random, u_systematic);
    return (nr_quantity){
        true, value, u, u_random, u_systematic, value - 1.96 * u, value + 1.96 * u, NR_UNIT_S};
}

static void times(size_t builds, const double *s)
{
    c = (nr_compare){.builds = builds};
    for (size_t b = 0; b < builds; b++)
        c.heat_up[b].time_s =
            isnan(s[b]) ? (nr_quantity){.known = false, .value = NAN} : time_of(s[b], 30, 40);
    for (size_t a = 0; a < builds; a++)
        for (size_t b = a + 1; b < builds; b++)
            if (!isnan(s[a]) && !isnan(s[b]))
                c.difference[c.differences++] = (nr_difference){
                    .of = a, .against = b, .heat_up_s = time_of(s[a] - s[b], 30, 40)};
}

START_TEST(the_fastest)
{
    static const struct {
        size_t builds, best, next;
        double s[4];
    } of[] = {{2, 0, 1, {3000, 3600}},       {2, 1, 0, {3600, 3000}},
              {3, 2, 0, {3100, 3600, 3000}}, {4, 1, 3, {3600, 3000, NAN, 3100}},
              {3, 1, 1, {NAN, 3000, NAN}},   {2, 0, 0, {3000, NAN}},
              {3, 0, 2, {3000, 3600, 3300}}, {4, 2, 1, {NAN, 3500, 3000, NAN}}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        times(of[i].builds, of[i].s);
        nr_verdict_judge(&c);
        ck_assert_msg(c.verdict.best == of[i].best && c.verdict.next == of[i].next,
                      "%zu: %zu, then %zu", i, c.verdict.best, c.verdict.next);
        ck_assert(c.verdict.reached);
    }
    static const double none[2] = {NAN, NAN};
    times(2, none);
    nr_verdict_judge(&c);
    ck_assert(!c.verdict.reached && c.verdict.settle == NR_SETTLE_NOTHING);
}
END_TEST

/* u of a difference is 50 s: 98 s to both sides. */
START_TEST(slower_or_alike)
{
    for (int turned = 0; turned < 2; turned++) {
        for (double apart = 90; apart < 107; apart += 8.5) {
            const double s[2] = {turned ? 3000 + apart : 3000, turned ? 3000 : 3000 + apart};
            times(2, s);
            nr_verdict_judge(&c);
            const nr_against *a = &c.verdict.against[!turned];
            ck_assert_int_eq(a->outcome, apart > 98 ? NR_AGAINST_SLOWER : NR_AGAINST_ALIKE);
            NEAR(a->gain_s, apart, 1e-9);
            NEAR(a->lo95_s, apart - 98, 1e-9);
            NEAR(a->hi95_s, apart + 98, 1e-9);
            NEAR(a->u_s, 50, 1e-9);
        }
    }
    static const double one[3] = {3000, NAN, 3050};
    times(3, one);
    c.all_k[NR_BY_TIME] = 2.4; /* all pairs together: wider */
    nr_verdict_judge(&c);
    ck_assert_int_eq(c.verdict.against[1].outcome, NR_AGAINST_NOT_REACHED);
    NEAR(c.verdict.against[1].u_s, 50, 1e-9); /* of the best one's own time */
    ck_assert(isnan(c.verdict.against[1].gain_s));
    NEAR(c.verdict.against[2].lo95_s, 50 - 120, 1e-9);
    NEAR(c.verdict.against[2].hi95_s, 50 + 120, 1e-9);
}
END_TEST

static nr_settle settles(double value, double u_random, double u_systematic, double against_s)
{
    const double s[2] = {against_s - value, against_s};
    times(2, s);
    c.difference[0].heat_up_s = time_of(value, u_random, u_systematic);
    nr_verdict_judge(&c);
    return c.verdict.settle;
}

START_TEST(what_would_settle_it)
{
    /* Told apart already, either way. */
    ck_assert_int_eq(settles(-99, 30, 40, 3600), NR_SETTLE_NOTHING);
    ck_assert_int_eq(settles(99, 30, 40, 3600), NR_SETTLE_NOTHING);
    /* Its interval inside a twentieth of the time. */
    ck_assert_int_eq(settles(-50, 30, 40, 2961), NR_SETTLE_SAME_ENOUGH); /* 148 of 148.05 s */
    ck_assert(settles(-50, 30, 40, 2959) != NR_SETTLE_SAME_ENOUGH);
    ck_assert_int_eq(settles(50, 30, 40, 2961), NR_SETTLE_SAME_ENOUGH);
    ck_assert(settles(50, 30, 40, 2959) != NR_SETTLE_SAME_ENOUGH);
    /* n tests leave hypot(random / sqrt(n), systematic); 1.96 of that has to be below the value:
     * 90 / 1.96 = 45.92; 45.92^2 - 40^2 = 508.5; 60^2 / 508.5 = 7.08, so eight. */
    ck_assert_int_eq(settles(-90, 60, 40, 1000), NR_SETTLE_MORE_TESTS);
    NEAR(c.verdict.tests, 8, 1e-9);
    ck_assert_int_eq(settles(-90, 50, 0, 1000), NR_SETTLE_MORE_TESTS); /* 1.19: two */
    NEAR(c.verdict.tests, 2, 1e-9);
    ck_assert_int_eq(settles(-90, 205, 0, 1000), NR_SETTLE_MORE_TESTS); /* 19.93: twenty */
    NEAR(c.verdict.tests, 20, 1e-9);
    ck_assert_int_eq(settles(-90, 206, 0, 1000), NR_SETTLE_BETTER_SENSORS); /* 20.13 */
    /* What they share is more than the value: no number of tests. */
    ck_assert_int_eq(settles(-90, 30, 46, 1000), NR_SETTLE_BETTER_SENSORS);
}
END_TEST

START_TEST(hot_and_cold)
{
    static const double s[2] = {3000, 3100};
    for (int of = 0; of < 2; of++) {
        times(2, s);
        c.difference[0].crossing_known = true;
        c.difference[0].a1.value = of ? -2 : 2;
        nr_verdict_judge(&c);
        ck_assert(c.verdict.crossing);
        ck_assert_uint_eq(c.verdict.hot, of ? 0 : 1); /* the smaller loss */
        ck_assert_uint_eq(c.verdict.cold, of ? 1 : 0);
    }
    times(2, s);
    nr_verdict_judge(&c);
    ck_assert(!c.verdict.crossing);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_fastest, slower_or_alike, what_would_settle_it, hot_and_cold,
                                  NULL};
    return run_tests("verdict", tests);
}
