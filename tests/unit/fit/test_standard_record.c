/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Under which conditions a record was made, worked out again from the fit's blocks and the series'
 * steps; each requirement of ISO 9806 (steady state outdoors; limits from memory) from both sides,
 * with spans set by hand; and how many points and inlet temperatures a record holds. */
#include "analyze/fit/standard_parts.h"
#include "analyze/quality/steady.h"
#include "tests/unit/fit/worked.h"

static worked w;

/* Mean, lowest and highest of what is known. */
typedef struct range {
    double sum, n, lo, hi;
} range;

static void see(range *r, double v)
{
    if (isnan(v))
        return;
    r->lo = r->n > 0 && r->lo < v ? r->lo : v;
    r->hi = r->n > 0 && r->hi > v ? r->hi : v;
    r->sum += v;
    r->n++;
}

static void compare_span(const nr_standard *s, int what, const range *r)
{
    ck_assert_msg(r->n > 0, "span %d", what);
    const nr_standard_span *is = &s->span[what];
    NEAR(is->mean, r->sum / r->n, 1e-9 * (1 + fabs(is->mean)));
    NEAR(is->lo, r->lo, 1e-12);
    NEAR(is->hi, r->hi, 1e-12);
}

static const double *measured(const nr_fit_run *r, const char *name)
{
    for (size_t c = 0; c < r->channels; c++)
        if (!strcmp(r->channel[c].name, name))
            return r->channel[c].measured;
    ck_abort_msg("no %s", name);
    return NULL;
}

/* Wind and diffuse light, which the simulated record has not. */
static void blow(void)
{
    w.series->wind_zero_m_s = 3;
    for (size_t i = 0; i < w.series->parts; i++) {
        nr_part *p = &w.series->part[i];
        p->wind_m_s = malloc(p->steps * sizeof(double));
        p->diffuse = malloc(p->steps * sizeof(double));
        for (size_t k = 0; k < p->steps; k++) {
            p->wind_m_s[k] = (double)(k % 7) / 4 - 1;
            p->diffuse[k] = (double)(100 + k % 11);
        }
    }
}

static void conditions(void)
{
    range of[NR_SPANS] = {{0}};
    nr_standard s = {0};
    double most = 0;
    nr_standard_conditions(w.joint, w.fit, &s);
    const nr_fit_run *r = &w.fit->run[0];
    const double *in = measured(r, "inlet"), *out = measured(r, "outlet");
    for (size_t b = 0; b < r->blocks; b++)
        most = r->sun_W_m2[b] > most ? r->sun_W_m2[b] : most;
    for (size_t b = 0; b < r->blocks; b++) {
        double sun = r->sun_W_m2[b], over = in[b] / 2 + out[b] / 2 - r->air_degC[b];
        if (!r->pump_on[b] || !r->bright[b] || sun < 0.4 * most)
            continue;
        see(&of[NR_SPAN_SUN], sun);
        see(&of[NR_SPAN_AIR], r->air_degC[b]);
        see(&of[NR_SPAN_INLET], in[b]);
        see(&of[NR_SPAN_RISE], out[b] - in[b]);
        see(&of[NR_SPAN_DT], over);
        see(&of[NR_SPAN_REDUCED], over / sun);
        see(&of[NR_SPAN_FLOW], r->flow_L_min[b] / (60 * w.fit->gross_area_m2));
    }
    for (size_t i = 0; i < w.series->parts; i++) {
        const nr_part *p = &w.series->part[i];
        for (size_t k = 0; k < p->steps; k++) {
            if (p->sun_W_m2[k] < 0.4 * w.series->max_sun_W_m2 || p->flow_W_K[k] <= 0)
                continue;
            see(&of[NR_SPAN_WIND], 3 + p->wind_m_s[k]);
            see(&of[NR_SPAN_DIFFUSE], p->diffuse[k] / p->sun_W_m2[k]);
        }
    }
    for (int k = 0; k < NR_SPANS; k++)
        if (k != NR_SPAN_ANGLE)
            compare_span(&s, k, &of[k]);
    ck_assert(w.fit->incidence.known);
    NEAR(s.span[NR_SPAN_ANGLE].mean, w.fit->incidence.mean_deg, 0);
    NEAR(s.span[NR_SPAN_ANGLE].lo, w.fit->incidence.lo_deg, 0);
    NEAR(s.span[NR_SPAN_ANGLE].hi, w.fit->incidence.hi_deg, 0);
}

static nr_rig_channel *channel_of(const char *name)
{
    for (size_t i = 0; i < w.run->run.rig.channels; i++)
        if (!strcmp(w.run->run.rig.channel[i].name, name))
            return &w.run->run.rig.channel[i];
    return NULL;
}

/* A record that keeps every limit, as far as spans say. */
static nr_standard good(void)
{
    nr_standard s = {0};
    s.span[NR_SPAN_SUN] = (nr_standard_span){900, 880, 910};
    s.span[NR_SPAN_AIR] = (nr_standard_span){20, 19.5, 20.6};
    s.span[NR_SPAN_INLET] = (nr_standard_span){30, 29.95, 30.02};
    s.span[NR_SPAN_RISE] = (nr_standard_span){5, 4, 6};
    s.span[NR_SPAN_FLOW] = (nr_standard_span){0.02, 0.0199, 0.0201};
    s.span[NR_SPAN_WIND] = (nr_standard_span){3, 1, 6};
    s.span[NR_SPAN_ANGLE] = (nr_standard_span){10, 5, 12};
    s.span[NR_SPAN_DIFFUSE] = (nr_standard_span){0.2, 0.1, 0.4};
    channel_of("inlet")->u_offset = channel_of("outlet")->u_offset = 0.05;
    channel_of("flow")->u_gain = 0.005;
    return s;
}

/* One number of a record moved to either side of a limit: which, where it begins to be too little
 * or too much, and what is then reported as measured. */
typedef struct side {
    nr_requirement_code code;
    double *number, limit, reported;
    bool at_least;
} side;

static void both_sides(nr_standard *s, const side *at, double turn)
{
    static const char *const met[] = {"no", "yes"};
    for (int inside = 0; inside < 2; inside++) {
        double out = at->at_least == (turn > 0) ? -1 : 1, was = *at->number;
        *at->number += (inside ? -out : out) * 1e-7 * fabs(*at->number);
        ck_assert_int_eq(nr_standard_requirements(w.joint, w.fit, s, NULL), NR_OK);
        const nr_requirement *r = &s->requirement[at->code];
        ck_assert_msg((r->met == NR_MET_YES) == (inside == 1) && r->met != NR_MET_UNKNOWN,
                      "%s: expected %s", nr_requirement_name(at->code), met[inside]);
        NEAR_AT(nr_requirement_name(at->code), r->limit, at->limit, 1e-12);
        NEAR_AT(nr_requirement_name(at->code), r->measured, at->reported, 1e-4 * at->reported);
        ck_assert_int_eq(r->at_least, at->at_least);
        *at->number = was;
    }
}

static void each_requirement(void)
{
    w.fit->incidence.b0 = 0.1; /* 2 % lost where 1/cos - 1 = 0.2 */
    double angle = acos(1 / 1.2) * 180 / M_PI;
    nr_standard s;
    const struct {
        nr_requirement_code code;
        int span, member; /* mean, lo, hi */
        double at, limit, reported;
        bool at_least;
        double turn; /* -1: more of the number is less of what is reported */
    } rows[] = {
        {NR_REQ_SUN, NR_SPAN_SUN, 1, 700, 700, 700, true, 1},
        {NR_REQ_SUN_BAND, NR_SPAN_SUN, 2, 950, 50, 50, false, 1},
        {NR_REQ_SUN_BAND, NR_SPAN_SUN, 1, 850, 50, 50, false, -1},
        {NR_REQ_DIFFUSE, NR_SPAN_DIFFUSE, 0, 0.3, 0.3, 0.3, false, 1},
        {NR_REQ_INCIDENCE, NR_SPAN_ANGLE, 2, angle, 0.02, 0.02, false, 1},
        {NR_REQ_WIND_LEAST, NR_SPAN_WIND, 0, 2, 2, 2, true, 1},
        {NR_REQ_WIND_MOST, NR_SPAN_WIND, 0, 4, 4, 4, false, 1},
        {NR_REQ_AIR_BAND, NR_SPAN_AIR, 2, 21.5, 1.5, 1.5, false, 1},
        {NR_REQ_AIR_BAND, NR_SPAN_AIR, 1, 18.5, 1.5, 1.5, false, -1},
        {NR_REQ_INLET_BAND, NR_SPAN_INLET, 2, 30.1, 0.1, 0.1, false, 1},
        {NR_REQ_INLET_BAND, NR_SPAN_INLET, 1, 29.9, 0.1, 0.1, false, -1},
        {NR_REQ_FLOW_BAND, NR_SPAN_FLOW, 2, 0.0202, 0.01, 0.01, false, 1},
        {NR_REQ_FLOW_BAND, NR_SPAN_FLOW, 1, 0.0198, 0.01, 0.01, false, -1},
        {NR_REQ_FLOW_AREA, NR_SPAN_FLOW, 0, 0.022, 0.1, 0.1, false, 1},
        {NR_REQ_FLOW_AREA, NR_SPAN_FLOW, 0, 0.018, 0.1, 0.1, false, -1},
        {NR_REQ_RISE, NR_SPAN_RISE, 0, 1, 1, 1, true, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        s = good();
        nr_standard_span *span = &s.span[rows[i].span];
        double *number = rows[i].member == 0   ? &span->mean
                         : rows[i].member == 1 ? &span->lo
                                               : &span->hi;
        *number = rows[i].at;
        side at = {rows[i].code, number, rows[i].limit, rows[i].reported, rows[i].at_least};
        both_sides(&s, &at, rows[i].turn);
    }
    static const char *const probe[] = {"inlet", "outlet"};
    for (int i = 0; i < 2; i++) { /* the worse of both */
        s = good();
        channel_of(probe[i])->u_offset = 0.1;
        side at = {NR_REQ_THERMOMETER, &channel_of(probe[i])->u_offset, 0.1, 0.1, false};
        both_sides(&s, &at, 1);
        channel_of(probe[i])->u_offset = NAN;
        ck_assert_int_eq(nr_standard_requirements(w.joint, w.fit, &s, NULL), NR_OK);
        ck_assert_int_eq(s.requirement[NR_REQ_THERMOMETER].met, NR_MET_UNKNOWN);
    }
    s = good();
    channel_of("flow")->u_gain = 0.01;
    side at = {NR_REQ_FLOW_METER, &channel_of("flow")->u_gain, 0.01, 0.01, false};
    both_sides(&s, &at, 1);
}

/* Constant readings at three inlet temperatures of 2400 s each: each is settled after a quarter of
 * an hour and gives windows of ten minutes; what is nearer than 3 K counts as the same temperature.
 */
static void points_and_inlets(void)
{
    static const double next[][2] = {{2.95, 2.95}, {2.95, 3.1}, {3.05, 5.9}, {3.05, 6.2}};
    static const double inlets[] = {1, 2, 2, 3}; /* 5.9 is too near the second, 6.2 is not */
    w.run->run.rig.latitude_deg.given = false;
    nr_readings *r = w.run->run.readings;
    for (int k = 0; k < 4; k++) {
        for (size_t i = 0; i < r->rows; i++) {
            double since = r->elapsed_s[i] - r->elapsed_s[0] - 4000;
            double level = since < 2400 ? 0 : next[k][since < 4800 ? 0 : 1];
            column(w.run, "inlet")[i] = 25 + level;
            column(w.run, "outlet")[i] = 30 + level;
            column(w.run, "sun")[i] = 900;
            column(w.run, "air")[i] = 20;
            column(w.run, "flow")[i] = 1.5;
        }
        nr_standard s = good();
        ck_assert_int_eq(nr_standard_requirements(w.joint, w.fit, &s, NULL), NR_OK);
        const nr_requirement *points = &s.requirement[NR_REQ_POINTS];
        const nr_requirement *different = &s.requirement[NR_REQ_INLETS];
        nr_steady *steady = NULL;
        ck_assert_int_eq(
            nr_steady_find(&w.run->run, w.series->quality, &nr_steady_iso9806, true, &steady, NULL),
            NR_OK);
        NEAR(points->measured, (double)steady->count, 0);
        ck_assert_uint_ge(steady->count, 6); /* two or more of each */
        nr_steady_free(steady);
        NEAR(different->measured, inlets[k], 0);
        NEAR(points->limit, 16, 0); /* four inlet temperatures, four points each */
        NEAR(different->limit, 4, 0);
        ck_assert(points->at_least && different->at_least);
        ck_assert(points->met == NR_MET_NO && different->met == NR_MET_NO);
    }
}

/* One fit for all: that is what takes long. */
START_TEST(a_measured_loop)
{
    set_up(&w, LOOP);
    blow();
    conditions();
    each_requirement();
    points_and_inlets();
    tear_down(&w);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {a_measured_loop, NULL};
    return run_tests("fit: a record held against the standard", tests);
}
