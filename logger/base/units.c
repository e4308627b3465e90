/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logger/base/units.h"
#include "logger/base/text.h"

#include <langinfo.h>
#include <locale.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

/* The first of a dimension is the canonical one. */
static const nr_unit units[] = {
    {"degC", "°C", NR_DIM_TEMPERATURE, 1, 0},
    {"degF", "°F", NR_DIM_TEMPERATURE, 5.0 / 9, -160.0 / 9},
    {"K", "K", NR_DIM_TEMPERATURE, 1, -273.15},
    {"W_m2", "W/m²", NR_DIM_IRRADIANCE, 1, 0},
    {"kW_m2", "kW/m²", NR_DIM_IRRADIANCE, 1000, 0},
    {"Btu_h_ft2", "Btu/(h ft²)", NR_DIM_IRRADIANCE, NR_BTU_J / 3600 / (NR_FOOT_M * NR_FOOT_M), 0},
    {"L_min", "L/min", NR_DIM_FLOW, 1, 0},
    {"L_h", "L/h", NR_DIM_FLOW, 1.0 / 60, 0},
    {"L_s", "L/s", NR_DIM_FLOW, 60, 0},
    {"mL_min", "mL/min", NR_DIM_FLOW, 0.001, 0},
    {"m3_h", "m³/h", NR_DIM_FLOW, 1000.0 / 60, 0},
    {"gal_min", "gal/min", NR_DIM_FLOW, NR_GALLON_L, 0},
    {"gal_h", "gal/h", NR_DIM_FLOW, NR_GALLON_L / 60, 0},
    {"m_s", "m/s", NR_DIM_SPEED, 1, 0},
    {"km_h", "km/h", NR_DIM_SPEED, 1 / 3.6, 0},
    {"mph", "mph", NR_DIM_SPEED, NR_MILE_M / 3600, 0},
    {"ft_s", "ft/s", NR_DIM_SPEED, NR_FOOT_M, 0},
    {"kn", "kn", NR_DIM_SPEED, 1852.0 / 3600, 0},
    {"V", "V", NR_DIM_VOLTAGE, 1, 0},
    {"mV", "mV", NR_DIM_VOLTAGE, 0.001, 0},
    {"A", "A", NR_DIM_CURRENT, 1, 0},
    {"mA", "mA", NR_DIM_CURRENT, 0.001, 0},
    {"W", "W", NR_DIM_POWER, 1, 0},
    {"mW", "mW", NR_DIM_POWER, 0.001, 0},
    {"kW", "kW", NR_DIM_POWER, 1000, 0},
    {"Btu_h", "Btu/h", NR_DIM_POWER, NR_BTU_J / 3600, 0},
    {"m2", "m²", NR_DIM_AREA, 1, 0},
    {"cm2", "cm²", NR_DIM_AREA, 1e-4, 0},
    {"ft2", "ft²", NR_DIM_AREA, NR_FOOT_M *NR_FOOT_M, 0},
    {"in2", "in²", NR_DIM_AREA, NR_INCH_M *NR_INCH_M, 0},
    {"m", "m", NR_DIM_LENGTH, 1, 0},
    {"cm", "cm", NR_DIM_LENGTH, 0.01, 0},
    {"mm", "mm", NR_DIM_LENGTH, 0.001, 0},
    {"ft", "ft", NR_DIM_LENGTH, NR_FOOT_M, 0},
    {"in", "in", NR_DIM_LENGTH, NR_INCH_M, 0},
    {"kg", "kg", NR_DIM_MASS, 1, 0},
    {"g", "g", NR_DIM_MASS, 0.001, 0},
    {"lb", "lb", NR_DIM_MASS, NR_POUND_KG, 0},
    {"J_K", "J/K", NR_DIM_HEAT_CAPACITY, 1, 0},
    {"kJ_K", "kJ/K", NR_DIM_HEAT_CAPACITY, 1000, 0},
    {"Btu_degF", "Btu/°F", NR_DIM_HEAT_CAPACITY, NR_BTU_J * 9 / 5, 0},
    {"W_K", "W/K", NR_DIM_LOSS, 1, 0},
    {"Btu_h_degF", "Btu/(h °F)", NR_DIM_LOSS, NR_BTU_J / 3600 * 9 / 5, 0},
    {"L", "L", NR_DIM_VOLUME, 1, 0},
    {"mL", "mL", NR_DIM_VOLUME, 0.001, 0},
    {"gal", "gal", NR_DIM_VOLUME, NR_GALLON_L, 0},
    {"W_m2K", "W/(m² K)", NR_DIM_AREA_LOSS, 1, 0},
    {"Btu_h_ft2_degF", "Btu/(h ft² °F)", NR_DIM_AREA_LOSS,
     NR_BTU_J / 3600 / (NR_FOOT_M * NR_FOOT_M) * 9 / 5, 0},
    {"percent", "%", NR_DIM_PERCENT, 1, 0},
    {"%", "%", NR_DIM_PERCENT, 1, 0},
};
#define UNITS (sizeof units / sizeof units[0])

const nr_unit *nr_unit_find(const char *name)
{
    const nr_unit *unit;
    for (size_t i = 0; (unit = nr_unit_at(i)) != NULL; i++)
        if (strcmp(unit->name, name) == 0)
            return unit;
    return NULL;
}

const nr_unit *nr_unit_canonical(nr_dimension dimension)
{
    for (size_t i = 0; i < UNITS; i++)
        if (units[i].dimension == dimension)
            return &units[i];
    return NULL;
}

const nr_unit *nr_unit_at(size_t index)
{
    return index < UNITS ? &units[index] : NULL;
}

double nr_unit_to_canonical(const nr_unit *unit, double value)
{
    return value * unit->factor + unit->offset;
}

double nr_unit_from_canonical(const nr_unit *unit, double value)
{
    return (value - unit->offset) / unit->factor;
}

double nr_unit_difference_to_canonical(const nr_unit *unit, double value)
{
    return value * unit->factor;
}

double nr_unit_difference_from_canonical(const nr_unit *unit, double value)
{
    return value / unit->factor;
}

double nr_degC_shown(double degC, bool fahrenheit)
{
    return fahrenheit ? degC / NR_DEGF_K + 32 : degC;
}

double nr_kelvin_shown(double kelvin, bool fahrenheit)
{
    return fahrenheit ? kelvin / NR_DEGF_K : kelvin;
}

/* Literals, since a composed text would need storage; a test holds them against the table. */
const char *nr_unit_names(nr_dimension dimension)
{
    switch (dimension) {
    case NR_DIM_TEMPERATURE:
        return "degC, degF, K";
    case NR_DIM_IRRADIANCE:
        return "W_m2, kW_m2, Btu_h_ft2";
    case NR_DIM_FLOW:
        return "L_min, L_h, L_s, mL_min, m3_h, gal_min, gal_h";
    case NR_DIM_SPEED:
        return "m_s, km_h, mph, ft_s, kn";
    case NR_DIM_VOLTAGE:
        return "V, mV";
    case NR_DIM_CURRENT:
        return "A, mA";
    case NR_DIM_POWER:
        return "W, mW, kW, Btu_h";
    case NR_DIM_AREA:
        return "m2, cm2, ft2, in2";
    case NR_DIM_LENGTH:
        return "m, cm, mm, ft, in";
    case NR_DIM_MASS:
        return "kg, g, lb";
    case NR_DIM_HEAT_CAPACITY:
        return "J_K, kJ_K, Btu_degF";
    case NR_DIM_LOSS:
        return "W_K, Btu_h_degF";
    case NR_DIM_VOLUME:
        return "L, mL, gal";
    case NR_DIM_AREA_LOSS:
        return "W_m2K, Btu_h_ft2_degF";
    case NR_DIM_PERCENT:
        return "percent, %";
    case NR_DIM_NONE:
        break;
    }
    return "";
}

const nr_unit *nr_unit_us(const nr_unit *unit)
{
    switch (unit ? unit->dimension : NR_DIM_NONE) {
    case NR_DIM_TEMPERATURE:
        return nr_unit_find("degF");
    case NR_DIM_IRRADIANCE:
        return nr_unit_find("Btu_h_ft2");
    case NR_DIM_FLOW:
        return nr_unit_find("gal_min");
    case NR_DIM_SPEED:
        return nr_unit_find("mph");
    default:
        return unit;
    }
}

bool nr_units_us(const char *stated)
{
    if (stated[0])
        return strcmp(stated, "us") == 0;
    locale_t own = newlocale(LC_MEASUREMENT_MASK, "", (locale_t)0);
    if (own == (locale_t)0)
        return false;
    /* 1: metric, 2: US (ISO/IEC TR 30112, 4.9). */
    bool us = *nl_langinfo_l(_NL_MEASUREMENT_MEASUREMENT, own) == 2;
    freelocale(own);
    return us;
}

static const char *digits(const char *p)
{
    while (*p >= '0' && *p <= '9')
        p++;
    return p;
}

/* How much of text a number takes: units may end in a digit, so this looks from the front. */
static size_t number_length(const char *text)
{
    const char *p = text + strspn(text, " \t");
    p += *p == '-' || *p == '+';
    const char *start = p;
    p = digits(p);
    if (*p == '.')
        p = digits(p + 1);
    if (p == start)
        return 0;
    if (*p == 'e' || *p == 'E') {
        const char *exponent = p + 1 + (p[1] == '-' || p[1] == '+');
        if (digits(exponent) > exponent)
            p = digits(exponent);
    }
    return (size_t)(p - text);
}

/* Number and word behind it; false when they are too long or there is no number. */
static bool split_number(const char *text, double *value, char *word, size_t size)
{
    char number[64];
    size_t length = number_length(text);
    if (length == 0 || length >= sizeof number || !nr_copy(word, size, text + length))
        return false;
    memcpy(number, text, length);
    number[length] = '\0';
    nr_trim(word);
    return nr_parse_double(number, value);
}

bool nr_parse_quantity(const char *text, const char *bare, double *out)
{
    char word[64];
    double value;
    const nr_unit *to = nr_unit_find(bare);
    if (!to || !split_number(text, &value, word, sizeof word))
        return false;
    for (char *p = word; *p; p++)
        *p = *p == '/' ? '_' : *p;
    const nr_unit *from = word[0] ? nr_unit_find(word) : to;
    double density = 1;
    if (from && from->dimension == NR_DIM_VOLUME && to->dimension == NR_DIM_MASS)
        density = NR_WATER_KG_L;
    else if (!from || from->dimension != to->dimension)
        return false;
    *out = from == to ? value
                      : nr_unit_difference_from_canonical(
                            to, nr_unit_difference_to_canonical(from, value) * density);
    return true;
}

void nr_quantity_units(const char *bare, char *out, size_t size)
{
    const nr_unit *unit = nr_unit_find(bare);
    nr_dimension dimension = unit ? unit->dimension : NR_DIM_NONE;
    (void)snprintf(out, size, "%s%s%s",
                   dimension == NR_DIM_TEMPERATURE ? "K, degF" : nr_unit_names(dimension),
                   dimension == NR_DIM_MASS ? ", " : "",
                   dimension == NR_DIM_MASS ? nr_unit_names(NR_DIM_VOLUME) : "");
}

bool nr_parse_temperature(const char *text, bool fahrenheit, double *degC)
{
    static const struct {
        const char *word, *unit;
    } words[] = {{"C", "degC"},    {"degC", "degC"}, {"°C", "degC"}, {"F", "degF"},
                 {"degF", "degF"}, {"°F", "degF"},   {"K", "K"}};
    char word[64];
    double value;
    if (!split_number(text, &value, word, sizeof word))
        return false;
    const char *unit = word[0] ? NULL : fahrenheit ? "degF" : "degC";
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strcmp(word, words[i].word) == 0)
            unit = words[i].unit;
    if (!unit)
        return false;
    value = nr_unit_to_canonical(nr_unit_find(unit), value);
    if (value < -273.15)
        return false;
    *degC = value;
    return true;
}
