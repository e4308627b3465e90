/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of shown units. Composite factors are products of the exact ones, so that no rounded
 * conversion constant appears. */
#include "analyze/tell/display.h"

#include "logger/base/units.h"

#include <math.h>
#include <string.h>

#define HOUR_S 3600.0
#define GRAVITY_M_S2 9.80665
/* Pound-force per square inch in Pa: 6894.757... */
#define PSI_PA (NR_POUND_KG * GRAVITY_M_S2 / (NR_INCH_M * NR_INCH_M))
#define FOOT2_M2 (NR_FOOT_M * NR_FOOT_M)

/* One Btu/(h ft2 degF) in W/(m2 K): 5.678263... */
#define BTU_LOSS (NR_BTU_J / (HOUR_S * FOOT2_M2 * NR_DEGF_K))

static const nr_display shown[NR_SHOWN_COUNT][2] = {
    [NR_SHOWN_NUMBER] = {{1, 0, "", ""}, {1, 0, "", ""}},
    [NR_SHOWN_PERCENT] = {{100, 0, "%", "%"}, {100, 0, "%", "%"}},
    [NR_SHOWN_TEMPERATURE] = {{1, 0, "degC", "°C"}, {1 / NR_DEGF_K, 32, "degF", "°F"}},
    [NR_SHOWN_DIFFERENCE] = {{1, 0, "K", "K"}, {1 / NR_DEGF_K, 0, "degF", "°F"}},
    [NR_SHOWN_IRRADIANCE] = {{1, 0, "W/m2", "W/m²"},
                             {HOUR_S * FOOT2_M2 / NR_BTU_J, 0, "Btu/(h ft2)", "Btu/(h ft²)"}},
    [NR_SHOWN_REDUCED] = {{1, 0, "m2 K/W", "m² K/W"},
                          {BTU_LOSS, 0, "h ft2 degF/Btu", "h ft² °F/Btu"}},
    [NR_SHOWN_COLLECTOR_LOSS] = {{1, 0, "W/(m2 K)", "W/(m² K)"},
                                 {1 / BTU_LOSS, 0, "Btu/(h ft2 degF)", "Btu/(h ft² °F)"}},
    [NR_SHOWN_WIND_LOSS] = {{1, 0, "W/(m2 K) per m/s", "W/(m² K) per m/s"},
                            {NR_MILE_M / HOUR_S / BTU_LOSS, 0, "Btu/(h ft2 degF) per mph",
                             "Btu/(h ft² °F) per mph"}},
    [NR_SHOWN_LOSS_SLOPE] = {{1, 0, "W/(m2 K2)", "W/(m² K²)"},
                             {NR_DEGF_K / BTU_LOSS, 0, "Btu/(h ft2 degF2)", "Btu/(h ft² °F²)"}},
    [NR_SHOWN_CAPACITY] = {{1e-3, 0, "kJ/(m2 K)", "kJ/(m² K)"},
                           {FOOT2_M2 * NR_DEGF_K / NR_BTU_J, 0, "Btu/(ft2 degF)", "Btu/(ft² °F)"}},
    [NR_SHOWN_STORE_LOSS] = {{1, 0, "W/K", "W/K"},
                             {HOUR_S * NR_DEGF_K / NR_BTU_J, 0, "Btu/(h degF)", "Btu/(h °F)"}},
    [NR_SHOWN_ENERGY] = {{1e-6, 0, "MJ", "MJ"}, {1 / NR_BTU_J, 0, "Btu", "Btu"}},
    [NR_SHOWN_POWER] = {{1, 0, "W", "W"}, {HOUR_S / NR_BTU_J, 0, "Btu/h", "Btu/h"}},
    [NR_SHOWN_AREA] = {{1, 0, "m2", "m²"}, {1 / FOOT2_M2, 0, "ft2", "ft²"}},
    [NR_SHOWN_WATER] = {{1, 0, "kg", "kg"}, {1 / (NR_GALLON_L * NR_WATER_KG_L), 0, "gal", "gal"}},
    [NR_SHOWN_VOLUME] = {{1, 0, "L", "L"}, {1 / NR_GALLON_L, 0, "gal", "gal"}},
    [NR_SHOWN_FLOW] = {{1, 0, "L/min", "L/min"}, {1 / NR_GALLON_L, 0, "gal/min", "gal/min"}},
    [NR_SHOWN_AREA_FLOW] = {{1, 0, "L/(min m2)", "L/(min m²)"},
                            {FOOT2_M2 / NR_GALLON_L, 0, "gal/(min ft2)", "gal/(min ft²)"}},
    [NR_SHOWN_SPEED] = {{1, 0, "m/s", "m/s"}, {HOUR_S / NR_MILE_M, 0, "mph", "mph"}},
    [NR_SHOWN_LENGTH] = {{1, 0, "m", "m"}, {1 / NR_FOOT_M, 0, "ft", "ft"}},
    [NR_SHOWN_PRESSURE] = {{1e-3, 0, "kPa", "kPa"}, {1 / PSI_PA, 0, "psi", "psi"}},
    [NR_SHOWN_MINUTES] = {{1.0 / 60, 0, "min", "min"}, {1.0 / 60, 0, "min", "min"}},
    [NR_SHOWN_SECONDS] = {{1, 0, "s", "s"}, {1, 0, "s", "s"}},
};

static const char *const words[NR_SHOWN_COUNT] = {
    [NR_SHOWN_NUMBER] = "number",
    [NR_SHOWN_PERCENT] = "percent",
    [NR_SHOWN_TEMPERATURE] = "temperature",
    [NR_SHOWN_DIFFERENCE] = "difference",
    [NR_SHOWN_IRRADIANCE] = "irradiance",
    [NR_SHOWN_REDUCED] = "reduced",
    [NR_SHOWN_COLLECTOR_LOSS] = "collector-loss",
    [NR_SHOWN_WIND_LOSS] = "wind-loss",
    [NR_SHOWN_LOSS_SLOPE] = "loss-slope",
    [NR_SHOWN_CAPACITY] = "capacity",
    [NR_SHOWN_STORE_LOSS] = "store-loss",
    [NR_SHOWN_ENERGY] = "energy",
    [NR_SHOWN_POWER] = "power",
    [NR_SHOWN_AREA] = "area",
    [NR_SHOWN_WATER] = "water",
    [NR_SHOWN_VOLUME] = "volume",
    [NR_SHOWN_FLOW] = "flow",
    [NR_SHOWN_AREA_FLOW] = "area-flow",
    [NR_SHOWN_SPEED] = "speed",
    [NR_SHOWN_LENGTH] = "length",
    [NR_SHOWN_PRESSURE] = "pressure",
    [NR_SHOWN_MINUTES] = "minutes",
    [NR_SHOWN_SECONDS] = "seconds",
};

const char *nr_shown_word(nr_shown what)
{
    return words[what];
}

bool nr_shown_of_word(const char *word, nr_shown *what)
{
    for (int i = 0; i < NR_SHOWN_COUNT; i++) {
        if (strcmp(nr_shown_word((nr_shown)i), word) != 0)
            continue;
        *what = (nr_shown)i;
        return true;
    }
    return false;
}

const nr_display *nr_display_of(nr_shown what, nr_units units)
{
    return &shown[what][units == NR_UNITS_US ? 1 : 0];
}

double nr_display_value(nr_shown what, nr_units units, double si)
{
    const nr_display *d = nr_display_of(what, units);
    return si * d->factor + d->offset;
}

double nr_display_difference(nr_shown what, nr_units units, double si)
{
    return si * nr_display_of(what, units)->factor;
}

int nr_display_place(nr_shown what, nr_units units, int si_place)
{
    double si = nr_display_of(what, NR_UNITS_SI)->factor; /* what SI shows may be kJ */
    return si_place - (int)lround(log10(nr_display_of(what, units)->factor / si));
}

nr_quantity nr_display_quantity(nr_shown what, nr_units units, const nr_quantity *si)
{
    nr_quantity q = *si;
    q.value = nr_display_value(what, units, si->value);
    q.lo95 = nr_display_value(what, units, si->lo95);
    q.hi95 = nr_display_value(what, units, si->hi95);
    q.u = nr_display_difference(what, units, si->u);
    q.u_random = nr_display_difference(what, units, si->u_random);
    q.u_systematic = nr_display_difference(what, units, si->u_systematic);
    return q;
}

const char *nr_unit_word(nr_quantity_unit unit)
{
    static const char *const word[NR_UNIT_COUNT] = {
        [NR_UNIT_ONE] = "",
        [NR_UNIT_DEGC] = "degC",
        [NR_UNIT_K] = "K",
        [NR_UNIT_S] = "s",
        [NR_UNIT_J] = "J",
        [NR_UNIT_W] = "W",
        [NR_UNIT_M2] = "m2",
        [NR_UNIT_W_M2] = "W/m2",
        [NR_UNIT_W_K] = "W/K",
        [NR_UNIT_W_M2K] = "W/(m2 K)",
        [NR_UNIT_W_M2K2] = "W/(m2 K2)",
        [NR_UNIT_J_K] = "J/K",
        [NR_UNIT_J_M2K] = "J/(m2 K)",
        [NR_UNIT_J_M3K] = "J/(m3 K)",
        [NR_UNIT_L_MIN] = "L/min",
        [NR_UNIT_S_M] = "s/m",
    };
    return word[unit];
}

typedef struct unit_word {
    const char *text;
    nr_shown what;
    double si; /* the answers' unit for this kind, in one of these */
} unit_word;

/* Units as fit terms write them. */
static const unit_word unit_words[] = {
    {"W/(m2 K2)", NR_SHOWN_LOSS_SLOPE, 1},
    {"J/(m3 K)", NR_SHOWN_WIND_LOSS, 1},
    {"W/(m2 K)", NR_SHOWN_COLLECTOR_LOSS, 1},
    {"kJ/(m2 K)", NR_SHOWN_CAPACITY, 1e3},
    {"J/(m2 K)", NR_SHOWN_CAPACITY, 1},
    {"m2 K/W", NR_SHOWN_REDUCED, 1},
    {"W/m2", NR_SHOWN_IRRADIANCE, 1},
    {"W/K", NR_SHOWN_STORE_LOSS, 1},
    {"L/(min m2)", NR_SHOWN_AREA_FLOW, 1},
    {"L/min", NR_SHOWN_FLOW, 1},
    {"degC", NR_SHOWN_TEMPERATURE, 1},
    {"m/s", NR_SHOWN_SPEED, 1},
    {"kPa", NR_SHOWN_PRESSURE, 1e3},
    {"MJ", NR_SHOWN_ENERGY, 1e6},
    {"kJ", NR_SHOWN_ENERGY, 1e3},
    {"kg", NR_SHOWN_WATER, 1},
    {"m2", NR_SHOWN_AREA, 1},
    {"K", NR_SHOWN_DIFFERENCE, 1},
    {"L", NR_SHOWN_WATER, NR_WATER_KG_L},
    {"W", NR_SHOWN_POWER, 1},
    {"m", NR_SHOWN_LENGTH, 1},
};

nr_shown nr_shown_of_unit(const char *unit, double *scale)
{
    *scale = 1;
    if (unit[0] == '\0')
        return NR_SHOWN_PERCENT;
    for (size_t i = 0; i < sizeof unit_words / sizeof *unit_words; i++) {
        if (strcmp(unit_words[i].text, unit) == 0) {
            *scale = unit_words[i].si;
            return unit_words[i].what;
        }
    }
    return NR_SHOWN_NUMBER;
}
