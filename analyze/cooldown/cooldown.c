/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/cooldown/cooldown.h"

#include "analyze/cooldown/curve.h"
#include "analyze/fit/safety.h"
#include "analyze/physics/water.h"
#include "logger/base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Below this the sun does not count (as inspect's). */
#define NO_SUN_W_M2 50.0
/* What stands still settles into layers first. */
#define SETTLE_S 300.0
#define LONG_S 3600.0
/* Where nothing is stated, as in the fit (joint/terms_store.c). */
#define ASSUMED_WATER 0.02
#define ASSUMED_DRY 0.2
#define UNKNOWN_DRY 0.01
#define ASSUMED_PROBE_K 0.3
#define ASSUMED_AIR_K 0.5
/* Free convection goes with the 5/4 power of the difference: over a cooling to a half of it the
 * coefficient falls by 2^0.25, 16 %; a mean over that is known to some 3 %. Common practice, no
 * source. */
#define LAW_U 0.03
/* A jump of the water that no cooling makes: this many standard deviations, and so many K. */
#define JUMP_Z 6.0
#define JUMP_K 0.3
#define COOLED_K 0.3
#define HOURS_MOST 200.0

static bool has_readings(const nr_quality *q)
{
    return q->channel[NR_ROLE_STORE].good >= 3 && q->channel[NR_ROLE_AIR].good >= 1;
}

nr_cooldown_not nr_cooldown_of_judged(const nr_quality *q)
{
    double most_sun = 0, first = NAN, last = NAN, over = 0, air = 0;
    size_t n = 0, airs = 0;
    if (!has_readings(q))
        return NR_COOLDOWN_NO_READINGS;
    nr_good_rows rows;
    nr_good_begin(&rows, q);
    for (size_t k = 0; k < q->rows; k++) {
        double sun = nr_good_at(&rows, NR_ROLE_SUN, k), T = nr_good_at(&rows, NR_ROLE_STORE, k);
        double Ta = nr_good_at(&rows, NR_ROLE_AIR, k);
        most_sun = sun > most_sun ? sun : most_sun;
        if (isfinite(T)) {
            first = isnan(first) ? T : first;
            last = T;
            over += T;
            n++;
        }
        if (isfinite(Ta)) {
            air += Ta;
            airs++;
        }
    }
    if (q->pump_source != NR_PUMP_FROM_NOTHING && q->pump_on_s > 0.02 * q->duration_s)
        return NR_COOLDOWN_PUMPED;
    if (q->pump_source == NR_PUMP_FROM_NOTHING && most_sun >= NO_SUN_W_M2)
        return NR_COOLDOWN_SUN;
    if (over / (double)n - air / (double)airs < NR_COOLDOWN_LEAST_K)
        return NR_COOLDOWN_NOT_WARM;
    return last < first - COOLED_K ? NR_COOLDOWN_IS : NR_COOLDOWN_NOT_COOLING;
}

nr_cooldown_not nr_cooldown_of(const nr_run *run)
{
    nr_quality *q = NULL;
    if (nr_quality_check(run, &q, NULL) != NR_OK)
        return NR_COOLDOWN_NO_READINGS;
    nr_cooldown_not is = nr_cooldown_of_judged(q);
    nr_quality_free(q);
    return is;
}

static nr_code refuse(const nr_run *run, nr_cooldown_not why, nr_err *err)
{
    static const char *const text[] = {
        [NR_COOLDOWN_NO_READINGS] = "a cool-down needs three readings of the store and one of the "
                                    "air",
        [NR_COOLDOWN_PUMPED] = "the pump ran: the collector cooled the water, too",
        [NR_COOLDOWN_SUN] = "the sun shone, and nothing tells that the pump stood",
        [NR_COOLDOWN_NOT_WARM] = "the water was hardly warmer than the air: there was nothing to "
                                 "lose",
        [NR_COOLDOWN_NOT_COOLING] = "the water did not get colder",
    };
    return nr_fail(err, NR_CANNOT, run->folder, 0, "no loss of the container: %s", text[why]);
}

static double offset_u(const nr_rig *rig, const char *channel, double assumed)
{
    const nr_rig_channel *c = nr_rig_channel_find(rig, channel);
    return c && !isnan(c->u_offset) ? c->u_offset : assumed;
}

/* C and its standard uncertainty, J/K. */
static double capacity(const nr_rig *rig, double degC, double *u)
{
    const nr_rig_store *s = &rig->store;
    double water = s->water_kg.value * nr_water_cp_J_kgK(degC);
    double u_water = s->water_kg.u_given ? s->water_kg.u / s->water_kg.value : ASSUMED_WATER;
    double dry =
        s->dry_heat_capacity_J_K.given ? s->dry_heat_capacity_J_K.value : UNKNOWN_DRY * water;
    double u_dry = !s->dry_heat_capacity_J_K.given    ? UNKNOWN_DRY * water
                   : s->dry_heat_capacity_J_K.u_given ? s->dry_heat_capacity_J_K.u
                                                      : ASSUMED_DRY * dry;
    *u = hypot(u_water * water, u_dry);
    return water + dry;
}

/* Means of the readings, and the air at their times. */
static nr_code take_curve(const nr_quality *q, nr_cool_curve *c, nr_err *err)
{
    size_t rows = q->rows;
    double *t = malloc(3 * rows * sizeof *t), *T = t ? t + rows : NULL, *air = t ? T + rows : NULL;
    if (!t)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    nr_good_rows good;
    nr_cursor elapsed;
    nr_good_begin(&good, q);
    nr_cursor_begin(&elapsed, &q->elapsed_s);
    double settle = q->duration_s > LONG_S ? nr_at(&elapsed, 0) + SETTLE_S : -INFINITY;
    for (size_t k = 0; k < rows; k++) {
        t[k] = nr_at(&elapsed, k);
        T[k] = t[k] >= settle ? nr_good_at(&good, NR_ROLE_STORE, k) : NAN;
        air[k] = nr_good_at(&good, NR_ROLE_AIR, k);
    }
    nr_code code = nr_cool_curve_make(t, T, air, rows, q->channel[NR_ROLE_STORE].step, c, err);
    free(t);
    return code;
}

static double square(double x)
{
    return x * x;
}

static void judge(const nr_run *run, const nr_cool_curve *c, nr_cooldown *x)
{
    const nr_rig *rig = &run->rig;
    if (fabs(c->jump_z) > JUMP_Z && fabs(c->jump_K) > JUMP_K)
        x->trust = (nr_trust){.count = 1,
                              .reason = {{.code = NR_TRUST_STORE_STEP,
                                          .weight = fabs(c->jump_z) / JUMP_Z,
                                          .number = {c->jump_K, c->jump_at_s}}}};
    if (rig->store.lid != NR_LID_YES) {
        nr_warning_add(&x->warnings, NR_WARN_NO_LID);
        nr_copy(x->warnings.item[x->warnings.count - 1].about, sizeof x->warnings.item[0].about,
                run->folder);
    }
    nr_quantity start = nr_quantity_make(x->from_degC, 0.3, 0, INFINITY, NR_UNIT_DEGC);
    nr_safety_water(&x->cautions, &start);
}

static nr_code too_little(const nr_run *run, const nr_cooldown *x, nr_err *err)
{
    /* The rate's u goes with t^-1.5 of readings at an even rate. */
    double hours = x->duration_s / 3600 * pow(2 * x->loss_W_K.u / fabs(x->loss_W_K.value), 2.0 / 3);
    if (!(hours < HOURS_MOST))
        return nr_fail(err, NR_CANNOT, run->folder, 0,
                       "it cooled too little to tell the container's loss");
    return nr_fail(
        err, NR_CANNOT, run->folder, 0,
        "it cooled too little to tell the container's loss: read on for about %.0f h, or "
        "begin warmer",
        ceil(hours));
}

static nr_code solve(const nr_run *run, nr_cooldown *x, nr_cool_curve *c, nr_err *err)
{
    double u_C, u_probes = hypot(offset_u(&run->rig, "store", ASSUMED_PROBE_K),
                                 offset_u(&run->rig, "air", ASSUMED_AIR_K));
    nr_code code = nr_cool_curve_fit(c, u_probes, err);
    if (code)
        return code;
    double C = capacity(&run->rig, (c->fitted[0] + c->fitted[c->n - 1]) / 2, &u_C);
    double UA = c->rate * C;
    double noise = c->u_rate_noise * C, probes = c->u_rate_probes * C, water = u_C / C * UA;
    double law = LAW_U * UA;
    x->heat_capacity_J_K = C;
    x->loss_W_K =
        nr_quantity_make(UA, noise, hypot(hypot(probes, water), law), c->degrees, NR_UNIT_W_K);
    double all = square(noise) + square(probes) + square(water) + square(law);
    x->share_noise = square(noise) / all;
    x->share_probes = square(probes) / all;
    x->share_water = square(water) / all;
    x->share_model = square(law) / all;
    x->time_constant_s = 1 / c->rate;
    x->from_degC = c->fitted[0];
    x->to_degC = c->fitted[c->n - 1];
    x->rms_K = c->rms_K;
    x->over_air_K[0] = INFINITY;
    x->over_air_K[1] = -INFINITY;
    for (size_t k = 0; k < c->n; k++) {
        double over = c->fitted[k] - c->air[k];
        x->air_degC += c->air[k] / (double)c->n;
        x->over_air_K[0] = fmin(x->over_air_K[0], over);
        x->over_air_K[1] = fmax(x->over_air_K[1], over);
    }
    if (!(x->loss_W_K.known && x->loss_W_K.lo95 > 0))
        return too_little(run, x, err);
    judge(run, c, x);
    return NR_OK;
}

nr_code nr_cooldown_fit(const nr_run *run, nr_cooldown **out, nr_err *err)
{
    nr_quality *q = NULL;
    *out = NULL;
    if (!run->rig.store.water_kg.given)
        return nr_fail(err, NR_CANNOT, run->folder, 0,
                       "no loss of the container: [store] of rig.ini does not say how much water "
                       "is in it");
    nr_code code = nr_quality_check(run, &q, err);
    if (code)
        return code;
    nr_cooldown_not why = nr_cooldown_of_judged(q);
    nr_cooldown *x = calloc(1, sizeof *x);
    nr_cool_curve c = {0};
    if (!x)
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    else if (why)
        code = refuse(run, why, err);
    else
        code = take_curve(q, &c, err);
    if (!code) {
        nr_copy(x->folder, sizeof x->folder, run->folder);
        nr_copy(x->title, sizeof x->title, run->rig.title);
        nr_copy(x->collector, sizeof x->collector, run->rig.collector.name);
        x->rows = run->readings->rows;
        x->used = c.used;
        x->duration_s = q->duration_s;
        nr_values utc = nr_readings_utc(run->readings);
        x->begin_utc_s = nr_number(&utc, 0);
        code = solve(run, x, &c, err);
    }
    nr_quality_free(q);
    if (code) {
        nr_cool_curve_free(&c);
        free(x);
        return code;
    }
    x->blocks = c.n;
    x->t_s = c.t;
    x->reading_degC = c.reading;
    x->fitted_degC = c.fitted;
    x->air_at_degC = c.air;
    free(c.used_block);
    *out = x;
    return NR_OK;
}

void nr_cooldown_free(nr_cooldown *x)
{
    if (!x)
        return;
    free(x->t_s);
    free(x->reading_degC);
    free(x->fitted_degC);
    free(x->air_at_degC);
    free(x);
}
