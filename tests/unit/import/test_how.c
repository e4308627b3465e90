/* SPDX-License-Identifier: GPL-3.0-or-later */
/* imported/how.ini as a person may have edited it: what is taken, and what is refused with its
 * line. Tables that look like one and are none. Expected: what the headers say. */
#include "logger/import/how.h"
#include "logger/import/table_doubts.h"
#include "tests/unit/import/tables.h"

#include <check.h>

/* The longest line there may be, as how.h's reader has it. */
#define LONGEST 599

static nr_import_how how;
static nr_rig rig;
static nr_err err;

static void a_rig(void)
{
    static const char text[] = "[collector]\ngross_area_m2 = 1.5\n[channel store]\nunit = "
                               "degC\n[channel air]\nunit = degC\n";
    ck_assert_msg(
        nr_rig_parse(text, strlen(text), "rig.ini", NR_RIG_FOR_READINGS, &rig, NULL, &err) == NR_OK,
        "%s", err.text);
}

static nr_code read_how(const char *text)
{
    memset(&err, 0, sizeof err);
    return nr_import_how_read(text, strlen(text), "how.ini", &rig, &how, &err);
}

static void refused(const char *text, long line, const char *words)
{
    ck_assert_msg(read_how(text) == NR_BAD, "taken:\n%s", text);
    ck_assert_msg(err.line == line && strstr(err.text, words), "line %ld: %s", err.line, err.text);
}

START_TEST(keys_are_taken)
{
    a_rig();
    ck_assert(read_how("; a remark = none\n\ntable = tank.csv\nskip = 3\n time=Date+Time \n"
                       "time_format = %d.%m.%Y\nzone = UTC+02:00\nstart = 2026-06-21\n"
                       "map = 2=store degF\nmap = 3=gone\nmap = 4=\nmap = 5=air\n") == NR_OK);
    ck_assert_str_eq(how.table, "tank.csv");
    ck_assert_int_eq(how.stated.skip, 3);
    ck_assert_str_eq(how.stated.time, "Date+Time");
    ck_assert_str_eq(how.stated.format, "%d.%m.%Y");
    ck_assert_str_eq(how.stated.zone, "UTC+02:00");
    ck_assert_str_eq(how.stated.start, "2026-06-21");
    /* A channel that the rig does not have is passed over; a column left out stays out. */
    ck_assert_uint_eq(how.stated.maps, 3);
    ck_assert_str_eq(how.stated.map[0], "2=store degF");
    ck_assert_str_eq(how.stated.map[1], "4=");
    ck_assert_str_eq(how.stated.map[2], "5=air");
}
END_TEST

START_TEST(limits)
{
    static char text[40 * 1000];
    a_rig();
    ck_assert(read_how("table = t\nskip = 0\n") == NR_OK && how.stated.skip == 0);
    ck_assert(read_how("table = t\nskip = 1000000\n") == NR_OK && how.stated.skip == 1000000);
    refused("table = t\nskip = 1000001\n", 2, "number of lines");
    refused("table = t\nskip = -1\n", 2, "number of lines");
    refused("table = t\nskip = few\n", 2, "number of lines");
    /* Lines: a longest one, one longer, and remarks, which may be of any length. */
    for (int more = 0; more < 2; more++) {
        snprintf(text, sizeof text, "table = t\ntime =%*s\n", LONGEST - 6 + more, "T");
        if (more)
            refused(text, 2, "too long");
        else
            ck_assert(read_how(text) == NR_OK && strcmp(how.stated.time, "T") == 0);
    }
    for (int length = LONGEST - 1; length < LONGEST + 3; length++) {
        snprintf(text, sizeof text, ";%*s\ntable = t\n", length, "=");
        ck_assert_msg(read_how(text) == NR_OK, "%d: %s", length, err.text);
        snprintf(text, sizeof text, "table = t\n;;%*s\nskip = 7\n", length, "=");
        ck_assert(read_how(text) == NR_OK && how.stated.skip == 7);
    }
    /* A semicolon elsewhere makes no remark of a line. */
    snprintf(text, sizeof text, "table = t\nx;%*s\n", LONGEST, "=");
    refused(text, 2, "too long");
    /* As many maps as there may be, and one more. */
    size_t used = (size_t)snprintf(text, sizeof text, "table = t\n");
    for (int i = 0; i < NR_MAPS; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "map = %d=\n", i + 1);
    ck_assert(read_how(text) == NR_OK && how.stated.maps == NR_MAPS);
    snprintf(text + used, sizeof text - used, "map = 1=store\n");
    refused(text, NR_MAPS + 2, "too many maps");
}
END_TEST

START_TEST(what_is_no_key)
{
    a_rig();
    refused("table = t\nsurprise = 1\n", 2, "it knows table, skip");
    refused("table = t\n\nsurprise\n", 3, "key = value");
    refused("skip = 1\n", 0, "does not name its table");
    refused("table = up/t\n", 0, "does not name its table");
}
END_TEST

/* kept: it is one table. */
static const struct {
    const char *text, *words;
    long line;
} doubts[] = {
    {"Time,Tank,Air\n12:00,18,20\n12:01,19,20\n", NULL, 0},
    /* A head again: the same one is passed over, another one begins another table. */
    {"Time,Tank,Air\n12:00,18,20\nTime,Tank,Air\n12:01,19,20\n", NULL, 0},
    {"Time,Tank,Air\n12:00,18,20\nTime,Air,Tank\n12:01,20,19\n", "another table", 3},
    {"Time,Tank (C),Air\n12:00,18,20\nTime,Tank (F),Air\n12:01,66,20\n", "another table", 3},
    /* One name alone is a remark. */
    {"Time,Tank,Air\n12:00,18,20\nTank,filled,here\n12:01,19,20\n", NULL, 0},
    /* Decimal commas among commas. */
    {"Time,Tank,Air\n12:00,18,5,20,1\n12:01,18,7,20,2\n", "decimal commas", 2},
    /* Whose a reading is: one sensor alone is no doubt, two are, in turns or one after the other.
     */
    {"Time,Sensor,Value\n12:00,tank,18\n12:01,tank,19\n", NULL, 0},
    {"Time,Sensor,Value\n12:00,tank,18\n12:00,air,20\n", "(tank, air)", 2},
    {"Time,Sensor,Value\n12:00,tank,18\n12:01,tank,18\n12:00,air,20\n12:01,air,21\n", "(tank, air)",
     2},
    {"Time,Sensor,Value\n12:00,tank,18\n12:00,air,20\n12:01,tank,18\n12:01,air,21\n", "(tank, air)",
     2},
    {"Time,Sensor,Value\n12:00,tank,18\n12:00,air,20\n12:00,roof,40\n", "(tank, air)", 2},
    {"Time,Site,Value\n12:00,tank,18\n12:00,air,20\n", NULL, 0},
};

START_TEST(tables_that_are_none)
{
    looked l;
    read_table(&l, doubts[_i].text);
    nr_code code = nr_table_doubts(&l.table, &l.err);
    const char *words = doubts[_i].words;
    ck_assert_msg(code == (words ? NR_BAD : NR_OK), "%s: %s", doubts[_i].text, l.err.text);
    if (words)
        ck_assert_msg(strstr(l.err.text, words) && l.err.line == doubts[_i].line, "%ld: %s",
                      l.err.line, l.err.text);
    forget(&l);
}
END_TEST

/* The line that names the separator is none of the table; one that is cut off names nothing. */
/* How wide a table is: as most of its rows are. A stray row that is wider is none of its. */
START_TEST(as_wide_as_most_rows)
{
    static looked l;
    static char text[2000];
    size_t used = (size_t)snprintf(text, sizeof text, "time,a,b\n");
    for (int i = 0; i < 12; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "2026-05-16 10:%02d,%d,%d%s\n", i,
                                 18 + i, 20, i == 5 ? ",7,8,9" : "");
    read_table(&l, text);
    ck_assert_uint_eq(l.table.columns, 3);
    nr_table_free(&l.table);
}
END_TEST

START_TEST(separator_named)
{
    static const struct {
        const char *text;
        size_t length;
        char separator; /* '\0': no table */
        const char *first;
    } of[] = {{"sep=;\na,b;c\n1,5;2\n1,7;3\n", 0, ';', "a,b"},
              {"sep=;\"\na,b2;c\n1,5;2\n1,7;3\n", 0, ';', "a,b2"},
              {"sep=,\na;b,c\n1;5,2\n1;7,3\n", 0, ',', "a;b"},
              {"sep=;\n", 5, '\0', NULL},
              {"sep=;\n", 6, ';', NULL}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_cells cells;
        size_t length = of[i].length ? of[i].length : strlen(of[i].text);
        nr_code code = nr_cells_read(of[i].text, length, "t", 0, &cells, &err);
        ck_assert_msg((code == NR_OK) == (of[i].separator != '\0'), "%zu: %s", i, err.text);
        if (code != NR_OK)
            continue;
        ck_assert_msg(cells.separator == of[i].separator, "%zu: %c", i, cells.separator);
        ck_assert(of[i].first ? !strcmp(nr_cells_at(&cells, 0, 0), of[i].first) : cells.rows == 0);
        nr_cells_free(&cells);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("how a table was read");
    TCase *tests = tcase_create("how");
    tcase_add_test(tests, keys_are_taken);
    tcase_add_test(tests, limits);
    tcase_add_test(tests, what_is_no_key);
    tcase_add_test(tests, separator_named);
    tcase_add_test(tests, as_wide_as_most_rows);
    tcase_add_loop_test(tests, tables_that_are_none, 0, sizeof doubts / sizeof *doubts);
    suite_add_tcase(suite, tests);
    return run_suite(suite);
}
