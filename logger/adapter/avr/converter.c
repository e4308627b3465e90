/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/avr/converter.h"

#include "logger/adapter/avr/clock.h"
#include "logger/adapter/core/scale.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#define SUPPLY (1 << REFS0)                /* AVCC, with a capacitor at AREF */
#define INTERNAL (1 << REFS1 | 1 << REFS0) /* 1.1 V, nominal */
#define SETTLE_MS 15 /* for the capacitor at AREF (100 nF) to follow the other reference */
#define ENABLED (1 << ADEN | 1 << ADIE | 1 << ADPS2 | 1 << ADPS1 | 1 << ADPS0) /* 125 kHz */
#define SLOTS NR_FW_SHARES /* the larger of the two groups */

/* Shared with the interrupts: a group of neighbouring inputs, each converted once a millisecond. */
static volatile struct {
    uint8_t first, count; /* inputs */
    uint8_t reference;
    uint8_t next;   /* of the group, in this millisecond */
    uint8_t rounds; /* still to come */
    uint32_t sum[SLOTS];
} group;

static void convert(uint8_t index)
{
    ADMUX = (uint8_t)(group.reference | (group.first + index));
    ADCSRA = ENABLED | 1 << ADSC;
}

ISR(TIMER2_COMPA_vect)
{
    group.next = 0;
    convert(0);
}

ISR(ADC_vect)
{
    uint16_t code = ADC;
    uint8_t index = group.next++;
    group.sum[index] += code;
    if (group.next < group.count) {
        convert(group.next);
    } else if (--group.rounds == 0) {
        TIMSK2 = 0;
        TCCR2B = 0;
    }
}

void nr_fw_converter_begin(void)
{
    DIDR0 = 0x3F; /* no digital inputs on the analogue pins */
    ADCSRA = ENABLED;
    TCCR2A = 1 << WGM21;
    OCR2A = 249; /* 16 MHz / 64 / 250: a millisecond */
}

static void sleep_ms(uint8_t ms, void (*meanwhile)(void))
{
    uint32_t from = nr_fw_clock_ms();
    while (nr_fw_clock_ms() - from <= ms) {
        meanwhile();
        nr_fw_sleep();
    }
}

static void read_group(uint8_t reference, uint8_t first, uint8_t count, uint32_t *sums,
                       void (*meanwhile)(void))
{
    ADMUX = (uint8_t)(reference | first);
    sleep_ms(SETTLE_MS, meanwhile);
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        group.first = first;
        group.count = count;
        group.reference = reference;
        group.rounds = NR_FW_SAMPLES;
        for (uint8_t i = 0; i < count; i++)
            group.sum[i] = 0;
        TCNT2 = 0;
        TIFR2 = 1 << OCF2A;
        TIMSK2 = 1 << OCIE2A;
        TCCR2B = 1 << CS22;
    }
    while (group.rounds > 0) {
        meanwhile();
        nr_fw_sleep();
    }
    for (uint8_t i = 0; i < count; i++)
        sums[i] = group.sum[i];
}

void nr_fw_converter_read(nr_fw_reading *reading, void (*meanwhile)(void))
{
    read_group(SUPPLY, 0, NR_FW_SHARES, reading->share_sum, meanwhile);
    read_group(INTERNAL, NR_FW_SHARES, NR_FW_VOLTS, reading->volt_sum, meanwhile);
}
