/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a driven collector's outlet departs from any model of eight segments, whatever its probes
 * are worth.
 *
 * Minutes of wind, of sky and of the water's way through the tube that nobody recorded leave a
 * share of the rise; believed to the last hundredth of a kelvin, two hundredths of ten kelvins
 * decide on a heat capacity of twice what is there. So a channel's slow noise is at least that.
 *
 * And what the model leaves out of one day it leaves out of the next as well: of two records of a
 * collector under like conditions half of the slow noise is common to both (joint.h: like errs
 * like like) and does not average out. With correlation s, n alike records tell n / (1 + (n - 1) s)
 * times what one does; each row is counted with a variance that much larger. Records at other
 * temperatures or in another sun are misread otherwise, and count in full.
 *
 * While the outlet changes quickly, after a cloud or with the flow, how the front arrives is a
 * matter of the tube and of the steps: the model is late or early by half a step and a share of the
 * transit, and the outlet off by that times its rate. One noise for all took tenths of a kelvin in
 * the fronts for the last word on what minutes say of the gain, and called an hour's drift of half
 * a kelvin slow noise that half of the loss would have explained. So each block of a driven outlet
 * has that variance of its own, and the noise is taken from where there is none.
 */
#ifndef NR_JOINT_MISREADING_H
#define NR_JOINT_MISREADING_H

#include "analyze/joint/inside.h"

/* Share of the rise, and for how long, s: what a container's healthy balance wanders by, too
 * (container.c). Common practice, no source. A hundredth for an hour was tried: a1 of a good record
 * was then known half as well. */
#define NR_WANDER_SHARE 0.004
#define NR_WANDER_TAU_S 600.0

/* Fills `seen` and `alike` of all pieces. */
void nr_misreading_set(nr_joint *joint);

/* Fills `fronts` and `even` of a driven piece. False: out of memory. */
bool nr_misreading_fronts(nr_piece *piece);

/* From the coldest to the warmest reading of the store that is fitted, K; 0 where there is none. */
double nr_piece_store_rise_K(const nr_piece *piece);

/* What a container's thermometer wanders about the mean of its water in health, K, rms over
 * NR_WANDER_TAU_S. */
double nr_misreading_store_K(const nr_piece *piece);

/* The noise of a driven piece's channel, as its residuals have it (K), with what is said above. */
nr_noise nr_misreading_noise(const nr_piece *piece, int channel, nr_noise noise);

#endif
