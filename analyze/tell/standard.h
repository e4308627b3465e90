/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Results in the terms of the test standard, in words. */
#ifndef NR_TELL_STANDARD_H
#define NR_TELL_STANDARD_H

#include "analyze/fit/fit.h"
#include "analyze/tell/display.h"

/* How a coefficient is labelled and shown: "eta0,hem  zero-loss efficiency, hemispherical". */
const char *nr_standard_words(nr_standard_term term);
nr_shown nr_standard_kind(nr_standard_term term);

/* Over the tables: what they are and are not. */
void nr_tell_standard(char *text, size_t size, const nr_fit *fit, nr_units units);
/* On which basis eta0 is, and at which wind. */
void nr_tell_standard_basis(char *text, size_t size, const nr_fit *fit, nr_units units);
/* One requirement with its limit and what was measured: "irradiance at least 700 W/m2: 920 W/m2".
 */
void nr_tell_requirement(char *text, size_t size, const nr_fit *fit, nr_requirement_code code,
                         nr_units units);
/* The day's output, or why there is none. */
void nr_tell_day_output(char *text, size_t size, const nr_fit *fit, nr_units units);
/* What the table of powers supposes. */
void nr_tell_standard_power(char *text, size_t size, const nr_fit *fit, nr_units units);
void nr_tell_standard_drop(char *text, size_t size, const nr_fit *fit, nr_units units);
/* "met", "NOT met", "not known" */
const char *nr_met_word(nr_met met);

#endif
