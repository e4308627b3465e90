/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Kinds of record: what a heater, a day and a rig are drawn from, and what is then done to them. */
#ifndef NR_ADVERSITY_KINDS_H
#define NR_ADVERSITY_KINDS_H

#include "tests/adversity/record.h"

typedef enum ad_class {
    AD_GOOD,      /* what the rig file says holds within what it says */
    AD_CONTAINER, /* the container is not what a container should be; the loop is measured */
    AD_TROUBLE    /* what the rig file says does not hold */
} ad_class;

enum {
    AD_LOOP = 1,
    AD_STORE_ONLY = 2,
    AD_GLAZED = 4,
    AD_BARE = 8,
    AD_MAINS_PUMP = 16,
    AD_PANEL = 32,
    AD_CLOUDLESS = 64,
    AD_CLOUDY = 128
};

typedef struct ad_kind {
    const char *name, *what;
    ad_class class;
    unsigned needs;
    void (*spoil)(ad_case *c, gsl_rng *rng); /* NULL: nothing */
} ad_kind;

extern const ad_kind ad_kinds[];
extern const size_t ad_kind_count;

/* What the generator is set to for record number `seed` of a kind: FNV-1a, so that no two kinds share
 * their chances. */
unsigned long ad_seed(const ad_kind *kind, unsigned long seed);

/* A heater, a day and a rig for the kind. */
void ad_draw(const ad_kind *kind, gsl_rng *rng, ad_case *c);

#endif
