/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Baud rates that termios knows. For tty.c. */
#ifndef NR_PORT_BAUD_H
#define NR_PORT_BAUD_H

#include <stdbool.h>
#include <termios.h>

bool nr_baud_find(int baud, speed_t *speed);

#endif
