/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/instrument.h"
#include "logger/base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define T NR_DIM_TEMPERATURE
#define NO_SOURCE "common practice, no source"

/* u_offset, u_gain, resolution, lag_s, u_drift. Drifts over an hour or two are common practice, no
 * source: a zero that sinks and a column that is read aslant, a housing or a reference junction
 * that the sun warms; sealed sensors of a known law hardly do. */
static const nr_instrument_kind instruments[] = {
    {"glass", T, 0.6, NAN, 0.5, 15, 0.05, "liquid-in-glass thermometer with divisions of 1 degC",
     "1 degC (ISO 1770, from memory); lag in stirred water: " NO_SOURCE},
    {"kitchen", T, 0.6, NAN, 0.1, 6, 0.1, "digital probe thermometer for food",
     "1 degC (EN 13485 class 1, from memory); lag: " NO_SOURCE},
    {"oven", T, 6, NAN, 5, 120, 1, "dial thermometer for an oven, in a box", "10 degC; " NO_SOURCE},
    {"infrared", T, 1.2, 0.012, 0.1, 1, 0.5,
     "infrared thermometer, emissivity of the surface as set",
     "2 degC or 2 % as makers commonly state; " NO_SOURCE},
    {"one-wire", T, 0.3, NAN, 0.0625, 10, 0.035, "digital one-wire thermometer in a metal sleeve",
     "0.5 degC from -10 to 85 degC as makers state; lag: " NO_SOURCE},
    {"thermistor", T, 0.3, NAN, NAN, 5, 0.02, "interchangeable thermistor in a sleeve",
     "0.5 degC over the range of use; " NO_SOURCE},
    {"platinum", T, 0.3, NAN, NAN, 10, 0.02, "platinum resistance thermometer in a sleeve",
     "0.3 + 0.005 |t| degC, at 50 degC (IEC 60751 class B); lag: " NO_SOURCE},
    {"thermocouple", T, 1.4, NAN, NAN, 2, 0.2, "thermocouple with its reference junction",
     "2.5 degC (IEC 60584-1 class 2, type K); lag: " NO_SOURCE},
    {"station", T, 1, NAN, 0.1, 0, NAN, "air temperature from a weather station nearby", NO_SOURCE},
    {"pyranometer", NR_DIM_IRRADIANCE, NAN, 0.05, NAN, 5, NAN,
     "thermopile pyranometer of the low class",
     "10 % of a daily sum at 95 % (WMO No. 8, moderate quality, from memory); lag: ISO 9060 class "
     "C, "
     "95 % within 30 s"},
    {"cell", NR_DIM_IRRADIANCE, NAN, 0.05, NAN, 0, NAN, "silicon cell or photodiode", NO_SOURCE},
    {"lux", NR_DIM_IRRADIANCE, NAN, 0.15, NAN, 0, NAN, "light meter, by a factor from lux",
     NO_SOURCE},
    {"station", NR_DIM_IRRADIANCE, NAN, 0.08, NAN, 0, NAN,
     "irradiance from a weather station nearby", NO_SOURCE},
    {"turbine", NR_DIM_FLOW, NAN, 0.05, NAN, 1, NAN, "turbine that sends pulses", NO_SOURCE},
    {"bucket", NR_DIM_FLOW, NAN, 0.03, NAN, 0, NAN, "a measure filled against a watch", NO_SOURCE},
    {"float", NR_DIM_FLOW, NAN, 0.05, NAN, 1, NAN, "float in a conical tube", NO_SOURCE},
    {"cup", NR_DIM_SPEED, 0.3, 0.05, NAN, 2, NAN, "cups or a vane at the collector", NO_SOURCE},
    {"station", NR_DIM_SPEED, 0.5, 0.4, NAN, 0, NAN,
     "wind from a weather station: another height, another place", NO_SOURCE},
    {"hygrometer", NR_DIM_PERCENT, 4, NAN, 1, 60, NAN, "household hygrometer", NO_SOURCE},
    {"station", NR_DIM_PERCENT, 6, NAN, 1, 0, NAN, "humidity from a weather station nearby",
     NO_SOURCE},
};
#define INSTRUMENTS (sizeof instruments / sizeof instruments[0])

const nr_instrument_kind *nr_instrument_at(size_t index)
{
    return index < INSTRUMENTS ? &instruments[index] : NULL;
}

const nr_instrument_kind *nr_instrument_find(const char *name, nr_dimension dimension)
{
    const nr_instrument_kind *kind;
    for (size_t i = 0; (kind = nr_instrument_at(i)) != NULL; i++)
        if (strcmp(kind->name, name) == 0 &&
            (dimension == NR_DIM_NONE || kind->dimension == dimension))
            return kind;
    return NULL;
}

void nr_instrument_names(nr_dimension dimension, char *out, size_t size)
{
    size_t used = 0;
    nr_copy(out, size, "");
    for (size_t i = 0; i < INSTRUMENTS && used < size; i++) {
        const nr_instrument_kind *one = &instruments[i];
        if (dimension == NR_DIM_NONE ? nr_instrument_find(one->name, NR_DIM_NONE) != one
                                     : one->dimension != dimension)
            continue;
        int more = snprintf(out + used, size - used, "%s%s", used > 0 ? ", " : "", one->name);
        used += more > 0 ? (size_t)more : 0;
    }
}
