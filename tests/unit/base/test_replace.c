/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file replaced at once or not at all: what stands in its folder at each step, its mode, what is
 * refused, and which names are left by a crash. */
#include "logger/base/replace.h"
#include "tests/unit/command_run.h"

#include <dirent.h>
#include <errno.h>

static nr_replacement r;
static nr_err err;

/* How many names there are in the folder. */
static int names(void)
{
    DIR *folder = opendir(scratch);
    int n = 0;
    for (struct dirent *e; (e = readdir(folder)) != NULL;)
        n += e->d_name[0] != '.';
    closedir(folder);
    return n;
}

static unsigned mode_of(const char *name)
{
    struct stat is;
    ck_assert_int_eq(stat(in_scratch(name), &is), 0);
    return (unsigned)is.st_mode & 07777;
}

START_TEST(at_once)
{
    umask(022);
    char *path = in_scratch("a");
    ck_assert_int_eq(nr_replace_begin(&r, path, 0666, &err), NR_OK);
    ck_assert_int_ge(r.fd, 0);
    ck_assert_int_ne(access(path, F_OK), 0); /* not before it is whole */
    ck_assert_int_eq(nr_replace_write(&r, "one", 3, &err), NR_OK);
    ck_assert_int_eq(nr_replace_commit(&r, &err), NR_OK);
    ck_assert(r.fd == -1 && !r.temporary[0]);
    ck_assert_str_eq(scratch_read("a"), "one");
    ck_assert_uint_eq(mode_of("a"), 0644);
    ck_assert_int_eq(names(), 1);
    ck_assert_int_eq(chmod(path, 0640), 0);
    ck_assert_int_eq(nr_replace_begin(&r, path, 0666, &err), NR_OK);
    ck_assert_int_eq(nr_replace_write(&r, "two", 3, &err), NR_OK);
    ck_assert_str_eq(scratch_read("a"), "one");
    nr_replace_abandon(&r);
    ck_assert(r.fd == -1 && !r.temporary[0]);
    ck_assert_str_eq(scratch_read("a"), "one");
    ck_assert_int_eq(names(), 1);
    ck_assert_int_eq(nr_replace_file(path, "three", 5, 0600, &err), NR_OK);
    ck_assert_str_eq(scratch_read("a"), "three");
    ck_assert_uint_eq(mode_of("a"), 0640); /* as it was */
    ck_assert_int_eq(names(), 1);
}
END_TEST

/* What is written through a stream is there, too. */
START_TEST(a_stream)
{
    ck_assert_int_eq(nr_replace_begin(&r, in_scratch("b"), 0600, &err), NR_OK);
    FILE *to = nr_replace_stream(&r);
    ck_assert_ptr_nonnull(to);
    fputs("words", to);
    fclose(to);
    ck_assert_int_eq(nr_replace_commit(&r, &err), NR_OK);
    ck_assert_str_eq(scratch_read("b"), "words");
    ck_assert_uint_eq(mode_of("b"), 0600);
    r.fd = -1;
    ck_assert_ptr_null(nr_replace_stream(&r));
}
END_TEST

START_TEST(what_is_refused)
{
    char longest[NR_ERR_FILE + 8];
    ck_assert_int_eq(nr_replace_begin(&r, scratch, 0600, &err), NR_BAD);
    SAYS(err.text, "is no plain file");
    ck_assert_int_eq(nr_replace_begin(&r, in_scratch("nowhere/a"), 0600, &err), NR_BAD);
    SAYS(err.text, "cannot write");
    ck_assert(r.fd == -1 && !r.temporary[0]);
    for (int n = NR_ERR_FILE - 2; n < NR_ERR_FILE + 2; n++) {
        snprintf(longest, sizeof longest, "/nowhere/%0*d", n - 9, 0);
        ck_assert_int_eq(nr_replace_begin(&r, longest, 0600, &err), NR_BAD);
        ck_assert_int_eq(strstr(err.text, "path is too long") != NULL, n >= NR_ERR_FILE);
    }
    /* The folder went away meanwhile. */
    scratch_folder("c");
    ck_assert_int_eq(nr_replace_begin(&r, in_scratch("c/a"), 0600, &err), NR_OK);
    bool named = r.temporary[0];
    if (named)
        unlink(r.temporary);
    ck_assert_int_eq(rmdir(in_scratch("c")), 0);
    ck_assert_int_eq(nr_replace_commit(&r, &err), NR_BAD);
    SAYS(err.text, "cannot write");
    ck_assert(r.fd == -1 && !r.temporary[0]);
}
END_TEST

/* A disk that is full. */
START_TEST(no_room)
{
    int full = open("/dev/full", O_WRONLY), end[2];
    ck_assert(!nr_write_all(full, "x", 1));
    ck_assert_int_eq(errno, ENOSPC);
    ck_assert(nr_write_all(full, "", 0)); /* of nothing there is always room */
    r = (nr_replacement){.fd = full};
    ck_assert_int_eq(nr_replace_write(&r, "x", 1, &err), NR_BAD);
    SAYS(err.text, "cannot write: ");
    close(full);
    /* A pipe takes it in pieces. */
    static char much[100000], got[100000];
    for (size_t i = 0; i < sizeof much; i++)
        much[i] = (char)('a' + i % 23);
    ck_assert_int_eq(pipe(end), 0);
    if (fork() == 0)
        _exit(nr_write_all(end[1], much, sizeof much) ? 0 : 1);
    close(end[1]);
    size_t used = 0;
    for (ssize_t n; (n = read(end[0], got + used, sizeof got - used)) > 0;)
        used += (size_t)n;
    ck_assert_uint_eq(used, sizeof much);
    ck_assert_int_eq(memcmp(got, much, sizeof much), 0);
}
END_TEST

/* NAME, a point, sixteen figures of chance, ".part". */
START_TEST(left_by_a_crash)
{
    static const struct {
        const char *name;
        bool left;
    } of[] = {{"a.csv.0123456789abcdef.part", true},
              {"a.csv.ffffffffffffffff.part", true},
              {"a.csv.0123456789abcde.part", false},
              {"a.csv.0123456789abcdef0.part", false},
              {"a.csv.0123456789abcdeg.part", false},
              {"a.csv.0123456789ABCDEF.part", false},
              {"b.csv.0123456789abcdef.part", false},
              {"a.csv-0123456789abcdef.part", false},
              {"a.csv.0123456789abcdef.pary", false},
              {"a.csv.0123456789abcdef", false},
              {"a.csv", false},
              {"", false},
              {"aa.csv.0123456789abcde.part", false},
              {"a.csvx0123456789abcdef.part", false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        ck_assert_msg(nr_replace_left(of[i].name, "a.csv") == of[i].left, "%s", of[i].name);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {at_once, a_stream,        what_is_refused,
                                  no_room, left_by_a_crash, NULL};
    return run_tests_in("replaced", tests, scratch_make, scratch_remove);
}
