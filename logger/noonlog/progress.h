/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `record` shows: news as lines, and on a terminal one line that is renewed every second. */
#ifndef NR_NOONLOG_PROGRESS_H
#define NR_NOONLOG_PROGRESS_H

#include "logger/record/record.h"

#include <stdbool.h>

typedef struct nr_progress {
    bool quiet;
    bool live;  /* a terminal: show the renewed line */
    bool drawn; /* it stands there now */
} nr_progress;

void nr_progress_init(nr_progress *p, bool quiet, bool background);
void nr_progress_say(void *progress, const char *line); /* an nr_sink */
void nr_progress_show(void *progress, const nr_record_view *view);
void nr_progress_end(nr_progress *p);

#endif
