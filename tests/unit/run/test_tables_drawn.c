/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables of readings made in memory, by drawn sequences of all that can be done to one, beside a
 * plain array of the test's that the same is done to; packed at some point, or never. */
#include "logger/run/readings.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <stdbool.h>

#define MOST_ROWS 1500
#define MOST_COLUMNS 8

static uint64_t state;
static nr_err err;

static unsigned draw(unsigned below)
{
    return chance_below(&state, below);
}

/* What a number of each unit is in the unit that is kept (NIST SP 811, appendix B). */
static const struct {
    const char *unit;
    double factor, zero;
} units[] = {
    {"degC", 1, 0}, {"degF", 5.0 / 9, -160.0 / 9}, {"rpm", 1, 0}, {"", 1, 0}, {"mV", 1e-3, 0}};

typedef struct model {
    size_t rows, columns;
    double utc_s[MOST_ROWS], elapsed_s[MOST_ROWS], value[MOST_COLUMNS][MOST_ROWS];
    size_t unit[MOST_COLUMNS];
} model;

static model m;

static void add_column(nr_readings *r)
{
    char name[10];
    size_t unit = draw(5);
    if (m.columns == MOST_COLUMNS)
        return;
    snprintf(name, sizeof name, "c%zu", m.columns);
    ck_assert_msg(nr_readings_add_column(r, name, units[unit].unit, &err) == NR_OK, "%s", err.text);
    ck_assert_int_eq(nr_readings_add_column(r, name, units[unit].unit, &err), NR_BAD);
    for (size_t i = 0; i < m.rows; i++)
        m.value[m.columns][i] = NAN;
    m.unit[m.columns++] = unit;
}

static void append(nr_readings *r, size_t count)
{
    for (; count > 0 && m.rows < MOST_ROWS; count--) {
        double value[MOST_COLUMNS], before_s = m.rows ? m.elapsed_s[m.rows - 1] : -7;
        double utc_s = 1.7e9 + draw(100000) / 8.0;
        double elapsed_s = before_s + (1 + draw(4000)) / 8.0;
        for (size_t c = 0; c < m.columns; c++) {
            double given = draw(7) ? draw(10000) / 16.0 - 100 : NAN;
            value[c] = given;
            m.value[c][m.rows] = given * units[m.unit[c]].factor + units[m.unit[c]].zero;
        }
        if (m.rows && draw(20) == 0) /* not behind the row before: refused, and nothing is added */
            ck_assert_int_eq(nr_readings_append(r, utc_s, before_s - draw(2), value, &err), NR_BAD);
        if (nr_readings_append(r, utc_s, elapsed_s, value, &err) != NR_OK)
            ck_abort_msg("%s", err.text);
        m.utc_s[m.rows] = utc_s;
        m.elapsed_s[m.rows++] = elapsed_s;
    }
}

static void move_labels(nr_readings *r)
{
    double by_s = draw(100000) / 16.0;
    ck_assert_int_eq(nr_readings_move_labels(r, by_s, &err), NR_OK);
    for (size_t i = 0; i < m.rows; i++)
        m.utc_s[i] = round((m.utc_s[i] + by_s) * 1000) / 1000;
}

static void fill(nr_readings *r)
{
    double value = draw(1000) / 8.0;
    if (m.columns == 0)
        return;
    size_t c = draw((unsigned)m.columns);
    ck_assert_int_eq(nr_readings_fill(r, &r->column[c], value, &err), NR_OK);
    for (size_t i = 0; i < m.rows; i++)
        m.value[c][i] = value;
}

static void same(const nr_values *values, const double *wanted, const char *what)
{
    nr_cursor cursor;
    nr_cursor_begin(&cursor, values);
    for (size_t i = 0; i < m.rows; i++) {
        double is = nr_at(&cursor, i);
        if (isnan(wanted[i]) ? !isnan(is) : fabs(is - wanted[i]) > 1e-9)
            ck_abort_msg("%s, row %zu of %zu: %.12g, not %.12g", what, i, m.rows, is, wanted[i]);
    }
}

static void check(const nr_readings *r, bool packed)
{
    ck_assert(r->rows == m.rows && r->columns == m.columns);
    nr_values utc = nr_readings_utc(r), elapsed = nr_readings_elapsed(r);
    if (m.rows > 0) {
        same(&utc, m.utc_s, "time_utc");
        same(&elapsed, m.elapsed_s, "elapsed_s");
        NEAR(r->last_utc_s, m.utc_s[m.rows - 1], 1e-6);
        NEAR(r->last_elapsed_s, m.elapsed_s[m.rows - 1], 0);
    }
    for (size_t c = 0; c < m.columns; c++) {
        char name[10];
        snprintf(name, sizeof name, "c%zu", c);
        nr_values values = nr_readings_values(r, name), of = nr_column_values(&r->column[c]);
        if (m.rows > 0) {
            same(&values, m.value[c], name);
            same(&of, m.value[c], name);
        }
        ck_assert_str_eq(r->column[c].channel, name);
        ck_assert_str_eq(r->column[c].unit, units[m.unit[c]].unit);
        ck_assert(nr_readings_column(r, name) == &r->column[c]);
        ck_assert(packed ? !nr_readings_channel(r, name) && r->column[c].packed
                         : nr_readings_channel(r, name) == r->column[c].value);
    }
    nr_values none = nr_readings_values(r, "other");
    ck_assert(!nr_values_there(&none) && !nr_readings_column(r, "other") &&
              !nr_readings_channel(r, "other"));
}

START_TEST(drawn)
{
    state = 77;
    for (int round = 0; round < 30; round++) {
        nr_readings *r = nr_readings_new();
        bool packed = false, packs = round % 2;
        m.rows = m.columns = 0;
        add_column(r);
        for (int step = 0; step < 14; step++) {
            switch (draw(7)) {
            case 0:
                add_column(r);
                break;
            case 1:
                append(r, draw(3));
                break;
            case 2:
                append(r, 60 + draw(300));
                break;
            case 3:
                move_labels(r);
                break;
            case 4:
                fill(r);
                break;
            case 5:
                ck_assert_int_eq(nr_readings_reserve(r, draw(400), &err), NR_OK);
                break;
            default:
                if (packs && m.rows > 0) {
                    ck_assert_int_eq(nr_readings_pack(r, &err), NR_OK);
                    packed = true;
                }
                break;
            }
            check(r, packed);
        }
        nr_readings_free(r);
    }
}
END_TEST

/* Room that was asked for is there: rows up to it move nothing; the one behind it may. */
START_TEST(room)
{
    nr_readings *r = nr_readings_new();
    double value = 1;
    ck_assert_int_eq(nr_readings_add_column(r, "x", "", &err), NR_OK);
    ck_assert_int_eq(nr_readings_reserve(r, 100, &err), NR_OK);
    ck_assert_uint_eq(r->capacity, 100);
    const double *at = r->utc_s;
    for (int i = 0; i < 100; i++) {
        ck_assert_int_eq(nr_readings_append(r, 0, i, &value, &err), NR_OK);
        ck_assert(r->utc_s == at && r->capacity == 100);
    }
    ck_assert_int_eq(nr_readings_reserve(r, 100, &err), NR_OK);
    ck_assert(r->capacity == 100);
    ck_assert_int_eq(nr_readings_append(r, 0, 100, &value, &err), NR_OK);
    ck_assert_uint_eq(r->capacity, 200); /* twice as many */
    nr_readings_free(r);
}
END_TEST

/* From minus to plus thirty years, both of them included. */
START_TEST(ends_of_time)
{
    static const struct {
        double elapsed_s;
        nr_code code;
    } of[] = {{-1e9, NR_OK},        {1e9, NR_OK},  {-1.000001e9, NR_BAD},
              {1.000001e9, NR_BAD}, {NAN, NR_BAD}, {INFINITY, NR_BAD}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_readings *r = nr_readings_new();
        ck_assert_int_eq(nr_readings_append(r, 0, of[i].elapsed_s, NULL, &err), of[i].code);
        ck_assert_uint_eq(r->rows, of[i].code == NR_OK);
        nr_readings_free(r);
    }
}
END_TEST

/* Names and units that are none, and columns up to the most. */
START_TEST(columns)
{
    nr_readings *r = nr_readings_new();
    char name[100];
    ck_assert_int_eq(nr_readings_add_column(r, "", "degC", &err), NR_BAD);
    for (int length = 62; length < 66; length++) {
        snprintf(name, sizeof name, "%0*d", length, 0);
        ck_assert_int_eq(nr_readings_add_column(r, name, "", &err),
                         length < NR_NAME ? NR_OK : NR_BAD);
        snprintf(name, sizeof name, "u%0*d", length, 0);
        ck_assert_int_eq(nr_readings_add_column(r, "y", name, &err),
                         length + 1 < NR_NAME ? NR_OK : NR_BAD);
        r->columns -= length + 1 < NR_NAME;
    }
    ck_assert_int_eq(nr_readings_add_column(r, "store", "V", &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "degC, degF, K"));
    ck_assert_int_eq(nr_readings_add_column(r, "store", "rpm", &err), NR_BAD);
    ck_assert_int_eq(nr_readings_add_column(r, "store", "K", &err), NR_OK);
    ck_assert_str_eq(r->column[r->columns - 1].known->name, "degC");
    for (size_t i = r->columns; i < NR_READINGS_COLUMNS; i++) {
        snprintf(name, sizeof name, "c%zu", i);
        ck_assert_int_eq(nr_readings_add_column(r, name, "", &err), NR_OK);
    }
    ck_assert_int_eq(nr_readings_add_column(r, "one more", "", &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "more than 256"));
    nr_readings_free(r);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {drawn, room, ends_of_time, columns, NULL};
    return run_tests("tables_drawn", tests);
}
