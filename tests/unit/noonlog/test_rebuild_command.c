/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `rebuild` of runs from an adapter, from a table and by hand: every line that is said, what is
 * noted in the run and when, and what stays where it cannot be done. */
#include "logger/noonlog/commands.h"

#include "tests/unit/command_run.h"

#define RIG "[adapter a]\nport = /dev/x\n[channel store]\nunit = degC\n"
#define HEAD "time_utc,elapsed_s,store_degC\n"
#define NOTES "time_utc,elapsed_s,kind,text\n"
#define AT(s, adapter, line) "2026-05-04T11:22:3" s ".000Z\t" s ".000\t" adapter "\t" line "\n"
#define ROW(s, store) "2026-05-04T11:22:3" s ".000Z," s ".000," store "\n"

static char run[256];

static void set_up(void)
{
    scratch_make();
    snprintf(run, sizeof run, "%s", scratch_folder("run"));
    scratch_file("run/rig.ini", RIG);
    scratch_file("run/notes.csv", NOTES);
}

/* The whole of standard output: the folder, and these words behind it. */
static void said_is(const char *words)
{
    char all[800];
    snprintf(all, sizeof all, "%s: %s", run, words);
    ck_assert_str_eq(said.out, all);
    ck_assert_str_eq(said.text, "");
}

static void noted_is(const char *rows)
{
    char all[800];
    snprintf(all, sizeof all, NOTES "%s", rows);
    ck_assert_str_eq(scratch_read("run/notes.csv"), all);
}

START_TEST(of_an_adapter)
{
    scratch_file("run/adapter.log", "# adapter log\n" AT("1", "a", "store=20") AT("2", "a", "x")
                                        AT("3", "a", "store=21") AT("4", "b", "store=9") "rubbish\n"
                                                                                         "worse\n");
    scratch_file("run/readings.csv", HEAD "old\nolder\noldest\n");
    ENDS(NR_OK, &nr_cmd_rebuild, "", run);
    said_is("2 rows from 3 lines (before: 3 rows); the old readings are in "
            ".noonlog/readings.csv.before\n"
            "lines without a reading: 1\n"
            "lines of [adapter b], which the rig does not have: 1\n"
            "damaged lines of adapter.log, left out: 2, the first is line 6\n");
    ck_assert_str_eq(scratch_read("run/readings.csv"),
                     HEAD ROW("1", "20.0000") ROW("3", "21.0000"));
#define NOTED                                                                                      \
    "2026-05-04T11:22:33.000Z,3.000,note,\"readings.csv made again from adapter.log: 2 rows, "     \
    "before 3\"\n"
    noted_is(NOTED);
    scratch_file("run/adapter.log",
                 "# adapter log\n" AT("1", "a", "store=20") AT("3", "a", "store=21"));
    ENDS(NR_OK, &nr_cmd_rebuild, "", run);
    said_is("2 rows from 2 lines, the same as before\n");
    noted_is(NOTED); /* nothing new */
    scratch_file("run/readings.csv", HEAD);
    ENDS(NR_OK, &nr_cmd_rebuild, "", run);
    said_is("2 rows from 2 lines; there were none before\n");
    scratch_file("run/notes.csv", NOTES);
    ENDS(NR_OK, &nr_cmd_rebuild, "", run, "--rig", scratch_file("other.ini", RIG "; mine\n"));
    said_is("2 rows from 2 lines, the same as before\n");
    noted_is("2026-05-04T11:22:33.000Z,3.000,note,\"readings.csv made again from adapter.log with "
             "another rig.ini: 2 rows, before 2\"\n");
    ck_assert_str_eq(scratch_read("run/rig.ini"), RIG "; mine\n");
    ck_assert_str_eq(scratch_read("run/.noonlog/rig.ini.before"), RIG);
}
END_TEST

#define BY_HAND                                                                                    \
    "time_utc,taken_utc,channel,value,unit\n"                                                      \
    "2026-05-04T11:22:32.000Z,2026-05-04T11:22:32.000Z,store,25,degC\n"

/* Among an adapter's; and alone, by a rig that has no adapter. */
START_TEST(by_hand)
{
    scratch_file("run/by-hand.csv", BY_HAND);
    scratch_file("run/adapter.log",
                 "# adapter log\n" AT("1", "a", "store=20") AT("3", "-", "store=21"));
    scratch_file("run/readings.csv", HEAD);
    ENDS(NR_OK, &nr_cmd_rebuild, "", run);
    said_is("2 rows from 1 lines; there were none before\n"
            "rows taken by hand among them: 1\n"
            "lines of [adapter], which the rig does not have: 1\n");
    unlink(in_scratch("run/adapter.log"));
    scratch_file("run/rig.ini", "[channel store]\nunit = degC\n");
    scratch_file("run/notes.csv", NOTES);
    ENDS(NR_OK, &nr_cmd_rebuild, "", run);
    said_is("1 rows from 0 lines (before: 2 rows); the old readings are in "
            ".noonlog/readings.csv.before\n"
            "rows taken by hand among them: 1\n");
    noted_is("2026-05-04T11:22:32.000Z,0.000,note,\"readings.csv made again from by-hand.csv: 1 "
             "rows, before 2\"\n");
}
END_TEST

/* Of an imported run from its table, which its note says. */
START_TEST(of_a_table)
{
    scratch_folder("run/imported");
    scratch_file("run/rig.ini", "[channel store]\nunit = degC\n");
    scratch_file("run/imported/how.ini", "table = may.csv\nzone = UTC\n");
    scratch_file("run/imported/may.csv", "Time,Tank (C)\n2026-05-04 11:22:31,20\n"
                                         "2026-05-04 11:22:32,21\n2026-05-04 11:22:33,21.5\n");
    scratch_file("run/readings.csv", HEAD "old\n");
    ENDS(NR_OK, &nr_cmd_rebuild, "", run);
    said_is("3 rows from 3 lines (before: 1 rows); the old readings are in "
            ".noonlog/readings.csv.before\n");
    noted_is(
        "2026-05-04T11:22:33.000Z,2.000,note,\"readings.csv made again from its table: 3 rows, "
        "before 1\"\n");
}
END_TEST

START_TEST(not_done)
{
    scratch_file("run/readings.csv", HEAD "old\n");
    ENDS(NR_CANNOT, &nr_cmd_rebuild, "", run);
    SAYS(said.text, "without the adapter's own lines nothing can be made again");
    ENDS(NR_BAD, &nr_cmd_rebuild, "", run, "--rig", in_scratch("none.ini"));
    SAYS(said.text, "none.ini");
    ck_assert_str_eq(scratch_read("run/readings.csv"), HEAD "old\n");
    noted_is("");
    scratch_file("run/adapter.log", "# adapter log\n" AT("1", "a", "store=20"));
    unlink(in_scratch("run/notes.csv"));
    scratch_folder("run/notes.csv"); /* no note can be written there */
    ENDS(NR_OK, &nr_cmd_rebuild, "", run);
    SAYS(said.text, "the readings are in place, but notes.csv could not be written");
    ck_assert_str_eq(scratch_read("run/readings.csv"), HEAD ROW("1", "20.0000"));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {of_an_adapter, by_hand, of_a_table, not_done, NULL};
    return run_tests_in("rebuild command", tests, set_up, scratch_remove);
}
