/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The serial line: sends from a ring that holds a whole line, so that nothing waits for it. */
#ifndef NR_ADAPTER_AVR_SERIAL_H
#define NR_ADAPTER_AVR_SERIAL_H

#include <stdbool.h>

void nr_fw_serial_begin(void);

/* For nr_fw_out. Sleeps while the ring is full. */
void nr_fw_serial_put(void *context, char c);

/* False: nothing has come. What comes while the ring is full is lost. */
bool nr_fw_serial_take(char *c);

#endif
