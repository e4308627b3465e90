/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The records that a command line names: which part of them by the clock or since the start, lists,
 * names given twice, runs by collector, notes by their words; and what `compare` makes builds of.
 */
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/records.h"

#include "tests/unit/command_run.h"
#include "tests/unit/run/rig_fixture.h"

#include <time.h>

/* main.c's table, for `check`. */
const nr_command *nr_noonfit_command(const char *name);
const nr_command *nr_noonfit_command(const char *name)
{
    (void)name;
    return NULL;
}

#define RIG(name)                                                                                  \
    "[collector]\nname = " name "\ngross_area_m2 = 1.5\n[store]\nwater_kg = 40\n"                  \
    "[channel store]\nunit = degC\n[channel air]\nunit = degC\n"
#define BEGINS 1777888800.0 /* 2026-05-04T10:00:00Z (GNU date) */

static nr_err err;
static nr_run **runs;
static size_t count;

/* A run of `minutes`, a row a minute, its first row `late` seconds after 10:00 UTC. */
static char *make(const char *name, const char *rig, int minutes, int late)
{
    static char text[200000];
    char path[100], when[40];
    int n = snprintf(text, sizeof text, "time_utc,elapsed_s,store_degC,air_degC\n");
    scratch_folder(name);
    for (int i = 0; i <= minutes; i++) {
        time_t at = (time_t)BEGINS + late + 60 * i;
        struct tm utc;
        gmtime_r(&at, &utc);
        strftime(when, sizeof when, "%Y-%m-%dT%H:%M:%S.000Z", &utc);
        n += snprintf(text + n, sizeof text - (size_t)n, "%s,%d.000,%.2f,20.00\n", when, 60 * i,
                      20 + 0.1 * i);
    }
    snprintf(path, sizeof path, "%s/readings.csv", name);
    scratch_file(path, text);
    snprintf(path, sizeof path, "%s/rig.ini", name);
    scratch_file(path, rig);
    return in_scratch(name);
}

static void set_up(void)
{
    setenv("TZ", "UTC", 1);
    tzset();
    scratch_make();
    runs = NULL;
    count = 0;
}

static void put_away(void)
{
    nr_close_runs(runs, count);
    scratch_remove();
}

static nr_code open_runs(const nr_records *which, const char *a, const char *b)
{
    char one[600], other[600], *names[] = {one, other};
    snprintf(one, sizeof one, "%s", a);
    snprintf(other, sizeof other, "%s", b ? b : "");
    nr_close_runs(runs, count);
    err.text[0] = '\0';
    return nr_open_runs(&nr_cmd_fit, names, b ? 2 : 1, which, &runs, &count, &err);
}

/* --- part of a record ------------------------------------------------------------------------- */

/* First and last row of the part, minutes since the start; -1 where it is refused. */
static void part(const char *folder, const char *use, double first, double last)
{
    nr_records which = {.use = use};
    nr_code code = open_runs(&which, folder, NULL);
    if (first < 0) {
        ck_assert_msg(code != NR_OK, "%s is taken", use);
        return;
    }
    ck_assert_msg(code == NR_OK, "%s: %s", use, err.text);
    nr_values elapsed = nr_readings_elapsed(runs[0]->readings);
    NEAR_AT(use, nr_number(&elapsed, 0), 60 * first, 1e-6);
    NEAR_AT(use, nr_number(&elapsed, runs[0]->readings->rows - 1), 60 * last, 1e-6);
}

START_TEST(since_the_start)
{
    char *run = make("run", RIG("one"), 180, 0);
    part(run, "10m..1h15m", 10, 75);
    part(run, "10m..", 10, 180);
    part(run, "..20m", 0, 20);
    part(run, "..", -1, 0);
    part(run, "10m", -1, 0);
    part(run, "20m..10m", -1, 0);
    part(run, "10m..10m", -1, 0);
    part(run, "soon..10m", -1, 0);
    part(run, "10m..late", -1, 0);
    SAYS(err.text, "--use 10m..late: give a part such as 11:05..12:20");
    part(run, "4h..5h", -1, 0); /* there is nothing */
    char wide[80];
    snprintf(wide, sizeof wide, "%039d..20m", 600); /* 39 letters: the last that are read */
    part(run, wide, 10, 20);
    snprintf(wide, sizeof wide, "%040d..20m", 600);
    part(run, wide, -1, 0);
}
END_TEST

START_TEST(by_the_clock)
{
    char *run = make("run", RIG("one"), 180, 0); /* 10:00 to 13:00 UTC */
    part(run, "11:05..12:20", 65, 140);
    part(run, "11:05:00..12:20:60", 65, 141);
    part(run, "11:05Z..12:20Z", 65, 140);
    part(run, "13:05+02:00..14:20+02:00", 65, 140);
    part(run, "05:35-05:30..06:50-05:30", 65, 140);
    part(run, "01:05+14:00..", 65, 180); /* the next day there */
    part(run, "..12:59:00", 0, 179);
    part(run, "10:00..12:00", 0, 120);
    setenv("TZ", "America/Denver", 1); /* UTC-6 in May */
    tzset();
    part(run, "05:05..06:20", 65, 140);
    part(run, "11:05Z..12:20Z", 65, 140);
    static const char *const bad[] = {
        "24:00..",       "11:60..",       "11:05:61..",    "11:5x..",        "11:05z..",
        "01:05+15:00..", "11:05+02:60..", "11:05*02:00..", "11:05+02:00x..", "-1:05..",
        "11:-5..",       "11:..",         "11:05:-1.."};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        part(run, bad[i], -1, 0);
}
END_TEST

/* Over midnight, and a clock that is meant half a day before the first row and no further. */
START_TEST(by_the_clock_at_night)
{
    char *night = make("night", RIG("one"), 180, 12 * 3600 + 1800); /* 22:30 to 01:30 UTC */
    part(night, "23:00..01:00", 30, 150);
    part(night, "00:15..01:00", 105, 150);
    part(night, "..00:00", 0, 90);
    part(night, "22:00..", 0, 180);
    part(night, "10:31..23:00", 0, 30);    /* 12 h less a minute before */
    part(night, "01:00..00:00", 150, 180); /* ends before it begins: a night further */
    char *day = make("day", RIG("one"), 180, 0);
    part(day, "23:00..11:00", 0, 60); /* since the evening before */
    part(day, "22:00..11:00", 0, 60); /* half a day before is the first that is */
}
END_TEST

/* --- which ------------------------------------------------------------------------------------ */

START_TEST(lists)
{
    nr_records all = {.use = NULL};
    char both[300], *a = make("a", RIG("one"), 30, 0), *b = make("b", RIG("one"), 30, 7200);
    snprintf(both, sizeof both, "%s,%s", a, b);
    ck_assert_int_eq(open_runs(&all, both, NULL), NR_OK);
    ck_assert_uint_eq(count, 2);
    ck_assert_ptr_null(runs[2]);
    ck_assert(!nr_same_run(runs[0], runs[1]) && nr_same_run(runs[1], runs[1]));
    ck_assert(!nr_runs_of_several(runs, count));
    ck_assert_int_eq(nr_check_runs_of_one(&nr_cmd_fit, runs, count, &err), NR_OK);
    ck_assert_int_eq(open_runs(&all, a, b), NR_OK);
    ck_assert_uint_eq(count, 2);
    ck_assert_int_eq(open_runs(&all, both, a), NR_BAD);
    SAYS(err.text, "is named twice");
    ck_assert_ptr_null(runs);
    ck_assert_uint_eq(count, 0);
    snprintf(both, sizeof both, "%s/../a", a); /* the same by another name */
    ck_assert_int_eq(open_runs(&all, a, both), NR_BAD);
    snprintf(both, sizeof both, "%s,,%s", a, b);
    ck_assert_int_eq(open_runs(&all, both, NULL), NR_BAD);
    SAYS(err.text, "an empty name in the list of runs");
    snprintf(both, sizeof both, "%s,", a);
    ck_assert_int_eq(open_runs(&all, both, NULL), NR_BAD);
}
END_TEST

#define TWO                                                                                        \
    "[collector left]\ngross_area_m2 = 1.5\n[store left]\nwater_kg = 40\n"                         \
    "[collector right]\ngross_area_m2 = 1.5\n[store right]\nwater_kg = 40\n"                       \
    "[channel store_left]\nunit = degC\nrole = store\nof = left\n[channel air]\nunit = degC\n"     \
    "[channel store_right]\nunit = degC\nrole = store\nof = right\n"

static char *make_two(void)
{
    char *run = make("two", TWO, 30, 0);
    scratch_file("two/readings.csv",
                 "time_utc,elapsed_s,store_left_degC,air_degC,store_right_degC\n"
                 "2026-05-04T10:00:00.000Z,0.000,20.00,18.00,21.00\n"
                 "2026-05-04T10:01:00.000Z,60.000,20.10,18.00,21.10\n"
                 "2026-05-04T10:02:00.000Z,120.000,20.20,18.00,21.20\n");
    return run;
}

START_TEST(of_which_collector)
{
    nr_records which = {.use = NULL};
    char *two = make_two(), *a = make("a", RIG("left"), 30, 0), *b = make("b", RIG("other"), 30, 0);
    char *no_name =
        make("c", MINIMAL "[channel store]\nunit = degC\n[channel air]\nunit = degC\n", 30, 0);
    ck_assert_msg(open_runs(&which, two, NULL) == NR_OK, "%s", err.text);
    ck_assert_uint_eq(count, 2);
    ck_assert(nr_runs_of_several(runs, count));
    ck_assert_int_eq(nr_check_runs_of_one(&nr_cmd_fit, runs, count, &err), NR_BAD);
    SAYS(err.text, "several collectors (left, right); name one with --collector");
    which.collector = "right";
    ck_assert_int_eq(open_runs(&which, two, NULL), NR_OK);
    ck_assert_uint_eq(count, 1);
    which.collector = NULL;
    ck_assert_int_eq(open_runs(&which, a, b), NR_OK);
    ck_assert_int_eq(nr_check_runs_of_one(&nr_cmd_fit, runs, count, &err), NR_BAD);
    SAYS(err.text, "different collectors, left and other");
    ck_assert_int_eq(open_runs(&which, a, no_name), NR_OK);
    ck_assert_int_eq(nr_check_runs_of_one(&nr_cmd_fit, runs, count, &err), NR_OK);
    ck_assert_int_eq(open_runs(&which, no_name, a), NR_OK);
    ck_assert_int_eq(nr_check_runs_of_one(&nr_cmd_fit, runs, count, &err), NR_OK);
}
END_TEST

START_TEST(by_collector)
{
    nr_groups by;
    nr_records all = {.use = NULL};
    char list[600], *a = make("a", RIG("left"), 30, 0), *b = make("b", RIG("other"), 30, 0);
    char *c = make("c", RIG("left"), 30, 86400);
    snprintf(list, sizeof list, "%s,%s,%s", a, b, c);
    ck_assert_int_eq(open_runs(&all, list, NULL), NR_OK);
    ck_assert_int_eq(nr_group_by_name(&nr_cmd_fit, runs, count, &by, &err), NR_OK);
    ck_assert_uint_eq(by.groups, 2);
    ck_assert(by.count[0] == 2 && by.count[1] == 1);
    ck_assert(by.run[0] == runs[0] && by.run[1] == runs[2] && by.run[2] == runs[1]);
    ck_assert(by.first[0] == by.run && by.first[1] == by.run + 2);
    nr_groups_free(&by);
    ck_assert_uint_eq(by.groups, 0);
    /* As many collectors as can be grouped, and one more. */
    static nr_run many[NR_GROUPS + 1], *of[NR_GROUPS + 1];
    for (size_t i = 0; i <= NR_GROUPS; i++) {
        snprintf(many[i].rig.collector.name, sizeof many[i].rig.collector.name, "build %zu", i);
        of[i] = &many[i];
    }
    ck_assert_int_eq(nr_group_by_name(&nr_cmd_fit, of, NR_GROUPS, &by, &err), NR_OK);
    ck_assert_uint_eq(by.groups, NR_GROUPS);
    nr_groups_free(&by);
    ck_assert_int_eq(nr_group_by_name(&nr_cmd_fit, of, NR_GROUPS + 1, &by, &err), NR_BAD);
    SAYS(err.text, "runs of more than 24 collectors");
}
END_TEST

START_TEST(of_a_rig_file)
{
    static nr_rig rig, view;
    nr_records which = {.collector = "right"};
    accept(&rig, TWO, NR_RIG_FOR_READINGS);
    ck_assert_int_eq(nr_rig_of_one(&nr_cmd_sheet, &rig, &which, &view, &err), NR_OK);
    ck_assert_str_eq(view.collector.name, "right");
    which.collector = "middle";
    ck_assert_int_eq(nr_rig_of_one(&nr_cmd_sheet, &rig, &which, &view, &err), NR_BAD);
    SAYS(err.text, "no collector \"middle\"; there is: left, right");
    which.collector = NULL;
    ck_assert_int_eq(nr_rig_of_one(&nr_cmd_sheet, &rig, &which, &view, &err), NR_BAD);
    SAYS(err.text, "several collectors (left, right): --collector NAME");
    accept(&rig, RIG("one"), NR_RIG_FOR_READINGS);
    ck_assert_int_eq(nr_rig_of_one(&nr_cmd_sheet, &rig, &which, &view, &err), NR_OK);
    ck_assert_str_eq(view.collector.name, "one");
}
END_TEST

START_TEST(notes_by_their_words)
{
    double at_s;
    char text[100];
    nr_records all = {.use = NULL};
    char *run = make("run", RIG("one"), 30, 0);
    scratch_file("run/notes.csv", "time_utc,elapsed_s,kind,text\n"
                                  "2026-05-04T10:05:00.000Z,300.000,start,\"pane off, no person\"\n"
                                  "2026-05-04T10:10:00.000Z,600.000,note,\"pane off\"\n"
                                  "2026-05-04T10:20:00.000Z,1200.000,note,\"stirred twice\"\n"
                                  "2026-05-04T10:25:00.000Z,1500.000,note,\"stirred\"\n");
    ck_assert_int_eq(open_runs(&all, run, NULL), NR_OK);
    ck_assert_int_eq(nr_note_find(runs[0], "pane", &at_s, text, sizeof text, &err), NR_OK);
    NEAR(at_s, 600, 0);
    ck_assert_str_eq(text, "pane off");
    ck_assert_int_eq(nr_note_find(runs[0], "stirred", &at_s, text, sizeof text, &err), NR_BAD);
    SAYS(err.text, "several notes have the words \"stirred\"; the notes are: \"pane off\", "
                   "\"stirred twice\", \"stirred\"");
    ck_assert_int_eq(nr_note_find(runs[0], "rain", &at_s, text, sizeof text, &err), NR_BAD);
    SAYS(err.text, "no notes have the words \"rain\"");
}
END_TEST

/* --- builds of `compare` ---------------------------------------------------------------------- */

START_TEST(builds)
{
    char *a = make("a", RIG("left"), 30, 0), *two = make_two();
    char twice[300];
    ENDS(NR_BAD, &nr_cmd_compare, "", a);
    SAYS(said.err.text, "one build; name another");
    ENDS(NR_BAD, &nr_cmd_compare, "", a, a);
    SAYS(said.err.text, "is named for two builds");
    snprintf(twice, sizeof twice, "%s,%s", a, a);
    ENDS(NR_BAD, &nr_cmd_compare, "", twice);
    SAYS(said.err.text, "is named twice");
    ENDS(NR_BAD, &nr_cmd_compare, "", two, "--change", "pane");
    SAYS(said.err.text, "--change wants one record with one collector");
    ENDS(NR_BAD, &nr_cmd_compare, "", a, "--change", "pane");
    SAYS(said.err.text, "no notes have the words");
    ENDS(NR_BAD, &nr_cmd_compare, "", a, two, "--to", "20C", "--from", "20C");
    SAYS(said.err.text, "--to must be above --from");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        since_the_start, by_the_clock,  by_the_clock_at_night, lists,  of_which_collector,
        by_collector,    of_a_rig_file, notes_by_their_words,  builds, NULL};
    return run_tests_in("records", tests, set_up, put_away);
}
