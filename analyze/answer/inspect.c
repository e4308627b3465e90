/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inspect: asks the quality check, looks at what the readings mean together, and words it. */
#include "analyze/answer/inspect_parts.h"

#include "logger/base/text.h"

#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#define LEAST_DURATION_S 300.0 /* a shorter run cannot be fitted */
#define LEAST_GOOD 0.5         /* share of rows a channel must have to be of use */
#define LEAST_PUMPED_S 300.0

/* -- tools of the parts */

static nr_finding *room_for(nr_inspect *x, nr_severity severity)
{
    if (x->findings < NR_FINDINGS)
        return &x->finding[x->findings++];
    for (size_t i = NR_FINDINGS; i-- > 0;)
        if (x->finding[i].severity < severity)
            return &x->finding[i];
    return NULL;
}

void nr_find(nr_look *look, const char *code, nr_severity severity, nr_role role, double from_s,
             double to_s, const char *advice, const char *format, ...)
{
    nr_finding *f = room_for(look->out, severity);
    if (!f)
        return;
    va_list arguments;
    va_start(arguments, format);
    *f = (nr_finding){.severity = severity, .from_s = from_s, .to_s = to_s};
    (void)vsnprintf(f->text, sizeof f->text, format, arguments);
    va_end(arguments);
    nr_copy(f->code, sizeof f->code, code);
    nr_copy(f->channel, sizeof f->channel, role < NR_ROLES ? nr_role_name(role) : "");
    nr_copy(f->advice, sizeof f->advice, advice);
}

const double *nr_look_raw(const nr_look *look, nr_role role)
{
    const nr_quality_channel *c = &look->q->channel[role];
    return c->readings ? c->value : NULL;
}

double nr_look_median(const nr_look *look, nr_role role, nr_role other, nr_pump_state pump,
                      double from_s, double to_s)
{
    const double *t = look->run->readings->elapsed_s;
    size_t n = 0;
    for (size_t i = 0; i < look->q->rows; i++) {
        if (t[i] < from_s || t[i] > to_s)
            continue;
        if (pump != NR_PUMP_IS_UNKNOWN && look->q->pump[i] != pump)
            continue;
        double v = nr_quality_value(look->q, role, i);
        if (other < NR_ROLES)
            v -= nr_quality_value(look->q, other, i);
        if (!isnan(v))
            look->scratch[n++] = v;
    }
    return n < 10 ? NAN : gsl_stats_median(look->scratch, 1, n);
}

double nr_look_offset_u(const nr_look *look, nr_role role)
{
    const nr_rig_channel *c = nr_rig_channel_find(&look->run->rig, nr_role_name(role));
    return c && !isnan(c->u_offset) ? c->u_offset : NR_UNSTATED_OFFSET_K;
}

double nr_look_gain_u(const nr_look *look, nr_role role, double otherwise)
{
    const nr_rig_channel *c = nr_rig_channel_find(&look->run->rig, nr_role_name(role));
    return c && !isnan(c->u_gain) ? c->u_gain : otherwise;
}

/* -- summaries */

static double stuck_seconds(const nr_look *look, const nr_quality_channel *c)
{
    const double *t = look->run->readings->elapsed_s;
    double sum = 0.0;
    for (size_t i = 1; i < look->q->rows; i++)
        if (c->bad[i] == NR_BAD_STUCK)
            sum += t[i] - t[i - 1];
    return sum;
}

static void sum_up_values(const nr_look *look, const double *value, const unsigned char *bad,
                          nr_channel_summary *s)
{
    double sum = 0.0;
    s->min = s->max = s->mean = s->noise = NAN;
    for (size_t i = 0; i < look->q->rows; i++) {
        if (isnan(value[i]) || (bad && bad[i]))
            continue;
        s->valid++;
        sum += value[i];
        s->min = fmin(s->min, value[i]); /* fmin and fmax pass over NAN */
        s->max = fmax(s->max, value[i]);
    }
    if (s->valid)
        s->mean = sum / (double)s->valid;
}

static void sum_up_channels(nr_look *look)
{
    const nr_readings *r = look->run->readings;
    for (size_t k = 0; k < r->columns && look->out->channels < NR_RIG_CHANNELS; k++) {
        const nr_column *column = &r->column[k];
        nr_channel_summary *s = &look->out->channel[look->out->channels++];
        *s = (nr_channel_summary){0};
        nr_copy(s->name, sizeof s->name, column->channel);
        nr_copy(s->unit, sizeof s->unit, column->known ? column->known->name : column->unit);
        const nr_quality_channel *judged = NULL;
        for (int role = 0; role < NR_ROLES; role++)
            if (look->q->channel[role].value == column->value)
                judged = &look->q->channel[role];
        sum_up_values(look, column->value, judged ? judged->bad : NULL, s);
        if (!judged)
            continue;
        s->spikes = judged->count[NR_BAD_SPIKE];
        s->stuck_s = stuck_seconds(look, judged);
        s->noise = judged->noise;
    }
}

static void sum_up_record(nr_look *look)
{
    nr_inspect *x = look->out;
    const nr_quality *q = look->q;
    nr_copy(x->folder, sizeof x->folder, look->run->folder);
    nr_copy(x->title, sizeof x->title, look->run->rig.title);
    x->rows = q->rows;
    x->duration_s = q->duration_s;
    x->interval_s = q->interval_s;
    x->start_utc_s = look->run->readings->utc_s[0];
    x->incidence_lo_deg = x->incidence_hi_deg = NAN;
    for (size_t i = 0; i < q->gaps && i < NR_QUALITY_EVENTS && x->gaps < NR_GAPS; i++)
        x->gap[x->gaps++] = (nr_gap){q->gap[i].at_s, q->gap[i].length_s};
}

/* -- the verdict */

static bool of_use(const nr_look *look, nr_role role)
{
    return (double)look->q->channel[role].good >= LEAST_GOOD * (double)look->q->rows &&
           !look->unit_wrong[role];
}

static void judge(nr_look *look)
{
    nr_inspect *x = look->out;
    bool base = of_use(look, NR_ROLE_AIR) && of_use(look, NR_ROLE_SUN) && !look->dark &&
                look->q->duration_s >= LEAST_DURATION_S;
    x->usable_for_store = base && of_use(look, NR_ROLE_STORE);
    x->usable_for_loop = base && of_use(look, NR_ROLE_INLET) && of_use(look, NR_ROLE_OUTLET) &&
                         of_use(look, NR_ROLE_FLOW) && !look->probes_wrong &&
                         look->q->pump_on_s >= LEAST_PUMPED_S;
}

static const nr_finding *worst(const nr_inspect *x, size_t *doubts, size_t *faults)
{
    const nr_finding *first = NULL;
    *doubts = *faults = 0;
    for (size_t i = 0; i < x->findings; i++) {
        const nr_finding *f = &x->finding[i];
        *doubts += f->severity == NR_SEVERITY_DOUBT;
        *faults += f->severity == NR_SEVERITY_FAULT;
        if (f->severity > NR_SEVERITY_NOTE && (!first || f->severity > first->severity))
            first = f;
    }
    return first;
}

/* The first sentence of a finding's text. */
static int first_sentence(const char *text)
{
    const char *end = strstr(text, ". ");
    return end ? (int)(end - text + 1) : (int)strlen(text);
}

static void say_verdict(nr_inspect *x)
{
    size_t doubts, faults;
    const nr_finding *first = worst(x, &doubts, &faults);
    const char *use = x->usable_for_store && x->usable_for_loop
                          ? "from the container's temperature and from the loop"
                      : x->usable_for_store ? "from the container's temperature"
                      : x->usable_for_loop  ? "from the loop"
                                            : NULL;
    double minutes = x->duration_s / 60.0;
    char others[64] = "";
    if (doubts + faults > 1)
        snprintf(others, sizeof others, " %zu more below.", doubts + faults - 1);
    if (!first && use)
        snprintf(x->sentence, sizeof x->sentence,
                 "This record of %.0f minutes is good: the collector can be fitted %s.", minutes,
                 use);
    else if (!first)
        snprintf(x->sentence, sizeof x->sentence,
                 "This record of %.0f minutes is sound but does not hold what a fit needs.",
                 minutes);
    else if (strcmp(first->code, "no-sun") == 0 && doubts + faults == 1)
        snprintf(x->sentence, sizeof x->sentence,
                 "This record of %.0f minutes has no sun: it tells the losses when it is fitted "
                 "together with a sunny run of the same build, and nothing by itself.",
                 minutes);
    else if (use)
        snprintf(x->sentence, sizeof x->sentence,
                 "This record of %.0f minutes can be fitted %s, but with %s: %.*s%s", minutes, use,
                 first->severity == NR_SEVERITY_FAULT ? "a fault to mend first" : "a doubt",
                 first_sentence(first->text), first->text, others);
    else
        snprintf(x->sentence, sizeof x->sentence,
                 "This record of %.0f minutes cannot be fitted as it is: %.*s%s", minutes,
                 first_sentence(first->text), first->text, others);
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
    int code = strcmp(x->code, y->code);
    return code ? code : strcmp(x->channel, y->channel);
}

/* The order in which causes come before their signs. */
static void look_at_all(nr_look *look)
{
    nr_look_record(look);
    nr_look_units(look);
    nr_look_channels(look);
    nr_look_sky(look);
    nr_look_pump(look); /* in the dark a pump that stands is meant to */
    nr_look_heat(look);
    nr_look_lags(look);
    nr_look_worth(look);
    nr_look_cautions(look);
}

static nr_code count_windows(nr_look *look, nr_err *err)
{
    nr_steady *steady;
    nr_code code = nr_steady_find(look->run, look->q, &nr_steady_iso9806, false, &steady, err);
    if (code)
        return code;
    look->strict_windows = steady->count;
    nr_steady_free(steady);
    code = nr_steady_find(look->run, look->q, &nr_steady_field, false, &steady, err);
    if (code)
        return code;
    look->field_windows = steady->count;
    look->out->steady_windows =
        steady->count > look->strict_windows ? steady->count : look->strict_windows;
    nr_steady_free(steady);
    return NR_OK;
}

static nr_code look_closely(nr_look *look, nr_err *err)
{
    look->scratch = calloc(look->q->rows, sizeof(double));
    if (!look->scratch)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    sum_up_record(look);
    sum_up_channels(look);
    nr_code code = nr_sky_blocks(look, err);
    if (!code)
        code = nr_heat_balance(look, err);
    if (!code)
        code = count_windows(look, err);
    if (code)
        return code;
    look_at_all(look);
    judge(look);
    qsort(look->out->finding, look->out->findings, sizeof(nr_finding), by_severity);
    say_verdict(look->out);
    return NR_OK;
}

nr_code nr_inspect_run(const nr_run *run, nr_inspect **out, nr_err *err)
{
    *out = NULL;
    nr_quality *quality = NULL;
    nr_code code = nr_quality_check(run, &quality, err);
    if (code)
        return code;
    nr_look look = {.run = run, .q = quality, .out = calloc(1, sizeof(nr_inspect))};
    code = look.out ? look_closely(&look, err) : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    free(look.scratch);
    free(look.block);
    nr_quality_free(quality);
    if (code)
        nr_inspect_free(look.out);
    else
        *out = look.out;
    return code;
}

void nr_inspect_free(nr_inspect *inspect)
{
    free(inspect);
}
