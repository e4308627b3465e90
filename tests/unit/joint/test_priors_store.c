/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known beforehand of container, flow and start: for rig files and records drawn at random
 * the rules of analyze/joint/terms_store.c, which are decisions with their reasons there, worked
 * out once more; floors and limits from both sides. */
#include "tests/unit/joint/asked.h"

#define DRAWS 60

/* A relative u, or that of a stated quantity of none. */
static double u_of(double value, double u, double otherwise)
{
    return isnan(u) ? otherwise : u / value;
}

START_TEST(water_and_container)
{
    asked a;
    unsigned long long s = 1;
    asked_open(&a);
    for (int k = 0; k < DRAWS; k++) {
        nr_prior p;
        double kg = 20 + 40 * chance(&s), u = ONE_OF(&s, NAN, 0, 0.2), full, W_K = 1 + chance(&s);
        bool given = half(&s);
        asked_reset(&a);
        a.piece->driven = half(&s);
        a.series->water_kg = kg;
        full = kg * a.series->cp_J_kgK;
        state(&a.rig->store.water_kg, given, kg, u);
        a.joint->options.water_u[0] = ONE_OF(&s, 0, 0.3);
        bool none = a.piece->driven && !given;
        ck_assert(ask(&a, NR_TERM_WATER, &p) == !none);
        if (!none) {
            double relative = u_of(kg, given ? u : NAN, 0.02);
            same_prior("water", &p, 0, fmax(relative, 1e-6), given && !isnan(u));
            same_ask("water", &p, given && !isnan(u) ? NULL : "u_water_kg in [store]");
            NEAR(p.beyond_u, a.joint->options.water_u[0], 0);
            NEAR(p.asked_u, 0.01, 1e-12);
        }
        double dry = ONE_OF(&s, 0, 500, 3000), dry_u = ONE_OF(&s, NAN, 0, 100);
        bool told = half(&s);
        state(&a.rig->store.dry_heat_capacity_J_K, told, dry, dry_u);
        ck_assert(ask(&a, NR_TERM_DRY, &p) == !none);
        NEAR_RELATIVE(p.value, told ? dry : 0.01 * full, 1e-12);
        if (!none)
            same_prior("dry", &p, told ? dry : 0.01 * full,
                       !told ? 0.01 * full : fmax(isnan(dry_u) ? 0.2 * dry : dry_u, 1e-5 * full),
                       told && !isnan(dry_u));
        double loss_u = ONE_OF(&s, NAN, 0, 0.5), usual = 2 * cbrt(kg / 20) * cbrt(kg / 20);
        bool separate = half(&s);
        told = half(&s);
        a.joint->store_loss_separate[0] = separate;
        state(&a.rig->store.loss_W_K, told, W_K, loss_u);
        ck_assert(ask(&a, NR_TERM_STORE_LOSS, &p) == (separate && !none));
        if (separate && !none)
            same_prior("loss", &p, told ? W_K : usual,
                       !told ? usual : fmax(isnan(loss_u) ? 0.2 * W_K : loss_u, 0.01),
                       told && !isnan(loss_u));
        else
            NEAR_RELATIVE(p.value, separate ? usual : 0, 1e-9);
    }
    asked_close(&a);
}
END_TEST

START_TEST(flow_that_is_measured_or_not)
{
    asked a;
    unsigned long long s = 2;
    asked_open(&a);
    double *reading[NR_OUTS];
    memcpy(reading, a.part->reading, sizeof reading);
    for (int k = 0; k < DRAWS; k++) {
        nr_prior p;
        asked_reset(&a);
        nr_rig_channel *c = asked_channel(&a, "flow");
        a.series->flow_known = half(&s);
        c->u_gain = ONE_OF(&s, NAN, 0, 0.02);
        c->u_offset = ONE_OF(&s, NAN, 0, 0.1);
        a.series->flow_guess_L_min = ONE_OF(&s, 0, 1.5);
        for (int out = 0; out < NR_OUTS; out++)
            a.part->reading[out] = half(&s) ? reading[out] : NULL;
        a.joint->options.use_loop = half(&s);
        bool told = a.joint->options.use_loop && a.part->reading[NR_OUT_OUTLET] &&
                    (a.part->reading[NR_OUT_INLET] || a.part->reading[NR_OUT_STORE]);
        ck_assert(ask(&a, NR_TERM_LN_FLOW, &p));
        double u = isnan(c->u_gain) ? 0.03 : c->u_gain;
        if (c->u_offset > 0 && a.series->flow_guess_L_min > 0)
            u = sqrt(u * u + pow(c->u_offset / a.series->flow_guess_L_min, 2));
        if (a.series->flow_known)
            same_prior("metered", &p, 0, fmax(u, 1e-6), !isnan(c->u_gain));
        else
            same_prior("not metered", &p, 0, told ? 1 : 0.35, false);
        ck_assert_int_eq(p.variant, !a.series->flow_known);
        ck_assert_str_eq(p.key, a.series->flow_known ? "" : "build 0 flow");
    }
    asked_close(&a);
}
END_TEST

/* What a pump's flow follows: 2 for volts, 1 for amperes, 1/2 for watts, 0 for the sun. */
START_TEST(flow_that_follows)
{
    static const struct {
        const char *unit;
        double value, u;
    } by[] = {{"V", 2, 0.7}, {"A", 1, 0.4}, {"W", 0.5, 0.2}};
    static double drive[1];
    asked a;
    asked_open(&a);
    nr_rig_channel *c = asked_channel(&a, "flow");
    for (int k = 0; k < 32; k++) {
        nr_prior p;
        asked_reset(&a);
        size_t unit = (size_t)k % 3;
        bool supply = k & 4, has = k & 8;
        a.series->flow_known = k & 16;
        a.series->drive = supply ? NR_ROLE_PUMP : NR_ROLE_SUN;
        a.part->drive = has ? drive : NULL;
        snprintf(c->name, sizeof c->name, "pump");
        c->unit = nr_unit_find(by[unit].unit);
        ck_assert_ptr_nonnull(c->unit);
        bool asks = ask(&a, NR_TERM_FLOW_EXPONENT, &p);
        ck_assert(asks == (has && !a.series->flow_known));
        if (!asks)
            continue;
        same_prior("exponent", &p, supply ? by[unit].value : 0, supply ? by[unit].u : 0.5, false);
        ck_assert_int_eq(p.variant, supply);
        ck_assert_str_eq(p.key, supply ? "build 0 flow with supply" : "build 0 flow with sun");
    }
    asked_close(&a);
}
END_TEST

START_TEST(how_it_began)
{
    enum { BLOCKS = 6 };
    static double store[BLOCKS], inlet[BLOCKS];
    asked a;
    unsigned long long s = 3;
    asked_open(&a);
    for (int k = 0; k < DRAWS; k++) {
        nr_prior p;
        double first_store = NAN, first_inlet = NAN;
        asked_reset(&a);
        a.piece->driven = half(&s);
        a.part->blocks = BLOCKS;
        for (int b = BLOCKS; b-- > 0;) {
            store[b] = half(&s) ? NAN : 20 + 10 * chance(&s);
            inlet[b] = half(&s) ? NAN : 20 + 10 * chance(&s);
            first_store = isnan(store[b]) ? first_store : store[b];
            first_inlet = isnan(inlet[b]) ? first_inlet : inlet[b];
        }
        a.part->reading[NR_OUT_STORE] = half(&s) ? store : NULL;
        a.part->reading[NR_OUT_INLET] = half(&s) ? inlet : NULL;
        for (int out = 0; out < NR_OUTS; out++)
            a.piece->fits[out] = half(&s);
        double water = a.piece->driven || !a.part->reading[NR_OUT_STORE] ? NAN : first_store;
        if (isnan(water) && a.part->reading[NR_OUT_INLET])
            water = first_inlet;
        if (isnan(water))
            water = a.series->mean_store_degC;
        bool takes = ask(&a, NR_TERM_T_STORE, &p);
        ck_assert(takes == (!a.piece->driven || a.piece->fits[NR_OUT_STORE]));
        same_prior("water", &p, water, 5, false);
        ck_assert(ask(&a, NR_TERM_T_COLLECTOR, &p));
        same_prior("box", &p, fmax(water, a.part->air_degC[0]) + 5, 20, false);
        bool loop = !a.piece->driven && a.piece->fits[NR_OUT_INLET] && a.piece->fits[NR_OUT_STORE];
        ck_assert(ask(&a, NR_TERM_LAYERS, &p) == loop);
        if (loop)
            same_prior("layers", &p, 0, 0.1, false);
    }
    asked_close(&a);
}
END_TEST

START_TEST(a_pumps_heat)
{
    asked a;
    asked_open(&a);
    for (int k = 0; k < 32; k++) {
        static const double stated_u[] = {NAN, 0.05, 2, 0};
        nr_prior p;
        bool given = k & 1, none = k & 16;
        double u = stated_u[k / 2 % 4], W = none ? 0 : 10;
        asked_reset(&a);
        a.piece->driven = k & 8;
        a.piece->fits[NR_OUT_STORE] = !(k & 4);
        bool balances = !(k & 8) || !(k & 4);
        state(&a.rig->store.pump_W, given, W, u);
        bool takes = ask(&a, NR_TERM_LN_PUMP, &p);
        ck_assert(takes == (balances && !(given && none)));
        same_ask("pump", &p, given ? NULL : "pump_W in [store]");
        ck_assert_int_eq(p.variant, given ? 0 : 2);
        if (!takes)
            ck_assert(p.value == -INFINITY);
        else if (given)
            same_prior("stated", &p, log(10), isnan(u) ? 0.15 : fmax(u / 10, 0.01), !isnan(u));
        else
            same_prior("usual", &p, log(9), 1.3, false);
    }
    asked_close(&a);
}
END_TEST

/* A pump whose power is in the record: its mean while it ran, of good readings, and what of it
 * warms the air is an error of 15 %; a current or a switch is no power. What is stated counts
 * first. */
START_TEST(a_pump_that_was_recorded)
{
    enum { ROWS = 6 };
    static const char *const units[] = {"W", "A", "V"};
    static double W[ROWS] = {0, 12, -3, 8, 500, NAN};
    static unsigned char bad[ROWS] = {0, 0, 0, 0, 1, 0}, none[ROWS] = {1, 1, 1, 1, 1, 1};
    nr_values values = {.plain = W};
    nr_quality quality = {.rows = ROWS};
    asked a;
    asked_open(&a);
    quality.channel[NR_ROLE_PUMP].value = &values;
    for (int k = 0; k < 12; k++) {
        nr_prior p;
        asked_reset(&a);
        nr_rig_channel *c = asked_channel(&a, "flow");
        bool good = k / 6, given = k / 3 % 2, power = k % 3 == 0;
        snprintf(c->name, sizeof c->name, "pump");
        c->unit = nr_unit_find(units[k % 3]);
        ck_assert_ptr_eq(nr_rig_column_unit(c), c->unit);
        quality.channel[NR_ROLE_PUMP].bad = good ? bad : none;
        a.series->quality = &quality;
        state(&a.rig->store.pump_W, given, 5, NAN);
        ck_assert(ask(&a, NR_TERM_LN_PUMP, &p));
        bool recorded = power && good && !given;
        ck_assert_int_eq(p.variant, given ? 0 : recorded ? 1 : 2);
        same_ask("pump", &p, given || recorded ? NULL : "pump_W in [store]");
        same_prior("pump", &p,
                   log(given      ? 5
                       : recorded ? 10
                                  : 9),
                   given || recorded ? 0.15 : 1.3, false);
    }
    asked_close(&a);
}
END_TEST

/* (pi/4)^(1/3) V^(2/3) of a container as wide as high, in m2 for kg: a hundredth of that. */
static double as_wide_as_high_m2(double kg)
{
    return cbrt(M_PI / 4) * pow(kg / 1000, 2.0 / 3);
}

START_TEST(open_water)
{
    asked a;
    unsigned long long s = 4;
    asked_open(&a);
    for (int k = 0; k < 3 * DRAWS; k++) {
        nr_prior p, damp;
        double area = ONE_OF(&s, 0, 0.2), u = ONE_OF(&s, NAN, 0.02), wind = ONE_OF(&s, NAN, 0, 2);
        bool given = half(&s), separate = chance(&s) < 0.8;
        asked_reset(&a);
        a.piece->driven = half(&s);
        a.piece->fits[NR_OUT_STORE] = chance(&s) < 0.8;
        a.joint->store_loss_separate[0] = separate;
        a.joint->options.open_u_m2[0] = ONE_OF(&s, 0, 0.1);
        a.series->mean_wind_m_s = wind;
        a.series->water_kg = 20 + 40 * chance(&s);
        state(&a.rig->store.opening_m2, given, area, u);
        a.rig->store.lid = (nr_lid)ONE_OF(&s, NR_LID_UNKNOWN, NR_LID_YES, NR_LID_NO);
        bool closed = given ? area == 0 : a.rig->store.lid == NR_LID_YES;
        bool takes = separate && !closed && (!a.piece->driven || a.piece->fits[NR_OUT_STORE]);
        ck_assert(ask(&a, NR_TERM_OPENING, &p) == takes);
        ck_assert(ask(&a, NR_TERM_HUMIDITY, &damp) == takes);
        if (!takes)
            continue;
        double blows = isnan(wind) ? 1 : wind, coefficient = isnan(wind) ? 0.4 : 0.25;
        double share = 0.5 + 0.44 * blows, whole = as_wide_as_high_m2(a.series->water_kg);
        bool perhaps = !given && a.rig->store.lid == NR_LID_UNKNOWN;
        double value = share * (given ? area : perhaps ? whole / 2 : whole);
        double shape = given ? (isnan(u) ? 0.1 : u / area) : 0.5;
        double own = value * hypot(coefficient, shape);
        if (perhaps) /* it is there or not: half, give or take half */
            own = hypot(own, share * whole / 2);
        own = hypot(own, a.joint->options.open_u_m2[0]);
        NEAR_RELATIVE(p.value, value, 2e-3); /* of the area as written in four digits */
        NEAR_RELATIVE(p.u, own, 2e-3);
        ck_assert(!p.stated && p.variant == perhaps);
        same_ask("open", &p, given ? NULL : perhaps ? "lid in [store]" : "opening_m2 in [store]");
    }
    asked_close(&a);
}
END_TEST

START_TEST(water_that_is_gone)
{
    asked a;
    unsigned long long s = 5;
    asked_open(&a);
    for (int k = 0; k < 3 * DRAWS; k++) {
        nr_prior p;
        double kg = 20 + 40 * chance(&s), end = kg * ONE_OF(&s, 0.9, 1, 1.05);
        double u = ONE_OF(&s, NAN, 0, 0.2), u_end = ONE_OF(&s, NAN, 0, 0.1);
        double hours = ONE_OF(&s, 0.2, 1, 6, 30);
        bool given = chance(&s) < 0.8, again = half(&s), lid = half(&s);
        asked_reset(&a);
        a.piece->driven = half(&s);
        a.piece->fits[NR_OUT_STORE] = chance(&s) < 0.8;
        a.series->water_kg = kg;
        a.series->duration_s = hours * 3600;
        a.rig->store.lid = lid ? NR_LID_YES : NR_LID_NO;
        a.joint->options.gone_u[0] = ONE_OF(&s, 0, 0.1);
        state(&a.rig->store.water_kg, given, kg, u);
        state(&a.rig->store.water_end_kg, again, end, u_end);
        bool takes = given && (!a.piece->driven || a.piece->fits[NR_OUT_STORE]);
        ck_assert(ask(&a, NR_TERM_LOST, &p) == takes);
        if (!takes)
            continue;
        same_ask("gone", &p, again ? NULL : "water_end_kg in [store]");
        /* Drips of 0.1 kg an hour, 1 kg/(m2 h) of vapour, and what nobody sees. */
        double gone = hypot(0.1, lid ? 0 : as_wide_as_high_m2(kg)) * hours / kg;
        double open =
            a.piece->driven ? fmin(hypot(gone, 0.025), 0.03) : fmin(hypot(gone, 0.075), 0.08);
        double first = u_of(kg, u, 0.02), last = u_of(end, u_end, 0.02) * end / kg;
        double both = sqrt(fmax(first * first + last * last - 2 * 0.9 * first * last, 0));
        bool stated = again && !isnan(u) && !isnan(u_end);
        NEAR(p.value, again ? fmax(1 - end / kg, 0) : 0, 1e-12);
        NEAR_RELATIVE(p.u, again ? fmax(both, 1e-4) : hypot(open, a.joint->options.gone_u[0]),
                      again ? 1e-9 : 1e-3);
        ck_assert(p.stated == stated);
    }
    asked_close(&a);
}
END_TEST

START_TEST(damp_air)
{
    asked a;
    asked_open(&a);
    for (int k = 0; k < 12; k++) {
        static const double stated_u[] = {NAN, 3, 0.01};
        nr_prior p;
        asked_reset(&a);
        nr_rig_channel *c = asked_channel(&a, "flow"); /* as if it were that channel */
        double u = stated_u[k % 3];
        bool measured = k / 3 % 2, recorded = k / 6;
        a.rig->store.lid = NR_LID_NO;
        a.rig->store.opening_m2.given = false;
        a.part->humidity_measured = measured;
        if (recorded)
            snprintf(c->name, sizeof c->name, "humidity");
        c->u_offset = u;
        ck_assert(ask(&a, NR_TERM_HUMIDITY, &p));
        bool stated = measured && recorded && !isnan(u);
        same_prior("humidity", &p, 0,
                   stated     ? fmax(u / 100, 0.001)
                   : measured ? 0.04
                              : 0.15,
                   stated);
        ck_assert_str_eq(p.key, measured ? "" : "air of run 0");
    }
    asked_close(&a);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {water_and_container,
                                  flow_that_is_measured_or_not,
                                  flow_that_follows,
                                  how_it_began,
                                  a_pumps_heat,
                                  a_pump_that_was_recorded,
                                  open_water,
                                  water_that_is_gone,
                                  damp_air,
                                  NULL};
    return run_tests("priors_store", tests);
}
