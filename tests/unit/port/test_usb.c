/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Serial adapters by what they say of themselves: libserialport is played by the test, so that
 * there are adapters. */
#include "logger/port/port.h"
#include "logger/port/usb.h"
#include "tests/unit/near.h"

#include <fcntl.h>
#include <glob.h>
#include <libserialport.h>
#include <unistd.h>

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
static size_t there = PORTS; /* how many of them are listed */
static int lists, frees;     /* given out and given back */

/* Whether there is a /sys/class/tty, and which device files there are. */
static bool no_sys;
static const char *const devices[] = {"/dev/ttyUSB0", "/dev/ttyUSB7", "/dev/ttyACM0",
                                      "/dev/ttyAMA0", "/dev/serial0", "/dev/serial1"};
#define DEVICES 6
static char *globbed[DEVICES];

int access(const char *path, int how)
{
    if (strcmp(path, "/sys/class/tty") != 0)
        return faccessat(AT_FDCWD, path, how, 0); /* of the system's own libraries */
    ck_assert_int_eq(how, R_OK | X_OK);
    return no_sys ? -1 : 0;
}

/* Such as the system makes of a name with signs in it: what fits, behind what was found before. */
int glob(const char *pattern, int flags, int (*failed)(const char *, int), glob_t *out)
{
    static const struct {
        const char *pattern;
        size_t from, to;
    } of[] = {{"/dev/ttyUSB*", 0, 2},
              {"/dev/ttyACM*", 2, 3},
              {"/dev/ttyAMA*", 3, 4},
              {"/dev/serial[0-9]*", 4, 6}};
    ck_assert(failed == NULL);
    if (!(flags & GLOB_APPEND))
        out->gl_pathc = 0;
    out->gl_pathv = globbed;
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        if (strcmp(of[i].pattern, pattern) == 0) {
            for (size_t k = of[i].from; k < of[i].to; k++)
                globbed[out->gl_pathc++] = (char *)(uintptr_t)devices[k];
            return 0;
        }
    ck_abort_msg("%s: no pattern of serial adapters", pattern);
    return GLOB_NOMATCH;
}

void globfree(glob_t *of)
{
    of->gl_pathc = 0;
}

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
    for (size_t i = 0; i <= PORTS; i++)
        list[i] = i < there ? &ports[i] : NULL;
    *out = list;
    lists += !no_list;
    return no_list ? SP_ERR_FAIL : SP_OK;
}

void sp_free_port_list(struct sp_port **list)
{
    frees += list != NULL;
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
              {"usb:0403", "/dev/ttyUSB2"},
              {"", NULL}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char path[40] = "x";
        ck_assert_msg(nr_usb_find(of[i].wanted, path, sizeof path) == (of[i].path != NULL), "%s",
                      of[i].wanted);
        if (of[i].path)
            ck_assert_str_eq(path, of[i].path);
    }
    char small[13];
    there = 5; /* the last of all is looked at too, and none behind it */
    ck_assert(nr_usb_find("usb:1A86:7523:AB1", small, 13));
    there = 4;
    ck_assert(!nr_usb_find("usb:1A86:7523:AB1", small, 13));
    there = PORTS;
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
    ck_assert(nr_ports_are_described());
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
    ck_assert_int_eq(lists, frees);
}
END_TEST

/* Where the system does not say what hangs on its ports, and where they cannot be listed: by their
 * names, in the order of the kinds, and no further than there is room. */
START_TEST(listed_by_name)
{
    static nr_port_found list[DEVICES + 2];
    for (int k = 0; k < 2; k++) {
        *(k ? &no_list : &no_sys) = true;
        ck_assert_int_eq(nr_ports_are_described(), k);
        for (size_t room = 0; room <= DEVICES + 1; room++) {
            bool by_name = false;
            memset(list, 'x', sizeof list);
            ck_assert_int_eq(nr_ports_list(list, room, &by_name), DEVICES);
            ck_assert(by_name);
            for (size_t i = 0; i < room && i < DEVICES; i++) {
                ck_assert_str_eq(list[i].path, devices[i]);
                ck_assert_str_eq(list[i].identity, "");
                ck_assert_str_eq(list[i].maker, "");
                ck_assert_str_eq(list[i].product, "");
            }
            for (size_t i = room < DEVICES ? room : DEVICES; i < DEVICES + 2; i++)
                ck_assert_int_eq(list[i].path[0], 'x');
        }
        no_list = no_sys = false;
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {identities_of, found, listed, listed_by_name, NULL};
    return run_tests("usb", tests);
}
