/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Terms of the container, of the loop's flow and of how a piece began. */
#include "analyze/joint/inside.h"

#include <math.h>
#include <stdio.h>

/* Assumed where rig.ini states none: common practice, no source. */
/* Of water half of which is weighed, to 1 %, and half filled by the marks of household measures,
 * good to +-5 % (the tolerance of American ones, by the standard of their dimensions), rectangular:
 * the root mean square of 0.01 and 0.029. The odds are common practice, no source. */
#define ASSUMED_WATER 0.02
#define WEIGHED_WATER 0.01
#define ASSUMED_LOSS 0.2 /* of a stated container loss */
#define ASSUMED_DRY 0.2
#define ASSUMED_FLOW 0.03
#define UNKNOWN_DRY 0.01  /* of the water's heat capacity */
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
/* Not stirred at all, the water drawn would be half the rise below the mean; stirred by the
 * return's own jet, a tenth and less. Common practice, no source. */
#define USUAL_LAYERS_U 0.1
/* A submersible pump of a home-made loop draws 1 to 10 W, and all of it ends in the water
 * (manufacturers' data sheets of small 12 V pumps); a circulator from a heating system 25 to 45 W,
 * most of it (from memory). Of a pump that nobody names one in six is such a one (common practice,
 * no source): mean and standard deviation of the two together, 9 and 12 W. */
#define USUAL_PUMP_W 9.0
#define USUAL_PUMP_U 1.3  /* ln */
#define ASSUMED_PUMP 0.15 /* of a stated power: some of it warms the air */
/* A container as wide as it is high has an opening of (pi/4)^(1/3) V^(2/3). Over undisturbed water
 * in still air half of Carrier's coefficient holds, and a metre per second nearly doubles it
 * (physics/evaporation.h: 0.0782/0.089). What is wider than it is high, a tub, has half as much
 * again, a tall bucket half. A lid that nobody
 * told of is there or not, and as often the one as the other: half of the opening, give or take
 * half. */
#define OPEN_M2_KG23 0.00923 /* m2 for kg^(2/3) */
#define STILL_SHARE 0.5
#define WIND_SHARE_S_M 0.44
#define UNKNOWN_WIND_M_S 1.0
#define OPEN_SHARE_U 0.25 /* of the opening: wind measured; not: */
#define OPEN_CALM_U 0.4
#define OPEN_SHAPE_U 0.5 /* of an opening that was not measured */
#define UNKNOWN_LID 0.5  /* of the whole opening, give or take */
#define UNKNOWN_LID_U 0.5
/* Relative humidity over a warm day in the open; of a sensor (common practice, no source). */
#define USUAL_HUMIDITY_U 0.15
#define MEASURED_HUMIDITY_U 0.04
/* Of the water, where nobody weighed it again. A hose that drips once in two seconds (20 drops a
 * millilitre), which nobody sees under a bucket, loses 0.1 kg an hour; open water at 40 degC over a
 * fair day's air 0.7 kg/(m2 h), at 50 degC 1.3 (half of Carrier's formula, physics/evaporation.h,
 * 1 m/s). And one container in sixteen, say, loses a tenth by a leak that its builder sees only
 * when it is weighed: sqrt(1/16) of that. In two hours no test sees it (bench-power). All but the
 * vapour: common practice, no source.
 *
 * A driven record is asked for a leak besides (far.h). That counts some of it twice, knowingly:
 * with this part left out of what is asked, or replaced by what was found, good records are not a
 * digit narrower, and one leaking container's loss in five is told wrongly, since one normal cannot
 * say "perhaps a tenth, perhaps nothing". */
#define DRIPS_KG_H 0.1
#define VAPOUR_KG_M2H 1.0
#define LEAKS_U 0.025
#define UNKNOWN_LOST_MOST_U 0.03
/* By a container alone nothing in the record answers that question: what leaks is read as a better
 * collector, the more the later. So the interval has to hold what a builder can fail to see: three
 * litres of twenty on grass in two hours are two standard uncertainties (common practice, no
 * source). Who weighs the water at the end has none of this. */
#define UNSEEN_LOST_U 0.075
#define UNSEEN_LOST_MOST_U 0.08
/* Both weighings on one scale share its error (JCGM 100 F.1.2.3); what they do not is reading and
 * spilling. Common practice, no source. */
#define ONE_SCALE 0.9
#define START_STORE_U_K 5.0 /* a fence: the readings say it a hundred times better */
#define START_U_K 20.0      /* the box may have stood in the sun */

enum { MEASURED, NOT_MEASURED };
enum { OF_SUN, OF_SUPPLY };

static const nr_rig *rig_of(const nr_setting *s)
{
    return &s->piece->series->run->rig;
}

/* A driven collector without a container in its record: the container is only for predictions. */
static bool no_container(const nr_setting *s)
{
    return s->piece->driven && !rig_of(s)->store.water_kg.given;
}

static bool water(const nr_setting *s, nr_prior *p)
{
    if (no_container(s))
        return false;
    p->u = fmax(nr_relative_u(&rig_of(s)->store.water_kg, ASSUMED_WATER, &p->stated), 1e-6);
    p->beyond_u = s->joint->options.water_u[s->piece->run];
    p->ask = p->stated ? NULL : "u_water_kg in [store]";
    p->asked_u = WEIGHED_WATER;
    return true;
}

static double water_J_K(const nr_piece *piece)
{
    return piece->series->water_kg * piece->series->cp_J_kgK;
}

static bool dry(const nr_setting *s, nr_prior *p)
{
    const nr_value *given = &rig_of(s)->store.dry_heat_capacity_J_K;
    double full = water_J_K(s->piece);
    p->value = given->given ? given->value : UNKNOWN_DRY * full;
    p->u = UNKNOWN_DRY * full;
    if (no_container(s))
        return false;
    if (given->given) {
        p->u = fmax(given->u_given ? given->u : ASSUMED_DRY * given->value, 1e-5 * full);
        p->stated = given->u_given;
    }
    return true;
}

/* Fixed at 0 where it cannot be told: then the collector's loss contains the container's. */
static bool store_loss(const nr_setting *s, nr_prior *p)
{
    if (!s->joint->store_loss_separate[s->piece->build])
        return false;
    const nr_value *given = &rig_of(s)->store.loss_W_K;
    p->value = p->u = nr_joint_usual_store_loss_W_K(s->piece->series->water_kg);
    if (no_container(s))
        return false;
    if (given->given) {
        p->value = given->value;
        p->u = fmax(given->u_given ? given->u : ASSUMED_LOSS * given->value, 0.01);
        p->stated = given->u_given;
    }
    return true;
}

static bool flow(const nr_setting *s, nr_prior *p)
{
    const nr_series *series = s->piece->series;
    if (!series->flow_known) {
        const nr_part *part = s->piece->part;
        bool told = s->joint->options.use_loop && part->reading[NR_OUT_OUTLET] &&
                    (part->reading[NR_OUT_INLET] || part->reading[NR_OUT_STORE]);
        snprintf(p->key, sizeof p->key, "build %zu flow", s->piece->build);
        p->u = told ? FREE_FLOW : UNKNOWN_FLOW;
        p->variant = NOT_MEASURED;
        return true;
    }
    const nr_rig_channel *c = nr_rig_channel_find(rig_of(s), "flow");
    p->stated = c && !isnan(c->u_gain);
    double u = p->stated ? c->u_gain : ASSUMED_FLOW;
    if (c && c->u_offset > 0 && series->flow_guess_L_min > 0)
        u = hypot(u, c->u_offset / series->flow_guess_L_min);
    p->u = fmax(u, 1e-6);
    p->variant = MEASURED;
    return true;
}

/* How a flow that was not measured varies. */
static bool flow_exponent(const nr_setting *s, nr_prior *p)
{
    const nr_series *series = s->piece->series;
    if (series->flow_known || !s->piece->part->drive)
        return false;
    bool supply = series->drive == NR_ROLE_PUMP;
    p->value = FOLLOWS_SUN;
    p->u = FOLLOWS_SUN_U;
    p->variant = supply ? OF_SUPPLY : OF_SUN;
    snprintf(p->key, sizeof p->key, "build %zu flow with %s", s->piece->build,
             supply ? "supply" : "sun");
    const nr_rig_channel *c = nr_rig_channel_find(rig_of(s), "pump");
    if (!supply || !c)
        return true;
    nr_dimension d = c->unit->dimension;
    p->value = d == NR_DIM_POWER     ? FOLLOWS_POWER
               : d == NR_DIM_CURRENT ? FOLLOWS_CURRENT
                                     : FOLLOWS_VOLTAGE;
    p->u = d == NR_DIM_POWER     ? FOLLOWS_POWER_U
           : d == NR_DIM_CURRENT ? FOLLOWS_CURRENT_U
                                 : FOLLOWS_VOLTAGE_U;
    return true;
}

/* Layers show as an inlet below the store; one thermometer alone cannot tell them. */
static bool layers(const nr_setting *s, nr_prior *p)
{
    if (s->piece->driven || !(s->piece->fits[NR_OUT_INLET] && s->piece->fits[NR_OUT_STORE]))
        return false;
    p->u = USUAL_LAYERS_U;
    return true;
}

static double first_reading(const nr_part *p, int c)
{
    for (size_t b = 0; p->reading[c] && b < p->blocks; b++)
        if (!isnan(p->reading[c][b]))
            return p->reading[c][b];
    return NAN;
}

static double first_water(const nr_piece *piece)
{
    double t = piece->driven ? NAN : first_reading(piece->part, NR_OUT_STORE);
    if (isnan(t))
        t = first_reading(piece->part, NR_OUT_INLET);
    /* A part without a good thermometer says nothing, but must not be lost. */
    return isnan(t) ? piece->series->mean_store_degC : t;
}

static bool t_store(const nr_setting *s, nr_prior *p)
{
    p->value = first_water(s->piece);
    p->u = START_STORE_U_K;
    return !s->piece->driven || s->piece->fits[NR_OUT_STORE];
}

static bool t_collector(const nr_setting *s, nr_prior *p)
{
    p->value = fmax(first_water(s->piece), s->piece->part->air_degC[0]) + 5;
    p->u = START_U_K;
    return true;
}

/* The container's balance is in the fit. */
static bool balances(const nr_setting *s)
{
    return !s->piece->driven || s->piece->fits[NR_OUT_STORE];
}

enum { PUMP_STATED, PUMP_RECORDED, PUMP_USUAL };

/* Mean of the pump's recorded power while it ran; NAN where it is not a power. */
static double recorded_W(const nr_series *series)
{
    const nr_rig_channel *c = nr_rig_channel_find(&series->run->rig, "pump");
    double sum = 0, n = 0;
    if (!c || nr_rig_column_unit(c)->dimension != NR_DIM_POWER)
        return NAN;
    nr_good_rows rows;
    nr_good_begin(&rows, series->quality);
    for (size_t r = 0; r < series->quality->rows; r++) {
        double v = nr_good_at(&rows, NR_ROLE_PUMP, r);
        if (v > 0) {
            sum += v;
            n++;
        }
    }
    return n > 0 ? sum / n : NAN;
}

static bool pump(const nr_setting *s, nr_prior *p)
{
    const nr_value *given = &rig_of(s)->store.pump_W;
    double recorded = recorded_W(s->piece->series);
    p->value = log(USUAL_PUMP_W);
    p->u = USUAL_PUMP_U;
    p->variant = PUMP_USUAL;
    p->ask = "pump_W in [store]";
    if (given->given) {
        p->variant = PUMP_STATED;
        p->ask = NULL;
        p->value = given->value > 0 ? log(given->value) : -INFINITY;
        if (!(given->value > 0))
            return false;
        p->u = fmax(nr_relative_u(given, ASSUMED_PUMP, &p->stated), 0.01);
    } else if (recorded > 0) {
        p->variant = PUMP_RECORDED;
        p->ask = NULL;
        p->value = log(recorded);
        p->u = ASSUMED_PUMP;
    }
    if (!balances(s))
        p->value = -INFINITY;
    return balances(s);
}

/* How much of Carrier's coefficient for a pool in use; its relative u. */
static double open_share(const nr_series *series, double *u)
{
    double wind = series->mean_wind_m_s;
    *u = isnan(wind) ? OPEN_CALM_U : OPEN_SHARE_U;
    return STILL_SHARE + WIND_SHARE_S_M * (isnan(wind) ? UNKNOWN_WIND_M_S : wind);
}

/* Evaporation is a term of its own only where the container's loss is one: else the collector's
 * loss has both. */
static bool opening(const nr_setting *s, nr_prior *p)
{
    const nr_rig_store *store = &rig_of(s)->store;
    const nr_value *given = &store->opening_m2;
    double whole = OPEN_M2_KG23 * pow(s->piece->series->water_kg, 2.0 / 3), u;
    double share = open_share(s->piece->series, &u);
    if (!balances(s) || !s->joint->store_loss_separate[s->piece->build])
        return false;
    if (given->given ? !(given->value > 0) : store->lid == NR_LID_YES)
        return false;
    if (given->given) {
        p->value = share * given->value;
        p->u = p->value * hypot(u, nr_relative_u(given, 0.1, &p->stated));
    } else if (store->lid == NR_LID_NO) {
        p->value = share * whole;
        p->u = p->value * hypot(u, OPEN_SHAPE_U);
        p->ask = "opening_m2 in [store]";
    } else {
        p->value = UNKNOWN_LID * share * whole;
        p->u = whole * hypot(UNKNOWN_LID_U * share, UNKNOWN_LID * share * hypot(u, OPEN_SHAPE_U));
        p->variant = 1;
        p->ask = "lid in [store]";
    }
    p->u = hypot(p->u, s->joint->options.open_u_m2[s->piece->build]);
    p->stated = false; /* the coefficient is nobody's to state */
    return true;
}

static bool humidity(const nr_setting *s, nr_prior *p)
{
    nr_prior open = *p;
    const nr_rig_channel *c = nr_rig_channel_find(rig_of(s), "humidity");
    if (!opening(s, &open))
        return false;
    bool measured = s->piece->part->humidity_measured;
    p->stated = measured && c && !isnan(c->u_offset);
    p->u = p->stated  ? fmax(c->u_offset / 100, 1e-3)
           : measured ? MEASURED_HUMIDITY_U
                      : USUAL_HUMIDITY_U;
    if (!measured) /* one air over all who stood in it */
        snprintf(p->key, sizeof p->key, "air of run %zu",
                 nr_joint_first_at(s->joint, s->piece->run));
    return true;
}

/* Water weighed again at the end. More than at the start came from somewhere at some temperature:
 * that is no even change, and the tests of misfit see it. */
static double unknown_lost_u(const nr_setting *s)
{
    double kg = s->piece->series->water_kg, hours = s->piece->series->duration_s / 3600;
    double open_m2 = rig_of(s)->store.lid == NR_LID_YES ? 0 : OPEN_M2_KG23 * pow(kg, 2.0 / 3);
    double seen = hypot(DRIPS_KG_H, VAPOUR_KG_M2H * open_m2) * hours / kg;
    return s->piece->driven ? fmin(hypot(seen, LEAKS_U), UNKNOWN_LOST_MOST_U)
                            : fmin(hypot(seen, UNSEEN_LOST_U), UNSEEN_LOST_MOST_U);
}

static bool lost(const nr_setting *s, nr_prior *p)
{
    const nr_value *first = &rig_of(s)->store.water_kg, *last = &rig_of(s)->store.water_end_kg;
    if (!balances(s) || !first->given)
        return false;
    p->u = hypot(unknown_lost_u(s), s->joint->options.gone_u[s->piece->run]);
    p->ask = "water_end_kg in [store]";
    if (!last->given)
        return true;
    p->ask = NULL;
    bool told_first, told_last;
    double a = nr_relative_u(first, ASSUMED_WATER, &told_first);
    double b = nr_relative_u(last, ASSUMED_WATER, &told_last) * last->value / first->value;
    double u = sqrt(fmax(a * a + b * b - 2 * ONE_SCALE * a * b, 0));
    p->value = fmax(1 - last->value / first->value, 0);
    p->u = fmax(u, 1e-4);
    p->stated = told_first && told_last;
    return true;
}

/* ---- how they enter ---- */

/* Which part of the run lies before a piece, and which within it. */
static double part_of_run(const nr_piece *piece, bool before)
{
    const nr_part *first = &piece->series->part[0], *p = piece->part;
    double whole = fmax(piece->series->duration_s, 1);
    double length = before ? p->start_s - first->start_s : (double)p->steps * piece->series->step_s;
    return fmin(length / whole, 1);
}

static void lost_enters(const nr_piece *piece, double value, nr_loop_params *q)
{
    q->store_J_K -= water_J_K(piece) * value * part_of_run(piece, true);
    q->lost_J_K = water_J_K(piece) * value * part_of_run(piece, false);
}

static double lost_chain(const nr_chain *c)
{
    double all = water_J_K(c->piece);
    return all * (part_of_run(c->piece, false) * c->dyn[NR_DYN_LOST] -
                  part_of_run(c->piece, true) * c->dyn[NR_DYN_LN_STORE] / c->params->store_J_K);
}

/* The tangents are to the thing itself. */
static double pump_chain(const nr_chain *c)
{
    return c->params->pump_W * c->dyn[NR_DYN_PUMP];
}

static void pump_enters(const nr_piece *piece, double value, nr_loop_params *q)
{
    (void)piece;
    q->pump_W = exp(value);
}

static void water_enters(const nr_piece *piece, double value, nr_loop_params *q)
{
    q->store_J_K += water_J_K(piece) * (1 + value);
}

static double water_chain(const nr_chain *c)
{
    return c->dyn[NR_DYN_LN_STORE] * water_J_K(c->piece) / c->params->store_J_K;
}

static void dry_enters(const nr_piece *piece, double value, nr_loop_params *q)
{
    (void)piece;
    q->store_J_K += value;
}

static double dry_chain(const nr_chain *c)
{
    return c->dyn[NR_DYN_LN_STORE] / c->params->store_J_K;
}

const nr_term_row nr_store_terms[] = {
    {NR_TERM_WATER,
     "water",
     {"water mass"},
     "",
     "",
     "",
     .scope = NR_OF_RUN,
     .family = NR_TERM_WATER,
     .lasts = true,
     .surprises = true,
     .input = true,
     .measured_once = true,
     .prior = water,
     .enter = water_enters,
     .chain = water_chain},
    {NR_TERM_DRY,
     "dry",
     {"container, dry heat capacity"},
     "",
     "J/K",
     "J/K",
     .family = NR_TERM_DRY,
     .lasts = true,
     .surprises = true,
     .input = true,
     .measured_once = true,
     .prior = dry,
     .enter = dry_enters,
     .chain = dry_chain},
    {NR_TERM_STORE_LOSS,
     "store-loss",
     {"container loss"},
     "",
     "W/K",
     "W/K",
     .family = NR_TERM_STORE_LOSS,
     .lasts = true,
     .surprises = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = store_loss,
     NR_MEMBER(store_loss_W_K),
     .dyn = NR_DYN_STORE_LOSS},
    {NR_TERM_LN_FLOW,
     "flow",
     {"flow meter, gain", "flow (not measured)"},
     "flow",
     "",
     "",
     NR_LOGARITHM,
     NR_OF_SENSOR,
     NR_TERM_LN_FLOW,
     .lasts = true,
     .surprises = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = flow,
     NR_MEMBER(flow_factor),
     .dyn = NR_DYN_LN_FLOW},
    {NR_TERM_FLOW_EXPONENT,
     "flow-exponent",
     {"flow, exponent of the irradiance", "flow, exponent of the pump's supply"},
     "flow",
     "",
     "",
     .family = NR_TERM_FLOW_EXPONENT,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = flow_exponent,
     NR_MEMBER(flow_exponent),
     .dyn = NR_DYN_FLOW_EXPONENT},
    /* Layers are the container's, not the record's: what the pump draws stays below the mean. */
    {NR_TERM_LAYERS,
     "layers",
     {"layers in the store"},
     "",
     "",
     "",
     .family = NR_TERM_LAYERS,
     .lasts = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = layers,
     NR_MEMBER(layers),
     .dyn = NR_DYN_LAYERS},
    {NR_TERM_T_STORE,
     "store-start",
     {"store temperature at the start"},
     "",
     "degC",
     "degC",
     .scope = NR_OF_PIECE,
     .family = NR_TERM_T_STORE,
     .prior = t_store,
     NR_MEMBER(t_store_degC),
     .dyn = NR_DYN_T_STORE},
    {NR_TERM_T_COLLECTOR,
     "collector-start",
     {"collector temperature at the start"},
     "",
     "degC",
     "degC",
     .scope = NR_OF_PIECE,
     .family = NR_TERM_T_COLLECTOR,
     .prior = t_collector,
     NR_MEMBER(t_collector_degC),
     .dyn = NR_DYN_T_COLLECTOR},
    {NR_TERM_LN_PUMP,
     "pump",
     {"pump, heat to the water", "pump, recorded power", "pump, heat to the water (not stated)"},
     "pump",
     "",
     "W",
     NR_LOGARITHM,
     .family = NR_TERM_LN_PUMP,
     .lasts = true,
     .surprises = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = pump,
     .enter = pump_enters,
     .chain = pump_chain},
    {NR_TERM_OPENING,
     "opening",
     {"open water", "open water (lid not stated)"},
     "",
     "m2",
     "m2",
     .family = NR_TERM_OPENING,
     .lasts = true,
     .surprises = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_MAKE,
     .prior = opening,
     NR_MEMBER(opening_m2),
     .dyn = NR_DYN_OPENING},
    {NR_TERM_HUMIDITY,
     "humidity",
     {"relative humidity of the air"},
     "humidity",
     "",
     "",
     .scope = NR_OF_SENSOR,
     .family = NR_TERM_HUMIDITY,
     .input = true,
     .prior = humidity,
     NR_MEMBER(humidity_offset),
     .dyn = NR_DYN_HUMIDITY},
    {NR_TERM_LOST,
     "lost",
     {"water gone by the end"},
     "",
     "",
     "",
     .scope = NR_OF_RUN,
     .family = NR_TERM_LOST,
     .surprises = true,
     .input = true,
     .like = NR_ALIKE,
     .likeness = NR_LIKE_TESTED,
     .prior = lost,
     .enter = lost_enters,
     .chain = lost_chain},
};
const size_t nr_store_terms_count = sizeof nr_store_terms / sizeof nr_store_terms[0];
