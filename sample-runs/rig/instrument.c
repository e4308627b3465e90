/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Constant errors, first-order lag, noise, steps. */
#include "sample-runs/rig/instrument.h"

#include "logger/base/text.h"
#include "sample-runs/rig/chance.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

void nr_instrument_identity(const nr_virtual_params *p, nr_virtual_channel channel,
                            char out[NR_NAME])
{
    const char *given = p->sensor[channel].identity;
    if (given[0]) {
        nr_copy(out, NR_NAME, given);
        return;
    }
    /* nr_virtual_check has made sure that this fits. */
    nr_copy(out, NR_NAME, p->build);
    size_t used = strnlen(out, NR_NAME);
    snprintf(out + used, NR_NAME - used, "-%s", nr_virtual_channel_name(channel));
}

void nr_virtual_sensor_error(const nr_virtual_params *p, nr_virtual_channel channel, double *offset,
                             double *gain)
{
    const nr_virtual_sensor *s = &p->sensor[channel];
    char identity[NR_NAME];
    nr_instrument_identity(p, channel, identity);
    *offset = s->exact ? 0.0 : s->u_offset * nr_chance_normal(p->rig_seed, "offset", identity);
    *gain = s->exact ? 0.0 : s->u_gain * nr_chance_normal(p->rig_seed, "gain", identity);
}

bool nr_instrument_open(nr_instrument *s, const nr_virtual_params *p, nr_virtual_channel channel,
                        double truth)
{
    const nr_virtual_sensor *kind = &p->sensor[channel];
    char identity[NR_NAME];
    nr_instrument_identity(p, channel, identity);
    *s = (nr_instrument){
        .lag_s = kind->lag_s, .noise = kind->noise, .step = kind->step, .felt = truth};
    nr_virtual_sensor_error(p, channel, &s->offset, &s->gain);
    if (kind->u_drift > 0.0 && !kind->exact) {
        s->drift_s =
            kind->u_drift * nr_chance_normal(p->day_seed, "drift", identity) / p->duration_s;
        s->age_s = -p->duration_s / 2.0;
    }
    s->rng = nr_chance_open(p->day_seed, "noise", identity);
    return s->rng != NULL;
}

void nr_instrument_close(nr_instrument *s)
{
    if (s->rng) {
        gsl_rng_free(s->rng);
    }
    s->rng = NULL;
}

void nr_instrument_feel(nr_instrument *s, double truth, double dt_s)
{
    s->age_s += dt_s;
    if (s->lag_s <= 0.0) {
        s->felt = truth;
        return;
    }
    s->felt += (1.0 - exp(-dt_s / s->lag_s)) * (truth - s->felt);
}

double nr_instrument_read(nr_instrument *s)
{
    double value = (1.0 + s->gain) * s->felt + s->offset + s->drift_s * s->age_s;
    value += s->noise * gsl_ran_gaussian_ziggurat(s->rng, 1.0);
    return s->step > 0.0 ? s->step * round(value / s->step) : value;
}
