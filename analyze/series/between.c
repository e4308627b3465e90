/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How far apart readings usually are, and what the sun's may have missed. */
#include "analyze/series/inside.h"
#include "analyze/series/unseen.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Readings in bunches: long intervals are the record's way when there are some of like length and
 * they take a part of the time; one alone is a gap. */
#define LIKE 3.5
#define SOME 3
#define PART_OF_TIME 0.2
/* Less than this is not worth a term. */
#define LEAST_U 2e-3

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Of pauses that differ; reorders them. */
static double usual_of(double *pause, size_t n, double usual)
{
    qsort(pause, n, sizeof *pause, by_value);
    double all = 0, like = 0;
    size_t from = 0;
    for (size_t r = 0; r < n; r++) {
        all += pause[r];
        like += pause[r];
        while (pause[from] < pause[r] / LIKE)
            like -= pause[from++];
        if (r - from + 1 >= SOME && like >= PART_OF_TIME * all)
            usual = fmax(usual, pause[r]);
    }
    return usual;
}

double nr_series_usual_s(const nr_run *run, const nr_quality *q)
{
    const double *t = run->readings->elapsed_s;
    size_t n = q->rows > 1 ? q->rows - 1 : 0;
    double usual = q->interval_s, least = INFINITY, most = -INFINITY;
    for (size_t r = 0; r < n; r++) {
        least = t[r + 1] - t[r] < least ? t[r + 1] - t[r] : least;
        most = t[r + 1] - t[r] > most ? t[r + 1] - t[r] : most;
    }
    if (n >= SOME && least >= most / LIKE) /* all are of like length */
        return fmax(usual, most);
    double *pause = n ? malloc(n * sizeof(double)) : NULL;
    if (!pause)
        return usual;
    for (size_t r = 0; r < n; r++)
        pause[r] = t[r + 1] - t[r];
    usual = usual_of(pause, n, usual);
    free(pause);
    return usual;
}

/* ---- what the sun may have done ---- */

/* Good readings of the sun in one part, and where they are in the record. */
typedef struct seen {
    size_t n, first, end; /* rows first .. end - 1 */
    const double *t_s, *sun;
    double *own; /* NULL: none is missing, and they are the record's own */
} seen;

static bool is_seen(const nr_quality *q, size_t r)
{
    return !isnan(nr_quality_value(q, NR_ROLE_SUN, r));
}

/* False: out of memory. */
static bool seen_make(const nr_series *s, double from_s, double to_s, seen *to)
{
    const nr_quality *q = s->quality;
    const double *t = s->run->readings->elapsed_s;
    *to = (seen){.n = 0};
    while (to->first < q->rows && t[to->first] < from_s)
        to->first++;
    for (to->end = to->first; to->end < q->rows && t[to->end] <= to_s; to->end++)
        to->n += is_seen(q, to->end);
    to->t_s = t + to->first;
    to->sun = q->channel[NR_ROLE_SUN].value ? q->channel[NR_ROLE_SUN].value + to->first : NULL;
    if (to->n == to->end - to->first)
        return true;
    double *own = to->own = malloc((2 * to->n + 1) * sizeof *own);
    size_t i = 0;
    for (size_t r = to->first; own && r < to->end; r++) {
        if (!is_seen(q, r))
            continue;
        own[i] = t[r];
        own[to->n + i++] = q->channel[NR_ROLE_SUN].value[r];
    }
    to->t_s = own;
    to->sun = own ? own + to->n : NULL;
    return own != NULL;
}

/* Sums over intervals between readings: length, energy, their mean difference to the air; and of
 * the variance that nobody saw, weighted. */
typedef struct between {
    double length, energy, over, over2;
    double unseen, unseen_over, unseen_over2;
} between;

/* Distances by factors of two: what is looked up for one holds for all that are like it. */
#define CLASSES 24

static void add_interval(between *sum, double length, double sun, double over, double unseen)
{
    sum->length += length;
    sum->energy += length * fmax(sun, 0);
    sum->over += length * over;
    sum->over2 += length * over * over;
    sum->unseen += unseen;
    sum->unseen_over += unseen * over;
    sum->unseen_over2 += unseen * over * over;
}

/* How far the water was above the air; as before where one of them is missing. */
static double over_air(const nr_quality *q, size_t row, double before)
{
    nr_role water = q->channel[NR_ROLE_STORE].good ? NR_ROLE_STORE : NR_ROLE_INLET;
    double d = nr_quality_value(q, water, row) - nr_quality_value(q, NR_ROLE_AIR, row);
    return isnan(d) ? before : d;
}

/* over: how far the water was above the air in the row before. */
static void add_up(const nr_quality *q, const seen *s, bool at_most, double over, between *sum)
{
    nr_unseen known[CLASSES];
    bool asked[CLASSES] = {false};
    double like[2] = {0, 0}; /* of this class for sure, and most are like the one before */
    double over_before = 0;
    int c = 0;
    for (size_t r = s->first, i = 0; r < s->end; r++) {
        over = over_air(q, r, over);
        if (!is_seen(q, r))
            continue;
        double middle = (over_before + over) / 2;
        over_before = over;
        if (i++ == 0)
            continue;
        double length = s->t_s[i - 1] - s->t_s[i - 2];
        if (!(length > like[0] && length < like[1])) {
            c = (int)fmin(fmax(round(log2(fmax(length, 1e-3))) + 4, 0), CLASSES - 1);
            like[0] = c ? 0.71 * pow(2, c - 4) : 0;
            like[1] = 1.41 * pow(2, c - 4);
        }
        if (!asked[c])
            known[c] = nr_unseen_of(s->t_s, s->sun, s->n, pow(2, c - 4));
        asked[c] = true;
        add_interval(sum, length, (s->sun[i - 2] + s->sun[i - 1]) / 2, middle,
                     at_most ? nr_unseen_integral_most(&known[c], length)
                             : nr_unseen_integral(&known[c], length));
    }
}

/* False: out of memory. */
static bool add_up_parts(const nr_series *s, bool at_most, between *sum)
{
    *sum = (between){0};
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *p = &s->part[i];
        seen look;
        double over = 0;
        if (!seen_make(s, p->start_s, p->start_s + s->step_s * (double)p->steps, &look))
            return false;
        for (size_t r = 0; r < look.first; r++)
            over = over_air(s->quality, r, over);
        add_up(s->quality, &look, at_most, over, sum);
        free(look.own);
    }
    return true;
}

/* The gain that one total and the slope that a line through the intervals would have. */
static void judge(nr_series *s, const between *b)
{
    double mean = b->over / b->length;
    double spread = b->over2 - b->length * mean * mean; /* of length times difference squared */
    double about = b->unseen_over2 - 2 * mean * b->unseen_over + mean * mean * b->unseen;
    double gain = sqrt(b->unseen) / b->energy;
    if (!(gain > LEAST_U))
        return;
    s->unseen_gain = gain;
    s->unseen_slope_W_m2K = spread > 0 ? sqrt(fmax(about, 0)) / spread : INFINITY;
}

bool nr_series_unseen(nr_series *s)
{
    /* A constant that is stated has its own u_value. */
    const nr_rig_channel *sun = nr_rig_channel_find(&s->run->rig, "sun");
    bool stated = sun && strcmp(sun->law->name, "stated") == 0;
    if (s->sun_modelled || stated || s->run->rig.rows == NR_ROWS_MEAN)
        return true;
    if (nr_series_is_dark(s)) { /* there was none to be missed, and no slope comes of it */
        s->unseen_slope_W_m2K = INFINITY;
        return true;
    }
    /* Readings by the second have missed nothing: a bound that is quickly had says so. */
    between sum;
    if (!add_up_parts(s, true, &sum))
        return false;
    if (!(sum.length > 0 && sum.energy > 0 && sqrt(sum.unseen) / sum.energy > 0.99 * LEAST_U))
        return true;
    bool good = add_up_parts(s, false, &sum);
    if (good)
        judge(s, &sum);
    return good;
}
