/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog bath: all thermometers in one stirred bath, offsets against a reference as rig keys. */
#include "logger/noonlog/bath_show.h"
#include "logger/noonlog/commands.h"

#include "logger/base/replace.h"
#include "logger/base/text.h"
#include "logger/listen/session.h"
#include "logger/noonlog/listening.h"
#include "logger/noonlog/option_rows.h"
#include "logger/run/folder.h"
#include "logger/run/rig_edit.h"

#include <errno.h>
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define DEFAULT_LENGTH_S 300.0

typedef struct request {
    const char *source[2]; /* rig file or run folders */
    size_t sources;
    const char *reference, *only, *write, *port;
    bool ice, boiling, json;
    const char *at;
    int units; /* 1 si, 2 us */
    double u_K, pressure_hPa, length_s;
} request;

static const nr_option bath_options[] = {
    {.kind = NR_OPTION_TEXT,
     .name = "reference",
     .value = "CHANNEL",
     .offset = offsetof(request, reference),
     .help = "this channel is right; give its standard uncertainty with --u"},
    {.kind = NR_OPTION_TEXT,
     .name = "at",
     .value = "TEMP",
     .offset = offsetof(request, at),
     .help = "the bath is that warm (24.6C, 76.3F), read off another thermometer"},
    {.kind = NR_OPTION_NUMBER,
     .name = "u",
     .value = "K",
     .offset = offsetof(request, u_K),
     .help = "standard uncertainty of the reference or of TEMP, in kelvin",
     .low = 0,
     .high = 10},
    {.kind = NR_OPTION_ON,
     .name = "ice",
     .offset = offsetof(request, ice),
     .help = "the bath is crushed ice and water: 0 degC, u 0.05 K"},
    {.kind = NR_OPTION_ON,
     .name = "boiling",
     .offset = offsetof(request, boiling),
     .help = "the bath is boiling water; its temperature by [site] elevation or --pressure. With "
             "--ice, one after the other: gain and offset"},
    {.kind = NR_OPTION_NUMBER,
     .name = "pressure",
     .value = "HPA",
     .offset = offsetof(request, pressure_hPa),
     .help = "the pressure at the place (not reduced to sea level)",
     .low = 300,
     .high = 1100},
    {.kind = NR_OPTION_DURATION,
     .name = "for",
     .value = "D",
     .offset = offsetof(request, length_s),
     .help = "how long a bath takes (default 5m)",
     .low = 0.001,
     .high = 86400},
    {.kind = NR_OPTION_TEXT,
     .name = "only",
     .value = "A,B",
     .offset = offsetof(request, only),
     .help = "these channels instead of all thermometers"},
    {.kind = NR_OPTION_TEXT,
     .name = "write",
     .value = "FILE",
     .offset = offsetof(request, write),
     .help = "put the keys into this rig file; everything else in it stays"},
    NR_ROW_PORT(request, port),
    NR_ROW_UNITS(request, units),
    NR_ROW_JSON(request, json),
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{bath_options, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_bath = {
    .program = NR_PROGRAM,
    .name = "bath",
    .arguments = "RIG | RUN | RUN-ICE RUN-BOILING",
    .summary = "all thermometers in one bath: offsets as rig keys",
    .about = "All thermometers in one stirred bath: what each should be corrected by, as keys for "
             "the rig file; or the same from runs that were recorded in a bath. Without a "
             "reference the probes are compared with their mean.\n\nTie the probes together, stir, "
             "and wait until the readings are steady. Boiling water and its steam scald.",
    .least = 1,
    .most = 2,
    .wants = "wants one rig file or run folder: RIG (two run folders only with --ice --boiling)",
    .word = {NR_WORD_RIG, NR_WORD_RUN},
    .groups = groups,
    .run = run};

static int parse(int argc, char **argv, request *q)
{
    nr_words words;
    nr_err err;
    *q = (request){.u_K = NAN, .pressure_hPa = NAN, .length_s = DEFAULT_LENGTH_S};
    if (nr_command_read(&nr_cmd_bath, argc, argv, q, &words, &err) != NR_OK)
        return 1 + nr_cmd_failed(&err);
    int references = (q->reference != NULL) + (q->at != NULL) + (q->ice || q->boiling);
    if (references > 1)
        return 1 + nr_cmd_usage(&nr_cmd_bath,
                                "give one of --reference, --at, --ice and --boiling (the "
                                "last two also together)");
    if (!isnan(q->u_K) && references == 0)
        return 1 +
               nr_cmd_usage(&nr_cmd_bath, "--u belongs to --reference, --at, --ice or --boiling");
    if (!isnan(q->pressure_hPa) && !q->boiling)
        return 1 + nr_cmd_usage(&nr_cmd_bath, "--pressure belongs to --boiling");
    if (words.count == 2 && !(q->ice && q->boiling))
        return 1 + nr_cmd_usage(&nr_cmd_bath, "%s", nr_cmd_bath.wants);
    q->sources = words.count;
    for (size_t i = 0; i < words.count; i++)
        q->source[i] = words.word[i];
    return 0;
}

/* --- the plan ------------------------------------------------------------------------------ */

static nr_code plan_channel(const request *q, const nr_rig *rig, nr_bath_plan *plan, nr_err *err)
{
    const nr_rig_channel *channel = nr_rig_channel_find(rig, q->reference);
    if (!channel || channel->unit->dimension != NR_DIM_TEMPERATURE)
        return nr_fail(err, NR_BAD, rig->path, 0, "--reference %s: no thermometer of that name",
                       q->reference);
    plan->kind = NR_BATH_CHANNEL;
    plan->reference = (size_t)(channel - rig->channel);
    plan->u_K = isnan(q->u_K) ? channel->u_offset : q->u_K;
    if (!isnan(plan->u_K))
        return NR_OK;
    return nr_fail(err, NR_BAD, rig->path, 0,
                   "how well %s is known must be said: --u 0.1, or u_offset in its section",
                   q->reference);
}

static nr_code plan_boiling(const request *q, const nr_rig *rig, nr_bath_plan *plan, nr_err *err)
{
    plan->kind = NR_BATH_BOILING;
    if (isnan(q->pressure_hPa) && !rig->elevation_m.given)
        return nr_fail(err, NR_BAD, rig->path, 0,
                       "water boils at 100 degC only at sea level: give [site] elevation_m or "
                       "--pressure");
    double elevation = rig->elevation_m.given ? rig->elevation_m.value : 0.0;
    if (!nr_bath_boiling(q->pressure_hPa * 100.0, elevation, &plan->degC, &plan->u_K))
        return nr_fail(err, NR_BAD, rig->path, 0, "no boiling point for that pressure");
    return NR_OK;
}

static nr_code plan_stated(const request *q, const nr_rig *rig, nr_bath_plan *plan, nr_err *err)
{
    bool fahrenheit = nr_units_us(nr_cmd_units(q->units, rig->units));
    plan->kind = NR_BATH_STATED;
    plan->u_K = q->u_K;
    if (!nr_parse_temperature(q->at, fahrenheit, &plan->degC))
        return nr_fail(err, NR_BAD, NULL, 0, "--at wants a temperature like 24.6C or 76.3F");
    if (isnan(plan->u_K))
        return nr_fail(err, NR_BAD, NULL, 0,
                       "how well the bath's temperature is known must be said: --u 0.2");
    return NR_OK;
}

/* Returns how many baths there are. */
static nr_code make_plan(const request *q, const nr_rig *rig, nr_bath_plan plan[2], size_t *baths,
                         nr_err *err)
{
    nr_code code = NR_OK;
    size_t n = 0;
    memset(plan, 0, 2 * sizeof *plan);
    if (q->ice)
        plan[n++] = (nr_bath_plan){.kind = NR_BATH_ICE, .degC = 0.0, .u_K = NR_ICE_U_K};
    if (q->boiling)
        code = plan_boiling(q, rig, &plan[n++], err);
    if (q->reference)
        code = plan_channel(q, rig, &plan[n++], err);
    if (q->at)
        code = plan_stated(q, rig, &plan[n++], err);
    if (n == 0)
        plan[n++] = (nr_bath_plan){.kind = NR_BATH_RELATIVE, .degC = NAN, .u_K = NAN};
    for (size_t i = 0; i < n; i++) {
        plan[i].u_place_K = NR_PLACE_U_K;
        if (!isnan(q->u_K))
            plan[i].u_K = q->u_K;
    }
    *baths = n;
    return code;
}

static nr_code choose(const request *q, const nr_rig *rig, const nr_bath_plan *plan,
                      size_t probe[NR_RIG_CHANNELS], size_t *count, nr_err *err)
{
    char list[NR_RIG_CHANNELS * (NR_NAME + 1)], *rest = list;
    *count = 0;
    if (!q->only) {
        *count = nr_bath_default_probes(rig, plan, probe);
        return NR_OK;
    }
    if (!nr_copy(list, sizeof list, q->only))
        return nr_fail(err, NR_BAD, NULL, 0, "--only: the list is too long");
    for (char *name; (name = strsep(&rest, ",")) != NULL;) {
        const nr_rig_channel *channel = nr_rig_channel_find(rig, nr_trim(name));
        if (!channel || channel->unit->dimension != NR_DIM_TEMPERATURE || *count == NR_RIG_CHANNELS)
            return nr_fail(err, NR_BAD, rig->path, 0, "--only %s: no thermometer of that name",
                           name);
        probe[(*count)++] = (size_t)(channel - rig->channel);
    }
    return NR_OK;
}

/* --- the readings -------------------------------------------------------------------------- */

typedef struct live {
    const nr_rig *rig;
    nr_bath_rows *rows;
} live;

static void on_row(void *context, const nr_sample *row)
{
    live *l = context;
    nr_bath_rows_add(l->rows, l->rig, row->elapsed_s, row->value);
}

static void on_news(void *context, const char *text)
{
    (void)context;
    fprintf(stderr, NR_PROGRAM ": %s\n", text);
}

static nr_code one_bath(const nr_rig *rig, double length_s, int signal_fd, nr_bath_rows *rows,
                        nr_err *err)
{
    live l = {.rig = rig, .rows = rows};
    nr_session *session;
    nr_session_user user = {.row = on_row, .news = on_news, .context = &l};
    nr_code code = nr_session_open(rig, &user, &session, err);
    if (code != NR_OK)
        return code;
    bool whole = nr_listening_run(session, "bath", length_s, signal_fd);
    nr_session_free(session);
    if (rows->out_of_memory)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    if (!whole)
        fprintf(stderr, NR_PROGRAM ": bath cut short; %zu rows so far\n", rows->rows);
    return NR_OK;
}

static nr_code live_baths(const request *q, nr_rig *rig, size_t baths, nr_bath_rows *rows,
                          nr_err *err)
{
    static const char *const prompts[] = {
        "put the probes into crushed ice and water, stir, wait until it is steady, press Enter",
        "put the probes into boiling water, wait until it is steady, press Enter"};
    nr_code code = nr_listening_port(rig, q->port, err);
    if (code != NR_OK)
        return code;
    int signal_fd = nr_record_signals();
    for (size_t b = 0; code == NR_OK && b < baths; b++) {
        /* A single bath is taken to be ready when the command is given. */
        if (baths == 2 && !nr_listening_enter(prompts[b], signal_fd))
            code = nr_fail(err, NR_CANNOT, NULL, 0, "stopped before the bath began");
        if (code == NR_OK)
            code = one_bath(rig, q->length_s, signal_fd, &rows[b], err);
    }
    if (signal_fd >= 0)
        close(signal_fd);
    return code;
}

/* The file must say what the measured rig says, or the corrections would be added to others. */
static nr_code check_same(const nr_rig *measured, const nr_rig *file, const size_t *probe,
                          size_t probes, nr_err *err)
{
    for (size_t i = 0; i < probes; i++) {
        const nr_rig_channel *a = &measured->channel[probe[i]];
        const nr_rig_channel *b = nr_rig_channel_find(file, a->name);
        if (!b)
            return nr_fail(err, NR_BAD, file->path, 0, "has no [channel %s]", a->name);
        bool same = a->law == b->law && a->correct_offset == b->correct_offset &&
                    strcmp(a->unit->name, b->unit->name) == 0;
        for (int k = 0; same && k < NR_LAW_MAX_KEYS && a->law->keys[k].name; k++)
            same = a->coefficient[k] == b->coefficient[k];
        if (!same)
            return nr_fail(err, NR_BAD, file->path, b->line_number,
                           "[channel %s] is not converted here as it was in the bath; nothing is "
                           "written",
                           a->name);
    }
    return NR_OK;
}

/* Both runs of two must have been converted alike. */
static nr_code check_second(const request *q, const nr_rig *rig, const size_t *probe, size_t probes,
                            nr_err *err)
{
    static nr_rig second;
    char path[NR_ERR_FILE];
    snprintf(path, sizeof path, "%s/" NR_RIG_FILE, q->source[1]);
    nr_code code = nr_rig_read(path, NR_RIG_FOR_RECORD, &second, NULL, err);
    return code == NR_OK ? check_same(rig, &second, probe, probes, err) : code;
}

static nr_code recorded_baths(const request *q, const nr_rig *rig, size_t baths,
                              const size_t *probe, size_t probes, nr_bath_rows *rows, nr_err *err)
{
    nr_code code = NR_OK;
    if (q->sources != baths)
        return nr_fail(err, NR_BAD, q->source[0], 0,
                       "%zu baths need %zu run folders: RUN-ICE RUN-BOILING", baths, baths);
    if (baths == 2)
        code = check_second(q, rig, probe, probes, err);
    for (size_t b = 0; code == NR_OK && b < baths; b++) {
        char path[NR_ERR_FILE];
        nr_readings *readings;
        snprintf(path, sizeof path, "%s/" NR_READINGS_FILE, q->source[b]);
        code = nr_readings_read(path, &readings, err);
        if (code != NR_OK)
            break;
        if (!nr_bath_rows_take(&rows[b], rig, readings))
            code = nr_fail(err, NR_BAD, path, 0, "not enough memory");
        nr_readings_free(readings);
    }
    return code;
}

/* --- into the rig file --------------------------------------------------------------------- */

static nr_code edit(const nr_rig *rig, const nr_bath_report *report, const char *text,
                    size_t length, const char *path, nr_err *err)
{
    static nr_bath_entry entry[NR_RIG_CHANNELS][NR_BATH_KEYS_MOST];
    static nr_rig_change change[NR_RIG_CHANNELS * NR_BATH_KEYS_MOST];
    static char section[NR_RIG_CHANNELS][NR_NAME + 16];
    size_t changes = 0, out_length = 0;
    char *out = NULL;
    for (size_t i = 0; i < report->probes; i++) {
        size_t n = nr_bath_entries(&report->set[i], entry[i]);
        snprintf(section[i], sizeof section[i], "channel %s",
                 rig->channel[report->set[i].channel].name);
        for (size_t k = 0; k < n; k++)
            change[changes++] =
                (nr_rig_change){section[i], entry[i][k].key, entry[i][k].value, NULL};
    }
    nr_code code = nr_rig_edit(text, length, change, changes, &out, &out_length, err);
    if (code == NR_OK)
        code = nr_replace_file(path, out, out_length, 0666, err);
    free(out);
    return code;
}

static int write_keys(const request *q, const nr_rig *rig, const nr_bath_report *report,
                      const char *text, size_t length)
{
    size_t probe[NR_RIG_CHANNELS], probes = report->probes;
    for (size_t i = 0; i < probes; i++)
        probe[i] = report->set[i].channel;
    static nr_rig file;
    char *own = NULL;
    nr_err err;
    nr_code code = NR_OK;
    if (access(q->write, F_OK) == 0) {
        int status = nr_cmd_read_rig(q->write, NR_RIG_FOR_RECORD, &file, &own, &length);
        if (status != NR_OK)
            return status;
        text = own;
        code = check_same(rig, &file, probe, probes, &err);
    }
    if (code == NR_OK)
        code = edit(rig, report, text, length, q->write, &err);
    free(own);
    if (code != NR_OK)
        return nr_cmd_failed(&err);
    fprintf(stderr, NR_PROGRAM ": the keys are in %s\n", q->write);
    return NR_OK;
}

/* --- the command --------------------------------------------------------------------------- */

static int show(const request *q, const nr_rig *rig, const nr_bath_report *report)
{
    if (q->json)
        return nr_bath_show_json(stdout, rig, report);
    nr_bath_show(stdout, rig, report, nr_units_us(nr_cmd_units(q->units, rig->units)));
    return NR_OK;
}

static int bath(const request *q, nr_rig *rig, bool recorded, const char *text, size_t length)
{
    static nr_bath_report report;
    nr_bath_rows rows[2] = {0};
    nr_bath_plan plan[2];
    size_t baths = 0, probe[NR_RIG_CHANNELS], probes = 0;
    nr_err err;
    nr_code code = make_plan(q, rig, plan, &baths, &err);
    if (code == NR_OK)
        code = choose(q, rig, plan, probe, &probes, &err);
    if (code == NR_OK)
        code = recorded ? recorded_baths(q, rig, baths, probe, probes, rows, &err)
                        : live_baths(q, rig, baths, rows, &err);
    if (code == NR_OK)
        code = nr_bath_keys(rig, plan, rows, baths, probe, probes, &report, &err);
    for (size_t b = 0; b < 2; b++)
        nr_bath_rows_free(&rows[b]);
    if (code != NR_OK)
        return nr_cmd_failed(&err);
    int status = show(q, rig, &report);
    if (status == NR_OK && q->write)
        status = write_keys(q, rig, &report, text, length);
    return status;
}

static int bath_run(int argc, char **argv)
{
    static nr_rig rig;
    request q;
    char path[NR_ERR_FILE], *text = NULL;
    size_t length = 0;
    struct stat is;
    int done = parse(argc, argv, &q);
    if (done)
        return done - 1;
    const char *source = q.source[0] ? q.source[0] : "";
    bool recorded = stat(source, &is) == 0 && S_ISDIR(is.st_mode);
    snprintf(path, sizeof path, "%s%s", source, recorded ? "/" NR_RIG_FILE : "");
    int status = nr_cmd_read_rig(path, NR_RIG_FOR_RECORD, &rig, &text, &length);
    if (status == NR_OK)
        status = bath(&q, &rig, recorded, text, length);
    free(text);
    return status;
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)bath_run(argc, argv);
}
