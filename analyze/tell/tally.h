/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Before and after, in words. */
#ifndef NR_TELL_TALLY_H
#define NR_TELL_TALLY_H

#include "analyze/tally/tally.h"
#include "analyze/tell/display.h"

/* "the water's mass" */
const char *nr_tally_input_words(nr_tally_input input);
nr_shown nr_tally_input_shown(nr_tally_input input);

/* The answer in a sentence, and in a few words, for a picture's title. */
void nr_tell_tally(char *text, size_t size, const nr_tally *tally, nr_units units);
void nr_tell_tally_finding(char *text, size_t size, const nr_tally *tally, nr_units units);
/* Which input dominates, and where its uncertainty is from. */
void nr_tell_tally_limits(char *text, size_t size, const nr_tally *tally, nr_units units);
/* What two readings cannot tell. */
void nr_tell_tally_cannot(char *text, size_t size, const nr_tally *tally, nr_units units);
/* What three more would. */
void nr_tell_tally_more(char *text, size_t size, const nr_tally *tally, nr_tally_more more,
                        nr_units units);

#endif
