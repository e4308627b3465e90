/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the server: the run and what is made of it (source.c), streams of events (stream.c),
 * requests (answer.c), the loop (serve.c). One thread: nothing is locked. */
#ifndef NR_SERVE_INSIDE_H
#define NR_SERVE_INSIDE_H

#include "logger/ask/ask.h"
#include "logger/serve/serve.h"
#include "logger/serve/state.h"

#include <microhttpd.h>

#define NR_SERVE_CLIENTS 32

/* --- source.c: the run and the frames made of it -------------------------------------------- */

/* A frame is a whole server-sent event. */
typedef struct nr_frame {
    char *text;
    size_t length;
    unsigned long number; /* rises with each that differs; 0: none yet */
    double made_s;
} nr_frame;

typedef struct nr_source {
    nr_tail *tail;
    nr_ask ask;
    nr_view_options view;
    bool reached;       /* the target was noted */
    unsigned long boot; /* tells this start of the server from others */
    nr_frame frame[NR_TOPICS];
} nr_source;

nr_code nr_source_open(nr_source *source, const nr_serve_options *options, nr_err *err);

/* Looks at the files and asks noonfit when somebody is `watched`; makes the frames anew. */
void nr_source_turn(nr_source *source, bool watched, double now_s);

/* The frames anew, after a note or another target; files are read again. */
void nr_source_again(nr_source *source, double now_s);

/* NAN: none. */
void nr_source_target(nr_source *source, double target_degC);

void nr_source_close(nr_source *source);

/* --- stream.c: clients that listen to events ------------------------------------------------ */

typedef struct nr_streams nr_streams;

/* One client. */
typedef struct nr_stream {
    nr_streams *all;
    struct MHD_Connection *connection;
    bool used, asleep;
    unsigned long seen[NR_TOPICS]; /* numbers of the frames it was sent */
    char *sending;                 /* a copy: the frame may be replaced while it is under way */
    size_t length, at;
} nr_stream;

struct nr_streams {
    const nr_source *source;
    bool closing;
    size_t count;
    nr_stream stream[NR_SERVE_CLIENTS];
};

/* The response that goes on for ever, NULL when there are too many. has_curve: number of the curve
 * the client says it has. */
struct MHD_Response *nr_stream_begin(nr_streams *streams, struct MHD_Connection *connection,
                                     unsigned long has_curve);

/* Lets those that sleep look for new frames. */
void nr_streams_wake(nr_streams *streams);

/* --- answer.c: requests --------------------------------------------------------------------- */

/* A connection's last sign of being well-behaved. */
typedef struct nr_guest {
    int fd; /* -1: free */
    double since_s;
    bool listening; /* to events: may stay */
} nr_guest;

typedef struct nr_server {
    nr_source source;
    nr_streams streams;
    const nr_door *door;
    double now_s; /* of this turn of the loop */
    nr_guest guest[NR_SERVE_CLIENTS];
} nr_server;

/* MHD's callbacks; context is the nr_server. */
enum MHD_Result nr_answer(void *context, struct MHD_Connection *connection, const char *url,
                          const char *method, const char *version, const char *data, size_t *size,
                          void **request);
void nr_answer_done(void *context, struct MHD_Connection *connection, void **request,
                    enum MHD_RequestTerminationCode how);
size_t nr_answer_path(void *context, struct MHD_Connection *connection, char *text);
void nr_answer_guest(void *context, struct MHD_Connection *connection, void **guest,
                     enum MHD_ConnectionNotificationCode what);

/* --- made at build time from web/ ------------------------------------------------------------ */

typedef struct nr_web_file {
    const unsigned char *bytes;
    size_t length;
} nr_web_file;

extern const nr_web_file nr_web_page, nr_web_script, nr_web_style, nr_web_icon;

#endif
