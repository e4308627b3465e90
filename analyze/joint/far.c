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
/* One mass in twenty is not what the rig file says: another fill's, a bucket that was not counted,
 * the container weighed with the water. It is off by a seventh, to either side. Common practice, no
 * source. */
#define MISTAKEN 0.05
#define MISTAKEN_FAR 0.15
/* What the loop carried is a product of readings, known as well as meter and probes are while the
 * flow stays the same. Where the pump follows the sun, or stops and starts, lags come in and slugs
 * that pass between two readings: the loop is then no witness against the rig file's mass (it told
 * of 5 % too little, bench-coverage's `stalling`). */
#define STEADY 0.05
/* Less than this share of the prior's precision from the record is nothing heard. */
#define HEARD 1e-5
/* What is added is worth another solution when it is this part of what the record knows: the
 * estimate then moves by a twelfth of the way. */
#define WORTH 0.3

/* Of many records some look as if, by chance, and all would be solved twice for that; what one
 * leak does to them all together is little, and each container is examined (container.c). */
#define MOST_RUNS 4

typedef struct far_off {
    double by;     /* scale */
    double chance; /* beforehand */
    bool both;     /* sides */
} far_off;

/* Of one parameter; 0 where the record does not speak of it, or not worth it. */
static double found_far(const nr_joint *j, int index, far_off far)
{
    if (index < 0)
        return 0;
    /* A normal of both sides has on each half of the chance, of what one side's has. */
    double chance = far.both ? far.chance / 2 : far.chance;
    const nr_parameter *p = &j->parameter[index];
    double before = 1 / (p->prior_u * p->prior_u);
    double heard = 1 / j->covariance[(size_t)index * (j->parameters + 1)] - before;
    if (!(heard > HEARD * before))
        return 0;
    double d = (j->x[index] - p->prior) * (1 + before / heard);
    if (far.both)
        d = fabs(d);
    double variance = nr_mixture_variance(d, sqrt(1 / heard), p->prior_u, far.by, chance);
    return variance * heard > WORTH * WORTH ? variance : 0;
}

/* *u: what was added before, by an earlier call, is in the prior. */
static bool take(double variance, double *u)
{
    *u = hypot(*u, sqrt(variance));
    return variance > 0;
}

/* Of the flow between a part's first and last pumped block (none while it stands): standard
 * deviation over mean. NAN where it is not known. */
static double unsteadiness(const nr_part *part)
{
    size_t first = part->blocks, end = 0;
    double n = 0, sum = 0, of_squares = 0;
    for (size_t b = 0; b < part->blocks; b++)
        if (part->pump_on[b]) {
            first = first < b ? first : b;
            end = b + 1;
        }
    for (size_t b = first; b < end; b++) {
        double flow = part->pump_on[b] ? part->flow_L_min[b] : 0;
        if (isnan(flow))
            continue;
        n++;
        sum += flow;
        of_squares += flow * flow;
    }
    double mean = sum / n;
    return sqrt(fmax(of_squares / n - mean * mean, 0)) / mean;
}

bool nr_joint_far(const nr_joint *j, nr_joint_options *options)
{
    bool any = false, run_done[NR_JOINT_RUNS] = {false}, build_done[NR_JOINT_RUNS] = {false};
    for (size_t i = 0; j->runs <= MOST_RUNS && i < j->pieces; i++) {
        const nr_piece *p = &j->piece[i];
        int gone = p->index[NR_TERM_LOST], open = p->index[NR_TERM_OPENING];
        if (!p->driven || !p->fits[NR_OUT_STORE])
            continue;
        if (gone >= 0 && !run_done[p->run] && !j->parameter[gone].stated)
            any |= take(found_far(j, gone, (far_off){GONE_FAR, CHANCE, false}),
                        &options->gone_u[p->run]);
        if (!run_done[p->run] && unsteadiness(p->part) <= STEADY)
            any |=
                take(found_far(j, p->index[NR_TERM_WATER], (far_off){MISTAKEN_FAR, MISTAKEN, true}),
                     &options->water_u[p->run]);
        if (open >= 0 && !build_done[p->build])
            any |= take(
                found_far(j, open, (far_off){OPEN_FAR * j->parameter[open].prior_u, CHANCE, false}),
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
        alone->water_u[k] = whole->water_u[run[k]];
    }
}
