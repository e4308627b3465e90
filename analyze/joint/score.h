/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Score tests: would the record like this better? What a trouble would have added to the readings
 * is held against what the solved fit left over, everything that was fitted free to give way.
 *
 * With whitened residuals r, Jacobian J (prior rows included), covariance C = (J'J)^-1 and the
 * whitened signature s of one unit of the trouble, its best size is
 *
 *      s'r / (s's - (J's)' C (J's)),      standard uncertainty 1/sqrt(of the same)
 *
 * (C. R. Rao, Proc. Camb. Phil. Soc. 44 (1948) 50-57): no refit, whatever is tried. */
#ifndef NR_JOINT_SCORE_H
#define NR_JOINT_SCORE_H

#include "analyze/joint/joint.h"

/* Every model is a little wrong, and smoothly so: a test that takes each smooth departure for an
 * event doubts good records. So directions can be named that the record may lean to anyway, with
 * the usual size of that; they are further parameters with priors, for the tests only. */
typedef struct nr_scorer nr_scorer;

/* size in units of the signature; u its standard uncertainty; z = size/u, 0 where the record cannot
 * tell (u then INFINITY). */
typedef struct nr_score {
    double size, u, z;
} nr_score;

/* For a solved joint, which must outlive it. Free with nr_scorer_free. */
nr_code nr_scorer_open(const nr_joint *joint, nr_scorer **out, nr_err *err);
void nr_scorer_free(nr_scorer *scorer);

/* Another to try with, at the same time: what was allowed for before it is shared, nothing more can
 * be. NULL: out of memory. Freed before the one that it is of. */
nr_scorer *nr_scorer_share(nr_scorer *scorer);

/* A departure that is usual: added as below, its size 0 with this standard deviation. At most
 * NR_SCORER_USUAL; all of them before the first try. */
#define NR_SCORER_USUAL 2560
nr_code nr_scorer_allow(nr_scorer *scorer, size_t piece, const double *const added[NR_OUTS],
                        double sd, nr_err *err);
/* How far the record leans to the i-th of them (in the order they were named), with its standard
 * uncertainty beforehand taken out: size/sqrt(sd^2 - u^2) as z. */
nr_score nr_scorer_leaning(nr_scorer *scorer, size_t i);

/* Where a parameter comes to rest once usual departures may take their share, and its covariance
 * with another then (with itself: its variance). False: nothing can be said. */
bool nr_scorer_rest(nr_scorer *scorer, size_t parameter, size_t other, double *value,
                    double *covariance);

/* added[c]: [blocks of the piece] K that one unit of the trouble adds to the reading of channel c;
 * NULL: nothing. Channels that are not fitted do not count. */
nr_score nr_scorer_try(nr_scorer *scorer, size_t piece, const double *const added[NR_OUTS]);

/* How far a result with this gradient [parameters] is moved, in its own unit, by a trouble that the
 * fit does not know: added[c] [blocks], K, to the readings of a channel of the piece, NULL where
 * none. Linear, at the solution; 0 where nothing can be said. */
double nr_scorer_moves(nr_scorer *scorer, size_t piece, const double *const added[NR_OUTS],
                       const double *gradient);

/* The same for sums of signatures: what each gives is worked out once, for any number of sums. */
typedef struct nr_score_parts nr_score_parts;
/* part [count * NR_OUTS]: of the k-th signature, channel c, at part[k * NR_OUTS + c], as added
 * above. NULL: out of memory, or nothing can be said. */
nr_score_parts *nr_scorer_parts(nr_scorer *scorer, size_t piece, const double *const *part,
                                size_t count);
void nr_score_parts_free(nr_score_parts *parts);
/* The sum of parts from..to-1. */
nr_score nr_score_of_parts(const nr_score_parts *parts, size_t from, size_t to);
/* Each with a size of its own, all at once: size [count] their best ones with their covariance
 * [count * count]. False: parts that do the same, or what parameters can do as well. */
bool nr_score_of_all(const nr_score_parts *parts, double *size, double *covariance);

/* The same by the ratio of likelihoods, each with a noise model of its own: a trouble that was
 * taken for wander has made the noise large that a score is measured by. z is the root of twice the
 * logarithm of the ratio; the plain score where that is larger. Some hundred times as dear as a
 * try. */
nr_score nr_scorer_confirm(nr_scorer *scorer, size_t piece, const double *const added[NR_OUTS]);

/* What the model predicts for a piece, at the solution, were it driven by this instead (start from
 * the piece's own, nr_joint_piece): block means into reading[c] ([blocks]; NULL: not wanted), and
 * into stand [blocks] (or NULL) where it stood before each. */
void nr_scorer_predict(const nr_scorer *scorer, size_t piece, const nr_loop_input *input,
                       double *const reading[NR_OUTS], nr_loop_stand *stand);
/* The same for what drives it otherwise from a block on only: before that block nothing is written;
 * stand: of the one that it differs from. */
void nr_scorer_predict_from(const nr_scorer *scorer, size_t piece, const nr_loop_input *input,
                            double *const reading[NR_OUTS], size_t from,
                            const nr_loop_stand *stand);

#endif
