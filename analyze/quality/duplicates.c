/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows that repeat the row before them: a port that hands out its last line again and again.
 *
 * Evidence: every channel is exactly equal at once, although their noises would rarely have it so.
 * The chance of one channel to repeat follows from its noise and resolution (nr_stay_chance), or
 * from how often it does while others move, whichever is more; the noises are independent, so the
 * chances multiply. A channel at rest or too quiet proves nothing
 * and counts as certain to repeat: at night, with the pump off, rows may well be equal.
 *
 * All are counted. Marked are the long stretches only: an adapter that says everything twice is
 * late by a second and does no harm, one that is frozen does. */
#include "analyze/quality/checks.h"

#include <math.h>

#define STALE_S 10.0        /* a stretch of repeats longer than this is marked ... */
#define STALE_INTERVALS 2.5 /* ... if it also is longer than so many intervals */
#define RARE 1e-3           /* false alarms a record for one stretch of equal rows */
#define LEAST_CHANNELS 3    /* that have a reading in both rows */
#define MANY 10             /* this many equal rows, and ... */
#define EXCESS 10.0         /* ... this many times what chance gives: all of them are repeats */

typedef struct stretch {
    size_t from, to; /* rows; `from` is the original, the rest repeat it */
} stretch;

static bool same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static bool row_repeats(nr_good_rows *rows, size_t i)
{
    size_t both = 0;
    for (int role = 0; role < NR_ROLES; role++) {
        if (!rows->quality->channel[role].value)
            continue;
        double v = nr_at(&rows->cursor[role], i);
        if (!same(v, nr_at(&rows->cursor[role], i - 1)))
            return false;
        both += isnan(v) ? 0u : 1u;
    }
    return both >= LEAST_CHANNELS;
}

/* Share of readings that equal the one before, in rows where not everything does. */
static double share_of_repeats(const nr_quality *q, const unsigned char *equal, nr_role role)
{
    nr_cursor of;
    nr_cursor_begin(&of, q->channel[role].value);
    size_t pairs = 0, repeats = 0;
    double before = nr_at(&of, 0);
    for (size_t i = 1; i < q->rows; i++) {
        double v = nr_at(&of, i), last = before;
        before = v;
        if (equal[i] || isnan(v) || isnan(last) || nr_at_rest(role, v))
            continue;
        pairs++;
        repeats += v == last;
    }
    return ((double)repeats + 1.0) / ((double)pairs + 1.0);
}

/* Chance that row i equals the one before by accident, at most. */
static double chance_of_repeat(nr_good_rows *rows, const double stay[NR_ROLES], size_t i)
{
    double chance = 1.0;
    for (int role = 0; role < NR_ROLES; role++) {
        if (!rows->quality->channel[role].value)
            continue;
        double v = nr_at(&rows->cursor[role], i);
        if (!isnan(v) && !nr_at_rest((nr_role)role, v))
            chance *= stay[role];
    }
    return chance;
}

static bool next_stretch(const nr_quality *q, const unsigned char *equal, size_t *at, stretch *out)
{
    while (*at < q->rows && !equal[*at])
        (*at)++;
    if (*at >= q->rows)
        return false;
    out->from = *at - 1;
    while (*at < q->rows && equal[*at])
        (*at)++;
    out->to = *at - 1;
    return true;
}

static void count_stretch(nr_quality *q, nr_good_rows *rows, stretch s)
{
    double from_s = nr_number(&q->elapsed_s, s.from);
    double frozen = nr_number(&q->elapsed_s, s.to) - from_s;
    q->duplicates += s.to - s.from;
    if (frozen > q->longest_freeze_s) {
        q->longest_freeze_s = frozen;
        q->freeze_from_s = from_s;
    }
    if (frozen <= fmax(STALE_S, STALE_INTERVALS * q->interval_s))
        return;
    for (size_t row = s.from + 1; row <= s.to; row++)
        for (int role = 0; role < NR_ROLES; role++)
            if (q->channel[role].value && !isnan(nr_at(&rows->cursor[role], row)))
                nr_quality_mark(q, (nr_role)role, row, NR_BAD_DUPLICATE);
}

void nr_check_duplicates(nr_quality *q, nr_quality_work *work)
{
    nr_good_rows rows;
    nr_good_begin(&rows, q);
    double stay[NR_ROLES] = {0}, expected = 0.0;
    size_t seen = 0;
    q->freeze_from_s = NAN;
    for (size_t i = 1; i < q->rows; i++) {
        if (!row_repeats(&rows, i)) /* pages that nobody writes to take no memory */
            continue;
        work->equal[i] = 1;
        seen++;
    }
    if (seen == 0)
        return;
    for (int role = 0; role < NR_ROLES; role++)
        if (q->channel[role].value)
            stay[role] = fmin(1.0, fmax(nr_stay_chance(&q->channel[role]),
                                        share_of_repeats(q, work->equal, (nr_role)role)));
    for (size_t i = 1; i < q->rows; i++)
        if (work->equal[i])
            expected += chance_of_repeat(&rows, stay, i) * (double)q->rows;
    /* The chance is about the same in all rows that repeat; its mean stands for the record. */
    expected /= (double)seen;
    bool all = seen >= MANY && (double)seen > EXCESS * expected;
    stretch s;
    for (size_t at = 1; next_stretch(q, work->equal, &at, &s);) {
        double chance = chance_of_repeat(&rows, stay, s.from);
        double length = (double)(s.to - s.from);
        if (all ? chance < 1.0 : log((double)q->rows) + length * log(chance) < log(RARE))
            count_stretch(q, &rows, s);
    }
}
