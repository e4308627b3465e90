/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pseudo-terminal, link, readers. */
#include "sample-runs/rig/program/terminal.h"

#include "logger/base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/inotify.h>
#include <sys/ioctl.h>
#include <sys/signalfd.h>
#include <sys/stat.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

double terminal_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void close_fd(int *fd)
{
    if (*fd >= 0) {
        close(*fd);
    }
    *fd = -1;
}

/* A link under another name, renamed over the old one: a reader never meets a missing port
 * because of a restart. */
static nr_code put_link(const char *link, const char *device, nr_err *err)
{
    char temporary[300];
    struct stat there;
    if (lstat(link, &there) == 0 && !S_ISLNK(there.st_mode)) {
        return nr_fail(err, NR_BAD, link, 0, "exists and is no symbolic link; name another place");
    }
    snprintf(temporary, sizeof temporary, "%s.%ld", link, (long)getpid());
    if (symlink(device, temporary) != 0 || rename(temporary, link) != 0) {
        int why = errno;
        unlink(temporary);
        return nr_fail_errno(err, NR_BAD, link, why, "the link cannot be made");
    }
    return NR_OK;
}

/* No echo, no line editing: a driver must not answer the adapter with its own words. */
static bool make_raw(int fd)
{
    struct termios settings;
    if (tcgetattr(fd, &settings) != 0) {
        return false;
    }
    cfmakeraw(&settings);
    return tcsetattr(fd, TCSANOW, &settings) == 0;
}

nr_code terminal_plug(terminal *t, nr_err *err)
{
    char device[64];
    t->near = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC | O_NONBLOCK);
    if (t->near < 0 || grantpt(t->near) != 0 || unlockpt(t->near) != 0 ||
        ptsname_r(t->near, device, sizeof device) != 0) {
        return nr_fail_errno(err, NR_BAD, NULL, errno, "no pseudo-terminal can be had");
    }
    t->far = open(device, O_RDWR | O_NOCTTY | O_CLOEXEC | O_NONBLOCK);
    t->watch = inotify_init1(IN_CLOEXEC | IN_NONBLOCK);
    if (t->far < 0 || !make_raw(t->far) || t->watch < 0 ||
        inotify_add_watch(t->watch, device, IN_OPEN | IN_CLOSE) < 0) {
        return nr_fail_errno(err, NR_BAD, device, errno, "the pseudo-terminal cannot be watched");
    }
    t->readers = 0;
    nr_code code = put_link(t->link, device, err);
    t->linked = code == NR_OK;
    return code;
}

void terminal_unplug(terminal *t)
{
    if (t->linked) {
        unlink(t->link);
        t->linked = false;
    }
    close_fd(&t->watch);
    close_fd(&t->far);
    close_fd(&t->near);
    t->readers = 0;
}

nr_code terminal_open(terminal *t, const char *link, nr_err *err)
{
    *t = (terminal){.near = -1, .far = -1, .watch = -1, .signals = -1};
    sigset_t set;
    sigemptyset(&set);
    sigaddset(&set, SIGINT);
    sigaddset(&set, SIGTERM);
    sigaddset(&set, SIGHUP);
    sigprocmask(SIG_BLOCK, &set, NULL);
    t->signals = signalfd(-1, &set, SFD_CLOEXEC | SFD_NONBLOCK);
    if (t->signals < 0) {
        return nr_fail_errno(err, NR_BAD, NULL, errno, "no signals can be waited for");
    }
    if (!nr_copy(t->link, sizeof t->link, link)) {
        return nr_fail(err, NR_BAD, link, 0, "the name is too long");
    }
    return terminal_plug(t, err);
}

void terminal_close(terminal *t)
{
    terminal_unplug(t);
    close_fd(&t->signals);
}

static void note_readers(terminal *t)
{
    _Alignas(struct inotify_event) char bytes[4096];
    ssize_t n;
    while ((n = read(t->watch, bytes, sizeof bytes)) > 0) {
        for (char *at = bytes; at < bytes + n;) {
            const struct inotify_event *event = (const struct inotify_event *)(const void *)at;
            t->readers += (event->mask & IN_OPEN) != 0;
            t->readers -= (event->mask & IN_CLOSE) != 0;
            t->met = t->met || (event->mask & IN_OPEN);
            at += sizeof *event + event->len;
        }
    }
    if (t->readers == 0 && t->far >= 0) {
        /* A reader's exclusive lock lives as long as the device is open, and we hold it open. */
        ioctl(t->far, TIOCNXCL);
    }
}

/* Waits for any of: the far end writable (if asked), readers, a signal, time. */
static void wait_for(terminal *t, bool writable, double until_s)
{
    double left_s = until_s - terminal_now();
    if (t->stopped || left_s <= 0.0) {
        left_s = 0.0;
    }
    struct pollfd fds[] = {{t->signals, POLLIN, 0},
                           {t->watch, POLLIN, 0},
                           {t->near, (short)(writable ? POLLOUT : 0), 0}};
    struct timespec limit = {0, 0}; /* for ever has no seconds to count */
    if (isfinite(left_s)) {
        limit = (struct timespec){(time_t)left_s, (long)(1e9 * (left_s - floor(left_s)))};
    }
    int n = ppoll(fds, writable ? 3 : 2, isinf(until_s) ? NULL : &limit, NULL);
    if (n <= 0) {
        return;
    }
    struct signalfd_siginfo info;
    if (fds[0].revents && read(t->signals, &info, sizeof info) > 0) {
        t->stopped = true;
    }
    if (fds[1].revents) {
        note_readers(t);
    }
}

void terminal_wait(terminal *t, double until_s)
{
    wait_for(t, false, until_s);
}

nr_code terminal_write(terminal *t, const char *bytes, size_t count, nr_err *err)
{
    while (count > 0) {
        ssize_t n = write(t->near, bytes, count);
        if (n > 0) {
            bytes += n;
            count -= (size_t)n;
            continue;
        }
        if (n < 0 && errno != EAGAIN && errno != EINTR) {
            return nr_fail_errno(err, NR_BAD, t->link, errno, "the reader cannot be written to");
        }
        /* The time limit is a belt: some kernels wake no writer when the reader's last read
         * emptied the buffer while it was being filled. */
        wait_for(t, true, terminal_now() + 0.05);
        if (t->stopped) {
            return nr_fail(err, NR_CANNOT, NULL, 0, "stopped by a signal");
        }
    }
    return NR_OK;
}

void terminal_drain(terminal *t)
{
    /* Empty is believed when seen a few times: bytes on their way between the two ends are in
     * neither count. */
    int empty = 0;
    while (empty < 4 && t->readers > 0 && !t->stopped) {
        int unread = 0;
        if (ioctl(t->far, FIONREAD, &unread) != 0) {
            return;
        }
        empty = unread == 0 ? empty + 1 : 0;
        wait_for(t, false, terminal_now() + 0.02);
    }
}
