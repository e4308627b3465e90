/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit tally` as text for people and as JSON for programs. */
#ifndef NR_SHOW_TALLY_H
#define NR_SHOW_TALLY_H

#include "analyze/tally/tally.h"
#include "analyze/tell/display.h"

#include <stdio.h>

void nr_show_tally(FILE *to, const nr_tally *tally, nr_units units);
nr_code nr_json_tally(FILE *to, const nr_tally *tally, nr_err *err);

#endif
