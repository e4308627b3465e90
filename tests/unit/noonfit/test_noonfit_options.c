/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonfit's command lines: the limits of every number, how many words a command takes, and what
 * does not go together. The limits are what a person could mean; they stand here once more. */
#include "analyze/noonfit/commands.h"

#include "analyze/joint/joint.h"
#include "analyze/noonfit/repeat.h"
#include "tests/unit/command_run.h"

/* main.c's table, for `check`. */
const nr_command *nr_noonfit_command(const char *name)
{
    return strcmp(name, "fit") ? NULL : &nr_cmd_fit;
}

START_TEST(numbers)
{
    static const option_limits of[] = {
        {&nr_cmd_predict, "sun", "49.9", "50", "1500", "1501"},
        {&nr_cmd_predict, "wind", "-0.1", "0", "50", "50.1"},
        {&nr_cmd_predict, "water", "0.09", "0.1", "10000", "10001"},
        {&nr_cmd_predict, "area", "0.009", "0.01", "1000", "1001"},
        {&nr_cmd_predict, "store-loss", "-0.1", "0", "1000", "1001"},
        {&nr_cmd_predict, "latitude", "-90.1", "-90", "90", "90.1"},
        {&nr_cmd_predict, "longitude", "-180.1", "-180", "180", "180.1"},
        {&nr_cmd_predict, "elevation", "-431", "-430", "6000", "6001"},
        {&nr_cmd_predict, "tilt", "-0.1", "0", "90", "90.1"},
        {&nr_cmd_predict, "azimuth", "-0.1", "0", "360", "360.1"},
        {&nr_cmd_predict, "within", "59s", "60s", "7d", "604801s"},
        {&nr_cmd_predict, "u-sun", "-0.1", "0", "100", "100.1"},
        {&nr_cmd_predict, "u-air", "-0.1", "0", "30", "30.1"},
        {&nr_cmd_size, "each", "0.09", "0.1", "1000", "1001"},
        {&nr_cmd_season, "price", "-0.1", "0", "1e7", "10000001"},
        {&nr_cmd_season, "draws", "19", "20", "10000", "10001"},
        {&nr_cmd_season, "seed", "-1", "0", "2147483647", "2147483648"},
        {&nr_cmd_fit, "monte-carlo", "19", "20", "1000000", "1000001"},
        {&nr_cmd_fit, "seed", "-1", "0", "2147483647", "2147483648"},
        {&nr_cmd_budget, "monte-carlo", "19", "20", "1000000", "1000001"},
        {&nr_cmd_budget, "seed", "-1", "0", "2147483647", "2147483648"},
        {&nr_cmd_inspect, "every", "0.9s", "1s", "1d", "86401s"},
        {&nr_cmd_plan, "for", "599s", "600s", "12h", "43201s"},
        {&nr_cmd_plan, "loss", "0.49", "0.5", "60", "60.1"},
        {&nr_cmd_pump, "coil", "9.9", "10", "20000", "20001"},
        {&nr_cmd_sheet, "every", "9.9s", "10s", "1d", "86401s"},
        {&nr_cmd_tally, "tilt", "-0.1", "0", "90", "90.1"},
        {&nr_cmd_tally, "azimuth", "-0.1", "0", "360", "360.1"},
        {&nr_cmd_tally, "elevation", "-431", "-430", "6000", "6001"},
        {&nr_cmd_tally, "seed", "-1", "0", "2147483647", "2147483648"}};
    options_within(of, sizeof of / sizeof *of);
}
END_TEST

START_TEST(words)
{
    words_within(&nr_cmd_inspect, 1, 1);
    words_within(&nr_cmd_fit, 1, NR_ANY_NUMBER);
    words_within(&nr_cmd_compare, 1, NR_JOINT_RUNS);
    words_within(&nr_cmd_predict, 1, NR_ANY_NUMBER);
    words_within(&nr_cmd_size, 1, NR_ANY_NUMBER);
    words_within(&nr_cmd_season, 1, NR_ANY_NUMBER);
    words_within(&nr_cmd_pump, 1, NR_ANY_NUMBER);
    words_within(&nr_cmd_plan, 1, 1);
    words_within(&nr_cmd_sheet, 1, 1);
    words_within(&nr_cmd_report, 1, NR_ANY_NUMBER);
    words_within(&nr_cmd_card, 1, NR_ANY_NUMBER);
    words_within(&nr_cmd_list, 1, NR_ANY_NUMBER);
    words_within(&nr_cmd_budget, 1, NR_ANY_NUMBER);
    words_within(&nr_cmd_check, 1, 1);
    words_within(&nr_cmd_tally, 0, 0);
}
END_TEST

#define USAGE(words, command, ...)                                                                 \
    do {                                                                                           \
        ENDS(NR_BAD, &nr_cmd_##command, "", __VA_ARGS__);                                          \
        SAYS(command_error(), words);                                                              \
        SAYS(command_error(), "see `noonfit " #command " --help`");                                \
    } while (0)
/* Its command line is good: what is wrong is that there is no such folder. */
#define NO_FILE(command, ...)                                                                      \
    do {                                                                                           \
        ENDS(NR_BAD, &nr_cmd_##command, "", __VA_ARGS__);                                          \
        SAYS_NOT(command_error(), "--help");                                                       \
        SAYS(said.err.file, "nowhere");                                                            \
    } while (0)

START_TEST(what_does_not_go_together)
{
    static const char nothing[] = "--store-only and --loop-only together leave nothing to fit";
    NO_FILE(fit, "nowhere", "--store-only", "--json");
    NO_FILE(fit, "nowhere", "--loop-only", "--csv");
    USAGE(nothing, fit, "nowhere", "--loop-only", "--store-only");
    USAGE("--json or --csv, not both", fit, "nowhere", "--csv", "--json");
    NO_FILE(budget, "nowhere", "--store-only");
    NO_FILE(budget, "nowhere", "--loop-only");
    USAGE(nothing, budget, "nowhere", "--loop-only", "--store-only");
    USAGE("--json or --csv, not both", compare, "nowhere", "x", "--csv", "--json");
    USAGE("--json or --csv, not both", list, "nowhere", "--csv", "--json");
    NO_FILE(inspect, "nowhere");
    NO_FILE(inspect, "nowhere", "--every", "5s", "--plot", "x.svg");
    USAGE("--every redraws a picture", inspect, "nowhere", "--every", "5s");
    NO_FILE(season, "nowhere", "--weather", "nowhere.epw");
    USAGE("name the year: --weather FILE", season, "nowhere");
    NO_FILE(card, "nowhere", "-o", "x.png");
    USAGE("name the picture to write", card, "nowhere");
    NO_FILE(report, "nowhere", "-o", "x.html");
    USAGE("name the page to write", report, "nowhere");
    NO_FILE(sheet, "nowhere.ini", "-o", "x.pdf");
    USAGE("name the sheet to write", sheet, "nowhere.ini");
    NO_FILE(plan, "nowhere.ini");
    NO_FILE(predict, "nowhere");
    NO_FILE(size, "nowhere");
    NO_FILE(pump, "nowhere");
    NO_FILE(check, "nowhere.manifest");
}
END_TEST

START_TEST(units_shown)
{
    static nr_rig rig;
    nr_common c = {.units = 2};
    setenv("LC_ALL", "C.UTF-8", 1); /* no country: the metric system */
    unsetenv("LC_MEASUREMENT");
    snprintf(rig.units, sizeof rig.units, "si");
    ck_assert_int_eq(nr_common_units(&c, &rig), NR_UNITS_US);
    c.units = 1;
    snprintf(rig.units, sizeof rig.units, "us");
    ck_assert_int_eq(nr_common_units(&c, &rig), NR_UNITS_SI);
    c.units = 0;
    ck_assert_int_eq(nr_common_units(&c, &rig), NR_UNITS_US);
    snprintf(rig.units, sizeof rig.units, "si");
    ck_assert_int_eq(nr_common_units(&c, &rig), NR_UNITS_SI);
    ck_assert_int_eq(nr_common_units(&c, NULL), NR_UNITS_SI);
}
END_TEST

/* An answer that is withheld says its first doubt, unless it is asked for all the same; one that is
 * only doubtful is given. */
START_TEST(withheld)
{
    static nr_trust t = {.count = 1};
    nr_err err = {.text = ""};
    t.reason[0] = (nr_trust_reason){.code = NR_TRUST_HALVES, .number = {0.4, 600, 0, 0}};
    ck_assert_int_eq(nr_withhold(&t, false, NR_UNITS_SI, &err), NR_OK);
    t.reason[0].withholds = true;
    ck_assert_int_eq(nr_withhold(&t, false, NR_UNITS_SI, &err), NR_CANNOT);
    SAYS(err.text, "the answer is withheld: ");
    SAYS(err.text, "(--anyway gives it all the same)");
    ck_assert_int_eq(nr_withhold(&t, true, NR_UNITS_SI, &err), NR_OK);
    t.count = 0;
    ck_assert_int_eq(nr_withhold(&t, false, NR_UNITS_SI, &err), NR_OK);
}
END_TEST

/* Only a fault is blamed, and no missing channel, which the error names itself. */
START_TEST(blamed)
{
    static nr_inspect x = {.findings = 1};
    nr_err err = {.text = ""};
    snprintf(x.folder, sizeof x.folder, "evening");
    x.finding[0].code = NR_FIND_GAPS;
    x.finding[0].severity = NR_SEVERITY_DOUBT;
    ck_assert(!nr_blame_finding(&x, NR_UNITS_SI, &err));
    x.finding[0].severity = NR_SEVERITY_FAULT;
    ck_assert(nr_blame_finding(&x, NR_UNITS_SI, &err));
    ck_assert_int_eq(err.code, NR_CANNOT);
    ck_assert_str_eq(err.file, "evening");
    x.finding[0].code = NR_FIND_MISSING_CHANNEL;
    ck_assert(!nr_blame_finding(&x, NR_UNITS_SI, &err));
    x.finding[0].code = NR_FIND_GAPS;
    x.findings = 0;
    ck_assert(!nr_blame_finding(&x, NR_UNITS_SI, &err));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {numbers, words, what_does_not_go_together, units_shown, withheld,
                                  blamed,  NULL};
    return run_tests("options of noonfit", tests);
}
