/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The store as a calorimeter: what its warming says of the heat that goes into it. Pure. */
#ifndef NR_WATCH_HEAT_H
#define NR_WATCH_HEAT_H

#include "logger/run/rig.h"
#include "logger/watch/trend.h"

/* A number with its standard uncertainty; value NAN: not known. */
typedef struct nr_heat_value {
    double value, u;
} nr_heat_value;

/* Of the store, J/K: its water and its container, with the uncertainties the rig file states. NAN
 * without the mass of water. */
nr_heat_value nr_heat_capacity(const nr_rig *rig);

/* Capacity times rate of warming: what the water gains, its losses already taken off. W. */
nr_heat_value nr_heat_rate(const nr_trend *trend, nr_heat_value capacity_J_K);

/* How warming slows down, from glazing, area and capacity (trend.h); rig may be NULL. */
nr_slowing nr_heat_slowing(const nr_rig *rig);

#endif
