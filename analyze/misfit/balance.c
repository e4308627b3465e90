/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loop and container against each other, from the readings alone. What the loop carried has to be
 * found in the container, all along and not only in the end: constant errors (a meter's gain, an
 * offset between the probes, the container's loss, the pump's own heat) make straight lines over
 * time, over the heat carried and over the container's excess temperature; what is left is an event
 * or a container that is not one temperature. */
#include "analyze/misfit/inside.h"

#include "analyze/estimate/linfit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Departures of this share of the container's rise are usual in good containers: the jet that
 * stirs, water on its way through hoses (common practice, no source; both rigs of the tests show a
 * third of it). */
#define USUAL_DEPARTURE 0.02
/* The inlet hangs on the container by a hose and a layer: of the rise over the loop. */
#define USUAL_LAYER 0.10
/* Level of inlet minus store in combined u, and its change over the record. */
#define LEVEL_LIMIT 4.0
#define UNSTATED_PROBE_K 0.3
/* One jet layers one container alike as long as it runs, so that its layers change as the rise over
 * the loop does. A thermometer that was not said to drift does by no more than the makers of the
 * usual digital ones state, +-0.2 K, rectangular (terms_sensors.c): one that hangs loose in a
 * container drifts further, and here is where it shows. */
#define UNSTATED_DRIFT_K 0.115
/* What a healthy container's reading departs from its water for minutes, K and of its rise
 * (joint/misreading.h). */
#define WANDER_K 0.03
#define WANDER_SHARE 0.004

static double probe_u(const nr_misfit_search *s, const char *name)
{
    const nr_rig_channel *c = nr_rig_channel_find(&s->view.series->run->rig, name);
    return c && !isnan(c->u_offset) ? c->u_offset : UNSTATED_PROBE_K;
}

static void inlet_against_store(nr_misfit_search *s)
{
    const nr_part *part = s->view.part;
    const double *in = part->reading[NR_OUT_INLET], *store = part->reading[NR_OUT_STORE];
    double sum[2] = {0}, n[2] = {0};
    for (size_t b = 0; b < s->blocks; b++) {
        if (!part->settled[b] || isnan(in[b] - store[b]))
            continue;
        size_t half = 2 * b / s->blocks;
        sum[half] += in[b] - store[b];
        n[half]++;
    }
    if (n[0] < 10 || n[1] < 10)
        return;
    double first = sum[0] / n[0], second = sum[1] / n[1];
    double layer = USUAL_LAYER * fabs(s->rise_K);
    double offset = hypot(probe_u(s, "inlet"), probe_u(s, "store"));
    double level = fabs(first + second) / 2 / hypot(offset, layer);
    nr_misfit_finding f = {.kind = NR_MISFIT_INLET_STORE,
                           .strength = level / LEVEL_LIMIT,
                           .run = s->view.run,
                           .at_s = NAN,
                           .until_s = NAN,
                           .channel = NR_OUT_INLET,
                           .size = (first + second) / 2,
                           .u = hypot(offset, layer)};
    nr_misfit_add(s, &f);
}

static double drift_u(const nr_misfit_search *s, const char *name)
{
    const nr_rig_channel *c = nr_rig_channel_find(&s->view.series->run->rig, name);
    return c && !isnan(c->u_drift) ? c->u_drift : UNSTATED_DRIFT_K;
}

typedef struct third {
    double n, apart_K, rise_K; /* inlet over store, outlet over inlet: means */
} third;

static third mean_of_third(const nr_misfit_search *s, size_t which)
{
    const nr_part *part = s->view.part;
    const double *in = part->reading[NR_OUT_INLET], *out = part->reading[NR_OUT_OUTLET];
    const double *store = part->reading[NR_OUT_STORE];
    third t = {0};
    for (size_t b = which * s->blocks / 3; b < (which + 1) * s->blocks / 3; b++) {
        if (!part->settled[b] || isnan(in[b] + out[b] + store[b]))
            continue;
        t.apart_K += in[b] - store[b];
        t.rise_K += out[b] - in[b];
        t.n++;
    }
    t.apart_K /= fmax(t.n, 1);
    t.rise_K /= fmax(t.n, 1);
    return t;
}

/* Two probes in the same water that part by more than they drift, and by more than layers do where
 * the rise over the loop changes: no model is needed to see it, and none can hide it as a loss of
 * the container. */
static void inlet_leaves_store(nr_misfit_search *s)
{
    third first = mean_of_third(s, 0), last = mean_of_third(s, 2);
    if (first.n < 10 || last.n < 10 || !(s->rise_K > 0))
        return;
    double by = last.apart_K - first.apart_K;
    double layers = USUAL_LAYER * fabs(last.rise_K - first.rise_K);
    double wander = M_SQRT2 * hypot(WANDER_K, WANDER_SHARE * s->store_rise_K);
    double u = hypot(hypot(drift_u(s, "inlet"), drift_u(s, "store")), wander);
    double size = copysign(fmax(fabs(by) - layers, 0), by);
    /* The fit takes the mean of it for an offset: half is left at either end. */
    double matters = nr_misfit_matters(s, size / 2 / s->rise_K);
    nr_misfit_add(s, &(nr_misfit_finding){.kind = NR_MISFIT_INLET_LEAVES,
                                          .strength = fmin(fabs(size) / u / LEVEL_LIMIT, matters),
                                          .run = s->view.run,
                                          .at_s = NAN,
                                          .until_s = NAN,
                                          .channel = NR_OUT_INLET,
                                          .size = by,
                                          .u = u});
}

/* What the balance is fitted with, all in K of the container; the last one is free. */
enum { BY_LOOP, BY_OFFSET, BY_LOSS, BY_TIME, BY_START, COLUMNS };

typedef struct ledger {
    size_t rows;    /* data rows, then COLUMNS - 1 rows of what is known beforehand */
    double *design; /* [rows * COLUMNS] */
    double *y, *weight, *at_s;
    double rise_K;
} ledger;

static void known(ledger *l, int column, double value, double u)
{
    l->design[l->rows * COLUMNS + (size_t)column] = 1;
    l->y[l->rows] = value;
    l->weight[l->rows++] = 1 / (u * u);
}

static double relative(const nr_rig_channel *c, double otherwise)
{
    return c && !isnan(c->u_gain) ? c->u_gain : otherwise;
}

/* Standard uncertainties of what makes straight lines. The usual container loses some 2 W/K, the
 * usual pump brings some 3 W: common practice, no source. */
static void add_known(const nr_misfit_search *s, ledger *l)
{
    const nr_rig *rig = &s->view.series->run->rig;
    const nr_value *loss = &rig->store.loss_W_K;
    double heat = rig->store.water_kg.value * s->view.series->cp_J_kgK;
    double u_flow = relative(nr_rig_channel_find(rig, "flow"), 0.03);
    known(l, BY_LOOP, 1, hypot(u_flow, 0.015));
    known(l, BY_OFFSET, 0, hypot(probe_u(s, "inlet"), probe_u(s, "outlet")));
    double usual = loss->given ? loss->value : 2;
    known(l, BY_LOSS, -usual / heat, (loss->given ? 0.3 * usual : 2) / heat);
    known(l, BY_TIME, 3 / heat, 4 / heat);
}

/* Sums as time goes by; a row where everything was read and the loop is settled. */
static void add_rows(const nr_misfit_search *s, double weight, ledger *l)
{
    const nr_part *part = s->view.part;
    const nr_series *series = s->view.series;
    const double *in = part->reading[NR_OUT_INLET], *out = part->reading[NR_OUT_OUTLET];
    const double *store = part->reading[NR_OUT_STORE];
    size_t per = series->steps_per_block;
    double heat = series->run->rig.store.water_kg.value * series->cp_J_kgK, dt = series->block_s;
    double sum[BY_START] = {0}, rise = 0, excess = 0, start = NAN;
    for (size_t b = 0; b < s->blocks; b++) {
        double flow = 0;
        for (size_t i = 0; i < per; i++)
            flow += part->flow_W_K[b * per + i] / (double)per;
        rise = isnan(out[b] - in[b]) ? rise : out[b] - in[b];
        excess = isnan(store[b]) ? excess : store[b] - part->air_degC[b * per];
        sum[BY_LOOP] += flow * rise * dt / heat;
        sum[BY_OFFSET] += flow * dt / heat;
        sum[BY_LOSS] += excess * dt;
        sum[BY_TIME] += dt;
        if (!part->settled[b] || isnan(store[b]))
            continue;
        start = isnan(start) ? store[b] : start;
        memcpy(l->design + l->rows * COLUMNS, sum, sizeof sum);
        l->design[l->rows * COLUMNS + BY_START] = 1;
        l->at_s[l->rows] = nr_misfit_time(s, (double)b + 0.5);
        l->y[l->rows] = store[b] - start;
        l->rise_K = fmax(l->rise_K, fabs(store[b] - start));
        l->weight[l->rows++] = weight;
    }
}

/* Means over about two minutes: what is faster is mixing. */
static double smooth(const double *v, size_t n, size_t i, size_t half)
{
    size_t from = i > half ? i - half : 0, to = i + half < n ? i + half : n - 1;
    double sum = 0;
    for (size_t k = from; k <= to; k++)
        sum += v[k];
    return sum / (double)(to - from + 1);
}

static void judge(nr_misfit_search *s, const ledger *l, size_t rows, const nr_linfit *fit)
{
    size_t half = (size_t)(60 / s->view.series->block_s), top = 0, bottom = 0;
    double high = -INFINITY, low = INFINITY;
    for (size_t i = 0; i < rows; i++) {
        double v = smooth(fit->residual, rows, i, half);
        if (v > high) {
            high = v;
            top = i;
        }
        if (v < low) {
            low = v;
            bottom = i;
        }
    }
    double range = (high - low) / l->rise_K;
    size_t first = top < bottom ? top : bottom;
    nr_misfit_add(s, &(nr_misfit_finding){
                         .kind = NR_MISFIT_LOOP_STORE,
                         .strength = fmin(range / USUAL_DEPARTURE / 2, nr_misfit_matters(s, range)),
                         .run = s->view.run,
                         .at_s = l->at_s[first],
                         .until_s = l->at_s[top < bottom ? bottom : top],
                         .channel = NR_OUT_STORE,
                         .size = range,
                         .u = USUAL_DEPARTURE});
}

static nr_code loop_against_store(nr_misfit_search *s, nr_err *err)
{
    size_t most = s->blocks + COLUMNS;
    ledger l = {.design = calloc(most * COLUMNS, sizeof(double)),
                .y = calloc(most, sizeof(double)),
                .weight = calloc(most, sizeof(double)),
                .at_s = calloc(most, sizeof(double))};
    nr_code code = NR_OK;
    if (!l.design || !l.y || !l.weight || !l.at_s) {
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    } else {
        double u = USUAL_DEPARTURE * fmax(s->store_rise_K, 0.5);
        add_rows(s, 1 / (u * u), &l);
        size_t rows = l.rows;
        add_known(s, &l);
        nr_linfit_problem problem = {.n = l.rows,
                                     .p = COLUMNS,
                                     .design = l.design,
                                     .y = l.y,
                                     .weight = l.weight,
                                     .errors = NR_LINFIT_STATED};
        nr_linfit *fit = NULL;
        /* A balance that cannot be drawn up says nothing. */
        if (rows >= 30 && l.rise_K > 0 && !nr_linfit_solve(&problem, &fit, NULL))
            judge(s, &l, rows, fit);
        nr_linfit_free(fit);
    }
    free(l.design);
    free(l.y);
    free(l.weight);
    free(l.at_s);
    return code;
}

nr_code nr_misfit_balance(nr_misfit_search *s, nr_err *err)
{
    const nr_part *part = s->view.part;
    if (!part->reading[NR_OUT_INLET] || !part->reading[NR_OUT_STORE])
        return NR_OK;
    inlet_against_store(s);
    if (!part->reading[NR_OUT_OUTLET] || !s->view.series->flow_known)
        return NR_OK;
    inlet_leaves_store(s);
    return loop_against_store(s, err);
}
