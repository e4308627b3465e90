/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Modbus RTU, polled: libmodbus asks, and the answers become a text line of pairs, so that
 * adapter.log, rebuild and everything behind it are the same as for an adapter that talks by
 * itself. The numbers in the line are the registers' own, not yet scaled.
 *
 * libmodbus waits for each answer (or half a second for none), so the polling (modbus_poll.h) has a
 * thread of its own and hands its lines through a pipe that the recorder waits on like on any port.
 * A register that does not answer is an empty field; when none does, the line is a comment that
 * says so.
 */
#include "logger/port/modbus_poll.h"
#include "logger/port/port.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <modbus.h>
#include <poll.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <time.h>
#include <unistd.h>

typedef struct bus {
    modbus_t *modbus;
    nr_modbus_poll *poll;
    pthread_t thread;
    int wake;  /* eventfd: told to end */
    int lines; /* the pipe's writing end */
    const nr_port_settings *settings;
} bus;

/* Waits until the next poll is due. False: told to end. */
static bool wait_until(const bus *b, double due_s)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    double wait_s = due_s - (double)now.tv_sec - (double)now.tv_nsec * 1e-9;
    struct pollfd p = {.fd = b->wake, .events = POLLIN};
    int ms = wait_s <= 0 ? 0 : (int)ceil(wait_s * 1000);
    return poll(&p, 1, ms) == 0;
}

static double steady_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static bool send_line(const bus *b, const char *line)
{
    char with_end[NR_MODBUS_LINE + 1];
    int n = snprintf(with_end, sizeof with_end, "%s\n", line);
    /* A pipe takes up to PIPE_BUF bytes whole or not at all; a full one (nobody has read for
     * minutes) costs this line and no more. */
    return write(b->lines, with_end, (size_t)n) == n || errno == EAGAIN;
}

static void *run(void *context)
{
    bus *b = context;
    char line[NR_MODBUS_LINE], remark[NR_MODBUS_LINE];
    double due_s = steady_s();
    while (wait_until(b, due_s)) {
        if (!nr_modbus_poll_round(b->poll, line, remark) || !send_line(b, line) ||
            (remark[0] && !send_line(b, remark)))
            break;
        due_s = fmax(due_s + b->settings->interval_s, steady_s());
    }
    close(b->lines); /* the reader sees the end of the pipe: port lost */
    return NULL;
}

static nr_code connect_bus(const nr_port_settings *settings, const char *path, bus *b, nr_err *err)
{
    b->modbus =
        modbus_new_rtu(path, settings->baud, settings->parity, 8, settings->parity == 'N' ? 2 : 1);
    if (!b->modbus)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot open the port for Modbus");
    if (modbus_connect(b->modbus) == 0)
        return NR_OK;
    nr_code code = nr_fail_errno(err, NR_BAD, path, errno, "cannot open the port for Modbus");
    modbus_free(b->modbus);
    return code;
}

static nr_code start(nr_port *port, bus *b, nr_err *err)
{
    int ends[2] = {-1, -1};
    b->wake = eventfd(0, EFD_CLOEXEC);
    b->poll = nr_modbus_poll_new(b->modbus, b->settings, b->wake);
    int failed = !b->poll                                                 ? ENOMEM
                 : b->wake < 0 || pipe2(ends, O_CLOEXEC | O_NONBLOCK) < 0 ? errno
                                                                          : 0;
    b->lines = ends[1];
    if (!failed)
        failed = pthread_create(&b->thread, NULL, run, b);
    if (!failed) {
        port->fd = ends[0];
        port->handle = b;
        return NR_OK;
    }
    nr_modbus_poll_free(b->poll);
    if (b->wake >= 0)
        close(b->wake);
    if (ends[0] >= 0) {
        close(ends[0]);
        close(ends[1]);
    }
    return nr_fail_errno(err, NR_BAD, port->path, failed, "cannot start polling");
}

static nr_code modbus_open(nr_port *port, const char *path, nr_err *err)
{
    bus *b = calloc(1, sizeof *b);
    if (!b)
        return nr_fail(err, NR_BAD, path, 0, "not enough memory");
    b->settings = &port->settings;
    nr_code code = connect_bus(b->settings, path, b, err);
    if (code == NR_OK) {
        code = start(port, b, err);
        if (code != NR_OK) {
            modbus_close(b->modbus);
            modbus_free(b->modbus);
        }
    }
    if (code != NR_OK)
        free(b);
    return code;
}

static nr_port_state modbus_read(nr_port *port, char *to, size_t size, size_t *count)
{
    ssize_t n = read(port->fd, to, size);
    if (n > 0) {
        *count = (size_t)n;
        return NR_PORT_BYTES;
    }
    return n < 0 && (errno == EAGAIN || errno == EINTR) ? NR_PORT_NONE : NR_PORT_LOST;
}

static void modbus_port_close(nr_port *port)
{
    bus *b = port->handle;
    uint64_t one = 1;
    if (write(b->wake, &one, sizeof one) == (ssize_t)sizeof one)
        pthread_join(b->thread, NULL);
    close(b->wake);
    close(port->fd);
    modbus_close(b->modbus);
    modbus_free(b->modbus);
    nr_modbus_poll_free(b->poll);
    free(b);
    port->handle = NULL;
}

const nr_port_kind nr_port_modbus = {
    .name = "modbus", .open = modbus_open, .read = modbus_read, .close = modbus_port_close};
