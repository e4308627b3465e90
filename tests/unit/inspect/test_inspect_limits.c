/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inspect: every limit from both sides. What quality saw is written by hand here (a record of an
 * hour in which nothing is wrong), one number of it is set just below and just above a limit, and
 * the finding and how bad it is must change. The limits are ours (common practice, no source). */
#include "tests/unit/inspect/desk.h"

/* --- the numbers that are set ---------------------------------------------------------------- */

static void duration(desk *d, double v)
{
    d->q.duration_s = v;
}
static void interval(desk *d, double v)
{
    d->q.interval_s = v;
}
static void damaged(desk *d, double v)
{
    d->readings.damaged = (size_t)v;
}
static void one_gap(desk *d, double v)
{
    d->q.duration_s = 36000;
    d->q.gaps = 1;
    d->q.gap[0] = (nr_quality_event){1000, v};
    d->q.gaps_s = v;
}
static void gaps_in_all(desk *d, double v)
{
    d->q.duration_s = 1000;
    d->q.gaps = 3;
    for (size_t i = 0; i < 3; i++)
        d->q.gap[i] = (nr_quality_event){100 * (double)i, v / 3};
    d->q.gaps_s = v;
}
static void freeze(desk *d, double v)
{
    d->q.duplicates = 3;
    d->q.longest_freeze_s = v;
}
static void repeats(desk *d, double v)
{
    d->q.duplicates = (size_t)v;
}
static void clock_step(desk *d, double v)
{
    d->q.clock_steps = 1;
    d->q.clock_step[0] = (nr_quality_event){100, v};
}
static void clock_rate(desk *d, double v)
{
    d->q.clock_rate = v;
}
static void wind_missing(desk *d, double v)
{
    channel_is(d, NR_ROLE_WIND, 0, 3);
    d->q.channel[NR_ROLE_WIND].readings = ROWS - (size_t)v;
}
static void out_of_range(desk *d, double v)
{
    d->q.channel[NR_ROLE_SUN].count[NR_BAD_RANGE] = (size_t)v;
}
static void spikes(desk *d, double v)
{
    d->q.channel[NR_ROLE_INLET].count[NR_BAD_SPIKE] = (size_t)v;
}
static void stuck(desk *d, double v)
{
    d->q.channel[NR_ROLE_STORE].count[NR_BAD_STUCK] = (size_t)v;
}
static void saturated(desk *d, double v)
{
    d->q.channel[NR_ROLE_STORE].count[NR_BAD_SATURATED] = (size_t)v;
}
static void never(desk *d, nr_role role, double value, double flat_s)
{
    channel_is(d, role, value, value);
    d->q.channel[role].step = NAN;
    d->q.channel[role].longest_flat_s = flat_s;
}
static void sun_flat_for(desk *d, double v)
{
    never(d, NR_ROLE_SUN, 500, v);
}
static void sun_at(desk *d, double v)
{
    never(d, NR_ROLE_SUN, v, 3000);
}
static void sun_readings(desk *d, double v)
{
    sun_at(d, 500);
    d->q.rows = d->q.channel[NR_ROLE_SUN].readings = (size_t)v;
    for (int role = 0; role < NR_ROLES; role++)
        d->q.channel[role].readings = (size_t)v;
}
static void air_flat_in_a_record_of(desk *d, double v)
{
    never(d, NR_ROLE_AIR, 20, 3000);
    d->q.duration_s = v;
}
static void outlet_flat_beside_water_moved(desk *d, double v)
{
    never(d, NR_ROLE_OUTLET, 30, 3000);
    d->out.channels = 1;
    strcpy(d->out.channel[0].name, "inlet");
    d->out.channel[0].min = 20;
    d->out.channel[0].max = 20 + v;
}
static void noise(desk *d, double v)
{
    d->q.channel[NR_ROLE_STORE].quiet_noise = v;
}
static void noise_at_interval(desk *d, double v)
{
    d->q.interval_s = v;
    noise(d, 1);
}
static void flow_noise(desk *d, double v)
{
    d->q.channel[NR_ROLE_FLOW].quiet_noise = v;
}
static void resolution(desk *d, double v)
{
    d->q.channel[NR_ROLE_STORE].step = v;
}
static void noise_of_a_coarse_one(desk *d, double v)
{
    d->q.channel[NR_ROLE_STORE].step = 0.5;
    d->q.channel[NR_ROLE_STORE].noise = v;
}
static void pump_ran(desk *d, double v)
{
    d->q.pump_on_s = v;
    d->q.pump_off_s = 3000;
}
static void pump_ran_of_ten_minutes(desk *d, double v)
{
    d->q.pump_on_s = 30;
    d->q.pump_off_s = 30 / v;
}
static void loop_over_store_unsure(desk *d, double v)
{
    loop_over_store(d, v);
    d->x.heat.u_ratio = 0.05;
}
static void store_over_sun(desk *d, double v)
{
    d->x.heat = (nr_heat){
        .store_known = true, .share = v, .u_share = 0.05, .mean_excess_K = 5, .mean_sun_W_m2 = 500};
}
static void store_over_sun_below_the_air(desk *d, double v)
{
    store_over_sun(d, v);
    d->x.heat.mean_excess_K = -4;
}
static void loop_over_sun(desk *d, double v)
{
    d->x.heat = (nr_heat){.loop_share_known = true,
                          .loop_share = v,
                          .u_loop_share = 0.05,
                          .mean_excess_K = 5,
                          .mean_sun_W_m2 = 500};
}
static void outlet_below_inlet(desk *d, double v)
{
    channel_is(d, NR_ROLE_OUTLET, 20 - v, 30 - v);
    channel_is(d, NR_ROLE_AIR, 25, 25);
}
/* Probes of +-0.05 K each, so that the floor of 0.3 K is what counts; swapped, they tell of it. */
static void state(desk *d, const char *name, double u_K)
{
    nr_rig_channel *c = &d->run.rig.channel[d->run.rig.channels++];
    strcpy(c->name, name);
    c->u_offset = u_K;
    c->u_gain = NAN;
    c->law = nr_law_find("none");
}
static void outlet_below_inlet_good_probes(desk *d, double v)
{
    state(d, "inlet", 0.05);
    state(d, "outlet", 0.05);
    outlet_below_inlet(d, v);
}
static void warm_inlet_over_sun(desk *d, double v)
{
    /* Lost more than it gained: no reason to say that probes are swapped. */
    outlet_below_inlet(d, 3);
    channel_is(d, NR_ROLE_SUN, 500, 500);
    channel_is(d, NR_ROLE_INLET, 40, 40);
    channel_is(d, NR_ROLE_OUTLET, 37, 37);
    channel_is(d, NR_ROLE_AIR, 40 - 500 * v, 40 - 500 * v);
}
static void inlet_off_the_store(desk *d, double v)
{
    /* +-0.1 K each: 3 x 0.141 K, and 0.3 K and 4 % of 4 K for layers: 0.884 K. */
    state(d, "inlet", 0.1);
    state(d, "store", 0.1);
    channel_is(d, NR_ROLE_INLET, 20 + v, 30 + v);
    channel_is(d, NR_ROLE_OUTLET, 24 + v, 34 + v);
}
static void outlet_off_the_inlet_in_the_dark(desk *d, double v)
{
    /* The same, and the layers of the rise that was measured: 0.724 + 0.04 v. */
    state(d, "inlet", 0.1);
    state(d, "outlet", 0.1);
    channel_is(d, NR_ROLE_SUN, 0, 0);
    channel_is(d, NR_ROLE_OUTLET, 20 + v, 30 + v);
}
static void dusk(desk *d, double v)
{
    outlet_off_the_inlet_in_the_dark(d, 2);
    channel_is(d, NR_ROLE_SUN, v, v);
}

/* What is wrong only while the loop fills and warms is not looked at, nor what comes later than
 * ten minutes after: of the median between 120 s and 720 s after the start half is at 420 s. */
static void inlet_off_until(desk *d, double v)
{
    for (size_t i = 0; i < ROWS && d->elapsed_s[i] <= v; i++)
        d->value[NR_ROLE_INLET][i] += 5;
}
static void swapped_for(desk *d, double v)
{
    for (size_t i = 0; 3.6 * (double)i < v; i++)
        d->value[NR_ROLE_OUTLET][i] = d->value[NR_ROLE_INLET][i] - 3;
    for (size_t i = 0; i < ROWS; i++)
        if (d->value[NR_ROLE_OUTLET][i] > d->value[NR_ROLE_INLET][i])
            d->value[NR_ROLE_SUN][i] = 300; /* not full: says nothing */
}
static void swapped_in_a_sun_of(desk *d, double v)
{
    channel_is(d, NR_ROLE_SUN, v, v);
    outlet_below_inlet(d, 3);
}
/* --- the table ------------------------------------------------------------------------------- */

static const limit limits[] = {
    {"too-short", duration, 299.9, 300.1, FAULT, UNSAID},
    {"brief", duration, 299.9, 300.1, UNSAID, NOTE},
    {"brief", duration, 1799.9, 1800.1, NOTE, UNSAID},
    {"slow-sampling", interval, 60, 60.1, UNSAID, DOUBT},
    {"damaged-lines", damaged, 0, 1, UNSAID, DOUBT},
    {"gaps", one_gap, 119.9, 120.1, NOTE, DOUBT},
    {"gaps", gaps_in_all, 19.9, 20.1, NOTE, DOUBT},
    {"duplicates", freeze, 59.9, 60, NOTE, DOUBT},
    {"duplicates", repeats, 0, 1, UNSAID, NOTE},
    {"duplicates", repeats, 20, 21, NOTE, DOUBT},
    {"clock-step", clock_step, 29.9, 30.1, NOTE, DOUBT},
    {"clock-step", clock_step, -30.1, -29.9, DOUBT, NOTE},
    {"clock-rate", clock_rate, 0.99e-3, 1.01e-3, UNSAID, NOTE},
    {"clock-rate", clock_rate, -1.01e-3, -0.99e-3, NOTE, UNSAID},
    {"clock-rate", clock_rate, 0.0199, 0.0201, NOTE, DOUBT},
    {"missing-readings", wind_missing, 4, 6, UNSAID, NOTE},
    {"missing-readings", wind_missing, 49, 51, NOTE, DOUBT},
    {"empty-channel", wind_missing, ROWS, ROWS - 1, DOUBT, UNSAID},
    {"out-of-range", out_of_range, 0, 1, UNSAID, DOUBT},
    {"out-of-range", out_of_range, 199, 201, DOUBT, FAULT},
    {"spikes", spikes, 0, 1, UNSAID, NOTE},
    {"spikes", spikes, 2, 3, NOTE, DOUBT},
    {"stuck", stuck, 0, 1, UNSAID, DOUBT},
    {"stuck", stuck, 199, 201, DOUBT, FAULT},
    {"saturated", saturated, 0, 1, UNSAID, DOUBT},
    {"saturated", saturated, 199, 201, DOUBT, FAULT},
    {"never-changes", sun_flat_for, 899, 900, UNSAID, DOUBT},
    {"never-changes", sun_at, 0, 500, UNSAID, DOUBT},
    {"never-changes", sun_readings, 20, 21, UNSAID, DOUBT},
    {"never-changes", air_flat_in_a_record_of, 3599, 3600, NOTE, DOUBT},
    {"never-changes", outlet_flat_beside_water_moved, 2.9, 3.1, NOTE, DOUBT},
    {"noisy", noise, 0.29, 0.31, UNSAID, DOUBT},
    {"noisy", noise_at_interval, 4.9, 5, DOUBT, UNSAID},
    {"noisy", flow_noise, 0.299, 0.301, UNSAID, NOTE},
    {"coarse", resolution, 0.25, 0.27, UNSAID, NOTE},
    {"coarse", noise_of_a_coarse_one, 0.49, 0.51, NOTE, UNSAID},
    {"pump-never-ran", pump_ran, 59, 61, DOUBT, UNSAID},
    {"pump-never-ran", pump_ran_of_ten_minutes, 0.099, 0.101, DOUBT, UNSAID},
    {"swapped-probes", outlet_below_inlet_good_probes, 0.29, 0.31, UNSAID, FAULT},
    {"swapped-probes", warm_inlet_over_sun, 0.019, 0.021, FAULT, UNSAID},
    {"probes-disagree", inlet_off_the_store, 0.87, 0.90, UNSAID, DOUBT},
    {"probes-disagree", inlet_off_the_store, -0.90, -0.87, DOUBT, UNSAID},
    {"probes-disagree", outlet_off_the_inlet_in_the_dark, 0.74, 0.77, UNSAID, DOUBT},
    {"probes-disagree", dusk, 99, 101, DOUBT, UNSAID},
    {"swapped-probes", swapped_for, 115, 121, UNSAID, FAULT},
    {"swapped-probes", swapped_in_a_sun_of, 399, 401, UNSAID, FAULT},
    {"probes-disagree", inlet_off_until, 410, 430, UNSAID, DOUBT},
    {"heat-balance", loop_over_store, 1.079, 1.081, NOTE, DOUBT},
    {"heat-balance", loop_over_store, 0.919, 0.921, DOUBT, NOTE},
    {"heat-balance", loop_over_store_unsure, 1.128, 1.130, NOTE, DOUBT},
    {"too-much-heat", store_over_sun, 1.099, 1.101, UNSAID, FAULT},
    {"too-much-heat", loop_over_sun, 1.099, 1.101, UNSAID, FAULT},
    /* 25 W/m2K times 4 K over 500 W/m2 may come from the air. */
    {"too-much-heat", store_over_sun_below_the_air, 1.299, 1.301, UNSAID, FAULT},
};

START_TEST(both_sides)
{
    holds(&limits[_i], _i);
}
END_TEST

START_TEST(a_sound_record_has_no_finding)
{
    desk *d = sound();
    nr_inspect_units(&d->x);
    look_at_all(d);
    ck_assert_msg(d->out.findings == 0, "%s", nr_finding_name(d->out.finding[0].code));
    free(d);
}
END_TEST

START_TEST(what_is_worse_takes_the_room_of_a_note)
{
    desk *d = sound();
    for (size_t i = 0; i < NR_FINDINGS; i++)
        nr_find(&d->x, NR_FIND_BRIEF, NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN, NULL);
    nr_find(&d->x, NR_FIND_CLOUDS, NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN, NULL);
    ck_assert_uint_eq(d->out.findings, NR_FINDINGS);
    for (size_t i = 0; i < NR_FINDINGS; i++)
        ck_assert_int_eq(d->out.finding[i].code, NR_FIND_BRIEF);
    for (size_t i = 0; i < NR_FINDINGS; i++)
        nr_find(&d->x, NR_FIND_NOISY, NR_SEVERITY_DOUBT, NR_ROLE_AIR, NAN, NAN, NULL);
    nr_find(&d->x, NR_FIND_GAPS, NR_SEVERITY_DOUBT, NR_ROLES, NAN, NAN, NULL);
    for (size_t i = 0; i < NR_FINDINGS; i++)
        ck_assert_int_eq(d->out.finding[i].code, NR_FIND_NOISY);
    nr_find(&d->x, NR_FIND_NO_SUN, NR_SEVERITY_FAULT, NR_ROLES, NAN, NAN, NULL);
    ck_assert_int_eq(d->out.finding[NR_FINDINGS - 1].code, NR_FIND_NO_SUN);
    free(d);
}
END_TEST

START_TEST(a_median_of_ten_readings)
{
    desk *d = sound();
    /* Rows 0 to 8 and 0 to 9, at 3.6 s. */
    double nine = nr_inspect_median(&d->x, NR_ROLE_OUTLET, NR_ROLE_INLET, NR_PUMP_IS_ON, 0, 29);
    double ten = nr_inspect_median(&d->x, NR_ROLE_OUTLET, NR_ROLE_INLET, NR_PUMP_IS_ON, 0, 33);
    ck_assert(isnan(nine));
    NEAR(ten, 4, 1e-9);
    d->pump[3] = NR_PUMP_IS_OFF; /* then nine are left, but for who does not ask for the pump */
    ck_assert(isnan(nr_inspect_median(&d->x, NR_ROLE_AIR, NR_ROLES, NR_PUMP_IS_ON, 0, 33)));
    ck_assert(!isnan(nr_inspect_median(&d->x, NR_ROLE_AIR, NR_ROLES, NR_PUMP_IS_UNKNOWN, 0, 33)));
    d->bad[NR_ROLE_AIR][5] = NR_BAD_SPIKE;
    ck_assert(isnan(nr_inspect_median(&d->x, NR_ROLE_AIR, NR_ROLES, NR_PUMP_IS_UNKNOWN, 0, 33)));
    free(d);
}
END_TEST

/* 48 kg of water, no loss, no dry heat. */
static desk *balanced(double rise_K, size_t without_store)
{
    desk *d = sound();
    nr_err err = {0};
    d->q.busy_s = d->q.elapsed_s;
    d->run.rig.store.water_kg = (nr_value){.given = true, .value = 48};
    d->run.rig.store.loss_W_K = (nr_value){.given = true, .value = 0};
    d->run.rig.store.dry_heat_capacity_J_K = (nr_value){.given = true, .value = 0};
    d->run.rig.collector.gross_area_m2 = (nr_value){.given = true, .value = 1};
    channel_is(d, NR_ROLE_STORE, 20, 20 + rise_K);
    for (size_t i = 0; i < without_store; i++)
        d->value[NR_ROLE_STORE][i] = NAN;
    ck_assert_msg(nr_heat_balance(&d->x, &err) == NR_OK, "%s", err.text);
    return d;
}

/* The loop carries 2 L/min, risen by 4 K, of water of 998 kg/m3 and 4180 J/(kg K): 556 W; the
 * store takes 48 kg times 4180 J/(kg K) times 10 K in 3596 s: 558 W; the sun brings 805 W. */
START_TEST(heat_by_hand)
{
    desk *d = balanced(10, 0);
    ck_assert(d->x.heat.loop_known && d->x.heat.store_known && d->x.heat.loop_share_known);
    NEAR(d->x.heat.ratio, 556.0 / 558.0, 0.01);
    NEAR(d->x.heat.share, 558.0 / 805.0, 0.01);
    NEAR(d->x.heat.loop_share, 556.0 / 805.0, 0.01);
    NEAR(d->x.heat.mean_excess_K, 4.5, 0.1);
    NEAR(d->x.heat.mean_sun_W_m2, 805, 1);
    free(d);
}
END_TEST

/* Where the store hardly warmed or was seldom seen there is no balance with it; of the pairs of
 * blocks of a minute 40 % have to be known. */
START_TEST(no_balance_of_little)
{
    static const struct {
        double rise_K;
        size_t without;
        bool known;
    } rows[] = {{1.9, 0, false}, {2.1, 0, true}, {20, 560, true}, {20, 640, false}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        desk *d = balanced(rows[i].rise_K, rows[i].without);
        ck_assert_msg(d->x.heat.loop_known == rows[i].known, "row %zu", i);
        ck_assert_msg(d->x.heat.store_known == rows[i].known, "row %zu", i);
        ck_assert(d->x.heat.loop_share_known);
        free(d);
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("inspect_limits");
    TCase *t = tcase_create("limits");
    tcase_add_test(t, a_sound_record_has_no_finding);
    tcase_add_test(t, what_is_worse_takes_the_room_of_a_note);
    tcase_add_test(t, heat_by_hand);
    tcase_add_test(t, no_balance_of_little);
    tcase_add_test(t, a_median_of_ten_readings);
    tcase_add_loop_test(t, both_sides, 0, (int)(sizeof limits / sizeof *limits));
    suite_add_tcase(s, t);
    return run_suite(s);
}
