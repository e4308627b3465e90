/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heat carried by the loop against heat found in the store against the sun's.
 *
 * The store is a calorimeter: its water is known to a per cent. The record is cut into blocks, and
 * what happens from the middle of one to the middle of the next is summed where both are known, so
 * that gaps and spoilt stretches cost their own time only. */
#include "analyze/inspect/subjects.h"

#include "analyze/physics/water.h"

#include <math.h>
#include <stdlib.h>

#define BLOCK_S 60.0
#define BLOCK_ROWS 5.0   /* at least */
#define LEAST_FILLED 0.4 /* of the rows a block should hold */
#define LEAST_KNOWN 0.4  /* of the record, else no balance */
#define LEAST_RISE_K 2.0 /* of the store, else no balance */
#define LEAST_LOOP_K 0.5 /* mean rise of the loop, for its share of the sun */
#define LOSS_LID_W_K 2.5 /* guesses where loss_W_K is not given; common practice, no source */
#define LOSS_NO_LID_W_K 4.0
#define LOSS_GUESS_U 0.8
#define MIXED_K 0.2     /* a store is mixed this well, at each end of a stretch */
#define PUMP_HEAT_W 2.0 /* standard uncertainty of what the pump leaves in the water */
#define UNSTATED_MASS 0.01
#define UNSTATED_DRY 0.2

enum { POWER, STORE, AIR, SUN, SEEN };

typedef struct block {
    double mean[SEEN];      /* NAN: not known */
    double flow, flow_rise; /* sums over the block */
} block;

/* Sums over the pairs of blocks in which a balance is known. */
typedef struct sums {
    double rise_K, excess_Ks, store_K, power_J, sun_Jm2, seconds, flow, flow_rise;
    double pairs, stretches;
} sums;

/* Power of the loop with that flow, W. Volume is counted at the inlet's temperature. */
static double power_of(const nr_water_lines *water, double flow_L_min, double in, double out)
{
    double kg_s = flow_L_min / 60000.0 * nr_water_lines_density_kg_m3(water, in);
    return kg_s * nr_water_lines_cp_J_kgK(water, 0.5 * (in + out)) * (out - in);
}

static void fill_block(nr_good_rows *rows, const nr_water_lines *water, block *b, size_t from,
                       size_t to, double due)
{
    double sum[SEEN] = {0}, n[SEEN] = {0};
    for (size_t i = from; i < to; i++) {
        bool stands = rows->quality->pump[i] == NR_PUMP_IS_OFF;
        double flow = nr_good_at(rows, NR_ROLE_FLOW, i), in = nr_good_at(rows, NR_ROLE_INLET, i),
               out = nr_good_at(rows, NR_ROLE_OUTLET, i);
        double power = stands ? 0.0 : power_of(water, flow, in, out); /* NAN: not known */
        double value[SEEN] = {power, nr_good_at(rows, NR_ROLE_STORE, i),
                              nr_good_at(rows, NR_ROLE_AIR, i), nr_good_at(rows, NR_ROLE_SUN, i)};
        for (int k = 0; k < SEEN; k++) {
            if (isnan(value[k]))
                continue;
            sum[k] += value[k];
            n[k] += 1.0;
        }
        if (!stands && !isnan(flow * (out - in))) {
            b->flow += flow;
            b->flow_rise += flow * (out - in);
        }
    }
    for (int k = 0; k < SEEN; k++)
        b->mean[k] = n[k] >= due ? sum[k] / n[k] : NAN;
}

static void add_pair(sums *s, const block *a, const block *b, double length_s)
{
    s->rise_K += b->mean[STORE] - a->mean[STORE];
    s->store_K += 0.5 * (a->mean[STORE] + b->mean[STORE]);
    s->excess_Ks +=
        0.5 * length_s * (a->mean[STORE] - a->mean[AIR] + b->mean[STORE] - b->mean[AIR]);
    s->power_J += 0.5 * length_s * (a->mean[POWER] + b->mean[POWER]);
    s->sun_Jm2 += 0.5 * length_s * (a->mean[SUN] + b->mean[SUN]);
    s->seconds += length_s;
    s->flow += b->flow;
    s->flow_rise += b->flow_rise;
    s->pairs += 1.0;
}

static bool knows(const block *b, const int *needed, size_t count)
{
    for (size_t k = 0; k < count; k++)
        if (isnan(b->mean[needed[k]]))
            return false;
    return true;
}

/* Recorded, without long pauses, s. */
static double busy_of(const nr_inspection *inspection)
{
    return nr_number(&inspection->q->busy_s, inspection->q->rows - 1);
}

static sums sum_where(const block *b, size_t blocks, double length_s, const int *needed,
                      size_t count)
{
    sums s = {0};
    bool before = false;
    for (size_t k = 0; k + 1 < blocks; k++) {
        bool now = knows(&b[k], needed, count) && knows(&b[k + 1], needed, count);
        if (now)
            add_pair(&s, &b[k], &b[k + 1], length_s);
        s.stretches += now && !before;
        before = now;
    }
    return s;
}

static double u_of(const nr_value *v, double otherwise)
{
    return v->u_given ? v->u : otherwise * v->value;
}

/* Heat found in the store plus what it lost meanwhile, and its standard uncertainty, J. */
static double store_heat(const nr_inspection *inspection, const sums *s, double *u)
{
    const nr_rig *rig = &inspection->run->rig;
    const nr_value *dry = &rig->store.dry_heat_capacity_J_K, *loss = &rig->store.loss_W_K;
    double cp = nr_water_cp_J_kgK(s->store_K / s->pairs),
           water_J_K = cp * rig->store.water_kg.value;
    double c_dry = dry->given ? dry->value : 0.0;
    double u_dry = dry->given ? u_of(dry, UNSTATED_DRY) : 0.02 * water_J_K;
    double guess = rig->store.lid == NR_LID_NO ? LOSS_NO_LID_W_K : LOSS_LID_W_K;
    double loss_W_K = loss->given ? loss->value : guess;
    double u_loss = loss->given ? u_of(loss, 0.2) : LOSS_GUESS_U * guess;
    double by_mass = u_of(&rig->store.water_kg, UNSTATED_MASS) * cp * s->rise_K;
    double by_dry = u_dry * s->rise_K, by_loss = u_loss * s->excess_Ks;
    double by_mixing = MIXED_K * (water_J_K + c_dry) * sqrt(s->stretches);
    double by_pump = PUMP_HEAT_W * s->seconds;
    *u = sqrt(by_mass * by_mass + by_dry * by_dry + by_loss * by_loss + by_mixing * by_mixing +
              by_pump * by_pump);
    return (water_J_K + c_dry) * s->rise_K + loss_W_K * s->excess_Ks;
}

/* A steady flow can sit anywhere within one step of a coarse meter, all the time. */
static double flow_step_u(const nr_inspection *inspection)
{
    double step = inspection->q->channel[NR_ROLE_FLOW].step, flow = inspection->q->pump_typical;
    return isnan(step) || !(flow > 0.0) ? 0.0 : step / sqrt(12.0) / flow;
}

/* Relative standard uncertainties of the loop's heat and of the sun's. */
static double loop_u(const nr_inspection *inspection, double rise_K)
{
    double pair = hypot(nr_inspect_offset_u(inspection, NR_ROLE_INLET),
                        nr_inspect_offset_u(inspection, NR_ROLE_OUTLET));
    double gain = nr_inspect_gain_u(inspection, NR_ROLE_FLOW, NR_UNSTATED_FLOW_GAIN);
    return hypot(pair / rise_K, hypot(gain, flow_step_u(inspection)));
}

static double sun_u(const nr_inspection *inspection)
{
    const nr_value *area = &inspection->run->rig.collector.gross_area_m2;
    return hypot(nr_inspect_gain_u(inspection, NR_ROLE_SUN, NR_UNSTATED_SUN_GAIN),
                 u_of(area, NR_UNSTATED_AREA) / area->value);
}

static void loop_and_store(nr_inspection *inspection, const sums *s)
{
    nr_heat *h = &inspection->heat;
    double u_store, found = store_heat(inspection, s, &u_store);
    if (s->seconds < LEAST_KNOWN * busy_of(inspection) || s->rise_K < LEAST_RISE_K ||
        !(s->flow > 0.0))
        return;
    h->loop_known = true;
    h->ratio = s->power_J / found;
    h->u_ratio =
        fabs(h->ratio) * hypot(loop_u(inspection, s->flow_rise / s->flow), u_store / found);
}

static void store_and_sun(nr_inspection *inspection, const sums *s, double area)
{
    nr_heat *h = &inspection->heat;
    double u_store, found = store_heat(inspection, s, &u_store);
    if (s->seconds < LEAST_KNOWN * busy_of(inspection) || s->rise_K < LEAST_RISE_K ||
        !(s->sun_Jm2 > 0.0))
        return;
    h->store_known = true;
    h->share = found / (s->sun_Jm2 * area);
    h->u_share = h->share * hypot(sun_u(inspection), u_store / found);
    h->mean_excess_K = s->excess_Ks / s->seconds;
    h->mean_sun_W_m2 = s->sun_Jm2 / s->seconds;
}

static void loop_and_sun(nr_inspection *inspection, const sums *s, double area)
{
    nr_heat *h = &inspection->heat;
    double rise = s->flow_rise / s->flow;
    if (s->seconds < LEAST_KNOWN * busy_of(inspection) || !(rise > LEAST_LOOP_K) ||
        !(s->sun_Jm2 > 0.0))
        return;
    h->loop_share_known = true;
    h->loop_share = s->power_J / (s->sun_Jm2 * area);
    h->u_loop_share = h->loop_share * hypot(sun_u(inspection), loop_u(inspection, rise));
    if (h->store_known)
        return;
    h->mean_excess_K = 0.0;
    h->mean_sun_W_m2 = s->sun_Jm2 / s->seconds;
}

nr_code nr_heat_balance(nr_inspection *inspection, nr_err *err)
{
    static const int with_store[] = {POWER, STORE, AIR}, stored[] = {STORE, AIR, SUN};
    static const int with_sun[] = {POWER, SUN};
    const nr_quality *q = inspection->q;
    double busy_s = busy_of(inspection);
    double length_s = fmax(BLOCK_S, BLOCK_ROWS * q->interval_s);
    double area = inspection->run->rig.collector.gross_area_m2.value;
    if (!(busy_s >= 2.0 * length_s)) /* a single row has no interval: NAN */
        return NR_OK;
    size_t blocks = (size_t)(busy_s / length_s);
    block *b = calloc(blocks, sizeof *b);
    if (!b)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    double due = LEAST_FILLED * length_s / q->interval_s;
    nr_good_rows rows;
    nr_cursor busy;
    nr_good_begin(&rows, q);
    nr_cursor_begin(&busy, &q->busy_s);
    nr_water_lines water;
    nr_water_lines_make(&water);
    for (size_t k = 0, from = 0; k < blocks; k++) {
        size_t to = from;
        while (to < q->rows && nr_at(&busy, to) < length_s * (double)(k + 1))
            to++;
        fill_block(&rows, &water, &b[k], from, to, due);
        from = to;
    }
    sums s = sum_where(b, blocks, length_s, with_store, 3);
    loop_and_store(inspection, &s);
    s = sum_where(b, blocks, length_s, stored, 3);
    store_and_sun(inspection, &s, area);
    s = sum_where(b, blocks, length_s, with_sun, 2);
    loop_and_sun(inspection, &s, area);
    free(b);
    return NR_OK;
}
