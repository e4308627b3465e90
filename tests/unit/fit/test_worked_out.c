/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbers of a fit worked out a second time, from the series and from what the solved estimate
 * says of its pieces: sums over blocks, regressions by normal equations, uncertainties by
 * u^2 = g' C g with gradients taken here (JCGM 100:2008, 5.2.2). Two records of two parts each:
 * one whose loop is measured, one of the store alone. */
#include "analyze/fit/derive.h"
#include "analyze/physics/water.h"
#include "tests/unit/quality/records.h"

enum { LOOP, STORE, RECORDS, MOST = 4000 };

typedef struct worked {
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *joint;
    nr_fit *fit;
    nr_curve_at at;
} worked;

/* Two or three hours with a stop of the pump, a gap without sun's readings that makes two
 * parts, and readings that are missing here and there. */
static void set_up(worked *w, int kind)
{
    nr_virtual_params p = nr_virtual_glazed();
    nr_fit_options options = nr_fit_defaults();
    static const size_t build_of[] = {0};
    nr_err err = {.text = ""};
    p.rig_seed = 21;
    p.day_seed = 22;
    p.interval_s = kind == LOOP ? 10 : 5;
    p.duration_s = kind == LOOP ? 12000 : 6000;
    p.store_above_air_K = 6;
    p.pump_stop_s = 2000;
    p.pump_restart_s = 2300;
    p.stated.iam_b0 = 0.1;
    p.sky = NR_SKY_CLEAR;
    if (kind == STORE)
        p.channels = NR_VC_STORE_SET;
    w->run = simulate(&p);
    w->run->run.rig.store.pump_W = (nr_value){.given = true, .value = 6, .u = 1, .u_given = true};
    double water_kg = w->run->run.rig.store.water_kg.value; /* a tenth gone by the end */
    w->run->run.rig.store.water_end_kg =
        (nr_value){.given = true, .value = 0.9 * water_kg, .u = 0.005 * water_kg, .u_given = true};
    nr_readings *r = w->run->run.readings;
    double *sun = column(w->run, "sun"), *store = column(w->run, "store");
    for (size_t i = 0; i < r->rows; i++) {
        double t = r->elapsed_s[i];
        sun[i] = t > 3000 && t < 3700 ? NAN : sun[i];
        store[i] = t > 1200 && t < 1300 ? NAN : store[i];
    }
    ck_assert_msg(nr_series_build(&w->run->run, &w->series, &err) == NR_OK, "%s", err.text);
    ck_assert_uint_ge(w->series->parts, 2);
    ck_assert_msg(nr_fit_joint(&w->series, build_of, 1, 1, &options, &w->joint, &err) == NR_OK,
                  "%s", err.text);
    nr_derive_options how = {.mean_reference = kind == LOOP, .time_constant = true};
    ck_assert_msg(nr_derive_fit(w->joint, 0, &how, &w->fit, &err) == NR_OK, "%s", err.text);
    w->at = nr_derive_conditions(w->joint, 0, how.mean_reference);
    w->at.bend = w->fit->a2.known;
    w->at.span = fmax(fmax(fabs(w->fit->x_range[0]), w->fit->x_range[1]), 0.01);
}

static void tear_down(worked *w)
{
    nr_fit_free(w->fit);
    nr_joint_free(w->joint);
    nr_series_free(w->series);
    nr_virtual_run_free(w->run);
}

/* ---- uncertainties ---- */

/* Of five points (error of the fourth order in the step). */
static void gradient_of(const nr_joint *j, nr_result_fn fn, const void *context, double *gradient)
{
    size_t m = nr_joint_parameters(j);
    double *x = calloc(m, sizeof *x);
    memcpy(x, nr_joint_x(j), m * sizeof *x);
    for (size_t i = 0; i < m; i++) {
        double h = 4e-3 * nr_joint_parameter(j, i).scale, at = x[i], f[4];
        static const double where[4] = {-2, -1, 1, 2};
        for (int k = 0; k < 4; k++) {
            x[i] = at + where[k] * h;
            f[k] = fn(j, x, context);
        }
        x[i] = at;
        gradient[i] = (f[0] - 8 * f[1] + 8 * f[2] - f[3]) / (12 * h);
    }
    free(x);
}

/* Of priors that do not lean on each other: the part of one is (u' C g / u)^2. */
static double u_by_hand(const nr_joint *j, const double *g, double *random)
{
    size_t m = nr_joint_parameters(j);
    double *unit = calloc(m, sizeof *unit), all = nr_joint_covariance(j, g, g), stated = 0;
    for (size_t i = 0; i < m; i++) {
        nr_parameter_view p = nr_joint_parameter(j, i);
        unit[i] = 1;
        if (p.has_prior)
            stated += pow(nr_joint_covariance(j, unit, g) / p.prior_u, 2);
        unit[i] = 0;
    }
    free(unit);
    *random = sqrt(fmax(all - stated, 0));
    return sqrt(all);
}

static void quantity_is(const worked *w, const char *what, const nr_quantity *q, nr_result_fn fn,
                        const nr_curve_at *at, bool positive)
{
    double *g = calloc(nr_joint_parameters(w->joint), sizeof *g), random;
    gradient_of(w->joint, fn, at, g);
    double u = u_by_hand(w->joint, g, &random), value = fn(w->joint, nr_joint_x(w->joint), at);
    ck_assert_msg(q->known, "%s", what);
    NEAR_AT(what, q->value, value, 1e-9 * fabs(value));
    NEAR_AT(what, q->u, u, 1e-4 * u);
    NEAR_AT(what, q->u_random, random, 1e-3 * u);
    NEAR_AT(what, hypot(q->u_random, q->u_systematic), q->u, 1e-9 * u);
    NEAR_AT(what, q->hi95, positive ? value * exp(1.959964 * u / value) : value + 1.959964 * u,
            1e-4 * u);
    NEAR_AT(what, q->lo95, positive ? value * exp(-1.959964 * u / value) : value - 1.959964 * u,
            1e-4 * u);
    free(g);
}

/* The same by the model's steady state: at the temperature of the air, and at both ends of the span
 * for the slope between them. */
static double eta_at(const worked *w, double x)
{
    nr_loop_params p = nr_joint_device(w->joint, w->at.piece, nr_joint_x(w->joint));
    return nr_steady_efficiency(&p, &w->at.conditions, x, w->at.mean);
}

static void coefficients_of(const worked *w)
{
    const nr_fit *f = w->fit;
    nr_curve_at zero = w->at, normal = w->at;
    normal.conditions.obliquity = 0;
    quantity_is(w, "eta0", &f->eta0, nr_result_efficiency, &zero, false);
    quantity_is(w, "eta0, normal", &f->eta0_normal, nr_result_efficiency, &normal, false);
    quantity_is(w, "a1", &f->a1, nr_result_a1, &w->at, false);
    quantity_is(w, "a5", &f->a5, nr_result_a5, &w->at, true);
    quantity_is(w, "stagnation", &f->stagnation_K, nr_result_stagnation_K, &w->at, true);
    if (f->store_loss.known)
        quantity_is(w, "container", &f->store_loss, nr_result_store_loss, &w->at, false);
    double s = w->at.span, e0 = eta_at(w, 0), e1 = eta_at(w, s / 2), e2 = eta_at(w, s);
    NEAR(f->eta0.value, e0, 1e-12);
    if (!f->a2.known) {
        NEAR_RELATIVE(f->a1.value, (e0 - e2) / s, 1e-9);
    } else { /* a parabola through three points */
        NEAR_RELATIVE(f->a1.value, (3 * e0 - 4 * e1 + e2) / s, 1e-9);
        NEAR_RELATIVE(f->a2.value, -2 * (e0 - 2 * e1 + e2) / (s * s) / f->mean_sun_W_m2, 1e-7);
    }
    /* a2 through three points, whoever reports it: e0 - a1 x - a2 G x^2 is the curve there. */
    const double *x = nr_joint_x(w->joint);
    nr_curve_at bent = w->at;
    bent.bend = true;
    double a1 = nr_result_a1(w->joint, x, &bent), a2 = nr_result_a2(w->joint, x, &bent);
    for (int k = 1; k <= 2; k++) {
        double at = s * k / 2;
        NEAR(e0 - a1 * at - a2 * f->mean_sun_W_m2 * at * at, k == 1 ? e1 : e2, 1e-12);
    }
    nr_loop_params p = nr_joint_device(w->joint, w->at.piece, x);
    double f_prime = 1 / (1 + p.loss_W_m2K / p.exchange_W_m2K);
    NEAR_RELATIVE(f->a5.value, f_prime * f_prime * p.capacity_J_m2K + p.fluid_J_K / p.area_m2,
                  1e-9);
    const nr_standstill *still = &f->standstill;
    NEAR(still->straight_K, 1000 * f->eta0.value / f->a1.value, 1e-9);
    NEAR(still->loss_W_m2K, p.loss_W_m2K, 0);
    NEAR(still->loss2_W_m2K2, p.loss2_W_m2K2, 0);
    double rise = f->stagnation_K.value;
    NEAR(still->gain * 1000, still->loss_W_m2K * rise + still->loss2_W_m2K2 * rise * rise, 1e-3);
    /* The part that does not go with the sun: what is left of eta G towards none of it. */
    nr_curve_at bright = w->at;
    bright.conditions.sun_W_m2 *= 2;
    double one = e0 * w->at.conditions.sun_W_m2,
           two = nr_result_efficiency(w->joint, x, &bright) * 2 * w->at.conditions.sun_W_m2;
    NEAR(f->constant_W_m2, 2 * one - two, 1e-6);
}

/* ---- the curve ---- */

static void curve_of(const worked *w)
{
    const nr_fit *f = w->fit;
    size_t m = nr_joint_parameters(w->joint), inside = 0;
    double *g = calloc(m, sizeof *g), random, width = f->x_range[1] - f->x_range[0];
    ck_assert_uint_eq(f->curve_points, 41);
    NEAR(f->curve[0].x, fmin(f->x_range[0], 0) - width / 4, 1e-12);
    NEAR(f->curve[40].x, f->x_range[1] + fmax(width, 0.02), 1e-12);
    for (size_t i = 0; i < f->curve_points; i++) {
        nr_curve_at here = w->at;
        const nr_curve_point *c = &f->curve[i];
        here.x = c->x;
        gradient_of(w->joint, nr_result_efficiency, &here, g);
        double u = u_by_hand(w->joint, g, &random);
        NEAR(c->eta, eta_at(w, c->x), 2e-6);
        NEAR((c->hi95 - c->lo95) / 2, 1.959964 * u, 1e-3 * u);
        NEAR((c->hi95 + c->lo95) / 2, c->eta, 1e-12);
        ck_assert(c->tested == (c->x > f->x_range[0] - 1e-9 && c->x < f->x_range[1] + 1e-9));
        inside += c->tested;
        if (i > 0)
            ck_assert(c->x > f->curve[i - 1].x);
        double step = i < 10   ? (f->x_range[0] - f->curve[0].x) / 10
                      : i < 30 ? width / 20
                               : (f->curve[40].x - f->x_range[1]) / 10;
        if (i < 40)
            NEAR(f->curve[i + 1].x - c->x, step, 1e-12);
    }
    ck_assert_uint_eq(inside, 21);
    NEAR(f->curve_formula.k95, 1.959963984540054, 1e-12);
    NEAR(f->curve_formula.x_range[0], f->curve[0].x, 0);
    NEAR(f->curve_formula.x_range[1], f->curve[40].x, 0);
    free(g);
}

static void covariances_of(const worked *w)
{
    const nr_covariance *c = &w->fit->covariance;
    size_t m = nr_joint_parameters(w->joint);
    static const struct {
        const char *name;
        nr_result_fn fn;
    } known[] = {{"eta0", nr_result_efficiency},
                 {"a1", nr_result_a1},
                 {"a2", nr_result_a2},
                 {"a5", nr_result_a5},
                 {"store_loss", nr_result_store_loss}};
    double *g[NR_COVARIANCE_MOST];
    for (size_t i = 0; i < c->count; i++) {
        g[i] = calloc(m, sizeof **g);
        bool found = false;
        for (size_t k = 0; k < sizeof known / sizeof *known; k++)
            if (!strcmp(known[k].name, c->name[i])) {
                gradient_of(w->joint, known[k].fn, &w->at, g[i]);
                found = true;
            }
        if (!found) {
            ck_assert_str_eq(c->name[i], "b0");
            g[i][nr_joint_index(w->joint, w->at.piece, NR_TERM_B0)] = 1;
        }
    }
    ck_assert_uint_eq(c->count, 4U + w->fit->a2.known + w->fit->store_loss.known);
    for (size_t i = 0; i < c->count; i++)
        for (size_t k = 0; k < c->count; k++) {
            double scale = sqrt(c->matrix[i][i] * c->matrix[k][k]);
            NEAR_AT(c->name[i], c->matrix[i][k], nr_joint_covariance(w->joint, g[i], g[k]),
                    1e-4 * scale);
        }
    for (size_t i = 0; i < c->count; i++)
        free(g[i]);
}

/* ---- block by block ---- */

static double mean_of_steps(const nr_series *s, const double *v, size_t b)
{
    double sum = 0;
    size_t n = s->steps_per_block;
    for (size_t k = 0; k < n; k++)
        sum += v[b * n + k];
    return sum / (double)n;
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Two of a hundred are left out at each end. */
static void range_is(double *v, size_t n, const double range[2], double scale)
{
    qsort(v, n, sizeof *v, ascending);
    size_t out = n / 50;
    NEAR(range[0], v[out] * scale, 1e-9);
    NEAR(range[1], v[n - out - 1] * scale, 1e-9);
}

static const double *modelled(const nr_fit_run *r, const char *name)
{
    for (size_t c = 0; c < r->channels; c++)
        if (!strcmp(r->channel[c].name, name))
            return r->channel[c].modelled;
    return NULL;
}

static void blocks_of(const worked *w, int kind)
{
    static const char *const name[NR_OUTS] = {"store", "inlet", "outlet"};
    const nr_fit_run *r = &w->fit->run[0];
    const nr_series *s = w->series;
    const nr_rig *rig = &w->run->run.rig;
    double highest = 0, squares_of_all = 0;
    size_t at = 0, used_of_all = 0, n = 0;
    static double dT[MOST], bright[MOST];
    static bool counts[MOST];
    memset(counts, 0, sizeof counts);
    ck_assert_uint_eq(w->fit->runs, 1);
    ck_assert_uint_eq(r->rows, s->rows);
    NEAR(r->duration_s, s->duration_s, 0);
    NEAR(r->block_s, s->block_s, 0);
    NEAR(r->latitude_deg, rig->latitude_deg.value, 0);
    NEAR(r->longitude_deg, rig->longitude_deg.value, 0);
    NEAR(r->start_utc_s, w->run->run.readings->utc_s[0], 0);
    ck_assert_str_eq(r->title, rig->title);
    ck_assert_str_eq(w->fit->collector_name, rig->collector.name);
    NEAR(w->fit->gross_area_m2, rig->collector.gross_area_m2.value, 0);
    for (size_t c = 0; c < r->channels; c++) {
        const nr_fit_channel *ch = &r->channel[c];
        size_t used = 0, left_out = 0, outliers = 0;
        double squares = 0, white = 0, neighbours = 0, before = NAN, ar1 = NAN;
        int out = 0;
        while (strcmp(ch->name, name[out]))
            out++;
        at = 0;
        for (size_t i = 0; i < nr_joint_pieces(w->joint); i++) {
            nr_piece_view p = nr_joint_piece(w->joint, i);
            nr_channel_view left = {.raw_K = NULL};
            bool fits = nr_joint_channel(w->joint, i, out, &left);
            const double *model = fits ? nr_joint_modelled(w->joint, i, out) : NULL;
            for (size_t b = 0; b < p.part->blocks; b++) {
                double reading = p.part->reading[out][b];
                bool enters = fits && !isnan(left.raw_K[b]);
                ck_assert(isnan(reading)
                              ? isnan(ch->measured[at + b])
                              : ch->measured[at + b] <= reading && ch->measured[at + b] >= reading);
                if (model)
                    NEAR(ch->modelled[at + b],
                         nr_joint_shown(w->joint, i, out, nr_joint_x(w->joint), model[b]), 1e-9);
                ck_assert(enters == !isnan(ch->residual[at + b]));
                if (enters) {
                    /* The estimate knows of the probe's drift about its middle, too. */
                    double half = ((double)b + 0.5) / (double)p.part->blocks - 0.5;
                    double drifts = out == NR_OUT_INLET
                                        ? 0
                                        : half * nr_joint_term(w->joint, i,
                                                               (nr_term)(NR_TERM_DRIFT_STORE -
                                                                         (out == NR_OUT_OUTLET)),
                                                               nr_joint_x(w->joint));
                    NEAR(ch->residual[at + b] - drifts, left.raw_K[b], 1e-9);
                    squares += ch->residual[at + b] * ch->residual[at + b];
                    counts[at + b] = true;
                }
                if (fits && !isnan(left.whitened[b])) {
                    double e = left.whitened[b];
                    neighbours += isnan(before) ? 0 : e * before;
                    white += e * e;
                    outliers += e > 4 || e < -4;
                    before = e;
                }
                used += enters;
                left_out += !enters && !isnan(reading);
            }
            at += p.part->blocks;
            ar1 = fits ? left.noise.slow * left.noise.phi : ar1;
        }
        ck_assert_uint_eq(at, r->blocks);
        ck_assert_uint_eq(ch->used, used);
        ck_assert_uint_eq(ch->left_out, left_out);
        ck_assert_uint_eq(ch->outliers, outliers);
        if (used == 0) {
            ck_assert(isnan(ch->rms_K) && isnan(ch->whiteness));
            continue;
        }
        NEAR_RELATIVE(ch->rms_K, sqrt(squares / (double)used), 1e-9);
        NEAR(ch->whiteness, neighbours / white, 1e-12);
        NEAR(ch->ar1, ar1, 1e-12);
        squares_of_all += squares;
        used_of_all += used;
    }
    NEAR_RELATIVE(w->fit->residual_rms_K, sqrt(squares_of_all / (double)used_of_all), 1e-9);
    for (size_t b = n = 0; b < r->blocks; b++)
        n += counts[b];
    NEAR(r->used_s, fmin((double)n * s->block_s, s->duration_s), 1e-9);
    for (size_t b = 0; b < r->blocks; b++)
        highest = r->sun_W_m2[b] > highest ? r->sun_W_m2[b] : highest;
    at = n = 0;
    for (size_t i = 0; i < s->parts; i++)
        for (size_t b = 0; b < s->part[i].blocks; b++, at++) {
            const nr_part *p = &s->part[i];
            NEAR(r->t_s[at], p->start_s + ((double)b + 0.5) * s->block_s, 1e-9);
            NEAR(r->sun_W_m2[at], mean_of_steps(s, p->sun_W_m2, b), 1e-9);
            NEAR(r->air_degC[at], mean_of_steps(s, p->air_degC, b), 1e-9);
            ck_assert(r->pump_on[at] == (p->pump_on[b] != 0) &&
                      r->bright[at] == (p->bright[b] != 0));
            if (!r->pump_on[at] || !r->bright[at] || r->sun_W_m2[at] < 0.4 * highest)
                continue;
            /* Mean of inlet and outlet; of the store alone, the store for the inlet. */
            double T = kind == LOOP ? (modelled(r, "inlet")[at] + modelled(r, "outlet")[at]) / 2
                                    : modelled(r, "store")[at];
            bright[n] = r->sun_W_m2[at];
            dT[n++] = T - r->air_degC[at];
        }
    range_is(dT, n, w->fit->dT_range, 1);
    range_is(dT, n, w->fit->x_range, 1 / w->fit->mean_sun_W_m2);
    range_is(bright, n, w->fit->sun_range, 1);
}

/* ---- energy ---- */

static void energy_of(const worked *w)
{
    const nr_series *s = w->series;
    const nr_fit *f = w->fit;
    double counted = 0, sun = 0, had = 0, water = 0, pump = 0, noise = 0;
    for (size_t i = 0; i < nr_joint_pieces(w->joint); i++) {
        const nr_part *p = nr_joint_piece(w->joint, i).part;
        size_t first = SIZE_MAX, end = 0, running = 0;
        for (size_t b = 0; b < p->blocks; b++)
            if (p->pump_on[b] && mean_of_steps(s, p->sun_W_m2, b) >= s->max_sun_W_m2 / 10) {
                first = first == SIZE_MAX ? b : first;
                end = b + 1;
            }
        ck_assert(first < end);
        for (size_t b = first; b < end; b++) {
            running += p->pump_on[b] != 0;
            sun += mean_of_steps(s, p->sun_W_m2, b) * s->block_s;
        }
        nr_loop_params q = nr_joint_params(w->joint, i, nr_joint_x(w->joint));
        double seconds = (double)(end - first) * s->block_s, middle = 0;
        for (size_t b = first; b < end; b++)
            had += q.area_m2 / (1 + q.sun_gain) *
                   (mean_of_steps(s, p->sun_W_m2, b) - q.sun_offset_W_m2) * s->block_s;
        counted += seconds;
        pump += q.pump_W * (double)running * s->block_s;
        middle = (double)(first + end) / (2 * (double)p->blocks);
        nr_channel_view left;
        ck_assert(nr_joint_channel(w->joint, i, NR_OUT_STORE, &left));
        /* Rise: measured at both ends where the model says no other, six readings each. */
        const double *model = nr_joint_modelled(w->joint, i, NR_OUT_STORE);
        double gain = nr_joint_term(w->joint, i, NR_TERM_GAIN_STORE, nr_joint_x(w->joint));
        double drift = nr_joint_term(w->joint, i, NR_TERM_DRIFT_STORE, nr_joint_x(w->joint));
        double off[2] = {0}, rise[2] = {0};
        for (int last = 0; last < 2; last++) {
            int n = 0;
            for (size_t k = 0; k < end - first && n < 6; k++) {
                size_t b = last ? end - 1 - k : first + k;
                if (isnan(p->reading[NR_OUT_STORE][b]))
                    continue;
                off[last] += (p->reading[NR_OUT_STORE][b] - model[b]) / 6;
                n++;
            }
            ck_assert_int_eq(n, 6);
            /* The edge of the window by the block means beside it: half a block further. */
            size_t b = last ? end - 1 : first, in = last ? b - 1 : b + 1;
            rise[last] = model[b] + (model[b] - model[in]) / 2;
        }
        double dT = rise[1] - rise[0] + off[1] - off[0] -
                    drift * seconds / ((double)p->blocks * s->block_s);
        water += (q.store_J_K - middle * q.lost_J_K) * dT / (1 + gain);
        noise += 2 * pow(q.store_J_K * left.noise.sigma, 2);
    }
    NEAR(f->counted_s, counted, 1e-6);
    NEAR_RELATIVE(f->sun_J, sun * f->gross_area_m2, 1e-9);
    NEAR(f->pump_J, pump, 1e-6 * fabs(pump));
    NEAR_RELATIVE(f->water_J, water, 2e-3); /* a rise of some kelvin, edges to some millikelvin */
    NEAR_RELATIVE(f->run_efficiency.value, (f->water_J - f->pump_J) / had, 1e-9);
    ck_assert(pump > 0);
    /* The noise of the ends is in u_random, on top of what the estimate says. */
    nr_derive_energy e;
    double *g = calloc(nr_joint_parameters(w->joint), sizeof *g), random;
    ck_assert(nr_derive_energy_open(w->joint, 0, &e));
    gradient_of(w->joint, nr_derive_kept_over_sun, &e, g);
    double u = u_by_hand(w->joint, g, &random), ends = sqrt(noise) / f->sun_J;
    NEAR_RELATIVE(f->run_efficiency.u, hypot(u, ends), 1e-4);
    NEAR_RELATIVE(f->run_efficiency.u_random, hypot(random, ends), 2e-3);
    nr_derive_energy_close(&e);
    free(g);
}

/* ---- regressions ---- */

/* Least squares by normal equations with Cramer's rule; u from the residuals. */
static void line_through(const double (*row)[3], const double *y, size_t n, int p, double *beta,
                         double *u)
{
    double a[3][3] = {{0}}, inverse[3][3] = {{0}}, b[3] = {0}, left = 0, scale[3];
    for (size_t i = 0; i < n; i++)
        for (int r = 0; r < p; r++) {
            b[r] += row[i][r] * y[i];
            for (int c = 0; c < p; c++)
                a[r][c] += row[i][r] * row[i][c];
        }
    for (int r = 0; r < p; r++)
        scale[r] = sqrt(a[r][r]);
    for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++)
            a[r][c] = r < p && c < p ? a[r][c] / scale[r] / scale[c] : r == c;
    double det = a[0][0] * (a[1][1] * a[2][2] - a[1][2] * a[2][1]) -
                 a[0][1] * (a[1][0] * a[2][2] - a[1][2] * a[2][0]) +
                 a[0][2] * (a[1][0] * a[2][1] - a[1][1] * a[2][0]);
    for (int r = 0; r < p; r++)
        for (int c = 0; c < p; c++) {
            int r1 = (r + 1) % 3, r2 = (r + 2) % 3, c1 = (c + 1) % 3, c2 = (c + 2) % 3;
            inverse[c][r] =
                (a[r1][c1] * a[r2][c2] - a[r1][c2] * a[r2][c1]) / det / scale[r] / scale[c];
        }
    for (int r = 0; r < p; r++) {
        beta[r] = 0;
        for (int c = 0; c < p; c++)
            beta[r] += inverse[r][c] * b[c];
    }
    for (size_t i = 0; i < n; i++) {
        double e = y[i];
        for (int c = 0; c < p; c++)
            e -= beta[c] * row[i][c];
        left += e * e;
    }
    for (int r = 0; r < p; r++)
        u[r] = sqrt(inverse[r][r] * left / (double)(n - (size_t)p));
}

/* Student's t for 95 %, two-sided, by the expansion of the normal quantile (Abramowitz and Stegun
 * 26.7.5): to 1e-3 from six degrees of freedom on. */
static double student(double dof)
{
    double z = 1.959963984540054, z3 = z * z * z, z5 = z3 * z * z, z7 = z5 * z * z;
    return z + (z3 + z) / 4 / dof + (5 * z5 + 16 * z3 + 3 * z) / 96 / dof / dof +
           (3 * z7 + 19 * z5 + 17 * z3 - 15 * z) / 384 / dof / dof / dof;
}

static void means_of(const worked *w)
{
    const nr_series *s = w->series;
    const nr_means *m = &w->fit->means;
    static double row[MOST][3], gain[MOST];
    size_t count = 0, n = (size_t)lround(600 / s->block_s);
    double area = w->fit->gross_area_m2, beta[3], u[3];
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *p = &s->part[i];
        for (size_t from = 0; from + n <= p->blocks; from += n) {
            double q = 0, sun = 0, over = 0, tT = 0, tt = 0;
            bool good = true;
            for (size_t b = from; b < from + n; b++) {
                double in = p->reading[NR_OUT_INLET][b], out = p->reading[NR_OUT_OUTLET][b];
                double T = 0.5 * in + 0.5 * out, g = mean_of_steps(s, p->sun_W_m2, b);
                double t = ((double)b - (double)from - ((double)n - 1) / 2) * s->block_s;
                good = good && p->settled[b] && p->bright[b] && g > 200 && !isnan(T) &&
                       !isnan(p->flow_L_min[b]);
                q += p->flow_L_min[b] / 60 * nr_water_density_kg_m3(in) / 1000 *
                     nr_water_cp_J_kgK(T) * (out - in) / (double)n;
                sun += g / (double)n;
                over += (T - mean_of_steps(s, p->air_degC, b)) / (double)n;
                tT += t * T;
                tt += t * t;
            }
            if (!good)
                continue;
            row[count][0] = sun;
            row[count][1] = -over;
            row[count][2] = -tT / tt;
            gain[count++] = q / area;
        }
    }
    ck_assert(count >= 6 && m->known);
    line_through((const double(*)[3])row, gain, count, 3, beta, u);
    bool told = u[2] < 0.3 * beta[2];
    ck_assert(m->a5_held == !told);
    if (!told) {
        for (size_t i = 0; i < count; i++)
            gain[i] -= w->fit->a5.value * row[i][2];
        line_through((const double(*)[3])row, gain, count, 2, beta, u);
    }
    ck_assert_uint_eq(m->windows, count);
    NEAR_RELATIVE(m->eta0.value, beta[0], 1e-6);
    NEAR(m->a1.value, beta[1], 1e-5 * fabs(beta[1]));
    NEAR_RELATIVE(m->eta0.u_random, u[0], 1e-5);
    NEAR_RELATIVE(m->a1.u_random, u[1], 1e-5);
    NEAR(m->eta0.u_systematic, w->fit->eta0.u_systematic, 1e-12);
    NEAR(m->a1.u_systematic, w->fit->a1.u_systematic, 1e-12);
    ck_assert(m->a5.known == told);
    double dof = (double)count - (told ? 3 : 2);
    NEAR_RELATIVE((m->a1.hi95 - m->a1.lo95) / 2 / m->a1.u, student(dof), 5e-3);
}

static void points_of(const worked *w)
{
    const nr_fit *f = w->fit;
    const nr_fit_run *r = &f->run[0];
    size_t n = (size_t)fmax(300 / r->block_s, 3), at = 0, seen = 0;
    for (size_t i = 0; i < nr_joint_pieces(w->joint); i++) {
        const nr_part *p = nr_joint_piece(w->joint, i).part;
        nr_loop_params q = nr_joint_params(w->joint, i, nr_joint_x(w->joint));
        nr_channel_view left;
        ck_assert(nr_joint_channel(w->joint, i, NR_OUT_STORE, &left));
        for (size_t b = 0; b + n <= p->blocks; b += n) {
            double sun = 0, T = 0, air = 0, tT = 0, tt = 0, low = 1e9, high = 0;
            bool good = true;
            for (size_t k = at + b; k < at + b + n; k++) {
                double t = (double)(k - at - b) * r->block_s - ((double)n - 1) / 2 * r->block_s;
                good = good && r->pump_on[k];
                sun += r->sun_W_m2[k] / (double)n;
                T += r->channel[0].measured[k] / (double)n;
                air += r->air_degC[k] / (double)n;
                tT += t * r->channel[0].measured[k];
                tt += t * t;
                low = fmin(low, r->sun_W_m2[k]);
                high = fmax(high, r->sun_W_m2[k]);
            }
            if (!good || isnan(T) || low < 0.85 * sun || high > 1.15 * sun || sun < 100)
                continue;
            double rate = tT / tt,
                   gain = (q.store_J_K * rate + q.store_loss_W_K * (T - air)) / q.area_m2;
            const nr_point *x = &f->point[seen++];
            ck_assert_uint_le(seen, f->points);
            NEAR(x->x, (T - air) / sun, 1e-9);
            NEAR(x->eta, (gain + f->a5.value * rate) / sun, 1e-9);
            NEAR(x->t_s, (r->t_s[at + b] + r->t_s[at + b + n - 1]) / 2, 1e-6);
            double u_rate = left.noise.sigma /
                            sqrt((double)n * r->block_s * r->block_s * (double)n * (double)n / 12);
            double u = sqrt(pow(q.store_J_K * u_rate / q.area_m2 / sun, 2) +
                            pow(f->a5.u * rate / sun, 2) + pow(f->eta0.u_systematic, 2));
            NEAR_RELATIVE(x->u, u, 1e-6);
            ck_assert(!x->steady && x->run == 0);
        }
        at += p->blocks;
    }
    ck_assert_uint_eq(seen, f->points);
    ck_assert_uint_ge(seen, 6);
}

static void classical_of(const worked *w)
{
    const nr_fit *f = w->fit;
    static double row[MOST][3], eta[MOST];
    double beta[3], u[3];
    size_t steady = 0, n = 0;
    for (size_t i = 0; i < f->points; i++)
        steady += f->point[i].steady;
    for (size_t i = 0; i < f->points; i++) {
        if (steady >= 6 && !f->point[i].steady)
            continue;
        row[n][0] = 1;
        row[n][1] = -f->point[i].x;
        eta[n++] = f->point[i].eta;
    }
    ck_assert(f->classical.known == (n >= 4));
    ck_assert_uint_eq(f->classical.points, n);
    ck_assert(f->classical.steady_only == (steady >= 6));
    if (n < 4)
        return;
    line_through((const double(*)[3])row, eta, n, 2, beta, u);
    NEAR_RELATIVE(f->classical.eta0.value, beta[0], 1e-9);
    NEAR_RELATIVE(f->classical.a1.value, beta[1], 1e-7);
    NEAR_RELATIVE(f->classical.eta0.u_random, u[0], 1e-7);
    NEAR_RELATIVE(f->classical.a1.u_random, u[1], 1e-7);
    NEAR(f->classical.eta0.u_systematic, f->eta0.u_systematic, 1e-12);
    NEAR(f->classical.a1.u_systematic, f->a1.u_systematic, 1e-12);
}

/* ---- inputs ---- */

/* Each input's part of the variance of eta0 and a1, by (C g / u)^2 over all. */
static void budget_of(const worked *w)
{
    const nr_fit *f = w->fit;
    size_t m = nr_joint_parameters(w->joint), found = 0;
    double *g[2], *unit = calloc(m, sizeof *unit), all[2];
    static const nr_result_fn fn[2] = {nr_result_efficiency, nr_result_a1};
    for (int k = 0; k < 2; k++) {
        g[k] = calloc(m, sizeof **g);
        gradient_of(w->joint, fn[k], &w->at, g[k]);
        all[k] = nr_joint_covariance(w->joint, g[k], g[k]);
    }
    for (size_t b = 0; b < f->budget_items; b++) {
        const nr_budget_item *item = &f->budget[b];
        double part[2] = {0};
        size_t first = SIZE_MAX;
        for (size_t i = 0; i < m; i++) {
            nr_parameter_view p = nr_joint_parameter(w->joint, i);
            if ((int)p.term != item->term || p.variant != item->variant || !p.has_prior)
                continue;
            first = first == SIZE_MAX ? i : first;
            unit[i] = 1;
            for (int k = 0; k < 2; k++)
                part[k] += pow(nr_joint_covariance(w->joint, unit, g[k]) / p.prior_u, 2) / all[k];
            unit[i] = 0;
            found++;
        }
        if (b > 0)
            ck_assert(item->share[NR_SHARE_ETA0] <= item[-1].share[NR_SHARE_ETA0]);
        if (item->term == NR_TERMS) {
            ck_assert(isnan(item->stated_u) && first == SIZE_MAX);
            continue;
        }
        nr_parameter_view p = nr_joint_parameter(w->joint, first);
        NEAR_AT(item->label, item->share[NR_SHARE_ETA0], part[0], 1e-4);
        NEAR_AT(item->label, item->share[NR_SHARE_A1], part[1], 1e-4);
        NEAR_AT(item->label, item->stated_u, p.prior_u, 0);
        ck_assert_str_eq(item->label, p.label);
        ck_assert_str_eq(item->unit, p.unit);
        ck_assert_str_eq(item->ask, p.ask);
        double left = p.asked_u / p.prior_u;
        NEAR_AT(item->label, item->bought, p.ask[0] ? 1 - left * left : 0, 1e-12);
    }
    size_t with_prior = 0;
    for (size_t i = 0; i < m; i++)
        with_prior += nr_joint_parameter(w->joint, i).has_prior;
    ck_assert_uint_eq(found, with_prior); /* each counted once */
    for (int k = 0; k < 2; k++)
        free(g[k]);
    free(unit);
}

static void learned_of(const worked *w)
{
    const nr_fit *f = w->fit;
    size_t at = 0;
    for (size_t i = 0; i < nr_joint_parameters(w->joint); i++) {
        nr_parameter_view p = nr_joint_parameter(w->joint, i);
        if (!p.has_prior || !nr_term_is_input(p.term))
            continue;
        ck_assert_uint_lt(at, f->learned_items);
        const nr_learned *l = &f->learned[at++];
        double v[2] = {p.prior, p.value}, u[2] = {p.prior_u, p.u};
        const char *natural = nr_term_natural_unit(p.term);
        for (int k = 0; k < 2; k++) {
            if (nr_term_transform(p.term) == NR_SQUARE_ROOT) {
                u[k] *= 2 * fabs(v[k]);
                v[k] *= v[k];
            } else if (nr_term_transform(p.term) == NR_LOGARITHM && natural[0]) {
                v[k] = exp(v[k]);
                u[k] *= v[k];
            }
        }
        ck_assert_str_eq(l->label, p.label);
        NEAR_AT(l->label, l->stated, v[0], 1e-9 * fabs(v[0]));
        NEAR_AT(l->label, l->found, v[1], 1e-9 * fabs(v[1]));
        NEAR_AT(l->label, l->stated_u, u[0], 1e-9 * u[0]);
        NEAR_AT(l->label, l->found_u, u[1], 1e-9 * u[1]);
    }
    ck_assert_uint_eq(at, f->learned_items);
}

/* Means over the sunny, pumped time, of one run: its own. */
static void conditions_of(const worked *w, int kind)
{
    const nr_series *s = w->series;
    const nr_fit *f = w->fit;
    const nr_steady_conditions *c = &w->at.conditions;
    double sun = 0, air = 0, flow = 0, n = 0, flow_W_K = 0;
    for (size_t i = 0; i < s->parts; i++)
        for (size_t b = 0; b < s->part[i].blocks; b++)
            for (size_t k = b * s->steps_per_block; k < (b + 1) * s->steps_per_block; k++) {
                const nr_part *p = &s->part[i];
                if (!p->pump_on[b] || !p->bright[b] || p->sun_W_m2[k] < 0.4 * s->max_sun_W_m2)
                    continue;
                sun += p->sun_W_m2[k];
                air += p->air_degC[k];
                flow_W_K += p->flow_W_K[k];
                flow += p->flow_L_min[b];
                n++;
            }
    NEAR_RELATIVE(c->sun_W_m2, sun / n, 0.01); /* steps at a stop's edges count by themselves */
    NEAR_RELATIVE(c->air_degC, air / n, 0.01);
    NEAR_RELATIVE(c->flow_W_K, flow_W_K / n, 0.01);
    NEAR(f->mean_sun_W_m2, c->sun_W_m2, 0);
    NEAR(f->mean_air_degC, c->air_degC, 0);
    if (kind == LOOP)
        NEAR_RELATIVE(f->mean_flow_L_min, flow / n, 0.02);
    else
        ck_assert(isnan(f->mean_flow_L_min));
    ck_assert(nr_derive_knows_flow(w->joint, 0) == (kind == LOOP));
    ck_assert_int_eq(f->model, kind == LOOP ? NR_MODEL_BOTH : NR_MODEL_STORE);
    ck_assert_int_eq(f->reference, kind == LOOP ? NR_REFERENCE_MEAN : NR_REFERENCE_INLET);
    ck_assert(f->incidence.known);
    NEAR(f->incidence.mean_deg, s->incidence_mean_deg, 1e-12);
    NEAR(f->incidence.lo_deg, s->incidence_lo_deg, 0);
    NEAR(f->incidence.hi_deg, s->incidence_hi_deg, 0);
    double b0 = nr_joint_x(w->joint)[nr_joint_index(w->joint, 0, NR_TERM_B0)];
    NEAR(f->incidence.b0, b0, 0);
    NEAR(f->incidence.modifier, 1 - b0 * s->obliquity_mean, 1e-12);
}

START_TEST(a_measured_loop)
{
    worked w;
    set_up(&w, LOOP);
    conditions_of(&w, LOOP);
    coefficients_of(&w);
    curve_of(&w);
    covariances_of(&w);
    blocks_of(&w, LOOP);
    energy_of(&w);
    means_of(&w);
    classical_of(&w);
    budget_of(&w);
    learned_of(&w);
    tear_down(&w);
}
END_TEST

START_TEST(the_store_alone)
{
    worked w;
    set_up(&w, STORE);
    conditions_of(&w, STORE);
    coefficients_of(&w);
    curve_of(&w);
    covariances_of(&w);
    blocks_of(&w, STORE);
    energy_of(&w);
    points_of(&w);
    classical_of(&w);
    budget_of(&w);
    learned_of(&w);
    tear_down(&w);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_measured_loop, the_store_alone, NULL};
    return run_tests("worked out", tests);
}
