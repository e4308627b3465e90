/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How parameters become a heater that is simulated: which number of it each term is, on its own
 * scale; the limits beyond which nothing is simulated, each from both sides; and which parameters a
 * piece knows, counted once more. */
#include "analyze/estimate/arrow.h"
#include "analyze/joint/evaluate.h"
#include "tests/unit/joint/asked.h"
#include "tests/unit/joint/bundle.h"

/* A piece whose terms are all fixed, at values of an ordinary heater. */
static void fix_all(const asked *a)
{
    nr_piece *p = a->piece;
    for (int t = 0; t < NR_TERMS; t++) {
        p->index[t] = -1;
        p->fixed[t] = 0;
    }
    p->fixed[NR_TERM_OPTICAL] = 0.75;
    p->fixed[NR_TERM_LOSS] = 6;
    p->fixed[NR_TERM_LN_EXCHANGE] = log(60);
    p->fixed[NR_TERM_LN_CAPACITY] = log(9000);
    p->fixed[NR_TERM_ROOT_COVER] = 60;
    p->fixed[NR_TERM_LN_FLUID] = log(4000);
    p->fixed[NR_TERM_LN_BACK] = log(7000);
    p->fixed[NR_TERM_LN_GAP] = log(3);
    p->fixed[NR_TERM_LN_PUMP] = log(5);
    p->fixed[NR_TERM_LN_DRIES] = log(900);
}

#define MEMBER(name) offsetof(nr_loop_params, name)
enum { PLAIN, LOGARITHM, ROOT };
static const struct {
    nr_term term;
    size_t member;
    int scale;
    double low, high; /* of the member: what is just not simulated any more; NAN: no such limit */
} members[] = {{NR_TERM_OPTICAL, MEMBER(optical), PLAIN, -100, 100},
               {NR_TERM_LOSS, MEMBER(loss_W_m2K), PLAIN, -1e4, 1e4},
               {NR_TERM_LOSS2, MEMBER(loss2_W_m2K2), PLAIN, NAN, NAN},
               {NR_TERM_WIND, MEMBER(wind_Ws_m3K), PLAIN, NAN, NAN},
               {NR_TERM_LN_EXCHANGE, MEMBER(exchange_W_m2K), LOGARITHM, 1e-3, 1e6},
               {NR_TERM_LN_CAPACITY, MEMBER(capacity_J_m2K), LOGARITHM, NAN, 1e8},
               {NR_TERM_ROOT_COVER, MEMBER(cover_J_m2K), ROOT, NAN, NAN},
               {NR_TERM_LN_FLUID, MEMBER(fluid_J_K), LOGARITHM, NAN, NAN},
               {NR_TERM_STORE_LOSS, MEMBER(store_loss_W_K), PLAIN, NAN, NAN},
               {NR_TERM_SUN_OFFSET, MEMBER(sun_offset_W_m2), PLAIN, NAN, NAN},
               {NR_TERM_SUN_GAIN, MEMBER(sun_gain), PLAIN, -0.9, NAN},
               {NR_TERM_SUN_UNSEEN, MEMBER(sun_gain), PLAIN, -0.9, NAN},
               {NR_TERM_AIR_OFFSET, MEMBER(air_offset_K), PLAIN, NAN, NAN},
               {NR_TERM_LN_FLOW, MEMBER(flow_factor), LOGARITHM, NAN, 1e3},
               {NR_TERM_FLOW_EXPONENT, MEMBER(flow_exponent), PLAIN, -10, 10},
               {NR_TERM_LAYERS, MEMBER(layers), PLAIN, -2, 2},
               {NR_TERM_B0, MEMBER(b0), PLAIN, NAN, NAN},
               {NR_TERM_T_STORE, MEMBER(t_store_degC), PLAIN, NAN, NAN},
               {NR_TERM_T_COLLECTOR, MEMBER(t_collector_degC), PLAIN, NAN, NAN},
               {NR_TERM_WIND_GAIN, MEMBER(wind_gain_s_m), PLAIN, NAN, NAN},
               {NR_TERM_SKY, MEMBER(sky), PLAIN, NAN, NAN},
               {NR_TERM_SKY_OFFSET, MEMBER(sky_offset_W_m2), PLAIN, NAN, NAN},
               {NR_TERM_ASIDE, MEMBER(aside_W_m2), PLAIN, NAN, NAN},
               {NR_TERM_OFFSET_INLET, MEMBER(inlet_offset_K), PLAIN, NAN, NAN},
               {NR_TERM_GAIN_INLET, MEMBER(inlet_gain), PLAIN, NAN, NAN},
               {NR_TERM_OFFSET_OUTLET, MEMBER(outlet_offset_K), PLAIN, NAN, NAN},
               {NR_TERM_GAIN_OUTLET, MEMBER(outlet_gain), PLAIN, NAN, NAN},
               {NR_TERM_DRIFT_INLET, MEMBER(inlet_drift_K), PLAIN, NAN, NAN},
               {NR_TERM_DRIFT_OUTLET, MEMBER(outlet_drift_K), PLAIN, NAN, NAN},
               {NR_TERM_LN_PUMP, MEMBER(pump_W), LOGARITHM, NAN, 1e5},
               {NR_TERM_OPENING, MEMBER(opening_m2), PLAIN, -100, 100},
               {NR_TERM_HUMIDITY, MEMBER(humidity_offset), PLAIN, NAN, NAN},
               {NR_TERM_LN_BACK, MEMBER(back_J_m2K), LOGARITHM, NAN, 1e7},
               {NR_TERM_LN_GAP, MEMBER(back_gap_W_m2K), LOGARITHM, NAN, 1e5},
               {NR_TERM_SUN_ON_AIR, MEMBER(sun_on_air_K), PLAIN, NAN, NAN},
               {NR_TERM_SUN_FADE, MEMBER(sun_fade), PLAIN, -1, 1},
               {NR_TERM_LOSS_TREND, MEMBER(loss_trend), PLAIN, -1.9, 1.9},
               {NR_TERM_DEW, MEMBER(dew), PLAIN, -0.9, 0.9},
               {NR_TERM_LN_DRIES, MEMBER(dries_s), LOGARITHM, 1, 1e6}};
#define MEMBERS (sizeof members / sizeof members[0])

static double scaled(int scale, double v)
{
    return scale == LOGARITHM ? log(v) : scale == ROOT ? sqrt(v) : v;
}

START_TEST(each_term_is_a_number_of_it)
{
    asked a;
    asked_open(&a);
    for (size_t k = 0; k < MEMBERS; k++) {
        char what[32];
        snprintf(what, sizeof what, "term %d", (int)members[k].term);
        asked_reset(&a);
        fix_all(&a);
        nr_loop_params without = nr_joint_params(a.joint, 0, a.joint->x);
        a.piece->fixed[members[k].term] = scaled(members[k].scale, 0.37);
        nr_loop_params q = nr_joint_params(a.joint, 0, a.joint->x);
        double *is = (void *)((char *)&q + members[k].member);
        double *was = (void *)((char *)&without + members[k].member);
        NEAR_AT(what, *is, 0.37, 1e-12);
        *is = *was; /* and nothing else of the heater is other than it was */
        for (size_t at = 0; at + sizeof(double) <= sizeof q; at += sizeof(double))
            NEAR_AT(what, *(double *)(void *)((char *)&q + at),
                    *(double *)(void *)((char *)&without + at), 0);
    }
    asked_close(&a);
}
END_TEST

static bool simulated(const asked *a)
{
    return nr_joint_in_domain(a->joint, a->joint->x);
}

START_TEST(limits_of_what_is_simulated)
{
    asked a;
    asked_open(&a);
    for (size_t k = 0; k < MEMBERS; k++)
        for (int side = 0; side < 2; side++) {
            double limit = side ? members[k].high : members[k].low;
            double inwards = (side ? -1 : 1) * 1e-6 * fabs(limit);
            asked_reset(&a);
            fix_all(&a);
            ck_assert(simulated(&a));
            if (isnan(limit))
                continue;
            a.piece->fixed[members[k].term] = scaled(members[k].scale, limit + inwards);
            ck_assert_msg(simulated(&a), "term %d just within %g", (int)members[k].term, limit);
            a.piece->fixed[members[k].term] = scaled(members[k].scale, limit - inwards);
            ck_assert_msg(!simulated(&a), "term %d just beyond %g", (int)members[k].term, limit);
            if (members[k].scale == PLAIN) {
                a.piece->fixed[members[k].term] = limit;
                ck_assert_msg(!simulated(&a), "term %d at %g", (int)members[k].term, limit);
            }
        }
    asked_close(&a);
}
END_TEST

/* Area and water are what was stated and a relative departure; what dries out adds to the water;
 * of what is gone by the end of the record a part is gone before a later piece begins. */
START_TEST(area_and_water)
{
    asked a;
    asked_open(&a);
    asked_reset(&a);
    fix_all(&a);
    double *fixed = a.piece->fixed, water = a.series->water_kg * a.series->cp_J_kgK;
    double area = a.rig->collector.gross_area_m2.value;
    nr_part later = *a.part;
    later.start_s = a.part->start_s + 200;
    later.steps = 50;
    a.series->step_s = 4;
    a.series->duration_s = 800;
    a.piece->part = &later;
    fixed[NR_TERM_AREA] = 0.04;
    fixed[NR_TERM_WATER] = -0.1;
    fixed[NR_TERM_DRY] = 1234;
    fixed[NR_TERM_LOST] = 0.2;
    nr_loop_params q = nr_joint_params(a.joint, 0, a.joint->x);
    NEAR_RELATIVE(q.area_m2, 1.04 * area, 1e-12);
    NEAR_RELATIVE(q.store_J_K, 0.9 * water + 1234 - 0.2 * water / 4, 1e-12);
    NEAR_RELATIVE(q.lost_J_K, 0.2 * water / 4, 1e-12);
    later.steps = 4000; /* never more than all */
    later.start_s = a.part->start_s + 9000;
    q = nr_joint_params(a.joint, 0, a.joint->x);
    NEAR_RELATIVE(q.store_J_K, 0.7 * water + 1234, 1e-12);
    NEAR_RELATIVE(q.lost_J_K, 0.2 * water, 1e-12);
    a.piece->part = a.part;
    for (int beyond = 0; beyond < 2; beyond++) { /* a tenth is to be left at the end */
        a.part->steps = 200;
        fixed[NR_TERM_WATER] = fixed[NR_TERM_DRY] = fixed[NR_TERM_AREA] = 0;
        fixed[NR_TERM_LOST] = 0.9 + (beyond ? 1e-6 : -1e-6);
        ck_assert(simulated(&a) == !beyond);
        fixed[NR_TERM_LOST] = 0;
        fixed[NR_TERM_AREA] = -1 + (beyond ? -1e-6 : 1e-6);
        ck_assert(simulated(&a) == !beyond);
        fixed[NR_TERM_AREA] = 0;
        fixed[NR_TERM_WATER] = -1 + (beyond ? -1e-6 : 1e-6);
        ck_assert(simulated(&a) == !beyond);
    }
    asked_close(&a);
}
END_TEST

/* What the model misreads of the loss turns the curve about the middle of what was tested (here
 * without a flow, so that the absorber is as the water is): its own slopes, and the gain by what
 * that moves there. */
START_TEST(the_models_own_error)
{
    asked a;
    asked_open(&a);
    asked_reset(&a);
    fix_all(&a);
    double *fixed = a.piece->fixed;
    const double wrong = 0.04 + 0.01, gain = 0.02 - 0.005, at = 0.03, sun = 700;
    a.joint->pivot[0] = (nr_pivot){.entering = at, .at = {.sun_W_m2 = sun}};
    fixed[NR_TERM_LOSS2] = 0.02;
    fixed[NR_TERM_WIND] = 0.8;
    fixed[NR_TERM_MODEL_LOSS] = 0.04;
    fixed[NR_TERM_MODEL_LOSS_LIKE] = 0.01;
    fixed[NR_TERM_MODEL_GAIN] = 0.02;
    fixed[NR_TERM_MODEL_GAIN_LIKE] = -0.005;
    nr_loop_params q = nr_joint_device(a.joint, 0, a.joint->x);
    NEAR_RELATIVE(q.loss_W_m2K, 6 * (1 + wrong), 1e-12);
    NEAR_RELATIVE(q.loss2_W_m2K2, 0.02 * (1 + wrong), 1e-12);
    NEAR_RELATIVE(q.wind_Ws_m3K, 0.8 * (1 + wrong), 1e-12);
    double lost = (6 + 0.02 * at * sun) * at; /* of the efficiency, there */
    NEAR_RELATIVE(q.optical, 0.75 * (1 + gain) + wrong * lost, 1e-12);
    asked_close(&a);
}
END_TEST

/* ---- which parameters a piece knows ---- */

START_TEST(columns_and_groups)
{
    bundle b;
    set_up(&b);
    const nr_joint *j = b.joint;
    size_t group[400];
    ck_assert_uint_le(j->parameters, 400);
    nr_joint_groups(j, group);
    for (size_t i = 0; i < j->parameters; i++) {
        size_t run = SIZE_MAX;
        bool shared = j->parameter[i].group != 0, known = false;
        for (size_t k = 0; k < j->pieces; k++)
            for (int t = 0; t < NR_TERMS; t++)
                if (j->piece[k].index[t] == (int)i) {
                    shared = shared || (known && j->piece[k].run != run);
                    run = j->piece[k].run;
                    known = true;
                }
        ck_assert_uint_eq(group[i], shared || !known ? NR_ARROW_SHARED : run);
    }
    for (size_t k = 0; k < j->pieces; k++) {
        size_t parameter[NR_TERMS], height = 0, n;
        int column[NR_TERMS];
        bool seen[400] = {false};
        nr_piece *p = &j->piece[k];
        p->index[NR_TERM_GAIN_OUTLET] = p->index[NR_TERM_GAIN_STORE]; /* one sensor, two roles */
        n = nr_joint_piece_columns(j, k, parameter, column);
        for (size_t c = 0; c < n; c++) {
            ck_assert(!seen[parameter[c]]);
            seen[parameter[c]] = true;
        }
        for (int t = 0; t < NR_TERMS; t++) {
            ck_assert((column[t] >= 0) == (p->index[t] >= 0));
            ck_assert_int_lt(column[t], (int)n);
            if (column[t] >= 0)
                ck_assert_uint_eq(parameter[column[t]], (size_t)p->index[t]);
        }
        for (int c = 0; c < NR_OUTS; c++)
            height += p->fits[c] ? p->part->blocks : 0;
        ck_assert_uint_eq(nr_joint_piece_height(j, k), height);
    }
    tear_down(&b);
}
END_TEST

static void note(void *context, size_t worker, size_t i)
{
    size_t *seen = context;
    (void)worker;
    seen[i]++;
}

/* As many threads as are wanted, but no more than pieces; and each thing once. */
START_TEST(workers_and_things)
{
    asked a;
    size_t seen[9] = {0};
    asked_open(&a);
    for (size_t pieces = 1; pieces < 4; pieces++)
        for (size_t threads = 1; threads < 4; threads++) {
            size_t was = a.joint->pieces;
            a.joint->pieces = pieces;
            a.joint->threads = threads;
            ck_assert_uint_eq(nr_joint_workers(a.joint), threads < pieces ? threads : pieces);
            memset(seen, 0, sizeof seen);
            nr_joint_each(a.joint, 8, note, seen);
            for (size_t i = 0; i < 9; i++)
                ck_assert_uint_eq(seen[i], i < 8);
            memset(seen, 0, sizeof seen);
            nr_joint_each_piece(a.joint, note, seen);
            for (size_t i = 0; i < 9; i++)
                ck_assert_uint_eq(seen[i], i < pieces);
            a.joint->pieces = was;
        }
    asked_close(&a);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {each_term_is_a_number_of_it,
                                  limits_of_what_is_simulated,
                                  area_and_water,
                                  the_models_own_error,
                                  columns_and_groups,
                                  workers_and_things,
                                  NULL};
    return run_tests("domain", tests);
}
