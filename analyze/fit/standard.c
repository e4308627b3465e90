/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/fit/standard.h"

#include "analyze/estimate/linfit.h"
#include "analyze/fit/budget_rows.h"
#include "analyze/fit/standard_parts.h"
#include "analyze/result/coverage.h"

#include <math.h>
#include <stdlib.h>

/* The wind of the coefficients. */
#define STANDARD_WIND_M_S 3.0
/* Half of the differences that slopes to wind and sky are taken over. */
#define WIND_STEP_M_S 0.5
#define SKY_STEP_W_M2 50.0

const double nr_standard_sun_W_m2[NR_STD_SUNS] = {1000, 700, 400};
const double nr_standard_dT_K[NR_STD_DIFFERENCES] = {0, 10, 30, 50};

static const char *const names[NR_STD_TERMS] = {
    "eta0_hem", "constant", "eta0_b", "Kd", "a1", "a2",           "a3",   "a4",
    "a5",       "a6",       "bu",     "b1", "b2", "FR_tau_alpha", "FR_UL"};

const char *nr_standard_name(nr_standard_term term)
{
    return names[term];
}

const char *nr_modifier_basis_name(nr_modifier_basis basis)
{
    static const char *const name[] = {"fitted", "stated", "table", "none", "no-angle"};
    return name[basis];
}

/* ---- results as functions of the parameters ---- */

typedef struct context {
    nr_curve_at at;        /* at normal incidence, at the standard's wind where wind is told */
    double wind_0;         /* of still air, seen from the record's mean */
    bool diffuse;          /* measured */
    bool wind;             /* told */
    double kd;             /* where b0 is no parameter; NAN: it is, or nobody knows */
    double sun_W_m2, dT_K; /* of a power */
} context;

static double kd(const nr_joint *j, const double *x, const void *context_)
{
    const context *c = context_;
    return isnan(c->kd) ? nr_standard_kd(nr_joint_term(j, c->at.piece, NR_TERM_B0, x)) : c->kd;
}

static double normal(const nr_joint *j, const double *x, const context *c)
{
    return nr_result_efficiency(j, x, &c->at);
}

static double eta0_b(const nr_joint *j, const double *x, const void *context_)
{
    const context *c = context_;
    double eta0 = normal(j, x, c);
    return c->diffuse ? eta0 : eta0 / nr_standard_hemispherical(1, kd(j, x, c));
}

static double eta0_hem(const nr_joint *j, const double *x, const void *context_)
{
    const context *c = context_;
    double eta0 = normal(j, x, c);
    return c->diffuse ? nr_standard_hemispherical(eta0, kd(j, x, c)) : eta0;
}

static double a1(const nr_joint *j, const double *x, const void *c)
{
    return nr_result_a1(j, x, &((const context *)c)->at);
}

static double a2(const nr_joint *j, const double *x, const void *c)
{
    return nr_result_a2(j, x, &((const context *)c)->at);
}

static double a5(const nr_joint *j, const double *x, const void *c)
{
    return nr_result_a5(j, x, &((const context *)c)->at);
}

/* Slope of fn to the wind. */
static double to_wind(const nr_joint *j, const double *x, const context *c,
                      double (*fn)(const nr_joint *, const double *, const void *))
{
    context above = *c, below = *c;
    above.at.conditions.wind_m_s += WIND_STEP_M_S;
    below.at.conditions.wind_m_s -= WIND_STEP_M_S;
    return (fn(j, x, &above) - fn(j, x, &below)) / (2 * WIND_STEP_M_S);
}

static double a3(const nr_joint *j, const double *x, const void *c)
{
    return to_wind(j, x, c, a1);
}

static double a6(const nr_joint *j, const double *x, const void *c)
{
    return -to_wind(j, x, c, eta0_hem);
}

static double a4(const nr_joint *j, const double *x, const void *context_)
{
    context above = *(const context *)context_, below = above;
    above.at.conditions.sky_W_m2 += SKY_STEP_W_M2;
    below.at.conditions.sky_W_m2 -= SKY_STEP_W_M2;
    return (normal(j, x, &above) - normal(j, x, &below)) * above.at.conditions.sun_W_m2 /
           (2 * SKY_STEP_W_M2);
}

static context in_still_air(const void *c)
{
    context still = *(const context *)c;
    still.at.conditions.wind_m_s = still.wind_0;
    return still;
}

/* The form of 2013 is a straight line in the wind, from tests in 0 to 3 m/s: through these two. */
static double bu(const nr_joint *j, const double *x, const void *c)
{
    context still = in_still_air(c);
    double at_rest = eta0_hem(j, x, &still);
    return (1 - eta0_hem(j, x, c) / at_rest) / STANDARD_WIND_M_S;
}

static double b1(const nr_joint *j, const double *x, const void *c)
{
    context still = in_still_air(c);
    return a1(j, x, &still);
}

static double b2(const nr_joint *j, const double *x, const void *c)
{
    return (a1(j, x, c) - b1(j, x, c)) / STANDARD_WIND_M_S;
}

/* Capacity flow per gross area. */
static double capacity_flow(const nr_joint *j, const double *x, const context *c)
{
    nr_loop_params p = nr_joint_device(j, c->at.piece, x);
    return c->at.conditions.flow_W_K * p.flow_factor / p.area_m2;
}

static double fr_ul(const nr_joint *j, const double *x, const void *c)
{
    double mean = a1(j, x, c);
    return mean / nr_standard_inlet_factor(mean, capacity_flow(j, x, c));
}

static double fr_tau_alpha(const nr_joint *j, const double *x, const void *c)
{
    return normal(j, x, c) / nr_standard_inlet_factor(a1(j, x, c), capacity_flow(j, x, c));
}

static context under(const context *c, double sun_W_m2)
{
    context other = *c;
    other.at.conditions.sun_W_m2 = sun_W_m2;
    return other;
}

/* Sky and diffuse light do not go with the irradiance: eta0 is another at each. */
static double power(const nr_joint *j, const double *x, const void *context_)
{
    const context *c = context_;
    context there = under(c, c->sun_W_m2);
    double bend = c->at.bend ? a2(j, x, c) : 0;
    return nr_standard_power_W(nr_joint_device(j, c->at.piece, x).area_m2, eta0_hem(j, x, &there),
                               a1(j, x, c), bend, c->sun_W_m2, c->dT_K);
}

/* On the basis of eta0_hem. */
static double constant(const nr_joint *j, const double *x, const void *context_)
{
    const context *c = context_;
    double each = nr_result_constant_W_m2(j, x, &c->at);
    return c->diffuse ? nr_standard_hemispherical(each, kd(j, x, c)) : each;
}

/* ---- the values ---- */

static nr_code value_of(const nr_joint *j, nr_result_fn fn, const context *c, nr_quantity_unit unit,
                        nr_standard_value *v, nr_err *err)
{
    v->q = nr_result_quantity(j, fn, c, 0, unit, NULL);
    v->dof = v->k95 = NAN;
    if (!v->q.known)
        return NR_OK;
    nr_code code = nr_result_dof(j, fn, c, &v->dof, err);
    v->k95 = nr_coverage_factor(0.95, v->dof);
    v->q.lo95 = v->q.value - v->k95 * v->q.u;
    v->q.hi95 = v->q.value + v->k95 * v->q.u;
    return code;
}

static nr_code values(const nr_joint *j, const context *c, const nr_fit *f, nr_standard *s,
                      nr_err *err)
{
    bool b0 = s->basis == NR_MODIFIER_FITTED, bare = !s->covered;
    bool angle = s->basis != NR_MODIFIER_NO_ANGLE;
    const struct {
        nr_standard_term term;
        nr_result_fn fn;
        nr_quantity_unit unit;
        bool told;
    } row[] = {{NR_STD_ETA0_HEM, eta0_hem, NR_UNIT_ONE, angle || !c->diffuse},
               {NR_STD_ETA0_B, eta0_b, NR_UNIT_ONE, angle},
               {NR_STD_CONSTANT, constant, NR_UNIT_W_M2, angle || !c->diffuse},
               {NR_STD_KD, kd, NR_UNIT_ONE, b0},
               {NR_STD_A1, a1, NR_UNIT_W_M2K, true},
               {NR_STD_A2, a2, NR_UNIT_W_M2K2, f->a2.known},
               {NR_STD_A3, a3, NR_UNIT_J_M3K, c->wind},
               {NR_STD_A4, a4, NR_UNIT_ONE, bare && c->at.conditions.has_sky},
               {NR_STD_A5, a5, NR_UNIT_J_M2K, true},
               {NR_STD_A6, a6, NR_UNIT_S_M, bare && c->wind},
               {NR_STD_BU, bu, NR_UNIT_S_M, bare && c->wind},
               {NR_STD_B1, b1, NR_UNIT_W_M2K, bare && c->wind},
               {NR_STD_B2, b2, NR_UNIT_J_M3K, bare && c->wind},
               {NR_STD_FR_TAU_ALPHA, fr_tau_alpha, NR_UNIT_ONE, true},
               {NR_STD_FR_UL, fr_ul, NR_UNIT_W_M2K, true}};
    nr_code code = NR_OK;
    for (size_t i = 0; i < sizeof row / sizeof row[0] && !code; i++) {
        s->value[row[i].term] = (nr_standard_value){nr_quantity_unknown(row[i].unit), NAN, NAN};
        if (row[i].told)
            code = value_of(j, row[i].fn, c, row[i].unit, &s->value[row[i].term], err);
    }
    return code;
}

static nr_code powers(const nr_joint *j, context c, const nr_fit *f, nr_standard *s, nr_err *err)
{
    nr_code code = NR_OK;
    for (size_t g = 0; g < NR_STD_SUNS; g++)
        for (size_t d = 0; d < NR_STD_DIFFERENCES && !code; d++) {
            nr_standard_power *p = &s->power[g][d];
            c.sun_W_m2 = nr_standard_sun_W_m2[g];
            c.dT_K = nr_standard_dT_K[d];
            double x = c.dT_K / c.sun_W_m2;
            p->tested = x >= fmin(f->x_range[0], 0) && x <= f->x_range[1];
            code = value_of(j, power, &c, NR_UNIT_W, &p->W, err);
        }
    return code;
}

static nr_modifier_basis basis_of(const nr_joint *j, size_t piece, const nr_fit *f, bool covered)
{
    const nr_rig *rig = &nr_joint_piece(j, piece).series->run->rig;
    if (!f->incidence.known)
        return NR_MODIFIER_NO_ANGLE;
    if (nr_joint_index(j, piece, NR_TERM_B0) >= 0)
        return NR_MODIFIER_FITTED;
    if (rig->collector.iam.points > 0)
        return NR_MODIFIER_TABLE;
    return covered || f->incidence.b0 > 0 ? NR_MODIFIER_STATED : NR_MODIFIER_NONE;
}

/* K by angle, and of a uniform sky. */
static void modifiers(const nr_joint *j, const nr_fit *f, size_t piece, nr_standard *s)
{
    const nr_rig_collector *collector = &nr_joint_piece(j, piece).series->run->rig.collector;
    const nr_iam_table *table = &collector->iam;
    double sky_deg = nr_series_diffuse_deg(collector->tilt_deg.value);
    bool fitted = s->basis == NR_MODIFIER_FITTED, by_table = s->basis == NR_MODIFIER_TABLE;
    nr_parameter_view b0 = {.value = f->incidence.b0, .u = 0};
    if (fitted)
        b0 = nr_joint_parameter(j, (size_t)nr_joint_index(j, piece, NR_TERM_B0));
    s->kd = by_table                           ? nr_series_modifier_at(table, sky_deg)
            : s->basis == NR_MODIFIER_NO_ANGLE ? NAN
                                               : nr_standard_kd(b0.value);
    for (int k = 0; k < 7; k++) {
        double angle = s->angle_deg[k] = 10.0 * (k + 1);
        s->modifier[k] =
            by_table ? nr_series_modifier_at(table, angle) : nr_standard_modifier(b0.value, angle);
        s->u_modifier[k] = fitted ? b0.u * (1 / cos(angle * M_PI / 180) - 1) : NAN;
        if (isnan(s->kd))
            s->modifier[k] = NAN;
    }
}

static nr_bounds pressure_drop(const nr_joint *j, const nr_fit *f, const nr_curve_at *at,
                               const nr_standard *s)
{
    const nr_rig *rig = &nr_joint_piece(j, at->piece).series->run->rig;
    nr_bounds unknown = {NR_FLOW_UNKNOWN, NAN, NAN};
    if (!rig->collector.tube_length_m.given || !rig->collector.tube_bore_mm.given)
        return unknown;
    nr_tube tube = {.bore_m = rig->collector.tube_bore_mm.value / 1000,
                    .length_m = rig->collector.tube_length_m.value};
    return nr_tube_pressure_drop_Pa(tube, f->mean_flow_L_min, s->span[NR_SPAN_INLET].mean);
}

nr_code nr_standard_make(const nr_joint *j, const nr_fit *f, nr_standard **out, nr_err *err)
{
    context c = {.at = nr_derive_conditions(j, 0, true)};
    const nr_piece_view p = nr_joint_piece(j, c.at.piece);
    *out = NULL;
    if (f->reference != NR_REFERENCE_MEAN || !p.series->flow_known)
        return nr_fail(err, NR_CANNOT, p.series->run->folder, 0,
                       "the standard's coefficients are of the mean fluid temperature: they need "
                       "inlet, outlet and flow");
    nr_standard *s = calloc(1, sizeof *s);
    if (!s)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    s->covered = nr_series_glazed(&p.series->run->rig);
    s->gross_area_m2 = f->gross_area_m2;
    s->diffuse_measured = c.diffuse = p.part->diffuse != NULL;
    c.at.conditions.obliquity = 0;
    c.at.conditions.iam = c.at.conditions.iam > 0 ? 1 : 0;
    c.at.span = nr_derive_span(f);
    c.at.bend = f->a2.known;
    c.wind = nr_joint_index(j, c.at.piece, NR_TERM_WIND) >= 0 && !isnan(f->mean_wind_m_s);
    s->wind_reference_m_s = c.wind ? STANDARD_WIND_M_S : NAN;
    if (c.wind) {
        c.at.conditions.wind_m_s = STANDARD_WIND_M_S - f->mean_wind_m_s;
        c.wind_0 = -f->mean_wind_m_s;
    }
    nr_standard_conditions(j, f, s);
    s->basis = basis_of(j, c.at.piece, f, s->covered);
    modifiers(j, f, c.at.piece, s);
    c.kd = s->basis == NR_MODIFIER_FITTED ? NAN : s->kd;
    s->pressure_drop_Pa = pressure_drop(j, f, &c.at, s);
    nr_code code = values(j, &c, f, s, err);
    if (!code)
        code = powers(j, c, f, s, err);
    if (!code)
        code = nr_standard_requirements(j, f, s, err);
    if (!code)
        code = nr_standard_days(j, s, err);
    if (code)
        free(s);
    else
        *out = s;
    return code;
}
