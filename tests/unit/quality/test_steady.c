/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Steady windows: the point against a calculation by hand and against the simulated collector's
 * true curve; and each limit alone decides. The limits are those of ISO 9806:2013/2017 from memory;
 * nobody here had the standard at hand. */
#include "analyze/quality/steady.h"
#include "tests/unit/quality/records.h"

/* A day as a laboratory would want it: constant sun, air and wind, a sea for a container. */
static nr_virtual_params laboratory(unsigned long seed)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.rig_seed = p.day_seed = seed;
    p.sky = NR_SKY_STEADY;
    p.steady_sun_W_m2 = 900.0;
    p.air_rise_K_h = 0.0;
    p.air_noise_K = 0.0;
    p.wind_m_s = 3.0;
    p.wind_noise_m_s = 0.2;
    p.stated.water_kg = 2e4 / 1.05;
    p.store_above_air_K = 5.0;
    p.duration_s = 3600.0;
    p.channels = (1u << NR_VC_COUNT) - 1;
    return p;
}

static nr_steady *find(const nr_virtual_run *run, const nr_steady_limits *limits, bool mean)
{
    nr_steady *s = NULL;
    nr_err err = {0};
    nr_quality *q = check(run);
    ck_assert_int_eq(nr_steady_find(&run->run, q, limits, mean, &s, &err), NR_OK);
    nr_quality_free(q);
    return s;
}

static void flat(nr_virtual_run *run, const char *name, double value)
{
    double *v = column(run, name);
    for (size_t i = 0; i < run->run.readings->rows; i++)
        v[i] = value;
}

START_TEST(point_by_hand)
{
    nr_virtual_params p = laboratory(1);
    nr_virtual_run *run = simulate(&p);
    flat(run, "inlet", 20.0);
    flat(run, "outlet", 25.0);
    flat(run, "air", 11.0);
    flat(run, "sun", 900.0);
    flat(run, "flow", 1.0);
    flat(run, "wind", 3.0);
    run->run.rig.collector.gross_area_m2.value = 0.5;
    run->run.rig.collector.gross_area_m2.u_given = true;
    run->run.rig.collector.gross_area_m2.u = 0.005;
    nr_steady *s = find(run, &nr_steady_iso9806, false);
    /* an hour without the settling quarter: four windows of ten minutes, a half is left over */
    ck_assert_uint_eq(s->count, 4);
    const nr_steady_window *w = &s->window[0];
    NEAR(w->from_s, 900.0, 1e-6);
    NEAR(w->to_s, 1500.0, 1e-6);
    ck_assert(w->strict && s->wind_checked && s->incidence_checked);
    /* tests/data/water-1atm.csv, IAPWS-95: 998.207 kg/m3 at 20 degC; 4184.1 J/(kg K) at 20 and
     * 4181.3 at 25, so 4182.7 in the middle */
    double eta = 998.207 / 60000.0 * 4182.7 * 5.0 / (0.5 * 900.0);
    NEAR_RELATIVE(w->eta, eta, 1e-4);
    NEAR(w->x, 9.0 / 900.0, 1e-9);
    NEAR(w->u_random, 0.0, 1e-9);
    /* reference sensors: probes 0.15 K each, sun 3 %, flow 2 %; area 1 % as set above */
    double pair = hypot(0.15, 0.15) / 5.0;
    double relative = sqrt(pair * pair + 0.03 * 0.03 + 0.02 * 0.02 + 0.01 * 0.01);
    NEAR_RELATIVE(w->u, eta * relative, 1e-3);
    nr_steady_free(s);

    s = find(run, &nr_steady_iso9806, true);
    NEAR(s->window[0].x, 11.5 / 900.0, 1e-9);
    NEAR_RELATIVE(s->window[0].eta, eta, 1e-4);
    nr_steady_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* Warming by 0.3 K/min stores heat in the collector, too. */
START_TEST(storage_by_hand)
{
    nr_virtual_params p = laboratory(1);
    nr_virtual_run *run = simulate(&p);
    flat(run, "air", 20.0);
    flat(run, "sun", 900.0);
    flat(run, "flow", 1.0);
    double *in = column(run, "inlet"), *out = column(run, "outlet");
    for (size_t i = 0; i < run->run.readings->rows; i++) {
        in[i] = 15.0 + 0.005 * (double)i;
        out[i] = in[i] + 5.0;
    }
    nr_rig *rig = &run->run.rig;
    rig->collector.fluid_kg.given = rig->collector.heat_capacity_J_K.given = true;
    rig->collector.fluid_kg.value = 0.3;
    rig->collector.heat_capacity_J_K.value = 3000.0;
    rig->collector.gross_area_m2.value = 1.0;
    nr_steady *s = find(run, &nr_steady_iso9806, false);
    ck_assert_uint_eq(s->count, 0);
    nr_steady_free(s);
    s = find(run, &nr_steady_field, false);
    ck_assert_uint_gt(s->count, 5);
    ck_assert(s->capacity_stated);
    const nr_steady_window *w = &s->window[0];
    NEAR(w->drift_K_s, 0.005, 1e-6);
    double moved = 998.4 / 60000.0 * 4183.0 * 5.0 / 900.0;
    double stored = (0.3 * 4183.0 + 3000.0) * 0.005 / 900.0;
    NEAR_RELATIVE(w->eta, moved + stored, 1e-3);
    /* Its uncertainty adds in squares: stated; 30 % of what is dry where none is; of a collector
     * that nobody weighed 8 kJ/(m2 K), half of it (common practice, no source). */
    nr_value *dry = &rig->collector.heat_capacity_J_K;
    double u[3], eta = w->eta;
    for (int k = 0; k < 3; k++) {
        dry->u_given = k < 2;
        dry->u = k == 0 ? 0 : 500;
        nr_steady_free(s);
        s = find(run, &nr_steady_field, false);
        u[k] = s->window[0].u;
        NEAR(s->window[0].eta, eta, 1e-12);
    }
    NEAR_RELATIVE(sqrt(u[1] * u[1] - u[0] * u[0]), 500 * 0.005 / 900, 1e-3);
    NEAR_RELATIVE(sqrt(u[2] * u[2] - u[0] * u[0]), 0.3 * 3000 * 0.005 / 900, 1e-3);
    dry->given = false;
    nr_steady_free(s);
    s = find(run, &nr_steady_field, false);
    ck_assert(!s->capacity_stated);
    NEAR_RELATIVE(s->window[0].eta, moved + 8000 * 0.005 / 900, 1e-3);
    NEAR_RELATIVE(sqrt(pow(s->window[0].u, 2) - u[0] * u[0]), 0.5 * 8000 * 0.005 / 900, 0.05);
    nr_steady_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* Against the simulated collector's own steady state. */
START_TEST(points_lie_on_the_true_curve)
{
    double squares = 0.0;
    int n = 0;
    for (unsigned long seed = 1; seed <= 24; seed++) {
        nr_virtual_params p = laboratory(seed);
        p.store_above_air_K = 4.0 * (double)(seed % 6);
        nr_virtual_run *run = simulate(&p);
        nr_steady *s = find(run, &nr_steady_iso9806, false);
        ck_assert_msg(s->count >= 1, "seed %lu", seed);
        const nr_steady_window *w = &s->window[0];
        nr_virtual_conditions c = {900.0, p.air_degC, 3.0, run->mean.flow_L_min};
        double truth = nr_virtual_steady(&run->device, &c, w->x, NR_BASIS_INLET, false).eta;
        squares += pow((w->eta - truth) / w->u, 2.0);
        n++;
        nr_steady_free(s);
        nr_virtual_run_free(run);
    }
    /* Mean square of 24 errors over their standard uncertainties: chi-square with 24 degrees of
     * freedom lies within 9.9 and 45.6 in 99 of 100 draws (tables of the distribution). */
    ck_assert_msg(squares > 9.9 && squares < 45.6, "chi-square %.1f of %d", squares, n);
}
END_TEST

/* The same in the field: windows of a heat-up, corrected for what the collector stores. */
START_TEST(field_points_lie_on_the_true_curve)
{
    double squares = 0.0;
    for (unsigned long seed = 1; seed <= 24; seed++) {
        nr_virtual_run *run = clean_record(seed % 3 ? CLEAR : CLOUDY, seed);
        nr_steady *s = find(run, &nr_steady_field, false);
        ck_assert_msg(s->count >= 2, "seed %lu", seed);
        const nr_steady_window *w = &s->window[s->count / 2];
        ck_assert(!w->strict);
        nr_virtual_conditions c = {w->sun_W_m2, w->air_degC, run->mean.wind_m_s, w->flow_L_min};
        double truth = nr_virtual_steady(&run->device, &c, w->x, NR_BASIS_INLET, false).eta;
        squares += pow((w->eta - truth) / w->u, 2.0);
        nr_steady_free(s);
        nr_virtual_run_free(run);
    }
    ck_assert_msg(squares > 9.9 && squares < 45.6, "chi-square %.1f", squares);
}
END_TEST

/* -- each limit alone */

static void dim(nr_virtual_params *p)
{
    p->steady_sun_W_m2 = 680.0; /* > 700 W/m2 */
}

static void still_air(nr_virtual_params *p)
{
    p->wind_m_s = 1.5; /* 3 +- 1 m/s */
    p->wind_noise_m_s = 0.1;
}

static void gale(nr_virtual_params *p)
{
    p->wind_m_s = 4.6;
    p->wind_noise_m_s = 0.1;
}

static void warming_air(nr_virtual_params *p)
{
    p->air_rise_K_h = 24.0; /* +-1.5 K in ten minutes */
}

static void small_store(nr_virtual_params *p)
{
    p->stated.water_kg = 200.0; /* inlet +-0.1 K while settling */
}

static void big_flow(nr_virtual_params *p)
{
    p->flow_L_min = 15.0; /* rise of 1 K */
}

static void oblique(nr_virtual_params *p)
{
    p->tilt_deg = 75.0; /* incidence of 20 degrees */
}

static void too_brief(nr_virtual_params *p)
{
    p->duration_s = 1440.0; /* 15 min of settling and 10 min */
}

static void pump_stop(nr_virtual_params *p)
{
    p->duration_s = 2900.0;
    p->pump_stop_s = 1400.0; /* ten minutes before and after it, but never settled */
    p->pump_restart_s = 1500.0;
}

START_TEST(each_limit_decides)
{
    static void (*const spoil[])(nr_virtual_params *) = {
        dim, still_air, gale, warming_air, small_store, big_flow, oblique, too_brief, pump_stop};
    nr_virtual_params p = laboratory(2);
    nr_virtual_run *run = simulate(&p);
    nr_steady *s = find(run, &nr_steady_iso9806, false);
    ck_assert_uint_ge(s->count, 1); /* the simulated flow wanders by about the limit */
    nr_steady_free(s);
    nr_virtual_run_free(run);
    for (size_t i = 0; i < sizeof spoil / sizeof *spoil; i++) {
        p = laboratory(2);
        spoil[i](&p);
        run = simulate(&p);
        s = find(run, &nr_steady_iso9806, false);
        ck_assert_msg(s->count == 0, "limit %zu does not decide: %zu windows", i, s->count);
        nr_steady_free(s);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* What is beyond the strict limit is within the relaxed one: that one was asked hides no window of
 * the other. An hour of constant readings less five minutes of settling has eleven of five. */
START_TEST(one_limit_hides_nothing_of_another)
{
    nr_virtual_params p = laboratory(2);
    oblique(&p);
    nr_virtual_run *run = simulate(&p);
    flat(run, "inlet", 20.0);
    flat(run, "outlet", 25.0);
    flat(run, "air", 11.0);
    flat(run, "sun", 900.0);
    flat(run, "flow", 1.0);
    flat(run, "wind", 3.0);
    nr_steady *s = find(run, &nr_steady_field, false);
    ck_assert_uint_eq(s->count, 11);
    for (size_t i = 0; i < s->count; i++)
        ck_assert(s->window[i].incidence_deg > 20.0 && !s->window[i].strict);
    nr_steady_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* Sun and flow, changed in the readings: a slow swing inside the window. */
START_TEST(swings_decide)
{
    static const struct {
        const char *name;
        double most, too_much;
    } swings[] = {{"sun", 35.0, 65.0}, {"flow", 0.004, 0.02}, {"air", 1.2, 1.9}};
    for (size_t k = 0; k < 3; k++)
        for (int spoilt = 0; spoilt < 2; spoilt++) {
            nr_virtual_params p = laboratory(3);
            nr_virtual_run *run = simulate(&p);
            double *v = column(run, swings[k].name);
            double by = spoilt ? swings[k].too_much : swings[k].most;
            for (size_t i = 0; i < run->run.readings->rows; i++)
                v[i] += by * sin((double)i * 2.0 * M_PI / 480.0);
            nr_steady *s = find(run, &nr_steady_iso9806, false);
            ck_assert_msg((s->count == 0) == (spoilt == 1), "%s %g: %zu windows", swings[k].name,
                          by, s->count);
            nr_steady_free(s);
            nr_virtual_run_free(run);
        }
}
END_TEST

/* Each band of both sets of limits, from both sides: a quantity that swings evenly every minute and
 * is otherwise as in a laboratory. (The strict ones are the standard's, from memory; the field's
 * are ours.) */
START_TEST(bands_of_both_sets)
{
    static const struct {
        const char *name;
        double usual, strict, field;
    } bands[] = {
        {"sun", 900, 50, 50}, {"air", 11, 1.5, 1.5}, {"flow", 1, 0.01, 0.1}, {"inlet", 40, 0.1, 3}};
    for (size_t k = 0; k < sizeof bands / sizeof *bands; k++)
        for (int set = 0; set < 2; set++)
            for (int over = 0; over < 2; over++) {
                nr_virtual_params p = laboratory(1);
                nr_virtual_run *run = simulate(&p);
                flat(run, "air", 11.0);
                flat(run, "sun", 900.0);
                flat(run, "flow", 1.0);
                flat(run, "wind", 3.0);
                flat(run, "inlet", 40.0);
                flat(run, "outlet", 50.0);
                double band = set ? bands[k].field : bands[k].strict,
                       by = band * (over ? 1.4 : 0.7);
                double *v = column(run, bands[k].name);
                for (size_t i = 0; i < run->run.readings->rows; i++)
                    v[i] += i / 60 % 2 ? by : -by;
                nr_steady *s = find(run, set ? &nr_steady_field : &nr_steady_iso9806, false);
                ck_assert_msg((s->count == 0) == (over == 1), "%s %g, %s: %zu windows",
                              bands[k].name, by, set ? "field" : "strict", s->count);
                nr_steady_free(s);
                nr_virtual_run_free(run);
            }
}
END_TEST

/* Both sides of the least rise and, in the field, of the inlet's drift. Readings without noise. */
START_TEST(rise_and_drift_at_their_limits)
{
    static const struct {
        double rise_K, drift_K_min;
        bool strict, field;
    } of[] = {{0.97, 0, false, false}, {1.03, 0, true, true},   {5, 0.58, false, true},
              {5, 0.62, false, false}, {5, -0.58, false, true}, {5, -0.62, false, false}};
    for (size_t k = 0; k < sizeof of / sizeof *of; k++) {
        nr_virtual_params p = laboratory(1);
        nr_virtual_run *run = simulate(&p);
        flat(run, "air", 11.0);
        flat(run, "sun", 900.0);
        flat(run, "flow", 1.0);
        flat(run, "wind", 3.0);
        double *in = column(run, "inlet"), *out = column(run, "outlet");
        const nr_readings *r = run->run.readings;
        for (size_t i = 0; i < r->rows; i++) {
            in[i] = 40.0 + of[k].drift_K_min / 60.0 * r->elapsed_s[i];
            out[i] = in[i] + of[k].rise_K;
        }
        nr_steady *strict = find(run, &nr_steady_iso9806, false);
        nr_steady *field = find(run, &nr_steady_field, false);
        ck_assert_msg((strict->count > 0) == of[k].strict, "case %zu: strict %zu", k,
                      strict->count);
        ck_assert_msg((field->count > 0) == of[k].field, "case %zu: field %zu", k, field->count);
        nr_steady_free(strict);
        nr_steady_free(field);
        nr_virtual_run_free(run);
    }
}
END_TEST

START_TEST(nothing_to_find)
{
    nr_virtual_params p = laboratory(1);
    p.channels = NR_VC_STORE_SET;
    nr_virtual_run *run = simulate(&p);
    nr_steady *s = find(run, &nr_steady_field, false);
    ck_assert_uint_eq(s->count, 0);
    nr_steady_free(s);
    nr_virtual_run_free(run);

    p = laboratory(1);
    run = simulate(&p);
    cut_rows(run, 1, 3601); /* one row */
    s = find(run, &nr_steady_field, false);
    ck_assert_uint_eq(s->count, 0);
    nr_steady_free(s);
    nr_virtual_run_free(run);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {point_by_hand,
                                  storage_by_hand,
                                  points_lie_on_the_true_curve,
                                  field_points_lie_on_the_true_curve,
                                  each_limit_decides,
                                  one_limit_hides_nothing_of_another,
                                  swings_decide,
                                  rise_and_drift_at_their_limits,
                                  bands_of_both_sets,
                                  nothing_to_find,
                                  NULL};
    return run_tests("steady windows", tests);
}
