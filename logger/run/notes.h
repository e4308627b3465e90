/* SPDX-License-Identifier: GPL-3.0-or-later */
/* notes.csv: what happened, when. time_utc,elapsed_s,kind,text */
#ifndef NR_RUN_NOTES_H
#define NR_RUN_NOTES_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum nr_note_kind {
    NR_NOTE_NOTE,   /* a person's words */
    NR_NOTE_GAP,    /* readings stopped; text says for how long */
    NR_NOTE_PORT,   /* port lost, found, silent, wrong baud */
    NR_NOTE_CLOCK,  /* wall clock stepped, adapter clock wrapped, suspend */
    NR_NOTE_PUMP,   /* text starts with "on" or "off": the pump state from then on */
    NR_NOTE_TARGET, /* target temperature reached */
    NR_NOTE_START,
    NR_NOTE_STOP
} nr_note_kind;

typedef struct nr_note {
    double utc_s, elapsed_s;
    nr_note_kind kind;
    char text[512]; /* cleaned (text.h) */
} nr_note;

typedef struct nr_notes {
    size_t count;
    nr_note *note; /* in file order */
    bool torn;     /* the last line was incomplete, or one has NUL bytes: left out (a crash) */
} nr_notes;

const char *nr_note_kind_name(nr_note_kind kind);

/* A missing file is an empty list. */
nr_code nr_notes_read(const char *path, nr_notes **out, nr_err *err);
nr_code nr_notes_parse(const char *text, size_t length, const char *path, nr_notes **out,
                       nr_err *err);
void nr_notes_free(nr_notes *notes);

/* One line as CSV text ending in "\n". Text that a spreadsheet would run as a formula (= + - @ at
 * its start) is written with a leading apostrophe, which reading takes off again; control
 * characters become '?'. Returns the length, 0 when it did not fit. */
size_t nr_notes_row(const nr_note *note, char *out, size_t size);
#define NR_NOTES_HEADER "time_utc,elapsed_s,kind,text\n"

#endif
