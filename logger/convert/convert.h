/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Conversion laws: one sensor law each, as a table.
 *
 * A law turns the number on the wire into the channel's unit. rig.ini names it
 * (`convert = ntc_beta`) and gives its coefficients as keys of the channel's section. The table
 * says which keys a law takes, which are required and what range is believable, so the rig parser
 * can check them and the manual can list them. Adding a law = adding a row and its evaluation.
 */
#ifndef NR_CONVERT_CONVERT_H
#define NR_CONVERT_CONVERT_H

#include <stdbool.h>
#include <stddef.h>

#define NR_LAW_MAX_KEYS 12

typedef struct nr_law_key {
    const char *name;    /* key in rig.ini */
    double fallback;     /* value when absent; NAN: the key is required; INFINITY: the key is
                            optional and INFINITY in k[] says that it was not given */
    double low, high;    /* accepted range, inclusive */
    const char *meaning; /* for --help and the manual, with its unit */
} nr_law_key;

/* Evaluates a law. raw: the number from the wire. k[i]: the coefficients in the table's order.
 * cold_degC: the temperature of a thermocouple's reference junction where the law wants one
 * (NAN otherwise). Returns NAN where the law has no answer (open circuit, out of range). */
typedef double (*nr_law_eval)(double raw, const double *k, double cold_degC);

typedef struct nr_law {
    const char *name;
    const char *summary; /* one line: what it is, raw unit, result unit, source of the formula */
    const char *unit;    /* unit of the result; NULL: whatever the channel says */
    nr_law_key keys[NR_LAW_MAX_KEYS]; /* name NULL ends the list */
    bool wants_cold; /* needs the channel named by `cold_channel`, or the law's own key
                        cold_degC; with neither every reading is NAN */
    nr_law_eval eval;
    bool stated; /* the reading is a constant of the rig file; there is nothing on the wire */
} nr_law;

/* All laws, ended by a NULL name. The first is "none". */
extern const nr_law nr_laws[];

/* NULL when unknown. */
const nr_law *nr_law_find(const char *name);

/* Index of a key in law->keys, or -1. */
int nr_law_key_index(const nr_law *law, const char *key);

#endif
