/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Units for people's eyes: SI or US customary, the one place where answers change units.
 *
 * Answers are SI throughout; showing converts a value, its uncertainty and its interval first and
 * rounds afterwards, so the last digit shown is right in either system. Exact factors from NIST
 * SP 811: foot 0.3048 m, pound 0.45359237 kg, US gallon 3.785411784 L, Btu(IT) 1055.05585262 J,
 * degF 5/9 K.
 */
#ifndef NR_TELL_DISPLAY_H
#define NR_TELL_DISPLAY_H

#include "analyze/result/quantity.h"

typedef enum nr_units { NR_UNITS_SI, NR_UNITS_US } nr_units;

/* What is shown. In brackets: the unit the answers carry -> as shown in SI, in US. */
typedef enum nr_shown {
    NR_SHOWN_NUMBER,         /* a plain number, never converted */
    NR_SHOWN_PERCENT,        /* a fraction -> % */
    NR_SHOWN_TEMPERATURE,    /* degC -> degC, degF */
    NR_SHOWN_DIFFERENCE,     /* K -> K, degF (no offset) */
    NR_SHOWN_IRRADIANCE,     /* W/m2 -> W/m2, Btu/(h ft2) */
    NR_SHOWN_REDUCED,        /* m2 K/W -> m2 K/W, h ft2 degF/Btu */
    NR_SHOWN_COLLECTOR_LOSS, /* W/(m2 K) -> same, Btu/(h ft2 degF) */
    NR_SHOWN_WIND_LOSS,      /* J/(m3 K) -> W/(m2 K) per m/s, Btu/(h ft2 degF) per mph */
    NR_SHOWN_LOSS_SLOPE,     /* W/(m2 K2) -> same, Btu/(h ft2 degF2) */
    NR_SHOWN_CAPACITY,       /* J/(m2 K) -> kJ/(m2 K), Btu/(ft2 degF) */
    NR_SHOWN_STORE_LOSS,     /* W/K -> W/K, Btu/(h degF) */
    NR_SHOWN_ENERGY,         /* J -> MJ, Btu */
    NR_SHOWN_POWER,          /* W -> W, Btu/h */
    NR_SHOWN_AREA,           /* m2 -> m2, ft2 */
    NR_SHOWN_WATER,          /* kg of water -> kg, gal (0.9982 kg/L, as in rig files) */
    NR_SHOWN_VOLUME,         /* L -> L, gal */
    NR_SHOWN_FLOW,           /* L/min -> L/min, gal/min */
    NR_SHOWN_AREA_FLOW,      /* L/(min m2) -> same, gal/(min ft2) */
    NR_SHOWN_SPEED,          /* m/s -> m/s, mph */
    NR_SHOWN_LENGTH,         /* m -> m, ft */
    NR_SHOWN_PRESSURE,       /* Pa -> kPa, psi */
    NR_SHOWN_MINUTES,        /* s -> min */
    NR_SHOWN_SECONDS,        /* s -> s */
    NR_SHOWN_COUNT
} nr_shown;

typedef struct nr_display {
    double factor, offset; /* shown = SI * factor + offset */
    const char *plain;     /* unit in ASCII, for text and JSON: "Btu/(h ft2 degF)" */
    const char *pretty;    /* unit in UTF-8, for pictures and pages: "Btu/(h ft² °F)" */
} nr_display;

/* The kind's name in patterns (phrase.h): "temperature", "collector-loss". */
const char *nr_shown_word(nr_shown what);
bool nr_shown_of_word(const char *word, nr_shown *what);

/* Never NULL; static. */
const nr_display *nr_display_of(nr_shown what, nr_units units);

/* SI -> shown. NAN stays NAN. */
double nr_display_value(nr_shown what, nr_units units, double si);
/* A difference or an uncertainty: factor only. */
double nr_display_difference(nr_shown what, nr_units units, double si);
/* The decimal place (nr_round_text) as fine as one of the SI value: moved by the nearest power of
 * ten of the factor, so that 0.70 m2 is 7.5 ft2 and 51.8 kg are 13.68 gal. */
int nr_display_place(nr_shown what, nr_units units, int si_place);
/* All of a quantity's numbers; their unit is that of nr_display_of. */
nr_quantity nr_display_quantity(nr_shown what, nr_units units, const nr_quantity *si);

/* A quantity's own unit, as JSON and tables have it: "W/(m2 K)", "" for a ratio. */
const char *nr_unit_word(nr_quantity_unit unit);

/* The kind of a unit as fit terms write it ("K", "W/(m2 K)"); NR_SHOWN_PERCENT for "" (a relative
 * quantity), NR_SHOWN_NUMBER for one not in the table. "kg" is water. scale: the answers' unit for
 * that kind, in one of these ("MJ": 1e6). */
nr_shown nr_shown_of_unit(const char *unit, double *scale);

#endif
