/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The 1-Wire bus by hand: slots of 65 us of which the processor sleeps the most, so that
 * interrupts are off for 15 us in a slot and 75 us in a reset.
 *
 * Times: public data sheet of the thermometer, table of AC characteristics: reset low 480 us and
 * more; presence 15..60 us after it, for 60..240 us; slot 60..120 us; a one is low for 1..15 us; a
 * slave's bit is valid 15 us after the falling edge; supply from the data wire within 10 us of the
 * command that needs it.
 */
#ifndef NR_ADAPTER_AVR_WIRE_H
#define NR_ADAPTER_AVR_WIRE_H

#include "logger/adapter/core/reading.h"

#include <stdbool.h>

/* Reset pulse, and who is there. */
nr_fw_bus nr_fw_wire_reset(void);

/* After a reset, to all: does any probe take its supply from the data wire? */
bool nr_fw_wire_parasite(void);

/* After a reset: all probes measure. feed: the pin itself gives them their current, until
 * nr_fw_wire_release. */
void nr_fw_wire_convert(bool feed);
void nr_fw_wire_release(void);

/* Resets and asks one probe for its memory. One that is not at 12 bits is set to them. */
nr_fw_memory nr_fw_wire_read(const uint8_t rom[NR_FW_ROM], int16_t *sixteenths);

/* Resets and does one pass of a search. */
nr_fw_found nr_fw_wire_search(nr_fw_search *search);

#endif
