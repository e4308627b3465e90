/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `virtual-board`: the reference adapter's firmware on a simulated board, with its serial line on a
 * pseudo-terminal or in a file. */
#include "sample-runs/rig/board/board.h"
#include "sample-runs/rig/board/drive.h"
#include "sample-runs/rig/board/scenario.h"
#include "sample-runs/rig/program/terminal.h"

#include "logger/base/text.h"

#include <errno.h>
#include <getopt.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define STEP_S 0.02 /* simulated; how often pins and terminal are looked after */
#define DRIVE_S 0.1 /* and with the virtual rig at the pins: the demo need not answer fast */
#define SAID 65536

typedef struct request {
    const char *firmware, *scenario, *link, *out, *drive;
    double speed, length_s, interval_s;
    bool rig;
} request;

typedef struct bench {
    const request *q;
    nr_board *board;
    nr_drive *drive;
    nr_scenario scenario;
    terminal port;
    FILE *out;
    bool asked;
    size_t said;
    char text[SAID]; /* of the serial line, not yet written */
} bench;

static void help(void)
{
    puts("virtual-board FIRMWARE.elf   the reference adapter's firmware, simulated\n\n"
         "  --scenario FILE    what happens to the board, and when\n"
         "  --drive BUILD      glazed or bare: the virtual rig's physics at its pins\n"
         "  --link PATH        its serial line as a pseudo-terminal with this name\n"
         "  --out FILE         or into a file\n"
         "  --for S            simulated seconds (default 60)\n"
         "  --speed N          times real time (default: as fast as it goes)\n"
         "  --interval S       seconds between lines, asked for at the start (with --drive; 5)\n"
         "  --rig              writes the rig file of --drive and --link, and ends\n\n"
         "At the end it says what was outside the probes' limits, how long the processor was "
         "awake,\n"
         "and how often it was reset.");
}

static bool number(const char *text, double low, double *out)
{
    return nr_parse_double(text, out) && *out >= low;
}

static nr_code parse(int argc, char **argv, request *q, nr_err *err)
{
    static const struct option options[] = {
        {"scenario", required_argument, NULL, 's'}, {"drive", required_argument, NULL, 'd'},
        {"link", required_argument, NULL, 'l'},     {"out", required_argument, NULL, 'o'},
        {"for", required_argument, NULL, 'f'},      {"speed", required_argument, NULL, 'x'},
        {"interval", required_argument, NULL, 'i'}, {"rig", no_argument, NULL, 'r'},
        {"help", no_argument, NULL, 'h'},           {NULL, 0, NULL, 0}};
    bool good = true;
    *q = (request){.length_s = 60, .interval_s = 5};
    for (int c = 0; good && (c = getopt_long(argc, argv, "", options, NULL)) != -1;)
        switch (c) {
        case 's':
            q->scenario = optarg;
            break;
        case 'd':
            q->drive = optarg;
            break;
        case 'l':
            q->link = optarg;
            break;
        case 'o':
            q->out = optarg;
            break;
        case 'f':
            good = number(optarg, 0, &q->length_s);
            break;
        case 'x':
            good = number(optarg, 0, &q->speed);
            break;
        case 'i':
            good = number(optarg, 1, &q->interval_s);
            break;
        case 'r':
            q->rig = true;
            break;
        case 'h':
            help();
            exit(0);
        default:
            good = false;
        }
    if (good && argc - optind == 1)
        q->firmware = argv[optind];
    if (!good || !q->firmware || (!q->link && !q->out))
        return nr_fail(err, NR_BAD, NULL, 0, "see virtual-board --help");
    return NR_OK;
}

/* --- the serial line ----------------------------------------------------------------------- */

static void on_byte(void *context, char c)
{
    bench *b = context;
    if (b->said < SAID)
        b->text[b->said++] = c;
}

static nr_code pass_on(bench *b, nr_err *err)
{
    nr_code code = NR_OK;
    if (b->out && fwrite(b->text, 1, b->said, b->out) != b->said)
        code = nr_fail_errno(err, NR_BAD, b->q->out, errno, "cannot be written");
    /* Nobody listens: the words are lost, as they are on a real line. */
    else if (!b->out && b->said > 0 && b->port.readers > 0)
        code = terminal_write(&b->port, b->text, b->said, err);
    b->said = 0;
    return code;
}

static void hear(bench *b)
{
    char bytes[64];
    ssize_t n = b->out ? 0 : read(b->port.near, bytes, sizeof bytes);
    if (n > 0)
        nr_board_tell(b->board, bytes, (size_t)n);
}

/* --- the run ------------------------------------------------------------------------------- */

/* Waits for the reader and keeps the pace. False: a signal came. */
static bool keep_pace(bench *b, double started_s)
{
    double due_s = b->q->speed > 0 ? started_s + nr_board_now_s(b->board) / b->q->speed : 0;
    if (b->out)
        return true;
    do
        terminal_wait(&b->port, due_s);
    while (terminal_now() < due_s && !b->port.stopped);
    return !b->port.stopped;
}

/* The pace is a setting of the adapter: asked for as a person would, once it speaks. */
static void ask_for_interval(bench *b)
{
    char ask[32];
    int n = snprintf(ask, sizeof ask, "e%.0f\n", b->q->interval_s);
    if (b->drive && !b->asked && b->said > 0)
        nr_board_tell(b->board, ask, (size_t)n);
    b->asked = b->asked || b->said > 0;
}

static nr_code run(bench *b, nr_err *err)
{
    double started_s = terminal_now();
    bool more = true;
    nr_code code = NR_OK;
    for (double t_s = 0; code == NR_OK && more && t_s < b->q->length_s;) {
        code = nr_scenario_do(&b->scenario, b->board, b->q->scenario, err);
        if (b->drive)
            more = nr_drive_apply(b->drive, b->board, t_s);
        t_s = fmin(t_s + (b->drive ? DRIVE_S : STEP_S),
                   fmax(nr_scenario_next_s(&b->scenario), t_s + 1e-6));
        if (code == NR_OK)
            code = nr_board_run(b->board, t_s, err);
        ask_for_interval(b);
        if (code == NR_OK)
            code = pass_on(b, err);
        hear(b);
        more = more && keep_pace(b, started_s);
    }
    if (code == NR_OK && !b->out)
        terminal_drain(&b->port);
    return b->port.stopped ? NR_OK : code;
}

static nr_code set_up(bench *b, nr_err *err)
{
    const request *q = b->q;
    nr_code code = NR_OK;
    if (q->scenario)
        code = nr_scenario_read(q->scenario, &b->scenario, err);
    if (code == NR_OK && q->drive)
        code = nr_drive_new(q->drive, q->length_s, q->link ? q->link : "-", q->interval_s,
                            &b->drive, err);
    if (code != NR_OK || q->rig)
        return code;
    code = nr_board_new(q->firmware, on_byte, b, &b->board, err);
    if (code == NR_OK && q->out && !(b->out = fopen(q->out, "we")))
        code = nr_fail_errno(err, NR_BAD, q->out, errno, "cannot be written");
    if (code == NR_OK && !q->out)
        code = terminal_open(&b->port, q->link, err);
    if (code == NR_OK && q->drive)
        nr_board_analogue(b->board)->noise = 0.7; /* what such a converter has */
    return code;
}

static void report(const bench *b)
{
    nr_board_report r = nr_board_reported(b->board);
    fprintf(
        stderr,
        "virtual-board: %.1f s simulated, awake %.1f %%, %u resets; outside the probes' limits: "
        "%lu pulses, %lu slots, %lu feeds\n",
        r.seconds, 100 * r.awake, r.resets, r.faults.pulses, r.faults.slots, r.faults.feeds);
}

/* libsimavr gives back little of what it takes when a processor is made: the leak sanitizer looks
 * at what is ours. It asks for this function by its name. */
const char *__lsan_default_suppressions(void);
const char *__lsan_default_suppressions(void)
{
    return "leak:libsimavr\n";
}

int main(int argc, char **argv)
{
    static bench b;
    request q;
    nr_err err = {0};
    b.q = &q;
    b.port = (terminal){.near = -1, .far = -1, .watch = -1, .signals = -1};
    nr_code code = parse(argc, argv, &q, &err);
    if (code == NR_OK)
        code = set_up(&b, &err);
    if (code == NR_OK && q.rig) {
        code = nr_drive_rig(b.drive, stdout, &err);
    } else if (code == NR_OK) {
        while (!b.out && b.port.readers == 0 && !b.port.stopped)
            terminal_wait(&b.port, INFINITY);
        code = run(&b, &err);
        report(&b);
    }
    if (b.out && fclose(b.out) != 0 && code == NR_OK)
        code = nr_fail_errno(&err, NR_BAD, q.out, errno, "cannot be written");
    if (!b.out && b.board)
        terminal_close(&b.port);
    nr_board_free(b.board);
    nr_drive_free(b.drive);
    if (code != NR_OK)
        nr_err_print(stderr, "virtual-board", &err);
    return (int)code;
}
