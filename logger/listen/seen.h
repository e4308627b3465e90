/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A field of an adapter's lines, as line after line brings it: its name and what its numbers do.
 * What `listen` hears and what `draft` guesses from are both made of these.
 */
#ifndef NR_LISTEN_SEEN_H
#define NR_LISTEN_SEEN_H

#include "logger/run/rig.h"
#include "logger/wire/fields.h"

#include <stdbool.h>

typedef struct nr_seen {
    unsigned long numbers;  /* how many it carried */
    double first, last;     /* NAN: none */
    double first_s, last_s; /* when */
    bool rising;            /* so far every number was greater than the one before */
    bool each_one;          /* and by one, from a whole one: a count */
} nr_seen;

nr_seen nr_seen_none(void);
void nr_seen_number(nr_seen *seen, double number, double at_s);

/* The field's key, cleaned; "1", "2" of one without. */
void nr_field_name(const nr_field *field, size_t index, char name[NR_NAME]);

#endif
