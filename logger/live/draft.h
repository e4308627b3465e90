/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rig file to begin with, drafted from the lines an adapter sends.
 *
 * Lines are collected, their shape is guessed (pairs or values, separator, checksum, counter,
 * spacing), and a rig file is written with a channel for every field: with unit where the field's
 * name has a meaning (run/meaning.h), else with the unit `raw`, so that `listen` shows the number
 * and a hand on a probe tells which one it is.
 */
#ifndef NR_LIVE_DRAFT_H
#define NR_LIVE_DRAFT_H

#include "logger/run/rig.h"
#include "logger/wire/lines.h"

#define NR_DRAFT_LINES 60
#define NR_DRAFT_FIELDS 48

/* What was heard; zero to begin with. */
typedef struct nr_draft {
    size_t lines; /* kept: the first NR_DRAFT_LINES that are text */
    struct {
        double at_s;
        size_t length;
        char text[NR_LINE_MAX];
    } line[NR_DRAFT_LINES];
    unsigned long garbled; /* lines that were no text */
} nr_draft;

/* Keeps a line; at_s since the start. Half lines and comments are passed over. */
void nr_draft_line(nr_draft *draft, const nr_line *line, double at_s);

/* Enough to guess from: three lines and more text than noise. A wrong speed gives none. */
bool nr_draft_readable(const nr_draft *draft);

typedef enum nr_draft_role {
    NR_DRAFT_READING, /* a channel */
    NR_DRAFT_CLOCK,   /* counts milliseconds */
    NR_DRAFT_COUNT    /* counts lines */
} nr_draft_role;

typedef struct nr_draft_field {
    char name[NR_NAME]; /* its key, or "1", "2" (values) */
    double first, last; /* numbers it carried */
    unsigned long numbers;
    bool each_one; /* so far each was one more than the one before */
    nr_draft_role role;
} nr_draft_field;

typedef struct nr_draft_guess {
    nr_line_kind kind;
    const char *separator; /* as the rig file writes it: "comma" */
    nr_checksum checksum;
    double interval_s; /* to two digits */
    char example[100]; /* the last line, cleaned */
    size_t fields;
    nr_draft_field field[NR_DRAFT_FIELDS];
} nr_draft_guess;

/* NR_CANNOT: no line holds a number, with an example of what came. */
nr_code nr_draft_guess_of(const nr_draft *draft, nr_draft_guess *out, nr_err *err);

/* Writes the rig file. port: as it shall stand there; device: where it was heard, for the comment.
 * us: keys and comments for US customary units. All text from the wire is cleaned. */
void nr_draft_write(FILE *to, const nr_draft_guess *guess, const char *port, const char *device,
                    int baud, bool us);

/* How many of its fields become channels, and how many of those have a meaning by their name. */
size_t nr_draft_channels(const nr_draft_guess *guess, size_t *known);

#endif
