/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/serve/request.h"

#include "logger/base/text.h"

#include <arpa/inet.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

static const struct {
    const char *path;
    nr_route route;
    bool writes;
} routes[] = {
    {"/", NR_ROUTE_PAGE, false},          {"/page.js", NR_ROUTE_SCRIPT, false},
    {"/page.css", NR_ROUTE_STYLE, false}, {"/icon.svg", NR_ROUTE_ICON, false},
    {"/events", NR_ROUTE_EVENTS, false},  {"/note", NR_ROUTE_NOTE, true},
    {"/pump", NR_ROUTE_PUMP, true},       {"/target", NR_ROUTE_TARGET, true},
};
#define ROUTES (sizeof routes / sizeof routes[0])

/* --- whose words ---------------------------------------------------------------------------- */

/* Host without its port and brackets. False: it is not even shaped like one. */
static bool host_name(const char *host, char out[NR_HOST_NAME], bool *bracket)
{
    size_t n = 0;
    const char *rest;
    *bracket = host[0] == '[';
    if (*bracket) {
        n = strcspn(++host, "]");
        rest = host[n] ? host + n + 1 : "x";
    } else {
        n = strcspn(host, ":");
        rest = host + n;
    }
    if (n == 0 || n >= NR_HOST_NAME)
        return false;
    memcpy(out, host, n);
    out[n] = '\0';
    long port = 0;
    return !*rest || (*rest == ':' && nr_parse_long(rest + 1, 1, 65535, &port));
}

static bool is_local_name(const char *name, const nr_gate *gate)
{
    size_t n = strlen(gate->computer);
    if (strcasecmp(name, "localhost") == 0)
        return true;
    return n > 0 && strncasecmp(name, gate->computer, n) == 0 &&
           (name[n] == '\0' || strcasecmp(name + n, ".local") == 0);
}

bool nr_request_host_ok(const char *host, const nr_gate *gate)
{
    char name[NR_HOST_NAME];
    bool bracket;
    struct in_addr four;
    struct in6_addr six;
    if (!host || !host_name(host, name, &bracket))
        return false;
    if (bracket)
        return inet_pton(AF_INET6, name, &six) == 1 &&
               (!gate->loopback || IN6_IS_ADDR_LOOPBACK(&six));
    /* An address written as a number went past every name server. */
    if (inet_pton(AF_INET, name, &four) == 1)
        return !gate->loopback || ntohl(four.s_addr) >> 24 == 127;
    return is_local_name(name, gate);
}

static bool origin_ok(const nr_request *r)
{
    static const char scheme[] = "http://";
    size_t n = sizeof scheme - 1;
    return !r->origin || (strncmp(r->origin, scheme, n) == 0 &&
                          strcasecmp(r->origin + n, r->host ? r->host : "") == 0);
}

/* True when the request carries the token, or none is asked for. */
static bool may_write(const nr_request *r, const nr_gate *gate)
{
    static const char scheme[] = "Bearer ";
    size_t n = sizeof scheme - 1, length = strlen(gate->token);
    if (length == 0)
        return true;
    if (!r->authorization || strncmp(r->authorization, scheme, n) != 0 ||
        strlen(r->authorization + n) != length)
        return false;
    unsigned char differs = 0; /* in the same time wherever the first difference is */
    for (size_t i = 0; i < length; i++)
        differs |= (unsigned char)(r->authorization[n + i] ^ gate->token[i]);
    return differs == 0;
}

/* --- all of it ------------------------------------------------------------------------------ */

static unsigned judge_writing(const nr_request *r, const nr_gate *gate)
{
    long length = 0;
    if (strcmp(r->method, "POST") != 0)
        return 405;
    if (!r->marker || strcmp(r->marker, "1") != 0)
        return 403;
    if (!may_write(r, gate))
        return 401;
    if (!r->length)
        return 411;
    if (!nr_parse_long(r->length, 0, NR_REQUEST_BODY, &length))
        return 413;
    return 200;
}

unsigned nr_request_judge(const nr_request *r, const nr_gate *gate, nr_route *route)
{
    *route = NR_ROUTE_NONE;
    if (!nr_request_host_ok(r->host, gate))
        return 421;
    if (!origin_ok(r))
        return 403;
    size_t i = 0;
    while (i < ROUTES && strcmp(routes[i].path, r->path) != 0)
        i++;
    if (i == ROUTES)
        return 404;
    unsigned status = 200;
    bool get = strcmp(r->method, "GET") == 0;
    if (routes[i].writes)
        status = judge_writing(r, gate);
    else if (!get && (routes[i].route == NR_ROUTE_EVENTS || strcmp(r->method, "HEAD") != 0))
        status = 405;
    if (status == 200)
        *route = routes[i].route;
    return status;
}

unsigned long nr_request_last_id(const char *text, unsigned long boot)
{
    char *end;
    if (!text || *text < '0' || *text > '9' || strtoul(text, &end, 10) != boot || *end != '-' ||
        end[1] < '0' || end[1] > '9')
        return 0;
    unsigned long id = strtoul(end + 1, &end, 10);
    return *end ? 0 : id;
}

bool nr_request_note(const char *body, size_t length, char *out, size_t size)
{
    nr_clean(out, size, body, length);
    char *words = nr_trim(out);
    memmove(out, words, strlen(words) + 1);
    return out[0] != '\0';
}
