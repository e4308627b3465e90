/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Serial adapters by what they say of themselves: libserialport is played by the test, so that
 * there are adapters. */
#include "logger/port/port.h"
#include "logger/port/usb.h"
#include "tests/unit/near.h"

#include <libserialport.h>

struct sp_port {
    const char *name, *maker, *product, *serial;
    int vid, pid; /* 0: no USB device; -1: it does not say */
};

static struct sp_port ports[] = {{"/dev/ttyS0", NULL, NULL, NULL, 0, 0},
                                 {"/dev/ttyUSB0", "maker", "product", "AB12", 0x1a86, 0x7523},
                                 {"/dev/ttyUSB1", NULL, NULL, NULL, 0x1a86, 0x7523},
                                 {"/dev/ttyUSB2", "other", NULL, "", 0x0403, 0x60},
                                 {"/dev/ttyUSB3", NULL, "thing", "AB1", 0x1a86, 0x7523},
                                 {"/dev/ttyACM0", "mute", "mute", "mute", -1, -1}};
#define PORTS 6

static bool no_list;

enum sp_return sp_get_port_by_name(const char *name, struct sp_port **out)
{
    for (size_t i = 0; i < PORTS; i++)
        if (strcmp(ports[i].name, name) == 0) {
            *out = &ports[i];
            return SP_OK;
        }
    return SP_ERR_ARG;
}

void sp_free_port(struct sp_port *port)
{
    (void)port;
}

enum sp_return sp_list_ports(struct sp_port ***out)
{
    static struct sp_port *list[PORTS + 1];
    for (size_t i = 0; i < PORTS; i++)
        list[i] = &ports[i];
    *out = list;
    return no_list ? SP_ERR_FAIL : SP_OK;
}

void sp_free_port_list(struct sp_port **list)
{
    (void)list;
}

char *sp_get_port_name(const struct sp_port *port)
{
    return (char *)(uintptr_t)port->name;
}

enum sp_transport sp_get_port_transport(const struct sp_port *port)
{
    return port->vid ? SP_TRANSPORT_USB : SP_TRANSPORT_NATIVE;
}

enum sp_return sp_get_port_usb_vid_pid(const struct sp_port *port, int *vid, int *pid)
{
    *vid = port->vid;
    *pid = port->pid;
    return port->vid > 0 ? SP_OK : SP_ERR_SUPP;
}

char *sp_get_port_usb_serial(const struct sp_port *port)
{
    return (char *)(uintptr_t)port->serial;
}

char *sp_get_port_usb_manufacturer(const struct sp_port *port)
{
    return (char *)(uintptr_t)port->maker;
}

char *sp_get_port_usb_product(const struct sp_port *port)
{
    return (char *)(uintptr_t)port->product;
}

static const char *const identities[PORTS] = {
    "", "usb:1A86:7523:AB12", "usb:1A86:7523", "usb:0403:0060", "usb:1A86:7523:AB1", ""};

START_TEST(identities_of)
{
    for (size_t i = 0; i < PORTS; i++) {
        char out[80] = "x";
        ck_assert_int_eq(nr_usb_identity(ports[i].name, out, sizeof out), identities[i][0] != '\0');
        ck_assert_str_eq(out, identities[i]);
        ck_assert(nr_usb_is_serial(ports[i].name));
    }
    char out[80] = "x";
    ck_assert(!nr_usb_identity("/dev/null", out, sizeof out));
    ck_assert_str_eq(out, "");
    ck_assert(!nr_usb_is_serial("/dev/null"));
}
END_TEST

/* By all of it, or by its beginning up to a colon; the first that fits. */
START_TEST(found)
{
    static const struct {
        const char *wanted, *path;
    } of[] = {{"usb:1A86:7523", "/dev/ttyUSB0"},
              {"usb:1a86:7523:ab12", "/dev/ttyUSB0"},
              {"usb:1A86:7523:AB1", "/dev/ttyUSB3"},
              {"usb:1A86", "/dev/ttyUSB0"},
              {"usb:0403:0060", "/dev/ttyUSB2"},
              {"usb:0403:006", NULL},
              {"usb:1A86:7523:AB123", NULL},
              {"usb:1A86:7523:A", NULL},
              {"usb:1A87:7523", NULL},
              {"", NULL}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char path[40] = "x";
        ck_assert_msg(nr_usb_find(of[i].wanted, path, sizeof path) == (of[i].path != NULL), "%s",
                      of[i].wanted);
        if (of[i].path)
            ck_assert_str_eq(path, of[i].path);
    }
    char small[13];
    ck_assert(nr_usb_find("usb:0403:0060", small, 13)); /* twelve letters and their end */
    ck_assert(!nr_usb_find("usb:0403:0060", small, 12));
    no_list = true;
    ck_assert(!nr_usb_find("usb:0403:0060", small, 13));
    no_list = false;
}
END_TEST

START_TEST(listed)
{
    static nr_port_found list[PORTS + 1];
    bool by_name = true;
    if (!nr_ports_are_described())
        return; /* no /sys: they are listed by their names alone */
    for (size_t room = 0; room <= PORTS + 1; room++) {
        memset(list, 'x', sizeof list);
        ck_assert_int_eq(nr_ports_list(list, room, &by_name), PORTS);
        ck_assert(!by_name);
        for (size_t i = 0; i < room && i < PORTS; i++) {
            bool told = identities[i][0];
            ck_assert_str_eq(list[i].path, ports[i].name);
            ck_assert_str_eq(list[i].identity, identities[i]);
            ck_assert_str_eq(list[i].maker, told && ports[i].maker ? ports[i].maker : "");
            ck_assert_str_eq(list[i].product, told && ports[i].product ? ports[i].product : "");
        }
        if (room < PORTS + 1)
            ck_assert_int_eq(list[room].path[0], 'x'); /* no further than there is room */
    }
    no_list = true;
    nr_ports_list(list, PORTS, &by_name);
    ck_assert(by_name);
    no_list = false;
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {identities_of, found, listed, NULL};
    return run_tests("usb", tests);
}
