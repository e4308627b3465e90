/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The growing file against a disk that fails in every way it can. The disk is made up: a file in
 * memory, what of it is confirmed, and a script of troubles. Seeded; the seed is printed. */
#include "logger/record/append.h"

#include "tests/unit/near.h"

#include <errno.h>

#define DISK 400000
#define CAPACITY 2000

typedef struct disk {
    char bytes[DISK]; /* as a reader sees them now */
    char safe[DISK];  /* what a power cut would leave */
    off_t size;
    int write_errno;   /* each write fails with it */
    long room;         /* bytes that can still be written; -1: plenty */
    int sync_errno;    /* the next sync fails, and the bytes since the last one are lost */
    bool gone;         /* the name leads nowhere */
    bool other;        /* the name leads to another file than the one that is open */
    bool short_writes; /* takes half of what it is given */
    int signals;       /* so many writes are broken off by one */
    bool idle;         /* a write takes nothing, and says no reason */
    int opens;
} disk;

static int disk_open(void *context, const char *path, int flags, mode_t mode)
{
    disk *d = context;
    (void)path;
    (void)flags;
    (void)mode;
    if (d->gone) {
        errno = ENOENT;
        return -1;
    }
    d->opens++;
    return 3;
}

static ssize_t disk_write(void *context, int fd, const void *bytes, size_t count, off_t at)
{
    disk *d = context;
    (void)fd;
    if (d->write_errno || d->signals > 0) {
        errno = d->signals > 0 ? EINTR : d->write_errno;
        d->signals -= d->signals > 0;
        return -1;
    }
    if (d->idle) {
        errno = EINTR; /* of some call before */
        return 0;
    }
    if (d->short_writes && count > 1)
        count /= 2;
    if (d->room >= 0 && (long)count > d->room)
        count = (size_t)d->room;
    if (count == 0) {
        errno = ENOSPC;
        return -1;
    }
    ck_assert_int_le(at + (off_t)count, DISK);
    ck_assert_int_le(at, d->size); /* never a hole */
    memcpy(d->bytes + at, bytes, count);
    d->size = at + (off_t)count > d->size ? at + (off_t)count : d->size;
    if (d->room >= 0)
        d->room -= (long)count;
    return (ssize_t)count;
}

static ssize_t disk_read(void *context, int fd, void *bytes, size_t count, off_t at)
{
    (void)fd;
    memcpy(bytes, ((disk *)context)->bytes + at, count);
    return (ssize_t)count;
}

static int disk_sync(void *context, int fd)
{
    disk *d = context;
    (void)fd;
    if (d->sync_errno) {
        memcpy(d->bytes, d->safe, sizeof d->bytes); /* what was not confirmed is garbage now */
        errno = d->sync_errno;
        d->sync_errno = 0;
        return -1;
    }
    memcpy(d->safe, d->bytes, sizeof d->safe);
    return 0;
}

static int disk_truncate(void *context, int fd, off_t size)
{
    (void)context;
    (void)fd;
    (void)size;
    return 0;
}

static off_t disk_size(void *context, int fd)
{
    (void)fd;
    return ((disk *)context)->size;
}

static int disk_close(void *context, int fd)
{
    (void)context;
    (void)fd;
    return 0;
}

static bool disk_same(void *context, int fd, const char *path)
{
    (void)fd;
    (void)path;
    return !((disk *)context)->gone && !((disk *)context)->other;
}

static disk one;

static nr_files files_of(disk *d)
{
    memset(d, 0, sizeof *d);
    d->room = -1;
    return (nr_files){.context = d,
                      .open = disk_open,
                      .write_at = disk_write,
                      .read_at = disk_read,
                      .sync = disk_sync,
                      .truncate = disk_truncate,
                      .size = disk_size,
                      .close = disk_close,
                      .same = disk_same};
}

static nr_append *open_on(const nr_files *files)
{
    nr_append *a = NULL;
    nr_err err;
    ck_assert_int_eq(nr_append_open(files, "x", CAPACITY, &a, &err), NR_OK);
    return a;
}

static bool add(nr_append *a, const char *row)
{
    return nr_append_rows(a, row, strlen(row));
}

static void disk_is(const char *expected)
{
    ck_assert_uint_eq((size_t)one.size, strlen(expected));
    ck_assert_int_eq(memcmp(one.bytes, expected, strlen(expected)), 0);
}

START_TEST(test_plain)
{
    nr_files files = files_of(&one);
    nr_append *a = open_on(&files);
    ck_assert(add(a, "one\n"));
    ck_assert(nr_append_flush(a, NR_APPEND_ALL));
    disk_is("one\n");
    ck_assert_uint_eq(nr_append_waiting(a), 4); /* until the disk confirms */
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    ck_assert_uint_eq(nr_append_waiting(a), 0);
    ck_assert(add(a, "two\n"));
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    disk_is("one\ntwo\n");
    nr_append_close(a);
}
END_TEST

START_TEST(test_disk_full_in_the_middle_of_a_row)
{
    nr_files files = files_of(&one);
    nr_append *a = open_on(&files);
    one.room = 6;
    add(a, "one\n");
    add(a, "two\n");
    ck_assert(!nr_append_flush(a, NR_APPEND_ALL));
    ck_assert_int_eq(nr_append_errno(a), ENOSPC);
    disk_is("one\ntw");
    add(a, "three\n");
    ck_assert(!nr_append_sync(a, NR_APPEND_ALL));
    one.room = -1;
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    ck_assert_int_eq(nr_append_errno(a), 0);
    disk_is("one\ntwo\nthree\n");
    nr_append_close(a);
}
END_TEST

START_TEST(test_failed_sync_writes_again)
{
    nr_files files = files_of(&one);
    nr_append *a = open_on(&files);
    add(a, "one\n");
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    add(a, "two\n");
    ck_assert(nr_append_flush(a, NR_APPEND_ALL));
    one.sync_errno = EIO;
    ck_assert(!nr_append_sync(a, NR_APPEND_ALL));
    ck_assert_int_eq(nr_append_errno(a), EIO);
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    disk_is("one\ntwo\n");
    nr_append_close(a);
}
END_TEST

/* A signal is no trouble; a write that takes nothing is a full disk. */
START_TEST(test_signals)
{
    nr_files files = files_of(&one);
    nr_append *a = open_on(&files);
    add(a, "one\n");
    one.signals = 3;
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    ck_assert_int_eq(one.signals, 0);
    add(a, "two\n");
    one.idle = true;
    ck_assert(!nr_append_sync(a, NR_APPEND_ALL));
    ck_assert_int_eq(nr_append_errno(a), ENOSPC);
    one.idle = false;
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    disk_is("one\ntwo\n");
    nr_append_close(a);
}
END_TEST

START_TEST(test_memory_is_bounded)
{
    nr_files files = files_of(&one);
    nr_append *a = open_on(&files);
    unsigned taken = 0, refused = 0;
    one.write_errno = EROFS;
    for (int i = 0; i < 1000; i++) {
        if (add(a, "12345\n"))
            taken++;
        else
            refused++;
        nr_append_flush(a, NR_APPEND_ALL);
    }
    ck_assert_uint_eq(taken, CAPACITY / 6);
    ck_assert_uint_eq(refused, 1000 - CAPACITY / 6);
    one.write_errno = 0;
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    ck_assert_int_eq(one.size, CAPACITY / 6 * 6);
    ck_assert(add(a, "after\n"));
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    ck_assert_int_eq(memcmp(one.bytes + one.size - 12, "12345\nafter\n", 12), 0);
    nr_append_close(a);
}
END_TEST

START_TEST(test_vanished)
{
    nr_files files = files_of(&one);
    nr_append *a = open_on(&files);
    add(a, "one\n");
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    one.gone = true;
    add(a, "two\n");
    ck_assert(!nr_append_sync(a, NR_APPEND_ALL));
    ck_assert_int_eq(nr_append_errno(a), ENOENT);
    ck_assert_uint_eq(nr_append_waiting(a), 4);
    one.gone = false;
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    disk_is("one\ntwo\n");
    nr_append_close(a);
}
END_TEST

/* Our name leads to another run's file: it must not be touched, however long it is. */
START_TEST(test_another_file_under_our_name)
{
    nr_files files = files_of(&one);
    nr_append *a = open_on(&files);
    add(a, "one\n");
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    memcpy(one.bytes, "ONE\nTWO\n", 8);
    one.size = 8;
    one.other = true;
    add(a, "two\n");
    ck_assert(!nr_append_sync(a, NR_APPEND_ALL));
    ck_assert_int_eq(nr_append_errno(a), ESTALE);
    disk_is("ONE\nTWO\n");
    memcpy(one.bytes, "one\n", 4); /* ours again, on a disk that came back */
    one.size = 4;
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    disk_is("one\ntwo\n");
    nr_append_close(a);
}
END_TEST

/* Is the file that was replaced taken for ours? Looked at with nothing to write. */
static bool is_taken(nr_append *a)
{
    one.other = true;
    bool taken = nr_append_sync(a, NR_APPEND_ALL);
    ck_assert_int_eq(nr_append_errno(a), taken ? 0 : ESTALE);
    one.other = false;
    return taken;
}

/* Known again by its length and the 80 bytes before its end, each of them, however it came there:
 * at the opening, by one sync, by many small ones. */
START_TEST(test_known_by_its_end)
{
    static const struct {
        int before, row, syncs;
    } of[] = {{0, 4, 1},    {0, 4, 7},   {0, 79, 1},  {0, 80, 1},   {0, 81, 1},  {0, 200, 2},
              {1, 30, 3},   {79, 2, 1},  {80, 0, 0},  {81, 0, 0},   {300, 0, 0}, {300, 50, 1},
              {300, 50, 2}, {50, 29, 2}, {10, 3, 40}, {200, 79, 3}, {40, 81, 2}, {5, 0, 0}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_files files = files_of(&one);
        for (int k = 0; k < of[i].before; k++)
            one.bytes[k] = (char)('a' + k % 23);
        one.size = of[i].before;
        nr_append *a = open_on(&files);
        for (int n = 0; n < of[i].syncs; n++) {
            char row[256];
            for (int k = 0; k < of[i].row; k++)
                row[k] = (char)('A' + (7 * n + k) % 29);
            row[of[i].row - 1] = '\n';
            ck_assert(nr_append_rows(a, row, (size_t)of[i].row));
            ck_assert(nr_append_sync(a, NR_APPEND_ALL));
        }
        ck_assert_int_eq(one.size, of[i].before + of[i].row * of[i].syncs);
        ck_assert_uint_eq(nr_append_confirmed(a), (unsigned long)of[i].syncs);
        ck_assert(is_taken(a));
        for (int back = 1; back <= one.size && back < 90; back++) {
            one.bytes[one.size - back] ^= 1;
            ck_assert_msg(is_taken(a) == (back > 80), "case %zu, %d before the end", i, back);
            one.bytes[one.size - back] ^= 1;
        }
        one.size--;
        ck_assert(!is_taken(a));
        one.size += 2;
        ck_assert(is_taken(a));
        nr_append_close(a);
    }
}
END_TEST

/* 2,000 rows through random trouble. At every moment the file holds whole rows, in order, but for
 * a torn end; at the end exactly the rows that were taken. */
static void check_prefix(const char *bytes, off_t size, const char *expected, size_t length)
{
    ck_assert_uint_le((size_t)size, length);
    ck_assert_int_eq(memcmp(bytes, expected, (size_t)size), 0);
}

static void random_trouble(disk *d, unsigned *seed)
{
    int what = rand_r(seed) % 20;
    d->short_writes = rand_r(seed) % 2;
    d->write_errno = what == 0 ? EIO : what == 1 ? EROFS : 0;
    d->room = what == 2 ? rand_r(seed) % 40 : -1;
    d->gone = what == 3;
    if (what == 4)
        d->sync_errno = EIO;
}

START_TEST(test_random_trouble)
{
    static char expected[DISK];
    nr_files files = files_of(&one);
    nr_append *a = open_on(&files);
    unsigned seed = 20260504;
    size_t length = 0;
    unsigned refused = 0;
    printf("seed %u\n", seed);
    for (int i = 0; i < 2000; i++) {
        char row[64];
        int n = snprintf(row, sizeof row, "%d,%0*d\n", i, 1 + rand_r(&seed) % 30, 7);
        random_trouble(&one, &seed);
        if (nr_append_rows(a, row, (size_t)n)) {
            memcpy(expected + length, row, (size_t)n);
            length += (size_t)n;
        } else {
            refused++;
        }
        nr_append_flush(a, NR_APPEND_ALL);
        if (rand_r(&seed) % 4 == 0)
            nr_append_sync(a, NR_APPEND_ALL);
        if (!one.sync_errno)
            check_prefix(one.safe, (off_t)strnlen(one.safe, DISK), expected, length);
    }
    one.write_errno = one.sync_errno = 0;
    one.gone = one.short_writes = false;
    one.room = -1;
    ck_assert(nr_append_sync(a, NR_APPEND_ALL));
    ck_assert_uint_eq((size_t)one.size, length);
    ck_assert_int_eq(memcmp(one.safe, expected, length), 0);
    printf("2000 rows, %u refused for want of memory\n", refused);
    nr_append_close(a);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_plain,
                                  test_disk_full_in_the_middle_of_a_row,
                                  test_failed_sync_writes_again,
                                  test_signals,
                                  test_memory_is_bounded,
                                  test_vanished,
                                  test_another_file_under_our_name,
                                  test_known_by_its_end,
                                  test_random_trouble,
                                  NULL};
    return run_tests("append", tests);
}
