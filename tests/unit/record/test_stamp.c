/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A note from outside of the recorder: where in the run it belongs, and that it waits for the
 * recorder that is writing one of its own. */
#include "logger/record/stamp.h"
#include "logger/record/state.h"

#include "tests/unit/near.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static char folder[64], path[128];
static nr_err err;

static const char *in_folder(const char *name)
{
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void set_up(void)
{
    snprintf(folder, sizeof folder, "/tmp/test_stamp.XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    ck_assert_int_eq(mkdir(in_folder(".noonlog"), 0755), 0);
}

static void tear_down(void)
{
    static const char *const names[] = {"notes.csv", ".noonlog/notes.lock", ".noonlog/state",
                                        ".noonlog/lock"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        unlink(in_folder(names[i]));
    rmdir(in_folder(".noonlog"));
    ck_assert_int_eq(rmdir(folder), 0);
}

static const char *notes(void)
{
    static char text[1000];
    FILE *file = fopen(in_folder("notes.csv"), "r");
    size_t n = file ? fread(text, 1, sizeof text - 1, file) : 0;
    if (file)
        fclose(file);
    text[n] = '\0';
    return text;
}

static nr_note note_of(const char *text)
{
    nr_note note = {.kind = NR_NOTE_NOTE, .utc_s = 1777888800, .elapsed_s = 61};
    snprintf(note.text, sizeof note.text, "%s", text);
    return note;
}

START_TEST(waits_for_the_recorder)
{
    int ready[2];
    ck_assert_int_eq(pipe(ready), 0);
    pid_t child = fork();
    if (child == 0) {
        int lock = open(in_folder(".noonlog/notes.lock"), O_RDWR | O_CREAT, 0644);
        flock(lock, LOCK_EX);
        if (write(ready[1], "x", 1) == 1)
            usleep(100000); /* some of its tries */
        _exit(0);
    }
    char x;
    ck_assert_int_eq(read(ready[0], &x, 1), 1);
    nr_note note = note_of("a large one");
    ck_assert_msg(nr_stamp_write(folder, &note, &err) == NR_OK, "%s", err.text);
    ck_assert_int_eq(waitpid(child, NULL, 0), child);
    close(ready[0]);
    close(ready[1]);
    ck_assert_ptr_nonnull(strstr(notes(), ",61"));
    ck_assert_msg(strstr(notes(), "a large one") != NULL, "%s", notes());
}
END_TEST

/* What no waiting mends is said at once, by the file's name. */
START_TEST(a_folder_that_is_none)
{
    nr_note note = note_of("lost");
    ck_assert_int_eq(mkdir(in_folder("notes.csv"), 0755), 0);
    ck_assert_int_eq(nr_stamp_write(folder, &note, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "cannot write the note"));
    ck_assert_int_eq(rmdir(in_folder("notes.csv")), 0);
    ck_assert_int_eq(nr_stamp_write("/nowhere/at/all", &note, &err), NR_BAD);
}
END_TEST

START_TEST(when_it_was)
{
    int fd;
    nr_note note = note_of("then");
    ck_assert_msg(nr_state_lock(folder, &fd, &err) == NR_OK, "%s", err.text);
    nr_state state = {.zero_utc_s = 1777888000, .elapsed_s = 900};
    ck_assert(nr_state_write(fd, &state));
    ck_assert_msg(nr_stamp_place(folder, 750, &note, &err) == NR_OK, "%s", err.text);
    NEAR(note.elapsed_s, 750, 0);
    NEAR(note.utc_s, 1777888750, 0);
    close(fd);
    /* Nobody records, and nothing was said of when. */
    ck_assert_int_eq(nr_stamp_place(folder, NAN, &note, &err), NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "--at"));
}
END_TEST

int main(void)
{
    Suite *s = suite_create("stamp");
    TCase *t = tcase_create("stamp");
    tcase_add_checked_fixture(t, set_up, tear_down);
    tcase_add_test(t, waits_for_the_recorder);
    tcase_add_test(t, a_folder_that_is_none);
    tcase_add_test(t, when_it_was);
    suite_add_tcase(s, t);
    return run_suite(s);
}
