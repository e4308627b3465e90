/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/noonlog/touching.h"

#include "logger/base/text.h"
#include "logger/noonlog/commands.h"
#include "logger/run/meaning.h"

#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define PATIENCE_S 60.0 /* for one probe */
#define LOOK_S 0.25

typedef enum waited { WAITED_FOUND, WAITED_PASSED, WAITED_LONG, WAITED_STOPPED } waited;

/* A whole line on stdin, without waiting. *open: there may be more. */
static bool line_there(bool *open)
{
    struct pollfd in = {.fd = STDIN_FILENO, .events = POLLIN};
    while (*open && poll(&in, 1, 0) > 0) {
        char c = 0;
        if (read(STDIN_FILENO, &c, 1) != 1)
            *open = false; /* nobody there to press Enter: patience has to do */
        else if (c == '\n')
            return true;
    }
    return false;
}

static waited wait_for(nr_session *session, nr_touch *touch, int signal_fd, bool *open,
                       nr_touch_field **found, double *rise_K)
{
    double until_s = nr_session_elapsed_s(session) + PATIENCE_S;
    nr_touch_begin(touch);
    while (nr_session_elapsed_s(session) < until_s) {
        if (!nr_session_run(session, nr_session_elapsed_s(session) + LOOK_S, signal_fd))
            return WAITED_STOPPED;
        *found = nr_touch_found(touch, rise_K);
        if (*found)
            return WAITED_FOUND;
        if (line_there(open))
            return WAITED_PASSED;
    }
    return WAITED_LONG;
}

/* False: stopped. */
static bool ask_for(const char *role, size_t of, nr_session *session, nr_draft_guess *guess,
                    nr_touch *touch, int signal_fd, bool *open)
{
    const nr_meaning *meaning = nr_meaning_find(role);
    nr_touch_field *found = NULL;
    nr_draft_field *field;
    double rise_K = NAN;
    char name[NR_NAME];
    if (of > 0)
        snprintf(name, sizeof name, "%.20s_%.40s", role, guess->build[of - 1]);
    else
        nr_copy(name, sizeof name, role);
    fprintf(stderr, NR_PROGRAM ": hold the probe of `%s` in your hand (%s); Enter: there is none\n",
            name, meaning ? meaning->text : "");
    switch (wait_for(session, touch, signal_fd, open, &found, &rise_K)) {
    case WAITED_FOUND:
        found->taken = true;
        field = nr_draft_field_find(guess, found->name);
        nr_copy(field->channel, sizeof field->channel, name);
        field->of = of;
        field->role_name = of > 0 ? role : NULL;
        fprintf(stderr, NR_PROGRAM ": `%s` is %s: it warmed by %.1f K; let it go\n", name,
                found->name, rise_K);
        return true;
    case WAITED_LONG:
        fprintf(stderr,
                NR_PROGRAM ": no single probe warmed by %.0f K in %.0f s: `%s` is left open\n",
                NR_TOUCH_RISE_K, PATIENCE_S, name);
        return true;
    case WAITED_STOPPED:
        return false;
    case WAITED_PASSED:
    default:
        return true;
    }
}

/* The adapter said it itself. */
static bool is_said(nr_draft_guess *guess, const char *role, size_t of)
{
    for (size_t i = 0; of > 0 && i < guess->fields; i++)
        if (guess->field[i].of == of && guess->field[i].role_name &&
            strcmp(guess->field[i].role_name, role) == 0)
            return true;
    return of == 0 && nr_draft_field_find(guess, role) != NULL;
}

bool nr_touching(nr_session *session, nr_draft_guess *guess, nr_touch *touch, int signal_fd)
{
    static const char *const own[] = {"store", "inlet", "outlet"};
    bool open = true;
    /* What they are before anybody holds one. */
    double still_s = nr_session_elapsed_s(session) + 2 * guess->interval_s;
    if (!nr_session_run(session, still_s, signal_fd))
        return false;
    /* of each collector; of the only one where none has a name */
    for (size_t of = guess->builds > 0; of <= guess->builds; of++)
        for (size_t i = 0; i < sizeof own / sizeof *own; i++)
            if (!is_said(guess, own[i], of) &&
                !ask_for(own[i], of, session, guess, touch, signal_fd, &open))
                return false;
    return is_said(guess, "air", 0) || ask_for("air", 0, session, guess, touch, signal_fd, &open);
}
