/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which pin does what, on an ATmega328P with a 16 MHz crystal at 5 V. The README draws it.
 *
 *   PB0        1-Wire data, 4.7 kilohm to the supply (2.2 kilohm beyond ten metres of cable)
 *   PD2, PD3   flow meters 1 and 2: falling edges, the chip's own pull-up
 *   PC0, PC1   thermistor dividers 1 and 2         } against the supply
 *   PC2, PC3   further dividers 1 and 2            }
 *   PC4        reference cell, amplified           } against the internal reference
 *   PC5        pump supply, divided                }
 *   PD0, PD1   serial line, 38400 baud
 */
#ifndef NR_ADAPTER_AVR_BOARD_H
#define NR_ADAPTER_AVR_BOARD_H

#include <avr/io.h>

#define NR_FW_WIRE_DDR DDRB
#define NR_FW_WIRE_PORT PORTB
#define NR_FW_WIRE_PIN PINB
#define NR_FW_WIRE_BIT PB0

/* 16 MHz / (16 * 26) is 38462 baud, 0.16 % off; 115200 could only be had 2.1 % off. */
#define NR_FW_BAUD_DIVIDER 25

#endif
