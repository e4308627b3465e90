/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog watch: a calm live view of a run that is being recorded, or of a finished one. */
#include "logger/noonlog/commands.h"
#include "logger/noonlog/option_rows.h"
#include "logger/noonlog/terminal.h"

#include "logger/ask/ask.h"
#include "logger/base/text.h"
#include "logger/record/clock.h"
#include "logger/watch/target.h"
#include "logger/watch/view.h"

#include <errno.h>
#include <langinfo.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/signalfd.h>
#include <unistd.h>

#define REFRESH_MS 1000
/* noonfit's time for a view that is printed once. */
#define ONCE_LIMIT_S 30.0

typedef struct request {
    const char *folder, *target, *size;
    int units;         /* 1 si, 2 us */
    int columns, rows; /* 0: the terminal's */
    bool once;
} request;

static const nr_option own[] = {
    {.kind = NR_OPTION_TEXT,
     .name = "target",
     .value = "T",
     .offset = offsetof(request, target),
     .help = "(43C, 110F) rings the terminal's bell when the store is that warm, and writes a note "
             "into the run; shows the minutes left until then"},
    NR_ROW_UNITS(request, units),
    {.kind = NR_OPTION_ON,
     .name = "once",
     .offset = offsetof(request, once),
     .help = "print the view once, as plain text"},
    {.kind = NR_OPTION_TEXT,
     .name = "size",
     .value = "COLUMNSxROWS",
     .offset = offsetof(request, size),
     .help = "of that text, such as 80x24"},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_watch = {
    .program = NR_PROGRAM,
    .name = "watch",
    .arguments = "RUN",
    .summary = "live view of a recording, or of a finished run",
    .about = "Live view of a run, whoever records it; also of a finished one. q ends the view. "
             "Minutes to the target hold as long as the sun stays as it is. Efficiency so far, and "
             "what the record would tell if it ended now, come from noonfit (beside noonlog or in "
             "PATH), asked now and then in the background.",
    .least = 1,
    .most = 1,
    .wants = "wants one run folder: RUN",
    .word = {NR_WORD_RUN, NR_WORD_NONE},
    .groups = groups,
    .run = run};

static int take_size(request *q)
{
    char *end;
    long columns = strtol(q->size, &end, 10), rows = *end == 'x' ? strtol(end + 1, &end, 10) : 0;
    if (*end || columns < 1 || columns > NR_VIEW_COLUMNS || rows < 1 || rows > NR_VIEW_LINES)
        return 1 + nr_cmd_usage(&nr_cmd_watch, "--size wants columns and rows, up to %dx%d: 80x24",
                                NR_VIEW_COLUMNS, NR_VIEW_LINES);
    q->columns = (int)columns;
    q->rows = (int)rows;
    return 0;
}

static int parse(int argc, char **argv, request *q)
{
    nr_words words;
    nr_err err;
    *q = (request){0};
    if (nr_command_read(&nr_cmd_watch, argc, argv, q, &words, &err) != NR_OK)
        return 1 + nr_cmd_failed(&err);
    q->folder = words.word[0];
    return q->size ? take_size(q) : 0;
}

/* --- showing ------------------------------------------------------------------------------- */

static void print_once(const nr_view *view)
{
    for (size_t i = 0; i < view->count; i++) {
        size_t n = strlen(view->line[i].text);
        while (n > 0 && view->line[i].text[n - 1] == ' ')
            n--;
        printf("%.*s\n", (int)n, view->line[i].text);
    }
}

static int watch_signals(void)
{
    sigset_t set;
    sigemptyset(&set);
    sigaddset(&set, SIGINT);
    sigaddset(&set, SIGTERM);
    sigaddset(&set, SIGHUP);
    sigaddset(&set, SIGWINCH);
    if (sigprocmask(SIG_BLOCK, &set, NULL) < 0)
        return -1;
    return signalfd(-1, &set, SFD_NONBLOCK | SFD_CLOEXEC);
}

/* Waits for a second to pass, a key, a signal, or noonfit. False: the view is to end. */
static bool wait_turn(int signal_fd, int ask_fd)
{
    struct pollfd fds[] = {{.fd = STDIN_FILENO, .events = POLLIN},
                           {.fd = signal_fd, .events = POLLIN},
                           {.fd = ask_fd, .events = POLLIN}};
    struct signalfd_siginfo info;
    if (poll(fds, 3, REFRESH_MS) < 0)
        return true;
    if (fds[1].revents && read(signal_fd, &info, sizeof info) == (ssize_t)sizeof info &&
        info.ssi_signo != SIGWINCH)
        return false;
    if (fds[0].revents & (POLLHUP | POLLERR))
        return false;
    char key = 0;
    while (fds[0].revents & POLLIN && read(STDIN_FILENO, &key, 1) == 1)
        if (key == 'q' || key == 'Q' || key == 3 || key == 4)
            return false;
    return true;
}

static double steady_s(void)
{
    nr_now now;
    nr_clock_system.now(NULL, &now);
    return now.steady_s;
}

static void live(nr_tail *t, nr_view_options *options, nr_ask *ask, int signal_fd)
{
    static nr_view view;
    bool known = false;
    /* In a run that has ended it is no news. */
    nr_target_look(t, t->recording ? NAN : options->target_degC, &known);
    do {
        nr_tail_update(t);
        nr_ask_step(ask, t->all_rows, steady_s());
        options->interim = ask->answered ? &ask->interim : NULL;
        nr_terminal_size(&options->columns, &options->rows);
        bool bell = nr_target_look(t, options->target_degC, &known);
        nr_view_compose(t, options, &view);
        nr_terminal_draw(&view, options->columns, bell);
    } while (wait_turn(signal_fd, ask->poll_fd));
}

/* For a view that is printed once: waits until noonfit has answered or its time is over. */
static void ask_once(nr_ask *ask, const nr_tail *t, nr_view_options *options)
{
    ask->limit_s = ONCE_LIMIT_S;
    nr_ask_step(ask, t->all_rows, steady_s());
    while (!ask->answered && ask->turn != NR_ASK_REST) {
        struct pollfd fd = {.fd = ask->poll_fd, .events = POLLIN};
        poll(&fd, 1, REFRESH_MS);
        nr_ask_step(ask, t->all_rows, steady_s());
    }
    options->interim = ask->answered ? &ask->interim : NULL;
}

static int watch(const request *q, nr_tail *t, nr_view_options *options, nr_ask *ask)
{
    static nr_view view;
    if (q->once || !nr_terminal_usable()) {
        options->columns = q->columns ? q->columns : 80;
        options->rows = q->rows ? q->rows : 24;
        ask_once(ask, t, options);
        nr_view_compose(t, options, &view);
        print_once(&view);
        return NR_OK;
    }
    nr_terminal terminal = {.open = false};
    int signal_fd = watch_signals();
    nr_err err;
    if (signal_fd < 0 || !nr_terminal_open(&terminal)) {
        nr_fail(&err, NR_BAD, NULL, 0, "cannot use the terminal; --once prints the view");
        return nr_cmd_failed(&err);
    }
    options->leave_hint = true;
    live(t, options, ask, signal_fd);
    nr_terminal_close(&terminal);
    close(signal_fd);
    return NR_OK;
}

static int watch_run(int argc, char **argv)
{
    request q;
    nr_tail *tail;
    static nr_ask ask;
    nr_err err;
    int done = parse(argc, argv, &q);
    if (done)
        return done - 1;
    if (nr_tail_open(q.folder, &tail, &err) != NR_OK)
        return nr_cmd_failed(&err);
    const char *units = nr_cmd_units(q.units, tail->has_rig ? tail->rig.units : "");
    nr_view_options options = {.fahrenheit = nr_units_us(units),
                               .utf8 = strcmp(nl_langinfo(CODESET), "UTF-8") == 0,
                               .target_degC = NAN};
    int status = NR_OK;
    if (nr_temperature_option(&nr_cmd_watch, "target", q.target, options.fahrenheit, 0, 100,
                              &options.target_degC, &err) != NR_OK)
        status = nr_cmd_failed(&err);
    if (status == NR_OK && nr_ask_open(&ask, q.folder, NULL, &err) != NR_OK) {
        status = nr_cmd_failed(&err);
    } else if (status == NR_OK) {
        status = watch(&q, tail, &options, &ask);
        nr_ask_close(&ask);
    }
    nr_tail_free(tail);
    return status;
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)watch_run(argc, argv);
}
