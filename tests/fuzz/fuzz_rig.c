/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/readings.h"
#include "tests/fuzz/fuzz.h"

static void count_problem(void *context, const char *line)
{
    promise_clean(line);
    PROMISE(line[0]);
    ++*(int *)context;
}

static void promise_value(const nr_value *v)
{
    PROMISE(v->given ? isfinite(v->value) && v->line > 0 : isnan(v->value));
    PROMISE(v->u_given ? v->u >= 0 && isfinite(v->u) : isnan(v->u));
}

static void promise_channel(const nr_rig *rig, const nr_rig_channel *c)
{
    PROMISE(c->unit && c->law && c->name[0]);
    PROMISE(nr_rig_channel_find(rig, c->name) == c);
    PROMISE(!(c->low >= c->high) && !isinf(c->low) && !isinf(c->high));
    PROMISE(isfinite(c->correct_offset) && c->lag_s >= 0);
    PROMISE(!(c->u_offset < 0) && !(c->u_gain < 0));
    for (int i = 0; i < NR_LAW_MAX_KEYS && c->law->keys[i].name; i++)
        PROMISE(!isnan(c->coefficient[i]));
}

/* What a recording of this rig writes is read back, channel by channel. */
static void promise_readings(const nr_rig *rig)
{
    static char file[20000];
    double value[NR_RIG_CHANNELS];
    nr_readings *r = NULL;
    for (size_t i = 0; i < rig->channels; i++)
        value[i] = (double)i + 0.5;
    size_t used = nr_readings_header(rig, file, sizeof file);
    PROMISE(used > 0);
    size_t row = nr_readings_row(rig, 1777893753.456, 0, value, file + used, sizeof file - used);
    PROMISE(row > 0);
    PROMISE(nr_readings_parse(file, used + row, "again.csv", &r, NULL) == NR_OK);
    PROMISE(r->columns == rig->channels && r->rows == 1);
    for (size_t i = 0; i < rig->channels; i++) {
        const double *column = nr_readings_channel(r, rig->channel[i].name);
        PROMISE(column && column[0] == value[i]);
    }
    nr_readings_free(r);
}

static void try(const char *text, size_t size, nr_rig_need need)
{
    static nr_rig rig;
    int problems = 0;
    nr_sink sink = {count_problem, &problems};
    nr_err err = {0};
    nr_code code = nr_rig_parse(text, size, "rig.ini", need, &rig, &sink, &err);
    PROMISE((code == NR_OK) == (problems == 0));
    if (code != NR_OK) {
        promise_error(code, &err);
        return;
    }
    const nr_value *values[] = {&rig.latitude_deg,
                                &rig.longitude_deg,
                                &rig.elevation_m,
                                &rig.collector.gross_area_m2,
                                &rig.collector.tilt_deg,
                                &rig.collector.azimuth_deg,
                                &rig.collector.fluid_kg,
                                &rig.collector.heat_capacity_J_K,
                                &rig.collector.tube_length_m,
                                &rig.collector.tube_bore_mm,
                                &rig.collector.iam_b0,
                                &rig.store.water_kg,
                                &rig.store.dry_heat_capacity_J_K,
                                &rig.store.loss_W_K};
    for (size_t i = 0; i < sizeof values / sizeof *values; i++)
        promise_value(values[i]);
    if (need == NR_RIG_FOR_ANALYSIS)
        PROMISE(rig.collector.gross_area_m2.value > 0 && rig.store.water_kg.value > 0);
    promise_clean(rig.title);
    promise_clean(rig.notes);
    for (size_t i = 0; i < rig.channels; i++)
        promise_channel(&rig, &rig.channel[i]);
    promise_readings(&rig);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size > 0) /* both readers, by the last byte */
        try((const char *)data, size - 1,
            data[size - 1] & 1 ? NR_RIG_FOR_RECORD : NR_RIG_FOR_ANALYSIS);
    return 0;
}
