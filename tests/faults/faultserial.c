/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A pseudo-terminal that libserialport takes for a USB serial port.
 *
 * FAULT_ROOT is a folder with a made-up /sys/class/tty and /dev/ttyUSB* inside: paths that begin
 * with one of those are looked up there. The modem lines, which a pseudo-terminal does not have,
 * answer as a port with nothing on them would. Everything else is the real thing: libserialport
 * opens, configures and reads the terminal.
 */
/* These are the functions themselves, not the checked forms that headers would make of them; programs
 * that were hardened call the checked forms, which are here, too. */
#undef _FORTIFY_SOURCE
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

static const char *moved(const char *path, char *to)
{
    const char *root = getenv("FAULT_ROOT");
    if (!root ||
        (strncmp(path, "/sys/class/tty", 14) != 0 && strncmp(path, "/dev/ttyUSB", 11) != 0))
        return path;
    snprintf(to, PATH_MAX, "%s%s", root, path);
    return to;
}

/* ISO C has no conversion from dlsym's result to a function; POSIX promises that this works. */
static void next(const char *name, void *function)
{
    void *found = dlsym(RTLD_NEXT, name);
    memcpy(function, &found, sizeof found);
}

int lstat(const char *path, struct stat *out)
{
    char to[PATH_MAX];
    return (int)syscall(SYS_newfstatat, AT_FDCWD, moved(path, to), out, AT_SYMLINK_NOFOLLOW);
}

int lstat64(const char *path, struct stat64 *out)
{
    char to[PATH_MAX];
    return (int)syscall(SYS_newfstatat, AT_FDCWD, moved(path, to), out, AT_SYMLINK_NOFOLLOW);
}

/* Debian 12's library was built to call these when it was linked against an older C library. */
int __lxstat(int version, const char *path, struct stat *out)
{
    (void)version;
    return lstat(path, out);
}

int __lxstat64(int version, const char *path, struct stat64 *out)
{
    (void)version;
    return lstat64(path, out);
}

int access(const char *path, int mode)
{
    char to[PATH_MAX];
    return (int)syscall(SYS_faccessat, AT_FDCWD, moved(path, to), mode);
}

ssize_t readlink(const char *path, char *out, size_t size)
{
    char to[PATH_MAX];
    return syscall(SYS_readlinkat, AT_FDCWD, moved(path, to), out, size);
}

ssize_t __readlink_chk(const char *path, char *out, size_t size, size_t room)
{
    (void)room;
    return readlink(path, out, size);
}

DIR *opendir(const char *path)
{
    char to[PATH_MAX];
    DIR *(*real)(const char *);
    next("opendir", &real);
    return real(moved(path, to));
}

FILE *fopen(const char *path, const char *mode)
{
    char to[PATH_MAX];
    FILE *(*real)(const char *, const char *);
    next("fopen", &real);
    return real(moved(path, to), mode);
}

FILE *fopen64(const char *path, const char *mode)
{
    return fopen(path, mode);
}

char *realpath(const char *restrict path, char *restrict out)
{
    char to[PATH_MAX];
    char *(*real)(const char *, char *);
    next("realpath", &real);
    const char *there = moved(path, to);
    if (there == path)
        return real(path, out);
    if (access(there, F_OK) < 0)
        return NULL;
    snprintf(out, PATH_MAX, "%s", path);
    return out;
}

char *__realpath_chk(const char *path, char *out, size_t room)
{
    (void)room;
    return realpath(path, out);
}

int open(const char *path, int flags, ...)
{
    char to[PATH_MAX];
    va_list args;
    va_start(args, flags);
    int mode = va_arg(args, int);
    va_end(args);
    return (int)syscall(SYS_openat, AT_FDCWD, moved(path, to), flags, mode);
}

int open64(const char *path, int flags, ...)
{
    char to[PATH_MAX];
    va_list args;
    va_start(args, flags);
    int mode = va_arg(args, int);
    va_end(args);
    return (int)syscall(SYS_openat, AT_FDCWD, moved(path, to), flags, mode);
}

int __open64_2(const char *path, int flags)
{
    return open(path, flags, 0);
}

int __open_2(const char *path, int flags)
{
    return open(path, flags, 0);
}

int ioctl(int fd, unsigned long request, ...)
{
    va_list args;
    va_start(args, request);
    void *argument = va_arg(args, void *);
    va_end(args);
    if (request == TIOCMGET) {
        *(int *)argument = 0;
        return 0;
    }
    if (request == TIOCMSET || request == TIOCMBIS || request == TIOCMBIC)
        return 0;
    return (int)syscall(SYS_ioctl, fd, request, argument);
}
