/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/serve/inside.h"

#include "logger/base/text.h"
#include "logger/record/stamp.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>

/* So much of a refused body is read and thrown away. A socket closed over what nobody has read
 * tells the other end that the line broke, and our refusal, on its way already, may be lost. */
#define READ_AND_LEFT ((size_t)4 << 20)

/* A request while it arrives. */
typedef struct body {
    nr_route route;
    unsigned status; /* as judged from the headers */
    bool too_long;
    size_t length, came; /* bytes kept; all that came */
    char text[NR_REQUEST_BODY + 1];
} body;

/* --- sending -------------------------------------------------------------------------------- */

/* Scripts, styles and pictures from us and nobody else; nothing inline; in no other page's frame.
 */
static void add_headers(struct MHD_Response *r, const char *type)
{
    static const char *const headers[][2] = {
        {"Content-Security-Policy",
         "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
         "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
        {"X-Content-Type-Options", "nosniff"},
        {"Referrer-Policy", "no-referrer"},
        {"Cross-Origin-Resource-Policy", "same-origin"},
        {"Cache-Control", "no-store"},
    };
    MHD_add_response_header(r, "Content-Type", type);
    for (size_t i = 0; i < sizeof headers / sizeof headers[0]; i++)
        MHD_add_response_header(r, headers[i][0], headers[i][1]);
}

static enum MHD_Result send_response(struct MHD_Connection *connection, unsigned status,
                                     struct MHD_Response *response, const char *type)
{
    if (!response)
        return MHD_NO;
    add_headers(response, type);
    enum MHD_Result queued = MHD_queue_response(connection, status, response);
    MHD_destroy_response(response);
    return queued;
}

static enum MHD_Result send_text(struct MHD_Connection *connection, unsigned status,
                                 const char *text)
{
    struct MHD_Response *r = MHD_create_response_from_buffer(strlen(text), (void *)(uintptr_t)text,
                                                             MHD_RESPMEM_MUST_COPY);
    if (r && status == 405)
        MHD_add_response_header(r, "Allow", "GET, HEAD, POST");
    return send_response(connection, status, r, "text/plain; charset=utf-8");
}

static enum MHD_Result send_file(struct MHD_Connection *connection, const nr_web_file *file,
                                 const char *type)
{
    return send_response(connection, 200,
                         MHD_create_response_from_buffer(
                             file->length, (void *)(uintptr_t)file->bytes, MHD_RESPMEM_PERSISTENT),
                         type);
}

static const char *why(unsigned status)
{
    switch (status) {
    case 400:
        return "a header is there twice\n";
    case 401:
        return "the link to write with has a token behind #\n";
    case 403:
        return "not from this page\n";
    case 404:
        return "no such page\n";
    case 405:
        return "not with this method\n";
    case 411:
        return "the length is missing\n";
    case 413:
        return "too long\n";
    case 421:
        return "this computer does not go by that name; use its address\n";
    default:
        return "no\n";
    }
}

/* --- writing -------------------------------------------------------------------------------- */

static enum MHD_Result failed(struct MHD_Connection *connection, unsigned status, const nr_err *err)
{
    char text[NR_ERR_TEXT + 2];
    snprintf(text, sizeof text, "%s\n", err->text);
    return send_text(connection, status, text);
}

static enum MHD_Result add_note(nr_server *s, struct MHD_Connection *connection, nr_note_kind kind,
                                const char *words)
{
    nr_note note = {.kind = kind};
    nr_err err = {0};
    if (!s->source.tail->recording)
        return send_text(connection, 409, "nothing records into this run now\n");
    nr_copy(note.text, sizeof note.text, words);
    nr_code code = nr_stamp_place(s->source.tail->folder, NAN, &note, &err);
    if (code == NR_OK)
        code = nr_stamp_write(s->source.tail->folder, &note, &err);
    if (code != NR_OK)
        return failed(connection, code == NR_CANNOT ? 409 : 500, &err);
    nr_source_again(&s->source, s->now_s);
    nr_streams_wake(&s->streams);
    return send_text(connection, 200, "noted\n");
}

static enum MHD_Result set_target(nr_server *s, struct MHD_Connection *connection,
                                  const char *words)
{
    double degC = NAN;
    if (words[0] && (!nr_parse_temperature(words, s->source.view.fahrenheit, &degC) ||
                     !(degC > 0.0 && degC < 100.0)))
        return send_text(connection, 400, "a temperature of water, like 43C or 110F\n");
    nr_source_target(&s->source, degC);
    nr_source_again(&s->source, s->now_s);
    nr_streams_wake(&s->streams);
    return send_text(connection, 200, "set\n");
}

static enum MHD_Result write_body(nr_server *s, struct MHD_Connection *connection, const body *b)
{
    char words[NR_REQUEST_BODY + 4];
    bool some = nr_request_note(b->text, b->length, words, sizeof words), on = false;
    if (b->too_long)
        return send_text(connection, 413, why(413));
    if (b->route == NR_ROUTE_TARGET)
        return set_target(s, connection, words);
    if (!some)
        return send_text(connection, 400, "no words\n");
    if (b->route == NR_ROUTE_NOTE)
        return add_note(s, connection, NR_NOTE_NOTE, words);
    if (!nr_parse_yes(words, &on))
        return send_text(connection, 400, "on or off\n");
    return add_note(s, connection, NR_NOTE_PUMP, on ? "on" : "off");
}

/* --- requests ------------------------------------------------------------------------------- */

static nr_guest *guest_of(struct MHD_Connection *connection)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    return info ? info->socket_context : NULL;
}

static enum MHD_Result send_events(nr_server *s, struct MHD_Connection *connection)
{
    const char *id = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Last-Event-ID");
    struct MHD_Response *r =
        nr_stream_begin(&s->streams, connection, nr_request_last_id(id, s->source.boot));
    nr_guest *guest = guest_of(connection);
    if (!r)
        return send_text(connection, 503, "too many are looking\n");
    if (guest)
        guest->listening = true;
    return send_response(connection, 200, r, "text/event-stream");
}

static enum MHD_Result send_page(nr_server *s, struct MHD_Connection *connection, nr_route route)
{
    switch (route) {
    case NR_ROUTE_PAGE:
        return send_file(connection, &nr_web_page, "text/html; charset=utf-8");
    case NR_ROUTE_SCRIPT:
        return send_file(connection, &nr_web_script, "text/javascript; charset=utf-8");
    case NR_ROUTE_STYLE:
        return send_file(connection, &nr_web_style, "text/css; charset=utf-8");
    case NR_ROUTE_ICON:
        return send_file(connection, &nr_web_icon, "image/svg+xml");
    default:
        return send_events(s, connection);
    }
}

/* A header that may be there once only is there twice: whoever reads the other one is fooled. */
typedef struct twice {
    const char *name;
    int count;
} twice;

static enum MHD_Result count_header(void *context, enum MHD_ValueKind kind, const char *name,
                                    const char *value)
{
    twice *t = context;
    (void)kind;
    (void)value;
    t->count += strcasecmp(name, t->name) == 0;
    return MHD_YES;
}

static bool is_doubled(struct MHD_Connection *connection)
{
    static const char *const once[] = {"Host", "Content-Length", "Origin", "Authorization",
                                       "Noonrun"};
    for (size_t i = 0; i < sizeof once / sizeof once[0]; i++) {
        twice t = {once[i], 0};
        MHD_get_connection_values(connection, MHD_HEADER_KIND, count_header, &t);
        if (t.count > 1)
            return true;
    }
    return false;
}

/* True when a refusal had better come before the body: it is not on its way yet, or it is more than
 * anybody will wait for. MHD closes such a connection. */
static bool refuse_now(struct MHD_Connection *connection, const char *length)
{
    long bytes;
    return MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Expect") ||
           (length && !nr_parse_long(length, 0, (long)READ_AND_LEFT, &bytes));
}

/* Only the headers are there yet. Most requests are answered when they are complete. */
static enum MHD_Result first_look(nr_server *s, struct MHD_Connection *connection, const char *url,
                                  const char *method, void **request)
{
    const enum MHD_ValueKind head = MHD_HEADER_KIND;
    nr_request r = {.method = method,
                    .path = url,
                    .host = MHD_lookup_connection_value(connection, head, "Host"),
                    .origin = MHD_lookup_connection_value(connection, head, "Origin"),
                    .authorization = MHD_lookup_connection_value(connection, head, "Authorization"),
                    .marker = MHD_lookup_connection_value(connection, head, "Noonrun"),
                    .length = MHD_lookup_connection_value(connection, head, "Content-Length")};
    nr_route route = NR_ROUTE_NONE; /* of a refused one nobody looks at it */
    unsigned status = is_doubled(connection) ? 400 : nr_request_judge(&r, &s->door->gate, &route);
    if (status != 200 && refuse_now(connection, r.length))
        return send_text(connection, status, why(status));
    body *b = calloc(1, sizeof *b);
    if (!b)
        return MHD_NO;
    b->route = route;
    b->status = status;
    *request = b;
    return MHD_YES;
}

static enum MHD_Result answer_whole(nr_server *s, struct MHD_Connection *connection, const body *b)
{
    if (b->status != 200)
        return send_text(connection, b->status, why(b->status));
    if (b->route == NR_ROUTE_NOTE || b->route == NR_ROUTE_PUMP || b->route == NR_ROUTE_TARGET)
        return write_body(s, connection, b);
    return send_page(s, connection, b->route);
}

enum MHD_Result nr_answer(void *context, struct MHD_Connection *connection, const char *url,
                          const char *method, const char *version, const char *data, size_t *size,
                          void **request)
{
    nr_server *s = context;
    body *b = *request;
    (void)version;
    if (!b)
        return first_look(s, connection, url, method, request);
    if (*size == 0)
        return answer_whole(s, connection, b);
    b->came += *size;
    if (b->came > READ_AND_LEFT) /* in pieces, without a length said before */
        return MHD_NO;
    size_t room = NR_REQUEST_BODY - b->length, n = *size < room ? *size : room;
    b->too_long = b->too_long || *size > room;
    memcpy(b->text + b->length, data, n);
    b->length += n;
    *size = 0;
    return MHD_YES;
}

void nr_answer_done(void *context, struct MHD_Connection *connection, void **request,
                    enum MHD_RequestTerminationCode how)
{
    nr_server *s = context;
    nr_guest *guest = guest_of(connection);
    (void)how;
    free(*request);
    *request = NULL;
    if (!guest)
        return;
    guest->listening = false;
    guest->since_s = s->now_s;
}

/* Our paths have nothing to decode: an escaped one is another path. */
size_t nr_answer_path(void *context, struct MHD_Connection *connection, char *text)
{
    (void)context;
    (void)connection;
    return strlen(text);
}

void nr_answer_guest(void *context, struct MHD_Connection *connection, void **out,
                     enum MHD_ConnectionNotificationCode what)
{
    nr_server *s = context;
    nr_guest *guest = *out;
    if (what == MHD_CONNECTION_NOTIFY_CLOSED) {
        if (guest)
            guest->fd = -1;
        *out = NULL;
        return;
    }
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    for (size_t i = 0; info && i < NR_SERVE_CLIENTS; i++)
        if (s->guest[i].fd < 0) {
            s->guest[i] = (nr_guest){.fd = info->connect_fd, .since_s = s->now_s};
            *out = &s->guest[i];
            return;
        }
}
