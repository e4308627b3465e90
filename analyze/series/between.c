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

double nr_series_usual_s(const nr_quality *q)
{
    nr_cursor t;
    nr_cursor_begin(&t, &q->elapsed_s);
    size_t n = q->rows > 1 ? q->rows - 1 : 0;
    double usual = q->interval_s, least = INFINITY, most = -INFINITY;
    for (size_t r = 0; r < n; r++) {
        double pause = nr_at(&t, r + 1) - nr_at(&t, r);
        least = pause < least ? pause : least;
        most = pause > most ? pause : most;
    }
    if (n >= SOME && least >= most / LIKE) /* all are of like length */
        return fmax(usual, most);
    double *pause = n ? malloc(n * sizeof(double)) : NULL;
    if (!pause)
        return usual;
    for (size_t r = 0; r < n; r++)
        pause[r] = nr_at(&t, r + 1) - nr_at(&t, r);
    usual = usual_of(pause, n, usual);
    free(pause);
    return usual;
}

/* ---- what the sun may have done ---- */

/* Good readings of the sun in one part, and where they are in the record. */
typedef struct seen {
    size_t n, first, end; /* rows first .. end - 1 */
    nr_values t_s, sun;
    nr_packing *own_t_s, *own_sun; /* NULL: none is missing, and they are the record's own */
} seen;

static void seen_free(seen *s)
{
    nr_packing_free(s->own_t_s);
    nr_packing_free(s->own_sun);
}

static bool is_seen(nr_good_rows *rows, size_t r)
{
    return !isnan(nr_good_at(rows, NR_ROLE_SUN, r));
}

/* False: out of memory. */
static bool seen_make(const nr_series *s, double from_s, double to_s, seen *to)
{
    const nr_quality *q = s->quality;
    nr_good_rows rows;
    nr_cursor t;
    nr_good_begin(&rows, q);
    nr_cursor_begin(&t, &q->elapsed_s);
    *to = (seen){.n = 0};
    while (to->first < q->rows && nr_at(&t, to->first) < from_s)
        to->first++;
    for (to->end = to->first; to->end < q->rows && nr_at(&t, to->end) <= to_s; to->end++)
        to->n += is_seen(&rows, to->end);
    const nr_values *sun = q->channel[NR_ROLE_SUN].value;
    to->t_s = nr_values_from(&q->elapsed_s, to->first);
    if (to->n == to->end - to->first) {
        if (sun)
            to->sun = nr_values_from(sun, to->first);
        return true;
    }
    to->own_t_s = nr_packing_new(true);
    to->own_sun = nr_packing_new(false);
    bool good = to->own_t_s && to->own_sun;
    for (size_t r = to->first; good && r < to->end; r++)
        if (is_seen(&rows, r))
            good = nr_packing_add(to->own_t_s, nr_at(&t, r)) &&
                   nr_packing_add(to->own_sun, nr_good_at(&rows, NR_ROLE_SUN, r));
    if (good) {
        to->t_s = nr_packing_values(to->own_t_s);
        to->sun = nr_packing_values(to->own_sun);
    } else {
        seen_free(to);
    }
    return good;
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
static double over_air(nr_good_rows *rows, size_t row, double before)
{
    bool store = rows->quality->channel[NR_ROLE_STORE].good > 0;
    double d = nr_good_at(rows, store ? NR_ROLE_STORE : NR_ROLE_INLET, row) -
               nr_good_at(rows, NR_ROLE_AIR, row);
    return isnan(d) ? before : d;
}

/* over: how far the water was above the air in the row before. */
static void add_up(nr_good_rows *rows, const seen *s, bool at_most, double over, between *sum)
{
    nr_cursor t_s, value;
    nr_cursor_begin(&t_s, &s->t_s);
    nr_cursor_begin(&value, &s->sun);
    nr_unseen known[CLASSES];
    bool asked[CLASSES] = {false};
    double like[2] = {0, 0}; /* of this class for sure, and most are like the one before */
    double over_before = 0;
    int c = 0;
    for (size_t r = s->first, i = 0; r < s->end; r++) {
        over = over_air(rows, r, over);
        if (!is_seen(rows, r))
            continue;
        double middle = (over_before + over) / 2;
        over_before = over;
        if (i++ == 0)
            continue;
        double length = nr_at(&t_s, i - 1) - nr_at(&t_s, i - 2);
        if (!(length > like[0] && length < like[1])) {
            c = (int)fmin(fmax(round(log2(fmax(length, 1e-3))) + 4, 0), CLASSES - 1);
            like[0] = c ? 0.71 * pow(2, c - 4) : 0;
            like[1] = 1.41 * pow(2, c - 4);
        }
        if (!asked[c])
            known[c] = nr_unseen_of_values(&s->t_s, &s->sun, s->n, pow(2, c - 4));
        asked[c] = true;
        add_interval(sum, length, (nr_at(&value, i - 2) + nr_at(&value, i - 1)) / 2, middle,
                     at_most ? nr_unseen_integral_most(&known[c], length)
                             : nr_unseen_integral(&known[c], length));
    }
}

/* False: out of memory. */
static bool add_up_parts(const nr_series *s, bool at_most, between *sum)
{
    *sum = (between){0};
    nr_good_rows rows;
    nr_good_begin(&rows, s->quality);
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *p = &s->part[i];
        seen look;
        double over = 0;
        if (!seen_make(s, p->start_s, p->start_s + s->step_s * (double)p->steps, &look))
            return false;
        for (size_t r = 0; r < look.first; r++)
            over = over_air(&rows, r, over);
        add_up(&rows, &look, at_most, over, sum);
        seen_free(&look);
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

static bool look_between(nr_series *s)
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

nr_code nr_series_unseen(nr_series *s, nr_err *err)
{
    return look_between(s) ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
}
