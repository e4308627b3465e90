/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/joint/joint.h"
#include "analyze/physics/clearsky.h"
#include "analyze/physics/iam.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Standard uncertainties assumed where rig.ini states none; each use is told to the reader.
 * Typical of unchecked hobby sensors: common practice, no source. */
#define ASSUMED_PROBE_K 0.3
#define ASSUMED_AIR_K 0.5
#define ASSUMED_SUN 0.05
#define ASSUMED_FLOW 0.03
#define ASSUMED_AREA 0.01
#define ASSUMED_WATER 0.01
#define ASSUMED_CAPACITY 0.2 /* of a stated bill of materials */
#define ASSUMED_FLUID 0.3    /* of a stated content: pipes and pump hold some too */
#define ASSUMED_LOSS 0.2     /* of a stated container loss */
#define ASSUMED_DRY 0.2
#define ASSUMED_B0 0.05
#define UNKNOWN_FLOW 0.35 /* of the guess: ln */
#define FREE_FLOW 1.0     /* when inlet and outlet tell it anyway: ln */
/* Flow that nobody measured goes with a power of what drives the pump. A centrifugal pump's flow
 * goes with its speed where friction is turbulent, with its square where it is laminar (affinity
 * laws: head goes with the square); a motor that starts at a third of its supply makes the power
 * half as large again (common practice, no source). Speed goes with voltage, torque (the square of
 * the speed) with current, power with the cube. */
#define FOLLOWS_VOLTAGE 2.0
#define FOLLOWS_VOLTAGE_U 0.7
#define FOLLOWS_CURRENT 1.0
#define FOLLOWS_CURRENT_U 0.4
#define FOLLOWS_POWER 0.5
#define FOLLOWS_POWER_U 0.2
/* Of the irradiance: a pump on the mains 0, on a panel that is short of current 0.5 to 1 (the
 * same). */
#define FOLLOWS_SUN 0.0
#define FOLLOWS_SUN_U 0.5
/* What can be at all: a fence against absurd minima, so wide that no usable record feels it. */
#define POSSIBLE_OPTICAL 0.7
#define POSSIBLE_OPTICAL_U 0.5
#define POSSIBLE_LOSS 10.0
#define POSSIBLE_LOSS_U 20.0
/* Priors where nothing is stated: wide enough to let the record decide. */
#define UNKNOWN_CAPACITY_J_M2K                                                                     \
    10000.0 /* a tube in a thin black box, 1 cm of water's worth: 42000 */
#define UNKNOWN_CAPACITY_U 0.6
#define UNKNOWN_FLUID_L_M2 0.5
#define UNKNOWN_FLUID_U 0.7
#define USUAL_EXCHANGE_W_M2K 60.0
#define USUAL_EXCHANGE_U 0.8
#define USUAL_WIND 1.0 /* W/(m2 K) per m/s: glazed 0.3, bare 3 */
#define USUAL_WIND_U 2.0
#define WIND_VARIES_M_S 0.1      /* of the smoothed wind */
#define USUAL_STORE_LOSS_W_K 2.0 /* of a 20 L container; grows with its surface */
#define UNKNOWN_DRY 0.01         /* of the water's heat capacity */
/* The loss of every collector grows with its temperature, by radiation and convection: W/(m2 K2).
 * Certified flat plates 0.005 to 0.02, bare ones somewhat more. */
#define USUAL_LOSS2 0.015
#define USUAL_LOSS2_U 0.015
/* Square root of J/(m2 K): 3 mm of glass (2500 kg/m3, 800 J/(kg K)) has 6000, two panes 12000, a
 * film a few hundred. */
#define USUAL_COVER_ROOT 65.0
#define USUAL_COVER_ROOT_U 25.0
/* What the segmented model itself misreads when the real thing is built otherwise: part of the
 * optical gain, part of the loss; of a bare collector's more where only the store tells of it,
 * whose water averages the gusts that nobody measured, so that they do not show as noise. Taken
 * from the coverage benchmark, whose rig has another physics: without sensor errors (bench-coverage
 * --exact) the fit is off by 0.5 % and 3 to 4 %, bare by 6 to 7 %. */
#define MODEL_GAIN_U 0.005
#define MODEL_LOSS_U 0.05
#define MODEL_LOSS_BARE_U 0.075
/* Not stirred at all, the water drawn would be half the rise below the mean; stirred by the
 * return's own jet, a tenth and less. Common practice, no source. */
#define USUAL_LAYERS_U 0.1
#define START_STORE_U_K 5.0 /* a fence: the readings say it a hundred times better */
#define START_U_K 20.0      /* the box may have stood in the sun */
/* The first minutes of a part warm the collector up from an unknown state, through a store that is
 * not mixed yet; they must not set the heat capacity. */
#define START_S 300.0
/* Shortest useful record of a channel. */
#define SHORTEST_CHANNEL_S 300.0

static bool grow(nr_joint *j)
{
    size_t n = j->parameters;
    if (n & (n - 1) && n >= 16)
        return true;
    if (n != 0 && n < 16)
        return true;
    nr_parameter *p = realloc(j->parameter, (n ? 2 * n : 16) * sizeof *p);
    if (p)
        j->parameter = p;
    return p != NULL;
}

/* The index of the parameter with this term and key; added from the template when new. -1: out of
 * memory. */
static int intern(nr_joint *j, const nr_parameter *like)
{
    for (size_t i = 0; i < j->parameters; i++)
        if (j->parameter[i].term == like->term && !strcmp(j->parameter[i].key, like->key))
            return (int)i;
    if (!grow(j))
        return -1;
    j->parameter[j->parameters] = *like;
    return (int)j->parameters++;
}

typedef struct setup {
    nr_joint *joint;
    nr_piece *piece;
    bool failed; /* out of memory */
} setup;

__attribute__((format(printf, 6, 7))) static void add(setup *s, nr_term term, const char *label,
                                                      const char *channel, const char *unit,
                                                      const char *key_format, ...)
{
    nr_parameter p = {.term = term, .unit = unit, .scale = 1, .start = NAN};
    snprintf(p.label, sizeof p.label, "%s", label);
    snprintf(p.channel, sizeof p.channel, "%s", channel);
    va_list args;
    va_start(args, key_format);
    vsnprintf(p.key, sizeof p.key, key_format, args);
    va_end(args);
    int i = intern(s->joint, &p);
    s->failed = s->failed || i < 0;
    s->piece->index[term] = i;
}

/* The parameter a term was just given, or NULL when it is shared and was filled before. */
static nr_parameter *fresh(setup *s, nr_term term)
{
    int i = s->piece->index[term];
    if (s->failed || i < 0 || !isnan(s->joint->parameter[i].start))
        return NULL;
    return &s->joint->parameter[i];
}

static void with_prior(setup *s, nr_term term, double value, double u, bool stated)
{
    nr_parameter *p = fresh(s, term);
    if (!p)
        return;
    p->start = p->prior = value;
    p->prior_u = p->scale = u;
    p->has_prior = true;
    p->stated = stated;
}

/* Relative uncertainty of a stated quantity, or the assumed one. */
static double relative_u(const nr_value *v, double assumed, bool *stated)
{
    *stated = v->u_given;
    return v->u_given ? v->u / v->value : assumed;
}

static bool has_loop(const nr_joint *j, const nr_series *series)
{
    return j->options.use_loop && series->part[0].reading[NR_OUT_OUTLET] &&
           (series->part[0].reading[NR_OUT_INLET] || series->part[0].reading[NR_OUT_STORE]) &&
           series->flow_known;
}

static void add_collector(setup *s)
{
    const nr_series *series = s->piece->series;
    const nr_rig *rig = &series->run->rig;
    size_t b = s->piece->build;
    double area = rig->collector.gross_area_m2.value;
    bool stated;
    add(s, NR_TERM_OPTICAL, "optical gain", "", "", "build %zu", b);
    with_prior(s, NR_TERM_OPTICAL, POSSIBLE_OPTICAL, POSSIBLE_OPTICAL_U, true);
    add(s, NR_TERM_LOSS, "collector loss", "", "W/(m2 K)", "build %zu", b);
    with_prior(s, NR_TERM_LOSS, POSSIBLE_LOSS, POSSIBLE_LOSS_U, true);
    add(s, NR_TERM_LN_EXCHANGE, "absorber-to-fluid heat transfer", "", "", "build %zu", b);
    with_prior(s, NR_TERM_LN_EXCHANGE, log(USUAL_EXCHANGE_W_M2K), USUAL_EXCHANGE_U, false);
    add(s, NR_TERM_LN_CAPACITY, "collector heat capacity", "", "", "build %zu", b);
    const nr_value *dry = &rig->collector.heat_capacity_J_K;
    if (dry->given && dry->value > 0) {
        double u = relative_u(dry, ASSUMED_CAPACITY, &stated);
        with_prior(s, NR_TERM_LN_CAPACITY, log(dry->value / area), fmax(u, 0.01), stated);
    } else {
        with_prior(s, NR_TERM_LN_CAPACITY, log(UNKNOWN_CAPACITY_J_M2K), UNKNOWN_CAPACITY_U, false);
    }
    add(s, NR_TERM_MODEL_GAIN, "the model itself, gain", "", "", "build %zu", b);
    with_prior(s, NR_TERM_MODEL_GAIN, 0, MODEL_GAIN_U, true);
    add(s, NR_TERM_MODEL_LOSS, "the model itself, loss", "", "", "build %zu", b);
    with_prior(s, NR_TERM_MODEL_LOSS, 0,
               nr_series_glazed(rig) || has_loop(s->joint, series) ? MODEL_LOSS_U
                                                                   : MODEL_LOSS_BARE_U,
               true);
    add(s, NR_TERM_AREA, "gross area", "", "", "build %zu", b);
    double u_area = relative_u(&rig->collector.gross_area_m2, ASSUMED_AREA, &stated);
    with_prior(s, NR_TERM_AREA, 0, fmax(u_area, 1e-6), stated);
    add(s, NR_TERM_LOSS2, "collector loss, rise with temperature", "", "W/(m2 K2)", "build %zu", b);
    with_prior(s, NR_TERM_LOSS2, USUAL_LOSS2, USUAL_LOSS2_U, false);
    if (nr_series_glazed(rig)) {
        add(s, NR_TERM_ROOT_COVER, "glazing, heat capacity", "", "", "build %zu", b);
        with_prior(s, NR_TERM_ROOT_COVER, USUAL_COVER_ROOT, USUAL_COVER_ROOT_U, false);
    }
    if (series->wind_sd_m_s > WIND_VARIES_M_S) {
        add(s, NR_TERM_WIND, "collector loss, rise with wind", "wind", "J/(m3 K)", "build %zu", b);
        with_prior(s, NR_TERM_WIND, USUAL_WIND, USUAL_WIND_U, false);
    }
}

static void add_fluid(setup *s)
{
    const nr_rig *rig = &s->piece->series->run->rig;
    double cp = s->piece->series->cp_J_kgK;
    bool stated = false;
    double kg = NAN, u = UNKNOWN_FLUID_U;
    if (rig->collector.fluid_kg.given && rig->collector.fluid_kg.value > 0) {
        kg = rig->collector.fluid_kg.value;
        u = relative_u(&rig->collector.fluid_kg, ASSUMED_FLUID, &stated);
    } else if (rig->collector.tube_length_m.given && rig->collector.tube_bore_mm.given) {
        kg = 1000 * M_PI / 4 * pow(rig->collector.tube_bore_mm.value / 1000, 2) *
             rig->collector.tube_length_m.value;
        u = ASSUMED_FLUID;
    } else {
        kg = UNKNOWN_FLUID_L_M2 * rig->collector.gross_area_m2.value;
    }
    add(s, NR_TERM_LN_FLUID, "fluid content", "", "", "build %zu", s->piece->build);
    with_prior(s, NR_TERM_LN_FLUID, log(kg * cp), fmax(u, 0.02), stated);
}

/* A pump that stood still for long while the record went on tells the container's loss alone. */
static bool cools_alone(const nr_series *series)
{
    double off_s = 0;
    for (size_t i = 0; i < series->parts; i++)
        for (size_t b = 0; b < series->part[i].blocks; b++)
            off_s += series->part[i].pump_on[b] ? 0 : series->block_s;
    return series->pump_known && off_s >= 900;
}

/* Whether some run of the build can tell the container's loss from the collector's. */
static bool store_loss_separable(const nr_joint *j, size_t build)
{
    for (size_t r = 0; r < j->runs; r++) {
        const nr_series *series = j->series[r];
        if (j->build_of[r] == build &&
            (series->run->rig.store.loss_W_K.given || has_loop(j, series) || cools_alone(series)))
            return true;
    }
    return false;
}

static void add_store(setup *s)
{
    const nr_series *series = s->piece->series;
    const nr_rig *rig = &series->run->rig;
    bool stated;
    add(s, NR_TERM_WATER, "water mass", "", "", "run %zu", s->piece->run);
    double u_water = relative_u(&rig->store.water_kg, ASSUMED_WATER, &stated);
    with_prior(s, NR_TERM_WATER, 0, fmax(u_water, 1e-6), stated);
    const nr_value *dry = &rig->store.dry_heat_capacity_J_K;
    double water = rig->store.water_kg.value * series->cp_J_kgK;
    add(s, NR_TERM_DRY, "container, dry heat capacity", "", "J/K", "build %zu", s->piece->build);
    if (dry->given)
        with_prior(s, NR_TERM_DRY, dry->value,
                   fmax(dry->u_given ? dry->u : ASSUMED_DRY * dry->value, 1e-5 * water),
                   dry->u_given);
    else
        with_prior(s, NR_TERM_DRY, UNKNOWN_DRY * water, UNKNOWN_DRY * water, false);
    size_t b = s->piece->build;
    s->joint->store_loss_separate[b] =
        !s->joint->options.lump_store_loss && store_loss_separable(s->joint, b);
    if (!s->joint->store_loss_separate[b])
        return; /* index -1, fixed 0: the collector's loss contains the container's */
    const nr_value *loss = &rig->store.loss_W_K;
    double usual = USUAL_STORE_LOSS_W_K * pow(rig->store.water_kg.value / 20, 2.0 / 3);
    add(s, NR_TERM_STORE_LOSS, "container loss", "", "W/K", "build %zu", b);
    if (loss->given)
        with_prior(s, NR_TERM_STORE_LOSS, loss->value,
                   fmax(loss->u_given ? loss->u : ASSUMED_LOSS * loss->value, 0.01), loss->u_given);
    else
        with_prior(s, NR_TERM_STORE_LOSS, usual, usual, false);
}

/* The identity whose error is shared: the stated sensor, or this run's channel. */
static void sensor_key(const nr_piece *piece, const nr_rig_channel *channel, const char *name,
                       char *out, size_t size)
{
    if (channel && channel->sensor[0])
        snprintf(out, size, "sensor %s", channel->sensor);
    else
        snprintf(out, size, "run %zu %s", piece->run, name);
}

/* The sky model's error is the day's, whoever looks up. */
static void add_clear_sky(setup *s)
{
    double day = floor(s->piece->series->run->readings->utc_s[0] / 86400);
    add(s, NR_TERM_SUN_GAIN, "clear-sky model", "sun", "", "sky of day %.0f", day);
    with_prior(s, NR_TERM_SUN_GAIN, 0, NR_CLEAR_SKY_U, true);
}

static void add_sun(setup *s)
{
    if (s->piece->series->sun_modelled) {
        add_clear_sky(s);
        return;
    }
    const nr_rig_channel *c = nr_rig_channel_find(&s->piece->series->run->rig, "sun");
    char key[2 * NR_NAME];
    sensor_key(s->piece, c, "sun", key, sizeof key);
    bool stated = c && !isnan(c->u_gain);
    add(s, NR_TERM_SUN_GAIN, "irradiance sensor, gain", "sun", "", "%s", key);
    with_prior(s, NR_TERM_SUN_GAIN, 0, fmax(stated ? c->u_gain : ASSUMED_SUN, 1e-6), stated);
    if (c && c->u_offset > 0) {
        add(s, NR_TERM_SUN_OFFSET, "irradiance sensor, offset", "sun", "W/m2", "%s", key);
        with_prior(s, NR_TERM_SUN_OFFSET, 0, c->u_offset, true);
    }
}

static void add_air(setup *s)
{
    const nr_series *series = s->piece->series;
    const nr_rig_channel *c = nr_rig_channel_find(&series->run->rig, "air");
    char key[2 * NR_NAME];
    sensor_key(s->piece, c, "air", key, sizeof key);
    bool stated = c && !isnan(c->u_offset);
    double u = stated ? c->u_offset : ASSUMED_AIR_K;
    if (c && c->u_gain > 0) /* over a test's narrow range a gain error is an offset */
        u = hypot(u, c->u_gain * fabs(isnan(series->mean_air_degC) ? 20 : series->mean_air_degC));
    add(s, NR_TERM_AIR_OFFSET, "air sensor, offset", "air", "K", "%s", key);
    with_prior(s, NR_TERM_AIR_OFFSET, 0, fmax(u, 1e-6), stated);
}

/* How a flow that was not measured varies. */
static void add_flow_exponent(setup *s)
{
    const nr_series *series = s->piece->series;
    if (!s->piece->part->drive)
        return;
    double exponent = FOLLOWS_SUN, u = FOLLOWS_SUN_U;
    const nr_rig_channel *c = nr_rig_channel_find(&series->run->rig, "pump");
    if (series->drive == NR_ROLE_PUMP && c) {
        nr_dimension d = c->unit->dimension;
        exponent = d == NR_DIM_POWER     ? FOLLOWS_POWER
                   : d == NR_DIM_CURRENT ? FOLLOWS_CURRENT
                                         : FOLLOWS_VOLTAGE;
        u = d == NR_DIM_POWER     ? FOLLOWS_POWER_U
            : d == NR_DIM_CURRENT ? FOLLOWS_CURRENT_U
                                  : FOLLOWS_VOLTAGE_U;
    }
    bool supply = series->drive == NR_ROLE_PUMP;
    add(s, NR_TERM_FLOW_EXPONENT,
        supply ? "flow, exponent of the pump's supply" : "flow, exponent of the irradiance", "flow",
        "", "build %zu flow with %s", s->piece->build, supply ? "supply" : "sun");
    with_prior(s, NR_TERM_FLOW_EXPONENT, exponent, u, false);
}

static void add_flow(setup *s)
{
    const nr_series *series = s->piece->series;
    if (!series->flow_known) {
        const nr_part *p = s->piece->part;
        bool told = s->joint->options.use_loop && p->reading[NR_OUT_OUTLET] &&
                    (p->reading[NR_OUT_INLET] || p->reading[NR_OUT_STORE]);
        add(s, NR_TERM_LN_FLOW, "flow (not measured)", "flow", "", "build %zu flow",
            s->piece->build);
        with_prior(s, NR_TERM_LN_FLOW, 0, told ? FREE_FLOW : UNKNOWN_FLOW, false);
        add_flow_exponent(s);
        return;
    }
    const nr_rig_channel *c = nr_rig_channel_find(&series->run->rig, "flow");
    char key[2 * NR_NAME];
    sensor_key(s->piece, c, "flow", key, sizeof key);
    bool stated = c && !isnan(c->u_gain);
    double u = stated ? c->u_gain : ASSUMED_FLOW;
    if (c && c->u_offset > 0 && series->flow_guess_L_min > 0)
        u = hypot(u, c->u_offset / series->flow_guess_L_min);
    add(s, NR_TERM_LN_FLOW, "flow meter, gain", "flow", "", "%s", key);
    with_prior(s, NR_TERM_LN_FLOW, 0, fmax(u, 1e-6), stated);
}

/* Layers show as an inlet below the store; one thermometer alone cannot tell them. */
static void add_layers(setup *s)
{
    if (!(s->piece->fits[NR_OUT_INLET] && s->piece->fits[NR_OUT_STORE]))
        return;
    add(s, NR_TERM_LAYERS, "layers in the store", "", "", "build %zu", s->piece->build);
    with_prior(s, NR_TERM_LAYERS, 0, USUAL_LAYERS_U, false);
}

static void add_b0(setup *s)
{
    const nr_rig *rig = &s->piece->series->run->rig;
    if (!s->piece->part->obliquity)
        return;
    const nr_value *given = &rig->collector.iam_b0;
    double b0 = given->given ? given->value : nr_iam_default_b0(rig->collector.glazing);
    double u = given->u_given ? given->u : b0 > 0 ? ASSUMED_B0 : 0;
    s->piece->fixed[NR_TERM_B0] = b0;
    if (!(u > 0))
        return;
    add(s, NR_TERM_B0, "incidence angle modifier", "", "", "build %zu", s->piece->build);
    with_prior(s, NR_TERM_B0, b0, u, given->u_given);
}

static const char *const out_name[NR_OUTS] = {"store", "inlet", "outlet"};

static void add_probes(setup *s)
{
    static const char *const label[NR_OUTS] = {"store sensor, offset", "inlet sensor, offset",
                                               "outlet sensor, offset"};
    static const char *const gain[NR_OUTS] = {"store sensor, gain", "inlet sensor, gain",
                                              "outlet sensor, gain"};
    for (int k = 0; k < NR_OUTS; k++) {
        if (!s->piece->fits[k])
            continue;
        const nr_rig_channel *c = nr_rig_channel_find(&s->piece->series->run->rig, out_name[k]);
        char key[2 * NR_NAME];
        sensor_key(s->piece, c, out_name[k], key, sizeof key);
        bool stated = c && !isnan(c->u_offset);
        double u = stated ? c->u_offset : ASSUMED_PROBE_K;
        add(s, (nr_term)(NR_TERM_OFFSET_STORE + k), label[k], out_name[k], "K", "%s", key);
        with_prior(s, (nr_term)(NR_TERM_OFFSET_STORE + k), 0, fmax(u, 1e-4), stated);
        if (c && c->u_gain > 0) {
            add(s, (nr_term)(NR_TERM_GAIN_STORE + k), gain[k], out_name[k], "", "%s", key);
            with_prior(s, (nr_term)(NR_TERM_GAIN_STORE + k), 0, c->u_gain, true);
        }
    }
}

static double first_reading(const nr_part *p, int c)
{
    for (size_t b = 0; p->reading[c] && b < p->blocks; b++)
        if (!isnan(p->reading[c][b]))
            return p->reading[c][b];
    return NAN;
}

static void add_starts(setup *s, size_t piece)
{
    const nr_part *p = s->piece->part;
    double water = first_reading(p, NR_OUT_STORE);
    if (isnan(water))
        water = first_reading(p, NR_OUT_INLET);
    if (isnan(water)) /* a part without a good thermometer says nothing, but must not be lost */
        water = s->piece->series->mean_store_degC;
    double box = fmax(water, p->air_degC[0]) + 5;
    add(s, NR_TERM_T_STORE, "store temperature at the start", "", "degC", "piece %zu", piece);
    with_prior(s, NR_TERM_T_STORE, water, START_STORE_U_K, false);
    add(s, NR_TERM_T_COLLECTOR, "collector temperature at the start", "", "degC", "piece %zu",
        piece);
    with_prior(s, NR_TERM_T_COLLECTOR, box, START_U_K, false);
}

/* Which blocks of which channels count. */
static bool choose_blocks(const nr_joint *j, nr_piece *p)
{
    for (int c = 0; c < NR_OUTS; c++) {
        const double *reading = p->part->reading[c];
        p->measured[c] = reading;
        p->used[c] = calloc(p->part->blocks, 1);
        if (!p->used[c])
            return false;
        bool wanted = c == NR_OUT_STORE ? j->options.use_store : j->options.use_loop;
        if (c == NR_OUT_INLET && !p->part->reading[NR_OUT_STORE])
            wanted = true; /* the only thermometer in the water */
        for (size_t b = 0; reading && wanted && b < p->part->blocks; b++) {
            bool ok = !isnan(reading[b]) && (c == NR_OUT_STORE || p->part->settled[b]) &&
                      (double)b * p->series->block_s >= START_S;
            p->used[c][b] = ok;
            p->used_count[c] += ok;
        }
        p->fits[c] = (double)p->used_count[c] * p->series->block_s >= SHORTEST_CHANNEL_S;
    }
    return true;
}

static bool allocate_piece(nr_joint *j, nr_piece *p)
{
    for (int c = 0; c < NR_OUTS; c++) {
        if (!p->fits[c])
            continue;
        size_t n = p->part->blocks;
        p->reading[c] = malloc(n * sizeof(double));
        p->tangent[c] = malloc(n * NR_DYN_COUNT * sizeof(double));
        if (!p->reading[c] || !p->tangent[c] || !nr_whitener_init(&p->whitener[c], n))
            return false;
        p->row[c] = j->rows;
        j->rows += n;
    }
    return true;
}

static bool setup_piece(nr_joint *j, size_t index)
{
    nr_piece *p = &j->piece[index];
    p->input = nr_series_input(p->series, p->part);
    for (int t = 0; t < NR_TERMS; t++)
        p->index[t] = -1;
    if (!choose_blocks(j, p) || !allocate_piece(j, p))
        return false;
    setup s = {.joint = j, .piece = p};
    add_collector(&s);
    add_fluid(&s);
    add_store(&s);
    add_sun(&s);
    add_air(&s);
    add_flow(&s);
    add_b0(&s);
    add_layers(&s);
    add_probes(&s);
    add_starts(&s, index);
    return !s.failed;
}

/* Where each build was run on average. */
static void set_pivots(nr_joint *j)
{
    for (size_t b = 0; b < j->builds; b++) {
        double sum = 0, n = 0;
        for (size_t r = 0; r < j->runs; r++) {
            const nr_series *s = j->series[r];
            double x = (s->mean_sunny_store_degC - s->mean_air_degC) / s->mean_sun_W_m2;
            if (j->build_of[r] != b || !isfinite(x))
                continue;
            sum += x;
            n++;
        }
        j->pivot[b] = n > 0 ? sum / n : 0;
    }
}

static nr_code setup_all(nr_joint *j, nr_err *err)
{
    size_t total = 0, usable = 0;
    for (size_t r = 0; r < j->runs; r++)
        total += j->series[r]->parts;
    j->piece = calloc(total, sizeof *j->piece);
    bool good = j->piece != NULL;
    for (size_t r = 0; good && r < j->runs; r++) {
        for (size_t i = 0; good && i < j->series[r]->parts; i++) {
            nr_piece *p = &j->piece[j->pieces++];
            *p = (nr_piece){.series = j->series[r],
                            .part = &j->series[r]->part[i],
                            .run = r,
                            .build = j->build_of[r]};
            good = setup_piece(j, j->pieces - 1);
            usable += p->used_count[0] + p->used_count[1] + p->used_count[2];
        }
    }
    if (!good)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    if (!usable)
        return nr_fail(err, NR_CANNOT, j->series[0]->run->folder, 0,
                       "no stretch of five minutes with a usable water temperature");
    for (size_t i = 0; i < j->parameters; i++)
        j->rows += j->parameter[i].has_prior;
    j->x = calloc(j->parameters, sizeof(double));
    j->covariance = calloc(j->parameters * j->parameters, sizeof(double));
    j->residual = calloc(j->rows, sizeof(double));
    if (!j->x || !j->covariance || !j->residual)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    return NR_OK;
}

nr_code nr_joint_setup(const nr_series *const *series, const size_t *build_of, size_t runs,
                       size_t builds, const nr_joint_options *options, nr_joint **out, nr_err *err)
{
    *out = NULL;
    if (runs == 0 || runs > NR_JOINT_RUNS)
        return nr_fail(err, NR_BAD, NULL, 0, "1 to %d runs can be fitted together, not %zu",
                       NR_JOINT_RUNS, runs);
    nr_joint *j = calloc(1, sizeof *j);
    if (!j)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    j->options = *options;
    j->runs = runs;
    j->builds = builds;
    memcpy(j->series, series, runs * sizeof *series);
    memcpy(j->build_of, build_of, runs * sizeof *build_of);
    set_pivots(j);
    nr_code code = setup_all(j, err);
    if (code)
        nr_joint_free(j);
    else
        *out = j;
    return code;
}

void nr_joint_free(nr_joint *j)
{
    if (!j)
        return;
    for (size_t i = 0; i < j->pieces; i++) {
        for (int c = 0; c < NR_OUTS; c++) {
            free(j->piece[i].used[c]);
            free(j->piece[i].reading[c]);
            free(j->piece[i].tangent[c]);
            nr_whitener_free(&j->piece[i].whitener[c]);
        }
    }
    free(j->piece);
    free(j->parameter);
    free(j->x);
    free(j->covariance);
    free(j->residual);
    free(j);
}

size_t nr_joint_piece_of(const nr_joint *j, size_t build)
{
    for (size_t i = 0; i < j->pieces; i++)
        if (j->piece[i].build == build)
            return i;
    return 0;
}
