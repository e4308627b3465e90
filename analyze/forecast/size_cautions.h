/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to beware of in a sizing. */
#ifndef NR_FORECAST_SIZE_CAUTIONS_H
#define NR_FORECAST_SIZE_CAUTIONS_H

#include "analyze/forecast/size.h"

/* Fills cautions of a sizing that has its numbers. */
void nr_size_caution(nr_size *size);

#endif
