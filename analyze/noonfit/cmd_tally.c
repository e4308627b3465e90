/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/day.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/day_options.h"
#include "analyze/noonfit/stated.h"
#include "analyze/show/tally.h"
#include "logger/base/text.h"
#include "logger/base/utc.h"
#include "plots/tally.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

typedef struct arguments {
    nr_common common;
    const char *water, *area, *from, *to, *in, *sun, *air, *site, *date, *start;
    nr_tally_question question;
    long seed;
} arguments;

#define STATED(NAME, VALUE, HELP)                                                                  \
    {                                                                                              \
        .kind = NR_OPTION_TEXT, .name = #NAME, .value = VALUE,                                     \
        .offset = offsetof(arguments, NAME), .help = HELP                                          \
    }

static const nr_option own[] = {
    {.kind = NR_OPTION_TEXT,
     .name = "plot",
     .value = "FILE",
     .offset = offsetof(arguments, common.plot),
     .help = "picture of the balance and of what limits it; .png, .svg or .pdf"},
    {.kind = NR_OPTION_HEADING, .name = "Before and after:"},
    STATED(water, "KG", "water in the container: 22.7, 6gal, 6gal+-0.1gal"),
    STATED(area, "M2", "the collector's gross area: 0.7, 7.5ft2"),
    STATED(from, "T", "water before, stirred"),
    STATED(to, "T", "water after, stirred"),
    STATED(in, "D", "time between the two: 75m, 1h15m+-1m"),
    STATED(air, "T", "air, in the shade, on average"),
    {.kind = NR_OPTION_HEADING, .name = "The sun, measured or of a cloudless sky:"},
    STATED(sun, "W_m2", "mean irradiance in the collector's plane: 850, 850+-5%"),
    STATED(site, "LAT,LON", "where, north and east positive, such as 46.18,9.9"),
    STATED(date, "DATE", "such as 2026-05-16"),
    STATED(start, "TIME", "when it began: 11:00 (local solar time), 11:00Z or 11:00+02:00"),
    {.kind = NR_OPTION_NUMBER,
     .name = "tilt",
     .value = "DEG",
     .offset = offsetof(arguments, question.tilt_deg),
     .help = "the collector's plane, 0 lies flat",
     .low = 0,
     .high = 90},
    {.kind = NR_OPTION_NUMBER,
     .name = "azimuth",
     .value = "DEG",
     .offset = offsetof(arguments, question.azimuth_deg),
     .help = "where it faces, clockwise from north",
     .low = 0,
     .high = 360},
    {.kind = NR_OPTION_QUANTITY,
     .name = "elevation",
     .value = "M",
     .offset = offsetof(arguments, question.elevation_m),
     .help = "above the sea (default 0)",
     .low = -430,
     .high = 6000,
     .unit = "m"},
    {.kind = NR_OPTION_WHOLE,
     .name = "seed",
     .value = "S",
     .offset = offsetof(arguments, seed),
     .help = "of chance: the same seed gives the same numbers (default 1)",
     .low = 0,
     .high = 2147483647},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {nr_anyway_option, offsetof(arguments, common)},
                                         {own, 0},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_tally = {
    .program = "noonfit",
    .name = "tally",
    .arguments = "",
    .summary = "before and after: what two readings of the water tell, without a record",
    .about =
        "The heat that went into the water, the mean power, and the share of the sun's energy that "
        "is, from what is written on a scrap of paper. Every input may carry its standard "
        "uncertainty behind +-, in its own unit or in per cent; otherwise the usual one is taken "
        "and said. The interval is drawn from them (JCGM 101); the answer says which input limits "
        "it, what two readings cannot tell, and what three more would.\n\nIt wants --water, "
        "--area, --from, --to and --in; for the share of the sun --sun, or a cloudless time with "
        "--site, --date, --start, --tilt and --azimuth.",
    .epilogue = NR_QUANTITIES_HELP,
    .examples =
        "  noonfit tally --water 6gal --area 7.5ft2 --from 64F --to 95F --in 75m \\\n"
        "      --air 72F --sun 850W/m2\n"
        "  noonfit tally --water 20 --area 0.7 --from 15C+-0.3 --to 35C+-0.3 --in 1h30m \\\n"
        "      --site 46.18,9.9 --date 2026-05-16 --start 11:00 --tilt 30 --azimuth 180\n",
    .least = 0,
    .most = 0,
    .wants = "it takes no files",
    .groups = groups,
    .run = run};

static nr_code read_inputs(arguments *a, bool us, nr_err *err)
{
    const nr_command *me = &nr_cmd_tally;
    nr_stated *in = a->question.input;
    nr_stated air = {NAN, NAN};
    nr_code code =
        nr_stated_quantity(me, "water", a->water, "kg", 0.1, 10000, &in[NR_TALLY_WATER], err);
    if (!code)
        code = nr_stated_quantity(me, "area", a->area, "m2", 0.01, 1000, &in[NR_TALLY_AREA], err);
    if (!code)
        code = nr_stated_temperature(me, "from", a->from, us, 0, 99, &in[NR_TALLY_FROM], err);
    if (!code)
        code = nr_stated_temperature(me, "to", a->to, us, 0, 100, &in[NR_TALLY_TO], err);
    if (!code)
        code = nr_stated_duration(me, "in", a->in, 60, 86400, &in[NR_TALLY_DURATION], err);
    if (!code)
        code = nr_stated_quantity(me, "sun", a->sun, "W_m2", 50, 1500, &in[NR_TALLY_SUN], err);
    if (!code)
        code = nr_stated_temperature(me, "air", a->air, us, -60, 60, &air, err);
    a->question.air_degC = air.value;
    return code;
}

static bool read_site(const char *text, double *latitude, double *longitude)
{
    char first[64];
    const char *comma = strchr(text, ',');
    if (!comma || (size_t)(comma - text) >= sizeof first)
        return false;
    memcpy(first, text, (size_t)(comma - text));
    first[comma - text] = '\0';
    return nr_parse_double(first, latitude) && nr_parse_double(comma + 1, longitude) &&
           fabs(*latitude) <= 90 && fabs(*longitude) <= 180;
}

/* Place and time of a cloudless sky; what of them is missing the room names. */
static nr_code read_sky(arguments *a, nr_err *err)
{
    const nr_command *me = &nr_cmd_tally;
    nr_tally_question *q = &a->question;
    double day_s = NAN, solar_s = NAN, ahead;
    bool zone;
    q->clear_sky = a->site || a->date || a->start;
    if (!q->clear_sky)
        return NR_OK;
    if (a->sun)
        return nr_usage(err, me,
                        "--sun and --site exclude each other: an irradiance, or a cloudless sky's");
    if (a->site && !read_site(a->site, &q->latitude_deg, &q->longitude_deg))
        return nr_usage(err, me, "--site %s: give latitude and longitude, such as 46.18,9.9",
                        a->site);
    if (a->date && !nr_date_parse(a->date, &day_s))
        return nr_usage(err, me, "--date %s: give a date such as 2026-05-16", a->date);
    if (a->start && isfinite(q->longitude_deg) &&
        !nr_day_time_parse(a->start, q->longitude_deg, &solar_s, &ahead, &zone))
        return nr_usage(err, me, "--start %s: give a time such as 11:00, 11:00Z or 11:00+02:00",
                        a->start);
    nr_day day = {.date_s = day_s, .longitude_deg = q->longitude_deg};
    q->start_utc_s = nr_day_utc_s(&day, solar_s);
    return NR_OK;
}

NR_SHOW_ANSWER(show, nr_tally, tally)

/* Water that took up more than the sun gave, and began hotter than wells and taps are: 64 and 95 of
 * a thermometer in degF. */
static nr_code ask_unit(const arguments *a, bool us, nr_code code, nr_err *err)
{
    char said[NR_ERR_TEXT];
    bool bare =
        a->from[strcspn(a->from, "CFKcfk")] == '\0' && a->to[strcspn(a->to, "CFKcfk")] == '\0';
    if (code != NR_CANNOT || us || !bare || a->question.input[NR_TALLY_FROM].value < 40)
        return code;
    snprintf(said, sizeof said, "%s", err->text);
    return nr_fail(err, NR_CANNOT, NULL, 0,
                   "%s and %s were read as degC; if the thermometer shows degF, write %sF and %sF; "
                   "otherwise %s",
                   a->from, a->to, a->from, a->to, said);
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.question = nr_tally_open(), .seed = 1};
    nr_words words;
    nr_tally t;
    nr_code code = nr_command_read(&nr_cmd_tally, argc, argv, &a, &words, err);
    if (code)
        return code;
    nr_units units = a.common.units    ? (a.common.units == 2 ? NR_UNITS_US : NR_UNITS_SI)
                     : nr_units_us("") ? NR_UNITS_US
                                       : NR_UNITS_SI;
    a.question.seed = (unsigned long)a.seed;
    code = read_inputs(&a, units == NR_UNITS_US, err);
    if (!code)
        code = read_sky(&a, err);
    if (!code)
        code = nr_tally_make(&a.question, &t, err);
    if (!code)
        code = ask_unit(&a, units == NR_UNITS_US,
                        nr_withhold(&t.trust, a.common.anyway, units, err), err);
    return code ? code : show(&a.common, &t, units, err);
}
