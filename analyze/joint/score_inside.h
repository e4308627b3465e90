/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the score tests: what score.c and score_likelihood.c share. */
#ifndef NR_JOINT_SCORE_INSIDE_H
#define NR_JOINT_SCORE_INSIDE_H

#include "analyze/estimate/arrow.h"
#include "analyze/joint/inside.h"
#include "analyze/joint/score.h"

/* A usual departure, whitened, on the rows of its piece. */
typedef struct nr_scorer_usual {
    size_t piece;
    double sd;
    double *row; /* [NR_OUTS * blocks] */
    double *raw; /* the same as it was named */
} nr_scorer_usual;

/* For likelihoods: everything before it was whitened. */
typedef struct nr_scorer_raw {
    double *residual, *jacobian; /* [rows], [rows * parameters]; prior rows included */
    nr_whitener *whitener;       /* [pieces * NR_OUTS] */
    double *white, *column;      /* work: [rows * parameters], [rows * (NR_SCORER_USUAL + 1)] */
    double nothing;              /* logarithm of the likelihood without any trouble */
} nr_scorer_raw;

/* The piece that is looked at: its whitened rows, one fitted channel behind the other, and the
 * covariance of what has a part in them. */
typedef struct nr_scorer_current {
    size_t piece, known; /* parameters, then usual departures of the piece */
    size_t parameters, parameter[NR_TERMS];
    size_t *which;          /* [known] of all unknowns; room for all usual ones */
    double *residual;       /* [most rows] modelled - measured */
    double *jacobian;       /* [most rows * parameters] */
    double *usual;          /* [rows * (known - parameters)] usual departures, whitened */
    double *covariance;     /* [known * known]; NULL: not yet */
    double *slope, *spread; /* [known] of a signature; C slope */
} nr_scorer_current;

struct nr_scorer {
    const nr_joint *joint;
    size_t usuals;
    nr_scorer_usual usual[NR_SCORER_USUAL];
    nr_scorer_current now;
    /* Once the first is tried: factor of the information of parameters and usual departures, and
     * where they come to rest together. */
    nr_arrow *factor;
    bool factored;
    bool shares; /* usual departures, factor and rest are another's */
    double *rest;
    double *signature;  /* [NR_OUTS * most blocks] */
    nr_scorer_raw *raw; /* made by the first that confirms */
};

#endif
