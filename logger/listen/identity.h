/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What an adapter says of itself, and what the fields of the reference adapter (logger/adapter)
 * stand for.
 *
 * An adapter that knows the request is asked with the letter i and answers with comment lines:
 * "# noonrun adapter 1", one "# probe IDENTITY" for each, "# end". An identity is the 16
 * hexadecimal digits of a 1-Wire thermometer, its own checksum behind: it tells a probe from a
 * word by itself, also where the adapter was not asked.
 */
#ifndef NR_LISTEN_IDENTITY_H
#define NR_LISTEN_IDENTITY_H

#include "logger/wire/lines.h"

#include <stdbool.h>

#define NR_IDENTITY_PROBES 16
#define NR_IDENTITY_PROBE 17 /* with the end of the text */
#define NR_IDENTITY_REQUEST "i\n"

typedef struct nr_identity {
    bool known;       /* it said who it is */
    bool complete;    /* down to the end */
    char version[16]; /* cleaned */
    size_t probes;
    char probe[NR_IDENTITY_PROBES][NR_IDENTITY_PROBE];
} nr_identity;

/* Takes a line from the wire; lines that say nothing of it are passed over. Zero to begin with. */
void nr_identity_line(nr_identity *identity, const nr_wire_line *line);

/* 16 hexadecimal digits of a thermometer's family, checksum right. */
bool nr_identity_is_probe(const char *text);

/* A field of the reference adapter other than a probe. */
typedef struct nr_identity_field {
    const char *key;
    bool left_out;     /* another field says it better */
    const char *unit;  /* of its channel */
    const char *lines; /* further lines of its section, each ended */
} nr_identity_field;

/* NULL: none of its fields. */
const nr_identity_field *nr_identity_field_find(const char *key);

/* The table row by row; NULL behind the last. */
const nr_identity_field *nr_identity_field_at(size_t index);

#endif
