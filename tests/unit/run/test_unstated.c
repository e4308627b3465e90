/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which questions a rig file leaves open, and each of them closed by the answer it names. */
#include "logger/run/unstated.h"

#include <check.h>
#include <stdlib.h>
#include <string.h>

static size_t asked(const char *text, nr_unstated out[NR_UNSTATEDS])
{
    nr_rig *rig = malloc(sizeof *rig);
    nr_err err = {.text = ""};
    ck_assert_msg(
        nr_rig_parse(text, strlen(text), "rig.ini", NR_RIG_FOR_READINGS, rig, NULL, &err) == NR_OK,
        "%s", err.text);
    size_t n = nr_rig_unstated(rig, out);
    free(rig);
    return n;
}

START_TEST(all_open)
{
    nr_unstated open[NR_UNSTATEDS];
    ck_assert_uint_eq(asked("[collector]\ngross_area_m2 = 1\n[store]\nwater_kg = 20\n"
                            "[channel store]\nunit = degC\n[channel air]\nunit = degC\n"
                            "[channel sun]\nunit = W_m2\n",
                            open),
                      NR_UNSTATEDS - 1); /* the water is stated */
    for (size_t i = 0; i < NR_UNSTATEDS - 1; i++)
        ck_assert(open[i] != NR_UNSTATED_WATER);
    ck_assert_uint_eq(nr_rig_unstated(NULL, open), NR_UNSTATEDS);
}
END_TEST

START_TEST(all_answered)
{
    nr_unstated open[NR_UNSTATEDS];
    ck_assert_uint_eq(
        asked("[collector]\ngross_area_m2 = 1\naim = followed\ndew = no\nback = plywood 6 mm\n"
              "[store]\nwater_kg = 20\nu_water_kg = 0.2\nwater_end_kg = 19.8\nlid = yes\npump_W = 3\n"
              "[channel store]\nunit = degC\nu_drift = 0.05\n[channel inlet]\nunit = degC\n"
              "kind = one-wire\n[channel air]\nunit = degC\nshaded = no\n"
              "[channel sun]\nunit = W_m2\nplane = horizontal\n",
              open),
        0);
}
END_TEST

/* A constant has no plane and no shade. */
START_TEST(stated_numbers)
{
    nr_unstated open[NR_UNSTATEDS];
    size_t n = asked("[collector]\ngross_area_m2 = 1\n[store]\nwater_kg = 20\n"
                     "[channel store]\nunit = degC\n"
                     "[channel air]\nunit = degC\nconvert = stated\nvalue = 20\n"
                     "[channel sun]\nunit = W_m2\nconvert = stated\nvalue = 850\n",
                     open);
    for (size_t i = 0; i < n; i++)
        ck_assert(open[i] != NR_UNSTATED_PLANE && open[i] != NR_UNSTATED_SHADED);
    ck_assert_uint_eq(n, 8);
}
END_TEST

/* A pump's power that is recorded need not be stated; its voltage is no power. */
START_TEST(a_pump_that_is_recorded)
{
    static const char *const units[] = {"W", "V"};
    for (int k = 0; k < 2; k++) {
        char text[300];
        nr_unstated open[NR_UNSTATEDS];
        snprintf(text, sizeof text,
                 "[collector]\ngross_area_m2 = 1\n[store]\nwater_kg = 20\n"
                 "[channel pump]\nunit = %s\n[channel air]\nunit = degC\n",
                 units[k]);
        size_t n = asked(text, open);
        bool pump = false;
        for (size_t i = 0; i < n; i++)
            pump = pump || open[i] == NR_UNSTATED_PUMP;
        ck_assert_msg(pump == (k == 1), "%s", units[k]);
    }
}
END_TEST

START_TEST(worded)
{
    for (int i = 0; i < NR_UNSTATEDS; i++) {
        const char *question = nr_unstated_question((nr_unstated)i);
        ck_assert(question[strlen(question) - 1] == '?');
        ck_assert(strstr(nr_unstated_answer((nr_unstated)i), " in [") != NULL);
        ck_assert(strlen(question) + strlen(nr_unstated_answer((nr_unstated)i)) < 135);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("unstated");
    TCase *tc = tcase_create("unstated");
    tcase_add_test(tc, all_open);
    tcase_add_test(tc, all_answered);
    tcase_add_test(tc, stated_numbers);
    tcase_add_test(tc, a_pump_that_is_recorded);
    tcase_add_test(tc, worded);
    suite_add_tcase(suite, tc);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? 1 : 0;
}
