/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What noonfit says of the run so far: the few numbers that the live views show. Pure.
 *
 * noonlog fits nothing. It reads the JSON of `noonfit fit` and `noonfit inspect` (ask.h runs them)
 * and keeps what is there; a key that is missing is not known.
 */
#ifndef NR_ASK_INTERIM_H
#define NR_ASK_INTERIM_H

#include "logger/base/err.h"
#include "logger/run/rig.h"

#include <stdbool.h>
#include <stddef.h>

#define NR_INTERIM_FINDINGS 16
#define NR_INTERIM_COLLECTORS 4
#define NR_INTERIM_TEXT 480

/* A quantity with its 95 % interval; value NAN: not determined. */
typedef struct nr_interim_range {
    double value, lo95, hi95;
} nr_interim_range;

typedef struct nr_interim_collector {
    char name[NR_NAME];
    nr_interim_range efficiency; /* heat in the water over sun on the collector, so far; 1 */
    nr_interim_range eta0;       /* 1 */
    nr_interim_range a1;         /* W/(m2 K) */
} nr_interim_collector;

typedef struct nr_interim_finding {
    char code[NR_NAME];
    char severity[16]; /* note, doubt, fault */
    char text[NR_INTERIM_TEXT];
} nr_interim_finding;

typedef struct nr_interim {
    bool fitted; /* the fit answered; else why_not says why (or it was not asked) */
    char why_not[NR_INTERIM_TEXT]; /* one sentence, clean; "" */
    char grade[16];                /* good, doubtful; "" not told */
    size_t collectors, findings;
    nr_interim_collector collector[NR_INTERIM_COLLECTORS];
    nr_interim_finding finding[NR_INTERIM_FINDINGS];
} nr_interim;

/* The output of `noonfit fit --json`. Sets fitted, grade and collectors. False: it is no such
 * document, and fitted is false. */
bool nr_interim_fit(nr_interim *interim, const char *json, size_t length);

/* The fit refused: its message as it came, "noonfit: FOLDER: sentence". */
void nr_interim_refused(nr_interim *interim, const char *message, size_t length,
                        const char *folder);

/* The output of `noonfit inspect --json`. Sets the findings, the grave ones first. False: it is no
 * such document, and nothing changed. */
bool nr_interim_inspect(nr_interim *interim, const char *json, size_t length);

/* Sentences for people, "" when there is nothing to say; us: units of the text. Texts fit into 80
 * columns where the collector's name is short. */
void nr_interim_efficiency_words(const nr_interim *interim, size_t collector, char *out,
                                 size_t size);
void nr_interim_stop_words(const nr_interim *interim, size_t collector, bool recording, char *out,
                           size_t size);

#endif
