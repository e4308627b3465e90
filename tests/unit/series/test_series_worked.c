/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Everything that a series says of its record, worked out a second time from its own steps and
 * from the rows: how long steps and blocks are, what is lost in gaps, which blocks count, means
 * over sunny and pumped steps, the flow as heat, the wind's zero. Limits are the project's own (no
 * source); properties of water are physics/'s. */
#include "analyze/physics/water.h"
#include "analyze/series/series.h"
#include "tests/unit/quality/by_hand.h"

typedef struct kind {
    const char *name;
    bool bare, stalls, dark;
    double interval_s, duration_s, stop_s;
    unsigned without;                              /* channels */
    double gap_from, gap_to, holes_from, holes_to; /* shares of the rows cut out, and without sun */
} kind;

#define NO(channel) NR_VC_BIT(NR_VC_##channel)
#define ALL ((1u << NR_VC_COUNT) - 1)
static const kind kinds[] = {
    {.name = "an hour", .interval_s = 2, .duration_s = 3600, .stop_s = NAN},
    {.name = "stopped", .interval_s = 1, .duration_s = 3000, .stop_s = 1000, .without = NO(BOX)},
    {.name = "panel",
     .bare = true,
     .stalls = true,
     .interval_s = 2,
     .duration_s = 3600,
     .stop_s = NAN},
    {.name = "gap",
     .interval_s = 5,
     .duration_s = 7000,
     .stop_s = NAN,
     .gap_from = 0.3,
     .gap_to = 0.5},
    {.name = "holes",
     .bare = true,
     .interval_s = 5,
     .duration_s = 7000,
     .stop_s = 2000,
     .holes_from = 0.4,
     .holes_to = 0.55},
    {.name = "store alone",
     .interval_s = 2,
     .duration_s = 3000,
     .stop_s = 900,
     .without = ALL & ~(NO(STORE) | NO(AIR) | NO(SUN) | NO(PUMP) | NO(WIND))},
    {.name = "slow", .interval_s = 30, .duration_s = 9000, .stop_s = NAN},
    {.name = "slow, store alone",
     .interval_s = 120,
     .duration_s = 20000,
     .stop_s = NAN,
     .without = ALL & ~(NO(STORE) | NO(AIR) | NO(SUN))},
    {.name = "night", .dark = true, .interval_s = 4, .duration_s = 6000, .stop_s = 3000},
};
enum { KINDS = sizeof kinds / sizeof *kinds };

static nr_virtual_run *run;
static nr_series *s;

static void set_up(const kind *k)
{
    nr_virtual_params p = k->bare ? nr_virtual_bare() : nr_virtual_glazed();
    nr_err err = {0};
    if (k->stalls)
        nr_virtual_stall_day(&p);
    p.rig_seed = 5;
    p.day_seed = 6;
    p.interval_s = k->interval_s;
    p.duration_s = k->duration_s;
    p.pump_stop_s = k->stop_s;
    p.pump_restart_s = k->stop_s + 400;
    p.channels = ALL & ~k->without;
    p.wind_noise_m_s = 0.8;
    run = simulate(&p);
    nr_readings *r = run->run.readings;
    double *sun = column(run, "sun"), rows = (double)r->rows;
    for (size_t i = 0; i < r->rows; i++) {
        double at = (double)i / rows;
        sun[i] = k->dark ? 3 + (double)(i % 5) : sun[i];
        sun[i] = at >= k->holes_from && at < k->holes_to ? NAN : sun[i];
    }
    if (k->gap_to > 0)
        cut_rows(run, (size_t)(k->gap_from * rows), (size_t)(k->gap_to * rows));
    nr_rig_collector *c = &run->run.rig.collector;
    c->fluid_kg = (nr_value){.given = (k - kinds) % 3 == 0, .value = k == kinds ? 0.3 : 2.5};
    c->tube_length_m = (nr_value){.given = (k - kinds) % 3 == 1, .value = k->stalls ? 900 : 30};
    c->tube_bore_mm = (nr_value){.given = true, .value = 10};
    if (!(k->without & NO(INLET)) && k->gap_to > 0) /* other water, twice */
        for (size_t i = 0; i < r->rows; i++)
            column(run, "inlet")[i] += (double)i > 0.7 * rows ? 9 : (double)i > 0.2 * rows ? 5 : 0;
    if (k->dark)
        run->run.rig.latitude_deg.given = false;
    ck_assert_msg(nr_series_build(&run->run, &s, &err) == NR_OK, "%s: %s", k->name, err.text);
}

static void tear_down(void)
{
    nr_series_free(s);
    nr_virtual_run_free(run);
}

/* -- steps and blocks */

/* A pause that is longer ends a stretch. */
static double longest_pause(void)
{
    return fmax(fmax(600, 3.5 * s->quality->interval_s), s->usual_s);
}

static bool flow_varies(void)
{
    double n = 0, sum = 0, squares = 0;
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < s->quality->rows; i++) {
            double v = nr_quality_value(s->quality, NR_ROLE_FLOW, i);
            if (!(v > 0))
                continue;
            n += pass ? 0 : 1;
            sum += pass ? 0 : v;
            squares += pass ? pow(v - sum / n, 2) : 0;
        }
    return n > 0 && sqrt(squares / n) > 0.1 * sum / n;
}

/* Blocks of ten seconds or of a reading; two steps to a block, four where the pump stops, and where
 * readings are slower some six to a reading, none longer than half a minute. */
static void compare_steps(const kind *k)
{
    double interval = s->quality->interval_s;
    bool quick = s->quality->pump_stops > 0 || (s->can_drive && flow_varies());
    double step = quick && interval <= 2.5 ? 2.5 : 5, block = fmax(10, interval);
    if (block > 10) {
        double longest = fmin(fmax(block / 6, step), 30);
        step = block / ceil(block / longest - 1e-9);
    }
    NEAR_AT(k->name, s->step_s, step, 1e-9);
    NEAR_AT(k->name, s->block_s, step * ceil(block / step - 1e-9), 1e-9);
    NEAR_AT(k->name, (double)s->steps_per_block, s->block_s / step, 1e-9);
    ck_assert_int_eq(s->sparse, interval > 5);
    ck_assert_int_eq(s->flow_moves, quick && s->can_drive);
    ck_assert_uint_eq(s->rows, run->run.readings->rows);
}

/* What is in no part is lost: gaps, and what is left of the steps between them. */
static void compare_lost(const kind *k)
{
    const nr_readings *r = run->run.readings;
    double lost = 0, used = 0, half = s->quality->interval_s / 2;
    for (size_t from = 0, to; from < r->rows; from = to) {
        for (to = from + 1; to < r->rows; to++)
            if (r->elapsed_s[to] - r->elapsed_s[to - 1] > longest_pause())
                break;
        double span = r->elapsed_s[to - 1] - r->elapsed_s[from] + 2 * half;
        lost += s->step_s * floor(span / s->step_s + 1e-9);
        lost += to < r->rows ? r->elapsed_s[to] - r->elapsed_s[to - 1] : 0;
    }
    double before = r->elapsed_s[0] - half;
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *p = &s->part[i];
        ck_assert_uint_eq(p->steps, p->blocks * s->steps_per_block);
        ck_assert_double_ge(p->start_s, before - 1e-6);
        before = p->start_s + s->step_s * (double)p->steps;
        used += s->step_s * (double)p->steps;
        bool sparse_enough = p->blocks >= 2 && (double)p->blocks * s->block_s >= 300;
        ck_assert(s->sparse ? sparse_enough : p->blocks >= 10);
        for (size_t n = 0; n < p->steps; n++)
            ck_assert_msg(!isnan(p->sun_W_m2[n] + p->air_degC[n] + p->flow_W_K[n]), "%s", k->name);
    }
    ck_assert_double_le(before, r->elapsed_s[r->rows - 1] + half + 1e-6);
    NEAR_AT(k->name, s->lost_s, lost - used, 1e-6);
}

/* -- which blocks count */

static bool high_sun(const nr_part *p, size_t n)
{
    double sun = p->sun_W_m2[n], least = fmin(200, 0.4 * s->max_sun_W_m2);
    if (s->max_sun_W_m2 < 100 && sun < 10)
        return true;
    return p->obliquity ? p->obliquity[n] <= 1 : sun >= least; /* 60 degrees: 1/cos - 1 = 1 */
}

/* Settled: pumped for two transits and three lags; where other water came in (more than 25 mK/s
 * over two blocks), that and two minutes more. */
static void compare_blocks(const kind *k)
{
    const nr_rig_channel *outlet = nr_rig_channel_find(&run->run.rig, "outlet");
    double wait = 2 * s->transit_s + 3 * (outlet ? outlet->lag_s : 0);
    size_t m = s->steps_per_block;
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *p = &s->part[i];
        double ran = 0, rests = 0;
        for (size_t b = 0; b < p->blocks; b++) {
            bool high = true;
            for (size_t n = b * m; n < (b + 1) * m; n++)
                high = high && high_sun(p, n);
            ck_assert_msg(p->bright[b] == high, "%s: block %zu bright %d", k->name, b,
                          p->bright[b]);
            bool inside = b > 0 && b + 1 < p->blocks && p->inlet_degC;
            if (inside && fabs(p->inlet_degC[(b + 1) * m] - p->inlet_degC[(b - 1) * m]) >
                              0.025 * 2 * s->block_s)
                rests = wait + 120;
            bool settled = p->pump_on[b] && ran >= wait && rests <= 0;
            if (b > 0 && b + 1 < p->blocks) /* what lies beyond a part may count at its edges */
                ck_assert_msg(p->settled[b] == settled, "%s: block %zu settled %d", k->name, b,
                              p->settled[b]);
            rests -= s->block_s;
            ran = p->pump_on[b] ? ran + s->block_s : 0;
        }
    }
}

/* -- means */

static double pumped(const nr_part *p, size_t n)
{
    return n < p->steps ? p->flow_W_K[n] : INFINITY; /* beyond an end nothing stops */
}

static void near_or_unknown(const kind *k, const char *what, double is, double expected)
{
    ck_assert_msg((isnan(is) && isnan(expected)) ||
                      fabs(is - expected) <= 1e-9 * fmax(1, fabs(expected)),
                  "%s, %s: %.12g, expected %.12g", k->name, what, is, expected);
}

/* A mean of means: of as many as there are, NAN of none. */
typedef struct mean {
    double sum, n;
} mean;

static void add(mean *m, double value)
{
    m->sum += isnan(value) ? 0 : value;
    m->n += isnan(value) ? 0 : 1;
}

static void compare_means(const kind *k)
{
    mean sun = {0}, air = {0}, flow = {0}, wind = {0}, blown = {0}, squares = {0}, water = {0},
         sky = {0};
    double runs = 0, most = 0;
    for (size_t i = 0; i < s->parts; i++)
        for (size_t n = 0; n < s->part[i].steps; n++) {
            const nr_part *p = &s->part[i];
            most = fmax(most, p->sun_W_m2[n]);
            runs += p->flow_W_K[n] > 0;
            bool says =
                pumped(p, n - 1) > 0 && pumped(p, n) > 0 && pumped(p, n + 1) > 0 && high_sun(p, n);
            bool dark = s->max_sun_W_m2 < 100;
            bool sunny = says && !dark && p->sun_W_m2[n] >= 0.4 * s->max_sun_W_m2;
            double w = p->wind_m_s ? p->wind_m_s[n] : NAN; /* over its zero */
            add(&blown, (says && dark) || sunny ? w : NAN);
            add(&squares, (says && dark) || sunny ? w * w : NAN);
            if (!sunny)
                continue;
            add(&wind, w);
            add(&sun, p->sun_W_m2[n]);
            add(&air, p->air_degC[n]);
            add(&flow, p->flow_W_K[n]);
            add(&sky, p->sky_W_m2 ? p->sky_W_m2[n] : 0);
            bool driven = p->inlet_degC || !p->reading[NR_OUT_STORE];
            add(&water, p->reading[driven ? NR_OUT_INLET : NR_OUT_STORE][n / s->steps_per_block]);
        }
    near_or_unknown(k, "most sun", s->max_sun_W_m2, most);
    near_or_unknown(k, "sunny steps", s->sunny_steps, sun.n);
    near_or_unknown(k, "sun", s->mean_sun_W_m2, sun.sum / sun.n);
    near_or_unknown(k, "air", s->mean_air_degC, air.sum / air.n);
    near_or_unknown(k, "water", s->mean_sunny_store_degC, water.sum / water.n);
    near_or_unknown(k, "sky", s->mean_sky_W_m2, sky.n > 0 ? sky.sum / sky.n : 0);
    near_or_unknown(k, "flow", s->mean_flow_W_K, flow.sum / flow.n);
    double each = nr_water_density_kg_m3(s->mean_store_degC) * s->cp_J_kgK / 60000;
    near_or_unknown(k, "L/min", s->mean_flow_L_min, flow.sum / flow.n / each);
    ck_assert_int_eq(s->ever_pumped, runs * s->step_s >= 300);
    if (s->part[0].wind_m_s == NULL || blown.n == 0) {
        ck_assert(isnan(s->mean_wind_m_s) && isnan(s->wind_zero_m_s));
        return;
    }
    NEAR_AT(k->name, blown.sum / blown.n, 0, 1e-9); /* the departure from its mean */
    near_or_unknown(k, "wind", s->mean_wind_m_s, s->wind_zero_m_s + wind.sum / wind.n);
    NEAR_AT(k->name, s->wind_sd_m_s, sqrt(squares.sum / squares.n), 1e-6);
    mean recorded = {0}; /* the zero is some wind that blew */
    for (size_t i = 0; i < s->quality->rows; i++)
        add(&recorded, nr_quality_value(s->quality, NR_ROLE_WIND, i));
    NEAR_AT(k->name, s->wind_zero_m_s, recorded.sum / recorded.n, 0.5);
}

/* -- water and flow */

static void compare_water(const kind *k)
{
    const nr_rig *rig = &run->run.rig;
    nr_role role = s->quality->channel[NR_ROLE_STORE].good ? NR_ROLE_STORE : NR_ROLE_INLET;
    mean water = {0};
    for (size_t i = 0; i < s->quality->rows; i++)
        add(&water, nr_quality_value(s->quality, role, i));
    near_or_unknown(k, "all water", s->mean_store_degC, water.sum / water.n);
    NEAR(s->cp_J_kgK, nr_water_cp_J_kgK(s->mean_store_degC), 1e-9);
    NEAR(s->water_kg, rig->store.water_kg.value, 0);
    ck_assert_int_eq(s->flow_known, s->quality->channel[NR_ROLE_FLOW].good > 0);
    double guess =
        s->flow_known ? s->quality->pump_typical : 1.2 * rig->collector.gross_area_m2.value;
    NEAR(s->flow_guess_L_min, guess, 1e-12);
    const nr_rig_collector *c = &rig->collector;
    double bore_dm = c->tube_bore_mm.value / 100, length_dm = 10 * c->tube_length_m.value;
    double fluid_L = c->fluid_kg.given        ? c->fluid_kg.value
                     : c->tube_length_m.given ? M_PI * bore_dm * bore_dm / 4 * length_dm
                                              : NAN;
    double transit_s = isnan(fluid_L) ? 60 : fmin(fmax(fluid_L / guess * 60, 20), 600);
    NEAR_AT(k->name, s->transit_s, transit_s, 1e-9 * transit_s);
    /* The water's own density: within a block it warms by a kelvin or two, 0.04 % each at most. */
    const double near = 1e-3;
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *p = &s->part[i];
        size_t m = s->steps_per_block;
        for (size_t b = 0; b < p->blocks; b++) {
            mean heat = {0};
            for (size_t n = b * m; n < (b + 1) * m; n++)
                add(&heat, p->flow_W_K[n]);
            ck_assert_int_eq(isnan(p->flow_L_min[b]), !s->flow_known);
            double L_min = s->flow_known ? p->flow_L_min[b] : p->pump_on[b] ? guess : NAN;
            double *reads =
                p->reading[NR_OUT_STORE] ? p->reading[NR_OUT_STORE] : p->reading[NR_OUT_INLET];
            if (!p->pump_on[b] || isnan(L_min) || isnan(reads[b]))
                continue;
            double rho = nr_water_density_kg_m3(reads[b]);
            NEAR_AT(k->name, heat.sum / heat.n, L_min / 60000 * rho * s->cp_J_kgK,
                    near * heat.sum / heat.n + 1e-9);
        }
    }
}

/* Where the irradiance-weighted sun stood, read back from 1/cos - 1 in steps within 60 degrees. */
static void compare_angles(const kind *k)
{
    double weight = 0, angle = 0, obliquity = 0, lo = INFINITY, hi = -INFINITY;
    for (size_t i = 0; i < s->parts; i++)
        for (size_t n = 0; n < s->part[i].steps && s->part[i].obliquity; n++) {
            double o = s->part[i].obliquity[n], sun = s->part[i].sun_W_m2[n];
            if (sun < 0.4 * s->max_sun_W_m2 || o > 1)
                continue;
            double deg = acos(1 / (1 + o)) * 180 / M_PI;
            weight += sun;
            angle += sun * deg;
            obliquity += sun * o;
            lo = fmin(lo, deg);
            hi = fmax(hi, deg);
        }
    ck_assert_int_eq(s->part[0].obliquity != NULL, !k->dark);
    if (k->dark) {
        ck_assert(isnan(s->incidence_mean_deg) && isnan(s->obliquity_mean));
        return;
    }
    NEAR_AT(k->name, s->incidence_mean_deg, angle / weight, 1e-6);
    NEAR_AT(k->name, s->obliquity_mean, obliquity / weight, 1e-9);
    NEAR_AT(k->name, s->incidence_lo_deg, lo, 1e-6);
    NEAR_AT(k->name, s->incidence_hi_deg, hi, 1e-6);
}

static void compare_input(void)
{
    static const char *const name[NR_OUTS] = {"store", "inlet", "outlet"};
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *p = &s->part[i];
        nr_loop_input in = nr_series_input(s, p);
        ck_assert(in.blocks == p->blocks && in.steps_per_block == s->steps_per_block &&
                  in.step_s == s->step_s && in.two_stages == s->flow_moves);
        ck_assert(in.sun_W_m2 == p->sun_W_m2 && in.air_degC == p->air_degC &&
                  in.flow_W_K == p->flow_W_K && in.drive == p->drive &&
                  in.wind_m_s == p->wind_m_s && in.obliquity == p->obliquity &&
                  in.sky_W_m2 == p->sky_W_m2 && in.iam == p->iam && in.humidity == p->humidity &&
                  in.inlet_degC == p->inlet_degC && in.outlet_degC == p->outlet_degC);
        for (int c = 0; c < NR_OUTS; c++) {
            const nr_rig_channel *channel = nr_rig_channel_find(&run->run.rig, name[c]);
            NEAR(in.lag_s[c], channel ? channel->lag_s : 0, 0);
            ck_assert(in.weight[c] == (const float(*)[2])p->weight[c]);
            ck_assert_int_eq(p->weight[c] != NULL, s->sparse && p->reading[c] != NULL);
        }
    }
}

START_TEST(each_kind)
{
    const kind *k = &kinds[_i];
    set_up(k);
    compare_steps(k);
    compare_lost(k);
    compare_blocks(k);
    compare_means(k);
    compare_water(k);
    compare_angles(k);
    compare_input();
    tear_down();
}
END_TEST

/* Records of one build get the mean wind of all their sunny steps for their zero; others', and
 * those that know of no wind, keep theirs. */
START_TEST(shared_wind)
{
    static nr_series of[4];
    static double wind[4][2] = {{0.5, -0.5}, {1, -1}, {0, 0}, {2, 2}};
    nr_series *all[4];
    const size_t build_of[] = {0, 0, 1, 0};
    static const double zero[] = {2, 4, 7, NAN}, sunny[] = {100, 300, 50, 10};
    for (size_t i = 0; i < 4; i++) {
        all[i] = &of[i];
        of[i].parts = 1;
        of[i].part[0] = (nr_part){.steps = 2, .wind_m_s = wind[i]};
        of[i].wind_zero_m_s = of[i].mean_wind_m_s = zero[i];
        of[i].sunny_steps = sunny[i];
    }
    nr_series_share_wind(all, build_of, 4, 0);
    static const double expected[4][2] = {{-1, -2}, {1.5, -0.5}, {0, 0}, {2, 2}};
    for (size_t i = 0; i < 4; i++) { /* (100 * 2 + 300 * 4) / 400 = 3.5 */
        if (i < 3)
            NEAR(of[i].wind_zero_m_s, i < 2 ? 3.5 : 7, 1e-12);
        for (size_t n = 0; n < 2; n++)
            NEAR(wind[i][n], expected[i][n], 1e-12);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("series: worked out from its own steps");
    TCase *each = case_of(suite, "each_kind");
    tcase_add_loop_test(each, each_kind, 0, KINDS);
    tcase_add_test(case_of(suite, "shared_wind"), shared_wind);
    return run_suite(suite);
}
