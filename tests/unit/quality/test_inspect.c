/* Inspect: a clean record gives no doubt, and each fault planted in one gives its own finding and
 * no other. Records are simulated (sample-runs/rig), so what is wrong with them is known. */
#include "analyze/answer/inspect.h"
#include "tests/unit/quality/records.h"

#define SEEDS 20
#define FAULT_SEEDS 3

static nr_inspect *look(const nr_virtual_run *run)
{
    nr_inspect *x = NULL;
    nr_err err = {0};
    ck_assert_msg(nr_inspect_run(&run->run, &x, &err) == NR_OK, "%s", err.text);
    return x;
}

static const nr_finding *finding(const nr_inspect *x, const char *code)
{
    for (size_t i = 0; i < x->findings; i++)
        if (strcmp(x->finding[i].code, code) == 0)
            return &x->finding[i];
    return NULL;
}

/* -- clean records */

static void expect_clean(const nr_virtual_params *p, const char *what, bool loop)
{
    nr_virtual_run *run = simulate(p);
    nr_inspect *x = look(run);
    for (size_t i = 0; i < x->findings; i++)
        ck_assert_msg(x->finding[i].severity == NR_SEVERITY_NOTE, "%s, seed %lu: %s: %s", what,
                      p->day_seed, x->finding[i].code, x->finding[i].text);
    ck_assert_msg(x->usable_for_store && x->usable_for_loop == loop, "%s, seed %lu", what,
                  p->day_seed);
    ck_assert_msg(strstr(x->sentence, "is good") != NULL, "%s", x->sentence);
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

/* -- one fault at a time */

static void scale(double *v, double factor, double offset)
{
    for (size_t i = 0; i < 5401; i++)
        v[i] = factor * v[i] + offset;
}

static void hold(double *v, size_t from, size_t to)
{
    for (size_t i = from + 1; i < to; i++)
        v[i] = v[from];
}

static void swap(double *a, double *b)
{
    for (size_t i = 0; i < 5401; i++) {
        double x = a[i];
        a[i] = b[i];
        b[i] = x;
    }
}

static void no_value(double *v, size_t from, size_t to)
{
    for (size_t i = from; i < to; i++)
        v[i] = NAN;
}

static void few_spikes(nr_virtual_run *r)
{
    double *v = column(r, "inlet");
    v[900] += 5.0, v[2100] -= 3.0, v[4000] += 40.0;
}

static void many_spikes(nr_virtual_run *r)
{
    double *v = column(r, "air");
    for (size_t i = 50; i < 5300; i += 100)
        v[i] += i % 200 ? 6.0 : -6.0;
}

static void hole(nr_virtual_run *r)
{
    cut_rows(r, 2000, 2400);
}

static void freeze(nr_virtual_run *r)
{
    for (size_t c = 0; c < r->run.readings->columns; c++)
        hold(r->run.readings->column[c].value, 2000, 2100);
}

static void clock_set(nr_virtual_run *r)
{
    for (size_t i = 2500; i < 5401; i++)
        r->run.readings->utc_s[i] += 900.0;
}

static void clock_fast(nr_virtual_run *r)
{
    for (size_t i = 0; i < 5401; i++)
        r->run.readings->utc_s[i] += 0.1 * r->run.readings->elapsed_s[i];
}

static void clock_at_night(nr_virtual_run *r)
{
    for (size_t i = 0; i < 5401; i++)
        r->run.readings->utc_s[i] += 12 * 3600.0;
}

static void clock_hours_off(nr_virtual_run *r)
{
    for (size_t i = 0; i < 5401; i++)
        r->run.readings->utc_s[i] += 5 * 3600.0;
}

static void faces_north(nr_virtual_run *r)
{
    r->run.rig.collector.azimuth_deg.value = 0.0;
    r->run.rig.collector.tilt_deg.value = 80.0;
}

static void stuck_store(nr_virtual_run *r)
{
    hold(column(r, "store"), 1500, 2300);
}

static void stuck_sun(nr_virtual_run *r)
{
    hold(column(r, "sun"), 1500, 1700);
}

static void stuck_outlet_long(nr_virtual_run *r)
{
    hold(column(r, "outlet"), 1500, 5401);
}

static void clipped_sun(nr_virtual_run *r)
{
    double *v = column(r, "sun"), top = 0.0;
    for (size_t i = 0; i < 5401; i++)
        top = fmax(top, v[i]);
    double rail = stepped(top - 10.0, 0.1);
    for (size_t i = 0; i < 5401; i++)
        v[i] = fmin(v[i], rail);
}

static void cut_wire(nr_virtual_run *r)
{
    double *v = column(r, "outlet");
    for (size_t i = 3000; i < 3200; i++)
        v[i] = -127.0;
}

static void empty_flow(nr_virtual_run *r)
{
    no_value(column(r, "flow"), 0, 5401);
}

static void empty_air(nr_virtual_run *r)
{
    no_value(column(r, "air"), 0, 5401);
}

static void holes_in_store(nr_virtual_run *r)
{
    no_value(column(r, "store"), 2000, 2600);
}

static void constant_air(nr_virtual_run *r)
{
    hold(column(r, "air"), 0, 5401);
}

static void noisy_inlet(nr_virtual_run *r)
{
    unsigned long long state = 3;
    double *v = column(r, "inlet");
    for (size_t i = 0; i < 5401; i++)
        v[i] = stepped(v[i] + 0.6 * normal(&state), 0.0625);
}

static void air_in_degF(nr_virtual_run *r)
{
    scale(column(r, "air"), 1.8, 32.0);
}

static void store_in_degF(nr_virtual_run *r)
{
    scale(column(r, "store"), 1.8, 32.0);
}

static void outlet_in_degF(nr_virtual_run *r)
{
    scale(column(r, "outlet"), 1.8, 32.0);
}

static void air_in_kelvin(nr_virtual_run *r)
{
    scale(column(r, "air"), 1.0, 273.15);
}

static void sun_in_kW(nr_virtual_run *r)
{
    scale(column(r, "sun"), 1e-3, 0.0);
}

static void sun_in_mV(nr_virtual_run *r)
{
    scale(column(r, "sun"), 0.0137, 0.0);
}

static void flow_in_L_h(nr_virtual_run *r)
{
    scale(column(r, "flow"), 60.0, 0.0);
}

static void flow_in_gal_min(nr_virtual_run *r)
{
    scale(column(r, "flow"), 1.0 / 3.785411784, 0.0);
}

static void flow_half(nr_virtual_run *r)
{
    scale(column(r, "flow"), 0.7, 0.0);
}

static void outlet_low(nr_virtual_run *r)
{
    scale(column(r, "outlet"), 1.0, -2.5);
}

static void swapped(nr_virtual_run *r)
{
    swap(column(r, "inlet"), column(r, "outlet"));
}

static void inlet_high(nr_virtual_run *r)
{
    scale(column(r, "inlet"), 1.0, 2.0);
}

static void too_much_sun(nr_virtual_run *r)
{
    scale(column(r, "sun"), 1.6, 0.0);
}

static void too_much_sun_somewhere(nr_virtual_run *r)
{
    scale(column(r, "sun"), 1.6, 0.0);
    r->run.rig.latitude_deg.given = false;
}

static void no_sun(nr_virtual_run *r)
{
    static const char *const water[] = {"store", "inlet", "outlet"};
    unsigned long long state = 8;
    scale(column(r, "sun"), 1e-3, 0.0);
    for (size_t k = 0; k < 3; k++) { /* and nothing warms */
        double *v = column(r, water[k]);
        for (size_t i = 0; i < 5401; i++)
            v[i] = stepped(20.0 - 2e-4 * (double)i + 0.02 * normal(&state), 0.0625);
    }
    for (size_t i = 0; i < 5401; i++)
        r->run.readings->utc_s[i] += 12 * 3600.0;
}

static void small_area(nr_virtual_run *r)
{
    r->run.rig.collector.gross_area_m2.value *= 0.5;
}

static void dead_meter(nr_virtual_run *r)
{
    scale(column(r, "flow"), 0.0, 0.0);
}

static void short_run(nr_virtual_run *r)
{
    cut_rows(r, 250, 5401);
}

static void rare_rows(nr_virtual_run *r)
{
    nr_readings *d = r->run.readings;
    size_t n = 0;
    for (size_t i = 0; i < d->rows; i += 90, n++) {
        d->utc_s[n] = d->utc_s[i];
        d->elapsed_s[n] = d->elapsed_s[i];
        for (size_t c = 0; c < d->columns; c++)
            d->column[c].value[n] = d->column[c].value[i];
    }
    d->rows = n;
}

static void little_spread(nr_virtual_run *r)
{
    cut_rows(r, 700, 5401);
}

static void misnamed_sun(nr_virtual_run *r)
{
    for (size_t c = 0; c < r->run.readings->columns; c++)
        if (strcmp(r->run.readings->column[c].channel, "sun") == 0)
            strcpy(r->run.readings->column[c].channel, "sum");
}

static const struct {
    const char *name;
    void (*plant)(nr_virtual_run *run);
    const char *code, *channel;
    nr_severity severity;
    bool store, loop; /* still usable for */
} faults[] = {
    {"few spikes", few_spikes, "spikes", "inlet", NR_SEVERITY_NOTE, true, true},
    {"many spikes", many_spikes, "spikes", "air", NR_SEVERITY_DOUBT, true, true},
    {"hole", hole, "gaps", "", NR_SEVERITY_DOUBT, true, true},
    {"freeze", freeze, "duplicates", "", NR_SEVERITY_DOUBT, true, true},
    {"clock set", clock_set, "clock-step", "", NR_SEVERITY_DOUBT, true, true},
    {"clock fast", clock_fast, "clock-rate", "", NR_SEVERITY_DOUBT, true, true},
    {"clock at night", clock_at_night, "clock-or-site", "sun", NR_SEVERITY_FAULT, true, true},
    {"clock hours off", clock_hours_off, "clock-or-site", "sun", NR_SEVERITY_DOUBT, true, true},
    {"faces north", faces_north, "clock-or-site", "sun", NR_SEVERITY_FAULT, true, true},
    {"stuck store", stuck_store, "stuck", "store", NR_SEVERITY_DOUBT, true, true},
    {"stuck sun", stuck_sun, "stuck", "sun", NR_SEVERITY_DOUBT, true, true},
    {"stuck outlet", stuck_outlet_long, "stuck", "outlet", NR_SEVERITY_FAULT, true, false},
    {"clipped sun", clipped_sun, "saturated", "sun", NR_SEVERITY_FAULT, true, true},
    {"cut wire", cut_wire, "out-of-range", "outlet", NR_SEVERITY_DOUBT, true, true},
    {"empty flow", empty_flow, "empty-channel", "flow", NR_SEVERITY_DOUBT, true, false},
    {"empty air", empty_air, "empty-channel", "air", NR_SEVERITY_FAULT, false, false},
    {"holes in store", holes_in_store, "missing-readings", "store", NR_SEVERITY_DOUBT, true, true},
    {"constant air", constant_air, "never-changes", "air", NR_SEVERITY_DOUBT, true, true},
    {"noisy inlet", noisy_inlet, "noisy", "inlet", NR_SEVERITY_DOUBT, true, true},
    {"air in degF", air_in_degF, "wrong-unit", "air", NR_SEVERITY_FAULT, false, false},
    {"store in degF", store_in_degF, "wrong-unit", "store", NR_SEVERITY_FAULT, false, true},
    {"outlet in degF", outlet_in_degF, "wrong-unit", "outlet", NR_SEVERITY_FAULT, true, false},
    {"air in kelvin", air_in_kelvin, "wrong-unit", "air", NR_SEVERITY_FAULT, false, false},
    {"sun in kW/m2", sun_in_kW, "wrong-unit", "sun", NR_SEVERITY_FAULT, false, false},
    {"sun in mV", sun_in_mV, "wrong-unit", "sun", NR_SEVERITY_FAULT, false, false},
    {"flow in L/h", flow_in_L_h, "wrong-unit", "flow", NR_SEVERITY_FAULT, true, false},
    {"flow in gal/min", flow_in_gal_min, "wrong-unit", "flow", NR_SEVERITY_FAULT, true, false},
    {"flow 30 % low", flow_half, "heat-balance", "", NR_SEVERITY_DOUBT, true, true},
    {"outlet low", outlet_low, "heat-balance", "", NR_SEVERITY_DOUBT, true, true},
    {"swapped", swapped, "swapped-probes", "outlet", NR_SEVERITY_FAULT, true, false},
    {"inlet high", inlet_high, "probes-disagree", "inlet", NR_SEVERITY_DOUBT, true, false},
    {"too much sun", too_much_sun, "sun-too-high", "sun", NR_SEVERITY_FAULT, true, true},
    {"too much sun, no site", too_much_sun_somewhere, "sun-too-high", "sun", NR_SEVERITY_DOUBT,
     true, true},
    {"no sun", no_sun, "no-sun", "sun", NR_SEVERITY_DOUBT, false, false},
    {"small area", small_area, "too-much-heat", "", NR_SEVERITY_FAULT, true, true},
    {"dead meter", dead_meter, "flow-dead", "flow", NR_SEVERITY_FAULT, true, false},
    {"short run", short_run, "too-short", "", NR_SEVERITY_FAULT, false, false},
    {"rare rows", rare_rows, "slow-sampling", "", NR_SEVERITY_DOUBT, true, true},
    {"little spread", little_spread, "small-spread", "", NR_SEVERITY_DOUBT, true, true},
    {"misnamed sun", misnamed_sun, "missing-channel", "sun", NR_SEVERITY_FAULT, false, false},
};

START_TEST(each_fault_gives_its_finding)
{
    for (unsigned long seed = 1; seed <= FAULT_SEEDS; seed++) {
        const char *name = faults[_i].name;
        nr_virtual_run *run = clean_record(CLEAR, seed);
        faults[_i].plant(run);
        nr_inspect *x = look(run);
        const nr_finding *f = finding(x, faults[_i].code);
        ck_assert_msg(f != NULL, "%s, seed %lu: no %s: %s", name, seed, faults[_i].code,
                      x->sentence);
        ck_assert_msg(f->severity == faults[_i].severity, "%s, seed %lu: severity %d: %s", name,
                      seed, f->severity, f->text);
        ck_assert_msg(strcmp(f->channel, faults[_i].channel) == 0, "%s: channel %s", name,
                      f->channel);
        for (size_t i = 0; i < x->findings; i++)
            ck_assert_msg(&x->finding[i] == f || x->finding[i].severity == NR_SEVERITY_NOTE,
                          "%s, seed %lu: also %s: %s", name, seed, x->finding[i].code,
                          x->finding[i].text);
        ck_assert_msg(
            x->usable_for_store == faults[_i].store && x->usable_for_loop == faults[_i].loop,
            "%s, seed %lu: store %d loop %d", name, seed, x->usable_for_store, x->usable_for_loop);
        if (f->severity > NR_SEVERITY_NOTE)
            ck_assert_msg(f == &x->finding[0] && strstr(x->sentence, "is good") == NULL, "%s",
                          x->sentence);
        nr_inspect_free(x);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* Several at once: each is told, none hides another. */
START_TEST(faults_together)
{
    for (unsigned long seed = 1; seed <= FAULT_SEEDS; seed++) {
        nr_virtual_run *run = clean_record(CLEAR, seed);
        outlet_in_degF(run);
        stuck_store(run);
        few_spikes(run);
        clock_set(run);
        cut_rows(run, 3000, 3700);
        nr_inspect *x = look(run);
        static const char *const expected[] = {"wrong-unit", "stuck", "spikes", "clock-step",
                                               "gaps"};
        for (size_t i = 0; i < 5; i++)
            ck_assert_msg(finding(x, expected[i]) != NULL, "seed %lu: no %s", seed, expected[i]);
        size_t doubts = 0;
        for (size_t i = 0; i < x->findings; i++)
            doubts += x->finding[i].severity > NR_SEVERITY_NOTE;
        ck_assert_uint_eq(doubts, 4);
        ck_assert_msg(strstr(x->sentence, "fault to mend first") && strstr(x->sentence, "3 more"),
                      "%s", x->sentence);
        nr_inspect_free(x);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* Without the container's probe the loop stands alone, and is held against the sun. */
START_TEST(loop_alone)
{
    for (int wrong = 0; wrong < 2; wrong++) {
        nr_virtual_run *run = clean_record(CLEAR, 2);
        for (size_t c = 0; c < run->run.readings->columns; c++)
            if (strcmp(run->run.readings->column[c].channel, "store") == 0)
                strcpy(run->run.readings->column[c].channel, "pond");
        if (wrong)
            scale(column(run, "outlet"), 1.8, 32.0);
        nr_inspect *x = look(run);
        ck_assert(x->usable_for_loop && !x->usable_for_store);
        ck_assert_msg((finding(x, "too-much-heat") != NULL) == (wrong == 1), "%s", x->sentence);
        ck_assert_ptr_null(finding(x, "missing-channel"));
        nr_inspect_free(x);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* The text tells which of the contradictions it is. */
START_TEST(where_the_sun_cannot_be)
{
    static const struct {
        void (*plant)(nr_virtual_run *run);
        const char *says;
    } cases[] = {{clock_at_night, "below the horizon"},
                 {faces_north, "behind"},
                 {clock_hours_off, "more sun on the collector"}};
    for (size_t i = 0; i < 3; i++) {
        nr_virtual_run *run = clean_record(CLEAR, 1);
        cases[i].plant(run);
        nr_inspect *x = look(run);
        const nr_finding *f = finding(x, "clock-or-site");
        ck_assert_msg(f && strstr(f->text, cases[i].says) != NULL, "%s: %s", cases[i].says,
                      f ? f->text : "nothing");
        ck_assert(isnan(x->incidence_lo_deg)); /* not to be trusted */
        nr_inspect_free(x);
        nr_virtual_run_free(run);
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
    *ratio = atof(strstr(f->text, "carried ") + 8);
    *u = atof(strstr(f->text, "uncertainty ") + 12);
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
                double s = atof(strstr(f->text, "about ") + 6);
                /* a coil of 0.29 kg at 1 L/min is passed in 17 s, with some thermal mass */
                ck_assert_msg(s >= 15 && s <= 90, "%s", f->text);
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
    bool told = false;
    for (size_t i = 0; i < x->findings; i++)
        if (strcmp(x->finding[i].code, "lag") == 0 && strcmp(x->finding[i].channel, "store") == 0) {
            NEAR(atof(strstr(x->finding[i].text, "about ") + 6), 105.0, 25.0);
            told = true;
        }
    ck_assert(told);
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
        size_t rows = seed <= 4 ? seed : 2000;
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
        ck_assert_str_ne(x->sentence, "");
        ck_assert(strstr(x->sentence, "is good") == NULL);
        nr_inspect_free(x);
        nr_virtual_run_free(run);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("inspect");
    TCase *all = tcase_create("inspect");
    tcase_set_timeout(all, 60);
    tcase_add_test(all, clean_records_give_no_doubt);
    tcase_add_test(all, other_honest_records_give_no_doubt);
    tcase_add_loop_test(all, each_fault_gives_its_finding, 0,
                        (int)(sizeof faults / sizeof *faults));
    tcase_add_test(all, faults_together);
    tcase_add_test(all, loop_alone);
    tcase_add_test(all, where_the_sun_cannot_be);
    tcase_add_test(all, heat_balance_knows_of_the_loss);
    tcase_add_test(all, notes_where_they_apply);
    tcase_add_test(all, lags_where_they_show);
    tcase_add_test(all, no_lag_without_features);
    tcase_add_test(all, lag_of_a_slow_probe);
    tcase_add_test(all, summaries);
    tcase_add_test(all, hopeless_records);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
