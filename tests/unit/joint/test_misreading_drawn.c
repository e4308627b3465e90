/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Means, likeness, fronts and healthy wander of pieces that are made of drawn numbers alone: each
 * worked out once more from misreading.h. */
#include "analyze/joint/allow.h"
#include "analyze/joint/misreading.h"
#include "tests/unit/quality/records.h"

enum { PIECES = 5, BLOCKS = 80, EACH = 2, DRAWS = 40 };

/* Five pieces of three runs of two builds. */
typedef struct made {
    nr_joint joint;
    nr_piece piece[PIECES];
    nr_part part[PIECES];
    nr_series series[PIECES];
    double outlet[PIECES][BLOCKS], store[PIECES][BLOCKS];
    double inlet[PIECES][BLOCKS * EACH], air[PIECES][BLOCKS * EACH], sun[PIECES][BLOCKS * EACH];
    unsigned char used[NR_OUTS][PIECES][BLOCKS];
} made;

static const size_t run_of[PIECES] = {0, 0, 1, 2, 2}, build_of_run[3] = {0, 0, 1};

static void draw_piece(made *m, size_t i, unsigned long long *s)
{
    nr_piece *p = &m->piece[i];
    nr_part *part = &m->part[i];
    double warm = 20 + 4 * normal(s), bright = 700 + 80 * normal(s);
    *part = (nr_part){.blocks = BLOCKS,
                      .steps = BLOCKS * EACH,
                      .sun_W_m2 = m->sun[i],
                      .air_degC = m->air[i],
                      .inlet_degC = m->inlet[i],
                      .reading = {m->store[i], NULL, m->outlet[i]}};
    m->series[i] = (nr_series){.block_s = 5 + 20 * chance(s),
                               .step_s = 2 + 10 * chance(s),
                               .transit_s = 100 * chance(s),
                               .unseen_gain = 0.01 * chance(s)};
    *p = (nr_piece){.series = &m->series[i],
                    .part = part,
                    .run = run_of[i],
                    .build = build_of_run[run_of[i]],
                    .driven = chance(s) < 0.8};
    for (int c = 0; c < NR_OUTS; c++) {
        p->fits[c] = chance(s) < 0.8;
        p->used[c] = m->used[c][i];
        for (size_t b = 0; b < BLOCKS; b++) {
            p->used[c][b] = chance(s) < 0.8;
            p->used_count[c] += p->used[c][b];
        }
    }
    for (size_t k = 0; k < BLOCKS * EACH; k++) {
        m->inlet[i][k] = chance(s) < 0.05 ? NAN : warm + normal(s);
        m->air[i][k] = 18 + normal(s);
        m->sun[i][k] = bright + 30 * normal(s);
    }
    double smooth = chance(s) < 0.5 ? 0.0005 : 0.05, level = 30;
    for (size_t b = 0; b < BLOCKS; b++) {
        level += smooth * normal(s);
        m->outlet[i][b] = chance(s) < 0.05 ? NAN : level;
        m->store[i][b] = 20 + 5 * chance(s);
    }
}

static void draw_all(made *m, unsigned long long *s)
{
    memset(&m->joint, 0, sizeof m->joint);
    m->joint.runs = 3;
    m->joint.pieces = PIECES;
    m->joint.piece = m->piece;
    memcpy(m->joint.build_of, build_of_run, sizeof build_of_run);
    for (size_t i = 0; i < PIECES; i++)
        draw_piece(m, i, s);
}

static nr_piece_means means(const nr_piece *p)
{
    nr_piece_means e = {0, 0, 0, 0};
    for (size_t b = 0; b < BLOCKS && p->driven && p->fits[NR_OUT_OUTLET]; b++) {
        double in = p->part->inlet_degC[EACH * b], out = p->part->reading[NR_OUT_OUTLET][b];
        if (!p->used[NR_OUT_OUTLET][b] || isnan(in) || isnan(out))
            continue;
        e.blocks++;
        e.over_air_K += (in + out) / 2 - p->part->air_degC[EACH * b];
        e.sun_W_m2 += p->part->sun_W_m2[EACH * b];
        e.rise_K += fabs(out - in);
    }
    if (e.blocks > 0) {
        e.over_air_K /= e.blocks;
        e.sun_W_m2 /= e.blocks;
        e.rise_K /= e.blocks;
    }
    return e;
}

START_TEST(like_days)
{
    static made m;
    unsigned long long s = 51;
    for (int k = 0; k < DRAWS; k++) {
        nr_piece_means e[PIECES];
        draw_all(&m, &s);
        nr_misreading_set(&m.joint);
        for (size_t i = 0; i < PIECES; i++) {
            e[i] = means(&m.piece[i]);
            NEAR(m.piece[i].seen.blocks, e[i].blocks, 0);
            NEAR(m.piece[i].seen.over_air_K, e[i].over_air_K, 1e-9);
            NEAR(m.piece[i].seen.sun_W_m2, e[i].sun_W_m2, 1e-9);
            NEAR(m.piece[i].seen.rise_K, e[i].rise_K, 1e-9);
        }
        for (size_t i = 0; i < PIECES; i++) {
            double alike = 1;
            for (size_t r = 0; r < 3; r++) { /* a bell of 5 K and 100 W/m2, half of it */
                double sum = 0, blocks = 0;
                for (size_t o = 0; o < PIECES; o++) {
                    double x = (e[o].over_air_K - e[i].over_air_K) / 5;
                    double y = (e[o].sun_W_m2 - e[i].sun_W_m2) / 100;
                    if (run_of[o] != r || r == run_of[i] ||
                        build_of_run[r] != build_of_run[run_of[i]] || e[i].blocks == 0)
                        continue;
                    sum += e[o].blocks * exp(-0.5 * x * x) * exp(-0.5 * y * y);
                    blocks += e[o].blocks;
                }
                alike += blocks > 0 ? 0.5 * sum / blocks : 0;
            }
            NEAR(m.piece[i].alike, alike, 1e-9);
        }
    }
}
END_TEST

/* A front of so many kelvins a second is half a step late, and 0.07 of the transit. Where fewer
 * than sixty blocks, or a quarter of them, are level, all tell the noise. */
START_TEST(fronts)
{
    static made m;
    unsigned long long s = 52;
    int by_level = 0, by_all = 0;
    for (int k = 0; k < 4 * DRAWS; k++) {
        draw_all(&m, &s);
        nr_piece *p = &m.piece[0];
        const double *v = m.outlet[0];
        double late_s = sqrt(pow(m.series[0].step_s / 2, 2) + pow(0.07 * m.series[0].transit_s, 2));
        bool level[BLOCKS];
        size_t count = 0;
        ck_assert(nr_misreading_fronts(p));
        ck_assert_ptr_eq(p->whitener[NR_OUT_OUTLET].more, p->fronts);
        for (size_t b = 0; b < BLOCKS; b++) {
            size_t before = b == 0 ? 0 : b - 1, after = b + 1 == BLOCKS ? b : b + 1;
            double rate = (v[after] - v[before]) / (double)(after - before) / m.series[0].block_s;
            double late = isnan(rate) ? 0 : rate * late_s;
            NEAR(p->fronts[b], late * late, 1e-12);
            level[b] = m.used[NR_OUT_OUTLET][0][b] && late < 0.02 && late > -0.02;
            count += level[b];
        }
        bool enough = count >= 60 && count >= p->used_count[NR_OUT_OUTLET] / 4;
        for (size_t b = 0; b < BLOCKS; b++)
            ck_assert((p->even[b] != 0) == (enough ? level[b] : m.used[NR_OUT_OUTLET][0][b] != 0));
        by_level += enough && count < p->used_count[NR_OUT_OUTLET];
        by_all += !enough;
        free(p->fronts);
        free(p->even);
    }
    ck_assert(by_level > 0 && by_all > 0);
}
END_TEST

START_TEST(healthy_wander)
{
    static made m;
    unsigned long long s = 53;
    for (int k = 0; k < DRAWS; k++) {
        draw_all(&m, &s);
        double low = 1e9, high = -1e9;
        for (size_t b = 0; b < BLOCKS; b++) {
            m.used[NR_OUT_STORE][0][b] = m.used[NR_OUT_STORE][0][b] && k > 0;
            low = m.used[NR_OUT_STORE][0][b] ? fmin(low, m.store[0][b]) : low;
            high = m.used[NR_OUT_STORE][0][b] ? fmax(high, m.store[0][b]) : high;
        }
        double rise = k ? high - low : 0, unseen = m.series[0].unseen_gain;
        NEAR(nr_piece_store_rise_K(&m.piece[0]), rise, 1e-12);
        NEAR(nr_misreading_store_K(&m.piece[0]), 0.03 + 0.004 * rise + 2 * unseen * rise, 1e-12);
        /* A third of it is usual of a store, 0.4 % of the rise of an outlet: at least so much, and
         * slow. */
        m.piece[0].alike = 1 + chance(&s);
        m.piece[0].seen.rise_K = 10 * chance(&s);
        for (int c = NR_OUT_STORE; c < NR_OUTS; c += NR_OUT_OUTLET - NR_OUT_STORE) {
            nr_noise quiet = nr_misreading_noise(&m.piece[0], c, (nr_noise){.sigma = 0});
            double least = c == NR_OUT_STORE ? nr_misreading_store_K(&m.piece[0]) / 3
                                             : 0.004 * m.piece[0].seen.rise_K;
            NEAR(quiet.sigma, least * sqrt(m.piece[0].alike), 1e-12);
            NEAR(quiet.phi, exp(-m.series[0].block_s / 600), 1e-12);
            NEAR(quiet.slow, 1, 1e-12);
        }
    }
}
END_TEST

/* ---- the sun between its readings, of several runs (allow.h) ---- */

/* Runs of one build are independent: 1/u^2 add up. All must have missed the sun; a run whose fitted
 * outlet shows it has not. */
START_TEST(unseen_by_several)
{
    static made m;
    static nr_parameter parameter[4];
    static double x[4], covariance[16];
    unsigned long long s = 54;
    m.joint.parameters = 4;
    for (int k = 0; k < 10 * DRAWS; k++) {
        double weight = 0, u[3];
        bool all = true;
        draw_all(&m, &s);
        m.joint.parameters = 4;
        m.joint.parameter = parameter;
        m.joint.x = x;
        m.joint.covariance = covariance;
        m.joint.builds = 2;
        x[0] = 0.7;
        x[1] = 10 * chance(&s) - 5;
        for (size_t i = 0; i < 4; i++)
            parameter[i] =
                (nr_parameter){.prior_u = i == 1 ? 2 + chance(&s) : 0.05, .said_u = 0.04};
        for (size_t i = 0; i < PIECES; i++)
            for (int t = 0; t < NR_TERMS; t++)
                m.piece[i].index[t] = t == NR_TERM_OPTICAL      ? 0
                                      : t == NR_TERM_LOSS       ? 1
                                      : t == NR_TERM_MODEL_LOSS ? 2 + (int)m.piece[i].build
                                                                : -1;
        for (size_t r = 0; r < 3; r++) {
            u[r] = chance(&s) < 0.1 ? 0 : chance(&s) < 0.1 ? INFINITY : 0.1 + 5 * chance(&s);
            m.joint.series[r] = &m.series[r == 0 ? 0 : r + 1];
            m.series[r == 0 ? 0 : r + 1].unseen_slope_W_m2K = u[r];
        }
        for (size_t r = 0; r < 2; r++) { /* of the first build */
            bool shows = true;
            for (size_t i = 0; i < PIECES; i++) {
                const nr_piece *p = &m.piece[i];
                bool fitted = p->fits[0] || p->fits[1] || p->fits[2];
                bool sees =
                    p->driven && p->fits[NR_OUT_OUTLET] && p->used_count[NR_OUT_OUTLET] >= 20;
                shows = shows && !(p->run == r && fitted && !sees);
            }
            all = all && !shows && u[r] > 0;
            weight += !shows && u[r] > 0 && isfinite(u[r]) ? 1 / (u[r] * u[r]) : 0;
        }
        nr_joint_allow_for_unseen_sun(&m.joint);
        double more = fmin(0.7 / sqrt(weight), parameter[1].prior_u) / fmax(fabs(x[1]), 0.3);
        bool added = all && weight > 0;
        NEAR(parameter[2].prior_u, added ? hypot(0.05, more) : 0.05, 1e-9 * (1 + more));
        NEAR(parameter[2].said_u, added ? hypot(0.04, more) : 0.04, 1e-9 * (1 + more));
        if (added)
            NEAR(covariance[10], pow(parameter[2].prior_u, 2), 1e-9 * (1 + more * more));
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {like_days, fronts, healthy_wander, unseen_by_several, NULL};
    return run_tests("misreading_drawn", tests);
}
