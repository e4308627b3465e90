/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/day_options.h"
#include "analyze/noonfit/option_rows.h"
#include "analyze/season/season.h"
#include "analyze/show/season.h"
#include "plots/season.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>

typedef struct arguments {
    nr_common common;
    nr_records records;
    nr_fit_options fit;
    nr_season_question question;
    const char *weather, *to, *from, *tap, *use, *start, *by;
    long draws, seed;
    double price;
    bool changes;
} arguments;

static const nr_option own[] = {
    {.kind = NR_OPTION_TEXT,
     .name = "weather",
     .value = "FILE",
     .offset = offsetof(arguments, weather),
     .help = "the year, hour by hour: EPW, TMY3 CSV, the CSV of a public solar service, or a table "
             "time_utc,GHI_W_m2,DHI_W_m2,air_degC,wind_m_s whose stamps begin their hour"},
    NR_ROW_PLOT(arguments, common.plot, "picture: a calendar of the days; .png, .svg or .pdf"),
    {.kind = NR_OPTION_HEADING, .name = "The use:"},
    NR_ROW_TO(arguments, to, " (default 40C)"),
    {.kind = NR_OPTION_TEXT,
     .name = "start",
     .value = "TIME",
     .offset = offsetof(arguments, start),
     .help = "when the container is filled and the pump begins, local solar time (default 9:00)"},
    {.kind = NR_OPTION_TEXT,
     .name = "by",
     .value = "TIME",
     .offset = offsetof(arguments, by),
     .help = "when the water is wanted, local solar time (default 18:00)"},
    NR_ROW_FROM(arguments, from, " (default: the mean air of the day)"),
    NR_ROW_WATER(arguments, question.water_kg),
    NR_ROW_AREA(arguments, question.area_m2),
    NR_ROW_STORE_LOSS(arguments, question.store_loss_W_K),
    {.kind = NR_OPTION_TEXT,
     .name = "tap",
     .value = "T",
     .offset = offsetof(arguments, tap),
     .help = "cold water that is mixed in for a use (default: as at the start)"},
    {.kind = NR_OPTION_TEXT,
     .name = "use",
     .value = "T",
     .offset = offsetof(arguments, use),
     .help = "water of a use, a wash-up or a shower (default 40C)"},
    NR_ROW_EACH(arguments, question.use_L),
    {.kind = NR_OPTION_HEADING, .name = "Where it stands:"},
    NR_ROW_TILT(arguments, question.tilt_deg),
    NR_ROW_AZIMUTH(arguments, question.azimuth_deg),
    NR_ROW_RE_AIMED(arguments, question.re_aimed),
    NR_ROW_LATITUDE(arguments, question.latitude_deg,
                    "of the weather (default: what its file says, else [site] of rig.ini)"),
    NR_ROW_LONGITUDE(arguments, question.longitude_deg),
    {.kind = NR_OPTION_HEADING, .name = "What more it tells:"},
    {.kind = NR_OPTION_ON,
     .name = "changes",
     .offset = offsetof(arguments, changes),
     .help =
         "what a second collector, a lid, more water, another tilt or start would bring, ranked"},
    {.kind = NR_OPTION_NUMBER,
     .name = "price",
     .value = "MONEY",
     .offset = offsetof(arguments, price),
     .help = "of the whole collector, in any currency: cost per kWh of heat over ten years of use",
     .low = 0,
     .high = 1e7},
    {.kind = NR_OPTION_WHOLE,
     .name = "draws",
     .value = "N",
     .offset = offsetof(arguments, draws),
     .help = "collectors drawn from the estimate, for the intervals (default 200)",
     .low = 20,
     .high = NR_SEASON_DRAWS_MOST},
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
                                         {nr_store_only_option, offsetof(arguments, fit)},
                                         {nr_clear_sky_option, offsetof(arguments, records)},
                                         {nr_collector_option, offsetof(arguments, records)},
                                         {nr_use_option, offsetof(arguments, records)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_season = {
    .program = "noonfit",
    .name = "season",
    .arguments = "RUN [RUN ...] --weather FILE",
    .summary = "a year of real weather: days that reach the target, uses, by month",
    .about = "Takes the collector of these records through a year of weather. Every day the "
             "container is filled, the collector works from --start to --by, and what counts is "
             "the warmest that the water gets: how many days reach the target, how many uses the "
             "water is good for, how much heat it holds. Each with two 95 % intervals: what the "
             "record leaves open about the collector, and what one year differs from another.",
    .epilogue = NR_QUANTITIES_HELP,
    .examples = "  noonfit season sample-runs/wash-stand-glazed --weather denver.epw \\\n"
                "      --to 40C --by 17:00 --plot year.png\n",
    .groups = groups,
    .least = 1,
    .most = NR_ANY_NUMBER,
    .wants = "name at least one run",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .run = run};

static nr_code time_option(const char *name, const char *text, double *out, nr_err *err)
{
    double ahead;
    bool zone = false;
    if (!text || (nr_day_time_parse(text, NAN, out, &ahead, &zone) && !zone))
        return NR_OK;
    return nr_usage(err, &nr_cmd_season, "--%s %s: give a local solar time such as 9:30", name,
                    text);
}

static nr_code read_question(arguments *a, nr_units units, nr_err *err)
{
    bool us = units == NR_UNITS_US;
    const nr_command *me = &nr_cmd_season;
    nr_season_question *q = &a->question;
    q->draws = (size_t)a->draws;
    q->seed = (unsigned long)a->seed;
    nr_code code = nr_temperature_option(me, "to", a->to, us, 1, 99, &q->to_degC, err);
    if (!code)
        code = nr_temperature_option(me, "from", a->from, us, 0, 98, &q->from_degC, err);
    if (!code)
        code = nr_temperature_option(me, "tap", a->tap, us, 0, 98, &q->tap_degC, err);
    if (!code)
        code = nr_temperature_option(me, "use", a->use, us, 1, 98, &q->use_degC, err);
    if (!code)
        code = time_option("start", a->start, &q->start_s, err);
    return code ? code : time_option("by", a->by, &q->by_s, err);
}

/* Whole per cents on one line of a terminal. */
static void say(void *context, size_t done, size_t of)
{
    char line[32];
    snprintf(line, sizeof line, "%zu of %zu", done + 1, of);
    nr_progress_line_say(context, line);
}

static nr_code show(const arguments *a, const nr_season *s, const nr_season_gain *gain,
                    nr_units units, nr_err *err)
{
    nr_plot_remark remark = {.say = nr_say_remark};
    nr_plot_style style = {.us_units = units == NR_UNITS_US, .remark = &remark};
    nr_code code = NR_OK;
    if (a->common.plot)
        code = nr_plot_season(s, a->common.plot, &style, err);
    if (code)
        return code;
    if (a->common.json)
        return nr_json_season(stdout, s, gain, a->price, err);
    nr_show_season(stdout, s, gain, a->price, units);
    return NR_OK;
}

static nr_code answer(arguments *a, nr_run *const *runs, size_t count, nr_season **s,
                      nr_season_gain gain[NR_CHANGES], nr_err *err)
{
    nr_hourly *weather = NULL;
    nr_progress_line progress = {.what = "day"};
    nr_code code = nr_hourly_read(a->weather, &weather, err);
    if (!code)
        code = nr_season_runs((const nr_run *const *)runs, count, weather, &a->question, &a->fit,
                              say, &progress, s, err);
    nr_progress_line_end(&progress);
    progress = (nr_progress_line){.what = "change"};
    if (!code && a->changes)
        code = nr_season_changes((const nr_run *const *)runs, count, weather, &a->question, &a->fit,
                                 say, &progress, gain, err);
    nr_progress_line_end(&progress);
    nr_hourly_free(weather);
    return code;
}

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.fit = nr_fit_defaults(),
                   .question = nr_season_open(),
                   .draws = (long)nr_season_open().draws,
                   .seed = 1,
                   .price = NAN};
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_season, argc, argv, &a, &words, err);
    if (!code && !a.weather)
        code = nr_usage(err, &nr_cmd_season, "name the year: --weather FILE");
    if (code)
        return code;
    nr_run **runs = NULL;
    size_t count = 0;
    nr_season *s = NULL;
    nr_season_gain gain[NR_CHANGES];
    nr_units units = NR_UNITS_SI;
    code = nr_open_runs_of_one(&nr_cmd_season, words.word, words.count, &a.records, &runs, &count,
                               err);
    if (!code) {
        units = nr_common_units(&a.common, &runs[0]->rig);
        code = read_question(&a, units, err);
    }
    if (!code)
        code = answer(&a, runs, count, &s, gain, err);
    if (code == NR_CANNOT)
        nr_blame((const nr_run *const *)runs, count, units, err);
    if (!code)
        code = nr_withhold(&s->fit->trust, a.common.anyway, units, err);
    if (!code)
        code = show(&a, s, a.changes ? gain : NULL, units, err);
    nr_season_free(s);
    nr_close_runs(runs, count);
    return code;
}
