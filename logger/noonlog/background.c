/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/noonlog/background.h"

#include "logger/base/replace.h"
#include "logger/noonlog/commands.h"
#include "logger/record/state.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

typedef struct report {
    bool ready;
    long pid;
    char folder[NR_ERR_FILE];
    nr_err err;
} report;

static bool read_whole(int fd, void *to, size_t size)
{
    size_t done = 0;
    while (done < size) {
        ssize_t n = read(fd, (char *)to + done, size - done);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return false;
        done += (size_t)n;
    }
    return true;
}

static int wait_for_child(int fd, pid_t child)
{
    report r;
    if (!read_whole(fd, &r, sizeof r)) {
        nr_err err;
        waitpid(child, NULL, 0);
        nr_fail(&err, NR_BAD, NULL, 0, "the recorder ended before it could say why");
        return nr_cmd_failed(&err);
    }
    if (!r.ready)
        return nr_cmd_failed(&r.err);
    printf("recording into %s in the background (process %ld)\n", r.folder, r.pid);
    return NR_OK;
}

bool nr_background_fork(nr_background *b, int *status)
{
    int ends[2];
    nr_err err;
    fflush(NULL);
    pid_t child = -1;
    if (pipe2(ends, O_CLOEXEC) == 0) {
        child = fork();
        if (child < 0) {
            close(ends[0]);
            close(ends[1]);
        }
    }
    if (child < 0) {
        nr_fail_errno(&err, NR_BAD, NULL, errno, "cannot start a process");
        *status = nr_cmd_failed(&err);
        return true;
    }
    if (child == 0) {
        close(ends[0]);
        setsid();
        b->pipe = ends[1];
        return false;
    }
    close(ends[1]);
    *status = wait_for_child(ends[0], child);
    close(ends[0]);
    return true;
}

static void send_report(nr_background *b, const report *r)
{
    /* where it fails the foreground was killed: nothing to tell any more */
    (void)nr_write_all(b->pipe, (const char *)r, sizeof *r);
    close(b->pipe);
    b->pipe = -1;
}

static void leave_terminal(const char *folder)
{
    char path[NR_ERR_FILE + 32];
    snprintf(path, sizeof path, "%s/" NR_STATE_FOLDER "/messages", folder);
    int null = open("/dev/null", O_RDWR | O_CLOEXEC);
    int messages = open(path, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0644);
    if (null >= 0) {
        dup2(null, 0);
        dup2(null, 1);
        dup2(messages >= 0 ? messages : null, 2);
        close(null);
    }
    if (messages >= 0)
        close(messages);
}

void nr_background_ready(nr_background *b, const char *folder)
{
    report r;
    if (b->pipe < 0)
        return;
    memset(&r, 0, sizeof r);
    r.ready = true;
    r.pid = (long)getpid();
    snprintf(r.folder, sizeof r.folder, "%s", folder);
    leave_terminal(folder);
    send_report(b, &r);
}

bool nr_background_failed(nr_background *b, const nr_err *err)
{
    report r;
    if (b->pipe < 0)
        return false;
    memset(&r, 0, sizeof r);
    r.err = *err;
    send_report(b, &r);
    return true;
}
