/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Run folders inside a page: what goes in comes out to the byte; a page that was damaged, cut, or
 * made by somebody who means harm gives a reason and nothing else. */
#include "logger/packed/packed.h"
#include "logger/run/folder.h"
#include "tests/unit/near.h"
#include "tests/unit/one_run.h"

#include <sys/stat.h>
#include <unistd.h>

static const char rig[] = "[collector]\nname = stand\ngross_area_m2 = 1\n[store]\nwater_kg = 40\n"
                          "[channel store]\nunit = degC\n[channel sun]\nunit = W_m2\n";
static const char readings[] = "time_utc,elapsed_s,store_degC,sun_W_m2\n"
                               "2026-05-04T10:00:00.000Z,0.000,20.0000,900.00\n"
                               "2026-05-04T10:00:01.000Z,1.000,20.0100,901.00\n";

static char *page;
static size_t length;

static FILE *begin(void)
{
    FILE *to = open_memstream(&page, &length);
    ck_assert_ptr_nonnull(to);
    fputs("<!DOCTYPE html>\n<p>words</p>\n", to);
    return to;
}

static void put(FILE *to, unsigned run, const char *name, const char *text, size_t size)
{
    nr_err err = {0};
    ck_assert_msg(nr_packed_write(to, run, "wash & \"stand\" <1>", name, text, size, &err) == NR_OK,
                  "%s", err.text);
    fputs("\n", to);
}

static void make_page(void)
{
    FILE *to = begin();
    put(to, 1, "rig.ini", rig, strlen(rig));
    put(to, 1, "readings.csv", readings, strlen(readings));
    fclose(to);
}

static nr_code parse(nr_packed **p, nr_err *err)
{
    return nr_packed_parse(page, length, "page.html", p, err);
}

static void refused(const char *words)
{
    nr_packed *p = NULL;
    nr_err err = {0};
    ck_assert_int_eq(parse(&p, &err), NR_BAD);
    ck_assert_ptr_null(p);
    ck_assert_msg(strstr(err.text, words) != NULL, "\"%s\" is not in: %s", words, err.text);
    free(page);
}

START_TEST(in_and_out)
{
    /* every byte there is, long enough for several blocks, and nothing at all */
    static char all[100000];
    nr_packed *p;
    nr_err err = {0};
    for (size_t i = 0; i < sizeof all; i++)
        all[i] = (char)(i * 7 + i / 256);
    FILE *to = begin();
    put(to, 1, "rig.ini", all, sizeof all);
    put(to, 1, "readings.csv", "", 0);
    put(to, 2, "rig.ini", rig, strlen(rig));
    put(to, 2, "readings.csv", readings, strlen(readings));
    put(to, 2, "results.json", "{}", 2);
    fclose(to);
    ck_assert_msg(parse(&p, &err) == NR_OK, "%s", err.text);
    ck_assert_uint_eq(p->runs, 2);
    ck_assert_uint_eq(p->files, 5);
    const nr_packed_file *f = nr_packed_find(p, 1, "rig.ini");
    ck_assert_uint_eq(f->length, sizeof all);
    ck_assert_int_eq(memcmp(f->bytes, all, sizeof all), 0);
    ck_assert_str_eq(f->folder, "wash & \"stand\" <1>");
    ck_assert_uint_eq(nr_packed_find(p, 1, "readings.csv")->length, 0);
    ck_assert_str_eq(nr_packed_find(p, 2, "readings.csv")->bytes, readings);
    ck_assert_ptr_null(nr_packed_find(p, 1, "results.json"));
    nr_packed_free(p);
    free(page);
}
END_TEST

START_TEST(damage)
{
    nr_packed *p;
    make_page();
    char *base64 = strstr(page, "base64,") + 40;
    *base64 = *base64 == 'A' ? 'B' : 'A';
    refused("damaged");
    make_page();
    strstr(page, "data-bytes=\"")[12]++; /* another size than is there */
    refused("damaged");
    make_page();
    char *sum = strstr(page, "data-sha256=\"") + 13;
    *sum = *sum == '0' ? '1' : '0';
    refused("damaged");
    make_page();
    strstr(page, "data-run=\"1")[10] = '0';
    refused("did not write");
    make_page();
    strstr(page, "readings.csv\" data-bytes")[0] = 'R'; /* a name that is none of ours */
    refused("did not write");
    make_page();
    /* cut anywhere: an error, or what was whole before the cut; never more */
    for (size_t whole = length; length > 0; length = length * 9 / 10) {
        nr_code code = nr_packed_parse(page, length, "page.html", &p, NULL);
        ck_assert(code == (length == whole || length > whole - 30 ? NR_OK : NR_BAD));
        nr_packed_free(p);
    }
    free(page);
    FILE *to = begin();
    fclose(to);
    refused("holds no record");
    to = begin();
    put(to, 1, "rig.ini", rig, strlen(rig));
    fclose(to);
    refused("has no readings.csv");
    to = begin();
    put(to, 1, "rig.ini", rig, strlen(rig));
    put(to, 1, "rig.ini", rig, strlen(rig));
    fclose(to);
    refused("twice");
}
END_TEST

/* A small page that promises, or unpacks to, a great deal. */
START_TEST(bombs)
{
    static char zeros[8000000];
    FILE *to = begin();
    put(to, 1, "rig.ini", zeros, sizeof zeros);
    fclose(to);
    ck_assert_uint_lt(length, 20000);
    memcpy(strstr(page, "8000000"), "0000009", 7); /* more comes than was said */
    refused("damaged");
    to = begin();
    put(to, 1, "rig.ini", "x", 1);
    fputs("<a class=\"record\" data-run=\"1\" data-folder=\"f\" data-file=\"notes.csv\" "
          "data-bytes=\"999999999999\" data-sha256=\"0\" href=\"data:application/gzip;base64,\">",
          to);
    fclose(to);
    refused("did not write");
}
END_TEST

START_TEST(names)
{
    char name[NR_PACKED_NAME];
    static const char *const cases[][2] = {{"/home/ann/runs/monday/", "monday"},
                                           {"monday", "monday"},
                                           {"../..", "run"},
                                           {"/", "run"},
                                           {"", "run"},
                                           {"a/\033[2Jb", "?[2Jb"}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        nr_packed_folder_name(cases[i][0], name);
        ck_assert_str_eq(name, cases[i][1]);
    }
    ck_assert(nr_packed_is_page("a/b.html") && nr_packed_is_page("B.HTM"));
    ck_assert(!nr_packed_is_page("html") && !nr_packed_is_page("a.html/") &&
              !nr_packed_is_page("a.htmlx"));
}
END_TEST

/* The table of an import has its own name on the disk, but never a path, nor how.ini's. */
START_TEST(table_names)
{
    static const struct {
        const char *how, *name;
    } cases[] = {{"; words\n\ntable = my table (1).csv\nzone = UTC\n", "my table (1).csv"},
                 {"table = x\r\n", "x"},
                 {"table = x", "x"},
                 {"; table = x\n", NULL},
                 {"table = ../x\n", NULL},
                 {"table = ..\n", NULL},
                 {"table = a/b\n", NULL},
                 {"table = .x\n", NULL},
                 {"table = how.ini\n", NULL},
                 {"table = a\tb\n", NULL},
                 {"table = \n", NULL},
                 {"", NULL}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char name[NR_PACKED_TABLE_NAME];
        bool good = nr_packed_table_name(cases[i].how, strlen(cases[i].how), name);
        ck_assert_msg(good == (cases[i].name != NULL), "case %zu", i);
        if (good)
            ck_assert_str_eq(name, cases[i].name);
    }
    char longest[NR_PACKED_TABLE_NAME + 16], name[NR_PACKED_TABLE_NAME];
    (void)snprintf(longest, sizeof longest, "table = %0255d", 1);
    ck_assert(nr_packed_table_name(longest, strlen(longest), name));
    (void)snprintf(longest, sizeof longest, "table = %0256d", 1);
    ck_assert(!nr_packed_table_name(longest, strlen(longest), name));
}
END_TEST

START_TEST(a_folder_again)
{
    char folder[64] = "/tmp/test_packed.XXXXXX", run[80], path[128];
    nr_packed *p;
    nr_err err = {0};
    ck_assert_ptr_nonnull(mkdtemp(folder));
    (void)snprintf(run, sizeof run, "%s/run", folder);
    make_page();
    ck_assert_int_eq(parse(&p, &err), NR_OK);
    ck_assert_msg(nr_packed_unpack(p, 1, run, &err) == NR_OK, "%s", err.text);
    nr_run *opened;
    ck_assert_msg(one_run(run, &opened, &err) == NR_OK, "%s", err.text);
    ck_assert_uint_eq(opened->readings->rows, 2);
    nr_run_free(opened);
    ck_assert_int_eq(nr_packed_unpack(p, 1, run, &err), NR_BAD); /* never over one that is there */
    ck_assert_ptr_nonnull(strstr(err.text, "already"));
    (void)snprintf(path, sizeof path, "%s/page.html", folder);
    FILE *f = fopen(path, "w");
    fwrite(page, 1, length, f);
    fclose(f);
    bool is_page;
    ck_assert_uint_eq(nr_run_count(path, &is_page), 1);
    ck_assert(is_page);
    ck_assert_msg(one_run(path, &opened, &err) == NR_OK, "%s", err.text);
    ck_assert_uint_eq(opened->readings->rows, 2);
    char *bytes;
    size_t size;
    ck_assert_int_eq(nr_run_file(opened, "rig.ini", &bytes, &size, &err), NR_OK);
    ck_assert_str_eq(bytes, rig);
    free(bytes);
    ck_assert_int_eq(nr_run_file(opened, "adapter.log", &bytes, &size, &err), NR_CANNOT);
    nr_run_free(opened);
    nr_packed_free(p);
    free(page);
    char command[128];
    (void)snprintf(command, sizeof command, "rm -rf '%s'", folder);
    ck_assert_int_eq(system(command), 0);
}
END_TEST

/* Of a page with several runs one is named behind '#', from 1; with one alone nothing has to be. */
START_TEST(one_of_a_page)
{
    static const char noted[] = NR_NOTES_HEADER "2026-05-04T10:00:00Z,0,note,\"second\"\n";
    static const struct {
        const char *name; /* behind the page's own */
        bool is_page;
        unsigned count;
        const char *refused; /* NULL: the run is opened */
    } of[] = {{"", true, 3, "has 3 runs inside; name one: "},
              {"#1", true, 1, NULL},
              {"#2", true, 1, NULL},
              {"#3", true, 1, NULL},
              {"#4", true, 1, "has 3 runs, no run 4"},
              {"#64", true, 1, "has 3 runs, no run 64"},
              {"#65", false, 1, "cannot be opened as a run folder"},
              {"#0", false, 1, "cannot be opened as a run folder"},
              {"#", false, 1, "cannot be opened as a run folder"},
              {"#two", false, 1, "cannot be opened as a run folder"},
              {"#2#1", false, 1, "cannot be opened as a run folder"}};
    char path[] = "/tmp/test_packed_XXXXXX.html", name[64], more[700];
    FILE *to = begin();
    for (unsigned run = 1; run <= 3; run++) {
        snprintf(more, sizeof more, "%s2026-05-04T10:00:02.000Z,2.000,%u.0000,1.00\n", readings,
                 run);
        put(to, run, "rig.ini", rig, strlen(rig));
        put(to, run, "readings.csv", more, strlen(more));
        if (run == 2)
            put(to, run, "notes.csv", noted, strlen(noted));
    }
    fclose(to);
    int fd = mkstemps(path, 5);
    ck_assert_int_eq((int)write(fd, page, length), (int)length);
    close(fd);
    free(page);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_run *run = NULL;
        nr_err err = {0};
        bool is_page;
        snprintf(name, sizeof name, "%s%s", path, of[i].name);
        ck_assert_uint_eq(nr_run_count(name, &is_page), of[i].count);
        ck_assert_msg(is_page == of[i].is_page, "%s", name);
        ck_assert_int_eq(one_run(name, &run, &err), of[i].refused ? NR_BAD : NR_OK);
        if (of[i].refused) {
            ck_assert_msg(strstr(err.text, of[i].refused), "%s: %s", name, err.text);
            continue;
        }
        nr_values store = nr_column_values(nr_readings_column(run->readings, "store"));
        ck_assert_uint_eq(run->readings->rows, 3);
        NEAR(nr_number(&store, 2), (double)i, 1e-9); /* its own and no other's */
        ck_assert_uint_eq(run->notes->count, i == 2);
        nr_run_free(run);
    }
    unlink(path);
    bool is_page;
    ck_assert_uint_eq(nr_run_count(path, &is_page), 1); /* a page's name, and no page */
    ck_assert(!is_page);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {in_and_out,  damage,         bombs,         names,
                                  table_names, a_folder_again, one_of_a_page, NULL};
    return run_tests("packed", tests);
}
