/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which windows of drawn records are steady, and every number of theirs, by the header of steady.h
 * on plain arrays: means of half minutes, each limit drawn near what the record does. Properties of
 * water and the sun's place are physics/'s. */
#include "analyze/physics/sun.h"
#include "analyze/physics/water.h"
#include "analyze/quality/steady.h"
#include "tests/unit/quality/by_hand.h"

static by_hand hand;
static nr_virtual_run *site; /* lends its rig and the first row's time of day */

enum { HALF_MINUTES = 2000 };
static const nr_role seen[] = {NR_ROLE_SUN,    NR_ROLE_AIR,  NR_ROLE_INLET,
                               NR_ROLE_OUTLET, NR_ROLE_FLOW, NR_ROLE_WIND};

/* The record in half minutes of busy time. */
static struct {
    size_t n;
    double mean[NR_ROLES][HALF_MINUTES], later_s[HALF_MINUTES];
    bool usable[HALF_MINUTES];
} half;

static double busy_s[HAND_ROWS];

static void cut(void)
{
    double due = fmax(1, 12 / hand.q.interval_s - 1); /* four tenths of the rows, but for one */
    half.n = (size_t)(busy_s[hand.q.rows - 1] / 30);
    for (size_t b = 0; b < half.n; b++) {
        size_t rows = 0;
        double readings[NR_ROLES] = {0}, sum[NR_ROLES] = {0};
        half.usable[b] = true;
        half.later_s[b] = NAN;
        for (size_t i = 0; i < hand.q.rows; i++) {
            if (floor(busy_s[i] / 30) != (double)b) {
                if (busy_s[i] / 30 > (double)b && isnan(half.later_s[b]))
                    half.later_s[b] = hand.t_s[i] - busy_s[i];
                continue;
            }
            rows++;
            if (isnan(half.later_s[b]))
                half.later_s[b] = hand.t_s[i] - busy_s[i];
            half.usable[b] = half.usable[b] && hand.pump[i] == NR_PUMP_IS_ON;
            for (int r = 0; r < NR_ROLES; r++) {
                double v = nr_quality_value(&hand.q, (nr_role)r, i);
                readings[r] += !isnan(v);
                sum[r] += isnan(v) ? 0 : v;
            }
        }
        half.usable[b] = half.usable[b] && rows > 0;
        for (size_t k = 0; k < 6; k++) {
            half.mean[seen[k]][b] = sum[seen[k]] / readings[seen[k]];
            if (seen[k] != NR_ROLE_WIND && readings[seen[k]] < due)
                half.usable[b] = false;
        }
    }
}

static double mean_of(nr_role role, size_t from, size_t n)
{
    double sum = 0;
    for (size_t b = from; b < from + n; b++)
        sum += half.mean[role][b];
    return sum / (double)n;
}

/* How far the farthest half minute lies from a value. */
static double farthest(nr_role role, size_t from, size_t to, double value)
{
    double most = 0;
    for (size_t b = from; b < to; b++)
        most = fmax(most, fabs(half.mean[role][b] - value));
    return most;
}

/* K/s, by least squares over pairs of half minutes: the same straight line, weighted by distance.
 */
static double drift(nr_role a, nr_role b, size_t from, size_t n)
{
    double up = 0, down = 0;
    for (size_t i = from; i < from + n; i++)
        for (size_t k = from; k < i; k++) {
            double apart = 30 * (double)(i - k);
            up +=
                apart * (half.mean[a][i] + half.mean[b][i] - half.mean[a][k] - half.mean[b][k]) / 2;
            down += apart * apart;
        }
    return up / down;
}

static double incidence_at(double elapsed_s)
{
    const nr_rig *rig = &site->run.rig;
    if (!rig->latitude_deg.given || !rig->longitude_deg.given || !rig->collector.tilt_deg.given ||
        !rig->collector.azimuth_deg.given)
        return NAN;
    static nr_sun_path path;
    double at = site->run.readings->utc_s[0] + elapsed_s - hand.t_s[0];
    nr_sun sun = nr_sun_along(&path, at, rig->latitude_deg.value, rig->longitude_deg.value);
    return nr_incidence_deg(sun.zenith_deg, sun.azimuth_deg, rig->collector.tilt_deg.value,
                            rig->collector.azimuth_deg.value);
}

static bool steady(const nr_steady_limits *l, size_t from)
{
    size_t n = (size_t)lround(l->window_s / 30), before = (size_t)lround(l->settle_s / 30);
    if (from < before || from + n > half.n)
        return false;
    size_t early = from - before, to = from + n;
    for (size_t b = early; b < to; b++)
        if (!half.usable[b])
            return false;
    double sun = mean_of(NR_ROLE_SUN, from, n), flow = mean_of(NR_ROLE_FLOW, from, n);
    double inlet = mean_of(NR_ROLE_INLET, from, n), wind = mean_of(NR_ROLE_WIND, from, n);
    bool drifts = !isinf(l->inlet_drift_K_min);
    double middle = half.later_s[from] + 15 * (double)(from + to);
    return sun >= l->least_sun_W_m2 && farthest(NR_ROLE_SUN, from, to, sun) <= l->sun_band_W_m2 &&
           farthest(NR_ROLE_FLOW, early, to, flow) <= l->flow_band * flow &&
           farthest(NR_ROLE_AIR, from, to, mean_of(NR_ROLE_AIR, from, n)) <= l->air_band_K &&
           farthest(NR_ROLE_INLET, drifts ? from : early, to, inlet) <= l->inlet_band_K &&
           60 * fabs(drift(NR_ROLE_INLET, NR_ROLE_INLET, from, n)) <= l->inlet_drift_K_min &&
           mean_of(NR_ROLE_OUTLET, from, n) - inlet >= l->least_rise_K &&
           !(wind < l->least_wind_m_s) && !(wind > l->most_wind_m_s) &&
           !(incidence_at(middle) > l->most_incidence_deg);
}

/* Standard uncertainty as the rig states it, or the usual one of steady.h. */
static double stated(const char *name, bool gain, double usual)
{
    const nr_rig_channel *c = nr_rig_channel_find(&site->run.rig, name);
    double u = !c ? NAN : gain ? c->u_gain : c->u_offset;
    return isnan(u) ? usual : u;
}

static void compare_point(const nr_steady_window *w, size_t from, size_t n, bool mean_basis)
{
    const nr_rig_collector *c = &site->run.rig.collector;
    double in = mean_of(NR_ROLE_INLET, from, n), out = mean_of(NR_ROLE_OUTLET, from, n);
    double g = mean_of(NR_ROLE_SUN, from, n), cp = nr_water_cp_J_kgK((in + out) / 2);
    double each_L_min = nr_water_density_kg_m3(in) / 60000 * cp, area = c->gross_area_m2.value;
    double flow = mean_of(NR_ROLE_FLOW, from, n),
           warms = drift(NR_ROLE_INLET, NR_ROLE_OUTLET, from, n);
    double fluid = c->fluid_kg.given ? c->fluid_kg.value
                   : c->tube_length_m.given && c->tube_bore_mm.given
                       ? 1000 * M_PI * pow(c->tube_bore_mm.value / 2000, 2) * c->tube_length_m.value
                       : NAN;
    double dry = c->heat_capacity_J_K.given ? c->heat_capacity_J_K.value : NAN;
    bool known = !isnan(fluid + dry);
    double heat = known ? fluid * cp + dry : 8000 * area;
    double u_heat = !known                         ? 0.5 * heat
                    : c->heat_capacity_J_K.u_given ? c->heat_capacity_J_K.u
                                                   : 0.3 * dry;
    double moved = each_L_min * flow * (out - in) / area / g, eta = moved + heat * warms / area / g;
    NEAR(w->eta, eta, 1e-9);
    NEAR(w->x, ((mean_basis ? (in + out) / 2 : in) - mean_of(NR_ROLE_AIR, from, n)) / g, 1e-12);
    double mean = 0, squares = 0;
    for (int pass = 0; pass < 2; pass++)
        for (size_t b = from; b < from + n; b++) {
            double one = each_L_min * half.mean[NR_ROLE_FLOW][b] *
                         (half.mean[NR_ROLE_OUTLET][b] - half.mean[NR_ROLE_INLET][b]) / area /
                         half.mean[NR_ROLE_SUN][b];
            mean += pass ? 0 : one / (double)n;
            squares += pass ? pow(one - mean, 2) : 0;
        }
    NEAR(w->u_random, sqrt(squares / (double)(n - 1) / (double)n), 1e-9);
    double part[] = {
        w->u_random,
        moved / (out - in) * stated("inlet", false, 0.2),
        moved / (out - in) * stated("outlet", false, 0.2),
        moved * stated("flow", true, 0.05),
        eta * stated("sun", true, 0.05),
        eta * (c->gross_area_m2.u_given ? c->gross_area_m2.u / area : 0.01),
        u_heat * warms / area / g,
    };
    double sum = 0;
    for (size_t i = 0; i < sizeof part / sizeof *part; i++)
        sum += part[i] * part[i];
    NEAR(w->u, sqrt(sum), 1e-9);
}

static size_t compare(const nr_steady_limits *l, bool mean_basis)
{
    nr_steady *s = NULL;
    ck_assert_int_eq(nr_steady_find(&site->run, &hand.q, l, mean_basis, &s, NULL), NR_OK);
    cut();
    size_t found = 0, n = (size_t)lround(l->window_s / 30);
    bool asked = hand.q.duration_s >= l->window_s;
    for (size_t k = 0; k < 6; k++)
        asked = asked && (seen[k] == NR_ROLE_WIND || hand.q.channel[seen[k]].good > 0);
    for (size_t from = 0; asked && from + n <= half.n;) {
        if (!steady(l, from)) {
            from++;
            continue;
        }
        ck_assert_uint_lt(found, s->count);
        const nr_steady_window *w = &s->window[found++];
        double from_s = half.later_s[from] + 30 * (double)from;
        NEAR(w->from_s, from_s, 1e-6);
        NEAR(w->to_s, from_s + 30 * (double)n, 1e-6);
        const double is[] = {w->sun_W_m2,    w->air_degC,   w->inlet_degC,
                             w->outlet_degC, w->flow_L_min, w->wind_m_s};
        for (size_t k = 0; k < 6; k++) {
            double mean = mean_of(seen[k], from, n);
            ck_assert((isnan(mean) && isnan(is[k])) || fabs(is[k] - mean) < 1e-9);
        }
        NEAR(w->drift_K_s, drift(NR_ROLE_INLET, NR_ROLE_OUTLET, from, n), 1e-12);
        double angle = incidence_at(from_s + 15 * (double)n);
        ck_assert((isnan(angle) && isnan(w->incidence_deg)) ||
                  fabs(angle - w->incidence_deg) < 1e-6);
        bool strict = l == &nr_steady_iso9806;
        for (size_t a = 0; a <= from; a++)
            strict = strict || (a + 20 >= from + n && steady(&nr_steady_iso9806, a));
        ck_assert_int_eq(w->strict, strict);
        compare_point(w, from, n, mean_basis);
        from += n;
    }
    ck_assert_uint_eq(s->count, found);
    nr_steady_free(s);
    return found;
}

/* A steady half hour to an hour, more or less. */
static void draw_record(unsigned long long *s)
{
    static const double interval[] = {3, 5, 10, 15, 30};
    hand_begin(&hand, 90 + below(s, 200), interval[below(s, 5)]);
    double sun = 680 + 300 * chance(s), flow = 0.5 + 2 * chance(s), rise = 0.8 + 6 * chance(s);
    double unrest = chance(s) < 0.5 ? 0.1 : chance(s), warming = 8e-3 * chance(s) * chance(s);
    double at = below(s, 2) ? 0 : 500, holes = 0.02;
    for (size_t i = 0; i < hand.q.rows; i++) {
        at += below(s, 100) ? hand.q.interval_s : hand.q.interval_s * (double)below(s, 200);
        hand.t_s[i] = at + 1e-3 * (double)i;
        double wave = sin(at / 200), warmer = warming * hand.q.interval_s * (double)i;
        hand.value[NR_ROLE_SUN][i] = sun + unrest * (40 * wave + 30 * normal(s));
        hand.value[NR_ROLE_AIR][i] = 20 + unrest * (wave + 0.5 * normal(s));
        hand.value[NR_ROLE_INLET][i] = 25 + warmer + unrest * 0.1 * normal(s);
        hand.value[NR_ROLE_OUTLET][i] = 25 + rise + warmer + unrest * 0.1 * normal(s);
        hand.value[NR_ROLE_FLOW][i] = flow * (1 + unrest * (0.01 * wave + 0.01 * normal(s)));
        hand.value[NR_ROLE_WIND][i] = fabs(3 + 2 * unrest * normal(s));
        hand.pump[i] = below(s, 400) ? NR_PUMP_IS_ON : NR_PUMP_IS_OFF;
        for (size_t k = 0; k < 6; k++)
            if (chance(s) < holes)
                hand.value[seen[k]][i] = NAN;
        if (below(s, 8) == 0) /* another stretch, most of it or little of it read */
            holes = below(s, 6) ? 0.02 : 0.4;
    }
    for (size_t k = 0; k < 6; k++)
        if (seen[k] != NR_ROLE_WIND || below(s, 2))
            hand_channel(&hand, seen[k]);
    if (below(s, 30) == 0)
        hand.q.channel[seen[below(s, 6)]].good = 0;
    static double from_s[HAND_ROWS];
    hand.q.busy_from_s = from_s;
    hand.q.duration_s = hand.t_s[hand.q.rows - 1] - hand.t_s[0];
    nr_count_busy(&hand.q);
    nr_cursor busy;
    nr_cursor_begin(&busy, &hand.q.busy_s);
    for (size_t i = 0; i < hand.q.rows; i++)
        busy_s[i] = nr_at(&busy, i);
}

static nr_value perhaps(unsigned long long *s, double value)
{
    bool u = below(s, 2);
    return (nr_value){.given = below(s, 4), .value = value, .u_given = u, .u = u ? value / 8 : NAN};
}

static void draw_rig(unsigned long long *s)
{
    nr_rig_collector *c = &site->run.rig.collector;
    c->gross_area_m2 = perhaps(s, 0.5 + chance(s));
    c->heat_capacity_J_K = perhaps(s, 3000);
    c->fluid_kg = below(s, 2) ? perhaps(s, 1.5) : (nr_value){.value = NAN};
    c->tube_length_m = perhaps(s, 20);
    c->tube_bore_mm = perhaps(s, 13);
    c->tilt_deg.given = below(s, 20);
    site->run.rig.latitude_deg.given = below(s, 3) == 0;
    static const char *const name[] = {"sun", "inlet", "outlet", "flow"};
    for (size_t k = 0; k < 4; k++)
        for (size_t i = 0; i < site->run.rig.channels; i++)
            if (strcmp(site->run.rig.channel[i].name, name[k]) == 0) {
                site->run.rig.channel[i].u_gain = below(s, 2) ? NAN : 0.02 * chance(s);
                site->run.rig.channel[i].u_offset = below(s, 2) ? NAN : 0.3 * chance(s);
            }
}

/* Every limit is loose or near what the record does. */
static nr_steady_limits draw_limits(unsigned long long *s)
{
    double angle = incidence_at(hand.t_s[hand.q.rows / 2]);
    double near = 0.5 + chance(s);
    return (nr_steady_limits){
        .name = "drawn",
        .least_sun_W_m2 = below(s, 4) ? 0 : 830 * (0.8 + 0.4 * chance(s)),
        .sun_band_W_m2 = below(s, 3) ? 200 : 25 * near,
        .air_band_K = below(s, 3) ? 5 : 0.5 * near,
        .inlet_band_K = below(s, 3) ? 9 : 0.2 * near,
        .inlet_drift_K_min = below(s, 2) ? INFINITY : 0.2 * near * chance(s),
        .flow_band = below(s, 3) ? 0.2 : 0.01 * near,
        .least_wind_m_s = below(s, 4) ? 0 : 2.5 + chance(s),
        .most_wind_m_s = below(s, 4) ? INFINITY : 2.5 + chance(s),
        .most_incidence_deg = below(s, 4) || isnan(angle) ? 180 : angle + 2 * normal(s),
        .least_rise_K = below(s, 4) ? 0 : 3 * near,
        .settle_s = 30 * (double)below(s, 12),
        .window_s = 30 * (double)(3 + below(s, 14)),
    };
}

START_TEST(windows_and_points)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 400;
    site = simulate(&p);
    unsigned long long s = 15;
    size_t found = 0, by_own = 0;
    for (int number = 0; number < 160; number++) {
        draw_rig(&s);
        draw_record(&s);
        nr_steady_limits drawn = draw_limits(&s);
        found += compare(&drawn, number % 2);
        by_own += compare(number % 3 ? &nr_steady_field : &nr_steady_iso9806, number % 2);
        if (number % 8)
            continue;
        const nr_steady_limits *both[] = {&nr_steady_field, &nr_steady_iso9806};
        size_t windows[2];
        ck_assert_int_eq(nr_steady_count(&site->run, &hand.q, both, 2, windows, NULL), NR_OK);
        for (int k = 0; k < 2; k++) {
            nr_steady *one = NULL;
            ck_assert_int_eq(nr_steady_find(&site->run, &hand.q, both[k], 0, &one, NULL), NR_OK);
            ck_assert_uint_eq(windows[k], one->count);
            nr_steady_free(one);
        }
    }
    ck_assert_uint_gt(found, 50); /* or nothing was compared */
    ck_assert_uint_gt(by_own, 50);
    nr_virtual_run_free(site);
}
END_TEST

/* Both sets of limits, number by number. ISO 9806 steady state outdoors: from memory, no edition
 * was at hand; the relaxed ones are the project's own (common practice, no source). */
START_TEST(both_sets)
{
    const nr_steady_limits *const l[] = {&nr_steady_iso9806, &nr_steady_field};
    static const double expected[2][12] = {
        {700, 50, 1.5, 0.1, INFINITY, 0.01, 2, 4, 20, 1, 900, 600},
        {500, 50, 1.5, 3, 0.6, 0.1, 0, INFINITY, 50, 1, 300, 300},
    };
    for (int i = 0; i < 2; i++) {
        const double is[] = {
            l[i]->least_sun_W_m2, l[i]->sun_band_W_m2,     l[i]->air_band_K,
            l[i]->inlet_band_K,   l[i]->inlet_drift_K_min, l[i]->flow_band,
            l[i]->least_wind_m_s, l[i]->most_wind_m_s,     l[i]->most_incidence_deg,
            l[i]->least_rise_K,   l[i]->settle_s,          l[i]->window_s};
        for (int k = 0; k < 12; k++)
            ck_assert_msg(is[k] == expected[i][k], "%s, limit %d: %g", l[i]->name, k, is[k]);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {windows_and_points, both_sets, NULL};
    return run_tests("quality: steady windows of drawn records", tests);
}
