/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/predict_advice.h"

#include "analyze/fit/safety.h"
#include "analyze/forecast/reach.h"

#include <math.h>

/* A wind this near the records' own needs no word. */
#define SAME_WIND_M_S 0.5

static nr_remedy remedy(const nr_solved *s, const nr_heatup_case *c, const nr_predict *p)
{
    nr_remedy r = {NR_REMEDY_NONE, NAN, NAN, NAN, NAN, NAN};
    if (!p->day.clear_sky && p->day.sun_W_m2 < s->panel_start_W_m2) { /* false for NAN */
        r.kind = NR_REMEDY_PANEL;
        r.panel_start_W_m2 = s->panel_start_W_m2;
        return r;
    }
    nr_heatup_case wanted = *c;
    wanted.limit_s = p->day.limit_s;
    r.start_degC = ceil(nr_reach_start_degC(s->joint, &wanted));
    r.water_kg = nr_reach_water_kg(s->joint, &wanted);
    r.times_area = nr_reach_grow(s->joint, &wanted);
    r.area_m2 = r.times_area * nr_solved_rig(s)->collector.gross_area_m2.value;
    bool any = isfinite(r.start_degC) || isfinite(r.water_kg) || isfinite(r.times_area);
    r.kind = any ? NR_REMEDY_WAYS : NR_REMEDY_OTHER_BUILD;
    return r;
}

static void weather_cautions(const nr_solved *s, nr_predict *p)
{
    const nr_day *d = &p->day;
    if (d->clear_sky)
        nr_warning_add(&p->cautions, NR_WARN_CLEAR_SKY, .number = {d->u_sun});
    else if (!d->same_meter)
        nr_warning_add(&p->cautions, NR_WARN_TRUE_IRRADIANCE);
    else
        nr_warning_add(&p->cautions, NR_WARN_SAME_METER);
    if (isfinite(s->panel_stall_W_m2))
        nr_warning_add(
            &p->cautions, NR_WARN_PANEL_PUMP,
            .number = {s->panel_start_W_m2, s->panel_stall_W_m2, p->fit->mean_flow_L_min});
    bool wind = nr_joint_index(s->joint, s->at.piece, NR_TERM_WIND) >= 0;
    if (isfinite(d->wind_m_s) && !wind &&
        !(isfinite(s->wind_m_s) && fabs(d->wind_m_s - s->wind_m_s) < SAME_WIND_M_S))
        nr_warning_add(&p->cautions, NR_WARN_WIND_UNUSED);
}

void nr_predict_advise(const nr_solved *s, const nr_heatup_case *c, nr_predict *p)
{
    const nr_fit *f = p->fit;
    if (!p->reached)
        p->remedy = remedy(s, c, p);
    if (p->outside_tested)
        nr_warning_add(
            &p->cautions, NR_WARN_OUTSIDE_TESTED,
            .number = {f->dT_range[0], f->dT_range[1], f->sun_range[0], f->sun_range[1]});
    if (c->u_contained_W_K > 0)
        nr_warning_add(&p->cautions, NR_WARN_OTHER_CONTAINER,
                       .number = {c->contained_W_K, c->u_contained_W_K});
    weather_cautions(s, p);
    nr_safety_water(&p->cautions, &p->final_degC);
    nr_safety_stagnation(&p->cautions, p->fit);
    for (size_t r = 0; r < s->runs; r++)
        nr_safety_closed_loop(&p->cautions, s->series[r]->run);
}
