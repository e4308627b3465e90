/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Parts of nr_standard_make; analyze/fit only. */
#ifndef NR_FIT_STANDARD_PARTS_H
#define NR_FIT_STANDARD_PARTS_H

#include "analyze/fit/derive.h"
#include "analyze/fit/standard.h"

/* Of the first build of a solved estimate; free(*out). NR_CANNOT where the flow is not known. */
nr_code nr_standard_make(const nr_joint *joint, const nr_fit *fit, nr_standard **out, nr_err *err);

/* standard_record.c: spans, then what they are held against. */
void nr_standard_conditions(const nr_joint *joint, const nr_fit *fit, nr_standard *out);
nr_code nr_standard_requirements(const nr_joint *joint, const nr_fit *fit, nr_standard *out,
                                 nr_err *err);

/* standard_days.c */
nr_code nr_standard_days(const nr_joint *joint, nr_standard *out, nr_err *err);

#endif
