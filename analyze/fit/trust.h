/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The verdict on an answer itself: good, doubtful, or withheld.
 *
 * Reasons come from three sides: faults and doubts that `inspect` finds in a channel the answer
 * needs, tests of misfit (misfit/misfit.h), and what no collector can do. A reason that withholds
 * leaves no number worth reading; the others leave one that may be wrong, and say how. Codes and
 * numbers; tell/trust.c has the words. */
#ifndef NR_FIT_TRUST_H
#define NR_FIT_TRUST_H

#include "analyze/inspect/inspect.h"
#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

/* Behind each: what its numbers are, in SI; `name` where it has one. */
typedef enum nr_trust_code {
    NR_TRUST_FINDING,         /* `finding` */
    NR_TRUST_GAIN_IMPOSSIBLE, /* of the sun: gain, lo95, hi95; the most that can be */
    NR_TRUST_UNDETERMINED,    /* u of the gain, of the sun; rows where they are few, else 0 */
    NR_TRUST_GAIN_LITTLE,     /* of the sun */
    NR_TRUST_LOSS_IMPOSSIBLE, /* a1; the limit it lies beyond: W/(m2 K) */
    NR_TRUST_TOO_MUCH_HEAT,   /* of the sun */
    NR_TRUST_GAIN_STEP,       /* relative change; from s; 0 less, 1 more */
    NR_TRUST_GAIN_PULSE,      /* relative change; from s; 0 less, 1 more; to s */
    NR_TRUST_SUN_DRIFT,       /* relative */
    NR_TRUST_SUN_COURSE,      /* relative */
    NR_TRUST_HALVES,          /* relative change; from s; 0 less, 1 more */
    NR_TRUST_PROBE_JUMP,      /* K; at s. name: the channel */
    NR_TRUST_PROBE_DRIFT,     /* K over the record. name: the channel */
    NR_TRUST_STORE_MASS,      /* relative; from s; 0 less, 1 more */
    NR_TRUST_STORE_STEP,      /* K; at s */
    NR_TRUST_LOOP_STORE,      /* of the rise; from s */
    NR_TRUST_SLOW_START,      /* share of the gain missing at first */
    NR_TRUST_INLET_STEP,      /* K; at s */
    NR_TRUST_INLET_STORE,     /* K; -; 0 colder, 1 warmer */
    NR_TRUST_INLET_LEAVES,    /* K over the record, inlet against store */
    NR_TRUST_BACK,            /* efficiency with a board that nobody stated; without it */
    NR_TRUST_STATED_VALUE,    /* in its u; -; 0 below, 1 above; 1 nobody stated it. name: of it */
    NR_TRUST_STATED_VALUES,   /* moved by, over what their u allow */
    NR_TRUST_CODES
} nr_trust_code;

#define NR_TRUST_NUMBERS 4
typedef struct nr_trust_reason {
    nr_trust_code code;
    bool withholds;
    double weight; /* how far past its limit: 1 just, more is worse */
    double number[NR_TRUST_NUMBERS];
    nr_finding finding;
    char name[96];
    char whose[128]; /* the run or the build it is about; "" where there is only one */
} nr_trust_reason;

#define NR_TRUST_REASONS 12
typedef struct nr_trust {
    size_t count; /* 0: good. Most likely cause first */
    nr_trust_reason reason[NR_TRUST_REASONS];
} nr_trust;

/* "good" or "doubtful". */
const char *nr_trust_grade(const nr_trust *trust);
/* Whether the answer is to be withheld. */
bool nr_trust_withholds(const nr_trust *trust);
/* "gain-step": stable, lower case with dashes; a finding's own name. */
const char *nr_trust_name(const nr_trust_reason *reason);

struct nr_fit;
struct nr_joint;

/* What nr_trust_judge is told beforehand. */
typedef struct nr_trust_options {
    const nr_judged *judged; /* [runs of the joint estimate]; NULL: records are looked at here */
    bool withholds_only;     /* only what withholds is wanted: no tests of misfit */
} nr_trust_options;

/* Judges the derived answer of one build into fit->trust. options: NULL for none. */
nr_code nr_trust_judge(const struct nr_joint *joint, size_t build, const nr_trust_options *options,
                       struct nr_fit *fit, nr_err *err);

/* Whether the first finding that would withhold a record's answer does so whatever a search finds,
 * and it: then none need be begun. set_up: the model as the readings allow it (an nr_fit_model), of
 * which a container that contradicts the loop may still be left out; -1: not known yet. */
bool nr_trust_foresee(const nr_inspect *inspect, int set_up, nr_trust_reason *out);

/* Takes over the reasons of one of several answers; whose: its label. */
void nr_trust_inherit(nr_trust *to, const nr_trust *from, const char *whose);

#endif
