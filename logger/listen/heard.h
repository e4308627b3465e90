/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was heard from the adapters of a rig in a while: counts, examples, ranges.
 *
 * Fed by a session, judged by judge.h, shown by `listen`. Everything that came over the wire is
 * cleaned (text.h) before it is kept.
 */
#ifndef NR_LISTEN_HEARD_H
#define NR_LISTEN_HEARD_H

#include "logger/listen/seen.h"
#include "logger/listen/touch.h"
#include "logger/record/sampler.h"

#include <stdbool.h>

#define NR_HEARD_TEXT 120
#define NR_HEARD_KEYS 40

/* A field of the lines: a key (pairs) or "1", "2" (values). */
typedef struct nr_heard_key {
    char name[NR_NAME];
    unsigned long count; /* lines that had it */
    nr_seen seen;
} nr_heard_key;

typedef struct nr_heard_adapter {
    char path[NR_HEARD_TEXT]; /* the device */
    unsigned long bytes, lines, fault[NR_LINE_FAULTS];
    char good[NR_HEARD_TEXT]; /* the last line that parsed, "" none */
    char bad[NR_HEARD_TEXT];  /* the last one that did not */
    double first_good_s, last_good_s;
    size_t keys;
    nr_heard_key key[NR_HEARD_KEYS];
    bool checksum_unused; /* lines end in a right *HH and the rig does not ask for it */
} nr_heard_adapter;

typedef struct nr_heard_channel {
    unsigned long good, unreadable, outside, missing; /* as nr_channel_counts */
    char unreadable_text[NR_HEARD_TEXT];              /* what came instead of a number */
    double raw, value;                                /* last of each, NAN: none */
    double raw_low, raw_high;
    bool unit_said; /* the numbers come with a unit */
    bool raw_whole; /* every raw number was a whole one */
    double low, high, first;
    unsigned long changes; /* readings that differ from the one before */
    double largest_step;   /* between two readings in a row */
    bool warms;            /* a temperature that rose alone: the probe in a hand */
} nr_heard_channel;

typedef struct nr_heard {
    const nr_rig *rig;
    double seconds;
    nr_heard_adapter adapter[NR_RIG_ADAPTERS];
    nr_heard_channel channel[NR_RIG_CHANNELS];
    nr_touch touch;             /* the temperatures, by their channels' names */
    const nr_rig_channel *held; /* the one that was found last */
} nr_heard;

void nr_heard_begin(nr_heard *heard, const nr_rig *rig);

/* As the session's callbacks give them. */
void nr_heard_line(nr_heard *heard, size_t adapter, const nr_wire_line *line, nr_line_fault fault,
                   double elapsed_s);

/* Marks the channel that warms in somebody's hand (touch.h). Its name, once for as long as no other
 * warms; else NULL. */
const char *nr_heard_warming(nr_heard *heard);

/* After the last line: the sampler's counts. */
void nr_heard_end(nr_heard *heard, const nr_sampler *sampler, double seconds);

#endif
