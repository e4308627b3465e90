/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `noonfit season` as text: each number stands in the row and the column that it belongs to. Every
 * number here is another one. */
#include "analyze/season/season.h"
#include "analyze/show/season.h"
#include "tests/unit/near.h"

static char *text;
static nr_fit fit;
static nr_season season;
static nr_season_gain gain[NR_CHANGES];

static void said(const char *words)
{
    ck_assert_msg(strstr(text, words) != NULL, "\"%s\" is not in:\n%s", words, text);
}

static void unsaid(const char *words)
{
    ck_assert_msg(strstr(text, words) == NULL, "\"%s\" is in:\n%s", words, text);
}

static void show(nr_units units, const nr_season_gain *changes)
{
    size_t size;
    free(text);
    FILE *to = open_memstream(&text, &size);
    nr_show_season(to, &season, changes, NAN, units);
    fclose(to);
}

static void set_up(void)
{
    text = NULL;
    season = (nr_season){.fit = &fit,
                         .asked = nr_season_open(),
                         .format = "EPW",
                         .years = 1,
                         .days = 365,
                         .reached = {200, 180, 215, NAN, NAN},
                         .uses = {500, 400, 600, NAN, NAN}};
    season.asked.to_degC = 40;
    season.asked.start_s = 9.5 * 3600;
    season.asked.by_s = 17.75 * 3600;
    season.asked.from_degC = NAN;
    for (int k = 0; k < NR_SEASON_MONTHS; k++) {
        double n = 30 - k;
        season.month[k] = (nr_season_month){.days = (size_t)(31 - k),
                                            .reached = {n - 1, n - 3, n, n - 6, n + 1},
                                            .uses = {100 + 10 * k, 0, 0, 0, 0},
                                            .warmest_degC = 40 + k};
    }
    for (int k = 0; k < NR_CHANGES; k++)
        gain[k] = (nr_season_gain){.change = (nr_season_change)k,
                                   .possible = k != 3,
                                   .reached = 10 * k + 2,
                                   .lo95 = k == 0 ? -4 : 10 * k + 1,
                                   .hi95 = 10 * k + 7,
                                   .uses = 100 * k + 5,
                                   .heat_kWh = 1000 * k + 8};
}

START_TEST(months_in_their_columns)
{
    show(NR_UNITS_SI, NULL);
    said("  Jan      31       29    27 .. 30        24 .. 31         100       40\n");
    said("  Dec      20       18    16 .. 19        13 .. 20         210       51\n");
    said("mean of the days, degC");
    unsaid("a change would bring");
    said("(EPW). Filled at the mean air of the day every\nday at 9:30 solar time, until 17:45.");
    season.month[1].days = 0; /* the table has none of them */
    season.month[2].reached.year_lo95 = NAN;
    season.asked.from_degC = 12;
    show(NR_UNITS_US, NULL);
    unsaid("  Feb ");
    said("  Mar      29       27    25 .. 28      -                  120      108\n");
    said("Filled at 54 degF every day");
}
END_TEST

START_TEST(changes_in_their_columns)
{
    show(NR_UNITS_SI, gain);
    said("  +2  -4 .. +7         +5     +8\n");
    said(" +12  +11 .. +17     +105  +1008\n");
    said(" +82  +81 .. +87     +805  +8008\n");
    unsaid(" +32 "); /* it is so already */
}
END_TEST

START_TEST(holes_are_counted)
{
    show(NR_UNITS_SI, gain);
    unsaid("missing values");
    season.holes = 1;
    show(NR_UNITS_SI, gain);
    said("1 missing value was filled from the hours beside it.");
    season.holes = 2;
    show(NR_UNITS_SI, gain);
    said("2 missing values were filled from the hours beside them.");
}
END_TEST

static void tear_down(void)
{
    free(text);
}

int main(void)
{
    Suite *s = suite_create("season as text");
    TCase *t = tcase_create("season");
    tcase_add_checked_fixture(t, set_up, tear_down);
    tcase_add_test(t, months_in_their_columns);
    tcase_add_test(t, changes_in_their_columns);
    tcase_add_test(t, holes_are_counted);
    suite_add_tcase(s, t);
    return run_suite(s);
}
