/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `predict` and the wash-ups and grades of `size`, read a second time off the band of the heat-up
 * (heatup_spread.h): times where the band passes the target, their uncertainty by the slope there
 * (JCGM 100:2008, 5.1), 1.96 of it to either side, the trace, what counts as tested. One short
 * record, solved once a question. */
#include "analyze/forecast/day.h"
#include "analyze/forecast/heatup_spread.h"
#include "analyze/forecast/size.h"
#include "tests/unit/fit/simulated.h"

#include <gsl/gsl_cdf.h>

static nr_virtual_run *record;
static const nr_run *one;
static nr_solved solved;
static nr_err err;
static nr_heatup_spread band;
static nr_day_weather weather;
static nr_heatup_case question;

static void set_up(void)
{
    nr_virtual_params p = exact_glazed();
    nr_fit_options options = nr_fit_defaults();
    p.duration_s = 2400;
    p.interval_s = 30;
    record = simulated(&p);
    one = &record->run;
    ck_assert_msg(nr_solve_runs(&one, 1, &options, &solved, &err) == NR_OK, "%s", err.text);
}

static void tear_down(void)
{
    nr_solved_free(&solved);
    nr_virtual_run_free(record);
}

static nr_predict *predict(const nr_day *day)
{
    nr_predict *p = NULL;
    nr_fit_options options = nr_fit_defaults();
    ck_assert_msg(nr_predict_runs(&one, 1, day, &options, &p, &err) == NR_OK, "%s", err.text);
    return p;
}

/* The band of the completed day over so long. */
static void open_day(const nr_day *day)
{
    ck_assert_msg(nr_day_weather_make(&solved, day, &weather, &err) == NR_OK, "%s", err.text);
    question = nr_day_case(&solved, day, &weather);
}

static void look(const nr_day *day, double span_s)
{
    const nr_weather_u u = {.sun = day->u_sun, .air_K = day->u_air_K};
    question.limit_s = span_s;
    ck_assert(nr_heatup_spread_make(solved.joint, &question, &u, &band));
}

/* Straight between the points. */
static double at(const double *v, double t)
{
    double x = t / band.span_s * (NR_HEATUP_SPREAD_POINTS - 1), k = floor(x);
    k = k > NR_HEATUP_SPREAD_POINTS - 2 ? NR_HEATUP_SPREAD_POINTS - 2 : k;
    return v[(int)k] * (1 - (x - k)) + v[(int)k + 1] * (x - k);
}

/* When so many u above the best estimate first passes the target. */
static double passes(double target, double k)
{
    for (int i = 1; i < NR_HEATUP_SPREAD_POINTS; i++) {
        double before = band.store_degC[i - 1] + k * band.u[i - 1] - target;
        double after = band.store_degC[i] + k * band.u[i] - target;
        if (before < 0 && after >= 0)
            return band.span_s / (NR_HEATUP_SPREAD_POINTS - 1) *
                   (i - 1 + before / (before - after));
    }
    return NAN;
}

static double chance_of(double target)
{
    double best = -INFINITY;
    for (int i = 1; i < NR_HEATUP_SPREAD_POINTS; i++)
        best = fmax(best, (band.store_degC[i] - target) / band.u[i]);
    return gsl_cdf_ugaussian_P(best);
}

/* Each point of the trace and the end of it; the band is that over the trace. */
static void trace_is(const nr_predict *p, double end)
{
    ck_assert_uint_eq(p->count, 121);
    for (size_t i = 0; i < p->count; i++) {
        const nr_trace_point *x = &p->trace[i];
        double t = end / 120 * (double)i, T = at(band.store_degC, t), u = at(band.u, t);
        const nr_forecast *f = &weather.forecast;
        double step = t / f->every_s, k = floor(step);
        double sun = k + 1 >= (double)f->count ? f->sun_W_m2[f->count - 1]
                                               : f->sun_W_m2[(int)k] * (k + 1 - step) +
                                                     f->sun_W_m2[(int)k + 1] * (step - k);
        NEAR(x->t_s, t, 1e-5);
        NEAR(x->store_degC, T, 1e-6);
        NEAR(x->lo95, T - 1.959964 * u, 1e-5);
        NEAR(x->hi95, T + 1.959964 * u, 1e-5);
        NEAR(x->sun_W_m2, sun, 1e-6);
    }
    NEAR(p->final_degC.value, band.store_degC[NR_HEATUP_SPREAD_POINTS - 1], 1e-6);
    NEAR(p->final_degC.u, band.u[NR_HEATUP_SPREAD_POINTS - 1], 1e-6);
    NEAR(p->final_degC.u_random, band.u_random[NR_HEATUP_SPREAD_POINTS - 1], 1e-6);
}

/* K over the air of what the curve refers to, and the sun, against what was tested: a kelvin and a
 * tenth of the sun beyond. */
static bool beyond_the_test(const nr_predict *p)
{
    const nr_fit *f = p->fit;
    double low = INFINITY, high = -INFINITY, sun = 0;
    for (size_t i = 0; i < p->count; i++) {
        double over = p->trace[i].store_degC - p->day.air_degC;
        if (f->reference == NR_REFERENCE_MEAN) /* half the rise across the collector more */
            over += f->eta0.value * f->gross_area_m2 * p->trace[i].sun_W_m2 / question.flow_W_K / 2;
        low = over < low ? over : low;
        high = over > high ? over : high;
        sun = fmax(sun, p->trace[i].sun_W_m2);
    }
    return low + 1 < f->dT_range[0] || high - 1 > f->dT_range[1] || sun > 1.1 * f->sun_range[1] ||
           (!p->day.clear_sky && sun < 0.9 * f->sun_range[0]);
}

static void reached_is(const nr_day *asked)
{
    nr_predict *p = predict(asked);
    open_day(&p->day);
    double limit = p->day.limit_s, target = p->day.to_degC;
    look(&p->day, limit);
    NEAR(p->probability_reached, chance_of(target), 1e-9);
    double best = passes(target, 0), late = passes(target, -1.959964), end = limit;
    ck_assert(p->reached == !isnan(best) && p->time_s.known == p->reached);
    if (p->reached) {
        double span = fmin(limit, isnan(late) ? limit : 1.2 * late), top = 1;
        for (int i = 2; i < NR_HEATUP_SPREAD_POINTS; i++)
            top = band.store_degC[i] > band.store_degC[(int)top] ? i : top;
        double warmest = band.span_s / (NR_HEATUP_SPREAD_POINTS - 1) * top;
        look(&p->day, span);
        double t = passes(target, 0), by = band.span_s / (NR_HEATUP_SPREAD_POINTS - 1);
        double k = floor(t / by);
        double slope = (band.store_degC[(int)k + 1] - band.store_degC[(int)k]) / by;
        NEAR(p->time_s.value, t, 0.1);
        NEAR(p->time_s.u, at(band.u, t) / slope, 0.02 * p->time_s.u);
        NEAR(p->time_s.u_random, at(band.u_random, t) / slope, 0.02 * p->time_s.u);
        NEAR(p->u_parameter, at(band.u_parameter, t) / slope, 0.02 * p->time_s.u);
        NEAR(p->u_model, at(band.u_model, t) / slope, 0.02 * p->time_s.u);
        NEAR(p->u_weather, at(band.u_weather, t) / slope, 0.02 * p->time_s.u);
        NEAR(hypot(p->time_s.u_random, p->time_s.u_systematic), p->time_s.u, 1e-6);
        NEAR(p->time_s.lo95, passes(target, 1.959964), 0.5);
        if (isnan(passes(target, -1.959964)))
            ck_assert(isinf(p->time_s.hi95));
        else
            NEAR(p->time_s.hi95, passes(target, -1.959964), 0.5);
        end = p->day.clear_sky ? fmax(warmest, p->time_s.value) : span;
    } else if (p->day.clear_sky) {
        size_t top = 1;
        for (size_t i = 2; i < NR_HEATUP_SPREAD_POINTS; i++)
            top = band.store_degC[i] > band.store_degC[top] ? i : top;
        end = band.span_s / (NR_HEATUP_SPREAD_POINTS - 1) * (double)top;
    }
    look(&p->day, end);
    trace_is(p, end);
    if (!p->reached) {
        NEAR(p->u_parameter, band.u_parameter[NR_HEATUP_SPREAD_POINTS - 1], 1e-6);
        NEAR(p->u_model, band.u_model[NR_HEATUP_SPREAD_POINTS - 1], 1e-6);
        NEAR(p->u_weather, band.u_weather[NR_HEATUP_SPREAD_POINTS - 1], 1e-6);
    }
    ck_assert(p->outside_tested == beyond_the_test(p));
    nr_day_weather_free(&weather);
    nr_predict_free(p);
}

START_TEST(steady_days)
{
    nr_day day = steady_day(800, 20, 15, 32);
    day.u_sun = 0.05;
    day.u_air_K = 1;
    reached_is(&day);
    day.to_degC = 70; /* not reached */
    day.limit_s = 5 * 3600;
    reached_is(&day);
}
END_TEST

START_TEST(hardly_and_early)
{
    nr_day day = steady_day(800, 20, 15, 30);
    day.u_sun = 0.2; /* the late end is beyond what is looked at */
    nr_predict *p = predict(&day);
    day.limit_s = 1.02 * p->time_s.value;
    nr_predict_free(p);
    reached_is(&day);
}
END_TEST

START_TEST(clear_days)
{
    nr_day day = clear_day(9, 22, 14, 38);
    day.u_sun = 0.05;
    reached_is(&day);
    day.to_degC = 90;
    reached_is(&day);
}
END_TEST

/* What is outside of the record, by each of its sides: the sun and the water's excess. */
START_TEST(what_was_tested)
{
    const nr_fit *f = solved.fit;
    double middle = (f->dT_range[0] + f->dT_range[1]) / 2;
    static const double air = 20;
    for (int side = 0; side < 2; side++)
        for (int out = 0; out < 2; out++) {
            /* 0.9 of the least tested sun and 1.1 of the most, a hundredth to either side. */
            double sun = side ? f->sun_range[1] * (out ? 1.11 : 1.09)
                              : f->sun_range[0] * (out ? 0.89 : 0.91);
            nr_day day = steady_day(sun, air, air + middle, air + middle + 0.5);
            day.limit_s = 60;
            ck_assert(nr_day_complete(&solved, &day, &err) == NR_OK);
            open_day(&day);
            if (f->reference == NR_REFERENCE_MEAN) /* the middle is of the fluid's mean */
                day.from_degC -= f->eta0.value * f->gross_area_m2 * sun / question.flow_W_K / 2;
            nr_day_weather_free(&weather);
            nr_predict *p = predict(&day);
            ck_assert_msg(p->outside_tested == out, "sun %g: %d", sun, p->outside_tested);
            nr_predict_free(p);
        }
}
END_TEST

/* The same of the water over the air, a kelvin beyond the record's least and most, and a fifth of a
 * kelvin to either side. */
START_TEST(how_warm_was_tested)
{
    const nr_fit *f = solved.fit;
    double sun = (f->sun_range[0] + f->sun_range[1]) / 2;
    for (int side = 0; side < 2; side++)
        for (int out = 0; out < 2; out++) {
            double over =
                side ? f->dT_range[1] + (out ? 1.2 : 0.8) : f->dT_range[0] - (out ? 1.2 : 0.8);
            nr_day day = steady_day(sun, 20, 20 + over, 20 + over + 5);
            day.limit_s = 10; /* that is long enough for 0.05 K */
            ck_assert(nr_day_complete(&solved, &day, &err) == NR_OK);
            open_day(&day);
            ck_assert(f->reference == NR_REFERENCE_MEAN);
            day.from_degC -= f->eta0.value * f->gross_area_m2 * sun / question.flow_W_K / 2;
            nr_day_weather_free(&weather);
            nr_predict *p = predict(&day);
            ck_assert_msg(p->outside_tested == out, "%g K: %d", over, p->outside_tested);
            nr_predict_free(p);
        }
}
END_TEST

/* ---- size ---- */

START_TEST(grades_of_a_chance)
{
    static const struct {
        double p;
        nr_chance is;
    } at_p[] = {{0.951, NR_CHANCE_SURE}, {0.95, NR_CHANCE_SURE},      {0.949, NR_CHANCE_LIKELY},
                {0.5, NR_CHANCE_LIKELY}, {0.499, NR_CHANCE_UNLIKELY}, {0.05, NR_CHANCE_UNLIKELY},
                {0.049, NR_CHANCE_NONE}};
    for (size_t i = 0; i < sizeof at_p / sizeof *at_p; i++) {
        nr_size_month month = {.sun = true, .probability = at_p[i].p};
        ck_assert_int_eq(nr_chance_of(at_p[i].p), at_p[i].is);
        ck_assert_int_eq(nr_size_month_chance(&month), at_p[i].is);
        month.sun = false;
        ck_assert_int_eq(nr_size_month_chance(&month), NR_CHANCE_NO_SUN);
    }
}
END_TEST

/* The end of the band is what a size gets to by its deadline. */
START_TEST(sizes_by_the_band)
{
    nr_size_question q = nr_size_open();
    nr_fit_options options = nr_fit_defaults();
    nr_size *z = NULL;
    q.curves = false;
    q.day = steady_day(800, 20, 15, 33);
    q.day.limit_s = 5400;
    q.day.u_sun = 0.05;
    q.tap_degC = 10;
    q.use_L = 4;
    ck_assert_msg(nr_size_runs(&one, 1, &q, &options, &z, &err) == NR_OK, "%s", err.text);
    open_day(&z->asked.day);
    look(&z->asked.day, 5400);
    double T = band.store_degC[NR_HEATUP_SPREAD_POINTS - 1],
           u = band.u[NR_HEATUP_SPREAD_POINTS - 1];
    NEAR(z->warmest_degC.value, T, 0.02);
    NEAR(z->warmest_degC.u, u, 0.02 * u);
    NEAR(z->probability, gsl_cdf_ugaussian_P((T - 33) / u), 0.02);
    /* Mixed to 40 degC: none, where it is colder; of its own amount where it is warmer. */
    double hot = z->warmest_degC.value;
    if (hot < q.use_degC)
        ck_assert(z->use.mixed_L <= z->asked.day.water_kg);
    NEAR(z->use.count, z->use.mixed_L / 4, 1e-9);
    nr_day_weather_free(&weather);
    nr_size_free(z);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        steady_days,         hardly_and_early,   clear_days,        what_was_tested,
        how_warm_was_tested, grades_of_a_chance, sizes_by_the_band, NULL};
    return run_tests_in("bands", tests, set_up, tear_down);
}
