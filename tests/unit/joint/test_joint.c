/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The joint problem as it is laid out: shared things are shared, what is stated is no guess, and
 * its Jacobian is its derivative. */
#include "analyze/joint/evaluate.h"
#include "analyze/joint/inside.h"
#include "tests/unit/joint/bundle.h"

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
    /* As the kind says, or u_drift: here 0.035 K (sample-runs/rig/rigfile.c). */
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
 * coefficient, and 0.44 of it (0.0782/0.089, halved) more for each m/s of the rig's 1.5 m/s of
 * wind. */
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
    NEAR_RELATIVE(q.opening_m2, 0.07 * (0.5 + 0.44 * 1.5), 0.1);
    NEAR_RELATIVE(q.lost_J_K, 4 * 4180, 0.02);
}
END_TEST

/* Rows of the dense way, whoever looks at the pieces. */
START_TEST(rows_do_not_depend_on_threads)
{
    bundle b;
    set_up(&b);
    nr_joint *j = b.joint;
    size_t m = j->parameters, n = j->rows;
    double *x = malloc(m * sizeof *x), *r[2], *jacobian[2];
    nr_noise noise = {.sigma = 0.05, .slow = 0.7, .phi = 0.9};
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            if (j->piece[i].fits[c])
                nr_whitener_set(&j->piece[i].whitener[c], &noise, j->piece[i].used[c]);
    somewhere(j, x);
    for (int k = 0; k < 2; k++) {
        j->threads = k ? 3 : 1;
        r[k] = calloc(n, sizeof(double));
        jacobian[k] = calloc(n * m, sizeof(double));
        ck_assert_int_eq(nr_joint_residuals(x, j, r[k]), 0);
        ck_assert_int_eq(nr_joint_jacobian(x, j, jacobian[k]), 0);
    }
    ck_assert_int_eq(memcmp(r[0], r[1], n * sizeof(double)), 0);
    ck_assert_int_eq(memcmp(jacobian[0], jacobian[1], n * m * sizeof(double)), 0);
    for (int k = 0; k < 2; k++) {
        free(r[k]);
        free(jacobian[k]);
    }
    free(x);
    tear_down(&b);
}
END_TEST

/* Column by column against differences of the fourth order; each acts on something. */
static void check_jacobian(nr_joint *j)
{
    nr_noise noise = {.sigma = 0.05, .slow = 0.7, .phi = 0.9};
    for (size_t i = 0; i < j->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            if (j->piece[i].fits[c])
                nr_whitener_set(&j->piece[i].whitener[c], &noise, j->piece[i].used[c]);
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
            double is = jacobian[row * m + i], most = 1e-6 * largest + 1e-9 / h;
            if (!(fabs(is - slope) <= most))
                NEAR_AT(nr_joint_parameter(j, i).label, is, slope, most);
        }
    }
    for (int k = 0; k < 4; k++)
        free(r[k]);
    free(x);
    free(jacobian);
}

START_TEST(jacobian_is_the_derivative)
{
    bundle b;
    set_up(&b);
    for (size_t i = 0; i < b.joint->pieces; i++)
        for (int c = 0; c < NR_OUTS; c++)
            ck_assert(b.joint->piece[i].fits[c] == (c != NR_OUT_INLET)); /* it drives */
    check_jacobian(b.joint);
    tear_down(&b);
}
END_TEST

/* Water goes evenly over the record: a part holds what is left when it begins, and loses its own
 * share. Whatever time the first part begins at. */
static void water_goes(const nr_joint *j, nr_series *series)
{
    double *x = malloc(j->parameters * sizeof *x), water_J_K = series->water_kg * series->cp_J_kgK;
    for (size_t i = 0; i < series->parts; i++)
        series->part[i].start_s += 500;
    somewhere(j, x);
    for (size_t i = 0; i < j->pieces; i++) {
        const nr_part *p = &series->part[i];
        const int *index = j->piece[i].index;
        double full, whole = series->duration_s;
        x[index[NR_TERM_LOST]] = 0;
        full = nr_joint_params(j, i, x).store_J_K;
        NEAR_RELATIVE(full, x[index[NR_TERM_DRY]] + (1 + x[index[NR_TERM_WATER]]) * water_J_K,
                      1e-12);
        NEAR(nr_joint_params(j, i, x).lost_J_K, 0, 0);
        x[index[NR_TERM_LOST]] = 0.1;
        nr_loop_params q = nr_joint_params(j, i, x);
        NEAR(full - q.store_J_K, 0.1 * water_J_K * (p->start_s - series->part[0].start_s) / whole,
             1e-9 * full);
        NEAR(q.lost_J_K, 0.1 * water_J_K * (double)p->steps * series->step_s / whole, 1e-9 * full);
    }
    free(x);
}

/* Closed loops, whose flow nobody measured: of a glazed collector with both probes, and of a bare
 * one with the container alone. Each record is in two parts, with water gone by the end; the pump
 * is not stated, there may be a lid, the wind is not measured, and it began wet. */
START_TEST(and_of_a_closed_loop)
{
    for (int bare = 0; bare < 2; bare++) {
        static const size_t build_of[1] = {0};
        nr_virtual_params p = params_of(bare ? 2 : 0);
        nr_series *series = NULL;
        nr_joint *j = NULL;
        nr_err err = {.text = ""};
        nr_joint_options options = {.use_store = true, .use_loop = true};
        p.channels = NR_VC_STORE_SET;
        p.duration_s = 3600;
        p.interval_s = 10;
        if (!bare)
            p.channels |= NR_VC_BIT(NR_VC_INLET) | NR_VC_BIT(NR_VC_OUTLET);
        nr_virtual_run *run = simulate(&p);
        nr_rig *rig = &run->run.rig;
        say_nothing(rig);
        rig->collector.dew = NR_DEW_YES;
        rig->store.loss_W_K = (nr_value){.given = true, .value = 2};
        rig->store.water_end_kg =
            (nr_value){.given = true, .value = 0.9 * rig->store.water_kg.value};
        for (size_t i = 0; i < run->run.readings->rows; i++)
            if (run->run.readings->elapsed_s[i] > 1500 && run->run.readings->elapsed_s[i] < 2300)
                column(run, "sun")[i] = NAN;
        ck_assert_msg(!nr_series_build(&run->run, &series, &err), "%s", err.text);
        const nr_series *one = series;
        ck_assert_msg(!nr_joint_setup(&one, build_of, 1, 1, &options, &j, &err), "%s", err.text);
        ck_assert_uint_eq(j->pieces, 2);
        for (size_t i = 0; i < 2; i++) {
            ck_assert(!j->piece[i].driven && j->piece[i].fits[NR_OUT_STORE]);
            ck_assert(j->piece[i].fits[NR_OUT_INLET] == !bare);
            ck_assert_int_ge(j->piece[i].index[NR_TERM_LOST], 0);
            ck_assert_int_ge(j->piece[i].index[NR_TERM_OPENING], 0);
            ck_assert((j->piece[i].index[NR_TERM_LAYERS] >= 0) == !bare);
            ck_assert((j->piece[i].index[NR_TERM_LOSS_TREND] >= 0) == bare);
        }
        check_jacobian(j);
        water_goes(j, series);
        nr_joint_free(j);
        nr_series_free(series);
        nr_virtual_run_free(run);
    }
}
END_TEST

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

int main(void)
{
    const TTest *const tests[] = {what_is_shared_is_one_parameter,
                                  without_identity_nothing_is_shared,
                                  builds_of_one_record_share_the_weather,
                                  what_is_stated_is_no_guess,
                                  rows_do_not_depend_on_threads,
                                  jacobian_is_the_derivative,
                                  and_of_a_closed_loop,
                                  flow_follows_the_supply,
                                  nonsense_is_outside,
                                  too_many_runs_are_counted,
                                  a_pump_that_stood_tells_the_containers_loss,
                                  NULL};
    return run_tests("joint", tests);
}
