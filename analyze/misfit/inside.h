/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of nr_misfit_find: one subject a file. */
#ifndef NR_MISFIT_INSIDE_H
#define NR_MISFIT_INSIDE_H

#include "analyze/joint/score.h"
#include "analyze/misfit/misfit.h"

/* The best of one kind so far, to be confirmed. */
#define NR_MISFIT_BEST 10
typedef struct nr_misfit_best {
    nr_misfit_finding finding;
    double z, limit;
    double error;           /* relative error of the efficiency for a size of one */
    double *added[NR_OUTS]; /* [blocks] the signature; NULL: nothing */
} nr_misfit_best;

typedef struct nr_misfit_search {
    const nr_joint *joint;
    nr_scorer *scorer;
    const nr_misfit_scale *scale;
    nr_misfit *out;
    /* the piece that is looked at */
    size_t piece, blocks;
    nr_piece_view view;
    double rise_K;         /* mean of outlet over inlet in settled time; NAN without a loop */
    double store_rise_K;   /* of the store over the piece; NAN without */
    double *work[NR_OUTS]; /* [blocks] */
    double *base[NR_OUTS]; /* [blocks] as the model has it, */
    nr_loop_stand *stand;  /* [blocks] and where it stood before each */
    size_t bests;
    nr_misfit_best best[NR_MISFIT_BEST];
    size_t usuals;
    struct nr_misfit_usual {
        size_t piece;
        int channel;          /* -1: the gain */
        int order;            /* of the polynomial */
    } usual[NR_SCORER_USUAL]; /* as named to the scorer */
} nr_misfit_search;

/* Odds of a false alarm that one family of tries (one call of nr_misfit_limit's user) may have. All
 * families together, some ten of them, then stay below 5 %: 2 % by chance, the rest is left for
 * what real records have and no noise model. */
#define NR_MISFIT_FAMILY 0.002
/* How many standard deviations n tries of one family may reach by chance (Bonferroni). */
double nr_misfit_limit(size_t tries);
/* Residuals are whitened by a noise model of two parameters; real wander is richer. Signatures that
 * last are given this much more than chance. */
#define NR_MISFIT_WANDER 1.3

/* What an error of this relative size in the efficiency is worth: 1 where it is half of its
 * standard uncertainty. Below it nothing is doubted. */
double nr_misfit_matters(const nr_misfit_search *s, double relative);

/* Keeps the strongest of its kind, channel and run. */
void nr_misfit_add(nr_misfit_search *s, const nr_misfit_finding *finding);

/* A try of a family: keeps the one that stands out most of its kind and channel, for
 * nr_misfit_settle. finding: kind, channel and times; the rest is filled in. */
void nr_misfit_consider(nr_misfit_search *s, const nr_misfit_finding *finding, nr_score score,
                        double limit, double error, const double *const added[NR_OUTS]);
/* Whether it would be kept, by kind, channel and score alone. */
bool nr_misfit_stands_out(const nr_misfit_search *s, const nr_misfit_finding *finding,
                          nr_score score);
/* Confirms what was kept of the piece and adds what holds. */
void nr_misfit_settle(nr_misfit_search *s);

/* Time of a block in its run. */
double nr_misfit_time(const nr_misfit_search *s, double block);

/* Relative error of the efficiency from an error of 1 K in the mean reading of a channel: the
 * loop's probes act on the rise of the water, the store's on what was gathered. */
double nr_misfit_error_of_kelvin(const nr_misfit_search *s, int channel);

/* keep.c has the tools above. usual.c: names what every model gets a little wrong, and looks for
 * drifts beyond that. */
nr_code nr_misfit_allow(nr_misfit_search *s, const double *gain_shapes, nr_err *err);
/* What it needs to be simulated first, from s->base: what departures of the gain look like. NULL:
 * out of memory; the caller frees. */
double *nr_misfit_gain_shapes(const nr_misfit_search *s);
void nr_misfit_rises(nr_misfit_search *s); /* find.c: rise_K and store_rise_K of the piece */
void nr_misfit_leanings(nr_misfit_search *s);
/* What the record by itself says of a straight drift of the gain over the piece, end to end,
 * relative; u INFINITY where it says nothing. */
void nr_misfit_gain_drift(nr_misfit_search *s, double *size, double *u);
nr_code nr_misfit_inlet(nr_misfit_search *s, nr_err *err);
void nr_misfit_sky(nr_misfit_search *s);
nr_code nr_misfit_halves(nr_misfit_search *s, nr_err *err);

nr_code nr_misfit_gain(nr_misfit_search *s, nr_err *err);
nr_code nr_misfit_probes(nr_misfit_search *s, nr_err *err);
void nr_misfit_store(nr_misfit_search *s);
nr_code nr_misfit_balance(nr_misfit_search *s, nr_err *err);
nr_code nr_misfit_priors(nr_misfit_search *s, size_t build, nr_err *err);

#endif
