/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/plan/simulate.h"

#include "analyze/forecast/day.h"
#include "analyze/model/loop.h"
#include "analyze/physics/clearsky.h"
#include "analyze/physics/iam.h"
#include "analyze/physics/longwave.h"
#include "analyze/physics/water.h"
#include "analyze/series/series.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define STEP_S 5.0
/* An ordinary collector. Loss: single glass with black paint 6 to 9, bare by the wind, which nobody
 * who tells it wants to be taken for another; the rest usual for a tube on a plate (common
 * practice, no source). */
#define GLAZED_OPTICAL 0.77
#define GLAZED_LOSS 6.5
#define GLAZED_WIND 0.3
#define BARE_OPTICAL 0.90
/* W/(m2 K), and per m/s: 5.7 + 3.8 v with the plate's radiation (Duffie and Beckman, from memory),
 * and 2 through an inch of wool at the back and the edges (common practice, no source). */
#define BARE_LOSS 7.7
#define BARE_WIND 3.8
#define LOSS2 0.015
#define EXCHANGE 110.0
#define CAPACITY_J_M2K 5000.0
#define COVER_J_M2K 6000.0
#define FLUID_L_M2 0.5
#define STORE_LOSS_W_K 2.0 /* of 20 L with a lid, growing with the surface */
#define NO_LID 2.5         /* times that without one, evaporation included */
#define FLOW_L_MIN_M2 1.1
/* What readings of 5 s do beyond the model: noise that is new each time, and wander of a minute or
 * two from mixing. Sizes as the residuals of simulated tests with another physics show them. */
#define PROBE_NOISE_K 0.02
#define WANDER_K 0.005
#define WANDER_OUTLET_K 0.010
#define WANDER_KEEPS 0.96 /* a step */
#define AIR_NOISE_K 0.05
#define SUN_NOISE_W_M2 2.0
#define FLOW_NOISE_L_MIN 0.02
#define WIND_M_S 1.5
/* Gusts of wind near the ground, among houses and trees: a share of its mean, in eddies of such a
 * length that it carries past. 1/ln(z/z0) is 0.33 to 0.53 two metres above roughness of 0.1 to 0.3
 * m (EN 1991-1-4, terrain; from memory). Of lengths the shear's spectrum has 5.5 z, some 10 m
 * (Kaimal 1972, from memory), and the day's rising air has hundreds; in between: common practice.
 */
#define GUST_SHARE 0.4
#define EDDY_M 40.0
#define START_UTC_S 1782036000.0 /* of a steady test: any day does */

typedef struct arrays {
    size_t n;
    double *sun, *air, *flow, *wind, *oblique, *iam, *sky, *store, *inlet, *outlet;
    double *memory;
} arrays;

static bool bare(const nr_rig *rig)
{
    return nr_glazing_covers(rig->collector.glazing) == 0;
}

static double usual_store_loss(const nr_rig *rig)
{
    double kg = rig->store.water_kg.value;
    return STORE_LOSS_W_K * pow(kg / 20, 2.0 / 3) * (rig->store.lid == NR_LID_NO ? NO_LID : 1);
}

static void fill(const nr_rig *rig, nr_plan_test *t)
{
    if (isnan(t->optical))
        t->optical = bare(rig) ? BARE_OPTICAL : GLAZED_OPTICAL;
    if (isnan(t->store_loss_W_K))
        t->store_loss_W_K =
            rig->store.loss_W_K.given ? rig->store.loss_W_K.value : usual_store_loss(rig);
    if (isnan(t->flow_L_min))
        t->flow_L_min = FLOW_L_MIN_M2 * rig->collector.gross_area_m2.value;
    if (isnan(t->day.wind_m_s))
        t->day.wind_m_s = WIND_M_S;
    if (isnan(t->loss_W_m2K))
        t->loss_W_m2K = bare(rig) ? BARE_LOSS + BARE_WIND * t->day.wind_m_s : GLAZED_LOSS;
    if (isnan(t->day.from_degC))
        t->day.from_degC = fmax(t->day.air_degC - 4, 2);
}

static nr_loop_params device(const nr_rig *rig, const nr_plan_test *t)
{
    double area = rig->collector.gross_area_m2.value, kg = rig->store.water_kg.value;
    double cp = nr_water_cp_J_kgK(t->day.from_degC);
    double fluid =
        rig->collector.fluid_kg.given ? rig->collector.fluid_kg.value : FLUID_L_M2 * area;
    double dry = rig->collector.heat_capacity_J_K.given
                     ? rig->collector.heat_capacity_J_K.value / area
                     : CAPACITY_J_M2K;
    bool b = bare(rig);
    return (nr_loop_params){
        .area_m2 = area,
        .optical = t->optical,
        .loss_W_m2K = t->loss_W_m2K,
        .loss2_W_m2K2 = LOSS2,
        .wind_Ws_m3K = b ? BARE_WIND : GLAZED_WIND,
        .exchange_W_m2K = EXCHANGE,
        .capacity_J_m2K = dry,
        .cover_J_m2K = b ? 0 : COVER_J_M2K,
        .fluid_J_K = fluid * cp,
        .store_J_K = kg * cp + (rig->store.dry_heat_capacity_J_K.given
                                    ? rig->store.dry_heat_capacity_J_K.value
                                    : 0.01 * kg * cp),
        .sky = b ? NR_BARE_SKY_SHARE : 0,
        .store_loss_W_K = t->store_loss_W_K,
        .flow_factor = 1,
        .b0 = rig->collector.iam_b0.given
                  ? rig->collector.iam_b0.value
                  : nr_iam_default_b0(nr_glazing_covers(rig->collector.glazing)),
        .t_store_degC = t->day.from_degC,
        .t_collector_degC = t->day.air_degC + 5,
    };
}

static bool allocate(arrays *a, double duration_s)
{
    a->n = (size_t)ceil(duration_s / STEP_S);
    double **all[] = {&a->sun, &a->air, &a->flow,  &a->wind,  &a->oblique,
                      &a->iam, &a->sky, &a->store, &a->inlet, &a->outlet};
    size_t count = sizeof all / sizeof *all;
    a->memory = calloc(count * a->n, sizeof(double));
    for (size_t i = 0; a->memory && i < count; i++)
        *all[i] = a->memory + i * a->n;
    return a->memory != NULL;
}

static double begins_utc_s(const nr_plan_test *t)
{
    return t->day.clear_sky ? nr_day_utc_s(&t->day, t->day.start_s) : START_UTC_S;
}

/* The sky is asked this often (a minute) and joined by straight lines: a cosine over a minute of
 * the sun's way is straight within three millionths. */
#define SKY_EVERY 12

static void sky(const nr_day *d, double utc_s, double *sun, double *oblique)
{
    nr_place place = {d->latitude_deg, d->longitude_deg, d->elevation_m, d->tilt_deg,
                      d->azimuth_deg};
    nr_clear_instant now = nr_clear_sky_at(utc_s, place, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT);
    double cosine = cos(now.incidence_deg * M_PI / 180);
    *sun = fmax(now.plane.total, 0);
    *oblique = cosine > 0.1 ? 1 / cosine - 1 : 9;
}

/* From step k on; the step at which the next begins. */
static size_t sky_between(const nr_plan_test *t, size_t k, arrays *a)
{
    double sun[2], oblique[2], at = begins_utc_s(t) + STEP_S * ((double)k + 0.5);
    sky(&t->day, at, &sun[0], &oblique[0]);
    sky(&t->day, at + STEP_S * SKY_EVERY, &sun[1], &oblique[1]);
    for (size_t i = 0; i < SKY_EVERY && k + i < a->n; i++) {
        double way = (double)i / SKY_EVERY;
        a->sun[k + i] = sun[0] + way * (sun[1] - sun[0]);
        a->oblique[k + i] = oblique[0] + way * (oblique[1] - oblique[0]);
    }
    return k + SKY_EVERY;
}

/* A bare absorber sees a cold sky, here as under any sky that nobody measures: the fit supposes it,
 * and data without it contradict it. */
static void weather(const nr_rig *rig, const nr_plan_test *t, gsl_rng *rng, arrays *a)
{
    const nr_value *tilt = &rig->collector.tilt_deg;
    double longwave = nr_net_longwave_W_m2(t->day.air_degC, NR_USUAL_SKY_EMISSIVITY,
                                           tilt->given ? tilt->value : NR_USUAL_TILT_DEG);
    double cp = nr_water_cp_J_kgK(t->day.from_degC), gust = 0;
    double sd = GUST_SHARE * t->day.wind_m_s, keeps = exp(-STEP_S * t->day.wind_m_s / EDDY_M);
    double kg_s = t->flow_L_min / 60000 * nr_water_density_kg_m3(t->day.from_degC);
    for (size_t k = 0; t->day.clear_sky && k < a->n;)
        k = sky_between(t, k, a);
    for (size_t k = 0; k < a->n; k++) {
        if (!t->day.clear_sky)
            a->sun[k] = t->day.sun_W_m2;
        gust = keeps * gust + gsl_ran_gaussian(rng, sd * sqrt(1 - keeps * keeps));
        a->wind[k] = fmax(gust, 0.05 - t->day.wind_m_s);
        a->air[k] = t->day.air_degC;
        a->sky[k] = longwave;
        a->flow[k] = kg_s * cp;
    }
}

static void wander(double *v, size_t n, double sd, double noise, gsl_rng *rng)
{
    double slow = gsl_ran_gaussian(rng, sd);
    for (size_t k = 0; k < n; k++) {
        slow =
            WANDER_KEEPS * slow + gsl_ran_gaussian(rng, sd * sqrt(1 - WANDER_KEEPS * WANDER_KEEPS));
        v[k] += slow + gsl_ran_gaussian(rng, noise);
    }
}

/* A row here stands for the mean of the readings that the adapter sends in its 5 s. */
static double reading_noise(const nr_rig *rig)
{
    double every = rig->adapters ? rig->adapter[0].interval_s : 1;
    return PROBE_NOISE_K * sqrt(fmin(every, STEP_S) / STEP_S);
}

static double lag_of(const nr_rig *rig, const char *name)
{
    const nr_rig_channel *c = nr_rig_channel_find(rig, name);
    return c ? c->lag_s : 0;
}

/* By the rig's table of angles, where it has one. */
static const double *modifier(const nr_iam_table *table, arrays *a)
{
    if (table->points == 0)
        return NULL;
    for (size_t k = 0; k < a->n; k++) {
        double incidence_deg = acos(1 / (1 + a->oblique[k])) * 180 / M_PI;
        a->iam[k] = nr_series_modifier_at(table, incidence_deg);
    }
    return a->iam;
}

static void simulate(const nr_rig *rig, const nr_plan_test *t, gsl_rng *rng, arrays *a)
{
    nr_loop_params p = device(rig, t);
    nr_loop_input in = {
        .blocks = a->n,
        .steps_per_block = 1,
        .step_s = STEP_S,
        .sun_W_m2 = a->sun,
        .air_degC = a->air,
        .flow_W_K = a->flow,
        .wind_m_s = a->wind,
        .obliquity = a->oblique,
        .iam = modifier(&rig->collector.iam, a),
        .sky_W_m2 = a->sky,
        .lag_s = {lag_of(rig, "store"), lag_of(rig, "inlet"), lag_of(rig, "outlet")}};
    nr_loop_output out = {.reading = {a->store, a->inlet, a->outlet}};
    nr_loop_run(&in, &p, &out);
    double noise = reading_noise(rig);
    wander(a->store, a->n, WANDER_K, noise, rng);
    wander(a->inlet, a->n, WANDER_K, noise, rng);
    wander(a->outlet, a->n, WANDER_OUTLET_K, noise, rng);
}

/* What a channel shows at a step; NAN for one without a part in the test. */
static double shows(const char *name, const nr_plan_test *t, const arrays *a, size_t k,
                    gsl_rng *rng)
{
    if (!strcmp(name, "store"))
        return a->store[k];
    if (!strcmp(name, "inlet"))
        return a->inlet[k];
    if (!strcmp(name, "outlet"))
        return a->outlet[k];
    if (!strcmp(name, "air"))
        return a->air[k] + gsl_ran_gaussian(rng, AIR_NOISE_K);
    if (!strcmp(name, "sun"))
        return a->sun[k] + gsl_ran_gaussian(rng, SUN_NOISE_W_M2);
    if (!strcmp(name, "flow"))
        return t->flow_L_min + gsl_ran_gaussian(rng, FLOW_NOISE_L_MIN);
    if (!strcmp(name, "wind"))
        return t->day.wind_m_s + a->wind[k];
    return NAN;
}

/* The readings a recorder would leave, with the digits that a file keeps. */
static nr_code take_readings(const nr_rig *rig, const nr_plan_test *t, const arrays *a,
                             gsl_rng *rng, nr_readings *r, nr_err *err)
{
    nr_code code = NR_OK;
    for (size_t c = 0; !code && c < rig->channels; c++)
        code = nr_readings_add_column(r, rig->channel[c].name,
                                      nr_rig_column_unit(&rig->channel[c])->name, err);
    if (!code)
        code = nr_readings_reserve(r, a->n, err);
    for (size_t k = 0; !code && k < a->n; k++) {
        double value[NR_RIG_CHANNELS], at = STEP_S * ((double)k + 0.5);
        for (size_t c = 0; c < rig->channels; c++)
            value[c] = nr_readings_as_written(nr_rig_column_unit(&rig->channel[c]),
                                              shows(rig->channel[c].name, t, a, k, rng));
        code = nr_readings_append(r, begins_utc_s(t) + at, at, value, err);
    }
    return code;
}

/* A steady test has no sun angle; a clear-sky one has the angle of the day's site and plane. */
static void place_rig(nr_rig *rig, const nr_day *d)
{
    rig->latitude_deg.given = rig->longitude_deg.given = d->clear_sky;
    rig->latitude_deg.value = d->latitude_deg;
    rig->longitude_deg.value = d->longitude_deg;
    if (!d->clear_sky)
        return;
    rig->collector.tilt_deg.given = rig->collector.azimuth_deg.given = true;
    rig->collector.tilt_deg.value = d->tilt_deg;
    rig->collector.azimuth_deg.value = d->azimuth_deg;
}

static nr_code record(nr_run *run, const nr_plan_test *t, nr_err *err)
{
    static const char no_notes[] = "time_utc,elapsed_s,kind,text\n";
    arrays a = {0};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    nr_code code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    run->readings = nr_readings_new();
    if (rng && run->readings && allocate(&a, t->duration_s)) {
        gsl_rng_set(rng, t->seed);
        weather(&run->rig, t, rng, &a);
        simulate(&run->rig, t, rng, &a);
        code = take_readings(&run->rig, t, &a, rng, run->readings, err);
    }
    if (!code)
        code = nr_notes_parse(no_notes, sizeof no_notes - 1, "planned test", &run->notes, err);
    if (rng)
        gsl_rng_free(rng);
    free(a.memory);
    return code;
}

nr_code nr_plan_simulate(const char *rig_text, const char *path, nr_plan_edit edit,
                         const void *context, nr_plan_test *t, nr_run **out, nr_err *err)
{
    *out = NULL;
    nr_run *run = calloc(1, sizeof *run);
    if (!run)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    nr_code code =
        nr_rig_parse(rig_text, strlen(rig_text), path, NR_RIG_FOR_ANALYSIS, &run->rig, NULL, err);
    if (!code) {
        snprintf(run->folder, sizeof run->folder, "%s", path);
        if (edit)
            edit(&run->rig, context);
        fill(&run->rig, t);
        place_rig(&run->rig, &t->day);
        code = record(run, t, err);
    }
    if (code)
        nr_run_free(run);
    else
        *out = run;
    return code;
}
