/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the weather does to a comparison when nobody measured it. Under one sky all builds have the
 * same wind and the same clouds, and the comparison is for such weather. Under different skies each
 * record brings its own: the mean wind it blew, which a collector without a wind channel has in its
 * loss, and the share of diffuse light, which it has in its gain. */
#ifndef NR_COMPARE_SKIES_H
#define NR_COMPARE_SKIES_H

#include "analyze/compare/compare.h"
#include "analyze/joint/joint.h"

/* Two factors a sky: wind and clouds; none where there is one sky only. */
typedef struct nr_skies {
    size_t count;
    double share[NR_BUILDS][NR_JOINT_RUNS]; /* [build][sky]: share of its runs */
} nr_skies;

void nr_skies_find(const nr_joint *joint, nr_skies *weather);

size_t nr_skies_factors(const nr_skies *weather);

/* What one standard uncertainty of each factor does to a result of a build, into effect[factors];
 * gradient [parameters of the part]. */
void nr_skies_effect(const nr_skies *weather, const nr_joint *part, size_t build,
                     const double *gradient, double *effect);

#endif
