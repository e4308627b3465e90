/* Heat balances, and what they say about probes, meter and units.
 *
 * The store is a calorimeter: its water is known to a per cent, so the heat found in it checks the
 * loop's flow times temperature rise. Every check allows for the stated uncertainties. */
#include "analyze/answer/inspect_parts.h"

#include "analyze/physics/water.h"

#include <math.h>
#include <stdio.h>

#define END_S 40.0       /* the store's temperature at the ends is a median over this long */
#define HOLD_S 30.0      /* a missing reading is stood in for by the last one this long */
#define LEAST_KNOWN 0.95 /* of the time, else no balance */
#define LEAST_RISE_K 2.0 /* of the store, else no balance */
#define LOSS_LID_W_K 2.5 /* guesses where loss_W_K is not given; common practice, no source */
#define LOSS_NO_LID_W_K 4.0
#define LOSS_GUESS_U 0.8
#define MIXED_K 0.2     /* a store is mixed this well */
#define PUMP_HEAT_W 2.0 /* standard uncertainty of what the pump leaves in the water */
#define UNSTATED_MASS 0.01
#define UNSTATED_DRY 0.2
#define SIGMAS 3.0
#define BALANCE_SHARE 0.08       /* smaller disagreements do not matter */
#define GAIN_FROM_AIR_W_M2K 25.0 /* a bare absorber colder than the air takes up this much */
#define FULL_SUN_W_M2 400.0
#define COOL_X 0.02           /* (inlet - air)/sun below which every collector gains */
#define SETTLE_S 120.0        /* after the pump starts; one transit of a long tube */
#define START_S 600.0         /* how long "at the start" lasts */
#define STRATIFIED_K 0.3      /* inlet may differ from the store's probe by this ... */
#define STRATIFIED_SHARE 0.04 /* ... and this share of the rise from inlet to outlet */
#define UNKNOWN_RISE_K 8.0
#define DARK_W_M2 100.0

typedef struct sums {
    double loop_J, loop_s, flow_rise, flow, sun_Jm2, sun_s, loss_Ks, loss_s, all_s;
} sums;

/* Power of the loop now, W; NAN unknown. */
static double loop_power(const nr_look *look, size_t i)
{
    const nr_quality *q = look->q;
    if (q->pump[i] == NR_PUMP_IS_OFF)
        return 0.0;
    double in = nr_quality_value(q, NR_ROLE_INLET, i), out = nr_quality_value(q, NR_ROLE_OUTLET, i);
    double flow = nr_quality_value(q, NR_ROLE_FLOW, i);
    double kg_s = flow / 60000.0 * nr_water_density_kg_m3(in);
    return kg_s * nr_water_enthalpy_rise_J_kg(in, out);
}

typedef struct held {
    double value, at_s;
} held;

/* The value now, or the last one for a while; NAN beyond. */
static double hold(held *h, double value, double t)
{
    if (!isnan(value))
        *h = (held){value, t};
    return t - h->at_s <= HOLD_S ? h->value : NAN;
}

static void integrate(const nr_look *look, double from_s, double to_s, sums *s)
{
    const nr_quality *q = look->q;
    const double *t = look->run->readings->elapsed_s;
    held power = {NAN, -INFINITY}, sun = power, excess = power;
    for (size_t i = 0; i + 1 < q->rows; i++) {
        if (t[i] < from_s || t[i] >= to_s)
            continue;
        double pause = t[i + 1] - t[i], dt = fmin(pause, HOLD_S);
        double p = hold(&power, loop_power(look, i), t[i]);
        double g = hold(&sun, nr_quality_value(q, NR_ROLE_SUN, i), t[i]);
        double e = nr_quality_value(q, NR_ROLE_STORE, i) - nr_quality_value(q, NR_ROLE_AIR, i);
        e = hold(&excess, e, t[i]);
        s->all_s += pause;
        if (!isnan(p)) {
            s->loop_J += p * dt;
            s->loop_s += dt;
        }
        if (p != 0.0 && !isnan(p)) {
            double flow = nr_quality_value(q, NR_ROLE_FLOW, i);
            double rise =
                nr_quality_value(q, NR_ROLE_OUTLET, i) - nr_quality_value(q, NR_ROLE_INLET, i);
            if (!isnan(flow * rise)) {
                s->flow_rise += flow * rise * dt;
                s->flow += flow * dt;
            }
        }
        if (!isnan(g)) {
            s->sun_Jm2 += g * dt;
            s->sun_s += dt;
        }
        if (!isnan(e)) {
            s->loss_Ks += e * dt;
            s->loss_s += dt;
        }
    }
}

static double u_of(const nr_value *v, double otherwise)
{
    return v->u_given ? v->u : otherwise * v->value;
}

/* Heat found in the store plus what it lost meanwhile, and its standard uncertainty. */
static double store_heat(const nr_look *look, double start, double end, const sums *s, double *u)
{
    const nr_rig *rig = &look->run->rig;
    const nr_value *dry = &rig->store.dry_heat_capacity_J_K, *loss = &rig->store.loss_W_K;
    double water = rig->store.water_kg.value, rise = end - start;
    double cp = nr_water_cp_J_kgK(0.5 * (start + end));
    double c_dry = dry->given ? dry->value : 0.0;
    double u_dry = dry->given ? u_of(dry, UNSTATED_DRY) : 0.02 * water * cp;
    double guess = rig->store.lid == NR_LID_NO ? LOSS_NO_LID_W_K : LOSS_LID_W_K;
    double loss_W_K = loss->given ? loss->value : guess;
    double u_loss = loss->given ? u_of(loss, 0.2) : LOSS_GUESS_U * guess;
    double heat = water * nr_water_enthalpy_rise_J_kg(start, end) + c_dry * rise;
    double by_mass = u_of(&rig->store.water_kg, UNSTATED_MASS) * cp * rise;
    double by_dry = u_dry * rise, by_loss = u_loss * s->loss_Ks;
    double by_mixing = MIXED_K * (water * cp + c_dry), by_pump = PUMP_HEAT_W * s->all_s;
    *u = sqrt(by_mass * by_mass + by_dry * by_dry + by_loss * by_loss + by_mixing * by_mixing +
              by_pump * by_pump);
    return heat + loss_W_K * s->loss_Ks;
}

/* A steady flow can sit anywhere within one step of a coarse meter, all the time. */
static double flow_step_u(const nr_look *look)
{
    double step = look->q->channel[NR_ROLE_FLOW].step, flow = look->q->pump_typical;
    return isnan(step) || !(flow > 0.0) ? 0.0 : step / sqrt(12.0) / flow;
}

void nr_heat_balance(nr_look *look)
{
    nr_heat *h = &look->heat;
    const nr_value *area = &look->run->rig.collector.gross_area_m2;
    double t0 = look->run->readings->elapsed_s[0], t1 = t0 + look->q->duration_s;
    double start =
        nr_look_median(look, NR_ROLE_STORE, NR_ROLES, NR_PUMP_IS_UNKNOWN, t0, t0 + END_S);
    double end = nr_look_median(look, NR_ROLE_STORE, NR_ROLES, NR_PUMP_IS_UNKNOWN, t1 - END_S, t1);
    if (look->q->interval_s > END_S / 10.0) { /* rows too far apart for a median of ten */
        double reach = 11.0 * look->q->interval_s;
        start = nr_look_median(look, NR_ROLE_STORE, NR_ROLES, NR_PUMP_IS_UNKNOWN, t0, t0 + reach);
        end = nr_look_median(look, NR_ROLE_STORE, NR_ROLES, NR_PUMP_IS_UNKNOWN, t1 - reach, t1);
        t0 += 0.5 * reach - 0.5 * END_S;
        t1 -= 0.5 * reach - 0.5 * END_S;
    }
    h->duration_s = t1 - t0;
    if (isnan(start) || isnan(end))
        return;
    sums s = {0};
    integrate(look, t0 + 0.5 * END_S, t1 - 0.5 * END_S, &s);
    h->mean_excess_K = s.loss_Ks / s.loss_s;
    double u_store;
    h->store_J = store_heat(look, start, end, &s, &u_store);
    h->sun_J = s.sun_Jm2 * area->value;
    h->loop_J = s.loop_J;
    bool warmed = end - start > LEAST_RISE_K && s.loss_s > LEAST_KNOWN * s.all_s;
    if (warmed && s.sun_s > LEAST_KNOWN * s.all_s && h->sun_J > 0.0) {
        double u_sun = nr_look_gain_u(look, NR_ROLE_SUN, NR_UNSTATED_SUN_GAIN);
        double u_area = u_of(area, NR_UNSTATED_AREA) / area->value;
        h->store_known = true;
        h->share = h->store_J / h->sun_J;
        h->u_share =
            h->share * sqrt(u_sun * u_sun + u_area * u_area + pow(u_store / h->store_J, 2.0));
    }
    if (warmed && s.flow > 0.0 && s.loop_s > LEAST_KNOWN * s.all_s) {
        double rise = s.flow_rise / s.flow;
        double u_pair =
            hypot(nr_look_offset_u(look, NR_ROLE_INLET), nr_look_offset_u(look, NR_ROLE_OUTLET)) /
            fabs(rise);
        double u_flow =
            hypot(nr_look_gain_u(look, NR_ROLE_FLOW, NR_UNSTATED_FLOW_GAIN), flow_step_u(look));
        h->loop_known = true;
        h->ratio = h->loop_J / h->store_J;
        h->u_ratio = fabs(h->ratio) *
                     sqrt(u_pair * u_pair + u_flow * u_flow + pow(u_store / h->store_J, 2.0));
    }
}

/* -- probes */

static double first_running(const nr_look *look)
{
    for (size_t i = 0; i < look->q->rows; i++)
        if (look->q->pump[i] != NR_PUMP_IS_OFF)
            return look->run->readings->elapsed_s[i];
    return NAN;
}

/* Median of outlet - inlet in full sun with the collector no warmer than it can gain at. */
static double rise_in_sun(const nr_look *look)
{
    const nr_quality *q = look->q;
    size_t n = 0;
    double sum = 0.0;
    for (size_t i = 0; i < q->rows; i++) {
        double in = nr_quality_value(q, NR_ROLE_INLET, i), g = nr_quality_value(q, NR_ROLE_SUN, i);
        double rise = nr_quality_value(q, NR_ROLE_OUTLET, i) - in;
        bool cool = (in - nr_quality_value(q, NR_ROLE_AIR, i)) / g < COOL_X;
        if (q->pump[i] == NR_PUMP_IS_OFF || !(g > FULL_SUN_W_M2) || !cool || isnan(rise))
            continue;
        sum += rise;
        n++;
    }
    return (double)n * q->interval_s < SETTLE_S ? NAN : sum / (double)n;
}

static void look_for_swap(nr_look *look)
{
    if (look->unit_wrong[NR_ROLE_INLET] || look->unit_wrong[NR_ROLE_OUTLET] ||
        look->unit_wrong[NR_ROLE_AIR] || look->unit_wrong[NR_ROLE_SUN])
        return;
    double rise = rise_in_sun(look);
    double u = hypot(nr_look_offset_u(look, NR_ROLE_INLET), nr_look_offset_u(look, NR_ROLE_OUTLET));
    if (!(rise < -fmax(0.3, 2.0 * u)))
        return;
    look->probes_wrong = true;
    nr_find(
        look, "swapped-probes", NR_SEVERITY_FAULT, NR_ROLE_OUTLET, NAN, NAN,
        "Warm one probe with a hand and see which number rises; then exchange the two fields in "
        "the rig file, or the hoses if the water runs backwards.",
        "The outlet reads %.1f K colder than the inlet in full sun with water running. The two "
        "probes are probably exchanged, or the water runs the other way.",
        -rise);
}

static void disagree(nr_look *look, nr_role role, nr_role other, double by, double allowed,
                     double from, double to, const char *why)
{
    look->probes_wrong = true;
    nr_find(look, "probes-disagree", NR_SEVERITY_DOUBT, role, from, to,
            "Put both probes in one stirred bucket: `noonlog bath` finds their offsets and writes "
            "the rig keys. Check that the probes touch the water's pipe and are wrapped.",
            "At the start %s reads %+.1f K against %s, more than the %.1f K their stated "
            "uncertainties allow, %s.",
            nr_role_name(role), by, nr_role_name(other), allowed, why);
}

static void look_for_disagreement(nr_look *look)
{
    double on = first_running(look), from = on + SETTLE_S, to = from + START_S;
    bool unknown = look->q->pump_source == NR_PUMP_FROM_NOTHING;
    nr_pump_state state = unknown ? NR_PUMP_IS_UNKNOWN : NR_PUMP_IS_ON;
    if (isnan(on) || look->unit_wrong[NR_ROLE_STORE] || look->unit_wrong[NR_ROLE_INLET])
        return;
    double u_in = nr_look_offset_u(look, NR_ROLE_INLET);
    double by = nr_look_median(look, NR_ROLE_INLET, NR_ROLE_STORE, state, from, to);
    double rise = nr_look_median(look, NR_ROLE_OUTLET, NR_ROLE_INLET, state, from, to);
    double layers =
        STRATIFIED_K + STRATIFIED_SHARE * (isnan(rise) ? UNKNOWN_RISE_K : fmax(0.0, rise));
    double allowed = SIGMAS * hypot(u_in, nr_look_offset_u(look, NR_ROLE_STORE)) + layers +
                     (unknown ? 1.0 : 0.0);
    if (fabs(by) > allowed)
        disagree(look, NR_ROLE_INLET, NR_ROLE_STORE, by, allowed, from, to,
                 "although it is the same water");
    double sun = nr_look_median(look, NR_ROLE_SUN, NR_ROLES, state, from, to);
    if (!(sun < DARK_W_M2) || look->unit_wrong[NR_ROLE_SUN] || look->unit_wrong[NR_ROLE_OUTLET])
        return;
    by = nr_look_median(look, NR_ROLE_OUTLET, NR_ROLE_INLET, state, from, to);
    allowed = SIGMAS * hypot(u_in, nr_look_offset_u(look, NR_ROLE_OUTLET)) + layers;
    if (fabs(by) > allowed)
        disagree(look, NR_ROLE_OUTLET, NR_ROLE_INLET, by, allowed, from, to,
                 "although there is no sun yet and water runs");
}

/* -- balances */

static bool any_unit_wrong(const nr_look *look)
{
    return look->unit_wrong[NR_ROLE_STORE] || look->unit_wrong[NR_ROLE_INLET] ||
           look->unit_wrong[NR_ROLE_OUTLET] || look->unit_wrong[NR_ROLE_FLOW];
}

static void look_at_balance(nr_look *look)
{
    const nr_heat *h = &look->heat;
    if (!h->loop_known || any_unit_wrong(look) || look->probes_wrong || look->q->flow_dead)
        return;
    double off = fabs(h->ratio - 1.0);
    if (off < fmax(BALANCE_SHARE, SIGMAS * h->u_ratio)) {
        nr_find(look, "heat-balance", NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN,
                "Nothing to do: flow meter, probes and water mass fit together.",
                "The loop carried %.2f times the heat found in the container (standard uncertainty "
                "%.2f).",
                h->ratio, h->u_ratio);
        return;
    }
    nr_find(look, "heat-balance", NR_SEVERITY_DOUBT, NR_ROLES, NAN, NAN,
            "Time a bucket filling to check the flow meter, hold inlet and outlet probe in one "
            "bucket, and weigh the water in the container.",
            "The loop carried %.2f times the heat found in the container (standard uncertainty "
            "%.2f). Flow meter, inlet, outlet or water mass is wrong by more than stated.",
            h->ratio, h->u_ratio);
}

static void look_at_share(nr_look *look)
{
    const nr_heat *h = &look->heat;
    if (!h->store_known || look->unit_wrong[NR_ROLE_SUN] || look->unit_wrong[NR_ROLE_STORE])
        return;
    double from_air = GAIN_FROM_AIR_W_M2K * look->run->rig.collector.gross_area_m2.value *
                      fmax(0.0, -h->mean_excess_K) * h->duration_s / h->sun_J;
    if (h->share - 2.0 * h->u_share < 1.0 + from_air)
        return;
    nr_find(look, "too-much-heat", NR_SEVERITY_FAULT, NR_ROLES, NAN, NAN,
            "Check gross_area_m2, water_kg and the sun sensor's conversion; a column in degF, or "
            "irradiance in Btu/(h ft2), would look like this.",
            "The water gained %.2f times the sun's energy on the collector. More than 1 is "
            "impossible.",
            h->share);
}

void nr_look_heat(nr_look *look)
{
    look_for_swap(look);
    if (!look->probes_wrong)
        look_for_disagreement(look);
    look_at_balance(look);
    look_at_share(look);
}
