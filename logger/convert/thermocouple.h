/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thermocouples type K and T on the ITS-90 (IEC 60584-1, NIST Monograph 175).
 *
 * emf in mV against a reference junction at 0 degC. A thermocouple measures between its two
 * junctions: the emf of the reference junction's temperature is added to the measured one and the
 * sum is converted. Adding the temperatures instead is wrong by up to 2 K at 60 degC.
 */
#ifndef NR_CONVERT_THERMOCOUPLE_H
#define NR_CONVERT_THERMOCOUPLE_H

typedef enum nr_thermocouple { NR_THERMOCOUPLE_K, NR_THERMOCOUPLE_T } nr_thermocouple;

/* K: -270..1372 degC, T: -270..400 degC; NAN outside. */
double nr_thermocouple_mV(nr_thermocouple type, double degC);

/* K: -200..500 degC, T: -200..400 degC; NAN outside. The inverse polynomials of the tables are up
 * to 0.05 K off; this one is refined on the forward function and returns it to 1e-6 K. */
double nr_thermocouple_degC(nr_thermocouple type, double mV);

/* measured_mV at the terminals, whose temperature is cold_degC -> temperature of the hot end. */
double nr_thermocouple_hot_degC(nr_thermocouple type, double measured_mV, double cold_degC);

#endif
