/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inspect: clean records give no doubt; notes where they apply; balances, delays and summaries
 * against what was simulated (sample-runs/rig). */
#include "analyze/inspect/inspection.h"
#include "tests/unit/inspect/looks.h"

#define SEEDS 20

/* -- clean records */

static void expect_clean(const nr_virtual_params *p, const char *what, bool loop)
{
    nr_virtual_run *run = simulate(p);
    nr_inspect *x = look(run);
    for (size_t i = 0; i < x->findings; i++)
        ck_assert_msg(x->finding[i].severity == NR_SEVERITY_NOTE, "%s, seed %lu: %s: %s", what,
                      p->day_seed, nr_finding_name(x->finding[i].code), x->finding[i].channel);
    ck_assert_msg(x->usable_for_store && x->usable_for_loop == loop, "%s, seed %lu", what,
                  p->day_seed);
    ck_assert_int_eq(x->verdict, NR_RECORD_GOOD);
    nr_inspect_free(x);
    nr_virtual_run_free(run);
}

START_TEST(clean_records_give_no_doubt)
{
    for (int kind = 0; kind < DAYS; kind++)
        for (unsigned long seed = 1; seed <= SEEDS; seed++) {
            nr_virtual_params p = day_params((day)kind, seed);
            expect_clean(&p, day_name[kind], true);
            p.channels = seed % 2 ? NR_VC_STORE_SET : (1u << NR_VC_COUNT) - 1;
            expect_clean(&p, day_name[kind], seed % 2 == 0);
        }
}
END_TEST

/* A hot start, a lidless container, an afternoon in the southern hemisphere, slow sampling. */
START_TEST(other_honest_records_give_no_doubt)
{
    for (unsigned long seed = 1; seed <= 6; seed++) {
        nr_virtual_params p = day_params(CLEAR, seed);
        p.store_above_air_K = 22.0;
        expect_clean(&p, "hot start", true);
        p = day_params(CLOUDY, seed);
        p.interval_s = 10.0;
        expect_clean(&p, "every 10 s", true);
        p = day_params(CLEAR, seed);
        p.latitude_deg = -33.9;
        p.longitude_deg = 151.2;
        p.azimuth_deg = 0.0;
        p.start_utc_s = 1768432200.0; /* 2026-01-14T23:10Z, mid-morning in Sydney */
        expect_clean(&p, "southern summer", true);
    }
}
END_TEST

/* Ratio of loop to store heat and its uncertainty, as told. */
static void balance(const nr_virtual_params *p, double *ratio, double *u)
{
    nr_virtual_run *run = simulate(p);
    nr_inspect *x = look(run);
    const nr_finding *f = finding(x, "heat-balance");
    ck_assert_ptr_nonnull(f);
    *ratio = f->number[0];
    *u = f->number[1];
    nr_inspect_free(x);
    nr_virtual_run_free(run);
}

/* A hot container loses much: with its loss stated the balance closes, without it the uncertainty
 * says so. */
START_TEST(heat_balance_knows_of_the_loss)
{
    double squares = 0.0, ratio, u;
    for (unsigned long seed = 1; seed <= 16; seed++) {
        nr_virtual_params p = day_params(CLEAR, 2 * seed - 1);
        p.store_above_air_K = 20.0;
        p.stated.store_loss_W_K = 6.0;
        p.state_store_loss = true;
        p.u_store_loss = 0.05;
        balance(&p, &ratio, &u);
        squares += pow((ratio - 1.0) / u, 2.0);
        ck_assert_msg(u > 0.02 && u < 0.09, "seed %lu: u %.2f", seed, u);
        p.stated.store_loss_W_K = 2.5;
        p.state_store_loss = false;
        balance(&p, &ratio, &u);
        ck_assert_msg(u > 0.09, "seed %lu: u %.2f", seed, u);
    }
    /* chi-square of 16: 5.1 to 34.3 in 99 of 100 draws; u is told to two digits only */
    ck_assert_msg(squares > 5.1 && squares < 34.3, "chi-square %.1f", squares);
}
END_TEST

/* -- notes, summaries */

START_TEST(notes_where_they_apply)
{
    nr_virtual_params p = day_params(STALLING, 3);
    p.store_above_air_K = 30.0;
    nr_virtual_run *run = simulate(&p);
    run->run.rig.store.lid = NR_LID_NO;
    run->run.rig.latitude_deg.given = false;
    nr_inspect *x = look(run);
    static const char *const expected[] = {"no-lid", "scald", "pump-stops", "no-site"};
    for (size_t i = 0; i < 4; i++)
        ck_assert_msg(finding(x, expected[i]) != NULL, "no %s", expected[i]);
    ck_assert_ptr_null(finding(x, "lukewarm")); /* it is hot */
    ck_assert(isnan(x->incidence_lo_deg));
    nr_inspect_free(x);
    nr_virtual_run_free(run);

    run = clean_record(CLEAR, 3);
    x = look(run);
    ck_assert_ptr_null(finding(x, "no-lid"));
    ck_assert_ptr_null(finding(x, "scald"));
    ck_assert_ptr_null(finding(x, "pump-stops"));
    ck_assert_ptr_nonnull(finding(x, "lukewarm"));
    ck_assert_ptr_nonnull(finding(x, "heat-balance"));
    nr_inspect_free(x);
    nr_virtual_run_free(run);
}
END_TEST

/* Clouds show the way from the sun to the outlet probe; a clear day does not. */
START_TEST(lags_where_they_show)
{
    size_t cloudy = 0, clear = 0;
    for (unsigned long seed = 1; seed <= 6; seed++)
        for (int kind = CLEAR; kind <= CLOUDY; kind++) {
            nr_virtual_run *run = clean_record((day)kind, seed);
            nr_inspect *x = look(run);
            const nr_finding *f = finding(x, "lag");
            if (f && kind == CLOUDY && strcmp(f->channel, "outlet") == 0) {
                double s = f->number[0];
                /* a coil of 0.29 kg at 1 L/min is passed in 17 s, with some thermal mass */
                ck_assert_msg(s >= 15 && s <= 90, "%g s", s);
                cloudy++;
            }
            clear += f && kind == CLEAR;
            nr_inspect_free(x);
            nr_virtual_run_free(run);
        }
    ck_assert_uint_ge(cloudy, 4);
    ck_assert_uint_eq(clear, 0);
}
END_TEST

/* A long swell has no edge to time by: nothing is told. */
START_TEST(no_lag_without_features)
{
    nr_virtual_run *run = clean_record(CLEAR, 2);
    double *sun = column(run, "sun"), *outlet = column(run, "outlet");
    for (size_t i = 0; i < 5401; i++) {
        double phase = 2.0 * M_PI / 3000.0 * (double)i;
        sun[i] += 150.0 * sin(phase);
        outlet[i] += 5.0 * sin(phase - 0.2);
    }
    nr_inspect *x = look(run);
    ck_assert_ptr_null(finding(x, "lag"));
    nr_inspect_free(x);
    nr_virtual_run_free(run);
}
END_TEST

/* The delay of a channel as told, s; NAN when it is not. */
static double told_lag(const nr_inspect *x, const char *channel)
{
    for (size_t i = 0; i < x->findings; i++)
        if (strcmp(nr_finding_name(x->finding[i].code), "lag") == 0 &&
            strcmp(x->finding[i].channel, channel) == 0)
            return x->finding[i].number[0];
    return NAN;
}

/* A slow probe in the container: the delay is told. */
START_TEST(lag_of_a_slow_probe)
{
    nr_virtual_params p = day_params(STALLING, 3);
    p.stated.water_kg = 6.0; /* a small container follows the clouds */
    nr_virtual_run *run = simulate(&p);
    double *store = column(run, "store");
    for (size_t i = 5400; i >= 100; i--)
        store[i] = store[i - 100];
    nr_inspect *x = look(run);
    NEAR(told_lag(x, "store"), 105.0, 25.0);
    nr_inspect_free(x);
    nr_virtual_run_free(run);
}
END_TEST

START_TEST(summaries)
{
    nr_virtual_run *run = clean_record(CLEAR, 2);
    few_spikes(run);
    stuck_store(run);
    cut_rows(run, 4000, 4100);
    no_value(column(run, "air"), 10, 20);
    nr_inspect *x = look(run);
    ck_assert_uint_eq(x->rows, 5301);
    NEAR(x->duration_s, 5400.0, 1e-6);
    NEAR(x->interval_s, 1.0, 1e-9);
    ck_assert_uint_eq(x->gaps, 1);
    NEAR(x->gap[0].start_s, 3999.0, 1e-6);
    NEAR(x->gap[0].length_s, 101.0, 1e-6);
    ck_assert_uint_eq(x->channels, 6);
    for (size_t i = 0; i < x->channels; i++) {
        const nr_channel_summary *c = &x->channel[i];
        if (strcmp(c->name, "inlet") == 0)
            ck_assert_uint_eq(c->spikes, 2); /* the third was cut out with the rows */
        if (strcmp(c->name, "store") == 0) {
            NEAR(c->stuck_s, 799.0, 20.0);
            ck_assert_str_eq(c->unit, "degC");
        }
        if (strcmp(c->name, "air") == 0)
            ck_assert_uint_eq(c->valid, 5291);
        ck_assert_msg(c->min <= c->mean && c->mean <= c->max, "%s", c->name);
    }
    /* the plane is 35 degrees and the sun of 16 May near noon stands some 62 high */
    ck_assert_double_lt(x->incidence_lo_deg, 12.0);
    ck_assert_double_lt(x->incidence_hi_deg, 30.0);
    ck_assert_uint_gt(x->steady_windows, 5);
    nr_inspect_free(x);
    nr_virtual_run_free(run);
}
END_TEST

/* Whatever is in the file: an answer, within the limits of the struct, no crash. */
START_TEST(hopeless_records)
{
    for (unsigned long long seed = 1; seed <= 12; seed++) {
        nr_virtual_run *run = clean_record(CLEAR, 1);
        unsigned long long state = seed;
        nr_readings *r = run->run.readings;
        size_t rows = seed <= 4 ? (size_t)seed : 2000;
        cut_rows(run, rows, r->rows);
        for (size_t c = 0; c < r->columns; c++)
            for (size_t i = 0; i < rows; i++) {
                double pick = chance(&state);
                if (pick < 0.5)
                    r->column[c].value[i] = pick < 0.2 ? NAN : 1e3 * normal(&state);
                if (seed == 12)
                    r->column[c].value[i] = NAN;
            }
        nr_inspect *x = look(run);
        ck_assert_uint_le(x->findings, NR_FINDINGS);
        ck_assert_int_ne(x->verdict, NR_RECORD_GOOD);
        nr_inspect_free(x);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* The list is full: a worse finding takes the place of a note, the next note is dropped. */
START_TEST(more_findings_than_places)
{
    static nr_inspect out;
    nr_virtual_run *run = clean_record(CLEAR, 2);
    nr_quality *q = check(run);
    nr_inspection inspection = {.run = &run->run, .q = q, .out = &out};
    static const double seen[NR_FINDING_NUMBERS];
    for (int i = 0; i < NR_FINDINGS + 1; i++)
        nr_find(&inspection, NR_FIND_GAP, NR_SEVERITY_NOTE, NR_ROLES, i, i, seen);
    ck_assert_uint_eq(out.findings, NR_FINDINGS);
    NEAR(out.finding[NR_FINDINGS - 1].from_s, NR_FINDINGS - 1, 0);
    nr_find(&inspection, NR_FIND_GAP, NR_SEVERITY_FAULT, NR_ROLES, 1000, 1000, seen);
    ck_assert_uint_eq(out.findings, NR_FINDINGS);
    NEAR(out.finding[NR_FINDINGS - 1].from_s, 1000, 0);
    nr_quality_free(q);
    nr_virtual_run_free(run);
}
END_TEST

/* Ten years of pause in the middle cost nothing (on grids over the whole span this took a gigabyte
 * and a minute), and what is found is what a pause of a day finds. */
/* However its numbers lie in memory, a record is judged the same. */
START_TEST(packed_is_judged_alike)
{
    nr_inspect *found[2];
    nr_err err;
    for (int k = 0; k < 2; k++) {
        nr_virtual_run *run = clean_record(CLEAR, 1);
        nr_readings *r = run->run.readings;
        for (size_t i = 100; i < 160; i++) /* a hole, a stuck probe and a spike */
            r->column[0].value[i] = NAN;
        for (size_t i = 2000; i < 2600; i++)
            r->column[1].value[i] = r->column[1].value[2000];
        r->column[2].value[3000] += 40;
        if (k == 1)
            ck_assert_int_eq(nr_readings_pack(r, &err), NR_OK);
        ck_assert((r->elapsed_s == NULL) == (k == 1));
        found[k] = look(run);
        nr_virtual_run_free(run);
    }
    ck_assert_uint_gt(found[0]->findings, 1);
    ck_assert_mem_eq(found[0]->finding, found[1]->finding,
                     found[0]->findings * sizeof *found[0]->finding);
    ck_assert_mem_eq(found[0]->channel, found[1]->channel,
                     found[0]->channels * sizeof *found[0]->channel);
    nr_inspect_free(found[0]);
    nr_inspect_free(found[1]);
}
END_TEST

START_TEST(a_pause_of_years)
{
    static const double pauses_s[] = {86400, 3652 * 86400.0};
    nr_inspect *found[2];
    for (int k = 0; k < 2; k++) {
        nr_virtual_run *run = clean_record(CLEAR, 1);
        nr_readings *r = run->run.readings;
        for (size_t i = r->rows / 2; i < r->rows; i++) {
            r->elapsed_s[i] += pauses_s[k];
            r->utc_s[i] += pauses_s[k];
        }
        found[k] = look(run);
        nr_quality *q = check(run);
        double busy = nr_number(&q->busy_s, q->rows - 1);
        ck_assert_msg(busy >= 5400 && busy <= 5400 + 3600, "busy for %g s", busy);
        nr_quality_free(q);
        nr_virtual_run_free(run);
    }
    ck_assert_uint_eq(found[0]->findings, found[1]->findings);
    for (size_t i = 0; i < found[0]->findings; i++)
        ck_assert_int_eq(found[0]->finding[i].code, found[1]->finding[i].code);
    nr_inspect_free(found[0]);
    nr_inspect_free(found[1]);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {clean_records_give_no_doubt,
                                  other_honest_records_give_no_doubt,
                                  heat_balance_knows_of_the_loss,
                                  notes_where_they_apply,
                                  lags_where_they_show,
                                  no_lag_without_features,
                                  lag_of_a_slow_probe,
                                  summaries,
                                  hopeless_records,
                                  more_findings_than_places,
                                  a_pause_of_years,
                                  packed_is_judged_alike,
                                  NULL};
    return run_tests("inspect", tests);
}
