/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each test of misfit by itself, on one solved record in which a good deal went wrong: what it
 * finds is worked out here a second time (sums over blocks, signatures by whole simulations, each
 * scored by itself; the scores have tests of their own). */
#include "analyze/joint/score_inside.h"
#include "analyze/joint/score_parts.h"
#include "analyze/misfit/inside.h"
#include "tests/unit/quality/records.h"

enum { MOST = 800 };

typedef struct looked_at {
    nr_virtual_run *run;
    nr_series *series;
    nr_joint *joint;
    nr_misfit_scale scale;
    nr_misfit out;
    nr_misfit_search s;
} looked_at;

static void open_it(looked_at *l, bool driven)
{
    static const size_t build_of[] = {0};
    nr_virtual_params p = nr_virtual_glazed();
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {.text = ""};
    p.rig_seed = 31;
    p.day_seed = 32;
    p.interval_s = 10;
    p.duration_s = 4500;
    p.stated.iam_b0 = 0.1;
    if (!driven)
        p.channels = NR_VC_STORE_SET;
    l->run = simulate(&p);
    nr_readings *r = l->run->run.readings;
    double *sun = column(l->run, "sun"), *store = column(l->run, "store");
    for (size_t i = 0; i < r->rows; i++) {
        double t = r->elapsed_s[i];
        sun[i] *= 1 - 0.10 * t / 4500 + (t > 2700 ? 0.06 : 0);
        store[i] += t > 1900 ? 0.7 : 0;
        if (driven) {
            column(l->run, "inlet")[i] += t > 2500 ? 0.5 : 0;
            column(l->run, "outlet")[i] -= t > 3300 ? 0.6 : 0;
        }
    }
    ck_assert(nr_series_build(&l->run->run, &l->series, &err) == NR_OK);
    /* As it is: nothing is left out for what went wrong. */
    const nr_series *one = l->series;
    ck_assert(nr_joint_setup(&one, build_of, 1, 1, &options, &l->joint, &err) == NR_OK);
    ck_assert_msg(nr_joint_solve(l->joint, &err) == NR_OK, "%s", err.text);
    memset(&l->out, 0, sizeof l->out);
    l->scale = (nr_misfit_scale){.efficiency_u = 1e-6};
    memset(&l->s, 0, sizeof l->s);
    l->s.joint = l->joint;
    l->s.scale = &l->scale;
    l->s.out = &l->out;
    ck_assert(nr_scorer_open(l->joint, &l->s.scorer, &err) == NR_OK);
    l->s.view = nr_joint_piece(l->joint, 0);
    l->s.blocks = l->s.view.part->blocks;
    ck_assert_uint_le(l->s.blocks, MOST);
    ck_assert(l->s.view.driven == driven);
    for (int c = 0; c < NR_OUTS; c++) {
        l->s.work[c] = calloc(l->s.blocks, sizeof(double));
        l->s.base[c] = calloc(l->s.blocks, sizeof(double));
    }
    l->s.stand = calloc(l->s.blocks, sizeof *l->s.stand);
    nr_misfit_rises(&l->s);
    nr_scorer_predict(l->s.scorer, 0, &l->s.view.input, l->s.base, l->s.stand);
}

/* What is left of the record, as the scores see it, a hundred times as loud: both sides of every
 * comparison here are scored by it. */
static void louder(looked_at *l)
{
    const double *none[NR_OUTS] = {NULL};
    (void)nr_scorer_try(l->s.scorer, 0, none); /* turns to the piece */
    size_t rows = 0;
    for (int c = 0; c < NR_OUTS; c++)
        rows += l->s.view.fits[c] ? l->s.blocks : 0;
    for (size_t k = 0; k < rows; k++)
        l->s.scorer->now.residual[k] *= 100;
}

static void close_it(looked_at *l)
{
    for (size_t i = 0; i < l->s.bests; i++)
        for (int c = 0; c < NR_OUTS; c++)
            free(l->s.best[i].added[c]);
    for (int c = 0; c < NR_OUTS; c++) {
        free(l->s.work[c]);
        free(l->s.base[c]);
    }
    free(l->s.stand);
    nr_scorer_free(l->s.scorer);
    nr_joint_free(l->joint);
    nr_series_free(l->series);
    nr_virtual_run_free(l->run);
}

static const nr_misfit_finding *found(const looked_at *l, nr_misfit_kind kind, int channel)
{
    for (size_t i = 0; i < l->out.count; i++)
        if (l->out.finding[i].kind == kind && l->out.finding[i].channel == channel)
            return &l->out.finding[i];
    return NULL;
}

static const nr_misfit_best *kept(const looked_at *l, nr_misfit_kind kind, int channel)
{
    for (size_t i = 0; i < l->s.bests; i++)
        if (l->s.best[i].finding.kind == kind && l->s.best[i].finding.channel == channel)
            return &l->s.best[i];
    return NULL;
}

/* Beyond z on either side of a normal distribution. */
static double beyond(double z)
{
    return erfc(z / M_SQRT2);
}

static double at_time(const looked_at *l, size_t block)
{
    return l->s.view.part->start_s + (double)block * l->series->block_s;
}

/* ---- what every test uses ---- */

START_TEST(tools)
{
    static looked_at l;
    open_it(&l, true);
    const nr_part *p = l.s.view.part;
    double rise = 0, n = 0, low = 1e9, high = -1e9;
    for (size_t b = 0; b < p->blocks; b++) {
        double by = p->reading[NR_OUT_OUTLET][b] - p->reading[NR_OUT_INLET][b];
        double store = p->reading[NR_OUT_STORE][b];
        if (p->settled[b] && !isnan(by)) {
            rise += by;
            n++;
        }
        low = store < low ? store : low;
        high = store > high ? store : high;
    }
    NEAR(l.s.rise_K, rise / n, 1e-9);
    NEAR(l.s.store_rise_K, high - low, 1e-9);
    NEAR(nr_misfit_error_of_kelvin(&l.s, NR_OUT_INLET), n / rise, 1e-9);
    NEAR(nr_misfit_error_of_kelvin(&l.s, NR_OUT_OUTLET), n / rise, 1e-9);
    NEAR(nr_misfit_error_of_kelvin(&l.s, NR_OUT_STORE), 1 / (high - low), 1e-9);
    l.s.rise_K = NAN; /* without a loop all is against the container's own */
    NEAR(nr_misfit_error_of_kelvin(&l.s, NR_OUT_OUTLET), 1 / (high - low), 1e-9);
    for (size_t tries = 1; tries <= 1000; tries *= 10)
        NEAR_RELATIVE((double)tries * beyond(nr_misfit_limit(tries)), 0.002, 1e-6);
    NEAR(nr_misfit_limit(0), nr_misfit_limit(1), 0);
    l.scale.efficiency_u = 0.02;
    NEAR(nr_misfit_matters(&l.s, -0.03), 3, 1e-12);
    NEAR(nr_misfit_time(&l.s, 7.5), p->start_s + 7.5 * l.series->block_s, 1e-9);

    nr_misfit_finding f = {
        .kind = NR_MISFIT_STORE_STEP, .strength = 0.999, .channel = 2, .size = 1};
    nr_misfit_add(&l.s, &f);
    ck_assert_uint_eq(l.out.count, 0);
    f.strength = 1;
    nr_misfit_add(&l.s, &f);
    f.size = 2; /* as strong: the first stays */
    nr_misfit_add(&l.s, &f);
    ck_assert(l.out.count == 1 && l.out.finding[0].size < 1.5);
    f.strength = 1.5;
    nr_misfit_add(&l.s, &f);
    ck_assert(l.out.count == 1 && l.out.finding[0].size > 1.5);
    f.run = 1;
    nr_misfit_add(&l.s, &f);
    f.channel = 1;
    nr_misfit_add(&l.s, &f);
    f.kind = NR_MISFIT_STORE_MASS;
    nr_misfit_add(&l.s, &f);
    ck_assert_uint_eq(l.out.count, 4);
    for (f.run = 2; f.run < 60; f.run++)
        nr_misfit_add(&l.s, &f);
    ck_assert_uint_eq(l.out.count, NR_MISFIT_FINDINGS);

    double wave[MOST];
    for (size_t b = 0; b < l.s.blocks; b++)
        wave[b] = sin((double)b);
    const double *added[NR_OUTS] = {wave, NULL, NULL}, *others[NR_OUTS] = {NULL, wave, NULL};
    nr_misfit_finding jump = {.kind = NR_MISFIT_PROBE_JUMP, .channel = 1, .at_s = 5};
    ck_assert(!nr_misfit_stands_out(&l.s, &jump, (nr_score){.z = 2.49}));
    ck_assert(nr_misfit_stands_out(&l.s, &jump, (nr_score){.z = -2.5}));
    nr_misfit_consider(&l.s, &jump, (nr_score){.size = 3, .u = 1, .z = -3}, 4, 0.5, added);
    ck_assert_uint_eq(l.s.bests, 1);
    NEAR(l.s.best[0].z, 3, 0);
    NEAR(l.s.best[0].limit, 4, 0);
    NEAR(l.s.best[0].error, 0.5, 0);
    NEAR(l.s.best[0].finding.size, 3, 0);
    NEAR(l.s.best[0].finding.u, 1, 0);
    ck_assert(l.s.best[0].added[1] == NULL && l.s.best[0].added[0][5] >= wave[5]);
    nr_misfit_consider(&l.s, &jump, (nr_score){.size = 9, .z = 3}, 4, 0.5, added); /* no stronger */
    NEAR(l.s.best[0].finding.size, 3, 0);
    nr_misfit_consider(&l.s, &jump, (nr_score){.size = 9, .z = 3.1}, 4, 0.5, others);
    ck_assert(l.s.bests == 1 && l.s.best[0].added[0] == NULL && l.s.best[0].added[1] != NULL);
    for (jump.channel = 2; jump.channel < 40; jump.channel++)
        nr_misfit_consider(&l.s, &jump, (nr_score){.size = 1, .z = 5}, 4, 0.5, added);
    ck_assert_uint_eq(l.s.bests, NR_MISFIT_BEST);
    close_it(&l);
}
END_TEST

/* ---- what is usual, and drifts ---- */

static double polynomial(int order, double x)
{
    return order == 1 ? x : order == 2 ? (3 * x * x - 1) / 2 : (5 * x * x * x - 3 * x) / 2;
}

static void usual_departures(looked_at *l)
{
    static const double share[] = {0.015, 0.010, 0.007};
    nr_err err;
    size_t blocks = l->s.blocks, per = l->series->steps_per_block, n = blocks * per, fitted = 0;
    double length = (double)blocks * l->series->block_s, *sun = malloc(n * sizeof *sun);
    double *shape = nr_misfit_gain_shapes(&l->s), *of[NR_OUTS];
    nr_loop_input input = l->s.view.input;
    input.sun_W_m2 = sun;
    for (int c = 0; c < NR_OUTS; c++)
        of[c] = calloc(blocks, sizeof(double));
    for (int order = 0; order <= 3; order++) {
        for (size_t k = 0; k < n; k++) {
            double t = ((double)k + 0.5) / (double)n;
            double by = order ? polynomial(order, 2 * t - 1) : -exp(-t * length / 900);
            sun[k] = l->s.view.part->sun_W_m2[k] * (1 + 0.01 * by);
        }
        nr_scorer_predict(l->s.scorer, 0, &input, of, NULL);
        for (size_t c = 0; c < NR_OUTS; c++)
            for (size_t b = 0; b < blocks; b++)
                NEAR(shape[((size_t)order * NR_OUTS + c) * blocks + b],
                     100 * (of[c][b] - l->s.base[c][b]), 1e-6);
    }
    ck_assert(nr_misfit_allow(&l->s, shape, &err) == NR_OK);
    for (size_t i = 0; i < l->s.usuals; i++) {
        int order = l->s.usual[i].order, channel = l->s.usual[i].channel;
        const nr_scorer_usual *u = &l->s.scorer->usual[i];
        fitted += i >= 4 && order == 1;
        ck_assert_uint_eq(l->s.usual[i].piece, 0);
        if (i < 4) {
            ck_assert(channel == -1 && order == (int)i);
            NEAR(u->sd, order ? share[order - 1] : 0.03, 1e-12);
            continue;
        }
        ck_assert_int_eq(order, (int)(i - 4) % 3 + 1);
        ck_assert(l->s.view.fits[channel]);
        NEAR(u->sd, share[order - 1] * (channel == NR_OUT_STORE ? l->s.store_rise_K : l->s.rise_K),
             1e-9);
        for (size_t b = 0; b < blocks; b++)
            NEAR(u->raw[(size_t)channel * blocks + b],
                 polynomial(order, ((double)b + 0.5) / (double)blocks * 2 - 1), 1e-12);
    }
    ck_assert_uint_eq(l->s.usuals, 4 + 3 * fitted);
    ck_assert_uint_eq(fitted, (size_t)(l->s.view.fits[0] + l->s.view.fits[1] + l->s.view.fits[2]));
    for (int c = 0; c < NR_OUTS; c++)
        free(of[c]);
    free(shape);
    free(sun);
}

/* The record's own estimate and its standard uncertainty from one that a prior of mean 0 was in:
 * weights add (JCGM 100, or any text on weighted means). */
static double own(double size, double u, double sd, double *own_u)
{
    double weight = 1 / (u * u) - 1 / (sd * sd);
    *own_u = 1 / sqrt(weight);
    return size / (u * u) / weight;
}

static void drifts(looked_at *l)
{
    double size, u, own_u, length = (double)l->s.blocks * l->series->block_s;
    size_t seen = 0, tries = l->s.usuals;
    (void)nr_scorer_leaning(l->s.scorer, 0);
    for (size_t i = 0; i < tries; i++) /* further than the record leans by itself */
        l->s.scorer->rest[nr_joint_parameters(l->joint) + i] =
            (i % 2 ? -4 : 4) * l->s.scorer->usual[i].sd;
    nr_misfit_leanings(&l->s);
    for (size_t i = 0; i < tries; i++) {
        int channel = l->s.usual[i].channel, order = l->s.usual[i].order;
        nr_score score = nr_scorer_leaning(l->s.scorer, i);
        double sd = l->s.scorer->usual[i].sd, by_itself = own(score.size, score.u, sd, &own_u);
        double limit = 1.2 * nr_misfit_limit(order ? tries : 1);
        const nr_misfit_finding *f = order > 1 ? NULL
                                               : found(l,
                                                       order == 0    ? NR_MISFIT_SLOW_START
                                                       : channel < 0 ? NR_MISFIT_SUN_DRIFT
                                                                     : NR_MISFIT_PROBE_DRIFT,
                                                       channel);
        if (order > 1)
            continue;
        bool expected = fabs(score.z) >= limit && (order == 1 || score.size > 0);
        ck_assert_msg(expected == (f != NULL), "usual %zu: z %g, limit %g", i, score.z, limit);
        if (order == 1 && channel < 0) {
            nr_misfit_gain_drift(&l->s, &size, &u);
            NEAR(size, 2 * by_itself, 1e-6 * fabs(size));
            NEAR_RELATIVE(u, 2 * hypot(own_u, 0.015), 1e-6);
        }
        if (!f)
            continue;
        seen++;
        NEAR_RELATIVE(f->strength, fabs(score.z) / limit, 1e-9); /* all of it matters here */
        NEAR(f->size, (order ? 2 : 1) * by_itself, 1e-5 * fabs(by_itself));
        NEAR_RELATIVE(f->u, (order ? 2 : 1) * hypot(score.u, score.size / score.z), 1e-9);
        /* Where it just matters: half of the efficiency's u. */
        double relative = order == 0    ? by_itself * (1 - exp(-length / 900)) * 900 / length
                          : channel < 0 ? by_itself
                                        : by_itself * nr_misfit_error_of_kelvin(&l->s, channel);
        for (int more = 0; more < 2; more++) {
            l->scale.efficiency_u = 2 * fabs(relative) / (more ? 1.001 : 0.999);
            l->out.count = 0;
            nr_misfit_leanings(&l->s);
            f = found(l,
                      order == 0    ? NR_MISFIT_SLOW_START
                      : channel < 0 ? NR_MISFIT_SUN_DRIFT
                                    : NR_MISFIT_PROBE_DRIFT,
                      channel);
            ck_assert_msg((f != NULL) == more, "usual %zu matters", i);
            if (f)
                NEAR_RELATIVE(f->strength, 1.001, 1e-4);
        }
        l->scale.efficiency_u = 1e-6;
        l->out.count = 0;
        nr_misfit_leanings(&l->s);
    }
    ck_assert_uint_ge(seen, 2);
}

START_TEST(usual_and_drifts)
{
    static looked_at l;
    for (int driven = 0; driven < 2; driven++) {
        open_it(&l, driven);
        usual_departures(&l);
        drifts(&l);
        close_it(&l);
    }
}
END_TEST

/* ---- signatures ---- */

/* What an input that is changed does, by two whole simulations. */
static void effect_of(const looked_at *l, const nr_loop_input *input, double by,
                      double *const to[NR_OUTS])
{
    nr_scorer_predict(l->s.scorer, 0, input, to, NULL);
    for (int c = 0; c < NR_OUTS; c++)
        for (size_t b = 0; b < l->s.blocks; b++)
            to[c][b] = (to[c][b] - l->s.base[c][b]) / by;
}

START_TEST(gain_from_a_window_on)
{
    static looked_at l;
    static double effect[30][NR_OUTS][MOST], sum[NR_OUTS][MOST];
    open_it(&l, true);
    louder(&l);
    nr_err err;
    size_t blocks = l.s.blocks, per = l.series->steps_per_block, first[31];
    const nr_part *p = l.s.view.part;
    double *sun = malloc(blocks * per * sizeof *sun), share[30] = {0}, all = 0;
    size_t count = (size_t)((double)blocks * l.series->block_s / 150);
    count = count > 30 ? 30 : count;
    nr_loop_input input = l.s.view.input;
    input.sun_W_m2 = sun;
    for (size_t k = 0; k <= count; k++)
        first[k] = blocks * k / count;
    for (size_t k = 0; k < count; k++) {
        double *to[NR_OUTS] = {effect[k][0], effect[k][1], effect[k][2]};
        for (size_t i = 0; i < blocks * per; i++)
            sun[i] = p->sun_W_m2[i] * (i / per >= first[k] && i / per < first[k + 1] ? 1.01 : 1);
        effect_of(&l, &input, 0.01, to);
        for (size_t b = first[k]; b < first[k + 1]; b++)
            if (p->pump_on[b]) {
                share[k] += p->sun_W_m2[b * per];
                all += p->sun_W_m2[b * per];
            }
    }
    nr_score best[2] = {{.z = 0}};
    size_t at[2][2] = {{0}};
    for (size_t i = 1; i < count; i++)
        for (size_t j = i + 1; j <= count; j++) {
            int step = j == count;
            if (!step && j > i + count / 2)
                continue;
            memset(sum, 0, sizeof sum);
            for (size_t k = i; k < j; k++)
                for (int c = 0; c < NR_OUTS; c++)
                    for (size_t b = 0; b < blocks; b++)
                        sum[c][b] += effect[k][c][b];
            const double *added[NR_OUTS] = {sum[0], sum[1], sum[2]};
            nr_score score = nr_scorer_try(l.s.scorer, 0, added);
            if (fabs(score.z) > fabs(best[step].z)) {
                best[step] = score;
                at[step][0] = i;
                at[step][1] = j;
            }
        }
    ck_assert(nr_misfit_gain(&l.s, &err) == NR_OK);
    for (int step = 0; step < 2; step++) {
        const nr_misfit_best *b = kept(&l, step ? NR_MISFIT_GAIN_STEP : NR_MISFIT_GAIN_PULSE, -1);
        ck_assert_msg(fabs(best[step].z) >= 2.5 && b, "z %g", best[step].z);
        double of = 0;
        for (size_t k = at[step][0]; k < at[step][1]; k++)
            of += share[k] / all;
        NEAR_RELATIVE(b->z, fabs(best[step].z), 1e-5);
        NEAR(b->finding.size, best[step].size, 1e-5 * best[step].u);
        NEAR(b->finding.at_s, at_time(&l, first[at[step][0]]), 1e-9);
        if (step)
            ck_assert(isnan(b->finding.until_s));
        else
            NEAR(b->finding.until_s, at_time(&l, first[at[step][1]]), 1e-9);
        NEAR(b->limit, 1.3 * nr_misfit_limit(count * (count / 2)), 1e-9);
        NEAR(b->error, fmin(of, 1 - of), 1e-9);
    }
    free(sun);
    close_it(&l);
}
END_TEST

/* A reading that is a kelvin too high from a block on: its own channel, and, where it drives, what
 * the model would have said with the right one less what it said. */
static void jump_at(looked_at *l, int channel, size_t from, double *moved,
                    double *const to[NR_OUTS])
{
    size_t blocks = l->s.blocks, per = l->series->steps_per_block;
    nr_loop_input input = l->s.view.input;
    for (int c = 0; c < NR_OUTS; c++)
        memset(to[c], 0, blocks * sizeof(double));
    if (l->s.view.driven && channel != NR_OUT_STORE) {
        const double **of = channel == NR_OUT_INLET ? &input.inlet_degC : &input.outlet_degC;
        for (size_t i = 0; i < blocks * per; i++)
            moved[i] = (*of)[i] - (i / per >= from);
        *of = moved;
        effect_of(l, &input, 1, to);
        for (int c = 0; c < NR_OUTS; c++)
            if (channel == NR_OUT_OUTLET && c != NR_OUT_STORE)
                memset(to[c], 0, blocks * sizeof(double));
        if (channel == NR_OUT_INLET)
            return;
    }
    for (size_t b = from; b < blocks; b++)
        to[channel][b] += 1;
}

START_TEST(probes_that_jump)
{
    static looked_at l;
    static double to[NR_OUTS][MOST];
    for (int driven = 0; driven < 2; driven++) {
        open_it(&l, driven);
        louder(&l);
        nr_err err;
        double *of[NR_OUTS] = {to[0], to[1], to[2]};
        double *moved = malloc(l.s.blocks * l.series->steps_per_block * sizeof *moved);
        ck_assert(nr_misfit_probes(&l.s, &err) == NR_OK);
        for (int c = 0; c < NR_OUTS; c++) {
            nr_score best = {.z = 0};
            size_t at = 0;
            const nr_misfit_best *b = kept(&l, NR_MISFIT_PROBE_JUMP, c);
            bool tried = l.s.view.fits[c] || (c == NR_OUT_INLET && driven);
            for (size_t k = 3; tried && k < 38; k++) {
                size_t from = k * l.s.blocks / 40;
                jump_at(&l, c, from, moved, of);
                nr_score score = nr_scorer_try(l.s.scorer, 0, (const double *const *)of);
                if (fabs(score.z) > fabs(best.z)) {
                    best = score;
                    at = from;
                }
            }
            ck_assert_msg((fabs(best.z) >= 2.5) == (b != NULL), "channel %d, z %g", c, best.z);
            if (!b)
                continue;
            double share = (double)at / (double)l.s.blocks;
            NEAR_RELATIVE(b->z, fabs(best.z), 1e-6);
            NEAR(b->finding.size, best.size, 1e-6 * best.u);
            NEAR(b->finding.at_s, at_time(&l, at), 1e-9);
            NEAR(b->limit, 1.3 * nr_misfit_limit(40), 1e-9);
            NEAR(b->error, fmin(share, 1 - share) * nr_misfit_error_of_kelvin(&l.s, c), 1e-9);
        }
        ck_assert_uint_ge(l.s.bests, 1);
        free(moved);
        close_it(&l);
    }
}
END_TEST

START_TEST(water_that_came)
{
    static looked_at l;
    static double v[2][MOST];
    for (int driven = 0; driven < 2; driven++) {
        open_it(&l, driven);
        louder(&l);
        nr_score best[2] = {{.z = 0}};
        size_t at[2] = {0}, blocks = l.s.blocks;
        for (size_t k = 6; k < 35; k++) {
            size_t from = k * blocks / 40;
            for (size_t b = 0; b < blocks; b++) {
                v[0][b] = b < from ? 0 : l.s.base[NR_OUT_STORE][from] - l.s.base[NR_OUT_STORE][b];
                v[1][b] = b < from ? 0 : 1;
            }
            for (int step = 0; step < 2; step++) {
                const double *added[NR_OUTS] = {NULL};
                added[NR_OUT_STORE] = v[step];
                for (int c = 0; c < NR_OUTS && !driven; c++)
                    added[c] = v[step];
                nr_score score = nr_scorer_try(l.s.scorer, 0, added);
                if (fabs(score.z) > fabs(best[step].z)) {
                    best[step] = score;
                    at[step] = from;
                }
            }
        }
        nr_misfit_store(&l.s);
        for (int step = 0; step < 2; step++) {
            const nr_misfit_best *b =
                kept(&l, step ? NR_MISFIT_STORE_STEP : NR_MISFIT_STORE_MASS, NR_OUT_STORE);
            double share = (double)at[step] / (double)blocks;
            ck_assert((fabs(best[step].z) >= 2.5) == (b != NULL));
            ck_assert(b != NULL);
            NEAR_RELATIVE(b->z, fabs(best[step].z), 1e-9);
            NEAR(b->finding.at_s, at_time(&l, at[step]), 1e-9);
            NEAR(b->limit, 1.3 * nr_misfit_limit(80), 1e-9);
            NEAR(b->error, step ? 1 / l.s.store_rise_K : fmin(share, 1 - share), 1e-9);
        }
        close_it(&l);
    }
}
END_TEST

START_TEST(second_half_over_first)
{
    static looked_at l;
    static double way[2][NR_OUTS][MOST];
    for (int driven = 0; driven < 2; driven++) {
        open_it(&l, driven);
        louder(&l);
        nr_err err;
        size_t blocks = l.s.blocks, per = l.series->steps_per_block, middle = blocks / 2;
        const nr_part *p = l.s.view.part;
        const double *warm = l.s.base[driven ? NR_OUT_OUTLET : NR_OUT_STORE];
        double *sun = malloc(blocks * per * sizeof *sun), *air = malloc(blocks * per * sizeof *air);
        double excess = 0, bright = 0, n = 0, size[2], v[4];
        for (size_t i = 0; i < blocks * per; i++) {
            bool late = i / per >= middle;
            sun[i] = p->sun_W_m2[i] * (late ? 1.01 : 1);
            air[i] =
                p->air_degC[i] - (late ? 0.01 * (warm[i / per] - p->air_degC[i / per * per]) : 0);
        }
        for (size_t b = 0; b < blocks; b++)
            if (p->pump_on[b]) {
                excess += warm[b] - p->air_degC[b * per];
                bright += p->sun_W_m2[b * per];
                n++;
            }
        const double *part[2 * NR_OUTS];
        for (int w = 0; w < 2; w++) {
            nr_loop_input input = l.s.view.input;
            double *to[NR_OUTS] = {way[w][0], way[w][1], way[w][2]};
            *(w ? &input.air_degC : &input.sun_W_m2) = w ? air : sun;
            effect_of(&l, &input, 0.01, to);
            for (int c = 0; c < NR_OUTS; c++)
                part[w * NR_OUTS + c] = way[w][c];
        }
        nr_score_parts *both = nr_scorer_parts(l.s.scorer, 0, part, 2);
        ck_assert(both && nr_score_of_all(both, size, v));
        nr_score_parts_free(both);
        nr_loop_params q = nr_joint_device(l.joint, 0, nr_joint_x(l.joint));
        double gained = q.optical * bright / n, lost = q.loss_W_m2K * excess / n;
        double all = (size[0] * gained - size[1] * lost) / fmax(gained - lost, gained / 10);
        double z[2];
        for (int k = 0; k < 2; k++) { /* s' V^-1 s, without and with 3 % more in the loss */
            double loss = v[3] + k * 0.03 * 0.03, det = v[0] * loss - v[1] * v[1];
            z[k] = sqrt((size[0] * (loss * size[0] - v[1] * size[1]) +
                         size[1] * (v[0] * size[1] - v[1] * size[0])) /
                        det);
        }
        ck_assert(nr_misfit_halves(&l.s, &err) == NR_OK);
        const nr_misfit_best *b = kept(&l, NR_MISFIT_HALVES, -1);
        ck_assert_msg(z[0] >= 2.5 && b != NULL, "z %g", z[0]);
        {
            NEAR_RELATIVE(b->z, z[0], 1e-4);
            NEAR_RELATIVE(b->finding.size, all, 1e-4);
            NEAR_RELATIVE(b->finding.u, fabs(all) / z[0], 1e-4);
            NEAR(b->finding.at_s, at_time(&l, middle), 1e-9);
            /* Chi-squared of two degrees of freedom: exp(-x/2) are beyond x. */
            NEAR_RELATIVE(b->limit, 1.3 * sqrt(-2 * log(0.002)) * z[0] / z[1], 1e-4);
            NEAR(b->error, 0.5, 0);
            for (int c = 0; c < NR_OUTS; c++)
                for (size_t k = 0; k < blocks; k++)
                    NEAR(b->added[c][k] * all, size[0] * way[0][c][k] + size[1] * way[1][c][k],
                         1e-4 * fabs(all));
        }
        free(sun);
        free(air);
        close_it(&l);
    }
}
END_TEST

/* ---- balances of readings ---- */

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double middle_of(double *v, size_t n)
{
    qsort(v, n, sizeof *v, ascending);
    return n % 2 ? v[n / 2] : (v[n / 2 - 1] + v[n / 2]) / 2;
}

/* Five minutes on both sides of each block, of three readings in five at least. */
START_TEST(inlet_minute_by_minute)
{
    static looked_at l;
    static double step[MOST], scratch[MOST];
    open_it(&l, true);
    nr_err err;
    const nr_part *p = l.s.view.part;
    size_t half = (size_t)(300 / l.series->block_s), n = 0, most = 0;
    for (size_t b = 0; b < l.s.blocks; b++) {
        double apart[2] = {0}, rise[2] = {0}, seen[2] = {0};
        step[b] = NAN;
        for (size_t k = b < half ? 0 : b - half; k < b + half && k < l.s.blocks; k++) {
            double in = p->reading[NR_OUT_INLET][k], out = p->reading[NR_OUT_OUTLET][k],
                   store = p->reading[NR_OUT_STORE][k];
            if (!p->settled[k] || isnan(in) || isnan(out) || isnan(store))
                continue;
            apart[k >= b] += in - store;
            rise[k >= b] += out - in;
            seen[k >= b]++;
        }
        if (b < half || b + half > l.s.blocks || fmin(seen[0], seen[1]) < 0.6 * (double)half)
            continue;
        double by = apart[1] / seen[1] - apart[0] / seen[0];
        double layers = 0.1 * fabs(rise[1] / seen[1] - rise[0] / seen[0]);
        step[b] = fabs(by) <= layers ? 0 : by > 0 ? by - layers : by + layers;
        scratch[n++] = step[b];
    }
    double usual = middle_of(scratch, n), largest = 0;
    for (size_t i = 0; i < n; i++)
        scratch[i] = fabs(scratch[i] - usual);
    double wander = fmax(1.4826 * middle_of(scratch, n), 0.02);
    for (size_t b = 0; b < l.s.blocks; b++)
        if (fabs(step[b] - usual) > largest) {
            largest = fabs(step[b] - usual);
            most = b;
        }
    ck_assert(nr_misfit_inlet(&l.s, &err) == NR_OK);
    const nr_misfit_finding *f = found(&l, NR_MISFIT_INLET_STEP, NR_OUT_INLET);
    ck_assert_msg(f != NULL, "%g against %g", largest, wander);
    NEAR(f->size, step[most] - usual, 1e-9);
    NEAR(f->u, wander, 1e-9);
    NEAR(f->at_s, at_time(&l, most), 1e-9);
    NEAR_RELATIVE(f->strength, largest / wander / (2 * nr_misfit_limit(l.s.blocks / half)), 1e-9);
    double share = (double)most / (double)l.s.blocks;
    double matters = largest * fmin(share, 1 - share) / l.s.rise_K;
    for (int more = 0; more < 2; more++) {
        l.scale.efficiency_u = 2 * matters / (more ? 1.001 : 0.999);
        l.out.count = 0;
        ck_assert(nr_misfit_inlet(&l.s, &err) == NR_OK);
        ck_assert((found(&l, NR_MISFIT_INLET_STEP, NR_OUT_INLET) != NULL) == more);
    }
    close_it(&l);
}
END_TEST

static double u_of(const looked_at *l, const char *name)
{
    const nr_rig_channel *c = nr_rig_channel_find(&l->run->run.rig, name);
    return isnan(c->u_offset) ? 0.3 : c->u_offset;
}

/* Weighted least squares with five unknowns, of which four have priors, by elimination. */
static void residuals(const double (*row)[5], const double *y, size_t n, double w,
                      const double *prior, const double *u, double *left)
{
    double a[5][6] = {{0}};
    for (int i = 0; i < 5; i++) {
        for (size_t k = 0; k < n; k++) {
            for (int c = 0; c < 5; c++)
                a[i][c] += w * row[k][i] * row[k][c];
            a[i][5] += w * row[k][i] * y[k];
        }
        if (i < 4) {
            a[i][i] += 1 / (u[i] * u[i]);
            a[i][5] += prior[i] / (u[i] * u[i]);
        }
    }
    for (int p = 0; p < 5; p++)
        for (int i = 0; i < 5; i++)
            for (int c = 5; i != p && c >= p; c--)
                a[i][c] -= a[i][p] / a[p][p] * a[p][c];
    for (size_t k = 0; k < n; k++) {
        left[k] = y[k];
        for (int i = 0; i < 5; i++)
            left[k] -= row[k][i] * a[i][5] / a[i][i];
    }
}

START_TEST(loop_against_container)
{
    static looked_at l;
    static double row[MOST][5], y[MOST], left[MOST], at_s[MOST];
    for (int stated = 0; stated < 2; stated++) {
        open_it(&l, true);
        nr_err err;
        nr_rig *rig = &l.run->run.rig;
        rig->store.loss_W_K = (nr_value){.given = stated, .value = 3, .u = NAN};
        for (size_t c = 0; c < rig->channels && stated; c++)
            if (!strcmp(rig->channel[c].name, "inlet"))
                rig->channel[c].u_offset = NAN;
        const nr_part *p = l.s.view.part;
        for (size_t b = l.s.blocks / 2; b < l.s.blocks; b++)
            p->reading[NR_OUT_STORE][b] += 2;
        size_t per = l.series->steps_per_block, n = 0;
        double heat = rig->store.water_kg.value * l.series->cp_J_kgK, dt = l.series->block_s;
        double sum[4] = {0}, apart[2] = {0}, seen[2] = {0}, first = NAN, span = 0;
        double rise = 0, excess = 0;
        for (size_t b = 0; b < l.s.blocks; b++) {
            double in = p->reading[NR_OUT_INLET][b], out = p->reading[NR_OUT_OUTLET][b],
                   store = p->reading[NR_OUT_STORE][b], flow = 0;
            for (size_t k = 0; k < per; k++)
                flow += p->flow_W_K[b * per + k] / (double)per;
            rise = isnan(out - in) ? rise : out - in;
            excess = isnan(store) ? excess : store - p->air_degC[b * per];
            sum[0] += flow * dt * rise / heat;
            sum[1] += flow * dt / heat;
            sum[2] += dt * excess;
            sum[3] += dt;
            if (p->settled[b] && !isnan(in - store)) {
                apart[b >= (l.s.blocks + 1) / 2] += in - store;
                seen[b >= (l.s.blocks + 1) / 2]++;
            }
            if (!p->settled[b] || isnan(store))
                continue;
            first = isnan(first) ? store : first;
            for (int i = 0; i < 4; i++)
                row[n][i] = sum[i];
            row[n][4] = 1;
            y[n] = store - first;
            at_s[n] = at_time(&l, b) + dt / 2;
            span = fmax(span, fabs(y[n]));
            n++;
        }
        double u_flow = nr_rig_channel_find(rig, "flow")->u_gain, u = 0.02 * l.s.store_rise_K;
        double offset = hypot(u_of(&l, "inlet"), u_of(&l, "outlet")), usual = stated ? 3 : 2;
        double prior[4] = {1, 0, -usual / heat, 3 / heat};
        double prior_u[4] = {hypot(isnan(u_flow) ? 0.03 : u_flow, 0.015), offset,
                             (stated ? 0.9 : 2) / heat, 4 / heat};
        residuals((const double(*)[5])row, y, n, 1 / (u * u), prior, prior_u, left);
        size_t half = (size_t)(60 / dt), top = 0, bottom = 0;
        double high = -1e9, low = 1e9;
        for (size_t i = 0; i < n; i++) {
            double mean = 0, of = 0;
            for (size_t k = 0; k < n; k++)
                if (k + half >= i && k <= i + half) {
                    mean += left[k];
                    of++;
                }
            if (mean / of > high) {
                high = mean / of;
                top = i;
            }
            if (mean / of < low) {
                low = mean / of;
                bottom = i;
            }
        }
        ck_assert(nr_misfit_balance(&l.s, &err) == NR_OK);
        const nr_misfit_finding *f = found(&l, NR_MISFIT_LOOP_STORE, NR_OUT_STORE);
        double range = (high - low) / span;
        ck_assert_msg(f != NULL, "%g", range);
        NEAR_RELATIVE(f->size, range, 1e-6);
        NEAR_RELATIVE(f->strength, range / 0.04, 1e-6);
        NEAR(f->at_s, fmin(at_s[top], at_s[bottom]), 1e-9);
        NEAR(f->until_s, fmax(at_s[top], at_s[bottom]), 1e-9);
        NEAR(f->u, 0.02, 0);
        /* Inlet and container, a level apart: over four times what probes and layers explain. */
        double level = (apart[0] / seen[0] + apart[1] / seen[1]) / 2;
        double by = hypot(hypot(u_of(&l, "inlet"), u_of(&l, "store")), 0.1 * l.s.rise_K);
        for (int more = 0; more < 2; more++) {
            double target = 4 * by * (more ? 1.001 : 0.999) - level;
            for (size_t b = 0; b < l.s.blocks; b++)
                p->reading[NR_OUT_INLET][b] += target;
            level += target;
            l.out.count = 0;
            ck_assert(nr_misfit_balance(&l.s, &err) == NR_OK);
            f = found(&l, NR_MISFIT_INLET_STORE, NR_OUT_INLET);
            ck_assert((f != NULL) == more);
            if (f) {
                NEAR(f->size, level, 1e-9);
                NEAR(f->u, by, 1e-9);
                NEAR_RELATIVE(f->strength, 1.001, 1e-6);
            }
        }
        close_it(&l);
    }
}
END_TEST

/* ---- what was stated ---- */

/* Departures that the record told, each against odds of one in 200 shared out (half of them the
 * water's), and all together by a scaled chi-squared of the same mean and variance. */
START_TEST(priors_that_are_pulled)
{
    static looked_at l;
    static size_t which[200];
    open_it(&l, true);
    nr_err err;
    size_t n = 0;
    double ignored[2];
    (void)nr_scorer_rest(l.s.scorer, 0, 0, &ignored[0], &ignored[1]);
    for (size_t i = 0; i < nr_joint_parameters(l.joint); i++) { /* some of them far */
        double u = nr_joint_parameter(l.joint, i).prior_u;
        l.s.scorer->rest[i] += isfinite(u) ? (i % 2 ? -3 : 4) * u : 0;
    }
    for (size_t i = 0; i < nr_joint_parameters(l.joint); i++) {
        nr_parameter_view p = nr_joint_parameter(l.joint, i);
        double value, variance;
        ck_assert(nr_scorer_rest(l.s.scorer, i, i, &value, &variance));
        bool air = p.term == NR_TERM_AIR_OFFSET || p.term == NR_TERM_SUN_ON_AIR;
        if (!p.has_prior || !nr_term_surprises(p.term) ||
            1 - variance / (p.prior_u * p.prior_u) <= 0.005)
            continue;
        if (!air || value < p.prior || nr_joint_index(l.joint, 0, NR_TERM_SKY) >= 0)
            which[n++] = i;
    }
    ck_assert_uint_ge(n, 3);
    ck_assert(nr_misfit_priors(&l.s, 0, &err) == NR_OK);
    double sum = 0, trace = 0, squares = 0;
    size_t seen = 0;
    for (size_t a = 0; a < n; a++) {
        nr_parameter_view p = nr_joint_parameter(l.joint, which[a]);
        double value, variance, limit = 0, high = 10, other;
        nr_scorer_rest(l.s.scorer, which[a], which[a], &value, &variance);
        double told = 1 - variance / (p.prior_u * p.prior_u), by = (value - p.prior) / p.prior_u;
        double odds = 0.005 * (p.term == NR_TERM_WATER ? 0.5 : 0.5 / (double)(n - 1));
        while (high - limit > 1e-12) /* the normal quantile by halving */
            *(beyond((limit + high) / 2) > odds ? &limit : &high) = (limit + high) / 2;
        double strength = fabs(by) / sqrt(told) / (1.15 * limit);
        const nr_misfit_finding *f = found(&l, NR_MISFIT_PRIOR, (int)p.term);
        ck_assert_msg((strength >= 1) == (f != NULL), "%s: %g", p.label, strength);
        if (f) {
            seen++;
            NEAR_RELATIVE(f->strength, strength, 1e-6);
            NEAR_RELATIVE(f->size, by / sqrt(told), 1e-9);
            ck_assert_uint_eq(f->parameter, which[a]);
        }
        sum += by * by;
        trace += told;
        for (size_t b = 0; b < n; b++) {
            nr_parameter_view q = nr_joint_parameter(l.joint, which[b]);
            nr_scorer_rest(l.s.scorer, which[a], which[b], &other, &variance);
            squares += pow((a == b) - variance / (p.prior_u * q.prior_u), 2);
        }
    }
    const nr_misfit_finding *all = found(&l, NR_MISFIT_PRIORS, -1);
    ck_assert_uint_ge(seen, 1);
    ck_assert_ptr_nonnull(all);
    {
        NEAR_RELATIVE(all->size, sum / trace, 1e-9);
        /* The chi-squared quantile by the cube root (E. Wilson and M. Hilferty, Proc. Nat. Acad.
         * Sci. 17 (1931) 684-688): a hundredth. */
        double df = trace * trace / squares, z = 2.5758293,
               cube = 1 - 2 / (9 * df) + z * sqrt(2 / (9 * df));
        NEAR_RELATIVE(all->strength,
                      sum / (1.15 * 1.15 * squares / trace * df * cube * cube * cube), 0.03);
    }
    close_it(&l);
}
END_TEST

/* The course of the sun's readings against a cloudless sky's and against the collector: the mean
 * weighted by both variances. */
START_TEST(two_witnesses_of_the_sun)
{
    static looked_at l;
    open_it(&l, true);
    nr_err err;
    double *shape = nr_misfit_gain_shapes(&l.s), gain, gain_u;
    ck_assert(nr_misfit_allow(&l.s, shape, &err) == NR_OK);
    nr_misfit_gain_drift(&l.s, &gain, &gain_u);
    double hours = (double)l.s.blocks * l.series->block_s / 3600;
    l.series->sky_course_per_h = 0.3;
    l.series->sky_course_u_per_h = 0.02;
    double v[2] = {pow(0.02 * hours, 2), gain_u * gain_u};
    double size = (0.3 * hours * v[1] - gain * v[0]) / (v[0] + v[1]),
           u = sqrt(v[0] * v[1] / (v[0] + v[1]));
    nr_misfit_sky(&l.s);
    const nr_misfit_finding *f = found(&l, NR_MISFIT_SUN_COURSE, -1);
    ck_assert(f != NULL);
    NEAR_RELATIVE(f->size, size, 1e-9);
    NEAR_RELATIVE(f->u, u, 1e-9);
    NEAR_RELATIVE(f->strength, fabs(size) / u / nr_misfit_limit(1), 1e-9);
    for (int more = 0; more < 2; more++) {
        l.scale.efficiency_u = fabs(size) / (more ? 1.001 : 0.999);
        l.out.count = 0;
        nr_misfit_sky(&l.s);
        ck_assert((found(&l, NR_MISFIT_SUN_COURSE, -1) != NULL) == more);
    }
    l.series->sky_course_u_per_h = INFINITY;
    l.out.count = 0;
    nr_misfit_sky(&l.s);
    ck_assert_uint_eq(l.out.count, 0);
    free(shape);
    close_it(&l);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {tools,
                                  usual_and_drifts,
                                  gain_from_a_window_on,
                                  probes_that_jump,
                                  water_that_came,
                                  second_half_over_first,
                                  inlet_minute_by_minute,
                                  loop_against_container,
                                  priors_that_are_pulled,
                                  two_witnesses_of_the_sun,
                                  NULL};
    return run_tests("misfit, parts", tests);
}
