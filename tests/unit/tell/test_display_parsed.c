/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every shown unit read as an expression of base units: what its words mean is its factor. Exact
 * factors by NIST SP 811 (named in display.h): foot, pound, US gallon, Btu(IT), degF; standard
 * gravity 9.80665 m/s2; a mile is 5280 feet, an inch a twelfth of a foot. */
#include "analyze/tell/display.h"
#include "tests/unit/near.h"

#include <ctype.h>

#define FOOT 0.3048L

typedef struct base {
    const char *word;
    long double si;
} base;

/* Litres are litres here, and minutes seconds: answers carry L/min as it is. */
static const base bases[] = {
    {"W", 1},
    {"J", 1},
    {"m", 1},
    {"K", 1},
    {"s", 1},
    {"kg", 1},
    {"L", 1},
    {"Pa", 1},
    {"degC", 1},
    {"kJ", 1000},
    {"MJ", 1000000},
    {"kPa", 1000},
    {"min", 60},
    {"h", 3600},
    {"%", 0.01L},
    {"ft", FOOT},
    {"Btu", 1055.05585262L},
    {"gal", 3.785411784L},
    {"degF", 5 / 9.0L},
    {"mph", 5280 * FOOT / 3600},
    {"psi", 0.45359237L * 9.80665L * 144 / (FOOT * FOOT)},
};

static long double word_si(const char **p)
{
    const base *best = NULL;
    size_t length = strspn(*p, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ%");
    for (size_t i = 0; i < sizeof bases / sizeof *bases; i++)
        if (strlen(bases[i].word) == length && strncmp(bases[i].word, *p, length) == 0)
            best = &bases[i];
    ck_assert_msg(best != NULL, "no unit: %s", *p);
    *p += length;
    long double si = best->si;
    int power = isdigit((unsigned char)**p) ? *(*p)++ - '0' : 1;
    long double out = 1;
    for (int k = 0; k < power; k++)
        out *= si;
    return out;
}

/* Words side by side are multiplied, those behind a slash (in parentheses several) divide, and so
 * does what stands behind "per". */
static long double unit_si(const char *text)
{
    long double out = 1;
    bool divides = false, inside = false;
    for (const char *p = text; *p != '\0';) {
        if (strncmp(p, " per ", 5) == 0) {
            long double of = unit_si(p + 5);
            return out / of;
        }
        if (*p == '/' || *p == '(') {
            divides = divides || *p == '/';
            inside = *p++ == '(';
        } else if (*p == ')') {
            divides = inside = false;
            p++;
        } else if (*p == ' ') {
            divides = divides && inside;
            p++;
        } else {
            long double one = word_si(&p);
            out = divides ? out / one : out * one;
        }
    }
    return out;
}

/* By kind: its name, the unit that answers carry and the two shown, as display.h promises. */
typedef struct kind {
    nr_shown what;
    const char *name, *answer, *si, *us;
} kind;

#define OF(what) NR_SHOWN_##what, #what
static const kind kinds[] = {
    {OF(NUMBER), "", "", ""},
    {OF(PERCENT), "", "%", "%"},
    {OF(TEMPERATURE), "degC", "degC", "degF"},
    {OF(DIFFERENCE), "K", "K", "degF"},
    {OF(IRRADIANCE), "W/m2", "W/m2", "Btu/(h ft2)"},
    {OF(REDUCED), "m2 K/W", "m2 K/W", "h ft2 degF/Btu"},
    {OF(COLLECTOR_LOSS), "W/(m2 K)", "W/(m2 K)", "Btu/(h ft2 degF)"},
    {OF(WIND_LOSS), "J/(m3 K)", "W/(m2 K) per m/s", "Btu/(h ft2 degF) per mph"},
    {OF(LOSS_SLOPE), "W/(m2 K2)", "W/(m2 K2)", "Btu/(h ft2 degF2)"},
    {OF(CAPACITY), "J/(m2 K)", "kJ/(m2 K)", "Btu/(ft2 degF)"},
    {OF(STORE_LOSS), "W/K", "W/K", "Btu/(h degF)"},
    {OF(ENERGY), "J", "MJ", "Btu"},
    {OF(POWER), "W", "W", "Btu/h"},
    {OF(AREA), "m2", "m2", "ft2"},
    {OF(WATER), "kg", "kg", "gal"},
    {OF(VOLUME), "L", "L", "gal"},
    {OF(FLOW), "L/min", "L/min", "gal/min"},
    {OF(AREA_FLOW), "L/(min m2)", "L/(min m2)", "gal/(min ft2)"},
    {OF(SPEED), "m/s", "m/s", "mph"},
    {OF(LENGTH), "m", "m", "ft"},
    {OF(PRESSURE), "Pa", "kPa", "psi"},
    {OF(MINUTES), "s", "min", "min"},
    {OF(SECONDS), "s", "s", "s"},
};
#define KINDS (sizeof kinds / sizeof *kinds)

/* In answers a kilogram is one of water, of 0.9982 kg/L. */
static long double shown_si(const kind *k, const char *unit)
{
    bool water = k->what == NR_SHOWN_WATER && strcmp(unit, "gal") == 0;
    return unit_si(unit) * (water ? 0.9982L : 1);
}

START_TEST(factors)
{
    ck_assert_uint_eq(KINDS, NR_SHOWN_COUNT);
    for (size_t i = 0; i < KINDS; i++)
        for (int us = 0; us < 2; us++) {
            const kind *k = &kinds[i];
            const nr_display *d = nr_display_of(k->what, us ? NR_UNITS_US : NR_UNITS_SI);
            const char *unit = us ? k->us : k->si;
            ck_assert_str_eq(d->plain, unit);
            double factor = (double)(unit_si(k->answer) / shown_si(k, unit));
            NEAR_AT(k->name, d->factor, factor, factor * 1e-14);
            ck_assert_msg(
                d->offset ==
                    (strcmp(unit, "degF") == 0 && k->what == NR_SHOWN_TEMPERATURE ? 32 : 0),
                "%s: %g", k->name, d->offset);
        }
}
END_TEST

/* The same word with raised figures and the sign of a degree. */
START_TEST(pretty)
{
    for (size_t i = 0; i < KINDS; i++)
        for (int us = 0; us < 2; us++) {
            const nr_display *d = nr_display_of(kinds[i].what, us ? NR_UNITS_US : NR_UNITS_SI);
            char want[64] = "";
            for (const char *p = d->plain; *p != '\0'; p++) {
                size_t used = strlen(want);
                bool degree = strncmp(p, "deg", 3) == 0;
                (void)snprintf(want + used, sizeof want - used, "%.*s", degree || *p == '2' ? 2 : 1,
                               degree      ? "\u00b0"
                               : *p == '2' ? "\u00b2"
                                           : p);
                p += degree ? 2 : 0;
            }
            ck_assert_str_eq(d->pretty, want);
        }
}
END_TEST

/* A kind's word in patterns is its name with small letters and hyphens. */
START_TEST(words_of_kinds)
{
    for (size_t i = 0; i < KINDS; i++) {
        char word[32];
        nr_shown what = NR_SHOWN_COUNT;
        (void)snprintf(word, sizeof word, "%s", kinds[i].name);
        for (char *p = word; *p != '\0'; p++)
            *p = *p == '_' ? '-' : (char)tolower((unsigned char)*p);
        ck_assert_str_eq(nr_shown_word(kinds[i].what), word);
        ck_assert(nr_shown_of_word(word, &what) && what == kinds[i].what);
        word[strlen(word) - 1] = '\0'; /* the beginning of a word is none */
        ck_assert(!nr_shown_of_word(word, &what) && what == kinds[i].what);
    }
}
END_TEST

START_TEST(conversions)
{
    for (size_t i = 0; i < KINDS; i++)
        for (int us = 0; us < 2; us++) {
            nr_shown what = kinds[i].what;
            nr_units units = us ? NR_UNITS_US : NR_UNITS_SI;
            double one = nr_display_of(what, units)->factor,
                   zero = nr_display_of(what, units)->offset;
            const nr_quantity q = {true, 7, 2, 1.5, 1.25, 3, 12, NR_UNIT_J};
            nr_quantity d = nr_display_quantity(what, units, &q);
            const double got[] = {d.value, d.lo95, d.hi95, d.u, d.u_random, d.u_systematic};
            const double want[] = {7 * one + zero, 3 * one + zero, 12 * one + zero,
                                   2 * one,        1.5 * one,      1.25 * one};
            for (size_t k = 0; k < 6; k++)
                NEAR_AT(kinds[i].name, got[k], want[k], 1e-12 * (fabs(want[k]) + fabs(zero)));
            ck_assert(d.known && d.unit == NR_UNIT_J);
            NEAR(nr_display_value(what, units, -7), -7 * one + zero, 1e-12 * (7 * one + zero));
            NEAR(nr_display_difference(what, units, -7), -7 * one, 1e-12 * 7 * one);
            /* The nearest power of ten of what one in SI is in this. */
            double ratio = one / nr_display_of(what, NR_UNITS_SI)->factor;
            int moved = nr_display_place(what, units, 4) - 4;
            double off = ratio * pow(10, moved);
            ck_assert_msg(off > 0.3162 && off < 3.163, "%s: %d", kinds[i].name, moved);
        }
}
END_TEST

/* Units as terms of a fit write them: the kind, and how much of the answers' unit one is. */
START_TEST(units_of_terms)
{
    static const struct {
        const char *unit;
        nr_shown what;
    } terms[] = {
        {"W/(m2 K2)", NR_SHOWN_LOSS_SLOPE},
        {"J/(m3 K)", NR_SHOWN_WIND_LOSS},
        {"W/(m2 K)", NR_SHOWN_COLLECTOR_LOSS},
        {"kJ/(m2 K)", NR_SHOWN_CAPACITY},
        {"J/(m2 K)", NR_SHOWN_CAPACITY},
        {"m2 K/W", NR_SHOWN_REDUCED},
        {"W/m2", NR_SHOWN_IRRADIANCE},
        {"W/K", NR_SHOWN_STORE_LOSS},
        {"L/(min m2)", NR_SHOWN_AREA_FLOW},
        {"L/min", NR_SHOWN_FLOW},
        {"degC", NR_SHOWN_TEMPERATURE},
        {"m/s", NR_SHOWN_SPEED},
        {"kPa", NR_SHOWN_PRESSURE},
        {"MJ", NR_SHOWN_ENERGY},
        {"kJ", NR_SHOWN_ENERGY},
        {"kg", NR_SHOWN_WATER},
        {"m2", NR_SHOWN_AREA},
        {"K", NR_SHOWN_DIFFERENCE},
        {"L", NR_SHOWN_WATER},
        {"W", NR_SHOWN_POWER},
        {"m", NR_SHOWN_LENGTH},
    };
    for (size_t i = 0; i < sizeof terms / sizeof *terms; i++) {
        double scale = NAN;
        const kind *k = &kinds[terms[i].what];
        ck_assert_int_eq(nr_shown_of_unit(terms[i].unit, &scale), terms[i].what);
        bool water = strcmp(terms[i].unit, "L") == 0;
        NEAR_RELATIVE(scale,
                      (double)(unit_si(terms[i].unit) * (water ? 0.9982L : 1) / unit_si(k->answer)),
                      1e-14);
    }
    double scale = NAN;
    ck_assert(nr_shown_of_unit("", &scale) == NR_SHOWN_PERCENT && scale == 1);
    scale = NAN;
    ck_assert(nr_shown_of_unit("m/s2", &scale) == NR_SHOWN_NUMBER && scale == 1);
    scale = NAN;
    ck_assert(nr_shown_of_unit("W/m", &scale) == NR_SHOWN_NUMBER && scale == 1);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {factors,     pretty,         words_of_kinds,
                                  conversions, units_of_terms, NULL};
    return run_tests("display-parsed", tests);
}
