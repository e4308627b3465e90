/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/series/series.h"

#include "analyze/physics/evaporation.h"
#include "analyze/physics/water.h"
#include "analyze/series/inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Integration step and the shortest block. Five seconds follow clouds and pump restarts; ten
 * average the noise and resolution of common probes. */
#define STEP_S 5.0
/* Where the pump stops, half of it: the heat that the last water carries is as much as a container
 * loses in a short stop, and with whole steps it comes out too early or too late. So it is where
 * the flow varies by this share of its mean (standard deviation), as a pump's on a panel of its own
 * does: what is late by half a step is heat that the flow has changed under. There a driven tube's
 * steps are of second order, too (model/loop.h). */
#define FLOW_VARIES 0.1
#define STEP_STOPS_S 2.5
#define BLOCK_S 10.0
/* Where readings come slower than that: steps a reading, and the longest step, which a collector's
 * minute or two still sees. */
#define STEPS_A_READING 6.0
#define STEP_MOST_S 30.0
/* A record of many days is read in longer means: so many blocks are enough for anything, and the
 * cost stays bounded. */
#define MOST_BLOCKS 3000.0
/* A gap this long, at least, ends a stretch: nothing is bridged across it. */
#define SPLIT_S 600.0
#define SPLIT_INTERVALS 3.5
/* Nights are left out where they tell nothing, or cost too much: this long below that. */
#define NIGHT_S 3600.0
#define NIGHT_W_M2 20.0
#define DAY_S 86400.0
/* Low sun spoils: beyond 60 degrees of incidence a modifier falls by a tenth and more within
 * minutes (ISO 9806 data sheets); where the angle is not known, below this irradiance. */
#define LOW_SUN_OBLIQUITY 1.0 /* 1/cos(60 deg) - 1 */
#define LOW_SUN_W_M2 200.0
#define SHORTEST_RECORD_S 300.0
#define SHORTEST_PART_BLOCKS 10
/* ISO 9806 test flow, 0.02 kg/(s m2): the guess when no flow was measured. From memory. */
#define USUAL_FLOW_L_MIN_M2 1.2
#define UNKNOWN_TRANSIT_S 60.0
/* Where the rig has no container: for predictions that state none. Common practice, no source. */
#define USUAL_WATER_KG_M2 50.0

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
    free(p->bright);
    free(p->inlet_degC);
    free(p->outlet_degC);
    free(p->sky_W_m2);
    free(p->humidity);
    free(p->iam);
    free(p->diffuse);
    for (int c = 0; c < NR_OUTS; c++)
        free(p->weight[c]);
}

void nr_series_free(nr_series *s)
{
    if (!s)
        return;
    for (size_t i = 0; i < s->parts; i++)
        free_part(&s->part[i]);
    nr_quality_free(s->own_quality);
    free(s);
}

static const nr_role out_role[NR_OUTS] = {NR_ROLE_STORE, NR_ROLE_INLET, NR_ROLE_OUTLET};

/* What every question needs; the reason when it is missing. */
static nr_code check_record(const nr_run *run, const nr_quality *q, nr_err *err)
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
        if (!c->value) {
            bool sun = must[i] == NR_ROLE_SUN;
            nr_fail(
                err, NR_CANNOT, where, 0,
                "readings.csv has no %s column; the efficiency is heat gained over irradiance, "
                "and the loss goes with the difference to the air%s",
                name,
                sun ? "; state it in [channel sun] (convert = stated, value = 850 under a clear "
                      "sky around noon), or for a test without a cloud a sky model can stand in "
                      "for it, 10 % uncertain"
                    : "; state it in [channel air] (convert = stated, value = 20)");
            nr_err_asks(err, sun ? "clear-sky" : "");
            return NR_CANNOT;
        }
        if (!c->good)
            return nr_fail(err, NR_CANNOT, where, 0,
                           "channel %s has no good reading (%zu recorded); `noonfit inspect` tells "
                           "why",
                           name, c->readings);
    }
    /* Where inlet, outlet and flow drive the collector, the container is only for predictions. */
    if (!nr_series_can_drive(q) && !run->rig.store.water_kg.given)
        return nr_rig_needs_water(&run->rig, err);
    if (!q->channel[NR_ROLE_STORE].good && !q->channel[NR_ROLE_INLET].good)
        return nr_fail(err, NR_CANNOT, where, 0,
                       "no good reading of store or inlet: without the water's temperature there "
                       "is no heat to account for");
    return NR_OK;
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

/* Heat capacity flow of steps. The density is the meter's, taken at the water's temperature: the
 * last one known, at first the first one (readings may come slower than steps). */
static void heat_flows(const nr_series *s, const nr_grid *g, size_t first, size_t steps, double *to)
{
    const double *L_min = g->value[NR_ROLE_FLOW];
    const double *water =
        g->value[NR_ROLE_STORE] ? g->value[NR_ROLE_STORE] : g->value[NR_ROLE_INLET];
    size_t known = first;
    while (known < first + steps && isnan(water[known]))
        known++;
    double degC = known < first + steps ? water[known] : s->mean_store_degC;
    for (size_t k = first; k < first + steps; k++) {
        degC = isnan(water[k]) ? degC : water[k];
        double flow = L_min ? L_min[k] : s->flow_guess_L_min * g->running[k];
        double rho = nr_water_density_kg_m3(fmin(fmax(degC, 0), 100));
        to[k - first] = g->running[k] == 0 ? 0 : fmax(flow, 0) / 60000 * rho * s->cp_J_kgK;
    }
}

static bool step_usable(const nr_grid *g, size_t k)
{
    static const nr_role weather[] = {NR_ROLE_SUN, NR_ROLE_AIR, NR_ROLE_FLOW, NR_ROLE_WIND};
    for (size_t i = 0; i < 4; i++)
        if (g->value[weather[i]] && isnan(g->value[weather[i]][k]))
            return false;
    return !g->inlet || !(isnan(g->inlet[k]) || isnan(g->outlet[k]));
}

/* Marks nights as holes in the irradiance, so that they end a part. */
static void leave_out_nights(const nr_series *s, nr_grid *g)
{
    double *sun = g->value[NR_ROLE_SUN];
    bool tells = !s->can_drive || g->value[NR_ROLE_STORE];
    if (tells && s->duration_s < DAY_S)
        return;
    for (size_t k = 0; k < g->steps;) {
        size_t end = k;
        while (end < g->steps && sun[end] < NIGHT_W_M2)
            end++;
        for (size_t i = k; (double)(end - k) * s->step_s >= NIGHT_S && i < end; i++)
            sun[i] = NAN;
        k = end > k ? end : k + 1;
    }
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

/* The water that enters rises by 10 mK/s at most where the sun warms it (20 kg to the square
 * metre). More than twice that is other water: a bench's set point, a refill, a tap. How its front
 * arrives is a matter of the tube (eight mixed cells are no tube), and what box and board take up
 * of it says nothing of the sun: a heat capacity that has to fit both bends the gain. So the outlet
 * counts again when the water has passed and the collector, some two minutes in flow and heat
 * capacity, has followed. */
#define JUMP_K_S 0.025
#define COLLECTOR_S 120.0

static bool jumps(const nr_series *s, const nr_grid *g, size_t k)
{
    size_t m = s->steps_per_block;
    if (!g->inlet || k < m || k + m >= g->steps)
        return false;
    return fabs(g->inlet[k + m] - g->inlet[k - m]) > JUMP_K_S * 2 * s->block_s;
}

static void block_flags(const nr_series *s, const nr_grid *g, size_t first, nr_part *p)
{
    double lag = 0;
    const nr_rig_channel *outlet = nr_rig_channel_find(&s->run->rig, "outlet");
    if (outlet && outlet->lag_s > 0)
        lag = outlet->lag_s;
    double running_s = 0, settles_s = 0;
    for (size_t b = 0; b < p->blocks; b++) {
        bool on = true;
        for (size_t i = 0; i < s->steps_per_block; i++)
            on = on && g->pump[first + b * s->steps_per_block + i] != NR_PUMP_IS_OFF;
        p->pump_on[b] = on;
        if (jumps(s, g, first + b * s->steps_per_block))
            settles_s = 2 * s->transit_s + 3 * lag + COLLECTOR_S;
        p->settled[b] = on && running_s >= 2 * s->transit_s + 3 * lag && !(settles_s > 0);
        settles_s -= s->block_s;
        running_s = on ? running_s + s->block_s : 0;
    }
}

/* Relative humidity, the usual one in holes of the record and where there is none. */
static bool cut_humidity(const nr_grid *g, size_t first, nr_part *p)
{
    const double *percent = g->value[NR_ROLE_HUMIDITY];
    p->humidity = malloc(p->steps * sizeof(double));
    for (size_t k = 0; p->humidity && k < p->steps; k++) {
        bool good = percent && !isnan(percent[first + k]);
        p->humidity[k] = good ? percent[first + k] / 100 : NR_USUAL_HUMIDITY;
        p->humidity_measured = p->humidity_measured || good;
    }
    return p->humidity != NULL;
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
                (p->pump_on = malloc(blocks)) && (p->settled = malloc(blocks)) &&
                (p->bright = malloc(blocks));
    const struct {
        const double *from;
        double **to;
    } more[] = {{g->inlet, &p->inlet_degC},
                {g->outlet, &p->outlet_degC},
                {g->sky, &p->sky_W_m2},
                {g->value[NR_ROLE_DIFFUSE], &p->diffuse}};
    for (size_t i = 0; good && i < sizeof more / sizeof more[0]; i++)
        if (more[i].from)
            good = (*more[i].to = copy_steps(more[i].from, first, p->steps)) != NULL;
    good = good && cut_humidity(g, first, p);
    if (good && g->drive)
        good = (p->drive = copy_steps(g->drive, first, p->steps)) != NULL;
    if (good && g->value[NR_ROLE_WIND])
        good = (p->wind_m_s = copy_steps(g->value[NR_ROLE_WIND], first, p->steps)) != NULL;
    for (int c = 0; c < NR_OUTS && good; c++)
        if (g->value[out_role[c]])
            good = (p->reading[c] = block_means(g->value[out_role[c]], first, blocks,
                                                s->steps_per_block)) != NULL &&
                   (!s->sparse ||
                    nr_grid_weights(s->quality, s->run, out_role[c], s->step_s, s->steps_per_block,
                                    g, first, p->steps, &p->weight[c]));
    if (!good)
        return false;
    heat_flows(s, g, first, p->steps, p->flow_W_K);
    for (size_t b = 0; b < blocks; b++)
        p->flow_L_min[b] = g->value[NR_ROLE_FLOW]
                               ? mean_of(g->value[NR_ROLE_FLOW] + first + b * s->steps_per_block,
                                         s->steps_per_block)
                               : NAN;
    block_flags(s, g, first, p);
    return true;
}

/* Few readings are readings: a part is long enough with ten blocks, or, where readings are sparse,
 * with those of a useful time. */
static bool long_enough(const nr_series *s, size_t blocks)
{
    if (s->sparse)
        return blocks >= 2 && (double)blocks * s->block_s >= SHORTEST_RECORD_S;
    return blocks >= SHORTEST_PART_BLOCKS;
}

static nr_code cut_parts(nr_series *s, const nr_grid *g, size_t *cut, nr_err *err)
{
    size_t m = s->steps_per_block, used = 0;
    for (size_t k = 0; k + m <= g->steps;) {
        size_t blocks = 0;
        for (size_t i = k; i < g->steps && step_usable(g, i); i++)
            blocks = (i - k + 1) / m;
        if (long_enough(s, blocks) && s->parts < NR_PARTS) {
            if (!cut_part(s, g, k, blocks))
                return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
            used += blocks * m;
        }
        k += blocks ? blocks * m : 1;
    }
    s->lost_s += s->step_s * (double)(g->steps - used);
    *cut += used;
    return NR_OK;
}

static void set_sun_range(nr_series *s)
{
    s->max_sun_W_m2 = 0;
    for (size_t i = 0; i < s->parts; i++)
        for (size_t k = 0; k < s->part[i].steps; k++)
            s->max_sun_W_m2 = fmax(s->max_sun_W_m2, s->part[i].sun_W_m2[k]);
}

/* By night the modifier of so little sun matters nothing, however low it stands. */
#define NO_SUN_W_M2 10.0

/* Sun high enough for the collector to be judged in it. */
static bool bright_step(const nr_series *s, const nr_part *p, size_t k)
{
    if (nr_series_is_dark(s) && p->sun_W_m2[k] < NO_SUN_W_M2)
        return true;
    if (p->obliquity)
        return p->obliquity[k] <= LOW_SUN_OBLIQUITY;
    return p->sun_W_m2[k] >= fmin(LOW_SUN_W_M2, NR_SUN_COUNTS * s->max_sun_W_m2);
}

static void set_bright(nr_series *s)
{
    for (size_t i = 0; i < s->parts; i++) {
        nr_part *p = &s->part[i];
        for (size_t b = 0; b < p->blocks; b++) {
            p->bright[b] = true;
            for (size_t k = b * s->steps_per_block; k < (b + 1) * s->steps_per_block; k++)
                p->bright[b] = p->bright[b] && bright_step(s, p, k);
        }
    }
}

/* Pumped, and not beside a stop, where the flow may fill a part of the step only. */
static bool pumped_step(const nr_part *p, size_t k)
{
    return p->flow_W_K[k] > 0 && (k == 0 || p->flow_W_K[k - 1] > 0) &&
           (k + 1 == p->steps || p->flow_W_K[k + 1] > 0);
}

/* Means over the steps that say something about the collector: sunny and pumped. By night the wind
 * does, too. */
static void set_means(nr_series *s)
{
    double n = 0, sun = 0, air = 0, flow = 0, wind = 0, wind2 = 0, pumped = 0;
    double water = 0, wet = 0, sky = 0, blown = 0;
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *p = &s->part[i];
        for (size_t k = 0; k < p->steps; k++) {
            pumped += p->flow_W_K[k] > 0;
            bool says = pumped_step(p, k) && bright_step(s, p, k);
            bool sunny = nr_series_sun_counts(s, p->sun_W_m2[k]);
            double w = p->wind_m_s ? p->wind_m_s[k] : 0;
            if (says && (sunny || nr_series_is_dark(s))) {
                blown++;
                wind += w;
                wind2 += w * w;
            }
            if (!says || !sunny)
                continue;
            n++;
            sky += p->sky_W_m2 ? p->sky_W_m2[k] : 0;
            sun += p->sun_W_m2[k];
            air += p->air_degC[k];
            flow += p->flow_W_K[k];
            const double *reading = p->inlet_degC || !p->reading[NR_OUT_STORE]
                                        ? p->reading[NR_OUT_INLET]
                                        : p->reading[NR_OUT_STORE];
            double degC = reading[k / s->steps_per_block];
            water += isnan(degC) ? 0 : degC;
            wet += !isnan(degC);
        }
    }
    s->ever_pumped = pumped * s->step_s >= SHORTEST_RECORD_S;
    s->mean_sun_W_m2 = n > 0 ? sun / n : NAN;
    s->mean_air_degC = n > 0 ? air / n : NAN;
    s->mean_sky_W_m2 = n > 0 ? sky / n : 0;
    s->mean_sunny_store_degC = wet > 0 ? water / wet : NAN;
    double rho = nr_water_density_kg_m3(fmin(fmax(s->mean_store_degC, 0), 100));
    s->mean_flow_W_K = n > 0 ? flow / n : NAN;
    s->mean_flow_L_min = s->mean_flow_W_K / (rho * s->cp_J_kgK) * 60000;
    bool has_wind = s->part[0].wind_m_s != NULL;
    s->mean_wind_m_s = has_wind && n > 0 ? wind / n : NAN;
    s->wind_zero_m_s = has_wind && blown > 0 ? wind / blown : NAN;
    s->sunny_steps = n;
    s->wind_sd_m_s = has_wind && blown > 0
                         ? sqrt(fmax(wind2 / blown - s->wind_zero_m_s * s->wind_zero_m_s, 0))
                         : NAN;
}

/* The model wants wind as the departure from its mean. */
static void centre_wind(nr_series *s)
{
    for (size_t i = 0; i < s->parts; i++)
        for (size_t k = 0; s->part[i].wind_m_s && k < s->part[i].steps; k++)
            s->part[i].wind_m_s[k] -= isnan(s->wind_zero_m_s) ? 0 : s->wind_zero_m_s;
}

void nr_series_share_wind(nr_series *const *series, const size_t *build_of, size_t count,
                          size_t build)
{
    double sum = 0, n = 0;
    for (size_t r = 0; r < count; r++) {
        if (build_of[r] != build || isnan(series[r]->mean_wind_m_s))
            continue;
        sum += series[r]->mean_wind_m_s * series[r]->sunny_steps;
        n += series[r]->sunny_steps;
    }
    for (size_t r = 0; r < count && n > 0; r++) {
        nr_series *s = series[r];
        if (build_of[r] != build || isnan(s->wind_zero_m_s))
            continue;
        double up = s->wind_zero_m_s - sum / n;
        s->wind_zero_m_s = sum / n;
        for (size_t i = 0; up != 0 && i < s->parts; i++)
            for (size_t k = 0; s->part[i].wind_m_s && k < s->part[i].steps; k++)
                s->part[i].wind_m_s[k] += up;
    }
}

static void count_bad(nr_series *s, const nr_quality *q)
{
    for (int c = 0; c < NR_ROLES; c++)
        if (q->channel[c].value)
            s->bad_readings += nr_quality_marked(q, (nr_role)c);
}

static double split_of(const nr_series *s, const nr_quality *q)
{
    return fmax(SPLIT_S, fmax(SPLIT_INTERVALS * q->interval_s, s->usual_s));
}

/* Time with readings: gaps that end a stretch cost nothing, however long. */
static double recorded_s(const nr_series *s, const nr_quality *q)
{
    nr_cursor t;
    nr_cursor_begin(&t, &q->elapsed_s);
    double sum = 0;
    for (size_t r = 1; r < q->rows; r++) {
        double pause = nr_at(&t, r) - nr_at(&t, r - 1);
        sum += pause <= split_of(s, q) ? pause : 0;
    }
    return sum;
}

static bool flow_varies(const nr_quality *q)
{
    double n = 0, sum = 0, squares = 0;
    nr_good_rows rows;
    nr_good_begin(&rows, q);
    for (size_t r = 0; r < q->rows; r++) {
        double v = nr_good_at(&rows, NR_ROLE_FLOW, r);
        if (!(v > 0))
            continue;
        n++;
        sum += v;
        squares += v * v;
    }
    double mean = sum / n;
    return n > 0 && squares / n - mean * mean > pow(FLOW_VARIES * mean, 2);
}

/* Steps follow the weather, clouds and pump restarts; slow readings and many days have longer
 * ones. */
static void choose_steps(nr_series *s, const nr_quality *q)
{
    double interval = q->interval_s;
    double block = fmax(fmax(BLOCK_S, recorded_s(s, q) / MOST_BLOCKS), interval);
    bool quick = q->pump_stops || (s->can_drive && flow_varies(q));
    s->flow_moves = quick && s->can_drive;
    s->step_s = quick && interval <= STEP_STOPS_S ? STEP_STOPS_S : STEP_S;
    s->sparse = interval > STEP_S;
    if (block > BLOCK_S) {
        double step = fmin(fmax(block / STEPS_A_READING, s->step_s), STEP_MOST_S);
        s->steps_per_block = (size_t)fmax(ceil(block / step - 1e-9), 1);
        s->step_s = block / (double)s->steps_per_block;
    } else {
        s->steps_per_block = (size_t)fmax(BLOCK_S / s->step_s, ceil(interval / s->step_s));
    }
    s->block_s = s->step_s * (double)s->steps_per_block;
}

/* One stretch of rows without a long gap. */
static nr_code build_stretch(nr_series *s, size_t first, size_t end, size_t *used, nr_err *err)
{
    nr_grid g;
    nr_code code = nr_grid_build(s->quality, s->run, s->step_s, first, end, &g, err);
    if (code)
        return code;
    if (!code && !nr_grid_prepare(s, &g))
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!code) {
        if (!s->flow_known)
            g.drive = nr_grid_drive(s, &g);
        leave_out_nights(s, &g);
        code = cut_parts(s, &g, used, err);
    }
    nr_grid_free(&g);
    return code;
}

static double mean_water(const nr_quality *q)
{
    nr_role role = q->channel[NR_ROLE_STORE].good ? NR_ROLE_STORE : NR_ROLE_INLET;
    double sum = 0, n = 0;
    nr_good_rows rows;
    nr_good_begin(&rows, q);
    for (size_t r = 0; r < q->rows; r++) {
        double v = nr_good_at(&rows, role, r);
        sum += isnan(v) ? 0 : v;
        n += !isnan(v);
    }
    return sum / n;
}

static nr_code build(nr_series *s, const nr_quality *q, nr_err *err)
{
    s->usual_s = nr_series_usual_s(q);
    s->can_drive = nr_series_can_drive(q);
    choose_steps(s, q);
    s->rows = q->rows;
    s->duration_s = q->duration_s;
    count_bad(s, q);
    set_flow(s, q);
    s->mean_store_degC = mean_water(q);
    s->cp_J_kgK = nr_water_cp_J_kgK(fmin(fmax(s->mean_store_degC, 0), 100));
    const nr_value *water = &s->run->rig.store.water_kg;
    s->water_kg =
        water->given ? water->value : USUAL_WATER_KG_M2 * s->run->rig.collector.gross_area_m2.value;
    double split = split_of(s, q);
    nr_cursor t;
    nr_cursor_begin(&t, &q->elapsed_s);
    size_t used = 0;
    for (size_t first = 0; first < q->rows;) {
        size_t end = first + 1;
        while (end < q->rows && nr_at(&t, end) - nr_at(&t, end - 1) <= split)
            end++;
        nr_code code = build_stretch(s, first, end, &used, err);
        if (code)
            return code;
        if (end < q->rows)
            s->lost_s += nr_at(&t, end) - nr_at(&t, end - 1);
        first = end;
    }
    if (!s->parts)
        return nr_fail(err, NR_CANNOT, s->run->folder, 0,
                       "irradiance, air%s are never recorded together for %.0f s without a gap",
                       s->flow_known ? " and flow" : "", s->block_s * (double)SHORTEST_PART_BLOCKS);
    set_sun_range(s);
    nr_code code = nr_series_angles(s, err);
    if (code)
        return code;
    set_bright(s);
    set_means(s);
    centre_wind(s);
    nr_series_doubts(s);
    return NR_OK;
}

nr_code nr_series_build_judged(const nr_run *run, const nr_quality *q, nr_series **out, nr_err *err)
{
    *out = NULL;
    nr_code code = check_record(run, q, err);
    nr_series *s = code ? NULL : calloc(1, sizeof *s);
    if (!code && !s)
        code = nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!s)
        return code;
    const nr_rig_channel *sun = nr_rig_channel_find(&run->rig, "sun");
    s->run = run;
    s->quality = q;
    s->sun_modelled = sun && sun->plane == NR_PLANE_MODEL;
    code = build(s, q, err);
    if (code)
        nr_series_free(s);
    else
        *out = s;
    return code;
}

nr_code nr_series_build(const nr_run *run, nr_series **out, nr_err *err)
{
    *out = NULL;
    nr_quality *q = NULL;
    nr_code code = nr_quality_check(run, &q, err);
    if (!code)
        code = nr_series_build_judged(run, q, out, err);
    if (code) {
        nr_quality_free(q);
        return code;
    }
    (*out)->own_quality = q;
    code = nr_series_unseen(*out, err);
    if (code) {
        nr_series_free(*out);
        *out = NULL;
    }
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
                        .obliquity = p->obliquity,
                        .sky_W_m2 = p->sky_W_m2,
                        .iam = p->iam,
                        .humidity = p->humidity,
                        .inlet_degC = p->inlet_degC,
                        .outlet_degC = p->outlet_degC,
                        .two_stages = s->flow_moves};
    for (int c = 0; c < NR_OUTS; c++)
        in.weight[c] = (const float(*)[2])p->weight[c];
    for (int c = 0; c < NR_OUTS; c++) {
        const nr_rig_channel *channel = nr_rig_channel_find(&s->run->rig, name[c]);
        in.lag_s[c] = channel && channel->lag_s > 0 ? channel->lag_s : 0;
    }
    return in;
}
