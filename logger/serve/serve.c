/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/serve/inside.h"

#include "logger/record/clock.h"

#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/socket.h>

#define TURN_S 1.0
/* A telephone opens up to six connections; several people may look through one address. */
#define FROM_ONE_ADDRESS 16
/* Of headers and what MHD keeps of a connection. */
#define CONNECTION_BYTES 16384
/* A connection where nothing moves... */
#define SILENT_S 20
/* ...and one that moves, but whose request is not there after so long. */
#define REQUEST_S 12.0
/* Turns of the loop for those that listen to be told of the end. */
#define FAREWELL_TURNS 20
#define FAREWELL_MS 20

static double steady_s(void)
{
    nr_now now;
    nr_clock_system.now(NULL, &now);
    return now.steady_s;
}

static struct MHD_Daemon *start(nr_server *s)
{
    int fd = dup(s->door->fd); /* MHD closes the one it has */
    if (fd < 0)
        return NULL;
    struct MHD_Daemon *daemon = MHD_start_daemon(
        MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME, 0, NULL, NULL, nr_answer, s,
        MHD_OPTION_LISTEN_SOCKET, fd, MHD_OPTION_CONNECTION_LIMIT, (unsigned)NR_SERVE_CLIENTS,
        MHD_OPTION_PER_IP_CONNECTION_LIMIT, (unsigned)FROM_ONE_ADDRESS,
        MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)CONNECTION_BYTES, MHD_OPTION_CONNECTION_TIMEOUT,
        (unsigned)SILENT_S, MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_UNESCAPE_CALLBACK,
        nr_answer_path, NULL, MHD_OPTION_NOTIFY_COMPLETED, nr_answer_done, s,
        MHD_OPTION_NOTIFY_CONNECTION, nr_answer_guest, s, MHD_OPTION_END);
    if (!daemon)
        close(fd);
    return daemon;
}

/* Who takes too long over a request has to go: it keeps others out. MHD sees the end and clears. */
static void send_away(nr_server *s)
{
    for (size_t i = 0; i < NR_SERVE_CLIENTS; i++) {
        nr_guest *g = &s->guest[i];
        if (g->fd >= 0 && !g->listening && s->now_s - g->since_s > REQUEST_S)
            shutdown(g->fd, SHUT_RDWR);
    }
}

/* Milliseconds until something has to be done. */
static int patience_ms(struct MHD_Daemon *daemon, double until_s)
{
    MHD_UNSIGNED_LONG_LONG most = 0;
    double ms = fmax(0.0, ceil(until_s * 1000.0));
    if (MHD_get_timeout(daemon, &most) == MHD_YES && (double)most < ms)
        ms = (double)most;
    return (int)ms;
}

static void loop(nr_server *s, struct MHD_Daemon *daemon, int mhd_fd, int signal_fd)
{
    double turn_s = s->now_s;
    for (;;) {
        struct pollfd fds[] = {{.fd = signal_fd, .events = POLLIN},
                               {.fd = mhd_fd, .events = POLLIN},
                               {.fd = s->source.ask.poll_fd, .events = POLLIN}};
        poll(fds, 3, patience_ms(daemon, turn_s - s->now_s));
        s->now_s = steady_s();
        if (fds[0].revents)
            return;
        if (fds[2].revents || s->now_s >= turn_s) {
            nr_source_turn(&s->source, s->streams.count > 0, s->now_s);
            nr_streams_wake(&s->streams);
            send_away(s);
            turn_s = s->now_s >= turn_s ? s->now_s + TURN_S : turn_s;
        }
        MHD_run(daemon);
    }
}

/* Those that listen are told of the end, as MHD wants it; nobody is waited for. */
static void stop(nr_server *s, struct MHD_Daemon *daemon, int mhd_fd)
{
    s->streams.closing = true;
    nr_streams_wake(&s->streams);
    for (int i = 0; i < FAREWELL_TURNS && s->streams.count > 0; i++) {
        struct pollfd fd = {.fd = mhd_fd, .events = POLLIN};
        MHD_run(daemon);
        poll(&fd, 1, FAREWELL_MS);
        nr_streams_wake(&s->streams);
    }
    MHD_stop_daemon(daemon);
}

nr_code nr_serve(const nr_serve_options *options, const nr_door *door, int signal_fd,
                 void (*ready)(const nr_door *door), nr_err *err)
{
    nr_server *s = calloc(1, sizeof *s);
    if (!s)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    s->door = door;
    s->streams.source = &s->source;
    s->now_s = steady_s();
    for (size_t i = 0; i < NR_SERVE_CLIENTS; i++)
        s->guest[i].fd = -1;
    signal(SIGPIPE, SIG_IGN);
    nr_code code = nr_source_open(&s->source, options, err);
    struct MHD_Daemon *daemon = code == NR_OK ? start(s) : NULL;
    const union MHD_DaemonInfo *info =
        daemon ? MHD_get_daemon_info(daemon, MHD_DAEMON_INFO_EPOLL_FD) : NULL;
    if (info) {
        ready(door);
        loop(s, daemon, info->epoll_fd, signal_fd);
        stop(s, daemon, info->epoll_fd);
    } else if (code == NR_OK) {
        code = nr_fail(err, NR_BAD, NULL, 0, "cannot start the server");
    }
    nr_source_close(&s->source);
    free(s);
    return code;
}
