/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What inspect says of the sun's place, of delays between channels, of the pump's stops and of what
 * a record can tell, worked out a second time on drawn records by the rules as the sources say them
 * (their limits: common practice, no source). */
#include "analyze/physics/cautions.h"
#include "analyze/physics/clearsky.h"
#include "analyze/physics/sun.h"
#include "tests/unit/inspect/drawn.h"

#include <gsl/gsl_fit.h>

/* ---- the sun's place ---- */

static desk *under_some_sky(void)
{
    desk *d = sound();
    double zenith = chance(0.4) ? from_to(85, 96) : from_to(20, 88), aim = from_to(0, 100);
    double scale = chance(0.2) ? from_to(0, 0.1) : from_to(0.2, 1.9);
    d->x.place_known = chance(0.8);
    d->x.unit_wrong[NR_ROLE_SUN] = chance(0.05);
    d->q.channel[NR_ROLE_SUN].readings = chance(0.05) ? 0 : ROWS;
    d->q.pump_source = chance(0.2) ? NR_PUMP_FROM_NOTHING : NR_PUMP_FROM_FLOW;
    for (size_t b = 0; b < BLOCKS; b++)
        d->block[b] = (nr_sky_block){.t_s = 300 * ((double)b + 0.5),
                                     .sun_W_m2 = chance(0.05) ? NAN : scale * from_to(500, 900),
                                     .pump_share = draw(),
                                     .zenith_deg = zenith + from_to(-2, 2),
                                     .incidence_deg = aim + from_to(-10, 10),
                                     .beyond_W_m2 = from_to(1000, 1400),
                                     .clear_W_m2 = from_to(600, 950)};
    return d;
}

/* How many of the blocks are so; brightest of those that are too bright, and what it may be. */
typedef struct seen {
    int down, behind, high, beyond;
    double from, to, worst, allowed;
} seen;

static seen look_up(const desk *d)
{
    seen s = {.worst = 0};
    for (int b = 0; b < BLOCKS; b++) {
        const nr_sky_block *k = &d->block[b];
        bool known = d->x.place_known;
        double sun = k->sun_W_m2, most = known ? 60 + 1.3 * k->clear_W_m2 : 1400;
        s.down += known && sun > 50 && k->zenith_deg > 92;
        s.behind += known && sun > 450 && k->incidence_deg > 93;
        s.beyond += known && sun - k->beyond_W_m2 > 60;
        if (isnan(sun) || sun <= most)
            continue;
        s.from = s.high ? s.from : 300 * b;
        s.to = 300 * (b + 1);
        s.high++;
        if (sun > s.worst) {
            s.worst = sun;
            s.allowed = most;
        }
    }
    return s;
}

static double brightest(const desk *d)
{
    double most = 0;
    for (int b = 0; b < BLOCKS; b++)
        if (d->block[b].sun_W_m2 > most)
            most = d->block[b].sun_W_m2;
    return most;
}

/* Whether clock, site or plane are wrong, so that angles mean nothing. */
static bool place_of_the_sun(const desk *d, expected *e)
{
    seen s = look_up(d);
    nr_severity severity = NR_SEVERITY_FAULT;
    nr_finding_code code = NR_FIND_SUN_BELOW_HORIZON;
    if (s.down < 2) {
        code = NR_FIND_SUN_BEHIND;
        if (s.behind < 2) {
            if (s.high < 2)
                return false;
            if (!d->x.place_known || s.worst >= 1250) {
                expect(e, NR_FIND_SUN_TOO_HIGH,
                       s.beyond >= 2 ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, "sun", s.from, s.to,
                       s.worst, s.allowed, 0);
                return false;
            }
            code = NR_FIND_SUN_BEYOND_SKY;
            severity = NR_SEVERITY_DOUBT;
        }
    }
    expect(e, code, severity, "sun", NAN, NAN, 0, 0, 0);
    return true;
}

static void angles(const desk *d, double most, bool wrong, expected *e, double *lo, double *hi)
{
    double sum = 0, weight = 0, least = INFINITY, largest = -INFINITY;
    for (int b = 0; b < BLOCKS; b++) {
        const nr_sky_block *k = &d->block[b];
        if ((d->q.pump_source != NR_PUMP_FROM_NOTHING && k->pump_share <= 0.5) ||
            isnan(k->sun_W_m2) || k->sun_W_m2 <= 0.4 * most || k->zenith_deg >= 89)
            continue;
        sum += k->incidence_deg * k->sun_W_m2;
        weight += k->sun_W_m2;
        least = k->incidence_deg < least ? k->incidence_deg : least;
        largest = k->incidence_deg > largest ? k->incidence_deg : largest;
    }
    if (weight == 0 || wrong)
        return;
    *lo = least;
    *hi = largest;
    if (sum / weight > 45)
        expect(e, NR_FIND_OBLIQUE_SUN, NR_SEVERITY_NOTE, "sun", NAN, NAN, least, largest, 0);
}

START_TEST(skies_in_full)
{
    int of[NR_FIND_COUNT] = {0};
    drawn_state = 3;
    for (int n = 0; n < 1000; n++) {
        desk *d = under_some_sky();
        expected e = {0};
        double most = brightest(d), lo = -1, hi = -1;
        bool recorded = d->q.channel[NR_ROLE_SUN].readings > 0;
        bool units = d->x.unit_wrong[NR_ROLE_SUN], dark = recorded && !units && most < 50;
        d->out.incidence_lo_deg = d->out.incidence_hi_deg = -1;
        if (dark)
            expect(&e, NR_FIND_NO_SUN, NR_SEVERITY_DOUBT, "sun", NAN, NAN, most, 0, 0);
        else if (recorded && !units) {
            bool wrong = place_of_the_sun(d, &e);
            if (d->x.place_known)
                angles(d, most, wrong, &e, &lo, &hi);
            else
                expect(&e, NR_FIND_NO_SITE, NR_SEVERITY_NOTE, "", NAN, NAN, 0, 0, 0);
        }
        nr_inspect_sky(&d->x);
        same_findings(n, &d->out, &e);
        ck_assert(d->x.dark == dark);
        same_number("least angle", d->out.incidence_lo_deg, lo);
        same_number("largest angle", d->out.incidence_hi_deg, hi);
        for (size_t i = 0; i < e.count; i++)
            of[e.one[i].code]++;
        free(d);
    }
    for (int c = NR_FIND_SUN_BELOW_HORIZON; c <= NR_FIND_NO_SITE; c++)
        ck_assert_msg(of[c] >= 10, "%s %d times", nr_finding_name((nr_finding_code)c), of[c]);
}
END_TEST

/* ---- delays ---- */

enum { GRID = 720 }; /* of 5 s: an hour of rows of 3.6 s */

static double waves(double t, const double *phase)
{
    return sin(t / 31 + phase[0]) + sin(t / 47 + phase[1]) + sin(t / 97 + phase[2]) +
           0.5 * sin(t / 19 + phase[3]);
}

/* Clouds; the outlet behind them, the store behind the inlet or before it. */
static desk *lively(void)
{
    desk *d = sound();
    rows_every(d, chance(0.9) ? 3.6 : 10.5);
    double phase[4], noise = from_to(0, 2.5), sun = chance(0.2) ? 250 : from_to(0, 200),
                     store = chance(0.2) ? 260 : from_to(-120, 120);
    for (int k = 0; k < 4; k++)
        phase[k] = from_to(0, 6);
    for (size_t i = 0; i < ROWS; i++) {
        double t = d->elapsed_s[i];
        d->value[NR_ROLE_SUN][i] = 600 + 100 * waves(t, phase);
        d->value[NR_ROLE_OUTLET][i] =
            30 + 0.004 * t + waves(t - sun, phase) + noise * (draw() - 0.5);
        d->value[NR_ROLE_INLET][i] = 20 + 0.004 * t + waves(t, phase);
        d->value[NR_ROLE_STORE][i] =
            20 + 0.004 * t + waves(t - store, phase) + noise * (draw() - 0.5);
        d->pump[i] = chance(0.05) ? NR_PUMP_IS_OFF : NR_PUMP_IS_ON;
    }
    for (int role = 0; role < NR_ROLES; role++)
        if (d->q.channel[role].value)
            spoil(d, (nr_role)role, 0.15);
    if (chance(0.3))
        hole(d, NR_ROLE_STORE, 200, (size_t)from_to(100, 700));
    if (chance(0.1))
        d->q.channel[NR_ROLE_SUN].good = 0;
    return d;
}

/* Rates of change over half a minute without their straight trend. */
static int rates_of(const desk *d, nr_role role, double *rate)
{
    static double sum[4 * GRID], n[4 * GRID], mean[4 * GRID], at[4 * GRID], kept[4 * GRID];
    int steps = (int)(d->elapsed_s[LAST] / 5), count = 0;
    for (int k = 0; k < steps; k++)
        sum[k] = n[k] = 0;
    for (size_t i = 0; i < ROWS; i++) {
        int k = (int)(d->elapsed_s[i] / 5);
        double v = good(d, role, i);
        if (k < steps && !isnan(v) && d->pump[i] != NR_PUMP_IS_OFF) {
            sum[k] += v;
            n[k]++;
        }
    }
    for (int k = 0; k < steps; k++) {
        bool beside = k > 0 && k + 1 < steps && n[k - 1] > 0 && n[k + 1] > 0;
        mean[k] = n[k] > 0 ? sum[k] / n[k]
                  : beside ? (sum[k - 1] / n[k - 1] + sum[k + 1] / n[k + 1]) / 2
                           : NAN;
    }
    for (int k = 0; k < steps; k++) {
        rate[k] = k + 6 < steps ? mean[k + 6] - mean[k] : NAN;
        if (!isnan(rate[k])) {
            at[count] = k;
            kept[count++] = rate[k];
        }
    }
    double level, slope, v00, v01, v11, chi;
    gsl_fit_linear(at, 1, kept, 1, (size_t)count, &level, &slope, &v00, &v01, &v11, &chi);
    for (int k = 0; k < steps; k++)
        rate[k] -= level + slope * k;
    return steps;
}

/* Of a with b so many steps later (or earlier); known from a quarter of an hour of pairs. */
static double correlated(const double *a, const double *b, int steps, int later)
{
    double pairs = 0, ab = 0, aa = 0, bb = 0;
    for (int k = 0; k < steps; k++) {
        int m = k + later;
        if (m < 0 || m >= steps || isnan(a[k] * b[m]))
            continue;
        pairs++;
        ab += a[k] * b[m];
        aa += a[k] * a[k];
        bb += b[m] * b[m];
    }
    return pairs * 5 < 900 ? NAN : ab / sqrt(aa) / sqrt(bb);
}

static double delay_of(const desk *d, nr_role first, nr_role then)
{
    static double a[4 * GRID], b[4 * GRID];
    int steps = rates_of(d, first, a), at = 0;
    double best = -1;
    rates_of(d, then, b);
    for (int k = 0; k <= 48; k++) { /* four minutes */
        double r = correlated(a, b, steps, k);
        if (r > best) {
            best = r;
            at = k;
        }
    }
    double later = correlated(a, b, steps, at + 12), sooner = correlated(a, b, steps, at - 12);
    bool told = best >= 0.7 && at < 48 && best - later > 0.12 && best - sooner > 0.12;
    return told && at >= 3 ? 5.0 * at : NAN;
}

START_TEST(delays_in_full)
{
    static const struct {
        nr_role first, then;
        nr_finding_code code;
    } pairs[] = {{NR_ROLE_SUN, NR_ROLE_OUTLET, NR_FIND_LAG_COLLECTOR},
                 {NR_ROLE_INLET, NR_ROLE_STORE, NR_FIND_LAG_STORE},
                 {NR_ROLE_STORE, NR_ROLE_INLET, NR_FIND_LAG_INLET}};
    int of[NR_FIND_COUNT] = {0};
    drawn_state = 8;
    for (int n = 0; n < 40; n++) {
        desk *d = lively();
        expected e = {0};
        for (int p = 0; p < 3 && d->q.interval_s <= 10; p++) {
            if (!d->q.channel[pairs[p].first].good)
                continue;
            double s = delay_of(d, pairs[p].first, pairs[p].then);
            if (isnan(s))
                continue;
            expect(&e, pairs[p].code, NR_SEVERITY_NOTE, nr_role_name(pairs[p].then), NAN, NAN, s, 0,
                   0);
            of[pairs[p].code]++;
        }
        nr_inspect_lags(&d->x);
        same_findings(n, &d->out, &e);
        free(d);
    }
    for (int p = 0; p < 3; p++)
        ck_assert_msg(of[pairs[p].code] >= 5 && of[pairs[p].code] <= 35, "%s %d times",
                      nr_finding_name(pairs[p].code), of[pairs[p].code]);
}
END_TEST

/* ---- what the record can tell ---- */

static desk *some_hours(void)
{
    desk *d = sound();
    double wide = chance(0.5) ? from_to(0, 8) : from_to(5, 15), warm = from_to(10, 60);
    double swing = from_to(2, 10);
    rows_every(d, 3.6);
    for (size_t i = 0; i < ROWS; i++) {
        d->value[NR_ROLE_STORE][i] = warm + wide * draw();
        d->value[NR_ROLE_INLET][i] = warm + 1 + wide * draw();
        d->value[NR_ROLE_AIR][i] = 18 + swing * draw();
        d->value[NR_ROLE_SUN][i] = from_to(0, 700);
    }
    for (int role = 0; role < NR_ROLES; role++)
        if (d->q.channel[role].value)
            spoil(d, (nr_role)role, 0.05);
    if (chance(0.2)) {
        d->q.channel[NR_ROLE_STORE].good = 0;
        hole(d, NR_ROLE_STORE, 0, ROWS);
    }
    if (chance(0.2)) /* of so few nothing is said */
        hole(d, NR_ROLE_AIR, 0, ROWS - 45);
    d->q.duration_s = chance(0.1) ? 299 : chance(0.5) ? 301 : 3600;
    d->run.rig.store.lid = (nr_lid)(int)from_to(0, 3);
    for (int role = 0; role < NR_ROLES; role++)
        d->x.unit_wrong[role] = chance(0.05);
    d->x.strict_windows = chance(0.3) ? 2 : 0;
    d->x.field_windows = chance(0.5) ? 3 : 0;
    return d;
}

/* Without the lowest and the highest fiftieth; of thirty at least. */
static bool between(const desk *d, nr_role role, nr_role less, double sunny, double *lo, double *hi)
{
    static double v[ROWS];
    size_t n = 0;
    for (size_t i = 0; i < ROWS; i++) {
        double x = good(d, role, i) - (less < NR_ROLES ? good(d, less, i) : 0);
        if (!isnan(x) && (sunny == 0 || good(d, NR_ROLE_SUN, i) > sunny))
            v[n++] = x;
    }
    qsort(v, n, sizeof *v, by_size);
    if (n < 30)
        return false;
    *lo = v[n / 50];
    *hi = v[n - 1 - n / 50];
    return true;
}

static void conditions(const desk *d, expected *e)
{
    double lo, hi;
    nr_role water = d->q.channel[NR_ROLE_STORE].good ? NR_ROLE_STORE : NR_ROLE_INLET;
    if (d->q.duration_s < 300)
        return;
    if (between(d, water, NR_ROLE_AIR, 200, &lo, &hi) && hi - lo < 10 && !d->x.unit_wrong[water] &&
        !d->x.unit_wrong[NR_ROLE_AIR])
        expect(e, NR_FIND_SMALL_SPREAD, hi - lo < 4 ? NR_SEVERITY_DOUBT : NR_SEVERITY_NOTE, "", NAN,
               NAN, lo, hi, 0);
    if (between(d, NR_ROLE_AIR, NR_ROLES, 0, &lo, &hi) && hi - lo > 6 &&
        !d->x.unit_wrong[NR_ROLE_AIR])
        expect(e, NR_FIND_AIR_SWINGS, NR_SEVERITY_NOTE, "air", NAN, NAN, lo, hi, 0);
    if (d->x.strict_windows)
        expect(e, NR_FIND_STEADY_STRICT, NR_SEVERITY_NOTE, "", NAN, NAN, 2, 0, 0);
    else if (d->x.field_windows)
        expect(e, NR_FIND_STEADY_FIELD, NR_SEVERITY_NOTE, "", NAN, NAN, 3, 0, 0);
}

/* Of the last ten minutes, where there are ten readings. */
static double water_at_the_end(const desk *d)
{
    static double v[ROWS];
    size_t n = 0;
    for (size_t i = 0; i < ROWS; i++)
        if (d->elapsed_s[i] >= d->elapsed_s[LAST] - 600 && !isnan(good(d, NR_ROLE_STORE, i)))
            v[n++] = good(d, NR_ROLE_STORE, i);
    qsort(v, n, sizeof *v, by_size);
    return n < 10 ? NAN : (v[(n - 1) / 2] + v[n / 2]) / 2;
}

static void cautions(const desk *d, expected *e)
{
    double lo, hi, least, most = NAN;
    if (!between(d, NR_ROLE_STORE, NR_ROLES, 0, &lo, &hi) || d->x.unit_wrong[NR_ROLE_STORE])
        return;
    between(d, NR_ROLE_STORE, NR_ROLE_AIR, 0, &least, &most);
    if (d->run.rig.store.lid == NR_LID_NO && most > 5)
        expect(e, NR_FIND_NO_LID, NR_SEVERITY_NOTE, "store", NAN, NAN, 0, 0, 0);
    if (hi >= 48.8) /* the usual limit at a tap; of hotter than the table's last row no time */
        expect(e, NR_FIND_SCALD, NR_SEVERITY_NOTE, "store", NAN, NAN, hi,
               hi > nr_scald_table[NR_SCALD_ROWS - 1].degC ? 0 : nr_scald_seconds(hi), 0);
    double end = water_at_the_end(d);
    if (end >= 25 && end <= 45)
        expect(e, NR_FIND_LUKEWARM, NR_SEVERITY_NOTE, "store", NAN, NAN, 20, 45, 0);
}

START_TEST(conditions_in_full)
{
    static const nr_finding_code codes[] = {
        NR_FIND_SMALL_SPREAD, NR_FIND_AIR_SWINGS, NR_FIND_STEADY_STRICT, NR_FIND_STEADY_FIELD,
        NR_FIND_NO_LID,       NR_FIND_SCALD,      NR_FIND_LUKEWARM};
    int of[NR_FIND_COUNT] = {0};
    drawn_state = 21;
    for (int n = 0; n < 150; n++) {
        desk *d = some_hours();
        expected e = {0};
        conditions(d, &e);
        cautions(d, &e);
        nr_inspect_conditions(&d->x);
        size_t asked = d->out.findings; /* then what nobody stated, which another test holds */
        nr_inspect_cautions(&d->x);
        size_t kept = asked;
        for (size_t i = asked; i < d->out.findings; i++)
            if (d->out.finding[i].code != NR_FIND_NOT_STATED)
                d->out.finding[kept++] = d->out.finding[i];
        d->out.findings = kept;
        same_findings(n, &d->out, &e);
        for (size_t i = 0; i < e.count; i++)
            of[e.one[i].code]++;
        free(d);
    }
    for (size_t i = 0; i < sizeof codes / sizeof *codes; i++)
        ck_assert_msg(of[codes[i]] >= 10, "%s %d times", nr_finding_name(codes[i]), of[codes[i]]);
}
END_TEST

/* ---- the pump ---- */

START_TEST(stops_in_full)
{
    drawn_state = 2;
    for (int n = 0; n < 300; n++) {
        desk *d = sound();
        expected e = {0};
        size_t longest = 0, dead_from = 0, dead_to = 0;
        bool dead = d->q.flow_dead = chance(0.2), dark = d->x.dark = chance(0.2);
        static const nr_pump_source sources[] = {NR_PUMP_FROM_NOTHING, NR_PUMP_FROM_FLOW,
                                                 NR_PUMP_FROM_SUPPLY, NR_PUMP_FROM_NOTES};
        int from = (int)from_to(0, 4);
        d->q.pump_source = sources[from];
        double on = d->q.pump_on_s = chance(0.3) ? 0 : from_to(0, 130);
        double off = d->q.pump_off_s = chance(0.2) ? from_to(1, 100) : from_to(300, 1500);
        size_t stops = d->q.pump_stops = (size_t)from_to(0, 6);
        for (size_t k = 0; k < stops; k++) {
            d->q.pump_stop[k] = (nr_quality_event){100 * (double)k, from_to(10, 50)};
            if (d->q.pump_stop[k].length_s > d->q.pump_stop[longest].length_s)
                longest = k;
        }
        if (dead) {
            dead_from = (size_t)from_to(0, 500);
            dead_to = dead_from + (size_t)from_to(1, 400);
            for (size_t i = dead_from; i <= dead_to; i++)
                d->bad[NR_ROLE_FLOW][i] = NR_BAD_STUCK;
            expect(&e, NR_FIND_FLOW_DEAD, NR_SEVERITY_FAULT, "flow", d->elapsed_s[dead_from],
                   d->elapsed_s[dead_to], 0, 0, 0);
        }
        bool hardly = on == 0 || (on < 60 && 10 * on < off);
        const nr_quality_event *stop = &d->q.pump_stop[longest];
        if (from == 0)
            expect(&e, NR_FIND_PUMP_UNKNOWN, NR_SEVERITY_NOTE, "", NAN, NAN, 0, 0, 0);
        else if (hardly && !dark && !dead)
            expect(&e, NR_FIND_PUMP_NEVER_RAN, NR_SEVERITY_DOUBT, "", NAN, NAN, from - 1, 0, 0);
        else if (stops)
            expect(&e, NR_FIND_PUMP_STOPS, NR_SEVERITY_NOTE, "", stop->at_s,
                   stop->at_s + stop->length_s, on / (on + off), (double)stops, stop->length_s);
        nr_inspect_pump(&d->x);
        same_findings(n, &d->out, &e);
        free(d);
    }
}
END_TEST

/* ---- five minutes together ---- */

static double utc_s[ROWS], busy_s[ROWS];

/* An hour with pauses, which do not count as time, in some place of the earth by day. */
static desk *with_pauses(void)
{
    desk *d = sound();
    double away = 0;
    nr_rig *rig = &d->run.rig;
    nr_value *const place[] = {&rig->latitude_deg, &rig->longitude_deg, &rig->collector.tilt_deg,
                               &rig->collector.azimuth_deg, &rig->elevation_m};
    static const double low[] = {-60, -180, 0, 0, 0}, high[] = {60, 180, 90, 360, 3000};
    size_t unknown = chance(0.4) ? (size_t)from_to(0, 4) : 9;
    for (size_t i = 0; i < 5; i++) {
        double value = from_to(low[i], high[i]);
        *place[i] = (nr_value){.given = i != unknown && (i < 4 || chance(0.5)), .value = value};
    }
    double began = from_to(1.7e9, 1.8e9);
    for (size_t i = 0; i < ROWS; i++) {
        away += chance(0.005) ? from_to(20, 700) : 0;
        busy_s[i] = 3.6 * (double)i;
        d->elapsed_s[i] = 12 + busy_s[i] + away;
        utc_s[i] = began + d->elapsed_s[i];
        d->value[NR_ROLE_SUN][i] = chance(0.1) ? NAN : from_to(0, 1000);
        d->bad[NR_ROLE_SUN][i] = chance(0.1) ? NR_BAD_SPIKE : chance(0.1) ? NR_BAD_STUCK : 0;
        d->pump[i] = chance(0.4)   ? NR_PUMP_IS_ON
                     : chance(0.5) ? NR_PUMP_IS_OFF
                                   : NR_PUMP_IS_UNKNOWN;
    }
    bool hole = chance(0.5);
    for (size_t i = 100; i < ROWS && hole; i++)
        busy_s[i] += 900; /* two blocks without a row, and one with few */
    d->readings.utc_s = utc_s;
    d->q.busy_s = (nr_values){.plain = busy_s};
    if (chance(0.1))
        d->q.channel[NR_ROLE_SUN].value = NULL;
    return d;
}

/* The middle of it on the record's clock; what is no number, and spikes, left out. */
static void block_is(const desk *d, const nr_sky_block *k, size_t b, bool placed)
{
    double sun = 0, n = 0, on = 0, rows = 0, at = NAN;
    for (size_t i = ROWS; i-- > 0;) {
        if ((size_t)(busy_s[i] / 300) != b)
            continue;
        at = d->elapsed_s[i] - busy_s[i] + 300 * (double)b + 150; /* the first row's, at last */
        rows++;
        on += d->pump[i] == NR_PUMP_IS_ON;
        double v = d->q.channel[NR_ROLE_SUN].value ? d->value[NR_ROLE_SUN][i] : NAN;
        if (!isnan(v) && d->bad[NR_ROLE_SUN][i] != NR_BAD_SPIKE) {
            sun += v;
            n++;
        }
    }
    if (rows == 0) {
        ck_assert(isnan(k->t_s) && isnan(k->sun_W_m2) && k->pump_share == 0 &&
                  isnan(k->zenith_deg));
        return;
    }
    NEAR(k->t_s, at, 1e-6);
    NEAR(k->pump_share, on / rows, 1e-12);
    if (n > 0)
        NEAR(k->sun_W_m2, sun / n, 1e-9);
    else
        ck_assert(isnan(k->sun_W_m2));
    if (!placed) {
        ck_assert(isnan(k->zenith_deg) && isnan(k->incidence_deg) && isnan(k->clear_W_m2) &&
                  isnan(k->beyond_W_m2));
        return;
    }
    const nr_rig *rig = &d->run.rig;
    double utc = utc_s[0] - d->elapsed_s[0] + at;
    nr_place place = {rig->latitude_deg.value, rig->longitude_deg.value,
                      rig->elevation_m.given ? rig->elevation_m.value : 0,
                      rig->collector.tilt_deg.value, rig->collector.azimuth_deg.value};
    nr_clear_instant now = nr_clear_sky_at(utc, place, 2, 0.2); /* the clearest air, ground */
    NEAR(k->zenith_deg, now.zenith_deg, 1e-6);
    NEAR(k->incidence_deg, now.incidence_deg, 1e-6);
    NEAR(k->clear_W_m2, now.plane.total, 1e-3);
    /* Above the air: 1361 W/m2 (G. Kopp and J. L. Lean, Geophys. Res. Lett. 38 (2011) L01706, from
     * memory) at one astronomical unit; the factor is a series, good to 0.1 %. */
    double au = nr_sun_at(utc, place.latitude_deg, place.longitude_deg).distance_au;
    double cosine = cos(now.incidence_deg * 3.14159265358979 / 180);
    NEAR(k->beyond_W_m2, cosine > 0 ? 1361 / (au * au) * cosine : 0, 6);
}

START_TEST(blocks_of_five_minutes)
{
    int by_day = 0;
    for (int n = 0; n < 40; n++) {
        desk *d = with_pauses();
        const nr_rig *rig = &d->run.rig;
        bool placed = rig->latitude_deg.given && rig->longitude_deg.given &&
                      rig->collector.tilt_deg.given && rig->collector.azimuth_deg.given;
        nr_err err;
        ck_assert_int_eq(nr_sky_blocks(&d->x, &err), NR_OK);
        ck_assert(d->x.place_known == placed);
        ck_assert_uint_eq(d->x.blocks, (size_t)(busy_s[LAST] / 300) + 1);
        for (size_t b = 0; b < d->x.blocks; b++) {
            block_is(d, &d->x.block[b], b, placed);
            by_day += d->x.block[b].clear_W_m2 > 100;
        }
        free(d->x.block);
        free(d);
    }
    ck_assert_int_gt(by_day, 40);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {blocks_of_five_minutes, skies_in_full, delays_in_full,
                                  conditions_in_full,     stops_in_full, NULL};
    return run_tests("sky_worked", tests);
}
