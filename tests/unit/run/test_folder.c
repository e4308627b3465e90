/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/file.h"
#include "logger/run/folder.h"
#include "tests/unit/near.h"
#include "tests/unit/one_run.h"

#include <sys/stat.h>
#include <unistd.h>

static void put(const char *folder, const char *name, const char *text)
{
    char path[200];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *to = fopen(path, "w");
    ck_assert_ptr_nonnull(to);
    fputs(text, to);
    fclose(to);
}

static void clear(const char *folder)
{
    static const char *const names[] = {NR_RIG_FILE, NR_READINGS_FILE, NR_NOTES_FILE,
                                        NR_ADAPTER_LOG_FILE};
    for (int i = 0; i < 4; i++) {
        char path[200];
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        unlink(path);
    }
    rmdir(folder);
}

#define RIG "[collector]\ngross_area_m2=1.5\n[store]\nwater_kg=40\n"
#define READINGS "time_utc,elapsed_s,store_degC\n2026-05-04T11:22:33Z,0,21.5\n"
#define NOTES NR_NOTES_HEADER "2026-05-04T11:22:33Z,0,start,\n"

START_TEST(a_run_read_whole)
{
    char folder[] = "/tmp/nr-run-XXXXXX", slashed[64];
    nr_run *run = NULL;
    nr_err err = {0};
    ck_assert_ptr_nonnull(mkdtemp(folder));
    put(folder, NR_RIG_FILE, RIG);
    put(folder, NR_READINGS_FILE, READINGS);
    put(folder, NR_NOTES_FILE, NOTES);
    snprintf(slashed, sizeof slashed, "%s//", folder);
    nr_code code = one_run(slashed, &run, &err);
    clear(folder);
    ck_assert_msg(code == NR_OK, "%s: %s", err.file, err.text);
    ck_assert_str_eq(run->folder, folder);
    NEAR(run->rig.collector.gross_area_m2.value, 1.5, 0);
    ck_assert_uint_eq(run->readings->rows, 1);
    ck_assert_uint_eq(run->notes->count, 1);
    ck_assert_int_eq(run->notes->note[0].kind, NR_NOTE_START);
    nr_run_free(run);
    nr_run_free(NULL);
}
END_TEST

/* A bad cell can be mended where the adapter's own lines are kept. */
START_TEST(a_bad_cell_points_to_rebuild)
{
    char folder[] = "/tmp/nr-run-XXXXXX", log[64];
    nr_run *run = NULL;
    nr_err err = {0}, with = {0};
    ck_assert_ptr_nonnull(mkdtemp(folder));
    put(folder, NR_RIG_FILE, RIG);
    put(folder, NR_READINGS_FILE, READINGS "2026-05-04T11:22:34Z,1,2l.5\n");
    ck_assert_int_eq(one_run(folder, &run, &err), NR_BAD);
    put(folder, NR_ADAPTER_LOG_FILE, "");
    ck_assert_int_eq(one_run(folder, &run, &with), NR_BAD);
    snprintf(log, sizeof log, "%s/" NR_ADAPTER_LOG_FILE, folder);
    unlink(log);
    clear(folder);
    ck_assert_int_eq(with.line, 3);
    ck_assert_ptr_nonnull(strstr(with.text, "2l.5"));
    ck_assert_ptr_nonnull(strstr(with.text, "noonlog rebuild /tmp/nr-run-"));
    ck_assert_ptr_null(strstr(err.text, "rebuild"));
}
END_TEST

static void fails(const char *folder, const char *file, const char *word)
{
    nr_run *run = (nr_run *)1;
    nr_err err = {0};
    ck_assert_int_eq(one_run(folder, &run, &err), NR_BAD);
    ck_assert_ptr_null(run);
    ck_assert_msg(strstr(err.file, file), "%s", err.file);
    ck_assert_msg(strstr(err.text, word), "%s", err.text);
}

START_TEST(what_is_missing_is_named)
{
    char folder[] = "/tmp/nr-run-XXXXXX", path[200];
    ck_assert_ptr_nonnull(mkdtemp(folder));
    fails("/nonexistent", "/nonexistent", "No such file");
    fails(folder, "/rig.ini", "No such file");
    put(folder, NR_RIG_FILE, RIG);
    fails(folder, "/readings.csv", "No such file");
    put(folder, NR_READINGS_FILE, READINGS);
    snprintf(path, sizeof path, "%s/%s", folder, NR_READINGS_FILE);
    fails(path, "/readings.csv", "name the folder");
    nr_run *run = NULL;
    nr_err err = {0};
    ck_assert_int_eq(one_run(folder, &run, &err), NR_OK); /* notes may be missing */
    ck_assert_uint_eq(run->notes->count, 0);
    nr_run_free(run);
    put(folder, NR_NOTES_FILE, "nonsense\n");
    fails(folder, "/notes.csv", "header");
    put(folder, NR_RIG_FILE, "[collector]\n[store]\nwater_kg=1\n");
    fails(folder, "/rig.ini", "gross_area_m2");
    char longest[2 * NR_ERR_FILE];
    memset(longest, '/', sizeof longest - 1);
    longest[sizeof longest - 1] = '\0';
    fails(longest, "/", "too long");
    clear(folder);
}
END_TEST

/* 4 GB and a little: where a size_t has 32 bits only the little is left of it. */
START_TEST(more_than_memory_is_refused)
{
    char folder[] = "/tmp/nr-run-XXXXXX", path[64], *text = NULL;
    size_t length = 0;
    nr_err err = {0};
    ck_assert_ptr_nonnull(mkdtemp(folder));
    put(folder, NR_NOTES_FILE, "0123456789");
    snprintf(path, sizeof path, "%s/" NR_NOTES_FILE, folder);
    ck_assert_int_eq(nr_file_read(path, 10, &text, &length, &err), NR_OK);
    ck_assert_uint_eq(length, 10);
    free(text);
    ck_assert_int_eq(nr_file_read(path, 9, &text, &length, &err), NR_BAD);
    /* A hole: it takes no room on the disk. */
    int made = truncate(path, (off_t)1 << 32 | 10);
    nr_code code = nr_file_read(path, 1000, &text, &length, &err);
    clear(folder);
    ck_assert_int_eq(made, 0);
    ck_assert_int_eq(code, NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "larger than"));
}
END_TEST

/* A constant of the rig file is a reading of every row, unless the rows have readings of it. */
START_TEST(stated_channels_are_columns)
{
    char folder[] = "/tmp/nr-run-XXXXXX";
    nr_run *run = NULL;
    nr_err err = {0};
    ck_assert_ptr_nonnull(mkdtemp(folder));
    put(folder, NR_RIG_FILE,
        RIG "[channel air]\nunit=degF\nconvert=stated\nvalue=66.2\noffset=1.8\n"
            "[channel store]\nunit=degC\nconvert=stated\nvalue=9\n");
    put(folder, NR_READINGS_FILE, READINGS "2026-05-04T11:22:34Z,1,\n");
    nr_code code = one_run(folder, &run, &err);
    clear(folder);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    const double *air = nr_readings_channel(run->readings, "air");
    ck_assert_ptr_nonnull(air);
    NEAR(air[0], 20, 1e-12);
    NEAR(air[1], 20, 1e-12);
    NEAR(nr_readings_channel(run->readings, "store")[0], 21.5, 0);
    ck_assert(isnan(nr_readings_channel(run->readings, "store")[1]));
    nr_run_free(run);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        a_run_read_whole,         a_bad_cell_points_to_rebuild, more_than_memory_is_refused,
        what_is_missing_is_named, stated_channels_are_columns,  NULL};
    return run_tests("folder", tests);
}
