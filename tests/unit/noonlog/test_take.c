/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings by hand: what is understood, what is doubted, of which moment and which run they are,
 * and what stands in the folder afterwards. */
#include "logger/noonlog/commands.h"
#include "logger/noonlog/take.h"

#include "logger/record/hand_rows.h"
#include "logger/run/readings.h"
#include "tests/unit/command_run.h"
#include "tests/unit/run/rig_fixture.h"

#include <stdlib.h>
#include <time.h>

#define ZERO 1777888800.0 /* 2026-05-04T10:00:00Z (GNU date) */
#define RIG                                                                                        \
    "[collector]\ngross_area_m2 = 1.5\n[store]\nwater_kg = 40\n[channel store]\nunit = degC\n"     \
    "[channel inlet]\nunit = degC\n[channel outlet]\nunit = degC\n[channel air]\nunit = degC\n"    \
    "[channel sun]\nunit = W_m2\n"

static nr_rig rig, us;
static nr_take_last last;
static nr_taken t;
static nr_err err;

static void set_up(void)
{
    setenv("TZ", "UTC", 1);
    tzset();
    scratch_make();
    accept(&rig, RIG, NR_RIG_FOR_READINGS);
    accept(&us, MINIMAL "[channel store]\nunit = degF\n[channel shade]\nunit = degF\nrole = air\n",
           NR_RIG_FOR_READINGS);
    for (size_t c = 0; c < NR_RIG_CHANNELS; c++)
        last.value[c] = NAN;
}

/* The word is a reading of the rig. */
static const nr_taken *of(const nr_rig *in, const char *text)
{
    nr_code code = nr_take_parse(text, in, &last, &t, &err);
    ck_assert_msg(code == NR_OK, "%s: %s", text, err.text);
    return &t;
}

static const char *refused(const char *text)
{
    ck_assert_msg(nr_take_parse(text, &rig, &last, &t, &err) == NR_BAD, "%s is taken", text);
    return err.text;
}

START_TEST(a_word)
{
    NEAR(of(&rig, "store=21.5")->value, 21.5, 0);
    ck_assert_str_eq(t.channel, "store");
    ck_assert_str_eq(t.unit, "degC");
    NEAR(of(&rig, " store = 64 F ")->value, 64, 0);
    ck_assert_str_eq(t.unit, "degF");
    NEAR(of(&rig, "air=21,5")->value, 21.5, 0);
    NEAR(of(&rig, "sun = 850 W/m2")->value, 850, 0);
    NEAR(of(&us, "store=64")->value, 64, 0);
    ck_assert_str_eq(t.unit, "degF");
    ck_assert(isnan(t.before) && !t.doubt[0]);
    SAYS(refused("store"), "wants CHANNEL=VALUE");
    SAYS(refused("pond=3"), "no channel \"pond\"; it has: store, inlet, outlet, air, sun");
    SAYS(refused("store=warm"), "\"warm\" is no reading; wants a number, such as 64F or 17.8C");
    SAYS(refused("sun=bright"), "such as 850");
    SAYS(refused("store=5 L"), "its units are degC");
    SAYS(refused("store=850 W/m2"), "its units are degC");
    SAYS(refused("sun=20C"), "W_m2");
}
END_TEST

/* The reading before, in the unit of this one. */
START_TEST(the_one_before)
{
    last.value[0] = 20;
    last.value[3] = 30;
    NEAR(of(&rig, "store=70F")->before, 68, 1e-9);
    NEAR(of(&rig, "store=21")->before, 20, 1e-9);
    NEAR(of(&rig, "air=21")->before, 30, 1e-9);
    ck_assert(isnan(of(&rig, "inlet=21")->before));
}
END_TEST

static void doubts(const nr_rig *in, const char *text, const char *words)
{
    const nr_taken *taken = of(in, text);
    if (words)
        ck_assert_msg(strstr(taken->doubt, words), "%s: \"%s\"", text, taken->doubt);
    else
        ck_assert_msg(!taken->doubt[0], "%s: \"%s\"", text, taken->doubt);
}

/* A bare number that is degF more likely, or degC. Water of a home-built heater stays below 60
 * degC, air below 48; what freezes in degF is a degC. */
START_TEST(the_wrong_thermometer)
{
    doubts(&rig, "store=60", NULL);
    doubts(&rig, "store=60.1", "take it again at the same time: store=60.1F");
    doubts(&rig, "store=60.1C", NULL); /* said */
    doubts(&rig, "inlet=61", "was taken as degC");
    doubts(&rig, "outlet=61", NULL); /* water leaves hotter */
    doubts(&rig, "air=48", NULL);
    doubts(&rig, "air=48.1", "air=48.1F");
    doubts(&rig, "air=48.1C", NULL);
    doubts(&us, "store=32", NULL);
    doubts(&us, "store=31.9", "store=31.9C");
    doubts(&us, "shade=31.9", "was taken as degF"); /* by its role */
    doubts(&us, "store=31.9F", NULL);
    doubts(&us, "store=61", NULL);
    doubts(&rig, "sun=900", NULL);
}
END_TEST

START_TEST(what_cannot_be)
{
    static const struct {
        const char *good, *bad;
    } ends[] = {{"store=105C", "store=105.1C"}, {"store=-5C", "store=-5.1C"},
                {"inlet=105C", "inlet=106C"},   {"air=60C", "air=60.1C"},
                {"air=-45C", "air=-45.1C"},     {"store=220.9F", "store=221.2F"},
                {"air=139.9F", "air=140.2F"}};
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        doubts(&rig, ends[i].good, NULL);
        doubts(&rig, ends[i].bad, "cannot well be");
    }
    doubts(&rig, "outlet=150C", NULL);
}
END_TEST

START_TEST(jumps)
{
    for (size_t c = 0; c < 4; c++)
        last.value[c] = 30;
    doubts(&rig, "store=55", NULL);
    doubts(&rig, "store=55.1", "far from the 30 before");
    doubts(&rig, "store=4.9", "far from the 30 before");
    doubts(&rig, "air=4.9", "far from");
    doubts(&rig, "outlet=58", NULL);
    doubts(&rig, "store=131F", NULL); /* 86 degF and 45 */
    doubts(&rig, "store=131.2F", "far from the 86 before");
}
END_TEST

/* --- of which moment -------------------------------------------------------------------------- */

static double at(const char *text)
{
    double utc_s = NAN;
    nr_code code = nr_take_time(text, ZERO, &utc_s, &err);
    ck_assert_msg(code == NR_OK, "%s: %s", text, err.text);
    return utc_s - ZERO;
}

static const char *no_time(const char *text, double now_s)
{
    double utc_s;
    ck_assert_msg(nr_take_time(text, now_s, &utc_s, &err) == NR_BAD, "%s is taken", text);
    return err.text;
}

static void zone(const char *name)
{
    setenv("TZ", name, 1);
    tzset();
}

/* A time of day is the last one that was; a minute ahead is a clock that goes fast. */
START_TEST(time_of_day)
{
    NEAR(at("09:30"), -1800, 0);
    NEAR(at("9:30:15"), -1785, 0);
    NEAR(at("10:00"), 0, 0);
    NEAR(at("10:00:59"), 59, 0);
    NEAR(at("10:01"), 60 - 86400, 0);
    NEAR(at("11:05 pm"), 13 * 3600 + 300 - 86400, 0);
    NEAR(at("2026-05-04 10:00:59"), 59, 0);
    NEAR(at("2026-05-01 10:00"), -3 * 86400, 0);
    NEAR(at("2026-05-04T11:00:00+02:00"), -3600, 0);
    SAYS(no_time("2026-05-04 10:01", ZERO), "is still to come");
    SAYS(no_time("2026-05-05 09:00", ZERO), "is still to come");
    SAYS(no_time("noon", ZERO), "wants a time like 11:05");
    SAYS(no_time("2026-05-04", ZERO), "wants a time like 11:05");
    SAYS(no_time("05/04/2026 09:00", ZERO), "wants a time"); /* 5 April or 4 May? */
}
END_TEST

/* By this computer's clock: of a zone six hours behind, and of one ahead whose day is another. */
START_TEST(time_elsewhere)
{
    zone("America/Denver"); /* 04:00 there */
    NEAR(at("03:59"), -60, 0);
    NEAR(at("04:00"), 0, 0);
    NEAR(at("23:00"), -5 * 3600, 0);
    NEAR(at("2026-05-03 23:00"), -5 * 3600, 0);
    SAYS(no_time("2026-03-08 02:30", ZERO), "never was in America/Denver: clocks went forward");
    zone("Pacific/Auckland"); /* 22:00 there, and UTC+12 */
    NEAR(at("21:00"), -3600, 0);
    NEAR(at("00:30"), -21.5 * 3600, 0);
    NEAR(at("23:00"), -23 * 3600, 0);
}
END_TEST

static nr_code belongs(const char *text, double after_s)
{
    err.text[0] = '\0';
    return nr_take_belongs("run", text, ZERO + after_s, ZERO, &err);
}

#define DAY 86400.0

/* A day apart is asked for its date, a week is another test. */
START_TEST(of_which_run)
{
    ck_assert_int_eq(belongs("11:05", DAY), NR_OK);
    ck_assert_int_eq(belongs("11:05", DAY + 1), NR_BAD);
    SAYS(err.text, "give the date: --at \"2026-05-04 11:05\"");
    ck_assert_int_eq(belongs("11:05", -DAY - 1), NR_BAD);
    ck_assert_int_eq(belongs("2026-05-06 11:05", DAY + 1), NR_OK);
    ck_assert_int_eq(belongs(NULL, DAY + 1), NR_OK);
    ck_assert_int_eq(belongs(NULL, 7 * DAY), NR_OK);
    ck_assert_int_eq(belongs(NULL, 7 * DAY + 1), NR_BAD);
    SAYS(err.text, "of 2026-05-04, 7 days apart");
    ck_assert_int_eq(belongs("2026-05-20 11:05", 16 * DAY), NR_BAD);
    SAYS(err.text, "16 days apart");
    ck_assert_int_eq(nr_take_belongs("run", "11:05", ZERO, NAN, &err), NR_OK);
}
END_TEST

START_TEST(today_needs_no_date)
{
    char text[40], expected[40];
    time_t now = time(NULL), old = (time_t)ZERO;
    struct tm local;
    nr_take_clock((double)now, text, sizeof text);
    localtime_r(&now, &local);
    strftime(expected, sizeof expected, "%H:%M:%S", &local);
    ck_assert_str_eq(text, expected);
    nr_take_clock((double)old, text, sizeof text);
    ck_assert_str_eq(text, "2026-05-04 10:00:00");
    nr_take_clock((double)(now - 366 * 86400), text,
                  sizeof text); /* about the same day of a year */
    ck_assert_uint_eq(strlen(text), strlen("2026-05-04 10:00:00"));
}
END_TEST

/* --- the folder ------------------------------------------------------------------------------- */

static const char *rig_file(void)
{
    return scratch_file("rig.ini", RIG);
}

#define TAKE(code, ...) ENDS(code, &nr_cmd_take, "", in_scratch("run"), __VA_ARGS__)
#define AT(time) "--at", "2026-05-04 " time

START_TEST(first_and_next)
{
    const char *rigs = rig_file();
    TAKE(NR_BAD, "store=20", AT("10:00"));
    SAYS(said.text, "--rig RIG");
    ck_assert_int_ne(access(in_scratch("run"), F_OK), 0);
    TAKE(NR_BAD, "store=warm", AT("10:00"), "--rig", rigs); /* makes no run */
    ck_assert_int_ne(access(in_scratch("run"), F_OK), 0);
    TAKE(NR_OK, "store=20", "air=68F", AT("10:00"), "--rig", rigs);
    SAYS(said.out, "run, 2026-05-04 10:00:00:");
    SAYS(said.out, "store      20 °C\n");
    SAYS(said.out, "air        68 °F (20 °C)\n");
    SAYS_NOT(said.out, "recording");
    SAYS(said.text, "does not say what no test can see"); /* the rig is a short one */
    ck_assert_int_ne(access(in_scratch("run/adapter.log"), F_OK), 0);
    TAKE(NR_BAD, "store=20", AT("10:05"), "--rig", rigs);
    SAYS(said.text, "has its rig file already");
    TAKE(NR_OK, "store=21", AT("10:05"));
    SAYS(said.out, "21 °C; before: 20\n");
    SAYS_NOT(said.text, "no test can see");
    TAKE(NR_OK, "store=71.6F", AT("10:10"), "--note", "stirred");
    SAYS(said.out, "71.6 °F (22 °C); before: 69.8\n");
    SAYS(scratch_read("run/notes.csv"), ",600");
    SAYS(scratch_read("run/notes.csv"), "stirred");
    SAYS(scratch_read("run/readings.csv"), "\n2026-05-04T10:05:00.000Z,300.000,21.0000,");
    SAYS(scratch_read("run/.noonlog/state"), "rows=3\n");
    SAYS(scratch_read("run/.noonlog/state"), "elapsed_s=600.000\n");
    SAYS(scratch_read("run/.noonlog/state"), "last_row_s=600.000\n");
    ck_assert_str_eq(scratch_read("run/by-hand.csv") + strlen(scratch_read("run/by-hand.csv")) -
                         strlen(",store,71.6,degF\n"),
                     ",store,71.6,degF\n");
}
END_TEST

/* Within half a minute it is the same moment: the later one counts, and what it is far from was
 * wrong. */
START_TEST(again)
{
    TAKE(NR_OK, "store=20", AT("10:00"), "--rig", rig_file());
    TAKE(NR_OK, "store=58", AT("10:10"));
    SAYS(said.out, "far from the 20 before");
    TAKE(NR_OK, "store=24", AT("10:10:29"));
    SAYS(said.out, "24 °C; before: 58; replaces the one of this time\n");
    SAYS_NOT(said.out, "far from");
    TAKE(NR_OK, "store=25", AT("10:10:59"));
    SAYS_NOT(said.out, "replaces");
    TAKE(NR_OK, "air=25", AT("10:10")); /* another channel */
    SAYS_NOT(said.out, "replaces");
    SAYS_NOT(scratch_read("run/readings.csv"), ",58.0000,");
}
END_TEST

/* A line that a crash has cut stays as it is, and the next begins anew. */
START_TEST(after_a_crash)
{
    TAKE(NR_OK, "store=20", AT("10:00"), "--rig", rig_file());
    FILE *hands = fopen(in_scratch("run/by-hand.csv"), "a");
    fputs("2026-05-04T10:0", hands);
    fclose(hands);
    TAKE(NR_OK, "store=21", AT("10:05"));
    SAYS(scratch_read("run/by-hand.csv"), "2026-05-04T10:0\n2026-05-04T10:05:00.000Z");
    SAYS(scratch_read("run/readings.csv"), ",300.000,21.0000,");
}
END_TEST

START_TEST(another_day)
{
    TAKE(NR_OK, "store=20", AT("10:00"), "--rig", rig_file());
    TAKE(NR_BAD, "store=21"); /* now: long after */
    SAYS(said.text, "a run is one test");
    TAKE(NR_BAD, "store=21", "--at", "2026-05-11 10:00:01");
    SAYS(said.text, "7 days apart");
    TAKE(NR_OK, "store=21", "--at", "2026-05-11 10:00:00");
}
END_TEST

START_TEST(the_last_of_each)
{
    TAKE(NR_OK, "store=20", "air=15", AT("10:00"), "--rig", rig_file());
    TAKE(NR_OK, "store=21", AT("10:05"));
    accept(&rig, RIG, NR_RIG_FOR_READINGS);
    ck_assert_int_eq(nr_take_last_read(in_scratch("run"), &rig, &last, &err), NR_OK);
    NEAR(last.value[0], 21, 1e-9);
    ck_assert(isnan(last.value[1]));
    NEAR(last.value[3], 15, 1e-9);
    NEAR(last.utc_s, ZERO + 300, 0);
    unlink(in_scratch("run/by-hand.csv")); /* the rows know it, too */
    ck_assert_int_eq(nr_take_last_read(in_scratch("run"), &rig, &last, &err), NR_OK);
    NEAR(last.value[0], 21, 1e-9);
    NEAR(last.value[3], 15, 1e-9);
    NEAR(last.utc_s, ZERO + 300, 1e-3);
    ck_assert_int_eq(nr_take_last_read(in_scratch("none"), &rig, &last, &err), NR_OK);
    ck_assert(isnan(last.value[0]) && isnan(last.utc_s));
}
END_TEST

START_TEST(what_is_no_question)
{
    const char *rigs = rig_file();
    TAKE(NR_BAD, "--rig", rigs, AT("10:00")); /* nothing to take, and no terminal to ask on */
    SAYS(said.text, "wants a run folder, then readings");
    TAKE(NR_BAD, "store=20", "--every", "5m", "--rig", rigs);
    SAYS(said.text, "--every asks for the readings");
    char *argv[NR_RIG_CHANNELS + 4] = {(char *)"take", in_scratch("run")};
    for (int more = 0; more < 2; more++) {
        for (int i = 0; i < NR_RIG_CHANNELS + more; i++)
            argv[2 + i] = (char *)"store=20";
        int null = open("/dev/null", O_WRONLY), before = command_turn(STDERR_FILENO, null);
        int kept = command_file(""), other;
        other = command_turn(STDERR_FILENO, kept);
        ck_assert_int_eq(nr_cmd_take.run(NR_RIG_CHANNELS + more + 2, argv, &err), NR_BAD);
        command_back(STDERR_FILENO, other, kept, said.text);
        dup2(before, STDERR_FILENO);
        SAYS(said.text, more ? "more readings than a rig has channels" : "is no run yet");
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_word,
                                  the_one_before,
                                  the_wrong_thermometer,
                                  what_cannot_be,
                                  jumps,
                                  time_of_day,
                                  time_elsewhere,
                                  of_which_run,
                                  today_needs_no_date,
                                  first_and_next,
                                  again,
                                  after_a_crash,
                                  another_day,
                                  the_last_of_each,
                                  what_is_no_question,
                                  NULL};
    return run_tests_in("take", tests, set_up, scratch_remove);
}
