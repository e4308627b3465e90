/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/files.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

static int system_open(void *context, const char *path, int flags, mode_t mode)
{
    (void)context;
    return open(path, flags | O_CLOEXEC, mode);
}

static ssize_t system_write_at(void *context, int fd, const void *bytes, size_t count, off_t at)
{
    (void)context;
    return pwrite(fd, bytes, count, at);
}

static ssize_t system_read_at(void *context, int fd, void *bytes, size_t count, off_t at)
{
    (void)context;
    return pread(fd, bytes, count, at);
}

static int system_sync(void *context, int fd)
{
    (void)context;
    return fdatasync(fd);
}

static int system_truncate(void *context, int fd, off_t size)
{
    (void)context;
    return ftruncate(fd, size);
}

static off_t system_size(void *context, int fd)
{
    (void)context;
    struct stat s;
    return fstat(fd, &s) == 0 ? s.st_size : -1;
}

static int system_close(void *context, int fd)
{
    (void)context;
    return close(fd);
}

static bool system_same(void *context, int fd, const char *path)
{
    (void)context;
    struct stat open_file, named;
    return fstat(fd, &open_file) == 0 && stat(path, &named) == 0 &&
           open_file.st_dev == named.st_dev && open_file.st_ino == named.st_ino;
}

const nr_files nr_files_system = {.open = system_open,
                                  .write_at = system_write_at,
                                  .read_at = system_read_at,
                                  .sync = system_sync,
                                  .truncate = system_truncate,
                                  .size = system_size,
                                  .close = system_close,
                                  .same = system_same};
