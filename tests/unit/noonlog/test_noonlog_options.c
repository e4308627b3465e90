/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog's command lines: the limits of every number, how many words a command takes, and what
 * does not go together. The limits are what a person could mean; they stand here once more. */
#include "logger/noonlog/commands.h"

#include "logger/watch/view.h"
#include "tests/unit/command_run.h"

START_TEST(numbers)
{
    static const option_limits of[] = {
        {&nr_cmd_record, "for", "0s", "0.001s", "3650d", "315360001s"},
        {&nr_cmd_record, "sync", "0s", "0.001s", "1d", "86401s"},
        {&nr_cmd_take, "every", "59.9s", "60s", "1d", "86401s"},
        {&nr_cmd_note, "at", "-1s", "0s", "3650d", "315360001s"},
        {&nr_cmd_bath, "u", "-0.1", "0", "10", "10.1"},
        {&nr_cmd_bath, "pressure", "299", "300", "1100", "1101"},
        {&nr_cmd_bath, "for", "0s", "0.001s", "1d", "86401s"},
        {&nr_cmd_listen, "for", "0s", "0.001s", "1d", "86401s"},
        {&nr_cmd_draft, "baud", "299", "300", "1000000", "1000001"},
        {&nr_cmd_draft, "for", "0s", "0.001s", "1h", "3601s"},
        {&nr_cmd_import, "skip", "-1", "0", "1000000", "1000001"}};
    options_within(of, sizeof of / sizeof *of);
}
END_TEST

START_TEST(words)
{
    words_within(&nr_cmd_ports, 0, 0);
    words_within(&nr_cmd_keys, 0, 0);
    words_within(&nr_cmd_draft, 1, 2);
    words_within(&nr_cmd_listen, 1, 1);
    words_within(&nr_cmd_record, 1, 2);
    words_within(&nr_cmd_watch, 1, 1);
    words_within(&nr_cmd_serve, 1, 1);
    words_within(&nr_cmd_note, 1, 2);
    words_within(&nr_cmd_status, 1, 1);
    words_within(&nr_cmd_stop, 1, 1);
    words_within(&nr_cmd_bath, 1, 2);
    words_within(&nr_cmd_rebuild, 1, 1);
    words_within(&nr_cmd_take, 1, NR_ANY_NUMBER);
    words_within(&nr_cmd_import, 1, 2);
}
END_TEST

/* Refused for its command line, in these words. */
#define USAGE(words, command, ...)                                                                 \
    do {                                                                                           \
        ENDS(NR_BAD, &nr_cmd_##command, "", __VA_ARGS__);                                          \
        SAYS(command_error(), words);                                                              \
        SAYS(command_error(), "see `noonlog " #command " --help`");                                \
    } while (0)
/* Its command line is good: what is wrong is that there is no such file. */
#define NO_FILE(command, ...)                                                                      \
    do {                                                                                           \
        ENDS(NR_BAD, &nr_cmd_##command, "", __VA_ARGS__);                                          \
        SAYS_NOT(command_error(), "--help");                                                       \
        SAYS(command_error(), "nowhere");                                                          \
    } while (0)

START_TEST(of_record)
{
    USAGE("wants a rig file and a new folder", record, "nowhere.ini");
    NO_FILE(record, "nowhere.ini", "run");
    USAGE("--resume wants one folder", record, "--resume", "nowhere.ini", "run");
    NO_FILE(record, "--resume", "nowhere");
    SAYS(command_error(), "nowhere/rig.ini");
    USAGE("--mqtt and --topic go together", record, "nowhere.ini", "run", "--mqtt", "broker");
    USAGE("--mqtt and --topic go together", record, "nowhere.ini", "run", "--topic", "shed");
    NO_FILE(record, "nowhere.ini", "run", "--topic", "shed", "--mqtt", "broker");
    USAGE("--mqtt-login is for --mqtt", record, "nowhere.ini", "run", "--mqtt-login", "file");
    NO_FILE(record, "nowhere.ini", "run", "--topic", "shed", "--mqtt", "broker", "--mqtt-login",
            "file");
}
END_TEST

START_TEST(of_bath)
{
    static const char one_of[] = "give one of --reference, --at, --ice and --boiling";
    NO_FILE(bath, "nowhere.ini");
    NO_FILE(bath, "nowhere.ini", "--ice");
    NO_FILE(bath, "nowhere.ini", "--ice", "--boiling", "--pressure", "950", "--u", "0.1");
    NO_FILE(bath, "nowhere.ini", "--at", "24C", "--u", "0.1");
    NO_FILE(bath, "nowhere.ini", "--reference", "air", "--u", "0.1");
    NO_FILE(bath, "nowhere", "nowhere2", "--ice", "--boiling");
    USAGE(one_of, bath, "nowhere.ini", "--at", "24C", "--ice");
    USAGE(one_of, bath, "nowhere.ini", "--at", "24C", "--boiling");
    USAGE(one_of, bath, "nowhere.ini", "--at", "24C", "--reference", "air");
    USAGE(one_of, bath, "nowhere.ini", "--ice", "--reference", "air");
    USAGE("--u belongs to", bath, "nowhere.ini", "--u", "0.1");
    USAGE("--pressure belongs to --boiling", bath, "nowhere.ini", "--pressure", "950");
    USAGE("--pressure belongs to --boiling", bath, "nowhere.ini", "--pressure", "950", "--ice");
    USAGE("wants one rig file or run folder", bath, "nowhere", "nowhere2");
    USAGE("wants one rig file or run folder", bath, "nowhere", "nowhere2", "--ice");
    USAGE("wants one rig file or run folder", bath, "nowhere", "nowhere2", "--boiling");
}
END_TEST

START_TEST(of_import)
{
    USAGE("a page wants the run folder", import, "nowhere.html");
    USAGE("a page wants the run folder", import, "nowhere.html", "run", "--rig", "rig.ini");
    USAGE("a page wants the run folder", import, "nowhere.html", "run", "--map", "1=store");
    NO_FILE(import, "nowhere.html", "run");
    NO_FILE(import, "nowhere.html#2", "run");
    USAGE("wants a table and the run folder", import, "nowhere.csv", "--rig", "rig.ini");
    NO_FILE(import, "nowhere.csv", "--rig", "rig.ini", "--preview");
    NO_FILE(import, "nowhere.csv");
    NO_FILE(import, "nowhere.csv", "run");
}
END_TEST

START_TEST(of_others)
{
    USAGE("wants a run folder and one text", note, "nowhere");
    ENDS(NR_CANNOT, &nr_cmd_note, "", "nowhere", "--pump", "on"); /* of no recording */
    ENDS(NR_CANNOT, &nr_cmd_note, "", "nowhere", "stirred");
    USAGE("give on or off", note, "nowhere", "--pump", "slow");
    NO_FILE(listen, "nowhere.ini");
    ENDS(NR_CANNOT, &nr_cmd_status, "", "nowhere");
    ENDS(NR_CANNOT, &nr_cmd_stop, "", "nowhere");
    NO_FILE(rebuild, "nowhere");
    NO_FILE(rebuild, "nowhere", "--rig", "nowhere.ini");
    USAGE("give si or us", watch, "nowhere", "--units", "kelvin");
    ENDS(NR_OK, &nr_cmd_keys, "");
    SAYS(said.out, "gross_area_m2");
}
END_TEST

/* A run that is over, and no noonfit to ask. */
static void make_run(void)
{
    setenv("PATH", "/nonexistent", 1);
    scratch_make();
    scratch_folder("run");
    scratch_file("run/readings.csv", "time_utc,elapsed_s,store_degC\n"
                                     "2026-05-04T11:22:30.000Z,0.000,20.50\n");
}

/* COLUMNSxROWS, within what a view can hold. */
START_TEST(size_of_the_view)
{
    char most[20], much[20];
    make_run();
    snprintf(most, sizeof most, "%dx%d", NR_VIEW_COLUMNS, NR_VIEW_LINES);
    const char *const good[] = {"1x1", "80x24", most};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        ENDS(NR_OK, &nr_cmd_watch, "", in_scratch("run"), "--once", "--size", good[i]);
    const char *const bad[] = {"80",  "80x",   "0x24",  "80x0", "80x24x",
                               "x24", "-1x24", "80 24", much};
    snprintf(much, sizeof much, "%dx%d", NR_VIEW_COLUMNS + 1, NR_VIEW_LINES);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        USAGE("--size wants columns and rows, up to 160x100", watch, in_scratch("run"), "--once",
              "--size", bad[i]);
    snprintf(much, sizeof much, "%dx%d", NR_VIEW_COLUMNS, NR_VIEW_LINES + 1);
    USAGE("--size wants columns and rows", watch, in_scratch("run"), "--once", "--size", much);
    scratch_remove();
}
END_TEST

START_TEST(targets)
{
    make_run();
    static const struct {
        const char *good, *bad;
    } of[] = {{"0C", "-0.1C"}, {"100C", "100.1C"}, {"212F", "212.2F"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        ENDS(NR_OK, &nr_cmd_watch, "", in_scratch("run"), "--once", "--target", of[i].good);
        USAGE("--target", watch, in_scratch("run"), "--once", "--target", of[i].bad);
    }
    /* a bare number in the units shown */
    ENDS(NR_OK, &nr_cmd_watch, "", in_scratch("run"), "--once", "--target", "110", "--units", "us");
    USAGE("write 110F", watch, in_scratch("run"), "--once", "--target", "110", "--units", "si");
    /* serve's page sets one, and shows it with one decimal: the ends cannot be reached. The address
     * is no address: what is said of the target comes first. */
    USAGE("--target", serve, in_scratch("run"), "--target", "0.09C", "--listen", "nowhere");
    USAGE("--target", serve, in_scratch("run"), "--target", "100C", "--listen", "nowhere");
    ENDS(NR_BAD, &nr_cmd_serve, "", in_scratch("run"), "--target", "0.1C", "--listen", "nowhere");
    SAYS_NOT(command_error(), "--target");
    ENDS(NR_BAD, &nr_cmd_serve, "", in_scratch("run"), "--target", "99.9C", "--listen", "nowhere");
    SAYS_NOT(command_error(), "--target");
    scratch_remove();
}
END_TEST

START_TEST(units)
{
    ck_assert_str_eq(nr_cmd_units(2, "si"), "us");
    ck_assert_str_eq(nr_cmd_units(1, "us"), "si");
    ck_assert_str_eq(nr_cmd_units(0, "us"), "us");
    ck_assert_str_eq(nr_cmd_units(0, ""), "");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {numbers,   words,     of_record,        of_bath,
                                  of_import, of_others, size_of_the_view, targets,
                                  units,     NULL};
    return run_tests("options of noonlog", tests);
}
