/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the checks share: names, marks on readings, a channel without its empty cells. */
#include "analyze/quality/marks.h"

#include <gsl/gsl_sort.h>
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

size_t nr_rank_of(double share, size_t count)
{
    return (size_t)(share * (double)(count - 1) + 0.5);
}

size_t nr_rank_middle(size_t count)
{
    return nr_rank_of(0.5, count);
}

double nr_quantile(double *values, size_t count, double share)
{
    if (count == 0)
        return NAN;
    return nr_smallest(values, count, nr_rank_of(share, count));
}

/* Of many values a sample says between which two the wanted one nearly always lies (Floyd and
 * Rivest, CACM 18, 1975): what lies there is put in front, and it is looked for among that. */
#define SAMPLE 1024
#define SAMPLE_BESIDE 48 /* three standard deviations of a sample's middle rank */

double nr_smallest(double *values, size_t count, size_t k)
{
    if (count < 16 * (size_t)SAMPLE)
        return gsl_stats_select(values, 1, count, k);
    double sample[SAMPLE];
    for (size_t i = 0; i < SAMPLE; i++)
        sample[i] = values[i * (count / SAMPLE)];
    gsl_sort(sample, 1, SAMPLE);
    size_t at = (size_t)((double)k / (double)count * SAMPLE);
    double low = at < SAMPLE_BESIDE ? -INFINITY : sample[at - SAMPLE_BESIDE];
    double high = at + SAMPLE_BESIDE >= SAMPLE ? INFINITY : sample[at + SAMPLE_BESIDE];
    size_t below = 0, between = 0;
    for (size_t i = 0; i < count; i++) {
        double v = values[i];
        below += v < low;
        if (v >= low && v <= high) {
            values[i] = values[between];
            values[between++] = v;
        }
    }
    if (k < below || k - below >= between)
        return gsl_stats_select(values, 1, count, k);
    return gsl_stats_select(values, 1, between, k - below);
}

double nr_median(double *values, size_t count)
{
    if (count == 0)
        return NAN;
    double low = nr_smallest(values, count, (count - 1) / 2), next = INFINITY;
    if (count % 2)
        return low;
    size_t up_to = 0; /* the next of them all is equal, or the least that is larger */
    for (size_t i = 0; i < count; i++) {
        double v = values[i];
        up_to += v <= low;
        next = v > low && v < next ? v : next;
    }
    return 0.5 * (low + (up_to > count / 2 ? low : next));
}

void nr_dense_fill(nr_dense *dense, const nr_quality *quality, nr_role role)
{
    const nr_quality_channel *channel = &quality->channel[role];
    dense->role = role;
    dense->count = quality->rows;
    dense->row = NULL;
    if (channel->readings == quality->rows && nr_quality_marked(quality, role) == 0)
        return;
    size_t count = 0;
    for (size_t i = 0; i < quality->rows; i++)
        if (!channel->bad[i] && !isnan(nr_at(dense->value, i)))
            dense->own_row[count++] = (uint32_t)i;
    dense->count = count;
    dense->row = dense->own_row;
}

void nr_good_begin(nr_good_rows *good, const nr_quality *quality)
{
    good->quality = quality;
    for (int role = 0; role < NR_ROLES; role++)
        if (quality->channel[role].value)
            nr_cursor_begin(&good->cursor[role], quality->channel[role].value);
}

void nr_quality_mark(nr_quality *quality, nr_role role, size_t row, nr_bad why)
{
    nr_quality_channel *channel = &quality->channel[role];
    if (channel->bad[row])
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
