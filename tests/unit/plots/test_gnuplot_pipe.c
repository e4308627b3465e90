/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The process behind a picture: missing, dying, complaining, silent; and files left alone. */
#include "logger/base/replace.h"
#include "plots/pipe.h"
#include "tests/unit/near.h"

#include <dirent.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[] = "/tmp/noonrun-pipe-XXXXXX";

static void make_folder(void)
{
    ck_assert_ptr_nonnull(mkdtemp(strcpy(folder, "/tmp/noonrun-pipe-XXXXXX")));
}

static void remove_folder(void)
{
    char command[128];
    (void)snprintf(command, sizeof command, "rm -rf '%s'", folder);
    ck_assert_int_eq(system(command), 0);
}

static size_t files(void)
{
    size_t n = 0;
    DIR *d = opendir(folder);
    ck_assert_ptr_nonnull(d);
    for (struct dirent *e; (e = readdir(d)) != NULL;)
        n += e->d_name[0] != '.' || strlen(e->d_name) > 2;
    closedir(d);
    return n;
}

static void write_file(const char *path, const char *text, mode_t mode)
{
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fputs(text, f);
    fclose(f);
    ck_assert_int_eq(chmod(path, mode), 0);
}

static void holds(const char *path, const char *text)
{
    char got[256] = "";
    FILE *f = fopen(path, "r");
    ck_assert_ptr_nonnull(f);
    size_t n = fread(got, 1, sizeof got - 1, f);
    got[n] = '\0';
    fclose(f);
    ck_assert_msg(strncmp(got, text, strlen(text)) == 0, "%s holds %s", path, got);
}

static const char good[] = "set terminal svg\nplot x\n";

START_TEST(a_picture)
{
    make_folder();
    char path[128];
    nr_err err = {0};
    /* Names that a shell or gnuplot would choke on are only names here. */
    static const char *const names[] = {"p.svg",           "a b.svg", "it's `id` \"q\" $(id).svg",
                                        "line\nbreak.svg", "-o.svg",  "|cat.svg"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        nr_code code = nr_gp_run(NULL, good, strlen(good), path, &err);
        ck_assert_msg(code == NR_OK, "%s", err.text);
        holds(path, "<?xml");
        ck_assert_uint_eq(files(), i + 1); /* and no temporary file beside it */
    }
    remove_folder();
}
END_TEST

START_TEST(missing_program)
{
    make_folder();
    char path[128];
    nr_err err = {0};
    (void)snprintf(path, sizeof path, "%s/p.svg", folder);
    ck_assert_int_eq(nr_gp_run("/nowhere/gnuplot", good, strlen(good), path, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "apt install gnuplot-nox"));
    ck_assert_ptr_nonnull(strstr(err.text, "/nowhere/gnuplot"));
    ck_assert_uint_eq(files(), 0);
    remove_folder();
}
END_TEST

/* Each program fails in its own way; the old picture stays, nothing is left beside it. */
typedef struct bad_program {
    const char *text, *said;
} bad_program;
static const bad_program bad_programs[] = {
    {"#!/bin/sh\nexit 3\n", "gave no reason"},
    {"#!/bin/sh\nexit 126\n", "gave no reason"},
    {"#!/bin/sh\nexit 127\n", "was not found"}, /* how POSIX lets a failed posix_spawn end */
    {"#!/bin/sh\necho 'no such glyph' >&2\nexit 127\n", "no such glyph"},
    {"#!/bin/sh\necho 'half a picture'\necho 'out of\tink' >&2\nexit 1\n", "out of ink"},
    {"#!/bin/sh\ncat >/dev/null\nexit 0\n", "drew nothing"},
    {"#!/bin/sh\nkill -9 $$\n", "signal 9"},
    {"#!/bin/sh\nexec <&-\necho x\nexit 1\n", "could not draw"},
    /* more complaints than a pipe holds, before it reads a line */
    {"#!/bin/sh\nhead -c 300000 /dev/zero | tr '\\0' 'e' >&2\ncat >/dev/null\nexit 1\n", "eeee"},
};
#define BAD_PROGRAMS (sizeof bad_programs / sizeof *bad_programs)

START_TEST(programs_that_fail)
{
    make_folder();
    char path[128], program[128];
    nr_err err = {0};
    (void)snprintf(path, sizeof path, "%s/p.svg", folder);
    (void)snprintf(program, sizeof program, "%s/draw", folder);
    write_file(path, "old picture", 0644);
    write_file(program, bad_programs[_i].text, 0755);
    /* A script larger than any pipe's buffer: writing to a dead program must not kill us. */
    size_t size = 4 << 20;
    char *script = malloc(size);
    ck_assert_ptr_nonnull(script);
    memset(script, '\n', size);
    ck_assert_int_eq(nr_gp_run(program, script, size, path, &err), NR_BAD);
    ck_assert_msg(strstr(err.text, bad_programs[_i].said) != NULL, "said: %s", err.text);
    for (const char *p = err.text; *p != '\0'; p++)
        ck_assert((unsigned char)*p >= 32);
    holds(path, "old picture");
    ck_assert_uint_eq(files(), 2);
    free(script);
    remove_folder();
}
END_TEST

/* One that reads nothing, and one that reads all and never ends. The limit is the only thing that
 * ends them: without it the test would run into its own. */
START_TEST(programs_that_hang)
{
    static const char *const programs[] = {"#!/bin/sh\necho ink dries >&2\nexec sleep 1000\n",
                                           "#!/bin/sh\ncat >/dev/null\nexec sleep 1000\n"};
    make_folder();
    char path[128], program[128];
    nr_err err = {0};
    size_t size = 4 << 20;
    char *script = calloc(1, size);
    ck_assert_ptr_nonnull(script);
    (void)snprintf(path, sizeof path, "%s/p.svg", folder);
    (void)snprintf(program, sizeof program, "%s/draw", folder);
    write_file(path, "old picture", 0644);
    write_file(program, programs[_i], 0755);
    ck_assert_int_eq(nr_gp_run_within(program, script, size, 0.5, path, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "was not done after"));
    ck_assert(_i == 1 || strstr(err.text, "ink dries") != NULL);
    holds(path, "old picture");
    ck_assert_uint_eq(files(), 2);
    free(script);
    remove_folder();
}
END_TEST

/* No room in the middle (a limit on the size of files is a full disk for this process alone): the
 * old picture stays, and it is an error. gnuplot itself ends well on a full disk. */
START_TEST(a_full_disk)
{
    make_folder();
    char path[128];
    nr_err err = {0};
    struct rlimit old, small = {.rlim_cur = 1000, .rlim_max = RLIM_INFINITY};
    static const char *const good_ones[] = {"set terminal svg\nplot x\n",
                                            "set terminal pngcairo\nplot x\n",
                                            "set terminal pdfcairo\nplot x\n"};
    (void)snprintf(path, sizeof path, "%s/p.picture", folder);
    write_file(path, "old picture", 0644);
    signal(SIGXFSZ, SIG_IGN);
    char whole[3000] = "";
    ck_assert_int_eq(nr_replace_file(path, "old picture", 11, 0666, &err), NR_OK);
    ck_assert_int_eq(getrlimit(RLIMIT_FSIZE, &old), 0);
    small.rlim_max = old.rlim_max;
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &small), 0);
    ck_assert_int_eq(nr_replace_file(path, whole, sizeof whole, 0666, &err), NR_BAD);
    nr_code code = nr_gp_run(NULL, good_ones[_i], strlen(good_ones[_i]), path, &err);
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &old), 0);
    ck_assert_int_eq(code, NR_BAD);
    holds(path, "old picture");
    ck_assert_uint_eq(files(), 1);
    remove_folder();
}
END_TEST

START_TEST(gnuplot_says_why)
{
    make_folder();
    char path[128];
    nr_err err = {0};
    static const char script[] = "set terminal svg\nplot no_such_function(x)\n";
    (void)snprintf(path, sizeof path, "%s/p.svg", folder);
    ck_assert_int_eq(nr_gp_run(NULL, script, strlen(script), path, &err), NR_BAD);
    ck_assert_msg(strstr(err.text, "no_such_function") != NULL ||
                      strstr(err.text, "undefined") != NULL,
                  "%s", err.text);
    ck_assert_uint_eq(files(), 0);
    remove_folder();
}
END_TEST

START_TEST(no_place_to_write)
{
    nr_err err = {0};
    char path[NR_ERR_FILE + 64];
    ck_assert_int_eq(nr_gp_run(NULL, good, strlen(good), "/nowhere/p.svg", &err), NR_BAD);
    ck_assert_str_eq(err.file, "/nowhere/p.svg");
    memset(path, 'x', sizeof path);
    path[sizeof path - 1] = '\0';
    ck_assert_int_eq(nr_gp_run(NULL, good, strlen(good), path, &err), NR_BAD);
    /* A folder stands where the picture should go. */
    make_folder();
    (void)snprintf(path, sizeof path, "%s/p.svg", folder);
    ck_assert_int_eq(mkdir(path, 0755), 0);
    ck_assert_int_eq(nr_gp_run(NULL, good, strlen(good), path, &err), NR_BAD);
    ck_assert_uint_eq(files(), 1);
    remove_folder();
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("gnuplot_pipe");
    TCase *all = tcase_create("pipe");
    tcase_set_timeout(all, 60);
    tcase_add_test(all, a_picture);
    tcase_add_loop_test(all, programs_that_fail, 0, (int)BAD_PROGRAMS);
    tcase_add_loop_test(all, programs_that_hang, 0, 2);
    tcase_add_loop_test(all, a_full_disk, 0, 3);
    tcase_add_test(all, gnuplot_says_why);
    tcase_add_test(all, no_place_to_write);
    tcase_add_test(all, missing_program);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
