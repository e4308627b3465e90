/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

static nr_code size_of(int fd, const char *path, size_t most, size_t *size, nr_err *err)
{
    struct stat about;
    if (fstat(fd, &about) != 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot be read");
    if (!S_ISREG(about.st_mode))
        return nr_fail(err, NR_BAD, path, 0, "is not a plain file");
    /* As numbers of the file's kind: a size_t may have 32 bits, and 4 GB would be none. */
    if (about.st_size < 0 || (uintmax_t)about.st_size > most)
        return nr_fail(err, NR_BAD, path, 0, "is larger than %zu MB: not a file of ours",
                       most / 1000000);
    *size = (size_t)about.st_size;
    return NR_OK;
}

int nr_file_begin(const char *path, size_t most, size_t *size, nr_err *err)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK); /* a FIFO must not hang us */
    if (fd < 0)
        nr_fail_errno(err, NR_BAD, path, errno, "cannot be opened");
    if (fd < 0 || size_of(fd, path, most, size, err) == NR_OK)
        return fd;
    close(fd);
    return -1;
}

static nr_code read_open_file(int fd, const char *path, size_t size, char **text, size_t *length,
                              nr_err *err)
{
    char *buffer = malloc(size + 1);
    if (!buffer)
        return nr_fail(err, NR_BAD, path, 0, "not enough memory to read %zu bytes", size);
    size_t used = 0;
    while (used < size) {
        ssize_t got = read(fd, buffer + used, size - used);
        if (got == 0)
            break;
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0) {
            int why = errno;
            free(buffer);
            return nr_fail_errno(err, NR_BAD, path, why, "cannot be read");
        }
        used += (size_t)got;
    }
    buffer[used] = '\0';
    *text = buffer;
    *length = used;
    return NR_OK;
}

nr_code nr_file_read(const char *path, size_t most, char **text, size_t *length, nr_err *err)
{
    size_t size;
    int fd = nr_file_begin(path, most, &size, err);
    if (fd < 0)
        return NR_BAD;
    nr_code code = read_open_file(fd, path, size, text, length, err);
    close(fd);
    return code;
}

FILE *nr_file_open(const char *path, nr_err *err)
{
    struct stat about;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    FILE *file = NULL;
    if (fd < 0) {
        int why = errno;
        nr_fail_errno(err, NR_BAD, path, why, "cannot be opened");
        errno = why;
        return NULL;
    }
    if (fstat(fd, &about) == 0 && S_ISREG(about.st_mode)) {
        file = fdopen(fd, "rb");
    } else {
        nr_fail(err, NR_BAD, path, 0, "is not a plain file");
        errno = EINVAL;
    }
    if (!file) {
        int why = errno;
        close(fd);
        errno = why;
    }
    return file;
}

nr_code nr_path_in(const char *folder, const char *name, char out[NR_ERR_FILE], nr_err *err)
{
    if (snprintf(out, NR_ERR_FILE, "%s/%s", folder, name) < NR_ERR_FILE)
        return NR_OK;
    return nr_fail(err, NR_BAD, folder, 0, "the path is too long; use one below %d characters",
                   NR_ERR_FILE - 32);
}
