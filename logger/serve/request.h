/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a request may have: decided from its words alone. Pure; fuzzed.
 *
 * A browser on the same network or the same computer can be made to send anything by any page it
 * shows. So:
 * - Host has to be an address of ours as a number, `localhost`, or this computer's name: a name
 * that somebody else's server gives out for our address (DNS rebinding) is refused with 421;
 * - Origin, where there is one, has to be the page we served (403);
 * - what writes needs the header `Noonrun: 1`, which no foreign page can send without being asked
 *   first and refused, and, unless only this computer can reach us, the token of the door.
 */
#ifndef NR_SERVE_REQUEST_H
#define NR_SERVE_REQUEST_H

#include <stdbool.h>
#include <stddef.h>

/* Most bytes of a body: a note. */
#define NR_REQUEST_BODY 400
#define NR_TOKEN 40
#define NR_HOST_NAME 80

typedef enum nr_route {
    NR_ROUTE_NONE,
    NR_ROUTE_PAGE,
    NR_ROUTE_SCRIPT,
    NR_ROUTE_STYLE,
    NR_ROUTE_ICON,
    NR_ROUTE_EVENTS,
    NR_ROUTE_NOTE,  /* body: the words */
    NR_ROUTE_PUMP,  /* body: on or off */
    NR_ROUTE_TARGET /* body: a temperature as for --target; empty: none */
} nr_route;

/* As they came; NULL: not there. */
typedef struct nr_request {
    const char *method, *path, *host, *origin, *authorization, *marker, *length;
} nr_request;

/* Who may do what. */
typedef struct nr_gate {
    char token[NR_TOKEN];        /* "" : everybody who can reach us may write */
    char computer[NR_HOST_NAME]; /* this computer's name, "" not known */
    bool loopback;               /* only loopback addresses are ours */
} nr_gate;

/* HTTP status: 200, or what to refuse with; *route says what for. */
unsigned nr_request_judge(const nr_request *request, const nr_gate *gate, nr_route *route);

/* Is a Host header (with or without port) ours? */
bool nr_request_host_ok(const char *host, const nr_gate *gate);

/* "BOOT-N" of Last-Event-ID -> N; 0 when it is of another start of the server, or nonsense. */
unsigned long nr_request_last_id(const char *text, unsigned long boot);

/* A note's words out of a body: clean and trimmed. False: nothing is left. out: size > length. */
bool nr_request_note(const char *body, size_t length, char *out, size_t size);

#endif
