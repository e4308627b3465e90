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
    for (size_t row = 0; row < readings->rows && !r->out_of_memory; row++) {
        double value[NR_RIG_CHANNELS];
        for (size_t c = 0; c < rig->channels; c++) {
            const double *from = nr_readings_channel(readings, rig->channel[c].name);
            value[c] = from ? from[row] : NAN;
        }
        nr_bath_rows_add(r, rig, readings->elapsed_s[row], value);
    }
    return !r->out_of_memory;
}

void nr_bath_rows_free(nr_bath_rows *r)
{
    free(r->time_s);
    for (size_t c = 0; c < NR_RIG_CHANNELS; c++)
        free(r->value[c]);
    *r = (nr_bath_rows){0};
}
