/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/bath/bath_rows.h"

#include <math.h>
#include <stdlib.h>

static bool grow(nr_bath_rows *r)
{
    size_t room = r->room ? 2 * r->room : 512;
    double *fresh = realloc(r->time_s, room * sizeof(double));
    if (fresh)
        r->time_s = fresh;
    for (size_t c = 0; fresh && c < r->channels; c++) {
        fresh = realloc(r->value[c], room * sizeof(double));
        if (fresh)
            r->value[c] = fresh;
    }
    if (fresh)
        r->room = room;
    return fresh != NULL;
}

void nr_bath_rows_add(nr_bath_rows *r, const nr_rig *rig, double time_s, const double *value)
{
    r->channels = rig->channels;
    if (r->out_of_memory || (r->rows == r->room && !grow(r))) {
        r->out_of_memory = true;
        return;
    }
    r->time_s[r->rows] = time_s;
    for (size_t c = 0; c < r->channels; c++)
        r->value[c][r->rows] = value[c];
    r->rows++;
}

bool nr_bath_rows_take(nr_bath_rows *r, const nr_rig *rig, const nr_readings *readings)
{
    nr_cursor *from = malloc((rig->channels + 1) * sizeof *from); /* of the channels, and time */
    r->out_of_memory = r->out_of_memory || !from;
    for (size_t c = 0; from && c <= rig->channels; c++) {
        nr_values numbers = c < rig->channels ? nr_readings_values(readings, rig->channel[c].name)
                                              : nr_readings_elapsed(readings);
        nr_cursor_begin(&from[c], &numbers);
    }
    for (size_t row = 0; row < readings->rows && !r->out_of_memory; row++) {
        double value[NR_RIG_CHANNELS];
        for (size_t c = 0; c < rig->channels; c++)
            value[c] = nr_values_there(&from[c].of) ? nr_at(&from[c], row) : NAN;
        nr_bath_rows_add(r, rig, nr_at(&from[rig->channels], row), value);
    }
    free(from);
    return !r->out_of_memory;
}

void nr_bath_rows_free(nr_bath_rows *r)
{
    free(r->time_s);
    for (size_t c = 0; c < NR_RIG_CHANNELS; c++)
        free(r->value[c]);
    *r = (nr_bath_rows){0};
}
