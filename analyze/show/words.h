/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sentences about an answer, for the terminal and for the page alike.
 *
 * Each writes one or two plain sentences in the units wanted, or an empty text when there is
 * nothing to say; always terminates, cuts what does not fit. ASCII but for names from files.
 */
#ifndef NR_SHOW_WORDS_H
#define NR_SHOW_WORDS_H

#include "analyze/answer/compare.h"
#include "analyze/answer/fit.h"
#include "analyze/show/display.h"

void nr_words_result(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_words_basis(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_words_limits(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_words_range(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_words_incidence(char *text, size_t size, const nr_fit *fit);
void nr_words_energy(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_words_second_opinion(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_words_run(char *text, size_t size, const nr_fit_run *run);

/* What the record says about one stated input: "0.00 +- 0.15 -> 0.040 +- 0.080 K"; empty when the
 * record neither moved nor sharpened it. *check: moved so far that it should be checked. */
void nr_words_learned(char *text, size_t size, const nr_learned *learned, nr_units units,
                      bool *check);

void nr_words_day(char *text, size_t size, const nr_reference_day *day, nr_units units);
void nr_words_pair(char *text, size_t size, const nr_compare *c, const nr_difference *d,
                   nr_units units);
void nr_words_all_pairs(char *text, size_t size, const nr_compare *c);

#endif
