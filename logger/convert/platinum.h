/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Platinum resistance thermometers, IEC 60751.
 *
 * R/R0 = 1 + A t + B t^2 + C (t - 100) t^3, C only below 0 degC. r0_ohm is the resistance at 0 degC
 * (100 for a Pt100). Valid -200..850 degC, NAN outside.
 */
#ifndef NR_CONVERT_PLATINUM_H
#define NR_CONVERT_PLATINUM_H

/* Temperature of a resistance, to 1e-9 K: closed form from 0 degC up, iterated below (the closed
 * form alone is 1 mK off at -20 degC). */
double nr_platinum_degC(double ohm, double r0_ohm);

#endif
