/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A run for others to watch: each row as JSON to an MQTT broker, through libmosquitto.
 *
 * A thread of its own looks up, connects, sends and connects again. The recording only puts rows
 * into a ring of bounded size, under a lock held for a copy: a broker that is away, slow or wrong
 * costs messages, which are counted, and never a row of the run.
 *
 * A message is {"time_utc": "...", "elapsed_s": 12.345, "store_degC": 41.5, "air_degC": null}: the
 * columns of readings.csv, null where a cell is empty. Quality of service 1 (the broker confirms),
 * not retained.
 */
#ifndef NR_PUBLISH_PUBLISH_H
#define NR_PUBLISH_PUBLISH_H

#include "logger/publish/login.h"
#include "logger/record/sampler.h"

#include <stdbool.h>

/* Rows kept while the broker is away; older ones make room. */
#define NR_PUBLISH_ROOM 256
/* A row of the most channels with the longest names fits. */
#define NR_PUBLISH_MESSAGE 8192

typedef struct nr_publisher nr_publisher;

/* server: HOST or HOST:PORT, an IPv6 address in brackets; without a port 1883, with TLS 8883.
 * NR_BAD when server, topic or login cannot be right; whether somebody answers shows later. rig
 * must live as long. Block signals before: the thread inherits the mask. */
nr_code nr_publish_start(const nr_rig *rig, const char *server, const char *topic,
                         const nr_login *login, nr_publisher **out, nr_err *err);

/* Hands on a row; never waits. */
void nr_publish_row(nr_publisher *p, const nr_sample *row);

/* What happened since the last call, a sentence; false: nothing. */
bool nr_publish_news(nr_publisher *p, char *text, size_t size);

/* Gives what waits a moment (two seconds at most) and ends. counted: "474 rows published, 12 not:
 * the broker was away". */
void nr_publish_end(nr_publisher *p, char *counted, size_t size);

/* One message without line end, for the thread and its test. Returns its length, 0: no room. */
size_t nr_publish_json(const nr_rig *rig, const nr_sample *row, char *out, size_t size);

#endif
