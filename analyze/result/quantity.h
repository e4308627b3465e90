/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A result with its uncertainty. */
#ifndef NR_RESULT_QUANTITY_H
#define NR_RESULT_QUANTITY_H

#include <stdbool.h>
#include <stddef.h>

/* What a quantity is measured in: analyze/tell words it (nr_unit_word). */
typedef enum nr_quantity_unit {
    NR_UNIT_ONE, /* a ratio */
    NR_UNIT_DEGC,
    NR_UNIT_K,
    NR_UNIT_S,
    NR_UNIT_J,
    NR_UNIT_W,
    NR_UNIT_M2,
    NR_UNIT_W_M2,
    NR_UNIT_W_K,
    NR_UNIT_W_M2K,
    NR_UNIT_W_M2K2,
    NR_UNIT_J_K,
    NR_UNIT_J_M2K,
    NR_UNIT_J_M3K,
    NR_UNIT_L_MIN,
    NR_UNIT_S_M,
    NR_UNIT_COUNT
} nr_quantity_unit;

/* SI. u is the combined standard uncertainty (JCGM 100): u^2 = u_random^2 + u_systematic^2.
 * u_random: what more data of the same kind would average away. u_systematic: what the stated
 * uncertainties of sensors, masses, area and priors impose, however long the test.
 * lo95..hi95: the 95 % interval (not always symmetric). Not known: all NAN. */
typedef struct nr_quantity {
    bool known;
    double value, u, u_random, u_systematic, lo95, hi95;
    nr_quantity_unit unit;
} nr_quantity;

/* A symmetric quantity: interval value -+ k u with k from the normal distribution, or Student's t
 * with the given degrees of freedom (INFINITY: normal). */
nr_quantity nr_quantity_make(double value, double u_random, double u_systematic,
                             double degrees_of_freedom, nr_quantity_unit unit);
nr_quantity nr_quantity_unknown(nr_quantity_unit unit);

#endif
