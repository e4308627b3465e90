/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why the adapter started, and how much of its stack was never used. */
#ifndef NR_ADAPTER_AVR_START_H
#define NR_ADAPTER_AVR_START_H

#include "logger/adapter/core/reading.h"

nr_fw_reset nr_fw_start_cause(void);

/* Bytes between the variables and the deepest the stack has reached. */
uint16_t nr_fw_start_stack_free(void);

#endif
