/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Speaks a simulated test line by line, in time or as fast as it is read, and misbehaves if asked
 * to. Faults are drawn from the day's seed: the same command makes the same mess. */
#include "sample-runs/rig/program/serve.h"

#include "sample-runs/rig/chance.h"
#include "sample-runs/rig/line.h"
#include "sample-runs/rig/program/terminal.h"
#include "sample-runs/rig/side_by_side.h"

#include <gsl/gsl_randist.h>
#include <math.h>

#define GARBAGE_MAX 80

typedef struct server {
    const nr_rig_options *o;
    const nr_run *run;
    terminal port;
    gsl_rng *faults;
    double started_s;      /* monotonic time of row 0 */
    double listening_s;    /* monotonic time since when somebody listens */
    double next_hang_up_s; /* simulated */
    double counter_zero_s; /* simulated time at which the adapter's counter was first_ms */
} server;

static bool happens(server *s, double share)
{
    return share > 0.0 && gsl_rng_uniform(s->faults) < share;
}

/* The line as it leaves the adapter, spoiled or not, with its line end. */
static size_t spoil(server *s, char *line, size_t length)
{
    const nr_rig_options *o = s->o;
    if (happens(s, o->misbehave_garbage)) {
        length = 1 + gsl_rng_uniform_int(s->faults, GARBAGE_MAX);
        for (size_t i = 0; i < length; i++) {
            line[i] = (char)gsl_rng_uniform_int(s->faults, 256);
        }
    }
    if (happens(s, o->misbehave_checksum)) {
        /* One bit of one character: what a checksum is there to catch. */
        size_t at = gsl_rng_uniform_int(s->faults, length);
        line[at] = (char)(line[at] ^ 1);
    }
    if (happens(s, o->misbehave_half)) {
        /* Cut off, and no line end: the next line runs into it. */
        return gsl_rng_uniform_int(s->faults, length);
    }
    line[length] = '\r';
    line[length + 1] = '\n';
    return length + 2;
}

static nr_code speak_row(server *s, size_t row, nr_err *err)
{
    char line[NR_VIRTUAL_LINE + 2];
    double age_s = s->run->readings->elapsed_s[row] - s->counter_zero_s;
    unsigned long long counter = s->o->first_ms + (unsigned long long)llround(1000.0 * age_s);
    size_t length = nr_virtual_line(&s->o->params, s->run, row, counter, line);
    if (length == 0) {
        return nr_fail(err, NR_BAD, NULL, 0, "a line is longer than %d characters",
                       NR_VIRTUAL_LINE);
    }
    length = spoil(s, line, length);
    return terminal_write(&s->port, line, length, err);
}

static nr_code greet(server *s, nr_err *err)
{
    char line[64 + NR_RIG_BUILDS * (NR_NAME + 2)];
    size_t used = (size_t)snprintf(line, sizeof line, "# virtual rig:");
    for (size_t i = 0; i < s->o->collectors; i++) {
        used += (size_t)snprintf(line + used, sizeof line - used, "%s %s", i > 0 ? "," : "",
                                 s->o->collector[i].build);
    }
    used += (size_t)snprintf(line + used, sizeof line - used, "\r\n");
    return terminal_write(&s->port, line, used, err);
}

/* Until somebody opens the port; then the moment an adapter needs after it was opened. */
static nr_code await_reader(server *s, nr_err *err)
{
    double limit_s = terminal_now() + s->o->wait_s;
    while (s->port.readers == 0 && !s->port.stopped) {
        if (terminal_now() >= limit_s) {
            return nr_fail(err, NR_CANNOT, s->port.link, 0, "nobody opened it within %g s",
                           s->o->wait_s);
        }
        terminal_wait(&s->port, limit_s);
    }
    double ready_s = terminal_now() + s->o->boot_s;
    while (terminal_now() < ready_s && !s->port.stopped) {
        terminal_wait(&s->port, ready_s);
    }
    s->listening_s = terminal_now();
    return s->port.stopped ? NR_OK : greet(s, err);
}

/* Unplugged at simulated time t_s; what was spoken before has arrived. At a stated speed the test
 * goes on meanwhile; at full speed there is no meanwhile. */
static nr_code hang_up(server *s, double t_s, nr_err *err)
{
    terminal_drain(&s->port);
    terminal_unplug(&s->port);
    double back_s = terminal_now() + s->o->hang_up_for_s;
    while (terminal_now() < back_s && !s->port.stopped) {
        terminal_wait(&s->port, back_s);
    }
    s->next_hang_up_s = t_s + s->o->hang_up_every_s;
    if (s->o->reset_clock) {
        s->counter_zero_s = t_s;
    }
    nr_code code = s->port.stopped ? NR_OK : terminal_plug(&s->port, err);
    return code || s->port.stopped ? code : await_reader(s, err);
}

/* When row's time comes (speed 0: now). False when the row is not to be spoken: nobody listens, or
 * nobody did when its time came. A reader who is slow is waited for, however late it gets. */
static bool its_turn(server *s, size_t row)
{
    double t_s = s->run->readings->elapsed_s[row];
    if (s->o->speed <= 0.0) {
        while (s->port.readers == 0 && !s->port.stopped) {
            terminal_wait(&s->port, INFINITY);
        }
        return !s->port.stopped;
    }
    double due_s = s->started_s + t_s / s->o->speed;
    while (terminal_now() < due_s && !s->port.stopped) {
        terminal_wait(&s->port, due_s);
    }
    return s->port.readers > 0 && due_s >= s->listening_s && !s->port.stopped;
}

static bool silent(const nr_rig_options *o, double t_s)
{
    /* NAN compares false: never silent. */
    return t_s >= o->silent_from_s && !(t_s >= o->silent_to_s);
}

static nr_code speak(server *s, nr_err *err)
{
    nr_code code = await_reader(s, err);
    s->started_s = s->listening_s;
    for (size_t row = 0; row < s->run->readings->rows && code == NR_OK && !s->port.stopped; row++) {
        double t_s = s->run->readings->elapsed_s[row];
        if (t_s >= s->next_hang_up_s) {
            code = hang_up(s, t_s, err);
        }
        if (code == NR_OK && !silent(s->o, t_s) && its_turn(s, row)) {
            code = speak_row(s, row, err);
        }
    }
    if (code == NR_OK) {
        terminal_drain(&s->port);
    }
    while (code == NR_OK && s->o->stay && s->port.readers > 0 && !s->port.stopped) {
        terminal_wait(&s->port, INFINITY);
    }
    /* Stopped by a signal is an end like another. */
    return s->port.stopped ? NR_OK : code;
}

nr_code nr_rig_serve(const nr_rig_options *o, nr_err *err)
{
    nr_virtual_record *record = NULL;
    nr_code code = nr_virtual_record_make(o->collector, o->collectors, &record, err);
    if (code) {
        return code;
    }
    server s = {.o = o,
                .run = &record->run,
                .faults = nr_chance_open(o->params.day_seed, "faults", o->params.build),
                .next_hang_up_s = isnan(o->hang_up_every_s) ? INFINITY : o->hang_up_every_s};
    if (!s.faults) {
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    } else {
        code = terminal_open(&s.port, o->params.port, err);
        code = code ? code : speak(&s, err);
        terminal_close(&s.port);
        gsl_rng_free(s.faults);
    }
    nr_virtual_record_free(record);
    return code;
}
