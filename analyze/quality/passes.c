/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A quantile of numbers that are not kept: each pass makes them anew, counts those beside two
 * bounds and keeps those between, or every so many-th of them, which says where the next pass's
 * bounds should be. What is found is the very number, not an estimate; two passes for a million,
 * three for very many. */
#include "analyze/quality/passes.h"

#include "analyze/quality/quality.h"

#include <math.h>
#include <stdbool.h>

#define KEPT NR_PASSES_KEPT
#define ASIDE 2.0 /* times the root of the sample: four standard deviations of its middle rank */

typedef struct look {
    double from, to;
    size_t less, at_from, between, at_to, more;
    size_t every, kept, next; /* of those between, every so many-th was kept; next, this one */
} look;

static void keep(look *l, double x, double *kept)
{
    if (l->between++ != l->next)
        return;
    if (l->kept == KEPT) { /* half as many */
        for (size_t i = 0; i < KEPT / 2; i++)
            kept[i] = kept[2 * i];
        l->kept = KEPT / 2;
        l->every *= 2; /* x is due then, too: KEPT is even */
    }
    kept[l->kept++] = x;
    l->next += l->every;
}

/* The first look, as long as there is room: all are kept where they are made. */
static size_t keep_all(const nr_passes *s, look *l, double *kept)
{
    size_t chunk = 0;
    while (chunk < s->chunks && l->kept + NR_VALUES_BLOCK <= KEPT)
        l->kept += s->fill(s->context, chunk++, kept + l->kept);
    l->between = l->next = l->kept;
    return chunk;
}

static look look_between(const nr_passes *s, double from, double to, double *kept)
{
    look l = {.from = from, .to = to, .every = 1};
    double number[NR_VALUES_BLOCK];
    bool all = isinf(from) && isinf(to);
    for (size_t chunk = all ? keep_all(s, &l, kept) : 0; chunk < s->chunks; chunk++) {
        size_t n = s->fill(s->context, chunk, number);
        for (size_t i = 0; i < n; i++) {
            double x = number[i];
            if (x > from && x < to)
                keep(&l, x, kept);
            else if (x < from)
                l.less++;
            else if (x <= from)
                l.at_from++;
            else if (x <= to)
                l.at_to++;
            else
                l.more++;
        }
    }
    return l;
}

static double ranked(double *kept, size_t count, double rank)
{
    return nr_smallest(kept, count, (size_t)fmin(fmax(rank, 0), (double)(count - 1)));
}

double nr_passes_smallest(const nr_passes *stream, nr_passes_rank *rank_in, double *kept,
                          size_t *count)
{
    double low = -INFINITY, high = INFINITY; /* it is between these, if it is none of them */
    look l = look_between(stream, low, high, kept);
    *count = l.less + l.at_from + l.between + l.at_to + l.more;
    if (*count == 0)
        return NAN;
    size_t k = rank_in(*count);
    for (;; l = look_between(stream, l.from, l.to, kept)) {
        size_t before = l.less + l.at_from;
        if (k >= l.less && k < before)
            return l.from;
        if (k >= before + l.between && k < before + l.between + l.at_to)
            return l.to;
        if (k < l.less) {
            high = l.to = l.from;
            l.from = low;
        } else if (k >= before + l.between) {
            low = l.from = l.to;
            l.to = high;
        } else if (l.every == 1) {
            return nr_smallest(kept, l.kept, k - before);
        } else {
            double rank = (double)(k - before) / (double)l.every;
            double aside = ASIDE * sqrt((double)l.kept) + 1;
            low = l.from;
            high = l.to;
            l.from = ranked(kept, l.kept, rank - aside);
            l.to = ranked(kept, l.kept, rank + aside);
        }
    }
}

double nr_passes_another(const nr_passes *stream, nr_passes_rank *rank, double *kept, size_t count)
{
    if (count == 0)
        return NAN;
    return count <= KEPT ? nr_smallest(kept, count, rank(count))
                         : nr_passes_smallest(stream, rank, kept, &count);
}

static size_t middle(size_t count)
{
    return (count - 1) / 2;
}

/* The least of them that is larger; x itself where more than `most` of them are no larger. */
static double next_after(const nr_passes *s, double x, size_t most)
{
    double number[NR_VALUES_BLOCK], next = INFINITY;
    size_t up_to = 0;
    for (size_t chunk = 0; chunk < s->chunks; chunk++) {
        size_t n = s->fill(s->context, chunk, number);
        for (size_t i = 0; i < n; i++) {
            up_to += number[i] <= x;
            next = number[i] > x && number[i] < next ? number[i] : next;
        }
    }
    return up_to > most ? x : next;
}

double nr_passes_median(const nr_passes *stream, double *kept, size_t *count)
{
    double low = nr_passes_smallest(stream, middle, kept, count);
    if (*count == 0 || *count % 2)
        return low;
    return *count <= KEPT ? nr_median(kept, *count)
                          : 0.5 * (low + next_after(stream, low, *count / 2));
}
