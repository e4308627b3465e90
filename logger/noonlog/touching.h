/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `draft --touch`: which probe is which, told by a warm hand. */
#ifndef NR_NOONLOG_TOUCHING_H
#define NR_NOONLOG_TOUCHING_H

#include "logger/draft/draft.h"
#include "logger/listen/session.h"

/* Asks for the probes of store, inlet, outlet and air, one by one, on stderr; a line on stdin
 * passes one over. Lines of the session must go to nr_draft_touch with *touch meanwhile. Sets
 * `channel` of the fields it finds. True: all were asked for; false: stopped by a signal. */
bool nr_touching(nr_session *session, nr_draft_guess *guess, nr_touch *touch, int signal_fd);

#endif
