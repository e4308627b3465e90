/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/readings.h"
#include "logger/run/rig_edit.h"
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

static void promise_build(const nr_rig_build *b, nr_rig_need need)
{
    const nr_rig_collector *c = &b->collector;
    const nr_value *const values[] = {&c->gross_area_m2,
                                      &c->tilt_deg,
                                      &c->azimuth_deg,
                                      &c->fluid_kg,
                                      &c->heat_capacity_J_K,
                                      &c->tube_length_m,
                                      &c->tube_bore_mm,
                                      &c->iam_b0,
                                      &c->back_heat_capacity_J_K,
                                      &b->store.water_kg,
                                      &b->store.water_end_kg,
                                      &b->store.dry_heat_capacity_J_K,
                                      &b->store.loss_W_K,
                                      &b->store.opening_m2,
                                      &b->store.pump_W};
    for (size_t i = 0; i < sizeof values / sizeof *values; i++)
        promise_value(values[i]);
    PROMISE(need != NR_RIG_FOR_ANALYSIS || c->gross_area_m2.value > 0);
    PROMISE(c->iam.points != 1 && c->iam.points <= NR_IAM_POINTS);
    for (size_t i = 1; i < c->iam.points; i++)
        PROMISE(c->iam.angle_deg[i] > c->iam.angle_deg[i - 1] && c->iam.factor[0] == 1);
    PROMISE((c->back.kind == NR_BACK_STATED) == (c->back.material != NULL));
    promise_clean(c->name);
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
    promise_value(&rig.latitude_deg);
    promise_value(&rig.longitude_deg);
    promise_value(&rig.elevation_m);
    for (size_t i = 0; i < rig.builds; i++)
        promise_build(&rig.build[i], need);
    promise_clean(rig.title);
    promise_clean(rig.notes);
    for (size_t i = 0; i < rig.channels; i++)
        promise_channel(&rig, &rig.channel[i]);
    promise_readings(&rig);
    PROMISE(rig.builds >= 1 && rig.builds <= NR_RIG_BUILDS);
    for (size_t i = 0; i < rig.builds; i++) {
        static nr_rig view;
        nr_rig_view(&rig, i, &view);
        PROMISE(view.builds == 1 && view.channels <= rig.channels);
        for (size_t c = 0; c < view.channels; c++)
            promise_channel(&view, &view.channel[c]);
        promise_readings(&view);
    }
}

/* An edit that changes nothing gives the same text, and one that adds a key, a rig with it. */
static void promise_edit(const char *text, size_t size)
{
    char *out = NULL;
    size_t length = 0;
    const nr_rig_change change = {"test", "title", "x", "y"};
    if (nr_rig_edit(text, size, NULL, 0, &out, &length, NULL) == NR_OK) {
        bool ended = size == 0 || text[size - 1] == '\n';
        PROMISE(length == size + !ended && memcmp(out, text, size) == 0);
        free(out);
    }
    if (nr_rig_edit(text, size, &change, 1, &out, &length, NULL) == NR_OK)
        free(out);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    promise_edit((const char *)data, size);
    if (size > 0) /* both readers, by the last byte */
        try((const char *)data, size - 1,
            data[size - 1] & 1 ? NR_RIG_FOR_RECORD : NR_RIG_FOR_ANALYSIS);
    return 0;
}
