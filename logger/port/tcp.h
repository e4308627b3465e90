/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An adapter that is not on a wire: tcp:HOST:PORT, a microcontroller with a radio or a serial
 * server that sends the same lines over a TCP connection. Nothing is ever written to it.
 *
 * Looking up a name and connecting may take half a minute, so a thread does both. nr_port_open
 * gives NR_CANNOT while that goes on; asked again later, it gives the connection or what went
 * wrong. Only the first opening of a port waits, so that a wrong address is told at the start.
 *
 * Not encrypted, and nobody proves who he is: for one's own network.
 */
#ifndef NR_PORT_TCP_H
#define NR_PORT_TCP_H

#include "logger/port/port.h"

#define NR_PORT_TCP "tcp:"

bool nr_tcp_is(const char *path);

/* Splits tcp:HOST:PORT; an IPv6 address stands in brackets, tcp:[fe80::1%wlan0]:4001. NR_BAD with
 * what would be right. host and service hold NR_PORT_PATH bytes each. */
nr_code nr_tcp_split(const char *path, char *host, char *service, nr_err *err);

/* Gives up a connection that is being made. */
void nr_tcp_forget(nr_port *port);

#endif
