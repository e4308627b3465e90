/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rig file to begin with, drafted from the lines an adapter sends.
 *
 * Lines are collected, their shape is guessed (pairs or values, separator, checksum, counter,
 * spacing), and a rig file is written with a channel for every field: with unit where the field's
 * name has a meaning (run/meaning.h), else with the unit `raw`, so that `listen` shows the number
 * and a hand on a probe tells which one it is. Of several collectors on one adapter each gets its
 * sections (builds.h).
 */
#ifndef NR_DRAFT_DRAFT_H
#define NR_DRAFT_DRAFT_H

#include "logger/listen/identity.h"
#include "logger/listen/seen.h"
#include "logger/listen/touch.h"
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
    nr_identity identity;  /* what the adapter said of itself, if it was asked */
} nr_draft;

/* Keeps a line; at_s since the start. Half lines are passed over, of comments only what an adapter
 * says of itself is kept. */
void nr_draft_line(nr_draft *draft, const nr_wire_line *line, double at_s);

/* Enough to guess from: three lines and more text than noise. A wrong speed gives none. */
bool nr_draft_readable(const nr_draft *draft);

/* Lines as ADAPTER.md recommends them, counted and checked: such an adapter may be asked who it is.
 * Others are not sent anything, for nobody knows what a letter means to them. */
bool nr_draft_may_ask(const nr_draft *draft);

typedef enum nr_draft_role {
    NR_DRAFT_READING, /* a channel */
    NR_DRAFT_CLOCK,   /* counts milliseconds */
    NR_DRAFT_COUNT    /* counts lines */
} nr_draft_role;

typedef struct nr_draft_field {
    char name[NR_NAME]; /* its key, or "1", "2" (values) */
    nr_seen seen;
    nr_draft_role role;
    const nr_unit *unit;   /* that stood behind its numbers; NULL: none */
    bool probe;            /* its key is the identity of a thermometer */
    char channel[NR_NAME]; /* what it is to be called, from a touch; "": by its key */
    const char *role_name; /* whose name does not say it: "store"; NULL: by its name */
    size_t of;             /* which of the guess's builds, from 1; 0: shared, or there is one */
} nr_draft_field;

typedef struct nr_draft_guess {
    nr_line_format kind;
    const char *separator; /* as the rig file writes it: "comma" */
    char separator_char;
    nr_checksum checksum;
    double interval_s; /* to two digits */
    char example[100]; /* the last line, cleaned */
    char version[16];  /* of the reference adapter, when it said that it is one; "" else */
    size_t builds;     /* collectors; 0: one, without a name */
    char build[NR_RIG_BUILDS][NR_NAME];
    size_t fields;
    nr_draft_field field[NR_DRAFT_FIELDS];
} nr_draft_guess;

/* NR_CANNOT: no line holds a number, with an example of what came. */
nr_code nr_draft_guess_of(const nr_draft *draft, nr_draft_guess *out, nr_err *err);

/* Writes the rig file. port: as it shall stand there; device: where it was heard, for the comment.
 * us: keys and comments for US customary units. All text from the wire is cleaned. */
void nr_draft_write(FILE *to, const nr_draft_guess *guess, const char *port, const char *device,
                    int baud, bool us);

/* Could the field be a temperature that a hand warms? Where the lines name probes by identity,
 * only those. */
bool nr_draft_touchable(const nr_draft_guess *guess, const nr_draft_field *field);

/* Hands a line's readings of such fields on. */
void nr_draft_touch(const nr_draft_guess *guess, const nr_wire_line *line, nr_touch *touch);

/* NULL when there is none of that name. */
nr_draft_field *nr_draft_field_find(nr_draft_guess *guess, const char *name);

/* A probe without a reading may be unplugged: it has a channel all the same. How many of the fields
 * become channels, and how many of those have a meaning by their name. */
size_t nr_draft_channels(const nr_draft_guess *guess, size_t *known);

#endif
