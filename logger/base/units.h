/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Units: what a key or a column is in, and how it becomes SI.
 *
 * Exact factors from NIST SP 811. The table is the only place where a unit is known; a test
 * audits it.
 */
#ifndef NR_BASE_UNITS_H
#define NR_BASE_UNITS_H

#include <stdbool.h>
#include <stddef.h>

typedef enum nr_dimension {
    NR_DIM_NONE,          /* a plain number or an unknown unit: never converted */
    NR_DIM_TEMPERATURE,   /* canonical: degC */
    NR_DIM_IRRADIANCE,    /* W_m2 */
    NR_DIM_FLOW,          /* L_min */
    NR_DIM_SPEED,         /* m_s */
    NR_DIM_VOLTAGE,       /* V */
    NR_DIM_CURRENT,       /* A */
    NR_DIM_POWER,         /* W */
    NR_DIM_AREA,          /* m2 */
    NR_DIM_LENGTH,        /* m */
    NR_DIM_MASS,          /* kg */
    NR_DIM_HEAT_CAPACITY, /* J_K */
    NR_DIM_LOSS,          /* W_K */
    NR_DIM_VOLUME,        /* L */
    NR_DIM_AREA_LOSS,     /* W_m2K */
    NR_DIM_PERCENT        /* percent: relative humidity */
} nr_dimension;

typedef struct nr_unit {
    const char *name;  /* as written in rig.ini and in column names: "degC", "W_m2" */
    const char *label; /* as shown to people: "°C", "W/m²" */
    nr_dimension dimension;
    double factor; /* canonical = value * factor + offset */
    double offset;
} nr_unit;

/* Exact by definition (NIST SP 811, 2008, appendix B); pound and gallon are the avoirdupois pound
 * and the US gallon, Btu the international-table one. */
#define NR_FOOT_M 0.3048
#define NR_INCH_M 0.0254
#define NR_MILE_M 1609.344
#define NR_GALLON_L 3.785411784
#define NR_POUND_KG 0.45359237
#define NR_BTU_J 1055.05585262
#define NR_DEGF_K (5.0 / 9.0)

/* NULL when the name is not known. Case matters ("mV" is not "MV"). */
const nr_unit *nr_unit_find(const char *name);

/* The table row by row, for audits and manuals; NULL behind the last. */
const nr_unit *nr_unit_at(size_t index);

/* The canonical unit of a dimension (the SI or CSV unit in the comment above). NULL for
 * NR_DIM_NONE. */
const nr_unit *nr_unit_canonical(nr_dimension dimension);

double nr_unit_to_canonical(const nr_unit *unit, double value);
double nr_unit_from_canonical(const nr_unit *unit, double value);

/* A difference or an uncertainty: factor only, no offset. */
double nr_unit_difference_to_canonical(const nr_unit *unit, double value);
double nr_unit_difference_from_canonical(const nr_unit *unit, double value);

/* A temperature and a difference as people are shown them: in degF or in degC (K). */
double nr_degC_shown(double degC, bool fahrenheit);
double nr_kelvin_shown(double kelvin, bool fahrenheit);

/* The names of one dimension's units, comma separated, for error messages ("degC, degF, K"). */
const char *nr_unit_names(nr_dimension dimension);

/* Whether people are shown US customary units: "us" and "si" decide, "" leaves it to the locale's
 * measurement system (LC_MEASUREMENT; without one, SI). */
bool nr_units_us(const char *stated);

/* What people who read US units are shown instead of a unit that loggers record: degF, Btu_h_ft2,
 * gal_min, mph; any other, the unit itself. unit may be NULL. */
const nr_unit *nr_unit_us(const nr_unit *unit);

/* "43C", "110F", "316.2K", "43 degC" or a bare number in fahrenheit ? degF : degC -> degC. */
bool nr_parse_temperature(const char *text, bool fahrenheit, double *degC);

/* Water at 20 degC and 1 atm, kg/L (IAPWS-95: 998.207 kg/m3): a volume that is stated is a volume
 * as filled from the tap or the bucket. Between 4 and 30 degC that is right within 0.3 %; who knows
 * better gives the mass. */
#define NR_WATER_KG_L 0.9982

/* "900", "900 W_m2", "285Btu_h_ft2", "5 mph": a number in any unit of a dimension, or a bare one in
 * `bare`, the name of a unit -> that unit. '/' may stand for '_' (W/m2). Temperatures are taken as
 * differences. Where bare is a mass, volumes are of water. False leaves *out untouched. */
bool nr_parse_quantity(const char *text, const char *bare, double *out);

/* What nr_parse_quantity takes instead of a bare number: "kg, g, lb, L, mL, gal". */
void nr_quantity_units(const char *bare, char *out, size_t size);

#endif
