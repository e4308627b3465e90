/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How answers leave noonfit: one collector or several, as text, JSON or CSV, with and without a
 * fault in front; the sheet's paper and table. Of the sample runs, and of what cannot be answered.
 */
#include "analyze/noonfit/commands.h"

#include "tests/unit/command_run.h"

const nr_command *nr_noonfit_command(const char *name);
const nr_command *nr_noonfit_command(const char *name)
{
    (void)name;
    return NULL;
}

static const char *sample(const char *name)
{
    static char path[4][300];
    static unsigned turn;
    char *to = path[turn++ % 4];
    snprintf(to, sizeof path[0], "%s/../../sample-runs/%s", TEST_DATA, name);
    return to;
}

static void set_up(void)
{
    setenv("TZ", "UTC", 1);
    scratch_make();
}

/* How often it is said. */
static int times(const char *text, const char *words)
{
    int n = 0;
    for (; (text = strstr(text, words)) != NULL; text += strlen(words))
        n++;
    return n;
}

START_TEST(inspected)
{
    ENDS(NR_OK, &nr_cmd_inspect, "", sample("wash-stand-glazed"), "--units", "si");
    SAYS_NOT(said.out, "refuses this record");
    ENDS(NR_OK, &nr_cmd_inspect, "", sample("wash-stand-glazed"), "--json");
    ck_assert_int_eq(said.out[0], '{');
    const char *two = sample("wash-stand-side-by-side");
    ENDS(NR_OK, &nr_cmd_inspect, "", two, "--json");
    ck_assert_int_eq(times(said.out, "\"findings\": "), 2);
    ENDS(NR_BAD, &nr_cmd_inspect, "", two, "--plot", in_scratch("x.svg"));
    SAYS(said.err.text, "a picture is of one collector: --collector NAME");
    ck_assert_int_ne(access(in_scratch("x.svg"), F_OK), 0);
    char both[700];
    snprintf(both, sizeof both, "%s,%s", sample("wash-stand-glazed"), sample("wash-stand-bare"));
    ENDS(NR_BAD, &nr_cmd_inspect, "", both);
    SAYS(said.err.text, "name one run folder");
}
END_TEST

START_TEST(fitted)
{
    ENDS(NR_OK, &nr_cmd_fit, "", sample("wash-stand-glazed"), "--units", "si");
    const char *two = sample("wash-stand-side-by-side");
    ENDS(NR_OK, &nr_cmd_fit, "", two, "--csv");
    ck_assert_int_ge(times(said.out, "\n"), 3); /* head and two */
    ENDS(NR_BAD, &nr_cmd_fit, "", two, "--plot", in_scratch("x.svg"));
    SAYS(said.err.text, "a picture is of one collector");
    ENDS(NR_BAD, &nr_cmd_fit, "", two, "--budget-plot", in_scratch("x.svg"));
    ENDS(NR_BAD, &nr_cmd_fit, "", two, "--energy-plot", in_scratch("x.svg"));
    ENDS(NR_BAD, &nr_cmd_fit, "", sample("wash-stand-glazed"), sample("wash-stand-bare"));
    SAYS(said.err.text, "different collectors");
    ENDS(NR_CANNOT, &nr_cmd_fit, "", sample("wash-stand-glazed"), "--write", in_scratch("rig.ini"));
    SAYS(said.err.text, "--write is for one cool-down");
}
END_TEST

/* A cool-down's loss goes into [store], in SI, and what stood there in other units goes. */
START_TEST(cooled)
{
    const char *run = sample("wash-stand-glazed-cool-down");
    char *own = scratch_file("own.ini", "[collector]\ngross_area_m2 = 1.5\n[store]\nwater_kg = 40\n"
                                        "loss_Btu_h_degF = 3\n[channel store]\nunit = degC\n");
    ENDS(NR_OK, &nr_cmd_fit, "", run, "--write", own, "--units", "si");
    SAYS(said.text, "are in [store] of");
    SAYS(scratch_read("own.ini"), "\nloss_W_K = ");
    SAYS(scratch_read("own.ini"), "\nu_loss_W_K = ");
    SAYS_NOT(scratch_read("own.ini"), "Btu");
    ENDS(NR_OK, &nr_cmd_fit, "", run, "--json");
    ck_assert_int_eq(said.out[0], '{');
    own =
        scratch_file("two.ini", "[collector left]\ngross_area_m2 = 1\n[store left]\nwater_kg = 40\n"
                                "[collector right]\ngross_area_m2 = 1\n[store right]\n"
                                "water_kg = 40\n[channel a]\nunit = degC\nrole = store\n"
                                "of = left\n[channel b]\nunit = degC\nrole = store\nof = right\n");
    ENDS(NR_BAD, &nr_cmd_fit, "", run, "--write", own);
    SAYS(said.err.text, "has no collector");
    ENDS(NR_BAD, &nr_cmd_fit, "", run, "--write", in_scratch("none.ini"));
}
END_TEST

START_TEST(listed)
{
    ENDS(NR_OK, &nr_cmd_list, "", sample("wash-stand-glazed"), "--csv");
    ck_assert_int_eq(times(said.out, "\n"), 2);
    ENDS(NR_OK, &nr_cmd_list, "", sample("wash-stand-glazed"), "--json");
    SAYS(said.out, "wash-stand-glazed");
    ENDS(NR_OK, &nr_cmd_list, "", sample("wash-stand-glazed"), "--units", "si");
    SAYS(said.out, "wash-stand-glazed");
}
END_TEST

START_TEST(budgets)
{
    const char *run = sample("wash-stand-glazed");
    ENDS(NR_OK, &nr_cmd_budget, "", run, "--csv", "-");
    int both = times(said.out, "\n");
    ENDS(NR_OK, &nr_cmd_budget, "", run, "--csv", "-", "--of", "a1");
    ck_assert_int_lt(times(said.out, "\n"), both);
    SAYS(said.out, "a1");
    SAYS_NOT(said.out, "eta0");
    ENDS(NR_OK, &nr_cmd_budget, "", run, "--csv", in_scratch("b.csv"), "--json");
    ck_assert_int_eq(said.out[0], '{');
    ck_assert_int_eq(times(scratch_read("b.csv"), "\n"), both);
    ENDS(NR_BAD, &nr_cmd_budget, "", run, "--of", "a9");
}
END_TEST

START_TEST(sized)
{
    static const char months[] = "2,3,7,11,15,19,21,20,17,12,6,3";
    const char *run = sample("wash-stand-glazed");
#define SIZE(code, ...)                                                                            \
    ENDS(code, &nr_cmd_size, "", run, "--to", "40C", "--units", "si", __VA_ARGS__)
#define ON_A_DAY "--day", "2026-06-21", "--latitude", "46"
    SIZE(NR_BAD, "--by", "15:00", "--sun", "800", "--air", "20C", "--from", "12C");
    SAYS(said.err.text, "--by belongs to a clear-sky day");
    SIZE(NR_BAD, ON_A_DAY, "--by", "tea", "--air", "20C", "--from", "12C");
    SAYS(said.err.text, "--by tea: give a time");
    SIZE(NR_BAD, ON_A_DAY, "--by", "15:00Z", "--start", "9:00", "--longitude", "9", "--air", "20C");
    SAYS(said.err.text, "both with a zone or both without");
    SIZE(NR_BAD, ON_A_DAY, "--by", "15:00", "--air", months);
    SAYS(said.err.text, "twelve temperatures belong to --months and --day");
    SIZE(NR_BAD, ON_A_DAY, "--months", "--by", "15:00", "--air", "2,3,7,11,15,19,21,20,17,12,6");
    SAYS(said.err.text, "give one temperature or twelve, not 11");
    SIZE(NR_BAD, ON_A_DAY, "--months", "--by", "15:00", "--from", "1,2,3,4,5,6,7,8,9,10,11,12,13");
    SAYS(said.err.text, "not 13");
    SIZE(NR_BAD, ON_A_DAY, "--months", "--by", "15:00", "--air",
         "2,3,7,11,15,19,warm,20,17,12,6,3");
    SAYS(said.err.text, "--air warm");
}
END_TEST

START_TEST(seasons_asked)
{
    const char *run = sample("wash-stand-glazed");
    static const char *const of[][3] = {{"to", "0.9C", "99.1C"},     {"from", "-0.1C", "98.1C"},
                                        {"tap", "-0.1C", "98.1C"},   {"use", "0.9C", "98.1C"},
                                        {"start", "9:30Z", "24:00"}, {"by", "17:00+02:00", "tea"}};
    static const char *const good[][3] = {{"to", "1C", "99C"},       {"from", "0C", "98C"},
                                          {"tap", "0C", "98C"},      {"use", "1C", "98C"},
                                          {"start", "9:30", "0:00"}, {"by", "17:00", "23:59"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (int k = 1; k < 3; k++) {
            char text[60], named[40];
            snprintf(named, sizeof named, "--%s ", of[i][0]);
            snprintf(text, sizeof text, "--%s=%s", of[i][0], of[i][k]);
            ENDS(NR_BAD, &nr_cmd_season, "", run, "--weather", "nowhere.epw", text);
            SAYS(said.err.text, named);
            snprintf(text, sizeof text, "--%s=%s", good[i][0], good[i][k]);
            ENDS(NR_BAD, &nr_cmd_season, "", run, "--weather", "nowhere.epw", text);
            SAYS(said.err.file, "nowhere.epw");
        }
}
END_TEST

/* --- paper ------------------------------------------------------------------------------------ */

START_TEST(sheets)
{
    char *rig =
        scratch_file("rig.ini", "[test]\nunits = us\n[collector]\ngross_area_m2 = 1.5\n[store]\n"
                                "water_kg = 40\n[channel store]\nunit = degC\n");
    char *sheet = in_scratch("a.b.svg"), a4[40000], letter[40000];
    ENDS(NR_OK, &nr_cmd_sheet, "", rig, "-o", sheet);
    SAYS(said.out, "a.b.csv to type it into, then `noonlog import");
    SAYS_NOT(said.out, "a page for each collector");
    ck_assert_int_eq(access(in_scratch("a.b.csv"), F_OK), 0);
    snprintf(letter, sizeof letter, "%.39000s", scratch_read("a.b.svg"));
    ENDS(NR_OK, &nr_cmd_sheet, "", rig, "-o", sheet, "--paper", "letter");
    SAYS(said.out, "to print; ");
    ck_assert_int_eq(strncmp(letter, scratch_read("a.b.svg"), 300), 0); /* by the units */
    ENDS(NR_OK, &nr_cmd_sheet, "", rig, "-o", sheet, "--paper", "a4");
    snprintf(a4, sizeof a4, "%.39000s", scratch_read("a.b.svg"));
    ck_assert_int_ne(strncmp(letter, a4, 300), 0);
    ENDS(NR_OK, &nr_cmd_sheet, "", rig, "-o", sheet, "--units", "si");
    ck_assert_int_eq(strncmp(a4, scratch_read("a.b.svg"), 300), 0);
    ENDS(NR_BAD, &nr_cmd_sheet, "", rig, "-o", sheet, "--collector", "none");
}
END_TEST

START_TEST(planned)
{
    const char *rig = sample("wash-stand-bare-store-only/rig.ini");
    ENDS(NR_BAD, &nr_cmd_plan, "", sample("wash-stand-side-by-side"));
    SAYS(said.err.text, "holds several collectors; a plan is of one");
    ENDS(NR_BAD, &nr_cmd_plan, "", rig, "--start", "9:00");
    SAYS(said.err.text, "--start belongs to a clear-sky day");
    ENDS(NR_BAD, &nr_cmd_plan, "", rig, "--air", "101C");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {inspected, fitted,        cooled, listed,  budgets,
                                  sized,     seasons_asked, sheets, planned, NULL};
    return run_tests_in("answers", tests, set_up, scratch_remove);
}
