/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noonlog ports: what can be recorded from. */
#include "logger/noonlog/commands.h"

#include "logger/base/text.h"
#include "logger/port/port.h"

#include <getopt.h>
#include <jansson.h>
#include <stdio.h>
#include <string.h>

#define PORTS 64

/* What a device says of itself is data. */
static const char *clean(char *out, size_t size, const char *text)
{
    nr_clean(out, size, text, strlen(text));
    return out;
}

static void show_text(const nr_port_found *found, size_t count)
{
    char a[NR_PORT_PATH], b[NR_PORT_PATH], c[128], d[128];
    if (count == 0)
        puts("no serial port is there; is the adapter plugged in?");
    for (size_t i = 0; i < count; i++)
        printf("%-16s  %s  %s %s\n", clean(a, sizeof a, found[i].path),
               found[i].identity[0] ? clean(b, sizeof b, found[i].identity) : "not USB",
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

int nr_cmd_ports(int argc, char **argv)
{
    static const struct option options[] = {
        {"json", no_argument, NULL, 'j'}, {"help", no_argument, NULL, 'h'}, {NULL, 0, NULL, 0}};
    static nr_port_found found[PORTS];
    bool json = false;
    nr_err err;
    for (int c = 0; (c = getopt_long(argc, argv, "", options, NULL)) != -1;) {
        if (c == 'h') {
            puts("noonlog ports [--json]   serial ports there are. The USB identity in the second "
                 "column can stand\nin rig.ini as `port`: the adapter is then found wherever it "
                 "is plugged in.");
            return NR_OK;
        }
        if (c != 'j')
            return NR_BAD;
        json = true;
    }
    if (optind != argc)
        return nr_cmd_usage("ports", "takes no arguments");
    int count = nr_ports_list(found, PORTS, &err);
    if (count < 0)
        return nr_cmd_failed(&err);
    size_t shown = count < PORTS ? (size_t)count : PORTS;
    if (json)
        return show_json(found, shown);
    show_text(found, shown);
    return NR_OK;
}
