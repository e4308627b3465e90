/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every warning and every finding has a code and a wording, and all blanks of it are numbers it
 * has. */
#include "analyze/joint/term.h"
#include "tests/unit/tell/said.h"

static bool is_code(const char *name)
{
    return name[0] != '\0' && name[strspn(name, "abcdefghijklmnopqrstuvwxyz-")] == '\0';
}

/* Words that number as many as a choice may have, so that each is met. */
#define CHOICES 6

START_TEST(warnings)
{
    for (int code = 0; code < NR_WARN_COUNT; code++) {
        ck_assert_msg(is_code(nr_warning_name((nr_warning_code)code)), "code %d", code);
        for (int k = 0; k < CHOICES; k++) {
            nr_warnings all = {.assumed_count = 2,
                               .assumed = {{"air sensor, offset", "K", 0.5}, {"flow", "", 0.02}}};
            nr_warning w = {.code = (nr_warning_code)code,
                            .about = "a folder",
                            .other = "store",
                            .number = {k, k, k, k}};
            for (nr_units units = NR_UNITS_SI; units <= NR_UNITS_US; units++) {
                char text[NR_TELL];
                nr_tell_warning(text, sizeof text, &w, &all, units);
                ck_assert_str_ne(text, "");
                is_said(text, units);
            }
        }
    }
}
END_TEST

START_TEST(findings)
{
    for (int code = 0; code < NR_FIND_COUNT; code++) {
        ck_assert_msg(is_code(nr_finding_name((nr_finding_code)code)), "code %d", code);
        for (int k = 0; k < CHOICES; k++) {
            nr_finding f = {.code = (nr_finding_code)code,
                            .channel = "air",
                            .number = {k, k, k},
                            .dimension = NR_DIM_TEMPERATURE};
            for (nr_units units = NR_UNITS_SI; units <= NR_UNITS_US; units++) {
                char text[NR_TELL];
                nr_tell_finding(text, sizeof text, &f, units);
                ck_assert_str_ne(text, "");
                is_said(text, units);
                nr_tell_finding_advice(text, sizeof text, &f, units);
                ck_assert_str_ne(text, "");
                is_said(text, units);
            }
        }
    }
}
END_TEST

/* Of several answers each reason says whose it is, however short the name. */
START_TEST(whose_reason)
{
    static const char *const names[] = {"", "A", "Glazed wash stand"};
    char alone[NR_TELL], text[NR_TELL], expected[2 * NR_TELL];
    nr_trust_reason r = {.code = NR_TRUST_GAIN_LITTLE, .number = {0.2, 0.1, 0.3}};
    nr_tell_trust(alone, sizeof alone, &r, NR_UNITS_SI);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        snprintf(r.whose, sizeof r.whose, "%s", names[i]);
        nr_tell_trust(text, sizeof text, &r, NR_UNITS_SI);
        snprintf(expected, sizeof expected, "%s%s%s", names[i], names[i][0] ? ": " : "", alone);
        ck_assert_str_eq(text, expected);
    }
}
END_TEST

START_TEST(the_list_of_assumed)
{
    nr_warnings all = {
        .assumed_count = 2,
        .assumed = {{"air sensor, offset", "K", 0.5}, {"flow sensor, gain", "", 0.02}}};
    nr_warning w = {.code = NR_WARN_ASSUMED_UNCERTAINTY};
    char text[NR_TELL];
    nr_tell_warning(text, sizeof text, &w, &all, NR_UNITS_SI);
    ck_assert_ptr_nonnull(strstr(text, ": air sensor, offset 0.5 K; flow sensor, gain 2 %. Give"));
    nr_tell_warning(text, sizeof text, &w, &all, NR_UNITS_US);
    ck_assert_ptr_nonnull(
        strstr(text, ": air sensor, offset 0.9 degF; flow sensor, gain 2 %. Give"));
}
END_TEST

/* Whatever may stand in the budget has something to be done about it, also where the rig file could
 * state it, and that is another thing than what helps where it does. */
START_TEST(every_term_has_its_action)
{
    for (int term = 0; term <= NR_TERMS; term++) {
        nr_budget_item item = {.term = term}, asked = {.term = term, .ask = "lid in [store]"};
        ck_assert_msg(nr_cause_action(&item)[0] != '\0', "term %d", term);
        ck_assert_msg(nr_cause_action(&asked)[0] != '\0', "term %d, not stated", term);
    }
    nr_budget_item pump = {.term = NR_TERM_LN_PUMP, .ask = "pump_W in [store]"};
    ck_assert_str_eq(nr_cause_action(&pump), "state pump_W in rig.ini");
    pump.ask[0] = '\0';
    ck_assert_str_eq(nr_cause_action(&pump), "the pump's power measured");
    nr_budget_item meter = {.term = NR_TERM_LN_FLOW};
    ck_assert_str_eq(nr_cause_action(&meter), "flow by bucket, scales and watch");
    meter.variant = 1; /* flow (not measured) */
    ck_assert_str_eq(nr_cause_action(&meter), "a flow meter");
    ck_assert_str_eq(nr_cause_action(&(nr_budget_item){.term = -1}), "");
    ck_assert_str_eq(nr_cause_action(&(nr_budget_item){.term = NR_TERMS + 1}), "");
}
END_TEST

/* The check itself sees what it looks for. */
START_TEST(an_si_unit_is_seen)
{
    ck_assert_str_eq(si_unit_in("goes from 12 K to 14 degF"), "K");
    ck_assert_str_eq(si_unit_in("in 900 W/m2."), "W/m2");
    ck_assert_ptr_null(si_unit_in("317 Btu/(h ft2), class K, 3 more"));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        warnings,           findings, the_list_of_assumed, whose_reason, every_term_has_its_action,
        an_si_unit_is_seen, NULL};
    return run_tests("wordings", tests);
}
