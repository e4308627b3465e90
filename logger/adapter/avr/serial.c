/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/avr/serial.h"

#include "logger/adapter/avr/board.h"
#include "logger/adapter/avr/clock.h"

#include <avr/interrupt.h>
#include <stdint.h>
#include <util/atomic.h>

#define SEND 512u /* a power of two; the longest line has 493 characters */
#define TAKE 16u

/* Shared with the interrupts. Each index is written by one side only. */
static char send_ring[SEND];
static volatile uint16_t send_in, send_out;
static char take_ring[TAKE];
static volatile uint8_t take_in, take_out;

ISR(USART_UDRE_vect)
{
    UDR0 = (uint8_t)send_ring[send_out % SEND];
    send_out++;
    if (send_out == send_in)
        UCSR0B &= (uint8_t) ~(1 << UDRIE0);
}

ISR(USART_RX_vect)
{
    bool bad = (UCSR0A & 1 << FE0) != 0;
    char c = (char)UDR0;
    if ((uint8_t)(take_in - take_out) == TAKE)
        return;
    take_ring[take_in % TAKE] = bad ? '!' : c; /* a framing error spoils its request */
    take_in++;
}

void nr_fw_serial_begin(void)
{
    PORTD |= 1 << PD0; /* an unplugged line shall not float */
    UBRR0 = NR_FW_BAUD_DIVIDER;
    UCSR0A = 0;
    UCSR0C = 1 << UCSZ01 | 1 << UCSZ00; /* eight bits, no parity, one stop bit */
    UCSR0B = 1 << RXCIE0 | 1 << RXEN0 | 1 << TXEN0;
}

void nr_fw_serial_put(void *context, char c)
{
    uint16_t used;
    (void)context;
    do {
        ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
        {
            used = send_in - send_out;
        }
        if (used == SEND)
            nr_fw_sleep(); /* the sending interrupt wakes it, or the tick */
    } while (used == SEND);
    send_ring[send_in % SEND] = c;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        send_in++;
        UCSR0B |= 1 << UDRIE0;
    }
}

bool nr_fw_serial_take(char *c)
{
    if (take_out == take_in)
        return false;
    *c = take_ring[take_out % TAKE];
    take_out++;
    return true;
}
