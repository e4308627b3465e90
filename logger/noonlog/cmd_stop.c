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

static bool wait_for_end(const char *folder)
{
    for (int waited = 0; waited < PATIENCE_MS; waited += STEP_MS) {
        if (nr_state_holder(folder) == 0)
            return true;
        poll(NULL, 0, STEP_MS);
    }
    return false;
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

/* The process that was told to end, as it calls itself. */
static nr_code tell(const char *folder, long *pid, nr_err *err)
{
    nr_state before;
    pid_t signalled = 0;
    (void)nr_state_read(folder, &before, err); /* without one there is nobody to signal */
    nr_code code = nr_state_signal(folder, SIGTERM, &signalled, err);
    *pid = code == NR_OK ? (long)signalled : before.pid;
    return code == NR_BAD && signalled != 0 && ask(folder) ? NR_OK : code;
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
    nr_code code = nr_command_read(&nr_cmd_stop, argc, argv, NULL, &words, said);
    if (code != NR_OK)
        return code;
    const char *folder = words.word[0];
    code = tell(folder, &pid, said);
    if (code == NR_OK && !wait_for_end(folder))
        code = nr_fail(said, NR_BAD, folder, 0, "process %ld still records after %d s", pid,
                       PATIENCE_MS / 1000);
    return code == NR_OK ? closing_word(folder, pid, said) : code;
}
