/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A result with its uncertainty. */
#ifndef NR_RESULT_QUANTITY_H
#define NR_RESULT_QUANTITY_H

#include <stdbool.h>
#include <stddef.h>

/* SI. u is the combined standard uncertainty (JCGM 100): u^2 = u_random^2 + u_systematic^2.
 * u_random: what more data of the same kind would average away. u_systematic: what the stated
 * uncertainties of sensors, masses, area and priors impose, however long the test.
 * lo95..hi95: the 95 % interval (not always symmetric). Not known: all NAN. */
typedef struct nr_quantity {
    bool known;
    double value, u, u_random, u_systematic, lo95, hi95;
    const char *unit; /* static text, "W/(m2 K)" */
} nr_quantity;

/* A symmetric quantity: interval value -+ k u with k from the normal distribution, or Student's t
 * with the given degrees of freedom (INFINITY: normal). */
nr_quantity nr_quantity_make(double value, double u_random, double u_systematic,
                             double degrees_of_freedom, const char *unit);
nr_quantity nr_quantity_unknown(const char *unit);

#endif
