/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The tables of materials and instruments, every number: materials against design values of ISO
 * 10456:2007, table 3 (from memory; foams and corrugated board are usual values without a source);
 * instruments against the limits that standards and makers state, as u = L / sqrt(3) (JCGM
 * 100:2008, 4.3.7) to the one digit that such limits have, and else against common practice (no
 * source). */
#include "logger/run/instrument.h"
#include "logger/run/material.h"
#include "tests/unit/near.h"

#include <stdbool.h>

START_TEST(materials)
{
    static const struct {
        const char *name;
        double kg_m3, J_kgK, W_mK;
    } of[] = {
        {"plywood", 500, 1600, 0.13},       {"osb", 650, 1700, 0.13},
        {"chipboard", 600, 1700, 0.14},     {"mdf", 600, 1700, 0.14},
        {"hardboard", 800, 1700, 0.18},     {"softwood", 500, 1600, 0.13},
        {"hardwood", 700, 1600, 0.18},      {"plasterboard", 700, 1000, 0.21},
        {"steel", 7800, 450, 50},           {"aluminium", 2800, 880, 160},
        {"aluminum", 2800, 880, 160},       {"glass", 2500, 750, 1.0},
        {"pvc", 1390, 900, 0.17},           {"acrylic", 1180, 1500, 0.18},
        {"polycarbonate", 1200, 1200, 0.2}, {"polystyrene", 20, 1450, 0.036},
        {"polyurethane", 32, 1400, 0.026},  {"wool", 40, 1030, 0.038},
        {"cork", 120, 1560, 0.045},         {"cardboard", 150, 1400, 0.06},
    };
    char names[400] = "", all[400], cut[12];
    size_t count = sizeof of / sizeof *of;
    for (size_t i = 0; i < count; i++) {
        const nr_material *m = nr_material_find(of[i].name);
        ck_assert_msg(m && m == nr_material_at(i), "%s", of[i].name);
        NEAR_AT(of[i].name, m->density_kg_m3, of[i].kg_m3, 0);
        NEAR_AT(of[i].name, m->specific_heat_J_kgK, of[i].J_kgK, 0);
        NEAR_AT(of[i].name, m->conductivity_W_mK, of[i].W_mK, 0);
        strcat(names, i ? ", " : "");
        strcat(names, of[i].name);
    }
    ck_assert_ptr_null(nr_material_at(count));
    ck_assert_ptr_null(nr_material_find("plywoo"));
    ck_assert_ptr_null(nr_material_find(""));
    nr_material_names(all, sizeof all);
    ck_assert_str_eq(all, names);
    nr_material_names(cut, sizeof cut);
    ck_assert_str_eq(cut, "plywood, os");
}
END_TEST

#define T NR_DIM_TEMPERATURE
#define SUN NR_DIM_IRRADIANCE
#define FLOW NR_DIM_FLOW
#define WIND NR_DIM_SPEED
#define WET NR_DIM_PERCENT

typedef struct row {
    const char *name;
    nr_dimension dimension;
    double limit, u_offset; /* one of them; limit: plus or minus, rectangular */
    double gain_limit, u_gain;
    double resolution, lag_s, u_drift;
} row;

static const row rows[] = {
    {"glass", T, 1, NAN, NAN, NAN, 0.5, 15, 0.05}, /* ISO 1770 */
    {"kitchen", T, 1, NAN, NAN, NAN, 0.1, 6, 0.1}, /* EN 13485 class 1 */
    {"oven", T, 10, NAN, NAN, NAN, 5, 120, 1},
    {"infrared", T, 2, NAN, 0.02, NAN, 0.1, 1, 0.5},        /* makers: 2 degC or 2 % */
    {"one-wire", T, 0.5, NAN, NAN, NAN, 0.0625, 10, 0.035}, /* makers; a sixteenth of a kelvin */
    {"thermistor", T, 0.5, NAN, NAN, NAN, NAN, 5, 0.02},
    {"platinum", T, 0.3 + 0.005 * 50, NAN, NAN, NAN, NAN, 10,
     0.02},                                               /* IEC 60751 class B, 50 degC */
    {"thermocouple", T, 2.5, NAN, NAN, NAN, NAN, 2, 0.2}, /* IEC 60584-1 class 2 */
    {"station", T, NAN, 1, NAN, NAN, 0.1, 0, NAN},
    {"pyranometer", SUN, NAN, NAN, NAN, 0.10 / 2, NAN, 5, NAN}, /* WMO No. 8: 10 % at 95 % */
    {"cell", SUN, NAN, NAN, NAN, 0.05, NAN, 0, NAN},
    {"lux", SUN, NAN, NAN, NAN, 0.15, NAN, 0, NAN},
    {"station", SUN, NAN, NAN, NAN, 0.08, NAN, 0, NAN},
    {"turbine", FLOW, NAN, NAN, NAN, 0.05, NAN, 1, NAN},
    {"bucket", FLOW, NAN, NAN, NAN, 0.03, NAN, 0, NAN},
    {"float", FLOW, NAN, NAN, NAN, 0.05, NAN, 1, NAN},
    {"cup", WIND, NAN, 0.3, NAN, 0.05, NAN, 2, NAN},
    {"station", WIND, NAN, 0.5, NAN, 0.4, NAN, 0, NAN},
    {"hygrometer", WET, NAN, 4, NAN, NAN, 1, 60, NAN},
    {"station", WET, NAN, 6, NAN, NAN, 1, 0, NAN},
};
#define ROWS (sizeof rows / sizeof *rows)

static void same(const char *name, double is, double wanted)
{
    ck_assert_msg(isnan(wanted) ? isnan(is) : is == wanted, "%s: %g, not %g", name, is, wanted);
}

/* A limit as a standard uncertainty, to one digit. */
static void of_limit(const char *name, double is, double limit, double stated)
{
    if (isnan(limit))
        same(name, is, stated);
    else
        NEAR_AT(name, is, limit / sqrt(3), 0.06 * limit / sqrt(3));
}

START_TEST(instruments)
{
    for (size_t i = 0; i < ROWS; i++) {
        const row *r = &rows[i];
        const nr_instrument_kind *k = nr_instrument_find(r->name, r->dimension);
        ck_assert_msg(k && k == nr_instrument_at(i), "%s", r->name);
        ck_assert_int_eq(k->dimension, r->dimension);
        of_limit(r->name, k->u_offset, r->limit, r->u_offset);
        of_limit(r->name, k->u_gain, r->gain_limit, r->u_gain);
        same(r->name, k->resolution, r->resolution);
        same(r->name, k->lag_s, r->lag_s);
        same(r->name, k->u_drift, r->u_drift);
    }
    ck_assert_ptr_null(nr_instrument_at(ROWS));
    ck_assert_ptr_null(nr_instrument_find("turbine", T));
    ck_assert_ptr_null(nr_instrument_find("glas", T));
    ck_assert_ptr_eq(nr_instrument_find("station", NR_DIM_NONE), nr_instrument_at(8));
}
END_TEST

/* Of a dimension its own; of none all, each once. */
START_TEST(names_of_instruments)
{
    static const nr_dimension of[] = {T, SUN, FLOW, WIND, WET, NR_DIM_NONE, NR_DIM_MASS};
    for (size_t k = 0; k < sizeof of / sizeof *of; k++) {
        char wanted[400] = "", is[400], cut[16];
        for (size_t i = 0; i < ROWS; i++) {
            bool before = false;
            for (size_t j = 0; j < i; j++)
                before = before || strcmp(rows[i].name, rows[j].name) == 0;
            if (of[k] == NR_DIM_NONE ? before : rows[i].dimension != of[k])
                continue;
            strcat(wanted, wanted[0] ? ", " : "");
            strcat(wanted, rows[i].name);
        }
        nr_instrument_names(of[k], is, sizeof is);
        ck_assert_str_eq(is, wanted);
        nr_instrument_names(of[k], cut, sizeof cut);
        wanted[sizeof cut - 1] = '\0';
        ck_assert_str_eq(cut, wanted);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {materials, instruments, names_of_instruments, NULL};
    return run_tests("parts", tests);
}
