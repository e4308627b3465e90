/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/size.h"
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/day_options.h"
#include "analyze/noonfit/option_rows.h"
#include "logger/base/utc.h"
#include "plots/plots.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

typedef struct arguments {
    nr_common common;
    nr_records records;
    nr_fit_options fit;
    nr_day_options day;
    nr_size_question question;
    const char *by, *tap, *use;
} arguments;

static const nr_option own[] = {
    NR_ROW_PLOT(arguments, common.plot,
                "picture of the ways to the target, or of the months; .png, .svg or .pdf"),
    {.kind = NR_OPTION_TEXT,
     .name = "by",
     .value = "TIME",
     .offset = offsetof(arguments, by),
     .help = "the deadline on a clear day; --start left out: the best start"},
    {.kind = NR_OPTION_ON,
     .name = "months",
     .offset = offsetof(arguments, question.months),
     .help = "a table over the clear days of that year; --air and --from may then be twelve "
             "temperatures, January first: 2,3,7,11,15,19,21,20,17,12,6,3"},
    {.kind = NR_OPTION_TEXT,
     .name = "tap",
     .value = "T",
     .offset = offsetof(arguments, tap),
     .help = "count wash-ups mixed with tap water of this temperature,"},
    {.kind = NR_OPTION_TEXT,
     .name = "use",
     .value = "T",
     .offset = offsetof(arguments, use),
     .help = "to water of this temperature (default 40C),"},
    NR_ROW_EACH(arguments, question.use_L),
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{nr_json_option, offsetof(arguments, common)},
                                         {nr_units_option, offsetof(arguments, common)},
                                         {own, 0},
                                         {nr_store_only_option, offsetof(arguments, fit)},
                                         {nr_clear_sky_option, offsetof(arguments, records)},
                                         {nr_anyway_option, offsetof(arguments, common)},
                                         NR_DAY_GROUPS(arguments, day),
                                         {nr_collector_option, offsetof(arguments, records)},
                                         {nr_use_option, offsetof(arguments, records)},
                                         {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *err);

const nr_command nr_cmd_size = {
    .program = "noonfit",
    .name = "size",
    .arguments = "RUN [RUN ...]",
    .summary = "how large, how much water, how late a start; which months; how many wash-ups",
    .about =
        "The question of `noonfit predict` turned round: how large a collector of this build, how "
        "much water, how late a start still reach the target; in which months; how many wash-ups "
        "it makes. Each on the best estimate, and with the margin that makes it 95 % sure.\n\nIt "
        "wants --to T, and --day DATE with --by TIME or --sun W_m2 with --within D.",
    .epilogue = NR_QUANTITIES_HELP,
    .examples = "  noonfit size sample-runs/wash-stand-glazed --day 2026-06-21 --by 15:00+02:00 "
                "\\\n      --air 22C --from 12C --to 40C --tap 12C --months\n",
    .least = 1,
    .most = NR_ANY_NUMBER,
    .wants = "name at least one run",
    .word = {NR_WORD_RUN, NR_WORD_RUN},
    .groups = groups,
    .run = run};

/* "T" is left to the day's own reading; "T,T,...": twelve values, and the month's one for the day.
 */
static nr_code month_list(arguments *a, const char *name, const char **text, nr_units units,
                          double *months, double *day, nr_err *err)
{
    if (!*text || !strchr(*text, ','))
        return NR_OK;
    char *copy = strdup(*text), *rest = copy, *one;
    nr_code code = copy ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    int n = 0;
    while (!code && (one = strsep(&rest, ",")) != NULL) {
        double T = NAN;
        code = nr_day_temperature(&a->day, name, one, units, &T, err);
        if (n < NR_MONTHS)
            months[n] = T;
        n++;
    }
    free(copy);
    if (!code && n != NR_MONTHS)
        code = nr_usage(err, &nr_cmd_size, "--%s: give one temperature or twelve, not %d", name, n);
    if (!code && (!a->question.months || isnan(a->day.day.date_s)))
        code = nr_usage(err, &nr_cmd_size, "twelve temperatures belong to --months and --day DATE");
    if (code)
        return code;
    char date[NR_UTC_SIZE];
    nr_utc_format(a->day.day.date_s, date);
    *day = months[(date[5] - '0') * 10 + (date[6] - '0') - 1];
    *text = NULL;
    return NR_OK;
}

static nr_code finish(arguments *a, nr_units units, const nr_rig *rig, nr_err *err)
{
    nr_size_question *q = &a->question;
    nr_day_options *o = &a->day;
    nr_code code = nr_day_options_date(o, err);
    if (!code)
        code = month_list(a, "air", &o->air, units, q->month_air_degC, &o->day.air_degC, err);
    if (!code)
        code = month_list(a, "from", &o->from, units, q->month_from_degC, &o->day.from_degC, err);
    if (!code)
        code = nr_day_options_finish(o, units, rig, err);
    if (!code)
        code = nr_day_temperature(o, "tap", a->tap, units, &q->tap_degC, err);
    if (!code)
        code = nr_day_temperature(o, "use", a->use, units, &q->use_degC, err);
    if (code)
        return code;
    double ahead;
    bool zone;
    if (a->by && !o->day.clear_sky)
        return nr_usage(err, &nr_cmd_size, "--by belongs to a clear-sky day: give --day DATE too");
    if (a->by && !nr_day_time_parse(a->by, o->day.longitude_deg, &q->by_s, &ahead, &zone))
        return nr_usage(err, &nr_cmd_size,
                        "--by %s: give a time such as 15:00, 15:00Z or 15:00+02:00", a->by);
    if (a->by && o->start && zone != o->day.clock_given)
        return nr_usage(err, &nr_cmd_size,
                        "give --start and --by both with a zone or both without");
    if (a->by) {
        o->day.clock_given = zone;
        o->day.clock_ahead_s = ahead;
    }
    q->day = o->day;
    /* Text needs no curves, nor does the picture of the months. */
    q->curves = a->common.json || (a->common.plot && !q->months);
    return NR_OK;
}

NR_SHOW_ANSWER(show, nr_size, size)

static nr_code run(int argc, char **argv, nr_err *err)
{
    arguments a = {.fit = nr_fit_defaults(),
                   .day = nr_day_options_none(&nr_cmd_size),
                   .question = nr_size_open()};
    nr_words words;
    nr_code code = nr_command_read(&nr_cmd_size, argc, argv, &a, &words, err);
    if (code)
        return code;
    nr_run **runs = NULL;
    size_t count = 0;
    nr_size *z = NULL;
    nr_units units = NR_UNITS_SI;
    code =
        nr_open_runs_of_one(&nr_cmd_size, words.word, words.count, &a.records, &runs, &count, err);
    if (!code) {
        units = nr_common_units(&a.common, &runs[0]->rig);
        code = finish(&a, units, &runs[0]->rig, err);
    }
    if (!code)
        code = nr_size_runs((const nr_run *const *)runs, count, &a.question, &a.fit, &z, err);
    if (code == NR_CANNOT)
        nr_blame((const nr_run *const *)runs, count, units, err);
    if (!code)
        code = nr_withhold(&z->fit->trust, a.common.anyway, units, err);
    if (!code)
        code = show(&a.common, z, units, err);
    nr_size_free(z);
    nr_close_runs(runs, count);
    return code;
}
