/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For tests on drawn inputs: the same numbers each time and on every computer. */
#ifndef NR_TESTS_CHANCE_H
#define NR_TESTS_CHANCE_H

#include <stdint.h>

/* One step of the generator that Knuth gives for his MMIX (from memory): the high bits are good. */
static inline uint64_t chance_bits(uint64_t *state)
{
    return *state = *state * 6364136223846793005u + 1442695040888963407u;
}

/* 0 to 1, that not. */
static inline double chance_share(uint64_t *state)
{
    return (double)(chance_bits(state) >> 11) / 9007199254740992.0;
}

/* 0 to below - 1. */
static inline unsigned chance_below(uint64_t *state, unsigned below)
{
    return (unsigned)(chance_bits(state) >> 33) % below;
}

#endif
