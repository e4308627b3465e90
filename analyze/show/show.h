/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Answers as text for people and as JSON for programs. Computes nothing of its own. */
#ifndef NR_SHOW_SHOW_H
#define NR_SHOW_SHOW_H

#include "analyze/compare/compare.h"
#include "analyze/fit/fit.h"
#include "analyze/forecast/predict.h"
#include "analyze/forecast/size.h"
#include "analyze/inspect/inspect.h"
#include "analyze/plan/plan.h"
#include "analyze/pump/pump.h"
#include "analyze/tell/display.h"

#include <stdio.h>

/* The plain sentence first, then the table, the reasons, the warnings; within 80 columns. Text
 * from files is cleaned on the way out. */
void nr_show_fit(FILE *to, const nr_fit *fit, nr_units units);
/* In the terms of ISO 9806; the fit has its `standard`. */
void nr_show_standard(FILE *to, const nr_fit *fit, nr_units units);
/* pairs: of more than two builds, every pair behind the ranking; of two it is always there. */
void nr_show_compare(FILE *to, const nr_compare *compare, bool pairs, nr_units units);
void nr_show_predict(FILE *to, const nr_predict *predict, nr_units units);
void nr_show_size(FILE *to, const nr_size *size, nr_units units);
void nr_show_pump(FILE *to, const nr_pump *pump, nr_units units);
void nr_show_plan(FILE *to, const nr_plan *plan, nr_units units);
void nr_show_inspect(FILE *to, const nr_inspect *inspect, nr_units units);

/* The JSON documents of DEVELOPERS.md: SI, stable keys, null where not determined. */
nr_code nr_json_fit(FILE *to, const nr_fit *fit, nr_err *err);
/* Several collectors: {"collectors": [fit documents]}. */
nr_code nr_json_fits(FILE *to, nr_fit *const *fit, size_t count, nr_err *err);
nr_code nr_json_compare(FILE *to, const nr_compare *compare, nr_err *err);
nr_code nr_json_predict(FILE *to, const nr_predict *predict, nr_err *err);
nr_code nr_json_size(FILE *to, const nr_size *size, nr_err *err);
nr_code nr_json_pump(FILE *to, const nr_pump *pump, nr_err *err);
nr_code nr_json_plan(FILE *to, const nr_plan *plan, nr_err *err);
nr_code nr_json_inspect(FILE *to, const nr_inspect *inspect, nr_err *err);
/* CSV: a row for each quantity, named as in JSON; SI, empty where not determined. */
nr_code nr_csv_fits(FILE *to, nr_fit *const *fit, size_t count, nr_err *err);
nr_code nr_csv_compare(FILE *to, const nr_compare *compare, nr_err *err);
/* Several collectors of one record: {"collectors": [inspect documents]}. */
nr_code nr_json_inspects(FILE *to, nr_inspect *const *inspect, size_t count, nr_err *err);

#endif
