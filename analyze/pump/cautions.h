/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to beware of in an answer about a pump. */
#ifndef NR_PUMP_CAUTIONS_H
#define NR_PUMP_CAUTIONS_H

#include "analyze/pump/pump.h"
#include "analyze/series/series.h"

/* Fills cautions of a pump that has its numbers. */
void nr_pump_caution(nr_series *const *series, size_t runs, nr_pump *pump);

#endif
