/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Simulated runs: chance that keeps its word, instruments as stated, weather and pump as promised,
 * lines and rig file that the real readers take. */
#include "logger/run/folder.h"
#include "logger/wire/fields.h"
#include "sample-runs/rig/instrument.h"
#include "sample-runs/rig/line.h"
#include "sample-runs/rig/side_by_side.h"
#include "sample-runs/rig/thermal.h"
#include "sample-runs/rig/virtual.h"
#include "sample-runs/rig/weather.h"
#include "tests/unit/one_run.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static nr_virtual_run *simulate(const nr_virtual_params *p)
{
    nr_virtual_run *run = NULL;
    nr_err err = {0};
    nr_code code = nr_virtual_simulate(p, &run, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
    return run;
}

static const double *channel(const nr_virtual_run *run, const char *name)
{
    const double *value = nr_readings_channel(run->run.readings, name);
    ck_assert_ptr_nonnull(value);
    return value;
}

/* -- chance */

START_TEST(same_params_same_run)
{
    nr_virtual_params p = nr_virtual_glazed();
    nr_virtual_stall_day(&p);
    nr_virtual_run *a = simulate(&p), *b = simulate(&p);
    size_t rows = a->run.readings->rows;
    ck_assert_uint_eq(rows, 5401);
    ck_assert_uint_eq(a->run.readings->columns, 6);
    for (size_t c = 0; c < a->run.readings->columns; c++) {
        ck_assert_mem_eq(a->run.readings->column[c].value, b->run.readings->column[c].value,
                         rows * sizeof(double));
    }
    p.day_seed++;
    nr_virtual_run *other = simulate(&p);
    ck_assert_mem_ne(channel(a, "sun"), channel(other, "sun"), rows * sizeof(double));
    nr_virtual_run_free(a);
    nr_virtual_run_free(b);
    nr_virtual_run_free(other);
}
END_TEST

/* Two builds in one garden: same sky, the same pyranometer to the last bit of its error and noise,
 * but probes and masses of their own. */
START_TEST(side_by_side)
{
    nr_virtual_params glazed = nr_virtual_glazed(), bare = nr_virtual_bare();
    glazed.day_seed = bare.day_seed = 7;
    nr_virtual_run *a = simulate(&glazed), *b = simulate(&bare);
    size_t bytes = a->run.readings->rows * sizeof(double);
    ck_assert_mem_eq(channel(a, "sun"), channel(b, "sun"), bytes);
    ck_assert_mem_eq(channel(a, "air"), channel(b, "air"), bytes);
    double offset_a, offset_b, gain;
    nr_virtual_sensor_error(&glazed, NR_VC_INLET, &offset_a, &gain);
    nr_virtual_sensor_error(&bare, NR_VC_INLET, &offset_b, &gain);
    ck_assert_double_ne(offset_a, offset_b);
    ck_assert_double_ne(a->device.area_m2, b->device.area_m2);
    /* The rig files say so: same identity, so that a fit knows too. */
    ck_assert_str_eq(nr_rig_channel_find(&a->run.rig, "sun")->sensor,
                     nr_rig_channel_find(&b->run.rig, "sun")->sensor);
    ck_assert_str_ne(nr_rig_channel_find(&a->run.rig, "inlet")->sensor,
                     nr_rig_channel_find(&b->run.rig, "inlet")->sensor);
    nr_virtual_run_free(a);
    nr_virtual_run_free(b);
}
END_TEST

typedef struct spread {
    double sum, sum2, n;
} spread;

static void note(spread *s, double x)
{
    s->sum += x;
    s->sum2 += x * x;
    s->n += 1.0;
}

/* Mean 0 and standard deviation sd within four standard errors each (chance of a false alarm, with
 * these fixed seeds: none or always). */
static void check_spread(const spread *s, double sd)
{
    double mean = s->sum / s->n, var = s->sum2 / s->n - mean * mean;
    ck_assert_double_eq_tol(mean, 0.0, 4.0 * sd / sqrt(s->n));
    ck_assert_double_eq_tol(sqrt(var), sd, 4.0 * sd / sqrt(2.0 * s->n));
}

/* Over 4000 rigs the errors spread as rig.ini states them: what makes a coverage study honest. */
START_TEST(stated_uncertainties_are_true)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.sensor[NR_VC_OUTLET].u_gain = 0.01;
    spread offset = {0}, gain = {0}, area = {0}, absorber = {0}, water = {0}, product = {0},
           same = {0};
    for (unsigned long seed = 1; seed <= 4000; seed++) {
        p.rig_seed = seed;
        double o, g, own, unused;
        nr_virtual_sensor_error(&p, NR_VC_OUTLET, &o, &own);
        nr_virtual_sensor_error(&p, NR_VC_SUN, &unused, &g);
        nr_virtual_device d = nr_virtual_actual(&p);
        note(&offset, o);
        note(&gain, g);
        note(&area, d.area_m2 / p.stated.area_m2 - 1.0);
        note(&water, d.water_kg / p.stated.water_kg - 1.0);
        note(&absorber, d.absorber_J_K / p.stated.absorber_J_K - 1.0);
        note(&product, o / 0.15 * (g / 0.03)); /* independent: mean 0, sd 1 */
        note(&same, o / 0.15 * (own / 0.01));
    }
    check_spread(&offset, 0.15);
    check_spread(&gain, 0.03);
    check_spread(&area, 0.005);
    check_spread(&water, 0.005);
    check_spread(&absorber, 0.2);
    ck_assert_double_eq_tol(product.sum / product.n, 0.0, 4.0 / sqrt(product.n));
    ck_assert_double_eq_tol(same.sum / same.n, 0.0, 4.0 / sqrt(same.n));
}
END_TEST

/* -- instruments */

START_TEST(instrument_lags_steps_and_noise)
{
    nr_virtual_params p = nr_virtual_glazed();
    nr_instrument s;
    ck_assert(nr_instrument_open(&s, &p, NR_VC_STORE, 20.0));
    double error = s.offset;
    for (int i = 0; i < 24; i++) {
        nr_instrument_feel(&s, 30.0, 0.5);
    }
    /* After one time constant (12 s) a first-order sensor has gone 1 - 1/e of the way. */
    ck_assert_double_eq_tol(s.felt, 20.0 + 10.0 * (1.0 - exp(-1.0)), 1e-9);
    spread noise = {0};
    for (int i = 0; i < 4000; i++) {
        double reading = nr_instrument_read(&s);
        ck_assert_double_eq_tol(remainder(reading, 0.0625), 0.0, 1e-9);
        note(&noise, reading - s.felt - error);
    }
    /* Rounding to steps q adds q^2/12 to the variance, on average over where the value lies; at
     * one place it may shift the mean by up to q/2. */
    double sd = sqrt(noise.sum2 / noise.n);
    ck_assert_double_gt(sd, 0.01);
    ck_assert_double_lt(sd, 0.0625);
    nr_instrument_close(&s);

    p.sensor[NR_VC_STORE].step = 0.0;
    ck_assert(nr_instrument_open(&s, &p, NR_VC_STORE, 20.0));
    spread fine = {0};
    for (int i = 0; i < 4000; i++) {
        note(&fine, nr_instrument_read(&s) - 20.0 - s.offset);
    }
    check_spread(&fine, 0.02);
    nr_instrument_close(&s);
}
END_TEST

/* Evenly from first to last, about the constant error in the middle; its size as stated. */
START_TEST(an_instrument_drifts)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.sensor[NR_VC_INLET] = (nr_virtual_sensor){.u_drift = 0.05};
    spread change = {0};
    for (unsigned long seed = 1; seed <= 1000; seed++) {
        nr_instrument s;
        double at[3];
        p.day_seed = seed;
        ck_assert(nr_instrument_open(&s, &p, NR_VC_INLET, 20.0));
        for (int i = 0; i < 3; i++) {
            nr_instrument_feel(&s, 20.0, i ? p.duration_s / 2.0 : 0.0);
            at[i] = nr_instrument_read(&s);
        }
        ck_assert_double_eq_tol(at[1], 20.0, 1e-9);
        ck_assert_double_eq_tol(at[2] - at[1], at[1] - at[0], 1e-9);
        note(&change, at[2] - at[0]);
        nr_instrument_close(&s);
    }
    check_spread(&change, 0.05);
    p.sensor[NR_VC_INLET].exact = true;
    nr_instrument s;
    ck_assert(nr_instrument_open(&s, &p, NR_VC_INLET, 20.0));
    ck_assert_double_eq_tol(nr_instrument_read(&s), 20.0, 1e-9);
    nr_instrument_close(&s);
}
END_TEST

/* -- weather and pump */

START_TEST(clouds_come_and_go)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 6.0 * 3600.0;
    p.start_utc_s -= 2.0 * 3600.0;
    nr_weather clear, cloudy;
    nr_err err;
    ck_assert_int_eq(nr_weather_draw(&p, &clear, &err), NR_OK);
    p.sky = NR_SKY_CLOUDY;
    ck_assert_int_eq(nr_weather_draw(&p, &cloudy, &err), NR_OK);
    double least = 1.0, shaded = 0.0, steepest = 0.0, before = 1.0;
    for (size_t i = 0; i < clear.seconds; i++) {
        double share = cloudy.sun_W_m2[i] / clear.sun_W_m2[i];
        least = fmin(least, share);
        shaded += share < 0.88;
        steepest = fmax(steepest, fabs(share - before));
        before = share;
        ck_assert_double_lt(share, 1.05);
    }
    shaded /= (double)clear.seconds;
    ck_assert_double_gt(least, 0.27); /* no cloud takes more than 70 %; noise of a few W/m2 */
    ck_assert_double_lt(least, 0.5);
    ck_assert_double_gt(shaded, 0.15); /* a third of the time, by the spells' lengths */
    ck_assert_double_lt(shaded, 0.5);
    ck_assert_double_lt(steepest, 0.7 / 4.0 + 0.05); /* edges take at least 4 s */
    nr_weather_free(&clear);
    nr_weather_free(&cloudy);
}
END_TEST

START_TEST(panel_pump_stalls_and_restarts)
{
    nr_virtual_params p = nr_virtual_glazed();
    nr_virtual_stall_day(&p);
    p.sensor[NR_VC_SUN] = (nr_virtual_sensor){.exact = true};
    p.sensor[NR_VC_FLOW] = (nr_virtual_sensor){.exact = true};
    nr_virtual_run *run = simulate(&p);
    const double *sun = channel(run, "sun"), *flow = channel(run, "flow");
    int stalls = 0, restarts = 0;
    for (size_t i = 1; i < run->run.readings->rows; i++) {
        if (flow[i - 1] > 0.0 && flow[i] <= 0.0) {
            stalls++;
            ck_assert_double_lt(sun[i],
                                p.panel_stall_W_m2 + 60.0); /* a cloud's edge, 2-8 s later */
        }
        if (flow[i - 1] <= 0.0 && flow[i] > 0.0) {
            restarts++;
            ck_assert_double_gt(sun[i], p.panel_start_W_m2 - 1.0);
        }
    }
    ck_assert_int_ge(stalls, 2);
    ck_assert_int_ge(restarts, 2);
    ck_assert_double_gt(run->running_share, 0.5);
    ck_assert_double_lt(run->running_share, 0.99);
    nr_virtual_run_free(run);
}
END_TEST

START_TEST(pump_is_switched_and_noted)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.pump_stop_s = 1200.0;
    p.pump_restart_s = 2400.0;
    nr_virtual_run *run = simulate(&p);
    const double *flow = channel(run, "flow");
    ck_assert_double_gt(flow[1190], 0.5);
    ck_assert_double_eq(flow[1220], 0.0);
    ck_assert_double_gt(flow[2420], 0.5);
    const nr_notes *notes = run->run.notes;
    ck_assert_uint_eq(notes->count, 4);
    ck_assert_int_eq(notes->note[1].kind, NR_NOTE_PUMP);
    ck_assert_str_eq(notes->note[1].text, "off");
    ck_assert_double_eq(notes->note[2].elapsed_s, 2400.0);
    ck_assert_str_eq(notes->note[2].text, "on");
    nr_virtual_run_free(run);

    p.pump = NR_PUMP_OFF;
    p.store_above_air_K = 30.0;
    run = simulate(&p);
    ck_assert_double_eq(channel(run, "flow")[3000], 0.0);
    /* A cool-down: 2.5 W/K on 152 kJ/K for 90 minutes from 30 K over air that rises 2.25 K. */
    double fall = run->true_store_degC[0] - run->true_store_degC[5400];
    ck_assert_double_gt(fall, 2.0);
    ck_assert_double_lt(fall, 2.7);
    nr_virtual_run_free(run);
}
END_TEST

/* -- the whole */

/* On every kind of day: absorbed = stored + lost to 1e-6 and better, the step is fine enough, and
 * the efficiency lies where a heater's does. */
START_TEST(ledger_of_a_run)
{
    nr_virtual_params p = _i % 2 ? nr_virtual_bare() : nr_virtual_glazed();
    p.sky = (nr_virtual_sky)(_i / 2 % 3);
    p.pump = _i >= 4 ? NR_PUMP_PANEL : NR_PUMP_STEADY;
    p.stated.iam_b0 = 0.1;
    nr_virtual_run *run = simulate(&p);
    const nr_virtual_ledger *l = &run->ledger;
    double kept = l->water + l->dry + l->collector + l->pipes;
    double lost = l->collector_loss + l->store_loss + l->pipe_loss;
    ck_assert_double_eq_tol((kept + lost) / (l->absorbed + l->pump), 1.0, 1e-9);
    ck_assert_double_gt(l->water / l->sun, 0.35);
    ck_assert_double_lt(l->water / l->sun, 0.8);
    size_t last = run->run.readings->rows - 1;
    double water = run->device.water_kg * NR_VIRTUAL_CP *
                   (run->true_store_degC[last] - run->true_store_degC[0]);
    ck_assert_double_eq_tol(water / l->water, 1.0, 1e-9);
    nr_virtual_run_free(run);
}
END_TEST

/* The inlet is measured where the water enters the collector, behind the supply pipe and what the
 * pump leaves in it: 100 W in 1 L/min are 100/69.6 = 1.437 K. */
START_TEST(inlet_is_behind_pump_and_pipe)
{
    nr_virtual_params p = nr_virtual_bare();
    p.sky = NR_SKY_STEADY;
    p.stated.pump_heat_W = 100.0;
    p.stated.mixing_W_K = 1e4;
    p.exact_device = true;
    p.duration_s = 900.0;
    p.store_above_air_K = 0.0;
    p.sensor[NR_VC_INLET] = (nr_virtual_sensor){.exact = true};
    nr_virtual_run *run = simulate(&p);
    double rise = channel(run, "inlet")[900] - run->true_store_degC[900];
    ck_assert_double_eq_tol(rise, 1.437, 0.01);
    nr_virtual_run_free(run);
}
END_TEST

/* The step of the simulation: sampled at 0.1 s (and so stepped at 0.1 s) the same test gives the
 * same store within 0.3 mK and, when the first slug has gone round, the same outlet within 3 mK: a
 * probe's noise is 20 mK. */
START_TEST(step_is_fine_enough)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.sky = NR_SKY_STEADY;
    p.steady_sun_W_m2 = 850.0;
    p.wind_noise_m_s = p.air_noise_K = 0.0;
    p.duration_s = 1800.0;
    p.sensor[NR_VC_OUTLET] = (nr_virtual_sensor){.exact = true};
    nr_virtual_run *coarse = simulate(&p);
    p.interval_s = 0.1;
    nr_virtual_run *fine = simulate(&p);
    double store = 0.0, outlet = 0.0;
    for (size_t i = 240; i < coarse->run.readings->rows; i++) {
        store = fmax(store, fabs(coarse->true_store_degC[i] - fine->true_store_degC[10 * i]));
        outlet = fmax(outlet, fabs(channel(coarse, "outlet")[i] - channel(fine, "outlet")[10 * i]));
    }
    ck_assert_double_lt(store, 0.0003);
    ck_assert_double_lt(outlet, 0.003);
    nr_virtual_run_free(coarse);
    nr_virtual_run_free(fine);
}
END_TEST

/* Written to disk and read by the library that reads real runs: the same. */
START_TEST(folder_is_read_back)
{
    char base[] = "/tmp/test-rig-XXXXXX", folder[64], command[128];
    ck_assert_ptr_nonnull(mkdtemp(base));
    snprintf(folder, sizeof folder, "%s/run", base);
    nr_virtual_params p = nr_virtual_bare();
    p.duration_s = 600.0;
    p.channels |= NR_VC_BIT(NR_VC_WIND);
    p.state_store_loss = true;
    nr_virtual_run *run = simulate(&p);
    nr_err err = {0};
    char *rig_text = nr_virtual_rig_text(&p);
    ck_assert_msg(nr_virtual_write_folder(&run->run, rig_text, folder, &err) == NR_OK, "%s",
                  err.text);
    ck_assert_int_eq(nr_virtual_write_folder(&run->run, rig_text, folder, &err),
                     NR_BAD); /* never overwritten */
    char empty[64];
    snprintf(empty, sizeof empty, "%s/empty", base);
    ck_assert_int_eq(mkdir(empty, 0700), 0);
    ck_assert_int_eq(nr_virtual_write_folder(&run->run, rig_text, empty, &err),
                     NR_BAD); /* nor is an empty folder */
    free(rig_text);
    nr_run *back = NULL;
    ck_assert_msg(one_run(folder, &back, &err) == NR_OK, "%s", err.text);
    ck_assert_uint_eq(back->readings->rows, 601);
    ck_assert_uint_eq(back->notes->count, run->run.notes->count);
    ck_assert_double_eq_tol(back->readings->utc_s[600], p.start_utc_s + 600.0, 1e-6);
    for (size_t c = 0; c < run->run.readings->columns; c++) {
        const double *got =
            nr_readings_channel(back->readings, run->run.readings->column[c].channel);
        ck_assert_ptr_nonnull(got);
        for (size_t i = 0; i < 601; i++) {
            /* the decimals of readings.csv */
            ck_assert_double_eq_tol(got[i], run->run.readings->column[c].value[i], 0.0051);
        }
    }
    ck_assert_str_eq(back->rig.collector.name, "wash-stand-bare");
    ck_assert_double_eq_tol(back->rig.collector.gross_area_m2.u, 0.0048, 1e-9);
    ck_assert_double_eq_tol(back->rig.store.loss_W_K.value, 2.5, 1e-12);
    ck_assert_double_eq_tol(nr_rig_channel_find(&back->rig, "sun")->u_gain, 0.03, 1e-12);
    nr_run_free(back);
    nr_virtual_run_free(run);
    snprintf(command, sizeof command, "rm -r '%s'", base);
    ck_assert_int_eq(system(command), 0);
}
END_TEST

START_TEST(nonsense_is_refused)
{
    nr_virtual_run *run = NULL;
    nr_err err = {0};
    nr_virtual_params p = nr_virtual_glazed();
    p.stated.water_kg = -1.0;
    ck_assert_int_eq(nr_virtual_simulate(&p, &run, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "water"));
    p = nr_virtual_glazed();
    p.air_degC = NAN;
    ck_assert_int_eq(nr_virtual_simulate(&p, &run, &err), NR_BAD);
    p = nr_virtual_glazed();
    p.channels = 0;
    ck_assert_int_eq(nr_virtual_simulate(&p, &run, &err), NR_BAD);
    p = nr_virtual_glazed();
    strcpy(p.build, "a\nb");
    ck_assert_int_eq(nr_virtual_simulate(&p, &run, &err), NR_BAD);
    ck_assert_ptr_null(run);
}
END_TEST

/* -- what the adapter says is what the logger's parser understands */

START_TEST(lines_are_understood)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.line = _i % 2 ? NR_LINE_VALUES : NR_LINE_PAIRS;
    p.checksum = _i / 2 % 2 ? NR_CHECKSUM_XOR8 : NR_CHECKSUM_NONE;
    p.separator = _i / 4 ? ';' : ',';
    p.duration_s = 60.0;
    nr_virtual_run *run = simulate(&p);
    const nr_rig *rig = &run->run.rig;
    char line[NR_VIRTUAL_LINE];
    size_t length = nr_virtual_line(&p, &run->run, 42, 4294967296ULL + 42000ULL, line);
    nr_fields fields;
    ck_assert_int_eq(nr_fields_split(&rig->adapter[0], line, length, &fields), NR_LINE_GOOD);
    double ms;
    const nr_field *clock = nr_fields_find(&fields, p.line, rig->adapter[0].clock_field);
    ck_assert(clock && nr_field_number(clock, &ms));
    ck_assert_double_eq(ms, 42000.0); /* wrapped */
    for (size_t c = 0; c < rig->channels; c++) {
        double value;
        const nr_field *field = nr_fields_find(&fields, p.line, rig->channel[c].field);
        ck_assert(field && nr_field_number(field, &value));
        ck_assert_double_eq_tol(value, run->run.readings->column[c].value[42], 0.0051);
    }
    nr_virtual_run_free(run);
}
END_TEST

/* Too long for a line: none at all rather than a piece of one. */
START_TEST(a_line_that_does_not_fit)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.duration_s = 2.0;
    nr_virtual_run *run = simulate(&p);
    char line[NR_VIRTUAL_LINE];
    ck_assert_uint_gt(nr_virtual_line(&p, &run->run, 1, 0, line), 0);
    for (size_t c = 0; c < run->run.rig.channels; c++)
        run->run.readings->column[c].value[1] = 1e300;
    ck_assert_uint_eq(nr_virtual_line(&p, &run->run, 1, 0, line), 0);
    nr_virtual_run_free(run);
}
END_TEST

/* Two builds on one adapter are the same two that stand alone under the same sky. */
START_TEST(one_adapter)
{
    nr_virtual_params p[2] = {nr_virtual_glazed(), nr_virtual_bare()};
    p[0].duration_s = p[1].duration_s = 120.0;
    p[0].channels = p[1].channels = NR_VC_LOOP_SET | NR_VC_BIT(NR_VC_WIND);
    nr_virtual_record *r = NULL;
    nr_err err = {0};
    ck_assert_msg(nr_virtual_record_make(p, 2, &r, &err) == NR_OK, "%s", err.text);
    const nr_rig *rig = &r->run.rig;
    ck_assert_uint_eq(rig->builds, 2);
    ck_assert_uint_eq(rig->channels, 2 * 4 + 3); /* store, inlet, outlet, flow; air, sun, wind */
    static const char *const names[] = {"store_glazed", "flow_bare"};
    for (size_t i = 0; i < 2; i++) {
        nr_virtual_run *alone = simulate(&p[i]);
        const char *own = i ? "flow" : "store";
        const double *a = nr_readings_channel(r->run.readings, names[i]);
        const double *b = nr_readings_channel(alone->run.readings, own);
        ck_assert(a && b && memcmp(a, b, alone->run.readings->rows * sizeof *a) == 0);
        const double *sun = nr_readings_channel(r->run.readings, "sun");
        b = nr_readings_channel(alone->run.readings, "sun");
        ck_assert(sun && b && memcmp(sun, b, alone->run.readings->rows * sizeof *sun) == 0);
        nr_virtual_run_free(alone);
    }
    char line[NR_VIRTUAL_LINE];
    size_t length = nr_virtual_line(&p[0], &r->run, 42, 42000UL, line);
    nr_fields fields;
    ck_assert_int_eq(nr_fields_split(&rig->adapter[0], line, length, &fields), NR_LINE_GOOD);
    for (size_t c = 0; c < rig->channels; c++) {
        double value;
        const nr_field *field = nr_fields_find(&fields, p[0].line, rig->channel[c].field);
        ck_assert(field && nr_field_number(field, &value));
        ck_assert_double_eq_tol(value, r->run.readings->column[c].value[42], 0.0051);
    }
    nr_virtual_record_free(r);
    /* two skies, two names alike */
    p[1].day_seed = 2;
    ck_assert_int_eq(nr_virtual_record_make(p, 2, &r, &err), NR_BAD);
    ck_assert_msg(strstr(err.text, "another sky"), "%s", err.text);
    p[1] = p[0];
    ck_assert_int_eq(nr_virtual_record_make(p, 2, &r, &err), NR_BAD);
    ck_assert_ptr_null(r);
}
END_TEST

/* XOR of all characters of "store=21.50,inlet=19.81,sun=812" is 6C (computed by hand). */
START_TEST(checksum_of_a_known_line)
{
    const char *known = "store=21.5000,air=19.8125,sun=812.0*";
    nr_virtual_params p = nr_virtual_glazed();
    p.channels = NR_VC_STORE_SET;
    p.clock = NR_CLOCK_HOST;
    p.duration_s = 2.0;
    nr_virtual_run *run = simulate(&p);
    run->run.readings->column[0].value[1] = 21.5;
    run->run.readings->column[1].value[1] = 19.8125;
    run->run.readings->column[2].value[1] = 812.0;
    char line[NR_VIRTUAL_LINE];
    size_t length = nr_virtual_line(&p, &run->run, 1, 0, line);
    ck_assert_uint_eq(length, strlen(known) + 2);
    ck_assert_mem_eq(line, known, strlen(known));
    ck_assert_uint_eq(strtoul(line + length - 2, NULL, 16), nr_xor8(known, strlen(known) - 1));
    /* no valid reading: nothing after the equals sign */
    run->run.readings->column[1].value[1] = NAN;
    nr_virtual_line(&p, &run->run, 1, 0, line);
    ck_assert_ptr_nonnull(strstr(line, "air=,sun"));
    nr_virtual_run_free(run);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("virtual rig: runs");
    TCase *all = tcase_create("runs");
    tcase_set_timeout(all, 120);
    tcase_add_test(all, same_params_same_run);
    tcase_add_test(all, side_by_side);
    tcase_add_test(all, stated_uncertainties_are_true);
    tcase_add_test(all, instrument_lags_steps_and_noise);
    tcase_add_test(all, an_instrument_drifts);
    tcase_add_test(all, clouds_come_and_go);
    tcase_add_test(all, panel_pump_stalls_and_restarts);
    tcase_add_test(all, pump_is_switched_and_noted);
    tcase_add_loop_test(all, ledger_of_a_run, 0, 6);
    tcase_add_test(all, inlet_is_behind_pump_and_pipe);
    tcase_add_test(all, step_is_fine_enough);
    tcase_add_test(all, folder_is_read_back);
    tcase_add_test(all, nonsense_is_refused);
    tcase_add_loop_test(all, lines_are_understood, 0, 8);
    tcase_add_test(all, checksum_of_a_known_line);
    tcase_add_test(all, a_line_that_does_not_fit);
    tcase_add_test(all, one_adapter);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
