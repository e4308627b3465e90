/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/reading.h"

#include "logger/convert/infrared.h"

#include <math.h>
#include <string.h>

double nr_reading_cold_key(const nr_rig_channel *channel)
{
    int i = nr_law_key_index(channel->law, "cold_degC");
    return i < 0 ? NAN : channel->coefficient[i];
}

double nr_reading_accept(const nr_rig_channel *channel, double canonical)
{
    if (!isnan(channel->emissivity))
        canonical = nr_infrared_degC(canonical, channel->emissivity_set, channel->instrument,
                                     channel->emissivity, channel->surroundings);
    if (isfinite(channel->correct_offset))
        canonical += channel->correct_offset;
    bool believable =
        isfinite(canonical) && !(canonical < channel->low) && !(canonical > channel->high);
    return believable ? canonical : NAN;
}

double nr_reading_by_law(const nr_rig_channel *channel, double raw, double cold_degC)
{
    double result = channel->law->eval(raw, channel->coefficient, cold_degC);
    const nr_unit *unit = channel->law->unit ? nr_unit_find(channel->law->unit) : NULL;
    return nr_reading_accept(channel, nr_unit_to_canonical(unit ? unit : channel->unit, result));
}

double nr_reading_convert(const nr_rig_channel *channel, double raw, double cold_degC)
{
    if (channel->modbus_scale > 0)
        raw /= channel->modbus_scale;
    return nr_reading_by_law(channel, raw, cold_degC);
}

double nr_reading_with_unit(const nr_rig_channel *channel, double raw, const nr_unit *unit,
                            double cold_degC)
{
    bool plain = strcmp(channel->law->name, "none") == 0;
    if (unit && plain && channel->unit->dimension != NR_DIM_NONE) {
        if (unit->dimension != channel->unit->dimension)
            return NAN;
        return nr_reading_accept(channel, nr_unit_to_canonical(unit, raw));
    }
    return nr_reading_convert(channel, raw, cold_degC);
}
