/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog stop: asks the recorder to end, and waits until it has. */
#include "logger/noonlog/commands.h"

#include "logger/record/state.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stddef.h>
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

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_stop = {
    .program = NR_PROGRAM,
    .name = "stop",
    .arguments = "RUN",
    .summary = "end a recording",
    .about = "Ends the recording into RUN; everything is on the disk when this returns.",
    .least = 1,
    .most = 1,
    .wants = "wants one run folder: RUN",
    .word = {NR_WORD_RUN, NR_WORD_NONE},
    .run = run};

static int stop_run(int argc, char **argv)
{
    nr_words words;
    nr_err err;
    if (nr_command_read(&nr_cmd_stop, argc, argv, NULL, &words, &err) != NR_OK)
        return nr_cmd_failed(&err);
    const char *folder = words.word[0];
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

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)stop_run(argc, argv);
}
