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

double nr_series_usual_s(const nr_run *run, const nr_quality *q)
{
    size_t n = q->rows > 1 ? q->rows - 1 : 0;
    double *pause = malloc((n ? n : 1) * sizeof(double)), usual = q->interval_s;
    if (!pause || !n) {
        free(pause);
        return usual;
    }
    for (size_t r = 0; r < n; r++)
        pause[r] = run->readings->elapsed_s[r + 1] - run->readings->elapsed_s[r];
    double least = pause[0], most = pause[0];
    for (size_t r = 0; r < n; r++) {
        least = pause[r] < least ? pause[r] : least;
        most = pause[r] > most ? pause[r] : most;
    }
    if (n >= SOME && least >= most / LIKE) { /* all are of like length */
        free(pause);
        return fmax(usual, most);
    }
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
    free(pause);
    return usual;
}

/* ---- what the sun may have done ---- */

/* Good readings of the sun in one part, with how far the water was above the air. */
typedef struct seen {
    size_t n;
    double *t_s, *sun, *over_air;
} seen;

static void seen_free(seen *s)
{
    free(s->t_s);
    free(s->sun);
    free(s->over_air);
}

static bool seen_make(seen *s, size_t rows)
{
    *s = (seen){.t_s = malloc(rows * sizeof(double)),
                .sun = malloc(rows * sizeof(double)),
                .over_air = malloc(rows * sizeof(double))};
    if (s->t_s && s->sun && s->over_air)
        return true;
    seen_free(s);
    return false;
}

static void look_at(const nr_series *s, double from_s, double to_s, seen *to)
{
    const nr_quality *q = s->quality;
    nr_role water = q->channel[NR_ROLE_STORE].good ? NR_ROLE_STORE : NR_ROLE_INLET;
    double over = 0;
    to->n = 0;
    for (size_t r = 0; r < q->rows; r++) {
        double t = s->run->readings->elapsed_s[r], v = nr_quality_value(q, NR_ROLE_SUN, r);
        double d = nr_quality_value(q, water, r) - nr_quality_value(q, NR_ROLE_AIR, r);
        over = isnan(d) ? over : d;
        if (isnan(v) || t < from_s || t > to_s)
            continue;
        to->t_s[to->n] = t;
        to->sun[to->n] = v;
        to->over_air[to->n++] = over;
    }
}

/* Sums over intervals between readings: length, energy, their mean difference to the air; and of
 * the variance that nobody saw, weighted. */
typedef struct between {
    double length, energy, over, over2;
    double unseen, unseen_over, unseen_over2;
} between;

/* Distances by factors of two: what is looked up for one holds for all that are like it. */
#define CLASSES 24

static void add_up(const seen *s, bool at_most, between *sum)
{
    nr_unseen known[CLASSES];
    bool asked[CLASSES] = {false};
    double like[2] = {0, 0}; /* of this class for sure, and most are like the one before */
    int c = 0;
    for (size_t i = 0; i + 1 < s->n; i++) {
        double length = s->t_s[i + 1] - s->t_s[i];
        double over = (s->over_air[i] + s->over_air[i + 1]) / 2;
        if (!(length > like[0] && length < like[1])) {
            c = (int)fmin(fmax(round(log2(fmax(length, 1e-3))) + 4, 0), CLASSES - 1);
            like[0] = c ? 0.71 * pow(2, c - 4) : 0;
            like[1] = 1.41 * pow(2, c - 4);
        }
        if (!asked[c])
            known[c] = nr_unseen_of(s->t_s, s->sun, s->n, pow(2, c - 4));
        asked[c] = true;
        double v = at_most ? nr_unseen_integral_most(&known[c], length)
                           : nr_unseen_integral(&known[c], length);
        sum->length += length;
        sum->energy += length * fmax((s->sun[i] + s->sun[i + 1]) / 2, 0);
        sum->over += length * over;
        sum->over2 += length * over * over;
        sum->unseen += v;
        sum->unseen_over += v * over;
        sum->unseen_over2 += v * over * over;
    }
}

static between add_up_parts(const nr_series *s, seen *look, bool at_most)
{
    between sum = {0};
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *p = &s->part[i];
        look_at(s, p->start_s, p->start_s + s->step_s * (double)p->steps, look);
        add_up(look, at_most, &sum);
    }
    return sum;
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
    seen look;
    if (!seen_make(&look, s->quality->rows))
        return false;
    /* Readings by the second have missed nothing: a bound that is quickly had says so. */
    between sum = add_up_parts(s, &look, true);
    if (sum.length > 0 && sum.energy > 0 && sqrt(sum.unseen) / sum.energy > 0.99 * LEAST_U) {
        sum = add_up_parts(s, &look, false);
        judge(s, &sum);
    }
    seen_free(&look);
    return true;
}
