/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/stamp.h"

#include "logger/record/clock.h"
#include "logger/record/notebook.h"
#include "logger/record/state.h"

#include <errno.h>
#include <math.h>
#include <poll.h>
#include <stdlib.h>

#define TRIES 100
#define TRY_MS 20

nr_code nr_stamp_place(const char *folder, double at_s, nr_note *note, nr_err *err)
{
    nr_state state;
    nr_now now;
    nr_code code = nr_state_read(folder, &state, err);
    if (code != NR_OK)
        return code;
    nr_clock_system.now(NULL, &now);
    if (isnan(at_s) && nr_state_holder(folder) <= 0)
        return nr_fail(err, NR_CANNOT, folder, 0,
                       "nothing records into this run now; say when in the run it was: "
                       "--at 12m30s");
    if (isnan(at_s)) {
        note->elapsed_s = state.elapsed_s + fmax(now.steady_s - state.at_steady_s, 0);
        note->utc_s = now.utc_s;
    } else {
        note->elapsed_s = at_s;
        note->utc_s = state.zero_utc_s + at_s;
    }
    return NR_OK;
}

nr_code nr_stamp_write(const char *folder, const nr_note *note, nr_err *err)
{
    nr_code code = NR_OK;
    nr_notebook *book = calloc(1, sizeof *book);
    if (!book)
        return nr_fail(err, NR_BAD, NULL, 0, "not enough memory");
    if (!nr_notebook_init(book, &nr_files_system, folder) || !nr_notebook_add(book, note))
        code = nr_fail(err, NR_BAD, folder, 0, "the path or the text is too long");
    for (int i = 0; code == NR_OK && !nr_notebook_flush(book); i++) {
        if (book->why != EWOULDBLOCK || i == TRIES)
            code = nr_fail_errno(err, NR_BAD, book->path, book->why, "cannot write the note");
        else
            poll(NULL, 0, TRY_MS); /* the recorder is writing a note of its own */
    }
    free(book);
    return code;
}
