/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog ports: what can be recorded from. */
#include "logger/noonlog/commands.h"

#include "logger/base/text.h"
#include "logger/noonlog/option_rows.h"
#include "logger/port/port.h"

#include <jansson.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#define PORTS 64

/* What a device says of itself is data. */
static const char *clean(char *out, size_t size, const char *text)
{
    nr_clean(out, size, text, strlen(text));
    return out;
}

static void show_text(const nr_port_found *found, size_t count, bool described)
{
    char a[NR_PORT_PATH], b[NR_PORT_PATH], c[128], d[128];
    if (count == 0)
        puts("no serial port is there; is the adapter plugged in?");
    for (size_t i = 0; i < count; i++)
        printf("%-16s  %s  %s %s\n", clean(a, sizeof a, found[i].path),
               found[i].identity[0] ? clean(b, sizeof b, found[i].identity)
               : described          ? "not USB"
                                    : "not known",
               clean(c, sizeof c, found[i].maker), clean(d, sizeof d, found[i].product));
}

static int show_json(const nr_port_found *found, size_t count)
{
    char a[NR_PORT_PATH], b[NR_PORT_PATH], c[128], d[128];
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, json_pack("{s:s,s:s,s:s,s:s}", "path",
                                              clean(a, sizeof a, found[i].path), "identity",
                                              clean(b, sizeof b, found[i].identity), "maker",
                                              clean(c, sizeof c, found[i].maker), "product",
                                              clean(d, sizeof d, found[i].product)));
    json_t *top = json_pack("{s:o}", "ports", list);
    int failed = !top || json_dumpf(top, stdout, JSON_INDENT(2)) != 0;
    putchar('\n');
    json_decref(top);
    return failed ? NR_BAD : NR_OK;
}

typedef struct request {
    bool json;
} request;

static const nr_option own[] = {NR_ROW_JSON(request, json), {.kind = NR_OPTION_END}};

static const nr_option_group groups[] = {{own, 0}, {NULL, 0}};

static nr_code run(int argc, char **argv, nr_err *said);

const nr_command nr_cmd_ports = {
    .program = NR_PROGRAM,
    .name = "ports",
    .arguments = "",
    .summary = "serial ports there are, with their USB names",
    .about = "The serial ports there are. The USB identity in the second column can stand in "
             "rig.ini as `port`: the adapter is then found wherever it is plugged in.",
    .least = 0,
    .most = 0,
    .wants = "takes no arguments",
    .groups = groups,
    .run = run};

static int ports_run(int argc, char **argv)
{
    static nr_port_found found[PORTS];
    request q = {0};
    nr_words words;
    nr_err err;
    if (nr_command_read(&nr_cmd_ports, argc, argv, &q, &words, &err) != NR_OK)
        return nr_cmd_failed(&err);
    bool by_name = false;
    int count = nr_ports_list(found, PORTS, &by_name);
    if (by_name)
        fputs(NR_PROGRAM
              ": this system has no /sys/class/tty (sysfs is not mounted, a container?), "
              "which tells what hangs on a port: listed are devices named like serial "
              "adapters. Recording by path (port = /dev/ttyUSB0) works all the same, by "
              "USB identity (usb:...) it does not.\n",
              stderr);
    size_t shown = count < PORTS ? (size_t)count : PORTS;
    if (q.json)
        return show_json(found, shown);
    show_text(found, shown, !by_name);
    return NR_OK;
}

static nr_code run(int argc, char **argv, nr_err *said)
{
    (void)said; /* printed where it arose */
    return (nr_code)ports_run(argc, argv);
}
