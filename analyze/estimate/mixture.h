/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A quantity that is as usual in most records and far beyond the usual in some. */
#ifndef NR_ESTIMATE_MIXTURE_H
#define NR_ESTIMATE_MIXTURE_H

/* How far beyond: one-sided normal of the scale `far`, with the chance `chance` beforehand. The
 * record's own best value lies d beyond the usual one, with standard uncertainties s (record) and u
 * (of the usual). Bayes' theorem gives the chance p that this record is one of the far; p d^2 is
 * what the mixture has for a variance about the usual, beyond u^2. The tail that a far value's
 * likelihood has below the usual counts as well: where nothing is sure, p is up to twice as large.
 * 0 where d is not above 0, or s infinite. */
double nr_mixture_variance(double d, double s, double u, double far, double chance);

#endif
