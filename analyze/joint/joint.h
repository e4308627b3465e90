/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One estimate for any number of builds and runs. Sealed: answers ask, and index nothing.
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
 *
 * For tests of misfit: nr_joint_channel gives raw and whitened residuals with their times,
 * nr_joint_parameter prior and posterior of every term.
 */
#ifndef NR_JOINT_JOINT_H
#define NR_JOINT_JOINT_H

#include "analyze/estimate/noise.h"
#include "analyze/joint/term.h"
#include "analyze/model/loop.h"
#include "analyze/series/series.h"
#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

#define NR_JOINT_RUNS 256

/* How the container's balance agrees with the heat that flow and probes say. */
typedef struct nr_container_view {
    bool known; /* false: no such balance in the record */
    bool consistent;
    double score; /* of the worst change of the store's slope (or step) at one time: a normal
                     value where the container is as stated */
    double score_limit;
    bool is_step;
    double at_s;                                 /* when, elapsed s */
    double pull, pull_limit;                     /* sum of squares of the priors' departures */
    double loss_W_K, u_loss_W_K, least_loss_W_K; /* where nobody stated it, else 0 */
    double wander_K, wander_limit_K;             /* rms of what is left of the store */
} nr_container_view;

/* Where a search may begin: the solution of another that is much the same. */
typedef struct nr_joint_begin nr_joint_begin;

typedef struct nr_joint_options {
    const nr_joint_begin *begin; /* NULL: as usual */
    bool expected; /* the records are simulated from about there: what they leave open is wanted,
                      not their very minimum */
    bool use_store, use_loop;
    bool no_back;         /* without the board behind an absorber where nobody stated one */
    bool lump_store_loss; /* never separate the container's loss from the collector's */
    bool without_container[NR_JOINT_RUNS];      /* by build: its balance is left out */
    nr_container_view container[NR_JOINT_RUNS]; /* and why */
    double gone_u[NR_JOINT_RUNS];    /* by run: of the water, beyond what is usual (far.h) */
    double open_u_m2[NR_JOINT_RUNS]; /* by build: of open water, the same */
    double water_u[NR_JOINT_RUNS];   /* by run: of the mass as it is stated, the same */
    const nr_sink *progress;
} nr_joint_options;

typedef struct nr_joint nr_joint;

/* ---- life ---- */

/* series[r] belongs to build build_of[r] (0..builds-1). Borrowed; must outlive the result. */
nr_code nr_joint_setup(const nr_series *const *series, const size_t *build_of, size_t runs,
                       size_t builds, const nr_joint_options *options, nr_joint **out, nr_err *err);

/* Fits. NR_CANNOT with the reason when no trustworthy minimum is found. */
nr_code nr_joint_solve(nr_joint *joint, nr_err *err);

/* One build of a solved estimate as an estimate of its own (build 0): its pieces, its parameters,
 * where the whole solution has them, and their covariance, so that what is asked of it costs what
 * one build costs. Variances are split over the whole's rows. Borrows from the whole, which must
 * outlive it; is not solved again. Free it as any other. */
nr_code nr_joint_part(const nr_joint *whole, size_t build, nr_joint **out, nr_err *err);

/* A gradient [parameters of the part] as one [parameters of the whole]; of no part: a copy. */
void nr_joint_embed(const nr_joint *part, const double *gradient, double *whole);

/* Whether the build has a board behind its absorber that nobody stated, found from the record. */
bool nr_joint_guesses_back(const nr_joint *joint, size_t build);
/* The records of one build of a solved estimate solved again without such a board (build 0).
 * NR_CANNOT: no minimum. Free as any other; borrows the series only. */
nr_code nr_joint_without_back(const nr_joint *joint, size_t build, nr_joint **out, nr_err *err);

void nr_joint_free(nr_joint *joint);

/* Of a solved estimate, which it outlives. NULL: out of memory. */
nr_joint_begin *nr_joint_begin_at(const nr_joint *joint);
void nr_joint_begin_free(nr_joint_begin *begin);

/* ---- what it is made of ---- */

size_t nr_joint_runs(const nr_joint *joint);
size_t nr_joint_builds(const nr_joint *joint);
const nr_series *nr_joint_series(const nr_joint *joint, size_t run);
size_t nr_joint_build_of(const nr_joint *joint, size_t run);

/* A piece is one part (series.h) of one run. */
size_t nr_joint_pieces(const nr_joint *joint);
typedef struct nr_piece_view {
    const nr_series *series;
    const nr_part *part;
    size_t run, build;
    nr_loop_input input; /* what drives its simulation; borrowed */
    bool fits[NR_OUTS];  /* this channel enters the fit */
    bool driven;         /* readings of inlet and flow drive the collector; else a closed loop */
} nr_piece_view;
nr_piece_view nr_joint_piece(const nr_joint *joint, size_t piece);
/* First piece of a build. */
size_t nr_joint_piece_of(const nr_joint *joint, size_t build);

/* ---- parameters ---- */

size_t nr_joint_parameters(const nr_joint *joint);
/* [parameters] the solution. */
const double *nr_joint_x(const nr_joint *joint);

typedef struct nr_parameter_view {
    nr_term term;
    int variant;         /* which of the term's labels: terms_*.c */
    const char *label;   /* for people: "irradiance sensor, gain"; borrowed */
    const char *channel; /* sun, store, ... or "" */
    const char *unit;    /* of the value as fitted; "" relative */
    const char *ask;     /* what the rig file could state instead, "back in [collector]"; or "" */
    const char *key;     /* what it belongs to: a sensor identity, a build, a run, a part */
    double asked_u;      /* the prior_u that would be left then */
    double scale;        /* typical size of a change */
    bool has_prior, stated; /* stated: prior_u was given by the user, otherwise assumed */
    double prior, prior_u;  /* beforehand */
    double said_u; /* prior_u as stated or assumed, without what the record was asked for (far.h) */
    double value, u;        /* afterwards */
} nr_parameter_view;
nr_parameter_view nr_joint_parameter(const nr_joint *joint, size_t parameter);

/* Which parameter a term is for a piece; -1: none, its value is fixed there. */
int nr_joint_index(const nr_joint *joint, size_t piece, nr_term term);
/* Whether a parameter has a part in the records of a build. */
bool nr_joint_concerns(const nr_joint *joint, size_t build, size_t parameter);

/* Value of a term for a piece at x. */
double nr_joint_term(const nr_joint *joint, size_t piece, nr_term term, const double *x);

/* ---- simulation ---- */

/* The model's parameters for a piece at x, to simulate its record with. */
nr_loop_params nr_joint_params(const nr_joint *joint, size_t piece, const double *x);

/* The same as the collector they stand for, with the model's own error applied: for everything that
 * is said about the collector or predicted from it. A wrong slope turns the curve about where the
 * build was run on average, its pivot. */
nr_loop_params nr_joint_device(const nr_joint *joint, size_t piece, const double *x);

/* Runs a piece's record at x; any member of *out may be NULL. Readings are of the sensors with
 * their lag, without other errors. */
void nr_joint_simulate(const nr_joint *joint, size_t piece, const double *x,
                       const nr_loop_output *out);

/* Such a reading as the channel would show it. */
double nr_joint_shown(const nr_joint *joint, size_t piece, int out, const double *x,
                      double reading);

/* ---- uncertainty ---- */

/* Splits the variance of a result with the given gradient [parameters] over the rows it came
 * from. share[parameters + 1]: variance from each parameter's prior, last: from the record's
 * noise. May be NULL. Returns the variance. */
double nr_joint_variance(const nr_joint *joint, const double *gradient, double *random,
                         double *systematic, double *share);

/* The record's part of that variance (share[parameters]) by the channel whose noise it is, and how
 * many independent readings that channel is worth; 0 where it is not fitted. */
nr_code nr_joint_noise_shares(const nr_joint *joint, const double *gradient,
                              double variance[NR_OUTS], double independent[NR_OUTS], nr_err *err);

/* Covariance of two results with the given gradients [parameters]. */
double nr_joint_covariance(const nr_joint *joint, const double *a, const double *b);

/* ---- what the record says against what was stated ---- */

/* One channel of one piece as the solution leaves it. Arrays [blocks], borrowed until the joint is
 * solved again or freed; NAN in blocks that were not used. time of block b: part->start_s +
 * (b + 0.5) * series->block_s. whitened: variance one, no memory where the noise model holds. */
typedef struct nr_channel_view {
    size_t blocks, used;
    const double *raw_K; /* measured - modelled */
    const double *whitened;
    nr_noise noise;
} nr_channel_view;
/* False when the channel is not fitted there. */
bool nr_joint_channel(const nr_joint *joint, size_t piece, int out, nr_channel_view *view);

/* What the fitted model gives for a fitted channel, [blocks] degC, of the sensor with its lag and
 * without other errors; NULL when the channel is not fitted. Borrowed as above. */
const double *nr_joint_modelled(const nr_joint *joint, size_t piece, int out);

/* Sum of squares of all whitened residuals, and how many there are. */
double nr_joint_chi2(const nr_joint *joint, size_t *rows);

/* Examines the container's balance of a solved build, whose collector is driven by its inlet. A
 * wrong container must not move the collector's curve: solve again with without_container then. */
nr_code nr_joint_container(const nr_joint *joint, size_t build, nr_container_view *view,
                           nr_err *err);
/* Of a solved estimate: what its records say of water that went, of open water and of a mass that
 * is not as stated, beyond what is known beforehand, into the options. False: nothing; true: solve again with them. */
bool nr_joint_far(const nr_joint *joint, nr_joint_options *options);
/* Whether it was left out of this estimate, and why. */
bool nr_joint_container_left_out(const nr_joint *joint, size_t build, nr_container_view *why);

/* What a container for so much water usually loses, W/K; known no better than that itself. */
double nr_joint_usual_store_loss_W_K(double water_kg);

/* The container's loss is a parameter of its own for this build. */
bool nr_joint_store_loss_separate(const nr_joint *joint, size_t build);
/* Wander of the store that no pump record explains and that widened the answer, K; 0: none. */
double nr_joint_hidden_K(const nr_joint *joint, size_t build);

#endif
