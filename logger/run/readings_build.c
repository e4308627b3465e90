/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings made in memory. All numbers lie in one block, time first, then column by column. */
#include "logger/base/text.h"
#include "logger/run/meaning.h"
#include "logger/run/readings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FIRST_ROWS 64

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
    if (!readings->borrowed)
        free(readings->utc_s); /* the block all arrays lie in */
    free(readings->column);
    free(readings);
}

/* The same numbers in a block of another shape; empty cells are NAN. */
static nr_code reshape(nr_readings *r, size_t columns, size_t capacity, nr_err *err)
{
    double *block = malloc((columns + 2) * (capacity ? capacity : 1) * sizeof *block);
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
    if (r->capacity > 0) /* else there is nothing to move yet */
        code = reshape(r, r->columns + 1, r->capacity, err);
    r->columns += code == NR_OK;
    return code;
}

nr_code nr_readings_reserve(nr_readings *r, size_t rows, nr_err *err)
{
    return rows <= r->capacity ? NR_OK : reshape(r, r->columns, rows, err);
}

nr_code nr_readings_append(nr_readings *r, double utc_s, double elapsed_s, const double *value,
                           nr_err *err)
{
    if (!(fabs(elapsed_s) <= NR_ELAPSED_MOST_S))
        return nr_fail(err, NR_BAD, NULL, 0, "%g is no number of seconds since the start",
                       elapsed_s);
    if (r->rows > 0 && !(elapsed_s > r->elapsed_s[r->rows - 1]))
        return nr_fail(err, NR_BAD, NULL, 0,
                       "%.3f s does not come after %.3f s of the row before; seconds since the "
                       "start must grow from row to row",
                       elapsed_s, r->elapsed_s[r->rows - 1]);
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
    r->rows++;
    return NR_OK;
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
