/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `listen`, `bath` and `record` share: the port to use, waiting for Enter, a line of progress.
 */
#ifndef NR_NOONLOG_LISTENING_H
#define NR_NOONLOG_LISTENING_H

#include "logger/listen/session.h"
#include "logger/record/record.h"

/* --port, and a port for each adapter. */
nr_code nr_listening_port(nr_rig *rig, const char *port, nr_err *err);

/* Shows a sentence on stderr and waits for a line on stdin. False: a signal, or the end of stdin.
 */
bool nr_listening_enter(const char *prompt, int signal_fd);

/* Runs the session; on a terminal, when it takes more than a second, with the seconds left on one
 * line of stderr. As nr_session_run. */
bool nr_listening_run(nr_session *session, const char *what, double seconds, int signal_fd);

#endif
