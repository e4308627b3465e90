/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/adapter/core/onewire.h"

#define PLACES 64

uint8_t nr_fw_crc8(const uint8_t *bytes, uint8_t count)
{
    uint8_t crc = 0;
    while (count-- > 0) {
        crc = (uint8_t)(crc ^ *bytes++);
        for (uint8_t i = 0; i < 8; i++)
            crc = (uint8_t)(crc & 1 ? (crc >> 1) ^ 0x8C : crc >> 1);
    }
    return crc;
}

void nr_fw_search_begin(nr_fw_search *s)
{
    s->bit = 0;
    s->fork = 0;
    s->lost = false;
}

/* Places are numbered from 1, as in the note: 0 means no fork. */
static bool branch_at_fork(nr_fw_search *s, uint8_t place, bool before)
{
    bool one = place == s->previous_fork || (place < s->previous_fork && before);
    if (!one)
        s->fork = place;
    return one;
}

bool nr_fw_search_bit(nr_fw_search *s, bool bit, bool complement)
{
    uint8_t index = s->bit >> 3, mask = (uint8_t)(1u << (s->bit & 7));
    bool branch = bit;
    if (s->lost || s->bit >= PLACES || (bit && complement)) {
        s->lost = true;
        return true;
    }
    s->bit++;
    if (!bit && !complement)
        branch = branch_at_fork(s, s->bit, (s->rom[index] & mask) != 0);
    s->rom[index] = (uint8_t)(branch ? s->rom[index] | mask : s->rom[index] & ~mask);
    return branch;
}

static bool all_zero(const uint8_t *bytes, uint8_t count)
{
    while (count-- > 0)
        if (*bytes++)
            return false;
    return true;
}

nr_fw_found nr_fw_search_end(nr_fw_search *s)
{
    /* A bus held low gives zeros all the way, and their CRC is right. */
    bool good = !s->lost && s->bit == PLACES && nr_fw_crc8(s->rom, NR_FW_ROM) == 0 &&
                !all_zero(s->rom, NR_FW_ROM);
    s->previous_fork = good ? s->fork : 0;
    if (!good)
        return NR_FW_FOUND_NONE;
    return s->fork ? NR_FW_FOUND : NR_FW_FOUND_LAST;
}

nr_fw_memory nr_fw_memory_read(const uint8_t memory[NR_FW_SCRATCHPAD], int16_t *sixteenths)
{
    bool ones = true;
    for (uint8_t i = 0; i < NR_FW_SCRATCHPAD; i++)
        ones = ones && memory[i] == 0xFF;
    if (ones)
        return NR_FW_MEMORY_ABSENT;
    if (nr_fw_crc8(memory, NR_FW_SCRATCHPAD) != 0 || all_zero(memory, NR_FW_SCRATCHPAD))
        return NR_FW_MEMORY_DAMAGED;
    if (memory[4] != NR_FW_12_BIT)
        return NR_FW_MEMORY_COARSE;
    *sixteenths = (int16_t)(uint16_t)(memory[0] | (unsigned)memory[1] << 8);
    return NR_FW_MEMORY_GOOD;
}
