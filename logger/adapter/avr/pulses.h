/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The flow meters' edges, by interrupt. */
#ifndef NR_ADAPTER_AVR_PULSES_H
#define NR_ADAPTER_AVR_PULSES_H

#include "logger/adapter/core/reading.h"

void nr_fw_pulses_begin(void);

/* All meters at one moment, and that moment. */
void nr_fw_pulses_read(nr_fw_edges edges[NR_FW_METERS], uint32_t *now);

#endif
