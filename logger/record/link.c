/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/record/link.h"

#include "logger/base/text.h"
#include "logger/port/tcp.h"
#include "logger/record/sampler.h"

#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* A replugged USB adapter needs a second or so to come back; a port that stays away is looked for
 * every few seconds, which costs nothing that can be measured. */
static const double first_backoff_s = 0.25;
static const double last_backoff_s = 5;
/* Before silence or nonsense is spoken of. */
static const double patience_s = 5;
/* The same trouble of a polled bus is noted again after this long. */
static const double bus_again_s = 600;
#define READ_SIZE 4096
#define READS_AT_ONCE 16

static void tell(nr_link *link, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void tell(nr_link *link, const char *format, ...)
{
    char text[600];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    link->user.news(link->user.context, NR_NOTE_PORT, text);
}

static void settings_of(const nr_rig *rig, size_t adapter, nr_port_settings *out)
{
    const nr_rig_adapter *from = &rig->adapter[adapter];
    memset(out, 0, sizeof *out);
    nr_copy(out->path, sizeof out->path, from->port);
    out->baud = from->baud;
    out->polled = from->kind == NR_ADAPTER_MODBUS;
    out->parity = from->parity;
    out->interval_s = from->interval_s;
    for (size_t c = 0; c < rig->channels && out->polled; c++) {
        const nr_rig_channel *channel = &rig->channel[c];
        if (nr_sampler_adapter_of(rig, channel) != adapter || out->points == NR_PORT_POINTS)
            continue;
        nr_port_point *point = &out->point[out->points++];
        nr_copy(point->field, sizeof point->field, nr_sampler_field(rig, channel));
        point->unit = nr_sampler_unit(channel);
        point->address = channel->modbus_register;
        nr_copy(point->type, sizeof point->type, nr_sampler_type(channel));
    }
}

void nr_link_init(nr_link *link, const nr_rig *rig, size_t adapter, const nr_link_user *user)
{
    nr_port_settings settings;
    memset(link, 0, sizeof *link);
    link->rig = &rig->adapter[adapter];
    link->adapter = adapter;
    link->user = *user;
    link->backoff_s = first_backoff_s;
    settings_of(rig, adapter, &settings);
    nr_port_init(&link->port, &settings);
    nr_lines_init(&link->lines);
}

nr_code nr_link_open(nr_link *link, double now_s, nr_err *err)
{
    nr_err own;
    nr_code code = nr_port_open(&link->port, &own);
    if (code != NR_OK) {
        if (code == NR_CANNOT) { /* still connecting: that is no news */
            link->retry_at_s = now_s + first_backoff_s;
            link->was_connecting = true;
            if (err)
                *err = own;
            return code;
        }
        link->retry_at_s = now_s + link->backoff_s;
        link->backoff_s = fmin(2 * link->backoff_s, last_backoff_s);
        if (err)
            *err = own;
        if ((link->was_up || link->was_connecting) && strcmp(own.text, link->told_failure) != 0)
            tell(link, "waiting for the port: %s: %s", own.file, own.text);
        nr_copy(link->told_failure, sizeof link->told_failure, own.text);
        return code;
    }
    link->state = NR_LINK_UP;
    link->up_at_s = link->heard_at_s = link->good_at_s = now_s;
    link->good = link->bad = 0;
    link->told_silent = link->told_nonsense = false;
    link->told_failure[0] = '\0';
    if (link->was_up)
        tell(link, "port found again after %.1f s: %s%s%s", now_s - link->lost_at_s,
             link->port.path, link->port.identity[0] ? ", " : "", link->port.identity);
    link->was_up = true;
    return NR_OK;
}

static void pass_line(void *context, const nr_wire_line *line)
{
    nr_link *link = context;
    link->user.line(link->user.context, link->adapter, line);
}

static void lose(nr_link *link, double now_s)
{
    const char *gone = nr_tcp_is(link->port.path) ? "closed by the other side" : "unplugged";
    const char *why = link->port.lost_errno ? strerror(link->port.lost_errno) : gone;
    nr_lines_restart(&link->lines, pass_line, link);
    tell(link, "port lost (%s): %s", why, link->port.path);
    nr_port_close(&link->port);
    link->state = NR_LINK_DOWN;
    link->lost_at_s = now_s;
    link->backoff_s = first_backoff_s;
    link->retry_at_s = now_s + first_backoff_s;
}

void nr_link_read(nr_link *link, double now_s, bool hung_up)
{
    char bytes[READ_SIZE];
    size_t count = 0;
    nr_port_state state = NR_PORT_BYTES;
    for (int i = 0; i < READS_AT_ONCE && state == NR_PORT_BYTES; i++) {
        state = nr_port_read(&link->port, bytes, sizeof bytes, &count);
        if (state != NR_PORT_BYTES)
            break;
        link->heard_at_s = now_s;
        if (link->told_silent)
            tell(link, "%s is heard again", link->port.path);
        link->told_silent = false;
        nr_lines_feed(&link->lines, bytes, count, pass_line, link);
    }
    if (state == NR_PORT_LOST || (hung_up && state == NR_PORT_NONE))
        lose(link, now_s);
}

/* A polled bus says in remarks of its own what went wrong with an answer: a person should know, but
 * not at every poll. */
static void hear_remark(nr_link *link, const nr_wire_line *line, double now_s)
{
    static const char mark[] = "# bus: ";
    char text[sizeof link->told_bus];
    if (link->rig->kind != NR_ADAPTER_MODBUS || line->length < sizeof mark ||
        memcmp(line->text, mark, sizeof mark - 1) != 0)
        return;
    nr_clean(text, sizeof text, line->text + sizeof mark - 1, line->length - (sizeof mark - 1));
    if (strcmp(text, link->told_bus) == 0 && now_s - link->told_bus_at_s < bus_again_s)
        return;
    nr_copy(link->told_bus, sizeof link->told_bus, text);
    link->told_bus_at_s = now_s;
    tell(link, "%s: %s", link->port.path, text);
}

void nr_link_judged(nr_link *link, nr_line_fault fault, const nr_wire_line *line, double now_s)
{
    if (fault == NR_LINE_GOOD) {
        link->good++;
        link->good_at_s = now_s;
        link->backoff_s = first_backoff_s;
        if (link->told_nonsense)
            tell(link, "%s: lines can be read again", link->port.path);
        link->told_nonsense = false;
        return;
    }
    if (fault == NR_LINE_COMMENT)
        hear_remark(link, line, now_s);
    bool polled = link->rig->kind == NR_ADAPTER_MODBUS; /* its comments say what is wrong */
    if ((fault == NR_LINE_COMMENT && !polled) || fault == NR_LINE_EMPTY) {
        link->good_at_s = now_s; /* no reading, but no nonsense either */
        return;
    }
    link->bad++;
    link->last_fault = fault;
    nr_clean(link->last_bad, sizeof link->last_bad, line->text, line->length);
}

/* Mostly letters and digits: then it is text, and not the noise of a wrong baud rate. */
static bool looks_like_text(const char *text)
{
    size_t plain = 0, all = strlen(text);
    for (size_t i = 0; i < all; i++)
        if ((unsigned char)text[i] > 0x20 && (unsigned char)text[i] < 0x7f && text[i] != '?')
            plain++;
    return all > 0 && plain * 10 >= all * 8;
}

static void tell_nonsense(nr_link *link)
{
    int other = link->rig->baud == 9600 ? 115200 : 9600;
    bool text = looks_like_text(link->last_bad);
    if (link->rig->kind == NR_ADAPTER_MODBUS) {
        tell(link, "%s: %s; wiring, addresses, baud rate %d, parity?", link->port.path,
             link->last_bad + strspn(link->last_bad, "# "), link->rig->baud);
        return;
    }
    if (link->last_fault == NR_LINE_NO_CHECKSUM && text)
        tell(link, "lines arrive, but without the checksum *HH that the rig asks for: \"%s\"",
             link->last_bad);
    else if (text && link->bad > 0)
        tell(link, "lines arrive, but none gives a reading (%s): \"%s\"",
             nr_line_fault_text(link->last_fault), link->last_bad);
    else if (nr_tcp_is(link->port.path))
        tell(link, "bytes arrive but no line parses: is it the right address, and is the baud rate "
                   "of a serial server that of its adapter?");
    else if (link->good > 0)
        tell(link,
             "bytes arrive but lines can no longer be read: a loose wire, a disturbed cable?");
    else
        tell(link,
             "bytes arrive but no line parses: is the baud rate really %d? Many adapters use %d",
             link->rig->baud, other);
}

void nr_link_tick(nr_link *link, double now_s)
{
    if (link->state == NR_LINK_DOWN) {
        if (now_s >= link->retry_at_s)
            nr_link_open(link, now_s, NULL);
        return;
    }
    double patience = fmax(patience_s, 5 * link->rig->interval_s);
    if (!link->told_silent && now_s - link->heard_at_s > patience) {
        link->told_silent = true;
        tell(link, "nothing has arrived from %s for %.0f s: is the adapter powered and sending?",
             link->port.path, now_s - link->heard_at_s);
    }
    if (!link->told_nonsense && !link->told_silent && now_s - link->good_at_s > patience &&
        link->heard_at_s > link->good_at_s) {
        link->told_nonsense = true;
        tell_nonsense(link);
    }
}

void nr_link_close(nr_link *link)
{
    nr_lines_restart(&link->lines, pass_line, link);
    nr_port_end(&link->port);
    link->state = NR_LINK_DOWN;
}
