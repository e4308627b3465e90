/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The truth to compare with: steady states of the heater, written down afresh from the balances
 * (not by running the time step to rest; a test holds the two against each other). */
#include "sample-runs/rig/thermal.h"
#include "sample-runs/rig/virtual.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>
#include <math.h>

#define N NR_THERMAL_SEGMENTS
#define HEAT_UP_STEP_S 1.0

/* One segment at rest: absorbed heat = heat to the air + heat to the fluid. */
typedef struct segment {
    const nr_virtual_device *d;
    const nr_virtual_conditions *c;
    double upstream, flow_W_K, bond;
} segment;

/* Absorber to air through the glass, W/m2, for an absorber D above the air. Gap and outside carry
 * the same heat: (gap0 + gap1 |v|) v = out (D - v), a quadratic in the drop v over the gap. */
static double through_glass(const nr_virtual_device *d, double wind, double D)
{
    double out = d->cover0 + d->coverwind * wind;
    double sum = d->gap0 + out;
    double v = 2.0 * out * D / (sum + sqrt(sum * sum + 4.0 * d->gap1 * out * fabs(D)));
    return out * (D - v);
}

static double loss_W_m2(const nr_virtual_device *d, double wind, double D)
{
    double direct = (d->u0 + d->uwind * wind + d->u1 * fabs(D)) * D;
    return d->cover ? direct + through_glass(d, wind, D) : direct;
}

static double fluid_of(const segment *s, double absorber)
{
    return (s->bond * absorber + s->flow_W_K * s->upstream) / (s->bond + s->flow_W_K);
}

static double imbalance(double absorber, void *context)
{
    const segment *s = context;
    double area = s->d->area_m2 / N;
    double heat = area * s->c->sun_W_m2 * s->d->optical;
    heat -= area * loss_W_m2(s->d, s->c->wind_m_s, absorber - s->c->air_degC);
    return heat - s->bond * (absorber - fluid_of(s, absorber));
}

/* Absorber temperature at rest, or NAN where no loss and no flow hold it. */
static double settle(segment *s, gsl_root_fsolver *solver)
{
    gsl_function f = {imbalance, s};
    double low = fmin(s->upstream, s->c->air_degC) - 1.0;
    double high = fmax(s->upstream, s->c->air_degC) + 50.0;
    while (imbalance(high, s) > 0.0) {
        high += 2.0 * (high - low);
        if (high > 1e4) {
            return NAN;
        }
    }
    if (gsl_root_fsolver_set(solver, &f, low, high) != GSL_SUCCESS) {
        return NAN;
    }
    for (int i = 0; i < 100; i++) {
        gsl_root_fsolver_iterate(solver);
        low = gsl_root_fsolver_x_lower(solver);
        high = gsl_root_fsolver_x_upper(solver);
        if (high - low < 1e-11) {
            break;
        }
    }
    return gsl_root_fsolver_root(solver);
}

static nr_virtual_point at_inlet(const nr_virtual_device *d, const nr_virtual_conditions *c,
                                 double inlet, gsl_root_fsolver *solver)
{
    nr_virtual_point point = {.inlet_degC = inlet};
    segment s = {d, c, inlet, nr_thermal_flow_W_K(c->flow_L_min, inlet),
                 nr_thermal_bond_W_K(d, c->flow_L_min) / N};
    for (int i = 0; i < N; i++) {
        double absorber = settle(&s, solver);
        point.absorber_degC += absorber / N;
        s.upstream = fluid_of(&s, absorber);
    }
    point.outlet_degC = s.upstream;
    point.eta = s.flow_W_K * (s.upstream - inlet) / (c->sun_W_m2 * d->area_m2);
    return point;
}

/* Inlet that puts (inlet + outlet)/2 at `mean`: the rise changes by less than 1 K a kelvin of
 * inlet, so half of it is a contraction. */
static nr_virtual_point at_mean(const nr_virtual_device *d, const nr_virtual_conditions *c,
                                double mean, gsl_root_fsolver *solver)
{
    double inlet = mean;
    nr_virtual_point point = at_inlet(d, c, inlet, solver);
    for (int i = 0; i < 200; i++) {
        double next = mean - 0.5 * (point.outlet_degC - point.inlet_degC);
        bool settled = fabs(next - inlet) < 1e-10;
        inlet = next;
        point = at_inlet(d, c, inlet, solver);
        if (settled) {
            break;
        }
    }
    return point;
}

nr_virtual_point nr_virtual_steady(const nr_virtual_device *d, const nr_virtual_conditions *c,
                                   double x, nr_virtual_basis basis, bool with_store)
{
    nr_virtual_point point = {NAN, NAN, NAN, NAN};
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    if (!solver) {
        return point;
    }
    double excess = x * c->sun_W_m2, reference = c->air_degC + excess;
    point = basis == NR_BASIS_INLET ? at_inlet(d, c, reference, solver)
                                    : at_mean(d, c, reference, solver);
    gsl_root_fsolver_free(solver);
    if (with_store) {
        double loss_W_K = d->store_loss_W_K + 2.0 * d->pipe_loss_W_K;
        point.eta -= loss_W_K * excess / (c->sun_W_m2 * d->area_m2);
    }
    return point;
}

double nr_virtual_stagnation_K(const nr_virtual_device *d, const nr_virtual_conditions *c)
{
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    if (!solver) {
        return NAN;
    }
    /* With no flow the fluid is as warm as the absorber and takes nothing. */
    segment s = {d, c, c->air_degC, 0.0, 1.0};
    double absorber = settle(&s, solver);
    gsl_root_fsolver_free(solver);
    return absorber - c->air_degC;
}

double nr_virtual_heat_up_s(const nr_virtual_device *device, const nr_virtual_conditions *c,
                            double water_kg, double from_degC, double to_degC, double limit_s)
{
    nr_virtual_device d = *device;
    if (!isnan(water_kg)) {
        d.water_kg = water_kg;
    }
    nr_thermal s;
    nr_virtual_ledger ledger = {0};
    nr_thermal_input in = {c->sun_W_m2, 1.0, c->air_degC, c->wind_m_s, c->flow_L_min};
    nr_thermal_start(&s, from_degC, from_degC);
    double before = from_degC;
    long steps = (long)ceil(limit_s / HEAT_UP_STEP_S);
    for (long i = 0; i < steps; i++) {
        nr_thermal_step(&d, &s, &in, HEAT_UP_STEP_S, &ledger);
        double now = nr_thermal_store_mean(&s);
        if (now >= to_degC) {
            double part = (to_degC - before) / (now - before);
            return HEAT_UP_STEP_S * ((double)i + part);
        }
        before = now;
    }
    return NAN;
}
