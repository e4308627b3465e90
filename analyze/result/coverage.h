/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Effective degrees of freedom and the coverage factor that goes with them (JCGM 100:2008, annex
 * G).
 */
#ifndef NR_RESULT_COVERAGE_H
#define NR_RESULT_COVERAGE_H

/* Student's t for a two-sided level (0.95), with the degrees of freedom cut to the next lower whole
 * number (G.4.1) and at least 1; INFINITY: the normal distribution's. */
double nr_coverage_factor(double level, double dof);

/* Degrees of freedom of an uncertainty that is itself known to this part of it (G.4.2, eq. G.3). */
double nr_dof_of_reliability(double relative);

#endif
