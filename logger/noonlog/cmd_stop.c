/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog stop: asks the recorder to end, and waits until it has. */
#include "logger/noonlog/commands.h"

#include "logger/record/state.h"

#include <errno.h>
#include <getopt.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>

/* A recorder that fights a full disk tries for 5 s before it gives up. */
#define PATIENCE_MS 15000
#define STEP_MS 20

static bool wait_for_end(const char *folder)
{
    for (int waited = 0; waited < PATIENCE_MS; waited += STEP_MS) {
        if (nr_state_holder(folder) == 0)
            return true;
        poll(NULL, 0, STEP_MS);
    }
    return false;
}

int nr_cmd_stop(int argc, char **argv)
{
    static const struct option options[] = {{"help", no_argument, NULL, 'h'}, {NULL, 0, NULL, 0}};
    nr_err err;
    for (int c = 0; (c = getopt_long(argc, argv, "", options, NULL)) != -1;) {
        if (c != 'h')
            return NR_BAD;
        puts("noonlog stop RUN   ends the recording into RUN; everything is on the disk when this "
             "returns");
        return NR_OK;
    }
    if (argc - optind != 1)
        return nr_cmd_usage("stop", "wants one run folder: RUN");
    const char *folder = argv[optind];
    pid_t pid = nr_state_holder(folder);
    if (pid == 0) {
        nr_fail(&err, NR_CANNOT, folder, 0, "nothing records into this folder");
        return nr_cmd_failed(&err);
    }
    if (kill(pid, SIGTERM) < 0) {
        nr_fail_errno(&err, NR_BAD, folder, errno, "cannot stop process %ld", (long)pid);
        return nr_cmd_failed(&err);
    }
    if (!wait_for_end(folder)) {
        nr_fail(&err, NR_BAD, folder, 0, "process %ld still records after %d s", (long)pid,
                PATIENCE_MS / 1000);
        return nr_cmd_failed(&err);
    }
    return NR_OK;
}
