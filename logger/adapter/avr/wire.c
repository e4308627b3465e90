/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/avr/wire.h"

#include "logger/adapter/avr/board.h"
#include "logger/adapter/avr/clock.h"

#include <avr/interrupt.h>
#include <util/delay.h>

enum {
    SEARCH_ROM = 0xF0,
    MATCH_ROM = 0x55,
    SKIP_ROM = 0xCC,
    CONVERT = 0x44,
    READ_MEMORY = 0xBE,
    WRITE_MEMORY = 0x4E,
    READ_SUPPLY = 0xB4
};

static void pull(void)
{
    NR_FW_WIRE_DDR |= 1 << NR_FW_WIRE_BIT;
}

static void let_go(void)
{
    NR_FW_WIRE_DDR &= (uint8_t) ~(1 << NR_FW_WIRE_BIT);
}

static bool high(void)
{
    return (NR_FW_WIRE_PIN & 1 << NR_FW_WIRE_BIT) != 0;
}

/* --- slots --------------------------------------------------------------------------------- */

nr_fw_bus nr_fw_wire_reset(void)
{
    let_go();
    _delay_us(2);
    if (!high())
        return NR_FW_BUS_SHORT;
    pull();
    for (uint8_t i = 0; i < 4; i++)
        nr_fw_pause_us(120); /* 480 us at least; longer does no harm */
    cli();
    let_go();
    _delay_us(70);
    bool present = !high();
    sei();
    for (uint8_t i = 0; i < 4; i++)
        nr_fw_pause_us(105); /* a slow presence pulse may last until 300 us */
    if (!high())
        return NR_FW_BUS_SHORT;
    return present ? NR_FW_BUS_GOOD : NR_FW_BUS_EMPTY;
}

/* A zero keeps the wire low while the processor sleeps: 62 us and what interrupts take, below
 * the 120 us where it would begin to be something else. */
static void write_bit(bool bit)
{
    if (!bit) {
        pull();
        nr_fw_pause_us(62);
        let_go();
        _delay_us(5);
        return;
    }
    cli();
    pull();
    _delay_us(5);
    let_go();
    sei();
    nr_fw_pause_us(60);
}

static bool read_bit(void)
{
    cli();
    pull();
    _delay_us(3);
    let_go();
    _delay_us(9);
    bool bit = high();
    sei();
    nr_fw_pause_us(53);
    return bit;
}

static void write_byte(uint8_t byte)
{
    for (uint8_t i = 0; i < 8; i++, byte >>= 1)
        write_bit(byte & 1);
}

static uint8_t read_byte(void)
{
    uint8_t byte = 0;
    for (uint8_t i = 0; i < 8; i++)
        byte = (uint8_t)(byte >> 1 | (read_bit() ? 0x80 : 0));
    return byte;
}

/* --- commands ------------------------------------------------------------------------------ */

bool nr_fw_wire_parasite(void)
{
    write_byte(SKIP_ROM);
    write_byte(READ_SUPPLY);
    return !read_bit();
}

void nr_fw_wire_convert(bool feed)
{
    write_byte(SKIP_ROM);
    if (!feed) {
        write_byte(CONVERT);
        return;
    }
    /* The command's last bit is a zero. It ends with the pin driven high instead of let go: no
     * interrupt can come between the command and the current it asks for. */
    for (uint8_t i = 0; i < 7; i++)
        write_bit(CONVERT >> i & 1);
    pull();
    nr_fw_pause_us(62);
    NR_FW_WIRE_PORT |= 1 << NR_FW_WIRE_BIT;
}

void nr_fw_wire_release(void)
{
    let_go();
    NR_FW_WIRE_PORT &= (uint8_t) ~(1 << NR_FW_WIRE_BIT);
}

static bool select(const uint8_t rom[NR_FW_ROM])
{
    if (nr_fw_wire_reset() != NR_FW_BUS_GOOD)
        return false;
    write_byte(MATCH_ROM);
    for (uint8_t i = 0; i < NR_FW_ROM; i++)
        write_byte(rom[i]);
    return true;
}

static void set_to_12_bits(const uint8_t rom[NR_FW_ROM])
{
    if (!select(rom))
        return;
    write_byte(WRITE_MEMORY);
    write_byte(0x7F); /* its alarm limits, which nobody uses: the widest */
    write_byte(0x80);
    write_byte(NR_FW_12_BIT);
}

nr_fw_memory nr_fw_wire_read(const uint8_t rom[NR_FW_ROM], int16_t *sixteenths)
{
    uint8_t memory[NR_FW_SCRATCHPAD];
    if (!select(rom))
        return NR_FW_MEMORY_ABSENT;
    write_byte(READ_MEMORY);
    for (uint8_t i = 0; i < NR_FW_SCRATCHPAD; i++)
        memory[i] = read_byte();
    nr_fw_memory state = nr_fw_memory_read(memory, sixteenths);
    if (state == NR_FW_MEMORY_COARSE)
        set_to_12_bits(rom);
    return state;
}

nr_fw_found nr_fw_wire_search(nr_fw_search *search)
{
    nr_fw_search_begin(search);
    search->lost = nr_fw_wire_reset() != NR_FW_BUS_GOOD;
    if (!search->lost)
        write_byte(SEARCH_ROM);
    for (uint8_t i = 0; i < 64 && !search->lost; i++) {
        bool bit = read_bit(), complement = read_bit();
        bool branch = nr_fw_search_bit(search, bit, complement);
        if (!search->lost)
            write_bit(branch);
    }
    return nr_fw_search_end(search);
}
