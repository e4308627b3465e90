/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The days of a season one by one a second time: the weather of the plane (weather.h) summed by
 * itself between start and deadline, the heat-up (heatup.h) asked for at each collector drawn, and
 * draws against the covariance that they are of. */
#include "analyze/forecast/day.h"
#include "analyze/forecast/heatup.h"
#include "analyze/season/inside.h"
#include "tests/unit/quality/records.h"

enum { TABLE_DAYS = 4, DRAWS = 3, POINTS = 60 };
static nr_virtual_run *run;
static nr_solved solved;
static nr_hourly weather;
static nr_err err;

static void set_up(void)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 1800;
    p.interval_s = 30;
    p.channels |= NR_VC_BIT(NR_VC_WIND);
    p.stated.iam_b0 = 0.15; /* the sun aslant counts */
    run = simulate(&p);
    const nr_run *one = &run->run;
    nr_fit_options options = nr_fit_defaults();
    ck_assert_msg(nr_solve_runs(&one, 1, &options, &solved, &err) == NR_OK, "%s", err.text);
    weather = (nr_hourly){
        .latitude_deg = -40, .longitude_deg = 100, .step_s = 3600, .rows = 24 * TABLE_DAYS};
    weather.row = calloc(weather.rows, sizeof *weather.row);
    for (size_t i = 0; i < weather.rows; i++) {
        double h = (double)(i % 24) + 0.5, nth = (double)(i / 24);
        weather.row[i] = (nr_hourly_row){
            .from_s = 1750464000.0 + 3600.0 * (double)i, /* 21 June 2025 */
            .ghi_W_m2 = h > 5 && h < 19 ? (250 + 180 * nth) * sin((h - 5) / 14 * M_PI) : 0,
            .dni_W_m2 = NAN,
            .dhi_W_m2 = NAN,
            .air_degC = -6 + 6 * nth - 4 * cos((h - 3) / 12 * M_PI),
            .wind_m_s = 1 + nth};
    }
}

static void tear_down(void)
{
    nr_solved_free(&solved);
    nr_virtual_run_free(run);
    free(weather.row);
}

static nr_season_question question(void)
{
    nr_season_question q = nr_season_open();
    q.to_degC = 22;
    q.start_s = 9 * 3600;
    q.by_s = 16.2 * 3600; /* 43.2 parts of ten minutes */
    q.water_kg = 25;
    q.area_m2 = 2.2;
    q.store_loss_W_K = 2;
    q.tilt_deg = 40;
    q.azimuth_deg = 170;
    q.latitude_deg = 48;
    q.longitude_deg = 11;
    q.use_degC = 20;
    q.use_L = 4;
    return q;
}

/* The sun, air and wind of a day by the plane's own weather: ends of the time count by half. */
typedef struct day_weather {
    double sun[POINTS], air[POINTS], oblique[POINTS], iam[POINTS], flow[POINTS];
    double kWh, mean_air, mean_wind;
    size_t n;
} day_weather;

static void weather_of(const nr_season_question *q, double midnight_s, day_weather *out)
{
    nr_hourly there = weather;
    there.latitude_deg = q->latitude_deg;
    there.longitude_deg = q->longitude_deg;
    nr_hourly_plane plane = {q->tilt_deg, q->azimuth_deg, q->re_aimed, 0.2};
    nr_hourly_sample s;
    bool running = false;
    *out = (day_weather){.n = (size_t)ceil((q->by_s - q->start_s) / 600) + 1};
    ck_assert_uint_le(out->n, POINTS);
    for (size_t k = 0; k < out->n; k++) {
        double at = midnight_s + q->start_s + 600 * (double)k;
        nr_hourly_samples(&there, &plane, at - 0.5, 1, 1, &s); /* one sample, of that instant */
        double beam = s.sun_W_m2 > 0 ? s.beam_W_m2 / s.sun_W_m2 : 0;
        out->oblique[k] = nr_day_obliquity(&solved, beam, s.incidence_deg);
        /* The table of below is a straight line; diffuse light counts as in the record. */
        out->iam[k] = beam * (1 - s.incidence_deg / 100) + (1 - beam) * solved.at.conditions.iam;
        double passes = 1 - nr_day_unfitted_b0(&solved) * out->oblique[k];
        out->sun[k] = passes > 0 ? passes * s.sun_W_m2 : 0;
        out->air[k] = s.air_degC;
        running = nr_day_pump_runs(&solved, s.sun_W_m2, running);
        out->flow[k] = running;
        out->kWh += s.sun_W_m2 * 600 / 3.6e6 / (k == 0 || k + 1 == out->n ? 2 : 1);
        out->mean_air += s.air_degC / (double)out->n;
        out->mean_wind += s.wind_m_s / (double)out->n;
    }
}

static double warmest(const nr_heatup_case *c, const double *x)
{
    enum { TRACE = 109 };
    double trace[TRACE], most = -1e9;
    ck_assert(nr_heatup_trace(solved.joint, x, c, TRACE, trace));
    for (int k = 0; k < TRACE; k++)
        most = trace[k] > most ? trace[k] : most;
    return most;
}

static nr_heatup_case heat_up_case(const nr_season_question *q, const day_weather *w,
                                   double from_degC)
{
    nr_heatup_case c = {.piece = solved.at.piece,
                        .weather = {.count = w->n,
                                    .every_s = 600,
                                    .sun_W_m2 = w->sun,
                                    .air_degC = w->air,
                                    .obliquity = w->oblique,
                                    .iam = solved.at.conditions.iam > 0 ? w->iam : NULL,
                                    .flow_share = w->flow},
                        .water_kg = q->water_kg,
                        .store_loss_W_K = q->store_loss_W_K,
                        .flow_W_K = solved.at.conditions.flow_W_K,
                        .grow = q->area_m2 / run->run.rig.collector.gross_area_m2.value,
                        .from_degC = from_degC,
                        .to_degC = q->to_degC,
                        .limit_s = q->by_s - q->start_s};
    if (solved.fit->loss_includes_store) /* another container in place of the record's usual one */
        c.contained_W_K = c.u_contained_W_K = nr_joint_usual_store_loss_W_K(
            nr_joint_piece(solved.joint, solved.at.piece).series->water_kg);
    c.steps = (size_t)ceil(c.limit_s / 180); /* three minutes each */
    if (isfinite(solved.wind_m_s))           /* at the collector 0.64 of what blows at ten metres */
        c.weather.wind_above_mean_m_s = 0.64 * w->mean_wind - solved.wind_m_s;
    return c;
}

/* A collector's warmest by its slopes, which are differences to both sides here. */
static double change_of(const nr_season_draws *d, size_t k, const nr_heatup_case *c, double *slope)
{
    double change = 0;
    size_t m = nr_joint_parameters(solved.joint);
    for (size_t i = 0; i < d->lasting; i++) {
        size_t p = d->parameter[i];
        if (k == 0) {
            double *x = malloc(m * sizeof *x), h = 1e-3 * nr_joint_parameter(solved.joint, p).scale;
            memcpy(x, nr_joint_x(solved.joint), m * sizeof *x);
            x[p] += h;
            double up = warmest(c, x);
            x[p] -= 2 * h;
            slope[i] = (up - warmest(c, x)) / (2 * h);
            free(x);
        }
        change += slope[i] * d->departure[k * d->lasting + i];
    }
    return change;
}

static void day_is_right(const nr_season_question *q, const nr_season_draws *d,
                         const nr_season_run *r, size_t k)
{
    const nr_season_day *one = &r->day[k];
    static day_weather w;
    double midnight = one->date_s - q->longitude_deg / 360 * 86400, mean = 0, least = 1e9;
    nr_hourly_plane plane = {0};
    nr_hourly_sample hour[24];
    nr_hourly_samples(&weather, &plane, midnight, 3600, 24, hour);
    for (int h = 0; h < 24; h++) {
        mean += hour[h].air_degC / 24;
        least = hour[h].air_degC < least ? hour[h].air_degC : least;
    }
    weather_of(q, midnight, &w);
    NEAR(one->least_air_degC, least, 1e-9);
    NEAR(one->sun_kWh_m2, w.kWh, 2e-3 * w.kWh); /* the sun's path is joined anew each day */
    NEAR(one->air_degC, w.mean_air, 1e-9);
    NEAR(one->from_degC, isfinite(q->from_degC) ? q->from_degC : mean > 1 ? mean : 1, 1e-9);
    nr_heatup_case c = heat_up_case(q, &w, one->from_degC);
    double best = warmest(&c, nr_joint_x(solved.joint)), slope[100], squares = 0, reached = 0;
    ck_assert_uint_lt(d->lasting, 100);
    NEAR(one->warmest_degC, best, 2e-3 * (best - one->from_degC) + 1e-6);
    for (size_t i = 0; i < d->count; i++) {
        double change = change_of(d, i, &c, slope), T = best + change;
        T = T < one->from_degC ? one->from_degC : T;
        NEAR(r->warmest[i * r->days + k], T, 0.01 + 0.03 * fabs(change));
        squares += change * change / (double)d->count;
        reached += r->warmest[i * r->days + k] >= q->to_degC;
    }
    NEAR_RELATIVE(one->u_K, sqrt(squares), 0.03);
    NEAR(one->probability, reached / (double)d->count, 1e-9);
    NEAR(one->uses, nr_season_uses(q, one, one->warmest_degC), 1e-12);
    double tap = isfinite(q->tap_degC) ? q->tap_degC : one->from_degC;
    double litres = one->warmest_degC > q->use_degC
                        ? q->water_kg / 0.9982 * (one->warmest_degC - tap) / (q->use_degC - tap)
                        : 0;
    NEAR(one->uses, litres / q->use_L, 0.02 * one->uses + 1e-9);
}

/* --- what is not said ------------------------------------------------------------------------- */

static nr_value told(double value)
{
    return (nr_value){.given = !isnan(value), .value = value};
}

static void refused(nr_season_question q, const char *words)
{
    err = (nr_err){.text = ""};
    ck_assert_int_eq(nr_season_complete(&solved, &weather, &q, &err), NR_BAD);
    ck_assert_msg(strstr(err.text, words), "%s: %s", words, err.text);
}

/* The place is the table's own, else the rig's; plane and water are the rig's. */
START_TEST(what_is_not_said)
{
    nr_season_question open = nr_season_open(), q = open;
    ck_assert(q.to_degC == 40 && q.use_degC == 40 && q.use_L == 5 && q.start_s == 9 * 3600 &&
              q.by_s == 18 * 3600 && q.draws == 200 && q.seed == 1 && !q.re_aimed);
    const double unsaid[] = {q.from_degC,      q.water_kg,      q.area_m2,
                             q.store_loss_W_K, q.tilt_deg,      q.azimuth_deg,
                             q.latitude_deg,   q.longitude_deg, q.tap_degC};
    for (size_t i = 0; i < sizeof unsaid / sizeof *unsaid; i++)
        ck_assert(isnan(unsaid[i]));
    nr_rig *rig = &run->run.rig;
    rig->latitude_deg = told(47);
    rig->longitude_deg = told(8);
    rig->collector.tilt_deg = told(33);
    rig->collector.azimuth_deg = told(190);
    rig->store.water_kg = told(28);
    ck_assert_int_eq(nr_season_complete(&solved, &weather, &q, &err), NR_OK);
    ck_assert(q.latitude_deg == -40 && q.longitude_deg == 100 && q.tilt_deg == 33 &&
              q.azimuth_deg == 190 && q.water_kg == 28);
    nr_season_question said_all = question();
    q = said_all;
    ck_assert_int_eq(nr_season_complete(&solved, &weather, &q, &err), NR_OK);
    ck_assert(!memcmp(&q, &said_all, sizeof q));
    weather.latitude_deg = weather.longitude_deg = NAN;
    q = open;
    ck_assert_int_eq(nr_season_complete(&solved, &weather, &q, &err), NR_OK);
    ck_assert(q.latitude_deg == 47 && q.longitude_deg == 8);
    rig->store.water_kg = told(NAN);
    refused(open, "how much water");
    nr_value *const plane[] = {&rig->collector.tilt_deg, &rig->collector.azimuth_deg};
    for (int i = 0; i < 2; i++) {
        nr_value was = *plane[i];
        *plane[i] = told(NAN);
        refused(open, "plane is not known");
        *plane[i] = was;
    }
    *plane[0] = told(NAN);
    q = open;
    q.re_aimed = true; /* then no plane is asked for */
    q.water_kg = 20;
    ck_assert_int_eq(nr_season_complete(&solved, &weather, &q, &err), NR_OK);
    rig->longitude_deg = told(NAN);
    refused(open, "where it is from");
}
END_TEST

static size_t said, of_days;

static void hear(void *context, size_t done, size_t of)
{
    (void)context;
    ck_assert_uint_eq(done, said++);
    of_days = of;
}

START_TEST(days_one_by_one)
{
    for (int trial = 0; trial < 3; trial++) {
        nr_season_question q = question();
        nr_season_draws d;
        nr_season_run r;
        q.from_degC = trial == 1 ? 12.5 : NAN;
        q.tap_degC = trial == 1 ? 9 : NAN;
        q.re_aimed = trial == 2;
        q.longitude_deg = trial == 2 ? -20 : 11;
        said = 0;
        ck_assert(nr_season_draw(&solved, DRAWS, 7, &d, &err) == NR_OK);
        ck_assert_msg(nr_season_simulate(&solved, &d, &weather, &q, hear, NULL, &r, &err) == NR_OK,
                      "%s", err.text);
        /* whole days by the sun: one less than the table has, which begins at midnight UTC */
        ck_assert(r.days == TABLE_DAYS - 1 && r.draws == DRAWS && said == of_days &&
                  said >= TABLE_DAYS);
        for (size_t k = 0; k < r.days; k++) {
            NEAR(r.day[k].date_s, 1750464000.0 + 86400 * ((double)k + (trial == 2 ? 0 : 1)), 0);
            day_is_right(&q, &d, &r, k);
        }
        nr_season_run_free(&r);
        nr_season_draws_free(&d);
    }
}
END_TEST

/* The modifier as a table: of a hundredth less for each degree. */
START_TEST(by_a_table_of_angles)
{
    const nr_run *one = &run->run;
    nr_fit_options options = nr_fit_defaults();
    nr_season_question q = question();
    nr_season_draws d;
    nr_season_run r;
    run->run.rig.collector.iam_b0.given = false;
    run->run.rig.collector.iam =
        (nr_iam_table){.points = 2, .angle_deg = {0, 90}, .factor = {1, 0.1}};
    nr_solved_free(&solved);
    ck_assert(nr_solve_runs(&one, 1, &options, &solved, &err) == NR_OK);
    ck_assert(solved.at.conditions.iam > 0.4 && solved.at.conditions.iam < 0.95);
    ck_assert(nr_season_draw(&solved, DRAWS, 7, &d, &err) == NR_OK);
    ck_assert(nr_season_simulate(&solved, &d, &weather, &q, NULL, NULL, &r, &err) == NR_OK);
    day_is_right(&q, &d, &r, r.days - 1);
    nr_season_run_free(&r);
    nr_season_draws_free(&d);
}
END_TEST

/* Without draws: what the best estimate reaches is sure. */
START_TEST(the_best_estimate_alone)
{
    nr_season_question q = question();
    nr_season_draws d;
    nr_season_run r;
    ck_assert(nr_season_draw(&solved, 0, 7, &d, &err) == NR_OK);
    ck_assert(nr_season_simulate(&solved, &d, &weather, &q, NULL, NULL, &r, &err) == NR_OK);
    for (size_t k = 0; k < r.days; k++)
        ck_assert(r.day[k].u_K == 0 && r.day[k].probability == (r.day[k].warmest_degC >= 22));
    nr_season_run_free(&r);
    weather.rows = 30; /* no whole day by the sun */
    ck_assert(nr_season_simulate(&solved, &d, &weather, &q, NULL, NULL, &r, &err) == NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "no whole day"));
    nr_season_run_free(&r);
    nr_season_draws_free(&d);
}
END_TEST

/* Variances and covariances of four thousand draws: a variance is known to 2.2 %. */
START_TEST(draws_are_of_the_covariance)
{
    enum { N = 4000 };
    nr_season_draws d;
    ck_assert(nr_season_draw(&solved, N, 3, &d, &err) == NR_OK && d.count == N && d.lasting > 3);
    size_t m = nr_joint_parameters(solved.joint), lasting = 0;
    for (size_t i = 0; i < m; i++)
        if (nr_term_lasts(nr_joint_parameter(solved.joint, i).term))
            ck_assert_uint_eq(d.parameter[lasting++], i);
    ck_assert_uint_eq(lasting, d.lasting);
    double *a = calloc(2 * m, sizeof *a), *b = a + m, *sd = calloc(lasting, sizeof *sd);
    for (size_t i = 0; i < lasting; i++)
        for (size_t k = 0; k <= i; k++) {
            double sum = 0;
            for (size_t n = 0; n < N; n++)
                sum += d.departure[n * lasting + i] * d.departure[n * lasting + k] / N;
            memset(a, 0, 2 * m * sizeof *a);
            a[d.parameter[i]] = b[d.parameter[i]] = 1;
            sd[i] = sqrt(nr_joint_covariance(solved.joint, a, b));
            b[d.parameter[i]] = i == k ? 1 : 0;
            b[d.parameter[k]] = 1;
            double c = nr_joint_covariance(solved.joint, a, b);
            NEAR(sum, c, 0.1 * sd[i] * sd[k]);
        }
    free(a);
    free(sd);
    nr_season_draws_free(&d);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {what_is_not_said,
                                  days_one_by_one,
                                  by_a_table_of_angles,
                                  the_best_estimate_alone,
                                  draws_are_of_the_covariance,
                                  NULL};
    return run_tests_in("season worked", tests, set_up, tear_down);
}
