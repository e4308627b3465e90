/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Before and after on drawn questions, worked out a second time: shares by partial derivatives
 * (JCGM 100, 5.1.3), uncertainties against their root sum of squares, the sky by the minute, and
 * what three more readings would tell by small steps of the heat balance and a full normal matrix.
 */
#include "analyze/physics/clearsky.h"
#include "analyze/physics/water.h"
#include "analyze/tally/tally.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

static uint64_t seed;
static nr_err err;

static double draw(void)
{
    return chance_share(&seed);
}

static nr_tally_question question(unsigned long trial)
{
    seed = 31 * trial + 5;
    nr_tally_question q = nr_tally_open();
    const double value[] = {10 + 60 * draw(),     0.4 + 2 * draw(),  8 + 20 * draw(), 0,
                            2000 + 9000 * draw(), 300 + 600 * draw()};
    for (int i = 0; i < NR_TALLY_INPUTS; i++) {
        bool stated = draw() < 0.6;
        q.input[i].value = value[i];
        q.input[i].u = !stated                                  ? NAN
                       : i == NR_TALLY_FROM || i == NR_TALLY_TO ? 0.2 + 0.5 * draw()
                                                                : 0.03 * draw() * value[i];
    }
    q.input[NR_TALLY_TO].value = q.input[NR_TALLY_FROM].value + 12 + 20 * draw();
    q.air_degC = trial % 3 ? 12 + 15 * draw() : NAN;
    q.draws = 3000;
    q.seed = trial + 1;
    if (trial % 4 == 1)
        q.input[NR_TALLY_SUN].value = NAN;
    return q;
}

/* Where nothing is stated: a jug 2 %, a tape 1 %, two times read to the minute 60 s sqrt(2/12), a
 * guessed irradiance 10 %; a kitchen thermometer's own. */
static double usual(int i, double value, double kitchen)
{
    return i == NR_TALLY_WATER      ? 0.02 * value
           : i == NR_TALLY_AREA     ? 0.01 * value
           : i == NR_TALLY_DURATION ? 60 / sqrt(6)
           : i == NR_TALLY_SUN      ? 0.10 * value
                                    : kitchen;
}

static double cp(double degC)
{
    return nr_water_cp_J_kgK(degC);
}

/* --- three more readings -----------------------------------------------------------------------
 */

/* The water over the air after a while, by small steps: C x' = power - loss x. */
static double after(const double p[3], double C, double t)
{
    enum { STEPS = 400 };
    double x = p[0], dt = t / STEPS;
    for (int i = 0; i < STEPS; i++) { /* the middle of each step */
        double half = x + (p[1] - p[2] * x) / C * dt / 2;
        x += (p[1] - p[2] * half) / C * dt;
    }
    return x;
}

static double det3(double m[3][3])
{
    return m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) -
           m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0]) +
           m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]);
}

/* u of the loss: start and, unless it is known, power unknown beside it. */
static double u_of_loss(const double p[3], double C, const double *t, const double *u, int n,
                        bool power_known)
{
    double m[3][3] = {{0}}, slope[3];
    for (int k = 0; k < n; k++) {
        for (int j = 0; j < 3; j++) {
            double up[3] = {p[0], p[1], p[2]}, down[3] = {p[0], p[1], p[2]};
            double h = 1e-3 * fmax(1, fabs(p[j]));
            up[j] += h;
            down[j] -= h;
            slope[j] = (after(up, C, t[k]) - after(down, C, t[k])) / (2 * h);
        }
        for (int i = 0; i < 3; i++)
            for (int j = 0; j < 3; j++)
                m[i][j] += slope[i] * slope[j] / (u[k] * u[k]);
    }
    if (power_known)
        return sqrt(m[0][0] / (m[0][0] * m[2][2] - m[0][2] * m[2][0]));
    return sqrt((m[0][0] * m[1][1] - m[0][1] * m[1][0]) / det3(m));
}

static void more_is_right(const nr_tally *t, double kitchen)
{
    const nr_stated *in = t->asked.input;
    double from = in[NR_TALLY_FROM].value, to = in[NR_TALLY_TO].value;
    double air = isnan(t->asked.air_degC) ? from : t->asked.air_degC,
           area = in[NR_TALLY_AREA].value;
    double s = in[NR_TALLY_DURATION].value, mean = (from + to) / 2;
    double C = in[NR_TALLY_WATER].value * cp(mean), first = in[NR_TALLY_FROM].u;
    double u = in[NR_TALLY_TO].u;
    /* one glass over black paint 8 W/(m2 K), a bucket with a lid 2 W/K */
    ck_assert(t->supposed_loss_W_m2K == 8 && t->supposed_container_W_K == 2);
    double loss = 8 * area + 2;
    double p[3] = {from - air, t->result[NR_TALLY_POWER].value + loss * (mean - air), loss};
    double at[5] = {0, s / 4, s / 2, 0.75 * s, s}, later[5] = {0, s, s + s / 3, s + s / 1.5, 2 * s};
    double us[5] = {first, u, u, u, u};
    double between_u = u_of_loss(p, C, at, us, 5, false) / area;
    double later_u = u_of_loss(p, C, later, us, 5, false) / area;
    NEAR_RELATIVE(t->more_u[NR_TALLY_BETWEEN], between_u, 0.01);
    NEAR_RELATIVE(t->more_u[NR_TALLY_LATER], later_u, 0.01);
    double cool[3] = {to - air, 0, 2}, evening[4] = {0, 7200, 14400, 21600};
    double both = hypot(u, kitchen), ub[4] = {both, both, both, both};
    if (to - air > 1)
        NEAR_RELATIVE(t->more_u[NR_TALLY_COOLING], u_of_loss(cool, C, evening, ub, 4, true), 0.01);
    else
        ck_assert(isnan(t->more_u[NR_TALLY_COOLING]));
}

/* --- the result --------------------------------------------------------------------------------
 */

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double normal(double value, double u)
{
    return value + u * sqrt(-2 * log(1 - draw())) * cos(2 * M_PI * draw());
}

/* 95 % of the efficiency by drawing its inputs (JCGM 101, 7.7: the probabilistically symmetric
 * interval). */
static void drawn_interval(const nr_stated *in, double *lo, double *hi)
{
    enum { DRAWS = 12000 };
    static double eta[DRAWS];
    for (int i = 0; i < DRAWS; i++) {
        double x[NR_TALLY_INPUTS];
        for (int k = 0; k < NR_TALLY_INPUTS; k++)
            x[k] = normal(in[k].value, in[k].u);
        eta[i] = x[NR_TALLY_WATER] * nr_water_enthalpy_rise_J_kg(x[NR_TALLY_FROM], x[NR_TALLY_TO]) /
                 (x[NR_TALLY_DURATION] * x[NR_TALLY_SUN] * x[NR_TALLY_AREA]);
    }
    qsort(eta, DRAWS, sizeof *eta, by_size);
    *lo = eta[DRAWS / 40];
    *hi = eta[DRAWS - 1 - DRAWS / 40];
}

/* Relative variances by input of one result, and which of the three. */
static void is_worked(const nr_tally *t, nr_tally_result r)
{
    const nr_stated *in = t->asked.input;
    double from = in[NR_TALLY_FROM].value, to = in[NR_TALLY_TO].value;
    double rise = nr_water_enthalpy_rise_J_kg(from, to), part[NR_TALLY_INPUTS], all = 0;
    double value = in[NR_TALLY_WATER].value * rise;
    if (r != NR_TALLY_HEAT)
        value /= in[NR_TALLY_DURATION].value;
    if (r == NR_TALLY_EFFICIENCY)
        value /= in[NR_TALLY_SUN].value * in[NR_TALLY_AREA].value;
    const nr_quantity *q = &t->result[r];
    ck_assert_int_eq(q->known, r != NR_TALLY_EFFICIENCY || t->sun_known);
    if (!q->known)
        return;
    for (int i = 0; i < NR_TALLY_INPUTS; i++) {
        bool counts = i == NR_TALLY_WATER || i == NR_TALLY_FROM || i == NR_TALLY_TO ||
                      (i == NR_TALLY_DURATION && r != NR_TALLY_HEAT) || r == NR_TALLY_EFFICIENCY;
        double u = i == NR_TALLY_FROM ? cp(from) * in[i].u / rise
                   : i == NR_TALLY_TO ? cp(to) * in[i].u / rise
                                      : in[i].u / in[i].value;
        part[i] = counts ? u * u : 0;
        all += part[i];
    }
    for (int i = 0; i < NR_TALLY_INPUTS; i++)
        NEAR(t->share[r][i], part[i] / all, 1e-4);
    double random = (part[NR_TALLY_FROM] + part[NR_TALLY_TO] + part[NR_TALLY_DURATION]) / all;
    double u = value * sqrt(all);
    NEAR_RELATIVE(q->value, value, 1e-9);
    NEAR_RELATIVE(q->u, u, 0.08); /* 3000 draws: 1.3 %, and what is not linear */
    double lo = value - 1.96 * u, hi = value + 1.96 * u;
    if (r == NR_TALLY_EFFICIENCY) /* divided by an uncertain sun: not even about its value */
        drawn_interval(in, &lo, &hi);
    NEAR(q->lo95, lo, 0.25 * u);
    NEAR(q->hi95, hi, 0.25 * u);
    NEAR_RELATIVE(q->u_random * q->u_random, random * q->u * q->u, 1e-4);
    NEAR_RELATIVE(q->u_systematic * q->u_systematic, (1 - random) * q->u * q->u, 1e-3);
    int most = 0;
    for (int i = 1; i < NR_TALLY_INPUTS; i++)
        most = part[i] > part[most] ? i : most;
    if (r == (t->sun_known ? NR_TALLY_EFFICIENCY : NR_TALLY_POWER))
        ck_assert_int_eq(t->dominates, most);
    ck_assert_int_eq(q->unit, r == NR_TALLY_HEAT    ? NR_UNIT_J
                              : r == NR_TALLY_POWER ? NR_UNIT_W
                                                    : NR_UNIT_ONE);
}

START_TEST(drawn_questions)
{
    for (unsigned long trial = 0; trial < 24; trial++) {
        nr_tally_question q = question(trial);
        nr_tally t;
        ck_assert_msg(nr_tally_make(&q, &t, &err) == NR_OK, "%s", err.text);
        double kitchen = 1 / sqrt(3); /* within 1 K, anywhere */
        const nr_stated *in = t.asked.input;
        ck_assert(t.sun_known == isfinite(q.input[NR_TALLY_SUN].value));
        for (int i = 0; i < NR_TALLY_INPUTS; i++) {
            ck_assert(t.u_stated[i] == isfinite(q.input[i].u));
            if (isfinite(in[i].value))
                NEAR_RELATIVE(in[i].u,
                              t.u_stated[i] ? q.input[i].u : usual(i, in[i].value, kitchen), 0.05);
            if (isnan(q.input[i].u) && (i == NR_TALLY_FROM || i == NR_TALLY_TO))
                kitchen = in[i].u;
        }
        for (int r = 0; r < NR_TALLY_RESULTS; r++)
            is_worked(&t, (nr_tally_result)r);
        double over = (in[NR_TALLY_FROM].value + in[NR_TALLY_TO].value) / 2 - q.air_degC;
        ck_assert(isnan(over) ? isnan(t.over_air_K) : fabs(t.over_air_K - over) < 1e-9);
        if (t.sun_known)
            NEAR_RELATIVE(t.sun_J,
                          in[NR_TALLY_SUN].value * in[NR_TALLY_AREA].value *
                              in[NR_TALLY_DURATION].value,
                          1e-9);
        if (kitchen == 1 / sqrt(3)) /* both readings were stated; the air's was not */
            kitchen = 0.6;
        more_is_right(&t, kitchen);
    }
}
END_TEST

/* The mean of a cloudless sky over the time, and its angle by irradiance. */
START_TEST(cloudless)
{
    for (unsigned long trial = 0; trial < 4; trial++) {
        nr_tally_question q = question(4 * trial);
        q.clear_sky = true;
        q.input[NR_TALLY_SUN] = (nr_stated){NAN, NAN};
        q.latitude_deg = 20 + 30 * draw();
        q.longitude_deg = 40 * draw();
        q.elevation_m = 1500 * draw();
        q.tilt_deg = 60 * draw();
        q.azimuth_deg = 120 + 120 * draw();
        q.start_utc_s = 1780272000.0 + 3600 * (6 + 3 * (double)trial); /* 1 June 2026 */
        nr_tally t;
        ck_assert_msg(nr_tally_make(&q, &t, &err) == NR_OK, "%s", err.text);
        nr_place place = {q.latitude_deg, q.longitude_deg, q.elevation_m, q.tilt_deg,
                          q.azimuth_deg};
        double sum = 0, angle = 0, whole = q.input[NR_TALLY_DURATION].value;
        enum { PARTS = 150 };
        for (int k = 0; k < PARTS; k++) {
            nr_clear_instant now = nr_clear_sky_at(q.start_utc_s + whole * (k + 0.5) / PARTS, place,
                                                   NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT);
            double sun = fmax(now.plane.total, 0);
            sum += sun / PARTS;
            angle += sun * now.incidence_deg / PARTS;
        }
        NEAR_RELATIVE(t.asked.input[NR_TALLY_SUN].value, sum, 1e-3);
        NEAR(t.incidence_deg, angle / sum, 0.05);
        NEAR_RELATIVE(t.asked.input[NR_TALLY_SUN].u, NR_CLEAR_SKY_U * sum, 1e-3);
    }
}
END_TEST

/* Each thing a cloudless sky needs is asked for by its name. */
START_TEST(what_the_sky_needs)
{
    static const char *const asked[] = {"site", "site", "tilt,azimuth", "tilt,azimuth",
                                        "date,start"};
    for (int i = 0; i < 5; i++) {
        nr_tally_question q = question(0);
        q.clear_sky = true;
        q.latitude_deg = q.longitude_deg = 10;
        q.tilt_deg = q.azimuth_deg = 30;
        q.start_utc_s = 1780272000.0 + 43200;
        double *const needs[] = {&q.latitude_deg, &q.longitude_deg, &q.tilt_deg, &q.azimuth_deg,
                                 &q.start_utc_s};
        *needs[i] = NAN;
        nr_tally t;
        ck_assert_int_eq(nr_tally_make(&q, &t, &err), NR_BAD);
        ck_assert_str_eq(err.asked, asked[i]);
    }
}
END_TEST

START_TEST(nothing_told)
{
    nr_tally_question q = nr_tally_open();
    ck_assert(q.draws == 20000 && q.seed == 1 && !q.clear_sky && isnan(q.air_degC));
    for (int i = 0; i < NR_TALLY_INPUTS; i++)
        ck_assert(isnan(q.input[i].value) && isnan(q.input[i].u));
    q = question(2);
    nr_tally t;
    ck_assert(nr_tally_make(&q, &t, &err) == NR_OK && t.trust.count == 0);
    q.input[NR_TALLY_SUN].value *= t.result[NR_TALLY_EFFICIENCY].value / 2; /* twice the sun */
    ck_assert(nr_tally_make(&q, &t, &err) == NR_OK && t.trust.count == 1);
    double lo95 = t.result[NR_TALLY_EFFICIENCY].lo95;
    NEAR_RELATIVE(t.trust.reason[0].weight, lo95 / 0.95, 1e-9);
    ck_assert(t.trust.reason[0].number[0] == t.result[NR_TALLY_EFFICIENCY].value);
    q.input[NR_TALLY_SUN].value *= 2 / 0.05; /* a twentieth of it */
    ck_assert(nr_tally_make(&q, &t, &err) == NR_OK && t.trust.count == 1);
    NEAR_RELATIVE(t.trust.reason[0].weight, 0.1 / t.result[NR_TALLY_EFFICIENCY].hi95, 1e-9);
    ck_assert(t.trust.reason[0].number[0] == t.result[NR_TALLY_EFFICIENCY].value);
}
END_TEST

/* A draw is never of less than no water, however uncertain it is stated. */
START_TEST(nothing_below_zero)
{
    nr_tally_question q = question(2);
    q.input[NR_TALLY_WATER].u = 0.8 * q.input[NR_TALLY_WATER].value;
    nr_tally t;
    ck_assert(nr_tally_make(&q, &t, &err) == NR_OK);
    ck_assert(t.result[NR_TALLY_HEAT].lo95 > 0);
    double most = t.result[NR_TALLY_HEAT].value;
    ck_assert(t.result[NR_TALLY_HEAT].u < 0.75 * most && t.result[NR_TALLY_HEAT].u > 0.5 * most);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {drawn_questions, cloudless,          what_the_sky_needs,
                                  nothing_told,    nothing_below_zero, NULL};
    return run_tests("tally drawn", tests);
}
