/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the bytes come from: a serial port, a pseudo-terminal, a polled bus, a connection.
 *
 * A port kind is a struct of functions; the recorder knows no other difference between them. A
 * port is opened, gives a descriptor to wait on, is read without blocking, and may be lost at any
 * time; what to do then is the caller's business.
 */
#ifndef NR_PORT_PORT_H
#define NR_PORT_PORT_H

#include "logger/base/err.h"

#include <stdbool.h>
#include <stddef.h>

#define NR_PORT_PATH 256
#define NR_PORT_POINTS 48

/* One polled value (modbus). */
typedef struct nr_port_point {
    char
        field[64]; /* what its key in the line starts with; then "@7:1:s16": unit, register, type */
    int unit;      /* 1..247 */
    int address;   /* register, 0-based */
    char type[16]; /* u16, s16, u32, s32, f32 (high word first), with prefix i: input register */
} nr_port_point;

typedef struct nr_port_settings {
    char path[NR_PORT_PATH]; /* /dev/..., usb:VID:PID[:SERIAL] (hexadecimal) or tcp:HOST:PORT */
    int baud;
    bool polled; /* modbus: the fields below count */
    char parity; /* N, E, O */
    double interval_s;
    size_t points;
    nr_port_point point[NR_PORT_POINTS];
} nr_port_settings;

/* What a read gave. */
typedef enum nr_port_state {
    NR_PORT_BYTES, /* some */
    NR_PORT_NONE,  /* nothing now */
    NR_PORT_LOST   /* unplugged, hung up, or failing: close it and open again later */
} nr_port_state;

typedef struct nr_port nr_port;

typedef struct nr_port_kind {
    const char *name;
    nr_code (*open)(nr_port *port, const char *path, nr_err *err);
    nr_port_state (*read)(nr_port *port, char *to, size_t size, size_t *count);
    bool (*write)(nr_port *port, const char *bytes, size_t count); /* NULL: cannot */
    void (*close)(nr_port *port);
} nr_port_kind;

/* One a rig adapter; reusable: open, close, open again without allocation of its own (the
 * libraries underneath may allocate when opening). */
struct nr_port {
    nr_port_settings settings;
    const nr_port_kind *kind;    /* NULL while closed */
    int fd;                      /* to wait on for input; -1 while closed */
    char path[NR_PORT_PATH];     /* the device in use, links resolved */
    char identity[NR_PORT_PATH]; /* "usb:1A86:7523:SERIAL" once known, else ""; stays over a close
                                    so that the same device is found again under another name */
    char name[NR_PORT_PATH];     /* for people: the USB product name or the path; not cleaned */
    int lost_errno;              /* why the last read said NR_PORT_LOST; 0: hung up */
    void *handle;                /* the kind's own */
    struct nr_tcp_try *trying;   /* a connection that is being made (tcp.h) */
    bool may_wait;               /* the next opening may wait for that; only the first one may */
};

extern const nr_port_kind nr_port_serial; /* libserialport */
extern const nr_port_kind nr_port_tty;    /* any other terminal device: pseudo-terminals */
extern const nr_port_kind nr_port_tcp;    /* a connection to another computer */
extern const nr_port_kind nr_port_modbus; /* Modbus RTU, polled; gives text lines of pairs */

void nr_port_init(nr_port *port, const nr_port_settings *settings);

/* Opens the device: the one with the known USB identity if there is one, else the settings'
 * path. Errors are NR_BAD with the device and the reason; NR_CANNOT: it takes its time (a
 * connection), ask again. */
nr_code nr_port_open(nr_port *port, nr_err *err);

/* Reads what is there without waiting. *count is set on NR_PORT_BYTES. */
nr_port_state nr_port_read(nr_port *port, char *to, size_t size, size_t *count);

/* A few bytes to the adapter, without waiting. False: closed, or they did not all go. */
bool nr_port_write(nr_port *port, const char *bytes, size_t count);

/* May be called on a closed port. */
void nr_port_close(nr_port *port);

/* Closes it for good. */
void nr_port_end(nr_port *port);

/* A listing for people; every string may hold anything the device says: clean before showing. */
typedef struct nr_port_found {
    char path[NR_PORT_PATH];
    char identity[NR_PORT_PATH]; /* "" when it is no USB port */
    char maker[128], product[128];
} nr_port_found;

/* Fills up to size entries and returns how many ports there are. *by_name: the system does not say
 * what hangs on its ports (no /sys/class/tty: sysfs is not mounted, a container); then they are the
 * devices whose names are those of serial adapters, without identity, and usb:... finds nothing. */
int nr_ports_list(nr_port_found *found, size_t size, bool *by_name);

/* Is there a /sys/class/tty? */
bool nr_ports_are_described(void);

#endif
