/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tests/adversity/record.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <time.h>

#define STEP_S 0.5
#define STATED_DRIFT_K 0.035

static const char *const names[AD_CHANNELS] = {"store", "inlet", "outlet", "air",
                                               "sun",   "flow",  "wind",   "pump"};
static const char *const units[AD_CHANNELS] = {"degC", "degC",  "degC", "degC",
                                               "W_m2", "L_min", "m_s",  "V"};

typedef struct bench {
    const ad_case *c;
    gsl_rng *rng;
    ad_weather weather;
    ad_state heater;
    double felt[AD_CHANNELS], slow[AD_CHANNELS];
    double flow_L_min, volt;
    bool running;
    ad_truth *truth;
    double counted_s, weight;
} bench;

/* ---- the pump ---- */

static void pump_step(bench *b, double sun, double dt)
{
    const ad_case *c = b->c;
    double wanted = c->flow_L_min;
    b->volt = 12;
    if (c->panel_pump) {
        b->running = sun > (b->running ? 200 : 270);
        double share = fmax(sun - 120, 0) / 730;
        wanted = b->running ? c->flow_L_min * fmin(pow(share, 0.55), 1.15) : 0;
        b->volt = fmin(18, 3 + 13 * sqrt(share));
    }
    b->flow_L_min += (wanted - b->flow_L_min) * fmin(dt / 2.5, 1);
    if (b->flow_L_min < 0.02)
        b->flow_L_min = 0;
}

/* ---- one instant ---- */

static double light_through(const ad_case *c, const ad_weather *w, size_t i)
{
    double modified = w->beam_W_m2[i] * ad_modifier(&c->heater, w->cosine[i]) +
                      w->diffuse_W_m2[i] * (1 - c->heater.b0); /* as a beam at 60 degrees */
    return modified / fmax(w->beam_W_m2[i] + w->diffuse_W_m2[i], 1);
}

static ad_input input_at(bench *b, double t)
{
    const ad_case *c = b->c;
    const ad_weather *w = &b->weather;
    size_t i = (size_t)t;
    ad_input in = {.sun_W_m2 = w->beam_W_m2[i] + w->diffuse_W_m2[i],
                   .air_degC = w->air_degC[i],
                   .wind_m_s = w->wind_m_s[i],
                   .sky_degC = w->sky_degC[i],
                   .humidity = c->day.humidity};
    in.absorbed_share = light_through(c, w, i);
    if (c->inlet != AD_FROM_STORE) {
        in.own_inlet = true;
        in.inlet_degC =
            c->inlet == AD_MAINS ? 14 + 0.8 * sin(t / 900) : c->water_degC + 5 * floor(t / 1500);
    }
    return in;
}

static void count(bench *b, const ad_input *in, double dt)
{
    ad_input *m = &b->truth->mean;
    if (b->flow_L_min < 0.1 || in->sun_W_m2 < 300)
        return;
    b->counted_s += dt;
    b->weight += in->sun_W_m2 * dt;
    m->absorbed_share += in->absorbed_share * in->sun_W_m2 * dt;
    m->sun_W_m2 += in->sun_W_m2 * dt;
    m->air_degC += in->air_degC * dt;
    m->wind_m_s += in->wind_m_s * dt;
    m->sky_degC += in->sky_degC * dt;
    m->flow_kg_s += in->flow_kg_s * dt;
}

static void troubles(bench *b, double t, double dt, ad_input *in)
{
    const ad_case *c = b->c;
    if (c->dew > 0)
        in->absorbed_share *= 1 - c->dew * exp(-t / c->dew_s);
    if (t >= c->shadow_from_s && t < c->shadow_to_s)
        in->absorbed_share *= 1 - c->shadow;
    if (t >= c->bubbles_s && c->airlock > 0)
        in->flow_kg_s *= c->airlock;
    if (t < c->draw_s || t >= c->draw_s + c->draw_for_s)
        return;
    double part = c->draw_kg * dt / c->draw_for_s;
    if (part < 0) { /* poured in at the top */
        double *top = &b->heater.layer[AD_LAYERS - 1];
        double there = b->heater.water_kg / AD_LAYERS;
        *top += -part / there * (c->added_degC - *top);
    }
    b->heater.water_kg -= part;
}

static double truth_of(const bench *b, ad_channel k, const ad_input *in, double t)
{
    const ad_case *c = b->c;
    double late = fmax(0, t - c->channel[AD_SUN].late_s);
    switch (k) {
    case AD_STORE:
        return ad_store_at(&c->store, &b->heater, c->store.probe_height);
    case AD_INLET:
        return b->heater.supply;
    case AD_OUTLET:
        return b->heater.fluid[AD_STRIPS - 1];
    case AD_AIR:
        return in->air_degC;
    case AD_SUN:
        return b->weather.sensed_W_m2[(size_t)late];
    case AD_FLOW:
        return b->flow_L_min * (t >= c->bubbles_s ? c->airlock * c->bubbles : 1);
    case AD_WIND:
        return in->wind_m_s;
    default:
        return b->volt;
    }
}

static void feel(bench *b, const ad_input *in, double t, double dt)
{
    for (ad_channel k = 0; k < AD_CHANNELS; k++) {
        const ad_sensor *s = &b->c->channel[k];
        double there = truth_of(b, k, in, t);
        there += s->to_air * (in->air_degC - there) + s->from_sun_K * in->sun_W_m2 / 1000;
        if (t <= 0)
            b->felt[k] = there;
        b->felt[k] += (there - b->felt[k]) * (s->lag_s > 0 ? 1 - exp(-dt / s->lag_s) : 1);
        b->slow[k] +=
            -b->slow[k] * dt / 300 + gsl_ran_gaussian(b->rng, s->slow * sqrt(2 * dt / 300));
    }
}

static double reading(bench *b, ad_channel k, double t)
{
    const ad_sensor *s = &b->c->channel[k];
    double share = t / b->c->day.seconds, value = b->felt[k];
    value *= 1 + s->gain - s->fade * share;
    if (s->cover > 0 && t >= s->cover_from_s && t < s->cover_to_s)
        value *= s->cover;
    value += s->offset + b->slow[k] + s->drift * share + (t >= s->jump_s ? s->jump : 0);
    value += gsl_ran_gaussian(b->rng, s->noise);
    if (s->ceiling > 0)
        value = fmin(value, s->ceiling);
    if (k == AD_STORE && b->c->store_in_degF)
        value = 32 + 1.8 * value;
    if (k >= AD_FLOW)
        value = b->felt[k] > 0.01 ? fmax(value, 0) : 0;
    return s->resolution > 0 ? s->resolution * round(value / s->resolution) : value;
}

/* ---- the files ---- */

static FILE *open_in(const char *folder, const char *name)
{
    char path[600];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return fopen(path, "w");
}

static void stamp(FILE *f, double utc_s)
{
    time_t whole = (time_t)floor(utc_s);
    struct tm tm;
    char text[32];
    gmtime_r(&whole, &tm);
    strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%S", &tm);
    fprintf(f, "%s.%03dZ", text, (int)floor((utc_s - floor(utc_s)) * 1000));
}

static void row(bench *b, FILE *f, double t)
{
    stamp(f, b->c->day.start_utc_s + t);
    fprintf(f, ",%.3f", t);
    for (ad_channel k = 0; k < AD_CHANNELS; k++) {
        ad_channel from = k;
        if (b->c->swapped && (k == AD_INLET || k == AD_OUTLET))
            from = k == AD_INLET ? AD_OUTLET : AD_INLET;
        if (b->c->channel[k].recorded)
            fprintf(f, ",%.4f", reading(b, from, t));
    }
    fputc('\n', f);
}

static void maybe(FILE *f, const char *key, double value)
{
    if (!isnan(value))
        fprintf(f, "%s = %.6g\n", key, value);
}

static void rig_head(const ad_case *c, bool plain, FILE *f)
{
    fprintf(f, "[test]\ntitle = adversity\n[site]\nlatitude_deg = %.4f\nlongitude_deg = %.4f\n",
            c->day.latitude_deg, c->day.longitude_deg);
    fprintf(f, "[collector]\nname = box\ngross_area_m2 = %.5g\nu_gross_area_m2 = %.3g\n",
            c->area_said, 0.005 * c->area_said);
    fprintf(f, "tilt_deg = %.4g\nazimuth_deg = %.4g\nglazing = %s\n", c->stated.tilt_deg,
            c->stated.azimuth_deg, c->heater.glazed ? "single" : "none");
    fprintf(f, "fluid_kg = %.5g\nu_fluid_kg = %.3g\n", c->fluid_said, 0.1 * c->fluid_said);
    fprintf(f, "heat_capacity_J_K = %.5g\nu_heat_capacity_J_K = %.4g\n", c->capacity_said,
            c->u_capacity * c->capacity_said);
    fprintf(f, "iam_b0 = %g\nu_iam_b0 = 0.04\n", c->heater.glazed ? 0.1 : 0);
    if (!plain && c->say_back) { /* plywood: 550 kg/m3 and 1600 J/(kg K) */
        if (c->heater.board_J_m2K < 2000)
            fprintf(f, "back = none\n");
        else
            fprintf(f, "back = plywood %.1f mm\n", c->heater.board_J_m2K / 880);
    }
    if (!plain && (c->say_dew || c->say_dry))
        fprintf(f, "dew = %s\n", c->say_dew ? "yes" : "no");
    fprintf(f, "[store]\nwater_kg = %.5g\nu_water_kg = %.3g\n", c->water_said,
            0.006 * c->water_said);
    if (!plain && c->say_weighed)
        fprintf(f, "water_end_kg = %.5g\nu_water_end_kg = %.3g\n", c->water_said,
                0.006 * c->water_said);
    fprintf(f, "dry_heat_capacity_J_K = 1500\nu_dry_heat_capacity_J_K = 200\n");
    maybe(f, "loss_W_K", c->loss_said);
    maybe(f, "u_loss_W_K", 0.15 * c->loss_said);
    if (c->lid_said)
        fprintf(f, "lid = %s\n", c->lid ? "yes" : "no");
    if (!plain && c->say_pump)
        fprintf(f, "pump_W = %.3g\n", c->store.pump_W);
}

static bool write_rig(const ad_case *c, const char *folder, bool plain)
{
    FILE *f = open_in(folder, "rig.ini");
    if (!f)
        return false;
    rig_head(c, plain, f);
    fprintf(f, "[adapter]\nport = adapter\ninterval_s = %.4g\n", c->interval_s);
    for (ad_channel k = 0; k < AD_CHANNELS; k++) {
        const ad_sensor *s = &c->channel[k];
        if (!s->recorded)
            continue;
        fprintf(f, "[channel %s]\nunit = %s\n", names[k], units[k]);
        if (s->u_offset > 0)
            fprintf(f, "u_offset = %g\n", s->u_offset);
        if (s->u_gain > 0)
            fprintf(f, "u_gain = %g\n", s->u_gain);
        if (!plain && c->say_drift && k <= AD_OUTLET)
            fprintf(f, "u_drift = %g\n", STATED_DRIFT_K);
        if (s->stated_lag_s > 0)
            fprintf(f, "lag_s = %g\n", s->stated_lag_s);
        if (!plain && k == AD_AIR && c->say_shaded)
            fprintf(f, "shaded = yes\n");
        if (!plain && k == AD_SUN && c->say_plane)
            fprintf(f, "plane = %s\n", c->say_flat ? "horizontal" : "collector");
    }
    return fclose(f) == 0;
}

static void header(const ad_case *c, FILE *f)
{
    fprintf(f, "time_utc,elapsed_s");
    for (ad_channel k = 0; k < AD_CHANNELS; k++)
        if (c->channel[k].recorded)
            fprintf(f, ",%s_%s", names[k], units[k]);
    fputc('\n', f);
}

static void step(bench *b, double t)
{
    size_t i = (size_t)t;
    double panel = b->weather.beam_W_m2[i] + b->weather.diffuse_W_m2[i];
    pump_step(b, panel, STEP_S);
    ad_input in = input_at(b, t);
    in.flow_kg_s = b->flow_L_min / 60 * ad_density_kg_L(b->heater.supply);
    count(b, &in, STEP_S);
    troubles(b, t, STEP_S, &in);
    ad_step(&b->c->heater, &b->c->store, &in, STEP_S, &b->heater);
    feel(b, &in, t, STEP_S);
}

static double spacing(bench *b)
{
    const ad_case *c = b->c;
    double uneven = c->spread > 0 ? exp(gsl_ran_gaussian(b->rng, c->spread)) : 1;
    return fmax(STEP_S, c->interval_s * uneven + gsl_ran_flat(b->rng, -1, 1) * c->jitter_s);
}

static void run(bench *b, FILE *f)
{
    const ad_case *c = b->c;
    ad_start(&c->heater, &c->store, c->water_degC, c->day.air_degC, &b->heater);
    for (ad_channel k = 0; k < AD_CHANNELS; k++)
        b->slow[k] = gsl_ran_gaussian(b->rng, c->channel[k].slow);
    double next = STEP_S;
    for (double t = 0; t < c->day.seconds; t += STEP_S) {
        step(b, t);
        if (t + STEP_S >= next) {
            row(b, f, t + STEP_S);
            next += spacing(b);
        }
    }
    ad_input *m = &b->truth->mean;
    m->absorbed_share /= b->weight;
    double *sums[] = {&m->sun_W_m2, &m->air_degC, &m->wind_m_s, &m->sky_degC, &m->flow_kg_s};
    for (size_t i = 0; i < sizeof sums / sizeof *sums; i++)
        *sums[i] /= b->counted_s;
    m->humidity = c->day.humidity;
}

static bool write_notes(const ad_case *c, const char *folder)
{
    FILE *f = open_in(folder, "notes.csv");
    if (!f)
        return false;
    fprintf(f, "time_utc,elapsed_s,kind,text\n");
    stamp(f, c->day.start_utc_s);
    fprintf(f, ",0.000,start,simulated for the adversity benchmark\n");
    return fclose(f) == 0;
}

bool ad_record(const ad_case *c, gsl_rng *rng, const char *folder, bool plain, ad_truth *truth)
{
    bench b = {.c = c, .rng = rng, .truth = truth};
    *truth = (ad_truth){.mean = {0}};
    if (mkdir(folder, 0755) || !write_rig(c, folder, plain) || !write_notes(c, folder))
        return false;
    FILE *f = open_in(folder, "readings.csv");
    if (!f || !ad_weather_draw(&c->day, c->collector, c->sensor, rng, &b.weather)) {
        if (f)
            fclose(f);
        return false;
    }
    header(c, f);
    run(&b, f);
    ad_weather_free(&b.weather);
    return fclose(f) == 0;
}
