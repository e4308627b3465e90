/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Residuals that remember: a noise model for one channel and the whitening it implies.
 *
 * What is left of a field record after the best fit is two things at once: fast noise that is new
 * in every block (resolution, electronics) and slow wander that the model does not describe (wind,
 * mixing, drift). Treating the sum as independent makes standard errors 5 to 10 times too small;
 * treating it as one first-order process still hides the slow part under the fast one. So:
 *
 *      r[k] = s[k] + v[k],   s[k] = phi s[k-1] + e[k],   v, e white
 *
 * and the innovations of its Kalman filter are white: a linear map of the residuals, the same for
 * the columns of a Jacobian. Missing blocks are stepped over exactly.
 *
 * Gusts that reach an outlet through plate and water are smoothed twice, and change less from block
 * to block than such an s can: one memory that is short enough for them is found only as a long
 * one, which wanders where they do not. Then what drives s remembers, too: a cascade of two
 * filters,
 *
 *      s[k] = phi s[k-1] + u[k],   u[k] = phi2 u[k-1] + e[k],
 *
 * stationary, with the correlation over l blocks (Yule and Walker's equations of an autoregression
 * of second order with the roots phi and phi2, solved)
 *
 *      (phi^(l+1) (1 - phi2^2) - phi2^(l+1) (1 - phi^2)) / ((phi - phi2) (1 + phi phi2)).
 */
#ifndef NR_ESTIMATE_NOISE_H
#define NR_ESTIMATE_NOISE_H

#include <stdbool.h>
#include <stddef.h>

typedef struct nr_noise {
    double sigma; /* standard deviation of r */
    double slow;  /* share of the variance in s, 0..1 */
    double phi;   /* memory of s from block to block, 0..<1 */
    double phi2;  /* memory of what drives it, 0..phi; 0: s is of first order */
} nr_noise;

/* The filter for one channel's pattern of used blocks. */
typedef struct nr_whitener {
    size_t n;
    double phi, phi2;
    double *gain;       /* [n] Kalman gain; 0 where a block is not used */
    double *gain2;      /* [n] of u; 0 where phi2 is */
    double *weight;     /* [n] 1 / standard deviation of the innovation; 0 where not used */
    const double *more; /* [n] variance of each block besides the noise; borrowed; NULL: none */
} nr_whitener;

/* False when out of memory. */
bool nr_whitener_init(nr_whitener *whitener, size_t n);
void nr_whitener_free(nr_whitener *whitener);

/* used[n]: nonzero = block counts. */
void nr_whitener_set(nr_whitener *whitener, const nr_noise *noise, const unsigned char *used);

/* Whitens `columns` columns of rows[n * stride] in place; unused rows become zero. Values in
 * unused rows are ignored (they may be NAN). */
void nr_whiten(const nr_whitener *whitener, double *rows, size_t stride, size_t columns);

/* Maximum likelihood of (sigma, slow, phi) for residuals r[n]; values in unused blocks are not
 * looked at. floor: smallest believable sigma. Of second order where that is clearly likelier: by
 * NR_NOISE_SECOND in twice the logarithm, which noise of first order reaches by chance in one
 * record of a thousand (half a chi-squared with one degree of freedom: 0.0008). */
#define NR_NOISE_SECOND 10.0
nr_noise nr_noise_estimate(const double *r, const unsigned char *used, size_t n, double floor);

/* Correlation of s over that many blocks (any number >= 0). */
double nr_noise_slow_correlation(const nr_noise *noise, double blocks);

/* Variance of u where s has a variance of one; of both together it is that over 1 - phi phi2. */
double nr_noise_driver(const nr_noise *noise);

/* How many independent values are worth as much as the n used blocks, for the mean: n divided by
 * the variance inflation of the mean. */
double nr_noise_effective(const nr_noise *noise, size_t n);

#endif
