/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/misreading.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What a store's reading wanders in health: mixing, layers, a probe's own drift (0.05 K of slow
 * noise is no fault of a record), a share of the rise on top (misreading.h). Common practice, no
 * source. */
#define HEALTHY_WANDER_K 0.03
/* A limit for the healthy is three times what is usual, as on a control chart (Shewhart). */
#define USUAL_PART (1.0 / 3)
/* Probes and flow that are read seldom miss as much of the loop's heat as the sun's readings miss
 * of the sun, each. */
#define MISSED 2.0
/* Correlation of neighbouring blocks that is none worth the name. */
#define NO_MEMORY 0.6
/* Records are alike as far as their means over the sunny time are; these are standard deviations of
 * a bell. From one morning to the next of a week the air and the haze differ by less, between a
 * cold and a hot start or clear sky and clouds by more. Common practice, no source. */
#define ALIKE_K 5.0
#define ALIKE_W_M2 100.0

/* A front takes the tube's transit to come out. Eight mixed cells smear it: against a tube that
 * does not mix they are late by 0.14 of the transit at its end (E[(1 - X)+] of an Erlang
 * distribution of eight stages and mean 1; computed), by about half of that all over the front. */
#define FRONT_SHARE 0.07
/* Fronts below this are lost in a field probe's block means, K; so many such blocks tell a noise.
 */
#define EVEN_K 0.02
#define EVEN_ENOUGH 60

static nr_piece_means means_of(const nr_piece *p)
{
    const nr_part *part = p->part;
    size_t each = part->blocks ? part->steps / part->blocks : 0;
    nr_piece_means m = {0, 0, 0, 0};
    for (size_t b = 0; p->driven && p->fits[NR_OUT_OUTLET] && b < part->blocks; b++) {
        double inlet = part->inlet_degC[b * each], rise = part->reading[NR_OUT_OUTLET][b] - inlet;
        double over = inlet - part->air_degC[b * each] + rise / 2;
        if (!p->used[NR_OUT_OUTLET][b] || isnan(over))
            continue;
        m.over_air_K += over;
        m.sun_W_m2 += part->sun_W_m2[b * each];
        m.rise_K += fabs(rise);
        m.blocks++;
    }
    if (m.blocks > 0) {
        m.over_air_K /= m.blocks;
        m.sun_W_m2 /= m.blocks;
        m.rise_K /= m.blocks;
    }
    return m;
}

/* How much of another record there is that is like this piece: 0 to 1. */
static double like(const nr_joint *j, const nr_piece_means *own, size_t run)
{
    double sum = 0, blocks = 0;
    for (size_t i = 0; i < j->pieces; i++) {
        const nr_piece_means *other = &j->piece[i].seen;
        double over = (other->over_air_K - own->over_air_K) / ALIKE_K;
        double sun = (other->sun_W_m2 - own->sun_W_m2) / ALIKE_W_M2;
        if (j->piece[i].run != run || !(other->blocks > 0))
            continue;
        sum += other->blocks * exp(-(over * over + sun * sun) / 2);
        blocks += other->blocks;
    }
    return blocks > 0 ? sum / blocks : 0;
}

void nr_misreading_set(nr_joint *j)
{
    for (size_t i = 0; i < j->pieces; i++)
        j->piece[i].seen = means_of(&j->piece[i]);
    for (size_t i = 0; i < j->pieces; i++) {
        nr_piece *p = &j->piece[i];
        p->alike = 1;
        for (size_t r = 0; r < j->runs && p->seen.blocks > 0; r++)
            if (r != p->run && j->build_of[r] == p->build)
                p->alike += NR_ALIKE * like(j, &p->seen, r);
    }
}

/* K/s at which the outlet changes about a block. */
static double rate(const nr_piece *p, size_t b)
{
    const double *v = p->part->reading[NR_OUT_OUTLET];
    size_t n = p->part->blocks, from = b > 0 ? b - 1 : 0, to = b + 1 < n ? b + 1 : b;
    double by = (v[to] - v[from]) / ((double)(to - from) * p->series->block_s);
    return isnan(by) ? 0 : by;
}

bool nr_misreading_fronts(nr_piece *p)
{
    size_t n = p->part->blocks, even = 0;
    p->fronts = calloc(n, sizeof(double));
    p->even = calloc(n, 1);
    if (!p->fronts || !p->even)
        return false;
    double late_s = hypot(p->series->step_s / 2, FRONT_SHARE * p->series->transit_s);
    for (size_t b = 0; b < n; b++) {
        double late = late_s * rate(p, b);
        p->fronts[b] = late * late;
        p->even[b] = p->used[NR_OUT_OUTLET][b] && fabs(late) < EVEN_K;
        even += p->even[b];
    }
    if (even < EVEN_ENOUGH || even < p->used_count[NR_OUT_OUTLET] / 4)
        memcpy(p->even, p->used[NR_OUT_OUTLET], n);
    p->whitener[NR_OUT_OUTLET].more = p->fronts;
    return true;
}

double nr_piece_store_rise_K(const nr_piece *p)
{
    double low = INFINITY, high = -INFINITY;
    for (size_t b = 0; b < p->part->blocks; b++) {
        if (!p->used[NR_OUT_STORE][b])
            continue;
        low = fmin(low, p->part->reading[NR_OUT_STORE][b]);
        high = fmax(high, p->part->reading[NR_OUT_STORE][b]);
    }
    return fmax(high - low, 0);
}

double nr_misreading_store_K(const nr_piece *p)
{
    double share = NR_WANDER_SHARE + MISSED * p->series->unseen_gain;
    return HEALTHY_WANDER_K + share * nr_piece_store_rise_K(p);
}

nr_noise nr_misreading_noise(const nr_piece *p, int channel, nr_noise noise)
{
    double least = channel == NR_OUT_STORE ? USUAL_PART * nr_misreading_store_K(p)
                                           : NR_WANDER_SHARE * p->seen.rise_K;
    double slow = noise.slow * noise.sigma * noise.sigma;
    double fast = noise.sigma * noise.sigma - slow;
    if (slow < least * least) {
        if (noise.phi < NO_MEMORY) { /* fast noise by chance called slow */
            fast += slow;
            slow = 0;
        }
        /* What is missing, with its own memory: the covariance of neighbours is that of both, and
         * the sum as if of first order. */
        double more = least * least - slow, phi = exp(-p->series->block_s / NR_WANDER_TAU_S);
        double own = nr_noise_slow_correlation(&noise, 1);
        noise.phi = (slow * own + more * fmax(phi, own)) / (slow + more);
        noise.phi2 = 0;
        slow += more;
    }
    slow *= p->alike;
    noise.sigma = sqrt(slow + fast);
    noise.slow = noise.sigma > 0 ? slow / (slow + fast) : 0;
    return noise;
}
