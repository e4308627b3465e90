/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/like.h"

#include <math.h>
#include <string.h>

/* Priors further apart, in their standard uncertainties, are of different things: plywood and
 * steel behind two absorbers. */
#define ONE_THING 0.5

static bool alike(const nr_joint *j, nr_likeness who, const nr_piece *a, const nr_piece *b)
{
    bool make = nr_glazing_covers(a->series->run->rig.collector.glazing) ==
                nr_glazing_covers(b->series->run->rig.collector.glazing);
    bool channels = nr_joint_has_loop(j, a->series) == nr_joint_has_loop(j, b->series);
    bool hour = nr_series_same_time(a->series, b->series);
    switch (who) {
    case NR_LIKE_MAKE:
        return make;
    case NR_LIKE_KIN:
        return make && channels;
    case NR_LIKE_HOUR:
        return hour;
    default:
        return make && channels && hour;
    }
}

static bool lean(const nr_joint *j, const nr_parameter *a, const nr_parameter *b)
{
    return a->row->like > 0 && a->term == b->term && a->variant == b->variant && !a->stated &&
           !b->stated && !strcmp(a->ask, b->ask) &&
           fabs(a->prior - b->prior) <= ONE_THING * fmin(a->prior_u, b->prior_u) &&
           alike(j, a->row->likeness, &j->piece[a->piece], &j->piece[b->piece]);
}

void nr_like_group(nr_joint *j)
{
    size_t groups = 0;
    for (size_t i = 0; i < j->parameters; i++) {
        nr_parameter *first = &j->parameter[i];
        size_t count = 1;
        for (size_t k = i + 1; k < j->parameters && !first->group; k++)
            count += !j->parameter[k].group && lean(j, first, &j->parameter[k]);
        if (count == 1)
            continue;
        groups++;
        for (size_t k = j->parameters; k-- > i;) { /* the first last: the others are held to it */
            nr_parameter *p = &j->parameter[k];
            if (k > i && (p->group || !lean(j, first, p)))
                continue;
            p->group = groups;
            p->group_count = count;
        }
    }
}

static double share_of(const nr_parameter *p)
{
    return p->row->like;
}

/* What all of a group have besides their own: b of R^(-1/2), and of R^(-1). */
static double common_root(const nr_parameter *p)
{
    double s = share_of(p), n = (double)p->group_count;
    return (1 / sqrt(1 + (n - 1) * s) - 1 / sqrt(1 - s)) / n;
}

static double common_inverse(const nr_parameter *p)
{
    double s = share_of(p), n = (double)p->group_count;
    return (1 / (1 + (n - 1) * s) - 1 / (1 - s)) / n;
}

static bool together(const nr_joint *j, size_t a, size_t b)
{
    return j->parameter[a].group && j->parameter[a].group == j->parameter[b].group;
}

double nr_like_slope(const nr_joint *j, size_t row, size_t of)
{
    const nr_parameter *p = &j->parameter[row];
    if (!together(j, row, of))
        return row == of;
    return (row == of ? 1 / sqrt(1 - share_of(p)) : 0) + common_root(p);
}

double nr_like_information(const nr_joint *j, size_t one, size_t other)
{
    const nr_parameter *p = &j->parameter[one];
    if (!together(j, one, other))
        return one == other;
    return (one == other ? 1 / (1 - share_of(p)) : 0) + common_inverse(p);
}

double nr_like_row(const nr_joint *j, const double *z, size_t row)
{
    double sum = 0;
    if (!j->parameter[row].group)
        return z[row];
    for (size_t k = 0; k < j->parameters; k++)
        sum += together(j, row, k) ? nr_like_slope(j, row, k) * z[k] : 0;
    return sum;
}

double nr_like_residual(const nr_joint *j, const double *x, size_t row)
{
    const nr_parameter *p = &j->parameter[row];
    double sum = 0;
    if (!p->group)
        return (x[row] - p->prior) / p->prior_u;
    for (size_t k = 0; k < j->parameters; k++) {
        const nr_parameter *q = &j->parameter[k];
        sum += together(j, row, k) ? nr_like_slope(j, row, k) * (x[k] - q->prior) / q->prior_u : 0;
    }
    return sum;
}

double nr_like_shares(const nr_joint *j, const double *share, size_t parameter)
{
    double sum = 0;
    for (size_t k = 0; k < j->parameters; k++)
        sum += k == parameter || together(j, parameter, k) ? share[k] : 0;
    return sum;
}
