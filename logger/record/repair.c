/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/repair.h"

#include "logger/base/replace.h"
#include "logger/base/text.h"
#include "logger/base/utc.h"
#include "logger/run/file.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define BLOCK 4096

/* The offset behind the last line end in [0, end), 0 when there is none. -1: cannot read. */
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

/* The offset behind the last byte of [from, end) that is no NUL. */
static off_t nuls_before(int fd, off_t from, off_t end)
{
    char block[BLOCK];
    while (end > from) {
        off_t at = end - from > BLOCK ? end - BLOCK : from;
        ssize_t n = pread(fd, block, (size_t)(end - at), at);
        if (n <= 0)
            return end;
        for (; n > 0; n--)
            if (block[n - 1] != '\0')
                return at + n;
        end = at;
    }
    return from;
}

static bool copy_range(int from_fd, off_t from, off_t to, int to_fd)
{
    char block[BLOCK];
    while (from < to) {
        size_t want = to - from > BLOCK ? BLOCK : (size_t)(to - from);
        ssize_t n = pread(from_fd, block, want, from);
        if (n <= 0 || !nr_write_all(to_fd, block, (size_t)n))
            return false;
        from += n;
    }
    return true;
}

/* Adds [from, to) to the file of what was cut. */
static bool keep(int fd, off_t from, off_t to, const char *kept_path)
{
    char head[96];
    int length = snprintf(head, sizeof head, "# %lld bytes from offset %lld on:\n",
                          (long long)(to - from), (long long)from);
    int kept = open(kept_path, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC | O_NOFOLLOW, 0600);
    bool done = kept >= 0 && nr_write_all(kept, head, (size_t)length) &&
                copy_range(fd, from, to, kept) && nr_write_all(kept, "\n", 1) && fsync(kept) == 0;
    int why = errno;
    if (kept >= 0)
        close(kept);
    errno = why;
    return done;
}

static nr_code cut_behind(int fd, const char *path, const char *kept_path, off_t size, off_t *cut,
                          nr_err *err)
{
    off_t from = line_end_before(fd, size);
    if (from < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot read");
    if (from == size)
        return NR_OK;
    off_t to = nuls_before(fd, from, size);
    if (kept_path && to > from && !keep(fd, from, to, kept_path))
        return nr_fail_errno(err, NR_BAD, kept_path, errno, "cannot keep the torn last line");
    if (ftruncate(fd, from) < 0 || fsync(fd) < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot cut off the torn last line");
    *cut = size - from;
    return NR_OK;
}

nr_code nr_repair_tail(const char *path, const char *kept_path, off_t *cut, nr_err *err)
{
    struct stat s;
    *cut = 0;
    int fd = open(path, O_RDWR | O_CLOEXEC | O_NONBLOCK);
    if (fd < 0 && errno == ENOENT)
        return NR_OK;
    if (fd < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot open for repair");
    nr_code code = NR_OK;
    if (fstat(fd, &s) < 0)
        code = nr_fail_errno(err, NR_BAD, path, errno, "cannot read");
    else if (!S_ISREG(s.st_mode))
        code = nr_fail(err, NR_BAD, path, 0, "is no file");
    else
        code = cut_behind(fd, path, kept_path, s.st_size, cut, err);
    close(fd);
    return code;
}

static bool is_damaged(const char *line, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)line[i];
        if ((c < 0x20 && c != '\t' && c != '\r') || c == 0x7f)
            return true;
    }
    return false;
}

/* time_utc,elapsed_s,... */
static bool is_row(char *line, double *utc_s, double *elapsed_s)
{
    char *elapsed = strchr(line, ',');
    if (!elapsed)
        return false;
    *elapsed++ = '\0';
    elapsed[strcspn(elapsed, ",\r")] = '\0';
    return nr_utc_parse(line, utc_s) && nr_parse_double(elapsed, elapsed_s);
}

static void take_line(nr_repair_survey *out, char *line, size_t length)
{
    double utc_s = NAN, elapsed_s = NAN;
    out->lines++;
    if (is_damaged(line, length)) {
        out->first_damaged = out->damaged++ == 0 ? (long)out->lines : out->first_damaged;
    } else if (is_row(line, &utc_s, &elapsed_s)) {
        out->rows++;
        out->utc_s = utc_s;
        out->elapsed_s = elapsed_s;
    }
}

nr_code nr_repair_look(const char *path, nr_repair_survey *out, nr_err *err)
{
    char *line = NULL;
    size_t size = 0;
    ssize_t n = 0;
    *out = (nr_repair_survey){.utc_s = NAN, .elapsed_s = NAN};
    FILE *file = nr_file_open(path, err);
    if (!file)
        return errno == ENOENT ? NR_OK : NR_BAD;
    while ((n = getline(&line, &size, file)) > 0) {
        if (line[n - 1] != '\n')
            break;
        line[--n] = '\0';
        take_line(out, line, (size_t)n);
    }
    bool failed = ferror(file) != 0;
    free(line);
    fclose(file);
    return failed ? nr_fail_errno(err, NR_BAD, path, errno, "cannot read") : NR_OK;
}
