/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog stop: asks the recorder to end, waits until it has, and passes on its closing word. */
#include "logger/noonlog/commands.h"

#include "logger/record/state.h"

#include <poll.h>
#include <signal.h>
#include <stddef.h>
#include <stdio.h>

/* A recorder that fights a full disk tries for 5 s before it gives up. */
#define PATIENCE_MS 15000
/* One that is asked by a file looks for it every second; an emulated one takes its time. */
#define HEARD_MS 4000
#define STEP_MS 20

/* by_file: a recorder that was just beginning may have taken the request for an old one. */
static bool wait_for_end(const char *folder, bool by_file)
{
    bool over = false;
    for (int waited = 0; waited < PATIENCE_MS && !over; waited += STEP_MS) {
        if (by_file && waited % HEARD_MS == 0)
            (void)nr_state_ask(folder);
        poll(NULL, 0, STEP_MS);
        over = nr_state_holder(folder) == 0;
    }
    if (by_file)
        (void)nr_state_take_request(folder);
    return over;
}

/* One that is just beginning has not yet said who it is. */
static long named(const char *folder, nr_err *err)
{
    nr_state state = {.pid = 0};
    for (int waited = 0; waited < HEARD_MS && state.pid == 0; waited += STEP_MS) {
        if (waited > 0)
            poll(NULL, 0, STEP_MS);
        if (nr_state_read(folder, &state, err) != NR_OK || nr_state_holder(folder) == 0)
            break;
    }
    return state.pid;
}

/* For a recorder that the kernel does not show to be one. Whether it has heard; what is none does
 * not. */
static bool ask(const char *folder)
{
    if (!nr_state_ask(folder))
        return false;
    for (int waited = 0; waited < HEARD_MS; waited += STEP_MS) {
        if (!nr_state_is_asked(folder))
            return true;
        if (nr_state_holder(folder) == 0)
            break;
        poll(NULL, 0, STEP_MS);
    }
    bool unheard = nr_state_take_request(folder);
    return !unheard || nr_state_holder(folder) == 0;
}

/* *pid: the process that was told to end, as it calls itself. *by_file: as no signal may be sent.
 */
static nr_code tell(const char *folder, long *pid, bool *by_file, nr_err *err)
{
    pid_t signalled = 0;
    *pid = named(folder, err);
    nr_code code = nr_state_signal(folder, SIGTERM, &signalled, err);
    *by_file = code == NR_BAD && signalled != 0 && ask(folder);
    return *by_file ? NR_OK : code;
}

/* The lock is free: the process is gone, whatever it could still say. */
static nr_code closing_word(const char *folder, long pid, nr_err *err)
{
    nr_state state;
    nr_code code = nr_state_read(folder, &state, err);
    if (code != NR_OK)
        return code;
    if (!state.ended || state.pid != pid)
        return nr_fail(err, NR_BAD, folder, 0,
                       "process %ld ended without a closing word (killed, or the disk refused it); "
                       "the last rows may be missing: at least %lu are on the disk",
                       pid, state.on_disk);
    if (state.status != NR_OK)
        return nr_fail(err, (nr_code)state.status, folder, 0, "%s", state.trouble);
    printf("%s: %lu rows on the disk\n", folder, state.on_disk);
    return NR_OK;
}

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_stop = {
    .program = NR_PROGRAM,
    .name = "stop",
    .arguments = "RUN",
    .summary = "end a recording",
    .about =
        "Ends the recording into RUN, waits for it, and says how many rows are on the disk. Exit "
        "status 2 when some could not be written, or when the recorder ended without a word.",
    .least = 1,
    .most = 1,
    .wants = "wants one run folder: RUN",
    .word = {NR_WORD_RUN, NR_WORD_NONE},
    .run = run};

static nr_code run(int argc, char **argv, nr_err *said)
{
    nr_words words;
    long pid = 0;
    bool by_file = false;
    nr_code code = nr_command_read(&nr_cmd_stop, argc, argv, NULL, &words, said);
    if (code != NR_OK)
        return code;
    const char *folder = words.word[0];
    code = tell(folder, &pid, &by_file, said);
    if (code == NR_OK && !wait_for_end(folder, by_file))
        code = nr_fail(said, NR_BAD, folder, 0, "process %ld still records after %d s", pid,
                       PATIENCE_MS / 1000);
    return code == NR_OK ? closing_word(folder, pid, said) : code;
}
