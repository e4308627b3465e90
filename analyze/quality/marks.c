/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the checks share: names, marks on readings, a channel without its empty cells. */
#include "analyze/quality/marks.h"

#include <gsl/gsl_statistics_double.h>
#include <math.h>

static const char *const role_names[NR_ROLES] = {"store", "inlet", "outlet",   "air",
                                                 "box",   "sun",   "flow",     "wind",
                                                 "pump",  "sky",   "humidity", "diffuse"};

const char *nr_role_name(nr_role role)
{
    return role_names[role];
}

bool nr_role_is_temperature(nr_role role)
{
    return role <= NR_ROLE_BOX;
}

double nr_quantile(double *values, size_t count, double share)
{
    if (count == 0)
        return NAN;
    return gsl_stats_select(values, 1, count, (size_t)(share * (double)(count - 1) + 0.5));
}

void nr_dense_fill(nr_dense *dense, const nr_quality *quality, const double *elapsed_s,
                   nr_role role)
{
    const nr_quality_channel *channel = &quality->channel[role];
    size_t count = 0;
    for (size_t i = 0; channel->value && i < quality->rows; i++) {
        if (isnan(channel->value[i]) || channel->bad[i])
            continue;
        dense->t_s[count] = elapsed_s[i];
        dense->value[count] = channel->value[i];
        dense->row[count++] = i;
    }
    dense->role = role;
    dense->count = count;
}

void nr_quality_mark(nr_quality *quality, nr_role role, size_t row, nr_bad why)
{
    nr_quality_channel *channel = &quality->channel[role];
    if (channel->bad[row] || isnan(channel->value[row]))
        return;
    channel->bad[row] = (unsigned char)why;
    channel->count[why]++;
}

void nr_quality_add_span(nr_quality_channel *channel, size_t from, size_t to, nr_bad why)
{
    size_t at = channel->spans;
    if (at == NR_QUALITY_SPANS) { /* full: the shortest makes room, if it is shorter */
        at = 0;
        for (size_t i = 1; i < NR_QUALITY_SPANS; i++) {
            const nr_quality_span *s = channel->span;
            if (s[i].to - s[i].from < s[at].to - s[at].from)
                at = i;
        }
        if (channel->span[at].to - channel->span[at].from >= to - from)
            return;
    } else {
        channel->spans++;
    }
    channel->span[at] = (nr_quality_span){from, to, why};
}

size_t nr_quality_marked(const nr_quality *quality, nr_role role)
{
    size_t sum = 0;
    for (int why = NR_GOOD + 1; why < NR_BADS; why++)
        sum += quality->channel[role].count[why];
    return sum;
}
