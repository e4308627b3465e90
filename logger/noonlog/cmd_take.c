/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog take: readings by hand, one moment at a time. */
#include "logger/noonlog/commands.h"

#include "logger/base/paragraph.h"
#include "logger/base/text.h"
#include "logger/import/import.h"
#include "logger/import/keep.h"
#include "logger/noonlog/take.h"
#include "logger/record/hand_rows.h"
#include "logger/run/folder.h"
#include "logger/run/unstated.h"

#include <errno.h>
#include <math.h>
#include <poll.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

typedef struct request {
    const char *at, *rig, *note;
    double every_s;
    const char *folder;
    char **value;
    size_t values;
} request;

static const nr_option own[] = {
    {.kind = NR_OPTION_TEXT,
     .name = "at",
     .value = "TIME",
     .offset = offsetof(request, at),
     .help = "when it was read: 11:05, \"2026-05-16 11:05\" (otherwise now)"},
    {.kind = NR_OPTION_TEXT,
     .name = "rig",
     .value = "RIG",
     .offset = offsetof(request, rig),
     .help = "the rig file, for the first reading, which makes the run; [adapter] is not needed"},
    {.kind = NR_OPTION_TEXT,
     .name = "note",
     .value = "TEXT",
     .offset = offsetof(request, note),
     .help = "a note at the same time: \"stirred\""},
    {.kind = NR_OPTION_DURATION,
     .name = "every",
     .value = "D",
     .offset = offsetof(request, every_s),
     .help = "ask again after this time (5m), until Ctrl-D; only on a terminal",
     .low = 2 * NR_HAND_AGAIN_S, /* sooner, a round would correct the one before it */
     .high = 86400},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_take = {
    .program = NR_PROGRAM,
    .name = "take",
    .arguments = "RUN [CHANNEL=VALUE]...",
    .summary = "a reading by hand",
    .about =
        "Adds a reading that you took yourself: a probe in the bucket, a thermometer in the shade. "
        "A number without a unit is in the channel's unit. Without values it asks for each "
        "channel, "
        "on a terminal. The first reading makes the run.\n\n"
        "A wrong reading is corrected by taking it again with the same --at (or within half a "
        "minute): the last one counts, by-hand.csv keeps both. Works beside a running recording, "
        "for what has no wire: those readings come among the others when the recording ends.",
    .examples = "  noonlog take evening --rig bucket.ini store=64F air=72F\n"
                "  noonlog take evening store=71.5F --at 11:05 --note \"stirred\"\n"
                "  noonlog take evening --every 5m\n",
    .least = 1,
    .most = NR_ANY_NUMBER,
    .wants = "wants a run folder, then readings: RUN store=64F",
    .word = {NR_WORD_RUN, NR_WORD_NONE},
    .groups = groups,
    .run = run};

/* --- one moment ------------------------------------------------------------------------------- */

static void say_reading(const nr_rig *rig, const nr_taken *t)
{
    const nr_rig_channel *channel = nr_rig_channel_find(rig, t->channel);
    const nr_unit *unit = nr_unit_find(t->unit), *shown = nr_rig_column_unit(channel);
    char value[40], other[40] = "", before[60] = "", name[NR_NAME + 8];
    nr_format_number(value, sizeof value, t->value, -1);
    if (unit && unit != shown)
        snprintf(other, sizeof other, " (%.4g %s)", nr_unit_to_canonical(unit, t->value),
                 shown->label);
    if (isfinite(t->before))
        snprintf(before, sizeof before, "; before: %.4g", t->before);
    snprintf(name, sizeof name, "  %-10s ", t->channel);
    nr_paragraph_of(stdout, name, "%s %s%s%s%s", value, unit ? unit->label : t->unit, other, before,
                    t->again ? "; replaces the one of this time" : "");
}

static nr_code take_once(const request *q, const nr_rig *rig, nr_taken *taken, size_t count,
                         double at_utc_s, nr_err *err)
{
    nr_take_result result;
    nr_code code = nr_take_write(q->folder, rig, taken, count, at_utc_s, q->note, &result, err);
    if (code != NR_OK)
        return code;
    char when[40];
    nr_take_clock(at_utc_s, when, sizeof when);
    printf("%s, %s:\n", q->folder, when);
    for (size_t i = 0; i < count; i++)
        say_reading(rig, &taken[i]);
    for (size_t i = 0; i < count; i++)
        if (taken[i].doubt[0])
            nr_paragraph(stdout, "  ! ", taken[i].doubt);
    if (result.recording)
        puts("  A recording is running: they come among its rows when it ends.");
    return NR_OK;
}

/* --- asking ----------------------------------------------------------------------------------- */

/* One line from standard input; false: it has ended. */
static bool answer(char *out, size_t size)
{
    fflush(stdout);
    if (!fgets(out, (int)size, stdin))
        return false;
    nr_trim(out);
    return true;
}

/* Asks for one channel until the answer can be read. False: the end. */
static bool ask_channel(const nr_rig *rig, size_t channel, const nr_take_last *last,
                        nr_taken *taken, size_t *count)
{
    const nr_rig_channel *c = &rig->channel[channel];
    char text[200], word[NR_NAME + 200];
    nr_err err;
    for (;;) {
        printf("  %s, %s", c->name, c->unit->label ? c->unit->label : c->unit->name);
        if (isfinite(last->value[channel]))
            printf(" (last: %.4g)", nr_unit_from_canonical(c->unit, last->value[channel]));
        fputs(": ", stdout);
        if (!answer(text, sizeof text))
            return false;
        if (!text[0])
            return true; /* not read this time */
        snprintf(word, sizeof word, "%s=%s", c->name, text);
        if (nr_take_parse(word, rig, last, &taken[*count], &err) == NR_OK) {
            (*count)++;
            return true;
        }
        nr_paragraph(stdout, "  ! ", err.text);
    }
}

static nr_code ask_all(const request *q, const nr_rig *rig, double at_utc_s, bool *ended,
                       nr_err *err)
{
    static nr_taken taken[NR_RIG_CHANNELS];
    static nr_take_last last;
    size_t count = 0;
    nr_code code = nr_take_last_read(q->folder, rig, &last, err);
    for (size_t c = 0; code == NR_OK && c < rig->channels && !*ended; c++)
        if (!rig->channel[c].law->stated && !ask_channel(rig, c, &last, taken, &count))
            *ended = true;
    if (*ended)
        putchar('\n');
    if (code != NR_OK || count == 0)
        return code;
    return take_once(q, rig, taken, count, at_utc_s, err);
}

/* Waits for the next time, or for the end of standard input. */
static bool wait_until(double utc_s)
{
    char when[40];
    nr_take_clock(utc_s, when, sizeof when);
    printf("Next at %s. Return: now; Ctrl-D: that was all.\n", when);
    fflush(stdout);
    for (;;) {
        double left_s = utc_s - nr_take_now();
        if (!(left_s > 0))
            return true;
        struct pollfd in = {.fd = STDIN_FILENO, .events = POLLIN};
        int ready = poll(&in, 1, left_s < 60 ? (int)ceil(left_s * 1000) : 60000);
        if (ready > 0) {
            char line[80];
            return answer(line, sizeof line);
        }
        if (ready < 0 && errno != EINTR)
            return false;
    }
}

static nr_code ask(const request *q, const nr_rig *rig, double at_utc_s, nr_err *err)
{
    bool ended = false, now = !q->at;
    double next_s = nr_take_now();
    nr_code code = NR_OK;
    while (code == NR_OK && !ended) {
        if (now)
            at_utc_s = floor(nr_take_now());
        code = ask_all(q, rig, at_utc_s, &ended, err);
        if (!(q->every_s > 0) || code != NR_OK || ended)
            break;
        next_s = fmax(next_s + q->every_s, nr_take_now());
        ended = !wait_until(next_s);
        now = true;
    }
    return code;
}

/* --- the command --------------------------------------------------------------------------------
 */

static int parse(int argc, char **argv, request *q)
{
    nr_words words;
    nr_err err;
    *q = (request){.every_s = NAN};
    if (nr_command_read(&nr_cmd_take, argc, argv, q, &words, &err) != NR_OK)
        return 1 + nr_cmd_failed(&err);
    q->folder = words.word[0];
    q->value = words.word + 1;
    q->values = words.count - 1;
    if (q->every_s > 0 && q->values > 0)
        return 1 + nr_cmd_usage(&nr_cmd_take, "--every asks for the readings: give none with it");
    if (q->values == 0 && !isatty(STDIN_FILENO))
        return 1 + nr_cmd_usage(&nr_cmd_take, "%s", nr_cmd_take.wants);
    if (q->values > NR_RIG_CHANNELS)
        return 1 + nr_cmd_usage(&nr_cmd_take, "more readings than a rig has channels");
    return 0;
}

/* The run's own rig file, or for a new run the one named. */
static int read_rig(const request *q, nr_rig *rig, char **text, size_t *length, bool *fresh)
{
    char path[NR_ERR_FILE + 16];
    nr_err err;
    snprintf(path, sizeof path, "%s/%s", q->folder, NR_RIG_FILE);
    *fresh = access(path, F_OK) != 0;
    if (*fresh && !q->rig) {
        nr_fail(&err, NR_BAD, q->folder, 0,
                "is no run yet; the first reading makes it, with a rig file: --rig RIG");
        return nr_cmd_failed(&err);
    }
    if (!*fresh && q->rig) {
        nr_fail(&err, NR_BAD, q->folder, 0,
                "has its rig file already; leave --rig out, or change it with `noonlog rebuild "
                "--rig`");
        return nr_cmd_failed(&err);
    }
    char log[NR_ERR_FILE + 16];
    snprintf(log, sizeof log, "%s/%s", q->folder, NR_ADAPTER_LOG_FILE);
    bool wired = !*fresh && access(log, F_OK) == 0; /* its rows are made again beside ours */
    return nr_cmd_read_rig(*fresh ? q->rig : path, wired ? NR_RIG_FOR_RECORD : NR_RIG_FOR_READINGS,
                           rig, text, length);
}

static nr_code take_values(const request *q, const nr_rig *rig, double at_utc_s, nr_err *err)
{
    static nr_taken taken[NR_RIG_CHANNELS];
    static nr_take_last last;
    nr_code code = nr_take_last_read(q->folder, rig, &last, err);
    for (size_t i = 0; i < q->values && code == NR_OK; i++)
        code = nr_take_parse(q->value[i], rig, &last, &taken[i], err);
    return code == NR_OK ? take_once(q, rig, taken, q->values, at_utc_s, err) : code;
}

/* The first reading is the time to ask for what no later test can see. */
static void ask_unstated(const request *q, const nr_rig *rig)
{
    nr_unstated open[NR_UNSTATEDS];
    size_t count = nr_rig_unstated(rig, open);
    if (count == 0)
        return;
    nr_paragraph_of(stderr, "",
                    NR_PROGRAM ": %s/%s does not say what no test can see; write it there when you "
                               "know, the reading goes on meanwhile:",
                    q->folder, NR_RIG_FILE);
    for (size_t i = 0; i < count; i++)
        nr_paragraph_of(stderr, "  - ", "%s (%s)", nr_unstated_question(open[i]),
                        nr_unstated_answer(open[i]));
}

static nr_code take(const request *q, const nr_rig *rig, const char *text, size_t length,
                    bool fresh, nr_err *err)
{
    double at_utc_s = floor(nr_take_now());
    nr_code code = q->at ? nr_take_time(q->at, nr_take_now(), &at_utc_s, err) : NR_OK;
    /* Values that cannot be read make no run. */
    static nr_taken trial;
    static nr_take_last none;
    for (size_t i = 0; i < NR_RIG_CHANNELS; i++)
        none.value[i] = NAN;
    for (size_t i = 0; i < q->values && code == NR_OK; i++)
        code = nr_take_parse(q->value[i], rig, &none, &trial, err);
    static nr_take_last last;
    if (code == NR_OK && !fresh)
        code = nr_take_last_read(q->folder, rig, &last, err);
    if (code == NR_OK && !fresh)
        code = nr_take_belongs(q->folder, q->at, at_utc_s, last.utc_s, err);
    if (code == NR_OK && fresh)
        code = nr_take_begin(q->folder, rig, text, length, at_utc_s, err);
    if (code != NR_OK)
        return code;
    if (fresh)
        ask_unstated(q, rig);
    return q->values > 0 ? take_values(q, rig, at_utc_s, err) : ask(q, rig, at_utc_s, err);
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    static nr_rig rig;
    request q;
    nr_err err;
    char *text = NULL;
    size_t length = 0;
    bool fresh = false;
    (void)said; /* printed where it arose */
    int done = parse(argc, argv, &q);
    if (done)
        return (nr_code)(done - 1);
    int status = read_rig(&q, &rig, &text, &length, &fresh);
    if (status != NR_OK)
        return (nr_code)status;
    nr_code code = take(&q, &rig, text, length, fresh, &err);
    free(text);
    if (code != NR_OK)
        nr_cmd_failed(&err);
    return code;
}
