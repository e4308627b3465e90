/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A disk in trouble: pwrite and fdatasync of files in a run fail as a control file says.
 *
 * FAULT_FILE names the control file; its first word is what goes wrong now:
 *   full   writes fail with ENOSPC, after a last one that is cut in half
 *   eio    writes fail with EIO
 *   sync   fdatasync fails with EIO
 *   slow   fdatasync takes four seconds (a worn memory card)
 * SYNCED names a file to which "NAME SIZE" is added after each sync that worked: what a reader may
 * count on from then on.
 * Anything else, or no file: nothing. Only readings.csv, adapter.log and notes.csv are meant.
 */
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

static void read_fault(char *word, size_t size)
{
    const char *path = getenv("FAULT_FILE");
    word[0] = '\0';
    int fd = path ? open(path, O_RDONLY | O_CLOEXEC) : -1;
    if (fd < 0)
        return;
    ssize_t n = read(fd, word, size - 1);
    word[n > 0 ? n : 0] = '\0';
    word[strcspn(word, " \n")] = '\0';
    close(fd);
}

static int is_meant(int fd)
{
    char link[64], path[4096];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, sizeof path - 1);
    path[n > 0 ? n : 0] = '\0';
    return strstr(path, "/readings.csv") || strstr(path, "/adapter.log") ||
           strstr(path, "/notes.csv");
}

ssize_t pwrite(int fd, const void *bytes, size_t count, off_t at)
{
    static int cut; /* the last write before "full" was cut in half */
    char fault[16];
    read_fault(fault, sizeof fault);
    if (!is_meant(fd))
        fault[0] = '\0';
    if (strcmp(fault, "eio") == 0) {
        errno = EIO;
        return -1;
    }
    if (strcmp(fault, "full") != 0)
        cut = 0;
    else if (cut || count < 2) {
        errno = ENOSPC;
        return -1;
    } else {
        cut = 1;
        count /= 2;
    }
    return (ssize_t)syscall(SYS_pwrite64, fd, bytes, count, at);
}

ssize_t pwrite64(int fd, const void *bytes, size_t count, off_t at)
{
    return pwrite(fd, bytes, count, at);
}

static void write_down(int fd, off_t size)
{
    const char *path = getenv("SYNCED");
    char link[64], name[4096], line[4200];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, name, sizeof name - 1);
    int to = path ? open(path, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0644) : -1;
    if (to < 0)
        return;
    name[n > 0 ? n : 0] = '\0';
    const char *base = strrchr(name, '/');
    int length = snprintf(line, sizeof line, "%s %lld\n", base ? base + 1 : name, (long long)size);
    if (write(to, line, (size_t)length) != length)
        perror(path);
    close(to);
}

int fdatasync(int fd)
{
    char fault[16];
    struct stat before;
    read_fault(fault, sizeof fault);
    if (strcmp(fault, "sync") == 0 && is_meant(fd)) {
        errno = EIO;
        return -1;
    }
    if (strcmp(fault, "slow") == 0 && is_meant(fd))
        sleep(4);
    int sized = fstat(fd, &before);
    int done = (int)syscall(SYS_fdatasync, fd);
    if (done == 0 && sized == 0 && is_meant(fd))
        write_down(fd, before.st_size);
    return done;
}
