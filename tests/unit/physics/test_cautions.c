/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cautions: the table as published, and that they are said when they matter and only then. */
#include "analyze/physics/cautions.h"
#include "tests/unit/near.h"

START_TEST(scald_table)
{
    /* Public safety pages that repeat the US CPSC's tap-water sheet and the burn-prevention tables
     * (the sheet itself was not at hand): degF, shortest time in seconds. */
    static const double published[][2] = {{120, 300}, {125, 90}, {130, 30},
                                          {135, 10},  {140, 5},  {150, 2}};
    for (int i = 0; i < NR_SCALD_ROWS; i++) {
        NEAR(nr_scald_table[i].degF, published[i][0], 0);
        NEAR(nr_scald_table[i].degC, (published[i][0] - 32) / 1.8, 0.05);
        NEAR(nr_scald_table[i].seconds, published[i][1], 0);
        NEAR(nr_scald_seconds(nr_scald_table[i].degC), published[i][1], 1e-9);
    }
    double last = INFINITY;
    for (double t = 48.9; t < 70; t += 0.05) { /* hotter is never safer */
        ck_assert_double_le(nr_scald_seconds(t), last);
        last = nr_scald_seconds(t);
    }
    ck_assert(isinf(nr_scald_seconds(45)));
    ck_assert(isnan(nr_scald_seconds(NAN)));
    NEAR(nr_scald_seconds(90), 2, 0);
}
END_TEST

START_TEST(scald_sentence)
{
    char text[300];
    ck_assert(!nr_caution_scald(48, false, text, sizeof text));
    ck_assert_str_eq(text, "");
    ck_assert(!nr_caution_scald(NAN, false, text, sizeof text));
    ck_assert(nr_caution_scald(49, false, text, sizeof text));
    ck_assert(nr_caution_scald((120 - 32) / 1.8, true, text, sizeof text));
    ck_assert_ptr_nonnull(strstr(text, "120 \u00b0F"));
    ck_assert_ptr_nonnull(strstr(text, "5 minutes"));
    ck_assert(nr_caution_scald(60, false, text, sizeof text));
    ck_assert_ptr_nonnull(strstr(text, "60 \u00b0C"));
    ck_assert_ptr_nonnull(strstr(text, "5 seconds"));
    ck_assert(nr_caution_scald(80, false, text, sizeof text));
    ck_assert_ptr_nonnull(strstr(text, "less than 2 seconds"));
    /* A minute and a half, that of 125 degF, is the least that is told in minutes; the table's last
     * row is still "about". */
    ck_assert(nr_caution_scald(nr_scald_table[1].degC, false, text, sizeof text));
    ck_assert_ptr_nonnull(strstr(text, "about 2 minutes"));
    ck_assert(nr_caution_scald(nr_scald_table[1].degC + 0.1, false, text, sizeof text));
    ck_assert_ptr_nonnull(strstr(text, " seconds"));
    ck_assert(nr_caution_scald(nr_scald_table[NR_SCALD_ROWS - 1].degC, false, text, sizeof text));
    ck_assert_ptr_nonnull(strstr(text, "about 2 seconds"));
}
END_TEST

START_TEST(legionella_sentence)
{
    /* WHO and health agencies: grows between 20-25 and 45 degC, stored hot water 60. */
    char text[300];
    ck_assert(!nr_caution_legionella(15, false, text, sizeof text));
    ck_assert(!nr_caution_legionella(60, false, text, sizeof text));
    ck_assert(!nr_caution_legionella(NAN, false, text, sizeof text));
    ck_assert(nr_caution_legionella(38, false, text, sizeof text));
    ck_assert_ptr_nonnull(strstr(text, "60 \u00b0C"));
    ck_assert(nr_caution_legionella(38, true, text, sizeof text));
    ck_assert_ptr_nonnull(strstr(text, "140 \u00b0F"));
}
END_TEST

START_TEST(standing_cautions)
{
    for (int i = 0; i < NR_CAUTIONS; i++)
        ck_assert_uint_gt(strlen(nr_caution_text((nr_caution)i)), 40);
    ck_assert_ptr_nonnull(strstr(nr_caution_text(NR_CAUTION_CLOSED_LOOP), "closed at both ends"));
    ck_assert_ptr_null(nr_caution_text(NR_CAUTIONS));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {scald_table, scald_sentence, legionella_sentence,
                                  standing_cautions, NULL};
    return run_tests("cautions", tests);
}
