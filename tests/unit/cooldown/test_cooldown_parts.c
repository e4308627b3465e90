/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What makes a record a cool-down, each limit from both sides; and what is said of one, worked out
 * a second time from its readings: the fitted curve (curve.h) is taken as it is. */
#include "analyze/cooldown/cooldown.h"
#include "analyze/cooldown/curve.h"
#include "analyze/fit/safety.h"
#include "analyze/physics/water.h"
#include "tests/unit/chance.h"
#include "tests/unit/fit/simulated.h"

static nr_virtual_run *rig;
static nr_run *run;
static double *store, *air, *sun;
static size_t rows;
static uint64_t seed;
static nr_err err;

static double draw(void)
{
    return chance_share(&seed);
}

/* An evening of the virtual rig; the readings are then the test's own. */
static void begin(double duration_s)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.pump = NR_PUMP_OFF;
    p.interval_s = 30;
    p.duration_s = duration_s;
    p.start_utc_s += 10 * 3600;
    p.store_above_air_K = 25;
    rig = simulated(&p);
    run = &rig->run;
    rows = run->readings->rows;
    ck_assert(nr_run_own_column(run, "store", "degC", &store, &err) == NR_OK &&
              nr_run_own_column(run, "air", "degC", &air, &err) == NR_OK &&
              nr_run_own_column(run, "sun", "W_m2", &sun, &err) == NR_OK);
}

/* Newton's law with that rate from a temperature on, some noise, a step in the middle. */
static void cool(double from_degC, double rate, double noise_K, double step_K)
{
    nr_values elapsed = nr_readings_elapsed(run->readings);
    for (size_t k = 0; k < rows; k++) {
        double t = nr_number(&elapsed, k) - nr_number(&elapsed, 0);
        air[k] = 18 + 0.5 * sin(t / 2000) + 0.02 * draw();
        store[k] = 18 + (from_degC - 18) * exp(-rate * t) + noise_K * (draw() + draw() - 1) +
                   (k > rows / 2 ? step_K : 0);
        sun[k] = 0;
    }
}

/* --- whether it is one -------------------------------------------------------------------------
 */

static nr_cooldown_not of(const nr_quality *q, double over_K, double fall_K)
{
    for (size_t k = 0; k < rows; k++) {
        air[k] = k % 3 ? 18 + 0.1 * (double)(k % 2) : NAN;
        store[k] = k % 5 && k < rows - 4 ? 18.05 + over_K : NAN;
    }
    store[1] += fall_K / 2; /* the first and the last that there are, even about the mean */
    for (size_t k = rows - 1; k > 0; k--)
        if (isfinite(store[k])) {
            store[k] -= fall_K / 2;
            break;
        }
    return nr_cooldown_of_judged(q);
}

START_TEST(what_is_one)
{
    nr_quality *q = NULL;
    begin(2 * 3600);
    cool(45, 1.0 / 30000, 0.05, 0);
    ck_assert(nr_quality_check(run, &q, &err) == NR_OK);
    q->pump_source = NR_PUMP_FROM_FLOW;
    q->pump_on_s = 0;
    double mean = 0, n = 0; /* of the air, as `of` makes it */
    (void)of(q, 5, 1);
    for (size_t k = 0; k < rows; k++)
        if (isfinite(air[k])) {
            mean += air[k];
            n++;
        }
    double shift = mean / n - 18.05;
    ck_assert_int_eq(of(q, NR_COOLDOWN_LEAST_K + shift + 0.001, 1), NR_COOLDOWN_IS);
    ck_assert_int_eq(of(q, NR_COOLDOWN_LEAST_K + shift - 0.001, 1), NR_COOLDOWN_NOT_WARM);
    ck_assert_int_eq(of(q, 10, 0.31), NR_COOLDOWN_IS);
    ck_assert_int_eq(of(q, 10, 0.29), NR_COOLDOWN_NOT_COOLING);
    ck_assert_int_eq(of(q, 10, -3), NR_COOLDOWN_NOT_COOLING);
    q->pump_on_s = 0.0199 * q->duration_s; /* a fiftieth of the time */
    ck_assert_int_eq(of(q, 10, 3), NR_COOLDOWN_IS);
    q->pump_on_s = 0.0201 * q->duration_s;
    ck_assert_int_eq(of(q, 10, 3), NR_COOLDOWN_PUMPED);
    sun[rows / 2] = 500; /* while something tells of the pump, the sun may shine */
    q->pump_on_s = 0;
    ck_assert_int_eq(of(q, 10, 3), NR_COOLDOWN_IS);
    q->pump_source = NR_PUMP_FROM_NOTHING;
    q->pump_on_s = q->duration_s;
    ck_assert_int_eq(of(q, 10, 3), NR_COOLDOWN_SUN);
    for (size_t k = 0; k < rows; k++)
        sun[k] = k == 3 ? 49.9 : 20; /* as little as inspect takes for none: 50 W/m2 */
    ck_assert_int_eq(of(q, 10, 3), NR_COOLDOWN_IS);
    sun[3] = 50;
    ck_assert_int_eq(of(q, 10, 3), NR_COOLDOWN_SUN);
    sun[3] = 0;
    q->channel[NR_ROLE_STORE].good = 3;
    q->channel[NR_ROLE_AIR].good = 1;
    ck_assert_int_eq(of(q, 10, 3), NR_COOLDOWN_IS);
    q->channel[NR_ROLE_STORE].good = 2;
    ck_assert_int_eq(of(q, 10, 3), NR_COOLDOWN_NO_READINGS);
    q->channel[NR_ROLE_STORE].good = 3;
    q->channel[NR_ROLE_AIR].good = 0;
    ck_assert_int_eq(of(q, 10, 3), NR_COOLDOWN_NO_READINGS);
    nr_quality_free(q);
    nr_virtual_run_free(rig);
}
END_TEST

/* --- what is said of it ------------------------------------------------------------------------
 */

/* The curve of the readings; the first five minutes of more than an hour are left out. */
static void curve_of_run(nr_cool_curve *c, double *duration_s)
{
    nr_quality *q = NULL;
    ck_assert(nr_quality_check(run, &q, &err) == NR_OK);
    double *t = malloc(3 * rows * sizeof *t), *T = t + rows, *Ta = T + rows;
    for (size_t k = 0; k < rows; k++) {
        t[k] = nr_number(&q->elapsed_s, k);
        T[k] = nr_quality_value(q, NR_ROLE_STORE, k);
        Ta[k] = nr_quality_value(q, NR_ROLE_AIR, k);
        if (q->duration_s > 3600 && t[k] - t[0] < 300)
            T[k] = NAN;
    }
    *duration_s = q->duration_s;
    ck_assert(nr_cool_curve_make(t, T, Ta, rows, q->channel[NR_ROLE_STORE].step, c, &err) == NR_OK);
    free(t);
    nr_quality_free(q);
}

static void state(const char *channel, double u)
{
    for (size_t i = 0; i < run->rig.channels; i++)
        if (strcmp(run->rig.channel[i].name, channel) == 0)
            run->rig.channel[i].u_offset = u;
}

/* The loss and its parts, W/K: noise, thermometers, masses, the law. */
typedef struct loss {
    double C, W_K, part[4], u;
} loss;

static loss loss_of(const nr_cool_curve *c)
{
    const nr_rig_store *s = &run->rig.store;
    double middle = (c->fitted[0] + c->fitted[c->n - 1]) / 2;
    double water = s->water_kg.value * nr_water_cp_J_kgK(middle);
    /* Where nothing is stated: 2 % of the water; a dry hundredth of it, give or take as much; a
     * fifth of a dry heat that is stated without uncertainty. */
    double u_water = s->water_kg.u_given ? s->water_kg.u / s->water_kg.value * water : 0.02 * water;
    const nr_value *d = &s->dry_heat_capacity_J_K;
    double dry = d->given ? d->value : water / 100;
    double u_dry = d->given && d->u_given ? d->u : d->given ? dry / 5 : water / 100;
    loss l = {.C = water + dry, .W_K = c->rate * (water + dry)};
    l.part[0] = c->u_rate_noise * l.C;
    l.part[1] = c->u_rate_probes * l.C;
    l.part[2] = hypot(u_water, u_dry) / l.C * l.W_K;
    l.part[3] = 0.03 * l.W_K; /* what a mean over half of the cooling is known to */
    for (int i = 0; i < 4; i++)
        l.u = hypot(l.u, l.part[i]);
    return l;
}

static void is_said(const nr_cooldown *x, const nr_cool_curve *c, double duration_s)
{
    loss l = loss_of(c);
    NEAR_RELATIVE(x->heat_capacity_J_K, l.C, 1e-12);
    NEAR_RELATIVE(x->loss_W_K.value, l.W_K, 1e-9);
    NEAR_RELATIVE(x->loss_W_K.u, l.u, 1e-9);
    NEAR_RELATIVE(x->loss_W_K.u_random, l.part[0], 1e-9);
    nr_quantity as = nr_quantity_make(l.W_K, l.u, 0, c->degrees, NR_UNIT_W_K);
    NEAR_RELATIVE(x->loss_W_K.lo95, as.lo95, 1e-9);
    NEAR_RELATIVE(x->loss_W_K.hi95, as.hi95, 1e-9);
    const double shares[] = {x->share_noise, x->share_probes, x->share_water, x->share_model};
    for (int i = 0; i < 4; i++)
        NEAR(shares[i], l.part[i] * l.part[i] / (l.u * l.u), 1e-9);
    NEAR_RELATIVE(x->time_constant_s * c->rate, 1, 1e-9);
    double least = 1e9, most = -1e9, mean = 0;
    ck_assert_uint_eq(x->blocks, c->n);
    for (size_t i = 0; i < c->n; i++) {
        double over = c->fitted[i] - c->air[i];
        mean += c->air[i];
        least = over < least ? over : least;
        most = over > most ? over : most;
        ck_assert(x->t_s[i] == c->t[i] && x->reading_degC[i] == c->reading[i] &&
                  x->fitted_degC[i] == c->fitted[i] && x->air_at_degC[i] == c->air[i]);
    }
    NEAR(x->air_degC, mean / (double)c->n, 1e-9);
    ck_assert(x->over_air_K[0] == least && x->over_air_K[1] == most);
    ck_assert(x->from_degC == c->fitted[0] && x->to_degC == c->fitted[c->n - 1]);
    ck_assert(x->rms_K == c->rms_K && x->used == c->used && x->rows == rows);
    ck_assert(x->duration_s == duration_s);
    nr_values utc = nr_readings_utc(run->readings);
    ck_assert(x->begin_utc_s == nr_number(&utc, 0));
    ck_assert_str_eq(x->folder, run->folder);
    ck_assert_str_eq(x->title, run->rig.title);
    ck_assert_str_eq(x->collector, run->rig.collector.name);
}

/* A step of the water is a doubt: six standard deviations and three tenths of a kelvin. */
static size_t is_judged(const nr_cooldown *x, const nr_cool_curve *c)
{
    bool step = fabs(c->jump_z) > 6 && fabs(c->jump_K) > 0.3;
    ck_assert_uint_eq(x->trust.count, step);
    if (step) {
        const nr_trust_reason *r = &x->trust.reason[0];
        ck_assert(r->code == NR_TRUST_STORE_STEP && !r->withholds);
        NEAR_RELATIVE(r->weight, fabs(c->jump_z) / 6, 1e-9);
        ck_assert(r->number[0] == c->jump_K && r->number[1] == c->jump_at_s);
    }
    bool open = run->rig.store.lid != NR_LID_YES;
    ck_assert_uint_eq(x->warnings.count, open);
    ck_assert(!open || (x->warnings.item[0].code == NR_WARN_NO_LID &&
                        strcmp(x->warnings.item[0].about, run->folder) == 0));
    nr_warnings cautions = {0};
    nr_quantity start = nr_quantity_make(c->fitted[0], 0.3, 0, INFINITY, NR_UNIT_DEGC);
    nr_safety_water(&cautions, &start);
    ck_assert_uint_eq(x->cautions.count, cautions.count);
    for (size_t i = 0; i < cautions.count; i++)
        ck_assert(memcmp(x->cautions.item[i].number, cautions.item[i].number,
                         sizeof cautions.item[i].number) == 0);
    return step;
}

/* What nobody stated of the thermometers: 0.3 K of the store's, 0.5 K of the air's. */
static void one_evening(unsigned long trial, size_t *steps)
{
    static const double step_K[] = {0, -0.26, -0.34, -0.8, 0.5};
    double u_store = trial % 2 ? 0.1 + draw() : NAN, u_air = trial % 3 ? 0.1 + draw() : NAN;
    double duration_s = 0;
    state("store", u_store);
    state("air", u_air);
    nr_rig_store *s = &run->rig.store;
    s->water_kg = (nr_value){.given = true, .value = 20 + 40 * draw(), .u_given = trial % 4 > 1};
    s->water_kg.u = s->water_kg.u_given ? 0.5 * draw() : NAN;
    s->dry_heat_capacity_J_K = (nr_value){.given = trial % 5 > 1, .u_given = trial % 5 > 2};
    s->dry_heat_capacity_J_K.value = s->dry_heat_capacity_J_K.given ? 9000 : NAN;
    s->dry_heat_capacity_J_K.u = s->dry_heat_capacity_J_K.u_given ? 800 : NAN;
    s->lid = trial % 2 ? NR_LID_YES : trial % 4 ? NR_LID_NO : NR_LID_UNKNOWN;
    double from_degC = 40 + 25 * draw();
    cool(from_degC, 1 / (8000 + 20000 * draw()), trial % 7 == 6 ? 0.4 : 0.05, step_K[trial % 5]);
    nr_cool_curve c;
    curve_of_run(&c, &duration_s);
    double u = hypot(isnan(u_store) ? 0.3 : u_store, isnan(u_air) ? 0.5 : u_air);
    ck_assert_msg(nr_cool_curve_fit(&c, u, &err) == NR_OK, "%s", err.text);
    nr_cooldown *x = NULL;
    nr_code code = nr_cooldown_fit(run, &x, &err);
    loss l = loss_of(&c);
    nr_quantity as = nr_quantity_make(l.W_K, l.u, 0, c.degrees, NR_UNIT_W_K);
    ck_assert_msg((code == NR_OK) == (as.lo95 > 0), "%lu: %s", trial, err.text);
    if (!code) {
        is_said(x, &c, duration_s);
        *steps += is_judged(x, &c);
    }
    nr_cooldown_free(x);
    nr_cool_curve_free(&c);
}

START_TEST(drawn_evenings)
{
    static const double duration_s[] = {3600, 3660, 7200, 1080};
    size_t steps = 0;
    for (unsigned long d = 0; d < 4; d++) {
        begin(duration_s[d]);
        seed = 41 + d;
        for (unsigned long trial = 0; trial < 15; trial++)
            one_evening(trial, &steps);
        nr_virtual_run_free(rig);
    }
    ck_assert(steps > 10 && steps < 40);
}
END_TEST

/* Too little: the loss times its uncertainty says how long it would take (the rate's u goes with
 * t^-1.5), in whole ones. */
START_TEST(hours_that_it_takes)
{
    size_t said = 0;
    begin(1800);
    seed = 9;
    state("air", 0.05);
    for (int trial = 0; trial < 24; trial++) {
        double duration_s, hours = 0, u_store = 2 + 8 * draw();
        state("store", u_store);
        double from_degC = 24 + 3 * draw(); /* one draw after another, whatever the compiler */
        cool(from_degC, pow(10, -6.2 + 2.2 * draw()), 0.4, -0.5);
        nr_cool_curve c;
        curve_of_run(&c, &duration_s);
        ck_assert(nr_cool_curve_fit(&c, hypot(u_store, 0.05), &err) == NR_OK);
        loss l = loss_of(&c);
        nr_quantity as = nr_quantity_make(l.W_K, l.u, 0, c.degrees, NR_UNIT_W_K);
        double needed = ceil(duration_s / 3600 * pow(2 * l.u / fabs(l.W_K), 2.0 / 3));
        nr_cooldown *x = NULL;
        nr_code code = nr_cooldown_fit(run, &x, &err);
        const char *about = code ? strstr(err.text, "about ") : NULL;
        bool colder = nr_cooldown_of(run) == NR_COOLDOWN_IS; /* (what_is_one) */
        ck_assert_msg((code == NR_OK) == (colder && as.lo95 > 0), "%s", err.text);
        if (about && sscanf(about, "about %lf h", &hours) == 1) {
            NEAR(hours, needed, 0);
            said++;
        }
        nr_cooldown_free(x);
        nr_cool_curve_free(&c);
    }
    ck_assert_uint_gt(said, 5);
    nr_virtual_run_free(rig);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {what_is_one, drawn_evenings, hours_that_it_takes, NULL};
    return run_tests("cooldown parts", tests);
}
