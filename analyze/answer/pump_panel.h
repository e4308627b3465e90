/* SPDX-License-Identifier: GPL-3.0-or-later */
/* At which irradiance a pump on its own photovoltaic panel starts and stalls, from the record. */
#ifndef NR_ANSWER_PUMP_PANEL_H
#define NR_ANSWER_PUMP_PANEL_H

#include "analyze/answer/pump.h"
#include "analyze/series/series.h"

/* Collects over all runs; sets panel_driven, start, stall. */
void nr_pump_panel(nr_series *const *series, size_t runs, nr_pump *pump);

#endif
