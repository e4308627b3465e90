/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known of the sensors before the fit, where nobody stated it and where somebody did: each
 * figure by hand from what the sources say of it (analyze/joint/terms_sensors.c; theirs: common
 * practice, no source, but the long-wave exchange, 5.5 W/(m2 K), and what a record tells by itself,
 * which is set here). */
#include "analyze/joint/evaluate.h"
#include "analyze/joint/inside.h"
#include "tests/unit/quality/records.h"

#define HOURS 2
static nr_virtual_run *run;
static nr_series *series;
static nr_joint *joint;
static nr_err err;

static void tear_down(void)
{
    nr_joint_free(joint);
    nr_series_free(series);
    nr_virtual_run_free(run);
    joint = NULL;
    series = NULL;
    run = NULL;
}

static nr_rig_channel *channel(const char *name)
{
    for (size_t i = 0; i < run->run.rig.channels; i++)
        if (strcmp(run->run.rig.channel[i].name, name) == 0)
            return &run->run.rig.channel[i];
    ck_abort_msg("no channel %s", name);
    return NULL;
}

/* Two hours, nothing said of any sensor but that the sun's lies as the collector does.
 */
enum { LOOP, BARE, STORE };
static void begin(int of)
{
    nr_virtual_params p = of == BARE ? nr_virtual_bare() : nr_virtual_glazed();
    if (of == STORE)
        p.channels = NR_VC_STORE_SET;
    p.duration_s = HOURS * 3600;
    p.interval_s = 30;
    run = simulate(&p);
    for (size_t i = 0; i < run->run.rig.channels; i++) {
        nr_rig_channel *c = &run->run.rig.channel[i];
        c->u_offset = c->u_gain = c->u_drift = NAN;
        c->shaded = NR_SHADED_UNKNOWN;
    }
    channel("sun")->plane = NR_PLANE_COLLECTOR;
    nr_code code = nr_series_build(&run->run, &series, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    series->other_plane_gain = series->other_plane_drift = 0;
    series->air_sun_K = series->air_sun_u_K = NAN;
}

static void set_up_joint(void)
{
    static const size_t build_of[1] = {0};
    nr_joint_options options = {.use_store = true, .use_loop = true};
    const nr_series *one = series;
    nr_code code = nr_joint_setup(&one, build_of, 1, 1, &options, &joint, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
}

/* --- what is changed ------------------------------------------------------------------------ */

static void as_it_is(double v)
{
    (void)v;
}
static void sun_lies(double plane)
{
    channel("sun")->plane = (nr_plane)(int)plane;
    channel("sun")->u_gain = 0.03;
    series->other_plane_gain = 0.02;
}
static void sun_lies_of_no_gain(double plane)
{
    channel("sun")->plane = (nr_plane)(int)plane;
}
static void sun_lies_somewhere(double gain)
{
    channel("sun")->plane = NR_PLANE_UNKNOWN;
    channel("sun")->u_gain = 0.03;
    series->other_plane_gain = gain;
}
static void sun_is_good(double u)
{
    channel("sun")->plane = NR_PLANE_HORIZONTAL;
    channel("sun")->u_gain = u;
}
static void sun_moves(double drift)
{
    channel("sun")->plane = NR_PLANE_UNKNOWN;
    series->other_plane_drift = drift;
}
static void steps_of(double s)
{
    series->step_s = s;
}
static void steps_of_somewhere(double s)
{
    channel("sun")->plane = NR_PLANE_UNKNOWN;
    series->step_s = s;
}
static void unseen(double u)
{
    series->unseen_gain = u;
}
static void air_errs(double u)
{
    channel("air")->u_offset = 0.2;
    channel("air")->u_gain = u;
    series->mean_air_degC = 25;
}
static void air_errs_unknown(double u)
{
    air_errs(u);
    series->mean_air_degC = NAN;
}
static void sky_by(double source)
{
    series->sky_source = (nr_sky_source)(int)source;
}
static nr_rig_channel *with_sky(double u)
{
    nr_rig *rig = &run->run.rig;
    nr_rig_channel *c = &rig->channel[rig->channels++];
    *c = *channel("air");
    snprintf(c->name, sizeof c->name, "sky");
    c->u_offset = u;
    return c;
}
static void sky_spot_of(double u)
{
    with_sky(u);
    series->sky_source = NR_SKY_MEASURED_DEGC;
}
static void pyrgeometer_of(double u)
{
    with_sky(u);
    series->sky_source = NR_SKY_MEASURED_W_M2;
}
static void air_in_the_sun(double shaded)
{
    channel("air")->shaded = (nr_shaded)(int)shaded;
}
/* Clouds tell of it, to 1 K. */
static void air_seen_in_the_sun(double K)
{
    channel("air")->shaded = NR_SHADED_NO;
    series->air_sun_K = K;
    series->air_sun_u_K = 1;
}
static void air_perhaps_seen(double K)
{
    air_seen_in_the_sun(K);
    channel("air")->shaded = NR_SHADED_UNKNOWN;
    series->air_sun_u_K = 0.6;
}
static void probes_off_by(double u)
{
    channel("store")->u_offset = channel("inlet")->u_offset = channel("outlet")->u_offset = u;
}
static void probes_gain(double u)
{
    channel("store")->u_gain = channel("inlet")->u_gain = channel("outlet")->u_gain = u;
}
static void outlet_drifts(double u)
{
    channel("outlet")->u_drift = u;
}
static void store_drifts(double u)
{
    channel("store")->u_drift = u;
}

/* Two hours of 0.3 % an hour; of 5 % where the plane is not stated, at most 15 %. */
static const struct {
    const char *what;
    int of; /* a record of what */
    nr_term term;
    void (*change)(double);
    double set, value, u; /* u NAN: no such term */
    const char *ask;      /* what the rig file could say instead; NULL: not asked */
} rows[] = {
    {"sun's gain", LOOP, NR_TERM_SUN_GAIN, as_it_is, 0, 0, 0.05, ""},
    {"in the plane", LOOP, NR_TERM_SUN_GAIN, sun_lies, NR_PLANE_COLLECTOR, 0, 0.03, ""},
    {"brought there", LOOP, NR_TERM_SUN_GAIN, sun_lies, NR_PLANE_BROUGHT, 0, 0.03, ""},
    /* hypot(0.03, 0.06), what the hour makes of it being less; more: hypot(0.03, 0.08) */
    {"in some plane", LOOP, NR_TERM_SUN_GAIN, sun_lies, NR_PLANE_UNKNOWN, 0, 0.0670820,
     "plane in [channel sun]"},
    {"by place and hour", LOOP, NR_TERM_SUN_GAIN, sun_lies_somewhere, 0.08, 0, 0.0854400,
     "plane in [channel sun]"},
    {"of no gain", LOOP, NR_TERM_SUN_GAIN, sun_lies_of_no_gain, NR_PLANE_UNKNOWN, 0, 0.0781025,
     "plane in [channel sun]"},
    {"flat", LOOP, NR_TERM_SUN_GAIN, sun_lies, NR_PLANE_HORIZONTAL, 0, 0.12, ""},
    {"flat and bad", LOOP, NR_TERM_SUN_GAIN, sun_is_good, 0.2, 0, 0.2, ""},
    {"fade", LOOP, NR_TERM_SUN_FADE, as_it_is, 0, 0, 0.003 * HOURS, ""},
    {"fade of some plane", LOOP, NR_TERM_SUN_FADE, sun_lies_of_no_gain, NR_PLANE_UNKNOWN, 0,
     0.05 * HOURS, "plane in [channel sun]"},
    {"fade, flat", LOOP, NR_TERM_SUN_FADE, sun_lies_of_no_gain, NR_PLANE_HORIZONTAL, 0,
     0.05 * HOURS, ""},
    {"fade by the hour", LOOP, NR_TERM_SUN_FADE, sun_moves, 0.07, 0, 0.1220656, NULL},
    {"fade, not more", LOOP, NR_TERM_SUN_FADE, sun_moves, 0.4, 0, 0.1802776, NULL},
    {"unseen", STORE, NR_TERM_SUN_UNSEEN, unseen, 0.013, 0, 0.013, ""},
    {"seen by the outlet", LOOP, NR_TERM_SUN_UNSEEN, unseen, 0.013, 0, NAN, NULL},
    {"all seen", STORE, NR_TERM_SUN_UNSEEN, unseen, 0, 0, NAN, NULL},
    {"no offset", LOOP, NR_TERM_SUN_OFFSET, as_it_is, 0, 0, NAN, NULL},
    {"air", LOOP, NR_TERM_AIR_OFFSET, as_it_is, 0, 0, 0.5, ""},
    {"air's gain", LOOP, NR_TERM_AIR_OFFSET, air_errs, 0.01, 0, 0.3201562, ""},
    {"air's gain at 20 degC", LOOP, NR_TERM_AIR_OFFSET, air_errs_unknown, 0.01, 0, 0.2828427, ""},
    {"sky by the air", BARE, NR_TERM_SKY_OFFSET, sky_by, NR_SKY_FROM_AIR, 0, 25, NULL},
    {"sky by humidity", BARE, NR_TERM_SKY_OFFSET, sky_by, NR_SKY_FROM_HUMIDITY, 0, 18, NULL},
    {"sky spot", BARE, NR_TERM_SKY_OFFSET, sky_by, NR_SKY_MEASURED_DEGC, 0, 22, NULL},
    {"pyrgeometer", BARE, NR_TERM_SKY_OFFSET, sky_by, NR_SKY_MEASURED_W_M2, 0, 10, NULL},
    {"sky spot, stated", BARE, NR_TERM_SKY_OFFSET, sky_spot_of, 2, 0, 11, NULL},
    {"pyrgeometer, stated", BARE, NR_TERM_SKY_OFFSET, pyrgeometer_of, 6, 0, 6, NULL},
    {"sky spot of no u", BARE, NR_TERM_SKY_OFFSET, sky_spot_of, NAN, 0, 22, NULL},
    {"air in the sun", LOOP, NR_TERM_SUN_ON_AIR, air_in_the_sun, NR_SHADED_NO, 2, 1, ""},
    {"air perhaps in it", LOOP, NR_TERM_SUN_ON_AIR, air_in_the_sun, NR_SHADED_UNKNOWN, 1.1, 1.2,
     "shaded in [channel air]"},
    {"air in the shade", LOOP, NR_TERM_SUN_ON_AIR, air_in_the_sun, NR_SHADED_YES, 0, NAN, NULL},
    /* 2 +- 1 and 3 +- 1: half way, and a root of two better; colder by it is none */
    {"as clouds say", LOOP, NR_TERM_SUN_ON_AIR, air_seen_in_the_sun, 3, 2.5, 0.7071068, ""},
    {"as clouds say, below", LOOP, NR_TERM_SUN_ON_AIR, air_seen_in_the_sun, -1, 1, 0.7071068, ""},
    /* 1.1 +- 1.2 and 0.6 +- 0.6, which weighs four times as much */
    {"as clouds say, perhaps", LOOP, NR_TERM_SUN_ON_AIR, air_perhaps_seen, 0.6, 0.7, 0.5366563,
     "shaded in [channel air]"},
    {"store", LOOP, NR_TERM_OFFSET_STORE, as_it_is, 0, 0, 0.3, ""},
    {"inlet", LOOP, NR_TERM_OFFSET_INLET, as_it_is, 0, 0, 0.3, ""},
    {"outlet", LOOP, NR_TERM_OFFSET_OUTLET, probes_off_by, 0.11, 0, 0.11, ""},
    {"store, stated", LOOP, NR_TERM_OFFSET_STORE, probes_off_by, 0.12, 0, 0.12, ""},
    {"inlet, stated", LOOP, NR_TERM_OFFSET_INLET, probes_off_by, 0.13, 0, 0.13, ""},
    {"exact", LOOP, NR_TERM_OFFSET_INLET, probes_off_by, 0, 0, 1e-4, ""},
    {"store's gain", LOOP, NR_TERM_GAIN_STORE, probes_gain, 0.002, 0, 0.002, ""},
    {"inlet's gain", LOOP, NR_TERM_GAIN_INLET, probes_gain, 0.003, 0, 0.003, ""},
    {"outlet's gain", LOOP, NR_TERM_GAIN_OUTLET, probes_gain, 0.004, 0, 0.004, ""},
    {"no gain", LOOP, NR_TERM_GAIN_OUTLET, as_it_is, 0, 0, NAN, NULL},
    {"outlet drifts", LOOP, NR_TERM_DRIFT_OUTLET, outlet_drifts, 0.08, 0, 0.08, ""},
    {"outlet may drift", LOOP, NR_TERM_DRIFT_OUTLET, as_it_is, 0, 0, 0.115,
     "u_drift in [channel outlet]"},
    {"outlet does not", LOOP, NR_TERM_DRIFT_OUTLET, outlet_drifts, 0, 0, 1e-4, ""},
    {"store may drift", LOOP, NR_TERM_DRIFT_STORE, as_it_is, 0, 0, 0.91,
     "u_drift in [channel store]"},
    {"store hardly drifts", LOOP, NR_TERM_DRIFT_STORE, store_drifts, 0.049, 0, NAN, NULL},
    {"store drifts", LOOP, NR_TERM_DRIFT_STORE, store_drifts, 0.051, 0, 0.051, ""},
};
enum { ROWS_OF_ALL = sizeof rows / sizeof *rows, EACH = 9 };

static void is_as(int k)
{
    begin(rows[k].of);
    rows[k].change(rows[k].set);
    set_up_joint();
    int i = nr_joint_index(joint, 0, rows[k].term);
    ck_assert_msg((i >= 0) == !isnan(rows[k].u), "%s: term %d", rows[k].what, i);
    if (i >= 0) {
        nr_parameter_view view = nr_joint_parameter(joint, (size_t)i);
        NEAR_AT(rows[k].what, view.prior, rows[k].value, 1e-9);
        NEAR_AT(rows[k].what, view.prior_u, rows[k].u,
                (rows[k].term == NR_TERM_SUN_FADE ? 1e-2 : 1e-5) * rows[k].u); /* whole steps */
        const char *ask = view.ask ? view.ask : "";
        ck_assert_msg(!rows[k].ask || strcmp(ask, rows[k].ask) == 0, "%s: %s", rows[k].what, ask);
    }
    tear_down();
}

static void some(int from)
{
    for (int k = from; k < from + EACH && k < ROWS_OF_ALL; k++)
        is_as(k);
}

/* In parts, so that each can be asked for by itself. */
START_TEST(sun_s_gain)
{
    some(0);
}
END_TEST
START_TEST(sun_s_fade)
{
    some(EACH);
}
END_TEST
START_TEST(air_and_sky)
{
    some(2 * EACH);
}
END_TEST
START_TEST(sun_on_air)
{
    some(3 * EACH);
}
END_TEST
START_TEST(probes)
{
    some(4 * EACH);
}
END_TEST
START_TEST(gains_and_drifts)
{
    some(5 * EACH);
    ck_assert_int_le(ROWS_OF_ALL, 6 * EACH);
}
END_TEST

/* A short record counts as a quarter of an hour; a long one fades by no more than 15 %. */
START_TEST(fade_by_length)
{
    static const struct {
        void (*change)(double);
        double times, u;
    } lengths[] = {{steps_of, 0.01, 0.003 * 0.25},
                   {steps_of, 0.5, 0.003 * 0.5 * HOURS},
                   {steps_of_somewhere, 1.6, 0.15},
                   {steps_of_somewhere, 1.4, 0.05 * 1.4 * HOURS}};
    for (size_t k = 0; k < sizeof lengths / sizeof *lengths; k++) {
        begin(LOOP);
        lengths[k].change(series->step_s * lengths[k].times);
        set_up_joint();
        int i = nr_joint_index(joint, 0, NR_TERM_SUN_FADE);
        ck_assert_int_ge(i, 0);
        double u = nr_joint_parameter(joint, (size_t)i).prior_u;
        NEAR(u, lengths[k].u, 1e-2 * lengths[k].u); /* whole steps */
        tear_down();
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {sun_s_gain, sun_s_fade,       air_and_sky,    sun_on_air,
                                  probes,     gains_and_drifts, fade_by_length, NULL};
    return run_tests("priors_sensors", tests);
}
