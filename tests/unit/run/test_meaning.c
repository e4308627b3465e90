/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/run/material.h"
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

/* ISO 10456:2007, tables 3 and 4, from memory: density (where it gives one), specific heat,
 * conductivity (where it gives one). */
START_TEST(boards)
{
    static const struct {
        const char *name;
        double density, heat, conductivity;
    } rows[] = {{"plywood", 500, 1600, 0.13},
                {"osb", 650, 1700, 0.13},
                {"hardwood", 700, 1600, 0.18},
                {"softwood", 500, 1600, 0.13},
                {"plasterboard", 700, 1000, 0.21},
                {"steel", 7800, 450, 50},
                {"aluminium", 2800, 880, 160},
                {"glass", 2500, 750, 1.0},
                {"pvc", 1390, 900, 0.17},
                {"acrylic", 1180, 1500, 0.18},
                {"polycarbonate", 1200, 1200, 0.2},
                {"polystyrene", NAN, 1450, NAN},
                {"polyurethane", NAN, 1400, NAN},
                {"wool", NAN, 1030, NAN},
                {"cork", NAN, 1560, NAN}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const nr_material *m = nr_material_find(rows[i].name);
        ck_assert_msg(m != NULL, "%s", rows[i].name);
        ck_assert_msg(isnan(rows[i].density) || m->density_kg_m3 == rows[i].density, "%s", m->name);
        ck_assert_msg(m->specific_heat_J_kgK == rows[i].heat, "%s", m->name);
        ck_assert_msg(isnan(rows[i].conductivity) || m->conductivity_W_mK == rows[i].conductivity,
                      "%s", m->name);
    }
    /* What insulates: between still air (0.025 W/(m K)) and wood. */
    for (size_t i = 0; nr_material_at(i); i++) {
        const nr_material *m = nr_material_at(i);
        if (m->density_kg_m3 < 200)
            ck_assert_msg(m->conductivity_W_mK > 0.025 && m->conductivity_W_mK < 0.07, "%s",
                          m->name);
    }
    ck_assert_ptr_null(nr_material_find("straw"));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {columns_are_split_at_the_unit, channels_with_a_meaning, boards,
                                  NULL};
    return run_tests("meaning", tests);
}
