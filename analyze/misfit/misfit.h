/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of misfit: does the record look as if something happened that the model does not know?
 *
 * Every test asks two things of what it finds. *Is it there?* against the record's own noise, as
 * the fit's noise model has it, with the number of things tried allowed for. *Would it matter?*
 * against what the answer promises: a trouble that would move the efficiency by much less than its
 * own interval is no reason to doubt it. Both limits are ratios to what is stated or found in the
 * record itself, never temperatures or shares that suit one heater.
 *
 * Codes and numbers only; the words are the answer's. */
#ifndef NR_MISFIT_MISFIT_H
#define NR_MISFIT_MISFIT_H

#include "analyze/joint/joint.h"
#include "logger/base/err.h"

typedef enum nr_misfit_kind {
    NR_MISFIT_GAIN_STEP,   /* size: relative change of the optical gain from at_s on */
    NR_MISFIT_GAIN_PULSE,  /* ... from at_s to until_s */
    NR_MISFIT_PROBE_JUMP,  /* size: K, of channel, from at_s on */
    NR_MISFIT_PROBE_DRIFT, /* size: K over the record, of channel */
    NR_MISFIT_SUN_DRIFT,   /* size: relative change of the irradiance sensor over the record */
    NR_MISFIT_STORE_MASS,  /* size: relative change of the store's heat capacity from at_s on */
    NR_MISFIT_STORE_STEP,  /* size: K, the store itself, at at_s */
    NR_MISFIT_LOOP_STORE,  /* size: largest departure of loop heat from store heat, of the rise */
    NR_MISFIT_PRIOR,       /* size: departure of one stated input, in its u; parameter says which */
    NR_MISFIT_PRIORS,      /* size: chi-squared of all together over its expectation */
    NR_MISFIT_SUN_COURSE,  /* size: relative change of the irradiance against a cloudless sky's */
    NR_MISFIT_HALVES,      /* size: relative change of the efficiency, second half over first */
    NR_MISFIT_INLET_STEP,  /* size: K, the inlet against the store, at at_s */
    NR_MISFIT_INLET_STORE, /* size: K, level of inlet minus store */
    NR_MISFIT_INLET_LEAVES, /* size: K, change of inlet minus store over the record */
    NR_MISFIT_SLOW_START,   /* size: share of the gain missing at first, as dew dries */
    NR_MISFIT_KINDS
} nr_misfit_kind;

typedef struct nr_misfit_finding {
    nr_misfit_kind kind;
    double strength;      /* past its limit by this factor: 1 just */
    size_t run;           /* of the joint */
    double at_s, until_s; /* elapsed_s of the run where it begins and ends; NAN: no moment */
    int channel;          /* NR_OUT_...; -1: none */
    size_t parameter;     /* of the joint, for NR_MISFIT_PRIOR */
    double size, u;
} nr_misfit_finding;

/* At most one finding a kind, channel and run; the strongest. */
#define NR_MISFIT_FINDINGS 24
typedef struct nr_misfit {
    size_t count; /* strongest first */
    nr_misfit_finding finding[NR_MISFIT_FINDINGS];
} nr_misfit;

/* What the answer promises, to tell what matters. */
#define NR_MISFIT_POINTS 3
typedef struct nr_misfit_scale {
    /* The answer at a few places, to tell what a trouble did to it: gradient [parameters] and
     * standard uncertainty of the efficiency there. NULL: not told. */
    const double *gradient[NR_MISFIT_POINTS];
    double point_u[NR_MISFIT_POINTS];
    double efficiency_u; /* relative standard uncertainty of the efficiency in the middle */
} nr_misfit_scale;

/* Looks at the runs of one build of a solved joint. */
nr_code nr_misfit_find(const nr_joint *joint, size_t build, const nr_misfit_scale *scale,
                       nr_misfit *out, nr_err *err);

#endif
