/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Starts and stops of a pump on its own panel, from made-up records of a row a second: each
 * brackets a threshold, several narrow it, brackets that contradict each other widen it. Expected:
 * plain intervals, a uniform distribution between their ends (JCGM 100:2008, 4.3.7) and 5 W/m2. */
#include "analyze/fit/panel_pump.h"
#include "analyze/forecast/size_cautions.h"
#include "tests/unit/near.h"

#define ROWS 400
static double at_s[ROWS], sun[ROWS], flow[ROWS];
static unsigned char pump[ROWS], bad[ROWS];
static nr_values sun_values, flow_values;
static nr_quality quality;
static nr_series series;
static nr_series *const one = &series;

/* Full sun and flow, a row every so many seconds. */
static void record(double step_s, nr_pump_source source)
{
    for (int i = 0; i < ROWS; i++) {
        at_s[i] = step_s * i;
        sun[i] = 900;
        flow[i] = 1;
        pump[i] = NR_PUMP_IS_ON;
    }
    sun_values = (nr_values){.plain = sun};
    flow_values = (nr_values){.plain = flow};
    quality = (nr_quality){.rows = ROWS,
                           .elapsed_s = {.plain = at_s},
                           .pump = pump,
                           .pump_source = source,
                           .pump_typical = 1};
    quality.channel[NR_ROLE_SUN] = (nr_quality_channel){.value = &sun_values, .bad = bad};
    quality.channel[NR_ROLE_FLOW] = (nr_quality_channel){.value = &flow_values, .bad = bad};
    series = (nr_series){.quality = &quality, .mean_sun_W_m2 = 800};
}

/* Off from one row up to another, with the sun that there was before it, at it, before its end, at
 * its end. */
static void stop(int from, int to, double before, double off, double still, double on)
{
    for (int i = from; i < to; i++) {
        pump[i] = NR_PUMP_IS_OFF;
        flow[i] = 0;
        sun[i] = (off + still) / 2;
    }
    sun[from - 1] = before;
    sun[from] = off;
    sun[to - 1] = still;
    sun[to] = on;
}

static nr_panel_pump found(void)
{
    nr_panel_pump p;
    nr_err err;
    ck_assert(nr_panel_pump_find(&one, 1, &p, &err) == NR_OK);
    return p;
}

START_TEST(brackets)
{
    record(1, NR_PUMP_FROM_SUPPLY);
    ck_assert(!found().driven && found().stall.events == 0 && !found().stall.W_m2.known);
    stop(50, 90, 300, 240, 350, 410);
    nr_panel_pump p = found();
    ck_assert(p.stall.events == 1 && p.start.events == 1 && p.driven);
    NEAR(p.stall.W_m2.value, 270, 1e-9);
    NEAR(p.stall.W_m2.u, hypot(60 / sqrt(12), 5), 1e-9);
    NEAR(p.start.W_m2.value, 380, 1e-9);
    NEAR(p.start.W_m2.u, hypot(60 / sqrt(12), 5), 1e-9);
    ck_assert_int_eq(p.stall.W_m2.unit, NR_UNIT_W_M2);
    stop(150, 190, 280, 200, 390, 500); /* narrower: 240 to 280, 390 to 410 */
    p = found();
    ck_assert(p.stall.events == 2 && p.start.events == 2);
    NEAR(p.stall.W_m2.value, 260, 1e-9);
    NEAR(p.stall.W_m2.u, hypot(40 / sqrt(12), 5), 1e-9);
    NEAR(p.start.W_m2.value, 400, 1e-9);
    stop(250, 290, 225, 190, 420, 440); /* at odds: between 225 and 240, 410 and 420 */
    p = found();
    NEAR(p.stall.W_m2.value, 232.5, 1e-9);
    NEAR(p.stall.W_m2.u, hypot(15 / sqrt(12), 5), 1e-9);
    NEAR(p.start.W_m2.value, 415, 1e-9);
}
END_TEST

/* In three quarters of the usual sun and more it was switched off. */
START_TEST(starved_or_switched_off)
{
    for (int more = 0; more < 2; more++) {
        record(1, NR_PUMP_FROM_SUPPLY);
        stop(50, 90, 599 + 2 * more, 599 + 2 * more, 800, 850);
        ck_assert(found().driven == !more);
    }
    record(1, NR_PUMP_FROM_SUPPLY);
    stop(50, 90, 300, NAN, 350, 410); /* no sun was read at the stop */
    ck_assert(found().stall.events == 0 && found().start.events == 1 && !found().driven);
    record(1, NR_PUMP_FROM_SUPPLY);
    stop(50, 90, 300, 240, 350, 410);
    pump[50] = pump[89] = NR_PUMP_IS_UNKNOWN; /* neither the stop nor the start was seen */
    ck_assert(found().stall.events == 0 && found().start.events == 0);
    for (int far = 0; far < 2; far++) { /* rows more than 30 s apart tell nothing */
        record(far ? 31 : 30, NR_PUMP_FROM_SUPPLY);
        stop(50, 90, 300, 240, 350, 410);
        ck_assert_uint_eq(found().stall.events, !far);
    }
}
END_TEST

/* A pump coasts: the sun counts from before its flow began to collapse (to less than three quarters
 * in three seconds), and a start from when it still stood (below 6 % of the usual). */
START_TEST(what_coasts)
{
    record(1, NR_PUMP_FROM_FLOW);
    stop(100, 150, 100, 90, 100, 100);
    for (int i = 90; i < 100;
         i++) { /* ten seconds: from 500 to 230 W/m2, the flow halves each 2 s */
        sun[i] = 500 - 30 * (i - 90);
        flow[i] = i < 93 ? 0.95 : 0.95 * pow(0.5, (i - 92) / 2.0);
    }
    nr_panel_pump p = found(); /* 0.95 at 92, 0.672 at 93: 71 % of what was there at 90 */
    NEAR(p.stall.W_m2.value, (sun[92] + 90) / 2, 1e-9);
    for (int i = 140; i < 150; i++) { /* it begins to turn at 145 */
        sun[i] = 300 + 10 * (i - 140);
        flow[i] = i < 145 ? 0.05 : 0.07 + 0.1 * (i - 145);
    }
    sun[150] = 420;
    p = found();
    NEAR(p.start.W_m2.value, (sun[144] + 420) / 2, 1e-9);
    for (int i = 0; i < 100; i++) /* it collapses for ever: forty seconds at most */
        flow[i] = pow(0.8, i);
    for (int i = 0; i < 100; i++)
        sun[i] = 900 - 5 * i;
    p = found();
    NEAR(p.stall.W_m2.value, (sun[60] + 90) / 2, 1e-9);
    quality.pump_source = NR_PUMP_FROM_SUPPLY; /* who sees the supply sees it at once */
    NEAR(found().stall.W_m2.value, (sun[99] + 90) / 2, 1e-9);
}
END_TEST

/* --- what to beware of in a sizing --------------------------------------------------------------
 */

static nr_size sizing;
static nr_fit of;

static bool cautions(nr_warning_code code)
{
    memset(&sizing.cautions, 0, sizeof sizing.cautions);
    nr_size_caution(&sizing);
    for (size_t i = 0; i < sizing.cautions.count; i++)
        if (sizing.cautions.item[i].code == code)
            return true;
    return false;
}

START_TEST(cautions_of_a_sizing)
{
    of = (nr_fit){.mean_flow_L_min = 1.1, .gross_area_m2 = 1.1, .dT_range = {-4, 20}};
    sizing = (nr_size){.fit = &of};
    sizing.asked.day = (nr_day){.air_degC = 20, .to_degC = 30, .u_sun = 0.05};
    sizing.warmest_degC.value = 40.9; /* 20 K over the air were tested, and one more is none */
    ck_assert(!cautions(NR_WARN_OUTSIDE_TESTED_RISE) && cautions(NR_WARN_SAME_BUILD));
    sizing.warmest_degC.value = 41.1;
    ck_assert(cautions(NR_WARN_OUTSIDE_TESTED_RISE));
    ck_assert(sizing.cautions.item[0].number[0] == -4 && sizing.cautions.item[0].number[1] == 20);
    sizing.warmest_degC.value = 30;
    sizing.asked.day.to_degC = 41.1; /* what is wanted counts as well */
    ck_assert(cautions(NR_WARN_OUTSIDE_TESTED_RISE));
    sizing.asked.day.to_degC = 40.9;
    ck_assert(!cautions(NR_WARN_OUTSIDE_TESTED_RISE));
    ck_assert(!cautions(NR_WARN_CLEAR_SKY));
    NEAR(sizing.cautions.item[0].number[0], 1, 1e-12); /* L/min of a square metre */
    sizing.asked.day.clear_sky = true;
    ck_assert(cautions(NR_WARN_CLEAR_SKY));
    ck_assert(!cautions(NR_WARN_SAME_AIR));
    sizing.months = NR_MONTHS;
    for (int m = 0; m < NR_MONTHS; m++)
        sizing.asked.month_air_degC[m] = NAN;
    ck_assert(cautions(NR_WARN_SAME_AIR));
    sizing.asked.month_air_degC[11] = 3; /* one that is stated is enough */
    ck_assert(!cautions(NR_WARN_SAME_AIR));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {brackets, starved_or_switched_off, what_coasts,
                                  cautions_of_a_sizing, NULL};
    return run_tests("panel pump", tests);
}
