/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/budget_rows.h"

#include "analyze/estimate/linfit.h"
#include "analyze/result/coverage.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* A guess of an uncertainty is good to this part of itself. */
#define GUESS_RELIABILITY 0.25

static const char *const noise_label[NR_OUTS] = {"noise of the store's readings",
                                                 "noise of the inlet's readings",
                                                 "noise of the outlet's readings"};
static const char *const noise_channel[NR_OUTS] = {"store", "inlet", "outlet"};

/* What a parameter is to people: its stated value and uncertainty in the natural unit; returns the
 * factor from a change as fitted to a change of the thing. */
static double natural(const nr_parameter_view *p, nr_budget_row *r)
{
    double slope = 1;
    const char *unit = nr_term_natural_unit(p->term);
    r->estimate = p->prior;
    if (nr_term_transform(p->term) == NR_LOGARITHM && unit[0])
        slope = r->estimate = exp(p->prior); /* of a ratio it is the relative departure */
    else if (nr_term_transform(p->term) == NR_SQUARE_ROOT) {
        slope = 2 * p->prior;
        r->estimate = p->prior * p->prior;
    } else
        unit = p->unit;
    r->u = fabs(slope) * p->prior_u;
    snprintf(r->unit, sizeof r->unit, "%s", unit);
    return slope;
}

static void add_input(const nr_parameter_view *p, double cg, nr_budget_row *r)
{
    snprintf(r->label, sizeof r->label, "%s", p->label);
    snprintf(r->channel, sizeof r->channel, "%s", p->channel);
    snprintf(r->key, sizeof r->key, "%s", p->key);
    double slope = natural(p, r);
    r->sensitivity = cg / (p->prior_u * p->prior_u) / slope;
    r->contribution = fabs(cg) / p->prior_u;
    r->stated = p->stated && nr_term_is_input(p->term);
    r->degrees_of_freedom = r->stated ? INFINITY : nr_dof_of_reliability(GUESS_RELIABILITY);
}

static void add_noise(int c, double variance, double independent, nr_budget_row *r)
{
    snprintf(r->label, sizeof r->label, "%s", noise_label[c]);
    snprintf(r->channel, sizeof r->channel, "%s", noise_channel[c]);
    r->estimate = NAN;
    r->sensitivity = 1;
    r->u = r->contribution = sqrt(variance);
    r->type_a = r->stated = true;
    r->degrees_of_freedom = fmax(independent - 1, 1);
}

/* Rows of a result with this gradient; row has room for parameters + NR_OUTS. */
static nr_code fill(const nr_joint *j, const double *gradient, nr_budget_row *row, size_t *rows,
                    nr_err *err)
{
    size_t m = nr_joint_parameters(j);
    double variance[NR_OUTS], independent[NR_OUTS], total = 0;
    double *unit = calloc(m, sizeof *unit);
    nr_code code = unit ? nr_joint_noise_shares(j, gradient, variance, independent, err)
                        : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    *rows = 0;
    for (size_t i = 0; !code && i < m; i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        if (!p.has_prior)
            continue;
        unit[i] = 1;
        add_input(&p, nr_joint_covariance(j, unit, gradient), &row[(*rows)++]);
        unit[i] = 0;
    }
    for (int c = 0; !code && c < NR_OUTS; c++)
        if (independent[c] > 0)
            add_noise(c, variance[c], independent[c], &row[(*rows)++]);
    for (size_t i = 0; i < *rows; i++)
        total += row[i].contribution * row[i].contribution;
    for (size_t i = 0; i < *rows; i++)
        row[i].share = row[i].contribution * row[i].contribution / total;
    free(unit);
    return code;
}

double nr_budget_rows_dof(const nr_budget_row *row, size_t rows)
{
    double *c = malloc(2 * (rows + 1) * sizeof *c), dof = NAN;
    for (size_t i = 0; c && i < rows; i++) {
        c[i] = row[i].contribution;
        c[rows + i] = row[i].degrees_of_freedom;
    }
    if (c)
        dof = nr_effective_dof(rows, c, c + rows);
    free(c);
    return dof;
}

nr_code nr_budget_rows_of(const nr_joint *j, nr_result_fn fn, const void *context,
                          nr_budget_row **row, size_t *rows, nr_err *err)
{
    size_t m = nr_joint_parameters(j);
    double *gradient = malloc(m * sizeof *gradient);
    *row = calloc(m + NR_OUTS, sizeof **row);
    *rows = 0;
    nr_code code = NR_OK;
    if (!gradient || !*row)
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    else if (!nr_result_gradient(j, fn, context, gradient))
        code = nr_fail(err, NR_CANNOT, NULL, 0, "the record does not determine this result");
    else
        code = fill(j, gradient, *row, rows, err);
    free(gradient);
    return code;
}

nr_code nr_result_dof(const nr_joint *j, nr_result_fn fn, const void *context, double *dof,
                      nr_err *err)
{
    nr_budget_row *row;
    size_t rows;
    nr_code code = nr_budget_rows_of(j, fn, context, &row, &rows, err);
    *dof = code ? NAN : nr_budget_rows_dof(row, rows);
    free(row);
    return code;
}
