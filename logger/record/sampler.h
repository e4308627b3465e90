/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines to rows: what a line of an adapter means for readings.csv.
 *
 * Pure: it sees lines with their stamps and knows neither ports nor files nor clocks, so that a
 * recording and a later `rebuild` from adapter.log give the same rows. Every decision here
 * depends only on what adapter.log holds.
 *
 * One row a line. With several adapters the first one in the rig leads: its lines make the rows,
 * and what the others have sent since the row before fills their columns. A value is written
 * once; one that is older than the slower adapter's interval (times 1.5) is not written at all.
 * While the leader is overdue by an interval the next adapter leads.
 *
 * Time of a row: the host's stamp, or with `clock = adapter` the adapter's counter placed on the
 * run's axis (counter.h); time_utc is then the host's wall clock at the first line plus that
 * elapsed time, moved along when the wall clock is set. Lines that bunch up are spread a
 * millisecond apart, up to a second ahead; of a flood faster than that only one line a millisecond
 * becomes a row (adapter.log has them all).
 */
#ifndef NR_RECORD_SAMPLER_H
#define NR_RECORD_SAMPLER_H

#include "logger/run/notes.h"
#include "logger/run/rig.h"
#include "logger/wire/fields.h"
#include "logger/wire/lines.h"

#include <stdbool.h>

/* When a line arrived, by the host. */
typedef struct nr_stamp {
    double utc_s;     /* wall clock */
    double elapsed_s; /* since the run's start, never backwards */
} nr_stamp;

typedef struct nr_sample {
    double utc_s, elapsed_s; /* milliseconds, elapsed strictly increasing */
    /* [rig->channels] in the channel's canonical unit; NAN: no valid reading. */
    double value[NR_RIG_CHANNELS];
    double raw[NR_RIG_CHANNELS]; /* as on the wire */
} nr_sample;

typedef struct nr_sampler_counts {
    unsigned long fault[NR_LINE_FAULTS]; /* by nr_line_fault; [NR_LINE_GOOD] are the good ones */
    unsigned long rows;
    unsigned long crowded; /* good lines without a row: more than one a millisecond */
} nr_sampler_counts;

typedef struct nr_channel_counts {
    unsigned long good, unreadable,
        outside;           /* outside: beyond low..high, or no answer of the law */
    unsigned long missing; /* the line came without it */
} nr_channel_counts;

/* What is worth a note. text is clean. */
typedef void (*nr_sampler_event)(void *context, nr_note_kind kind, const char *text);

typedef struct nr_sampler nr_sampler;

/* rig must live as long. last_elapsed_s: the last row already there (a resumed run), or -1.
 * event may be NULL. NULL when there is no memory. Nothing is allocated afterwards. */
nr_sampler *nr_sampler_new(const nr_rig *rig, double last_elapsed_s, nr_sampler_event event,
                           void *context);
void nr_sampler_free(nr_sampler *s);

/* Takes one line of rig->adapter[adapter]. *row is true when *out is a row to write. */
nr_line_fault nr_sampler_line(nr_sampler *s, size_t adapter, nr_stamp stamp,
                              const nr_wire_line *line, nr_sample *out, bool *row);

const nr_sampler_counts *nr_sampler_counted(const nr_sampler *s, size_t adapter);
const nr_channel_counts *nr_sampler_channel(const nr_sampler *s, size_t channel);

/* The series' time now: that of the last row, plus what the host saw pass since. */
double nr_sampler_now(const nr_sampler *s, double host_elapsed_s);

/* The adapter clock's drift against the host (counter.h); false for a host clock. */
bool nr_sampler_drift(const nr_sampler *s, size_t adapter, double *drift, double *u_drift);

/* What the adapter's lines look like; for a polled adapter, what its port writes. */
nr_rig_adapter nr_sampler_format(const nr_rig_adapter *adapter);

/* Where a channel stands in its adapter's lines; for a polled adapter, the channel's name. */
const char *nr_sampler_field(const nr_rig *rig, const nr_rig_channel *channel);

/* Of a polled channel, with their defaults. */
int nr_sampler_unit(const nr_rig_channel *channel);
const char *nr_sampler_type(const nr_rig_channel *channel);

/* The channel's field in a line of its adapter, NULL when it is not there. A polled adapter's keys
 * are NAME@UNIT:REGISTER:TYPE, of which the part behind the @ counts, so that a channel that was
 * given the wrong register or name can be mended by a rebuild; without an @ (noonlog 1.0) the name
 * counts. */
const nr_field *nr_sampler_find(const nr_rig *rig, const nr_rig_channel *channel,
                                const nr_fields *fields);

/* Index of a channel's adapter in the rig. */
size_t nr_sampler_adapter_of(const nr_rig *rig, const nr_rig_channel *channel);

#endif
