/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/compare/skies.h"

#include <math.h>

#define SQRT3 1.7320508075688772
/* Mean wind of a fair day's hour at a collector's height: anywhere from 0.5 to 3 m/s, so half of
 * that over sqrt(3) (JCGM 100, 4.3.7); what it does to the loss, W/(m2 K) per m/s, and to the gain
 * of a bare absorber: as the fit's own priors for wind (joint/terms_collector.c). Common practice,
 * no source. */
#define WIND_U_M_S (1.25 / SQRT3)
#define WIND_LOSS_GLAZED 0.3
#define WIND_LOSS_BARE 3.0
#define WIND_GAIN_BARE 0.007
/* Glass lets a tenth less of a uniform sky through than of beam (1/(1 + b0), physics/iam.h), and
 * the diffuse share of fair days is anywhere from 0.1 to 0.3: of the gain. A bare absorber loses
 * nothing so. */
#define CLOUDS_GAIN_GLAZED (0.1 * 0.1 / SQRT3)

void nr_skies_find(const nr_joint *j, nr_skies *w)
{
    size_t sky[NR_JOINT_RUNS];
    *w = (nr_skies){.count = 0};
    for (size_t r = 0; r < nr_joint_runs(j); r++) {
        sky[r] = w->count;
        for (size_t s = r; s-- > 0;)
            if (nr_series_same_time(nr_joint_series(j, r), nr_joint_series(j, s)))
                sky[r] = sky[s];
        w->count += sky[r] == w->count;
    }
    for (size_t b = 0; b < nr_joint_builds(j); b++) {
        double runs = 0;
        for (size_t r = 0; r < nr_joint_runs(j); r++)
            runs += nr_joint_build_of(j, r) == b;
        for (size_t r = 0; r < nr_joint_runs(j); r++)
            if (nr_joint_build_of(j, r) == b)
                w->share[b][sky[r]] += 1 / runs;
    }
}

size_t nr_skies_factors(const nr_skies *w)
{
    return w->count > 1 ? 2 * w->count : 0;
}

/* What the change of a term does, by the gradient. */
static double effect_of(const nr_joint *part, nr_term term, double change, const double *gradient)
{
    int i = nr_joint_index(part, 0, term);
    return i >= 0 ? gradient[i] * change : 0;
}

void nr_skies_effect(const nr_skies *w, const nr_joint *part, size_t build, const double *gradient,
                     double *effect)
{
    const nr_series *series = nr_joint_piece(part, 0).series;
    bool glazed = nr_series_glazed(&series->run->rig), measured = !isnan(series->mean_wind_m_s);
    double optical = nr_joint_term(part, 0, NR_TERM_OPTICAL, nr_joint_x(part));
    double wind =
        effect_of(part, NR_TERM_LOSS, glazed ? WIND_LOSS_GLAZED : WIND_LOSS_BARE, gradient) -
        effect_of(part, NR_TERM_OPTICAL, glazed ? 0 : WIND_GAIN_BARE * optical, gradient);
    double clouds =
        effect_of(part, NR_TERM_OPTICAL, glazed ? CLOUDS_GAIN_GLAZED * optical : 0, gradient);
    for (size_t s = 0; s < w->count && w->count > 1; s++) {
        effect[2 * s] = measured ? 0 : w->share[build][s] * WIND_U_M_S * wind;
        effect[2 * s + 1] = w->share[build][s] * clouds;
    }
}
