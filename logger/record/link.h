/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One adapter's port over the life of a recording: opened, read, lost, found again; and what its
 * bytes say when they make no sense.
 */
#ifndef NR_RECORD_LINK_H
#define NR_RECORD_LINK_H

#include "logger/port/port.h"
#include "logger/run/notes.h"
#include "logger/run/rig.h"
#include "logger/wire/fields.h"
#include "logger/wire/lines.h"

#include <stdbool.h>

typedef enum nr_link_state {
    NR_LINK_DOWN, /* waiting to open it (again) */
    NR_LINK_UP
} nr_link_state;

/* What the recorder does with a line and with news; text is not cleaned. */
typedef struct nr_link_user {
    void (*line)(void *context, size_t adapter, const nr_wire_line *line);
    void (*news)(void *context, nr_note_kind kind, const char *text);
    void *context;
} nr_link_user;

typedef struct nr_link {
    const nr_rig_adapter *rig;
    size_t adapter;
    nr_link_user user;
    nr_link_state state;
    nr_port port;
    nr_lines lines;
    double retry_at_s, backoff_s; /* steady clock */
    double up_at_s, heard_at_s, good_at_s, lost_at_s;
    unsigned long good, bad; /* lines since it came up */
    nr_line_fault last_fault;
    char last_bad[64]; /* beginning of the last line that gave nothing, cleaned */
    bool told_silent, told_nonsense, was_up, was_connecting;
    char told_bus[200]; /* the last remark of a polled bus that was told, and when */
    double told_bus_at_s;
    char told_failure[NR_ERR_TEXT]; /* why it could not be opened, as last told */
} nr_link;

void nr_link_init(nr_link *link, const nr_rig *rig, size_t adapter, const nr_link_user *user);

/* Opens the port. now_s: steady clock. On failure the next try is due at link->retry_at_s; the
 * reason is told when it is another one than before. */
nr_code nr_link_open(nr_link *link, double now_s, nr_err *err);

/* Reads what is there (at most about 64 KB, so that other adapters get their turn) and passes on
 * the lines. hung_up: poll said so. */
void nr_link_read(nr_link *link, double now_s, bool hung_up);

/* The recorder's verdict on a line it was given. */
void nr_link_judged(nr_link *link, nr_line_fault fault, const nr_wire_line *line, double now_s);

/* To be called about once a second: silence, nonsense, and reopening when it is due. */
void nr_link_tick(nr_link *link, double now_s);

/* Passes on what is pending and closes. */
void nr_link_close(nr_link *link);

#endif
