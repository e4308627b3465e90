/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog record: checks what was asked, makes the run folder, and records. */
#include "logger/noonlog/awake.h"
#include "logger/noonlog/background.h"
#include "logger/noonlog/commands.h"
#include "logger/noonlog/listening.h"
#include "logger/noonlog/progress.h"
#include "logger/noonlog/take.h"

#include "logger/base/text.h"
#include "logger/publish/publish.h"
#include "logger/record/record.h"
#include "logger/run/folder.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

typedef struct request {
    const char *rig, *folder, *port;
    const char *mqtt, *topic, *mqtt_login;
    bool background, resume, wait, quiet, let_sleep;
    double for_s, sync_s;
} request;

static const nr_option own[] = {
    {.kind = NR_OPTION_DURATION,
     .name = "for",
     .value = "D",
     .offset = offsetof(request, for_s),
     .help = "stop when the run is this long: 90s, 45m, 1h30m",
     .low = 0.001,
     .high = 3650 * 86400.0},
    {.kind = NR_OPTION_ON,
     .name = "background",
     .offset = offsetof(request, background),
     .help = "return once it records; `noonlog status`, `note` and `stop` talk to it"},
    {.kind = NR_OPTION_TEXT,
     .name = "port",
     .value = "P",
     .offset = offsetof(request, port),
     .help =
         "instead of the rig's: /dev/ttyUSB0, usb:VID:PID (see `noonlog ports`), tcp:HOST:PORT"},
    {.kind = NR_OPTION_ON,
     .name = "wait",
     .offset = offsetof(request, wait),
     .help = "if the port is not there yet, wait for it"},
    {.kind = NR_OPTION_ON,
     .name = "resume",
     .offset = offsetof(request, resume),
     .help = "go on with a run that was interrupted"},
    {.kind = NR_OPTION_DURATION,
     .name = "sync",
     .value = "D",
     .offset = offsetof(request, sync_s),
     .help = "data is on the disk at most this long after it arrived (default 1s)",
     .low = 0.001,
     .high = 86400},
    {.kind = NR_OPTION_TEXT,
     .name = "mqtt",
     .value = "HOST[:PORT]",
     .offset = offsetof(request, mqtt),
     .help = "publish each row as JSON to this MQTT broker; never holds the recording up"},
    {.kind = NR_OPTION_TEXT,
     .name = "topic",
     .value = "T",
     .offset = offsetof(request, topic),
     .help = "under this topic, such as shed/wash-stand"},
    {.kind = NR_OPTION_TEXT,
     .name = "mqtt-login",
     .value = "FILE",
     .offset = offsetof(request, mqtt_login),
     .help = "lines user =, password =, tls = yes, ca =, certificate =, key ="},
    {.kind = NR_OPTION_ON,
     .name = "let-sleep",
     .offset = offsetof(request, let_sleep),
     .help = "do not keep the computer awake while it records"},
    {.kind = NR_OPTION_ON,
     .name = "quiet",
     .offset = offsetof(request, quiet),
     .help = "say nothing but errors"},
    {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_record = {
    .program = NR_PROGRAM,
    .name = "record",
    .arguments = "RIG RUN | --resume RUN",
    .summary = "record a test until it is stopped",
    .about = "Records what the rig file RIG describes into the new folder RUN; with --resume, goes "
             "on with a run that was interrupted.\n\nCtrl-C ends the recording cleanly. A row is "
             "written for each line of the (first) adapter. Unplugged cables, a full disk or a "
             "clock that is set do not end it; notes.csv tells.",
    .least = 1,
    .most = 2,
    .wants = "wants a rig file and a new folder: RIG RUN",
    .word = {NR_WORD_RIG, NR_WORD_RUN},
    .groups = groups,
    .run = run};

/* 0: go on; otherwise the exit status plus one. */
static int parse(int argc, char **argv, request *out)
{
    nr_words words;
    nr_err err;
    *out = (request){.for_s = NAN, .sync_s = NR_SYNC_DEFAULT_S};
    if (nr_command_read(&nr_cmd_record, argc, argv, out, &words, &err) != NR_OK)
        return 1 + nr_cmd_failed(&err);
    if (words.count != (out->resume ? 1 : 2))
        return 1 +
               nr_cmd_usage(&nr_cmd_record, "%s",
                            out->resume ? "--resume wants one folder: RUN" : nr_cmd_record.wants);
    out->rig = out->resume ? NULL : words.word[0];
    out->folder = words.word[words.count - 1];
    if ((out->mqtt == NULL) != (out->topic == NULL))
        return 1 + nr_cmd_usage(&nr_cmd_record, "--mqtt and --topic go together");
    if (out->mqtt_login && !out->mqtt)
        return 1 + nr_cmd_usage(&nr_cmd_record, "--mqtt-login is for --mqtt");
    return 0;
}

/* Who watches the recorder beside it. */
typedef struct watchers {
    nr_publisher *publisher; /* NULL: none */
    nr_awake awake;
} watchers;

static void watch_row(void *context, const nr_sample *row)
{
    watchers *w = context;
    if (w->publisher)
        nr_publish_row(w->publisher, row);
}

static bool watch_news(void *context, char *text, size_t size)
{
    watchers *w = context;
    return (w->publisher && nr_publish_news(w->publisher, text, size)) ||
           nr_awake_news(&w->awake, text, size);
}

static nr_awake_is watch_awake(void *context)
{
    const watchers *w = context;
    return w->awake.is;
}

static void watch_last_word(void *context, char *text, size_t size)
{
    watchers *w = context;
    if (w->publisher)
        nr_publish_end(w->publisher, text, size);
    w->publisher = NULL;
}

/* The rows to a broker as well, when that is asked for. */
static nr_code publish(const request *q, const nr_rig *rig, watchers *w, nr_err *err)
{
    nr_login login = {.tls = false};
    if (!q->mqtt)
        return NR_OK;
    nr_code code = q->mqtt_login ? nr_login_read(q->mqtt_login, &login, err) : NR_OK;
    if (code == NR_OK)
        code = nr_publish_start(rig, q->mqtt, q->topic, &login, &w->publisher, err);
    explicit_bzero(&login, sizeof login);
    return code;
}

static void end_watchers(watchers *w)
{
    char counted[200];
    if (w->publisher) /* the recording did not begin */
        nr_publish_end(w->publisher, counted, sizeof counted);
    nr_awake_end(&w->awake);
}

/* Everything from the port to the end. In the background this is the child. */
static nr_code record(const request *q, const nr_rig *rig, const char *text, size_t length,
                      nr_background *background, nr_err *err)
{
    nr_progress progress;
    watchers w = {.awake = {.pipe = -1, .told = true, .is = NR_AWAKE_LET}};
    nr_progress_init(&progress, q->quiet, q->background);
    nr_record_options options = {.for_s = q->for_s,
                                 .sync_s = q->sync_s,
                                 .wait = q->wait || q->resume,
                                 .clock = nr_clock_system,
                                 .files = &nr_files_system,
                                 .say = {.write = nr_progress_say, .context = &progress},
                                 .progress = nr_progress_show,
                                 .progress_context = &progress,
                                 .row = watch_row,
                                 .news = watch_news,
                                 .awake = watch_awake,
                                 .last_word = watch_last_word,
                                 .watch_context = &w};
    nr_recorder *recorder = NULL;
    nr_begun begun = {.lock_fd = -1};
    nr_now now;
    int signal_fd = nr_record_signals();
    if (signal_fd < 0)
        return nr_fail(err, NR_BAD, NULL, 0, "cannot wait for signals");
    nr_code code = publish(q, rig, &w, err);
    if (code == NR_OK)
        code = nr_recorder_new(rig, &options, &recorder, err);
    nr_clock_system.now(NULL, &now);
    if (code == NR_OK)
        code = q->resume ? nr_begin_again(q->folder, rig, &now, &begun, err)
                         : nr_begin_new(q->folder, rig, text, length, &now, &begun, err);
    if (code == NR_OK) {
        nr_background_ready(background, q->folder);
        if (!q->let_sleep)
            nr_awake_start(&w.awake);
        code = nr_recorder_run(recorder, &begun, signal_fd, err);
    }
    nr_progress_end(&progress);
    end_watchers(&w);
    nr_recorder_free(recorder);
    nr_begun_end(&begun);
    close(signal_fd);
    /* Readings taken by hand meanwhile: only now is readings.csv nobody's. */
    nr_err late;
    if (code != NR_BAD && nr_take_settle(q->folder, rig, &late) != NR_OK)
        nr_err_print(stderr, NR_PROGRAM, &late);
    return code;
}

static int record_run(int argc, char **argv)
{
    static nr_rig rig; /* large, and wanted to the end */
    char path[NR_ERR_FILE + 16], *text = NULL;
    size_t length = 0;
    request q;
    nr_err err;
    nr_background background = {.pipe = -1};
    int status = parse(argc, argv, &q);
    if (status)
        return status - 1;
    snprintf(path, sizeof path, "%s%s", q.resume ? q.folder : q.rig,
             q.resume ? "/" NR_RIG_FILE : "");
    status = nr_cmd_read_rig(path, NR_RIG_FOR_RECORD, &rig, &text, &length);
    if (status != NR_OK)
        return status;
    nr_code code = nr_listening_port(&rig, q.port, &err);
    if (code == NR_OK && !q.resume)
        code = nr_begin_check(q.folder, &rig, &err);
    if (code == NR_OK && q.background && nr_background_fork(&background, &status)) {
        free(text); /* the foreground's part is over */
        return status;
    }
    if (code == NR_OK)
        code = record(&q, &rig, text, length, &background, &err);
    free(text);
    if (code != NR_OK && !nr_background_failed(&background, &err))
        nr_err_print(stderr, NR_PROGRAM, &err);
    return (int)code;
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)record_run(argc, argv);
}
