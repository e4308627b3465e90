/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/meaning.h"
#include "tests/unit/near.h"

START_TEST(columns_are_split_at_the_unit)
{
    static const struct {
        const char *column, *channel, *unit;
    } rows[] = {{"store_degC", "store", "degC"},
                {"sun_W_m2", "sun", "W_m2"},
                {"flow_gal_min", "flow", "gal_min"},
                {"store_top_degC", "store_top", "degC"},
                {"loss_Btu_h_ft2", "loss", "Btu_h_ft2"},
                {"fan_rpm", "fan", "rpm"},
                {"my_fan_rpm", "my_fan", "rpm"},
                {"level", "level", ""},
                {"_x", "_x", ""},
                {"x_", "x", ""},
                {"", "", ""},
                {"a__degC", "a_", "degC"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char channel[32], unit[32];
        ck_assert(nr_column_split(rows[i].column, channel, unit, 32));
        ck_assert_str_eq(channel, rows[i].channel);
        ck_assert_str_eq(unit, rows[i].unit);
    }
    char channel[4], unit[4];
    ck_assert(!nr_column_split("store_degC", channel, unit, 4));
    ck_assert_str_eq(channel, "sto");
}
END_TEST

/* The channels of the run folder's description, each with the unit of its column. */
START_TEST(channels_with_a_meaning)
{
    static const char *const rows[][2] = {
        {"store", "degC"}, {"inlet", "degC"},       {"outlet", "degC"}, {"air", "degC"},
        {"box", "degC"},   {"sun", "W_m2"},         {"flow", "L_min"},  {"wind", "m_s"},
        {"pump", "V"},     {"pump", "A"},           {"pump", "W"},      {"sky", "degC"},
        {"sky", "W_m2"},   {"humidity", "percent"}, {"diffuse", "W_m2"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const nr_meaning *meaning = nr_meaning_find(rows[i][0]);
        char units[200];
        ck_assert_msg(meaning != NULL, "%s", rows[i][0]);
        ck_assert(nr_meaning_accepts(meaning, nr_unit_find(rows[i][1])->dimension));
        nr_meaning_units(meaning, units, sizeof units);
        ck_assert_msg(strstr(units, rows[i][1]) != NULL, "%s", units);
        ck_assert(!nr_meaning_accepts(meaning, NR_DIM_NONE));
        ck_assert(!nr_meaning_accepts(meaning, NR_DIM_AREA));
    }
    size_t count = 0;
    while (nr_meaning_at(count))
        count++;
    ck_assert_uint_eq(count, 12);
    ck_assert_ptr_null(nr_meaning_find("Store"));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {columns_are_split_at_the_unit, channels_with_a_meaning, NULL};
    return run_tests("meaning", tests);
}
