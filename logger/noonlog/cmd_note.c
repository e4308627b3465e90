/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog note: a person's words into notes.csv, while the run is recorded or afterwards. */
#include "logger/noonlog/commands.h"

#include "logger/base/text.h"
#include "logger/record/clock.h"
#include "logger/record/notebook.h"
#include "logger/record/state.h"

#include <errno.h>
#include <getopt.h>
#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#define TRIES 100
#define TRY_MS 20

typedef struct request {
    const char *folder, *text;
    const char *pump; /* "on", "off" or NULL */
    double at_s;      /* NAN: now */
} request;

static void help(void)
{
    puts("noonlog note RUN TEXT        stamp a note into a run: \"glass on\", \"stirred\"\n\n"
         "  --pump on|off   the pump is on or off from now (or --at) on; TEXT may be left out\n"
         "  --at D          at this time of the run (12m30s); wanted when the run is over");
}

static int parse(int argc, char **argv, request *out)
{
    static const struct option options[] = {{"pump", required_argument, NULL, 'p'},
                                            {"at", required_argument, NULL, 'a'},
                                            {"help", no_argument, NULL, 'h'},
                                            {NULL, 0, NULL, 0}};
    *out = (request){.at_s = NAN};
    for (int c = 0; (c = getopt_long(argc, argv, "", options, NULL)) != -1;) {
        bool on = false;
        switch (c) {
        case 'p':
            if (!nr_parse_yes(optarg, &on))
                return 1 + nr_cmd_usage("note", "--pump is on or off");
            out->pump = on ? "on" : "off";
            break;
        case 'a':
            if (!nr_parse_duration(optarg, &out->at_s) || out->at_s < 0)
                return 1 + nr_cmd_usage("note", "--at wants a time of the run like 12m30s");
            break;
        case 'h':
            help();
            return 1 + NR_OK;
        default:
            return 1 + NR_BAD;
        }
    }
    int given = argc - optind;
    if (given != 2 && !(given == 1 && out->pump))
        return 1 + nr_cmd_usage("note", "wants a run folder and one text: RUN \"glass on\"");
    out->folder = argv[optind];
    out->text = given == 2 ? argv[optind + 1] : "";
    return 0;
}

/* When, on the run's axis and by the wall clock. */
static nr_code place(const request *q, nr_note *note, nr_err *err)
{
    nr_state state;
    nr_now now;
    nr_code code = nr_state_read(q->folder, &state, err);
    if (code != NR_OK)
        return code;
    nr_clock_system.now(NULL, &now);
    bool recording = nr_state_holder(q->folder) != 0;
    if (!recording && isnan(q->at_s))
        return nr_fail(
            err, NR_CANNOT, q->folder, 0,
            "nothing records into this run now; say when in the run it was: --at 12m30s");
    if (isnan(q->at_s)) {
        note->elapsed_s = state.elapsed_s + fmax(now.steady_s - state.at_steady_s, 0);
        note->utc_s = now.utc_s;
    } else {
        note->elapsed_s = q->at_s;
        note->utc_s = state.zero_utc_s + q->at_s;
    }
    return NR_OK;
}

static void compose(const request *q, nr_note *note)
{
    char text[2 * sizeof note->text];
    note->kind = q->pump ? NR_NOTE_PUMP : NR_NOTE_NOTE;
    snprintf(text, sizeof text, "%s%s%s", q->pump ? q->pump : "", q->pump && q->text[0] ? ": " : "",
             q->text);
    nr_clean(note->text, sizeof note->text, text, strlen(text));
}

static nr_code write_note(const char *folder, const nr_note *note, nr_err *err)
{
    static nr_notebook book;
    if (!nr_notebook_init(&book, &nr_files_system, folder) || !nr_notebook_add(&book, note))
        return nr_fail(err, NR_BAD, folder, 0, "the path or the text is too long");
    for (int i = 0; i < TRIES; i++) {
        if (nr_notebook_flush(&book))
            return NR_OK;
        if (book.why != EWOULDBLOCK)
            break;
        poll(NULL, 0, TRY_MS); /* the recorder is writing a note of its own */
    }
    return nr_fail_errno(err, NR_BAD, book.path, book.why, "cannot write the note");
}

int nr_cmd_note(int argc, char **argv)
{
    request q;
    nr_note note = {0};
    nr_err err;
    int done = parse(argc, argv, &q);
    if (done)
        return done - 1;
    compose(&q, &note);
    nr_code code = place(&q, &note, &err);
    if (code == NR_OK)
        code = write_note(q.folder, &note, &err);
    return code == NR_OK ? NR_OK : nr_cmd_failed(&err);
}
