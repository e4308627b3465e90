/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tests/e2e/ptylink.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

/* Calls nothing that is not safe after a fork beside threads. Of its own session, so that no Ctrl+C
 * ends it before it has done its work, and with nothing open but the pipe: who reads what the
 * adapter writes, or feeds it, waits for the adapter alone. */
static void guard(int end, const char *link, const struct stat *made)
{
    char byte;
    struct stat now;
    setsid();
    if (end > 0)
        close_range(0, (unsigned)end - 1, 0);
    close_range((unsigned)end + 1, ~0U, 0);
    while (read(end, &byte, 1) < 0 && errno == EINTR)
        ;
    /* Not one that came after it, which may lead to a device of the same number. */
    if (lstat(link, &now) == 0 && now.st_ino == made->st_ino &&
        now.st_ctim.tv_sec == made->st_ctim.tv_sec && now.st_ctim.tv_nsec == made->st_ctim.tv_nsec)
        unlink(link);
}

bool ptylink(const char *device, const char *link)
{
    char fresh[512];
    int end[2];
    struct stat made;
    snprintf(fresh, sizeof fresh, "%s.new", link);
    unlink(fresh);
    if (pipe(end) < 0 || symlink(device, fresh) < 0 || rename(fresh, link) < 0 ||
        lstat(link, &made) < 0)
        return false;
    pid_t child = fork();
    if (child == 0) {
        guard(end[0], link, &made);
        _exit(0);
    }
    close(end[0]); /* the other end is let go by the end of this process */
    return child > 0;
}
