/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The thread that writes: whoever adds rows never waits for it, however long a sync takes, and
 * nothing is called confirmed that was not. The disk is made up; its sync waits until it is let
 * go, so that what happens meanwhile is no matter of luck. */
#include "logger/record/disk.h"

#include "tests/unit/near.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#define ROOM 100000

static time_t played_s = 1000; /* the steady clock is the test's */

int clock_gettime(clockid_t which, struct timespec *out)
{
    if (which != CLOCK_MONOTONIC)
        return timespec_get(out, TIME_UTC) == TIME_UTC ? 0 : -1;
    *out = (struct timespec){.tv_sec = played_s};
    return 0;
}

typedef struct gate {
    nr_files system;
    pthread_mutex_t lock;
    pthread_cond_t changed;
    bool closed;
    int waiting;    /* syncs that stand at the gate */
    int sync_errno; /* each sync fails with it */
    const char *of; /* of this file only; NULL: of all */
} gate;

static int gate_open(void *c, const char *path, int flags, mode_t mode)
{
    return ((gate *)c)->system.open(NULL, path, flags, mode);
}
static ssize_t gate_write(void *c, int fd, const void *bytes, size_t count, off_t at)
{
    return ((gate *)c)->system.write_at(NULL, fd, bytes, count, at);
}
static ssize_t gate_read(void *c, int fd, void *bytes, size_t count, off_t at)
{
    return ((gate *)c)->system.read_at(NULL, fd, bytes, count, at);
}
static int gate_truncate(void *c, int fd, off_t size)
{
    return ((gate *)c)->system.truncate(NULL, fd, size);
}
static off_t gate_size(void *c, int fd)
{
    return ((gate *)c)->system.size(NULL, fd);
}
static int gate_close(void *c, int fd)
{
    return ((gate *)c)->system.close(NULL, fd);
}
static bool gate_same(void *c, int fd, const char *path)
{
    return ((gate *)c)->system.same(NULL, fd, path);
}

static int gate_sync(void *c, int fd)
{
    gate *g = c;
    pthread_mutex_lock(&g->lock);
    g->waiting++;
    pthread_cond_broadcast(&g->changed);
    while (g->closed)
        pthread_cond_wait(&g->changed, &g->lock);
    g->waiting--;
    int why = !g->of || g->system.same(NULL, fd, g->of) ? g->sync_errno : 0;
    pthread_mutex_unlock(&g->lock);
    errno = why;
    return why ? -1 : 0;
}

static void set(gate *g, bool closed, int sync_errno)
{
    pthread_mutex_lock(&g->lock);
    g->closed = closed;
    g->sync_errno = sync_errno;
    pthread_cond_broadcast(&g->changed);
    pthread_mutex_unlock(&g->lock);
}

static void await_sync_at(gate *g)
{
    pthread_mutex_lock(&g->lock);
    while (g->waiting == 0)
        pthread_cond_wait(&g->changed, &g->lock);
    pthread_mutex_unlock(&g->lock);
}

/* A run's files behind a gate. */
typedef struct rig {
    gate gate;
    nr_files files;
    nr_append *log, *readings;
    nr_notebook notes;
    nr_disk *disk;
    int state_fd;
    char folder[64], path[128];
} rig;

static rig r;

static const char *file(const char *name)
{
    snprintf(r.path, sizeof r.path, "%s/%s", r.folder, name);
    return r.path;
}

static void set_up(void)
{
    nr_err err = {.text = ""};
    snprintf(r.folder, sizeof r.folder, "/tmp/noonrun-disk-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(r.folder));
    ck_assert_int_eq(mkdir(file(NR_STATE_FOLDER), 0755), 0);
    r.gate.system = nr_files_system;
    pthread_mutex_init(&r.gate.lock, NULL);
    pthread_cond_init(&r.gate.changed, NULL);
    r.files = (nr_files){.context = &r.gate,
                         .open = gate_open,
                         .write_at = gate_write,
                         .read_at = gate_read,
                         .sync = gate_sync,
                         .truncate = gate_truncate,
                         .size = gate_size,
                         .close = gate_close,
                         .same = gate_same};
    ck_assert(nr_append_open(&r.files, file("adapter.log"), ROOM, &r.log, &err) == NR_OK);
    ck_assert(nr_append_open(&r.files, file("readings.csv"), ROOM, &r.readings, &err) == NR_OK);
    ck_assert(nr_notebook_init(&r.notes, &r.files, r.folder));
    ck_assert(nr_state_lock(r.folder, &r.state_fd, &err) == NR_OK);
    ck_assert_msg(nr_disk_start(r.log, r.readings, &r.notes, r.state_fd, &r.disk, &err) == NR_OK,
                  "%s", err.text);
}

static void tear_down(void)
{
    char command[100];
    nr_disk_stop(r.disk);
    nr_append_close(r.log);
    nr_append_close(r.readings);
    close(r.state_fd);
    snprintf(command, sizeof command, "rm -r %s", r.folder);
    ck_assert_int_eq(system(command), 0);
}

static bool add(nr_append *a, const char *row)
{
    return nr_append_rows(a, row, strlen(row));
}

static off_t size_of(const char *name)
{
    struct stat s;
    return stat(file(name), &s) == 0 ? s.st_size : -1;
}

START_TEST(adding_never_waits)
{
    nr_disk_answer answer;
    set(&r.gate, true, 0);
    ck_assert(add(r.log, "one\n"));
    nr_disk_sync(r.disk);
    await_sync_at(&r.gate); /* and now the disk is busy for as long as it likes */
    for (int i = 0; i < 1000; i++) {
        ck_assert(add(r.log, "more\n"));
        ck_assert(add(r.readings, "row\n"));
        nr_disk_flush(r.disk);
        nr_disk_sync(r.disk);
    }
    const nr_note note = {.kind = NR_NOTE_NOTE, .text = "meanwhile"};
    ck_assert(nr_notebook_add(&r.notes, &note));
    ck_assert(!nr_disk_answered(r.disk, &answer));
    ck_assert_uint_eq(nr_append_waiting(r.log), 4 + 5000); /* none of it is confirmed */
    set(&r.gate, false, 0);
    answer = nr_disk_settle(r.disk);
    ck_assert(answer.confirmed && answer.why == 0);
    ck_assert_uint_eq(nr_append_waiting(r.log) + nr_append_waiting(r.readings) +
                          nr_notebook_waiting(&r.notes),
                      0);
    ck_assert_int_eq(size_of("adapter.log"), 4 + 5000);
    ck_assert_int_eq(size_of("readings.csv"), 4000);
    ck_assert_int_gt(size_of("notes.csv"), 0);
}
END_TEST

/* A sync confirms what was there when it began, not what came while it ran. */
START_TEST(late_rows_are_not_confirmed)
{
    nr_disk_answer answer = {0};
    set(&r.gate, true, 0);
    ck_assert(add(r.readings, "early\n"));
    nr_disk_sync(r.disk);
    await_sync_at(&r.gate);
    ck_assert(add(r.readings, "late\n"));
    set(&r.gate, false, 0);
    while (!nr_disk_answered(r.disk, &answer))
        usleep(1000);
    ck_assert(answer.confirmed);
    ck_assert_uint_eq(nr_append_waiting(r.readings), 5);
    ck_assert(!nr_disk_answered(r.disk, &answer)); /* an answer is given once */
    ck_assert(nr_disk_settle(r.disk).confirmed);
    ck_assert_uint_eq(nr_append_waiting(r.readings), 0);
    ck_assert_int_eq(size_of("readings.csv"), 11);
}
END_TEST

START_TEST(flush_alone_reaches_the_file)
{
    ck_assert(add(r.log, "survives the process\n"));
    nr_disk_flush(r.disk);
    while (size_of("adapter.log") != 21)
        usleep(1000);
    ck_assert_uint_eq(nr_append_waiting(r.log), 21); /* but the disk has not confirmed it */
}
END_TEST

START_TEST(failed_sync_is_told_and_mended)
{
    set(&r.gate, false, EIO);
    ck_assert(add(r.log, "one\n"));
    nr_disk_answer answer = nr_disk_settle(r.disk);
    ck_assert(!answer.confirmed && answer.why == EIO);
    ck_assert_int_eq(nr_append_errno(r.log), EIO);
    ck_assert_uint_eq(nr_append_waiting(r.log), 4);
    set(&r.gate, false, 0);
    answer = nr_disk_settle(r.disk);
    ck_assert(answer.confirmed && answer.why == 0);
    ck_assert_int_eq(size_of("adapter.log"), 4);
}
END_TEST

/* Whichever file it is: not confirmed, and why; but not for notes that another program is writing
 * to at the moment. */
START_TEST(whose_trouble)
{
    static const char *const names[] = {"adapter.log", "readings.csv", "notes.csv"};
    for (int i = 0; i < 3; i++) {
        char path[128];
        nr_note note = {.kind = NR_NOTE_NOTE, .text = "x"};
        snprintf(path, sizeof path, "%s", file(names[i]));
        r.gate.of = path;
        set(&r.gate, false, EDQUOT);
        ck_assert(add(r.log, "a\n") && add(r.readings, "b\n") && nr_notebook_add(&r.notes, &note));
        nr_disk_answer answer = nr_disk_settle(r.disk);
        ck_assert_msg(!answer.confirmed && answer.why == EDQUOT, "%s: %d", names[i], answer.why);
        ck_assert_int_eq(nr_append_errno(r.log), i == 0 ? EDQUOT : 0);
        ck_assert_int_eq(nr_append_errno(r.readings), i == 1 ? EDQUOT : 0);
        set(&r.gate, false, 0);
        answer = nr_disk_settle(r.disk);
        ck_assert(answer.confirmed && answer.why == 0);
        r.gate.of = NULL;
    }
    nr_note note = {.kind = NR_NOTE_NOTE, .text = "x"};
    int lock = open(r.notes.lock_path, O_RDWR);
    ck_assert(lock >= 0 && flock(lock, LOCK_EX | LOCK_NB) == 0);
    ck_assert(nr_notebook_add(&r.notes, &note));
    nr_disk_answer answer = nr_disk_settle(r.disk);
    ck_assert(!answer.confirmed && answer.why == 0);
    set(&r.gate, false, EIO); /* and the other's trouble is told nevertheless */
    ck_assert(add(r.log, "a\n"));
    answer = nr_disk_settle(r.disk);
    ck_assert(!answer.confirmed && answer.why == EIO);
    set(&r.gate, false, 0);
    close(lock);
    ck_assert(nr_disk_settle(r.disk).confirmed && nr_notebook_waiting(&r.notes) == 0);
}
END_TEST

/* An answer is told once; what the recording lives on is looked at each half minute. */
START_TEST(answers)
{
    static const struct {
        time_t at_s;
        bool looked;
    } of[] = {{1000, true}, {1029, false}, {1030, true}, {1059, false}, {1061, true}};
    nr_disk_answer answer;
    ck_assert(!nr_disk_answered(r.disk, &answer));
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        played_s = of[i].at_s;
        ck_assert_int_eq(!isnan(nr_disk_settle(r.disk).supply.free_bytes), of[i].looked);
        ck_assert(!nr_disk_answered(r.disk, &answer)); /* who waited has it */
    }
    played_s = 1000;
    nr_disk_sync(r.disk);
    while (!nr_disk_answered(r.disk, &answer))
        usleep(1000);
    ck_assert(answer.confirmed && !nr_disk_answered(r.disk, &answer));
}
END_TEST

/* The newest state counts, and is written before the thread ends. */
START_TEST(state_is_written)
{
    nr_state state = {.pid = 1, .rows = 0, .last_row_s = -1}, back;
    nr_err err;
    for (unsigned long i = 1; i <= 50; i++) {
        state.rows = i;
        nr_disk_state(r.disk, &state);
    }
    nr_disk_stop(r.disk);
    r.disk = NULL;
    ck_assert(nr_state_read(r.folder, &back, &err) == NR_OK);
    ck_assert_uint_eq(back.rows, 50);
}
END_TEST

/* Rows from one side while the other flushes and syncs as fast as it can: every byte once, in
 * order. */
START_TEST(both_sides_at_once)
{
    char row[40];
    for (int i = 0; i < 20000; i++) {
        int n = snprintf(row, sizeof row, "row %d\n", i);
        while (!nr_append_rows(r.readings, row, (size_t)n))
            nr_disk_settle(r.disk);
        if (i % 3 == 0)
            nr_disk_flush(r.disk);
        if (i % 7 == 0)
            nr_disk_sync(r.disk);
    }
    ck_assert(nr_disk_settle(r.disk).confirmed);
    FILE *f = fopen(file("readings.csv"), "r");
    ck_assert_ptr_nonnull(f);
    int expected = 0, number = -1;
    while (fscanf(f, "row %d\n", &number) == 1)
        ck_assert_int_eq(number, expected++);
    ck_assert(feof(f));
    fclose(f);
    ck_assert_int_eq(expected, 20000);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("disk");
    TCase *all = tcase_create("disk");
    tcase_set_timeout(all, 60);
    tcase_add_checked_fixture(all, set_up, tear_down);
    tcase_add_test(all, adding_never_waits);
    tcase_add_test(all, late_rows_are_not_confirmed);
    tcase_add_test(all, flush_alone_reaches_the_file);
    tcase_add_test(all, failed_sync_is_told_and_mended);
    tcase_add_test(all, whose_trouble);
    tcase_add_test(all, answers);
    tcase_add_test(all, state_is_written);
    tcase_add_test(all, both_sides_at_once);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
