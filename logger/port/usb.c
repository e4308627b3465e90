/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/port/usb.h"

#include "logger/base/text.h"
#include "logger/port/port.h"

#include <libserialport.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

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

int nr_ports_list(nr_port_found *found, size_t size, nr_err *err)
{
    struct sp_port **list = NULL;
    if (sp_list_ports(&list) != SP_OK) {
        nr_fail(err, NR_BAD, NULL, 0, "cannot list the serial ports");
        return -1;
    }
    int count = 0;
    for (size_t i = 0; list[i]; i++, count++)
        if (i < size)
            describe(list[i], &found[i]);
    sp_free_port_list(list);
    return count;
}
