/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/serve/inside.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What a stream is read in. */
#define BLOCK 8192
/* A browser that lost the line comes back after so many milliseconds. */
#define RETRY_MS 2000

/* The next frame the client has not seen, with the id it will come back with: curve's number. */
static bool take_next(nr_stream *c)
{
    const nr_source *s = c->all->source;
    for (int topic = 0; topic < NR_TOPICS; topic++) {
        const nr_frame *f = &s->frame[topic];
        if (!f->text || c->seen[topic] == f->number)
            continue;
        bool curve = topic == NR_TOPIC_CURVE;
        int n = curve ? asprintf(&c->sending, "id: %lu-%lu\n%s\n", s->boot, f->number, f->text)
                      : asprintf(&c->sending, "%s\n", f->text);
        if (n < 0) {
            c->sending = NULL;
            return false;
        }
        c->length = (size_t)n;
        c->at = 0;
        c->seen[topic] = f->number;
        return true;
    }
    return false;
}

static ssize_t read_stream(void *context, uint64_t position, char *to, size_t most)
{
    (void)position;
    nr_stream *c = context;
    if (c->all->closing)
        return MHD_CONTENT_READER_END_OF_STREAM;
    if (!c->sending && !take_next(c)) {
        c->asleep = true;
        MHD_suspend_connection(c->connection);
        return 0;
    }
    size_t n = c->length - c->at < most ? c->length - c->at : most;
    memcpy(to, c->sending + c->at, n);
    c->at += n;
    if (c->at == c->length) {
        free(c->sending);
        c->sending = NULL;
    }
    return (ssize_t)n;
}

static void end_stream(void *context)
{
    nr_stream *c = context;
    free(c->sending);
    c->sending = NULL;
    c->used = c->asleep = false;
    c->all->count--;
}

struct MHD_Response *nr_stream_begin(nr_streams *streams, struct MHD_Connection *connection,
                                     unsigned long has_curve)
{
    size_t i = 0;
    while (i < NR_SERVE_CLIENTS && streams->stream[i].used)
        i++;
    if (i == NR_SERVE_CLIENTS)
        return NULL;
    nr_stream *c = &streams->stream[i];
    memset(c, 0, sizeof *c);
    c->all = streams;
    c->connection = connection;
    c->seen[NR_TOPIC_CURVE] = has_curve;
    int n = asprintf(&c->sending, "retry: %d\n\n", RETRY_MS);
    c->length = n > 0 ? (size_t)n : 0;
    struct MHD_Response *response =
        n > 0
            ? MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, BLOCK, read_stream, c, end_stream)
            : NULL;
    if (!response) {
        free(c->sending);
        c->sending = NULL;
        return NULL;
    }
    c->used = true;
    streams->count++;
    return response;
}

void nr_streams_wake(nr_streams *streams)
{
    for (size_t i = 0; i < NR_SERVE_CLIENTS; i++) {
        nr_stream *c = &streams->stream[i];
        if (!c->used || !c->asleep)
            continue;
        c->asleep = false;
        MHD_resume_connection(c->connection);
    }
}
