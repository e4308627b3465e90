/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One estimate for any number of builds and runs.
 *
 * Every unknown is a parameter: what the collector is (one set a build), what the sensors get
 * wrong (one set a sensor identity, so that runs which share a sensor share its error), what was
 * weighed and measured (area, water), how each part of a run began. What is known beforehand about
 * a parameter is a prior: one more row of the least squares, (x - stated) / u. The rest is an
 * output-error fit of the segmented model (model/loop.h) to block means, each channel's residuals
 * whitened by its own noise model (estimate/noise.h), re-estimated between passes.
 *
 * The variance of any result then splits exactly over the rows it came from: the prior of each
 * stated input, and the noise of the record. That split is the uncertainty budget.
 */
#ifndef NR_JOINT_JOINT_H
#define NR_JOINT_JOINT_H

#include "analyze/estimate/noise.h"
#include "analyze/model/loop.h"
#include "analyze/series/series.h"
#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

/* What a parameter is to the piece of record that uses it. */
typedef enum nr_term {
    NR_TERM_OPTICAL,     /* - */
    NR_TERM_LOSS,        /* W/(m2 K) */
    NR_TERM_LOSS2,       /* W/(m2 K2) */
    NR_TERM_WIND,        /* W/(m2 K) per m/s */
    NR_TERM_LN_EXCHANGE, /* ln of W/(m2 K) */
    NR_TERM_LN_CAPACITY, /* ln of J/(m2 K) */
    NR_TERM_ROOT_COVER,  /* square root of J/(m2 K): a film is next to nothing, never negative */
    NR_TERM_LN_FLUID,    /* ln of J/K */
    NR_TERM_STORE_LOSS,  /* W/K */
    NR_TERM_MODEL_GAIN,  /* relative: what the model itself misreads of the optical gain */
    NR_TERM_MODEL_LOSS,  /* relative: and of the loss; neither enters the simulation of a record */
    NR_TERM_AREA,        /* relative departure from the stated area */
    NR_TERM_WATER,       /* relative departure from the stated mass */
    NR_TERM_DRY,         /* J/K of the empty container */
    NR_TERM_SUN_OFFSET,  /* W/m2 */
    NR_TERM_SUN_GAIN,    /* relative */
    NR_TERM_AIR_OFFSET,  /* K */
    NR_TERM_LN_FLOW,     /* ln of true over recorded flow */
    NR_TERM_FLOW_EXPONENT, /* a flow not measured goes with this power of what drives the pump */
    NR_TERM_LAYERS,      /* of the rise of the outlet over the store: the inlet is below the store */
    NR_TERM_B0,          /* incidence modifier constant */
    NR_TERM_OFFSET_STORE, NR_TERM_OFFSET_INLET, NR_TERM_OFFSET_OUTLET, /* K */
    NR_TERM_GAIN_STORE, NR_TERM_GAIN_INLET, NR_TERM_GAIN_OUTLET,       /* relative */
    NR_TERM_T_STORE, NR_TERM_T_COLLECTOR,                              /* degC at the start */
    NR_TERMS
} nr_term;

typedef struct nr_parameter {
    nr_term term;
    char label[96];          /* for people: "irradiance sensor, gain" */
    char channel[NR_NAME];   /* sun, store, ... or "" */
    char key[2 * NR_NAME];   /* what it belongs to: a sensor identity, a build, a run, a part */
    const char *unit;        /* of the value as shown; "" relative */
    double start, scale;
    bool has_prior, stated;  /* stated: prior_u was given by the user, otherwise assumed */
    double prior, prior_u;
} nr_parameter;

/* One part of one run, as the estimate sees it. */
typedef struct nr_piece {
    const nr_series *series;
    const nr_part *part;
    size_t run, build;
    nr_loop_input input;
    int index[NR_TERMS];     /* of the parameter, or -1: the fixed value holds */
    double fixed[NR_TERMS];
    const double *measured[NR_OUTS]; /* [blocks] what is fitted: part->reading, or a simulation */
    bool fits[NR_OUTS];      /* this channel enters the fit */
    unsigned char *used[NR_OUTS]; /* [blocks] */
    size_t used_count[NR_OUTS];
    size_t row[NR_OUTS];     /* first residual row of the channel */
    nr_noise noise[NR_OUTS];
    nr_whitener whitener[NR_OUTS];
    double *reading[NR_OUTS], *tangent[NR_OUTS]; /* work space of the simulation */
} nr_piece;

#define NR_JOINT_RUNS 32

typedef struct nr_joint_options {
    bool use_store, use_loop;
    bool lump_store_loss;    /* never separate the container's loss from the collector's */
    const nr_sink *progress;
} nr_joint_options;

typedef struct nr_joint {
    nr_joint_options options;
    size_t runs, builds, pieces;
    const nr_series *series[NR_JOINT_RUNS];
    size_t build_of[NR_JOINT_RUNS];
    nr_piece *piece;         /* [pieces] */
    size_t parameters, rows; /* rows = residuals and priors */
    nr_parameter *parameter; /* [parameters] */
    double pivot[NR_JOINT_RUNS]; /* by build: mean (T - Tair)/G of the sunny, pumped time, m2 K/W */
    bool store_loss_separate[NR_JOINT_RUNS]; /* by build: the store's loss is its own parameter */
    /* after nr_joint_solve */
    double hidden_K[NR_JOINT_RUNS]; /* by build: wander of the store that no pump record explains and
                                       that widened the answer; 0: none */
    double *x;               /* [parameters] */
    double *covariance;      /* [parameters^2] */
    double *residual;        /* [rows] raw K for channels (NAN not used), not whitened */
    double chi2_data;        /* of the whitened channel rows */
    size_t used_rows;
    size_t iterations, passes;
} nr_joint;

/* series[r] belongs to build build_of[r] (0..builds-1). Borrowed; must outlive the result. */
nr_code nr_joint_setup(const nr_series *const *series, const size_t *build_of, size_t runs,
                       size_t builds, const nr_joint_options *options, nr_joint **out,
                       nr_err *err);

/* Fits. NR_CANNOT with the reason when no trustworthy minimum is found. */
nr_code nr_joint_solve(nr_joint *joint, nr_err *err);

/* One more fit from joint->x, the noise models as they are: for data or priors that were replaced
 * after nr_joint_solve. */
nr_code nr_joint_refit(nr_joint *joint, nr_err *err);

void nr_joint_free(nr_joint *joint);

/* The model's parameters for a piece at x, to simulate its record with. */
nr_loop_params nr_joint_params(const nr_joint *joint, size_t piece, const double *x);

/* The same as the collector they stand for, with the model's own error applied: for everything that
 * is said about the collector or predicted from it. */
nr_loop_params nr_joint_device(const nr_joint *joint, size_t piece, const double *x);

/* Value of a term for a piece at x. */
double nr_joint_term(const nr_joint *joint, size_t piece, nr_term term, const double *x);

/* First piece of a build. */
size_t nr_joint_piece_of(const nr_joint *joint, size_t build);

/* Splits the variance of a result with the given gradient [parameters] over the rows it came
 * from. share[parameters + 1]: variance from each parameter's prior, last: from the record's
 * noise. May be NULL. Returns the variance. */
double nr_joint_variance(const nr_joint *joint, const double *gradient, double *random,
                         double *systematic, double *share);

#endif
