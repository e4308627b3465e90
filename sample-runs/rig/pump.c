/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Steady pump, or a pump on its own photovoltaic panel with a start and a stall threshold. */
#include "sample-runs/rig/pump.h"

#include "sample-runs/rig/chance.h"

#include <gsl/gsl_randist.h>
#include <math.h>

#define WANDER 0.01
#define WANDER_S 300.0
#define SPIN_S 1.5 /* how fast the water column follows the pump */
#define STOPPED_L_MIN 0.03
#define SUPPLY_V 12.0
/* A panel-driven pump: no flow at PANEL_NONE, the nominal flow at PANEL_FULL, W/m2. */
#define PANEL_NONE 100.0
#define PANEL_FULL 900.0

static bool switched_off(const nr_virtual_params *p, double t_s)
{
    if (p->pump == NR_PUMP_OFF) {
        return true;
    }
    /* NAN compares false: never stopped, never restarted. */
    return t_s >= p->pump_stop_s && !(t_s >= p->pump_restart_s);
}

static double panel_share(double sun_W_m2)
{
    double x = (sun_W_m2 - PANEL_NONE) / (PANEL_FULL - PANEL_NONE);
    return x > 0.0 ? fmin(pow(x, 0.6), 1.15) : 0.0;
}

/* Flow it tends to, and the supply voltage a meter would show. */
static double aim(nr_turning_pump *pump, const nr_virtual_params *p, double t_s, double sun_W_m2)
{
    if (switched_off(p, t_s)) {
        pump->running = false;
        pump->supply_V = 0.0;
        return 0.0;
    }
    if (p->pump == NR_PUMP_STEADY) {
        pump->running = true;
        pump->supply_V = SUPPLY_V;
        return p->flow_L_min * (1.0 + pump->wander);
    }
    double threshold = pump->running ? p->panel_stall_W_m2 : p->panel_start_W_m2;
    pump->running = sun_W_m2 > threshold;
    if (!pump->running) {
        /* A stalled motor is nearly a short circuit: the panel's voltage breaks down. */
        pump->supply_V = 1.5 * sun_W_m2 / PANEL_FULL;
        return 0.0;
    }
    double share = panel_share(sun_W_m2);
    pump->supply_V = 6.0 + 8.0 * share;
    return p->flow_L_min * share * (1.0 + pump->wander);
}

bool nr_turning_pump_open(nr_turning_pump *pump, const nr_virtual_params *p, double sun_W_m2)
{
    *pump = (nr_turning_pump){.rng = nr_chance_open(p->day_seed, "pump", p->build)};
    if (!pump->rng) {
        return false;
    }
    pump->flow_L_min = aim(pump, p, 0.0, sun_W_m2);
    return true;
}

void nr_turning_pump_close(nr_turning_pump *pump)
{
    if (pump->rng) {
        gsl_rng_free(pump->rng);
    }
    pump->rng = NULL;
}

void nr_turning_pump_step(nr_turning_pump *pump, const nr_virtual_params *p, double t_s,
                          double sun_W_m2, double dt_s)
{
    if (p->sky != NR_SKY_STEADY) {
        double keep = exp(-dt_s / WANDER_S);
        pump->wander = keep * pump->wander +
                       WANDER * sqrt(1.0 - keep * keep) * gsl_ran_gaussian_ziggurat(pump->rng, 1.0);
    }
    double target = aim(pump, p, t_s, sun_W_m2);
    pump->flow_L_min += (1.0 - exp(-dt_s / SPIN_S)) * (target - pump->flow_L_min);
    if (target <= 0.0 && pump->flow_L_min < STOPPED_L_MIN) {
        pump->flow_L_min = 0.0;
    }
}
