/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit list`: every record below some folders, with what it says by itself. */
#ifndef NR_LISTING_LISTING_H
#define NR_LISTING_LISTING_H

#include "analyze/fit/fit.h"
#include "logger/run/folder.h"

typedef enum nr_listing_grade {
    NR_LISTED_GOOD,
    NR_LISTED_DOUBTFUL, /* `reason` is the first */
    NR_LISTED_WITHHELD, /* the same; no numbers */
    NR_LISTED_UNFITTED, /* nothing can be derived: `trouble` says why */
    NR_LISTED_BROKEN    /* it cannot be read: `trouble` */
} nr_listing_grade;

/* One collector of one record, or a record that cannot be read. */
typedef struct nr_listed {
    char folder[NR_ERR_FILE];
    char collector[NR_NAME];        /* "" broken */
    double start_utc_s, duration_s; /* NAN broken */
    nr_listing_grade grade;
    nr_quantity eta0, a1; /* of the collector, on gross area; W/(m2 K) */
    bool loss_includes_store;
    bool cool_down;         /* a lone one: it tells the container's loss and nothing else */
    nr_quantity store_loss; /* of the container, W/K */
    nr_trust_reason reason;
    char trouble[NR_ERR_TEXT + NR_ERR_FILE + 32];
} nr_listed;

typedef struct nr_listing {
    size_t records, broken;
    size_t count;
    nr_listed *item; /* [count] in the order in which they were found: by name */
} nr_listing;

/* Looks below each folder (or at it, where it is a record itself); links are not followed, folders
 * whose names begin with a dot are passed over. A record that cannot be read or fitted is listed
 * with its reason. progress: a line for each record, may be NULL. NR_BAD: a folder is not there.
 * NR_CANNOT: there is no record. Free with nr_listing_free. */
nr_code nr_listing_make(const char *const *folders, size_t count, const nr_sink *progress,
                        nr_listing **out, nr_err *err);
void nr_listing_free(nr_listing *listing);

/* "good", "doubtful", "withheld", "no-answer", "broken": stable. */
const char *nr_listing_grade_name(nr_listing_grade grade);

#endif
