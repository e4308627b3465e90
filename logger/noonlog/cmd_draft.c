/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog draft: listens to a port without a rig file and writes one to begin with. */
#include "logger/noonlog/commands.h"

#include "logger/base/paragraph.h"
#include "logger/base/text.h"
#include "logger/draft/draft.h"
#include "logger/listen/session.h"
#include "logger/noonlog/listening.h"
#include "logger/noonlog/touching.h"
#include "logger/port/port.h"

#include <errno.h>
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define DEFAULT_LENGTH_S 8.0
#define PORTS 64

/* The usual speeds of adapters, the commonest first; each is listened to until lines are text. */
static const int speeds[] = {115200, 38400, 9600, 57600, 19200, 4800};

typedef struct request {
    const char *port, *file;
    int units; /* 1 si, 2 us */
    long baud; /* 0: try the usual ones */
    double length_s;
    bool touch;
} request;

#define ANSWER_S 4.0 /* an adapter answers after the line it is just sending */

/* What is heard, and what is made of it meanwhile. */
typedef struct hearing {
    nr_draft draft;
    nr_draft_guess guess;
    nr_touch touch;
    bool touching;
} hearing;

static const nr_option own[] = {{.kind = NR_OPTION_WHOLE,
                                 .name = "baud",
                                 .value = "N",
                                 .offset = offsetof(request, baud),
                                 .help = "the adapter's speed (default: the usual ones are tried)",
                                 .low = 300,
                                 .high = 1000000},
                                {.kind = NR_OPTION_DURATION,
                                 .name = "for",
                                 .value = "D",
                                 .offset = offsetof(request, length_s),
                                 .help = "how long to listen at a speed (default 8s)",
                                 .low = 0.001,
                                 .high = 3600},
                                {.kind = NR_OPTION_ON,
                                 .name = "touch",
                                 .offset = offsetof(request, touch),
                                 .help = "ask for the probes of store, inlet, outlet and air one "
                                         "by one: the one that warms in your hand gets the name"},
                                {.kind = NR_OPTION_CHOICE,
                                 .name = "units",
                                 .value = "si|us",
                                 .offset = offsetof(request, units),
                                 .help = "keys for m2 and litres or for ft2 and gallons"},
                                {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_draft = {
    .program = NR_PROGRAM,
    .name = "draft",
    .arguments = "PORT [FILE]",
    .summary = "a rig file to begin with, from what the adapter sends",
    .about =
        "Listens to the port, finds speed and shape of the lines, and writes a rig file with "
        "a channel for each number in them; without FILE to the terminal. What it cannot know "
        "(areas, water, which sensor is which) stands in it as comments to fill in. PORT as "
        "`noonlog ports` names it; an existing FILE is not touched. An adapter that sends counted "
        "and checked lines is asked who it is (the letter i); the reference adapter names its "
        "probes by their identity, which then stands in the file as sensor.\n\nExit status 1: "
        "nothing "
        "readable came.",
    .examples = "  noonlog draft /dev/ttyUSB0 wash-stand.ini && noonlog listen wash-stand.ini\n",
    .least = 1,
    .most = 2,
    .wants = "wants a port and a file to write: PORT [FILE]",
    .word = {NR_WORD_PORT, NR_WORD_FILE},
    .groups = groups,
    .run = run};

static int parse(int argc, char **argv, request *q)
{
    nr_words words;
    nr_err err;
    *q = (request){.length_s = DEFAULT_LENGTH_S};
    if (nr_command_read(&nr_cmd_draft, argc, argv, q, &words, &err) != NR_OK)
        return 1 + nr_cmd_failed(&err);
    q->port = words.word[0];
    q->file = words.count > 1 ? words.word[1] : NULL;
    return 0;
}

/* --- listening ------------------------------------------------------------------------------ */

static void on_line(void *context, size_t adapter, const nr_wire_line *line, nr_line_fault fault,
                    double elapsed_s)
{
    hearing *h = context;
    (void)adapter;
    (void)fault; /* of the rig that stands in for the one to be written */
    if (h->touching)
        nr_draft_touch(&h->guess, line, &h->touch);
    else
        nr_draft_line(&h->draft, line, elapsed_s);
}

/* Who it is, in the same session: some boards start anew when their port is opened. */
static void ask_identity(nr_session *session, hearing *h, int signal_fd)
{
    double until_s = nr_session_elapsed_s(session) + ANSWER_S;
    if (!nr_draft_may_ask(&h->draft) || !nr_session_say(session, 0, NR_IDENTITY_REQUEST))
        return;
    while (!h->draft.identity.complete && nr_session_elapsed_s(session) < until_s)
        if (!nr_session_run(session, nr_session_elapsed_s(session) + 0.2, signal_fd))
            return;
}

/* What can be learned from lines that are text. */
static nr_code understand(const request *q, nr_session *session, hearing *h, int signal_fd,
                          bool *stopped, nr_err *err)
{
    ask_identity(session, h, signal_fd);
    nr_code code = nr_draft_guess_of(&h->draft, &h->guess, err);
    if (code != NR_OK || !q->touch)
        return code;
    h->touching = true;
    *stopped = !nr_touching(session, &h->guess, &h->touch, signal_fd);
    return *stopped ? nr_fail(err, NR_CANNOT, NULL, 0, "stopped; nothing is written") : NR_OK;
}

/* One speed. *stopped: the user has had enough. */
static nr_code listen_at(const request *q, int baud, int signal_fd, hearing *h, bool *stopped,
                         unsigned long *bytes, nr_err *err)
{
    static const char stand_in[] =
        "[adapter]\nline = values\n[channel any]\nunit = raw\nfield = 1\n";
    static nr_rig rig;
    nr_session *session = NULL;
    nr_session_user user = {.line = on_line, .context = h};
    nr_code code =
        nr_rig_parse(stand_in, strlen(stand_in), "draft", NR_RIG_FOR_RECORD, &rig, NULL, err);
    rig.adapter[0].baud = baud;
    if (code == NR_OK)
        code = nr_listening_port(&rig, q->port, err);
    if (code == NR_OK)
        code = nr_session_open(&rig, &user, &session, err);
    if (code != NR_OK)
        return code;
    char what[64];
    snprintf(what, sizeof what, "listening at %d baud", baud);
    memset(h, 0, sizeof *h);
    *stopped = !nr_listening_run(session, what, q->length_s, signal_fd);
    *bytes += nr_session_bytes(session, 0);
    if (nr_draft_readable(&h->draft))
        code = understand(q, session, h, signal_fd, stopped, err);
    nr_session_free(session);
    return code;
}

static nr_code find_speed(const request *q, hearing *h, int *baud, nr_err *err)
{
    size_t count = q->baud ? 1 : sizeof speeds / sizeof *speeds;
    unsigned long bytes = 0;
    bool stopped = false;
    int signal_fd = nr_record_signals();
    nr_code code = NR_OK;
    for (size_t i = 0; i < count && code == NR_OK && !stopped; i++) {
        *baud = q->baud ? (int)q->baud : speeds[i];
        code = listen_at(q, *baud, signal_fd, h, &stopped, &bytes, err);
        if (code == NR_OK && nr_draft_readable(&h->draft))
            break;
        if (code == NR_OK && i + 1 < count && !stopped)
            fprintf(stderr, NR_PROGRAM ": nothing readable at %d baud; trying %d\n", *baud,
                    speeds[i + 1]);
    }
    if (signal_fd >= 0)
        close(signal_fd);
    if (code != NR_OK || nr_draft_readable(&h->draft))
        return code;
    return nr_fail(err, NR_CANNOT, q->port, 0,
                   bytes == 0 ? "nothing came: is the adapter powered, does it send by itself?"
                              : "%lu bytes came, but no lines of text at %s: give its speed with "
                                "--baud, or listen longer with --for",
                   bytes, q->baud ? "this speed" : "any usual speed");
}

/* --- writing -------------------------------------------------------------------------------- */

/* How the port shall stand in the file: by what the adapter says of itself over USB, if anything,
 * for its device's name changes with the socket. */
static void lasting_name(const char *port, char *out, size_t size)
{
    static nr_port_found found[PORTS];
    bool by_name = false;
    int count = nr_ports_list(found, PORTS, &by_name);
    nr_copy(out, size, port);
    for (int i = 0; i < count && i < PORTS; i++)
        if (strcmp(found[i].path, port) == 0 && found[i].identity[0])
            nr_copy(out, size, found[i].identity);
}

static nr_code write_to(const request *q, const nr_draft_guess *guess, int baud, nr_err *err)
{
    char port[NR_PORT_PATH];
    bool us = nr_units_us(nr_cmd_units(q->units, ""));
    lasting_name(q->port, port, sizeof port);
    if (!q->file) {
        nr_draft_write(stdout, guess, port, q->port, baud, us);
        return fflush(stdout) == 0 ? NR_OK
                                   : nr_fail_errno(err, NR_BAD, NULL, errno, "cannot write");
    }
    FILE *to = fopen(q->file, "wxe"); /* x: never over an existing one */
    if (!to)
        return nr_fail_errno(err, NR_BAD, q->file, errno, "cannot be written");
    nr_draft_write(to, guess, port, q->port, baud, us);
    bool bad = ferror(to) != 0;
    if (fclose(to) != 0 || bad) {
        int why = errno;
        unlink(q->file);
        return nr_fail_errno(err, NR_BAD, q->file, why, "cannot be written");
    }
    return NR_OK;
}

/* What is still to be named, and how. */
static const char *advice_of(const nr_draft_guess *guess, size_t channels, size_t known)
{
    bool probes = false;
    for (size_t i = 0; i < guess->fields; i++)
        probes = probes || (guess->field[i].probe && !guess->field[i].channel[0]);
    if (known == channels)
        return "";
    if (probes)
        return " Probes that are not named yet stand under their identity: `noonlog draft --touch` "
               "asks which is which.";
    if (guess->version[0])
        return " What is not a probe stands in raw numbers, with what to write instead.";
    return " What is not known stands in raw numbers: hold a probe in your hand while `noonlog "
           "listen` runs, see which one is marked, and name it; or let `noonlog draft --touch` "
           "ask.";
}

static void say_done(const request *q, const nr_draft_guess *guess, int baud)
{
    size_t known, channels = nr_draft_channels(guess, &known);
    const char *names = known == channels ? "all of them known by their names"
                        : known == 0      ? "none of them known by its name"
                                          : "some of them known by their names";
    nr_paragraph_of(stderr, "",
                    "%s%s%s%zu reading%s in each line at %d baud, a line every %.2g s; "
                    "%s.%s",
                    guess->version[0] ? "A reference adapter, version " : "", guess->version,
                    guess->version[0] ? ": " : "", channels, channels == 1 ? "" : "s", baud,
                    guess->interval_s, names, advice_of(guess, channels, known));
    if (q->file)
        nr_paragraph_of(stderr, "",
                        "Written to %s: fill in what begins with ;, then `noonlog listen %s`.",
                        q->file, q->file);
}

static int draft_run(int argc, char **argv)
{
    static hearing h;
    request q;
    nr_err err;
    int baud = 0, done = parse(argc, argv, &q);
    if (done)
        return done - 1;
    if (q.file && access(q.file, F_OK) == 0) {
        nr_fail(&err, NR_BAD, q.file, 0, "exists; name a new file");
        return nr_cmd_failed(&err);
    }
    nr_code code = find_speed(&q, &h, &baud, &err);
    if (code == NR_OK)
        code = write_to(&q, &h.guess, baud, &err);
    if (code != NR_OK)
        return nr_cmd_failed(&err);
    say_done(&q, &h.guess, baud);
    return NR_OK;
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)draft_run(argc, argv);
}
