/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/import/times_zone.h"

#include "logger/base/order.h"
#include "logger/base/utc.h"

#include <math.h>
#include <stdlib.h>

/* A step back of nearly an hour against what the rows usually do is the clock, not a late row. */
#define STEP_BACK_S 2700.0

typedef struct job {
    const nr_table *t;
    const nr_zone *zone;
    bool backwards;
    const double *local_s;
    const bool *open;
    double *utc_s;
    /* Of the quarter of an hour looked at last: rows come in order, so one look-up serves many. */
    double quarter;
    size_t answers;
    double shift_s[2];
} job;

static size_t at(const job *j, size_t i)
{
    return j->backwards ? j->t->rows - 1 - i : i;
}

/* Quarter hours, for some zones change on the half. */
static size_t look_up(job *j, double local_s, double utc_s[2])
{
    double quarter = floor(local_s / 900);
    if (quarter != j->quarter) {
        double found[2] = {0};
        j->quarter = quarter;
        j->answers = nr_zone_utc(j->zone, quarter * 900, found);
        for (size_t k = 0; k < 2; k++)
            j->shift_s[k] = found[k] - quarter * 900;
    }
    for (size_t k = 0; k < 2; k++)
        utc_s[k] = local_s + j->shift_s[k];
    return j->answers;
}

/* Median of the steps forward. */
static double usual_step(const job *j)
{
    size_t n = 0;
    double before = NAN, *step = malloc((j->t->rows + 1) * sizeof *step), usual = 0;
    for (size_t i = 0; step && i < j->t->rows; i++) {
        if (!j->open[at(j, i)])
            continue;
        double now = j->local_s[at(j, i)];
        if (now > before)
            step[n++] = now - before;
        before = now;
    }
    if (step && n > 0) {
        qsort(step, n, sizeof *step, nr_ascending);
        usual = step[n / 2];
    }
    free(step);
    return usual;
}

static void local_text(double local_s, char out[NR_UTC_SIZE])
{
    nr_utc_format(local_s, out);
    if (out[0]) {
        out[10] = ' ';
        out[19] = '\0';
    }
}

static nr_code never_was(const job *j, size_t row, nr_err *err)
{
    char text[NR_UTC_SIZE];
    local_text(j->local_s[row], text);
    return nr_fail(err, NR_BAD, j->t->path, nr_table_line(j->t, row),
                   "%s never was in %s: its clocks leave that hour out in spring. This clock did "
                   "not: give its offset from UTC, such as --zone %s",
                   text, j->zone->name, "-07:00");
}

static nr_code was_twice(const job *j, size_t row, nr_err *err)
{
    char text[NR_UTC_SIZE];
    local_text(j->local_s[row], text);
    return nr_fail(err, NR_BAD, j->t->path, nr_table_line(j->t, row),
                   "%s was twice in %s, and no row beside it tells which: give the clock's offset "
                   "from UTC, such as --zone -06:00 before or --zone -07:00 after the change",
                   text, j->zone->name);
}

/* A stretch of rows from..end (in time order) in the double hour. */
static nr_code place_double(job *j, size_t from, size_t end, double usual_s, nr_import_said *said,
                            nr_err *err)
{
    size_t turn = end; /* first row of the second time round */
    double utc_s[2], before = NAN;
    for (size_t i = from; i < end && turn == end; i++) {
        if (!j->open[at(j, i)])
            continue;
        double now = j->local_s[at(j, i)];
        if (now - before - usual_s <= -STEP_BACK_S)
            turn = i;
        before = now;
    }
    bool early = from > 0 || turn < end;
    if (!early) {
        /* It begins here: the rows behind tell, if they follow at once. */
        size_t last = end - 1;
        double gap = end < j->t->rows && j->open[at(j, end)]
                         ? j->local_s[at(j, end)] - j->local_s[at(j, last)]
                         : INFINITY;
        if (!(gap >= 0 && gap < fmax(3 * usual_s, 600)))
            return was_twice(j, at(j, from), err);
        turn = from;
    }
    for (size_t i = from; i < end; i++) {
        if (!j->open[at(j, i)])
            continue;
        look_up(j, j->local_s[at(j, i)], utc_s);
        j->utc_s[at(j, i)] = utc_s[i >= turn];
    }
    char text[NR_UTC_SIZE];
    local_text(j->local_s[at(j, from)], text);
    nr_import_say(said, "the double hour of autumn (%s, %s): %s", text, j->zone->name,
                  turn == end ? "taken for its first time round, as the rows before go on into it"
                  : turn == from
                      ? "taken for its second time round, as the rows behind go on from it"
                      : "first and second time round told apart by the order of the rows");
    return NR_OK;
}

nr_code nr_times_to_utc(const nr_table *table, const nr_zone *zone, bool backwards,
                        const double *local_s, const bool *open, double *utc_s,
                        nr_import_said *said, nr_err *err)
{
    job j = {.t = table,
             .zone = zone,
             .backwards = backwards,
             .local_s = local_s,
             .open = open,
             .utc_s = utc_s,
             .quarter = NAN};
    double usual_s = usual_step(&j), found[2];
    for (size_t i = 0; i < table->rows;) {
        size_t row = at(&j, i), n = open[row] ? look_up(&j, local_s[row], found) : 1;
        if (open[row] && n == 0)
            return never_was(&j, row, err);
        if (!open[row] || n == 1) {
            utc_s[row] = open[row] ? found[0] : utc_s[row];
            i++;
            continue;
        }
        size_t end = i + 1;
        while (end < table->rows &&
               (!open[at(&j, end)] || look_up(&j, local_s[at(&j, end)], found) == 2))
            end++;
        nr_code code = place_double(&j, i, end, usual_s, said, err);
        if (code != NR_OK)
            return code;
        i = end;
    }
    return NR_OK;
}
