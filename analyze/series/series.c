/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/series/series.h"

#include "analyze/physics/water.h"
#include "analyze/series/parts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Integration step and the shortest block. Five seconds follow clouds and pump restarts; ten
 * average the noise and resolution of common probes. */
#define STEP_S 5.0
/* Where the pump stops, half of it: the heat that the last water carries is as much as a container
 * loses in a short stop, and with whole steps it comes out too early or too late. */
#define STEP_STOPS_S 2.5
#define BLOCK_S 10.0
/* Longest holes bridged by a straight line. Irradiance and flow can do anything in a minute; air
 * and wind (its mean) hardly change in ten. */
#define BRIDGE_FAST_S 60.0
#define BRIDGE_SLOW_S 600.0
/* Readings may come slower than that: then this many intervals. */
#define BRIDGE_INTERVALS 3.5
/* Flow is averaged over at most this time to each side: four minutes in all. */
#define SMOOTH_S 120.0
/* And wind: five minutes in all where it blows on glass, one on a bare absorber. */
#define WIND_GLAZED_S 150.0
#define WIND_BARE_S 30.0
#define SHORTEST_RECORD_S 300.0
#define SHORTEST_PART_BLOCKS 10
/* ISO 9806 test flow, 0.02 kg/(s m2): the guess when no flow was measured. From memory. */
#define USUAL_FLOW_L_MIN_M2 1.2
#define UNKNOWN_TRANSIT_S 60.0

static void free_part(nr_part *p)
{
    free(p->sun_W_m2);
    free(p->air_degC);
    free(p->flow_W_K);
    free(p->drive);
    free(p->wind_m_s);
    free(p->obliquity);
    for (int c = 0; c < NR_OUTS; c++)
        free(p->reading[c]);
    free(p->flow_L_min);
    free(p->pump_on);
    free(p->settled);
}

void nr_series_free(nr_series *s)
{
    if (!s)
        return;
    for (size_t i = 0; i < s->parts; i++)
        free_part(&s->part[i]);
    nr_quality_free(s->quality);
    free(s);
}

static const nr_role out_role[NR_OUTS] = {NR_ROLE_STORE, NR_ROLE_INLET, NR_ROLE_OUTLET};

/* What every question needs; the reason when it is missing. */
static nr_code check_record(const nr_run *run, const nr_quality *q, bool clear_sky, nr_err *err)
{
    const char *where = run->folder;
    if (!(q->duration_s >= SHORTEST_RECORD_S))
        return nr_fail(err, NR_CANNOT, where, 0,
                       "the record is %.0f s long; at least five minutes are needed, an hour tells "
                       "more",
                       q->duration_s);
    static const nr_role must[] = {NR_ROLE_SUN, NR_ROLE_AIR};
    for (size_t i = 0; i < 2; i++) {
        const nr_quality_channel *c = &q->channel[must[i]];
        const char *name = nr_role_name(must[i]);
        if (must[i] == NR_ROLE_SUN && clear_sky)
            continue;
        if (!c->value)
            return nr_fail(err, NR_CANNOT, where, 0,
                           "readings.csv has no %s column; the efficiency is heat gained over "
                           "irradiance, and the loss goes with the difference to the air%s",
                           name,
                           must[i] == NR_ROLE_SUN
                               ? ". For a test without a cloud, --clear-sky takes "
                                 "the irradiance from a sky model, 10 % uncertain"
                               : "");
        if (!c->good)
            return nr_fail(err, NR_CANNOT, where, 0,
                           "channel %s has no good reading (%zu recorded); `noonfit inspect` tells "
                           "why",
                           name, c->readings);
    }
    if (!q->channel[NR_ROLE_STORE].good && !q->channel[NR_ROLE_INLET].good)
        return nr_fail(err, NR_CANNOT, where, 0,
                       "no good reading of store or inlet: without the water's temperature there "
                       "is no heat to account for");
    return NR_OK;
}

static void bridge_all(nr_series *s, nr_grid *g, double interval_s)
{
    double fast = fmax(BRIDGE_FAST_S, BRIDGE_INTERVALS * interval_s);
    double slow = fmax(BRIDGE_SLOW_S, BRIDGE_INTERVALS * interval_s);
    static const struct {
        nr_role role;
        bool slow;
    } weather[] = {
        {NR_ROLE_SUN, false}, {NR_ROLE_FLOW, false}, {NR_ROLE_AIR, true}, {NR_ROLE_WIND, true}};
    for (size_t i = 0; i < sizeof weather / sizeof weather[0]; i++) {
        double *v = g->value[weather[i].role];
        if (v)
            s->bridged_steps +=
                nr_grid_bridge(v, g->steps, s->step_s, weather[i].slow ? slow : fast);
    }
}

bool nr_series_glazed(const nr_rig *rig)
{
    return nr_glazing_covers(rig->collector.glazing) > 0;
}

/* A small flow meter's pulses are coarse: taken as they come, each would be a false change of the
 * outlet temperature, and the estimate would bend the collector to damp it. Real flow changes with
 * the pump's supply, in steps or over minutes. Glass takes minutes to answer the wind, and the cup
 * is not where the collector is. */
static bool smooth_weather(const nr_series *s, const nr_quality *q, nr_grid *g)
{
    double noise = q->channel[NR_ROLE_FLOW].noise;
    double wind_s = nr_series_glazed(&s->run->rig) ? WIND_GLAZED_S : WIND_BARE_S;
    if (g->value[NR_ROLE_WIND] &&
        !nr_grid_smooth(g->value[NR_ROLE_WIND], g->steps, INFINITY, (size_t)(wind_s / s->step_s)))
        return false;
    if (!g->value[NR_ROLE_FLOW] || !(noise > 0))
        return true;
    /* Readings a step, blanks and bad ones not counted. */
    double per_step = fmax((double)q->channel[NR_ROLE_FLOW].good * s->step_s / q->duration_s, 1);
    return nr_grid_smooth(g->value[NR_ROLE_FLOW], g->steps, noise / sqrt(per_step),
                          (size_t)(SMOOTH_S / s->step_s));
}

static double known_fluid_L(const nr_rig *rig)
{
    if (rig->collector.fluid_kg.given)
        return rig->collector.fluid_kg.value;
    if (rig->collector.tube_length_m.given && rig->collector.tube_bore_mm.given)
        return M_PI / 4 * pow(rig->collector.tube_bore_mm.value / 1000, 2) *
               rig->collector.tube_length_m.value * 1000;
    return NAN;
}

/* Typical flow and transit time. */
static void set_flow(nr_series *s, const nr_quality *q)
{
    const nr_rig *rig = &s->run->rig;
    s->flow_known = q->channel[NR_ROLE_FLOW].good > 0;
    s->pump_known = q->pump_source != NR_PUMP_FROM_NOTHING;
    s->flow_guess_L_min = s->flow_known && q->pump_typical > 0
                              ? q->pump_typical
                              : USUAL_FLOW_L_MIN_M2 * rig->collector.gross_area_m2.value;
    double transit = 60 * known_fluid_L(rig) / s->flow_guess_L_min;
    s->transit_s = isfinite(transit) ? fmin(fmax(transit, 20), 600) : UNKNOWN_TRANSIT_S;
}

static double mean_of(const double *v, size_t n)
{
    double sum = 0;
    size_t count = 0;
    for (size_t i = 0; v && i < n; i++) {
        if (isnan(v[i]))
            continue;
        sum += v[i];
        count++;
    }
    return count ? sum / (double)count : NAN;
}

/* Heat capacity flow of one step; the density is the meter's, taken at the water's temperature. */
static double heat_flow(const nr_series *s, const nr_grid *g, size_t k)
{
    if (g->running[k] == 0)
        return 0;
    double L_min =
        g->value[NR_ROLE_FLOW] ? g->value[NR_ROLE_FLOW][k] : s->flow_guess_L_min * g->running[k];
    const double *water =
        g->value[NR_ROLE_STORE] ? g->value[NR_ROLE_STORE] : g->value[NR_ROLE_INLET];
    double degC = isnan(water[k]) ? s->mean_store_degC : water[k];
    double rho = nr_water_density_kg_m3(fmin(fmax(degC, 0), 100));
    return fmax(L_min, 0) / 60000 * rho * s->cp_J_kgK;
}

static bool step_usable(const nr_grid *g, size_t k)
{
    static const nr_role weather[] = {NR_ROLE_SUN, NR_ROLE_AIR, NR_ROLE_FLOW, NR_ROLE_WIND};
    for (size_t i = 0; i < 4; i++)
        if (g->value[weather[i]] && isnan(g->value[weather[i]][k]))
            return false;
    return true;
}

static double *copy_steps(const double *from, size_t first, size_t count)
{
    double *to = malloc(count * sizeof(double));
    if (to)
        memcpy(to, from + first, count * sizeof(double));
    return to;
}

static double *block_means(const double *steps, size_t first, size_t blocks, size_t per_block)
{
    double *to = malloc(blocks * sizeof(double));
    for (size_t b = 0; to && b < blocks; b++)
        to[b] = mean_of(steps + first + b * per_block, per_block);
    return to;
}

static void block_flags(const nr_series *s, const nr_grid *g, size_t first, nr_part *p)
{
    double lag = 0;
    const nr_rig_channel *outlet = nr_rig_channel_find(&s->run->rig, "outlet");
    if (outlet && outlet->lag_s > 0)
        lag = outlet->lag_s;
    double running_s = 0;
    for (size_t b = 0; b < p->blocks; b++) {
        bool on = true;
        for (size_t i = 0; i < s->steps_per_block; i++)
            on = on && g->pump[first + b * s->steps_per_block + i] != NR_PUMP_IS_OFF;
        p->pump_on[b] = on;
        p->settled[b] = on && running_s >= 2 * s->transit_s + 3 * lag;
        running_s = on ? running_s + s->block_s : 0;
    }
}

/* Cuts steps first .. first + blocks * per_block out of the grid. */
static bool cut_part(nr_series *s, const nr_grid *g, size_t first, size_t blocks)
{
    nr_part *p = &s->part[s->parts++];
    *p = (nr_part){.start_s = g->start_s + s->step_s * (double)first,
                   .blocks = blocks,
                   .steps = blocks * s->steps_per_block};
    bool good = (p->sun_W_m2 = copy_steps(g->value[NR_ROLE_SUN], first, p->steps)) &&
                (p->air_degC = copy_steps(g->value[NR_ROLE_AIR], first, p->steps)) &&
                (p->flow_W_K = malloc(p->steps * sizeof(double))) &&
                (p->flow_L_min = malloc(blocks * sizeof(double))) &&
                (p->pump_on = malloc(blocks)) && (p->settled = malloc(blocks));
    if (good && g->drive)
        good = (p->drive = copy_steps(g->drive, first, p->steps)) != NULL;
    if (good && g->value[NR_ROLE_WIND])
        good = (p->wind_m_s = copy_steps(g->value[NR_ROLE_WIND], first, p->steps)) != NULL;
    for (int c = 0; c < NR_OUTS && good; c++)
        if (g->value[out_role[c]])
            good = (p->reading[c] = block_means(g->value[out_role[c]], first, blocks,
                                                s->steps_per_block)) != NULL;
    if (!good)
        return false;
    for (size_t k = 0; k < p->steps; k++)
        p->flow_W_K[k] = heat_flow(s, g, first + k);
    for (size_t b = 0; b < blocks; b++)
        p->flow_L_min[b] = g->value[NR_ROLE_FLOW]
                               ? mean_of(g->value[NR_ROLE_FLOW] + first + b * s->steps_per_block,
                                         s->steps_per_block)
                               : NAN;
    block_flags(s, g, first, p);
    return true;
}

static nr_code cut_parts(nr_series *s, const nr_grid *g, nr_err *err)
{
    size_t m = s->steps_per_block, used = 0;
    for (size_t k = 0; k + m <= g->steps;) {
        size_t blocks = 0;
        for (size_t i = k; i < g->steps && step_usable(g, i); i++)
            blocks = (i - k + 1) / m;
        if (blocks >= SHORTEST_PART_BLOCKS && s->parts < NR_PARTS) {
            if (!cut_part(s, g, k, blocks))
                return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
            used += blocks * m;
        }
        k += blocks ? blocks * m : 1;
    }
    s->lost_s = s->step_s * (double)(g->steps - used);
    if (s->parts)
        return NR_OK;
    return nr_fail(err, NR_CANNOT, s->run->folder, 0,
                   "irradiance, air%s are never recorded together for %.0f s without a gap",
                   s->flow_known ? " and flow" : "", s->block_s * (double)SHORTEST_PART_BLOCKS);
}

static void set_sun_range(nr_series *s)
{
    s->max_sun_W_m2 = 0;
    for (size_t i = 0; i < s->parts; i++)
        for (size_t k = 0; k < s->part[i].steps; k++)
            s->max_sun_W_m2 = fmax(s->max_sun_W_m2, s->part[i].sun_W_m2[k]);
}

/* Pumped, and not beside a stop, where the flow may fill a part of the step only. */
static bool pumped_step(const nr_part *p, size_t k)
{
    return p->flow_W_K[k] > 0 && (k == 0 || p->flow_W_K[k - 1] > 0) &&
           (k + 1 == p->steps || p->flow_W_K[k + 1] > 0);
}

/* Means over the steps that say something about the collector: sunny and pumped. */
static void set_means(nr_series *s)
{
    double n = 0, sun = 0, air = 0, flow = 0, wind = 0, wind2 = 0, pumped = 0;
    double water = 0, wet = 0;
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *p = &s->part[i];
        for (size_t k = 0; k < p->steps; k++) {
            pumped += p->flow_W_K[k] > 0;
            if (!pumped_step(p, k) || p->sun_W_m2[k] < NR_SUN_COUNTS * s->max_sun_W_m2)
                continue;
            n++;
            sun += p->sun_W_m2[k];
            air += p->air_degC[k];
            flow += p->flow_W_K[k];
            double w = p->wind_m_s ? p->wind_m_s[k] : 0;
            wind += w;
            wind2 += w * w;
            const double *reading =
                p->reading[NR_OUT_STORE] ? p->reading[NR_OUT_STORE] : p->reading[NR_OUT_INLET];
            double degC = reading[k / s->steps_per_block];
            water += isnan(degC) ? 0 : degC;
            wet += !isnan(degC);
        }
    }
    s->ever_pumped = pumped * s->step_s >= SHORTEST_RECORD_S;
    s->mean_sun_W_m2 = n > 0 ? sun / n : NAN;
    s->mean_air_degC = n > 0 ? air / n : NAN;
    s->mean_sunny_store_degC = wet > 0 ? water / wet : NAN;
    double rho = nr_water_density_kg_m3(fmin(fmax(s->mean_store_degC, 0), 100));
    s->mean_flow_W_K = n > 0 ? flow / n : NAN;
    s->mean_flow_L_min = s->mean_flow_W_K / (rho * s->cp_J_kgK) * 60000;
    bool has_wind = s->part[0].wind_m_s != NULL;
    s->mean_wind_m_s = has_wind && n > 0 ? wind / n : NAN;
    s->wind_sd_m_s =
        has_wind && n > 0 ? sqrt(fmax(wind2 / n - s->mean_wind_m_s * s->mean_wind_m_s, 0)) : NAN;
}

/* The model wants wind as the departure from its mean. */
static void centre_wind(nr_series *s)
{
    for (size_t i = 0; i < s->parts; i++)
        for (size_t k = 0; s->part[i].wind_m_s && k < s->part[i].steps; k++)
            s->part[i].wind_m_s[k] -= isnan(s->mean_wind_m_s) ? 0 : s->mean_wind_m_s;
}

static void count_bad(nr_series *s, const nr_quality *q)
{
    for (int c = 0; c < NR_ROLES; c++)
        if (q->channel[c].value)
            s->bad_readings += nr_quality_marked(q, (nr_role)c);
}

static nr_code build(nr_series *s, const nr_quality *q, bool clear_sky, nr_err *err)
{
    double interval = q->interval_s;
    s->step_s = q->pump_stops && interval <= STEP_STOPS_S ? STEP_STOPS_S : STEP_S;
    s->steps_per_block = (size_t)fmax(BLOCK_S / s->step_s, ceil(interval / s->step_s));
    s->block_s = s->step_s * (double)s->steps_per_block;
    s->rows = q->rows;
    s->duration_s = q->duration_s;
    count_bad(s, q);
    set_flow(s, q);
    nr_grid g;
    nr_code code = nr_grid_build(q, s->run, s->step_s, &g, err);
    if (code)
        return code;
    if (clear_sky && !g.value[NR_ROLE_SUN]) {
        s->sun_modelled = true;
        code = nr_grid_clear_sky(s->run, s->step_s, &g, err);
        if (code) {
            nr_grid_free(&g);
            return code;
        }
    }
    bridge_all(s, &g, interval);
    if (!smooth_weather(s, q, &g)) {
        nr_grid_free(&g);
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    const double *water = g.value[NR_ROLE_STORE] ? g.value[NR_ROLE_STORE] : g.value[NR_ROLE_INLET];
    s->mean_store_degC = mean_of(water, g.steps);
    s->cp_J_kgK = nr_water_cp_J_kgK(fmin(fmax(s->mean_store_degC, 0), 100));
    if (!s->flow_known)
        g.drive = nr_grid_drive(s, &g);
    code = cut_parts(s, &g, err);
    nr_grid_free(&g);
    if (code)
        return code;
    set_sun_range(s);
    set_means(s);
    centre_wind(s);
    return nr_series_angles(s, err);
}

nr_code nr_series_build(const nr_run *run, nr_series **out, nr_err *err)
{
    nr_series_options measured = {.clear_sky = false};
    return nr_series_build_with(run, &measured, out, err);
}

nr_code nr_series_build_with(const nr_run *run, const nr_series_options *options, nr_series **out,
                             nr_err *err)
{
    *out = NULL;
    nr_quality *q = NULL;
    nr_code code = nr_quality_check(run, &q, err);
    if (code)
        return code;
    code = check_record(run, q, options->clear_sky, err);
    nr_series *s = code ? NULL : calloc(1, sizeof *s);
    if (!code && !s)
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!s) {
        nr_quality_free(q);
        return code;
    }
    s->run = run;
    s->quality = q;
    code = build(s, q, options->clear_sky, err);
    if (code)
        nr_series_free(s);
    else
        *out = s;
    return code;
}

nr_loop_input nr_series_input(const nr_series *s, const nr_part *p)
{
    static const char *const name[NR_OUTS] = {"store", "inlet", "outlet"};
    nr_loop_input in = {.blocks = p->blocks,
                        .steps_per_block = s->steps_per_block,
                        .step_s = s->step_s,
                        .sun_W_m2 = p->sun_W_m2,
                        .air_degC = p->air_degC,
                        .flow_W_K = p->flow_W_K,
                        .drive = p->drive,
                        .wind_m_s = p->wind_m_s,
                        .obliquity = p->obliquity};
    for (int c = 0; c < NR_OUTS; c++) {
        const nr_rig_channel *channel = nr_rig_channel_find(&s->run->rig, name[c]);
        in.lag_s[c] = channel && channel->lag_s > 0 ? channel->lag_s : 0;
    }
    return in;
}
