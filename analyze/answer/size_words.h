/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sentences of a sizing. */
#ifndef NR_ANSWER_SIZE_WORDS_H
#define NR_ANSWER_SIZE_WORDS_H

#include "analyze/answer/size.h"

/* Fills sentence, ways and cautions of a sizing that has its numbers. */
void nr_size_write(nr_size *size);

/* "is reached", "is more likely reached than not", ...: a target with this chance. */
const char *nr_size_verdict(double probability);
/* The same as a word for a table: "yes", "likely", "unlikely", "no", "no sun". */
const char *nr_size_chance(const nr_size_month *month);

#endif
