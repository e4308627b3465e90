/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/watch/view_words.h"

#include "analyze/physics/cautions.h"
#include "logger/base/text.h"
#include "logger/watch/heat.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define NORMAL_95 1.96
#define SILENT_INTERVALS 5.0
#define SILENT_S 5.0
#define STUCK_S 600.0
#define STUCK_MOVED_K 1.0
#define RECORDER_SILENT_S 10.0
#define BRIGHT_SHARE 0.6

/* --- small words --------------------------------------------------------------------------- */

void nr_view_clock(double seconds, char *out, size_t size)
{
    long t = lround(floor(fmax(0.0, seconds)));
    snprintf(out, size, "%ld:%02ld:%02ld", t / 3600, t / 60 % 60, t % 60);
}

void nr_view_ago(double seconds, char *out, size_t size)
{
    long t = lround(fmax(0.0, seconds));
    if (t < 90)
        snprintf(out, size, "%ld s", t);
    else if (t < 5400)
        snprintf(out, size, "%ld min", (t + 30) / 60);
    else
        snprintf(out, size, "%ld h %ld min", t / 3600, t / 60 % 60);
}

static bool is_temperature(const nr_tail_channel *c)
{
    return c->unit && c->unit->dimension == NR_DIM_TEMPERATURE;
}

static const char *degrees(const nr_view_options *o)
{
    if (o->utf8)
        return o->fahrenheit ? "°F" : "°C";
    return o->fahrenheit ? "degF" : "degC";
}

const char *nr_view_label(const nr_tail_channel *c, const nr_view_options *o)
{
    if (is_temperature(c))
        return degrees(o);
    const nr_unit *unit = o->fahrenheit ? nr_unit_us(c->unit) : c->unit;
    return unit && o->utf8 ? unit->label : unit ? unit->name : c->label;
}

double nr_view_shown(const nr_tail_channel *c, bool us, double value)
{
    const nr_unit *unit = us ? nr_unit_us(c->unit) : c->unit;
    if (!unit || unit == c->unit)
        return value;
    return nr_unit_from_canonical(unit, nr_unit_to_canonical(c->unit, value));
}

static int decimals(const nr_tail_channel *c)
{
    if (!c->unit)
        return 2;
    switch (c->unit->dimension) {
    case NR_DIM_TEMPERATURE:
    case NR_DIM_SPEED:
        return 1;
    case NR_DIM_IRRADIANCE:
        return 0;
    default:
        return 2;
    }
}

void nr_view_number(const nr_tail_channel *c, bool fahrenheit, double value, char *out, size_t size)
{
    if (isnan(value))
        nr_copy(out, size, "-");
    else
        nr_format_number(out, size, nr_view_shown(c, fahrenheit, value), decimals(c));
}

/* --- remarks on channels ------------------------------------------------------------------- */

static double interval_s(const nr_tail *t)
{
    size_t n = t->rows < 60 ? t->rows : 60;
    return n < 2 ? 1.0 : (t->time_s[t->rows - 1] - t->time_s[t->rows - n]) / (double)(n - 1);
}

/* How much a channel moved since a time. */
static double moved_since(const nr_tail *t, const nr_tail_channel *c, double since_s)
{
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < t->rows; i++) {
        if (t->time_s[i] < since_s || isnan(c->value[i]))
            continue;
        low = fmin(low, c->value[i]);
        high = fmax(high, c->value[i]);
    }
    return high >= low ? high - low : 0.0;
}

void nr_view_remark(const nr_tail *t, const nr_tail_channel *c, char *out, size_t size)
{
    char ago[40];
    double now = t->rows > 0 ? t->time_s[t->rows - 1] : 0.0;
    const nr_tail_channel *store = nr_tail_find(t, "store");
    out[0] = '\0';
    if (t->rows == 0)
        return;
    if (isnan(c->last)) {
        nr_copy(out, size, "no reading yet");
        return;
    }
    double silent = now - c->last_s, still = c->last_s - c->changed_s;
    if (silent > fmax(SILENT_S, SILENT_INTERVALS * interval_s(t))) {
        nr_view_ago(silent, ago, sizeof ago);
        snprintf(out, size, "no reading for %s", ago);
    } else if (is_temperature(c) && still > STUCK_S && store && store != c &&
               moved_since(t, store, c->changed_s) > STUCK_MOVED_K) {
        nr_view_ago(still, ago, sizeof ago);
        snprintf(out, size, "stuck for %s?", ago);
    }
}

/* --- the course ---------------------------------------------------------------------------- */

#define COURSE_CELLS 30

/* Mean of the spans that a cell covers; NAN: none holds a reading. */
static double cell_mean(const nr_history *h, size_t channel, size_t cell, size_t cells)
{
    double sum = 0.0;
    int n = 0;
    for (size_t i = cell * h->count / cells; i < (cell + 1) * h->count / cells; i++) {
        double value = nr_history_value(h, channel, i);
        if (isnan(value))
            continue;
        sum += value;
        n++;
    }
    return n > 0 ? sum / n : NAN;
}

/* The store over the whole run as a row of bars, lowest to highest. */
static void say_course(const nr_tail *t, const nr_tail_channel *store, const nr_view_options *o,
                       nr_view_words *w)
{
    static const char *const bars[] = {"▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"};
    static const char *const ascii[] = {"_", ".", "-", "=", "+", "*", "#", "@"};
    char low[24], high[24];
    size_t channel = (size_t)(store - t->channel), used = 0;
    size_t cells = t->history.count < COURSE_CELLS ? t->history.count : COURSE_CELLS;
    double span = store->high - store->low;
    if (cells < 2 || !(span > 0.0))
        return;
    for (size_t i = 0; i < cells; i++) {
        double mean = cell_mean(&t->history, channel, i, cells);
        int level = isnan(mean) ? 0 : (int)lround(7.0 * (mean - store->low) / span);
        const char *bar = isnan(mean) ? " " : (o->utf8 ? bars : ascii)[level];
        used += (size_t)snprintf(w->course + used, sizeof w->course - used, "%s", bar);
    }
    nr_view_number(store, o->fahrenheit, store->low, low, sizeof low);
    nr_view_number(store, o->fahrenheit, store->high, high, sizeof high);
    snprintf(w->course + used, sizeof w->course - used, "  store, %s to %s %s", low, high,
             degrees(o));
}

/* --- the headline -------------------------------------------------------------------------- */

static void say_rate(const nr_trend *trend, const nr_view_options *o, nr_view_words *w)
{
    double factor = 60.0 * nr_kelvin_shown(1, o->fahrenheit);
    double rate = trend->rate_s * factor, u95 = NORMAL_95 * trend->u_rate_s * factor;
    char lo[32], hi[32], interval[80] = "";
    if (!trend->known) {
        nr_copy(w->rate, sizeof w->rate, "rate: not yet known");
        return;
    }
    snprintf(lo, sizeof lo, "%+.2f", rate - u95);
    snprintf(hi, sizeof hi, "%+.2f", rate + u95);
    if (strcmp(lo, hi) != 0)
        snprintf(interval, sizeof interval, " (%s to %s)", lo, hi);
    snprintf(w->rate, sizeof w->rate, "%+.2f %s a minute%s", rate, degrees(o), interval);
}

static void say_heat(const nr_tail *t, const nr_trend *trend, nr_view_words *w)
{
    char lo[32], hi[32];
    if (!t->has_rig)
        return;
    nr_heat_value heat = nr_heat_rate(trend, nr_heat_capacity(&t->rig));
    if (isnan(heat.value))
        return;
    snprintf(lo, sizeof lo, "%+.0f", heat.value - NORMAL_95 * heat.u);
    snprintf(hi, sizeof hi, "%+.0f", heat.value + NORMAL_95 * heat.u);
    snprintf(w->heat, sizeof w->heat, "%+.0f W", heat.value);
    if (strcmp(lo, hi) != 0)
        snprintf(w->heat, sizeof w->heat, "%+.0f W (%s to %s)", heat.value, lo, hi);
}

static void say_interim(const nr_interim *interim, bool recording, nr_view_words *w)
{
    if (!interim)
        return;
    nr_interim_efficiency_words(interim, 0, w->efficiency, sizeof w->efficiency);
    nr_interim_stop_words(interim, 0, recording, w->stop, sizeof w->stop);
    if (!interim->fitted && interim->why_not[0])
        snprintf(w->stop, sizeof w->stop, "no estimate: %.*s", NR_VIEW_WORDS - 20,
                 interim->why_not);
}

static void minutes(double seconds, char *out, size_t size)
{
    if (isinf(seconds))
        nr_copy(out, size, "never");
    else if (seconds < 90.0)
        snprintf(out, size, "%.0f s", seconds);
    else
        snprintf(out, size, "%.0f", seconds / 60.0);
}

static void say_target(const nr_tail *t, const nr_trend *trend, const nr_view_options *o,
                       nr_view_words *w)
{
    char at[24], lo[24], hi[24];
    if (isnan(o->target_degC))
        return;
    double degC = o->target_degC;
    nr_time_to eta = nr_trend_time_to(trend, degC, nr_heat_slowing(t->has_rig ? &t->rig : NULL));
    if (!trend->known && nr_tail_find(t, "store")->last >= degC)
        eta.kind = NR_TIME_TO_REACHED;
    snprintf(at, sizeof at, "%.1f %s", nr_degC_shown(degC, o->fahrenheit), degrees(o));
    if (!t->recording) {
        bool was = nr_tail_find(t, "store")->high >= degC;
        snprintf(w->target, sizeof w->target, "%s was %sreached", at, was ? "" : "not ");
        return;
    }
    switch (eta.kind) {
    case NR_TIME_TO_REACHED:
        snprintf(w->target, sizeof w->target, "%s is reached", at);
        return;
    case NR_TIME_TO_AWAY:
        snprintf(w->target, sizeof w->target, "%s: the water is cooling", at);
        return;
    case NR_TIME_TO_UNKNOWN:
        snprintf(w->target, sizeof w->target, "%s: no telling when, yet", at);
        return;
    case NR_TIME_TO_COMING:
        break;
    }
    if (nr_pump_seen_in(t).state == NR_PUMP_STOPPED) {
        snprintf(w->target, sizeof w->target, "%s: no telling while the pump stands", at);
        return;
    }
    if (isinf(eta.seconds)) {
        snprintf(w->target, sizeof w->target, "%s: hardly with this sun", at);
        return;
    }
    minutes(eta.lo95_s, lo, sizeof lo);
    minutes(eta.hi95_s, hi, sizeof hi);
    if (eta.seconds < 90.0)
        snprintf(w->target, sizeof w->target, "%s in about %.0f s in this sun", at, eta.seconds);
    else if (strcmp(lo, hi) == 0) /* the interval is within the rounding */
        snprintf(w->target, sizeof w->target, "%s in %s min in this sun", at, lo);
    else
        snprintf(w->target, sizeof w->target, "%s in %.0f min (%s to %s) in this sun", at,
                 eta.seconds / 60.0, lo, hi);
}

static void say_sun(const nr_tail *t, const nr_view_options *o, nr_view_words *w)
{
    const nr_tail_channel *sun = nr_tail_find(t, "sun");
    if (!sun || isnan(sun->last))
        return;
    double best = 0.0;
    for (size_t i = t->rows; i-- > 0 && t->time_s[i] > nr_tail_now_s(t) - 900.0;)
        best = fmax(best, isnan(sun->value[i]) ? 0.0 : sun->value[i]);
    snprintf(w->sun, sizeof w->sun, "sun %.0f %s%s", nr_view_shown(sun, o->fahrenheit, sun->last),
             nr_view_label(sun, o),
             best > 100.0 && sun->last < BRIGHT_SHARE * best ? ", a cloud" : "");
}

static void say_pump(const nr_tail *t, nr_view_words *w)
{
    nr_pump_seen pump = nr_pump_seen_in(t);
    char ago[40];
    if (pump.state == NR_PUMP_UNKNOWN)
        return;
    const char *what = pump.state == NR_PUMP_RUNNING ? "running" : "stopped";
    if (isnan(pump.since_s)) {
        snprintf(w->pump, sizeof w->pump, "pump %s", what);
        return;
    }
    nr_view_ago(nr_tail_now_s(t) - pump.since_s, ago, sizeof ago);
    if (pump.state == NR_PUMP_RUNNING)
        snprintf(w->pump, sizeof w->pump, "pump running for %s", ago);
    else
        snprintf(w->pump, sizeof w->pump, "pump stopped %s ago%s", ago,
                 pump.cloud ? ": cloud" : "");
}

static void say_state(const nr_tail *t, nr_view_words *w)
{
    char clock[32], ago[40];
    double last = t->rows > 0 ? t->time_s[t->rows - 1] : 0.0, now = nr_tail_now_s(t);
    nr_view_clock(t->recording ? now : last, clock, sizeof clock);
    w->state_strange = true;
    if (!t->recording) {
        snprintf(w->state, sizeof w->state, "ended after %s", clock);
        w->state_strange = false;
    } else if (t->state_age_s > RECORDER_SILENT_S) {
        nr_view_ago(t->state_age_s, ago, sizeof ago);
        snprintf(w->state, sizeof w->state, "nothing from the recorder for %s", ago);
    } else if (t->state.trouble[0]) {
        snprintf(w->state, sizeof w->state, "disk in trouble, %s", clock);
    } else if (t->state.waiting) {
        snprintf(w->state, sizeof w->state, "waiting for the port, %s", clock);
    } else if (t->rows > 0 && now - last > fmax(SILENT_S, SILENT_INTERVALS * interval_s(t))) {
        nr_view_ago(now - last, ago, sizeof ago);
        snprintf(w->state, sizeof w->state, "no reading for %s", ago);
    } else {
        snprintf(w->state, sizeof w->state, "recording %s", clock);
        w->state_strange = false;
    }
}

/* Also of collectors that are not looked at, and of channels that the rig file does not have. */
static bool has_role(const nr_rig *rig, const char *channel, const char *role)
{
    const nr_rig_channel *c = nr_rig_channel_find(rig, channel);
    return strcmp(c && c->role[0] ? c->role : channel, role) == 0;
}

/* The first hot water that somebody may put a hand under. */
static void say_warning(const nr_tail *t, const nr_view_options *o, nr_view_words *w)
{
    static const char *const wet[] = {"store", "outlet", "inlet"};
    const nr_tail_channel *hottest = NULL;
    char sentence[300];
    for (int i = 0; i < 3; i++)
        for (size_t k = 0; k < t->channels; k++) {
            const nr_tail_channel *c = &t->channel[k];
            bool is = t->has_rig ? has_role(&t->file, c->name, wet[i]) : !strcmp(c->name, wet[i]);
            if (is && nr_caution_scald(c->last, o->fahrenheit, sentence, sizeof sentence) &&
                !hottest)
                hottest = c;
        }
    if (hottest && nr_caution_scald(hottest->last, o->fahrenheit, sentence, sizeof sentence))
        snprintf(w->warning, sizeof w->warning, "CAUTION, %s: %s", hottest->name, sentence);
}

void nr_view_say(const nr_tail *t, const nr_view_options *o, nr_view_words *w)
{
    const nr_tail_channel *store = nr_tail_find(t, "store");
    memset(w, 0, sizeof *w);
    nr_copy(w->unit, sizeof w->unit, degrees(o));
    say_state(t, w);
    say_sun(t, o, w);
    say_pump(t, w);
    say_warning(t, o, w);
    say_interim(o->interim, t->recording, w);
    if (!store) {
        nr_copy(w->water, sizeof w->water, "-");
        nr_copy(w->rate, sizeof w->rate,
                t->rows > 0 ? "the run has no channel store" : "no reading yet");
        return;
    }
    nr_view_number(store, o->fahrenheit, store->last, w->water, sizeof w->water);
    nr_trend trend = nr_trend_of(t->time_s, store->value, t->rows);
    say_rate(&trend, o, w);
    say_heat(t, &trend, w);
    say_course(t, store, o, w);
    say_target(t, &trend, o, w);
}
