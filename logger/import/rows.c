/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/rows.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MILLISECOND 0.001

typedef struct entry {
    double at_s;
    size_t row, place; /* place: in the file, turned round where the file is backwards */
} entry;

static int by_time(const void *a, const void *b)
{
    const entry *x = a, *y = b;
    if (x->at_s != y->at_s)
        return x->at_s < y->at_s ? -1 : 1;
    return (x->place > y->place) - (x->place < y->place);
}

static bool same_cells(const nr_table *t, size_t a, size_t b)
{
    for (size_t c = 0; c < t->columns; c++)
        if (strcmp(nr_table_cell(t, a, c), nr_table_cell(t, b, c)) != 0)
            return false;
    return true;
}

static size_t group_end(const entry *e, size_t n, size_t from)
{
    size_t end = from + 1;
    while (end < n && e[end].at_s == e[from].at_s)
        end++;
    return end;
}

typedef struct shape {
    size_t groups, shared, twins, largest; /* twins: shared stamps whose rows are all alike */
} shape;

static shape shape_of(const nr_table *t, const entry *e, size_t n)
{
    shape s = {0};
    for (size_t i = 0, end; i < n; i = end) {
        end = group_end(e, n, i);
        bool alike = end - i > 1;
        for (size_t k = i + 1; k < end; k++)
            alike = alike && same_cells(t, e[i].row, e[k].row);
        s.groups++;
        s.shared += end - i > 1;
        s.twins += alike;
        s.largest = end - i > s.largest ? end - i : s.largest;
    }
    return s;
}

/* A row that stands there twice: alike in every cell, and either far from its twin in the file or
 * with a stamp that is fine enough to tell readings apart. */
static size_t drop_twice(const nr_table *t, entry *e, size_t n, bool coarse)
{
    size_t kept = 0;
    for (size_t i = 0, end; i < n; i = end) {
        end = group_end(e, n, i);
        size_t first = kept;
        for (size_t k = i; k < end; k++) {
            bool again = false;
            for (size_t d = first; d < kept && !again; d++)
                again = same_cells(t, e[d].row, e[k].row) &&
                        (!coarse || e[k].place != e[kept - 1].place + 1);
            if (!again)
                e[kept++] = e[k];
        }
    }
    return kept;
}

/* The commonest number of rows with one stamp. */
static size_t usual_share(const entry *e, size_t n)
{
    size_t count[64] = {0}, best = 1;
    for (size_t i = 0, end; i < n; i = end) {
        end = group_end(e, n, i);
        if (end - i < 64)
            count[end - i]++;
    }
    for (size_t k = 1; k < 64; k++)
        best = count[k] * k > count[best] * best ? k : best;
    return best;
}

/* Over the stamp's own width: two in 10:15 are at 10:15:00 and 10:15:30. The first stamp of a table
 * is often begun in its middle: what is there stands at its end. */
static size_t spread(const entry *e, size_t n, double step_s, double *at_s)
{
    size_t usual = usual_share(e, n), spread_rows = 0;
    for (size_t i = 0, end; i < n; i = end) {
        end = group_end(e, n, i);
        size_t share = end - i, places = share > usual ? share : usual;
        double width = end < n ? fmin(step_s, e[end].at_s - e[i].at_s) : step_s;
        size_t skip = i == 0 && share < places ? places - share : 0;
        spread_rows += share > 1 ? share : 0;
        for (size_t k = 0; k < share; k++)
            at_s[i + k] = e[i].at_s +
                          (share > 1 || skip > 0 ? width * (double)(k + skip) / (double)places : 0);
    }
    return spread_rows;
}

/* Where the times go back to the beginning: the first row of a second table. */
static size_t start_over(const nr_times *times, const nr_table *t, size_t *again)
{
    double before = NAN;
    size_t first = t->rows;
    *again = 0;
    for (size_t i = 0; i < t->rows; i++) {
        size_t row = times->backwards ? t->rows - 1 - i : i;
        if (!isfinite(times->at_s[row]))
            continue;
        if (times->at_s[row] < before) {
            first = *again == 0 ? row : first;
            (*again)++;
        }
        before = times->at_s[row];
    }
    return first;
}

/* Most stamps are there several times, with other readings, and not beside each other: tables of
 * several sensors one below the other. */
static nr_code check_tables(const nr_table *t, const nr_times *times, const shape *s, nr_err *err)
{
    size_t again, row = start_over(times, t, &again);
    bool several = again > 0 && again < 16 && s->shared * 2 > s->groups && s->shared > s->twins &&
                   s->shared > 2 * again;
    if (!several)
        return NR_OK;
    return nr_fail(err, NR_BAD, t->path, nr_table_line(t, row),
                   "the times begin anew here, with other readings: tables of several sensors one "
                   "below the other? Split the file, or put them side by side");
}

static void say(nr_import_said *said, size_t late, size_t twice, size_t spread_rows, double step_s)
{
    if (late > 0)
        nr_import_say(said, "%zu row%s out of order: sorted by time", late,
                      late == 1 ? " was" : "s were");
    if (twice > 0)
        nr_import_say(said, "%zu row%s there twice: taken once", twice,
                      twice == 1 ? " is" : "s are");
    if (spread_rows > 0)
        nr_import_say(said,
                      "%zu rows share their stamp with another: spread evenly over its %.3g s",
                      spread_rows, step_s);
}

nr_code nr_rows_order(const nr_table *t, const nr_times *times, nr_ordered *out,
                      nr_import_said *said, nr_err *err)
{
    size_t n = 0, late = 0;
    entry *e = malloc((t->rows + 1) * sizeof *e);
    *out = (nr_ordered){0};
    out->row = malloc((t->rows + 1) * sizeof *out->row);
    out->at_s = malloc((t->rows + 1) * sizeof *out->at_s);
    if (!e || !out->row || !out->at_s) {
        free(e);
        return nr_fail(err, NR_BAD, t->path, 0, "not enough memory");
    }
    for (size_t i = 0; i < t->rows; i++) {
        size_t row = times->backwards ? t->rows - 1 - i : i;
        if (!isfinite(times->at_s[row]))
            continue;
        late += n > 0 && times->at_s[row] < e[n - 1].at_s;
        e[n++] = (entry){times->at_s[row], row, i};
    }
    qsort(e, n, sizeof *e, by_time);
    shape s = shape_of(t, e, n);
    /* Few stamps stand there twice, all with the same readings: written twice, not coarse. */
    bool twins_only =
        s.shared > 0 && s.twins == s.shared && (times->step_s < 60 || s.shared * 3 < s.groups * 2);
    bool coarse = !twins_only && (times->step_s >= 60 || n * 2 >= s.groups * 3);
    nr_code code = check_tables(t, times, &s, err);
    if (code != NR_OK) {
        free(e);
        return code;
    }
    size_t kept = drop_twice(t, e, n, coarse);
    size_t spread_rows = spread(e, kept, times->step_s, out->at_s);
    say(said, late, n - kept, spread_rows, times->step_s);
    for (size_t i = 0; i < kept; i++) {
        out->row[i] = e[i].row;
        out->at_s[i] = round(out->at_s[i] / MILLISECOND) * MILLISECOND;
        if (i > 0 && out->at_s[i] < out->at_s[i - 1] + 0.9 * MILLISECOND)
            out->at_s[i] = out->at_s[i - 1] + MILLISECOND;
    }
    out->count = kept;
    free(e);
    return kept > 0 ? NR_OK : nr_fail(err, NR_BAD, t->path, 0, "no row has a time");
}

void nr_ordered_free(nr_ordered *ordered)
{
    free(ordered->row);
    free(ordered->at_s);
    *ordered = (nr_ordered){0};
}
