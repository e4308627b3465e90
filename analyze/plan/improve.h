/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What could be done better about a planned test, as data: each a change of the rig, of the test,
 * or a second run in the same fit. */
#ifndef NR_PLAN_IMPROVE_H
#define NR_PLAN_IMPROVE_H

#include "analyze/plan/plan.h"

typedef struct nr_plan_idea {
    nr_plan_action action;
    nr_plan_cost cost;
    /* Whether it is still to be had with this rig and test. */
    bool (*applies)(const nr_rig *rig, const nr_plan_test *test);
    void (*rig)(nr_rig *rig, const void *unused); /* NULL: as it is */
    void (*test)(nr_plan_test *test);             /* NULL: as it is */
    const char *more_rig;                         /* text added to the rig file, or NULL */
    void (*second)(nr_plan_test *test); /* a second run like this in the same fit; NULL: none */
} nr_plan_idea;

extern const nr_plan_idea nr_plan_ideas[NR_PLAN_ACTIONS];

/* "other store": the identity of the sensor for a channel. */
void nr_plan_name_sensor(nr_rig_channel *channel, const char *which);

/* Gives every channel without one a sensor identity, so that two runs with this rig share their
 * sensors as they will in life. */
void nr_plan_name_sensors(nr_rig *rig);

#endif
