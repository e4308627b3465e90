/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the page is told, as JSON. Pure.
 *
 * Three topics, each whole in itself so that a client that missed any number of them is right again
 * with the next: `state` (numbers and sentences of this second), `curve` (the whole run, thinned)
 * and `told` (notes, findings, what noonfit says). Text from outside is data in JSON strings; the
 * page puts it in as text and never as markup. Numbers of curves are in the units shown.
 */
#ifndef NR_SERVE_STATE_H
#define NR_SERVE_STATE_H

#include "logger/watch/view.h"

typedef enum nr_topic { NR_TOPIC_STATE, NR_TOPIC_CURVE, NR_TOPIC_TOLD, NR_TOPICS } nr_topic;

extern const char *const nr_topic_name[NR_TOPICS];

/* One line of JSON; free it. NULL: no memory. */
char *nr_state_json(nr_topic topic, const nr_tail *tail, const nr_view_options *options);

#endif
