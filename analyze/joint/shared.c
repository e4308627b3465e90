/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What setting up and the rows of the table share. */
#include "analyze/joint/inside.h"
#include "analyze/physics/iam.h"

#include <math.h>

bool nr_joint_has_loop(const nr_joint *j, const nr_series *series)
{
    return j->options.use_loop && series->part[0].reading[NR_OUT_OUTLET] &&
           (series->part[0].reading[NR_OUT_INLET] || series->part[0].reading[NR_OUT_STORE]) &&
           series->flow_known;
}

/* Of 20 L, W/K; it grows with the surface. Common practice, no source. */
#define USUAL_STORE_LOSS_W_K 2.0

double nr_joint_usual_store_loss_W_K(double water_kg)
{
    return USUAL_STORE_LOSS_W_K * pow(water_kg / 20, 2.0 / 3);
}

/* Misread alike on any day. */
static bool kin(const nr_joint *j, const nr_series *a, const nr_series *b)
{
    return nr_glazing_covers(a->run->rig.collector.glazing) ==
               nr_glazing_covers(b->run->rig.collector.glazing) &&
           nr_joint_has_loop(j, a) == nr_joint_has_loop(j, b);
}

static bool like_builds(const nr_joint *j, size_t a, size_t b)
{
    for (size_t r = 0; r < j->runs; r++)
        for (size_t s = 0; j->build_of[r] == a && s < j->runs; s++)
            if (j->build_of[s] == b && kin(j, j->series[r], j->series[s]) &&
                nr_series_same_time(j->series[r], j->series[s]))
                return true;
    return false;
}

bool nr_joint_has_kin(const nr_joint *j, size_t build)
{
    for (size_t r = 0; r < j->runs; r++)
        for (size_t s = 0; j->build_of[r] == build && s < j->runs; s++)
            if (j->build_of[s] != build && kin(j, j->series[r], j->series[s]))
                return true;
    return false;
}

size_t nr_joint_first_like(const nr_joint *j, size_t build)
{
    bool in[NR_JOINT_RUNS] = {false}, grown = true;
    in[build] = true;
    while (grown) { /* whoever is like one of them is one of them */
        grown = false;
        for (size_t a = 0; a < j->builds; a++)
            for (size_t b = 0; in[a] && b < j->builds; b++)
                if (!in[b] && like_builds(j, a, b))
                    in[b] = grown = true;
    }
    size_t first = 0;
    while (!in[first])
        first++;
    return first;
}

size_t nr_joint_first_at(const nr_joint *j, size_t run)
{
    for (size_t r = 0; r < run; r++)
        if (nr_series_same_time(j->series[r], j->series[run]))
            return r;
    return run;
}

double nr_relative_u(const nr_value *v, double assumed, bool *stated)
{
    *stated = v->u_given;
    return v->u_given ? v->u / v->value : assumed;
}
