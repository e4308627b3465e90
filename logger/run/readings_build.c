/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings made in memory. All numbers lie in one block, time first, then column by column. */
#include "logger/base/text.h"
#include "logger/run/meaning.h"
#include "logger/run/readings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

#define FIRST_ROWS 64
#define LARGE_PAGE ((size_t)2 << 20) /* of the usual processors */

nr_readings *nr_readings_new(void)
{
    nr_readings *r = calloc(1, sizeof *r);
    nr_column *column = calloc(NR_READINGS_COLUMNS, sizeof *column);
    if (!r || !column) {
        free(r), free(column);
        return NULL;
    }
    r->column = column;
    return r;
}

void nr_readings_free(nr_readings *readings)
{
    if (!readings)
        return;
    if (!readings->borrowed) {
        free(readings->utc_s); /* the block all arrays lie in */
        for (size_t i = 0; i < readings->owns; i++)
            nr_packing_free(readings->own[i]);
        free(readings->own);
    }
    free(readings->column);
    free(readings);
}

/* --- packed --- */

static nr_code no_memory(const nr_readings *r, nr_err *err)
{
    return nr_fail(err, NR_BAD, NULL, 0, "not enough memory for more than %zu rows", r->rows);
}

/* A packed column of this table; NULL: no memory. */
static nr_packing *new_packing(nr_readings *r, bool grows)
{
    nr_packing **more = realloc(r->own, (r->owns + 1) * sizeof *more);
    if (!more)
        return NULL;
    r->own = more;
    nr_packing *fresh = nr_packing_new(grows);
    if (fresh)
        r->own[r->owns++] = fresh;
    return fresh;
}

static nr_packing *packing_of(nr_readings *r, const double *value, bool grows)
{
    nr_packing *to = new_packing(r, grows);
    bool good = to != NULL;
    for (size_t i = 0; good && i < r->rows; i++)
        good = nr_packing_add(to, value[i]);
    return good ? to : NULL;
}

nr_code nr_readings_pack(nr_readings *r, nr_err *err)
{
    if (r->elapsed_packed || r->borrowed)
        return NR_OK;
    nr_packing *utc = packing_of(r, r->utc_s, true), *elapsed = packing_of(r, r->elapsed_s, true);
    bool good = utc && elapsed;
    for (size_t c = 0; good && c < r->columns; c++)
        good = (r->column[c].packed = packing_of(r, r->column[c].value, false)) != NULL;
    if (!good)
        return no_memory(r, err);
    for (size_t c = 0; c < r->columns; c++)
        r->column[c].value = NULL;
    free(r->utc_s);
    r->utc_s = r->elapsed_s = NULL;
    r->utc_packed = utc;
    r->elapsed_packed = elapsed;
    r->capacity = 0;
    return NR_OK;
}

nr_code nr_readings_fill(nr_readings *r, nr_column *column, double value, nr_err *err)
{
    for (size_t i = 0; column->value && i < r->rows; i++)
        column->value[i] = value;
    if (column->value || !r->elapsed_packed)
        return NR_OK;
    nr_packing *to = new_packing(r, false);
    for (size_t i = 0; to && i < r->rows; i++)
        if (!nr_packing_add(to, value))
            return no_memory(r, err);
    column->packed = to;
    return to ? NR_OK : no_memory(r, err);
}

nr_code nr_readings_move_labels(nr_readings *r, double by_s, nr_err *err)
{
    for (size_t i = 0; r->utc_s && i < r->rows; i++)
        r->utc_s[i] = round(1000 * (r->utc_s[i] + by_s)) / 1000;
    r->last_utc_s = round(1000 * (r->last_utc_s + by_s)) / 1000;
    if (!r->utc_packed)
        return NR_OK;
    nr_values from = nr_readings_utc(r);
    nr_cursor utc;
    nr_cursor_begin(&utc, &from);
    nr_packing *to = new_packing(r, true);
    for (size_t i = 0; to && i < r->rows; i++)
        if (!nr_packing_add(to, round(1000 * (nr_at(&utc, i) + by_s)) / 1000))
            return no_memory(r, err);
    if (!to)
        return no_memory(r, err);
    r->utc_packed = to;
    return NR_OK;
}

static nr_code append_packed(nr_readings *r, double utc_s, double elapsed_s, const double *value,
                             nr_err *err)
{
    bool good =
        nr_packing_add(r->utc_packed, utc_s) && nr_packing_add(r->elapsed_packed, elapsed_s);
    for (size_t c = 0; good && c < r->columns; c++) {
        const nr_unit *given = r->column[c].given;
        good = nr_packing_add(r->column[c].packed,
                              given ? nr_unit_to_canonical(given, value[c]) : value[c]);
    }
    return good ? NR_OK : no_memory(r, err);
}

/* --- as arrays --- */

/* Room for so many numbers, of which large pages are asked for: most of the time that a long
 * record's room takes is the system's, which hands it over page by page. */
static double *room_for(size_t count)
{
    size_t bytes = count * sizeof(double);
    if (bytes < 4 * LARGE_PAGE)
        return malloc(bytes ? bytes : 1);
    void *room = NULL;
    if (posix_memalign(&room, LARGE_PAGE, bytes) != 0)
        return NULL;
#ifdef MADV_HUGEPAGE
    (void)madvise(room, bytes, MADV_HUGEPAGE); /* else small ones do */
#endif
    return room;
}

/* The same numbers in a block of another shape; empty cells are NAN. */
static nr_code reshape(nr_readings *r, size_t columns, size_t capacity, nr_err *err)
{
    double *block = room_for((columns + 2) * capacity);
    if (!block)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory for %zu rows", capacity);
    for (size_t c = 0; c < columns + 2; c++) {
        double *to = block + c * capacity;
        const double *from = c == 0               ? r->utc_s
                             : c == 1             ? r->elapsed_s
                             : c - 2 < r->columns ? r->column[c - 2].value
                                                  : NULL;
        if (from && r->rows > 0)
            memcpy(to, from, r->rows * sizeof *to);
        for (size_t i = from ? r->rows : 0; i < r->rows; i++)
            to[i] = NAN;
    }
    free(r->utc_s);
    r->utc_s = block;
    r->elapsed_s = block + capacity;
    for (size_t c = 0; c < columns; c++)
        r->column[c].value = block + (c + 2) * capacity;
    r->capacity = capacity;
    return NR_OK;
}

nr_code nr_readings_add_column(nr_readings *r, const char *channel, const char *unit, nr_err *err)
{
    const nr_unit *known = nr_unit_find(unit);
    const nr_meaning *meaning = nr_meaning_find(channel);
    nr_column *column = &r->column[r->columns];
    if (r->columns == NR_READINGS_COLUMNS)
        return nr_fail(err, NR_BAD, NULL, 0, "more than %d columns", NR_READINGS_COLUMNS);
    if (nr_readings_column(r, channel))
        return nr_fail(err, NR_BAD, NULL, 0, "channel %s already has a column", channel);
    if (meaning && !nr_meaning_accepts(meaning, known ? known->dimension : NR_DIM_NONE)) {
        char units[200];
        nr_meaning_units(meaning, units, sizeof units);
        return nr_fail(err, NR_BAD, NULL, 0, "\"%s\" is no unit for %s (%s); use one of: %s", unit,
                       channel, meaning->text, units);
    }
    *column = (nr_column){.given = known};
    if (!channel[0] || !nr_copy(column->channel, sizeof column->channel, channel) ||
        !nr_copy(column->unit, sizeof column->unit, unit))
        return nr_fail(err, NR_BAD, NULL, 0, "the name of a column is empty or too long");
    column->known = known ? nr_unit_canonical(known->dimension) : NULL;
    nr_code code = NR_OK;
    if (r->elapsed_packed)
        code = nr_readings_fill(r, column, NAN, err);
    else if (r->capacity > 0) /* else there is nothing to move yet */
        code = reshape(r, r->columns + 1, r->capacity, err);
    r->columns += code == NR_OK;
    return code;
}

nr_code nr_readings_reserve(nr_readings *r, size_t rows, nr_err *err)
{
    return rows <= r->capacity || r->elapsed_packed ? NR_OK : reshape(r, r->columns, rows, err);
}

static nr_code append_plain(nr_readings *r, double utc_s, double elapsed_s, const double *value,
                            nr_err *err)
{
    if (r->rows == r->capacity) {
        nr_code code = nr_readings_reserve(r, r->rows ? 2 * r->rows : FIRST_ROWS, err);
        if (code != NR_OK)
            return code;
    }
    r->utc_s[r->rows] = utc_s;
    r->elapsed_s[r->rows] = elapsed_s;
    for (size_t c = 0; c < r->columns; c++) {
        const nr_unit *given = r->column[c].given;
        r->column[c].value[r->rows] = given ? nr_unit_to_canonical(given, value[c]) : value[c];
    }
    return NR_OK;
}

nr_code nr_readings_append(nr_readings *r, double utc_s, double elapsed_s, const double *value,
                           nr_err *err)
{
    if (!(fabs(elapsed_s) <= NR_ELAPSED_MOST_S))
        return nr_fail(err, NR_BAD, NULL, 0, "%g is no number of seconds since the start",
                       elapsed_s);
    if (r->rows > 0 && !(elapsed_s > r->last_elapsed_s))
        return nr_fail(err, NR_BAD, NULL, 0,
                       "%.3f s does not come after %.3f s of the row before; seconds since the "
                       "start must grow from row to row",
                       elapsed_s, r->last_elapsed_s);
    nr_code code = NR_OK;
    if (r->packs && r->rows == NR_READINGS_PACK_FROM)
        code = nr_readings_pack(r, err);
    if (code == NR_OK && r->elapsed_packed)
        code = append_packed(r, utc_s, elapsed_s, value, err);
    else if (code == NR_OK)
        code = append_plain(r, utc_s, elapsed_s, value, err);
    r->last_utc_s = utc_s;
    r->last_elapsed_s = elapsed_s;
    r->rows += code == NR_OK;
    return code;
}

const nr_column *nr_readings_column(const nr_readings *readings, const char *channel)
{
    for (size_t i = 0; i < readings->columns; i++)
        if (strcmp(readings->column[i].channel, channel) == 0)
            return &readings->column[i];
    return NULL;
}

const double *nr_readings_channel(const nr_readings *readings, const char *channel)
{
    const nr_column *column = nr_readings_column(readings, channel);
    return column ? column->value : NULL;
}

nr_values nr_column_values(const nr_column *column)
{
    if (!column->packed)
        return (nr_values){.plain = column->value};
    nr_values all = nr_packing_values(column->packed);
    all.first = column->first;
    return all;
}

static nr_values times(const nr_readings *r, const double *plain, const nr_packing *packed)
{
    if (!packed)
        return (nr_values){.plain = plain};
    nr_values all = nr_packing_values(packed);
    all.first = r->first;
    return all;
}

nr_values nr_readings_utc(const nr_readings *r)
{
    return times(r, r->utc_s, r->utc_packed);
}

nr_values nr_readings_elapsed(const nr_readings *r)
{
    return times(r, r->elapsed_s, r->elapsed_packed);
}

nr_values nr_readings_values(const nr_readings *r, const char *channel)
{
    const nr_column *column = nr_readings_column(r, channel);
    return column ? nr_column_values(column) : (nr_values){.plain = NULL};
}
