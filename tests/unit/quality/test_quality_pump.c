/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows in time, noise of a channel, and when the pump ran, on records whose truth is known:
 * simulated (sample-runs/rig) or made here. */
#include "tests/unit/quality/records.h"

/* -- time */

START_TEST(gaps_and_interval)
{
    nr_virtual_run *run = clean_record(CLEAR, 2);
    cut_rows(run, 4000, 4200);
    cut_rows(run, 1000, 1002); /* two rows lost: a pause of 3 s */
    cut_rows(run, 500, 501);   /* one row lost is no gap */
    nr_quality *q = check(run);
    ck_assert_uint_eq(q->gaps, 2);
    NEAR(q->gap[0].at_s, 999.0, 1e-6);
    NEAR(q->gap[0].length_s, 3.0, 1e-6);
    NEAR(q->gap[1].at_s, 3999.0, 1e-6);
    NEAR(q->gap[1].length_s, 201.0, 1e-6);
    NEAR(q->gaps_s, 204.0, 1e-6);
    NEAR(q->interval_s, 1.0, 1e-9);
    NEAR(q->duration_s, 5400.0, 1e-6);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

/* Both sides of a gap (2.5 intervals) and of a step (1 s): what is written in the header, no
 * source. */
START_TEST(limits_of_gaps_and_steps)
{
    static const struct {
        double pause, step;
        size_t gaps, steps;
    } of[] = {{2.45, 0, 0, 0}, {2.55, 0, 1, 0},  {1, 0.95, 0, 0},
              {1, 1.05, 0, 1}, {1, -0.95, 0, 0}, {1, -1.05, 0, 1}};
    for (size_t k = 0; k < sizeof of / sizeof *of; k++) {
        nr_virtual_run *run = clean_record(CLEAR, 2);
        nr_readings *r = run->run.readings;
        for (size_t i = 1000; i < r->rows; i++) {
            r->elapsed_s[i] += of[k].pause - 1; /* rows are 1 s apart */
            r->utc_s[i] += of[k].pause - 1 + of[k].step;
        }
        nr_quality *q = check(run);
        ck_assert_msg(q->gaps == of[k].gaps && q->clock_steps == of[k].steps,
                      "pause %g, step %g: %zu gaps, %zu steps", of[k].pause, of[k].step, q->gaps,
                      q->clock_steps);
        nr_quality_free(q);
        nr_virtual_run_free(run);
    }
}
END_TEST

START_TEST(clock_steps_and_drift)
{
    nr_virtual_run *run = clean_record(CLEAR, 2);
    nr_readings *r = run->run.readings;
    unsigned long long state = 9;
    for (size_t i = 0; i < r->rows; i++) {
        r->utc_s[i] += 0.05 * chance(&state);      /* arrival jitter */
        r->utc_s[i] += 2e-4 * r->elapsed_s[i];     /* 0.02 % drift */
        r->utc_s[i] += i >= 3000 ? -3600.0 : 0.0;  /* set back an hour */
        r->utc_s[i] += i >= 4000 ? 2.0 : 0.0;      /* and two seconds forward */
        r->utc_s[i] += i % 700 == 350 ? 4.0 : 0.0; /* single late rows are no steps */
    }
    nr_quality *q = check(run);
    ck_assert_uint_eq(q->clock_steps, 2);
    NEAR(q->clock_step[0].at_s, 3000.0, 1e-6);
    NEAR(q->clock_step[0].length_s, -3600.0, 0.1);
    NEAR(q->clock_step[1].at_s, 4000.0, 1e-6);
    NEAR(q->clock_step[1].length_s, 2.0, 0.1);
    NEAR(q->clock_rate, 2e-4, 5e-5);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

/* A clock that runs a tenth fast: no step, not even across a gap. */
START_TEST(drift_is_no_step)
{
    nr_virtual_run *run = clean_record(CLEAR, 2);
    nr_readings *r = run->run.readings;
    for (size_t i = 0; i < r->rows; i++)
        r->utc_s[i] += 0.1 * r->elapsed_s[i];
    cut_rows(run, 2000, 2300);
    nr_quality *q = check(run);
    ck_assert_uint_eq(q->clock_steps, 0);
    NEAR(q->clock_rate, 0.1, 1e-3);
    nr_quality_free(q);
    for (size_t i = 2000; i < r->rows; i++)
        r->utc_s[i] -= 20.0; /* set back in the gap, while the drift made 30 s of it */
    q = check(run);
    ck_assert_uint_eq(q->clock_steps, 1);
    NEAR(q->clock_step[0].length_s, -20.0, 1.0);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

/* -- noise */

START_TEST(noise_and_resolution)
{
    enum { ROWS = 4000 };
    static double t[ROWS], fine[ROWS], coarse[ROWS], slow[ROWS];
    unsigned long long state = 12;
    for (size_t i = 0; i < ROWS; i++) {
        t[i] = 2.0 * (double)i;
        double warming = 20.0 + 0.003 * t[i];
        fine[i] = warming + 0.05 * normal(&state);
        coarse[i] = stepped(warming + 0.05 * normal(&state), 0.0625);
        slow[i] = stepped(warming, 0.0625);
        if (i % 97 == 0)
            fine[i] += 5.0; /* outliers do not count */
    }
    nr_quality_input in = {.rows = ROWS, .elapsed_s = t};
    for (int role = 0; role < NR_ROLES; role++)
        in.low[role] = in.high[role] = NAN;
    in.value[NR_ROLE_STORE] = fine;
    in.value[NR_ROLE_INLET] = coarse;
    in.value[NR_ROLE_AIR] = slow;
    nr_quality *q = NULL;
    ck_assert_int_eq(nr_quality_check_arrays(&in, &q, NULL), NR_OK);
    /* 1300 second differences tell a standard deviation to some 3 %; three of those */
    NEAR_RELATIVE(q->channel[NR_ROLE_STORE].noise, 0.05, 0.1);
    /* resolution adds q^2/12 */
    NEAR_RELATIVE(q->channel[NR_ROLE_INLET].noise, hypot(0.05, 0.0625 / sqrt(12.0)), 0.1);
    NEAR(q->channel[NR_ROLE_INLET].step, 0.0625, 1e-9);
    NEAR(q->channel[NR_ROLE_AIR].step, 0.0625, 1e-9);
    ck_assert_double_lt(q->channel[NR_ROLE_AIR].noise, 0.03);
    nr_quality_free(q);
}
END_TEST

/* -- pump */

START_TEST(pump_from_flow)
{
    for (unsigned long seed = 1; seed <= 5; seed++) {
        nr_virtual_params p = day_params(CLEAR, seed);
        p.pump_stop_s = 2000.0;
        p.pump_restart_s = 3500.0;
        nr_virtual_run *run = simulate(&p);
        nr_quality *q = check(run);
        ck_assert_int_eq(q->pump_source, NR_PUMP_FROM_FLOW);
        ck_assert_uint_eq(q->pump_stops, 1);
        NEAR(q->pump_stop[0].at_s, 2000.0, 5.0);
        NEAR(q->pump_stop[0].length_s, 1500.0, 8.0);
        NEAR(q->pump_on_s, 3900.0, 8.0);
        NEAR(q->pump_typical, 1.0, 0.1);
        nr_quality_free(q);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* A pulse meter that skips for two seconds, over and over, is no pump stop. */
START_TEST(pump_hesitates)
{
    nr_virtual_run *run = clean_record(CLEAR, 2);
    double *flow = column(run, "flow");
    for (size_t i = 100; i < 5300; i += 50)
        flow[i] = flow[i + 1] = 0.0;
    nr_quality *q = check(run);
    ck_assert_uint_eq(q->pump_stops, 0);
    NEAR(q->pump_on_s, 5400.0, 1e-6);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

START_TEST(pump_from_supply_notes_or_nothing)
{
    nr_virtual_params p = day_params(CLEAR, 1);
    p.pump_stop_s = 2000.0;
    p.pump_restart_s = 3500.0;
    p.channels = NR_VC_STORE_SET | NR_VC_BIT(NR_VC_PUMP);
    nr_virtual_run *run = simulate(&p);
    nr_quality *q = check(run);
    ck_assert_int_eq(q->pump_source, NR_PUMP_FROM_SUPPLY);
    ck_assert_uint_eq(q->pump_stops, 1);
    NEAR(q->pump_stop[0].at_s, 2000.0, 5.0);
    nr_quality_free(q);
    nr_virtual_run_free(run);

    p.channels = NR_VC_STORE_SET; /* the simulated logger notes what somebody switches */
    run = simulate(&p);
    q = check(run);
    ck_assert_int_eq(q->pump_source, NR_PUMP_FROM_NOTES);
    ck_assert_int_eq(q->pump[1999], NR_PUMP_IS_ON);
    ck_assert_int_eq(q->pump[2001], NR_PUMP_IS_OFF);
    ck_assert_int_eq(q->pump[3501], NR_PUMP_IS_ON);
    nr_quality_free(q);
    nr_virtual_run_free(run);

    p.pump_stop_s = p.pump_restart_s = NAN;
    run = simulate(&p);
    q = check(run);
    ck_assert_int_eq(q->pump_source, NR_PUMP_FROM_NOTHING);
    ck_assert_int_eq(q->pump[100], NR_PUMP_IS_UNKNOWN);
    ck_assert_uint_eq(q->pump_stops, 0);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

/* A meter that shows nothing but its own noise about zero shows no flow. */
START_TEST(noise_is_no_flow)
{
    nr_virtual_params p = day_params(CLEAR, 1);
    p.pump = NR_PUMP_OFF;
    nr_virtual_run *run = simulate(&p);
    double *flow = column(run, "flow");
    unsigned long long state = 6;
    for (size_t i = 0; i < 5401; i++)
        flow[i] = 0.03 * normal(&state);
    nr_quality *q = check(run);
    ck_assert_int_eq(q->pump_source, NR_PUMP_FROM_FLOW);
    NEAR(q->pump_on_s, 0.0, 0.0);
    ck_assert(!q->flow_dead && isnan(q->pump_typical));
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

/* A flow meter that hangs is not a pump that stands: the store keeps on warming. */
START_TEST(dead_flow_meter)
{
    for (unsigned long seed = 1; seed <= 5; seed++)
        for (int whole = 0; whole < 2; whole++) {
            nr_virtual_run *run = clean_record(seed % 2 ? CLEAR : CLOUDY, seed);
            double *flow = column(run, "flow");
            for (size_t i = whole ? 0 : 3000; i < 5401; i++)
                flow[i] = 0.0;
            nr_quality *q = check(run);
            ck_assert_msg(q->flow_dead, "seed %lu %s", seed, whole ? "whole" : "part");
            ck_assert_int_eq(q->channel[NR_ROLE_FLOW].bad[4000], NR_BAD_STUCK);
            ck_assert_int_eq(q->pump[4000], NR_PUMP_IS_UNKNOWN);
            ck_assert_uint_eq(q->pump_stops, 0);
            nr_quality_free(q);
            nr_virtual_run_free(run);
        }
}
END_TEST

/* What a note says first is what counts, in whatever letters; other words are about something
 * else. Before the first the pump was in the other state. */
START_TEST(pump_notes_in_words)
{
    enum { ROWS = 600 };
    static const struct {
        const char *text;
        nr_pump_state before, after;
    } said[] = {{"on", NR_PUMP_IS_OFF, NR_PUMP_IS_ON},
                {"ON again, valve open", NR_PUMP_IS_OFF, NR_PUMP_IS_ON},
                {"off", NR_PUMP_IS_ON, NR_PUMP_IS_OFF},
                {"Off: a cloud", NR_PUMP_IS_ON, NR_PUMP_IS_OFF},
                {"o", NR_PUMP_IS_UNKNOWN, NR_PUMP_IS_UNKNOWN},
                {"works", NR_PUMP_IS_UNKNOWN, NR_PUMP_IS_UNKNOWN}};
    static double t[ROWS], store[ROWS];
    for (size_t i = 0; i < ROWS; i++) {
        t[i] = (double)i;
        store[i] = 20 + 0.001 * (double)i + 0.01 * (double)(i % 3);
    }
    for (size_t k = 0; k < sizeof said / sizeof *said; k++) {
        nr_note note = {.kind = NR_NOTE_PUMP, .elapsed_s = 300};
        snprintf(note.text, sizeof note.text, "%s", said[k].text);
        const nr_notes notes = {.note = &note, .count = 1};
        nr_quality_input in = {.rows = ROWS, .elapsed_s = t, .notes = &notes};
        for (int r = 0; r < NR_ROLES; r++)
            in.low[r] = in.high[r] = NAN;
        in.value[NR_ROLE_STORE] = store;
        nr_quality *q = NULL;
        ck_assert_int_eq(nr_quality_check_arrays(&in, &q, NULL), NR_OK);
        ck_assert_msg(q->pump[299] == said[k].before && q->pump[300] == said[k].after,
                      "\"%s\": %d, %d", said[k].text, q->pump[299], q->pump[300]);
        ck_assert_int_eq(q->pump_source, said[k].after == NR_PUMP_IS_UNKNOWN ? NR_PUMP_FROM_NOTHING
                                                                             : NR_PUMP_FROM_NOTES);
        nr_quality_free(q);
    }
}
END_TEST

/* A meter that showed nothing all along, in the sun: where the store warmed by more than 3 K, the
 * pump ran and the meter is dead; by less, it may have been the sun on the container. */
START_TEST(both_sides_of_a_dead_meter)
{
    enum { ROWS = 1061 };
    static double t[ROWS], store[ROWS], flow[ROWS], sun[ROWS];
    for (int warm = 0; warm < 2; warm++) {
        for (size_t i = 0; i < ROWS; i++) {
            t[i] = (double)i;
            /* judged from a minute after the beginning: over 1000 s */
            store[i] = 20 + (warm ? 3.1 : 2.9) / 1000 * (double)i;
            flow[i] = 0;
            sun[i] = 800 + (double)(i % 7);
        }
        nr_quality_input in = {.rows = ROWS, .elapsed_s = t};
        for (int r = 0; r < NR_ROLES; r++)
            in.low[r] = in.high[r] = NAN;
        in.value[NR_ROLE_STORE] = store;
        in.value[NR_ROLE_FLOW] = flow;
        in.value[NR_ROLE_SUN] = sun;
        nr_quality *q = NULL;
        ck_assert_int_eq(nr_quality_check_arrays(&in, &q, NULL), NR_OK);
        ck_assert_msg(q->flow_dead == (warm == 1), "%d: dead %d", warm, q->flow_dead);
        nr_quality_free(q);
    }
}
END_TEST

/* Ten readings tell of noise and resolution, nine do not. */
START_TEST(noise_of_ten_readings)
{
    double t[10], store[10];
    for (int i = 0; i < 10; i++) {
        t[i] = i;
        store[i] = 20 + 0.1 * (i * i % 7);
    }
    for (size_t rows = 9; rows <= 10; rows++) {
        nr_quality_input in = {.rows = rows, .elapsed_s = t};
        for (int r = 0; r < NR_ROLES; r++)
            in.low[r] = in.high[r] = NAN;
        in.value[NR_ROLE_STORE] = store;
        nr_quality *q = NULL;
        ck_assert_int_eq(nr_quality_check_arrays(&in, &q, NULL), NR_OK);
        ck_assert_msg(isnan(q->channel[NR_ROLE_STORE].noise) == (rows == 9), "%zu readings", rows);
        nr_quality_free(q);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {gaps_and_interval,     limits_of_gaps_and_steps,
                                  clock_steps_and_drift, drift_is_no_step,
                                  noise_and_resolution,  pump_from_flow,
                                  pump_hesitates,        pump_from_supply_notes_or_nothing,
                                  pump_notes_in_words,   both_sides_of_a_dead_meter,
                                  noise_of_ten_readings, noise_is_no_flow,
                                  dead_flow_meter,       NULL};
    return run_tests("quality: time, noise, pump", tests);
}
