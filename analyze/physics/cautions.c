/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cautions; see cautions.h. */
#include "analyze/physics/cautions.h"

#include "logger/base/units.h"

#include <math.h>
#include <stdio.h>

const nr_scald_row nr_scald_table[NR_SCALD_ROWS] = {
    {48.9, 120.0, 300.0}, {51.7, 125.0, 90.0}, {54.4, 130.0, 30.0},
    {57.2, 135.0, 10.0},  {60.0, 140.0, 5.0},  {65.6, 150.0, 2.0},
};

double nr_scald_seconds(double degC)
{
    if (isnan(degC))
        return NAN;
    if (degC < NR_SCALD_FROM_DEGC)
        return INFINITY;
    const nr_scald_row *row = nr_scald_table;
    if (degC <= row[0].degC)
        return row[0].seconds;
    for (int i = 1; i < NR_SCALD_ROWS; i++) {
        if (degC > row[i].degC)
            continue;
        double part = (degC - row[i - 1].degC) / (row[i].degC - row[i - 1].degC);
        return row[i - 1].seconds * pow(row[i].seconds / row[i - 1].seconds, part);
    }
    return row[NR_SCALD_ROWS - 1].seconds;
}

static const char *unit(bool fahrenheit)
{
    return fahrenheit ? "\u00b0F" : "\u00b0C";
}

bool nr_caution_scald(double degC, bool fahrenheit, char *out, size_t size)
{
    if (size > 0)
        out[0] = '\0';
    double seconds = nr_scald_seconds(degC);
    if (!isfinite(seconds))
        return false;
    char time[32];
    if (degC > nr_scald_table[NR_SCALD_ROWS - 1].degC)
        snprintf(time, sizeof time, "less than 2 seconds");
    else if (seconds >= 90.0)
        snprintf(time, sizeof time, "about %.0f minutes", seconds / 60.0);
    else
        snprintf(time, sizeof time, "about %.0f seconds", seconds);
    snprintf(out, size,
             "Water of %.0f %s scalds adult skin in %s, a child's sooner; mix it down before use.",
             nr_degC_shown(degC, fahrenheit), unit(fahrenheit), time);
    return true;
}

bool nr_caution_legionella(double degC, bool fahrenheit, char *out, size_t size)
{
    if (size > 0)
        out[0] = '\0';
    if (!(degC >= NR_LEGIONELLA_LOW_DEGC && degC <= NR_LEGIONELLA_HIGH_DEGC))
        return false;
    const char *u = unit(fahrenheit);
    snprintf(out, size,
             "Legionella grows in water standing between %.0f and %.0f %s: use it the same day or "
             "throw it away; water kept for later must be stored at %.0f %s.",
             nr_degC_shown(NR_LEGIONELLA_LOW_DEGC, fahrenheit),
             nr_degC_shown(NR_LEGIONELLA_HIGH_DEGC, fahrenheit), u, nr_degC_shown(60.0, fahrenheit),
             u);
    return true;
}

const char *nr_caution_text(nr_caution which)
{
    static const char *const text[NR_CAUTIONS] = {
        [NR_CAUTION_STAGNATION] =
            "A collector in the sun without flow can get far hotter than any water in it did: it "
            "burns skin, softens plastics, cracks glass and turns refilled water to steam. Cover "
            "it before you fill, open or carry it.",
        [NR_CAUTION_CLOSED_LOOP] =
            "Never heat a loop that is closed at both ends: leave a vent open or fit a relief "
            "valve.",
        [NR_CAUTION_POTABLE] =
            "For water that people drink or wash with, use tube, solder and fittings made for "
            "drinking water; tube made for refrigeration is not.",
        [NR_CAUTION_ELECTRIC] =
            "Near water keep to fused low-voltage wiring, and put anything on the mains behind "
            "earth-leakage protection.",
        [NR_CAUTION_CODES] = "Local codes and licensed practice decide what may be installed.",
    };
    return (unsigned)which < NR_CAUTIONS ? text[which] : NULL;
}
