/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog note: a person's words into notes.csv, while the run is recorded or afterwards. */
#include "logger/noonlog/commands.h"

#include "logger/base/text.h"
#include "logger/record/stamp.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

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

static void compose(const request *q, nr_note *note)
{
    char text[2 * sizeof note->text];
    note->kind = q->pump ? NR_NOTE_PUMP : NR_NOTE_NOTE;
    static const char *const pump[] = {"", "on", "off"};
    snprintf(text, sizeof text, "%s%s%s", pump[q->pump], q->pump && q->text[0] ? ": " : "",
             q->text);
    nr_clean(note->text, sizeof note->text, text, strlen(text));
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
    nr_code code = nr_stamp_place(q.folder, q.at_s, &note, &err);
    if (code == NR_OK)
        code = nr_stamp_write(q.folder, &note, &err);
    return code == NR_OK ? NR_OK : nr_cmd_failed(&err);
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)note_run(argc, argv);
}
