/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/far.h"

#include "analyze/estimate/mixture.h"
#include "analyze/joint/inside.h"

#include <math.h>

/* One container in ten leaks, runs over or stands open in the wind and nobody says so. A tap that
 * is not quite closed takes a tenth of the water in an hour. Common practice, no source. */
#define CHANCE 0.1
#define GONE_FAR 0.1
/* Of open water, in standard uncertainties of what is known beforehand: a trough in a fresh wind,
 * where a bucket in light air was thought of, has six times its vapour (shape 1.6 of a bucket's,
 * wind 3 m/s for 1, another correlation's coefficient). */
#define OPEN_FAR 3.0
/* From light air to a breeze, 1 to 3 m/s, a bare plate's loss goes from 9.5 to 17.1 W/(m2 K) (5.7 +
 * 3.8 v, Duffie and Beckman, from memory): 0.57 of its mean. A sea breeze or a front does that in
 * an hour; one record in ten or fewer (common practice, no source), two thirds of those by less. By
 * a container alone three quarters of such a rise look like the smooth departures that every model
 * has (bench-power): there it is not asked. */
#define TREND_FAR 0.4
/* Less than this share of the prior's precision from the record is nothing heard. */
#define HEARD 1e-5
/* What is added is worth another solution when it is this part of what the record knows: the
 * estimate then moves by a twelfth of the way. */
#define WORTH 0.3

/* Of many records some look as if, by chance, and all would be solved twice for that; what one
 * leak does to them all together is little, and each container is examined (container.c). */
#define MOST_RUNS 4

/* Of one parameter, more than usual or either way; 0 where the record does not speak of it, or not
 * worth it. */
static double found_far(const nr_joint *j, int index, double far, bool either_way)
{
    if (index < 0)
        return 0;
    const nr_parameter *p = &j->parameter[index];
    double before = 1 / (p->prior_u * p->prior_u);
    double heard = 1 / j->covariance[(size_t)index * (j->parameters + 1)] - before;
    if (!(heard > HEARD * before))
        return 0;
    double d = (j->x[index] - p->prior) * (1 + before / heard);
    double variance = nr_mixture_variance(either_way ? fabs(d) : d, sqrt(1 / heard), p->prior_u,
                                          far, either_way ? CHANCE / 2 : CHANCE);
    return variance * heard > WORTH * WORTH ? variance : 0;
}

/* *u: what was added before, by an earlier call, is in the prior. */
static bool take(double variance, double *u)
{
    *u = hypot(*u, sqrt(variance));
    return variance > 0;
}

bool nr_joint_far(const nr_joint *j, nr_joint_options *options)
{
    bool any = false, run_done[NR_JOINT_RUNS] = {false}, build_done[NR_JOINT_RUNS] = {false};
    bool wind_done[NR_JOINT_RUNS] = {false};
    for (size_t i = 0; j->runs <= MOST_RUNS && i < j->pieces; i++) {
        const nr_piece *p = &j->piece[i];
        int gone = p->index[NR_TERM_LOST], open = p->index[NR_TERM_OPENING];
        int trend = p->index[NR_TERM_LOSS_TREND];
        if (trend >= 0 && p->driven && !wind_done[p->run])
            any |= take(found_far(j, trend, TREND_FAR, true), &options->trend_u[p->run]);
        wind_done[p->run] |= trend >= 0;
        if (!p->driven || !p->fits[NR_OUT_STORE])
            continue;
        if (gone >= 0 && !run_done[p->run] && !j->parameter[gone].stated)
            any |= take(found_far(j, gone, GONE_FAR, false), &options->gone_u[p->run]);
        if (open >= 0 && !build_done[p->build])
            any |= take(found_far(j, open, OPEN_FAR * j->parameter[open].prior_u, false),
                        &options->open_u_m2[p->build]);
        run_done[p->run] = build_done[p->build] = true;
    }
    return any;
}

void nr_far_options_of(const nr_joint_options *whole, size_t build, const size_t *run, size_t runs,
                       nr_joint_options *alone)
{
    alone->container[0] = whole->container[build];
    alone->without_container[0] = whole->without_container[build];
    alone->open_u_m2[0] = whole->open_u_m2[build];
    for (size_t k = 0; k < runs; k++) {
        alone->gone_u[k] = whole->gone_u[run[k]];
        alone->trend_u[k] = whole->trend_u[run[k]];
    }
}
