/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What pictures of warm water share: the temperature wanted, and the one that scalds. */
#ifndef NR_PLOTS_WARM_H
#define NR_PLOTS_WARM_H

#include "plots/picture.h"

/* 49 degC (120 degF): the usual limit at a tap, above which water scalds within minutes (burn
 * prevention tables after Moritz and Henriques 1947). */
#define NR_SCALDS_DEGC 49.0

/* "40 °C: target", a line across the current panel, whose y axis is of temperatures; its words at
 * that end ("left", "right"), or NULL. */
void nr_draw_target(nr_picture *p, double target_degC, const char *end);
/* Boiling at sea level: no water of a picture gets warmer. */
#define NR_BOILS_DEGC 100.0
void nr_draw_boils(nr_picture *p, double highest_degC, const char *end);
/* Whether the scald line lies under the target's, not on it (1 K) and nearer than within_K. */
bool nr_scald_close_under(double target_degC, double within_K);
/* The scald line, where the picture goes so high and the target's words leave room. */
void nr_draw_scald(nr_picture *p, double highest_degC, double target_degC, const char *end);

#endif
