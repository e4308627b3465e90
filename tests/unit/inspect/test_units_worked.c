/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Columns that hold another unit than their name says, worked out a second time on drawn records by
 * the rules as the source says them (their limits: common practice, no source). */
#include "tests/unit/inspect/drawn.h"

/* Rows of the first or the last so many seconds, all of them for INFINITY; the wanted rank of their
 * readings (0 to 1; NAN: the median), of good ones alone or of all. */
typedef struct wanted {
    nr_role role;
    double first_s, last_s, rank;
    bool good, pumped;
    size_t least;
} wanted;

static double reading(const desk *d, const wanted *w, size_t i)
{
    double t = d->elapsed_s[i] - d->elapsed_s[0], all = d->elapsed_s[LAST] - d->elapsed_s[0];
    if (t > w->first_s || t < all - w->last_s || (w->pumped && d->pump[i] != NR_PUMP_IS_ON))
        return NAN;
    return w->good ? good(d, w->role, i) : d->value[w->role][i];
}

static double ranked(const desk *d, wanted w)
{
    double sorted[ROWS];
    size_t n = 0;
    for (size_t i = 0; i < ROWS; i++)
        if (!isnan(reading(d, &w, i)))
            sorted[n++] = reading(d, &w, i);
    if (n < w.least)
        return NAN;
    qsort(sorted, n, sizeof *sorted, by_size);
    if (!isnan(w.rank))
        return sorted[(size_t)floor((double)n * w.rank)];
    return n % 2 ? sorted[n / 2] : (sorted[n / 2 - 1] + sorted[n / 2]) / 2;
}

static double begins(const desk *d, nr_role role, double first_s)
{
    return ranked(d, (wanted){role, first_s, INFINITY, NAN, false, false, 5});
}

static double pumped(const desk *d, nr_role role)
{
    return ranked(d, (wanted){role, INFINITY, INFINITY, NAN, true, true, 10});
}

static double celsius(double fahrenheit)
{
    return (fahrenheit - 32) / 1.8;
}

static bool kelvin(double x)
{
    return x > 240 && x < 400;
}

/* ---- a record ---- */

typedef enum scale { CELSIUS, FAHRENHEIT, KELVIN } scale;

static double on_scale(double degC, scale of)
{
    return of == FAHRENHEIT ? degC * 1.8 + 32 : of == KELVIN ? degC + 273.15 : degC;
}

static void column_of(desk *d, nr_role role, double from, double to, scale of)
{
    channel_is(d, role, on_scale(from, of), on_scale(to, of));
    double edge = from_to(230, 250) + (chance(0.5) ? 160 : 0);
    if (chance(0.08)) /* about the ends of what may be kelvin */
        channel_is(d, role, edge, edge + 0.5);
    if (chance(0.3))
        spoil(d, role, from_to(0, 0.3));
    if (chance(0.08)) /* begins late: of the first minutes next to nothing is left */
        hole(d, role, (size_t)from_to(0, 8), 170);
}

static scale perhaps_other(double p)
{
    return chance(p) ? (chance(0.7) ? FAHRENHEIT : KELVIN) : CELSIUS;
}

/* Water near the air or apart from it, all in one scale or one of them in another. */
static desk *measured(void)
{
    desk *d = sound();
    double start = from_to(-20, 50), rise = from_to(-1, 20);
    scale all = perhaps_other(0.35), one = perhaps_other(0.6);
    int which = (int)from_to(0, 3);
    double begin_s = from_to(0, 5000);
    for (size_t i = 0; i < ROWS; i++) {
        d->elapsed_s[i] += begin_s;
        d->pump[i] = chance(0.7) ? NR_PUMP_IS_ON : NR_PUMP_IS_OFF;
    }
    column_of(d, NR_ROLE_AIR, start + from_to(-15, 15), start + from_to(-15, 15),
              chance(0.2) ? perhaps_other(1) : all);
    const nr_role water[] = {NR_ROLE_STORE, NR_ROLE_INLET, NR_ROLE_OUTLET};
    for (int k = 0; k < 3; k++) {
        double off = k == 2 ? from_to(0, 20) : from_to(-5, 5);
        column_of(d, water[k], start + off, start + off + rise, k == which ? one : all);
    }
    for (int k = 0; k < 3; k++)
        if (chance(0.15))
            d->q.channel[water[k]] = (nr_quality_channel){.value = NULL};
    return d;
}

static void add(expected *e, nr_finding_code code, nr_role role, double n0, double n1)
{
    expect(e, code, NR_SEVERITY_FAULT, nr_role_name(role), NAN, NAN, n0, n1, 0);
}

/* ---- the rules ---- */

static bool rule_of_air(const desk *d, expected *e)
{
    double x = begins(d, NR_ROLE_AIR, INFINITY);
    bool hot = !kelvin(x) && x > 45 && celsius(x) < 45;
    if (kelvin(x) || hot)
        add(e, NR_FIND_WRONG_UNIT_TEMPERATURE, NR_ROLE_AIR, x, hot);
    return kelvin(x) || hot;
}

static double of_water(const desk *d, nr_role role)
{
    return d->q.channel[role].value ? begins(d, role, 600) : NAN;
}

/* As it stands it agrees with no other probe, in degrees Fahrenheit with one. */
static bool alone(const desk *d, nr_role role, double x)
{
    const nr_role water[] = {NR_ROLE_STORE, NR_ROLE_INLET, NR_ROLE_OUTLET};
    int as_it_is = 0, converted = 0;
    for (int k = 0; k < 3; k++) {
        double other = of_water(d, water[k]), allowed = k == 2 ? 12 : 3;
        if (water[k] == role || isnan(other))
            continue;
        as_it_is += fabs(x - other) < allowed + 8;
        converted += fabs(celsius(x) - other) < allowed;
    }
    return !as_it_is && converted;
}

static bool hot_outlet(const desk *d)
{
    if (!d->q.channel[NR_ROLE_OUTLET].value || !d->q.channel[NR_ROLE_INLET].value ||
        !d->x.heat.loop_known)
        return false;
    double out = pumped(d, NR_ROLE_OUTLET), in = pumped(d, NR_ROLE_INLET), r = d->x.heat.ratio;
    double then = r * (celsius(out) - in) / (out - in);
    return out - in > 16 && (r > exp(0.5) || r < exp(-0.5)) && then > 0.6 && then < 1.6;
}

static bool rule_of_water(const desk *d, bool air_wrong, expected *e)
{
    const nr_role water[] = {NR_ROLE_STORE, NR_ROLE_INLET, NR_ROLE_OUTLET};
    double air = celsius(begins(d, NR_ROLE_AIR, 600));
    bool any = false;
    for (int k = 0; k < 3; k++) {
        double x = of_water(d, water[k]);
        bool with_air = air_wrong && fabs(celsius(x) - air) < 20 && fabs(x - air) > 20;
        bool fahrenheit = !isnan(x) && !kelvin(x) &&
                          (with_air || (k == 2 ? hot_outlet(d) : alone(d, water[k], x)));
        if (kelvin(x) || fahrenheit)
            add(e, NR_FIND_WRONG_UNIT_TEMPERATURE, water[k], x, fahrenheit);
        any = any || kelvin(x) || fahrenheit;
    }
    return any;
}

static void same_and_free(int n, desk *d, const expected *e)
{
    nr_inspect_units(&d->x);
    same_findings(n, &d->out, e);
    for (int role = 0; role < NR_ROLES; role++) {
        bool named = false;
        for (size_t i = 0; i < e->count; i++)
            named = named || !strcmp(e->one[i].channel, nr_role_name((nr_role)role));
        ck_assert_int_eq(d->x.unit_wrong[role], named);
    }
    free(d);
}

START_TEST(temperatures_in_full)
{
    drawn_state = 7711;
    size_t found_in_all = 0;
    for (int n = 0; n < 900; n++) {
        desk *d = measured();
        expected e = {0};
        if (chance(0.5))
            loop_over_store(d, from_to(0.2, 4));
        if (fabs(log(d->x.heat.ratio) + log(3.785)) < 0.3)
            loop_over_store(d, 0.5); /* gallons are for the other test */
        bool air_wrong = rule_of_air(d, &e);
        rule_of_water(d, air_wrong, &e);
        found_in_all += e.count;
        same_and_free(n, d, &e);
    }
    ck_assert_uint_gt(found_in_all, 500);
}
END_TEST

/* An outlet that reads Fahrenheit while loop and container balance only if it does. */
START_TEST(a_hot_outlet_in_full)
{
    drawn_state = 7712;
    size_t found_in_all = 0;
    for (int n = 0; n < 300; n++) {
        desk *d = sound();
        expected e = {0};
        double out = from_to(20, 70);
        for (size_t i = 0; i < ROWS; i++)
            d->pump[i] = chance(0.5) ? NR_PUMP_IS_ON : NR_PUMP_IS_OFF;
        if (chance(0.1)) /* nine or so pumped rows are too few */
            for (size_t i = (size_t)from_to(5, 14); i < ROWS; i++)
                d->pump[i] = NR_PUMP_IS_OFF;
        channel_is(d, NR_ROLE_OUTLET, on_scale(out, FAHRENHEIT), on_scale(out + 9, FAHRENHEIT));
        spoil(d, NR_ROLE_OUTLET, 0.1);
        if (chance(0.9))
            loop_over_store(d, chance(0.5) ? from_to(1.3, 8) : from_to(0.3, 0.62));
        if (fabs(log(d->x.heat.ratio) + log(3.785)) < 0.3)
            loop_over_store(d, 0.5);
        rule_of_water(d, false, &e);
        found_in_all += e.count;
        same_and_free(n, d, &e);
    }
    ck_assert_uint_gt(found_in_all, 40);
}
END_TEST

/* Sun in kW/m2 or as the sensor's raw reading; only where something else says that it shone. */
START_TEST(suns_in_full)
{
    drawn_state = 7713;
    size_t found_in_all = 0;
    for (int n = 0; n < 500; n++) {
        desk *d = sound();
        expected e = {0};
        static const double sizes[] = {0.01, 0.03, 1, 4, 30};
        double size = sizes[(int)from_to(0, 5)], store = from_to(10, 30), rise = from_to(0, 2);
        channel_is(d, NR_ROLE_SUN, 0, size * from_to(0.5, 1.5));
        spoil(d, NR_ROLE_SUN, 0.1);
        if (chance(0.1)) /* ten readings are enough */
            hole(d, NR_ROLE_SUN, (size_t)from_to(5, 15), ROWS);
        channel_is(d, NR_ROLE_STORE, store, store + rise);
        channel_is(d, NR_ROLE_INLET, store, store + rise);
        channel_is(d, NR_ROLE_OUTLET, store, store + rise);
        d->x.place_known = chance(0.4);
        double zenith = from_to(73, 80);
        for (size_t b = 0; b < BLOCKS; b++)
            d->block[b].zenith_deg = zenith + from_to(0, 3);
        bool shone = false;
        for (size_t b = 0; b < BLOCKS; b++)
            shone = shone || (d->x.place_known && d->block[b].zenith_deg < 75);
        double first = begins(d, NR_ROLE_STORE, 300),
               last = ranked(d, (wanted){NR_ROLE_STORE, INFINITY, 300, NAN, true, false, 10});
        double high = ranked(d, (wanted){NR_ROLE_SUN, INFINITY, INFINITY, 0.95, false, false, 10});
        if (high > 0.02 && high < 20 && (shone || last - first > 1))
            add(&e, NR_FIND_WRONG_UNIT_SUN, NR_ROLE_SUN, high, high > 2);
        found_in_all += e.count;
        same_and_free(n, d, &e);
    }
    ck_assert_uint_gt(found_in_all, 100);
}
END_TEST

/* What a meter's number is over that in L/min (litres a gallon: NIST SP 811): L/h, L/s, gal/min,
 * gal/h (or mL/s, which is near it), m3/h, mL/min; and water that would run too fast in its tube.
 */
START_TEST(flows_in_full)
{
    static const double units[] = {60, 1 / 60.0, 1 / 3.785411784, 60 / 3.785411784, 60e-3, 1000};
    drawn_state = 7714;
    size_t kinds[7] = {0};
    for (int n = 0; n < 500; n++) {
        desk *d = sound();
        expected e = {0};
        bool known = chance(0.7);
        double bore_mm = from_to(4, 12), typical = d->q.pump_typical = from_to(1, 60);
        bool given = chance(0.8), metered = chance(0.8);
        d->q.pump_source = metered ? NR_PUMP_FROM_FLOW : NR_PUMP_FROM_SUPPLY;
        d->run.rig.collector.tube_bore_mm =
            (nr_value){.given = given, .value = chance(0.05) ? 0 : bore_mm};
        double ratio = units[(int)from_to(0, 6)] * exp(from_to(-0.35, 0.35));
        if (known)
            loop_over_store(d, ratio);
        int unit = 6;
        for (int k = 0; k < 6; k++)
            unit = fabs(log(ratio) - log(units[k])) < 0.22 ? k : unit;
        /* V = Q / (pi d^2 / 4); L/min and mm */
        double speed = typical / 60 * 1e-3 /
                       (M_PI / 4 * pow(d->run.rig.collector.tube_bore_mm.value * 1e-3, 2));
        kinds[known ? unit : 6]++;
        if (known && unit < 6)
            add(&e, NR_FIND_WRONG_UNIT_FLOW, NR_ROLE_FLOW, ratio, unit);
        if (!known && given && isfinite(speed) && speed > 6 && metered)
            add(&e, NR_FIND_WRONG_UNIT_SPEED, NR_ROLE_FLOW, typical, speed);
        same_and_free(n, d, &e);
    }
    for (int k = 0; k < 7; k++)
        ck_assert_uint_gt(kinds[k], 20);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {temperatures_in_full, a_hot_outlet_in_full, suns_in_full,
                                  flows_in_full, NULL};
    return run_tests("units_worked", tests);
}
