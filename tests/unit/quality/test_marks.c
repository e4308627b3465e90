/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a reading can be at all, for every channel from both sides; spans that are kept; ranks,
 * middles; a channel without its holes. The believable ranges are the project's own (common
 * practice, no source). */
#include "tests/unit/quality/by_hand.h"

static by_hand hand;

static const struct {
    const char *name;
    bool temperature;
    double low, high;
} channel[NR_ROLES] = {
    [NR_ROLE_STORE] = {"store", true, -5, 110},
    [NR_ROLE_INLET] = {"inlet", true, -5, 110},
    [NR_ROLE_OUTLET] = {"outlet", true, -10, 160},
    [NR_ROLE_AIR] = {"air", true, -50, 65},
    [NR_ROLE_BOX] = {"box", true, -50, 350},
    [NR_ROLE_SUN] = {"sun", false, -30, 2000},
    [NR_ROLE_FLOW] = {"flow", false, -1, 1000},
    [NR_ROLE_WIND] = {"wind", false, -0.5, 75},
    [NR_ROLE_PUMP] = {"pump", false, -1e6, 1e6},
    [NR_ROLE_SKY] = {"sky", false, -100, 1000},
    [NR_ROLE_HUMIDITY] = {"humidity", false, 0, 105},
    [NR_ROLE_DIFFUSE] = {"diffuse", false, -30, 1500},
};

static const nr_quality_channel *ranged(nr_role role, double low, double high)
{
    nr_quality_source source = {.rows = hand.q.rows};
    for (int r = 0; r < NR_ROLES; r++)
        source.low[r] = source.high[r] = NAN;
    source.low[role] = low;
    source.high[role] = high;
    nr_quality_channel *c = hand_channel(&hand, role);
    c->readings = 0; /* are counted here */
    nr_cursor at;
    nr_cursor_begin(&at, c->value);
    nr_check_range(&hand.q, &source, &at, role);
    return c;
}

/* The ends belong to it; a stated end replaces that one alone. */
START_TEST(each_channels_range)
{
    for (int r = 0; r < NR_ROLES; r++) {
        nr_role role = (nr_role)r;
        ck_assert_str_eq(nr_role_name(role), channel[r].name);
        ck_assert_int_eq(nr_role_is_temperature(role), channel[r].temperature);
        for (int stated = 0; stated < 4; stated++) {
            double low = channel[r].low, high = channel[r].high, width = high - low;
            low = stated & 1 ? low + 0.25 * width : low;
            high = stated & 2 ? low + 0.5 * width : high;
            double small = 1e-6 * width, v[] = {low, low - small, NAN, high, high + small, low};
            hand_begin(&hand, 6, 1);
            memcpy(hand.value[r], v, sizeof v);
            const nr_quality_channel *c =
                ranged(role, stated & 1 ? low : NAN, stated & 2 ? high : NAN);
            for (size_t i = 0; i < 6; i++)
                ck_assert_msg(c->bad[i] == (i == 1 || i == 4 ? NR_BAD_RANGE : 0),
                              "%s, stated %d: reading %zu", channel[r].name, stated, i);
            ck_assert_uint_eq(c->readings, 5);
            ck_assert_uint_eq(c->count[NR_BAD_RANGE], 2);
            ck_assert_int_eq(c->range_stated, stated > 0);
            NEAR(c->low, low, 0);
            NEAR(c->high, high, 0);
        }
    }
}
END_TEST

/* Each row of readings outside is one span, also at either end of the record. */
START_TEST(spans_outside)
{
    unsigned long long s = 6;
    for (int number = 0; number < 60; number++) {
        size_t rows = 1 + below(&s, 40), n = 0;
        hand_begin(&hand, rows, 1);
        for (size_t i = 0; i < rows; i++)
            hand.value[NR_ROLE_AIR][i] = below(&s, 3) ? 20 : below(&s, 4) ? 70 : -60;
        const nr_quality_channel *c = ranged(NR_ROLE_AIR, NAN, NAN);
        for (size_t i = 0, to; i < rows; i = to + 1) {
            for (to = i; to < rows && hand.value[NR_ROLE_AIR][to] != 20; to++)
                ;
            if (to == i)
                continue;
            ck_assert_uint_eq(c->span[n].from, i);
            ck_assert_uint_eq(c->span[n].to, to - 1);
            ck_assert_int_eq(c->span[n].why, NR_BAD_RANGE);
            n++;
        }
        ck_assert_uint_eq(c->spans, n);
    }
}
END_TEST

/* Of many spans the longest are kept, and of equal ones those that came first. */
START_TEST(longest_spans)
{
    unsigned long long s = 3;
    for (int number = 0; number < 40; number++) {
        static nr_quality_channel c;
        static double length[200];
        size_t many = 1 + below(&s, 150), longest = 1 + below(&s, 60);
        memset(&c, 0, sizeof c);
        for (size_t i = 0; i < many; i++) {
            length[i] = (double)below(&s, longest);
            nr_quality_add_span(&c, 100 * i, 100 * i + (size_t)length[i], NR_BAD_STUCK);
        }
        size_t kept = many < NR_QUALITY_SPANS ? many : NR_QUALITY_SPANS;
        ck_assert_uint_eq(c.spans, kept);
        double is[NR_QUALITY_SPANS];
        for (size_t i = 0; i < kept; i++) {
            is[i] = (double)(c.span[i].to - c.span[i].from);
            ck_assert_uint_eq(c.span[i].from % 100, 0);
            NEAR(length[c.span[i].from / 100], is[i], 0);
            ck_assert_int_eq(c.span[i].why, NR_BAD_STUCK);
        }
        sorted(is, kept);
        sorted(length, many);
        for (size_t i = 0; i < kept; i++)
            NEAR(is[i], length[many - kept + i], 0);
    }
}
END_TEST

/* Ranks are rounded; the middle of an even number is the mean of two. */
START_TEST(ranks_and_middles)
{
    unsigned long long s = 2;
    static double v[20000], copy[20000];
    for (int number = 0; number < 60; number++) {
        size_t n = 1 + below(&s, number == 0 ? 19999 : 40);
        n = number == 1 ? 17000 : n; /* more than are selected among directly */
        for (size_t i = 0; i < n; i++)
            v[i] = copy[i] = (double)below(&s, 1 + n / 3);
        sorted(copy, n);
        NEAR(nr_median(v, n), (copy[n / 2] + copy[(n - 1) / 2]) / 2, 0);
        double share = chance(&s);
        NEAR(nr_quantile(v, n, share), copy[lround(share * (double)(n - 1))], 0);
        size_t k = below(&s, n);
        NEAR(nr_smallest(v, n, k), copy[k], 0);
        ck_assert_uint_eq(nr_rank_middle(n), n / 2);
    }
    ck_assert(isnan(nr_median(v, 0)) && isnan(nr_quantile(v, 0, 0.5)));
}
END_TEST

/* Only the first reason counts, and what is marked or empty is no neighbour. */
START_TEST(without_holes)
{
    hand_begin(&hand, 8, 1);
    for (size_t i = 0; i < 8; i++)
        hand.value[NR_ROLE_BOX][i] = (double)i;
    nr_quality_channel *c = hand_channel(&hand, NR_ROLE_BOX);
    ck_assert_uint_eq(hand_dense(&hand, NR_ROLE_BOX)->count, 8);
    hand.value[NR_ROLE_BOX][3] = NAN;
    hand_channel(&hand, NR_ROLE_BOX);
    for (int why = NR_GOOD + 1; why < NR_BADS; why++) {
        nr_quality_mark(&hand.q, NR_ROLE_BOX, 5, (nr_bad)why);
        ck_assert_int_eq(c->bad[5], NR_GOOD + 1);
        ck_assert_uint_eq(c->count[why], why == NR_GOOD + 1);
    }
    ck_assert_uint_eq(nr_quality_marked(&hand.q, NR_ROLE_BOX), 1);
    nr_quality_mark(&hand.q, NR_ROLE_BOX, 7, NR_BADS - 1);
    ck_assert_uint_eq(nr_quality_marked(&hand.q, NR_ROLE_BOX), 2);
    const nr_dense *d = hand_dense(&hand, NR_ROLE_BOX);
    static const size_t left[] = {0, 1, 2, 4, 6};
    ck_assert_uint_eq(d->count, 5);
    for (size_t i = 0; i < 5; i++) {
        ck_assert_uint_eq(nr_dense_row(d, i), left[i]);
        NEAR(nr_dense_value(d, i), (double)left[i], 0);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {each_channels_range, spans_outside, longest_spans,
                                  ranks_and_middles,   without_holes, NULL};
    return run_tests("quality: ranges, marks and ranks", tests);
}
