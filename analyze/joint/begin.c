/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A solution that others begin from. */
#include "analyze/joint/inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct nr_joint_begin {
    size_t parameters;
    nr_parameter *parameter; /* start: the solution */
    nr_noise noise[NR_OUTS]; /* sigma 0: not known */
    double block_s;
};

nr_joint_begin *nr_joint_begin_at(const nr_joint *j)
{
    nr_joint_begin *b = calloc(1, sizeof *b);
    nr_parameter *parameter = malloc((j->parameters + 1) * sizeof *parameter);
    if (!b || !parameter) {
        free(b);
        free(parameter);
        return NULL;
    }
    memcpy(parameter, j->parameter, j->parameters * sizeof *parameter);
    *b = (nr_joint_begin){.parameters = j->parameters,
                          .parameter = parameter,
                          .block_s = j->piece[0].series->block_s};
    for (size_t i = 0; i < j->parameters; i++)
        parameter[i].start = j->x[i];
    for (int c = 0; c < NR_OUTS; c++)
        if (j->piece[0].fits[c])
            b->noise[c] = j->piece[0].noise[c];
    return b;
}

void nr_joint_begin_free(nr_joint_begin *b)
{
    if (b)
        free(b->parameter);
    free(b);
}

/* The same parameter there, else the first of the same term: another build of the same kind. */
static const nr_parameter *found(const nr_joint_begin *b, const nr_parameter *p)
{
    const nr_parameter *first = NULL;
    for (size_t i = 0; i < b->parameters; i++) {
        const nr_parameter *q = &b->parameter[i];
        if (q->term != p->term)
            continue;
        if (!strcmp(q->key, p->key))
            return q;
        first = first ? first : q;
    }
    return first;
}

void nr_joint_begin_from(nr_joint *j, const nr_joint_begin *b)
{
    for (size_t i = 0; i < j->parameters; i++) {
        const nr_parameter *q = found(b, &j->parameter[i]);
        if (q && q->prior_u > 0) /* a start of the water differs; what is astray of it does not */
            j->parameter[i].start += (q->start - q->prior) / q->prior_u * j->parameter[i].prior_u;
    }
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++) {
            nr_piece *p = &j->piece[i];
            p->noise_begins[c] = b->noise[c];
            p->noise_begins[c].phi = pow(b->noise[c].phi, p->series->block_s / b->block_s);
            p->noise_begins[c].phi2 = pow(b->noise[c].phi2, p->series->block_s / b->block_s);
        }
}
