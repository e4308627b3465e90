/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The analogue inputs: a hundred conversions of each, a millisecond apart, while the processor
 * sleeps. First the dividers against the supply, then cell and pump against the internal
 * reference. */
#ifndef NR_ADAPTER_AVR_CONVERTER_H
#define NR_ADAPTER_AVR_CONVERTER_H

#include "logger/adapter/core/reading.h"

void nr_fw_converter_begin(void);

/* Fills the sums of a reading; takes 230 ms, during which `meanwhile` is called again and again. */
void nr_fw_converter_read(nr_fw_reading *reading, void (*meanwhile)(void));

#endif
