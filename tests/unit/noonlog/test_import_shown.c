/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `import` shows of a values, letter by letter: heads cut by columns, not bytes, names of one
 * width, first and last readings; and the runs inside a page, which become folders again. */
#include "logger/noonlog/commands.h"
#include "logger/noonlog/import_page.h"

#include "logger/packed/packed.h"
#include "tests/unit/command_run.h"

#define RIG                                                                                        \
    "[collector]\ngross_area_m2 = 1.5\n[store]\nwater_kg = 40\n[channel store]\nunit = degC\n"     \
    "[channel air]\nunit = degC\n[channel sun]\nunit = W_m2\n"
#define HEAD "  column                      channel     unit          first       last  why\n"

static const char *shown(const char *values)
{
    char *path = scratch_file("t.csv", values), *rig = scratch_file("r.ini", RIG);
    ENDS(NR_OK, &nr_cmd_import, "", path, "--rig", rig, "--preview", "--zone", "UTC");
    return said.out;
}

START_TEST(a_table)
{
    char first[400];
    const char *text = shown("Time,Store (degF),Air (degC),Sun (W/m2)\n"
                             "2026-05-16 10:15:00,68,15,800\n2026-05-16 10:16:00,68.9,15.5,\n"
                             "2026-05-16 10:17:30,70.7,16,820.25\n");
    snprintf(first, sizeof first, "%s: 3 rows in 2.5 min, 2026-05-16T10:15:00.000Z to",
             in_scratch("t.csv"));
    SAYS(text, first);
    SAYS(text,
         "time from Time.\n\n" HEAD
         "  Store (degF)                store       degF             68       70.7  its name\n"
         "  Air (degC)                  air         degC             15         16  its name\n"
         "  Sun (W/m2)                  sun         W_m2            800     820.25  its name\n"
         "\n  - times are by the clocks of UTC\n");
    SAYS(text, "\nNothing was written (--preview).\n");
    text = shown("Time,Store\n2026-05-16 10:15:00,68\n");
    SAYS(text, ": 1 row in 0 min, 2026-05-16T10:15:00.000Z to");
    text = shown("Minutes,Store,Air\n0,20,\n1,21,\n2,22,15\n"); /* no date */
    SAYS(text, ": 3 rows in 2 min, time from Minutes.\n\n" HEAD);
    SAYS(text, "its name\n  Air                         air         degC ");
}
END_TEST

/* Twenty-six columns of a head: a letter of two bytes is one, and is not cut in two. */
START_TEST(long_heads)
{
    static const char *const heads[][2] = {
        {"Store at the upper end 12", "Store at the upper end 12 "},
        {"Store at the upper end 123", "Store at the upper end 123"},
        {"Store at the upper end 1234", "Store at the upper end 123"},
        {"Store am Gerät äußerst oben", "Store am Gerät äußerst obe"},
        {"Store ääääääääääääääääääää", "Store ääääääääääääääääääää"},
        {"Store äääääääääääääääääääää", "Store ääääääääääääääääääää"}};
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
        char values[300], line[200];
        snprintf(values, sizeof values, "Time,%s\n2026-05-16 10:15:00,20\n2026-05-16 10:16:00,21\n",
                 heads[i][0]);
        snprintf(line, sizeof line, "\n  %s  store       degC             20         21  ",
                 heads[i][1]);
        SAYS(shown(values), line);
    }
}
END_TEST

/* The longest name that is matched makes the column, up to twenty. */
START_TEST(long_names)
{
    static const struct {
        const char *name;
        int wide;
    } of[] = {{"roof_north", 10},
              {"roof_north1", 11},
              {"roof_north_at_the_to", 20},
              {"roof_north_at_the_top", 20}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char rig[600], values[300], line[200];
        snprintf(rig, sizeof rig,
                 RIG "[channel %s]\nunit = degC\n[channel never_there_and_long]\nunit = degC\n",
                 of[i].name);
        snprintf(values, sizeof values,
                 "Time,Store,%s\n2026-05-16 10:15:00,20,5\n2026-05-16 10:16:00,21,6\n", of[i].name);
        char *path = scratch_file("t.csv", values), *file = scratch_file("r.ini", rig);
        ENDS(NR_OK, &nr_cmd_import, "", path, "--rig", file, "--preview", "--zone", "UTC");
        snprintf(line, sizeof line, "  %-26s  %-*s  unit    ", "column", of[i].wide, "channel");
        SAYS(said.out, line);
        snprintf(line, sizeof line, "  %-26s  %-*.*s  degC  ", of[i].name, of[i].wide, of[i].wide,
                 of[i].name);
        SAYS(said.out, line);
    }
}
END_TEST

START_TEST(what_is_written)
{
    char words[1200], run[200];
    char *path =
        scratch_file("t.csv", "Time,Store\n2026-05-16 10:15:00,20\n2026-05-16 10:16:00,21\n");
    char *rig = scratch_file("r.ini", RIG);
    snprintf(run, sizeof run, "%s", in_scratch("run"));
    ENDS(NR_OK, &nr_cmd_import, "", path, run, "--rig", rig, "--zone", "UTC");
    snprintf(words, sizeof words, "\nWritten to %s. Next: `noonfit inspect %s`.\n", run, run);
    SAYS(said.out, words);
    snprintf(run, sizeof run, "%s", in_scratch("drafted"));
    ENDS(NR_OK, &nr_cmd_import, "", path, run, "--zone", "UTC", "--preview");
    ck_assert_int_ne(access(run, F_OK), 0);
    SAYS(said.out, "[channel store]");
    ENDS(NR_OK, &nr_cmd_import, "", path, run, "--zone", "UTC");
    SAYS_NOT(said.out, "[channel store]");
    snprintf(words, sizeof words,
             "\nWritten to %s, with a drafted rig file: fill in what begins with ; in\n%s/rig.ini "
             "(area and water at least), then `noonfit inspect %s`. After a change\nof channels or "
             "units: `noonlog rebuild %s`.\n",
             run, run, run, run);
    SAYS(said.out, words);
    ENDS(NR_BAD, &nr_cmd_import, "", path, "--zone", "UTC", "--map", "1=store");
    SAYS(command_error(), "--map wants a rig file with the channel: --rig RIG");
    ENDS(NR_BAD, &nr_cmd_import, "", path, in_scratch("x"), "--rig", in_scratch("none.ini"));
}
END_TEST

/* --- pages ------------------------------------------------------------------------------------ */

static const char readings[] =
    "time_utc,elapsed_s,store_degC\n2026-05-04T10:00:00.000Z,0.000,20.0000\n";

/* A page of runs of these names. */
static char *page(const char *const *names, unsigned count)
{
    char *path = scratch_file("page.html", "<!DOCTYPE html>\n");
    FILE *to = fopen(path, "a");
    for (unsigned run = 1; run <= count; run++) {
        char rig[300];
        snprintf(rig, sizeof rig, "[test]\ntitle = number %u\n" RIG, run);
        ck_assert(nr_packed_write(to, run, names[run - 1], "rig.ini", rig, strlen(rig), NULL) ==
                      NR_OK &&
                  nr_packed_write(to, run, names[run - 1], "readings.csv", readings,
                                  strlen(readings), NULL) == NR_OK);
        fputs("\n", to);
    }
    fclose(to);
    return path;
}

static void is_number(const char *folder, unsigned run)
{
    char name[100], title[40];
    snprintf(name, sizeof name, "%s/rig.ini", folder);
    snprintf(title, sizeof title, "title = number %u\n", run);
    SAYS(scratch_read(name), title);
    snprintf(name, sizeof name, "%s/readings.csv", folder);
    ck_assert_str_eq(scratch_read(name), readings);
}

START_TEST(a_page_of_one)
{
    static const char *const names[] = {"evening"};
    char words[300], *path = page(names, 1);
    ENDS(NR_OK, &nr_cmd_import, "", path, in_scratch("out"), "--preview");
    ck_assert_int_ne(access(in_scratch("out"), F_OK), 0);
    ENDS(NR_OK, &nr_cmd_import, "", path, in_scratch("out"));
    snprintf(words, sizeof words, "%s: run 1 of the page (evening), checksums right\n",
             in_scratch("out"));
    ck_assert_str_eq(said.out, words);
    is_number("out", 1);
    ENDS(NR_BAD, &nr_cmd_import, "", path, in_scratch("out")); /* it is there */
}
END_TEST

START_TEST(a_page_of_four)
{
    static const char *const names[] = {"evening", "noon", "evening", "evening"};
    char name[300], words[600], *path = page(names, 4);
    ENDS(NR_OK, &nr_cmd_import, "", path, in_scratch("all"), "--preview");
    ck_assert_int_ne(access(in_scratch("all"), F_OK), 0);
    ENDS(NR_OK, &nr_cmd_import, "", path, in_scratch("all"));
    is_number("all/evening", 1);
    is_number("all/noon", 2);
    is_number("all/evening-2", 3);
    is_number("all/evening-3", 4);
    snprintf(words, sizeof words, "%s/noon: run 2 of the page (noon), checksums right\n",
             in_scratch("all"));
    SAYS(said.out, words);
    for (unsigned run = 1; run <= 4; run++) {
        char to[20];
        snprintf(name, sizeof name, "%s#%u", path, run);
        snprintf(to, sizeof to, "only%u", run);
        ENDS(NR_OK, &nr_cmd_import, "", name, in_scratch(to));
        is_number(to, run);
    }
    snprintf(name, sizeof name, "%s#5", path);
    ENDS(NR_BAD, &nr_cmd_import, "", name, in_scratch("none"));
    SAYS(command_error(), "has 4 runs, no run 5");
    ENDS(NR_BAD, &nr_cmd_import, "", path, in_scratch("all"));
    SAYS(command_error(), "cannot be made; name a new folder");
}
END_TEST

START_TEST(names_of_pages)
{
    static const char *const good[] = {"a.html",    "a.htm",    "a.html#1",
                                       "a.html#64", "b#1.html", "b#x.html"};
    static const char *const bad[] = {"a.csv",    "a.html#0", "a.html#65", "a.html#",
                                      "a.html#x", "a.csv#1",  "#1",        ""};
    char longest[NR_ERR_FILE + 8];
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        ck_assert_msg(nr_import_is_page(good[i]), "%s", good[i]);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(!nr_import_is_page(bad[i]), "%s", bad[i]);
    for (int n = NR_ERR_FILE - 8; n < NR_ERR_FILE + 2; n++) {
        snprintf(longest, sizeof longest, "%0*d.html", n - 5, 0);
        ck_assert_int_eq(nr_import_is_page(longest), n < NR_ERR_FILE);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_table,       long_heads,     long_names,     what_is_written,
                                  a_page_of_one, a_page_of_four, names_of_pages, NULL};
    return run_tests_in("what import shows", tests, scratch_make, scratch_remove);
}
