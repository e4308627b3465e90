/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Real serial ports, through libserialport. */
#include "logger/port/port.h"

#include "logger/base/text.h"

#include <errno.h>
#include <libserialport.h>
#include <stdlib.h>

static nr_code refuse(const char *path, const char *what, nr_err *err)
{
    int why = sp_last_error_code();
    nr_code code = nr_fail_errno(err, NR_BAD, path, why, "%s", what);
    if (err && (why == EACCES || why == EPERM))
        return nr_fail(err, NR_BAD, path, 0,
                       "%s: no permission; `sudo usermod -aG dialout $USER` and a new login "
                       "give it",
                       what);
    return code;
}

static enum sp_return configure(struct sp_port *sp, int baud)
{
    struct {
        enum sp_return (*set)(struct sp_port *, int);
        int value;
    } steps[] = {{sp_set_baudrate, baud}, {sp_set_bits, 8}, {sp_set_stopbits, 1}};
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        enum sp_return r = steps[i].set(sp, steps[i].value);
        if (r != SP_OK)
            return r;
    }
    enum sp_return r = sp_set_parity(sp, SP_PARITY_NONE);
    return r == SP_OK ? sp_set_flowcontrol(sp, SP_FLOWCONTROL_NONE) : r;
}

static nr_code serial_open(nr_port *port, const char *path, nr_err *err)
{
    struct sp_port *sp = NULL;
    if (sp_get_port_by_name(path, &sp) != SP_OK)
        return refuse(path, "cannot find the port", err);
    nr_code code = NR_OK;
    if (sp_open(sp, SP_MODE_READ_WRITE) != SP_OK) {
        code = refuse(path, "cannot open the port", err);
        sp_free_port(sp);
        return code;
    }
    int fd = -1;
    if (configure(sp, port->settings.baud) != SP_OK)
        code = refuse(path, "cannot set the port's baud rate", err);
    else if (sp_get_port_handle(sp, &fd) != SP_OK)
        code = refuse(path, "cannot wait on the port", err);
    if (code != NR_OK) {
        sp_close(sp);
        sp_free_port(sp);
        return code;
    }
    const char *product = sp_get_port_usb_product(sp);
    if (product && *product)
        nr_copy(port->name, sizeof port->name, product);
    port->handle = sp;
    port->fd = fd;
    return NR_OK;
}

static nr_port_state serial_read(nr_port *port, char *to, size_t size, size_t *count)
{
    enum sp_return n = sp_nonblocking_read(port->handle, to, size);
    if (n > 0) {
        *count = (size_t)n;
        return NR_PORT_BYTES;
    }
    if (n == 0)
        return NR_PORT_NONE;
    port->lost_errno = sp_last_error_code();
    if (port->lost_errno == EIO)
        port->lost_errno = 0;
    return NR_PORT_LOST;
}

static bool serial_write(nr_port *port, const char *bytes, size_t count)
{
    return sp_nonblocking_write(port->handle, bytes, count) == (int)count;
}

static void serial_close(nr_port *port)
{
    sp_close(port->handle);
    sp_free_port(port->handle);
    port->handle = NULL;
}

const nr_port_kind nr_port_serial = {.name = "serial",
                                     .open = serial_open,
                                     .read = serial_read,
                                     .write = serial_write,
                                     .close = serial_close};
