/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit plan`: what a test would tell, before it is done.
 *
 * The planned test is simulated (simulate.h), fitted like a real one, and what the fit leaves open
 * is the answer; each improvement is another such test.
 */
#ifndef NR_PLAN_PLAN_H
#define NR_PLAN_PLAN_H

#include "analyze/plan/simulate.h"

typedef enum nr_plan_cost { NR_COST_NOTHING, NR_COST_AN_EVENING, NR_COST_MONEY } nr_plan_cost;

/* What can be done better about a test. */
typedef enum nr_plan_action {
    NR_PLAN_LONGER,
    NR_PLAN_COLDER_START,
    NR_PLAN_HOT_START, /* a second run */
    NR_PLAN_WEIGH,
    NR_PLAN_LID,
    NR_PLAN_COOL_DOWN,
    NR_PLAN_BATH,
    NR_PLAN_BUCKET,
    NR_PLAN_LOOP_SENSORS,
    NR_PLAN_BETTER_SUN,
    NR_PLAN_ACTIONS
} nr_plan_action;

/* By how much: what the sentences about them say, too. Within reach by common practice, no source.
 */
#define NR_PLAN_TIMES_LONGER 2.0
#define NR_PLAN_COLDER_K 8.0
#define NR_PLAN_HOT_START_K 25.0 /* above the air */
#define NR_PLAN_WEIGHED 0.002    /* water on a kitchen scale, relative */
#define NR_PLAN_BATH_K 0.05      /* probes held against each other in one stirred bath */
#define NR_PLAN_BUCKET_U 0.01    /* flow by bucket, scales and watch, relative */
#define NR_PLAN_PROBE_K 0.15     /* probes and a meter as bought */
#define NR_PLAN_METER_U 0.02
#define NR_PLAN_GOOD_SUN 0.015 /* a calibrated pyranometer, relative */

/* "colder-start": stable. */
const char *nr_plan_action_name(nr_plan_action action);

typedef struct nr_plan_step {
    nr_plan_action action;
    nr_plan_cost cost;
    double u_eta0, u_a1; /* standard uncertainties with it */
    double gain;         /* the larger of the two relative reductions */
    bool separates;      /* tells the container's loss from the collector's, which the plan does
                            not: its u_a1 is that of another, better quantity */
    /* What is added does not tell this better: u is that of the plan, for the record that it is
     * added to (the first run; the store alone) can still be asked by itself. */
    bool eta0_by_part, a1_by_part;
} nr_plan_step;

#define NR_PLAN_STEPS NR_PLAN_ACTIONS

typedef struct nr_plan {
    nr_fit *fit;       /* of the simulated test: u, budget, range; its values are only supposed */
    nr_plan_test test; /* completed */
    bool loss_includes_store;
    size_t steps; /* worth doing: cheapest first, largest gain first at equal cost */
    nr_plan_step step[NR_PLAN_STEPS];
    size_t useless; /* tried and not worth it */
    /* Against a second build, side by side under the same pyranometer and in the same air: standard
     * uncertainty of the difference in eta0, on its own days, and the chance to show 10 %. NAN
     * unknown. */
    double u_side_by_side, u_apart, power_side_by_side;
    /* The same with sensors of their own, under one sky, in two records: as they are, and with all
     * sensors exchanged between the builds for the second. NAN unknown. */
    double u_twice, u_swapped;
    nr_warnings warnings;
} nr_plan;

/* A test with everything open but its length: 90 minutes. */
nr_plan_test nr_plan_test_open(void);

/* rig_path: a rig file. NR_CANNOT when the rig could not answer whatever the weather. */
nr_code nr_plan_rig(const char *rig_path, const nr_plan_test *test, nr_plan **out, nr_err *err);
void nr_plan_free(nr_plan *plan);

#endif
