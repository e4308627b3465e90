/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each test of misfit by itself, on one solved record in which a good deal went wrong: what it
 * finds is worked out here a second time (signatures by whole simulations, each scored by itself;
 * the scores have tests of their own). */
#include "tests/unit/misfit/looked_at.h"

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

static void forget(looked_at *l)
{
    for (size_t i = 0; i < l->s.bests; i++)
        for (int c = 0; c < NR_OUTS; c++)
            free(l->s.best[i].added[c]);
    memset(l->s.best, 0, sizeof l->s.best);
    l->s.bests = 0;
}

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
        /* What a loss may differ by: of a bare plate by a tenth where nobody measured the wind. */
        for (int kind = 0; kind < 3; kind++) {
            static double wind[MOST];
            double z[2], may = kind == 1 ? 0.10 : 0.03;
            nr_part *part_of = &l.series->part[0];
            double *kept_wind = part_of->wind_m_s;
            l.run->run.rig.collector.glazing = kind ? NR_GLAZING_NONE : NR_GLAZING_SINGLE;
            part_of->wind_m_s = kind == 2 ? wind : NULL;
            for (int k = 0; k < 2; k++) { /* s' V^-1 s, without and with that in the loss */
                double loss = v[3] + k * may * may, det = v[0] * loss - v[1] * v[1];
                z[k] = sqrt((size[0] * (loss * size[0] - v[1] * size[1]) +
                             size[1] * (v[0] * size[1] - v[1] * size[0])) /
                            det);
            }
            forget(&l);
            ck_assert(nr_misfit_halves(&l.s, &err) == NR_OK);
            part_of->wind_m_s = kept_wind;
            const nr_misfit_best *b = kept(&l, NR_MISFIT_HALVES, -1);
            ck_assert_msg(z[0] >= 2.5 && b != NULL, "z %g", z[0]);
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

int main(void)
{
    const TTest *const tests[] = {tools,
                                  usual_and_drifts,
                                  gain_from_a_window_on,
                                  probes_that_jump,
                                  water_that_came,
                                  second_half_over_first,
                                  NULL};
    return run_tests("misfit, parts", tests);
}
