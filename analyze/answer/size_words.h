/* The sentences of a sizing. */
#ifndef NR_ANSWER_SIZE_WORDS_H
#define NR_ANSWER_SIZE_WORDS_H

#include "analyze/answer/size.h"

/* Fills sentence, ways and cautions of a sizing that has its numbers. */
void nr_size_write(nr_size *size);

#endif
