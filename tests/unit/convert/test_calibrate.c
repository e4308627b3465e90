/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bath calibration on made-up baths of known truth, two-point calibration against hand arithmetic
 * and Monte Carlo. */
#include "logger/convert/calibrate.h"
#include "tests/unit/near.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#define ROWS 300
#define PROBES 4

typedef struct made {
    double time_s[ROWS], value[PROBES][ROWS], reference[ROWS];
    const double *values[PROBES];
    nr_bath bath;
} made;

static const double offset[PROBES] = {0.12, -0.30, 0.0, 0.05};

/* Readings every second: bath at 25 degC, probes with an offset, autoregressive noise (sd, rho) and
 * steps; the reference with the same noise. */
static void make(made *m, gsl_rng *rng, double sd, double rho, double step)
{
    memset(m, 0, sizeof *m);
    double state[PROBES] = {0};
    for (int p = 0; p < PROBES; p++) {
        m->values[p] = m->value[p];
        state[p] = gsl_ran_gaussian(rng, sd);
    }
    for (int i = 0; i < ROWS; i++) {
        m->time_s[i] = i;
        m->reference[i] = 25.0;
        for (int p = 0; p < PROBES; p++) {
            state[p] = rho * state[p] + gsl_ran_gaussian(rng, sd * sqrt(1 - rho * rho));
            double reading = 25.0 + offset[p] + state[p];
            m->value[p][i] = step > 0 ? step * round(reading / step) : reading;
        }
    }
    m->bath = (nr_bath){.rows = ROWS,
                        .probes = PROBES,
                        .time_s = m->time_s,
                        .value = m->values,
                        .reference = m->reference,
                        .u_reference_K = 0.03};
}

static made m;
static nr_bath_probe probe[PROBES];
static nr_bath_result result;

START_TEST(offsets_are_found)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 1);
    make(&m, rng, 0.02, 0.0, 0.0);
    m.bath.u_place_K = 0.01;
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, NULL), NR_OK);
    for (int p = 0; p < PROBES; p++) {
        NEAR(probe[p].correction_K, -offset[p], 4 * 0.02 / sqrt(ROWS));
        NEAR(probe[p].sd_K, 0.02, 0.003);
        NEAR(probe[p].u_own_K, hypot(0.02 / sqrt(ROWS), 0.01), 0.002);
        ck_assert(!probe[p].drifts && !probe[p].constant);
    }
    NEAR(result.bath_degC, 25, 1e-9);
    NEAR(result.bath_rate_K_min, 0, 1e-9);
    NEAR(result.u_common_K, 0.03, 1e-12); /* what the reference is wrong by is in no difference */
    gsl_rng_free(rng);
}
END_TEST

/* The promise itself: in how many of 1000 baths is the found offset within 1.96 u of the true one?
 * Promised 95 %; the limits are four standard errors of a proportion, and for the strongly
 * correlated noise the few percent that a correlation estimated from 300 readings costs. */
static void coverage(double rho, double low, double high)
{
    const unsigned long seed = 20260704;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, seed);
    int inside = 0, all = 0;
    for (int run = 0; run < 250; run++) {
        make(&m, rng, 0.02, rho, 0.0);
        ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, NULL), NR_OK);
        for (int p = 0; p < PROBES; p++, all++)
            inside += fabs(probe[p].correction_K + offset[p]) <= 1.96 * probe[p].u_own_K;
    }
    double share = (double)inside / all;
    printf("bath: rho %.1f: %.3f of %d inside 1.96 u (seed %lu)\n", rho, share, all, seed);
    ck_assert_double_ge(share, low);
    ck_assert_double_le(share, high);
    gsl_rng_free(rng);
}

START_TEST(interval_holds_for_independent_noise)
{
    coverage(0.0, 0.922, 0.978);
}
END_TEST

START_TEST(interval_holds_for_correlated_noise)
{
    coverage(0.9, 0.90, 0.978); /* sd/sqrt(n) alone would give 0.35 */
}
END_TEST

START_TEST(coarse_steps)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    make(&m, rng, 0.001, 0.0, 0.0625); /* noise far below the step: every reading the same */
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, NULL), NR_OK);
    ck_assert(probe[2].constant);
    NEAR(probe[2].u_own_K, NR_BATH_STEP_UNKNOWN_K / sqrt(12), 1e-9);
    make(&m, rng, 0.03, 0.0, 0.0625);
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, NULL), NR_OK);
    for (int p = 0; p < PROBES; p++) {
        NEAR(probe[p].step_K, 0.0625, 1e-9);
        ck_assert_double_ge(probe[p].u_own_K, 0.0625 / sqrt(12));
        NEAR(probe[p].correction_K, -offset[p], 2 * probe[p].u_own_K);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(drift_is_seen)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    make(&m, rng, 0.01, 0.5, 0.0);
    for (int i = 0; i < ROWS; i++)
        m.value[1][i] += 0.2 * i / (ROWS - 1.0); /* a probe still warming up: 0.2 K over the bath */
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, NULL), NR_OK);
    ck_assert(probe[1].drifts);
    NEAR(probe[1].drift_K, 0.2, 0.02);
    ck_assert_double_ge(probe[1].u_own_K, 0.2 / sqrt(12) * 0.9);
    ck_assert(!probe[0].drifts && !probe[2].drifts && !probe[3].drifts);
    NEAR(probe[1].sd_K, 0.01, 0.002); /* the trend is not taken for scatter */
    /* So is one that goes down. */
    make(&m, rng, 0.01, 0.5, 0.0);
    for (int i = 0; i < ROWS; i++)
        m.value[1][i] -= 0.2 * i / (ROWS - 1.0);
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, NULL), NR_OK);
    ck_assert(probe[1].drifts && !probe[0].drifts);
    NEAR(probe[1].drift_K, -0.2, 0.02);
    /* A bath that cools takes reference and probes along: no drift of the difference. */
    make(&m, rng, 0.01, 0.0, 0.0);
    for (int i = 0; i < ROWS; i++) {
        m.reference[i] -= 0.01 * i / 60.0;
        for (int p = 0; p < PROBES; p++)
            m.value[p][i] -= 0.01 * i / 60.0;
    }
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, NULL), NR_OK);
    NEAR(result.bath_rate_K_min, -0.01, 1e-9);
    for (int p = 0; p < PROBES; p++)
        ck_assert(!probe[p].drifts);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(kinds_of_reference)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    make(&m, rng, 0.01, 0.0, 0.0);
    m.bath.reference = NULL;
    m.bath.reference_degC = 25.1; /* read off a thermometer by a person */
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, NULL), NR_OK);
    NEAR(probe[0].correction_K, 25.1 - 25.12, 0.01);
    NEAR(result.bath_degC, 25.1, 0);
    ck_assert(!result.relative);
    m.bath.reference_degC = NAN; /* none: the probes are brought together */
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, NULL), NR_OK);
    ck_assert(result.relative);
    ck_assert(isnan(result.u_common_K));
    double mean = (0.12 - 0.30 + 0.05) / 4, sum = 0;
    for (int p = 0; p < PROBES; p++) {
        NEAR(probe[p].correction_K, mean - offset[p], 0.01);
        sum += probe[p].correction_K;
    }
    NEAR(sum, 0, 1e-12);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(refusals)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    nr_err err = {0};
    make(&m, rng, 0.01, 0.0, 0.0);
    for (int i = 0; i < ROWS - 10; i++)
        m.value[2][i] = NAN;
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, &err), NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "probe 3"));
    m.bath.rows = 5;
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, &err), NR_CANNOT);
    make(&m, rng, 0.01, 0.0, 0.0);
    for (int i = 0; i < ROWS; i++)
        m.time_s[i] = 7;
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, &err), NR_CANNOT);
    /* gaps alone do no harm */
    make(&m, rng, 0.01, 0.0, 0.0);
    for (int i = 0; i < ROWS; i += 2)
        m.value[1][i] = NAN;
    ck_assert_int_eq(nr_bath_solve(&m.bath, probe, &result, &err), NR_OK);
    ck_assert_uint_eq(probe[1].count, ROWS / 2);
    NEAR(probe[1].correction_K, 0.30, 0.01);
    gsl_rng_free(rng);
}
END_TEST

/* The corrected reading and its standard uncertainty, covariance included. */
static double corrected(const nr_two_point *line, double reading_degC, double *u_K)
{
    *u_K = sqrt(line->u_gain * line->u_gain * reading_degC * reading_degC +
                2.0 * line->covariance * reading_degC + line->u_offset_K * line->u_offset_K);
    return line->gain * reading_degC + line->offset_K;
}

START_TEST(two_points)
{
    /* By hand: reads 0.30 in ice and 97.30 in water boiling at 98.0 degC. */
    nr_two_point_in in = {.reading_degC = {0.30, 97.30},
                          .u_reading_K = {0.02, 0.02},
                          .true_degC = {0.0, 98.0},
                          .u_true_K = {0.01, 0.10}};
    nr_two_point line;
    ck_assert_int_eq(nr_two_point_solve(&in, &line, NULL), NR_OK);
    NEAR(line.gain, 98.0 / 97.0, 1e-12);
    NEAR(line.offset_K, -0.30 * 98.0 / 97.0, 1e-12);
    double u;
    NEAR(corrected(&line, 0.30, &u), 0.0, 1e-12);
    NEAR(u, hypot(0.01, line.gain * 0.02), 1e-9); /* at a point: that point's own */
    NEAR(corrected(&line, 97.30, &u), 98.0, 1e-12);
    NEAR(u, hypot(0.10, line.gain * 0.02), 1e-9);
    /* half way: half of either, in quadrature */
    corrected(&line, 48.80, &u);
    NEAR(u, 0.5 * hypot(hypot(0.01, line.gain * 0.02), hypot(0.10, line.gain * 0.02)), 1e-9);

    nr_err err = {0};
    in.reading_degC[1] = 15;
    ck_assert_int_eq(nr_two_point_solve(&in, &line, &err), NR_CANNOT);
    in.reading_degC[1] = NAN;
    ck_assert_int_eq(nr_two_point_solve(&in, &line, &err), NR_CANNOT);
}
END_TEST

START_TEST(two_points_by_monte_carlo)
{
    const unsigned long seed = 7;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, seed);
    nr_two_point_in in = {.reading_degC = {0.5, 98.6},
                          .u_reading_K = {0.05, 0.08},
                          .true_degC = {0.0, 99.1},
                          .u_true_K = {0.02, 0.2}};
    nr_two_point line, drawn;
    ck_assert_int_eq(nr_two_point_solve(&in, &line, NULL), NR_OK);
    double sg = 0, so = 0, sgg = 0, soo = 0, sgo = 0;
    const int n = 20000;
    for (int k = 0; k < n; k++) {
        nr_two_point_in t = in;
        for (int i = 0; i < 2; i++) {
            t.reading_degC[i] += gsl_ran_gaussian(rng, in.u_reading_K[i]);
            t.true_degC[i] += gsl_ran_gaussian(rng, in.u_true_K[i]);
        }
        ck_assert_int_eq(nr_two_point_solve(&t, &drawn, NULL), NR_OK);
        double g = drawn.gain - line.gain, o = drawn.offset_K - line.offset_K;
        sg += g, so += o, sgg += g * g, soo += o * o, sgo += g * o;
    }
    double vg = sgg / n - sg / n * sg / n, vo = soo / n - so / n * so / n;
    double c = sgo / n - sg / n * so / n;
    NEAR_RELATIVE(line.u_gain, sqrt(vg), 0.03); /* 20000 draws: 0.5 %, six times that */
    NEAR_RELATIVE(line.u_offset_K, sqrt(vo), 0.03);
    NEAR(line.covariance / (line.u_gain * line.u_offset_K), c / sqrt(vg * vo), 0.05);
    gsl_rng_free(rng);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {offsets_are_found,
                                  interval_holds_for_independent_noise,
                                  interval_holds_for_correlated_noise,
                                  coarse_steps,
                                  drift_is_seen,
                                  kinds_of_reference,
                                  refusals,
                                  two_points,
                                  two_points_by_monte_carlo,
                                  NULL};
    return run_tests("calibrate", tests);
}
