/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cautions, from both sides of each limit: who must be warned is, who need not be is not. The
 * scald table's first row is 48.9 degC, five minutes (physics/cautions.h names its source);
 * Legionella grow between 20 and 45 degC (the same). */
#include "analyze/fit/safety.h"

#include "analyze/physics/cautions.h"
#include "tests/unit/near.h"

static nr_warnings seen;

static const nr_warning *warning(nr_warning_code code)
{
    for (size_t i = 0; i < seen.count; i++)
        if (seen.item[i].code == code)
            return &seen.item[i];
    return NULL;
}

static void water_of(double value, double hi95)
{
    nr_quantity q = {.known = true, .value = value, .lo95 = value - 1, .hi95 = hi95};
    seen = (nr_warnings){0};
    nr_safety_water(&seen, &q);
}

START_TEST(scalding)
{
    water_of(45.1, 48.7);
    ck_assert_ptr_null(warning(NR_WARN_SCALD));
    water_of(45.1, 48.9); /* it may be so hot */
    const nr_warning *w = warning(NR_WARN_SCALD);
    ck_assert_ptr_nonnull(w);
    NEAR(w->number[0], 48.9, 1e-9);
    NEAR(w->number[1], 300, 1e-6);
    NEAR(w->number[2], 1, 0);
    water_of(NR_SCALD_FROM_DEGC, 52); /* it will: then that is what is said */
    w = warning(NR_WARN_SCALD);
    NEAR(w->number[0], NR_SCALD_FROM_DEGC, 1e-9);
    NEAR(w->number[2], 0, 0);
    water_of(48.7, NAN); /* no interval: the best estimate */
    ck_assert_ptr_null(warning(NR_WARN_SCALD));
    water_of(48.9, NAN);
    ck_assert_ptr_nonnull(warning(NR_WARN_SCALD));
    double end = nr_scald_table[NR_SCALD_ROWS - 1].degC;
    water_of(end, end);
    ck_assert(warning(NR_WARN_SCALD)->number[1] > 0);
    water_of(end + 0.1, end + 1); /* hotter than the table tells */
    NEAR(warning(NR_WARN_SCALD)->number[1], 0, 0);
    nr_quantity unknown = {.known = false, .value = 70, .hi95 = 80};
    seen = (nr_warnings){0};
    nr_safety_water(&seen, &unknown);
    ck_assert_uint_eq(seen.count, 0);
}
END_TEST

START_TEST(boiling_and_lukewarm)
{
    static const struct {
        double value, hi95;
        bool boiling, lukewarm;
    } rows[] = {{80, 94.9, false, false}, {80, 95.1, true, false}, {24.9, 30, false, false},
                {25, 30, false, true},    {45, 46, false, true},   {45.1, 46, false, false}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        water_of(rows[i].value, rows[i].hi95);
        ck_assert_msg((warning(NR_WARN_BOILING) != NULL) == rows[i].boiling, "row %zu", i);
        ck_assert_msg((warning(NR_WARN_LEGIONELLA) != NULL) == rows[i].lukewarm, "row %zu", i);
    }
}
END_TEST

START_TEST(a_dry_collector)
{
    static nr_fit fit;
    for (int side = 0; side < 2; side++) {
        fit.stagnation_K =
            (nr_quantity){.known = true, .value = side ? 40 : 39.9, .lo95 = 30, .hi95 = 50};
        seen = (nr_warnings){0};
        nr_safety_stagnation(&seen, &fit);
        ck_assert((warning(NR_WARN_STAGNATION) != NULL) == side);
    }
    NEAR(warning(NR_WARN_STAGNATION)->number[1], 30, 0);
    NEAR(warning(NR_WARN_STAGNATION)->number[2], 50, 0);
}
END_TEST

/* Two rows: hot and flowing, and one that is set. */
START_TEST(a_hot_box_without_flow)
{
    static const struct {
        double box, flow;
        bool warned;
    } rows[] = {{59.9, 0, false}, {60, 0, true}, {70, 0.049, true}, {70, 0.051, false}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        nr_err err = {0};
        nr_readings *r = nr_readings_new();
        ck_assert_int_eq(nr_readings_add_column(r, "box", "degC", &err), NR_OK);
        ck_assert_int_eq(nr_readings_add_column(r, "flow", "L_min", &err), NR_OK);
        const double flows[] = {90, 1}, set[] = {rows[i].box, rows[i].flow};
        ck_assert_int_eq(nr_readings_append(r, 1e9, 0, flows, &err), NR_OK);
        ck_assert_int_eq(nr_readings_append(r, 1e9, 1, set, &err), NR_OK);
        nr_run run = {.readings = r};
        seen = (nr_warnings){0};
        nr_safety_closed_loop(&seen, &run);
        const nr_warning *w = warning(NR_WARN_CLOSED_LOOP);
        ck_assert_msg((w != NULL) == rows[i].warned, "row %zu", i);
        if (w)
            NEAR(w->number[0], rows[i].box, 0);
        nr_readings_free(r);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {scalding, boiling_and_lukewarm, a_dry_collector,
                                  a_hot_box_without_flow, NULL};
    return run_tests("safety", tests);
}
