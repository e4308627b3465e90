/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One build of a solved estimate, for answers that are about it alone. */
#include "analyze/joint/inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Runs and pieces of the build, renumbered; what they hold stays the whole's. */
static bool take_pieces(nr_joint *part, const nr_joint *whole, size_t build)
{
    size_t renumbered[NR_JOINT_RUNS] = {0};
    for (size_t r = 0; r < whole->runs; r++) {
        if (whole->build_of[r] != build)
            continue;
        renumbered[r] = part->runs;
        part->series[part->runs] = whole->series[r];
        part->build_of[part->runs++] = 0;
    }
    part->piece = calloc(whole->pieces, sizeof *part->piece);
    for (size_t i = 0; part->piece && i < whole->pieces; i++) {
        if (whole->piece[i].build != build)
            continue;
        nr_piece *p = &part->piece[part->pieces++];
        *p = whole->piece[i];
        p->run = renumbered[p->run];
        p->build = 0;
    }
    return part->piece != NULL;
}

/* Parameters that have a part in its pieces, in the whole's order. */
static bool take_parameters(nr_joint *part, const nr_joint *whole)
{
    int *to = malloc(whole->parameters * sizeof *to);
    part->of_whole = malloc(whole->parameters * sizeof *part->of_whole);
    part->parameter = malloc(whole->parameters * sizeof *part->parameter);
    part->x = malloc(whole->parameters * sizeof *part->x);
    bool good = to && part->of_whole && part->parameter && part->x;
    for (size_t i = 0; good && i < whole->parameters; i++) {
        to[i] = -1;
        for (size_t k = 0; k < part->pieces && to[i] < 0; k++)
            for (int t = 0; t < NR_TERMS; t++)
                if (part->piece[k].index[t] == (int)i)
                    to[i] = (int)part->parameters;
        if (to[i] < 0)
            continue;
        part->of_whole[part->parameters] = i;
        part->parameter[part->parameters] = whole->parameter[i];
        part->x[part->parameters++] = whole->x[i];
    }
    for (size_t k = 0; good && k < part->pieces; k++)
        for (int t = 0; t < NR_TERMS; t++)
            if (part->piece[k].index[t] >= 0)
                part->piece[k].index[t] = to[part->piece[k].index[t]];
    free(to);
    return good;
}

static bool take_rows(nr_joint *part, const nr_joint *whole)
{
    size_t priors = 0, m = part->parameters;
    for (size_t i = 0; i < m; i++)
        priors += part->parameter[i].has_prior;
    for (size_t k = 0; k < part->pieces; k++)
        for (int c = 0; c < NR_OUTS; c++)
            part->rows += part->piece[k].fits[c] ? part->piece[k].part->blocks : 0;
    part->residual = calloc(part->rows + priors, sizeof(double));
    part->whitened = calloc(part->rows + priors, sizeof(double));
    part->covariance = malloc(m * m * sizeof(double));
    if (!part->residual || !part->whitened || !part->covariance)
        return false;
    size_t row = 0;
    for (size_t k = 0; k < part->pieces; k++)
        for (int c = 0; c < NR_OUTS; c++) {
            nr_piece *p = &part->piece[k];
            if (!p->fits[c])
                continue;
            size_t n = p->part->blocks;
            memcpy(part->residual + row, whole->residual + p->row[c], n * sizeof(double));
            memcpy(part->whitened + row, whole->whitened + p->row[c], n * sizeof(double));
            for (size_t b = 0; b < n; b++)
                part->chi2_data += p->used[c][b] ? pow(part->whitened[row + b], 2) : 0;
            part->used_rows += p->used_count[c];
            p->row[c] = row;
            row += n;
        }
    part->rows += priors;
    for (size_t i = 0; i < m; i++)
        for (size_t k = 0; k < m; k++)
            part->covariance[i * m + k] =
                whole->covariance[part->of_whole[i] * whole->parameters + part->of_whole[k]];
    return true;
}

nr_code nr_joint_part(const nr_joint *whole, size_t build, nr_joint **out, nr_err *err)
{
    nr_joint *part = *out = calloc(1, sizeof *part);
    if (part) {
        part->whole = whole;
        part->options = whole->options;
        part->options.container[0] = whole->options.container[build];
        part->options.without_container[0] = whole->options.without_container[build];
        part->builds = 1;
        part->pivot[0] = whole->pivot[build];
        part->store_loss_separate[0] = whole->store_loss_separate[build];
        part->hidden_K[0] = whole->hidden_K[build];
    }
    if (part && take_pieces(part, whole, build) && take_parameters(part, whole) &&
        take_rows(part, whole))
        return NR_OK;
    nr_joint_free(part);
    *out = NULL;
    return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}

void nr_joint_embed(const nr_joint *part, const double *gradient, double *whole)
{
    if (!part->whole) {
        memcpy(whole, gradient, part->parameters * sizeof(double));
        return;
    }
    memset(whole, 0, part->whole->parameters * sizeof(double));
    for (size_t i = 0; i < part->parameters; i++)
        whole[part->of_whole[i]] = gradient[i];
}
