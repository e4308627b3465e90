/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/plane/clouds.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Means of this length; of slow rows, of two and more. Limits here are ours, tried on records of
 * the adversity benchmark that are not those it is judged on: common practice, no source. */
#define BLOCK_S 120.0
#define ROWS_A_BLOCK 2.0
#define BLOCKS_LEAST 8
/* The box may begin hot, the loop full of cold water. */
#define SETTLE_S 600.0
/* Sun that counts, of the most. */
#define SUNNY_SHARE 0.35
/* Weight of what lies above the edge. */
#define UPPER 0.95
#define ROUNDS 30
/* And below it by so many standard deviations of a mean that coarse readings make. */
#define NOISES 4.0
/* Rows whose steps average out by half. */
#define DITHER_ROWS 4.0
/* A pump whose supply moves by more than this is on a panel. */
#define PANEL_SWING 0.15
#define RUNS_SHARE 0.3
/* What a cloud leaves behind in the box and in the loop. */
#define BEFORE_S 120.0
#define AFTER_S 420.0

enum { LOOP, BOX, STORE, SUPPLY, SIGNS };

/* How unsteady a sign has to be, relative, before anything is a cloud, and how deep a dip. Of 30
 * cloudless records of the adversity benchmark (seeds 8001 to 8030, other clear-sky model and
 * turbidity) the loop is unsteady by 0.003 to 0.028, the store's rise by 0.004 to 0.042; of 30
 * clouded ones (7001 to 7030) by 0.094 to 0.32 and 0.049 to 0.28. */
typedef struct nr_sign_limits {
    double unsteady, dip;
} nr_sign_limits;

static const nr_sign_limits limits[SIGNS] = {
    [LOOP] = {0.05, 0.10}, [BOX] = {0.05, 0.12}, [STORE] = {0.06, 0.15}, [SUPPLY] = {0.03, 0.08}};

typedef struct blocks {
    size_t n;
    double length_s, begin_s;
    double *clear, *sign[SIGNS]; /* [n]; NAN: nothing known */
    unsigned char *dip[SIGNS];   /* [n] */
    double *flow, *store;
    double rows; /* in a mean */
} blocks;

static bool make_room(blocks *b)
{
    double *all = malloc((SIGNS + 3) * b->n * sizeof *all);
    unsigned char *dips = calloc(SIGNS * b->n, 1);
    b->clear = all;
    for (int s = 0; s < SIGNS; s++) {
        b->sign[s] = all ? all + (size_t)(s + 1) * b->n : NULL;
        b->dip[s] = dips ? dips + (size_t)s * b->n : NULL;
    }
    b->flow = all ? all + (SIGNS + 1) * b->n : NULL;
    b->store = all ? all + (SIGNS + 2) * b->n : NULL;
    return all && dips;
}

typedef double of_row(const nr_cloud_signs *in, size_t row);

static double value(const double *column, size_t row)
{
    return column ? column[row] : NAN;
}

static double clear_of(const nr_cloud_signs *in, size_t row)
{
    return in->clear_W_m2[row];
}

static double loop_of(const nr_cloud_signs *in, size_t row)
{
    double flow = in->flow ? in->flow[row] : 1;
    return flow * (value(in->outlet, row) - value(in->inlet ? in->inlet : in->store, row));
}

static double box_of(const nr_cloud_signs *in, size_t row)
{
    return value(in->box, row) - value(in->air, row);
}

static double supply_of(const nr_cloud_signs *in, size_t row)
{
    return value(in->pump, row);
}

static double flow_of(const nr_cloud_signs *in, size_t row)
{
    return value(in->flow, row);
}

static double store_of(const nr_cloud_signs *in, size_t row)
{
    return value(in->store, row);
}

static void means(const nr_cloud_signs *in, const blocks *b, of_row *what, double *out)
{
    for (size_t k = 0, row = 0; k < b->n; k++) {
        double end = b->begin_s + b->length_s * (double)(k + 1), sum = 0, n = 0;
        for (; row < in->rows && in->elapsed_s[row] < end; row++) {
            double v = what(in, row);
            sum += isnan(v) ? 0 : v;
            n += !isnan(v);
        }
        out[k] = n > 0 ? sum / n : NAN;
    }
}

/* A parabola by weighted least squares; x in -1..1. False: the readings do not determine one. */
static bool parabola(const double *x, const double *y, const double *weight, size_t n, double c[3])
{
    double s[5] = {0}, t[3] = {0};
    for (size_t i = 0; i < n; i++) {
        double p = weight[i];
        for (int k = 0; k < 5; k++, p *= x[i]) {
            s[k] += p;
            if (k < 3)
                t[k] += p * y[i];
        }
    }
    double a = s[0], d = s[1], e = s[2], f = s[3], g = s[4];
    double det = a * (e * g - f * f) - d * (d * g - e * f) + e * (d * f - e * e);
    if (!(fabs(det) > 1e-9 * a * e * g))
        return false;
    c[0] = (t[0] * (e * g - f * f) - d * (t[1] * g - f * t[2]) + e * (t[1] * f - e * t[2])) / det;
    c[1] = (a * (t[1] * g - f * t[2]) - t[0] * (d * g - e * f) + e * (d * t[2] - e * t[1])) / det;
    c[2] = (a * (e * t[2] - f * t[1]) - d * (d * t[2] - e * t[1]) + t[0] * (d * f - e * e)) / det;
    return true;
}

/* How unsteady a sign is: standard deviation about its plain parabola over its mean. */
static double unsteady(const double *x, const double *y, size_t m, double *weight, double c[3])
{
    double sum = 0, mean = 0;
    for (size_t i = 0; i < m; i++)
        weight[i] = 1;
    if (!parabola(x, y, weight, m, c))
        return 0;
    for (size_t i = 0; i < m; i++) {
        double e = y[i] - (c[0] + x[i] * (c[1] + x[i] * c[2]));
        sum += e * e / (double)m;
        mean += y[i] / (double)m;
    }
    return mean > 0 ? sqrt(sum) / mean : 0;
}

/* The parabola along the upper edge: the expectile UPPER (W. Newey and J. Powell, Econometrica 55
 * (1987) 819-847), by weights that are turned until they agree with their signs. */
static bool upper_edge(const double *x, const double *y, size_t m, double *weight, double c[3])
{
    for (size_t i = 0; i < m; i++)
        weight[i] = 1;
    for (int round = 0; round < ROUNDS; round++) {
        if (!parabola(x, y, weight, m, c))
            return false;
        for (size_t i = 0; i < m; i++)
            weight[i] = y[i] > c[0] + x[i] * (c[1] + x[i] * c[2]) ? UPPER : 1 - UPPER;
    }
    return true;
}

/* Marks what lies well below the upper edge of a sign, where it is unsteady. noise: of one mean. */
static bool find_dips(const double *sign, const nr_sign_limits *limit, double noise, size_t n,
                      unsigned char *dip)
{
    double *x = malloc(3 * n * sizeof *x), c[3], plain[3];
    size_t m = 0;
    if (!x)
        return false;
    double *y = x + n, *weight = x + 2 * n;
    for (size_t k = 0; k < n; k++) {
        if (isnan(sign[k]))
            continue;
        x[m] = n > 1 ? 2 * (double)k / (double)(n - 1) - 1 : 0;
        y[m++] = sign[k];
    }
    if (m >= BLOCKS_LEAST && unsteady(x, y, m, weight, plain) > limit->unsteady &&
        upper_edge(x, y, m, weight, c))
        for (size_t k = 0, i = 0; k < n; k++) {
            if (isnan(sign[k]))
                continue;
            double edge = c[0] + x[i] * (c[1] + x[i] * c[2]);
            /* Below the plain one, too: a box that got hot while the pump stood lifts the edge. */
            double middle = plain[0] + x[i] * (plain[1] + x[i] * plain[2]);
            dip[k] = edge > 0 && y[i] < edge * (1 - limit->dip) && y[i] < edge - NOISES * noise &&
                     y[i] < middle * (1 - limit->dip / 2);
            i++;
        }
    free(x);
    return true;
}

/* Store: its rise from the middle of the mean before to that of the one after. */
static void store_rise(blocks *b)
{
    for (size_t k = 0; k < b->n; k++)
        b->sign[STORE][k] = k > 0 && k + 1 < b->n ? (b->store[k + 1] - b->store[k - 1]) / 2 : NAN;
}

static double most_of(const double *values, size_t n)
{
    double most = 0;
    for (size_t k = 0; k < n; k++)
        most = values[k] > most ? values[k] : most;
    return most;
}

/* Over the clear sky; only where the sun stands high enough, and what flows has settled. */
static void normalise(const nr_cloud_signs *in, blocks *b)
{
    double brightest = most_of(b->clear, b->n), flow = most_of(b->flow, b->n);
    double supply = most_of(b->sign[SUPPLY], b->n), least = supply;
    for (size_t k = 0; k < b->n; k++)
        least = b->sign[SUPPLY][k] < least ? b->sign[SUPPLY][k] : least;
    bool panel = in->pump && supply - least > PANEL_SWING * supply;
    for (size_t k = 0; k < b->n; k++) {
        bool sunny = b->clear[k] > SUNNY_SHARE * brightest;
        bool settled = b->length_s * (double)k >= SETTLE_S;
        bool runs = !in->flow || b->flow[k] > RUNS_SHARE * flow;
        if (!sunny || !settled || !runs)
            b->sign[LOOP][k] = NAN;
        if (!sunny || !settled)
            b->sign[BOX][k] = b->sign[STORE][k] = NAN;
        if (!sunny || !panel)
            b->sign[SUPPLY][k] = NAN;
        b->sign[LOOP][k] /= b->clear[k];
        b->sign[BOX][k] /= b->clear[k];
        b->sign[STORE][k] /= b->clear[k];
    }
}

static bool any_dip(const blocks *b, int sign, size_t k)
{
    /* Two next to each other, so that one odd mean is none. */
    return b->dip[sign][k] &&
           ((k > 0 && b->dip[sign][k - 1]) || (k + 1 < b->n && b->dip[sign][k + 1]));
}

static void mask_block(const nr_cloud_signs *in, const blocks *b, size_t k, bool *mask)
{
    double from = b->begin_s + b->length_s * (double)k - BEFORE_S;
    double to = b->begin_s + b->length_s * (double)(k + 1) + AFTER_S;
    for (size_t row = 0; row < in->rows && in->elapsed_s[row] <= to; row++)
        if (in->elapsed_s[row] >= from)
            mask[row] = true;
}

/* Here or next to it: the store's rise is taken over its neighbours. */
static bool pump_stood(const blocks *b, size_t k)
{
    double least = RUNS_SHARE * most_of(b->flow, b->n);
    for (size_t i = k > 0 ? k - 1 : 0; i <= k + 1 && i < b->n; i++)
        if (b->flow[i] < least)
            return true;
    return false;
}

static void count(const nr_cloud_signs *in, const blocks *b, bool *mask, nr_clouds *out)
{
    bool told = in->flow != NULL; /* then what the loop carries is not the pump's doing */
    for (size_t k = 0; k < b->n; k++) {
        bool seen = false, sure, maybe;
        for (int s = 0; s < SIGNS; s++)
            seen = seen || isfinite(b->sign[s][k]);
        sure = any_dip(b, BOX, k) || any_dip(b, SUPPLY, k) ||
               (told && !pump_stood(b, k) && any_dip(b, LOOP, k));
        maybe = any_dip(b, LOOP, k) || any_dip(b, STORE, k);
        bool stood = told && pump_stood(b, k);
        if (!seen)
            continue;
        out->seen_s += b->length_s;
        if (!sure && (!maybe || stood)) /* a flow that is measured shows a stop as a stop */
            continue;
        *(sure || told ? &out->cloud_s : &out->unsure_s) += b->length_s;
        if (isnan(out->first_s))
            out->first_s = b->begin_s + b->length_s * (double)k;
        mask_block(in, b, k, mask);
    }
}

/* What the steps of the store's readings leave in a rise, over the brightest clear sky. */
static double rise_noise(const nr_cloud_signs *in, const blocks *b)
{
    double step = in->store_step_K / sqrt(12) / sqrt(fmax(b->rows / DITHER_ROWS, 1));
    return step / M_SQRT2 / most_of(b->clear, b->n);
}

bool nr_cloud_mask(const nr_cloud_signs *in, bool *mask, nr_clouds *out)
{
    *out = (nr_clouds){.first_s = NAN};
    memset(mask, 0, in->rows * sizeof *mask);
    if (in->rows < BLOCKS_LEAST)
        return true;
    double whole = in->elapsed_s[in->rows - 1] - in->elapsed_s[0];
    blocks b = {.begin_s = in->elapsed_s[0],
                .length_s = fmax(BLOCK_S, ROWS_A_BLOCK * whole / (double)(in->rows - 1))};
    b.n = (size_t)(whole / b.length_s);
    b.rows = b.length_s * (double)(in->rows - 1) / whole;
    if (b.n < BLOCKS_LEAST)
        return true;
    bool room = make_room(&b);
    if (room) {
        means(in, &b, clear_of, b.clear);
        means(in, &b, loop_of, b.sign[LOOP]);
        means(in, &b, box_of, b.sign[BOX]);
        means(in, &b, supply_of, b.sign[SUPPLY]);
        means(in, &b, flow_of, b.flow);
        means(in, &b, store_of, b.store);
        store_rise(&b);
        normalise(in, &b);
    }
    for (int s = 0; room && s < SIGNS; s++)
        room = find_dips(b.sign[s], &limits[s], s == STORE ? rise_noise(in, &b) : 0, b.n, b.dip[s]);
    if (room)
        count(in, &b, mask, out);
    free(b.clear);
    free(b.dip[0]);
    return room;
}
