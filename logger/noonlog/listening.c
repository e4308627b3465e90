/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/noonlog/listening.h"

#include "logger/base/text.h"
#include "logger/noonlog/commands.h"

#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <unistd.h>

nr_code nr_listening_port(nr_rig *rig, const char *port, nr_err *err)
{
    if (port && rig->adapters != 1)
        return nr_fail(
            err, NR_BAD, rig->path, 0,
            "has %zu adapters; --port is for rigs with one, write port = in each section",
            rig->adapters);
    if (port && !nr_copy(rig->adapter[0].port, sizeof rig->adapter[0].port, port))
        return nr_fail(err, NR_BAD, NULL, 0, "--port: the path is too long");
    for (size_t i = 0; i < rig->adapters; i++)
        if (!rig->adapter[i].port[0])
            return nr_fail(err, NR_BAD, rig->path, rig->adapter[i].line_number,
                           "[adapter%s%s] names no port; write port = /dev/ttyUSB0 or use --port",
                           rig->adapter[i].name[0] ? " " : "", rig->adapter[i].name);
    return NR_OK;
}

bool nr_listening_enter(const char *prompt, int signal_fd)
{
    fprintf(stderr, NR_PROGRAM ": %s\n", prompt);
    for (;;) {
        struct pollfd fds[] = {{.fd = STDIN_FILENO, .events = POLLIN},
                               {.fd = signal_fd, .events = POLLIN}};
        if (poll(fds, 2, -1) < 0 || fds[1].revents)
            return false;
        char c = 0;
        if (read(STDIN_FILENO, &c, 1) != 1) /* byte by byte: the next prompt's line stays unread */
            return false;
        if (c == '\n')
            return true;
    }
}

bool nr_listening_run(nr_session *session, const char *what, double seconds, int signal_fd)
{
    bool live = isatty(STDERR_FILENO) && seconds > 1;
    double done_s = 0;
    bool going = true;
    while (going && done_s < seconds) {
        if (live)
            fprintf(stderr, "\r%s: %.0f s left (Ctrl-C: enough)\033[K", what, seconds - done_s);
        done_s = fmin(seconds, done_s + 1);
        going = nr_session_run(session, done_s, signal_fd);
    }
    if (live)
        fputs("\r\033[K", stderr);
    return going;
}
