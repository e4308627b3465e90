/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The 1-Wire protocol without its wire: checksum, search, what a thermometer's memory says.
 *
 * Sources: Maxim Integrated, application note 27 (the CRC x^8 + x^5 + x^4 + 1, lowest bit first)
 * and application note 187 (the search); the public data sheet of the 12-bit thermometer with
 * family code 28 hex.
 */
#ifndef NR_ADAPTER_CORE_ONEWIRE_H
#define NR_ADAPTER_CORE_ONEWIRE_H

#include <stdbool.h>
#include <stdint.h>

#define NR_FW_ROM 8        /* bytes of an identity: family, serial number (6), CRC-8 */
#define NR_FW_SCRATCHPAD 9 /* bytes of a thermometer's memory, the last one its CRC-8 */
#define NR_FW_FAMILY 0x28  /* the thermometer: 12 bits, 1/16 K */
#define NR_FW_12_BIT 0x7F  /* its configuration byte for 12 bits */
#define NR_FW_CONVERSION_MS 750u

/* Over more bytes: start with 0. Over data and the CRC behind it: 0. */
uint8_t nr_fw_crc8(const uint8_t *bytes, uint8_t count);

/* A search finds one identity a pass. Zero to begin with. */
typedef struct nr_fw_search {
    uint8_t rom[NR_FW_ROM];
    uint8_t bit;           /* of the pass, 0..64 */
    uint8_t fork;          /* last place of this pass where 0 was taken and 1 is left to try */
    uint8_t previous_fork; /* of the pass before; 0: none, the next pass is a first one */
    bool lost;             /* nobody answered: probe pulled, or noise */
} nr_fw_search;

void nr_fw_search_begin(nr_fw_search *search);

/* For each of 64 places in turn: what the bus gave (the bit, then its complement), and which
 * branch to write back. After `lost` the branch means nothing: stop. */
bool nr_fw_search_bit(nr_fw_search *search, bool bit, bool complement);

typedef enum nr_fw_found {
    NR_FW_FOUND,      /* rom is good, and there are more */
    NR_FW_FOUND_LAST, /* rom is good, and the last one: the next pass starts anew */
    NR_FW_FOUND_NONE  /* nobody, or a wrong CRC: the next pass starts anew */
} nr_fw_found;

/* Ends the pass. */
nr_fw_found nr_fw_search_end(nr_fw_search *search);

typedef enum nr_fw_memory {
    NR_FW_MEMORY_GOOD,
    NR_FW_MEMORY_ABSENT,  /* nothing but ones: no such probe on the bus */
    NR_FW_MEMORY_DAMAGED, /* CRC wrong, or all zeros (whose CRC is right) */
    NR_FW_MEMORY_COARSE   /* not set to 12 bits: to be set; its reading is no 1/16 K */
} nr_fw_memory;

/* *sixteenths: the temperature in 1/16 K, set on NR_FW_MEMORY_GOOD. */
nr_fw_memory nr_fw_memory_read(const uint8_t memory[NR_FW_SCRATCHPAD], int16_t *sixteenths);

#endif
