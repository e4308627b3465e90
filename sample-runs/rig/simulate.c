/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A test from its first to its last sample. */
#include "sample-runs/rig/instrument.h"
#include "sample-runs/rig/pump.h"
#include "sample-runs/rig/thermal.h"
#include "sample-runs/rig/virtual.h"
#include "sample-runs/rig/weather.h"

#include "logger/base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A fifth of it moves the store by less than 0.3 mK and the outlet by less than 3 mK (30 mK while
 * the first slug goes round); a test holds this. A 90-minute test costs 7 ms. */
#define STEP_S 0.5
#define RUN_NAME "virtual"

typedef struct test {
    const nr_virtual_params *p;
    nr_virtual_run *out;
    nr_weather weather;
    nr_thermal heater;
    nr_thermal_input now;
    nr_turning_pump pump;
    nr_instrument sensor[NR_VC_COUNT];
    double running_s, running_flow_s;
    double incidence_lo, incidence_hi;
} test;

/* -- what is allocated */

static bool allocate_readings(nr_run *run, const nr_virtual_params *p, size_t rows)
{
    const double empty[NR_VC_COUNT] = {0};
    nr_readings *r = run->readings = nr_readings_new();
    nr_code code = r ? nr_readings_reserve(r, rows, NULL) : NR_BAD;
    for (size_t c = 0; code == NR_OK && c < run->rig.channels; c++) {
        const nr_rig_channel *channel = &run->rig.channel[c];
        code = nr_readings_add_column(r, channel->name, channel->unit->name, NULL);
    }
    for (size_t i = 0; code == NR_OK && i < rows; i++) {
        double at_s = (double)i * p->interval_s;
        code = nr_readings_append(r, p->start_utc_s + at_s, at_s, empty, NULL);
    }
    return code == NR_OK;
}

static nr_code allocate_run(const nr_virtual_params *p, nr_virtual_run **out, nr_err *err)
{
    nr_virtual_run *v = calloc(1, sizeof *v);
    char *text = nr_virtual_rig_text(p);
    size_t rows = (size_t)floor(p->duration_s / p->interval_s + 1e-9) + 1;
    *out = v;
    if (!v || !text) {
        free(text);
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory for a run");
    }
    nr_copy(v->run.folder, sizeof v->run.folder, p->build);
    nr_code code = nr_rig_parse(text, strlen(text), RUN_NAME "/" NR_RIG_FILE, NR_RIG_FOR_ANALYSIS,
                                &v->run.rig, NULL, err);
    free(text);
    if (code) {
        return code;
    }
    v->true_store_degC = calloc(rows, sizeof *v->true_store_degC);
    v->run.notes = calloc(1, sizeof *v->run.notes);
    if (!v->true_store_degC || !v->run.notes || !allocate_readings(&v->run, p, rows)) {
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory for %zu rows", rows);
    }
    return NR_OK;
}

void nr_virtual_run_free(nr_virtual_run *v)
{
    if (!v) {
        return;
    }
    nr_readings_free(v->run.readings);
    while (v->run.owns > 0)
        free(v->run.own[--v->run.owns]);
    if (v->run.notes) {
        free(v->run.notes->note);
        free(v->run.notes);
    }
    free(v->true_store_degC);
    free(v);
}

/* -- notes */

static bool add_note(nr_virtual_run *v, double start_utc_s, double elapsed_s, nr_note_kind kind,
                     const char *text)
{
    nr_notes *notes = v->run.notes;
    nr_note *grown = realloc(notes->note, (notes->count + 1) * sizeof *grown);
    if (!grown) {
        return false;
    }
    notes->note = grown;
    nr_note *note = &grown[notes->count++];
    *note = (nr_note){.utc_s = start_utc_s + elapsed_s, .elapsed_s = elapsed_s, .kind = kind};
    nr_copy(note->text, sizeof note->text, text);
    return true;
}

/* What a person at the rig would have stamped: the switching, not the stalls of a panel's pump. */
static nr_code write_notes(const nr_virtual_params *p, nr_virtual_run *v, nr_err *err)
{
    double start = p->start_utc_s, end = v->run.readings->elapsed_s[v->run.readings->rows - 1];
    bool ok = add_note(v, start, 0.0, NR_NOTE_START, "simulated by the virtual rig");
    if (p->pump == NR_PUMP_OFF) {
        ok = ok && add_note(v, start, 0.0, NR_NOTE_PUMP, "off");
    } else {
        if (p->pump_stop_s <= end) {
            ok = ok && add_note(v, start, p->pump_stop_s, NR_NOTE_PUMP, "off");
        }
        if (p->pump_restart_s <= end) {
            ok = ok && add_note(v, start, p->pump_restart_s, NR_NOTE_PUMP, "on");
        }
    }
    ok = ok && add_note(v, start, end, NR_NOTE_STOP, "end of the simulation");
    return ok ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory for notes");
}

/* -- the loop */

static double truth_of(const test *t, nr_virtual_channel channel)
{
    switch (channel) {
    case NR_VC_STORE:
        return nr_thermal_store_mean(&t->heater);
    case NR_VC_INLET:
        return t->heater.supply;
    case NR_VC_OUTLET:
        return t->heater.fluid[NR_THERMAL_SEGMENTS - 1];
    case NR_VC_AIR:
        return t->now.air_degC;
    case NR_VC_SUN:
        return t->now.sun_W_m2;
    case NR_VC_FLOW:
        return t->now.flow_L_min;
    case NR_VC_WIND:
        return t->now.wind_m_s;
    case NR_VC_PUMP:
        return t->pump.supply_V;
    case NR_VC_BOX:
    default:
        return t->heater.absorber[NR_THERMAL_SEGMENTS / 2];
    }
}

static double modifier(double b0, double cos_incidence)
{
    /* Past 80 degrees the formula runs away; nothing is absorbed from behind. */
    double k = cos_incidence > 0.17 ? 1.0 - b0 * (1.0 / cos_incidence - 1.0) : 0.0;
    return b0 <= 0.0 ? 1.0 : fmax(k, 0.0);
}

static void look_at_weather(test *t, double t_s)
{
    const nr_weather *w = &t->weather;
    double cosine = nr_weather_at(w, w->cos_incidence, t_s);
    t->now.sun_W_m2 = nr_weather_at(w, w->sun_W_m2, t_s);
    t->now.air_degC = nr_weather_at(w, w->air_degC, t_s);
    t->now.wind_m_s = nr_weather_at(w, w->wind_m_s, t_s);
    t->now.modifier = modifier(t->out->device.iam_b0, cosine);
    t->incidence_lo = fmax(t->incidence_lo, cosine); /* cosines fall where angles rise */
    t->incidence_hi = fmin(t->incidence_hi, cosine);
}

static void book(test *t, double dt_s)
{
    nr_virtual_run *v = t->out;
    v->mean.sun_W_m2 += dt_s * t->now.sun_W_m2;
    v->mean.air_degC += dt_s * t->now.air_degC;
    v->mean.wind_m_s += dt_s * t->now.wind_m_s;
    if (t->now.flow_L_min <= 0.0) {
        return;
    }
    t->running_s += dt_s;
    t->running_flow_s += dt_s * t->now.flow_L_min;
    if (t->now.sun_W_m2 > 100.0) {
        double x = (t->heater.supply - t->now.air_degC) / t->now.sun_W_m2;
        v->reduced_lo = fmin(v->reduced_lo, x);
        v->reduced_hi = fmax(v->reduced_hi, x);
    }
}

static void advance(test *t, double from_s, double dt_s)
{
    double middle_s = from_s + 0.5 * dt_s;
    look_at_weather(t, middle_s);
    nr_turning_pump_step(&t->pump, t->p, from_s + dt_s, t->now.sun_W_m2, dt_s);
    t->now.flow_L_min = t->pump.flow_L_min;
    nr_thermal_step(&t->out->device, &t->heater, &t->now, dt_s, &t->out->ledger);
    book(t, dt_s);
    for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
        if (t->p->channels & NR_VC_BIT(c)) {
            nr_instrument_feel(&t->sensor[c], truth_of(t, c), dt_s);
        }
    }
}

static void sample(test *t, size_t row)
{
    nr_readings *r = t->out->run.readings;
    size_t column = 0;
    for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
        if (!(t->p->channels & NR_VC_BIT(c))) {
            continue;
        }
        double value = nr_instrument_read(&t->sensor[c]);
        if (c == NR_VC_FLOW || c == NR_VC_WIND || c == NR_VC_PUMP) {
            /* Counters and rectified signals: they do not go below zero, and a turbine at rest
             * gives no pulses. */
            value = t->sensor[c].felt > 0.0 ? fmax(value, 0.0) : 0.0;
        }
        r->column[column++].value[row] = value;
    }
    t->out->true_store_degC[row] = nr_thermal_store_mean(&t->heater);
}

static bool open_test(test *t)
{
    const nr_virtual_params *p = t->p;
    look_at_weather(t, 0.0);
    double air = p->air_degC;
    nr_thermal_start(&t->heater, air + p->collector_above_air_K, air + p->store_above_air_K);
    bool ok = nr_turning_pump_open(&t->pump, p, t->now.sun_W_m2);
    t->now.flow_L_min = t->pump.flow_L_min;
    for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
        ok = nr_instrument_open(&t->sensor[c], p, c, truth_of(t, c)) && ok;
    }
    return ok;
}

static void close_test(test *t)
{
    nr_turning_pump_close(&t->pump);
    for (nr_virtual_channel c = 0; c < NR_VC_COUNT; c++) {
        nr_instrument_close(&t->sensor[c]);
    }
    nr_weather_free(&t->weather);
}

static double angle_deg(double cosine)
{
    return acos(fmax(-1.0, fmin(1.0, cosine))) * 180.0 / M_PI;
}

static void run_test(test *t)
{
    const nr_virtual_params *p = t->p;
    nr_virtual_run *v = t->out;
    size_t rows = v->run.readings->rows;
    int steps = (int)ceil(p->interval_s / STEP_S - 1e-9);
    double dt_s = p->interval_s / steps;

    nr_thermal_content(&v->device, &t->heater, -1.0, &v->ledger);
    sample(t, 0);
    for (size_t row = 1; row < rows; row++) {
        double from_s = (double)(row - 1) * p->interval_s;
        for (int i = 0; i < steps; i++) {
            advance(t, from_s + i * dt_s, dt_s);
        }
        sample(t, row);
    }
    nr_thermal_content(&v->device, &t->heater, 1.0, &v->ledger);

    double total_s = (double)(rows - 1) * p->interval_s;
    v->mean.sun_W_m2 /= total_s;
    v->mean.air_degC /= total_s;
    v->mean.wind_m_s /= total_s;
    v->mean.flow_L_min = t->running_s > 0.0 ? t->running_flow_s / t->running_s : 0.0;
    v->running_share = t->running_s / total_s;
    v->incidence_lo_deg = angle_deg(t->incidence_lo);
    v->incidence_hi_deg = angle_deg(t->incidence_hi);
}

nr_code nr_virtual_simulate(const nr_virtual_params *p, nr_virtual_run **out, nr_err *err)
{
    *out = NULL;
    nr_code code = nr_virtual_check(p, err);
    if (code) {
        return code;
    }
    nr_virtual_run *v = NULL;
    code = allocate_run(p, &v, err);
    test t = {.p = p, .out = v, .incidence_lo = -1.0, .incidence_hi = 1.0};
    if (code == NR_OK) {
        code = nr_weather_draw(p, &t.weather, err);
    }
    if (code == NR_OK) {
        v->device = nr_virtual_actual(p);
        v->reduced_lo = INFINITY;
        v->reduced_hi = -INFINITY;
        if (!open_test(&t)) {
            code = nr_fail(err, NR_BAD, NULL, 0, "out of memory for the instruments");
        }
    }
    if (code == NR_OK) {
        run_test(&t);
        code = write_notes(p, v, err);
    }
    close_test(&t);
    if (code) {
        nr_virtual_run_free(v);
        return code;
    }
    *out = v;
    return NR_OK;
}
