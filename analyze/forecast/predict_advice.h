/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What would reach the target that a prediction misses, and what to beware of. */
#ifndef NR_FORECAST_PREDICT_ADVICE_H
#define NR_FORECAST_PREDICT_ADVICE_H

#include "analyze/fit/solved.h"
#include "analyze/forecast/heatup.h"
#include "analyze/forecast/predict.h"

/* Fills remedy and cautions of a prediction that has its numbers. */
void nr_predict_advise(const nr_solved *solved, const nr_heatup_case *c, nr_predict *predict);

#endif
