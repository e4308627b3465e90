/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Asking the sensors of a Modbus RTU bus, so that no answer is ever taken for another's.
 *
 * An answer on this bus carries the unit that gives it and how many registers it holds, but not
 * which registers: one that comes late looks like the answer to the next question, and if nobody
 * notices, every answer after it belongs to the question before. So: neighbouring registers are
 * asked for in one block, nothing may lie in the buffer when a question is put, after a timeout the
 * bus is listened to until it is quiet and its unit is not asked again in the same round, and when
 * a round brought an answer too many none of the round is used.
 *
 * For modbus.c, which has the thread and the pipe. Blocks; not for the recording loop.
 */
#ifndef NR_PORT_MODBUS_POLL_H
#define NR_PORT_MODBUS_POLL_H

#include "logger/port/port.h"

#include <modbus.h>

/* Holds the line of any rig that the parser lets through. */
#define NR_MODBUS_LINE 1900

typedef struct nr_modbus_poll nr_modbus_poll;

/* bus: connected; settings as in port.h; wake_fd: readable once the polling is to end. All three
 * must live as long. NULL: no memory. */
nr_modbus_poll *nr_modbus_poll_new(modbus_t *bus, const nr_port_settings *settings, int wake_fd);
void nr_modbus_poll_free(nr_modbus_poll *p);

/* One round: asks for every point. line (NR_MODBUS_LINE bytes) becomes what is to be logged: the
 * answers as pairs, or a remark that starts with '#'. A remark that comes with answers is in
 * remark (NR_MODBUS_LINE bytes), else that is "". False: the device is gone, or told to end. */
bool nr_modbus_poll_round(nr_modbus_poll *p, char *line, char *remark);

#endif
