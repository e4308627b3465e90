/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/answer/compare.h"
#include "analyze/noonfit/commands.h"
#include "plots/plots.h"

#include <getopt.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char help_text[] =
    "Usage: noonfit compare A B [C ...] [options]\n"
    "\n"
    "Sets builds against each other in one joint estimate, so that errors of sensors they share\n"
    "(the same `sensor` in both rig files) cancel. A, B ... are runs; several runs of one build\n"
    "are joined by commas: day1,day2. Two to six builds.\n"
    "\n"
    "  --json            the result as JSON (SI)\n"
    "  --units si|us     units shown and read (default: rig.ini's [test] units, else the "
    "locale's)\n"
    "  --plot FILE       picture: curves, heat-up, differences; .png, .svg or .pdf\n"
    "  --sun W_m2  --air T  --from T  --to T  --water KG  --wind M_S\n"
    "                    the day and use to judge by (default: what all builds were tested at)\n"
    "  --clear-sky       no pyranometer: irradiance from a sky model (see fit --help)\n"
    "  --store-only      ignore inlet, outlet and flow\n" NR_QUANTITIES_HELP "\n"
    "Example:\n"
    "  noonfit compare sample-runs/wash-stand-glazed sample-runs/wash-stand-bare --to 40C\n";

enum {
    OPT_SUN = NR_OPT_OWN,
    OPT_AIR,
    OPT_FROM,
    OPT_TO,
    OPT_WATER,
    OPT_WIND,
    OPT_STORE_ONLY,
    OPT_SKY
};

typedef struct arguments {
    nr_common common;
    nr_fit_options fit;
    const char *air, *from, *to; /* read when the units are known */
    nr_reference_day day;
    bool help;
} arguments;

static nr_code own_option(void *context, int option, const char *argument, nr_err *err)
{
    arguments *a = context;
    switch (option) {
    case OPT_SUN:
        return nr_quantity_option("compare", "sun", argument, "W_m2", 50, 1500, &a->day.sun_W_m2,
                                  err);
    case OPT_WATER:
        return nr_quantity_option("compare", "water", argument, "kg", 0.1, 10000, &a->day.store_kg,
                                  err);
    case OPT_WIND:
        return nr_quantity_option("compare", "wind", argument, "m_s", 0, 50, &a->day.wind_m_s, err);
    case OPT_AIR:
        a->air = argument;
        return NR_OK;
    case OPT_FROM:
        a->from = argument;
        return NR_OK;
    case OPT_TO:
        a->to = argument;
        return NR_OK;
    case OPT_SKY:
        a->fit.clear_sky = true;
        return NR_OK;
    case OPT_STORE_ONLY:
        a->fit.use_loop = false;
        return NR_OK;
    default:
        return nr_common_option(&a->common, option, argument, err);
    }
}

static nr_code parse(int argc, char **argv, arguments *a, nr_err *err)
{
    static const struct option options[] = {NR_COMMON_OPTIONS,
                                            {"sun", required_argument, NULL, OPT_SUN},
                                            {"air", required_argument, NULL, OPT_AIR},
                                            {"from", required_argument, NULL, OPT_FROM},
                                            {"to", required_argument, NULL, OPT_TO},
                                            {"water", required_argument, NULL, OPT_WATER},
                                            {"wind", required_argument, NULL, OPT_WIND},
                                            {"clear-sky", no_argument, NULL, OPT_SKY},
                                            {"store-only", no_argument, NULL, OPT_STORE_ONLY},
                                            {NULL, 0, NULL, 0}};
    *a = (arguments){.fit = nr_fit_defaults(), .day = {NAN, NAN, NAN, NAN, NAN, NAN, false}};
    nr_code code = nr_read_options(argc, argv, ":", options, own_option, a, &a->help, err);
    if (code || a->help)
        return code;
    if (argc - optind < 2)
        return nr_usage(err, "compare", "name at least two builds");
    if (argc - optind > NR_BUILDS)
        return nr_usage(err, "compare", "at most %d builds", NR_BUILDS);
    return NR_OK;
}

static nr_code temperature(const char *name, const char *text, nr_units units, double low,
                           double high, double *out, nr_err *err)
{
    if (!text)
        return NR_OK;
    if (!nr_parse_temperature(text, units == NR_UNITS_US, out))
        return nr_usage(err, "compare", "--%s %s: give a temperature, such as 43C or 110F", name,
                        text);
    if (*out >= low && *out <= high)
        return NR_OK;
    return nr_usage(err, "compare", "--%s %s: give a temperature from %gC to %gC", name, text, low,
                    high);
}

static nr_code read_day(arguments *a, nr_units units, nr_err *err)
{
    nr_code code = temperature("air", a->air, units, -60, 60, &a->day.air_degC, err);
    if (!code)
        code = temperature("from", a->from, units, 0, 100, &a->day.from_degC, err);
    if (!code)
        code = temperature("to", a->to, units, 0, 100, &a->day.to_degC, err);
    if (!code && a->day.to_degC <= a->day.from_degC)
        code = nr_usage(err, "compare", "--to must be above --from");
    return code;
}

static nr_code show(const arguments *a, const nr_compare *compare, nr_units units, nr_err *err)
{
    nr_plot_style style = {.us_units = units == NR_UNITS_US};
    nr_code code = NR_OK;
    if (a->common.plot)
        code = nr_plot_compare(compare, a->common.plot, &style, err);
    if (code)
        return code;
    if (a->common.json)
        return nr_json_compare(stdout, compare, err);
    nr_show_compare(stdout, compare, units);
    return NR_OK;
}

/* The runs of every build, opened. */
typedef struct builds {
    size_t count;
    nr_run **runs[NR_BUILDS];
    size_t counts[NR_BUILDS];
} builds;

/* A run is of one build. */
static nr_code refuse_shared(const builds *b, size_t last, nr_err *err)
{
    for (size_t build = 0; build < last; build++)
        for (size_t i = 0; i < b->counts[build]; i++)
            for (size_t k = 0; k < b->counts[last]; k++)
                if (nr_same_run(b->runs[build][i], b->runs[last][k]))
                    return nr_fail(err, NR_BAD, b->runs[last][k]->folder, 0,
                                   "is named for two builds; give each build runs of its own");
    return NR_OK;
}

static nr_code open_builds(char **names, size_t count, builds *b, nr_err *err)
{
    for (b->count = 0; b->count < count; b->count++) {
        nr_code code =
            nr_open_runs(names + b->count, 1, &b->runs[b->count], &b->counts[b->count], err);
        if (code)
            return code;
        code = refuse_shared(b, b->count, err);
        if (code) {
            b->count++; /* this one is open, too */
            return code;
        }
    }
    return NR_OK;
}

nr_code nr_cmd_compare(int argc, char **argv, nr_err *err)
{
    arguments a;
    nr_code code = parse(argc, argv, &a, err);
    if (code || a.help) {
        if (!code)
            fputs(help_text, stdout);
        return code;
    }
    builds b = {0};
    nr_compare *compare = NULL;
    nr_units units = NR_UNITS_SI;
    code = open_builds(argv + optind, (size_t)(argc - optind), &b, err);
    if (!code) {
        units = nr_common_units(&a.common, &b.runs[0][0]->rig);
        code = read_day(&a, units, err);
    }
    if (!code)
        code = nr_compare_builds((const nr_run *const *const *)b.runs, b.counts, b.count, &a.day,
                                 &a.fit, &compare, err);
    if (!code)
        code = show(&a, compare, units, err);
    nr_compare_free(compare);
    for (size_t i = 0; i < b.count; i++)
        nr_close_runs(b.runs[i], b.counts[i]);
    return code;
}
