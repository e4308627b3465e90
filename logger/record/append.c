/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/append.h"

#include "logger/base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

/* What was confirmed last, to know the file again. Rows start with the time, so this is unlike the
 * same stretch of any other run. */
#define TAIL 80

struct nr_append {
    const nr_files *files;
    char path[NR_ERR_FILE];
    /* The disk's side only. */
    int fd;
    off_t base;     /* file offset of bytes[0]: everything before is confirmed by the disk */
    size_t written; /* of the bytes held, handed to the file */
    size_t tail_length;
    char tail[TAIL]; /* the file's bytes just before base */
    /* Both sides, under the lock. Bytes once taken stay where they are until the disk's side,
     * having had them confirmed, moves up what came after them: so it reads them without the lock.
     */
    pthread_mutex_t lock;
    int why; /* errno of the last trouble, 0: none */
    size_t capacity;
    size_t length;           /* bytes held */
    unsigned long confirmed; /* rows */
    char bytes[];
};

static bool trouble(nr_append *a, int why)
{
    pthread_mutex_lock(&a->lock);
    a->why = why;
    pthread_mutex_unlock(&a->lock);
    return false;
}

nr_code nr_append_open(const nr_files *files, const char *path, size_t capacity, nr_append **out,
                       nr_err *err)
{
    nr_append *a = malloc(sizeof *a + capacity);
    if (!a)
        return nr_fail(err, NR_BAD, path, 0, "not enough memory");
    memset(a, 0, sizeof *a); /* the buffer itself stays untouched: no page of it is used yet */
    pthread_mutex_init(&a->lock, NULL);
    a->files = files;
    a->capacity = capacity;
    nr_copy(a->path, sizeof a->path, path);
    a->fd = files->open(files->context, path, O_RDWR | O_CREAT, 0644);
    a->base = a->fd < 0 ? -1 : files->size(files->context, a->fd);
    bool ready = a->base >= 0;
    if (ready) {
        size_t n = a->base < TAIL ? (size_t)a->base : TAIL;
        ready = files->read_at(files->context, a->fd, a->tail, n, a->base - (off_t)n) == (ssize_t)n;
        a->tail_length = n;
    }
    if (!ready) {
        nr_code code = nr_fail_errno(err, NR_BAD, path, errno, "cannot write");
        nr_append_close(a);
        return code;
    }
    *out = a;
    return NR_OK;
}

bool nr_append_rows(nr_append *a, const char *rows, size_t length)
{
    pthread_mutex_lock(&a->lock);
    bool room = length <= a->capacity - a->length;
    if (room) {
        memcpy(a->bytes + a->length, rows, length);
        a->length += length;
    }
    pthread_mutex_unlock(&a->lock);
    return room;
}

bool nr_append_flush(nr_append *a, size_t most)
{
    size_t held = nr_append_waiting(a);
    for (held = held < most ? held : most; a->written < held;) {
        ssize_t n = a->files->write_at(a->files->context, a->fd, a->bytes + a->written,
                                       held - a->written, a->base + (off_t)a->written);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return trouble(a, n < 0 ? errno : ENOSPC);
        a->written += (size_t)n;
    }
    return true;
}

/* Is it the file we know: as long as what was confirmed, and the same just before its end? */
static bool is_ours(const nr_append *a, int fd)
{
    char found[TAIL];
    if (a->files->size(a->files->context, fd) < a->base)
        return false;
    ssize_t n = a->files->read_at(a->files->context, fd, found, a->tail_length,
                                  a->base - (off_t)a->tail_length);
    return n == (ssize_t)a->tail_length && memcmp(found, a->tail, a->tail_length) == 0;
}

static void keep_tail(nr_append *a, const char *bytes, size_t count)
{
    size_t fresh = count < TAIL ? count : TAIL;
    size_t old = a->tail_length + fresh <= TAIL ? a->tail_length : TAIL - fresh;
    memmove(a->tail, a->tail + a->tail_length - old, old);
    memcpy(a->tail + old, bytes + count - fresh, fresh);
    a->tail_length = old + fresh;
}

/* The name leads to another file, or to none: a stick that was pulled and is back, a folder that
 * was moved. Another run's file under our name must not be touched. */
static bool reopen(nr_append *a)
{
    int fd = a->files->open(a->files->context, a->path, O_RDWR, 0);
    if (fd < 0)
        return trouble(a, errno);
    if (!is_ours(a, fd)) {
        a->files->close(a->files->context, fd);
        return trouble(a, ESTALE);
    }
    a->files->close(a->files->context, a->fd);
    a->fd = fd;
    a->written = 0;
    return true;
}

bool nr_append_sync(nr_append *a, size_t most)
{
    if (!a->files->same(a->files->context, a->fd, a->path) && !reopen(a))
        return false;
    if (!nr_append_flush(a, most))
        return false;
    if (a->written > 0 && a->files->sync(a->files->context, a->fd) < 0) {
        a->written = 0; /* nobody knows which of it arrived: write all of it again */
        return trouble(a, errno);
    }
    unsigned long rows = 0;
    for (const char *p = a->bytes, *end = p + a->written;
         p < end && (p = memchr(p, '\n', (size_t)(end - p))); p++)
        rows++;
    keep_tail(a, a->bytes, a->written);
    a->base += (off_t)a->written;
    pthread_mutex_lock(&a->lock);
    a->length -= a->written;
    memmove(a->bytes, a->bytes + a->written, a->length);
    a->why = 0;
    a->confirmed += rows;
    pthread_mutex_unlock(&a->lock);
    a->written = 0;
    return true;
}

int nr_append_errno(nr_append *a)
{
    pthread_mutex_lock(&a->lock);
    int why = a->why;
    pthread_mutex_unlock(&a->lock);
    return why;
}

size_t nr_append_waiting(nr_append *a)
{
    pthread_mutex_lock(&a->lock);
    size_t length = a->length;
    pthread_mutex_unlock(&a->lock);
    return length;
}

unsigned long nr_append_confirmed(nr_append *a)
{
    pthread_mutex_lock(&a->lock);
    unsigned long rows = a->confirmed;
    pthread_mutex_unlock(&a->lock);
    return rows;
}

void nr_append_close(nr_append *a)
{
    if (!a)
        return;
    if (a->fd >= 0)
        a->files->close(a->files->context, a->fd);
    pthread_mutex_destroy(&a->lock);
    free(a);
}
