/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog listen: ten seconds of live parsing before a test; what arrives and what is wrong. */
#include "logger/noonlog/commands.h"

#include "logger/base/paragraph.h"
#include "logger/base/text.h"
#include "logger/listen/judge.h"
#include "logger/listen/session.h"
#include "logger/noonlog/listening.h"
#include "logger/noonlog/option_rows.h"

#include <jansson.h>
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define DEFAULT_LENGTH_S 10.0

typedef struct request {
    const char *rig, *port;
    int units; /* 1 si, 2 us */
    double length_s;
    bool json;
} request;

static void list_laws(FILE *to)
{
    fprintf(to, "Conversions for `convert`, from the number on the wire to the reading:\n");
    for (const nr_law *law = nr_laws; law->name; law++) {
        char begin[40];
        snprintf(begin, sizeof begin, "  %-18s ", law->name);
        nr_paragraph(to, begin, law->summary);
    }
}

static const nr_option own[] = {{.kind = NR_OPTION_DURATION,
                                 .name = "for",
                                 .value = "D",
                                 .offset = offsetof(request, length_s),
                                 .help = "how long to listen (default 10s)",
                                 .low = 0.001,
                                 .high = 86400},
                                NR_ROW_PORT(request, port),
                                NR_ROW_UNITS(request, units),
                                NR_ROW_JSON(request, json),
                                {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_listen = {
    .program = NR_PROGRAM,
    .name = "listen",
    .arguments = "RIG",
    .summary = "10 s of live parsing: what arrives and what is wrong",
    .about =
        "What arrives from the adapters, how it is read, and what is wrong. Touch a probe: the "
        "one that warms in your hand is marked.\n\nExit status 0: "
        "every channel gives readings; 1: at least one does not.",
    .least = 1,
    .most = 1,
    .wants = "wants one rig file: RIG",
    .word = {NR_WORD_RIG, NR_WORD_NONE},
    .more_help = list_laws,
    .groups = groups,
    .run = run};

static int parse(int argc, char **argv, request *q)
{
    nr_words words;
    nr_err err;
    *q = (request){.length_s = DEFAULT_LENGTH_S};
    if (nr_command_read(&nr_cmd_listen, argc, argv, q, &words, &err) != NR_OK)
        return 1 + nr_cmd_failed(&err);
    q->rig = words.word[0];
    return 0;
}

/* --- text ---------------------------------------------------------------------------------- */

static void headline(const nr_heard *h)
{
    unsigned long lines = 0, good = 0;
    size_t channels = nr_judge_good_channels(h);
    for (size_t i = 0; i < h->rig->adapters; i++) {
        const unsigned long *fault = h->adapter[i].fault;
        lines += h->adapter[i].lines - fault[NR_LINE_HALF] - fault[NR_LINE_COMMENT] -
                 fault[NR_LINE_EMPTY];
        good += fault[NR_LINE_GOOD];
    }
    if (channels == h->rig->channels)
        printf("All %zu channels give readings", channels);
    else if (channels == 0)
        printf("No channel gives a reading");
    else
        printf("%zu of %zu channels give readings", channels, h->rig->channels);
    printf("; %lu of %lu lines in %.0f s could be read.\n", good, lines, h->seconds);
}

static void adapter_lines(const nr_heard *h)
{
    for (size_t i = 0; i < h->rig->adapters; i++) {
        const nr_heard_adapter *a = &h->adapter[i];
        unsigned long good = a->fault[NR_LINE_GOOD];
        printf("\n%s%s%s: ", h->rig->adapter[i].name, h->rig->adapter[i].name[0] ? " at " : "",
               a->path);
        if (good > 1)
            printf("a line every %.2g s", (a->last_good_s - a->first_good_s) / (double)(good - 1));
        else
            printf("%lu bytes, %lu lines", a->bytes, a->lines);
        if (a->good[0] || a->bad[0])
            printf(", such as\n  %s\n", a->good[0] ? a->good : a->bad);
        else
            putchar('\n');
    }
}

static int decimals(const nr_unit *unit)
{
    switch (unit->dimension) {
    case NR_DIM_IRRADIANCE:
        return 0;
    case NR_DIM_TEMPERATURE:
        return 2;
    default:
        return 3;
    }
}

#define UNIT_COLUMNS 11 /* "Btu/(h·ft²)" */

/* Of the channels' names. */
static int name_columns(const nr_heard *h)
{
    size_t most = 12;
    for (size_t c = 0; c < h->rig->channels; c++) {
        size_t length = strlen(h->rig->channel[c].name);
        most = length > most ? length : most;
    }
    return (int)most;
}

static void channel_row(const nr_heard *h, size_t index, bool us)
{
    const nr_rig_channel *channel = &h->rig->channel[index];
    const nr_heard_channel *c = &h->channel[index];
    const nr_unit *unit = us ? nr_unit_us(channel->unit) : nr_rig_column_unit(channel);
    char raw[40], value[40] = "-", range[60] = "";
    int bytes = (int)strlen(unit->label);
    if (!isnan(c->raw))
        snprintf(raw, sizeof raw, "%.6g", c->raw);
    else
        nr_copy(raw, sizeof raw, c->unreadable_text[0] ? c->unreadable_text : "nothing");
    if (!isnan(c->value)) {
        int d = decimals(unit);
        snprintf(value, sizeof value, "%.*f", d, nr_unit_from_canonical(unit, c->value));
        snprintf(range, sizeof range, "%.*f to %.*f", d, nr_unit_from_canonical(unit, c->low), d,
                 nr_unit_from_canonical(unit, c->high));
    }
    printf("  %-*s %-14.14s %10s %-*s %-20s %lu%s\n", name_columns(h), channel->name, raw, value,
           UNIT_COLUMNS + bytes - nr_columns(unit->label, strlen(unit->label)), unit->label, range,
           c->good, c->warms ? "  <- warmed" : ""); /* printf pads bytes, not columns */
}

static void advice_text(const nr_advices *advices)
{
    static const char *const heading[] = {
        "Worth knowing:", "Look at this before the test:", "This does not work:"};
    int last = -1;
    for (size_t i = 0; i < advices->count; i++) {
        const nr_advice *a = &advices->advice[i];
        if ((int)a->weight != last)
            printf("\n%s\n", heading[a->weight]);
        last = (int)a->weight;
        char text[NR_NAME + NR_ADVICE_TEXT + 4];
        (void)snprintf(text, sizeof text, "%s%s%s", a->channel, a->channel[0] ? ": " : "", a->text);
        nr_paragraph(stdout, "  - ", text);
    }
}

static void show(const nr_heard *h, const nr_advices *advices, bool us)
{
    headline(h);
    adapter_lines(h);
    printf("\n  %-*s %-14s %10s %-*s %-20s %s\n", name_columns(h), "channel", "on the wire",
           "reading", UNIT_COLUMNS, "", "range", "readings");
    for (size_t c = 0; c < h->rig->channels; c++)
        channel_row(h, c, us);
    advice_text(advices);
}

/* --- JSON ---------------------------------------------------------------------------------- */

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *adapters_json(const nr_heard *h)
{
    json_t *list = json_array();
    for (size_t i = 0; i < h->rig->adapters; i++) {
        const nr_heard_adapter *a = &h->adapter[i];
        unsigned long good = a->fault[NR_LINE_GOOD];
        double interval =
            good > 1 ? (a->last_good_s - a->first_good_s) / (double)(good - 1) : (double)NAN;
        json_array_append_new(
            list, json_pack("{s:s,s:s,s:I,s:I,s:I,s:o,s:s,s:s}", "name", h->rig->adapter[i].name,
                            "port", a->path, "bytes", (json_int_t)a->bytes, "lines",
                            (json_int_t)a->lines, "good", (json_int_t)good, "interval_s",
                            number(interval), "last_good", a->good, "last_bad", a->bad));
    }
    return list;
}

static json_t *channels_json(const nr_heard *h)
{
    json_t *list = json_array();
    for (size_t i = 0; i < h->rig->channels; i++) {
        const nr_heard_channel *c = &h->channel[i];
        json_array_append_new(
            list, json_pack("{s:s,s:s,s:o,s:o,s:o,s:o,s:I,s:I,s:I,s:I,s:b}", "channel",
                            h->rig->channel[i].name, "unit",
                            nr_rig_column_unit(&h->rig->channel[i])->name, "raw", number(c->raw),
                            "value", number(c->value), "low", number(c->low), "high",
                            number(c->high), "good", (json_int_t)c->good, "unreadable",
                            (json_int_t)c->unreadable, "outside", (json_int_t)c->outside, "missing",
                            (json_int_t)c->missing, "warmed", (int)c->warms));
    }
    return list;
}

static int show_json(const nr_heard *h, const nr_advices *advices)
{
    static const char *const weights[] = {"note", "doubt", "fault"};
    json_t *findings = json_array();
    for (size_t i = 0; i < advices->count; i++)
        json_array_append_new(
            findings, json_pack("{s:s,s:s,s:s,s:s}", "code", advices->advice[i].code, "severity",
                                weights[advices->advice[i].weight], "channel",
                                advices->advice[i].channel, "text", advices->advice[i].text));
    json_t *top = json_pack("{s:o,s:o,s:o,s:o}", "seconds", number(h->seconds), "adapters",
                            adapters_json(h), "channels", channels_json(h), "findings", findings);
    int failed = !top || json_dumpf(top, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(10)) != 0;
    putchar('\n');
    json_decref(top);
    return failed ? NR_BAD : NR_OK;
}

/* --- the command --------------------------------------------------------------------------- */

static void on_line(void *context, size_t adapter, const nr_wire_line *line, nr_line_fault fault,
                    double elapsed_s)
{
    nr_heard_line(context, adapter, line, fault, elapsed_s);
    const char *warms = nr_heard_warming(context);
    if (warms)
        fprintf(stderr, "%s%s warms: is it the one in your hand?\n",
                isatty(STDERR_FILENO) ? "\r\033[K" : "", warms);
}

static nr_code listen_to(const request *q, nr_rig *rig, nr_heard *heard, nr_err *err)
{
    nr_session_user user = {.line = on_line, .context = heard};
    nr_session *session;
    nr_heard_begin(heard, rig);
    nr_code code = nr_listening_port(rig, q->port, err);
    if (code == NR_OK)
        code = nr_session_open(rig, &user, &session, err);
    if (code != NR_OK)
        return code;
    int signal_fd = nr_record_signals();
    nr_listening_run(session, "listening; a probe held in a hand is marked", q->length_s,
                     signal_fd);
    nr_heard_end(heard, nr_session_sampler(session), nr_session_elapsed_s(session));
    for (size_t i = 0; i < rig->adapters; i++) {
        const char *path = nr_session_path(session, i);
        nr_clean(heard->adapter[i].path, sizeof heard->adapter[i].path, path, strlen(path));
        heard->adapter[i].bytes = nr_session_bytes(session, i);
    }
    if (signal_fd >= 0)
        close(signal_fd);
    nr_session_free(session);
    return NR_OK;
}

static int listen_run(int argc, char **argv)
{
    static nr_rig rig;
    static nr_heard heard;
    static nr_advices advices;
    request q;
    char *text = NULL;
    size_t length = 0;
    nr_err err;
    int done = parse(argc, argv, &q);
    if (done)
        return done - 1;
    int status = nr_cmd_read_rig(q.rig, NR_RIG_FOR_RECORD, &rig, &text, &length);
    free(text);
    if (status != NR_OK)
        return status;
    if (listen_to(&q, &rig, &heard, &err) != NR_OK)
        return nr_cmd_failed(&err);
    bool us = !q.json && nr_units_us(nr_cmd_units(q.units, rig.units)); /* JSON is SI */
    nr_judge(&heard, us, &advices);
    if (q.json)
        status = show_json(&heard, &advices);
    else
        show(&heard, &advices, us);
    if (status == NR_OK && nr_judge_good_channels(&heard) < rig.channels)
        status = NR_CANNOT;
    return status;
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)listen_run(argc, argv);
}
