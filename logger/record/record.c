/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/record.h"

#include "logger/base/text.h"
#include "logger/port/tcp.h"
#include "logger/record/link.h"
#include "logger/record/writer.h"

#include <errno.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/signalfd.h>
#include <unistd.h>

/* How long a stopping recorder tries to bring what it holds to a failing disk. */
static const double last_effort_s = 5;
static const double tick_s = 1;
/* A drift known worse than this says nothing: an ordinary crystal is within 100 ppm. */
static const double drift_worth_telling = 100e-6;

struct nr_recorder {
    const nr_rig *rig;
    const nr_record_options *options;
    nr_link link[NR_RIG_ADAPTERS];
    nr_sampler *sampler;
    nr_writer *writer;
    nr_begun *begun;
    nr_clock_watch watch;
    nr_now now;     /* of this wake-up */
    nr_stamp stamp; /* of this wake-up, on the run's axis */
    nr_sample last;
    unsigned long rows, lines, rejected;
    unsigned long rows_before; /* of a run that was taken up again */
    bool have_last, stopping;
    double sync_at_s, tick_at_s; /* steady clock */
    char why[96];                /* why it stops */
};

/* --- events ------------------------------------------------------------------------------ */

static void note(nr_recorder *r, nr_note_kind kind, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void note(nr_recorder *r, nr_note_kind kind, const char *format, ...)
{
    char text[sizeof((nr_note *)0)->text];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    double at_s = r->stamp.elapsed_s;
    if (!r->writer) { /* before the folder exists */
        char clean[sizeof text];
        nr_clean(clean, sizeof clean, text, strlen(text));
        nr_say(&r->options->say, "%s", clean);
        return;
    }
    if (r->sampler)
        at_s = nr_sampler_now(r->sampler, at_s);
    nr_writer_note(r->writer, r->stamp.utc_s, at_s, kind, text);
}

static void on_news(void *context, nr_note_kind kind, const char *text)
{
    note(context, kind, "%s", text);
}

static void stop(nr_recorder *r, const char *why)
{
    if (!r->stopping)
        nr_copy(r->why, sizeof r->why, why);
    r->stopping = true;
}

static bool time_is_up(const nr_recorder *r, double elapsed_s)
{
    return elapsed_s > r->options->for_s; /* false for NAN */
}

static void on_line(void *context, size_t adapter, const nr_wire_line *line)
{
    nr_recorder *r = context;
    nr_sample row;
    bool is_row = false;
    if (!r->writer || r->stopping)
        return;
    /* First of all into adapter.log: whatever is made of it, it can be made again. */
    nr_writer_line(r->writer, r->stamp.utc_s, r->stamp.elapsed_s, r->rig->adapter[adapter].name,
                   line);
    r->lines++;
    nr_line_fault fault = nr_sampler_line(r->sampler, adapter, r->stamp, line, &row, &is_row);
    nr_link_judged(&r->link[adapter], fault, line, r->now.steady_s);
    r->rejected += fault != NR_LINE_GOOD && fault != NR_LINE_COMMENT;
    if (!is_row)
        return;
    nr_writer_row(r->writer, &row);
    if (r->options->row)
        r->options->row(r->options->watch_context, &row);
    r->rows++;
    r->last = row;
    r->have_last = true;
    /* The row that goes beyond is the last one: left out, a rebuild would bring it back. */
    if (time_is_up(r, row.elapsed_s))
        stop(r, "the time asked for is over");
}

/* --- life -------------------------------------------------------------------------------- */

static void look_at_clock(nr_recorder *r)
{
    r->options->clock.now(r->options->clock.context, &r->now);
    if (!r->begun)
        return;
    /* Stamps are what adapter.log holds, to the millisecond: a rebuild sees the same numbers. */
    r->stamp.utc_s = round(r->now.utc_s * 1000) / 1000;
    r->stamp.elapsed_s = round((r->now.steady_s - r->begun->state.zero_steady_s) * 1000) / 1000;
}

nr_code nr_recorder_new(const nr_rig *rig, const nr_record_options *options, nr_recorder **out,
                        nr_err *err)
{
    nr_recorder *r = calloc(1, sizeof *r);
    if (!r)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    r->rig = rig;
    r->options = options;
    look_at_clock(r);
    nr_link_user user = {.line = on_line, .news = on_news, .context = r};
    for (size_t i = 0; i < rig->adapters; i++)
        nr_link_init(&r->link[i], rig, i, &user);
    for (size_t i = 0; i < rig->adapters; i++) {
        r->link[i].port.may_wait = !options->wait;
        nr_code code = nr_link_open(&r->link[i], r->now.steady_s, err);
        if (code != NR_OK && !options->wait) {
            nr_recorder_free(r);
            return code;
        }
    }
    *out = r;
    return NR_OK;
}

void nr_recorder_free(nr_recorder *r)
{
    if (!r)
        return;
    for (size_t i = 0; i < r->rig->adapters; i++)
        nr_port_end(&r->link[i].port);
    nr_writer_close(r->writer);
    nr_sampler_free(r->sampler);
    free(r);
}

int nr_record_signals(void)
{
    sigset_t set;
    struct sigaction hangup;
    sigemptyset(&set);
    sigaddset(&set, SIGINT);
    sigaddset(&set, SIGTERM);
    if (sigaction(SIGHUP, NULL, &hangup) == 0 && hangup.sa_handler != SIG_IGN)
        sigaddset(&set, SIGHUP);
    signal(SIGPIPE, SIG_IGN);
    if (sigprocmask(SIG_BLOCK, &set, NULL) < 0)
        return -1;
    return signalfd(-1, &set, SFD_NONBLOCK | SFD_CLOEXEC);
}

static void take_signal(nr_recorder *r, int signal_fd)
{
    struct signalfd_siginfo info;
    if (read(signal_fd, &info, sizeof info) != (ssize_t)sizeof info)
        return;
    stop(r, info.ssi_signo == SIGINT   ? "stopped from the keyboard"
            : info.ssi_signo == SIGHUP ? "the terminal was closed"
                                       : "told to stop");
}

/* --- notes at the start and the end ------------------------------------------------------- */

static void note_open(nr_recorder *r, const nr_link *link)
{
    if (nr_tcp_is(link->port.path))
        note(r, NR_NOTE_PORT, "connected: %s", link->port.path);
    else
        note(r, NR_NOTE_PORT, "port open: %s%s%s, %d baud", link->port.path,
             link->port.identity[0] ? ", " : "", link->port.identity, link->rig->baud);
}

static void note_start(nr_recorder *r)
{
    const nr_begun *b = r->begun;
    char torn[80] = "";
    if (!b->resumed) {
        note(r, NR_NOTE_START, "recording starts (noonlog %s)", NOONRUN_VERSION);
    } else {
        if (b->torn_bytes > 0)
            snprintf(torn, sizeof torn,
                     "; %lld bytes of torn last lines moved to " NR_STATE_FOLDER "/cut-*",
                     (long long)b->torn_bytes);
        if (b->clock_behind || b->clock_beyond)
            note(r, NR_NOTE_START, "recording taken up again (noonlog %s)%s", NOONRUN_VERSION,
                 torn);
        else
            note(r, NR_NOTE_START, "recording taken up again after %.1f s%s (noonlog %s)%s",
                 b->pause_s, b->by_wall_clock ? " by the wall clock" : "", NOONRUN_VERSION, torn);
    }
    if (b->clock_behind)
        note(r, NR_NOTE_CLOCK,
             "the wall clock is before the last row: how long the pause was is not known");
    if (b->clock_beyond)
        note(r, NR_NOTE_CLOCK,
             "the wall clock is %.0f days after the last row; so long a pause is not believed: "
             "elapsed time goes on 1 s after that row",
             (r->stamp.utc_s - b->last_utc_s) / 86400);
    if (b->damaged > 0)
        note(r, NR_NOTE_NOTE,
             "%lu damaged lines stay where they are and are skipped, the first is line %ld of %s",
             b->damaged, b->damaged_line, b->damaged_file);
    for (size_t i = 0; i < r->rig->adapters; i++) {
        const nr_link *link = &r->link[i];
        if (link->state == NR_LINK_UP)
            note_open(r, link);
        else
            note(r, NR_NOTE_PORT, "waiting for the port: %s", link->rig->port);
    }
}

static void note_drift(nr_recorder *r, size_t adapter)
{
    double drift = 0, u = 0;
    if (!nr_sampler_drift(r->sampler, adapter, &drift, &u))
        return;
    const char *name = r->rig->adapter[adapter].name;
    bool other_rate = fabs(drift) > 0.05 && fabs(drift) > 10 * u;
    if (!other_rate && u > drift_worth_telling)
        return;
    if (other_rate)
        note(r, NR_NOTE_CLOCK,
             "adapter%s%s: its clock runs at %.4g times this computer's, and was believed",
             *name ? " " : "", name, 1 + drift);
    else
        note(r, NR_NOTE_CLOCK,
             "adapter%s%s: its clock runs %.0f ppm %s than this computer's (standard uncertainty "
             "%.0f ppm)",
             *name ? " " : "", name, fabs(drift) * 1e6, drift < 0 ? "slower" : "faster", u * 1e6);
}

static void note_rejected(nr_recorder *r)
{
    char text[400] = "";
    size_t used = 0;
    for (int f = NR_LINE_GOOD + 1; f < NR_LINE_FAULTS; f++) {
        unsigned long count = 0;
        for (size_t i = 0; i < r->rig->adapters; i++)
            count += nr_sampler_counted(r->sampler, i)->fault[f];
        if (count == 0 || f == NR_LINE_COMMENT || used >= sizeof text)
            continue;
        int n = snprintf(text + used, sizeof text - used, "%s%s (%lu)", used ? ", " : "",
                         nr_line_fault_text((nr_line_fault)f), count);
        used += n > 0 ? (size_t)n : 0;
    }
    if (used > 0)
        note(r, NR_NOTE_PORT, "lines that gave no reading: %s", text);
}

static void note_crowded(nr_recorder *r)
{
    unsigned long crowded = 0;
    for (size_t i = 0; i < r->rig->adapters; i++)
        crowded += nr_sampler_counted(r->sampler, i)->crowded;
    if (crowded > 0)
        note(r, NR_NOTE_GAP,
             "%lu lines came faster than one a millisecond: they are in adapter.log without a row",
             crowded);
}

static void note_channels(nr_recorder *r)
{
    for (size_t c = 0; c < r->rig->channels; c++) {
        const nr_channel_counts *n = nr_sampler_channel(r->sampler, c);
        if (n->unreadable + n->outside > 0)
            note(r, NR_NOTE_NOTE,
                 "channel %s: %lu readings, %lu empty or no number, %lu not believable and left "
                 "empty",
                 r->rig->channel[c].name, n->good, n->unreadable, n->outside);
    }
}

static void note_end(nr_recorder *r)
{
    for (size_t i = 0; i < r->rig->adapters; i++)
        note_drift(r, i);
    note_rejected(r);
    note_crowded(r);
    note_channels(r);
    char text[400] = "";
    if (r->options->last_word)
        r->options->last_word(r->options->watch_context, text, sizeof text);
    if (text[0])
        note(r, NR_NOTE_PORT, "%s", text);
    note(r, NR_NOTE_STOP, "%s: %lu rows from %lu lines", r->why, r->rows, r->lines);
}

/* --- the loop ----------------------------------------------------------------------------- */

static void keep_state(nr_recorder *r)
{
    nr_state *s = &r->begun->state;
    s->elapsed_s = nr_sampler_now(r->sampler, r->stamp.elapsed_s);
    s->at_steady_s = r->now.steady_s;
    s->last_row_s = r->have_last ? r->last.elapsed_s : s->last_row_s;
    s->rows = r->rows;
    s->lines = r->lines;
    s->rejected = r->rejected;
    s->on_disk = r->rows_before + nr_writer_confirmed(r->writer);
    s->lost = nr_writer_lost(r->writer);
    s->waiting = false;
    for (size_t i = 0; i < r->rig->adapters; i++)
        s->waiting = s->waiting || (!r->stopping && r->link[i].state == NR_LINK_DOWN);
    s->supply = nr_writer_supply(r->writer);
    if (r->options->awake)
        s->awake = r->options->awake(r->options->watch_context);
    nr_copy(s->trouble, sizeof s->trouble, nr_writer_trouble(r->writer));
    nr_writer_state(r->writer, s);
}

/* Hands over what is new, asks for a sync when it is due, and says what came of the last one. */
static void look_after_disk(nr_recorder *r)
{
    nr_writer_look(r->writer, r->stamp.utc_s, nr_sampler_now(r->sampler, r->stamp.elapsed_s));
    nr_writer_flush(r->writer);
    if (r->now.steady_s < r->sync_at_s || !nr_writer_waiting(r->writer))
        return;
    nr_writer_sync(r->writer);
    r->sync_at_s = r->now.steady_s + r->options->sync_s;
}

static void note_watchers(nr_recorder *r)
{
    char text[400];
    while (r->options->news && r->options->news(r->options->watch_context, text, sizeof text))
        note(r, NR_NOTE_PORT, "%s", text);
}

static void show_progress(nr_recorder *r)
{
    const nr_state *s = &r->begun->state;
    nr_record_view view = {.elapsed_s = s->elapsed_s,
                           .rows = r->rows,
                           .lines = r->lines,
                           .rejected = r->rejected,
                           .waiting = s->waiting,
                           .trouble = nr_writer_trouble(r->writer),
                           .rig = r->rig,
                           .last = r->have_last ? &r->last : NULL};
    if (r->options->progress)
        r->options->progress(r->options->progress_context, &view);
}

static void tick(nr_recorder *r)
{
    for (size_t i = 0; i < r->rig->adapters; i++)
        if (r->now.steady_s >= r->tick_at_s || r->link[i].state == NR_LINK_DOWN)
            nr_link_tick(&r->link[i], r->now.steady_s);
    if (r->now.steady_s < r->tick_at_s)
        return;
    r->tick_at_s = r->now.steady_s + tick_s;
    note_watchers(r);
    if (nr_state_take_request(r->begun->folder))
        stop(r, "told to stop");
    if (time_is_up(r, nr_sampler_now(r->sampler, r->stamp.elapsed_s)))
        stop(r, "the time asked for is over");
    keep_state(r);
    show_progress(r);
}

static int until_ms(const nr_recorder *r)
{
    double next = r->tick_at_s;
    if (nr_writer_waiting(r->writer))
        next = fmin(next, r->sync_at_s);
    for (size_t i = 0; i < r->rig->adapters; i++)
        if (r->link[i].state == NR_LINK_DOWN)
            next = fmin(next, r->link[i].retry_at_s);
    double wait_ms = ceil((next - r->now.steady_s) * 1000);
    return wait_ms < 0 ? 0 : wait_ms > 1000 ? 1000 : (int)wait_ms;
}

static void watch_clocks(nr_recorder *r)
{
    double step_s = 0, slept_s = 0;
    nr_clock_compare(&r->watch, &r->now, &step_s, &slept_s);
    if (step_s != 0)
        note(r, NR_NOTE_CLOCK, "wall clock was set %s by %.3f s; elapsed time goes on unharmed",
             step_s > 0 ? "forward" : "back", fabs(step_s));
    if (slept_s != 0)
        note(r, NR_NOTE_CLOCK, "computer was suspended for %.1f s", slept_s);
}

/* Waits for something to happen and deals with it. */
static void turn(nr_recorder *r, int signal_fd)
{
    struct pollfd fds[NR_RIG_ADAPTERS + 1] = {{.fd = signal_fd, .events = POLLIN}};
    for (size_t i = 0; i < r->rig->adapters; i++)
        fds[i + 1] = (struct pollfd){.fd = r->link[i].port.fd, .events = POLLIN};
    int ready = poll(fds, (nfds_t)r->rig->adapters + 1, until_ms(r));
    look_at_clock(r);
    watch_clocks(r);
    for (size_t i = 0; ready > 0 && i < r->rig->adapters; i++)
        if (fds[i + 1].revents)
            nr_link_read(&r->link[i], r->now.steady_s,
                         (fds[i + 1].revents & (POLLHUP | POLLERR | POLLNVAL)) != 0);
    if (ready > 0 && fds[0].revents)
        take_signal(r, signal_fd);
    tick(r);
    look_after_disk(r);
}

/* Brings everything to the disk, trying again for a while if it refuses. */
static bool finish(nr_recorder *r)
{
    bool done = false;
    for (size_t i = 0; i < r->rig->adapters; i++)
        nr_link_close(&r->link[i]);
    note_end(r);
    look_at_clock(r);
    double give_up_s = r->now.steady_s + last_effort_s;
    while (!(done = nr_writer_settle(r->writer, r->stamp.utc_s,
                                     nr_sampler_now(r->sampler, r->stamp.elapsed_s))) &&
           r->now.steady_s < give_up_s) {
        poll(NULL, 0, 100);
        look_at_clock(r);
    }
    return done;
}

static nr_code prepare(nr_recorder *r, nr_begun *begun, nr_err *err)
{
    r->begun = begun;
    r->sampler = nr_sampler_new(r->rig, begun->state.last_row_s, on_news, r);
    if (!r->sampler)
        return nr_fail(err, NR_BAD, begun->folder, 0, "not enough memory");
    nr_code code = nr_writer_open(begun->folder, begun->lock_fd, r->rig, r->options->files,
                                  &r->options->say, &r->writer, err);
    if (code != NR_OK)
        return code;
    r->rows = r->rows_before = begun->state.rows;
    look_at_clock(r);
    watch_clocks(r);
    r->tick_at_s = r->now.steady_s;
    r->sync_at_s = r->now.steady_s + r->options->sync_s;
    if (begun->resumed)
        nr_writer_mark_resume(r->writer);
    note_start(r);
    return NR_OK;
}

/* The closing word: what `stop` waits for and passes on. */
static nr_code close_run(nr_recorder *r, bool done, nr_err *err)
{
    const char *folder = r->begun->folder;
    unsigned long lost = nr_writer_lost(r->writer);
    keep_state(r);
    nr_state *s = &r->begun->state;
    nr_code code = NR_OK;
    if (!done)
        code = nr_fail(err, NR_BAD, folder, 0, "%s; of %lu rows only %lu are on the disk for sure",
                       nr_writer_trouble(r->writer), s->rows, s->on_disk);
    else if (lost > 0)
        code =
            nr_fail(err, NR_BAD, folder, 0,
                    "%lu rows, lines or notes were lost while the disk could not be written", lost);
    if (code != NR_OK)
        nr_copy(s->trouble, sizeof s->trouble, err->text);
    s->ended = true;
    s->status = (int)code;
    nr_writer_state(r->writer, s);
    return code;
}

nr_code nr_recorder_run(nr_recorder *r, nr_begun *begun, int signal_fd, nr_err *err)
{
    nr_code code = prepare(r, begun, err);
    if (code != NR_OK)
        return code;
    while (!r->stopping)
        turn(r, signal_fd);
    return close_run(r, finish(r), err);
}
