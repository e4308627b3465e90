/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/season/inside.h"

#include "analyze/physics/water.h"

#include <math.h>
#include <stdlib.h>

#define TURN_DEG 15.0
#define LATER_S 7200.0
#define MORE_WATER 1.5
#define LESS_WATER (2.0 / 3)
#define SHORTEST_S 3600.0
#define YEAR_DAYS 365.0

/* The question with a change made; false: it is so already, or makes no sense. */
static bool apply(const nr_solved *s, nr_season_change change, nr_season_question *q)
{
    double area = isnan(q->area_m2) ? nr_solved_rig(s)->collector.gross_area_m2.value : q->area_m2;
    double loss = isnan(q->store_loss_W_K) && s->fit->store_loss.known ? s->fit->store_loss.value
                                                                       : q->store_loss_W_K;
    switch (change) {
    case NR_CHANGE_SECOND:
        q->area_m2 = 2 * area;
        return true;
    case NR_CHANGE_LID:
        q->store_loss_W_K = loss / 2;
        return loss > 0; /* false for NAN: a loss that cannot be told apart cannot be halved */
    case NR_CHANGE_MORE_WATER:
        q->water_kg *= MORE_WATER;
        return true;
    case NR_CHANGE_LESS_WATER:
        q->water_kg *= LESS_WATER;
        return true;
    case NR_CHANGE_STEEPER:
        q->tilt_deg += TURN_DEG;
        return !q->re_aimed && q->tilt_deg <= 90;
    case NR_CHANGE_FLATTER:
        q->tilt_deg -= TURN_DEG;
        return !q->re_aimed && q->tilt_deg >= 0;
    case NR_CHANGE_RE_AIMED:
        if (q->re_aimed)
            return false;
        q->re_aimed = true;
        return true;
    case NR_CHANGE_EARLIER:
        q->start_s -= LATER_S;
        return q->start_s >= 4 * 3600.0;
    case NR_CHANGE_LATER:
        q->start_s += LATER_S;
        return q->by_s - q->start_s >= SHORTEST_S;
    default:
        return false;
    }
}

/* Sums of a year: days reached by each draw, and of the best estimate uses and heat. */
typedef struct sums {
    double reached, uses, heat_kWh;
    double *of_draw; /* [draws] */
} sums;

static nr_code add_up(const nr_season_run *run, const nr_season_question *q, sums *out, nr_err *err)
{
    double years = fmax((double)run->days / YEAR_DAYS, 1);
    out->of_draw = calloc(run->draws + 1, sizeof *out->of_draw);
    if (!out->of_draw)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t d = 0; d < run->days; d++) {
        const nr_season_day *day = &run->day[d];
        double rise = fmax(day->warmest_degC - day->from_degC, 0);
        out->reached += (day->warmest_degC >= q->to_degC) / years;
        out->uses += day->uses / years;
        out->heat_kWh +=
            q->water_kg * nr_water_cp_J_kgK(day->from_degC + rise / 2) * rise / 3.6e6 / years;
        for (size_t k = 0; k < run->draws; k++)
            out->of_draw[k] += (run->warmest[k * run->days + d] >= q->to_degC) / years;
    }
    return NR_OK;
}

static nr_code one(const nr_solved *s, const nr_season_draws *draws, const nr_hourly *weather,
                   const nr_season_question *q, sums *out, nr_err *err)
{
    nr_season_run run = {0};
    nr_code code = nr_season_simulate(s, draws, weather, q, NULL, NULL, &run, err);
    if (!code)
        code = add_up(&run, q, out, err);
    nr_season_run_free(&run);
    return code;
}

static void set_against(const sums *now, const sums *then, size_t draws, nr_season_gain *g)
{
    g->possible = true;
    g->reached = now->reached - then->reached;
    g->uses = now->uses - then->uses;
    g->heat_kWh = now->heat_kWh - then->heat_kWh;
    for (size_t k = 0; k < draws; k++)
        now->of_draw[k] -= then->of_draw[k];
    nr_season_interval(now->of_draw, draws, &g->lo95, &g->hi95);
}

static int best_first(const void *a, const void *b)
{
    const nr_season_gain *x = a, *y = b;
    if (x->possible != y->possible)
        return x->possible ? -1 : 1;
    if (x->reached != y->reached)
        return x->reached > y->reached ? -1 : 1;
    if (x->uses != y->uses)
        return x->uses > y->uses ? -1 : 1;
    return (x->change > y->change) - (x->change < y->change);
}

nr_code nr_season_changes(const nr_run *const *runs, size_t count, const nr_hourly *weather,
                          const nr_season_question *question, const nr_fit_options *options,
                          nr_season_progress progress, void *progress_context,
                          nr_season_gain gain[NR_CHANGES], nr_err *err)
{
    nr_solved solved;
    nr_season_draws draws = {0};
    nr_season_question q = *question;
    sums then = {0};
    nr_code code = nr_solve_runs(runs, count, options, &solved, err);
    if (!code)
        code = nr_season_complete(&solved, weather, &q, err);
    if (!code)
        code = nr_season_draw(&solved, q.draws, q.seed, &draws, err);
    if (!code)
        code = one(&solved, &draws, weather, &q, &then, err);
    for (int c = 0; !code && c < NR_CHANGES; c++) {
        nr_season_question changed = q;
        sums now = {0};
        gain[c] = (nr_season_gain){.change = (nr_season_change)c};
        if (progress)
            progress(progress_context, (size_t)c, NR_CHANGES);
        if (!apply(&solved, (nr_season_change)c, &changed))
            continue;
        code = one(&solved, &draws, weather, &changed, &now, err);
        if (!code)
            set_against(&now, &then, draws.count, &gain[c]);
        free(now.of_draw);
    }
    free(then.of_draw);
    nr_season_draws_free(&draws);
    nr_solved_free(&solved);
    if (!code)
        qsort(gain, NR_CHANGES, sizeof *gain, best_first);
    return code;
}
