/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Time, and sleep: the processor sleeps whenever it waits, and interrupts wake it. */
#ifndef NR_ADAPTER_AVR_CLOCK_H
#define NR_ADAPTER_AVR_CLOCK_H

#include <stdint.h>

/* Timer 1 counts half microseconds and interrupts every 10 ms. Wants interrupts on afterwards. */
void nr_fw_clock_begin(void);

/* Milliseconds since the start; wraps after 49.7 days. */
uint32_t nr_fw_clock_ms(void);

/* Half microseconds; wraps after 36 minutes. Only with interrupts off (as in an interrupt). */
uint32_t nr_fw_clock_ticks(void);

/* Sleeps until the next interrupt, whichever it is. */
void nr_fw_sleep(void);

/* Sleeps so many microseconds, 5..120, and what interrupts take. */
void nr_fw_pause_us(uint8_t microseconds);

#endif
