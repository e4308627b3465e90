/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/allow.h"

#include "analyze/joint/evaluate.h"
#include "analyze/joint/misreading.h"

#include <math.h>

/* Slow wander of the store beyond this is not wind or mixing: both leave about 0.01 K, an unseen
 * pump stop of two minutes 0.05 K (virtual rig). What its share of the rise does to the gain and to
 * the loss, as factors: the spread of the effect there. */
#define HIDDEN_WANDER_K 0.03
#define HIDDEN_GAIN 4.0
#define HIDDEN_LOSS 10.0
/* Fewer readings tell no wander. */
#define TELLS_WANDER 12
/* Of a loss near nothing no share can be said, W/(m2 K). */
#define LEAST_LOSS 0.3

/* Of what is left of the store, K. */
static double rms_of(const nr_joint *j, const nr_piece *p)
{
    double sum = 0;
    for (size_t b = 0; b < p->part->blocks; b++)
        if (p->used[NR_OUT_STORE][b])
            sum += pow(j->residual[p->row[NR_OUT_STORE] + b], 2);
    return sqrt(sum / (double)p->used_count[NR_OUT_STORE]);
}

/* The parameter is in no reading, so its posterior is its prior: both are widened together. */
static void widen(nr_joint *j, int parameter, double u)
{
    nr_parameter *p = &j->parameter[parameter];
    p->prior_u = p->scale = hypot(p->prior_u, u);
    p->said_u = hypot(p->said_u, u);
    j->covariance[(size_t)parameter * (j->parameters + 1)] = p->prior_u * p->prior_u;
}

/* A pump that stopped unseen leaves steps in the store's temperature that the fit can only call
 * wander. Where nothing in the record tells of the pump and the wander is far above what wind and
 * mixing leave, its share of the rise is taken as an error of the gain and, more, of the loss. */
void nr_joint_allow_for_hidden_stops(nr_joint *j)
{
    for (size_t i = 0; i < j->pieces; i++) {
        const nr_piece *p = &j->piece[i];
        if (p->series->pump_known || p->driven || !p->fits[NR_OUT_STORE] ||
            p->fits[NR_OUT_OUTLET] || p->used_count[NR_OUT_STORE] < TELLS_WANDER)
            continue;
        const nr_noise *n = &p->noise[NR_OUT_STORE];
        /* A few readings' noise is partly taken, not seen. */
        double seen = p->series->sparse ? fmin(n->sigma, rms_of(j, p)) : n->sigma;
        double wander = seen * sqrt(n->slow), rise = nr_piece_store_rise_K(p);
        if (wander < HIDDEN_WANDER_K || !(rise > 0) || !(wander > j->hidden_K[p->build]))
            continue;
        j->hidden_K[p->build] = wander;
        widen(j, p->index[NR_TERM_MODEL_GAIN], HIDDEN_GAIN * wander / rise);
        widen(j, p->index[NR_TERM_MODEL_LOSS], HIDDEN_LOSS * wander / rise);
    }
}

static bool shows_the_sun(const nr_joint *j, size_t run)
{
    bool all = true;
    for (size_t i = 0; i < j->pieces; i++) {
        const nr_piece *p = &j->piece[i];
        bool fitted = p->fits[NR_OUT_STORE] || p->fits[NR_OUT_INLET] || p->fits[NR_OUT_OUTLET];
        all = all && (p->run != run || !fitted || nr_piece_shows_sun(p));
    }
    return all;
}

/* What the sun did between its readings is a slope by chance, too: it turns the curve as the
 * model's own error does. Runs of one build are independent in this. */
void nr_joint_allow_for_unseen_sun(nr_joint *j)
{
    for (size_t b = 0; b < j->builds; b++) {
        double weight = 0;
        bool all = true;
        size_t first = j->pieces;
        for (size_t r = 0; r < j->runs; r++) {
            double u = shows_the_sun(j, r) ? 0 : j->series[r]->unseen_slope_W_m2K;
            all = all && (j->build_of[r] != b || u > 0);
            weight += j->build_of[r] == b && u > 0 && isfinite(u) ? 1 / (u * u) : 0;
        }
        for (size_t i = j->pieces; i-- > 0;)
            first = j->piece[i].build == b ? i : first;
        if (!all || !(weight > 0) || first == j->pieces)
            continue;
        double gain = nr_joint_term(j, first, NR_TERM_OPTICAL, j->x);
        double loss = fmax(fabs(nr_joint_term(j, first, NR_TERM_LOSS, j->x)), LEAST_LOSS);
        /* Nobody knows less of it than beforehand. */
        int slope = j->piece[first].index[NR_TERM_LOSS];
        double beforehand = slope >= 0 ? j->parameter[slope].prior_u : INFINITY;
        widen(j, j->piece[first].index[NR_TERM_MODEL_LOSS],
              fmin(gain / sqrt(weight), beforehand) / loss);
    }
}
