/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/noonfit/records.h"

#include "analyze/plane/plane.h"

#include "logger/base/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

const nr_option nr_collector_option[] = {{.kind = NR_OPTION_TEXT,
                                          .name = "collector",
                                          .value = "NAME",
                                          .offset = offsetof(nr_records, collector),
                                          .help = "which one, of a record with several"},
                                         {.kind = NR_OPTION_END}};

const nr_option nr_clear_sky_option[] = {
    {.kind = NR_OPTION_ON,
     .name = "clear-sky",
     .offset = offsetof(nr_records, clear_sky),
     .help =
         "no pyranometer: irradiance from a sky model, 10 % uncertain; only for a test without a "
         "cloud, with [site], tilt and azimuth in rig.ini"},
    {.kind = NR_OPTION_END}};

const nr_option nr_use_option[] = {
    {.kind = NR_OPTION_TEXT,
     .name = "use",
     .value = "A..B",
     .offset = offsetof(nr_records, use),
     .help = "part of the record: by the clock, 11:05..12:20 (this computer's zone; or 11:05Z, "
             "11:05+02:00), or since its start, 10m..1h15m; either end may be left out"},
    {.kind = NR_OPTION_END}};

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

static bool same_name(const char *a, const char *b)
{
    struct stat one, other;
    return strcmp(a, b) == 0 || (stat(a, &one) == 0 && stat(b, &other) == 0 &&
                                 one.st_dev == other.st_dev && one.st_ino == other.st_ino);
}

/* A record fitted twice would count its noise as averaged. */
static bool opened_before(nr_run *const *runs, size_t count, const char *name)
{
    for (size_t i = 0; i < count; i++)
        if (same_name(runs[i]->folder, name))
            return true;
    return false;
}

/* --- part of a record --------------------------------------------------------------------------
 */

#define DAY_S 86400.0

/* "11:05", "11:05:30", with Z or +02:00 -> the first such moment from half a day before the
 * record's first row on, on the run's axis. */
static bool clock_end(const char *text, const nr_run *run, double *elapsed_s)
{
    int h, m, s = 0, used = 0, zh, zm, zused = 0;
    char sign;
    if (sscanf(text, "%2d:%2d%n", &h, &m, &used) != 2 || h > 23 || m > 59 || h < 0 || m < 0)
        return false;
    text += used;
    if (sscanf(text, ":%2d%n", &s, &used) == 1)
        text += used;
    if (s < 0 || s > 60)
        return false;
    nr_values labels = nr_readings_utc(run->readings);
    nr_values elapsed = nr_readings_elapsed(run->readings);
    double first = nr_number(&labels, 0), clock_s = 3600.0 * h + 60.0 * m + s, zone_s;
    time_t at = (time_t)first;
    struct tm here;
    if (!*text) {
        localtime_r(&at, &here);
        zone_s = (double)here.tm_gmtoff;
    } else if (!strcmp(text, "Z")) {
        zone_s = 0;
    } else if (sscanf(text, "%c%2d:%2d%n", &sign, &zh, &zm, &zused) == 3 && !text[zused] &&
               (sign == '+' || sign == '-') && zh >= 0 && zh <= 14 && zm >= 0 && zm <= 59) {
        zone_s = (sign == '-' ? -60.0 : 60.0) * (60 * zh + zm);
    } else {
        return false;
    }
    double utc = floor((first + zone_s) / DAY_S) * DAY_S + clock_s - zone_s;
    if (utc < first - DAY_S / 2)
        utc += DAY_S;
    else if (utc >= first + DAY_S / 2)
        utc -= DAY_S;
    *elapsed_s = nr_number(&elapsed, 0) + (utc - first);
    return true;
}

static bool end_of_part(const char *text, const nr_run *run, double *elapsed_s)
{
    *elapsed_s = NAN;
    if (!*text)
        return true;
    if (strchr(text, ':'))
        return clock_end(text, run, elapsed_s);
    return nr_parse_duration(text, elapsed_s);
}

/* "11:05..12:20" (clock), "10m..1h15m" (since the start), either side may be left out -> elapsed
 * seconds on the run's axis, NAN where open. A clock without a zone is this computer's; with one:
 * 11:05Z, 11:05+02:00. */
static nr_code parse_use(const nr_command *command, const char *text, const nr_run *run,
                         double *from_s, double *to_s, nr_err *err)
{
    char from[40] = "";
    const char *dots = strstr(text, "..");
    bool good = dots && (size_t)(dots - text) < sizeof from;
    if (good) {
        memcpy(from, text, (size_t)(dots - text));
        good = end_of_part(from, run, from_s) && end_of_part(dots + 2, run, to_s) &&
               (*from || dots[2]);
    }
    /* A part that ends before it begins by the clock goes over midnight. */
    if (good && *to_s <= *from_s && strchr(text, ':'))
        *to_s += DAY_S;
    if (!good || *to_s <= *from_s)
        return nr_usage(err, command, "--use %s: give a part such as 11:05..12:20 or 10m..1h15m",
                        text);
    return NR_OK;
}

/* All runs of one folder, cut to the part that is meant. */
static nr_code open_one(const nr_command *command, const char *name, const nr_records *which,
                        nr_run **run, size_t *count, nr_err *err)
{
    later_problems seen = {0};
    nr_sink sink = {say_later_problem, &seen};
    nr_code code = nr_run_open_builds(name, which->collector, run, count, &sink, err);
    for (size_t i = 0; !code && i < *count; i++) {
        double from_s = NAN, to_s = NAN;
        if (which->use)
            code = parse_use(command, which->use, run[i], &from_s, &to_s, err);
        if (!code && which->use)
            code = nr_run_use(run[i], from_s, to_s, err);
        if (!code)
            code = nr_plane_bring(run[i], err);
        if (!code && which->clear_sky)
            code = nr_plane_clear_sky(run[i], err);
    }
    while (code && *count)
        nr_run_free(run[--*count]);
    return code;
}

/* Room for the runs of one more record, and a NULL behind them. */
static nr_code make_room(nr_run ***runs, size_t count, nr_err *err)
{
    nr_run **more = realloc(*runs, (count + NR_RIG_BUILDS + 1) * sizeof *more);
    if (!more)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t i = count; i <= count + NR_RIG_BUILDS; i++)
        more[i] = NULL;
    *runs = more;
    return NR_OK;
}

static nr_code open_name(const nr_command *command, const char *name, const nr_records *which,
                         nr_run ***runs, size_t *count, nr_err *err)
{
    size_t more = 0;
    if (opened_before(*runs, *count, name))
        return nr_fail(err, NR_BAD, name, 0,
                       "is named twice; a record counts once, name each run once");
    nr_code code = make_room(runs, *count, err);
    if (!code)
        code = open_one(command, name, which, &(*runs)[*count], &more, err);
    *count += more;
    return code;
}

/* A page of several runs stands for all of them. */
static nr_code open_all_of(const nr_command *command, const char *name, const nr_records *which,
                           nr_run ***runs, size_t *count, nr_err *err)
{
    bool page;
    size_t inside = nr_run_count(name, &page);
    if (inside == 1)
        return open_name(command, name, which, runs, count, err);
    nr_code code = NR_OK;
    for (size_t i = 1; i <= inside && !code; i++) {
        char one[NR_ERR_FILE];
        (void)snprintf(one, sizeof one, "%.*s#%zu", NR_ERR_FILE - 24, name, i);
        code = open_name(command, one, which, runs, count, err);
    }
    return code;
}

bool nr_same_run(const nr_run *a, const nr_run *b)
{
    return same_name(a->folder, b->folder);
}

nr_code nr_open_runs(const nr_command *command, char *const *names, size_t count,
                     const nr_records *which, nr_run ***out, size_t *opened, nr_err *err)
{
    *opened = 0;
    *out = NULL;
    nr_code code = make_room(out, 0, err);
    for (size_t i = 0; i < count && !code; i++) {
        char *list = strdup(names[i]), *rest = list, *name;
        if (!list)
            code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
        while (!code && rest && (name = strsep(&rest, ",")) != NULL) {
            if (!*name)
                code = nr_fail(err, NR_BAD, NULL, 0, "\"%s\": an empty name in the list of runs",
                               names[i]);
            else
                code = open_all_of(command, name, which, out, opened, err);
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

nr_code nr_note_find(const nr_run *run, const char *words, double *elapsed_s, char *text,
                     size_t size, nr_err *err)
{
    size_t found = 0;
    char list[400] = "";
    for (size_t i = 0; i < run->notes->count; i++) {
        const nr_note *n = &run->notes->note[i];
        if (n->kind != NR_NOTE_NOTE)
            continue;
        size_t used = strlen(list);
        snprintf(list + used, sizeof list - used, "%s\"%.60s\"", used ? ", " : "", n->text);
        if (!strstr(n->text, words))
            continue;
        found++;
        *elapsed_s = n->elapsed_s;
        snprintf(text, size, "%s", n->text);
    }
    if (found == 1)
        return NR_OK;
    return nr_fail(err, NR_BAD, run->folder, 0, "%s notes have the words \"%s\"; the notes are: %s",
                   found ? "several" : "no", words, list[0] ? list : "none");
}

/* --- by collector --------------------------------------------------------------------------------
 */

nr_code nr_group_by_name(const nr_command *command, nr_run *const *runs, size_t count,
                         nr_groups *out, nr_err *err)
{
    size_t taken = 0;
    bool *used = calloc(count + 1, sizeof *used);
    *out = (nr_groups){.run = calloc(count + 1, sizeof *out->run)};
    nr_code code = used && out->run ? NR_OK : nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t i = 0; !code && i < count; i++) {
        if (used[i])
            continue;
        if (out->groups == NR_GROUPS) {
            code = nr_usage(err, command, "runs of more than %d collectors", NR_GROUPS);
            break;
        }
        out->first[out->groups] = out->run + taken;
        for (size_t k = i; k < count; k++) {
            if (used[k] || strcmp(runs[k]->rig.collector.name, runs[i]->rig.collector.name))
                continue;
            used[k] = true;
            out->run[taken++] = runs[k];
            out->count[out->groups]++;
        }
        out->groups++;
    }
    free(used);
    if (code)
        nr_groups_free(out);
    return code;
}

void nr_groups_free(nr_groups *groups)
{
    free(groups->run);
    *groups = (nr_groups){0};
}

bool nr_runs_of_several(nr_run *const *runs, size_t count)
{
    for (size_t i = 1; i < count; i++)
        if (nr_run_same_record(runs[i - 1], runs[i]))
            return true;
    return false;
}

/* --- one collector ------------------------------------------------------------------------------
 */

nr_code nr_check_runs_of_one(const nr_command *command, nr_run *const *runs, size_t count,
                             nr_err *err)
{
    for (size_t i = 1; i < count; i++) {
        const char *first = runs[0]->rig.collector.name, *name = runs[i]->rig.collector.name;
        if (nr_run_same_record(runs[i - 1], runs[i])) {
            char all[NR_RIG_BUILDS * (NR_NAME + 2)];
            nr_rig_build_names(&runs[i]->record->rig, all, sizeof all);
            return nr_usage(
                err, command,
                "%s holds several collectors (%s); name one with --collector, or set them "
                "against each other with `noonfit compare`",
                runs[i]->folder, all);
        }
        if (*first && *name && strcmp(first, name))
            return nr_usage(err, command,
                            "the rig files name different collectors, %s and %s; to set one "
                            "against the other use `noonfit compare`",
                            first, name);
    }
    return NR_OK;
}

nr_code nr_open_runs_of_one(const nr_command *command, char *const *names, size_t count,
                            const nr_records *which, nr_run ***out, size_t *opened, nr_err *err)
{
    nr_code code = nr_open_runs(command, names, count, which, out, opened, err);
    if (!code)
        code = nr_check_runs_of_one(command, *out, *opened, err);
    if (code) {
        nr_close_runs(*out, *opened);
        *out = NULL;
        *opened = 0;
    }
    return code;
}

nr_code nr_rig_of_one(const nr_command *command, const nr_rig *rig, const nr_records *which,
                      nr_rig *view, nr_err *err)
{
    char names[NR_RIG_BUILDS * (NR_NAME + 2)];
    size_t build = which->collector ? nr_rig_build_find(rig, which->collector) : 0;
    nr_rig_build_names(rig, names, sizeof names);
    if (build == rig->builds)
        return nr_fail(err, NR_BAD, rig->path, 0, "there is no collector \"%s\"; there is: %s",
                       which->collector, names[0] ? names : "one without a name");
    if (!which->collector && rig->builds > 1)
        return nr_usage(err, command, "%s holds several collectors (%s): --collector NAME",
                        rig->path, names);
    nr_rig_view(rig, build, view);
    return NR_OK;
}
