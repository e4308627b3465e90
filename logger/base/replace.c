/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/replace.h"

#include "logger/base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <stdint.h>
#include <string.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <unistd.h>

#define TRIES 16
#define FIGURES 16 /* of chance in a name */
#define PART ".part"

static void folder_of(const char *path, char out[NR_ERR_FILE])
{
    char copy[NR_ERR_FILE];
    nr_copy(copy, sizeof copy, path);
    nr_copy(out, NR_ERR_FILE, dirname(copy));
}

bool nr_replace_left(const char *name, const char *of)
{
    size_t n = strlen(of), length = strlen(name);
    return length == n + 1 + FIGURES + strlen(PART) && strncmp(name, of, n) == 0 &&
           name[n] == '.' && strspn(name + n + 1, "0123456789abcdef") == FIGURES &&
           strcmp(name + n + 1 + FIGURES, PART) == 0;
}

/* A name beside the file that nobody can have prepared. */
static bool make_name(nr_replacement *r)
{
    uint64_t chance = 0;
    if (getrandom(&chance, sizeof chance, 0) != (ssize_t)sizeof chance)
        return false;
    snprintf(r->temporary, sizeof r->temporary, "%s.%0*llx" PART, r->path, FIGURES,
             (unsigned long long)chance);
    return true;
}

static int open_named(nr_replacement *r, unsigned mode)
{
    for (int i = 0; i < TRIES && make_name(r); i++) {
        int fd =
            open(r->temporary, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, (mode_t)mode);
        if (fd >= 0 || errno != EEXIST)
            return fd;
    }
    return -1;
}

nr_code nr_replace_begin(nr_replacement *r, const char *path, unsigned mode, nr_err *err)
{
    char folder[NR_ERR_FILE];
    struct stat old;
    *r = (nr_replacement){.fd = -1};
    if (!nr_copy(r->path, sizeof r->path, path))
        return nr_fail(err, NR_BAD, NULL, 0, "the file's path is too long");
    bool there = stat(path, &old) == 0;
    if (there && !S_ISREG(old.st_mode))
        return nr_fail(err, NR_BAD, path, 0, "is there already and is no plain file");
    folder_of(path, folder);
    r->fd = open(folder, O_RDWR | O_TMPFILE | O_CLOEXEC, (mode_t)mode);
    if (r->fd < 0 && (errno == EOPNOTSUPP || errno == EISDIR || errno == EINVAL))
        r->fd = open_named(r, mode);
    if (r->fd < 0) {
        r->temporary[0] = '\0';
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot write");
    }
    if (there && fchmod(r->fd, old.st_mode & 07777) != 0) {
        nr_code code = nr_fail_errno(err, NR_BAD, path, errno, "cannot write");
        nr_replace_abandon(r);
        return code;
    }
    return NR_OK;
}

/* Gives the file a name beside its place. */
static bool give_name(nr_replacement *r)
{
    char open_file[64];
    snprintf(open_file, sizeof open_file, "/proc/self/fd/%d", r->fd);
    for (int i = 0; i < TRIES && make_name(r); i++) {
        if (linkat(AT_FDCWD, open_file, AT_FDCWD, r->temporary, AT_SYMLINK_FOLLOW) == 0)
            return true;
        if (errno != EEXIST)
            break;
    }
    r->temporary[0] = '\0';
    return false;
}

static void sync_folder(const char *path)
{
    char folder[NR_ERR_FILE];
    folder_of(path, folder);
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return;
    (void)fsync(fd); /* some file systems cannot; the file itself is on the disk */
    close(fd);
}

nr_code nr_replace_commit(nr_replacement *r, nr_err *err)
{
    bool done = fsync(r->fd) == 0 && (r->temporary[0] || give_name(r)) &&
                rename(r->temporary, r->path) == 0;
    if (!done) {
        nr_code code = nr_fail_errno(err, NR_BAD, r->path, errno, "cannot write");
        nr_replace_abandon(r);
        return code;
    }
    sync_folder(r->path);
    close(r->fd);
    r->temporary[0] = '\0';
    r->fd = -1;
    return NR_OK;
}

void nr_replace_abandon(nr_replacement *r)
{
    if (r->temporary[0])
        unlink(r->temporary);
    if (r->fd >= 0)
        close(r->fd);
    r->temporary[0] = '\0';
    r->fd = -1;
}

bool nr_write_all(int fd, const char *bytes, size_t length)
{
    for (size_t done = 0; done < length;) {
        ssize_t n = write(fd, bytes + done, length - done);
        if (n < 0 && errno == EINTR)
            continue;
        if (n == 0)
            errno = ENOSPC;
        if (n <= 0)
            return false;
        done += (size_t)n;
    }
    return true;
}

nr_code nr_replace_write(nr_replacement *r, const char *bytes, size_t length, nr_err *err)
{
    if (nr_write_all(r->fd, bytes, length))
        return NR_OK;
    return nr_fail_errno(err, NR_BAD, r->path, errno, "cannot write");
}

FILE *nr_replace_stream(const nr_replacement *r)
{
    int fd = fcntl(r->fd, F_DUPFD_CLOEXEC, 0);
    FILE *file = fd < 0 ? NULL : fdopen(fd, "w+b");
    if (!file && fd >= 0)
        close(fd);
    return file;
}

nr_code nr_replace_file(const char *path, const char *bytes, size_t length, unsigned mode,
                        nr_err *err)
{
    nr_replacement r;
    nr_code code = nr_replace_begin(&r, path, mode, err);
    if (code != NR_OK)
        return code;
    code = nr_replace_write(&r, bytes, length, err);
    if (code == NR_OK)
        return nr_replace_commit(&r, err);
    nr_replace_abandon(&r);
    return code;
}
