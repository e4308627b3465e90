/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of tell: whole sentences, letter by letter, in both systems of units. */
#ifndef NR_TESTS_SAYS_H
#define NR_TESTS_SAYS_H

#include "tests/unit/tell/said.h"

/* SAYS("... 5.0 K.", "... 9.0 degF.", nr_tell_x, arguments before the units) */
#define SAYS(si, us, tell, ...)                                                                    \
    do {                                                                                           \
        char sentence[NR_TELL];                                                                    \
        tell(sentence, sizeof sentence, __VA_ARGS__, NR_UNITS_SI);                                 \
        ck_assert_str_eq(sentence, si);                                                            \
        tell(sentence, sizeof sentence, __VA_ARGS__, NR_UNITS_US);                                 \
        ck_assert_str_eq(sentence, us);                                                            \
    } while (0)

/* The same of what is told without units. */
#define SAYS_ONE(text, tell, ...)                                                                  \
    do {                                                                                           \
        char sentence[NR_TELL];                                                                    \
        tell(sentence, sizeof sentence, __VA_ARGS__);                                              \
        ck_assert_str_eq(sentence, text);                                                          \
    } while (0)

/* With a normal 95 % interval, 1.96 u to both sides. */
static inline nr_quantity quantity(double value, double u)
{
    return (nr_quantity){.known = true,
                         .value = value,
                         .u = u,
                         .u_random = u / 2,
                         .u_systematic = u * sqrt(0.75),
                         .lo95 = value - 1.96 * u,
                         .hi95 = value + 1.96 * u};
}

#endif
