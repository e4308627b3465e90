/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/listen/touch.h"

#include "logger/base/text.h"

#include <math.h>
#include <string.h>

void nr_touch_begin(nr_touch *touch)
{
    for (size_t i = 0; i < touch->fields; i++)
        touch->field[i].low = touch->field[i].last;
}

void nr_touch_take(nr_touch *touch, const char *name, double degC)
{
    size_t i = 0;
    while (i < touch->fields && strcmp(touch->field[i].name, name) != 0)
        i++;
    if (i == NR_TOUCH_FIELDS || isnan(degC))
        return;
    nr_touch_field *f = &touch->field[i];
    if (i == touch->fields) {
        touch->fields++;
        *f = (nr_touch_field){.low = NAN};
        nr_copy(f->name, sizeof f->name, name);
    }
    f->last = degC;
    f->low = fmin(isnan(f->low) ? degC : f->low, degC);
}

nr_touch_field *nr_touch_found(nr_touch *touch, double *rise_K)
{
    nr_touch_field *best = NULL;
    double most = 0, second = 0;
    for (size_t i = 0; i < touch->fields; i++) {
        nr_touch_field *f = &touch->field[i];
        double rise = f->taken || isnan(f->low) ? 0 : f->last - f->low;
        if (rise > most) {
            second = most;
            most = rise;
            best = f;
        } else {
            second = fmax(second, rise);
        }
    }
    if (!best || most < NR_TOUCH_RISE_K || most < 2 * second)
        return NULL;
    *rise_K = most;
    return best;
}
