/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/notebook.h"

#include "logger/run/folder.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

bool nr_notebook_init(nr_notebook *book, const nr_files *files, const char *folder)
{
    book->files = files;
    book->length = 0;
    book->lost = 0;
    book->why = 0;
    pthread_mutex_init(&book->lock, NULL); /* holds nothing that would have to be given back */
    int a = snprintf(book->path, sizeof book->path, "%s/" NR_NOTES_FILE, folder);
    int b = snprintf(book->lock_path, sizeof book->lock_path, "%s/.noonlog/notes.lock", folder);
    return a < (int)sizeof book->path && b < (int)sizeof book->lock_path;
}

bool nr_notebook_add(nr_notebook *book, const nr_note *note)
{
    pthread_mutex_lock(&book->lock);
    size_t n = nr_notes_row(note, book->rows + book->length, sizeof book->rows - book->length);
    book->length += n;
    pthread_mutex_unlock(&book->lock);
    if (n == 0)
        book->lost++;
    return n > 0;
}

size_t nr_notebook_waiting(nr_notebook *book)
{
    pthread_mutex_lock(&book->lock);
    size_t length = book->length;
    pthread_mutex_unlock(&book->lock);
    return length;
}

static void forget(nr_notebook *book, size_t count)
{
    pthread_mutex_lock(&book->lock);
    book->length -= count;
    memmove(book->rows, book->rows + count, book->length);
    pthread_mutex_unlock(&book->lock);
}

static bool write_all(const nr_files *files, int fd, const char *bytes, size_t count, off_t at)
{
    size_t done = 0;
    while (done < count) {
        ssize_t n =
            files->write_at(files->context, fd, bytes + done, count - done, at + (off_t)done);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0) {
            errno = n < 0 ? errno : ENOSPC;
            return false;
        }
        done += (size_t)n;
    }
    return true;
}

/* Where the next row goes: behind the last whole one. A writer that died in the middle of a row
 * has left a torn tail, which goes. */
static off_t end_of_rows(const nr_files *files, int fd)
{
    off_t size = files->size(files->context, fd);
    char c = '\n';
    off_t end = size;
    while (end > 0 && pread(fd, &c, 1, end - 1) == 1 && c != '\n')
        end--;
    if (end < size && files->truncate(files->context, fd, end) < 0)
        return -1;
    return end;
}

/* The rows up to there stay where they are meanwhile: others are only added behind them. */
static bool append_rows(nr_notebook *book, size_t count, int fd)
{
    const nr_files *files = book->files;
    off_t start = end_of_rows(files, fd);
    off_t at = start;
    if (start < 0)
        return false;
    bool done = true;
    if (at == 0) {
        done = write_all(files, fd, NR_NOTES_HEADER, strlen(NR_NOTES_HEADER), 0);
        at = (off_t)strlen(NR_NOTES_HEADER);
    }
    done =
        done && write_all(files, fd, book->rows, count, at) && files->sync(files->context, fd) == 0;
    if (!done) {
        int why = errno;
        files->truncate(files->context, fd, start);
        errno = why;
    }
    return done;
}

bool nr_notebook_flush(nr_notebook *book)
{
    size_t count = nr_notebook_waiting(book);
    if (count == 0)
        return true;
    int lock = open(book->lock_path, O_RDWR | O_CREAT | O_CLOEXEC, 0644);
    int fd = -1;
    bool done = lock >= 0 && flock(lock, LOCK_EX | LOCK_NB) == 0;
    if (done) {
        fd = book->files->open(book->files->context, book->path, O_RDWR | O_CREAT, 0644);
        done = fd >= 0 && append_rows(book, count, fd);
    }
    book->why = done ? 0 : errno;
    if (done)
        forget(book, count);
    if (fd >= 0)
        book->files->close(book->files->context, fd);
    if (lock >= 0)
        close(lock);
    return done;
}
