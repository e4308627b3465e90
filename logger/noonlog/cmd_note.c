/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog note: a person's words into notes.csv, while the run is recorded or afterwards. */
#include "logger/noonlog/commands.h"

#include "logger/base/text.h"
#include "logger/record/clock.h"
#include "logger/record/notebook.h"
#include "logger/record/state.h"

#include <errno.h>
#include <math.h>
#include <poll.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#define TRIES 100
#define TRY_MS 20

typedef struct request {
    const char *folder, *text;
    int pump;    /* 1 on, 2 off; 0: not said */
    double at_s; /* NAN: now */
} request;

static const nr_option own[] = {
    {.kind = NR_OPTION_CHOICE,
     .name = "pump",
     .value = "on|off",
     .offset = offsetof(request, pump),
     .help = "the pump is on or off from now (or --at) on; TEXT may be left out"},
    {.kind = NR_OPTION_DURATION,
     .name = "at",
     .value = "D",
     .offset = offsetof(request, at_s),
     .help = "at this time of the run (12m30s); wanted when the run is over",
     .low = 0,
     .high = 3650 * 86400.0},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_note = {.program = NR_PROGRAM,
                                .name = "note",
                                .arguments = "RUN TEXT",
                                .summary = "stamp a note into a run",
                                .about = "Stamps a note into a run: \"glass on\", \"stirred\".",
                                .examples = "  noonlog note today \"stirred\"\n",
                                .least = 1,
                                .most = 2,
                                .wants = "wants a run folder and one text: RUN \"glass on\"",
                                .word = {NR_WORD_RUN, NR_WORD_NONE},
                                .groups = groups,
                                .run = run};

static int parse(int argc, char **argv, request *out)
{
    nr_words words;
    nr_err err;
    *out = (request){.at_s = NAN};
    if (nr_command_read(&nr_cmd_note, argc, argv, out, &words, &err) != NR_OK)
        return 1 + nr_cmd_failed(&err);
    if (words.count == 1 && !out->pump)
        return 1 + nr_cmd_usage(&nr_cmd_note, "%s", nr_cmd_note.wants);
    out->folder = words.word[0];
    out->text = words.count == 2 ? words.word[1] : "";
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
    static const char *const pump[] = {"", "on", "off"};
    snprintf(text, sizeof text, "%s%s%s", pump[q->pump], q->pump && q->text[0] ? ": " : "",
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

static int note_run(int argc, char **argv)
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

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)note_run(argc, argv);
}
