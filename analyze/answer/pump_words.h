/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sentences about a pump. */
#ifndef NR_ANSWER_PUMP_WORDS_H
#define NR_ANSWER_PUMP_WORDS_H

#include "analyze/answer/pump.h"
#include "analyze/series/series.h"

/* Fills sentence, faster, panel and cautions of a pump that has its numbers. */
void nr_pump_write(nr_series *const *series, size_t runs, nr_pump *pump);

#endif
