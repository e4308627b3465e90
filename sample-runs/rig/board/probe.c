/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sample-runs/rig/board/probe.h"

#include <math.h>
#include <string.h>

#define CONVERSION_US 750000.0 /* the data sheet's longest, 12 bits */

/* The register of the data sheet's figure: a shift register with three exclusive ors. */
static uint8_t crc(const uint8_t *bytes, int count)
{
    unsigned shift = 0;
    for (int i = 0; i < count * 8; i++) {
        unsigned in = ((unsigned)bytes[i / 8] >> (i % 8) & 1u) ^ (shift & 1u);
        shift >>= 1;
        if (in)
            shift ^= 1u << 7 | 1u << 3 | 1u << 2;
    }
    return (uint8_t)shift;
}

static void set_temperature(nr_probe *p, double degC)
{
    /* Rounded to the step: what the data sheet calls resolution. */
    long steps = lround(fmin(fmax(degC, -55), 125) * 16);
    p->memory[0] = (uint8_t)(steps & 0xFF);
    p->memory[1] = (uint8_t)(steps >> 8 & 0xFF);
    p->memory[8] = crc(p->memory, 8);
}

void nr_probe_power_on(nr_probe *p)
{
    static const uint8_t fresh[8] = {0, 0, 0x4B, 0x46, 0x7F, 0xFF, 0x0C, 0x10};
    memcpy(p->memory, fresh, sizeof fresh);
    set_temperature(p, 85);
    p->state = NR_PROBE_DEAF;
    p->done_us = 0;
}

void nr_probe_init(nr_probe *p, unsigned number, double degC, bool own_supply)
{
    *p = (nr_probe){.plugged = true, .own_supply = own_supply, .degC = degC};
    p->rom[0] = 0x28;
    for (unsigned i = 1; i < 7; i++)
        p->rom[i] = (uint8_t)(number * (2 * i + 1) * 37u + i);
    p->rom[7] = crc(p->rom, 7);
    nr_probe_power_on(p);
}

void nr_probe_reset(nr_probe *p)
{
    p->state = NR_PROBE_ROM_COMMAND;
    p->byte = 0;
    p->bit = 0;
    p->third = 0;
}

static bool rom_bit(const nr_probe *p)
{
    return p->rom[p->bit / 8] >> (p->bit % 8) & 1;
}

bool nr_probe_sends(const nr_probe *p, double now_us)
{
    (void)now_us;
    switch (p->state) {
    case NR_PROBE_SEARCHING:
        return p->third < 2;
    case NR_PROBE_SENDING:
    case NR_PROBE_SUPPLY:
    case NR_PROBE_MEASURING:
        return true;
    default:
        return false;
    }
}

bool nr_probe_bit_out(const nr_probe *p, double now_us)
{
    switch (p->state) {
    case NR_PROBE_SEARCHING:
        return p->third == 0 ? rom_bit(p) : !rom_bit(p);
    case NR_PROBE_SENDING: {
        if (p->bit >= 72)
            return true;
        bool bit = p->memory[p->bit / 8] >> (p->bit % 8) & 1;
        return bit ^ (p->damage > 0 && p->bit == 5);
    }
    case NR_PROBE_SUPPLY:
        return p->own_supply;
    case NR_PROBE_MEASURING:
        return !p->own_supply || now_us >= p->done_us;
    default:
        return true;
    }
}

static void begin(nr_probe *p, nr_probe_state state)
{
    p->state = state;
    p->byte = 0;
    p->bit = 0;
    p->third = 0;
}

static void rom_command(nr_probe *p)
{
    switch (p->byte) {
    case 0xF0:
        begin(p, NR_PROBE_SEARCHING);
        break;
    case 0x55:
        begin(p, NR_PROBE_MATCHING);
        break;
    case 0xCC:
        begin(p, NR_PROBE_COMMAND);
        break;
    default:
        begin(p, NR_PROBE_DEAF);
    }
}

static void command(nr_probe *p, double now_us)
{
    switch (p->byte) {
    case 0x44:
        p->measured_degC = p->degC;
        p->done_us = now_us + CONVERSION_US;
        begin(p, NR_PROBE_MEASURING);
        break;
    case 0xBE:
        begin(p, NR_PROBE_SENDING);
        break;
    case 0x4E:
        begin(p, NR_PROBE_TAKING);
        break;
    case 0xB4:
        begin(p, NR_PROBE_SUPPLY);
        break;
    default:
        begin(p, NR_PROBE_DEAF);
    }
}

/* True when a byte is whole. */
static bool take_bit(nr_probe *p, bool bit)
{
    p->byte = (uint8_t)(p->byte >> 1 | (bit ? 0x80 : 0));
    return ++p->bit % 8 == 0;
}

static void search_slot(nr_probe *p, bool bit)
{
    if (++p->third < 3)
        return;
    p->third = 0;
    if (bit != rom_bit(p) || ++p->bit == 64)
        begin(p, NR_PROBE_DEAF);
}

static void take_memory(nr_probe *p, bool bit)
{
    unsigned at = 2 + p->bit / 8;
    if (!take_bit(p, bit))
        return;
    p->memory[at] = at == 4 ? (uint8_t)((p->byte & 0x60) | 0x1F) : p->byte;
    p->memory[8] = crc(p->memory, 8);
    if (p->bit == 24)
        begin(p, NR_PROBE_DEAF);
}

void nr_probe_slot(nr_probe *p, bool bit, double now_us)
{
    switch (p->state) {
    case NR_PROBE_ROM_COMMAND:
        if (take_bit(p, bit))
            rom_command(p);
        break;
    case NR_PROBE_MATCHING:
        if (bit != rom_bit(p))
            begin(p, NR_PROBE_DEAF);
        else if (++p->bit == 64)
            begin(p, NR_PROBE_COMMAND);
        break;
    case NR_PROBE_SEARCHING:
        search_slot(p, bit);
        break;
    case NR_PROBE_COMMAND:
        if (take_bit(p, bit))
            command(p, now_us);
        break;
    case NR_PROBE_TAKING:
        take_memory(p, bit);
        break;
    case NR_PROBE_SENDING:
        if (++p->bit == 72 && p->damage > 0)
            p->damage--;
        break;
    default:
        break;
    }
}

void nr_probe_time(nr_probe *p, double now_us, bool fed)
{
    if (p->done_us <= 0)
        return;
    if (!p->own_supply && !fed && now_us < p->done_us) {
        nr_probe_power_on(p); /* starved: it loses what it had */
        return;
    }
    if (now_us >= p->done_us) {
        set_temperature(p, p->measured_degC);
        p->memory[6] = 0x10;
        p->memory[8] = crc(p->memory, 8);
        p->done_us = 0;
    }
}
