/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One round of readings, and its line.
 *
 *   ms=12000,2855A1B2C3D4E5F6=21.5000,...,ntc1=32768,ntc2=,div1=...,div2=...,cell=512.345,
 *   pump=741.002,pulses1=133,hz1=132.907,pulses2=0,hz2=0.000*5C
 *
 * A probe's key is its identity, so that a swapped plug changes nothing. What is not known is
 * left empty. `reset=` stands in the first line after a start, `bus=` where the probes' wire is in
 * trouble (shorted, or no probe answers that did before); both are words.
 */
#ifndef NR_ADAPTER_CORE_READING_H
#define NR_ADAPTER_CORE_READING_H

#include "logger/adapter/core/meter.h"
#include "logger/adapter/core/onewire.h"
#include "logger/adapter/core/out.h"
#include "logger/adapter/core/settings.h"

#define NR_FW_PROBES 12
#define NR_FW_SHARES 4 /* ntc1, ntc2, div1, div2: against the supply */
#define NR_FW_VOLTS 2  /* cell, pump: against the converter's own reference */
#define NR_FW_METERS 2

typedef struct nr_fw_probe {
    uint8_t rom[NR_FW_ROM];
    bool known;         /* sixteenths is of this round */
    int16_t sixteenths; /* 1/16 K */
} nr_fw_probe;

/* In the order in which they were found; none is forgotten before the next start. */
typedef struct nr_fw_probes {
    uint8_t count;
    nr_fw_probe probe[NR_FW_PROBES];
} nr_fw_probes;

/* Adds a thermometer that is not there yet. False: of another family, or no room. */
bool nr_fw_probes_add(nr_fw_probes *probes, const uint8_t rom[NR_FW_ROM]);

/* What a probe's memory said in this round. Exactly 85 degC is what stands there after its supply
 * came back: it is believed only from a probe that was within 5 K of it the round before. */
void nr_fw_probe_take(nr_fw_probe *probe, nr_fw_memory memory, int16_t sixteenths);

typedef enum nr_fw_bus {
    NR_FW_BUS_GOOD,
    NR_FW_BUS_EMPTY, /* nobody answers the reset pulse */
    NR_FW_BUS_SHORT  /* the wire stays low */
} nr_fw_bus;

typedef enum nr_fw_reset {
    NR_FW_RESET_SAID, /* in an earlier line */
    NR_FW_RESET_POWER,
    NR_FW_RESET_BUTTON,
    NR_FW_RESET_BROWN_OUT,
    NR_FW_RESET_WATCHDOG
} nr_fw_reset;

typedef struct nr_fw_reading {
    uint32_t ms; /* when the round began; wraps after 49.7 days */
    nr_fw_bus bus;
    nr_fw_reset reset;
    uint32_t share_sum[NR_FW_SHARES], volt_sum[NR_FW_VOLTS]; /* scale.h */
    nr_fw_flow flow[NR_FW_METERS];
} nr_fw_reading;

void nr_fw_reading_write(nr_fw_out *out, const nr_fw_reading *reading, const nr_fw_probes *probes,
                         const nr_fw_settings *settings);

/* --- answers to requests: lines that begin with # and are never data ---------------------- */

#define NR_FW_VERSION "1"

typedef struct nr_fw_health {
    uint16_t stack_free; /* bytes of RAM that nothing has ever written to */
    bool parasite;       /* a probe takes its supply from the data wire */
} nr_fw_health;

/* "# noonrun adapter 1", "# probe 28...", "# stack ...", "# end". */
void nr_fw_identify(nr_fw_out *out, const nr_fw_probes *probes, const nr_fw_health *health);

void nr_fw_settings_write(nr_fw_out *out, const nr_fw_settings *settings);

/* What may be asked. */
void nr_fw_help(nr_fw_out *out);

#endif
