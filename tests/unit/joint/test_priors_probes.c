/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known beforehand of sensors: for rig files and records drawn at random the rules of
 * analyze/joint/terms_sensors.c, which are decisions with their reasons there, worked out once
 * more; floors and limits from both sides. */
#include "logger/convert/convert.h"
#include "tests/unit/joint/asked.h"

#define DRAWS 100

static const nr_law as_read = {.name = "as read"}, a_number = {.name = "a number", .stated = true};

static double root_of_squares(double a, double b)
{
    return sqrt(a * a + b * b);
}

/* A sensor in another plane, or of which nobody says the plane, is wrong by 6 % and more. */
START_TEST(the_suns_sensor)
{
    asked a;
    unsigned long long s = 21;
    asked_open(&a);
    for (int k = 0; k < 2 * DRAWS; k++) {
        nr_prior p;
        asked_reset(&a);
        nr_rig_channel *c = asked_channel(&a, "sun");
        c->plane = (nr_plane)ONE_OF(&s, NR_PLANE_UNKNOWN, NR_PLANE_COLLECTOR, NR_PLANE_HORIZONTAL,
                                    NR_PLANE_BROUGHT);
        c->law = half(&s) ? &as_read : &a_number;
        c->u_gain = ONE_OF(&s, NAN, 0, 0.03, 0.2);
        c->u_offset = ONE_OF(&s, NAN, 0, 5);
        a.series->sun_modelled = chance(&s) < 0.2;
        a.series->other_plane_gain = ONE_OF(&s, 0, 0.059, 0.15);
        a.series->unseen_gain = ONE_OF(&s, NAN, 0, 0.02);
        ck_assert(ask(&a, NR_TERM_SUN_GAIN, &p));
        if (a.series->sun_modelled) {
            same_prior("sky model", &p, 0, 0.1, true);
            ck_assert_int_eq(p.variant, 1);
            ck_assert(!strncmp(p.key, "sky of day ", 11));
        } else {
            bool told = !isnan(c->u_gain);
            double own = told ? fmax(c->u_gain, 1e-6) : 0.05, u = own;
            bool elsewhere = c->law != &a_number && c->plane != NR_PLANE_COLLECTOR &&
                             c->plane != NR_PLANE_BROUGHT;
            if (elsewhere && c->plane == NR_PLANE_HORIZONTAL)
                u = own > 0.12 ? own : 0.12;
            else if (elsewhere)
                u = root_of_squares(own, fmax(0.06, a.series->other_plane_gain));
            same_prior("gain", &p, 0, u, told);
            NEAR_RELATIVE(p.asked_u, own, 1e-9);
            ck_assert_int_eq(p.variant, u > own ? 2 : 0);
            bool open = elsewhere && c->plane == NR_PLANE_UNKNOWN;
            same_ask("gain", &p, open ? "plane in [channel sun]" : NULL);
        }
        bool offset = !a.series->sun_modelled && c->u_offset > 0;
        ck_assert(ask(&a, NR_TERM_SUN_OFFSET, &p) == offset);
        if (offset)
            same_prior("offset", &p, 0, c->u_offset, true);
        a.piece->driven = half(&s);
        a.piece->fits[NR_OUT_OUTLET] = half(&s);
        a.piece->used_count[NR_OUT_OUTLET] = half(&s) ? 19 : 20;
        bool shows = a.piece->driven && a.piece->fits[NR_OUT_OUTLET] &&
                     a.piece->used_count[NR_OUT_OUTLET] == 20;
        bool unseen = a.series->unseen_gain > 0 && !shows;
        ck_assert(ask(&a, NR_TERM_SUN_UNSEEN, &p) == unseen);
        if (unseen)
            same_prior("unseen", &p, 0, a.series->unseen_gain, true);
    }
    asked_close(&a);
}
END_TEST

/* By the hour, a quarter of one at least. */
START_TEST(the_suns_fade)
{
    asked a;
    unsigned long long s = 22;
    asked_open(&a);
    for (int k = 0; k < DRAWS; k++) {
        nr_prior p;
        asked_reset(&a);
        nr_rig_channel *c = asked_channel(&a, "sun");
        c->plane = (nr_plane)ONE_OF(&s, NR_PLANE_UNKNOWN, NR_PLANE_COLLECTOR, NR_PLANE_HORIZONTAL);
        c->law = half(&s) ? &as_read : &a_number;
        double hours = ONE_OF(&s, 0.1, 0.25, 2, 4, 60);
        a.series->sun_modelled = chance(&s) < 0.2;
        a.series->other_plane_drift = ONE_OF(&s, 0, 0.04, 0.4);
        a.part->steps = 360;
        a.series->step_s = hours * 10;
        bool takes = ask(&a, NR_TERM_SUN_FADE, &p);
        ck_assert(takes == !a.series->sun_modelled);
        if (!takes)
            continue;
        bool told = c->plane == NR_PLANE_COLLECTOR, number = c->law == &a_number;
        double u = fmin((told ? 0.003 : 0.05) * fmax(hours, 0.25), 0.15);
        if (!told && !number)
            u = root_of_squares(u, fmin(a.series->other_plane_drift, 0.15));
        same_prior("fade", &p, 0, u, false);
        ck_assert_int_eq(p.variant, told ? 0 : number ? 2 : 1);
        bool open = !told && !number && c->plane == NR_PLANE_UNKNOWN;
        same_ask("fade", &p, open ? "plane in [channel sun]" : NULL);
        ck_assert(!strncmp(p.key, " at ", 4)); /* behind what is preset */
    }
    asked_close(&a);
}
END_TEST

START_TEST(the_airs_probe)
{
    asked a;
    unsigned long long s = 23;
    asked_open(&a);
    for (int k = 0; k < DRAWS; k++) {
        nr_prior p;
        asked_reset(&a);
        nr_rig_channel *c = asked_channel(&a, "air");
        c->u_offset = ONE_OF(&s, NAN, 0, 0.2);
        c->u_gain = ONE_OF(&s, NAN, 0, 0.01);
        c->shaded = (nr_shaded)ONE_OF(&s, NR_SHADED_UNKNOWN, NR_SHADED_NO, NR_SHADED_YES);
        a.series->mean_air_degC = ONE_OF(&s, NAN, -5, 30);
        a.series->air_sun_K = ONE_OF(&s, NAN, -1, 1.5);
        a.series->air_sun_u_K = isnan(a.series->air_sun_K) ? INFINITY : 0.5 + chance(&s);
        ck_assert(ask(&a, NR_TERM_AIR_OFFSET, &p));
        double own = isnan(c->u_offset) ? 0.5 : c->u_offset;
        double mean = isnan(a.series->mean_air_degC) ? 20 : a.series->mean_air_degC;
        double gain = c->u_gain > 0 ? c->u_gain * fabs(mean) : 0;
        same_prior("air", &p, 0, fmax(root_of_squares(own, gain), 1e-6), !isnan(c->u_offset));
        bool said = c->shaded == NR_SHADED_NO, shaded = c->shaded == NR_SHADED_YES;
        ck_assert(ask(&a, NR_TERM_SUN_ON_AIR, &p) == !shaded);
        same_ask("sun on air", &p, said ? NULL : "shaded in [channel air]");
        /* Two that tell of one thing: means weighted by 1/u^2. */
        double first = said ? 2 : 1.1, u = said ? 1 : 1.2, weight = 1 / (u * u),
               sum = first * weight;
        if (isfinite(a.series->air_sun_u_K)) {
            double more = 1 / (a.series->air_sun_u_K * a.series->air_sun_u_K);
            sum += more * fmax(a.series->air_sun_K, 0);
            weight += more;
        }
        same_prior("sun on air", &p, shaded ? 0 : sum / weight, 1 / sqrt(weight), false);
    }
    asked_close(&a);
}
END_TEST

START_TEST(the_sky)
{
    static double sky[1];
    static const double otherwise[] = {22, 10, 18, 25}; /* 4 K of 5.5 W/(m2 K) */
    static const nr_sky_source sources[] = {NR_SKY_MEASURED_DEGC, NR_SKY_MEASURED_W_M2,
                                            NR_SKY_FROM_HUMIDITY, NR_SKY_FROM_AIR};
    asked a;
    asked_open(&a);
    for (int k = 0; k < 24; k++) {
        static const double stated_u[] = {NAN, 3, 0};
        nr_prior p;
        asked_reset(&a);
        nr_rig_channel *c = asked_channel(&a, "flow"); /* as if it were that channel */
        double u = stated_u[k % 3];
        int source = k / 3 % 4;
        snprintf(c->name, sizeof c->name, "sky");
        c->u_offset = u;
        a.part->sky_W_m2 = k < 12 ? sky : NULL;
        a.series->sky_source = sources[source];
        ck_assert(ask(&a, NR_TERM_SKY_OFFSET, &p) == (k < 12));
        if (k >= 12)
            continue;
        bool stated = source < 2 && !isnan(u);
        double is = source == 0 ? 5.5 * u : u;
        same_prior("sky", &p, 0, stated ? fmax(is, 1e-3) : otherwise[source], stated);
        ck_assert_str_eq(p.key, source == 2   ? "sky over run 0 by humidity"
                                : source == 3 ? "sky over run 0 by air"
                                              : "");
    }
    asked_close(&a);
}
END_TEST

static const struct probe {
    const char *name, *ask;
    nr_term offset, gain, drift;
} probes[NR_OUTS] = {{"store", "u_drift in [channel store]", NR_TERM_OFFSET_STORE,
                      NR_TERM_GAIN_STORE, NR_TERM_DRIFT_STORE},
                     {"inlet", "u_drift in [channel inlet]", NR_TERM_OFFSET_INLET,
                      NR_TERM_GAIN_INLET, NR_TERM_DRIFT_INLET},
                     {"outlet", "u_drift in [channel outlet]", NR_TERM_OFFSET_OUTLET,
                      NR_TERM_GAIN_OUTLET, NR_TERM_DRIFT_OUTLET}};

static void check_drift(const asked *a, int out, const nr_rig_channel *c)
{
    nr_prior p;
    bool told = !isnan(c->u_drift), takes = ask(a, probes[out].drift, &p);
    double u = told ? c->u_drift : 0.91;
    if (out == NR_OUT_STORE) { /* less than a twentieth of a kelvin is nothing beside its rise */
        ck_assert(takes == (u >= 0.05 && a->piece->fits[out]));
    } else {
        double known = isnan(c->u_offset) || c->u_offset == 0 ? 1 : fmax(c->u_offset, 0.035);
        u = told ? fmax(c->u_drift, 1e-4) : fmin(0.115, known);
        ck_assert(takes == a->piece->driven);
    }
    same_prior(probes[out].name, &p, 0, u, told);
    same_ask(probes[out].name, &p, told ? NULL : probes[out].ask);
    NEAR(p.asked_u, 0.035, 1e-12);
}

START_TEST(probes_in_the_water)
{
    asked a;
    unsigned long long s = 24;
    asked_open(&a);
    for (int k = 0; k < 3 * DRAWS; k++) {
        nr_prior p;
        asked_reset(&a);
        int out = k % NR_OUTS;
        nr_rig_channel *c = asked_channel(&a, probes[out].name);
        c->u_offset = ONE_OF(&s, NAN, 0, 0.01, 0.05, 0.4);
        c->u_gain = ONE_OF(&s, NAN, 0, 0.01);
        c->u_drift = ONE_OF(&s, NAN, 0, 0.049, 0.05, 0.3);
        a.piece->driven = half(&s);
        for (int other = 0; other < NR_OUTS; other++)
            a.piece->fits[other] = half(&s);
        bool acts = a.piece->fits[out] || (a.piece->driven && out != NR_OUT_STORE);
        ck_assert(ask(&a, probes[out].offset, &p) == acts);
        if (acts)
            same_prior("offset", &p, 0, isnan(c->u_offset) ? 0.3 : fmax(c->u_offset, 1e-4),
                       !isnan(c->u_offset));
        ck_assert(ask(&a, probes[out].gain, &p) == (acts && c->u_gain > 0));
        if (acts && c->u_gain > 0)
            same_prior("gain", &p, 0, c->u_gain, true);
        check_drift(&a, out, c);
    }
    asked_close(&a);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_suns_sensor, the_suns_fade,       the_airs_probe,
                                  the_sky,         probes_in_the_water, NULL};
    return run_tests("priors_probes", tests);
}
