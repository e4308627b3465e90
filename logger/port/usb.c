/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/port/usb.h"

#include "logger/base/text.h"
#include "logger/port/port.h"

#include <glob.h>
#include <libserialport.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

bool nr_usb_is_serial(const char *path)
{
    struct sp_port *port = NULL;
    if (sp_get_port_by_name(path, &port) != SP_OK)
        return false;
    sp_free_port(port);
    return true;
}

static bool identity_of(const struct sp_port *port, char *out, size_t size)
{
    int vid = 0, pid = 0;
    out[0] = '\0';
    if (sp_get_port_transport(port) != SP_TRANSPORT_USB ||
        sp_get_port_usb_vid_pid(port, &vid, &pid) != SP_OK)
        return false;
    const char *serial = sp_get_port_usb_serial(port);
    snprintf(out, size, "usb:%04X:%04X%s%s", (unsigned)vid, (unsigned)pid,
             serial && *serial ? ":" : "", serial ? serial : "");
    return true;
}

bool nr_usb_identity(const char *path, char *out, size_t size)
{
    struct sp_port *port = NULL;
    out[0] = '\0';
    if (sp_get_port_by_name(path, &port) != SP_OK)
        return false;
    bool found = identity_of(port, out, size);
    sp_free_port(port);
    return found;
}

/* The wanted identity is the found one, or its beginning up to a colon. */
static bool matches(const char *wanted, const char *found)
{
    size_t length = strlen(wanted);
    return strncasecmp(wanted, found, length) == 0 &&
           (found[length] == '\0' || found[length] == ':');
}

bool nr_usb_find(const char *identity, char *path, size_t size)
{
    struct sp_port **list = NULL;
    if (sp_list_ports(&list) != SP_OK)
        return false;
    bool found = false;
    for (size_t i = 0; list[i] && !found; i++) {
        char seen[NR_PORT_PATH];
        found = identity_of(list[i], seen, sizeof seen) && matches(identity, seen) &&
                nr_copy(path, size, sp_get_port_name(list[i]));
    }
    sp_free_port_list(list);
    return found;
}

static void describe(const struct sp_port *port, nr_port_found *out)
{
    memset(out, 0, sizeof *out);
    nr_copy(out->path, sizeof out->path, sp_get_port_name(port));
    if (!identity_of(port, out->identity, sizeof out->identity))
        return;
    const char *maker = sp_get_port_usb_manufacturer(port);
    const char *product = sp_get_port_usb_product(port);
    nr_copy(out->maker, sizeof out->maker, maker ? maker : "");
    nr_copy(out->product, sizeof out->product, product ? product : "");
}

bool nr_ports_are_described(void)
{
    return access("/sys/class/tty", R_OK | X_OK) == 0;
}

static int list_by_name(nr_port_found *found, size_t size)
{
    /* USB adapters and modems, and the first UART of small boards. */
    static const char *const patterns[] = {"/dev/ttyUSB*", "/dev/ttyACM*", "/dev/ttyAMA*",
                                           "/dev/serial[0-9]*"};
    glob_t names = {0};
    for (size_t i = 0; i < sizeof patterns / sizeof patterns[0]; i++)
        glob(patterns[i], i > 0 ? GLOB_APPEND : 0, NULL, &names);
    size_t count = names.gl_pathc;
    for (size_t i = 0; i < count && i < size; i++) {
        memset(&found[i], 0, sizeof found[i]);
        nr_copy(found[i].path, sizeof found[i].path, names.gl_pathv[i]);
    }
    globfree(&names);
    return (int)count;
}

int nr_ports_list(nr_port_found *found, size_t size, bool *by_name)
{
    struct sp_port **list = NULL;
    *by_name = !nr_ports_are_described() || sp_list_ports(&list) != SP_OK;
    if (*by_name)
        return list_by_name(found, size);
    int count = 0;
    for (size_t i = 0; list[i]; i++, count++)
        if (i < size)
            describe(list[i], &found[i]);
    sp_free_port_list(list);
    return count;
}
