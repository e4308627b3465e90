/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The uncertainty of one result as a budget in the form of the GUM (JCGM 100:2008, 4 and annex G).
 *
 * The result is a function of the stated inputs (what rig.ini states, what was assumed in its
 * place, what the model itself misreads) and of the readings. Its sensitivity to an input is how
 * far it moves, everything fitted again, when the stated value is moved: (C g)_i / u_i^2 with C the
 * covariance of the joint estimate and g the result's gradient; that is exact for the linearised
 * estimate. Contributions |sensitivity| u, squared, add up to the result's variance.
 *
 * Degrees of freedom: of the noise of a channel its independent readings less one (noise.h); of
 * what rig.ini states: infinite (G.4.3); of what was assumed: 8, for such a guess is good to a
 * quarter of itself (G.4.2, eq. G.3; the quarter is common practice, no source).
 */
#ifndef NR_FIT_BUDGET_H
#define NR_FIT_BUDGET_H

#include "analyze/fit/budget_rows.h"
#include "analyze/fit/solved.h"

/* Results that can be asked for. */
typedef enum nr_budget_of {
    NR_BUDGET_ETA0,
    NR_BUDGET_A1,
    NR_BUDGET_A5,
    NR_BUDGET_STORE_LOSS,
    NR_BUDGET_STAGNATION,
    NR_BUDGET_OFS
} nr_budget_of;

/* "eta0", "a1", "a5", "store_loss", "stagnation"; as JSON and --of have it. */
const char *nr_budget_of_name(nr_budget_of of);

typedef struct nr_gum_budget {
    nr_budget_of of;
    nr_quantity result;
    double degrees_of_freedom, k95, expanded; /* Welch-Satterthwaite; U = k u */
    size_t rows;                              /* largest contribution first */
    nr_budget_row *row;
} nr_gum_budget;

/* Of a solved estimate. NR_CANNOT where the record does not determine that result. Free with
 * nr_gum_budget_free, also after an error. */
nr_code nr_gum_budget_make(const nr_solved *solved, nr_budget_of of, nr_gum_budget *out,
                           nr_err *err);
void nr_gum_budget_free(nr_gum_budget *budget);

#endif
