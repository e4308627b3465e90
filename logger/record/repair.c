/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/repair.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define BLOCK 4096

/* The offset behind the last '\n' in [0, end), 0 when there is none. -1: cannot read. */
static off_t line_end_before(int fd, off_t end)
{
    char block[BLOCK];
    while (end > 0) {
        off_t from = end > BLOCK ? end - BLOCK : 0;
        ssize_t n = pread(fd, block, (size_t)(end - from), from);
        if (n <= 0)
            return -1;
        const char *found = memrchr(block, '\n', (size_t)n);
        if (found)
            return from + (found - block) + 1;
        end = from;
    }
    return 0;
}

/* Is there a NUL byte in [from, to)? Our files have none, so it marks what was never written. */
static bool has_nul(int fd, off_t from, off_t to, off_t *first)
{
    char block[BLOCK];
    for (off_t at = from; at < to;) {
        size_t want = to - at > BLOCK ? BLOCK : (size_t)(to - at);
        ssize_t n = pread(fd, block, want, at);
        if (n <= 0)
            return false;
        const char *found = memchr(block, 0, (size_t)n);
        if (found) {
            *first = at + (found - block);
            return true;
        }
        at += n;
    }
    return false;
}

nr_code nr_repair_tail(const char *path, off_t *cut, nr_err *err)
{
    struct stat s;
    *cut = 0;
    int fd = open(path, O_RDWR | O_CLOEXEC);
    if (fd < 0 && errno == ENOENT)
        return NR_OK;
    if (fd < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot open for repair");
    nr_code code = NR_OK;
    if (fstat(fd, &s) < 0)
        code = nr_fail_errno(err, NR_BAD, path, errno, "cannot read");
    off_t end = code == NR_OK ? s.st_size : 0, nul = 0;
    if (code == NR_OK && has_nul(fd, 0, end, &nul))
        end = nul;
    off_t keep = code == NR_OK ? line_end_before(fd, end) : 0;
    if (code == NR_OK && keep < 0)
        code = nr_fail_errno(err, NR_BAD, path, errno, "cannot read");
    if (code == NR_OK && keep < s.st_size) {
        if (ftruncate(fd, keep) < 0 || fsync(fd) < 0)
            code = nr_fail_errno(err, NR_BAD, path, errno, "cannot cut off the torn last line");
        *cut = s.st_size - keep;
    }
    close(fd);
    return code;
}

bool nr_last_line(const char *path, char *out, size_t size)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    off_t end = fd < 0 ? 0 : lseek(fd, 0, SEEK_END);
    bool found = false;
    if (end > 1) {
        off_t from = line_end_before(fd, end - 1);
        size_t length = from < 0 ? 0 : (size_t)(end - from);
        if (from >= 0) {
            length = length < size ? length : size - 1;
            ssize_t n = pread(fd, out, length, from);
            out[n > 0 ? n : 0] = '\0';
            out[strcspn(out, "\r\n")] = '\0';
            found = n > 0;
        }
    }
    if (fd >= 0)
        close(fd);
    return found;
}
