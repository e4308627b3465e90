/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A season in words. */
#ifndef NR_TELL_SEASON_H
#define NR_TELL_SEASON_H

#include "analyze/season/season.h"
#include "analyze/tell/display.h"

/* Stable, lower-case-with-dashes: "second-collector". */
const char *nr_season_change_code(nr_season_change change);
/* "a second collector of the same build" */
const char *nr_season_change_words(nr_season_change change);

/* The finding in a few words, for sentence and picture alike: "40 degC on 182 of 365 days". */
void nr_season_finding(char *text, size_t size, const nr_season *season, nr_units units);

#endif
