/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One time step of the heater. */
#include "sample-runs/rig/thermal.h"

#include <math.h>

#define N NR_THERMAL_SEGMENTS
/* With no flow the tube still conducts: the bond never falls below this share. */
#define BOND_FLOOR 0.3
/* Warm water under cold turns over by itself: extra stirring while the store stands on its head. */
#define OVERTURN_W_K 3000.0

double nr_thermal_density(double t)
{
    return (999.83952 +
            t * (16.945176 + t * (-7.9870401e-3 +
                                  t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))))) /
           (1.0 + 16.879850e-3 * t);
}

double nr_thermal_flow_W_K(double flow_L_min, double degC)
{
    return flow_L_min / 60000.0 * nr_thermal_density(degC) * NR_VIRTUAL_CP;
}

double nr_thermal_bond_W_K(const nr_virtual_device *d, double flow_L_min)
{
    double ratio = flow_L_min > 0.0 ? pow(flow_L_min / d->bond_flow_L_min, d->bond_exponent) : 0.0;
    return d->bond_W_K * fmax(ratio, BOND_FLOOR);
}

double nr_thermal_store_mean(const nr_thermal *s)
{
    return 0.5 * (s->top + s->bottom);
}

void nr_thermal_start(nr_thermal *s, double collector_degC, double store_degC)
{
    for (int i = 0; i < N; i++) {
        s->absorber[i] = s->cover[i] = s->fluid[i] = collector_degC;
    }
    s->supply = s->back = s->top = s->bottom = store_degC;
}

/* What is the same for all segments in one step. Rates are heat capacities over dt, W/K. */
typedef struct along {
    double absorbed_W, air, flow_W_K, bond, dt_s;
    double absorber_rate, fluid_rate, cover_rate, cover_out;
    double fluid_share; /* 1/(fluid_rate + bond + flow) */
    double area, loss0; /* of one segment; loss0 includes the wind's part, W/(m2 K) */
} along;

static along prepare(const nr_virtual_device *d, const nr_thermal_input *in, double flow_W_K,
                     double dt_s)
{
    along a = {.air = in->air_degC, .flow_W_K = flow_W_K, .dt_s = dt_s};
    a.area = d->area_m2 / N;
    a.absorbed_W = a.area * in->sun_W_m2 * d->optical * in->modifier;
    a.bond = nr_thermal_bond_W_K(d, in->flow_L_min) / N;
    a.absorber_rate = d->absorber_J_K / N / dt_s;
    a.fluid_rate = d->fluid_kg * NR_VIRTUAL_CP / N / dt_s;
    a.cover_rate = d->cover ? d->cover_J_K / N / dt_s : 0.0;
    a.cover_out = d->cover ? a.area * (d->cover0 + d->coverwind * in->wind_m_s) : 0.0;
    a.fluid_share = 1.0 / (a.fluid_rate + a.bond + a.flow_W_K);
    a.loss0 = d->u0 + d->uwind * in->wind_m_s;
    return a;
}

/* One segment; the loss coefficients are taken at the old temperatures, the heat they carry at the
 * new ones. Returns the heat lost to the air, W. */
static double segment_step(const nr_virtual_device *d, const along *a, double upstream,
                           double *absorber, double *cover, double *fluid)
{
    double p = *absorber, g = *cover, f = *fluid;
    double loss = a->area * (a->loss0 + d->u1 * fabs(p - a->air));
    double gap = d->cover ? a->area * (d->gap0 + d->gap1 * fabs(p - g)) : 0.0;

    double fluid_drive = (a->fluid_rate * f + a->flow_W_K * upstream) * a->fluid_share;
    double pull = a->absorber_rate + loss + a->bond - a->bond * a->bond * a->fluid_share;
    double drive = a->absorber_rate * p + a->absorbed_W + loss * a->air + a->bond * fluid_drive;
    double cover_share = 0.0, cover_drive = 0.0;
    if (d->cover) {
        cover_share = 1.0 / (a->cover_rate + gap + a->cover_out);
        cover_drive = (a->cover_rate * g + a->cover_out * a->air) * cover_share;
        pull += gap - gap * gap * cover_share;
        drive += gap * cover_drive;
    }
    double new_p = drive / pull;
    *absorber = new_p;
    *fluid = fluid_drive + a->bond * new_p * a->fluid_share;
    double lost = loss * (new_p - a->air);
    if (d->cover) {
        *cover = cover_drive + gap * new_p * cover_share;
        lost += a->cover_out * (*cover - a->air);
    }
    return lost;
}

/* A pipe as one stirred node; returns its loss, W. */
static double pipe_step(const nr_virtual_device *d, double *pipe, double upstream, double flow_W_K,
                        double heat_W, double air, double dt_s)
{
    double rate = d->pipe_kg * NR_VIRTUAL_CP / dt_s;
    double pull = rate + flow_W_K + d->pipe_loss_W_K;
    if (pull <= 0.0) {
        return 0.0;
    }
    *pipe = (rate * *pipe + flow_W_K * upstream + d->pipe_loss_W_K * air + heat_W) / pull;
    return d->pipe_loss_W_K * (*pipe - air);
}

/* Both halves from their old temperatures: 70 kJ/K against a few kW/K makes seconds small steps. */
static double store_step(const nr_virtual_device *d, nr_thermal *s, double flow_W_K, double air,
                         double dt_s)
{
    double half_J_K = 0.5 * (d->water_kg * NR_VIRTUAL_CP + d->store_dry_J_K);
    double mixing = d->mixing_W_K + d->mixing_flow * flow_W_K;
    if (s->bottom > s->top) {
        mixing += OVERTURN_W_K;
    }
    double top = s->top, bottom = s->bottom;
    double down_W = mixing * (top - bottom);
    double top_loss = 0.5 * d->store_loss_W_K * (top - air);
    double bottom_loss = 0.5 * d->store_loss_W_K * (bottom - air);
    s->top += dt_s * (flow_W_K * (s->back - top) - down_W - top_loss) / half_J_K;
    s->bottom += dt_s * (flow_W_K * (top - bottom) + down_W - bottom_loss) / half_J_K;
    return top_loss + bottom_loss;
}

void nr_thermal_step(const nr_virtual_device *d, nr_thermal *s, const nr_thermal_input *in,
                     double dt_s, nr_virtual_ledger *ledger)
{
    bool running = in->flow_L_min > 0.0;
    double flow_W_K = running ? nr_thermal_flow_W_K(in->flow_L_min, s->supply) : 0.0;
    double heat_W = running ? d->pump_heat_W : 0.0;
    along a = prepare(d, in, flow_W_K, dt_s);

    double pipe_loss = pipe_step(d, &s->supply, s->bottom, flow_W_K, heat_W, a.air, dt_s);
    double lost = 0.0, upstream = s->supply;
    for (int i = 0; i < N; i++) {
        lost += segment_step(d, &a, upstream, &s->absorber[i], &s->cover[i], &s->fluid[i]);
        upstream = s->fluid[i];
    }
    pipe_loss += pipe_step(d, &s->back, upstream, flow_W_K, 0.0, a.air, dt_s);
    double store_loss = store_step(d, s, flow_W_K, a.air, dt_s);

    ledger->sun += dt_s * d->area_m2 * in->sun_W_m2;
    ledger->absorbed += dt_s * a.absorbed_W * N;
    ledger->pump += dt_s * heat_W;
    ledger->collector_loss += dt_s * lost;
    ledger->pipe_loss += dt_s * pipe_loss;
    ledger->store_loss += dt_s * store_loss;
}

void nr_thermal_content(const nr_virtual_device *d, const nr_thermal *s, double sign,
                        nr_virtual_ledger *ledger)
{
    double collector = 0.0;
    for (int i = 0; i < N; i++) {
        collector += d->absorber_J_K * s->absorber[i] + d->fluid_kg * NR_VIRTUAL_CP * s->fluid[i];
        collector += d->cover ? d->cover_J_K * s->cover[i] : 0.0;
    }
    double store = nr_thermal_store_mean(s);
    ledger->collector += sign * collector / N;
    ledger->water += sign * d->water_kg * NR_VIRTUAL_CP * store;
    ledger->dry += sign * d->store_dry_J_K * store;
    ledger->pipes += sign * d->pipe_kg * NR_VIRTUAL_CP * (s->supply + s->back);
}
