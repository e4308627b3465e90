/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two texts that should say the same: their numbers one by one, and the words between them. */
#ifndef NR_MANIFEST_NUMBERS_H
#define NR_MANIFEST_NUMBERS_H

#include <stdbool.h>
#include <stddef.h>

#define NR_DIFFERENCES 20
#define NR_DIFFERENCE_TEXT 80

typedef struct nr_number_difference {
    size_t line;                                           /* of the first text, from 1 */
    char words[NR_DIFFERENCE_TEXT];                        /* that line's beginning, clean */
    char was[NR_DIFFERENCE_TEXT], now[NR_DIFFERENCE_TEXT]; /* as they stand */
} nr_number_difference;

typedef struct nr_numbers {
    size_t numbers;   /* in the first text, as far as the words agree */
    size_t different; /* of them */
    bool words;       /* the words between the numbers differ: at the last difference kept */
    size_t kept;
    nr_number_difference difference[NR_DIFFERENCES]; /* the first ones */
} nr_numbers;

/* A number begins where no letter, digit or _ stands before it ("a1" is a word): digits with a
 * point, a sign, an exponent. The same number is the same spelling: programs print doubles so that
 * they come back. */
void nr_numbers_compare(const char *was, const char *now, nr_numbers *out);

#endif
