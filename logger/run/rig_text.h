/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The grammar of rig.ini, line by line: the one lexer behind reading and editing. Internal to the
 * rig reader and editor.
 *
 *     line    = blank | comment | heading | pair | more
 *     comment = (";" | "#") anything
 *     heading = "[" word [blanks name] "]" [comment]
 *     pair    = key ("=" | ":") value [blank ";" anything]
 *     more    = a line indented further than the key `notes` above it: the notes go on
 *
 * Blanks around all of these do not matter. Nothing is copied and nothing is judged: what is
 * neither of these is `other`.
 */
#ifndef NR_RUN_RIG_TEXT_H
#define NR_RUN_RIG_TEXT_H

#include <stdbool.h>
#include <stddef.h>

typedef struct nr_span {
    const char *at;
    size_t length;
} nr_span;

typedef enum nr_rig_text_kind {
    NR_RIG_TEXT_NOTHING, /* blank, or a comment */
    NR_RIG_TEXT_HEADING,
    NR_RIG_TEXT_PAIR,
    NR_RIG_TEXT_MORE,
    NR_RIG_TEXT_OTHER
} nr_rig_text_kind;

typedef struct nr_rig_text_line {
    nr_rig_text_kind kind;
    long number;     /* from 1 */
    nr_span whole;   /* with its line break, a byte order mark included */
    nr_span text;    /* without blanks at both ends */
    nr_span name;    /* of a heading: between the brackets; of a pair: its key */
    nr_span value;   /* of a pair or of notes that go on; of a heading: what follows the ] */
    bool closed;     /* a heading that has its ] */
    bool line_break; /* whole ends in one */
    bool crlf;       /* and it is CR LF */
} nr_rig_text_line;

typedef struct nr_rig_text {
    const char *next, *end;
    long number;
    bool in_section;
    bool in_notes; /* the last key was `notes`, */
    size_t indent; /* which stood this far to the right */
} nr_rig_text;

nr_rig_text nr_rig_text_of(const char *text, size_t length);

/* False behind the last line. The spans point into the text. */
bool nr_rig_text_next(nr_rig_text *t, nr_rig_text_line *line);

/* "channel store" of "[ channel   store ]", control characters replaced; cut to size. */
void nr_rig_text_heading(const nr_rig_text_line *line, char *out, size_t size);

bool nr_span_is(nr_span span, const char *word);

#endif
