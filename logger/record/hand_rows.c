/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/hand_rows.h"

#include "logger/base/text.h"
#include "logger/base/utc.h"
#include "logger/record/reading.h"
#include "logger/run/readings.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ROW_SIZE (NR_RIG_CHANNELS * 64 + 256)
#define MILLISECOND 0.001

/* --- readings to rows --------------------------------------------------------------------- */

static int channel_of(const nr_rig *rig, const nr_by_hand *r)
{
    for (size_t i = 0; i < rig->channels; i++)
        if (strcmp(rig->channel[i].name, r->channel) == 0)
            return (int)i;
    return -1;
}

/* The reading in the canonical unit; false: its unit is not one of the channel's. */
static bool canonical(const nr_rig_channel *channel, const nr_by_hand *r, double *out)
{
    const nr_unit *unit = nr_unit_find(r->unit);
    if (channel->unit->dimension == NR_DIM_NONE) {
        *out = r->value;
        return strcmp(channel->unit->name, r->unit) == 0;
    }
    if (!unit || unit->dimension != channel->unit->dimension)
        return false;
    *out = nr_unit_to_canonical(unit, r->value);
    return true;
}

/* The time at which reading i stands: its own, or that of the one it corrects. false: a later one
 * stands for it. */
static bool stands(const nr_by_hand_list *list, size_t i, double *utc_s)
{
    const nr_by_hand *r = &list->reading[i];
    *utc_s = r->utc_s;
    for (size_t k = i + 1; k < list->count; k++)
        if (strcmp(list->reading[k].channel, r->channel) == 0 &&
            fabs(list->reading[k].utc_s - r->utc_s) < NR_HAND_AGAIN_S)
            return false;
    for (size_t k = 0; k < i; k++)
        if (strcmp(list->reading[k].channel, r->channel) == 0 &&
            fabs(list->reading[k].utc_s - r->utc_s) < NR_HAND_AGAIN_S) {
            *utc_s = list->reading[k].utc_s;
            break;
        }
    return true;
}

static int by_time(const void *a, const void *b)
{
    const nr_hand_row *x = a, *y = b;
    return (x->utc_s > y->utc_s) - (x->utc_s < y->utc_s);
}

/* Rows of one millisecond become one. */
static void join(nr_hand_rows *rows, size_t channels)
{
    size_t kept = 0;
    qsort(rows->row, rows->count, sizeof *rows->row, by_time);
    for (size_t i = 0; i < rows->count; i++) {
        if (kept > 0 && rows->row[i].utc_s - rows->row[kept - 1].utc_s < MILLISECOND / 2) {
            for (size_t c = 0; c < channels; c++)
                if (isfinite(rows->row[i].value[c]))
                    rows->row[kept - 1].value[c] = rows->row[i].value[c];
        } else {
            rows->row[kept++] = rows->row[i];
        }
    }
    rows->count = kept;
}

nr_code nr_hand_rows_of(const nr_by_hand_list *list, const nr_rig *rig, nr_hand_rows *out,
                        nr_err *err)
{
    *out = (nr_hand_rows){0};
    out->row = malloc((list->count + 1) * sizeof *out->row);
    if (!out->row)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    for (size_t i = 0; i < list->count; i++) {
        const nr_by_hand *r = &list->reading[i];
        nr_hand_row *row = &out->row[out->count];
        double utc_s, value;
        int c = channel_of(rig, r);
        if (c < 0 || !canonical(&rig->channel[c], r, &value)) {
            out->strangers++;
            continue;
        }
        if (!stands(list, i, &utc_s)) {
            out->replaced++;
            continue;
        }
        row->utc_s = utc_s;
        for (size_t k = 0; k < rig->channels; k++)
            row->value[k] =
                rig->channel[k].law->stated ? nr_reading_by_law(&rig->channel[k], NAN, NAN) : NAN;
        row->value[c] = nr_reading_accept(&rig->channel[c], value);
        out->unbelieved += isfinite(row->value[c]) ? 0 : 1;
        out->count++;
    }
    join(out, rig->channels);
    return NR_OK;
}

void nr_hand_rows_free(nr_hand_rows *rows)
{
    free(rows->row);
    *rows = (nr_hand_rows){0};
}

/* --- among the others --------------------------------------------------------------------- */

typedef struct merge {
    const nr_rig *rig;
    const nr_hand_rows *hands;
    double zero_utc_s;
    size_t next; /* of hands */
    FILE *to;
    nr_merged *out;
} merge;

static bool write_hand(merge *m, double elapsed_s)
{
    char row[ROW_SIZE];
    const nr_hand_row *hand = &m->hands->row[m->next++];
    if (m->out->rows > 0 && elapsed_s < m->out->last_elapsed_s + MILLISECOND)
        elapsed_s = m->out->last_elapsed_s + MILLISECOND;
    size_t n = nr_readings_row(m->rig, hand->utc_s, elapsed_s, hand->value, row, sizeof row);
    m->out->rows++;
    m->out->last_utc_s = hand->utc_s;
    m->out->last_elapsed_s = elapsed_s;
    return n > 0 && fwrite(row, 1, n, m->to) == n;
}

/* All hand rows before a time of the base. */
static bool write_hands_before(merge *m, double elapsed_s)
{
    while (m->next < m->hands->count) {
        double at = round((m->hands->row[m->next].utc_s - m->zero_utc_s) * 1000) / 1000;
        if (!(at < elapsed_s - MILLISECOND))
            return true;
        if (!write_hand(m, at))
            return false;
    }
    return true;
}

static bool row_time(const char *line, size_t length, double *utc_s, double *elapsed_s)
{
    char head[NR_UTC_SIZE + 64];
    size_t n = length < sizeof head - 1 ? length : sizeof head - 1;
    memcpy(head, line, n);
    head[n] = '\0';
    char *cut = strchr(head, ',');
    if (!cut)
        return false;
    *cut++ = '\0';
    cut[strcspn(cut, ",\r\n")] = '\0';
    return nr_utc_parse(head, utc_s) && nr_parse_double(cut, elapsed_s);
}

nr_code nr_hand_merge(const char *base, size_t length, const nr_hand_rows *hands, const nr_rig *rig,
                      FILE *to, nr_merged *out, nr_err *err)
{
    merge m = {.rig = rig, .hands = hands, .to = to, .out = out};
    const char *end = base + length, *p = memchr(base, '\n', length);
    double utc_s, elapsed_s;
    bool written = true;
    *out = (nr_merged){0};
    p = p ? p + 1 : end;
    if (p < end && row_time(p, (size_t)(end - p), &utc_s, &elapsed_s))
        m.zero_utc_s = utc_s - elapsed_s;
    else if (hands->count > 0)
        m.zero_utc_s = hands->row[0].utc_s;
    while (m.next < hands->count && hands->row[m.next].utc_s < m.zero_utc_s - MILLISECOND) {
        m.next++;
        out->too_early++;
    }
    while (p < end && written) {
        const char *stop = memchr(p, '\n', (size_t)(end - p));
        size_t n = (size_t)((stop ? stop + 1 : end) - p);
        if (stop && row_time(p, n, &utc_s, &elapsed_s)) {
            written = write_hands_before(&m, elapsed_s) && fwrite(p, 1, n, to) == n;
            out->rows++;
            out->last_utc_s = utc_s;
            out->last_elapsed_s = elapsed_s;
        }
        p += n;
    }
    written = written && write_hands_before(&m, INFINITY);
    if (!written)
        return nr_fail_errno(err, NR_BAD, NULL, errno, "cannot write the readings");
    return NR_OK;
}
