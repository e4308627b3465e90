/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/budget.h"

#include "analyze/result/coverage.h"

#include <math.h>
#include <stdlib.h>

static const char *const names[NR_BUDGET_OFS] = {"eta0", "a1", "a5", "store_loss", "stagnation"};
static const nr_result_fn functions[NR_BUDGET_OFS] = {
    nr_result_efficiency, nr_result_a1, nr_result_a5, nr_result_store_loss, nr_result_stagnation_K};

const char *nr_budget_of_name(nr_budget_of of)
{
    return names[of];
}

static int larger_first(const void *a, const void *b)
{
    double x = ((const nr_budget_row *)a)->contribution;
    double y = ((const nr_budget_row *)b)->contribution;
    return (x < y) - (x > y);
}

static const nr_quantity *result_of(const nr_fit *f, nr_budget_of of)
{
    switch (of) {
    case NR_BUDGET_A1:
        return &f->a1;
    case NR_BUDGET_A5:
        return &f->a5;
    case NR_BUDGET_STORE_LOSS:
        return &f->store_loss;
    case NR_BUDGET_STAGNATION:
        return &f->stagnation_K;
    default:
        return &f->eta0;
    }
}

nr_code nr_gum_budget_make(const nr_solved *s, nr_budget_of of, nr_gum_budget *out, nr_err *err)
{
    *out = (nr_gum_budget){.of = of, .result = *result_of(s->fit, of)};
    nr_curve_at at = s->at;
    at.span = nr_derive_span(s->fit);
    at.bend = s->fit->a2.known;
    if (!out->result.known)
        return nr_fail(err, NR_CANNOT, nr_solved_rig(s) ? s->series[0]->run->folder : NULL, 0,
                       "this record does not determine %s", names[of]);
    nr_code code = nr_budget_rows_of(s->joint, functions[of], &at, &out->row, &out->rows, err);
    if (code)
        return code;
    qsort(out->row, out->rows, sizeof *out->row, larger_first);
    out->degrees_of_freedom = nr_budget_rows_dof(out->row, out->rows);
    out->k95 = nr_coverage_factor(0.95, out->degrees_of_freedom);
    out->expanded = out->k95 * out->result.u;
    return NR_OK;
}

void nr_gum_budget_free(nr_gum_budget *b)
{
    free(b->row);
    b->row = NULL;
}
