/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a hostile client sends to the live page: lines of method, path, host, origin, authorization,
 * marker, length, last event id; the rest is a note's body. */
#include "logger/serve/request.h"
#include "tests/fuzz/fuzz.h"

#define LINES 8

static const nr_gate gates[] = {
    {.computer = "stand", .loopback = true},
    {.token = "0123456789abcdef0123456789abcdef", .computer = "stand"},
};

/* Whoever may write came under a name of ours, marked, and with the token where one is asked for.
 */
static void promise_judgement(const nr_request *r, const nr_gate *gate)
{
    nr_route route;
    unsigned status = nr_request_judge(r, gate, &route);
    PROMISE(status == 200 || (status >= 400 && status < 500));
    PROMISE((status == 200) == (route != NR_ROUTE_NONE));
    if (status != 200)
        return;
    PROMISE(nr_request_host_ok(r->host, gate));
    PROMISE(!r->origin || strlen(r->origin) == strlen(r->host) + 7);
    if (route >= NR_ROUTE_NOTE) {
        PROMISE(strcmp(r->method, "POST") == 0 && strcmp(r->marker, "1") == 0);
        PROMISE(!gate->token[0] || strcmp(r->authorization + 7, gate->token) == 0);
        PROMISE(atol(r->length) >= 0 && atol(r->length) <= NR_REQUEST_BODY);
    }
}

static void promise_note(const char *body, size_t length)
{
    char out[NR_REQUEST_BODY + 4];
    length = length < NR_REQUEST_BODY ? length : NR_REQUEST_BODY;
    if (!nr_request_note(body, length, out, sizeof out))
        return;
    PROMISE(out[0] && out[0] != ' ' && strlen(out) <= length);
    promise_clean(out);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1), *rest = text, *line[LINES] = {NULL};
    if (!text)
        return 0;
    memcpy(text, data, size);
    text[size] = '\0';
    for (int i = 0; i < LINES && rest; i++) {
        line[i] = strsep(&rest, "\n");
        if (i > 1 && strcmp(line[i], "-") == 0) /* not there */
            line[i] = NULL;
    }
    nr_request r = {line[0] ? line[0] : "",
                    line[1] ? line[1] : "",
                    line[2],
                    line[3],
                    line[4],
                    line[5],
                    line[6]};
    for (int i = 0; i < 2; i++)
        promise_judgement(&r, &gates[i]);
    nr_request_last_id(line[7], 77);
    if (rest)
        promise_note(rest, size - (size_t)(rest - text));
    free(text);
    return 0;
}
