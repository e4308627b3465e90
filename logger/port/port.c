/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/port/port.h"

#include "logger/base/text.h"
#include "logger/port/tcp.h"
#include "logger/port/usb.h"

#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

void nr_port_init(nr_port *port, const nr_port_settings *settings)
{
    memset(port, 0, sizeof *port);
    port->settings = *settings;
    port->fd = -1;
    port->may_wait = true;
    if (strncmp(settings->path, "usb:", 4) == 0)
        nr_copy(port->identity, sizeof port->identity, settings->path);
}

/* Names are given out in the order of plugging in: under the path of a device that was unplugged
 * there may now be another one, with other sensors. */
static nr_code refuse_stranger(const nr_port *port, nr_err *err)
{
    char found[NR_PORT_PATH];
    nr_usb_identity(port->path, found, sizeof found);
    if (!port->identity[0] || strcmp(found, port->identity) == 0)
        return NR_OK;
    return nr_fail(err, NR_BAD, port->path, 0, "another device (%s) is there now; waiting for %s",
                   found[0] ? found : "not USB", port->identity);
}

/* The device's real path: where the known identity is now, else where the link points. */
static nr_code locate(nr_port *port, nr_err *err)
{
    char real[PATH_MAX];
    if (nr_tcp_is(port->settings.path)) {
        if (port->settings.polled)
            return nr_fail(err, NR_BAD, port->settings.path, 0,
                           "kind = modbus polls a serial bus; over tcp: come lines only");
        nr_copy(port->path, sizeof port->path, port->settings.path);
        return NR_OK;
    }
    if (port->identity[0] && nr_usb_find(port->identity, port->path, sizeof port->path))
        return NR_OK;
    if (strncmp(port->settings.path, "usb:", 4) == 0)
        return nr_fail(err, NR_BAD, port->settings.path, 0, "%s",
                       nr_ports_are_described()
                           ? "no port with this USB identity; `noonlog ports` lists those there are"
                           : "this system does not say what hangs on its ports (there is no "
                             "/sys/class/tty); name the device instead, /dev/ttyUSB0 for example");
    if (!realpath(port->settings.path, real))
        return errno == ENOENT
                   ? nr_fail(err, NR_BAD, port->settings.path, 0,
                             "cannot open the port: it is not there; is the adapter plugged in? "
                             "`noonlog ports` lists those there are")
                   : nr_fail_errno(err, NR_BAD, port->settings.path, errno, "cannot open the port");
    if (!nr_copy(port->path, sizeof port->path, real))
        return nr_fail(err, NR_BAD, port->settings.path, 0, "the port's path is too long");
    return refuse_stranger(port, err);
}

nr_code nr_port_open(nr_port *port, nr_err *err)
{
    nr_port_close(port);
    nr_code code = locate(port, err);
    if (code != NR_OK)
        return code;
    nr_copy(port->name, sizeof port->name, port->path);
    const nr_port_kind *kind = &nr_port_modbus;
    if (nr_tcp_is(port->path))
        kind = &nr_port_tcp;
    else if (!port->settings.polled)
        kind = nr_usb_is_serial(port->path) ? &nr_port_serial : &nr_port_tty;
    port->lost_errno = 0;
    code = kind->open(port, port->path, err);
    if (code != NR_OK)
        return code;
    port->kind = kind;
    if (!port->identity[0] && kind != &nr_port_tcp)
        nr_usb_identity(port->path, port->identity, sizeof port->identity);
    return NR_OK;
}

nr_port_state nr_port_read(nr_port *port, char *to, size_t size, size_t *count)
{
    if (!port->kind)
        return NR_PORT_LOST;
    return port->kind->read(port, to, size, count);
}

bool nr_port_write(nr_port *port, const char *bytes, size_t count)
{
    return port->kind && port->kind->write && port->kind->write(port, bytes, count);
}

void nr_port_close(nr_port *port)
{
    if (port->kind)
        port->kind->close(port);
    port->kind = NULL;
    port->fd = -1;
}

void nr_port_end(nr_port *port)
{
    nr_port_close(port);
    nr_tcp_forget(port);
}
