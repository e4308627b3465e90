/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heat-ups of the segmented model as JSON, for engines.py to hold other engines against: a set of
 * collectors, and those fitted to the runs that are named.
 *
 *   heatup STEP_S RUN...
 */
#include "analyze/fit/solved.h"
#include "analyze/model/steady.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define HOUR_S 3600
#define STEPS_MOST HOUR_S /* at a second */

/* Clear, two clouds, clear; air that warms; a pump that stops for three minutes. */
static double sun_at(double t)
{
    return t < 1200 ? 850 : t < 1500 ? 200 : t < 2400 ? 950 : t < 2460 ? 400 : 900;
}

static double air_at(double t)
{
    return 16 + 4 * t / HOUR_S;
}

static double flow_at(double t, double flow)
{
    return t >= 2700 && t < 2880 ? 0 : flow;
}

static void print_params(const nr_loop_params *p)
{
    const struct {
        const char *name;
        double value;
    } row[] = {{"area", p->area_m2},
               {"optical", p->optical},
               {"loss", p->loss_W_m2K},
               {"loss2", p->loss2_W_m2K2},
               {"exchange", p->exchange_W_m2K},
               {"capacity", p->capacity_J_m2K},
               {"cover", p->cover_J_m2K},
               {"fluid", p->fluid_J_K},
               {"store", p->store_J_K},
               {"store_loss", p->store_loss_W_K},
               {"t_store", p->t_store_degC},
               {"t_collector", p->t_collector_degC}};
    printf("\"params\": {");
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++)
        printf("%s\"%s\": %.17g", i ? ", " : "", row[i].name, row[i].value);
    printf("}, \"segments\": %d, \"cover_share\": %.17g,\n", NR_SEGMENTS, NR_COVER_SHARE);
}

static void print_list(const char *name, const double *v, size_t n, const char *end)
{
    printf("\"%s\": [", name);
    for (size_t i = 0; i < n; i++)
        printf("%s%.12g", i ? "," : "", v[i]);
    printf("]%s\n", end);
}

static void heat_up(const char *name, const nr_loop_params *p, double flow, double step, bool last)
{
    static double sun[STEPS_MOST], air[STEPS_MOST], flows[STEPS_MOST], store[STEPS_MOST],
        outlet[STEPS_MOST];
    size_t n = (size_t)(HOUR_S / step);
    for (size_t k = 0; k < n; k++) {
        double t = ((double)k + 0.5) * step;
        sun[k] = sun_at(t);
        air[k] = air_at(t);
        flows[k] = flow_at(t, flow);
    }
    nr_loop_input in = {.blocks = n,
                        .steps_per_block = 1,
                        .step_s = step,
                        .sun_W_m2 = sun,
                        .air_degC = air,
                        .flow_W_K = flows};
    nr_loop_output out = {.reading = {store, NULL, outlet}};
    nr_loop_run(&in, p, &out);
    nr_steady_conditions c = {.sun_W_m2 = 900, .air_degC = 20, .flow_W_K = flow};
    printf("{\"name\": \"%s\", \"flow\": %.17g, \"step\": %g,\n", name, flow, step);
    print_params(p);
    printf("\"eta_inlet\": [%.17g, %.17g],\n", nr_steady_efficiency(p, &c, 0, false),
           nr_steady_efficiency(p, &c, 0.03, false));
    print_list("sun", sun, n, ",");
    print_list("air", air, n, ",");
    print_list("flow_steps", flows, n, ",");
    print_list("store", store, n, ",");
    print_list("outlet", outlet, n, last ? "}" : "},");
}

/* What the record says the collector and the container are, as far as the network here has it: what
 * belongs to sensors, to the weather or to another day is none. */
static nr_loop_params fitted(const nr_solved *s)
{
    nr_loop_params of = nr_joint_device(s->joint, s->at.piece, nr_joint_x(s->joint));
    return (nr_loop_params){.area_m2 = of.area_m2,
                            .optical = of.optical,
                            .loss_W_m2K = of.loss_W_m2K,
                            .loss2_W_m2K2 = of.loss2_W_m2K2,
                            .exchange_W_m2K = of.exchange_W_m2K,
                            .capacity_J_m2K = of.capacity_J_m2K,
                            .cover_J_m2K = of.cover_J_m2K,
                            .fluid_J_K = of.fluid_J_K,
                            .store_J_K = of.store_J_K,
                            .store_loss_W_K = of.store_loss_W_K,
                            .flow_factor = 1,
                            .t_store_degC = of.t_store_degC,
                            .t_collector_degC = of.t_collector_degC};
}

int main(int argc, char **argv)
{
    /* area, optical, loss, its growth, exchange, capacity, cover, fluid, store, its loss; flow W/K
     */
    static const struct {
        const char *name;
        double p[10], flow;
    } set[] = {
        {"one pane", {1.0, 0.75, 6, 0, 150, 6000, 7000, 1300, 160000, 2.0}, 70},
        {"two panes, growing loss", {2.0, 0.68, 3, 0.02, 200, 9000, 14000, 3000, 420000, 3}, 90},
        {"film", {0.7, 0.80, 8, 0.01, 90, 5000, 400, 900, 100000, 1.5}, 50},
        {"bare", {1.0, 0.90, 18, 0, 110, 3000, 0, 1200, 160000, 2.5}, 70},
        {"bare, slow flow", {1.5, 0.90, 22, 0, 60, 2500, 0, 2000, 90000, 4}, 15},
        {"heavy, poor exchange", {1.0, 0.70, 5, 0, 25, 15000, 6000, 4000, 200000, 0}, 100},
    };
    double step = argc > 1 ? atof(argv[1]) : 0;
    if (!(step >= 1 && step <= 60))
        return 2;
    printf("[\n");
    for (size_t i = 0; i < sizeof set / sizeof set[0]; i++) {
        const double *v = set[i].p;
        nr_loop_params p = {.area_m2 = v[0],
                            .optical = v[1],
                            .loss_W_m2K = v[2],
                            .loss2_W_m2K2 = v[3],
                            .exchange_W_m2K = v[4],
                            .capacity_J_m2K = v[5],
                            .cover_J_m2K = v[6],
                            .fluid_J_K = v[7],
                            .store_J_K = v[8],
                            .store_loss_W_K = v[9],
                            .flow_factor = 1,
                            .t_store_degC = 15,
                            .t_collector_degC = 19};
        heat_up(set[i].name, &p, set[i].flow, step,
                argc == 2 && i + 1 == sizeof set / sizeof set[0]);
    }
    for (int r = 2; r < argc; r++) {
        nr_run *run[NR_RIG_BUILDS] = {NULL};
        size_t count = 0;
        nr_solved s = {0};
        nr_err err = {.text = ""};
        nr_fit_options options = nr_fit_defaults();
        if (nr_run_open_builds(argv[r], NULL, run, &count, NULL, &err) ||
            nr_solve_runs((const nr_run *const *)run, 1, &options, &s, &err)) {
            nr_err_print(stderr, "heatup", &err);
            return 1;
        }
        nr_loop_params p = fitted(&s);
        heat_up("fitted", &p, s.at.conditions.flow_W_K, step, r + 1 == argc);
        nr_solved_free(&s);
        for (size_t i = 0; i < count; i++)
            nr_run_free(run[i]);
    }
    printf("]\n");
    return 0;
}
