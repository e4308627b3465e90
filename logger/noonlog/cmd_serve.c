/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog serve: the live page for a telephone in the driveway. */
#include "logger/noonlog/commands.h"

#include "logger/noonlog/option_rows.h"
#include "logger/serve/serve.h"

#include <errno.h>
#include <langinfo.h>
#include <math.h>
#include <signal.h>
#include <stddef.h>
#include <string.h>
#include <sys/signalfd.h>
#include <unistd.h>

#define LISTEN "127.0.0.1:8033"

typedef struct request {
    const char *listen, *target;
    int units; /* 1 si, 2 us */
} request;

static const nr_option own[] = {
    {.kind = NR_OPTION_TEXT,
     .name = "listen",
     .value = "ADDRESS:PORT",
     .offset = offsetof(request, listen),
     .help = "where to be had (default " LISTEN ": from this computer only); 0.0.0.0:8033 is for "
             "telephones in the same network"},
    {.kind = NR_OPTION_TEXT,
     .name = "target",
     .value = "T",
     .offset = offsetof(request, target),
     .help = "(43C, 110F) the page rings when the store is that warm, and the run gets a note; the "
             "page can set another"},
    NR_ROW_UNITS(request, units),
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_serve = {
    .program = NR_PROGRAM,
    .name = "serve",
    .arguments = "RUN",
    .summary = "the live view as a page for a telephone",
    .about = "A page that shows a run as it is recorded, or a finished one: large numbers, the "
             "curve and its forecast, what is the matter, what noonfit makes of it so far. It "
             "rings at the target and where water scalds, and takes notes.\n\n"
             "With an address that others can reach it prints a link with a token, and the link as "
             "a code to photograph. Who has the token can write notes; without it the page can "
             "only be read. The connection is not encrypted: use it in networks you trust. "
             "SIGINT or SIGTERM ends it; the recording is another program and goes on.",
    .least = 1,
    .most = 1,
    .wants = "wants one run folder: RUN",
    .word = {NR_WORD_RUN, NR_WORD_NONE},
    .groups = groups,
    .run = run};

static void ready(const nr_door *door)
{
    bool code = isatty(STDOUT_FILENO) && strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
    nr_door_print(stdout, door, code);
}

static int signals(void)
{
    sigset_t set;
    sigemptyset(&set);
    sigaddset(&set, SIGINT);
    sigaddset(&set, SIGTERM);
    sigaddset(&set, SIGHUP);
    return sigprocmask(SIG_BLOCK, &set, NULL) < 0 ? -1 : signalfd(-1, &set, SFD_CLOEXEC);
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    request q = {.listen = LISTEN};
    nr_words words;
    nr_door door;
    nr_code code = nr_command_read(&nr_cmd_serve, argc, argv, &q, &words, err);
    if (code != NR_OK)
        return code;
    nr_serve_options options = {
        .folder = words.word[0], .units = nr_cmd_units(q.units, ""), .target_degC = NAN};
    code = nr_temperature_option(&nr_cmd_serve, "target", q.target, nr_units_us(options.units), 0.1,
                                 99.9, &options.target_degC, err);
    if (code != NR_OK)
        return code;
    int signal_fd = signals();
    if (signal_fd < 0)
        return nr_fail_errno(err, NR_BAD, NULL, errno, "cannot wait for signals");
    code = nr_door_open(q.listen, &door, err);
    if (code == NR_OK) {
        code = nr_serve(&options, &door, signal_fd, ready, err);
        nr_door_close(&door);
    }
    close(signal_fd);
    return code;
}
