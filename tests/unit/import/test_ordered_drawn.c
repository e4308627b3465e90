/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows drawn out of order, twice, unreadable and with coarse stamps, put in order a second time by
 * brute force; each limit of what is taken for what from both sides. */
#include "logger/import/rows.h"
#include "tests/unit/chance.h"
#include "tests/unit/import/tables.h"

#include <stdint.h>

#define MOST 200

static uint64_t state = 8303;

static unsigned drawn(unsigned below)
{
    return chance_below(&state, below);
}

static nr_table sheet;
static nr_times times;
static nr_ordered got;
static nr_import_said said;
static nr_err err;

/* Rows as they come: when, and a reading that tells them apart. */
static struct {
    size_t count;
    double at[MOST];
    int reading[MOST];
} rows;

static void start(double step_s)
{
    rows.count = 0;
    times = (nr_times){.step_s = step_s, .at_s = rows.at};
}

static void add(double at, int reading)
{
    ck_assert_uint_lt(rows.count, MOST);
    rows.at[rows.count] = at;
    rows.reading[rows.count++] = reading;
}

/* The rows' order; the caller forgets it. */
static nr_code order(void)
{
    static char text[MOST * 20 + 20];
    strcpy(text, "time,x\n");
    for (size_t i = 0; i < rows.count; i++) {
        size_t used = strlen(text);
        (void)snprintf(text + used, sizeof text - used, "10:15,%d.5\n", rows.reading[i]);
    }
    memset(&said, 0, sizeof said);
    ck_assert(nr_table_read(text, strlen(text), "table", 0, &sheet, &err) == NR_OK);
    ck_assert_uint_eq(sheet.rows, rows.count);
    err = (nr_err){.text = ""};
    return nr_rows_order(&sheet, &times, &got, &said, &err);
}

static void forget_order(void)
{
    nr_ordered_free(&got);
    ck_assert(!got.row && !got.at_s && got.count == 0);
    nr_table_free(&sheet);
}

static void says(size_t late, size_t twice, size_t spread, const char *step)
{
    char want[3][100];
    size_t n = 0;
    if (late > 0)
        snprintf(want[n++], 100, "%zu row%s out of order: sorted by time", late,
                 late > 1 ? "s were" : " was");
    if (twice > 0)
        snprintf(want[n++], 100, "%zu row%s there twice: taken once", twice,
                 twice > 1 ? "s are" : " is");
    if (spread > 0)
        snprintf(want[n++], 100,
                 "%zu rows share their stamp with another: spread evenly over its %s s", spread,
                 step);
    ck_assert_uint_eq(said.count, n);
    for (size_t i = 0; i < n; i++)
        ck_assert_str_eq(said.text[i], want[i]);
}

/* --- fine stamps ------------------------------------------------------------------------------ */

static void draw_fine(void)
{
    start(1);
    times.backwards = drawn(2);
    size_t count = 1 + drawn(40);
    for (size_t i = 0; i < count; i++) {
        size_t at = times.backwards ? count - i : i;
        if (drawn(6) == 0)
            add(NAN, 999);
        add(7 * (double)at + 0.25 * drawn(20), (int)at);
    }
    for (unsigned k = drawn(1 + (unsigned)count / 5); k > 0; k--) { /* once more, anywhere */
        size_t of = drawn((unsigned)count);
        add(rows.at[of], rows.reading[of]);
    }
    for (unsigned k = drawn(4); k > 0; k--) {
        size_t a = drawn((unsigned)rows.count), b = drawn((unsigned)rows.count);
        double at = rows.at[a];
        int reading = rows.reading[a];
        rows.at[a] = rows.at[b];
        rows.reading[a] = rows.reading[b];
        rows.at[b] = at;
        rows.reading[b] = reading;
    }
}

/* By taking the least that is left, again and again. */
START_TEST(sorted_and_once)
{
    for (int pass = 0; pass < 150; pass++) {
        draw_fine();
        bool done[MOST] = {false};
        size_t late = 0, twice = 0, kept = 0, any = 0;
        double before = -INFINITY;
        for (size_t i = 0; i < rows.count; i++) {
            double at = rows.at[times.backwards ? rows.count - 1 - i : i];
            any += isnan(at) ? 0 : 1;
            late += at < before;
            before = isnan(at) ? before : at;
        }
        nr_code code = order();
        ck_assert(code == (any > 0 ? NR_OK : NR_BAD));
        for (size_t left = any; left > 0; left--) {
            size_t least = MOST;
            for (size_t i = 0; i < rows.count; i++) {
                size_t row = times.backwards ? rows.count - 1 - i : i;
                if (!done[row] && !isnan(rows.at[row]) &&
                    (least == MOST || rows.at[row] < rows.at[least]))
                    least = row;
            }
            done[least] = true;
            if (kept > 0 && rows.at[least] <= rows.at[got.row[kept - 1]]) {
                twice++; /* readings and times are each other's */
                continue;
            }
            ck_assert_msg(kept < got.count && got.row[kept] == least, "pass %d: %zu", pass, kept);
            NEAR(got.at_s[kept], rows.at[least], 1e-9);
            kept++;
        }
        ck_assert_uint_eq(got.count, kept);
        if (any > 0)
            says(late, twice, 0, "");
        else
            ck_assert_str_eq(err.text, "no row has a time");
        forget_order();
    }
}
END_TEST

START_TEST(no_time_at_all)
{
    start(1);
    add(NAN, 1), add(INFINITY, 2);
    ck_assert(order() == NR_BAD && got.count == 0);
    ck_assert_str_eq(err.text, "no row has a time");
    forget_order();
}
END_TEST

/* At least a millisecond apart, on whole ones. */
START_TEST(milliseconds)
{
    for (int pass = 0; pass < 50; pass++) {
        start(1e-6);
        double at = 5;
        for (int i = 0; i < 30; i++)
            add(at += 1e-6 * (1 + drawn(drawn(3) ? 900 : 4000)), i);
        ck_assert(order() == NR_OK && got.count == 30);
        long last = 0;
        for (size_t i = 0; i < 30; i++) {
            long ms = lround(1000 * rows.at[i]);
            last = ms > last ? ms : last + 1;
            NEAR(got.at_s[i], 1e-3 * (double)last, 1e-9);
        }
        says(0, 0, 0, "");
        forget_order();
    }
}
END_TEST

/* --- coarse stamps ---------------------------------------------------------------------------- */

/* `usual` rows a stamp, the first begun in its middle, the last broken off. */
START_TEST(spread_over_the_stamp)
{
    for (int pass = 0; pass < 100; pass++) {
        size_t usual = 2 + drawn(5), stamps = 5 + drawn(6), n = 0, share[16], sharing = 0;
        double stamp[16];
        start(60);
        for (size_t s = 0; s < stamps; s++) {
            bool end = s == 0 || s == stamps - 1;
            share[s] = end ? 1 + drawn((unsigned)usual) : s == 2 ? usual + drawn(3) : usual;
            stamp[s] = s == 0 ? 600 : stamp[s - 1] + 20 * (1 + drawn(5));
            sharing += share[s] > 1 ? share[s] : 0;
            for (size_t k = 0; k < share[s]; k++)
                add(stamp[s], 3 * (int)n++);
        }
        ck_assert(order() == NR_OK && got.count == n);
        for (size_t s = 0, i = 0; s < stamps; s++) {
            size_t places = share[s] > usual ? share[s] : usual;
            size_t missing = s == 0 ? places - share[s] : 0;
            double width =
                s + 1 < stamps && stamp[s + 1] - stamp[s] < 60 ? stamp[s + 1] - stamp[s] : 60;
            for (size_t k = 0; k < share[s]; k++, i++) {
                double into = width * (double)(missing + k) / (double)places;
                ck_assert_uint_eq(got.row[i], i);
                NEAR(got.at_s[i], stamp[s] + (share[s] > 1 || missing ? into : 0), 0.00051);
            }
        }
        says(0, 0, sharing, "60");
        forget_order();
    }
}
END_TEST

/* Up to 63 rows of one stamp are counted when it is asked how many are usual. */
START_TEST(the_most_of_one_stamp)
{
    for (size_t most = 63; most < 65; most++) {
        start(60);
        for (int k = 0; k < 30; k++)
            add(0, k);
        for (size_t k = 0; k < most; k++)
            add(60, 100 + (int)k);
        ck_assert(order() == NR_OK && got.count == 30 + most);
        NEAR(got.at_s[0], most == 63 ? 60 * 33 / 63.0 : 0, 0.00051);
        NEAR(got.at_s[31] - got.at_s[30], 60 / (double)most, 0.0011);
        forget_order();
    }
}
END_TEST

/* Rows alike one behind the other: twice written or two equal readings of a coarse stamp. */
START_TEST(alike_and_side_by_side)
{
    static const struct {
        double step_s;
        int pairs, singles;
        bool once;
    } of[] = {{60, 2, 1, false}, {60, 2, 2, true},   {60, 4, 2, false}, {60, 4, 3, true},
              {59, 2, 1, true},  {59.9, 4, 2, true}, {1, 9, 0, true},   {60, 5, 0, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        start(of[i].step_s);
        for (int k = 0; k < of[i].pairs; k++) {
            add(60 * k, k);
            add(60 * k, k);
        }
        for (int k = 0; k < of[i].singles; k++)
            add(6000 + 60 * k, 50 + k);
        ck_assert(order() == NR_OK);
        size_t all = (size_t)(2 * of[i].pairs + of[i].singles), pairs = (size_t)of[i].pairs;
        ck_assert_msg(got.count == (of[i].once ? all - pairs : all), "%zu: %zu", i, got.count);
        says(0, of[i].once ? pairs : 0, of[i].once ? 0 : 2 * pairs, "60");
        forget_order();
    }
    /* Of a fine stamp beside one that has other readings: half as many rows again as stamps. */
    for (int singles = 2; singles < 4; singles++) {
        start(1);
        add(0, 1), add(0, 1), add(1, 2), add(1, 3);
        for (int k = 0; k < singles; k++)
            add(10 + k, 10 + k);
        ck_assert(order() == NR_OK);
        ck_assert_uint_eq(got.count, 6);
        says(0, singles == 2 ? 0 : 1, singles == 2 ? 4 : 2, "1");
        forget_order();
    }
    /* A minute is coarse, however few rows share one. */
    for (int step = 59; step < 62; step++) {
        start(step);
        add(0, 1), add(0, 1), add(600, 2), add(600, 3), add(700, 4), add(800, 5), add(900, 6);
        ck_assert(order() == NR_OK);
        ck_assert_uint_eq(got.count, step >= 60 ? 7 : 6);
        forget_order();
    }
    /* And far from its twin: twice also where stamps are coarse. */
    start(60);
    add(0, 1), add(0, 2), add(60, 3), add(60, 4), add(120, 5), add(0, 1);
    ck_assert(order() == NR_OK && got.count == 5);
    says(1, 1, 4, "60");
    forget_order();
}
END_TEST

/* --- tables one below the other --------------------------------------------------------------- */

/* `tables` of them, each with the first `shared` of all `stamps` stamps but the first with all. */
static nr_code one_below_the_other(int tables, int stamps, int shared, bool alike)
{
    start(1);
    for (int k = 0; k < tables; k++)
        for (int s = 0; s < (k == 0 ? stamps : shared); s++)
            add(10 * s, alike ? s : 100 * k + s);
    return order();
}

START_TEST(tables_below)
{
    static const struct {
        int tables, stamps, shared;
        bool alike, refused;
    } of[] = {{2, 5, 3, false, true},  {2, 6, 3, false, false}, {2, 3, 2, false, false},
              {2, 3, 3, false, true},  {2, 5, 3, true, false},  {3, 5, 5, false, true},
              {3, 4, 4, false, false}, {1, 9, 9, false, false}, {4, 7, 7, false, true},
              {4, 6, 6, false, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_code code = one_below_the_other(of[i].tables, of[i].stamps, of[i].shared, of[i].alike);
        ck_assert_msg(code == (of[i].refused ? NR_BAD : NR_OK), "%zu: %s", i, err.text);
        ck_assert(!of[i].refused || err.line == of[i].stamps + 2);
        ck_assert(!of[i].refused || strstr(err.text, "the times begin anew here"));
        forget_order();
    }
    /* Going back sixteen times is a clock that jumps, not so many sensors. */
    for (int again = 15; again < 17; again++) {
        start(1);
        for (int k = 0; k <= 33; k++)
            add(10 * k, k);
        for (int k = 0; k < again; k++) /* parts, one before the other: all stamps stand twice */
            for (int s = 0; s < (k == again - 1 ? 34 - 2 * k : 2); s++)
                add(10 * (34 - (k == again - 1 ? 34 : 2 * k + 2) + s), 100 + 2 * k + s);
        ck_assert_msg((order() == NR_BAD) == (again == 15), "%d", again);
        forget_order();
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        sorted_and_once,       no_time_at_all,         milliseconds, spread_over_the_stamp,
        the_most_of_one_stamp, alike_and_side_by_side, tables_below, NULL};
    return run_tests("ordered_drawn", tests);
}
