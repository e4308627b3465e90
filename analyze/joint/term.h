/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The terms of the fit: what a parameter can be to a piece of record.
 *
 * One table (term.c collects its rows from terms_collector.c, terms_store.c and terms_sensors.c)
 * says of each term what it is called, its unit and the scale it is fitted on, what is known of it
 * beforehand and from where, whether it lasts beyond the record, whether a surprise in it is worth
 * a word, and how it enters the simulation. Nothing else in the tree lists the terms.
 */
#ifndef NR_JOINT_TERM_H
#define NR_JOINT_TERM_H

#include <stdbool.h>
#include <stddef.h>

/* In the order in which they become parameters. */
typedef enum nr_term {
    NR_TERM_OPTICAL,
    NR_TERM_LOSS,
    NR_TERM_LN_EXCHANGE,
    NR_TERM_LN_CAPACITY,
    NR_TERM_MODEL_GAIN,      /* what the model itself misreads of the optical gain ... */
    NR_TERM_MODEL_LOSS,      /* ... and of the loss; neither enters the simulation of a record */
    NR_TERM_MODEL_GAIN_LIKE, /* of both, what like builds tested together share */
    NR_TERM_MODEL_LOSS_LIKE,
    NR_TERM_AREA, /* relative departure from the stated area */
    NR_TERM_LOSS2,
    NR_TERM_ROOT_COVER, /* a film is next to nothing, never negative */
    NR_TERM_WIND,
    NR_TERM_WIND_GAIN, /* share of the gain lost per m/s */
    NR_TERM_SKY,       /* share in the net long-wave exchange */
    NR_TERM_LN_FLUID,
    NR_TERM_WATER, /* relative departure from the stated mass */
    NR_TERM_DRY,
    NR_TERM_STORE_LOSS,
    NR_TERM_SUN_GAIN,   /* relative */
    NR_TERM_SUN_UNSEEN, /* relative: what the sun did between its readings */
    NR_TERM_SUN_OFFSET,
    NR_TERM_AIR_OFFSET,
    NR_TERM_SKY_OFFSET,    /* of the net long-wave exchange that was measured or taken */
    NR_TERM_LN_FLOW,       /* ln of true over recorded flow */
    NR_TERM_FLOW_EXPONENT, /* a flow not measured goes with this power of what drives the pump */
    NR_TERM_B0,            /* incidence modifier constant */
    NR_TERM_LAYERS,        /* of the rise of the outlet over the store: the inlet is below it */
    NR_TERM_OFFSET_STORE,
    NR_TERM_OFFSET_INLET,
    NR_TERM_OFFSET_OUTLET,
    NR_TERM_GAIN_STORE,
    NR_TERM_GAIN_INLET,
    NR_TERM_GAIN_OUTLET, /* relative */
    NR_TERM_T_STORE,
    NR_TERM_T_COLLECTOR, /* at the start of a piece */
    NR_TERM_LN_PUMP,     /* heat that the running pump leaves in the water */
    NR_TERM_OPENING,     /* of open water, as good as still air over it */
    NR_TERM_HUMIDITY,    /* departure from what was measured or taken */
    NR_TERM_LOST,        /* of the water, gone by the end */
    NR_TERM_LN_BACK,     /* heat of the board behind the absorber, all of it */
    NR_TERM_LN_GAP,      /* conductance from the absorber to it */
    NR_TERM_LOSS_TREND,  /* of the loss, from first to last: a wind that nobody measured */
    NR_TERM_SUN_FADE,    /* of the irradiance's reading, from first to last */
    NR_TERM_SUN_ON_AIR,  /* the air's probe is warmer by this in 1000 W/m2 */
    NR_TERM_DRIFT_INLET,
    NR_TERM_DRIFT_OUTLET, /* of a probe, from first to last */
    NR_TERM_DRIFT_STORE,
    NR_TERM_DEW,      /* share of the gain missing at the start of a run that began wet */
    NR_TERM_LN_DRIES, /* the time in which that goes to 1/e */
    NR_TERM_ASIDE, /* heat that the absorber misses whatever the irradiance: diffuse light, sky */
    NR_TERMS
} nr_term;

/* How a parameter is made from the thing that people know. */
typedef enum nr_transform { NR_AS_IT_IS, NR_LOGARITHM, NR_SQUARE_ROOT } nr_transform;

nr_transform nr_term_transform(nr_term term);
/* Unit of the thing itself, whatever scale it is fitted on; "" relative or a plain number. */
const char *nr_term_natural_unit(nr_term term);

/* It says something about the collector, the container or the loop themselves, beyond the sensors
 * and the start of one record: only such terms move a result about another moment. */
bool nr_term_lasts(nr_term term);
/* A posterior far from what was stated is worth a word. Not for what the model lumps, so that it
 * comes out as it acts and not as it was added up. */
bool nr_term_surprises(nr_term term);
/* Somebody stated it or could have stated it. */
bool nr_term_is_input(nr_term term);
/* The model's own error. */
bool nr_term_is_model(nr_term term);

#endif
