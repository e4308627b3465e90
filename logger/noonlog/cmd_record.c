/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog record: checks what was asked, makes the run folder, and records. */
#include "logger/noonlog/background.h"
#include "logger/noonlog/commands.h"
#include "logger/noonlog/listening.h"
#include "logger/noonlog/progress.h"

#include "logger/base/text.h"
#include "logger/record/record.h"
#include "logger/run/folder.h"

#include <getopt.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

typedef struct request {
    const char *rig, *folder, *port;
    bool background, resume, wait, quiet;
    double for_s, sync_s;
} request;

static void help(void)
{
    printf(
        "noonlog record RIG RUN     record what RIG describes into the new folder RUN\n"
        "noonlog record --resume RUN  go on with a run that was interrupted\n\n"
        "  --for D         stop when the run is this long: 90s, 45m, 1h30m\n"
        "  --background    return once it records; `noonlog status`, `note` and `stop` talk to it\n"
        "  --port P        instead of the rig's: /dev/ttyUSB0, usb:VID:PID; see `noonlog ports`\n"
        "  --wait          if the port is not there yet, wait for it\n"
        "  --sync D        data is on the disk at most this long after it arrived (default 1s)\n"
        "  --quiet         say nothing but errors\n\n"
        "Ctrl-C ends the recording cleanly. A row is written for each line of the (first) "
        "adapter.\n"
        "Unplugged cables, a full disk or a clock that is set do not end it; notes.csv tells.\n");
}

/* 0: go on; otherwise the exit status plus one. */
static int parse(int argc, char **argv, request *out)
{
    static const struct option options[] = {{"for", required_argument, NULL, 'f'},
                                            {"background", no_argument, NULL, 'b'},
                                            {"resume", no_argument, NULL, 'r'},
                                            {"wait", no_argument, NULL, 'w'},
                                            {"sync", required_argument, NULL, 's'},
                                            {"quiet", no_argument, NULL, 'q'},
                                            {"port", required_argument, NULL, 'p'},
                                            {"help", no_argument, NULL, 'h'},
                                            {NULL, 0, NULL, 0}};
    *out = (request){.for_s = NAN, .sync_s = NR_SYNC_DEFAULT_S};
    for (int c = 0; (c = getopt_long(argc, argv, "", options, NULL)) != -1;) {
        switch (c) {
        case 'f':
            if (!nr_parse_duration(optarg, &out->for_s) || !(out->for_s > 0))
                return 1 + nr_cmd_usage("record", "--for wants a duration like 90s, 45m or 1h30m");
            break;
        case 's':
            if (!nr_parse_duration(optarg, &out->sync_s) || !(out->sync_s > 0))
                return 1 + nr_cmd_usage("record", "--sync wants a duration like 1s");
            break;
        case 'p':
            out->port = optarg;
            break;
        case 'b':
            out->background = true;
            break;
        case 'r':
            out->resume = true;
            break;
        case 'w':
            out->wait = true;
            break;
        case 'q':
            out->quiet = true;
            break;
        case 'h':
            help();
            return 1 + NR_OK;
        default:
            return 1 + NR_BAD; /* getopt has said it */
        }
    }
    int wanted = out->resume ? 1 : 2;
    if (argc - optind != wanted)
        return 1 + nr_cmd_usage("record", out->resume
                                              ? "--resume wants one folder: RUN"
                                              : "wants a rig file and a new folder: RIG RUN");
    out->rig = out->resume ? NULL : argv[optind];
    out->folder = argv[argc - 1];
    return 0;
}

/* Everything from the port to the end. In the background this is the child. */
static nr_code record(const request *q, const nr_rig *rig, const char *text, size_t length,
                      nr_background *background, nr_err *err)
{
    nr_progress progress;
    nr_progress_init(&progress, q->quiet, q->background);
    nr_record_options options = {.for_s = q->for_s,
                                 .sync_s = q->sync_s,
                                 .wait = q->wait || q->resume,
                                 .clock = nr_clock_system,
                                 .files = &nr_files_system,
                                 .say = {.write = nr_progress_say, .context = &progress},
                                 .progress = nr_progress_show,
                                 .progress_context = &progress};
    nr_recorder *recorder = NULL;
    nr_begun begun = {.lock_fd = -1};
    nr_now now;
    int signal_fd = nr_record_signals();
    if (signal_fd < 0)
        return nr_fail(err, NR_BAD, NULL, 0, "cannot wait for signals");
    nr_code code = nr_recorder_new(rig, &options, &recorder, err);
    nr_clock_system.now(NULL, &now);
    if (code == NR_OK)
        code = q->resume ? nr_begin_again(q->folder, rig, &now, &begun, err)
                         : nr_begin_new(q->folder, rig, text, length, &now, &begun, err);
    if (code == NR_OK) {
        nr_background_ready(background, q->folder);
        code = nr_recorder_run(recorder, &begun, signal_fd, err);
    }
    nr_progress_end(&progress);
    nr_recorder_free(recorder);
    nr_begun_end(&begun);
    close(signal_fd);
    return code;
}

int nr_cmd_record(int argc, char **argv)
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
