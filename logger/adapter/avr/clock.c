/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/avr/clock.h"

#include "logger/adapter/core/meter.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <stdbool.h>
#include <util/atomic.h>

#define TICK_MS 10u
#define TICK (TICK_MS * NR_FW_TICKS_MS) /* in half microseconds */

/* What interrupts and program share has to be in one place that both know: here, and nobody else
 * sees it. */
static volatile uint32_t clock_ms, clock_ticks; /* of the last tick */
static volatile bool paused;

ISR(TIMER1_COMPA_vect)
{
    clock_ms += TICK_MS;
    clock_ticks += TICK;
}

ISR(TIMER0_COMPA_vect)
{
    paused = false;
    TIMSK0 = 0;
}

void nr_fw_clock_begin(void)
{
    OCR1A = TICK - 1;
    TCCR1A = 0;
    TCCR1B = 1 << WGM12 | 1 << CS11; /* from zero to OCR1A, 16 MHz / 8 */
    TIMSK1 = 1 << OCIE1A;
    TCCR0A = 1 << WGM01;
    TCCR0B = 1 << CS01; /* 16 MHz / 8 */
}

/* Since the last tick that was counted: a tick that is due but not yet counted is part of it.
 * Interrupts are off. */
static uint16_t since_tick(void)
{
    uint16_t count = TCNT1;
    if ((TIFR1 & 1 << OCF1A) && count < TICK / 2)
        count += TICK;
    return count;
}

uint32_t nr_fw_clock_ms(void)
{
    uint32_t ms = 0;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        ms = clock_ms + since_tick() / NR_FW_TICKS_MS;
    }
    return ms;
}

uint32_t nr_fw_clock_ticks(void)
{
    return clock_ticks + since_tick();
}

void nr_fw_sleep(void)
{
    SMCR = 1 << SE; /* idle: timers, converter and serial line go on */
    sleep_cpu();
    SMCR = 0;
}

void nr_fw_pause_us(uint8_t microseconds)
{
    cli();
    paused = true;
    TCNT0 = 0;
    OCR0A = (uint8_t)(2 * microseconds);
    TIFR0 = 1 << OCF0A;
    TIMSK0 = 1 << OCIE0A;
    while (paused) { /* looked at with interrupts off; sei lets one more instruction pass */
        SMCR = 1 << SE;
        sei();
        sleep_cpu();
        SMCR = 0;
        cli();
    }
    sei();
}
