/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Seeded chance: independent streams of random numbers named by what they are for.
 *
 * A stream is fixed by a seed and a name, so that adding a sensor does not change another sensor's
 * noise, and two rigs that name the same instrument draw the same errors. */
#ifndef NR_VIRTUAL_CHANCE_H
#define NR_VIRTUAL_CHANCE_H

#include <gsl/gsl_rng.h>

/* NULL when out of memory. Free with gsl_rng_free. */
gsl_rng *nr_chance_open(unsigned long seed, const char *purpose, const char *name);

/* One normal deviate, mean 0, standard deviation 1, of its own stream. */
double nr_chance_normal(unsigned long seed, const char *purpose, const char *name);

#endif
