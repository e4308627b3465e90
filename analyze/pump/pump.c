/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/pump/pump.h"

#include "analyze/fit/solved.h"
#include "analyze/physics/collector.h"
#include "analyze/physics/water.h"
#include "analyze/pump/cautions.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double times_flow[NR_PUMP_ROWS] = {0.25, 0.5, 0.75, 1, 1.5, 2, 4};

/* What a result at another flow needs. */
typedef struct at_flow {
    const nr_pump *pump;
    nr_curve_at at;
    double inlet_degC;
    double times; /* of the record's flow */
} at_flow;

#define LEAST_LOSS_W_M2K 0.01

typedef struct removal {
    double loss, factor, capacity_flow, fr, gain_W_m2;
} removal;

void nr_pump_free(nr_pump *p)
{
    if (!p)
        return;
    nr_fit_free(p->fit);
    free(p);
}

/* Film conductance of the tube per gross area; the two regimes' mean by the logarithm where it is
 * uncertain which holds. */
static double film_W_m2K(const nr_pump *p, double flow_L_min, double area_m2)
{
    nr_bounds b = nr_tube_film_W_m2K(p->tube, flow_L_min, p->water_degC);
    return sqrt(b.low * b.high) * M_PI * p->tube.bore_m * p->tube.length_m / area_m2;
}

/* The fitted conductance moved to another flow: the film's share of its resistance moves with the
 * handbook's film, the rest (bond, plate) stays. */
static double exchange(const at_flow *q, const nr_loop_params *d)
{
    double h = d->exchange_W_m2K, flow = q->pump->flow_L_min.value;
    if (!q->pump->tube_known || q->times == 1)
        return h;
    double now = film_W_m2K(q->pump, flow, d->area_m2);
    double then = film_W_m2K(q->pump, flow * q->times, d->area_m2);
    if (!(now > 0) || !(then > 0))
        return h;
    double rest = fmax(1 / h - 1 / now, 0);
    return 1 / (rest + (1 / h - rest) * now / then);
}

static removal remove_heat(const nr_joint *j, const double *x, const at_flow *q)
{
    nr_loop_params d = nr_joint_device(j, q->at.piece, x);
    const nr_steady_conditions *c = &q->at.conditions;
    double gain = nr_steady_gain_W_m2(&d, c), h = exchange(q, &d),
           over = q->inlet_degC - c->air_degC;
    removal r = {.capacity_flow = c->flow_W_K * d.flow_factor * q->times / d.area_m2};
    /* The loss grows with the absorber's temperature, which the gain sets: a few rounds settle. */
    for (int i = 0; i < 6; i++) {
        /* Below a loss of zero, which is no collector's but may be a poor record's, FR has no
         * value: then as if nothing were lost. */
        r.loss = fmax(d.loss_W_m2K + d.loss2_W_m2K2 * fmax(over, 0), LEAST_LOSS_W_M2K);
        r.factor = h / (h + r.loss);
        r.fr = nr_heat_removal_factor(r.loss, r.factor, r.capacity_flow);
        r.gain_W_m2 = r.fr * (gain - r.loss * (q->inlet_degC - c->air_degC));
        over = nr_mean_plate_degC(q->inlet_degC, r.gain_W_m2, r.fr, r.loss) - c->air_degC;
    }
    return r;
}

static double result_removal(const nr_joint *j, const double *x, const void *context)
{
    return remove_heat(j, x, context).fr;
}

/* Relative change of the heat gained against the record's flow. */
static double result_change(const nr_joint *j, const double *x, const void *context)
{
    at_flow q = *(const at_flow *)context;
    double then = remove_heat(j, x, &q).gain_W_m2;
    q.times = 1;
    return then / remove_heat(j, x, &q).gain_W_m2 - 1;
}

static double result_flow(const nr_joint *j, const double *x, const void *context)
{
    const at_flow *q = context;
    return q->pump->flow_L_min.value * nr_joint_device(j, q->at.piece, x).flow_factor;
}

static void put_row(const nr_joint *j, at_flow *q, nr_pump_row *row)
{
    const nr_pump *p = q->pump;
    removal r = remove_heat(j, nr_joint_x(j), q);
    double area = nr_joint_device(j, q->at.piece, nr_joint_x(j)).area_m2;
    *row = (nr_pump_row){.times = q->times,
                         .flow_L_min = p->flow_L_min.value * q->times,
                         .reynolds = NAN,
                         .drop_Pa = {NR_FLOW_UNKNOWN, NAN, NAN},
                         .removal = r.fr,
                         .gain_W = r.gain_W_m2 * area,
                         .outlet_degC = q->inlet_degC + r.gain_W_m2 / r.capacity_flow};
    if (p->tube_known) {
        row->reynolds = nr_tube_reynolds(p->tube.bore_m, row->flow_L_min, p->water_degC);
        row->drop_Pa = nr_tube_pressure_drop_Pa(p->tube, row->flow_L_min, p->water_degC);
    }
    row->change = nr_result_quantity(j, result_change, q, 0, NR_UNIT_ONE, NULL);
}

static void take_tube(const nr_rig *rig, double coil_m, nr_pump *p)
{
    p->tube_known = rig->collector.tube_length_m.given && rig->collector.tube_bore_mm.given;
    if (p->tube_known)
        p->tube = (nr_tube){.bore_m = rig->collector.tube_bore_mm.value / 1000,
                            .length_m = rig->collector.tube_length_m.value,
                            .coil_diameter_m = coil_m};
}

/* Power is flow times pressure drop; bounds of a ratio. */
static void put_power(nr_pump *p)
{
    const nr_bounds *now = &nr_pump_row_of(p, 1)->drop_Pa, *twice = &nr_pump_row_of(p, 2)->drop_Pa;
    p->power_at_twice[0] = 2 * twice->low / now->high;
    p->power_at_twice[1] = 2 * twice->high / now->low;
}

static nr_code answer(nr_solved *s, double coil_m, nr_pump *p, nr_err *err)
{
    const nr_joint *j = s->joint;
    nr_piece_view piece = nr_joint_piece(j, s->at.piece);
    const nr_series *series = piece.series;
    bool outlet = piece.fits[NR_OUT_OUTLET];
    if (!series->flow_known && !outlet)
        return nr_fail(err, NR_CANNOT, series->run->folder, 0,
                       "neither a flow channel nor an outlet temperature: nothing in this record "
                       "tells the flow");
    p->flow_measured = series->flow_known;
    p->water_degC = series->mean_store_degC;
    p->sun_W_m2 = s->at.conditions.sun_W_m2;
    p->air_degC = s->at.conditions.air_degC;
    take_tube(nr_solved_rig(s), coil_m, p);
    p->flow_L_min.value = s->at.conditions.flow_W_K / series->cp_J_kgK * 60000 /
                          nr_water_density_kg_m3(p->water_degC);
    at_flow q = {.pump = p, .at = s->at, .inlet_degC = p->water_degC, .times = 1};
    p->flow_L_min = nr_result_quantity(j, result_flow, &q, 0, NR_UNIT_L_MIN, NULL);
    /* From here on flow_L_min is the true one, so the rows' flows are too. */
    p->removal = nr_result_quantity(j, result_removal, &q, 0, NR_UNIT_ONE, NULL);
    removal now = remove_heat(j, nr_joint_x(j), &q);
    p->loss_W_m2K = now.loss;
    p->efficiency_factor = now.factor;
    for (p->rows = 0; p->rows < NR_PUMP_ROWS; p->rows++) {
        q.times = times_flow[p->rows];
        put_row(j, &q, &p->row[p->rows]);
    }
    put_power(p);
    for (int i = 0; i < NR_PUMP_CURVE; i++) {
        q.times = exp2((i - NR_PUMP_CURVE / 2) / 16.0);
        put_row(j, &q, &p->curve[i]);
    }
    p->transit_s = p->speed_m_s = p->hydraulic_W[0] = p->hydraulic_W[1] = NAN;
    if (p->tube_known) {
        double flow = p->flow_L_min.value, m3_s = flow / 60000;
        nr_bounds drop = nr_tube_pressure_drop_Pa(p->tube, flow, p->water_degC);
        p->transit_s = nr_tube_transit_s(p->tube, flow);
        p->speed_m_s = nr_tube_speed_m_s(p->tube.bore_m, flow);
        p->hydraulic_W[0] = drop.low * m3_s;
        p->hydraulic_W[1] = drop.high * m3_s;
    }
    nr_code code = nr_panel_pump_find(s->series, s->runs, &p->panel, err);
    if (code)
        return code;
    p->fit = s->fit;
    s->fit = NULL;
    nr_pump_caution(s->series, s->runs, p);
    return NR_OK;
}

nr_code nr_pump_runs(const nr_run *const *runs, size_t count, double coil_diameter_m,
                     const nr_fit_options *options, nr_pump **out, nr_err *err)
{
    *out = NULL;
    nr_solved solved;
    nr_pump *p = calloc(1, sizeof *p);
    nr_code code = nr_solve_runs(runs, count, options, &solved, err);
    if (!code && !p)
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code)
        code = answer(&solved, coil_diameter_m, p, err);
    nr_solved_free(&solved);
    if (code)
        nr_pump_free(p);
    else
        *out = p;
    return code;
}
