/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sentences of a prediction: what happens, what would reach the target, what to beware of. */
#ifndef NR_ANSWER_PREDICT_WORDS_H
#define NR_ANSWER_PREDICT_WORDS_H

#include "analyze/answer/heatup.h"
#include "analyze/answer/predict.h"
#include "analyze/answer/solved.h"

/* Fills sentence, remedy and cautions of a prediction that has its numbers. */
void nr_predict_write(const nr_solved *solved, const nr_heatup_case *c, nr_predict *predict);

/* "71 minutes", from three hours on "3 h 25 min". */
#define NR_SPAN_TEXT 32
char *nr_span_words(double seconds, char text[NR_SPAN_TEXT]);

#endif
