/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The models at the simulated board's pins: what the firmware is tested against has to be right
 * itself, and has to notice what is wrong. Times and tables: the thermometer's public data sheet.
 */
#include "sample-runs/rig/board/analogue.h"
#include "sample-runs/rig/board/wire.h"
#include "tests/unit/near.h"

static nr_wire wire;
static double now_us;

static void low_for(double us)
{
    nr_wire_drive(&wire, true, false, now_us);
    now_us += us;
    nr_wire_drive(&wire, false, false, now_us);
}

static bool level(void)
{
    double until_us;
    return nr_wire_level(&wire, now_us, &until_us);
}

static void reset_bus(void)
{
    low_for(500);
    now_us += 70;
    ck_assert(!level()); /* somebody is there */
    now_us += 430;
    ck_assert(level());
}

static void put_byte(unsigned byte)
{
    for (int i = 0; i < 8; i++) {
        bool bit = byte >> i & 1;
        low_for(bit ? 5 : 65);
        now_us += bit ? 65 : 5;
    }
}

static unsigned take_byte(void)
{
    unsigned byte = 0;
    for (int i = 0; i < 8; i++) {
        low_for(3);
        now_us += 9;
        byte |= (unsigned)level() << i;
        now_us += 60;
    }
    return byte;
}

static void one_probe(double degC, bool own_supply)
{
    wire = (nr_wire){.fell_us = -1e9, .rose_us = -1e9};
    now_us = 0;
    nr_probe_init(&wire.probe[0], 1, degC, own_supply);
}

static void read_memory(uint8_t memory[9])
{
    reset_bus();
    put_byte(0xCC);
    put_byte(0xBE);
    for (int i = 0; i < 9; i++)
        memory[i] = (uint8_t)take_byte();
}

static unsigned long faults(void)
{
    return wire.faults.pulses + wire.faults.slots + wire.faults.feeds;
}

/* Power-on: 50 05 4B 46 7F FF 0C 10 and its CRC 1C (data sheet; CRC as in unit.test_firmware). */
START_TEST(power_on)
{
    static const uint8_t wanted[9] = {0x50, 0x05, 0x4B, 0x46, 0x7F, 0xFF, 0x0C, 0x10, 0x1C};
    uint8_t memory[9];
    one_probe(20, true);
    read_memory(memory);
    ck_assert_mem_eq(memory, wanted, 9);
    ck_assert_uint_eq(faults(), 0);
}
END_TEST

/* 25.0625 degC is 0191 hex, -10.125 FF5E (the data sheet's table); after 750 ms and not before. */
START_TEST(measures)
{
    static const double degC[] = {25.0625, -10.125};
    static const unsigned words[] = {0x0191, 0xFF5E};
    for (int i = 0; i < 2; i++) {
        uint8_t memory[9];
        one_probe(degC[i], true);
        reset_bus();
        put_byte(0xCC);
        put_byte(0x44);
        now_us += 700e3;
        read_memory(memory);
        ck_assert_uint_eq(memory[0], 0x50); /* not done */
        now_us += 50e3;
        read_memory(memory);
        ck_assert_uint_eq(memory[0] | (unsigned)memory[1] << 8, words[i]);
        ck_assert_uint_eq(faults(), 0);
    }
}
END_TEST

/* Fed by the wire: current within 10 us and to the end, or it forgets. */
START_TEST(fed)
{
    static const struct {
        double late_us, long_us;
        bool good;
    } cases[] = {{9, 751e3, true}, {11, 751e3, false}, {5, 700e3, false}};
    for (int i = 0; i < 3; i++) {
        uint8_t memory[9];
        one_probe(25.0625, false);
        reset_bus();
        put_byte(0xCC);
        for (int k = 0; k < 7; k++) { /* all but the last bit of 44 hex */
            bool bit = 0x44 >> k & 1;
            low_for(bit ? 5 : 65);
            now_us += bit ? 65 : 5;
        }
        low_for(65);
        now_us += cases[i].late_us;
        nr_wire_drive(&wire, false, true, now_us);
        now_us += cases[i].long_us;
        nr_wire_drive(&wire, false, false, now_us);
        now_us += 5;
        read_memory(memory);
        ck_assert_uint_eq(memory[0], cases[i].good ? 0x91 : 0x50);
        ck_assert_int_eq(wire.faults.feeds > 0, !cases[i].good);
    }
}
END_TEST

/* What is neither a slot nor a reset, and slots that come too soon, are counted; what just keeps to
 * the limits is not. */
START_TEST(limits)
{
    static const struct {
        double low_us;
        bool good;
    } pulses[] = {{0.5, false}, {1, true},   {15, true},   {16, false},  {59, false},
                  {60, true},   {120, true}, {121, false}, {479, false}, {480, true}};
    for (size_t i = 0; i < sizeof pulses / sizeof *pulses; i++) {
        one_probe(20, true);
        low_for(pulses[i].low_us);
        ck_assert_msg((wire.faults.pulses == 0) == pulses[i].good, "%g us", pulses[i].low_us);
    }
    for (int good = 0; good < 2; good++) {
        one_probe(20, true);
        low_for(5);
        now_us += good ? 56 : 55; /* 60 us of slot and 1 us to recover */
        low_for(5);
        ck_assert_uint_eq(wire.faults.slots, !good);
    }
}
END_TEST

/* Two volts of five are 409.6 steps of 1024: the mean over the noise says so, a single code cannot.
 */
START_TEST(converter)
{
    nr_analogue a = {.supply_V = 5, .reference_V = 1.1, .noise = 0.7, .volt = {2}};
    double sum = 0;
    for (int i = 0; i < 40000; i++)
        sum += nr_analogue_code(&a, 0, 1, 0);
    NEAR(sum / 40000, 409.6, 5 * 0.76 / 200); /* 0.7 and the rounding's 0.29, over 200 */
    a.noise = 0;
    ck_assert_uint_eq(nr_analogue_code(&a, 0, 1, 0), 410);
    ck_assert_uint_eq(nr_analogue_code(&a, 0, 0, 0), 1023); /* beyond the reference */
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {power_on, measures, fed, limits, converter, NULL};
    return run_tests("board", tests);
}
