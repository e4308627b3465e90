/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/commands.h"

#include "analyze/fit/fit.h"

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

const nr_option nr_json_option[] = {{.kind = NR_OPTION_ON,
                                     .name = "json",
                                     .offset = offsetof(nr_common, json),
                                     .help = "the result as JSON (SI)"},
                                    {.kind = NR_OPTION_END}};

const nr_option nr_units_option[] = {
    {.kind = NR_OPTION_CHOICE,
     .name = "units",
     .value = "si|us",
     .offset = offsetof(nr_common, units),
     .help = "units shown and read (default: rig.ini's [test] units, else the locale's)"},
    {.kind = NR_OPTION_END}};

const nr_option nr_store_only_option[] = {{.kind = NR_OPTION_OFF,
                                           .name = "store-only",
                                           .offset = offsetof(nr_fit_options, use_loop),
                                           .help = "ignore inlet, outlet and flow"},
                                          {.kind = NR_OPTION_END}};

const nr_option nr_loop_only_option[] = {{.kind = NR_OPTION_OFF,
                                          .name = "loop-only",
                                          .offset = offsetof(nr_fit_options, use_store),
                                          .help = "ignore the store's temperature"},
                                         {.kind = NR_OPTION_END}};

const nr_option nr_clear_sky_option[] = {
    {.kind = NR_OPTION_ON,
     .name = "clear-sky",
     .offset = offsetof(nr_fit_options, clear_sky),
     .help =
         "no pyranometer: irradiance from a sky model, 10 % uncertain; only for a test without a "
         "cloud, with [site], tilt and azimuth in rig.ini"},
    {.kind = NR_OPTION_END}};

nr_units nr_common_units(const nr_common *common, const nr_rig *rig)
{
    if (common->units)
        return common->units == 2 ? NR_UNITS_US : NR_UNITS_SI;
    return nr_units_us(rig->units) ? NR_UNITS_US : NR_UNITS_SI;
}

static void say_problem(void *context, const char *line)
{
    (void)context;
    fprintf(stderr, "noonfit: %s\n", line);
}

/* How many problems a rig file had; the first is in the error already. */
typedef struct later_problems {
    size_t count;
} later_problems;

static void say_later_problem(void *context, const char *line)
{
    later_problems *seen = context;
    if (seen->count++)
        say_problem(NULL, line);
}

/* A record fitted twice would count its noise as averaged. */
static bool opened_before(nr_run *const *runs, size_t count, const char *name)
{
    struct stat here, there;
    if (stat(name, &here))
        return false; /* opening it says why */
    for (size_t i = 0; i < count; i++)
        if (!stat(runs[i]->folder, &there) && here.st_dev == there.st_dev &&
            here.st_ino == there.st_ino)
            return true;
    return false;
}

static nr_code open_one(const char *name, nr_run **run, nr_err *err)
{
    later_problems seen = {0};
    nr_sink sink = {say_later_problem, &seen};
    return nr_run_open(name, run, &sink, err);
}

static size_t count_names(char *const *names, size_t count)
{
    size_t total = count;
    for (size_t i = 0; i < count; i++)
        for (const char *p = names[i]; *p; p++)
            total += *p == ',';
    return total;
}

bool nr_same_run(const nr_run *a, const nr_run *b)
{
    struct stat one, other;
    return stat(a->folder, &one) == 0 && stat(b->folder, &other) == 0 &&
           one.st_dev == other.st_dev && one.st_ino == other.st_ino;
}

nr_code nr_open_runs(char *const *names, size_t count, nr_run ***out, size_t *opened, nr_err *err)
{
    *opened = 0;
    *out = calloc(count_names(names, count) + 1, sizeof **out);
    if (!*out)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    nr_code code = NR_OK;
    for (size_t i = 0; i < count && !code; i++) {
        char *list = strdup(names[i]), *rest = list, *name;
        if (!list)
            code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
        while (!code && rest && (name = strsep(&rest, ",")) != NULL) {
            if (!*name)
                code = nr_fail(err, NR_BAD, NULL, 0, "\"%s\": an empty name in the list of runs",
                               names[i]);
            else if (opened_before(*out, *opened, name))
                code = nr_fail(err, NR_BAD, name, 0,
                               "is named twice; a record counts once, name each run once");
            else
                code = open_one(name, &(*out)[*opened], err);
            if (!code)
                ++*opened;
        }
        free(list);
    }
    if (code) {
        nr_close_runs(*out, *opened);
        *out = NULL;
        *opened = 0;
    }
    return code;
}

void nr_close_runs(nr_run **runs, size_t count)
{
    for (size_t i = 0; runs && i < count; i++)
        nr_run_free(runs[i]);
    free(runs);
}

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

void nr_progress_say(void *context, const char *line)
{
    nr_progress *p = context;
    if (p->began_s == 0)
        p->began_s = now_s();
    if (now_s() - p->began_s < 1 || !isatty(STDERR_FILENO))
        return;
    fprintf(stderr, "\r\033[K%s %s", p->what, line);
    p->shown = true;
}

void nr_progress_end(nr_progress *p)
{
    if (p->shown)
        fputs("\r\033[K", stderr);
}
