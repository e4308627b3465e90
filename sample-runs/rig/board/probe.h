/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A 12-bit 1-Wire thermometer as its public data sheet describes it: bits in, bits out.
 *
 * Knows nothing of time on the wire (wire.h does) and nothing of the simulator. It is written
 * from the data sheet alone and shares no code with the firmware, so that each checks the other.
 */
#ifndef NR_BOARD_PROBE_H
#define NR_BOARD_PROBE_H

#include <stdbool.h>
#include <stdint.h>

typedef enum nr_probe_state {
    NR_PROBE_DEAF, /* until the next reset pulse */
    NR_PROBE_ROM_COMMAND,
    NR_PROBE_MATCHING,
    NR_PROBE_SEARCHING,
    NR_PROBE_COMMAND,
    NR_PROBE_SENDING, /* its memory */
    NR_PROBE_TAKING,  /* three bytes of its memory */
    NR_PROBE_SUPPLY,  /* telling how it is fed */
    NR_PROBE_MEASURING
} nr_probe_state;

typedef struct nr_probe {
    bool plugged;
    bool own_supply; /* false: fed by the data wire */
    uint8_t rom[8];
    double degC;     /* what it feels */
    unsigned damage; /* so many of the next memories it sends have a wrong bit */
    nr_probe_state state;
    uint8_t memory[9];
    uint8_t byte;         /* coming in */
    unsigned bit;         /* of what is going on */
    unsigned third;       /* of a search: the bit, its complement, the answer */
    double measured_degC; /* felt when the measurement began */
    double done_us;       /* when it will be done; 0: none is going on */
} nr_probe;

/* A number 1..255 makes the serial number; family 28 hex, its CRC behind. Plugged in, at power-on.
 */
void nr_probe_init(nr_probe *probe, unsigned number, double degC, bool own_supply);

/* Its supply came back: 85 degC stands in its memory until it has measured. */
void nr_probe_power_on(nr_probe *probe);

void nr_probe_reset(nr_probe *probe); /* a reset pulse */

/* In the next slot: does it send, and what? */
bool nr_probe_sends(const nr_probe *probe, double now_us);
bool nr_probe_bit_out(const nr_probe *probe, double now_us);

/* A slot is over. bit: what the master wrote (or 1, in a slot in which it only read). */
void nr_probe_slot(nr_probe *probe, bool bit, double now_us);

/* A measurement that is going on is done when its time has come. fed: it has had current all the
 * time; without, it starts anew. */
void nr_probe_time(nr_probe *probe, double now_us, bool fed);

#endif
