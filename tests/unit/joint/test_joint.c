/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The joint problem: its Jacobian is its derivative, shared things are shared, and the variance
 * splits over the rows it came from without remainder. */
#include "analyze/joint/blocks.h"
#include "analyze/joint/evaluate.h"
#include "analyze/joint/inside.h"
#include "analyze/joint/score.h"
#include "tests/unit/joint/factors.h"
#include "tests/unit/quality/records.h"

#define RUNS 3

typedef struct bundle {
    nr_virtual_run *run[RUNS];
    nr_series *series[RUNS];
    nr_joint *joint;
} bundle;

/* Two short runs of the glazed build and one of the bare; wind, gains and offsets everywhere, a
 * pump stop, one pyranometer for all. */
static nr_virtual_params params_of(int which)
{
    nr_virtual_params p = which == 2 ? nr_virtual_bare() : nr_virtual_glazed();
    p.rig_seed = 3;
    p.day_seed = (unsigned long)which + 1;
    p.duration_s = 1500;
    p.interval_s = 5;
    p.sky = which ? NR_SKY_CLOUDY : NR_SKY_CLEAR;
    p.channels |= NR_VC_BIT(NR_VC_WIND);
    p.wind_noise_m_s = 0.8;
    if (which == 1) {
        p.store_above_air_K = 15;
        p.pump_stop_s = 700;
        p.pump_restart_s = 900;
    }
    snprintf(p.sensor[NR_VC_SUN].identity, sizeof p.sensor[0].identity, "shed pyranometer");
    p.sensor[NR_VC_SUN].u_offset = 3;
    p.sensor[NR_VC_STORE].u_gain = p.sensor[NR_VC_INLET].u_gain = 0.002;
    p.sensor[NR_VC_OUTLET].u_gain = 0.002;
    return p;
}

/* Nothing is said of what a driveway adds: each has its term. Two probes are of kinds that drift.
 */
static void say_nothing(nr_rig *rig)
{
    rig->collector.back.kind = NR_BACK_UNKNOWN;
    rig->store.lid = NR_LID_UNKNOWN;
    rig->store.pump_W.given = false;
    for (size_t c = 0; c < rig->channels; c++)
        rig->channel[c].shaded = NR_SHADED_UNKNOWN;
    for (size_t c = 0; c < rig->channels; c++) {
        const char *name = rig->channel[c].name;
        const char *kind = !strcmp(name, "store")    ? "glass"
                           : !strcmp(name, "outlet") ? "thermocouple"
                                                     : NULL;
        if (kind)
            rig->channel[c].kind = nr_instrument_find(kind, NR_DIM_TEMPERATURE);
    }
}

static void set_up(bundle *b)
{
    static const size_t build_of[RUNS] = {0, 0, 1};
    nr_err err = {0};
    for (int i = 0; i < RUNS; i++) {
        nr_virtual_params p = params_of(i);
        b->run[i] = simulate(&p);
        say_nothing(&b->run[i]->run.rig);
        nr_code code = nr_series_build(&b->run[i]->run, &b->series[i], &err);
        ck_assert_msg(code == NR_OK, "%s", err.text);
    }
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_code code = nr_joint_setup((const nr_series *const *)b->series, build_of, RUNS, 2, &options,
                                  &b->joint, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
}

static void tear_down(bundle *b)
{
    nr_joint_free(b->joint);
    for (int i = 0; i < RUNS; i++) {
        nr_series_free(b->series[i]);
        nr_virtual_run_free(b->run[i]);
    }
}

static size_t count_terms(const nr_joint *j, nr_term term)
{
    size_t count = 0;
    for (size_t i = 0; i < j->parameters; i++)
        count += j->parameter[i].term == term;
    return count;
}

START_TEST(what_is_shared_is_one_parameter)
{
    bundle b;
    set_up(&b);
    const nr_joint *j = b.joint;
    ck_assert_uint_eq(j->pieces, 3);
    /* one pyranometer and one air thermometer for all; probes and flow meter of each build */
    ck_assert_uint_eq(count_terms(j, NR_TERM_AIR_OFFSET), 1);
    ck_assert_uint_eq(count_terms(j, NR_TERM_SUN_GAIN), 1);
    ck_assert_uint_eq(count_terms(j, NR_TERM_SUN_OFFSET), 1);
    ck_assert_uint_eq(count_terms(j, NR_TERM_OFFSET_STORE), 2);
    ck_assert_uint_eq(count_terms(j, NR_TERM_GAIN_OUTLET), 2);

    ck_assert_uint_eq(count_terms(j, NR_TERM_LN_FLOW), 2);
    /* the collector is the same in both of its runs; water is weighed for each run */
    ck_assert_uint_eq(count_terms(j, NR_TERM_OPTICAL), 2);
    ck_assert_uint_eq(count_terms(j, NR_TERM_AREA), 2);
    ck_assert_uint_eq(count_terms(j, NR_TERM_ROOT_COVER), 1); /* the bare one has none */
    ck_assert_uint_eq(count_terms(j, NR_TERM_WATER), 3);
    ck_assert_uint_eq(count_terms(j, NR_TERM_T_STORE), 3);
    ck_assert_uint_eq(count_terms(j, NR_TERM_DRIFT_STORE), 3);
    /* As the kind says, and 0.035 K where no kind is stated. */
    NEAR(j->parameter[j->piece[0].index[NR_TERM_DRIFT_STORE]].prior_u, 0.05, 1e-12);
    NEAR(j->parameter[j->piece[0].index[NR_TERM_DRIFT_OUTLET]].prior_u, 0.2, 1e-12);
    NEAR(j->parameter[j->piece[0].index[NR_TERM_DRIFT_INLET]].prior_u, 0.035, 1e-12);
    for (int t = 0; t < NR_TERMS; t++) {
        bool own = t == NR_TERM_WATER || t == NR_TERM_T_STORE || t == NR_TERM_T_COLLECTOR ||
                   t == NR_TERM_LOST || t == NR_TERM_DRIFT_INLET || t == NR_TERM_DRIFT_OUTLET ||
                   t == NR_TERM_DRIFT_STORE;
        bool same = j->piece[0].index[t] == j->piece[1].index[t];
        ck_assert_msg(same == !own, "term %d of two runs of one build", t);
    }
    ck_assert_int_eq(j->piece[0].index[NR_TERM_SUN_GAIN], j->piece[2].index[NR_TERM_SUN_GAIN]);
    tear_down(&b);
}
END_TEST

/* A sensor without an identity is a sensor of its own in every run. */
START_TEST(without_identity_nothing_is_shared)
{
    bundle b;
    set_up(&b);
    nr_joint_free(b.joint);
    for (int i = 0; i < RUNS; i++)
        for (size_t c = 0; c < b.run[i]->run.rig.channels; c++)
            b.run[i]->run.rig.channel[c].sensor[0] = '\0';
    static const size_t build_of[RUNS] = {0, 0, 1};
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {0};
    ck_assert_int_eq(nr_joint_setup((const nr_series *const *)b.series, build_of, RUNS, 2, &options,
                                    &b.joint, &err),
                     NR_OK);
    ck_assert_uint_eq(count_terms(b.joint, NR_TERM_SUN_GAIN), 3);
    ck_assert_uint_eq(count_terms(b.joint, NR_TERM_OFFSET_STORE), 3);
    tear_down(&b);
}
END_TEST

/* Builds of one record have one sky, one pyranometer and one air thermometer, named or not; unless
 * one of them has its own. */
START_TEST(builds_of_one_record_share_the_weather)
{
    bundle b;
    static nr_run record;
    set_up(&b);
    nr_joint_free(b.joint);
    for (int i = 0; i < RUNS; i++) {
        nr_run *run = &b.run[i]->run;
        run->record = i == 0 ? NULL : &record; /* the first is a record of its own */
        run->collector = (size_t)i;
        for (size_t c = 0; c < run->rig.channels; c++) {
            run->rig.channel[c].sensor[0] = '\0';
            if (i == 2 && strcmp(run->rig.channel[c].name, "air") == 0)
                snprintf(run->rig.channel[c].of, sizeof run->rig.channel[c].of, "right");
        }
    }
    static const size_t build_of[RUNS] = {0, 1, 2};
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {0};
    ck_assert_int_eq(nr_joint_setup((const nr_series *const *)b.series, build_of, RUNS, 3, &options,
                                    &b.joint, &err),
                     NR_OK);
    ck_assert_uint_eq(count_terms(b.joint, NR_TERM_SUN_GAIN), 2);
    ck_assert_uint_eq(count_terms(b.joint, NR_TERM_AIR_OFFSET), 3);
    ck_assert_uint_eq(count_terms(b.joint, NR_TERM_OFFSET_STORE), 3);
    ck_assert_uint_eq(count_terms(b.joint, NR_TERM_LN_FLOW), 3);
    tear_down(&b);
}
END_TEST

/* ---- what the rig file says ---- */

/* Parameters of the simulation at the priors, after `change` was made to the rig file. */
static nr_loop_params stated(void (*change)(nr_rig *), int *back, int *open, int *pump, int *air)
{
    nr_virtual_params p = params_of(1);
    p.sky = NR_SKY_CLEAR;
    nr_virtual_run *run = simulate(&p);
    nr_series *series = NULL;
    nr_joint *j = NULL;
    nr_err err = {0};
    static const size_t build_of[1] = {0};
    nr_joint_options options = {.use_store = true, .use_loop = true};
    change(&run->run.rig);
    ck_assert_int_eq(nr_series_build(&run->run, &series, &err), NR_OK);
    const nr_series *one = series;
    ck_assert_int_eq(nr_joint_setup(&one, build_of, 1, 1, &options, &j, &err), NR_OK);
    double *x = malloc(j->parameters * sizeof *x);
    for (size_t i = 0; i < j->parameters; i++)
        x[i] = j->parameter[i].prior;
    nr_loop_params q = nr_joint_params(j, 0, x);
    *back = j->piece[0].index[NR_TERM_LN_BACK];
    *open = j->piece[0].index[NR_TERM_OPENING];
    *pump = j->piece[0].index[NR_TERM_LN_PUMP];
    *air = j->piece[0].index[NR_TERM_SUN_ON_AIR];
    free(x);
    nr_joint_free(j);
    nr_series_free(series);
    nr_virtual_run_free(run);
    return q;
}

static void give(nr_value *v, double value)
{
    *v = (nr_value){.given = true, .value = value, .u = NAN};
}

static void say_all(nr_rig *rig)
{
    rig->collector.back.kind = NR_BACK_NONE;
    rig->store.lid = NR_LID_YES;
    give(&rig->store.pump_W, 0);
    for (size_t c = 0; c < rig->channels; c++)
        rig->channel[c].shaded = NR_SHADED_YES;
}

static void say_numbers(nr_rig *rig)
{
    say_all(rig);
    rig->store.lid = NR_LID_NO;
    give(&rig->store.opening_m2, 0.07);
    give(&rig->store.pump_W, 6);
    give(&rig->collector.back_heat_capacity_J_K, 9000 * rig->collector.gross_area_m2.value);
    give(&rig->store.water_kg, 40);
    give(&rig->store.water_end_kg, 36);
}

/* What is stated not to be there has no term; what is stated by its number begins there. Numbers by
 * hand: a tenth of 40 kg of water at 4.18 kJ/(kg K); still air over water half of Carrier's
 * coefficient, and 0.3 of it more for each m/s of the rig's 1.5 m/s of wind. */
START_TEST(what_is_stated_is_no_guess)
{
    int back, open, pump, air;
    nr_loop_params q = stated(say_all, &back, &open, &pump, &air);
    ck_assert(back < 0 && open < 0 && pump < 0 && air < 0);
    NEAR(q.back_J_m2K, 0, 0);
    NEAR(q.opening_m2, 0, 0);
    NEAR(q.pump_W, 0, 0);
    NEAR(q.sun_on_air_K, 0, 0);
    NEAR(q.lost_J_K, 0, 0);

    q = stated(say_nothing, &back, &open, &pump, &air);
    ck_assert(back >= 0 && open >= 0 && pump >= 0 && air >= 0);
    ck_assert(q.pump_W > 1 && q.pump_W < 10);

    q = stated(say_numbers, &back, &open, &pump, &air);
    ck_assert(back >= 0 && open >= 0 && pump >= 0 && air < 0);
    NEAR_RELATIVE(q.back_J_m2K, 9000, 1e-12);
    NEAR_RELATIVE(q.pump_W, 6, 1e-12);
    NEAR_RELATIVE(q.opening_m2, 0.07 * (0.5 + 0.3 * 1.5), 0.1);
    NEAR_RELATIVE(q.lost_J_K, 4 * 4180, 0.02);
}
END_TEST

/* Away from the start, so that nothing is at a special value. */
static void somewhere(const nr_joint *j, double *x)
{
    for (size_t i = 0; i < j->parameters; i++) {
        double u = j->parameter[i].term == NR_TERM_T_COLLECTOR ? 3 : j->parameter[i].scale;
        x[i] = j->parameter[i].start + 0.2 * u * sin((double)i + 1);
    }
}

START_TEST(jacobian_is_the_derivative)
{
    bundle b;
    set_up(&b);
    nr_joint *j = b.joint;
    nr_noise noise = {.sigma = 0.05, .slow = 0.7, .phi = 0.9};
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++) {
            ck_assert(j->piece[i].fits[c] == (c != NR_OUT_INLET)); /* it drives */
            if (!j->piece[i].fits[c])
                continue;
            nr_whitener_set(&j->piece[i].whitener[c], &noise, j->piece[i].used[c]);
        }
    size_t n = j->rows, m = j->parameters;
    double *x = malloc(m * sizeof *x), *jacobian = malloc(n * m * sizeof *jacobian);
    double *r[4];
    for (int k = 0; k < 4; k++)
        r[k] = malloc(n * sizeof **r);
    somewhere(j, x);
    ck_assert_int_eq(nr_joint_jacobian(x, j, jacobian), 0);
    for (size_t i = 0; i < m; i++) {
        double h = 1e-3 * j->parameter[i].scale, at = x[i], largest = 0;
        static const double where[4] = {1, -1, 2, -2};
        for (int k = 0; k < 4; k++) {
            x[i] = at + where[k] * h;
            ck_assert_int_eq(nr_joint_residuals(x, j, r[k]), 0);
        }
        x[i] = at;
        for (size_t row = 0; row < n; row++)
            largest = fmax(largest, fabs(jacobian[row * m + i]));
        ck_assert_msg(largest > 0, "%s acts on nothing", nr_joint_parameter(j, i).label);
        for (size_t row = 0; row < n; row++) {
            double slope = (8 * (r[0][row] - r[1][row]) - (r[2][row] - r[3][row])) / (12 * h);
            NEAR_AT(nr_joint_parameter(j, i).label, jacobian[row * m + i], slope,
                    1e-6 * largest + 1e-9 / h);
        }
    }
    for (int k = 0; k < 4; k++)
        free(r[k]);
    free(x);
    free(jacobian);
    tear_down(&b);
}
END_TEST

/* Store, air and sun, and a pump on a panel of its own that stalls: seeds of the benchmark. */
static nr_joint *stalling(unsigned long seed, nr_virtual_run **run, nr_series **series)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.rig_seed = p.day_seed = seed;
    nr_virtual_stall_day(&p);
    p.channels = NR_VC_STORE_SET | NR_VC_BIT(NR_VC_PUMP);
    p.state_store_loss = true;
    p.stated.iam_b0 = 0.1;
    *run = simulate(&p);
    nr_joint *j = NULL;
    nr_err err = {0};
    static const size_t build_of[1] = {0};
    nr_joint_options options = {.use_store = true, .use_loop = true};
    ck_assert_int_eq(nr_series_build(&(*run)->run, series, &err), NR_OK);
    const nr_series *one = *series;
    ck_assert_int_eq(nr_joint_setup(&one, build_of, 1, 1, &options, &j, &err), NR_OK);
    return j;
}

/* The column of what an unmeasured flow follows, which the other records do not have. */
START_TEST(flow_follows_the_supply)
{
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *j = stalling(1, &run, &series);
    int i = j->piece[0].index[NR_TERM_FLOW_EXPONENT];
    ck_assert_int_ge(i, 0);
    nr_noise noise = {.sigma = 0.05, .slow = 0.7, .phi = 0.9};
    nr_whitener_set(&j->piece[0].whitener[NR_OUT_STORE], &noise, j->piece[0].used[NR_OUT_STORE]);
    size_t n = j->rows, m = j->parameters;
    double *x = malloc(m * sizeof *x), *jacobian = malloc(n * m * sizeof *jacobian);
    double *above = malloc(n * sizeof *above), *below = malloc(n * sizeof *below);
    somewhere(j, x);
    double h = 1e-3, largest = 0;
    ck_assert_int_eq(nr_joint_jacobian(x, j, jacobian), 0);
    x[i] += h;
    ck_assert_int_eq(nr_joint_residuals(x, j, above), 0);
    x[i] -= 2 * h;
    ck_assert_int_eq(nr_joint_residuals(x, j, below), 0);
    for (size_t row = 0; row < j->piece[0].part->blocks; row++)
        largest = fmax(largest, fabs(jacobian[row * m + (size_t)i]));
    ck_assert_double_gt(largest, 0.01);
    for (size_t row = 0; row < n; row++)
        NEAR_AT("flow exponent", jacobian[row * m + (size_t)i], (above[row] - below[row]) / (2 * h),
                1e-5 * largest + 1e-9 / h);
    free(above);
    free(below);
    free(x);
    free(jacobian);
    nr_joint_free(j);
    nr_series_free(series);
    nr_virtual_run_free(run);
}
END_TEST

/* A glazed collector that gains heat from colder air is a false minimum; from the usual start, the
 * search fell into it on these days. */
START_TEST(no_loss_below_zero)
{
    static const unsigned long seed[] = {411, 449, 419};
    for (int i = 0; i < 3; i++) {
        nr_virtual_run *run;
        nr_series *series;
        nr_joint *j = stalling(seed[i], &run, &series);
        nr_err err = {0};
        ck_assert_msg(nr_joint_solve(j, &err) == NR_OK, "%s", err.text);
        ck_assert_double_gt(nr_joint_term(j, 0, NR_TERM_LOSS, j->x), 1);
        nr_joint_free(j);
        nr_series_free(series);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* What cannot be simulated is outside the domain and not a crash. */
START_TEST(nonsense_is_outside)
{
    bundle b;
    set_up(&b);
    nr_joint *j = b.joint;
    double *x = malloc(j->parameters * sizeof *x), *r = malloc(j->rows * sizeof *r);
    static const struct {
        nr_term term;
        double value;
    } nonsense[] = {{NR_TERM_AREA, -1.5},       {NR_TERM_WATER, -2},    {NR_TERM_LN_EXCHANGE, 50},
                    {NR_TERM_LN_CAPACITY, 50},  {NR_TERM_SUN_GAIN, -1}, {NR_TERM_LOSS, NAN},
                    {NR_TERM_OPTICAL, INFINITY}};
    for (size_t k = 0; k < sizeof nonsense / sizeof nonsense[0]; k++) {
        somewhere(j, x);
        ck_assert_int_eq(nr_joint_residuals(x, j, r), 0);
        x[j->piece[0].index[nonsense[k].term]] = nonsense[k].value;
        ck_assert_msg(nr_joint_residuals(x, j, r) != 0, "term %d = %g is taken", nonsense[k].term,
                      nonsense[k].value);
    }
    free(x);
    free(r);
    tear_down(&b);
}
END_TEST

/* ---- after the fit ---- */

START_TEST(the_variance_splits_without_remainder)
{
    bundle b;
    set_up(&b);
    nr_joint *j = b.joint;
    nr_err err = {0};
    ck_assert_msg(nr_joint_solve(j, &err) == NR_OK, "%s", err.text);
    size_t m = j->parameters;
    double *gradient = calloc(m, sizeof *gradient), *share = malloc((m + 1) * sizeof *share);
    for (size_t i = 0; i < m; i++) {
        gradient[i] = 1;
        double random, systematic;
        double variance = nr_joint_variance(j, gradient, &random, &systematic, share);
        gradient[i] = 0;
        NEAR_RELATIVE(variance, j->covariance[i * m + i], 1e-12);
        double sum = share[m], u = j->parameter[i].prior_u;
        for (size_t k = 0; k < m; k++) {
            ck_assert(share[k] >= 0);
            sum += share[k];
        }
        NEAR_RELATIVE(sum, variance, 1e-9);
        NEAR_RELATIVE(random * random + systematic * systematic, variance, 1e-9);
        ck_assert_double_ge(share[m], 0);
        if (!j->parameter[i].has_prior)
            continue;
        /* No parameter is known worse than beforehand; what only its prior speaks of keeps it. */
        ck_assert_msg(sqrt(variance) <= u * (1 + 1e-6), "%s: %g > %g",
                      nr_joint_parameter(j, i).label, sqrt(variance), u);
        if (j->parameter[i].term == NR_TERM_MODEL_GAIN) {
            NEAR_RELATIVE(variance, u * u, 1e-6);
            NEAR_RELATIVE(share[i], variance, 1e-6);
        }
    }
    free(gradient);
    free(share);
    tear_down(&b);
}
END_TEST

/* After the passes the residuals of every channel are white: their noise model fits them. Not so
 * the outlet of the bare build: gusts act on it through its heat capacity, smoother than a
 * first-order process; only its variance is held here. */
START_TEST(the_whitened_residuals_are_white)
{
    bundle b;
    set_up(&b);
    nr_joint *j = b.joint;
    nr_err err = {0};
    ck_assert_msg(nr_joint_solve(j, &err) == NR_OK, "%s", err.text);
    for (size_t i = 0; i < j->pieces; i++) {
        for (int c = 0; c < NR_OUTS; c++) {
            nr_piece *p = &j->piece[i];
            if (!p->fits[c])
                continue;
            size_t n = p->part->blocks, m = 0;
            double *e = malloc(n * sizeof *e), sum = 0, lag1 = 0;
            memcpy(e, j->residual + p->row[c], n * sizeof *e);
            nr_whiten(&p->whitener[c], e, 1, 1);
            for (size_t k = 0; k < n; k++) {
                if (!p->used[c][k])
                    continue;
                m++;
                sum += e[k] * e[k];
                lag1 += k && p->used[c][k - 1] ? e[k] * e[k - 1] : 0;
            }
            /* Some freedom went into the fit; the limits are 4 / sqrt(m) either way. */
            NEAR_AT("variance", sum / (double)m, 1, 4 * sqrt(2 / (double)m));
            if (p->build == 0 || c != NR_OUT_OUTLET)
                NEAR_AT("lag-1", lag1 / sum, 0, 4 / sqrt((double)m));
            free(e);
        }
    }
    tear_down(&b);
}
END_TEST

/* Piece by piece the same minimum and the same covariance as by orthogonal factors of the whole
 * Jacobian, from a start that is off by a standard uncertainty in everything. */
START_TEST(by_blocks_the_same)
{
    bundle b;
    set_up(&b);
    nr_joint *j = b.joint;
    nr_err err = {0};
    ck_assert_msg(nr_joint_solve(j, &err) == NR_OK, "%s", err.text);
    size_t m = j->parameters;
    double *scale = malloc(m * sizeof *scale), *x = malloc(m * sizeof *x), chi2 = 0;
    double *dense = malloc(m * sizeof *dense), *covariance = malloc(m * m * sizeof *covariance);
    ck_assert_msg(nr_joint_refit(j, false, &err) == NR_OK, "%s",
                  err.text); /* whiteners as they are now */
    for (size_t i = 0; i < m; i++) {
        scale[i] = j->parameter[i].scale;
        dense[i] = j->x[i];
        j->x[i] += (i % 2 ? 1 : -1) * sqrt(j->covariance[i * m + i]);
    }
    ck_assert_msg(nr_blocks_solve(j, scale, NR_CLOSE_EXACTLY, 100, x, covariance, &chi2, &err) ==
                      NR_OK,
                  "%s", err.text);
    memcpy(j->x, x, m * sizeof *x); /* what slopes were kept on the way is another's place */
    j->has_slopes = false;
    ck_assert_int_eq(nr_blocks_solve(j, scale, NR_CLOSE_EXACTLY, 100, x, covariance, &chi2, &err),
                     NR_OK);
    NEAR_RELATIVE(chi2, j->chi2_data, 1e-3); /* without the priors' rows: no minimum by itself */
    /* A covariance is that of its place: a little on in a bent valley it is another. */
    gsl_matrix *r = gsl_matrix_alloc(j->rows, m);
    gsl_vector *tau = gsl_vector_alloc(m);
    nr_joint_jacobian(x, j, r->data);
    gsl_linalg_QR_decomp(r, tau);
    for (size_t i = 0; i < m; i++) {
        double u2 = variance_of(r, i);
        NEAR_AT(nr_joint_parameter(j, i).label, x[i], dense[i], 0.05 * sqrt(u2));
        NEAR_AT(nr_joint_parameter(j, i).label, covariance[i * m + i], u2, 0.01 * u2);
        j->x[i] += (i % 2 ? 1 : -1) * sqrt(u2);
    }
    gsl_matrix_free(r);
    gsl_vector_free(tau);
    /* To the last digit whatever the number of threads; and it knows when to stop. */
    double *alone = dense;
    j->threads = 1;
    j->has_slopes = false;
    ck_assert_int_eq(
        nr_blocks_solve(j, scale, NR_CLOSE_EXACTLY, 100, alone, covariance, &chi2, &err), NR_OK);
    j->threads = 3;
    j->has_slopes = false;
    ck_assert_int_eq(nr_blocks_solve(j, scale, NR_CLOSE_EXACTLY, 100, x, covariance, &chi2, &err),
                     NR_OK);
    ck_assert_int_eq(memcmp(alone, x, m * sizeof *x), 0);
    j->has_slopes = false;
    ck_assert_int_eq(nr_blocks_solve(j, scale, NR_CLOSE_EXACTLY, 4, x, covariance, &chi2, &err),
                     NR_CANNOT);
    ck_assert_msg(strstr(err.text, "given up after") != NULL, "%s", err.text);
    free(scale);
    free(x);
    free(dense);
    free(covariance);
    tear_down(&b);
}
END_TEST

/* From the solution of another that is the same the same is found in fewer evaluations; and of a
 * beginning that leads nowhere nothing is left. */
START_TEST(from_anothers_solution_the_same)
{
    static const size_t build_of[RUNS] = {0, 0, 1};
    bundle b;
    set_up(&b);
    nr_err err = {0};
    ck_assert_msg(nr_joint_solve(b.joint, &err) == NR_OK, "%s", err.text);
    nr_joint_begin *begin = nr_joint_begin_at(b.joint);
    nr_joint_options options = {.use_store = true, .use_loop = true, .begin = begin};
    for (int astray = 0; astray < 2; astray++) {
        nr_joint *again;
        ck_assert_int_eq(nr_joint_setup((const nr_series *const *)b.series, build_of, RUNS, 2,
                                        &options, &again, &err),
                         NR_OK);
        for (size_t i = 0; astray && i < b.joint->parameters; i++)
            b.joint->x[i] = NAN;
        nr_joint_begin *nowhere = nr_joint_begin_at(b.joint);
        again->options.begin = astray ? nowhere : begin;
        ck_assert_msg(nr_joint_solve(again, &err) == NR_OK, "%s", err.text);
        ck_assert(again->near == !astray);
        if (!astray) {
            ck_assert_uint_lt(again->spent, b.joint->spent);
            for (size_t i = 0; i < b.joint->parameters; i++)
                NEAR_AT(nr_joint_parameter(again, i).label, again->x[i], b.joint->x[i],
                        0.05 * nr_joint_parameter(b.joint, i).u);
        }
        nr_joint_begin_free(nowhere);
        nr_joint_free(again);
    }
    nr_joint_begin_free(begin);
    tear_down(&b);
}
END_TEST

START_TEST(too_many_runs_are_counted)
{
    const nr_series *series[NR_JOINT_RUNS + 1] = {NULL};
    size_t build_of[NR_JOINT_RUNS + 1] = {0};
    nr_joint_options options = {.use_store = true};
    nr_joint *j;
    nr_err err = {0};
    ck_assert_int_eq(nr_joint_setup(series, build_of, NR_JOINT_RUNS + 1, 1, &options, &j, &err),
                     NR_BAD);
    ck_assert_str_eq(err.text, "1 to 256 runs can be fitted together, not 257");
}
END_TEST

/* A build alone has the whole's values and covariance of what concerns it, and splits a variance as
 * the whole does. */
START_TEST(a_part_is_as_the_whole_has_it)
{
    bundle b;
    set_up(&b);
    nr_joint *j = b.joint;
    nr_err err = {0};
    ck_assert_msg(nr_joint_solve(j, &err) == NR_OK, "%s", err.text);
    for (size_t build = 0; build < 2; build++) {
        nr_joint *part = NULL;
        ck_assert_int_eq(nr_joint_part(j, build, &part, &err), NR_OK);
        ck_assert_uint_eq(nr_joint_runs(part), build ? 1 : 2);
        size_t m = part->parameters, first = nr_joint_piece_of(j, build);
        double *gradient = malloc(m * sizeof *gradient);
        double *embedded = malloc(j->parameters * sizeof *embedded), r[2], s[2];
        for (size_t i = 0; i < m; i++)
            gradient[i] = 1 + (double)(i % 3);
        nr_joint_embed(part, gradient, embedded);
        double v = nr_joint_variance(part, gradient, &r[0], &s[0], NULL);
        NEAR_RELATIVE(v, nr_joint_variance(j, embedded, &r[1], &s[1], NULL), 1e-12);
        NEAR_RELATIVE(nr_joint_covariance(part, gradient, gradient), v, 1e-9);
        NEAR_RELATIVE(r[0], r[1], 1e-12);
        NEAR_RELATIVE(s[0], s[1], 1e-12);
        for (int t = 0; t < NR_TERMS; t++)
            ck_assert(nr_joint_term(part, 0, (nr_term)t, part->x) ==
                      nr_joint_term(j, first, (nr_term)t, j->x));
        nr_channel_view of_part, of_whole;
        ck_assert(nr_joint_channel(part, 0, NR_OUT_OUTLET, &of_part));
        ck_assert(nr_joint_channel(j, first, NR_OUT_OUTLET, &of_whole));
        ck_assert_int_eq(memcmp(of_part.raw_K, of_whole.raw_K, of_part.blocks * sizeof(double)), 0);
        free(gradient);
        free(embedded);
        nr_joint_free(part);
    }
    tear_down(&b);
}
END_TEST

/* Both sides of the quarter of an hour of standing water that tells the container's loss from the
 * collector's. */
START_TEST(a_pump_that_stood_tells_the_containers_loss)
{
    static const double stood_s[] = {850, 950};
    for (int k = 0; k < 2; k++) {
        static const size_t build_of[] = {0};
        nr_virtual_params p = params_of(0);
        p.duration_s = 3000;
        p.channels = NR_VC_STORE_SET | NR_VC_BIT(NR_VC_FLOW);
        p.pump_stop_s = 1000;
        p.pump_restart_s = 1000 + stood_s[k];
        nr_virtual_run *run = simulate(&p);
        run->run.rig.store.loss_W_K.given = false;
        nr_series *series = NULL;
        nr_joint *joint = NULL;
        nr_err err = {0};
        ck_assert_int_eq(nr_series_build(&run->run, &series, &err), NR_OK);
        nr_joint_options options = {.use_store = true};
        ck_assert_int_eq(nr_joint_setup((const nr_series *const *)&series, build_of, 1, 1, &options,
                                        &joint, &err),
                         NR_OK);
        ck_assert_msg(joint->store_loss_separate[0] == (k == 1), "stood for %g s", stood_s[k]);
        nr_joint_free(joint);
        nr_series_free(series);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* ---- what a trouble does to a result ---- */

#define JUMPS_S 1800.0

static nr_joint *solved_with(double jump_K, nr_virtual_run **run, nr_series **series)
{
    static const size_t first = 0;
    nr_virtual_params p = nr_virtual_glazed();
    nr_err err = {0};
    nr_joint *joint = NULL;
    p.rig_seed = 3;
    p.day_seed = 5;
    p.duration_s = 3600;
    p.interval_s = 5;
    *run = simulate(&p);
    double *outlet = column(*run, "outlet");
    for (size_t i = 0; i < (*run)->run.readings->rows; i++)
        outlet[i] += (*run)->run.readings->elapsed_s[i] >= JUMPS_S ? jump_K : 0;
    ck_assert(nr_series_build(&(*run)->run, series, &err) == NR_OK);
    nr_joint_options options = {.use_store = true, .use_loop = true};
    const nr_series *const one[] = {*series};
    ck_assert(nr_joint_setup(one, &first, 1, 1, &options, &joint, &err) == NR_OK);
    ck_assert_msg(nr_joint_solve(joint, &err) == NR_OK, "%s", err.text);
    return joint;
}

/* Linear theory against two fits, with and without the jump. They find their own noise each, so a
 * fifth is near enough. */
START_TEST(a_jump_moves_the_gain_as_foretold)
{
    const double jump_K = 0.15;
    nr_virtual_run *run[2];
    nr_series *series[2];
    nr_joint *plain = solved_with(0, &run[0], &series[0]);
    nr_joint *jumped = solved_with(jump_K, &run[1], &series[1]);
    nr_scorer *scorer = NULL;
    nr_err err = {0};
    ck_assert(nr_scorer_open(plain, &scorer, &err) == NR_OK);
    nr_piece_view v = nr_joint_piece(plain, 0);
    size_t blocks = v.part->blocks, optical = (size_t)nr_joint_index(plain, 0, NR_TERM_OPTICAL);
    double *step = calloc(blocks, sizeof *step);
    double *gradient = calloc(nr_joint_parameters(plain), sizeof *gradient);
    for (size_t b = 0; b < blocks; b++)
        step[b] = v.part->start_s + ((double)b + 0.5) * v.series->block_s >= JUMPS_S;
    gradient[optical] = 1;
    const double *added[NR_OUTS] = {NULL};
    added[NR_OUT_OUTLET] = step;
    double foretold = jump_K * nr_scorer_moves(scorer, 0, added, gradient);
    double moved = nr_joint_x(jumped)[optical] - nr_joint_x(plain)[optical];
    ck_assert(fabs(moved) > 1e-3);
    NEAR(foretold, moved, 0.2 * fabs(moved));
    free(step);
    free(gradient);
    nr_scorer_free(scorer);
    for (int i = 0; i < 2; i++) {
        nr_joint_free(i ? jumped : plain);
        nr_series_free(series[i]);
        nr_virtual_run_free(run[i]);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_jump_moves_the_gain_as_foretold,
                                  what_is_shared_is_one_parameter,
                                  without_identity_nothing_is_shared,
                                  builds_of_one_record_share_the_weather,
                                  what_is_stated_is_no_guess,
                                  jacobian_is_the_derivative,
                                  a_pump_that_stood_tells_the_containers_loss,
                                  flow_follows_the_supply,
                                  no_loss_below_zero,
                                  nonsense_is_outside,
                                  the_variance_splits_without_remainder,
                                  the_whitened_residuals_are_white,
                                  by_blocks_the_same,
                                  from_anothers_solution_the_same,
                                  too_many_runs_are_counted,
                                  a_part_is_as_the_whole_has_it,
                                  NULL};
    return run_tests("joint", tests);
}
