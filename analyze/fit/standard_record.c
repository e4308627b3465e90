/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Under which conditions a record was made, and what ISO 9806 wants of them (2013/2017, steady
 * state outdoors, liquid heating collectors; limits from memory, in quality/steady.h and here). */
#include "analyze/fit/standard_parts.h"
#include "analyze/quality/steady.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MOST_DIFFUSE 0.30
#define MOST_MODIFIER_LOSS 0.02
#define FLOW_AREA_KG_S_M2 0.02
#define FLOW_AREA_BAND 0.10
#define LEAST_POINTS 16.0 /* four inlets, four points each */
#define LEAST_INLETS 4.0
#define INLETS_APART_K 3.0 /* no source: what is nearer is the same inlet temperature */
#define MOST_THERMOMETER_U_K 0.1
#define MOST_FLOW_METER_U 0.01

static const char *const names[NR_REQS] = {
    "irradiance", "irradiance-band", "diffuse-share", "incidence",    "wind-least",
    "wind-most",  "air-band",        "inlet-band",    "flow-band",    "flow-per-area",
    "rise",       "points",          "inlets",        "thermometers", "flow-meter"};

const char *nr_requirement_name(nr_requirement_code code)
{
    return names[code];
}

/* ---- conditions ---- */

typedef struct sums {
    double sum, n, lo, hi;
} sums;

static void add(sums *s, double v)
{
    if (isnan(v))
        return;
    s->lo = s->n > 0 ? fmin(s->lo, v) : v;
    s->hi = s->n > 0 ? fmax(s->hi, v) : v;
    s->sum += v;
    s->n++;
}

static const nr_fit_channel *channel_of(const nr_fit_run *r, const char *name)
{
    for (size_t c = 0; c < r->channels; c++)
        if (!strcmp(r->channel[c].name, name))
            return &r->channel[c];
    return NULL;
}

/* The fit's blocks, which are means. */
static void add_run(const nr_fit *f, const nr_fit_run *r, double max_sun, sums s[NR_SPANS])
{
    const nr_fit_channel *in = channel_of(r, "inlet"), *out = channel_of(r, "outlet");
    for (size_t b = 0; b < r->blocks; b++) {
        if (!r->pump_on[b] || !r->bright[b] || r->sun_W_m2[b] < NR_SUN_COUNTS * max_sun)
            continue;
        add(&s[NR_SPAN_SUN], r->sun_W_m2[b]);
        add(&s[NR_SPAN_AIR], r->air_degC[b]);
        add(&s[NR_SPAN_FLOW], r->flow_L_min[b] / 60 / f->gross_area_m2); /* 1 kg a litre */
        if (!in || !out)
            continue;
        add(&s[NR_SPAN_INLET], in->measured[b]);
        add(&s[NR_SPAN_RISE], out->measured[b] - in->measured[b]);
        add(&s[NR_SPAN_REDUCED],
            ((in->measured[b] + out->measured[b]) / 2 - r->air_degC[b]) / r->sun_W_m2[b]);
        add(&s[NR_SPAN_DT], (in->measured[b] + out->measured[b]) / 2 - r->air_degC[b]);
    }
}

/* What only the series has, in steps. */
static void add_series(const nr_series *series, sums s[NR_SPANS])
{
    for (size_t i = 0; i < series->parts; i++) {
        const nr_part *p = &series->part[i];
        for (size_t k = 0; k < p->steps; k++) {
            if (!nr_series_sun_counts(series, p->sun_W_m2[k]) || !(p->flow_W_K[k] > 0))
                continue;
            if (p->wind_m_s)
                add(&s[NR_SPAN_WIND], p->wind_m_s[k] + series->wind_zero_m_s);
            if (p->diffuse)
                add(&s[NR_SPAN_DIFFUSE], p->diffuse[k] / p->sun_W_m2[k]);
        }
    }
}

void nr_standard_conditions(const nr_joint *j, const nr_fit *f, nr_standard *out)
{
    sums s[NR_SPANS] = {{0}};
    double max_sun = 0;
    for (size_t i = 0; i < f->runs; i++)
        for (size_t b = 0; b < f->run[i].blocks; b++)
            max_sun = fmax(max_sun, f->run[i].sun_W_m2[b]);
    for (size_t i = 0; i < f->runs; i++)
        add_run(f, &f->run[i], max_sun, s);
    for (size_t r = 0; r < nr_joint_runs(j); r++)
        add_series(nr_joint_series(j, r), s);
    for (int k = 0; k < NR_SPANS; k++)
        out->span[k] = s[k].n > 0 ? (nr_standard_span){s[k].sum / s[k].n, s[k].lo, s[k].hi}
                                  : (nr_standard_span){NAN, NAN, NAN};
    if (f->incidence.known)
        out->span[NR_SPAN_ANGLE] =
            (nr_standard_span){f->incidence.mean_deg, f->incidence.lo_deg, f->incidence.hi_deg};
}

/* ---- requirements ---- */

static void require(nr_standard *s, nr_requirement_code code, double limit, bool at_least,
                    double measured)
{
    nr_met met = isnan(measured)                                      ? NR_MET_UNKNOWN
                 : (at_least ? measured >= limit : measured <= limit) ? NR_MET_YES
                                                                      : NR_MET_NO;
    s->requirement[code] = (nr_requirement){limit, measured, at_least, met};
}

/* Largest departure from the mean. */
static double band(const nr_standard_span *s)
{
    return fmax(s->hi - s->mean, s->mean - s->lo);
}

/* Steady windows of all runs, and how many different inlet temperatures they hold. */
static nr_code count_points(const nr_joint *j, double *points, double *inlets, nr_err *err)
{
    double seen[64];
    size_t different = 0;
    nr_code code = NR_OK;
    *points = 0;
    for (size_t r = 0; r < nr_joint_runs(j) && !code; r++) {
        const nr_series *s = nr_joint_series(j, r);
        nr_steady *steady = NULL;
        code = nr_steady_find(s->run, s->quality, &nr_steady_iso9806, true, &steady, err);
        for (size_t i = 0; !code && i < steady->count; i++) {
            size_t k = 0;
            while (k < different && fabs(seen[k] - steady->window[i].inlet_degC) >= INLETS_APART_K)
                k++;
            if (k == different && different < sizeof seen / sizeof seen[0])
                seen[different++] = steady->window[i].inlet_degC;
            ++*points;
        }
        nr_steady_free(steady);
    }
    *inlets = (double)different;
    return code;
}

/* Largest stated uncertainty of what both ends of the loop are measured with; NAN not stated. */
static double stated_u(const nr_rig *rig, nr_role role, bool gain)
{
    const nr_rig_channel *c = nr_rig_channel_find(rig, nr_role_name(role));
    return c ? (gain ? c->u_gain : c->u_offset) : NAN;
}

nr_code nr_standard_requirements(const nr_joint *j, const nr_fit *f, nr_standard *s, nr_err *err)
{
    const nr_steady_limits *l = &nr_steady_iso9806;
    const nr_rig *rig = &nr_joint_series(j, 0)->run->rig;
    const nr_standard_span *at = s->span;
    double points, inlets, most = at[NR_SPAN_ANGLE].hi;
    nr_code code = count_points(j, &points, &inlets, err);
    double lost = isnan(most) ? NAN : 1 - nr_standard_modifier(f->incidence.b0, most);
    double in = stated_u(rig, NR_ROLE_INLET, false), out = stated_u(rig, NR_ROLE_OUTLET, false);
    require(s, NR_REQ_SUN, l->least_sun_W_m2, true, at[NR_SPAN_SUN].lo);
    require(s, NR_REQ_SUN_BAND, l->sun_band_W_m2, false, band(&at[NR_SPAN_SUN]));
    require(s, NR_REQ_DIFFUSE, MOST_DIFFUSE, false, at[NR_SPAN_DIFFUSE].mean);
    require(s, NR_REQ_INCIDENCE, MOST_MODIFIER_LOSS, false, lost);
    require(s, NR_REQ_WIND_LEAST, l->least_wind_m_s, true, at[NR_SPAN_WIND].mean);
    require(s, NR_REQ_WIND_MOST, l->most_wind_m_s, false, at[NR_SPAN_WIND].mean);
    require(s, NR_REQ_AIR_BAND, l->air_band_K, false, band(&at[NR_SPAN_AIR]));
    require(s, NR_REQ_INLET_BAND, l->inlet_band_K, false, band(&at[NR_SPAN_INLET]));
    require(s, NR_REQ_FLOW_BAND, l->flow_band, false,
            band(&at[NR_SPAN_FLOW]) / at[NR_SPAN_FLOW].mean);
    require(s, NR_REQ_FLOW_AREA, FLOW_AREA_BAND, false,
            fabs(at[NR_SPAN_FLOW].mean / FLOW_AREA_KG_S_M2 - 1));
    require(s, NR_REQ_RISE, l->least_rise_K, true, at[NR_SPAN_RISE].mean);
    require(s, NR_REQ_POINTS, LEAST_POINTS, true, points);
    require(s, NR_REQ_INLETS, LEAST_INLETS, true, inlets);
    require(s, NR_REQ_THERMOMETER, MOST_THERMOMETER_U_K, false,
            isnan(in) || isnan(out) ? NAN : fmax(in, out));
    require(s, NR_REQ_FLOW_METER, MOST_FLOW_METER_U, false, stated_u(rig, NR_ROLE_FLOW, true));
    return code;
}
