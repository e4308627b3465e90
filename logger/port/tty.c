/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any terminal device through termios: pseudo-terminals, and what libserialport does not know. */
#include "logger/port/baud.h"
#include "logger/port/port.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/file.h>
#include <termios.h>
#include <unistd.h>

static bool make_raw(int fd, speed_t speed)
{
    struct termios t;
    if (tcgetattr(fd, &t) < 0)
        return false;
    cfmakeraw(&t);
    t.c_cflag |= CLOCAL | CREAD;
    t.c_cflag &= ~(tcflag_t)(CRTSCTS | CSTOPB);
    t.c_cc[VMIN] = 0;
    t.c_cc[VTIME] = 0;
    return cfsetspeed(&t, speed) == 0 && tcsetattr(fd, TCSANOW, &t) == 0;
}

static nr_code tty_open(nr_port *port, const char *path, nr_err *err)
{
    speed_t speed = B115200;
    /* A pseudo-terminal has no speed: a rare rate in the rig does not matter there. */
    if (!nr_baud_find(port->settings.baud, &speed) && strncmp(path, "/dev/pts/", 9) != 0)
        return nr_fail(err, NR_BAD, path, 0, "baud rate %d is not one this device can have",
                       port->settings.baud);
    int fd = open(path, O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot open the port");
    if (!make_raw(fd, speed)) {
        int why = errno;
        close(fd);
        return nr_fail_errno(err, NR_BAD, path, why, "this is no serial port or terminal");
    }
    /* A second reader would steal bytes. Not TIOCEXCL: on a pseudo-terminal it stays behind when
     * its holder is killed, and locks out everybody but root until the other side closes. */
    if (flock(fd, LOCK_EX | LOCK_NB) < 0 && errno == EWOULDBLOCK) {
        close(fd);
        return nr_fail(err, NR_BAD, path, 0, "another noonlog is reading this port");
    }
    port->fd = fd;
    return NR_OK;
}

static nr_port_state tty_read(nr_port *port, char *to, size_t size, size_t *count)
{
    ssize_t n = read(port->fd, to, size);
    if (n > 0) {
        *count = (size_t)n;
        return NR_PORT_BYTES;
    }
    if (n < 0 && (errno == EAGAIN || errno == EINTR))
        return NR_PORT_NONE;
    /* With VMIN and VTIME zero a terminal that merely has nothing to say reads 0, and one that
     * was hung up reads 0 or EIO: poll tells which (nr_port_read is called after POLLIN too). */
    if (n == 0)
        return NR_PORT_NONE;
    port->lost_errno = errno == EIO ? 0 : errno;
    return NR_PORT_LOST;
}

static bool tty_write(nr_port *port, const char *bytes, size_t count)
{
    return write(port->fd, bytes, count) == (ssize_t)count;
}

static void tty_close(nr_port *port)
{
    close(port->fd);
}

const nr_port_kind nr_port_tty = {
    .name = "terminal", .open = tty_open, .read = tty_read, .write = tty_write, .close = tty_close};
