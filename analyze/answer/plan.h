/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `noonfit plan`: what a test would tell, before it is done.
 *
 * The planned test is simulated (plan_run.h), fitted like a real one, and what the fit leaves open
 * is the answer; each improvement is another such test.
 */
#ifndef NR_ANSWER_PLAN_H
#define NR_ANSWER_PLAN_H

#include "analyze/answer/plan_run.h"

typedef enum nr_plan_cost { NR_COST_NOTHING, NR_COST_AN_EVENING, NR_COST_MONEY } nr_plan_cost;

typedef struct nr_plan_step {
    char code[32];  /* stable: longer, colder-start, hot-start, lid, ... */
    char text[160]; /* what to do, one sentence */
    nr_plan_cost cost;
    double u_eta0, u_a1; /* standard uncertainties with it */
    double gain;         /* the larger of the two relative reductions */
    bool separates;      /* tells the container's loss from the collector's, which the plan does
                            not: its u_a1 is that of another, better quantity */
} nr_plan_step;

#define NR_PLAN_STEPS 12

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
    char sentence[800], limits[400];
    nr_warnings warnings;
} nr_plan;

/* A test with everything open but its length: 90 minutes. */
nr_plan_test nr_plan_test_open(void);

/* rig_path: a rig file. NR_CANNOT when the rig could not answer whatever the weather. */
nr_code nr_plan_rig(const char *rig_path, const nr_plan_test *test, nr_plan **out, nr_err *err);
void nr_plan_free(nr_plan *plan);

/* "free", "an evening", "money" */
const char *nr_plan_cost_name(nr_plan_cost cost);

#endif
