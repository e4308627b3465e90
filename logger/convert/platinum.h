/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Platinum resistance thermometers, IEC 60751.
 *
 * R/R0 = 1 + A t + B t^2 + C (t - 100) t^3, C only below 0 degC. r0_ohm is the resistance at 0 degC
 * (100 for a Pt100). Valid -200..850 degC, NAN outside.
 */
#ifndef NR_CONVERT_PLATINUM_H
#define NR_CONVERT_PLATINUM_H

double nr_platinum_ohm(double degC, double r0_ohm);

/* The inverse, to 1e-9 K: closed form from 0 degC up, iterated below (the closed form alone is
 * 1 mK off at -20 degC). */
double nr_platinum_degC(double ohm, double r0_ohm);

/* Tolerance of the IEC 60751 classes, +-K (a limit, not a standard uncertainty). */
typedef enum nr_platinum_class { NR_PLATINUM_AA, NR_PLATINUM_A, NR_PLATINUM_B } nr_platinum_class;
double nr_platinum_tolerance_K(nr_platinum_class which, double degC);

#endif
