/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/listen/session.h"

#include "logger/base/text.h"
#include "logger/record/link.h"

#include <math.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>

/* How often silence is looked for, and the end. */
#define TICK_MS 250

struct nr_session {
    const nr_rig *rig;
    nr_session_user user;
    nr_link link[NR_RIG_ADAPTERS];
    nr_sampler *sampler;
    double zero_s; /* steady clock at the start */
    nr_now now;
    nr_stamp stamp;
};

static void tell(nr_session *s, const char *text)
{
    char clean[600];
    if (!s->user.news)
        return;
    nr_clean(clean, sizeof clean, text, strlen(text));
    s->user.news(s->user.context, clean);
}

static void on_news(void *context, nr_note_kind kind, const char *text)
{
    (void)kind;
    tell(context, text);
}

static void on_line(void *context, size_t adapter, const nr_wire_line *line)
{
    nr_session *s = context;
    nr_sample row;
    bool is_row = false;
    nr_line_fault fault = nr_sampler_line(s->sampler, adapter, s->stamp, line, &row, &is_row);
    nr_link_judged(&s->link[adapter], fault, line, s->now.steady_s);
    if (s->user.line)
        s->user.line(s->user.context, adapter, line, fault, s->stamp.elapsed_s);
    if (is_row && s->user.row)
        s->user.row(s->user.context, &row);
}

static void look_at_clock(nr_session *s)
{
    nr_clock_system.now(NULL, &s->now);
    s->stamp.utc_s = s->now.utc_s;
    s->stamp.elapsed_s = round((s->now.steady_s - s->zero_s) * 1000) / 1000;
}

/* What the port had kept from before it was opened (a pseudo-terminal does, some USB adapters do)
 * is of the past: the probes may have been in another bath then. */
static void drop_old(nr_link *link)
{
    char bytes[4096];
    size_t count;
    for (int i = 0; i < 64 && !link->port.settings.polled; i++)
        if (nr_port_read(&link->port, bytes, sizeof bytes, &count) != NR_PORT_BYTES)
            return;
}

nr_code nr_session_open(const nr_rig *rig, const nr_session_user *user, nr_session **out,
                        nr_err *err)
{
    *out = NULL;
    nr_session *s = calloc(1, sizeof *s);
    if (!s)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    s->rig = rig;
    s->user = *user;
    look_at_clock(s);
    s->zero_s = s->now.steady_s;
    s->stamp.elapsed_s = 0;
    s->sampler = nr_sampler_new(rig, -1, on_news, s);
    nr_link_user link_user = {.line = on_line, .news = on_news, .context = s};
    for (size_t i = 0; i < rig->adapters; i++)
        nr_link_init(&s->link[i], rig, i, &link_user);
    nr_code code = s->sampler ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    for (size_t i = 0; code == NR_OK && i < rig->adapters; i++)
        code = nr_link_open(&s->link[i], s->now.steady_s, err);
    for (size_t i = 0; code == NR_OK && i < rig->adapters; i++)
        drop_old(&s->link[i]);
    if (code != NR_OK) {
        nr_session_free(s);
        return code;
    }
    *out = s;
    return NR_OK;
}

/* Waits for something to happen and deals with it. True: a signal came. */
static bool turn(nr_session *s, int signal_fd)
{
    struct pollfd fds[NR_RIG_ADAPTERS + 1] = {{.fd = signal_fd, .events = POLLIN}};
    for (size_t i = 0; i < s->rig->adapters; i++)
        fds[i + 1] = (struct pollfd){.fd = s->link[i].port.fd, .events = POLLIN};
    int ready = poll(fds, (nfds_t)s->rig->adapters + 1, TICK_MS);
    look_at_clock(s);
    for (size_t i = 0; ready > 0 && i < s->rig->adapters; i++)
        if (fds[i + 1].revents)
            nr_link_read(&s->link[i], s->now.steady_s,
                         (fds[i + 1].revents & (POLLHUP | POLLERR | POLLNVAL)) != 0);
    for (size_t i = 0; i < s->rig->adapters; i++)
        nr_link_tick(&s->link[i], s->now.steady_s);
    return ready > 0 && fds[0].revents != 0;
}

bool nr_session_run(nr_session *s, double seconds, int signal_fd)
{
    while (s->stamp.elapsed_s < seconds)
        if (turn(s, signal_fd))
            return false;
    return true;
}

double nr_session_elapsed_s(const nr_session *s)
{
    return s->stamp.elapsed_s;
}

const nr_sampler *nr_session_sampler(const nr_session *s)
{
    return s->sampler;
}

unsigned long nr_session_bytes(const nr_session *s, size_t adapter)
{
    return s->link[adapter].lines.bytes;
}

const char *nr_session_path(const nr_session *s, size_t adapter)
{
    return s->link[adapter].port.path;
}

bool nr_session_say(nr_session *s, size_t adapter, const char *text)
{
    return nr_port_write(&s->link[adapter].port, text, strlen(text));
}

void nr_session_free(nr_session *s)
{
    if (!s)
        return;
    for (size_t i = 0; i < s->rig->adapters; i++)
        nr_port_end(&s->link[i].port);
    nr_sampler_free(s->sampler);
    free(s);
}
