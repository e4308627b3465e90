/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A result with its uncertainty, and the things every answer carries. */
#ifndef NR_ANSWER_QUANTITY_H
#define NR_ANSWER_QUANTITY_H

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

/* Something the reader must know before trusting the answer. */
#define NR_WARNINGS 24
typedef struct nr_warning {
    char code[32];  /* stable, lower-case-with-dashes */
    char text[900]; /* one or two sentences, figures marked (figure.h); not cleaned yet */
} nr_warning;

typedef struct nr_warnings {
    size_t count;
    nr_warning item[NR_WARNINGS];
} nr_warnings;

/* Adds one, printf style; beyond NR_WARNINGS it is dropped. A code already present is not added
 * twice with the same text. */
void nr_warn(nr_warnings *warnings, const char *code, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* A symmetric quantity: interval value -+ k u with k from the normal distribution, or Student's t
 * with the given degrees of freedom (INFINITY: normal). */
nr_quantity nr_quantity_make(double value, double u_random, double u_systematic,
                             double degrees_of_freedom, const char *unit);
nr_quantity nr_quantity_unknown(const char *unit);

#endif
