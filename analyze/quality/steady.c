/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The record is cut into blocks of half a minute, and a window is a row of blocks whose means keep
 * within the limits. Means, because the bands of the standard are about the quantity, not about a
 * sensor's noise (the 1994 edition compares 30 s means with the whole). */
#include "analyze/quality/steady.h"

#include "analyze/physics/sun.h"
#include "analyze/physics/water.h"

#include <math.h>
#include <stdlib.h>

#define BLOCK_S 30.0
#define LEAST_FILLED 0.4     /* of the rows a block should hold */
#define GUESSED_J_M2K 8000.0 /* heat capacity of a collector nobody stated, with 50 % */
#define GUESSED_U 0.5

const nr_steady_limits nr_steady_iso9806 = {
    .name = "ISO 9806 steady state",
    .least_sun_W_m2 = 700.0,
    .sun_band_W_m2 = 50.0,
    .air_band_K = 1.5,
    .inlet_band_K = 0.1,
    .inlet_drift_K_min = INFINITY,
    .flow_band = 0.01,
    .least_wind_m_s = 2.0,
    .most_wind_m_s = 4.0,
    .most_incidence_deg = 20.0,
    .least_rise_K = 1.0,
    .settle_s = 900.0,
    .window_s = 600.0,
};

const nr_steady_limits nr_steady_field = {
    .name = "relaxed field limits",
    .least_sun_W_m2 = 500.0,
    .sun_band_W_m2 = 50.0,
    .air_band_K = 1.5,
    .inlet_band_K = 3.0,
    .inlet_drift_K_min = 0.6,
    .flow_band = 0.10,
    .least_wind_m_s = 0.0,
    .most_wind_m_s = INFINITY,
    .most_incidence_deg = 50.0,
    .least_rise_K = 1.0,
    .settle_s = 300.0,
    .window_s = 300.0,
};

enum { SUN, AIR, INLET, OUTLET, FLOW, WIND, SEEN };
static const nr_role seen_role[SEEN] = {NR_ROLE_SUN,    NR_ROLE_AIR,  NR_ROLE_INLET,
                                        NR_ROLE_OUTLET, NR_ROLE_FLOW, NR_ROLE_WIND};

typedef struct block {
    double mean[SEEN];
    double later_s; /* what elapsed_s is more than the time of the blocks: long pauses */
    bool running, whole;
} block;

/* Where the sun was last computed: an hour turns it by 15 degrees, so it stays beyond a limit, or
 * within, for as long as it takes to cross that, and need not be computed again. */
typedef struct seen_sun {
    double at_s, incidence_deg;
} seen_sun;
#define TURNS_DEG_S (15.05 / 3600)

typedef struct view {
    const nr_run *run;
    const nr_quality *q;
    nr_good_rows *rows;
    const nr_steady_limits *limits;
    bool mean_basis, angle_known;
    size_t blocks;
    block *block;
    double start_s;
    nr_steady *out;
    seen_sun seen;
    nr_sun_path *path;
} view;

static void fill_block(const view *v, block *b, size_t from, size_t to)
{
    double sum[SEEN] = {0};
    size_t n[SEEN] = {0};
    b->running = to > from;
    for (size_t i = from; i < to; i++)
        b->running = b->running && v->q->pump[i] == NR_PUMP_IS_ON;
    for (int k = 0; k < SEEN; k++) {
        const nr_quality_channel *c = &v->q->channel[seen_role[k]];
        for (size_t i = from; c->value && i < to; i++) {
            double value = nr_good_at(v->rows, seen_role[k], i);
            if (isnan(value))
                continue;
            sum[k] += value;
            n[k]++;
        }
    }
    double due = fmax(1.0, LEAST_FILLED * BLOCK_S / v->q->interval_s - 1.0);
    b->whole = true;
    for (int k = 0; k < SEEN; k++) {
        b->mean[k] = n[k] ? sum[k] / (double)n[k] : NAN;
        if (k != WIND && (double)n[k] < due)
            b->whole = false;
    }
}

static bool fill_blocks(view *v)
{
    nr_good_rows good;
    nr_cursor t, busy;
    nr_good_begin(&good, v->q);
    nr_cursor_begin(&t, &v->q->elapsed_s);
    nr_cursor_begin(&busy, &v->q->busy_s);
    size_t rows = v->q->rows;
    v->rows = &good;
    v->start_s = nr_at(&t, 0);
    v->blocks = (size_t)(nr_at(&busy, rows - 1) / BLOCK_S);
    v->block = calloc(v->blocks + 1, sizeof *v->block);
    if (!v->block)
        return false;
    for (size_t b = 0, from = 0; b < v->blocks; b++) {
        double end = BLOCK_S * (double)(b + 1);
        size_t to = from;
        while (to < rows && nr_at(&busy, to) < end)
            to++;
        v->block[b].later_s = from < rows ? nr_at(&t, from) - nr_at(&busy, from) : NAN;
        fill_block(v, &v->block[b], from, to);
        from = to;
    }
    v->rows = NULL;
    return true;
}

static double mean_of(const view *v, int k, size_t from, size_t to)
{
    double sum = 0.0;
    for (size_t b = from; b < to; b++)
        sum += v->block[b].mean[k];
    return sum / (double)(to - from);
}

static bool within(const view *v, int k, size_t from, size_t to, double mean, double band)
{
    for (size_t b = from; b < to; b++)
        if (!(fabs(v->block[b].mean[k] - mean) <= band))
            return false;
    return true;
}

/* Least-squares slope, per second, of block means; k2 < SEEN: of the mean of both. */
static double slope(const view *v, int k, int k2, size_t from, size_t to)
{
    double n = (double)(to - from), middle = 0.5 * (n - 1.0), up = 0.0, down = 0.0;
    for (size_t b = from; b < to; b++) {
        double x = (double)(b - from) - middle;
        up += x * 0.5 * (v->block[b].mean[k] + v->block[b].mean[k2]);
        down += x * x;
    }
    return up / down / BLOCK_S;
}

static double incidence_of(const view *v, double elapsed_s)
{
    if (!v->angle_known)
        return NAN;
    const nr_rig *rig = &v->run->rig;
    nr_values labels = nr_readings_utc(v->run->readings);
    double utc = nr_number(&labels, 0) - v->start_s + elapsed_s;
    nr_sun sun = nr_sun_along(v->path, utc, rig->latitude_deg.value, rig->longitude_deg.value);
    return nr_incidence_deg(sun.zenith_deg, sun.azimuth_deg, rig->collector.tilt_deg.value,
                            rig->collector.azimuth_deg.value);
}

/* Whether blocks from..to-1, with settling blocks before them, meet the limits. */
static bool meets(view *v, const nr_steady_limits *l, size_t from, size_t to)
{
    size_t settle = (size_t)(l->settle_s / BLOCK_S + 0.5);
    if (from < settle)
        return false;
    size_t early = from - settle;
    for (size_t b = early; b < to; b++)
        if (!v->block[b].running || !v->block[b].whole)
            return false;
    double sun = mean_of(v, SUN, from, to), inlet = mean_of(v, INLET, from, to);
    double flow = mean_of(v, FLOW, from, to), wind = mean_of(v, WIND, from, to);
    if (sun < l->least_sun_W_m2 || !within(v, SUN, from, to, sun, l->sun_band_W_m2) ||
        !within(v, FLOW, early, to, flow, l->flow_band * flow) ||
        !within(v, AIR, from, to, mean_of(v, AIR, from, to), l->air_band_K))
        return false;
    /* Without a limit on drift the inlet has to hold its temperature while settling, too. */
    size_t hold = isinf(l->inlet_drift_K_min) ? early : from;
    if (!within(v, INLET, hold, to, inlet, l->inlet_band_K) ||
        fabs(slope(v, INLET, INLET, from, to)) * 60.0 > l->inlet_drift_K_min)
        return false;
    if (mean_of(v, OUTLET, from, to) - inlet < l->least_rise_K)
        return false;
    if (!isnan(wind) && (wind < l->least_wind_m_s || wind > l->most_wind_m_s))
        return false;
    double middle = v->block[from].later_s + 0.5 * BLOCK_S * (double)(from + to);
    double from_limit = fabs(v->seen.incidence_deg - l->most_incidence_deg);
    if (!(fabs(middle - v->seen.at_s) * TURNS_DEG_S < from_limit))
        v->seen = (seen_sun){middle, incidence_of(v, middle)};
    return !(v->seen.incidence_deg > l->most_incidence_deg);
}

static double stated_u(const view *v, nr_role role, bool gain, double otherwise)
{
    const nr_rig_channel *c = nr_rig_channel_find(&v->run->rig, nr_role_name(role));
    double u = c ? (gain ? c->u_gain : c->u_offset) : NAN;
    return isnan(u) ? otherwise : u;
}

/* Heat capacity of the collector with its fluid, J/K, and its standard uncertainty. */
static void capacity(const view *v, double cp, double *c, double *u)
{
    const nr_rig *rig = &v->run->rig;
    double fluid_kg = rig->collector.fluid_kg.given ? rig->collector.fluid_kg.value : NAN;
    if (isnan(fluid_kg) && rig->collector.tube_length_m.given &&
        rig->collector.tube_bore_mm.given) {
        double bore_m = 1e-3 * rig->collector.tube_bore_mm.value;
        fluid_kg = 1000.0 * 0.25 * M_PI * bore_m * bore_m * rig->collector.tube_length_m.value;
    }
    v->out->capacity_stated = rig->collector.heat_capacity_J_K.given && !isnan(fluid_kg);
    if (!v->out->capacity_stated) {
        *c = GUESSED_J_M2K * rig->collector.gross_area_m2.value;
        *u = GUESSED_U * *c;
        return;
    }
    double dry = rig->collector.heat_capacity_J_K.value;
    double u_dry = rig->collector.heat_capacity_J_K.u_given ? rig->collector.heat_capacity_J_K.u
                                                            : NR_UNSTATED_CAPACITY * dry;
    *c = fluid_kg * cp + dry;
    *u = u_dry;
}

/* Standard uncertainty of the mean of the blocks' useful power over irradiance. */
static double scatter(const view *v, size_t from, size_t to, double mcp_per_L_min, double area)
{
    double n = (double)(to - from), mean = 0.0, squares = 0.0;
    for (size_t b = from; b < to; b++) { /* the running form keeps its digits */
        const double *m = v->block[b].mean;
        double eta = mcp_per_L_min * m[FLOW] * (m[OUTLET] - m[INLET]) / (area * m[SUN]);
        double away = eta - mean;
        mean += away / (double)(b - from + 1);
        squares += away * (eta - mean);
    }
    return sqrt(squares / (n - 1.0) / n);
}

static void fill_point(const view *v, nr_steady_window *w, size_t from, size_t to)
{
    const nr_value *area = &v->run->rig.collector.gross_area_m2;
    double cp = nr_water_cp_J_kgK(0.5 * (w->inlet_degC + w->outlet_degC));
    double mcp_per_L_min = nr_water_density_kg_m3(w->inlet_degC) / 60000.0 * cp;
    double rise = w->outlet_degC - w->inlet_degC, c, u_c;
    capacity(v, cp, &c, &u_c);
    double sunshine = area->value * w->sun_W_m2;
    double moved = mcp_per_L_min * w->flow_L_min * rise / sunshine;
    w->eta = moved + c * w->drift_K_s / sunshine;
    double reference = v->mean_basis ? 0.5 * (w->inlet_degC + w->outlet_degC) : w->inlet_degC;
    w->x = (reference - w->air_degC) / w->sun_W_m2;
    w->u_random = scatter(v, from, to, mcp_per_L_min, area->value);
    double u_in = stated_u(v, NR_ROLE_INLET, false, NR_UNSTATED_OFFSET_K);
    double u_out = stated_u(v, NR_ROLE_OUTLET, false, NR_UNSTATED_OFFSET_K);
    double by_rise = moved * hypot(u_in, u_out) / rise;
    double by_flow = moved * stated_u(v, NR_ROLE_FLOW, true, NR_UNSTATED_FLOW_GAIN);
    double by_sun = w->eta * stated_u(v, NR_ROLE_SUN, true, NR_UNSTATED_SUN_GAIN);
    double by_area = w->eta * (area->u_given ? area->u / area->value : NR_UNSTATED_AREA);
    double by_capacity = u_c * w->drift_K_s / sunshine;
    w->u = sqrt(w->u_random * w->u_random + by_rise * by_rise + by_flow * by_flow +
                by_sun * by_sun + by_area * by_area + by_capacity * by_capacity);
}

static void add_window(view *v, size_t from, size_t to)
{
    nr_steady_window *w = &v->out->window[v->out->count++];
    *w = (nr_steady_window){
        .from_s = v->block[from].later_s + BLOCK_S * (double)from,
        .to_s = v->block[from].later_s + BLOCK_S * (double)to,
        .sun_W_m2 = mean_of(v, SUN, from, to),
        .air_degC = mean_of(v, AIR, from, to),
        .inlet_degC = mean_of(v, INLET, from, to),
        .outlet_degC = mean_of(v, OUTLET, from, to),
        .flow_L_min = mean_of(v, FLOW, from, to),
        .wind_m_s = mean_of(v, WIND, from, to),
        .drift_K_s = slope(v, INLET, OUTLET, from, to),
    };
    w->incidence_deg = incidence_of(v, 0.5 * (w->from_s + w->to_s));
    w->strict = v->limits == &nr_steady_iso9806;
    size_t strict_blocks = (size_t)(nr_steady_iso9806.window_s / BLOCK_S + 0.5);
    /* A relaxed window is strict when it lies within one that is. */
    for (size_t a = from; !w->strict && a + strict_blocks >= to; a--) {
        if (a + strict_blocks <= v->blocks && a + strict_blocks >= to)
            w->strict = meets(v, &nr_steady_iso9806, a, a + strict_blocks);
        if (a == 0)
            break;
    }
    fill_point(v, w, from, to);
}

static bool enough_channels(const nr_quality *q)
{
    for (int k = 0; k < SEEN; k++)
        if (k != WIND && q->channel[seen_role[k]].good == 0)
            return false;
    return true;
}

/* *v: with the blocks of another look at the same record, or none yet, which are then made. */
static nr_code find(view *v, const nr_steady_limits *limits, nr_steady **out, nr_err *err)
{
    const nr_quality *q = v->q;
    *out = calloc(1, sizeof **out);
    if (!*out)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!enough_channels(q) || q->duration_s < limits->window_s)
        return NR_OK;
    const nr_rig *rig = &v->run->rig;
    v->limits = limits;
    v->out = *out;
    v->seen = (seen_sun){0, NAN};
    v->angle_known = rig->latitude_deg.given && rig->longitude_deg.given &&
                     rig->collector.tilt_deg.given && rig->collector.azimuth_deg.given;
    v->out->wind_checked = q->channel[NR_ROLE_WIND].good > 0;
    v->out->incidence_checked = v->angle_known;
    size_t blocks = (size_t)(limits->window_s / BLOCK_S + 0.5);
    size_t most = (size_t)(nr_number(&q->busy_s, q->rows - 1) / limits->window_s) + 1;
    v->out->window = calloc(most, sizeof *v->out->window);
    if (!v->out->window || (!v->block && !fill_blocks(v))) {
        nr_steady_free(*out);
        *out = NULL;
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    for (size_t from = 0; from + blocks <= v->blocks && v->out->count < most;) {
        if (!meets(v, limits, from, from + blocks)) {
            from++;
            continue;
        }
        add_window(v, from, from + blocks);
        from += blocks;
    }
    return NR_OK;
}

nr_code nr_steady_find(const nr_run *run, const nr_quality *q, const nr_steady_limits *limits,
                       bool mean_basis, nr_steady **out, nr_err *err)
{
    nr_sun_path path = {0};
    view v = {.run = run, .q = q, .mean_basis = mean_basis, .path = &path};
    nr_code code = find(&v, limits, out, err);
    free(v.block);
    return code;
}

nr_code nr_steady_count(const nr_run *run, const nr_quality *q,
                        const nr_steady_limits *const *limits, size_t count, size_t *windows,
                        nr_err *err)
{
    nr_sun_path path = {0};
    view v = {.run = run, .q = q, .path = &path};
    nr_code code = NR_OK;
    for (size_t i = 0; i < count && !code; i++) {
        nr_steady *steady = NULL;
        code = find(&v, limits[i], &steady, err);
        windows[i] = code ? 0 : steady->count;
        nr_steady_free(steady);
    }
    free(v.block);
    return code;
}

void nr_steady_free(nr_steady *steady)
{
    if (!steady)
        return;
    free(steady->window);
    free(steady);
}
