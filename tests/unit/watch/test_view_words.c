/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the live view says, of a run that was never written: each limit from both sides, each number
 * worked out here. */
#include "logger/watch/view_words.h"
#include "tests/unit/near.h"

static nr_tail t;
static nr_view_words w;
static nr_view_options o = {.target_degC = NAN};

static nr_tail_channel *channel(const char *name, const char *unit, double value)
{
    nr_tail_channel *c = &t.channel[t.channels++];
    snprintf(c->name, sizeof c->name, "%s", name);
    snprintf(c->label, sizeof c->label, "%s", unit);
    c->unit = nr_unit_find(unit);
    for (size_t i = 0; i < t.rows; i++)
        c->value[i] = value;
    c->last = c->low = c->high = value;
    c->last_s = t.rows > 0 ? t.time_s[t.rows - 1] : 0;
    return c;
}

/* Rows every step_s, the last at 7000 s. */
static void begin(double step_s)
{
    memset(&t, 0, sizeof t);
    o = (nr_view_options){.target_degC = NAN};
    t.rows = 500;
    for (size_t i = 0; i < t.rows; i++)
        t.time_s[i] = 7000 - step_s * (double)(t.rows - 1 - i);
    nr_history_begin(&t.history);
}

static const char *remark(const nr_tail_channel *c)
{
    static char out[100];
    nr_view_remark(&t, c, out, sizeof out);
    return out;
}

START_TEST(clocks)
{
    static const struct {
        double s;
        const char *words;
    } of[] = {{-5, "0:00:00"},   {59.9, "0:00:59"},   {60, "0:01:00"},     {3599.9, "0:59:59"},
              {3600, "1:00:00"}, {36061, "10:01:01"}, {86399, "23:59:59"}, {360000, "100:00:00"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char out[32];
        nr_view_clock(of[i].s, out, sizeof out);
        ck_assert_str_eq(out, of[i].words);
    }
}
END_TEST

/* Five intervals of the last minute of rows, and at least five seconds. */
START_TEST(silence)
{
    static const struct {
        double step_s, silent_s;
        const char *words;
    } of[] = {{1, 5, ""},
              {1, 5.6, "no reading for 6 s"},
              {0.25, 5, ""},
              {0.25, 5.6, "no reading for 6 s"},
              {10, 50, ""},
              {10, 50.6, "no reading for 51 s"},
              {1, 89.4, "no reading for 89 s"},
              {1, 90, "no reading for 2 min"},
              {1, 149, "no reading for 2 min"},
              {1, 150, "no reading for 3 min"},
              {1, 5399, "no reading for 90 min"},
              {1, 5400, "no reading for 1 h 30 min"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin(of[i].step_s);
        nr_tail_channel *c = channel("air", "degC", 20);
        c->last_s = c->changed_s = 7000 - of[i].silent_s;
        ck_assert_str_eq(remark(c), of[i].words);
    }
    begin(10); /* what was slower before counts no longer, but for the oldest of 60 rows */
    for (size_t i = 0; i < 440; i++)
        t.time_s[i] -= 4000;
    nr_tail_channel *c = channel("air", "degC", 20);
    c->last_s = c->changed_s = 7000 - 50.6;
    ck_assert_str_eq(remark(c), "no reading for 51 s");
    t.time_s[440] -= 59 * 10; /* twice the span of the 60: 20 s on the average */
    c->last_s = c->changed_s = 7000 - 99;
    ck_assert_str_eq(remark(c), "");
    c->last = NAN;
    ck_assert_str_eq(remark(c), "no reading yet");
    t.rows = 0;
    ck_assert_str_eq(remark(c), "");
}
END_TEST

/* Ten minutes of the same reading, while the store moved by more than a kelvin. */
START_TEST(stuck)
{
    for (int way = 0; way < 4; way++) {
        begin(5);
        nr_tail_channel *store = channel("store", "degC", 30), *air = channel("air", "degC", 20);
        store->value[499] = 30 + (way == 1 ? 1.0 : 1.01);
        store->value[100] = 90; /* long before */
        store->value[450] = NAN;
        air->changed_s = 7000 - (way == 2 ? 600 : 601);
        t.channel[1].unit = nr_unit_find(way == 3 ? "percent" : "degC");
        ck_assert_str_eq(remark(air), way == 0 ? "stuck for 10 min?" : "");
        store->changed_s = 0;
        ck_assert_str_eq(remark(store), ""); /* it is what moves */
    }
}
END_TEST

/* Of n spans at most 30 cells, each the mean of its share; eight heights, lowest to highest. */
START_TEST(course)
{
    static const char heights[] = "_.-=+*#@";
    static const size_t counts[] = {2, 3, 8, 29, 30, 31, 59, 60, 61, 100, 480};
    for (size_t k = 0; k < sizeof counts / sizeof *counts; k++) {
        size_t n = counts[k], cells = n < 30 ? n : 30;
        char expected[64] = "";
        begin(1);
        nr_tail_channel *store = channel("store", "degC", 30);
        store->low = 20, store->high = 27;
        for (size_t i = 0; i < n; i++)
            if (i % 7 != 5)
                nr_history_take(&t.history, 0, (double)i, 20 + (double)(i * i % 71) / 10);
        for (size_t cell = 0; cell < cells; cell++) {
            double sum = 0;
            int taken = 0;
            for (size_t i = 0; i < n; i++) /* whose span begins in the cell */
                if (i >= cell * n / cells && i < (cell + 1) * n / cells && i % 7 != 5) {
                    sum += (double)(i * i % 71) / 10;
                    taken++;
                }
            expected[cell] = taken ? heights[(int)floor(sum / taken + 0.5)] : ' ';
        }
        nr_view_say(&t, &o, &w);
        strcat(expected, "  store, 20.0 to 27.0 degC");
        ck_assert_str_eq(w.course, expected);
    }
    begin(1);
    nr_tail_channel *store = channel("store", "degC", 30);
    store->low = 20, store->high = 27;
    nr_history_take(&t.history, 0, 0, 20);
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.course, "");
    nr_history_take(&t.history, 0, 1, 27);
    o.utf8 = o.fahrenheit = true;
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.course, "▁█  store, 68.0 to 80.6 °F");
    store->high = 20;
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.course, "");
}
END_TEST

/* One decimal of temperatures and speeds, none of irradiance, two else. */
START_TEST(numbers)
{
    static const struct {
        const char *unit, *words, *us;
    } of[] = {{"degC", "12.3", "54.2"}, /* 12.345 * 1.8 + 32 = 54.22 */
              {"m_s", "12.3", "27.6"},  /* 12.345 m/s / 0.44704 = 27.615 mph */
              {"W_m2", "12", "12"},
              {"L_min", "12.35", "3.26"}}; /* a gallon is 3.785411784 L */
    begin(1);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char out[32];
        nr_tail_channel *c = channel("x", of[i].unit, 0);
        nr_view_number(c, false, 12.3451, out, sizeof out);
        ck_assert_str_eq(out, of[i].words);
        if (i != 2) { /* square feet: test_units */
            nr_view_number(c, true, 12.3451, out, sizeof out);
            ck_assert_str_eq(out, of[i].us);
        }
        nr_view_number(c, false, NAN, out, sizeof out);
        ck_assert_str_eq(out, "-");
    }
}
END_TEST

/* Rows a second apart whose store rises by rate_s, and swings by `swing` to and fro. */
static nr_tail_channel *rising(double rate_s, double swing)
{
    begin(1);
    nr_tail_channel *store = channel("store", "degC", 0);
    for (size_t i = 0; i < t.rows; i++)
        store->value[i] = 40 + rate_s * (t.time_s[i] - 7000) + (i % 2 ? swing : -swing);
    store->last = store->value[t.rows - 1];
    store->high = store->last;
    t.recording = true;
    return store;
}

/* Of 300 independent readings a second apart about a line: u of the slope is s sqrt(12/(n^3 - n)).
 */
START_TEST(rates)
{
    char expected[NR_VIEW_WORDS];
    for (int us = 0; us < 2; us++) {
        double n = 300, s = 0.9 * sqrt(n / (n - 2)), each = us ? 1.8 : 1;
        double u95 = 1.96 * s * sqrt(12 / (n * n * n - n)) * 60 * each, rate = 0.6 * each;
        rising(0.01, 0.9);
        o.fahrenheit = us;
        nr_view_say(&t, &o, &w);
        /* the swing leans on the line by 6 a/(n^2 - 1) a second */
        rate += 6 * 0.9 / (n * n - 1) * 60 * each;
        snprintf(expected, sizeof expected, "%+.2f deg%c a minute (%+.2f to %+.2f)", rate,
                 us ? 'F' : 'C', rate - u95, rate + u95);
        ck_assert_str_eq(w.rate, expected);
    }
    rising(-0.01, 0);
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.rate, "-0.60 degC a minute");
    t.rows = 0;
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.rate, "rate: not yet known");
}
END_TEST

/* 40 kg of 4181 J/(kg K) at 0.01 K/s: 1672 W. */
START_TEST(heat)
{
    rising(0.01, 0);
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.heat, "");
    t.has_rig = true;
    t.rig.store.water_kg = (nr_value){.given = true, .value = 40};
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.heat, "+1672 W");
    t.rig.store.water_kg.u_given = true;
    t.rig.store.water_kg.u = 1; /* 41.81 W; 1.96 of it 81.9 */
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.heat, "+1672 W (+1590 to +1754)");
}
END_TEST

/* A straight rise without scatter and without a rig: what is missing over the rate. */
START_TEST(targets)
{
    static const struct {
        double rate_s, target;
        const char *words;
    } of[] = {{0.01, 40.89, "40.9 degC in about 89 s in this sun"},
              {0.01, 40.91, "40.9 degC in 2 min in this sun"},
              {0.01, 46, "46.0 degC in 10 min in this sun"},
              {0.01, 39.99, "40.0 degC is reached"},
              {-0.01, 45, "45.0 degC: the water is cooling"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        rising(of[i].rate_s, 0);
        o.target_degC = of[i].target;
        nr_view_say(&t, &o, &w);
        ck_assert_str_eq(w.target, of[i].words);
    }
    /* With scatter: 30 K at 0.6 K a minute, within an interval. */
    double middle, lo, hi;
    rising(0.01, 0.9);
    o.target_degC = 70;
    nr_view_say(&t, &o, &w);
    ck_assert_msg(
        sscanf(w.target, "70.0 degC in %lf min (%lf to %lf) in this sun", &middle, &lo, &hi) == 3,
        "%s", w.target);
    NEAR(middle, 50, 3);
    ck_assert_msg(lo < middle && middle < hi, "%s", w.target);
    rising(0.0, 0.5);
    o.target_degC = 45;
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.target, "45.0 degC: no telling when, yet");
    nr_tail_channel *store = rising(0.01, 0);
    o.target_degC = 45;
    t.recording = false;
    store->high = 44.99;
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.target, "45.0 degC was not reached");
    store->high = 45;
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.target, "45.0 degC was reached");
    t.recording = true; /* no rate: by the last reading */
    t.rows = 10;
    store->last = 44.99;
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.target, "45.0 degC: no telling when, yet");
    store->last = 45;
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.target, "45.0 degC is reached");
}
END_TEST

/* A cloud: less than 0.6 of the best of a quarter of an hour, where that is over 100 W/m2. */
START_TEST(clouds)
{
    static const struct {
        double best, ago_s, now;
        bool cloud;
    } of[] = {{900, 100, 539, true},  {900, 100, 541, false}, {900, 895, 300, true},
              {900, 905, 300, false}, {101, 100, 50, true},   {99, 100, 50, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char expected[60];
        begin(10);
        nr_tail_channel *sun = channel("sun", "W_m2", of[i].now);
        sun->value[498] = NAN;
        for (size_t r = 0; r < t.rows; r++)
            if (fabs(t.time_s[r] - (7000 - of[i].ago_s)) <= 5)
                sun->value[r] = of[i].best;
        nr_view_say(&t, &o, &w);
        snprintf(expected, sizeof expected, "sun %.0f W_m2%s", of[i].now,
                 of[i].cloud ? ", a cloud" : "");
        ck_assert_str_eq(w.sun, expected);
    }
}
END_TEST

START_TEST(states)
{
    static const struct {
        double state_age_s, elapsed_s;
        const char *words;
    } of[] = {{10, 6992, "recording 1:56:42"},
              {10.6, 6992, "nothing from the recorder for 11 s"},
              {0, 7005, "recording 1:56:45"},
              {0, 7005.6, "no reading for 6 s"},
              {0.6, 7005, "no reading for 6 s"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin(1);
        t.recording = t.has_state = true;
        t.state_age_s = of[i].state_age_s;
        t.state.elapsed_s = of[i].elapsed_s;
        nr_view_say(&t, &o, &w);
        ck_assert_str_eq(w.state, of[i].words);
        ck_assert_int_eq(w.state_strange, strncmp(w.state, "recording", 9) != 0);
    }
    t.state_age_s = 0;
    t.state.waiting = true;
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.state, "waiting for the port, 1:56:45");
    snprintf(t.state.trouble, sizeof t.state.trouble, "full");
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.state, "disk in trouble, 1:56:45");
    t.recording = false;
    nr_view_say(&t, &o, &w);
    ck_assert_str_eq(w.state, "ended after 1:56:40");
    ck_assert(!w.state_strange);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {clocks, silence, stuck,  course, numbers, rates,
                                  heat,   targets, clouds, states, NULL};
    return run_tests("view_words", tests);
}
