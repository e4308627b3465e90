/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Verdicts on readings: clean records lose almost nothing, and what is spoilt is found.
 *
 * There is no outside source for such verdicts; the records' truth is known because they are
 * simulated (sample-runs/rig) or made here, and the limits asked for stand in each test. */
#include "tests/unit/quality/records.h"

#define SEEDS 20

/* -- clean records */

static void expect_clean(const nr_virtual_params *p, const char *what)
{
    size_t readings = 0, marked = 0;
    nr_virtual_run *run = simulate(p);
    nr_quality *q = check(run);
    for (int role = 0; role < NR_ROLES; role++) {
        readings += q->channel[role].readings;
        marked += nr_quality_marked(q, (nr_role)role);
    }
    ck_assert_uint_gt(readings, 0);
    ck_assert_msg((double)marked < 0.0005 * (double)readings, "%s, seed %lu: %zu of %zu marked",
                  what, p->day_seed, marked, readings);
    ck_assert_msg(q->gaps == 0 && q->duplicates == 0 && q->clock_steps == 0 && !q->flow_dead,
                  "%s, seed %lu: gaps %zu, duplicates %zu, clock steps %zu, dead %d", what,
                  p->day_seed, q->gaps, q->duplicates, q->clock_steps, q->flow_dead);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}

START_TEST(clean_records_lose_nothing)
{
    for (int kind = 0; kind < DAYS; kind++)
        for (unsigned long seed = 1; seed <= SEEDS; seed++) {
            nr_virtual_params p = day_params((day)kind, seed);
            p.channels = (1u << NR_VC_COUNT) - 1;
            expect_clean(&p, day_name[kind]);
        }
}
END_TEST

/* Fewer channels, other intervals, coarser and quieter probes, quick ones that see every slug. */
START_TEST(clean_records_of_other_rigs)
{
    for (unsigned long seed = 1; seed <= SEEDS / 2; seed++) {
        nr_virtual_params p = day_params(STALLING, seed);
        p.channels = NR_VC_STORE_SET;
        expect_clean(&p, "store only");
        p = day_params(STALLING, seed);
        p.interval_s = 10.0;
        expect_clean(&p, "every 10 s");
        p = day_params(seed % 2 ? STALLING : CLOUDY, seed);
        p.channels = (1u << NR_VC_COUNT) - 1;
        for (int c = 0; c < NR_VC_COUNT; c++)
            if (c != NR_VC_SUN && c != NR_VC_FLOW && c != NR_VC_WIND && c != NR_VC_PUMP)
                p.sensor[c].noise = 0.0, p.sensor[c].lag_s = 1.0;
        p.sensor[NR_VC_AIR].step = 0.5;
        expect_clean(&p, "quick and without noise");
        p.interval_s = 30.0; /* a slug comes and goes between two samples */
        expect_clean(&p, "quick, every 30 s");
        p = day_params(STALLING, seed);
        for (int c = NR_VC_STORE; c <= NR_VC_AIR; c++)
            p.sensor[c].noise = p.sensor[c].step =
                0.0; /* water in a pipe stands still to the bit */
        expect_clean(&p, "perfect probes");
        p = day_params(CLEAR, seed);
        p.pump_stop_s = 1200.0; /* somebody stops the pump for twenty minutes in full sun */
        p.pump_restart_s = 2400.0;
        expect_clean(&p, "stopped by hand");
    }
}
END_TEST

/* Sensors that answer only now and then, the adapter repeating their last value meanwhile. */
static void hold_all(nr_virtual_run *run, const char *name, size_t rows)
{
    double *v = column(run, name);
    for (size_t i = 0; i < run->run.readings->rows; i++)
        v[i] = v[i - i % rows];
}

/* Fine probes, slow to answer, in a small container that hardly warms: now and then two or three
 * answers in a row are equal. */
START_TEST(equal_answers_in_a_row_are_not_stuck)
{
    for (unsigned long seed = 1; seed <= 30; seed++) {
        nr_virtual_params p = nr_virtual_glazed();
        p.rig_seed = p.day_seed = seed;
        p.sky = NR_SKY_BROKEN;
        p.interval_s = 2.0;
        p.stated.water_kg = 10.0;
        for (int c = 0; c < NR_VC_COUNT; c++)
            if (c != NR_VC_SUN && c != NR_VC_FLOW)
                p.sensor[c].step = 0.01, p.sensor[c].noise = 0.02;
        nr_virtual_run *run = simulate(&p);
        hold_all(run, "store", 10);
        hold_all(run, "inlet", 10);
        hold_all(run, "outlet", 10);
        nr_quality *q = check(run);
        for (int role = 0; role < NR_ROLES; role++)
            ck_assert_msg(q->channel[role].count[NR_BAD_STUCK] == 0, "seed %lu, %s", seed,
                          nr_role_name((nr_role)role));
        nr_quality_free(q);
        nr_virtual_run_free(run);
    }
}
END_TEST

START_TEST(held_readings_are_not_stuck)
{
    for (unsigned long seed = 1; seed <= 6; seed++) {
        nr_virtual_run *run = clean_record((day)(seed % DAYS), seed);
        double *sun = column(run, "sun"), *outlet = column(run, "outlet");
        double *air = column(run, "air"), *store = column(run, "store");
        for (size_t i = 0; i < 5401; i++) {
            sun[i] = sun[i - i % 30];
            outlet[i] = outlet[i - i % 20];
            air[i] = air[i - i % 5];
            store[i] = store[i - i % 5];
        }
        nr_quality *q = check(run);
        for (int role = 0; role < NR_ROLES; role++)
            ck_assert_msg(nr_quality_marked(q, (nr_role)role) == 0, "seed %lu, %s: %zu marked",
                          seed, nr_role_name((nr_role)role), nr_quality_marked(q, (nr_role)role));
        nr_quality_free(q);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* A thermometer of 1/16 K in still water, a pump that stands, the sun at night: nothing is stuck
 * there, although nothing moves. */
START_TEST(stillness_is_not_a_fault)
{
    enum { ROWS = 3600 };
    static double t[ROWS], still[ROWS], nearly[ROWS], none[ROWS], night[ROWS];
    unsigned long long state = 5;
    for (size_t i = 0; i < ROWS; i++) {
        t[i] = (double)i;
        still[i] = 18.3125;
        /* 2 mK of noise in the middle of a step, then half an hour of slow warming */
        double warming = i > 1800 ? 0.0005 * (double)(i - 1800) : 0.0;
        nearly[i] = stepped(18.31 + warming + 0.002 * normal(&state), 0.0625);
        none[i] = 0.0;
        night[i] = stepped(0.4 + 0.05 * normal(&state), 0.5);
    }
    nr_quality_input in = {.rows = ROWS, .elapsed_s = t};
    for (int role = 0; role < NR_ROLES; role++)
        in.low[role] = in.high[role] = NAN;
    in.value[NR_ROLE_STORE] = still;
    in.value[NR_ROLE_INLET] = in.value[NR_ROLE_OUTLET] = in.value[NR_ROLE_AIR] = nearly;
    in.value[NR_ROLE_FLOW] = in.value[NR_ROLE_WIND] = none;
    in.value[NR_ROLE_SUN] = night;
    nr_quality *q = NULL;
    ck_assert_int_eq(nr_quality_check_arrays(&in, &q, NULL), NR_OK);
    for (int role = 0; role < NR_ROLES; role++)
        ck_assert_msg(nr_quality_marked(q, (nr_role)role) == 0, "%s: %zu marked",
                      nr_role_name((nr_role)role), nr_quality_marked(q, (nr_role)role));
    NEAR(q->channel[NR_ROLE_STORE].longest_flat_s, 3599.0, 0.0);
    ck_assert_int_eq(q->pump[1000], NR_PUMP_IS_OFF);
    nr_quality_free(q);
}
END_TEST

/* -- spikes */

typedef struct score {
    size_t planted, found, false_alarms;
} score;

/* 60 single samples a record, 1 to 4 K away, at random places. */
static void plant_spikes(const char *name, nr_role role, day kind, unsigned long seed, double least,
                         double most, score *s)
{
    nr_virtual_run *run = clean_record(kind, seed);
    double *v = column(run, name);
    unsigned char planted[6000] = {0};
    unsigned long long state = 77 + seed;
    for (int n = 0; n < 60; n++) {
        size_t row = 10 + (size_t)(chance(&state) * 5380.0);
        if (planted[row - 1] || planted[row] || planted[row + 1])
            continue;
        double by = least + (most - least) * chance(&state);
        v[row] += chance(&state) < 0.5 ? by : -by;
        planted[row] = 1;
    }
    nr_quality *q = check(run);
    for (size_t i = 0; i < q->rows; i++) {
        bool marked = q->channel[role].bad[i] != NR_GOOD;
        s->planted += planted[i];
        s->found += planted[i] && q->channel[role].bad[i] == NR_BAD_SPIKE;
        s->false_alarms += marked && !planted[i];
    }
    nr_quality_free(q);
    nr_virtual_run_free(run);
}

START_TEST(spikes_of_a_kelvin_are_found)
{
    score steady = {0}, stalling = {0};
    for (unsigned long seed = 1; seed <= 6; seed++) {
        plant_spikes("store", NR_ROLE_STORE, CLEAR, seed, 1.0, 4.0, &steady);
        plant_spikes("inlet", NR_ROLE_INLET, CLOUDY, seed, 1.0, 4.0, &steady);
        plant_spikes("outlet", NR_ROLE_OUTLET, CLOUDY, seed, 1.0, 4.0, &steady);
        plant_spikes("air", NR_ROLE_AIR, CLEAR, seed, 1.0, 4.0, &steady);
        plant_spikes("outlet", NR_ROLE_OUTLET, STALLING, seed, 12.0, 30.0, &stalling);
    }
    ck_assert_uint_gt(steady.planted, 1000);
    ck_assert_msg((double)steady.found >= 0.99 * (double)steady.planted, "%zu of %zu found",
                  steady.found, steady.planted);
    ck_assert_msg(steady.false_alarms <= 2, "%zu false alarms", steady.false_alarms);
    /* Among hot slugs only wild ones are called; most of them have to be. */
    ck_assert_msg((double)stalling.found >= 0.95 * (double)stalling.planted, "%zu of %zu found",
                  stalling.found, stalling.planted);
}
END_TEST

START_TEST(spikes_of_sun_and_flow_and_at_the_ends)
{
    nr_virtual_run *run = clean_record(CLEAR, 3);
    double *sun = column(run, "sun"), *flow = column(run, "flow"), *store = column(run, "store");
    sun[1000] = 12.0;
    sun[3000] = 1900.0;
    flow[2000] = 0.0;
    flow[4000] = 9.0;
    store[0] = 85.0;
    store[5400] = 0.0;
    store[2500] += 30.0, store[2501] += 29.0, store[2502] += 31.0; /* three in a row */
    nr_quality *q = check(run);
    ck_assert_int_eq(q->channel[NR_ROLE_SUN].bad[1000], NR_BAD_SPIKE);
    ck_assert_int_eq(q->channel[NR_ROLE_SUN].bad[3000], NR_BAD_SPIKE);
    ck_assert_int_eq(q->channel[NR_ROLE_FLOW].bad[2000], NR_BAD_SPIKE);
    ck_assert_int_eq(q->channel[NR_ROLE_FLOW].bad[4000], NR_BAD_SPIKE);
    ck_assert_int_eq(q->channel[NR_ROLE_STORE].bad[0], NR_BAD_SPIKE);
    ck_assert_int_eq(q->channel[NR_ROLE_STORE].bad[5400], NR_BAD_SPIKE);
    ck_assert_uint_eq(q->channel[NR_ROLE_STORE].count[NR_BAD_SPIKE], 5);
    ck_assert_uint_eq(nr_quality_marked(q, NR_ROLE_SUN), 2);
    ck_assert_uint_eq(nr_quality_marked(q, NR_ROLE_FLOW), 2);
    ck_assert(isnan(nr_quality_value(q, NR_ROLE_SUN, 1000)));
    NEAR(nr_quality_value(q, NR_ROLE_SUN, 1001), sun[1001], 0.0);
    ck_assert_int_eq(q->pump[2000], NR_PUMP_IS_ON);
    ck_assert_uint_eq(q->pump_stops, 0);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

/* Seen every half minute, a hot slug after a restart is one sample; far from one it is a fault. */
START_TEST(slugs_between_samples)
{
    nr_virtual_params p = day_params(CLEAR, 1);
    p.interval_s = 30.0;
    p.pump_stop_s = 1200.0;
    p.pump_restart_s = 1800.0;
    nr_virtual_run *run = simulate(&p);
    double *outlet = column(run, "outlet");
    for (size_t i = 30; i < 62; i++)
        outlet[i] = 25.0; /* the simulated slug out of the way */
    outlet[62] += 35.0;
    outlet[120] += 35.0;
    nr_quality *q = check(run);
    ck_assert_int_eq(q->channel[NR_ROLE_OUTLET].bad[62], NR_GOOD);
    ck_assert_int_eq(q->channel[NR_ROLE_OUTLET].bad[120], NR_BAD_SPIKE);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

/* -- stuck and saturated */

static void expect_stuck(day kind, unsigned long seed, const char *name, nr_role role, size_t from,
                         size_t length, bool to_the_end)
{
    nr_virtual_run *run = clean_record(kind, seed);
    double *v = column(run, name);
    size_t rows = run->run.readings->rows, to = to_the_end ? rows : from + length;
    for (size_t i = from + 1; i < to; i++)
        v[i] = v[from];
    nr_quality *q = check(run);
    size_t inside = 0, outside = 0;
    for (size_t i = 0; i < rows; i++) {
        bool marked = q->channel[role].bad[i] == NR_BAD_STUCK;
        inside += marked && i > from && i < to;
        outside += marked && (i < from - 40 || i > to + 40);
    }
    ck_assert_msg((double)inside > 0.9 * (double)(to - from), "%s %s seed %lu: %zu of %zu rows",
                  day_name[kind], name, seed, inside, to - from);
    ck_assert_msg(outside == 0, "%s seed %lu: %zu rows elsewhere", name, seed, outside);
    for (int other = 0; other < NR_ROLES; other++)
        if (other != (int)role)
            ck_assert_uint_eq(nr_quality_marked(q, (nr_role)other), 0);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}

START_TEST(stuck_sensors_are_found)
{
    for (unsigned long seed = 1; seed <= 5; seed++) {
        for (int kind = CLEAR; kind <= CLOUDY; kind++) {
            expect_stuck((day)kind, seed, "sun", NR_ROLE_SUN, 2000, 60, false);
            expect_stuck((day)kind, seed, "flow", NR_ROLE_FLOW, 2000, 60, false);
            expect_stuck((day)kind, seed, "store", NR_ROLE_STORE, 2000, 600, false);
            expect_stuck((day)kind, seed, "inlet", NR_ROLE_INLET, 2500, 600, false);
            expect_stuck((day)kind, seed, "store", NR_ROLE_STORE, 3000, 0, true);
            expect_stuck((day)kind, seed, "outlet", NR_ROLE_OUTLET, 3000, 0, true);
        }
        expect_stuck(CLEAR, seed, "store", NR_ROLE_STORE, 1000, 300, false);
        expect_stuck(CLEAR, seed, "air", NR_ROLE_AIR, 1000, 1800, false);
        expect_stuck(STALLING, seed, "sun", NR_ROLE_SUN, 3000, 300, false);
    }
}
END_TEST

/* Water that stands in the pipe may keep its temperature to the last digit; running water not. */
START_TEST(standing_water_is_not_stuck)
{
    nr_virtual_params p = day_params(CLEAR, 1);
    p.pump_stop_s = 1000.0;
    p.pump_restart_s = 2000.0;
    nr_virtual_run *run = simulate(&p);
    double *inlet = column(run, "inlet");
    unsigned long long state = 2;
    for (size_t i = 0; i < 5401; i++)
        inlet[i] = stepped(inlet[i] + 0.03 * normal(&state), 0.001);
    for (size_t i = 1101; i < 1900; i++)
        inlet[i] = inlet[1100];
    for (size_t i = 3001; i < 3200; i++)
        inlet[i] = inlet[3000];
    nr_quality *q = check(run);
    ck_assert_int_eq(q->channel[NR_ROLE_INLET].bad[1500], NR_GOOD);
    ck_assert_int_eq(q->channel[NR_ROLE_INLET].bad[3100], NR_BAD_STUCK);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

/* A probe too quiet for its noise to tell: its leap at the end does, and its twin in the same
 * water. */
START_TEST(stuck_without_noise)
{
    for (unsigned long seed = 1; seed <= 5; seed++) {
        nr_virtual_params p = day_params(CLEAR, seed);
        p.sensor[NR_VC_STORE].noise = p.sensor[NR_VC_INLET].noise = 0.0;
        for (int last = 0; last < 2; last++) {
            p.channels = last ? NR_VC_LOOP_SET : NR_VC_STORE_SET; /* no twin for the leap */
            nr_virtual_run *run = simulate(&p);
            double *store = column(run, "store");
            size_t to = last ? 5401 : 1500;
            for (size_t i = 1001; i < to; i++)
                store[i] = store[1000];
            nr_quality *q = check(run);
            size_t found = q->channel[NR_ROLE_STORE].count[NR_BAD_STUCK];
            ck_assert_msg(found > 0 && found >= to - 1001 - 40 && found <= to - 1001 + 40,
                          "seed %lu, %s: %zu of %zu", seed, last ? "to the end" : "leap", found,
                          to - 1001);
            ck_assert_uint_eq(nr_quality_marked(q, NR_ROLE_AIR), 0);
            nr_quality_free(q);
            nr_virtual_run_free(run);
        }
    }
}
END_TEST

/* One channel by itself. */
static nr_quality *check_one(nr_role role, const double *value, const double *t, size_t rows)
{
    nr_quality_input in = {.rows = rows, .elapsed_s = t};
    nr_quality *q = NULL;
    for (int r = 0; r < NR_ROLES; r++)
        in.low[r] = in.high[r] = NAN;
    in.value[role] = value;
    ck_assert_int_eq(nr_quality_check_arrays(&in, &q, NULL), NR_OK);
    return q;
}

START_TEST(saturated_sensors_are_found)
{
    for (int kind = CLEAR; kind <= CLOUDY; kind++)
        for (unsigned long seed = 1; seed <= 5; seed++) {
            nr_virtual_run *run = clean_record((day)kind, seed);
            double *sun = column(run, "sun"), top = 0.0;
            for (size_t i = 0; i < 5401; i++)
                top = fmax(top, sun[i]);
            double rail = stepped(top - (kind == CLEAR ? 15.0 : 0.07 * top), 0.1);
            size_t clipped = 0;
            for (size_t i = 0; i < 5401; i++)
                if (sun[i] >= rail) {
                    sun[i] = rail;
                    clipped++;
                }
            nr_quality *q = check(run);
            const nr_quality_channel *c = &q->channel[NR_ROLE_SUN];
            ck_assert_msg(c->count[NR_BAD_SATURATED] == clipped && clipped > 300,
                          "%s seed %lu: %zu of %zu", day_name[kind], seed,
                          c->count[NR_BAD_SATURATED], clipped);
            ck_assert_uint_eq(nr_quality_marked(q, NR_ROLE_SUN), clipped);
            nr_quality_free(q);
            nr_virtual_run_free(run);
        }
}
END_TEST

/* Quickly up to the rail, a long stay, quickly down: no pile beside it, but no leap either. */
START_TEST(one_long_stay_at_the_rail)
{
    enum { ROWS = 3000 };
    static double t[ROWS], sun[ROWS];
    unsigned long long state = 4;
    for (size_t i = 0; i < ROWS; i++) {
        double away = fabs((double)i - 1500.0) - 400.0;
        double v = 900.0 - fmin(500.0, 5.0 * away) + 2.0 * normal(&state);
        t[i] = (double)i;
        sun[i] = stepped(fmin(v, 900.0), 0.1);
    }
    nr_quality_input in = {.rows = ROWS, .elapsed_s = t};
    for (int role = 0; role < NR_ROLES; role++)
        in.low[role] = in.high[role] = NAN;
    in.value[NR_ROLE_SUN] = sun;
    nr_quality *q = NULL;
    ck_assert_int_eq(nr_quality_check_arrays(&in, &q, NULL), NR_OK);
    ck_assert_uint_eq(q->channel[NR_ROLE_SUN].count[NR_BAD_STUCK], 0);
    ck_assert_uint_ge(q->channel[NR_ROLE_SUN].count[NR_BAD_SATURATED], 790);
    nr_quality_free(q);
}
END_TEST

/* A pile at the end of the scale is more than four times what lies one step below it, the longest
 * visit not counted: 41 and 42 visits of one row over 10 rows just below. */
START_TEST(both_sides_of_a_pile)
{
    enum { ROWS = 3000 };
    static double t[ROWS], sun[ROWS];
    for (size_t visits = 41; visits <= 42; visits++) {
        unsigned long long state = 4;
        for (size_t i = 0; i < ROWS; i++) {
            t[i] = (double)i;
            sun[i] = stepped(860.0 + 35.0 * chance(&state), 1.0);
            if (i % 60 == 30 && i / 60 < visits)
                sun[i] = 900.0;
            if (i % 60 == 50 && i / 60 < 10)
                sun[i] = 899.0;
        }
        nr_quality *q = check_one(NR_ROLE_SUN, sun, t, ROWS);
        ck_assert_uint_eq(q->channel[NR_ROLE_SUN].count[NR_BAD_SATURATED],
                          visits == 42 ? visits : 0);
        nr_quality_free(q);
    }
}
END_TEST

/* A quiet thermometer of 0.1 K that warms by 5 mK/s and holds for 170 s: a leap of three steps at
 * the end of that proves nothing, one of five does (four is the limit). */
START_TEST(both_sides_of_a_leap)
{
    enum { ROWS = 3000, HELD = 1490, FREE = 1661 };
    static double t[ROWS], air[ROWS];
    for (int steps = 3; steps <= 5; steps += 2) {
        for (int i = 0; i < ROWS; i++) {
            double since = i < HELD ? i - HELD - 10 : i < FREE ? 0 : i - FREE;
            t[i] = i;
            air[i] = stepped(22.5 + 0.005 * since + (i < FREE ? 0 : 0.1 * steps), 0.1);
        }
        nr_quality *q = check_one(NR_ROLE_AIR, air, t, ROWS);
        ck_assert_msg((q->channel[NR_ROLE_AIR].count[NR_BAD_STUCK] > 100) == (steps == 5),
                      "%d steps: %zu", steps, q->channel[NR_ROLE_AIR].count[NR_BAD_STUCK]);
        nr_quality_free(q);
    }
}
END_TEST

/* The pump stood for less than half of a stretch of equal readings, or for more. */
START_TEST(both_sides_of_standing_water)
{
    for (int more = 0; more < 2; more++) {
        nr_virtual_params p = day_params(CLEAR, 1);
        p.pump_stop_s = 1000.0;
        p.pump_restart_s = 2000.0;
        nr_virtual_run *run = simulate(&p);
        double *inlet = column(run, "inlet");
        unsigned long long state = 2;
        for (size_t i = 0; i < 5401; i++)
            inlet[i] = stepped(inlet[i] + 0.03 * normal(&state), 0.001);
        size_t from = more ? 1770 : 1830;
        for (size_t i = from + 1; i < from + 400; i++)
            inlet[i] = inlet[from];
        nr_quality *q = check(run);
        ck_assert_int_eq(q->channel[NR_ROLE_INLET].bad[from + 200], more ? NR_GOOD : NR_BAD_STUCK);
        nr_quality_free(q);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* -- range, duplicates */

START_TEST(impossible_readings_are_marked)
{
    nr_virtual_run *run = clean_record(CLEAR, 1);
    double *air = column(run, "air"), *sun = column(run, "sun"), *store = column(run, "store");
    for (size_t i = 100; i < 140; i++)
        air[i] = -127.0;
    sun[500] = 1e9;
    for (size_t c = 0; c < run->run.rig.channels; c++)
        if (strcmp(run->run.rig.channel[c].name, "store") == 0)
            run->run.rig.channel[c].high = 30.0; /* as a rig file may say */
    size_t above = 0;
    for (size_t i = 0; i < 5401; i++)
        above += store[i] > 30.0;
    nr_quality *q = check(run);
    ck_assert_uint_eq(q->channel[NR_ROLE_AIR].count[NR_BAD_RANGE], 40);
    ck_assert_uint_eq(q->channel[NR_ROLE_AIR].spans, 1);
    ck_assert_uint_eq(q->channel[NR_ROLE_AIR].span[0].from, 100);
    ck_assert_uint_eq(q->channel[NR_ROLE_AIR].span[0].to, 139);
    ck_assert(!q->channel[NR_ROLE_AIR].range_stated);
    ck_assert_int_eq(q->channel[NR_ROLE_SUN].bad[500], NR_BAD_RANGE);
    ck_assert_uint_gt(above, 100);
    ck_assert_uint_eq(q->channel[NR_ROLE_STORE].count[NR_BAD_RANGE], above);
    ck_assert(q->channel[NR_ROLE_STORE].range_stated);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

static void repeat_row(nr_virtual_run *run, size_t row)
{
    nr_readings *r = run->run.readings;
    for (size_t c = 0; c < r->columns; c++)
        r->column[c].value[row] = r->column[c].value[row - 1];
}

START_TEST(repeated_rows_are_marked)
{
    nr_virtual_run *run = clean_record(STALLING, 4);
    for (size_t i = 3001; i < 3091; i++)
        repeat_row(run, i);
    nr_quality *q = check(run);
    ck_assert_uint_eq(q->duplicates, 90);
    NEAR(q->longest_freeze_s, 90.0, 0.001);
    NEAR(q->freeze_from_s, 3000.0, 0.001);
    ck_assert_int_eq(q->channel[NR_ROLE_SUN].bad[3050], NR_BAD_DUPLICATE);
    ck_assert_int_eq(q->channel[NR_ROLE_SUN].bad[3000], NR_GOOD);
    nr_quality_free(q);
    nr_virtual_run_free(run);

    run = clean_record(CLEAR, 4); /* an adapter that says everything twice */
    for (size_t i = 1; i < 5401; i += 2)
        repeat_row(run, i);
    q = check(run);
    ck_assert_uint_eq(q->duplicates, 2700);
    for (int role = 0; role < NR_ROLES; role++) /* told, but of no harm */
        ck_assert_uint_eq(nr_quality_marked(q, (nr_role)role), 0);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

/* One equal row proves something where chance would make one in less than a thousand records. A
 * reading's chance to repeat by itself is (repeats + 1)/(pairs + 1) (the rule of succession): three
 * channels that never did make 60/60^3 = 0.0003 equal rows of 60, three that did once make 0.002.
 */
START_TEST(one_repeated_row_in_a_short_record)
{
    enum { ROWS = 60 };
    static const char *const kept[] = {"store", "air", "sun"};
    for (size_t repeats = 0; repeats < 2; repeats++) {
        nr_virtual_run *run = clean_record(CLEAR, 4);
        nr_readings *r = run->run.readings;
        unsigned long long seed = 8;
        r->rows = ROWS;
        for (size_t c = 0; c < r->columns; c++)
            for (size_t i = 0; i < ROWS; i++)
                r->column[c].value[i] = NAN;
        for (size_t c = 0; c < 3; c++) {
            double *v = column(run, kept[c]);
            for (size_t i = 0; i < ROWS; i++) /* at times it hardly moves: finely resolved */
                v[i] = i % 10 == 2 + c ? v[i - 1] + 1e-4 : 20 + normal(&seed);
            if (repeats)
                v[45 + 2 * c] = v[44 + 2 * c];
        }
        repeat_row(run, 30);
        nr_quality *q = check(run);
        ck_assert_msg(q->duplicates == 1 - repeats, "%zu: %zu", repeats, q->duplicates);
        nr_quality_free(q);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* -- bad input */

START_TEST(hopeless_records_do_no_harm)
{
    nr_quality_input in = {0};
    nr_quality *q = NULL;
    nr_err err = {0};
    ck_assert_int_eq(nr_quality_check_arrays(&in, &q, &err), NR_CANNOT);
    ck_assert_ptr_null(q);
    ck_assert_str_ne(err.text, "");

    enum { ROWS = 700 };
    static double t[ROWS], utc[ROWS], v[NR_ROLES][ROWS];
    for (unsigned long long seed = 1; seed <= 60; seed++) {
        unsigned long long state = seed;
        in.rows = seed < 8 ? (size_t)seed : ROWS;
        in.elapsed_s = t;
        in.utc_s = utc;
        double now = 0.0;
        for (size_t i = 0; i < in.rows; i++) {
            now += chance(&state) < 0.02 ? 1e4 * chance(&state) : 1e-3 + chance(&state);
            t[i] = now;
            utc[i] = seed % 5 ? 1e9 + now : 1e9 * normal(&state);
            for (int role = 0; role < NR_ROLES; role++) {
                double x = normal(&state), pick = chance(&state);
                v[role][i] = pick < 0.1 ? NAN : pick < 0.15 ? 1e300 * x : pick < 0.3 ? 0.0 : 40 * x;
                if (seed % 7 == 0)
                    v[role][i] = NAN;
                if (seed % 11 == 0)
                    v[role][i] = 3.0;
            }
        }
        for (int role = 0; role < NR_ROLES; role++) {
            in.value[role] = seed % 3 == 0 && role % 2 ? NULL : v[role];
            in.low[role] = in.high[role] = NAN;
        }
        ck_assert_int_eq(nr_quality_check_arrays(&in, &q, &err), NR_OK);
        for (int role = 0; role < NR_ROLES; role++)
            ck_assert_uint_eq(q->channel[role].good + nr_quality_marked(q, (nr_role)role),
                              q->channel[role].readings);
        nr_quality_free(q);
    }
}
END_TEST

/* A thermometer in whole degrees Fahrenheit, read every five minutes: it never moved by its
 * smallest step, and all the same shows it. Fine readings at such a pace do not make a step of
 * their rise. */
START_TEST(a_step_that_seldom_shows)
{
    static const int rise_degF[24] = {0,  2,  4,  7,  9,  11, 14, 16, 18, 20, 23, 25,
                                      27, 29, 32, 34, 36, 38, 40, 43, 45, 47, 49, 51};
    double t[24], coarse[24], fine[24];
    unsigned long long state = 5;
    for (int i = 0; i < 24; i++) {
        t[i] = 300 * i;
        coarse[i] = round(1e4 * (18 + rise_degF[i] * 5.0 / 9)) / 1e4; /* as a file has it */
        fine[i] = 18 + 1.2 * i + 0.05 * normal(&state);
    }
    nr_quality_input in = {.rows = 24, .elapsed_s = t};
    for (int r = 0; r < NR_ROLES; r++)
        in.low[r] = in.high[r] = NAN;
    in.value[NR_ROLE_STORE] = coarse;
    in.value[NR_ROLE_INLET] = fine;
    nr_quality *q = NULL;
    nr_err err = {0};
    ck_assert(nr_quality_check_arrays(&in, &q, &err) == NR_OK);
    NEAR(q->channel[NR_ROLE_STORE].step, 5.0 / 9, 0.02);
    ck_assert_double_lt(q->channel[NR_ROLE_INLET].step, 0.2);
    nr_quality_free(q);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {clean_records_lose_nothing,
                                  clean_records_of_other_rigs,
                                  held_readings_are_not_stuck,
                                  equal_answers_in_a_row_are_not_stuck,
                                  stillness_is_not_a_fault,
                                  spikes_of_a_kelvin_are_found,
                                  spikes_of_sun_and_flow_and_at_the_ends,
                                  slugs_between_samples,
                                  stuck_sensors_are_found,
                                  standing_water_is_not_stuck,
                                  stuck_without_noise,
                                  saturated_sensors_are_found,
                                  one_long_stay_at_the_rail,
                                  both_sides_of_a_pile,
                                  both_sides_of_a_leap,
                                  both_sides_of_standing_water,
                                  impossible_readings_are_marked,
                                  repeated_rows_are_marked,
                                  one_repeated_row_in_a_short_record,
                                  hopeless_records_do_no_harm,
                                  a_step_that_seldom_shows,
                                  NULL};
    return run_tests("quality", tests);
}
