/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Streams of random numbers: a hash of seed and names seeds a generator of the GSL. */
#include "sample-runs/rig/chance.h"

#include <gsl/gsl_randist.h>
#include <stdint.h>

/* FNV-1a, 64 bits (public domain): spreads names that differ in one letter. */
static uint64_t hash_bytes(uint64_t hash, const char *text)
{
    for (const char *c = text; *c; c++) {
        hash ^= (unsigned char)*c;
        hash *= UINT64_C(1099511628211);
    }
    /* An end mark, or ("ab", "c") would be ("a", "bc"). */
    hash ^= 0xffu;
    return hash * UINT64_C(1099511628211);
}

static uint64_t hash_stream(unsigned long seed, const char *purpose, const char *name)
{
    uint64_t hash = UINT64_C(14695981039346656037) ^ (uint64_t)seed;
    hash *= UINT64_C(1099511628211);
    hash = hash_bytes(hash, purpose);
    hash = hash_bytes(hash, name);
    /* Final mix (splitmix64, public domain): neighbouring seeds must not give neighbouring states.
     */
    hash ^= hash >> 30;
    hash *= UINT64_C(0xbf58476d1ce4e5b9);
    hash ^= hash >> 27;
    hash *= UINT64_C(0x94d049bb133111eb);
    return hash ^ (hash >> 31);
}

gsl_rng *nr_chance_open(unsigned long seed, const char *purpose, const char *name)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    if (rng) {
        /* 0 asks the GSL for its default seed; and the generator takes 32 bits. */
        unsigned long state = (unsigned long)(hash_stream(seed, purpose, name) & 0xffffffffu);
        gsl_rng_set(rng, state ? state : 1);
    }
    return rng;
}

double nr_chance_normal(unsigned long seed, const char *purpose, const char *name)
{
    gsl_rng *rng = nr_chance_open(seed, purpose, name);
    if (!rng) {
        return 0.0;
    }
    double z = gsl_ran_gaussian_ziggurat(rng, 1.0);
    gsl_rng_free(rng);
    return z;
}
