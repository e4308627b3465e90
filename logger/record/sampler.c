/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/sampler.h"

#include "logger/base/text.h"
#include "logger/port/modbus_point.h"
#include "logger/record/reading.h"
#include "logger/wire/counter.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A step of the wall clock against the steady one beyond this is a clock being set, not jitter. */
static const double clock_step_s = 0.5;
/* Lines that were held up (a busy disk, a stopped process) come all at once and are placed a
 * millisecond apart; beyond this they would stray too far from the truth. */
static const double bunch_limit_ms = 1000;
/* Silence of this many intervals (and at least gap_floor_s) is a gap. */
static const double gap_intervals = 2.5;
static const double gap_floor_s = 2;
/* An adapter that is later than two intervals and this no longer leads. A wrong guess costs a row
 * that has only the other adapter's values; waiting longer would cost those values. */
static const double lead_slack_s = 0.1;
/* By how many lines over what time the interval is judged: lines bunch up at the start. */
static const unsigned rate_lines_wanted = 30;
static const double rate_span_s = 5;

typedef struct source {
    const nr_rig_adapter *rig;
    nr_rig_adapter format; /* what its lines look like: nr_sampler_format */
    nr_counter counter;
    nr_sampler_counts counts;
    size_t fields_needed;       /* values: the highest index a channel names */
    size_t fields_seen;         /* values: what the last line had, 0: none yet */
    double good_at_s;           /* host: last good line */
    double utc_minus_elapsed_s; /* host: the wall clock's place at the last line */
    double rate_from_s;         /* series: first line of those by which the rate is judged */
    unsigned rate_lines;
    bool rate_judged;
} source;

typedef struct cell {
    double value, raw, host_s;
    bool spent;
} cell;

struct nr_sampler {
    const nr_rig *rig;
    nr_sampler_event event;
    void *context;
    source source[NR_RIG_ADAPTERS];
    size_t adapter_of[NR_RIG_CHANNELS];
    cell cell[NR_RIG_CHANNELS];
    nr_channel_counts channel[NR_RIG_CHANNELS];
    double last_ms;       /* of the last row, -1: none */
    double last_host_s;   /* host's time when it came */
    double utc_at_zero_s; /* wall clock at elapsed 0, for adapter clocks */
    bool placed;          /* utc_at_zero_s is set */
};

size_t nr_sampler_adapter_of(const nr_rig *rig, const nr_rig_channel *channel)
{
    for (size_t i = 0; i < rig->adapters; i++)
        if (strcmp(rig->adapter[i].name, channel->adapter) == 0)
            return i;
    return 0;
}

nr_rig_adapter nr_sampler_format(const nr_rig_adapter *adapter)
{
    nr_rig_adapter format = *adapter;
    if (adapter->kind == NR_ADAPTER_MODBUS) {
        format.line = NR_LINE_PAIRS;
        format.separator = ',';
        format.checksum = NR_CHECKSUM_NONE;
        format.clock = NR_CLOCK_HOST;
    }
    return format;
}

int nr_sampler_unit(const nr_rig_channel *channel)
{
    return channel->modbus_unit > 0 ? channel->modbus_unit : 1;
}

const char *nr_sampler_type(const nr_rig_channel *channel)
{
    return channel->modbus_type[0] ? channel->modbus_type : "s16";
}

const char *nr_sampler_field(const nr_rig *rig, const nr_rig_channel *channel)
{
    size_t a = nr_sampler_adapter_of(rig, channel);
    return rig->adapter[a].kind == NR_ADAPTER_MODBUS ? channel->name : channel->field;
}

static bool is(const char *text, size_t length, const char *wanted)
{
    return strlen(wanted) == length && memcmp(text, wanted, length) == 0;
}

const nr_field *nr_sampler_find(const nr_rig *rig, const nr_rig_channel *channel,
                                const nr_fields *fields)
{
    char address[NR_MODBUS_ADDRESS];
    const nr_rig_adapter *adapter = &rig->adapter[nr_sampler_adapter_of(rig, channel)];
    if (adapter->kind != NR_ADAPTER_MODBUS)
        return nr_fields_find(fields, adapter->line, channel->field);
    nr_modbus_address(nr_sampler_unit(channel), channel->modbus_register, nr_sampler_type(channel),
                      address);
    for (size_t i = 0; i < fields->count; i++) {
        const nr_field *f = &fields->field[i];
        const char *at = f->key_length > 0 ? memchr(f->key, '@', f->key_length) : NULL;
        if (at ? is(at + 1, f->key_length - (size_t)(at + 1 - f->key), address)
               : is(f->key, f->key_length, channel->name))
            return f;
    }
    return NULL;
}

nr_sampler *nr_sampler_new(const nr_rig *rig, double last_elapsed_s, nr_sampler_event event,
                           void *context)
{
    nr_sampler *s = calloc(1, sizeof *s);
    if (!s)
        return NULL;
    s->rig = rig;
    s->event = event;
    s->context = context;
    s->last_ms = last_elapsed_s >= 0 ? round(last_elapsed_s * 1000) : -1;
    s->last_host_s = fmax(last_elapsed_s, 0);
    for (size_t i = 0; i < rig->adapters; i++) {
        s->source[i].rig = &rig->adapter[i];
        s->source[i].format = nr_sampler_format(&rig->adapter[i]);
        s->source[i].good_at_s = s->last_host_s;
        nr_counter_init(&s->source[i].counter, rig->adapter[i].interval_s);
    }
    for (size_t c = 0; c < rig->channels; c++) {
        size_t a = nr_sampler_adapter_of(rig, &rig->channel[c]);
        long index = 0;
        s->adapter_of[c] = a;
        s->cell[c] = (cell){.value = NAN, .raw = NAN, .spent = true};
        if (s->source[a].format.line == NR_LINE_VALUES &&
            nr_parse_long(rig->channel[c].field, 1, NR_FIELDS_MAX, &index) &&
            (size_t)index > s->source[a].fields_needed)
            s->source[a].fields_needed = (size_t)index;
    }
    return s;
}

void nr_sampler_free(nr_sampler *s)
{
    free(s);
}

static void tell(nr_sampler *s, nr_note_kind kind, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void tell(nr_sampler *s, nr_note_kind kind, const char *format, ...)
{
    char text[400];
    va_list args;
    if (!s->event)
        return;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    s->event(s->context, kind, text);
}

/* "" for a rig with one adapter, else " of adapter NAME". */
static const char *whose(const nr_sampler *s, const source *from, char *out, size_t size)
{
    out[0] = '\0';
    if (s->rig->adapters > 1)
        snprintf(out, size, " of adapter %s", from->rig->name[0] ? from->rig->name : "(unnamed)");
    return out;
}

/* --- is it a line of ours? --------------------------------------------------------------- */

/* In `values` a line is only believed when it has as many fields as the one before: a lost or
 * doubled line end would otherwise shift every value by one. A new count must come twice. */
static nr_line_fault check_count(source *from, const nr_fields *fields)
{
    size_t before = from->fields_seen;
    from->fields_seen = fields->count;
    bool settled = before == 0 || before == fields->count;
    return fields->count < from->fields_needed || !settled ? NR_LINE_TOO_SHORT : NR_LINE_GOOD;
}

/* A known key twice means that two lines ran together; no known key, that it is not ours. */
static nr_line_fault check_keys(const nr_sampler *s, size_t a, const nr_fields *fields)
{
    size_t known = 0;
    for (size_t c = 0; c < s->rig->channels; c++) {
        if (s->adapter_of[c] != a)
            continue;
        if (s->source[a].rig->kind == NR_ADAPTER_MODBUS) { /* we write those lines ourselves */
            known += nr_sampler_find(s->rig, &s->rig->channel[c], fields) != NULL;
            continue;
        }
        const char *key = nr_sampler_field(s->rig, &s->rig->channel[c]);
        size_t length = strlen(key), times = 0;
        for (size_t i = 0; i < fields->count; i++)
            if (fields->field[i].key_length == length &&
                memcmp(fields->field[i].key, key, length) == 0)
                times++;
        if (times > 1)
            return NR_LINE_GARBAGE;
        known += times;
    }
    return known > 0 ? NR_LINE_GOOD : NR_LINE_UNKNOWN;
}

static nr_line_fault judge(nr_sampler *s, size_t a, const nr_wire_line *line, nr_fields *fields)
{
    source *from = &s->source[a];
    if (line->cut)
        return NR_LINE_OVERLONG;
    if (line->open)
        return NR_LINE_HALF;
    nr_line_fault fault = nr_fields_split(&from->format, line->text, line->length, fields);
    if (fault != NR_LINE_GOOD)
        return fault;
    /* With a checksum, a first line that passed it is known to have its beginning; the polled
     * port writes its lines itself. */
    bool whole = from->format.checksum != NR_CHECKSUM_NONE || from->rig->kind == NR_ADAPTER_MODBUS;
    if (line->first && !whole)
        return NR_LINE_HALF;
    return from->format.line == NR_LINE_VALUES ? check_count(from, fields)
                                               : check_keys(s, a, fields);
}

/* --- values ------------------------------------------------------------------------------ */

static double cold_of(const nr_sampler *s, const nr_rig_channel *channel, double host_s)
{
    for (size_t c = 0; c < s->rig->channels && channel->cold_channel[0]; c++) {
        if (strcmp(s->rig->channel[c].name, channel->cold_channel) != 0)
            continue;
        const nr_rig_adapter *adapter = &s->rig->adapter[s->adapter_of[c]];
        bool fresh = host_s - s->cell[c].host_s <= fmax(10 * adapter->interval_s, 5);
        return fresh ? s->cell[c].value : NAN;
    }
    return nr_reading_cold_key(channel);
}

static void take_channel(nr_sampler *s, size_t c, const nr_fields *fields, double host_s)
{
    const nr_rig_channel *channel = &s->rig->channel[c];
    nr_channel_counts *counts = &s->channel[c];
    cell *to = &s->cell[c];
    if (channel->law->stated) { /* nothing of it is on the wire */
        counts->good++;
        return;
    }
    const nr_field *field = nr_sampler_find(s->rig, channel, fields);
    if (!field) {
        counts->missing++;
        return;
    }
    *to = (cell){.value = NAN, .host_s = host_s};
    const nr_unit *unit;
    if (!nr_field_reading(field, &to->raw, &unit)) {
        counts->unreadable++;
        return;
    }
    to->value = nr_reading_with_unit(channel, to->raw, unit, cold_of(s, channel, host_s));
    if (isnan(to->value))
        counts->outside++;
    else
        counts->good++;
}

/* Thermocouples last: their cold junction may be a channel of the same line. */
static void take_values(nr_sampler *s, size_t a, const nr_fields *fields, double host_s)
{
    for (int pass = 0; pass < 2; pass++)
        for (size_t c = 0; c < s->rig->channels; c++)
            if (s->adapter_of[c] == a && s->rig->channel[c].law->wants_cold == (pass == 1))
                take_channel(s, c, fields, host_s);
}

/* --- time -------------------------------------------------------------------------------- */

/* The run's time of this line by the adapter's counter. False: no believable count. */
static bool adapter_time(nr_sampler *s, source *from, const nr_fields *fields, double host_s,
                         double *elapsed_s)
{
    double count = NAN;
    char who[96];
    const nr_field *field = nr_fields_find(fields, from->format.line, from->rig->clock_field);
    if (!field || !nr_field_number(field, &count))
        return false;
    uint32_t before = from->counter.last;
    switch (nr_counter_take(&from->counter, count, host_s, elapsed_s)) {
    case NR_COUNT_DOUBTED:
        return false;
    case NR_COUNT_WRAPPED:
        tell(s, NR_NOTE_CLOCK, "milliseconds counter%s wrapped around",
             whose(s, from, who, sizeof who));
        return true;
    case NR_COUNT_RESTARTED:
        tell(s, NR_NOTE_CLOCK,
             "adapter%s was reset: its counter went from %lu to %.0f; time goes on by the host",
             whose(s, from, who, sizeof who), (unsigned long)before, count);
        return true;
    case NR_COUNT_FIRST:
    case NR_COUNT_ON:
        break;
    }
    return true;
}

/* Moves the label time along when the wall clock was set while the steady clock went on. */
static void follow_wall_clock(nr_sampler *s, source *from, nr_stamp stamp)
{
    double now = stamp.utc_s - stamp.elapsed_s;
    double step = now - from->utc_minus_elapsed_s;
    if (!s->placed) {
        s->utc_at_zero_s = now;
        s->placed = true;
    } else if (from->counts.fault[NR_LINE_GOOD] > 0 && fabs(step) > clock_step_s) {
        s->utc_at_zero_s += step;
    }
    from->utc_minus_elapsed_s = now;
}

/* Does this adapter's line make a row? Only if no adapter before it in the rig is alive. */
static bool leads(const nr_sampler *s, size_t a, double host_s)
{
    for (size_t i = 0; i < a; i++) {
        double patience = 2 * s->rig->adapter[i].interval_s + lead_slack_s;
        if (host_s - s->source[i].good_at_s <= patience)
            return false;
    }
    return true;
}

/* --- rows -------------------------------------------------------------------------------- */

static void note_gap(nr_sampler *s, const source *from, double ms)
{
    double limit_ms = 1000 * fmax(gap_intervals * from->rig->interval_s, gap_floor_s);
    if (s->last_ms >= 0 && ms - s->last_ms > limit_ms)
        tell(s, NR_NOTE_GAP, "no readings for %.1f s, from %.3f to %.3f", (ms - s->last_ms) / 1000,
             s->last_ms / 1000, ms / 1000);
}

/* Once, when there is enough to judge by. */
static void judge_rate(nr_sampler *s, source *from, double elapsed_s)
{
    char who[96];
    if (from->rate_judged)
        return;
    if (from->rate_lines == 0)
        from->rate_from_s = elapsed_s;
    double span_s = elapsed_s - from->rate_from_s;
    if (from->rate_lines++ < rate_lines_wanted || span_s < rate_span_s)
        return;
    from->rate_judged = true;
    double mean_s = span_s / (from->rate_lines - 1);
    double ratio = mean_s / from->rig->interval_s;
    if (ratio < 0.67 || ratio > 1.5)
        tell(s, NR_NOTE_PORT, "lines%s come every %.3g s; the rig says interval_s = %g",
             whose(s, from, who, sizeof who), mean_s, from->rig->interval_s);
}

static void fill_row(nr_sampler *s, size_t a, double host_s, nr_sample *out)
{
    for (size_t c = 0; c < s->rig->channels; c++) {
        size_t of = s->adapter_of[c];
        double slower_s = fmax(s->rig->adapter[of].interval_s, s->rig->adapter[a].interval_s);
        cell *from = &s->cell[c];
        bool fresh = !from->spent && (of == a || host_s - from->host_s <= 1.5 * slower_s);
        out->value[c] = fresh ? from->value : NAN;
        out->raw[c] = fresh ? from->raw : NAN;
        from->spent = true;
        if (s->rig->channel[c].law->stated)
            out->value[c] = nr_reading_convert(&s->rig->channel[c], NAN, NAN);
    }
}

/* False: it would be the second row of its millisecond. */
static bool place_row(nr_sampler *s, double elapsed_s, double *ms)
{
    double own = round(elapsed_s * 1000);
    *ms = fmax(own, s->last_ms + 1);
    return *ms - own <= bunch_limit_ms;
}

nr_line_fault nr_sampler_line(nr_sampler *s, size_t adapter, nr_stamp stamp,
                              const nr_wire_line *line, nr_sample *out, bool *row)
{
    source *from = &s->source[adapter];
    nr_fields fields;
    double elapsed_s = stamp.elapsed_s, ms = 0;
    bool by_adapter = from->format.clock == NR_CLOCK_ADAPTER;
    *row = false;
    nr_line_fault fault = judge(s, adapter, line, &fields);
    if (fault == NR_LINE_GOOD && by_adapter &&
        !adapter_time(s, from, &fields, stamp.elapsed_s, &elapsed_s))
        fault = NR_LINE_NO_CLOCK;
    if (fault == NR_LINE_GOOD)
        follow_wall_clock(s, from, stamp);
    from->counts.fault[fault]++;
    if (fault != NR_LINE_GOOD)
        return fault;

    from->good_at_s = stamp.elapsed_s;
    judge_rate(s, from, elapsed_s);
    take_values(s, adapter, &fields, stamp.elapsed_s);
    if (!leads(s, adapter, stamp.elapsed_s))
        return fault;
    if (!place_row(s, elapsed_s, &ms)) {
        from->counts.crowded++;
        return fault;
    }
    note_gap(s, from, ms);
    fill_row(s, adapter, stamp.elapsed_s, out);
    out->elapsed_s = ms / 1000;
    out->utc_s = by_adapter ? s->utc_at_zero_s + out->elapsed_s : stamp.utc_s;
    s->last_ms = ms;
    s->last_host_s = stamp.elapsed_s;
    from->counts.rows++;
    *row = true;
    return fault;
}

const nr_sampler_counts *nr_sampler_counted(const nr_sampler *s, size_t adapter)
{
    return &s->source[adapter].counts;
}

const nr_channel_counts *nr_sampler_channel(const nr_sampler *s, size_t channel)
{
    return &s->channel[channel];
}

double nr_sampler_now(const nr_sampler *s, double host_elapsed_s)
{
    if (s->last_ms < 0)
        return host_elapsed_s;
    return s->last_ms / 1000 + fmax(host_elapsed_s - s->last_host_s, 0);
}

bool nr_sampler_drift(const nr_sampler *s, size_t adapter, double *drift, double *u_drift)
{
    return s->source[adapter].format.clock == NR_CLOCK_ADAPTER &&
           nr_counter_drift(&s->source[adapter].counter, drift, u_drift);
}
