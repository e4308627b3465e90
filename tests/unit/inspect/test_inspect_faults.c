/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inspect: each fault planted in a clean record gives its own finding and no other. Records are
 * simulated (sample-runs/rig), so what is wrong with them is known. */
#include "analyze/physics/sun.h"
#include "tests/unit/inspect/looks.h"

#define FAULT_SEEDS 3

/* -- one fault at a time */

static void scale(double *v, double factor, double offset)
{
    for (size_t i = 0; i < 5401; i++)
        v[i] = factor * v[i] + offset;
}

static void swap(double *a, double *b)
{
    for (size_t i = 0; i < 5401; i++) {
        double x = a[i];
        a[i] = b[i];
        b[i] = x;
    }
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

static void clock_slow(nr_virtual_run *r)
{
    for (size_t i = 0; i < 5401; i++)
        r->run.readings->utc_s[i] -= 0.1 * r->run.readings->elapsed_s[i];
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
    {"clock slow", clock_slow, "clock-rate", "", NR_SEVERITY_DOUBT, true, true},
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

/* The worst first; then those of the whole record, then by time; then by name and channel. */
static void in_order(const nr_inspect *x)
{
    for (size_t i = 1; i < x->findings; i++) {
        const nr_finding *a = &x->finding[i - 1], *b = &x->finding[i];
        double from_a = isnan(a->from_s) ? -1e9 : a->from_s;
        double from_b = isnan(b->from_s) ? -1e9 : b->from_s;
        int name = strcmp(nr_finding_name(a->code), nr_finding_name(b->code));
        name = name ? name : strcmp(a->channel, b->channel);
        ck_assert_msg(a->severity > b->severity ||
                          (a->severity == b->severity &&
                           (from_a < from_b || (from_a == from_b && name <= 0))),
                      "%s of %s before %s of %s", nr_finding_name(a->code), a->channel,
                      nr_finding_name(b->code), b->channel);
    }
}

START_TEST(each_fault_gives_its_finding)
{
    for (unsigned long seed = 1; seed <= FAULT_SEEDS; seed++) {
        const char *name = faults[_i].name;
        nr_virtual_run *run = clean_record(CLEAR, seed);
        faults[_i].plant(run);
        nr_inspect *x = look(run);
        in_order(x);
        const nr_finding *f = finding(x, faults[_i].code);
        ck_assert_msg(f != NULL, "%s, seed %lu: no %s: %s", name, seed, faults[_i].code,
                      x->findings ? nr_finding_name(x->finding[0].code) : "nothing");
        ck_assert_msg(f->severity == faults[_i].severity, "%s, seed %lu: severity %d", name, seed,
                      f->severity);
        ck_assert_msg(strcmp(f->channel, faults[_i].channel) == 0, "%s: channel %s", name,
                      f->channel);
        for (size_t i = 0; i < x->findings; i++)
            ck_assert_msg(&x->finding[i] == f || x->finding[i].severity == NR_SEVERITY_NOTE,
                          "%s, seed %lu: also %s of %s", name, seed,
                          nr_finding_name(x->finding[i].code), x->finding[i].channel);
        ck_assert_msg(
            x->usable_for_store == faults[_i].store && x->usable_for_loop == faults[_i].loop,
            "%s, seed %lu: store %d loop %d", name, seed, x->usable_for_store, x->usable_for_loop);
        if (f->severity > NR_SEVERITY_NOTE)
            ck_assert(f == &x->finding[0] && x->doubts == 1 && x->verdict != NR_RECORD_GOOD &&
                      x->verdict != NR_RECORD_LACKING);
        nr_inspect_free(x);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* The same constant stated in the rig file is no fault of a sensor. */
START_TEST(stated_air_is_no_stuck_sensor)
{
    nr_virtual_run *run = clean_record(CLEAR, 1);
    constant_air(run);
    for (size_t c = 0; c < run->run.rig.channels; c++)
        if (strcmp(run->run.rig.channel[c].name, "air") == 0)
            run->run.rig.channel[c].law = nr_law_find("stated");
    nr_inspect *x = look(run);
    ck_assert_ptr_null(finding(x, "never-changes"));
    ck_assert_uint_eq(x->doubts, 0);
    nr_inspect_free(x);
    nr_virtual_run_free(run);
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
        ck_assert_int_eq(x->verdict, NR_RECORD_FAULTY);
        ck_assert_uint_eq(x->doubts, 4);
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
        ck_assert((finding(x, "too-much-heat") != NULL) == (wrong == 1));
        ck_assert_ptr_null(finding(x, "missing-channel"));
        nr_inspect_free(x);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* It is told which of the contradictions it is. */
START_TEST(where_the_sun_cannot_be)
{
    static const struct {
        void (*plant)(nr_virtual_run *run);
        nr_finding_code says;
    } cases[] = {{clock_at_night, NR_FIND_SUN_BELOW_HORIZON},
                 {faces_north, NR_FIND_SUN_BEHIND},
                 {clock_hours_off, NR_FIND_SUN_BEYOND_SKY}};
    for (size_t i = 0; i < 3; i++) {
        nr_virtual_run *run = clean_record(CLEAR, 1);
        cases[i].plant(run);
        nr_inspect *x = look(run);
        const nr_finding *f = finding(x, "clock-or-site");
        ck_assert_msg(f && f->code == cases[i].says, "%zu: %d", i, f ? (int)f->code : -1);
        ck_assert(isnan(x->incidence_lo_deg)); /* not to be trusted */
        nr_inspect_free(x);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* A pump that ran all of a short record at 0.95 to 1.08 L/min ran; forty seconds of half an hour
 * are no run, and none at all in a short record is none. */
START_TEST(a_short_record_was_pumped)
{
    static const struct {
        size_t rows, pumped;
        bool never;
    } cases[] = {{45, 45, false}, {1800, 40, true}, {45, 0, true}, {1800, 1800, false}};
    for (size_t k = 0; k < sizeof cases / sizeof cases[0]; k++) {
        nr_virtual_run *run = clean_record(CLEAR, 1);
        double *flow = column(run, "flow");
        size_t rows = cases[k].rows;
        cut_rows(run, rows, run->run.readings->rows);
        hold(column(run, "store"), 0, rows); /* else the meter would be called dead */
        for (size_t i = 0; i < rows; i++)
            flow[i] = i < cases[k].pumped ? 0.95 + 0.13 * (double)(i % 7) / 6 : 0;
        nr_inspect *x = look(run);
        bool said = finding(x, "pump-never-ran") != NULL;
        ck_assert_msg(said == cases[k].never, "pumped for %zu of %zu s: %d", cases[k].pumped, rows,
                      said);
        nr_inspect_free(x);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* While the sun sets what is left of the light comes from nowhere in particular: no angle of the
 * sun is told, nobody is asked to aim. With the sun up at such an angle it is. */
START_TEST(nothing_to_aim_at)
{
    for (int up = 0; up < 2; up++) {
        nr_virtual_run *run = clean_record(CLEAR, 1);
        nr_readings *r = run->run.readings;
        const nr_rig *rig = &run->run.rig;
        double *sun = column(run, "sun");
        cut_rows(run, 600, r->rows);
        run->run.rig.collector.azimuth_deg.value += 75; /* looks west in the morning */
        double later = 0, zenith = 0;
        while (!up && zenith < 90) { /* ten minutes from there on: at most 92 degrees */
            later += 60;
            zenith =
                nr_sun_at(r->utc_s[0] + later, rig->latitude_deg.value, rig->longitude_deg.value)
                    .zenith_deg;
        }
        for (size_t i = 0; i < r->rows; i++) {
            r->utc_s[i] += later;
            sun[i] = up ? 0.5 * sun[i] : 60 + 0.1 * (double)(i % 5);
        }
        nr_inspect *x = look(run);
        ck_assert_msg((finding(x, "oblique-sun") != NULL) == up, "up %d", up);
        ck_assert(isnan(x->incidence_lo_deg) == !up);
        nr_inspect_free(x);
        nr_virtual_run_free(run);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("inspect, faults");
    tcase_add_loop_test(case_of(suite, "each_fault_gives_its_finding"),
                        each_fault_gives_its_finding, 0, (int)(sizeof faults / sizeof *faults));
    tcase_add_test(case_of(suite, "stated_air_is_no_stuck_sensor"), stated_air_is_no_stuck_sensor);
    tcase_add_test(case_of(suite, "faults_together"), faults_together);
    tcase_add_test(case_of(suite, "loop_alone"), loop_alone);
    tcase_add_test(case_of(suite, "where_the_sun_cannot_be"), where_the_sun_cannot_be);
    tcase_add_test(case_of(suite, "a_short_record_was_pumped"), a_short_record_was_pumped);
    tcase_add_test(case_of(suite, "nothing_to_aim_at"), nothing_to_aim_at);
    return run_suite(suite);
}
