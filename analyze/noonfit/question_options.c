/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/question_options.h"

#include "analyze/noonfit/option_rows.h"

#include <math.h>

const nr_option nr_question_group[] = {
    {.kind = NR_OPTION_HEADING,
     .name = "The day and use to judge builds by (default: what all were tested at):"},
    NR_ROW_SUN(nr_question_options, day.sun_W_m2),
    NR_ROW_AIR(nr_question_options, air),
    NR_ROW_FROM(nr_question_options, from, ""),
    NR_ROW_TO(nr_question_options, to, ""),
    NR_ROW_WATER(nr_question_options, day.store_kg),
    NR_ROW_WIND(nr_question_options, day.wind_m_s),
    {.kind = NR_OPTION_END}};

nr_question_options nr_question_none(void)
{
    return (nr_question_options){.day = {NAN, NAN, NAN, NAN, NAN, NAN, false}};
}

nr_code nr_question_finish(nr_question_options *q, const nr_command *command, nr_units units,
                           nr_err *err)
{
    bool us = units == NR_UNITS_US;
    nr_reference_day *d = &q->day;
    nr_code code = nr_temperature_option(command, "air", q->air, us, -60, 60, &d->air_degC, err);
    if (!code)
        code = nr_temperature_option(command, "from", q->from, us, 0, 100, &d->from_degC, err);
    if (!code)
        code = nr_temperature_option(command, "to", q->to, us, 0, 100, &d->to_degC, err);
    if (!code && d->to_degC <= d->from_degC)
        code = nr_usage(err, command, "--to must be above --from");
    return code;
}

static bool given(const nr_question_options *q)
{
    const nr_reference_day *d = &q->day;
    return q->air || q->from || q->to || !isnan(d->sun_W_m2) || !isnan(d->store_kg) ||
           !isnan(d->wind_m_s);
}

nr_code nr_question_for(nr_question_options *q, const nr_command *command, size_t builds,
                        nr_units units, nr_err *err)
{
    if (builds == 1 && given(q))
        return nr_usage(err, command,
                        "a day and a use to judge by want two collectors or more; of one, `noonfit "
                        "predict` tells what it does on another day");
    return nr_question_finish(q, command, units, err);
}
