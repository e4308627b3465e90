/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The name a simulated adapter's port goes by. */
#ifndef NOONRUN_PTYLINK_H
#define NOONRUN_PTYLINK_H

#include <stdbool.h>

/* Lets LINK point to the pseudo-terminal's device, at one stroke so that nobody sees half of it,
 * and takes it away when the calling process has ended, however it ended (kill -9 too): the kernel
 * hands the device's number to the next who asks, and a recorder that waits for its own adapter
 * would find another test's behind the name. False: errno. */
bool ptylink(const char *device, const char *link);

#endif
