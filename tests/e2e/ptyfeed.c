/* SPDX-License-Identifier: GPL-3.0-or-later */
/* ptyfeed LINK [options]: an adapter made of a pseudo-terminal.
 *
 * Makes a pseudo-terminal, lets LINK point to its device, waits until somebody opens it, and
 * sends lines. Without --lines it sends what stdin brings, unchanged.
 *
 *   --lines N      send N lines: seq=1,ms=0,store=...,inlet=...,sun=... (pairs)
 *   --hz F         so many a second (default 10; 0: as fast as they are taken)
 *   --pad N        each line at least N bytes long (key pad)
 *   --checksum     end lines in *HH
 *   --ms0 N        the milliseconds counter starts at N; --ms-step N: advance a line (default 1000)
 *   --seq0 N       the first line's number (default 1)
 *   --linger S     when all is read, stay S seconds before the cable is pulled (default 0.3)
 *   --now          do not wait for somebody to open it
 */
#include "tests/e2e/ptylink.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

typedef struct plan {
    const char *link;
    long lines, pad, ms_step;
    double hz, linger_s;
    unsigned long seq;
    uint32_t ms;
    bool checksum, now;
} plan;

static void die(const char *what)
{
    fprintf(stderr, "ptyfeed: %s: %s\n", what, strerror(errno));
    exit(2);
}

static void nap(double seconds)
{
    struct timespec t = {(time_t)seconds, (long)((seconds - (double)(time_t)seconds) * 1e9)};
    nanosleep(&t, NULL);
}

static int make_pty(const char *link)
{
    char name[128];
    struct termios raw;
    int master = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
    if (master < 0 || grantpt(master) < 0 || unlockpt(master) < 0 ||
        ptsname_r(master, name, sizeof name) != 0)
        die("pseudo-terminal");
    int slave = open(name, O_RDWR | O_NOCTTY | O_CLOEXEC);
    if (slave < 0 || tcgetattr(slave, &raw) < 0)
        die(name);
    cfmakeraw(&raw);
    tcsetattr(slave, TCSANOW, &raw);
    close(slave); /* from now on POLLHUP on the master means that nobody has it open */
    if (!ptylink(name, link))
        die(link);
    return master;
}

static bool is_open(int master)
{
    struct pollfd p = {.fd = master, .events = POLLOUT};
    return poll(&p, 1, 0) >= 0 && !(p.revents & POLLHUP);
}

static void send_all(int master, const char *bytes, size_t count)
{
    while (count > 0) {
        ssize_t n = write(master, bytes, count);
        if (n < 0 && (errno == EINTR || errno == EAGAIN))
            continue;
        if (n < 0)
            die("write");
        bytes += n;
        count -= (size_t)n;
    }
}

static void send_line(int master, const plan *p, unsigned long seq, uint32_t ms)
{
    char line[1200];
    int n = snprintf(line, 512, "seq=%lu,ms=%lu,store=%.2f,inlet=%.2f,sun=%lu", seq,
                     (unsigned long)ms, 20 + (double)(seq % 3000) * 0.01,
                     19 + (double)(seq % 3000) * 0.01, 700 + seq % 100);
    if (n < p->pad - 5 && p->pad < 1000) {
        n += snprintf(line + n, 8, ",pad=");
        while (n < p->pad)
            line[n++] = 'x';
    }
    if (p->checksum) {
        unsigned x = 0;
        for (int i = 0; i < n; i++)
            x ^= (unsigned char)line[i];
        n += snprintf(line + n, 8, "*%02X", x);
    }
    line[n++] = '\n';
    send_all(master, line, (size_t)n);
}

static void send_lines(int master, const plan *p)
{
    struct timespec start, now;
    clock_gettime(CLOCK_MONOTONIC, &start);
    uint32_t ms = p->ms;
    for (long i = 0; i < p->lines; i++) {
        while (p->hz > 0) {
            clock_gettime(CLOCK_MONOTONIC, &now);
            double due = (double)i / p->hz - (double)(now.tv_sec - start.tv_sec) -
                         (double)(now.tv_nsec - start.tv_nsec) * 1e-9;
            if (due <= 0)
                break;
            nap(due);
        }
        send_line(master, p, p->seq + (unsigned long)i, ms);
        ms += (uint32_t)p->ms_step;
    }
}

/* Waits until the reader has read everything (at most 20 s): whatever is unread when the master is
 * closed is gone, and how long a reader takes depends on the machine. */
static void drain(int master)
{
    char name[128];
    int unread = 1, quiet = 0;
    int slave = ptsname_r(master, name, sizeof name) == 0
                    ? open(name, O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)
                    : -1;
    for (int i = 0; slave >= 0 && i < 1000 && quiet < 3; i++) {
        nap(0.02);
        quiet = ioctl(slave, FIONREAD, &unread) == 0 && unread == 0 ? quiet + 1 : 0;
    }
    if (slave >= 0)
        close(slave);
}

static void copy_stdin(int master)
{
    char bytes[4096];
    for (;;) {
        ssize_t n = read(STDIN_FILENO, bytes, sizeof bytes);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return;
        send_all(master, bytes, (size_t)n);
    }
}

static bool take_option(plan *p, const char *name, const char *value)
{
    if (!value)
        return false;
    if (strcmp(name, "--lines") == 0)
        p->lines = atol(value);
    else if (strcmp(name, "--hz") == 0)
        p->hz = atof(value);
    else if (strcmp(name, "--pad") == 0)
        p->pad = atol(value);
    else if (strcmp(name, "--ms0") == 0)
        p->ms = (uint32_t)strtoul(value, NULL, 10);
    else if (strcmp(name, "--ms-step") == 0)
        p->ms_step = atol(value);
    else if (strcmp(name, "--seq0") == 0)
        p->seq = strtoul(value, NULL, 10);
    else if (strcmp(name, "--linger") == 0)
        p->linger_s = atof(value);
    else
        return false;
    return true;
}

int main(int argc, char **argv)
{
    plan p = {.lines = -1, .hz = 10, .linger_s = 0.3, .ms_step = 1000, .seq = 1};
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--checksum") == 0)
            p.checksum = true;
        else if (strcmp(argv[i], "--now") == 0)
            p.now = true;
        else if (argv[i][0] != '-' && !p.link)
            p.link = argv[i];
        else if (take_option(&p, argv[i], i + 1 < argc ? argv[i + 1] : NULL))
            i++;
        else
            p.lines = -2;
    }
    if (!p.link || p.lines == -2) {
        fprintf(stderr, "usage: ptyfeed LINK [--lines N] ...; see the head of ptyfeed.c\n");
        return 2;
    }
    int master = make_pty(p.link);
    while (!p.now && !is_open(master))
        nap(0.005);
    if (p.lines >= 0)
        send_lines(master, &p);
    else
        copy_stdin(master);
    drain(master);
    nap(p.linger_s);
    return 0;
}
