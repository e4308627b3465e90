/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Registers to numbers. Bit patterns: two's complement, and IEEE 754 single precision
 * (0x40490FDB is pi, 0x42F6E979 is 123.456: the standard's encoding, worked out by hand). */
#include "logger/port/modbus_point.h"

#include "tests/unit/near.h"

START_TEST(test_values)
{
    static const struct {
        const char *type;
        uint16_t words[2];
        int count;
        double value;
        double tolerance;
    } known[] = {{"u16", {65535, 0}, 1, 65535, 0},
                 {"s16", {65535, 0}, 1, -1, 0},
                 {"s16", {0x8000, 0}, 1, -32768, 0},
                 {"iu16", {1, 0}, 1, 1, 0},
                 {"u32", {0x0001, 0x0002}, 2, 65538, 0},
                 {"s32", {0xFFFF, 0xFFFE}, 2, -2, 0},
                 {"is32", {0x7FFF, 0xFFFF}, 2, 2147483647, 0},
                 {"f32", {0x4049, 0x0FDB}, 2, 3.14159265, 1e-7},
                 {"if32", {0x42F6, 0xE979}, 2, 123.456, 1e-5}};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        ck_assert_int_eq(nr_modbus_words(known[i].type), known[i].count);
        ck_assert_int_eq(nr_modbus_is_input(known[i].type), known[i].type[0] == 'i');
        NEAR_AT(known[i].type, nr_modbus_value(known[i].type, known[i].words), known[i].value,
                known[i].tolerance);
    }
}
END_TEST

START_TEST(test_no_number)
{
    static const uint16_t quiet_nan[] = {0x7FC0, 0}, infinity[] = {0x7F80, 0};
    ck_assert(isnan(nr_modbus_value("f32", quiet_nan)));
    ck_assert(isnan(nr_modbus_value("f32", infinity)));
    ck_assert(isnan(nr_modbus_value("x16", infinity)));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {test_values, test_no_number, NULL};
    return run_tests("modbus_point", tests);
}
