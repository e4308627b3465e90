/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/avr/pulses.h"

#include "logger/adapter/avr/clock.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

/* Shared with the interrupts. */
static volatile nr_fw_edges meters[NR_FW_METERS];

static inline void edge(uint8_t meter)
{
    meters[meter].count++;
    meters[meter].last = nr_fw_clock_ticks();
}

ISR(INT0_vect)
{
    edge(0);
}

ISR(INT1_vect)
{
    edge(1);
}

void nr_fw_pulses_begin(void)
{
    PORTD |= 1 << PD2 | 1 << PD3;    /* meters pull down; a missing one is quiet */
    EICRA = 1 << ISC01 | 1 << ISC11; /* falling edges */
    EIFR = 1 << INTF0 | 1 << INTF1;
    EIMSK = 1 << INT0 | 1 << INT1;
}

void nr_fw_pulses_read(nr_fw_edges edges[NR_FW_METERS], uint32_t *now)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        for (uint8_t i = 0; i < NR_FW_METERS; i++) {
            edges[i].count = meters[i].count;
            edges[i].last = meters[i].last;
        }
        *now = nr_fw_clock_ticks();
    }
}
