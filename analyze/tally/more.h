/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What three more readings would tell: by the inverse of the information (least squares) of a
 * container that gathers P and loses U (T - air), C dT/dt = P - U (T - air). */
#ifndef NR_TALLY_MORE_H
#define NR_TALLY_MORE_H

#include "analyze/tally/tally.h"

/* Fills what is supposed and more_u. air_u_K: of an air temperature, read each time. */
void nr_tally_more_of(nr_tally *tally, double air_u_K);

#endif
