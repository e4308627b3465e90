/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What would it be without the board behind the absorber, that nobody stated? A slow node imitates
 * whatever delays or trickles: another aim, dew, a sensor that fades. Where the curve hangs on it,
 * it is to be stated, not found. */
#include "analyze/fit/derive.h"

#include <math.h>

bool nr_fit_back_matters(const nr_joint *joint, size_t build, const nr_fit *fit, double with[2],
                         double *without)
{
    nr_joint *bare = NULL;
    nr_err ignored = {.text = ""};
    if (!nr_joint_guesses_back(joint, build) ||
        nr_joint_without_back(joint, build, &bare, &ignored))
        return false;
    nr_curve_at at = nr_derive_conditions(joint, build, fit->reference == NR_REFERENCE_MEAN);
    at.x = (fit->x_range[0] + fit->x_range[1]) / 2;
    nr_quantity there = nr_result_quantity(joint, nr_result_efficiency, &at, 0, NR_UNIT_ONE, NULL);
    with[0] = there.value;
    with[1] = there.u;
    at.piece = nr_joint_piece_of(bare, 0);
    *without = nr_result_efficiency(bare, nr_joint_x(bare), &at);
    nr_joint_free(bare);
    return there.known && isfinite(*without);
}
