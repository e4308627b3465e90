/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inspect: asks the quality check, looks at what the readings mean together, and judges it. */
#include "analyze/inspect/subjects.h"

#include "logger/base/text.h"

#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define LEAST_DURATION_S 300.0 /* a shorter run cannot be fitted */
#define LEAST_GOOD 0.5         /* share of rows a channel must have to be of use */
#define LEAST_PUMPED_S 300.0

/* -- summaries */

static double stuck_seconds(const nr_inspection *inspection, const nr_quality_channel *c)
{
    nr_cursor t;
    nr_cursor_begin(&t, &inspection->q->elapsed_s);
    double sum = 0.0;
    for (size_t i = 1; c->count[NR_BAD_STUCK] && i < inspection->q->rows; i++)
        if (c->bad[i] == NR_BAD_STUCK)
            sum += nr_at(&t, i) - nr_at(&t, i - 1);
    return sum;
}

static void sum_up_values(const nr_inspection *inspection, const nr_column *column,
                          const unsigned char *bad, nr_channel_summary *s)
{
    nr_values value = nr_column_values(column);
    nr_cursor of;
    nr_cursor_begin(&of, &value);
    double sum = 0.0, least = INFINITY, most = -INFINITY;
    size_t valid = 0;
    for (size_t i = 0; i < inspection->q->rows; i++) {
        double v = nr_at(&of, i);
        if (isnan(v) || (bad && bad[i]))
            continue;
        valid++;
        sum += v;
        if (v < least)
            least = v;
        if (v > most)
            most = v;
    }
    s->valid = valid;
    s->min = valid ? least : NAN;
    s->max = valid ? most : NAN;
    s->mean = valid ? sum / (double)valid : NAN;
    s->noise = NAN;
}

static void sum_up_channels(nr_inspection *inspection)
{
    const nr_readings *r = inspection->run->readings;
    for (size_t k = 0; k < r->columns && inspection->out->channels < NR_RIG_CHANNELS; k++) {
        const nr_column *column = &r->column[k];
        nr_channel_summary *s = &inspection->out->channel[inspection->out->channels++];
        *s = (nr_channel_summary){0};
        nr_copy(s->name, sizeof s->name, column->channel);
        nr_copy(s->unit, sizeof s->unit, column->known ? column->known->name : column->unit);
        const nr_quality_channel *judged = NULL;
        for (int role = 0; role < NR_ROLES; role++)
            if (nr_readings_column(r, nr_role_name((nr_role)role)) == column)
                judged = &inspection->q->channel[role];
        sum_up_values(inspection, column, judged ? judged->bad : NULL, s);
        if (!judged)
            continue;
        s->spikes = judged->count[NR_BAD_SPIKE];
        s->stuck_s = stuck_seconds(inspection, judged);
        s->noise = judged->noise;
    }
}

static void sum_up_record(nr_inspection *inspection)
{
    nr_inspect *x = inspection->out;
    const nr_quality *q = inspection->q;
    nr_copy(x->folder, sizeof x->folder, inspection->run->folder);
    nr_copy(x->title, sizeof x->title, inspection->run->rig.title);
    x->rows = q->rows;
    x->duration_s = q->duration_s;
    x->interval_s = q->interval_s;
    nr_values utc = nr_readings_utc(inspection->run->readings);
    x->start_utc_s = nr_number(&utc, 0);
    x->incidence_lo_deg = x->incidence_hi_deg = NAN;
    for (size_t i = 0; i < q->gaps && i < NR_QUALITY_EVENTS && x->gaps < NR_GAPS; i++)
        x->gap[x->gaps++] = (nr_gap){q->gap[i].at_s, q->gap[i].length_s};
    for (size_t i = 0; i < q->pump_stops && i < NR_QUALITY_EVENTS && x->stops < NR_GAPS; i++)
        x->stop[x->stops++] = (nr_gap){q->pump_stop[i].at_s, q->pump_stop[i].length_s};
}

/* -- the verdict */

static bool of_use(const nr_inspection *inspection, nr_role role)
{
    return (double)inspection->q->channel[role].good >= LEAST_GOOD * (double)inspection->q->rows &&
           !inspection->unit_wrong[role];
}

static void judge(nr_inspection *inspection)
{
    nr_inspect *x = inspection->out;
    bool base = of_use(inspection, NR_ROLE_AIR) && of_use(inspection, NR_ROLE_SUN) &&
                !inspection->dark && inspection->q->duration_s >= LEAST_DURATION_S;
    x->usable_for_store = base && of_use(inspection, NR_ROLE_STORE);
    x->usable_for_loop = base && of_use(inspection, NR_ROLE_INLET) &&
                         of_use(inspection, NR_ROLE_OUTLET) && of_use(inspection, NR_ROLE_FLOW) &&
                         !inspection->probes_wrong && inspection->q->pump_on_s >= LEAST_PUMPED_S;
}

/* finding[] is sorted, the worst first. */
static void give_verdict(nr_inspect *x)
{
    const nr_finding *first = &x->finding[0];
    bool use = x->usable_for_store || x->usable_for_loop;
    for (size_t i = 0; i < x->findings; i++)
        x->doubts += x->finding[i].severity > NR_SEVERITY_NOTE;
    if (x->doubts == 0)
        x->verdict = use ? NR_RECORD_GOOD : NR_RECORD_LACKING;
    else if (first->code == NR_FIND_NO_SUN && x->doubts == 1)
        x->verdict = NR_RECORD_DARK;
    else if (!use)
        x->verdict = NR_RECORD_UNFIT;
    else
        x->verdict = first->severity == NR_SEVERITY_FAULT ? NR_RECORD_FAULTY : NR_RECORD_DOUBTFUL;
}

static int by_severity(const void *a, const void *b)
{
    const nr_finding *x = a, *y = b;
    if (x->severity != y->severity)
        return x->severity < y->severity ? 1 : -1;
    double from_x = isnan(x->from_s) ? -1.0 : x->from_s,
           from_y = isnan(y->from_s) ? -1.0 : y->from_s;
    if (from_x < from_y || from_x > from_y)
        return from_x < from_y ? -1 : 1;
    int code = strcmp(nr_finding_name(x->code), nr_finding_name(y->code));
    return code ? code : strcmp(x->channel, y->channel);
}

/* The order in which causes come before their signs. */
static void look_at_all(nr_inspection *inspection)
{
    nr_inspect_record(inspection);
    nr_inspect_units(inspection);
    nr_inspect_channels(inspection);
    nr_inspect_sky(inspection);
    nr_inspect_pump(inspection); /* in the dark a pump that stands is meant to */
    nr_inspect_heat(inspection);
    nr_inspect_lags(inspection);
    nr_inspect_conditions(inspection);
    nr_inspect_cautions(inspection);
}

static nr_code count_windows(nr_inspection *inspection, nr_err *err)
{
    static const nr_steady_limits *const limits[] = {&nr_steady_iso9806, &nr_steady_field};
    size_t windows[2];
    nr_code code = nr_steady_count(inspection->run, inspection->q, limits, 2, windows, err);
    if (code)
        return code;
    inspection->strict_windows = windows[0];
    inspection->field_windows = windows[1];
    inspection->out->steady_windows = windows[0] > windows[1] ? windows[0] : windows[1];
    return NR_OK;
}

static nr_code look_closely(nr_inspection *inspection, nr_err *err)
{
    size_t rows = inspection->q->rows, room = rows < NR_PASSES_KEPT ? rows : NR_PASSES_KEPT;
    inspection->scratch = calloc(room, sizeof(double));
    if (!inspection->scratch)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    sum_up_record(inspection);
    sum_up_channels(inspection);
    nr_code code = nr_sky_blocks(inspection, err);
    if (!code)
        code = nr_heat_balance(inspection, err);
    if (!code)
        code = count_windows(inspection, err);
    if (code)
        return code;
    look_at_all(inspection);
    judge(inspection);
    qsort(inspection->out->finding, inspection->out->findings, sizeof(nr_finding), by_severity);
    give_verdict(inspection->out);
    return NR_OK;
}

nr_code nr_inspect_judged(const nr_run *run, const nr_quality *quality, nr_inspect **out,
                          nr_err *err)
{
    *out = NULL;
    nr_inspection inspection = {.run = run, .q = quality, .out = calloc(1, sizeof(nr_inspect))};
    nr_code code = inspection.out ? look_closely(&inspection, err)
                                  : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    free(inspection.scratch);
    free(inspection.block);
    if (code)
        nr_inspect_free(inspection.out);
    else
        *out = inspection.out;
    return code;
}

nr_code nr_inspect_run(const nr_run *run, nr_inspect **out, nr_err *err)
{
    *out = NULL;
    nr_quality *quality = NULL;
    nr_code code = nr_quality_check(run, &quality, err);
    if (!code)
        code = nr_inspect_judged(run, quality, out, err);
    nr_quality_free(quality);
    return code;
}

nr_code nr_judge_run(const nr_run *run, nr_judged *out, nr_err *err)
{
    *out = (nr_judged){NULL, NULL};
    nr_code code = nr_quality_check(run, &out->quality, err);
    if (!code)
        code = nr_inspect_judged(run, out->quality, &out->inspect, err);
    if (code)
        nr_judged_free(out);
    return code;
}

void nr_judged_free(nr_judged *judged)
{
    nr_quality_free(judged->quality);
    nr_inspect_free(judged->inspect);
    *judged = (nr_judged){NULL, NULL};
}

void nr_inspect_free(nr_inspect *inspect)
{
    free(inspect);
}
