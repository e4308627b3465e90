/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a run to the arrays of the estimate: means at the right time, gaps, parts, what counts as
 * settled, the sun's angle, and the refusals. Records come from the virtual rig and are then
 * spoiled or overwritten, so that what must come out is known. */
#include "analyze/physics/sun.h"
#include "analyze/physics/water.h"
#include "analyze/series/series.h"
#include "tests/unit/quality/records.h"

#define STEP_S 5.0
#define PER_BLOCK 2

static nr_virtual_params quiet_params(void)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.rig_seed = 7;
    p.day_seed = 8;
    p.duration_s = 3600;
    return p;
}

static nr_virtual_run *quiet_run(void)
{
    nr_virtual_params p = quiet_params();
    return simulate(&p);
}

static nr_series *series_of(const nr_virtual_run *run)
{
    nr_series *s = NULL;
    nr_err err = {0};
    ck_assert_msg(nr_series_build(&run->run, &s, &err) == NR_OK, "%s", err.text);
    return s;
}

/* First row at or after a time since the start. */
static size_t row_at(const nr_virtual_run *run, double since_start_s)
{
    const nr_readings *r = run->run.readings;
    size_t row = 0;
    while (row < r->rows && r->elapsed_s[row] - r->elapsed_s[0] < since_start_s - 1e-6)
        row++;
    return row;
}

static void blank(nr_virtual_run *run, const char *channel, double from_s, double to_s)
{
    for (size_t r = row_at(run, from_s); r < row_at(run, to_s); r++)
        column(run, channel)[r] = NAN;
}

/* Mean of a column over from <= t < to since the start. */
static double mean_over(nr_virtual_run *run, const char *channel, double from_s, double to_s)
{
    double sum = 0, count = 0;
    for (size_t r = row_at(run, from_s); r < row_at(run, to_s); r++, count++)
        sum += column(run, channel)[r];
    return sum / count;
}

START_TEST(means_at_their_time)
{
    nr_virtual_run *run = quiet_run();
    nr_series *s = series_of(run);
    ck_assert_uint_eq(s->parts, 1);
    ck_assert_uint_eq(s->bad_readings, 0);
    ck_assert_uint_eq(s->bridged_steps, 0);
    ck_assert_double_eq(s->step_s, STEP_S);
    ck_assert_uint_eq(s->steps_per_block, PER_BLOCK);
    const nr_part *p = &s->part[0];
    double whole_s =
        run->run.readings->elapsed_s[run->run.readings->rows - 1] - run->run.readings->elapsed_s[0];
    ck_assert_uint_eq(p->blocks, (size_t)(whole_s / (STEP_S * PER_BLOCK)));
    ck_assert_uint_eq(p->steps, p->blocks * PER_BLOCK);
    for (size_t k = 0; k < p->steps; k++) {
        double t = STEP_S * (double)k;
        NEAR(p->sun_W_m2[k], mean_over(run, "sun", t, t + STEP_S), 1e-9);
        NEAR(p->air_degC[k], mean_over(run, "air", t, t + STEP_S), 1e-9);
    }
    static const char *const name[NR_OUTS] = {"store", "inlet", "outlet"};
    for (size_t b = 0; b < p->blocks; b++) {
        double t = STEP_S * PER_BLOCK * (double)b;
        for (int c = 0; c < NR_OUTS; c++)
            NEAR(p->reading[c][b], mean_over(run, name[c], t, t + STEP_S * PER_BLOCK), 1e-9);
    }
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* Readings every twenty seconds: each is the middle of its block, not its beginning. The store
 * climbs steadily, so a block's reading and the time it stands for belong together. */
START_TEST(slow_readings_stand_in_the_middle)
{
    nr_virtual_params p = quiet_params();
    p.interval_s = 20;
    nr_virtual_run *run = simulate(&p);
    nr_readings *r = run->run.readings;
    for (size_t i = 0; i < r->rows; i++)
        column(run, "store")[i] = 15 + 0.004 * r->elapsed_s[i] + 0.001 * (double)(i % 3);
    nr_series *s = series_of(run);
    ck_assert_uint_eq(s->parts, 1);
    ck_assert_double_eq(s->block_s, 20);
    const nr_part *part = &s->part[0];
    for (size_t b = 0; b < part->blocks; b++) {
        double middle = part->start_s + 20 * ((double)b + 0.5);
        NEAR(part->reading[NR_OUT_STORE][b], 15 + 0.004 * middle + 0.001 * (double)(b % 3), 1e-9);
    }
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* Mass flow with the density at the water's temperature, times its specific heat. The flow meter's
 * pulses are smoothed, so single steps may differ by its noise (0.02 L/min and steps), the mean
 * not. */
START_TEST(flow_becomes_heat_flow)
{
    nr_virtual_run *run = quiet_run();
    nr_series *s = series_of(run);
    const nr_part *p = &s->part[0];
    double cp = nr_water_cp_J_kgK(mean_over(run, "store", 0, STEP_S * (double)p->steps));
    NEAR(s->cp_J_kgK, cp, 0.01);
    double sum = 0, expected = 0;
    for (size_t k = 0; k < p->steps; k++) {
        double t = STEP_S * (double)k, L_min = mean_over(run, "flow", t, t + STEP_S);
        double rho = nr_water_density_kg_m3(mean_over(run, "store", t, t + STEP_S));
        double here = L_min / 60000 * rho * cp;
        NEAR(p->flow_W_K[k], here, 0.1 * here);
        sum += p->flow_W_K[k];
        expected += here;
    }
    NEAR_RELATIVE(sum, expected, 2e-3);
    ck_assert(s->flow_known && s->pump_known && s->ever_pumped);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

START_TEST(a_short_gap_is_bridged)
{
    nr_virtual_run *run = quiet_run();
    double before = mean_over(run, "sun", 995, 1000), after = mean_over(run, "sun", 1040, 1045);
    cut_rows(run, row_at(run, 1000), row_at(run, 1040));
    nr_series *s = series_of(run);
    ck_assert_uint_eq(s->parts, 1);
    ck_assert_uint_eq(s->bridged_steps, 3 * 8); /* sun, air, flow */
    for (int i = 0; i < 8; i++)
        NEAR(s->part[0].sun_W_m2[200 + i], before + (after - before) * (i + 1) / 9, 1e-9);
    /* What is estimated from is never made up. */
    for (size_t b = 100; b < 104; b++)
        ck_assert(isnan(s->part[0].reading[NR_OUT_STORE][b]));
    ck_assert(!isnan(s->part[0].reading[NR_OUT_STORE][104]));
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

START_TEST(a_long_gap_ends_a_part)
{
    nr_virtual_run *run = quiet_run();
    double sun = mean_over(run, "sun", 1715, 1720), store = mean_over(run, "store", 1715, 1725);
    double first_s = run->run.readings->elapsed_s[0];
    cut_rows(run, row_at(run, 1003), row_at(run, 1715));
    nr_series *s = series_of(run);
    ck_assert_uint_eq(s->parts, 2);
    ck_assert_uint_eq(s->part[0].blocks, 100);
    NEAR(s->part[1].start_s, first_s + 1715 - 0.5, 1e-9); /* of readings once a second */
    NEAR(s->part[1].sun_W_m2[0], sun, 1e-9);
    NEAR(s->part[1].reading[NR_OUT_STORE][0], store, 1e-9);
    const nr_readings *r = run->run.readings;
    double whole_s = STEP_S * floor((r->elapsed_s[r->rows - 1] - first_s + 1) / STEP_S), used = 0;
    for (size_t i = 0; i < 2; i++)
        used += STEP_S * (double)s->part[i].steps;
    NEAR(s->lost_s, whole_s - used, 2 * STEP_S);
    ck_assert_double_ge(s->lost_s, 1715 - 1003 - STEP_S);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* Air and wind hardly change in ten minutes, irradiance does in one, unless it is the same
 * afterwards (0: clear, both sides alike; else the second half is darker by so much); the store's
 * temperature is compared where it is known and needs no bridge. */
START_TEST(what_may_be_bridged_how_far)
{
    static const struct {
        const char *channel;
        double hole_s, darker;
        size_t parts, bridged;
    } rows[] = {{"sun", 55, 0.5, 1, 11}, {"sun", 70, 0.5, 2, 0},   {"sun", 590, 0, 1, 118},
                {"sun", 620, 0, 2, 0},   {"flow", 55, 0, 1, 11},   {"flow", 590, 0, 1, 118},
                {"flow", 620, 0, 2, 0},  {"air", 590, 0, 1, 118},  {"air", 620, 0, 2, 0},
                {"store", 900, 0, 1, 0}, {"outlet", 590, 0, 1, 0}, {"outlet", 900, 0, 2, 0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        nr_virtual_run *run = quiet_run();
        blank(run, rows[i].channel, 1200, 1200 + rows[i].hole_s);
        for (size_t r = row_at(run, 1200); r < run->run.readings->rows; r++)
            column(run, "sun")[r] *= 1 - rows[i].darker;
        nr_series *s = series_of(run);
        ck_assert_msg(s->parts == rows[i].parts && s->bridged_steps == rows[i].bridged,
                      "%s away for %g s: %zu parts, %zu bridged", rows[i].channel, rows[i].hole_s,
                      s->parts, s->bridged_steps);
        nr_series_free(s);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* Of readings once a minute two that are missing are bridged (up to 3.5 minutes from one to the
 * next), more are not. */
START_TEST(slow_readings_are_bridged_farther)
{
    for (int missing = 2; missing < 4; missing++) {
        nr_virtual_params p = quiet_params();
        p.interval_s = 60;
        p.duration_s = 7200;
        nr_virtual_run *run = simulate(&p);
        blank(run, "sun", 2400, 2400 + 60 * missing);
        for (size_t r = row_at(run, 2400); r < run->run.readings->rows; r++)
            column(run, "sun")[r] *= 0.5;
        nr_series *s = series_of(run);
        ck_assert_msg(s->parts == (missing <= 2 ? 1 : 2), "%d missing: %zu parts", missing,
                      s->parts);
        nr_series_free(s);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* Blocks are settled two transit times (and three lags of the outlet sensor) after the pump came
 * on, and never while it stands. */
START_TEST(settled_after_two_transits)
{
    nr_virtual_params p = quiet_params();
    p.pump_stop_s = 1500;
    p.pump_restart_s = 2000;
    nr_virtual_run *run = simulate(&p);
    nr_rig *rig = &run->run.rig;
    rig->collector.fluid_kg.value = 2; /* a long tube, so that the wait is long */
    nr_series *s = series_of(run);
    ck_assert_uint_eq(s->parts, 1);
    double transit = 60 * 2 / s->flow_guess_L_min;
    NEAR_RELATIVE(s->transit_s, transit, 1e-9);
    NEAR_AT("the typical flow", s->flow_guess_L_min, p.flow_L_min, 0.1 * p.flow_L_min);
    double lag = nr_rig_channel_find(rig, "outlet")->lag_s;
    ck_assert_double_gt(lag, 0);
    size_t wait = (size_t)ceil((2 * transit + 3 * lag) / 10);
    const nr_part *part = &s->part[0];
    for (size_t b = 0; b < part->blocks; b++) {
        double t = 10 * (double)b;
        bool off = t + 10 > 1500 && t < 2000;
        /* The flow meter and the pump's own time constant take a block or two at both ends. */
        bool edge = fabs(t - 1500) < 30 || fabs(t - 2000) < 30;
        if (edge)
            continue;
        ck_assert_msg(part->pump_on[b] == !off, "pump at %g s", t);
        bool settled = !off && (b >= wait && (t < 1500 || b >= 200 + wait + 3));
        bool unsure = b + 3 >= 200 + wait && b < 200 + wait + 3;
        ck_assert_msg(unsure || part->settled[b] == settled, "settled at %g s: %d", t,
                      part->settled[b]);
        ck_assert_msg(!off || part->flow_W_K[s->steps_per_block * b] == 0, "flow at %g s", t);
    }
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* Other water at the inlet, 0.6 K within a row: the outlet does not count until it has passed (two
 * transits, three lags) and two minutes more; 0.2 K are left alone. */
START_TEST(other_water_has_to_pass)
{
    for (int jumps = 0; jumps < 2; jumps++) {
        nr_virtual_run *run = quiet_run();
        double *inlet = column(run, "inlet");
        for (size_t r = row_at(run, 1500); r < run->run.readings->rows; r++)
            inlet[r] += jumps ? 0.6 : 0.2;
        nr_series *s = series_of(run);
        double lag = nr_rig_channel_find(&run->run.rig, "outlet")->lag_s;
        size_t rest = (size_t)ceil((2 * s->transit_s + 3 * lag + 120) / 10);
        for (size_t b = 100; b < 250; b++) {
            bool passes = jumps && b >= 150 && b < 150 + rest;
            bool edge = jumps && ((b >= 147 && b < 150) || (b >= 150 + rest && b < 152 + rest));
            ck_assert_msg(edge || s->part[0].settled[b] == !passes, "block %zu, jump %d: %d", b,
                          jumps, s->part[0].settled[b]);
        }
        nr_series_free(s);
        nr_virtual_run_free(run);
    }
}
END_TEST

START_TEST(the_suns_angle_step_by_step)
{
    nr_virtual_run *run = quiet_run();
    nr_series *s = series_of(run);
    const nr_rig *rig = &run->run.rig;
    const nr_part *p = &s->part[0];
    ck_assert(p->obliquity != NULL && !s->sun_position_doubtful);
    double weight = 0, angle = 0;
    for (size_t k = 0; k < p->steps; k++) {
        double utc = run->run.readings->utc_s[0] + STEP_S * (double)k;
        nr_sun sun = nr_sun_at(utc, rig->latitude_deg.value, rig->longitude_deg.value);
        double incidence =
            nr_incidence_deg(sun.zenith_deg, sun.azimuth_deg, rig->collector.tilt_deg.value,
                             rig->collector.azimuth_deg.value);
        NEAR(p->obliquity[k], 1 / cos(incidence * M_PI / 180) - 1, 3e-4);
        weight += p->sun_W_m2[k];
        angle += p->sun_W_m2[k] * incidence;
    }
    NEAR(s->incidence_mean_deg, angle / weight, 0.02);
    ck_assert(s->incidence_lo_deg <= s->incidence_mean_deg);
    ck_assert(s->incidence_hi_deg >= s->incidence_mean_deg);
    NEAR(s->incidence_lo_deg, run->incidence_lo_deg, 0.2);
    NEAR(s->incidence_hi_deg, run->incidence_hi_deg, 0.2);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* Half a day off, the sun would shine at night: the angle is not used, and that is said. */
START_TEST(a_wrong_clock_gives_no_angle)
{
    nr_virtual_run *run = quiet_run();
    for (size_t r = 0; r < run->run.readings->rows; r++)
        run->run.readings->utc_s[r] += 43200;
    nr_series *s = series_of(run);
    ck_assert(s->sun_position_doubtful);
    ck_assert_ptr_null(s->part[0].obliquity);
    ck_assert(isnan(s->incidence_mean_deg));
    nr_series_free(s);
    nr_virtual_run_free(run);
    nr_virtual_params p = quiet_params();
    p.hide_site = true;
    run = simulate(&p);
    s = series_of(run);
    ck_assert(!s->sun_position_doubtful);
    ck_assert_ptr_null(s->part[0].obliquity);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* Bright while the sun is down, though it would look straight into the collector, and bright while
 * it is up and behind: either alone contradicts the clock. */
START_TEST(down_or_behind)
{
    for (int behind = 0; behind < 2; behind++) {
        nr_virtual_run *run = quiet_run();
        nr_rig *rig = &run->run.rig;
        double *utc = run->run.readings->utc_s, from = utc[0];
        nr_sun sun = nr_sun_at(from, rig->latitude_deg.value, rig->longitude_deg.value);
        while (!behind && sun.zenith_deg < 91.0) {
            from += 60;
            sun = nr_sun_at(from, rig->latitude_deg.value, rig->longitude_deg.value);
        }
        for (size_t r = run->run.readings->rows; r-- > 0;)
            utc[r] += from - utc[0];
        rig->collector.tilt_deg.value = 90;
        rig->collector.azimuth_deg.value = fmod(sun.azimuth_deg + (behind ? 180 : 0), 360);
        nr_series *s = series_of(run);
        ck_assert_msg(s->sun_position_doubtful, "behind %d", behind);
        ck_assert_ptr_null(s->part[0].obliquity);
        nr_series_free(s);
        nr_virtual_run_free(run);
    }
}
END_TEST

START_TEST(wind_is_the_departure_from_its_mean)
{
    nr_virtual_params p = quiet_params();
    p.channels |= NR_VC_BIT(NR_VC_WIND);
    nr_virtual_run *run = simulate(&p);
    nr_series *s = series_of(run);
    double sum = 0;
    for (size_t k = 0; k < s->part[0].steps; k++)
        sum += s->part[0].wind_m_s[k];
    NEAR(sum / (double)s->part[0].steps, 0, 1e-9);
    NEAR(s->mean_wind_m_s, mean_over(run, "wind", 0, STEP_S * (double)s->part[0].steps), 0.01);
    ck_assert_double_gt(s->wind_sd_m_s, 0.05);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* A pump whose supply is recorded: the flow is a guess, but it stands when the pump stands. */
START_TEST(a_stop_seen_by_the_supply)
{
    nr_virtual_params p = quiet_params();
    p.channels = NR_VC_STORE_SET | NR_VC_BIT(NR_VC_PUMP);
    p.pump_stop_s = 1500;
    p.pump_restart_s = 2000;
    nr_virtual_run *run = simulate(&p);
    nr_series *s = series_of(run);
    ck_assert(!s->flow_known && s->pump_known);
    for (size_t k = 0; k < s->part[0].steps; k++) {
        double t = s->step_s * (double)k, w = s->part[0].flow_W_K[k];
        if (fabs(t - 1500) < 30 || fabs(t - 2000) < 30)
            continue;
        ck_assert_msg((t > 1500 && t < 2000) == (w == 0), "flow at %g s: %g W/K", t, w);
    }
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* A step in which the pump stops has its share of the flow. */
START_TEST(a_stop_to_the_second)
{
    nr_virtual_params p = quiet_params();
    p.channels = NR_VC_STORE_SET | NR_VC_BIT(NR_VC_PUMP);
    nr_virtual_run *run = simulate(&p);
    double *supply = column(run, "pump");
    for (size_t r = row_at(run, 1502); r < row_at(run, 1999); r++)
        supply[r] = 0;
    nr_series *s = series_of(run);
    NEAR(s->step_s, 2.5, 1e-9);
    const double *w = s->part[0].flow_W_K;
    double flow_s = 0;
    for (size_t k = 400; k < 1000; k++) /* 1000 to 2500 s */
        flow_s += w[k] / w[401] * s->step_s;
    /* Density changes with the water's temperature, by 0.2 % between 15 and 25 degC. */
    NEAR_AT("seconds of flow", flow_s, 1500 - 497, 0.002 * 1003 + 0.5);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* What drives a pump whose flow was not measured: its supply; without that the irradiance; nothing
 * that hardly changes, and nothing at all where the flow was measured. */
START_TEST(what_drives_the_pump)
{
    static const unsigned channels[] = {NR_VC_STORE_SET | NR_VC_BIT(NR_VC_PUMP), NR_VC_STORE_SET,
                                        NR_VC_LOOP_SET};
    for (int i = 0; i < 4; i++) {
        nr_virtual_params p = quiet_params();
        p.sky = NR_SKY_CLOUDY;
        p.pump = i < 3 ? NR_PUMP_PANEL : NR_PUMP_STEADY;
        p.panel_stall_W_m2 = p.panel_start_W_m2 = 150; /* never stalls */
        p.channels = channels[i % 3];
        nr_virtual_run *run = simulate(&p);
        nr_series *s = series_of(run);
        const double *drive = s->part[0].drive;
        ck_assert_msg((drive != NULL) == (i < 2), "case %d", i);
        if (drive) {
            ck_assert_int_eq(s->drive, i ? NR_ROLE_SUN : NR_ROLE_PUMP);
            const char *from = i ? "sun" : "pump";
            double a = mean_over(run, from, 1000, 1005), b = mean_over(run, from, 2000, 2005);
            /* Readings stand in the middle of their second: half a second of cloud's edge. */
            NEAR_AT(from, drive[400] - drive[200], log(b / a), 0.02);
        }
        nr_series_free(s);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* A drive whose logarithm has a standard deviation below 0.02 moves nothing. */
START_TEST(drives_that_hardly_change)
{
    static const double sd[] = {0.0195, 0.0205};
    for (int k = 0; k < 2; k++) {
        nr_virtual_params p = quiet_params();
        p.pump = NR_PUMP_PANEL;
        p.panel_stall_W_m2 = p.panel_start_W_m2 = 150;
        p.channels = NR_VC_STORE_SET;
        nr_virtual_run *run = simulate(&p);
        for (size_t r = 0; r < run->run.readings->rows; r++)
            column(run, "sun")[r] = 800.0 * exp(r % 200 < 100 ? sd[k] : -sd[k]);
        nr_series *s = series_of(run);
        ck_assert((s->part[0].drive != NULL) == (k == 1));
        nr_series_free(s);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* No power law is believed below a fifth of what is typical: less is taken as that much. */
START_TEST(drives_far_down)
{
    static const double share[] = {0.22, 0.17};
    for (int k = 0; k < 2; k++) {
        nr_virtual_params p = quiet_params();
        p.pump = NR_PUMP_PANEL;
        p.panel_stall_W_m2 = p.panel_start_W_m2 = 150;
        p.channels = NR_VC_STORE_SET;
        nr_virtual_run *run = simulate(&p);
        double *sun = column(run, "sun");
        size_t from = row_at(run, 2000), to = row_at(run, 2100);
        for (size_t r = 0; r < run->run.readings->rows; r++)
            sun[r] = 800.0 + (r % 200 < 100 ? 40.0 : -40.0); /* else nothing drives */
        for (size_t r = from; r < to; r++)
            sun[r] = 800.0 * share[k];
        nr_series *s = series_of(run);
        const double *drive = s->part[0].drive;
        ck_assert_ptr_nonnull(drive);
        double typical = (log(840.0) + log(760.0)) / 2;
        NEAR(drive[410], k ? log(0.2) : log(800.0 * share[k]) - typical, 0.02);
        nr_series_free(s);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* A pump that stops inside a step was driven as in the step before it; what the step's own mean
 * holds is half of nothing. One that starts inside a step: as in the step after it. */
START_TEST(driven_for_a_part_of_a_step)
{
    nr_virtual_params p = quiet_params();
    p.pump = NR_PUMP_PANEL;
    p.panel_stall_W_m2 = p.panel_start_W_m2 = 150;
    p.channels = NR_VC_STORE_SET | NR_VC_BIT(NR_VC_PUMP);
    nr_virtual_run *run = simulate(&p);
    double *pump = column(run, "pump");
    size_t off = row_at(run, 1003), on = row_at(run, 1401);
    for (size_t r = 0; r < run->run.readings->rows; r++)
        pump[r] = r >= off && r < on ? 0.0 : r < off ? 12.0 : 9.0;
    nr_series *s = series_of(run);
    const double *drive = s->part[0].drive;
    ck_assert_ptr_nonnull(drive);
    ck_assert_int_eq(s->drive, NR_ROLE_PUMP);
    size_t last = (size_t)(1003 / s->step_s), first = (size_t)(1401 / s->step_s);
    NEAR(drive[last], drive[last - 1], 1e-6);
    NEAR(drive[first], drive[first + 1], 1e-6);
    NEAR(drive[first] - drive[last], log(9.0 / 12.0), 1e-6);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* A flow nobody measured is a guess, and marked as one: 0.02 kg/(s m2) as in ISO 9806. */
START_TEST(flow_not_measured)
{
    nr_virtual_params p = quiet_params();
    p.channels = NR_VC_STORE_SET;
    nr_virtual_run *run = simulate(&p);
    nr_series *s = series_of(run);
    ck_assert(!s->flow_known && !s->pump_known);
    double kg_s_m2 = s->flow_guess_L_min / 60 / run->run.rig.collector.gross_area_m2.value;
    NEAR(kg_s_m2, 0.02, 1e-3);
    ck_assert(isnan(s->part[0].flow_L_min[5]));
    ck_assert_ptr_null(s->part[0].reading[NR_OUT_OUTLET]);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

static void refused(const nr_virtual_run *run, const char *words)
{
    nr_series *s = NULL;
    nr_err err = {0};
    ck_assert_int_eq(nr_series_build(&run->run, &s, &err), NR_CANNOT);
    ck_assert_ptr_null(s);
    ck_assert_msg(strstr(err.text, words) != NULL, "\"%s\" is not in: %s", words, err.text);
}

START_TEST(what_cannot_be_answered)
{
    nr_virtual_run *run = quiet_run();
    run->run.readings->rows = 299;
    refused(run, "five minutes");
    nr_virtual_run_free(run);

    run = quiet_run();
    blank(run, "sun", 0, 1e9);
    refused(run, "channel sun has no good reading");
    nr_virtual_run_free(run);

    run = quiet_run();
    blank(run, "store", 0, 1e9);
    blank(run, "inlet", 0, 1e9);
    refused(run, "store or inlet");
    nr_virtual_run_free(run);

    /* A minute of sun in twelve: never long enough without a gap. */
    run = quiet_run();
    for (int minute = 0; minute < 60; minute += 12)
        blank(run, "sun", minute * 60.0 + 60, minute * 60.0 + 720);
    refused(run, "never recorded together");
    nr_virtual_run_free(run);
}
END_TEST

/* More gaps than there are parts to keep: the rest is counted as lost, nothing overflows. */
START_TEST(more_gaps_than_parts)
{
    nr_virtual_params p = quiet_params();
    p.duration_s = 18000;
    nr_virtual_run *run = simulate(&p);
    for (int i = 0; i < 72; i++) { /* bright and dark, so that no hole is bridged */
        for (size_t r = row_at(run, 250.0 * i); i % 2 && r < row_at(run, 250.0 * (i + 1)); r++)
            column(run, "sun")[r] *= 0.5;
        blank(run, "sun", 250.0 * i + 150, 250.0 * i + 250);
    }
    nr_series *s = series_of(run);
    ck_assert_uint_eq(s->parts, NR_PARTS);
    double used = 0;
    for (size_t i = 0; i < s->parts; i++)
        used += STEP_S * (double)s->part[i].steps;
    NEAR(used, NR_PARTS * 150, 1e-6);
    NEAR(s->lost_s, STEP_S * floor(17999 / STEP_S) - used, STEP_S);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* A gap of ten years costs nothing: steps and blocks are as fine as without it. */
START_TEST(a_gap_of_years_costs_nothing)
{
    nr_virtual_run *run = quiet_run();
    nr_readings *r = run->run.readings;
    for (size_t i = row_at(run, 1200); i < r->rows; i++) {
        r->elapsed_s[i] += 315e6;
        r->utc_s[i] += 315e6;
    }
    nr_series *s = series_of(run);
    ck_assert_uint_eq(s->parts, 2);
    NEAR(s->block_s, 10, 1e-9);
    size_t steps = s->part[0].steps + s->part[1].steps;
    ck_assert_uint_le(steps, r->rows / (size_t)STEP_S + 1);
    ck_assert_double_gt(s->lost_s, 314e6);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {means_at_their_time,
                                  a_gap_of_years_costs_nothing,
                                  slow_readings_stand_in_the_middle,
                                  flow_becomes_heat_flow,
                                  a_short_gap_is_bridged,
                                  a_long_gap_ends_a_part,
                                  what_may_be_bridged_how_far,
                                  slow_readings_are_bridged_farther,
                                  settled_after_two_transits,
                                  other_water_has_to_pass,
                                  the_suns_angle_step_by_step,
                                  a_wrong_clock_gives_no_angle,
                                  down_or_behind,
                                  wind_is_the_departure_from_its_mean,
                                  a_stop_to_the_second,
                                  what_drives_the_pump,
                                  drives_that_hardly_change,
                                  drives_far_down,
                                  driven_for_a_part_of_a_step,
                                  flow_not_measured,
                                  a_stop_seen_by_the_supply,
                                  what_cannot_be_answered,
                                  more_gaps_than_parts,
                                  NULL};
    return run_tests("series", tests);
}
