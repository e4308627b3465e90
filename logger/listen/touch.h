/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which probe warms in a hand.
 *
 * Numbers come by the name of their field; the one that rises well above the others is the one
 * that is held. Pure: no port, no clock.
 */
#ifndef NR_LISTEN_TOUCH_H
#define NR_LISTEN_TOUCH_H

#include "logger/run/rig.h"

#include <stdbool.h>

#define NR_TOUCH_FIELDS 48
#define NR_TOUCH_RISE_K 1.0 /* a hand gives ten kelvins in a minute; noise a sixteenth or two */

typedef struct nr_touch_field {
    char name[NR_NAME];
    bool taken;       /* is another's already: not looked at */
    double low, last; /* lowest since nr_touch_begin, and newest */
} nr_touch_field;

/* Zero to begin with. */
typedef struct nr_touch {
    size_t fields;
    nr_touch_field field[NR_TOUCH_FIELDS];
} nr_touch;

/* From here on a rise counts: from what each field said last. */
void nr_touch_begin(nr_touch *touch);

/* A reading in K or degC; NAN is passed over. */
void nr_touch_take(nr_touch *touch, const char *name, double degC);

/* The field that has risen by at least NR_TOUCH_RISE_K since its lowest, twice as much as any
 * other; NULL: none yet. *rise_K is set with it. */
nr_touch_field *nr_touch_found(nr_touch *touch, double *rise_K);

#endif
