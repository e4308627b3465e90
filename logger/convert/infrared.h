/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An infrared thermometer's reading of a surface whose emissivity is not what it is set to.
 *
 * What reaches the instrument is emissivity times the surface's radiance and, for the rest, that of
 * the surroundings, which the surface reflects. The instrument takes out a rest of its own
 * temperature and divides by the emissivity it is set to. Radiance by Planck's law at 10.5 um, in
 * the middle of the usual band of 8 to 14 um; against the integral over that band it is within
 * 0.1 K from 20 to 95 degC for emissivities from 0.8, within 0.3 K for 0.3.
 */
#ifndef NR_CONVERT_INFRARED_H
#define NR_CONVERT_INFRARED_H

/* What instruments without a setting are made for, and others are shipped with. */
#define NR_EMISSIVITY_USUAL 0.95

/* The surface's temperature. NAN where there is none: less radiance than the surroundings' share.
 */
double nr_infrared_degC(double shown_degC, double emissivity_set, double instrument_degC,
                        double emissivity, double surroundings_degC);

#endif
