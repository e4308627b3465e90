/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thermistors with a negative temperature coefficient (NTC): resistance and temperature.
 *
 * Resistances in ohm, temperatures in degC. Every function returns NAN for a resistance that is
 * not positive and finite, and for a temperature outside NR_NTC_LOW_DEGC..NR_NTC_HIGH_DEGC: no bead
 * thermistor is specified outside, so such a reading is a short or an open circuit.
 */
#ifndef NR_CONVERT_NTC_H
#define NR_CONVERT_NTC_H

#include <stdbool.h>

#define NR_NTC_LOW_DEGC (-60.0)
#define NR_NTC_HIGH_DEGC 300.0

/* 1/T = 1/298.15 + ln(R/R25)/beta, T in K. One parameter; it is within a few tenths of a kelvin
 * near the two temperatures beta was taken at and about 1 K off at 100 degC. */
double nr_ntc_beta_degC(double ohm, double r25_ohm, double beta_K);
/* Steinhart and Hart 1968: 1/T = a + b ln R + c (ln R)^3. */
double nr_ntc_steinhart_degC(double ohm, double a, double b, double c);

/* The form makers print: 1/T = a + b L + c L^2 + d L^3 with L = ln(R/R25). */
double nr_ntc_four_term_degC(double ohm, double r25_ohm, double a, double b, double c, double d);

/* The thermistor in a voltage divider. ratio: measured voltage over the divider's supply voltage.
 * high_side: the thermistor sits between supply and measuring point; otherwise between measuring
 * point and ground. NAN at 0 and 1 and outside: a broken or shorted wire. */
double nr_divider_ohm(double ratio, double series_ohm, bool high_side);

#endif
