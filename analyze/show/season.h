/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit season` as text for people and as JSON for programs. */
#ifndef NR_SHOW_SEASON_H
#define NR_SHOW_SEASON_H

#include "analyze/season/season.h"
#include "analyze/tell/display.h"

#include <stdio.h>

/* gain[NR_CHANGES], or NULL where it was not asked for; price NAN: not stated. */
void nr_show_season(FILE *to, const nr_season *season, const nr_season_gain *gain, double price,
                    nr_units units);
nr_code nr_json_season(FILE *to, const nr_season *season, const nr_season_gain *gain, double price,
                       nr_err *err);

#endif
