/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether the pump ran, row by row.
 *
 * From the flow; without it from the pump's supply; without that from the notes. Two thresholds,
 * relative to what is usual when it runs, and a change must last a few samples: a panel-driven
 * pump at its limit hesitates, and a pulse meter skips.
 *
 * A dead flow meter looks like a pump that stands. It is told apart by the store: when that goes on
 * gaining at the old rate for its sunshine, water was moving. */
#include "analyze/quality/checks.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#define FLOW_ON 0.15 /* of the usual flow */
#define FLOW_OFF 0.08
#define SUPPLY_ON 0.50 /* of the usual supply */
#define SUPPLY_OFF 0.30
#define LEAST_FLOW_L_MIN 0.02 /* a meter that never shows more has shown no flow */
#define ALIVE_BELOW 0.3       /* nor one that swings below zero by this share of it: noise */
#define LASTING_S 3.0         /* a change of state lasts at least this long: two samples or more */
#define CARRY_S 60.0          /* how long a state is believed with no reading */
#define DEAD_S 300.0          /* stretches without flow that are held against the store */
#define DEAD_TRIM_S 60.0
#define DEAD_RISE_K 1.0  /* the store would have gained this much with the pump running */
#define DEAD_SHARE 0.6   /* it gained at least this share of it */
#define DEAD_ALONE_K 3.0 /* rise with no flow in the whole record */
#define DEAD_SUN_W_M2 200.0

typedef struct large {
    nr_good_rows rows;
    nr_role role;
    double over;
} large;

/* nr_passes': good readings that are more than that. */
static size_t over(void *context, size_t chunk, double *out)
{
    large *s = context;
    size_t n = 0, from = chunk * NR_VALUES_BLOCK, end = from + NR_VALUES_BLOCK;
    for (size_t i = from; i < end && i < s->rows.quality->rows; i++) {
        double v = nr_good_at(&s->rows, s->role, i);
        if (v > s->over)
            out[n++] = v;
    }
    return n;
}

static size_t nearly_lowest(size_t count)
{
    return nr_rank_of(0.03, count);
}

static size_t nearly_largest(size_t count)
{
    return nr_rank_of(0.995, count);
}

/* Usual value while running: the median of what exceeds half of nearly the largest. lowest: of
 * nearly all. */
static double usual(const nr_quality *q, nr_role role, double *scratch, double *lowest)
{
    large s = {.role = role, .over = -INFINITY};
    size_t n;
    nr_good_begin(&s.rows, q);
    nr_passes stream = {.chunks = q->rows / NR_VALUES_BLOCK + 1, .fill = over, .context = &s};
    *lowest = nr_passes_smallest(&stream, nearly_lowest, scratch, &n);
    s.over = 0.5 * nr_passes_another(&stream, nearly_largest, scratch, n);
    return nr_passes_smallest(&stream, nr_rank_middle, scratch, &n);
}

typedef struct follower {
    unsigned char state;  /* believed */
    unsigned char wanted; /* seen lately */
    size_t since;         /* row where wanted began, */
    double since_s;       /* and when */
    double last_s;        /* of the last reading */
} follower;

/* States from a channel with two thresholds. */
static void follow(nr_quality *q, nr_role role, double on, double off)
{
    nr_good_rows rows;
    nr_cursor t;
    nr_good_begin(&rows, q);
    nr_cursor_begin(&t, &q->elapsed_s);
    bool seldom = q->interval_s >= LASTING_S; /* then one sample has lasted long enough */
    double carry_s = fmax(CARRY_S, 2.5 * q->interval_s);
    follower f = {
        .state = NR_PUMP_IS_UNKNOWN, .wanted = NR_PUMP_IS_UNKNOWN, .last_s = nr_at(&t, 0)};
    for (size_t i = 0; i < q->rows; i++) {
        double v = nr_good_at(&rows, role, i), t_s = nr_at(&t, i);
        if (isnan(v)) {
            if (t_s - f.last_s > carry_s)
                f.state = f.wanted = NR_PUMP_IS_UNKNOWN;
            q->pump[i] = f.state;
            continue;
        }
        f.last_s = t_s;
        unsigned char seen = f.wanted;
        if (v > on)
            seen = NR_PUMP_IS_ON;
        else if (v < off || seen == NR_PUMP_IS_UNKNOWN)
            seen = NR_PUMP_IS_OFF;
        if (seen != f.wanted) {
            f.wanted = seen;
            f.since = i;
            f.since_s = t_s;
        }
        bool lasted = seldom || t_s - f.since_s >= LASTING_S;
        if (f.state != f.wanted && (lasted || f.state == NR_PUMP_IS_UNKNOWN)) {
            f.state = f.wanted; /* from when it was first seen */
            for (size_t k = f.since; k < i; k++)
                q->pump[k] = f.state;
        }
        q->pump[i] = f.state;
    }
}

static bool note_state(const nr_note *note, unsigned char *state)
{
    if (note->kind != NR_NOTE_PUMP)
        return false;
    if (strncasecmp(note->text, "off", 3) == 0)
        *state = NR_PUMP_IS_OFF;
    else if (strncasecmp(note->text, "on", 2) == 0)
        *state = NR_PUMP_IS_ON;
    else
        return false;
    return true;
}

/* Before the first note the pump was in the other state. */
static bool from_notes(nr_quality *q, const nr_quality_source *source)
{
    nr_cursor t;
    nr_cursor_begin(&t, &q->elapsed_s);
    unsigned char state = NR_PUMP_IS_UNKNOWN;
    size_t row = 0;
    for (size_t k = 0; source->notes && k < source->notes->count; k++) {
        unsigned char next;
        if (!note_state(&source->notes->note[k], &next))
            continue;
        if (state == NR_PUMP_IS_UNKNOWN)
            state = next == NR_PUMP_IS_ON ? NR_PUMP_IS_OFF : NR_PUMP_IS_ON;
        for (; row < q->rows && nr_at(&t, row) < source->notes->note[k].elapsed_s; row++)
            q->pump[row] = state;
        state = next;
    }
    for (; row < q->rows; row++)
        q->pump[row] = state;
    return state != NR_PUMP_IS_UNKNOWN;
}

static bool mostly_there(const nr_quality *q, nr_role role)
{
    return q->channel[role].good * 2 >= q->rows;
}

static bool from_supply(nr_quality *q, double *scratch)
{
    if (!mostly_there(q, NR_ROLE_PUMP))
        return false;
    double lowest;
    q->pump_typical = usual(q, NR_ROLE_PUMP, scratch, &lowest);
    if (!(q->pump_typical > 0.0))
        return false;
    follow(q, NR_ROLE_PUMP, SUPPLY_ON * q->pump_typical, SUPPLY_OFF * q->pump_typical);
    return true;
}

/* Least-squares slope of the store (K/s) and mean sun over rows from..to-1. */
typedef struct stretch {
    double rise_K_s, sun_W_m2, length_s;
} stretch;

static stretch stretch_of(const nr_quality *q, size_t from, size_t to)
{
    nr_cursor t, store, sun_of;
    nr_cursor_begin(&t, &q->elapsed_s);
    nr_cursor_begin(&store, q->channel[NR_ROLE_STORE].value);
    nr_cursor_begin(&sun_of, q->channel[NR_ROLE_SUN].value);
    const unsigned char *spoilt = q->channel[NR_ROLE_SUN].bad;
    double from_s = from < q->rows ? nr_at(&t, from) : NAN;
    double n = 0.0, st = 0.0, sv = 0.0, stt = 0.0, stv = 0.0, sun = 0.0, suns = 0.0;
    for (size_t i = from; i < to; i++) {
        double v = nr_at(&store, i), g = spoilt[i] ? NAN : nr_at(&sun_of, i);
        double x = nr_at(&t, i) - from_s;
        if (!isnan(g)) {
            sun += g;
            suns += 1.0;
        }
        if (isnan(v))
            continue;
        n += 1.0;
        st += x;
        sv += v;
        stt += x * x;
        stv += x * v;
    }
    double spread = n * stt - st * st;
    return (stretch){.rise_K_s = spread > 0.0 ? (n * stv - st * sv) / spread : NAN,
                     .sun_W_m2 = sun / suns,
                     .length_s = to > from ? nr_at(&t, to - 1) - from_s : 0.0};
}

/* Mean of rise over sun while the pump ran, K/s per W/m2, from stretches long enough to tell. */
static double usual_rise(const nr_quality *q)
{
    double sum = 0.0, weight = 0.0;
    for (size_t from = 0; from < q->rows;) {
        size_t to = from;
        while (to < q->rows && q->pump[to] == NR_PUMP_IS_ON)
            to++;
        stretch s = stretch_of(q, from, to);
        if (s.length_s >= DEAD_S && s.sun_W_m2 > DEAD_SUN_W_M2 && s.rise_K_s > 0.0) {
            sum += s.length_s * s.rise_K_s / s.sun_W_m2;
            weight += s.length_s;
        }
        from = to + 1;
    }
    return sum / weight; /* NAN when there was none */
}

static bool looks_dead(const nr_quality *q, size_t from, size_t to, double rise)
{
    nr_cursor t;
    nr_cursor_begin(&t, &q->elapsed_s);
    double from_s = nr_at(&t, from);
    if (nr_at(&t, to - 1) - from_s < DEAD_S)
        return false;
    size_t settled = from; /* what was on its way when the flow ended has arrived */
    while (nr_at(&t, settled) - from_s < DEAD_TRIM_S)
        settled++;
    stretch s = stretch_of(q, settled, to);
    if (!(s.sun_W_m2 > DEAD_SUN_W_M2) || isnan(s.rise_K_s))
        return false;
    if (isnan(rise))
        return s.rise_K_s * s.length_s > DEAD_ALONE_K;
    double expected = rise * s.sun_W_m2 * s.length_s;
    return expected > DEAD_RISE_K && s.rise_K_s * s.length_s > DEAD_SHARE * expected;
}

static void find_dead_flow(nr_quality *q)
{
    if (!q->channel[NR_ROLE_STORE].value || !q->channel[NR_ROLE_SUN].value)
        return;
    nr_cursor flow;
    nr_cursor_begin(&flow, q->channel[NR_ROLE_FLOW].value);
    double rise = usual_rise(q);
    for (size_t from = 0; from < q->rows;) {
        size_t to = from;
        while (to < q->rows && q->pump[to] == NR_PUMP_IS_OFF)
            to++;
        if (to > from && looks_dead(q, from, to, rise)) {
            q->flow_dead = true;
            nr_quality_add_span(&q->channel[NR_ROLE_FLOW], from, to - 1, NR_BAD_STUCK);
            for (size_t i = from; i < to; i++) {
                if (!isnan(nr_at(&flow, i)))
                    nr_quality_mark(q, NR_ROLE_FLOW, i, NR_BAD_STUCK);
                q->pump[i] = NR_PUMP_IS_UNKNOWN;
            }
        }
        from = to + 1;
    }
    q->channel[NR_ROLE_FLOW].good =
        q->channel[NR_ROLE_FLOW].readings - nr_quality_marked(q, NR_ROLE_FLOW);
}

static bool from_flow(nr_quality *q, double *scratch)
{
    if (!mostly_there(q, NR_ROLE_FLOW))
        return false;
    double lowest, typical = usual(q, NR_ROLE_FLOW, scratch, &lowest);
    bool alive = typical > LEAST_FLOW_L_MIN && lowest > -ALIVE_BELOW * typical;
    q->pump_typical = alive ? typical : NAN;
    double scale = alive ? typical : INFINITY; /* never on */
    follow(q, NR_ROLE_FLOW, FLOW_ON * scale, FLOW_OFF * scale);
    find_dead_flow(q);
    return alive || !q->flow_dead;
}

static void sum_up(nr_quality *q)
{
    nr_cursor t;
    nr_cursor_begin(&t, &q->elapsed_s);
    bool ran = false;
    double off_since = NAN;
    for (size_t i = 0; i < q->rows; i++) {
        double now = nr_at(&t, i);
        double dt = i + 1 < q->rows ? fmin(nr_at(&t, i + 1) - now, 3.0 * q->interval_s) : 0.0;
        if (q->pump[i] == NR_PUMP_IS_ON)
            q->pump_on_s += dt;
        if (q->pump[i] == NR_PUMP_IS_OFF)
            q->pump_off_s += dt;
        bool off = q->pump[i] == NR_PUMP_IS_OFF;
        if (ran && off && isnan(off_since)) {
            off_since = now;
            if (q->pump_stops < NR_QUALITY_EVENTS)
                q->pump_stop[q->pump_stops].at_s = now;
            q->pump_stops++;
        }
        if (!isnan(off_since) && q->pump_stops <= NR_QUALITY_EVENTS)
            q->pump_stop[q->pump_stops - 1].length_s = now - off_since;
        if (!off)
            off_since = NAN;
        ran = ran || q->pump[i] == NR_PUMP_IS_ON;
    }
}

void nr_check_pump(nr_quality *q, const nr_quality_source *source, double *scratch)
{
    q->pump_typical = NAN;
    if (from_flow(q, scratch)) {
        q->pump_source = NR_PUMP_FROM_FLOW;
    } else if (from_supply(q, scratch)) {
        q->pump_source = NR_PUMP_FROM_SUPPLY;
    } else if (from_notes(q, source)) {
        q->pump_source = NR_PUMP_FROM_NOTES;
    } else {
        q->pump_source = NR_PUMP_FROM_NOTHING;
        memset(q->pump, NR_PUMP_IS_UNKNOWN, q->rows);
    }
    sum_up(q);
}
