/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A season in words. */
#ifndef NR_TELL_SEASON_H
#define NR_TELL_SEASON_H

#include "analyze/season/season.h"
#include "analyze/tell/display.h"

/* Years that a home-built collector is reckoned to last, for the cost of its heat. Common practice,
 * no source. */
#define NR_SEASON_LIFE_YEARS 10.0

/* Stable, lower-case-with-dashes: "second-collector". */
const char *nr_season_change_code(nr_season_change change);
/* "a second collector of the same build" */
const char *nr_season_change_words(nr_season_change change);

/* Over the picture: "40 degC on 182 of 365 days (95 %: 160 to 201 by the collector)". */
void nr_tell_season_title(char *text, size_t size, const nr_season *season, nr_units units);
/* Under it: "1012 uses a year (95 %: 930 to 1090), 311 kWh of heat". */
void nr_tell_season_legend(char *text, size_t size, const nr_season *season);

/* Sentences of the text. */
void nr_tell_season(char *text, size_t size, const nr_season *season, nr_units units);
void nr_tell_season_uses(char *text, size_t size, const nr_season *season, nr_units units);
/* "" without a price. */
void nr_tell_season_price(char *text, size_t size, const nr_season *season, double price);
/* "" where the air does not fall below freezing. */
void nr_tell_season_frost(char *text, size_t size, const nr_season *season);

#endif
