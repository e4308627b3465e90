/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What no test can see in a record and has a key in the rig file: unstated, an answer is the wider
 * for it, or wrong without a sign. Asked in one line each by `draft`, `sheet`, `take` and
 * `inspect`. */
#ifndef NR_RUN_UNSTATED_H
#define NR_RUN_UNSTATED_H

#include "logger/run/rig.h"

typedef enum nr_unstated {
    NR_UNSTATED_PLANE,  /* of the irradiance sensor */
    NR_UNSTATED_AIM,    /* re-aimed, or left as it stands */
    NR_UNSTATED_SHADED, /* the air's probe */
    NR_UNSTATED_BACK,   /* behind the absorber */
    NR_UNSTATED_DEW,    /* wet when it began */
    NR_UNSTATED_DRIFT,  /* of the water's thermometers */
    NR_UNSTATED_PUMP,   /* what it draws, all of it ends in the water */
    NR_UNSTATED_LID,
    NR_UNSTATED_WATER,     /* before */
    NR_UNSTATED_WATER_U,   /* by scales or by marks */
    NR_UNSTATED_WATER_END, /* after */
    NR_UNSTATEDS
} nr_unstated;

/* The question, "Is the air's thermometer out of the sun?", and how it is answered in rig.ini,
 * "shaded = yes or no in [channel air]". */
const char *nr_unstated_question(nr_unstated what);
const char *nr_unstated_answer(nr_unstated what);

/* The questions that a rig file leaves open, of what it measures: all of them where rig is NULL.
 * Returns how many. */
size_t nr_rig_unstated(const nr_rig *rig, nr_unstated out[NR_UNSTATEDS]);

#endif
