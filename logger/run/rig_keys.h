/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The keys of rig.ini as tables: name, unit, believable range, where the value goes. The parser and
 * the reference text (nr_rig_describe) both work from them. Internal to the rig reader.
 */
#ifndef NR_RUN_RIG_KEYS_H
#define NR_RUN_RIG_KEYS_H

#include "logger/run/rig_lines.h"

typedef enum nr_rig_key_kind {
    NR_KEY_TEXT,       /* char[size], cleaned */
    NR_KEY_QUANTITY,   /* nr_value; may have a u_ twin */
    NR_KEY_NUMBER,     /* double */
    NR_KEY_INTEGER,    /* int */
    NR_KEY_CHOICE,     /* an enum, or a char where size is 1 */
    NR_KEY_UNIT,       /* of a channel */
    NR_KEY_LAW,        /* of a channel */
    NR_KEY_INSTRUMENT, /* of a channel */
    NR_KEY_BACK,       /* nr_back */
    NR_KEY_IAM         /* nr_iam_table */
} nr_rig_key_kind;

typedef struct nr_rig_choice {
    const char *word; /* NULL ends the list */
    int value;
} nr_rig_choice;

typedef struct nr_rig_key {
    const char *name;
    nr_rig_key_kind kind;
    size_t offset, size; /* of the member in the section's struct (nr_rig for [test] and [site]);
                            keys with the same offset are twins */
    const char *unit;    /* as written; "" for none */
    const char *target;  /* unit of the member, NULL: the same */
    double scale;        /* beyond the units, e.g. kg a litre; 0 = 1 */
    double low, high;    /* believable, in the member's unit */
    bool above;          /* low itself is not allowed */
    const nr_rig_choice *choice;
    const char *fallback; /* what holds when the key is absent, for people */
    const char *meaning;
} nr_rig_key;

extern const nr_rig_choice nr_glazing_words[];

/* A section's keys, in the order they are explained. */
const nr_rig_key *nr_rig_keys(nr_rig_section_kind kind, size_t *count);

/* One line that says what the section is about. */
const char *nr_rig_section_meaning(nr_rig_section_kind kind);

/* NULL when the section has no such key. "u_" keys of quantities are not in the tables: with them,
 * the quantity's key is returned and *uncertainty is true. */
const nr_rig_key *nr_rig_key_find(nr_rig_section_kind kind, const char *name, bool *uncertainty);

/* Written number -> number in the member's unit, and back. No unit of a key has an offset, so it is
 * the same for a value and for its uncertainty. */
double nr_rig_key_value(const nr_rig_key *key, double written);
double nr_rig_key_written(const nr_rig_key *key, double value);

#endif
