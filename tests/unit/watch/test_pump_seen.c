/* SPDX-License-Identifier: GPL-3.0-or-later */
/* When a pump runs, when a cloud stopped it, and what is said of sun and rate: the limits from both
 * sides. The limits are the program's own (common practice, no source). */
#include "logger/watch/pump_seen.h"
#include "logger/watch/view_words.h"
#include "tests/unit/near.h"

#include <stdlib.h>

enum { STORE, SUN, FLOW, CHANNELS };

/* A tail in memory: rows a second apart. */
static nr_tail *a_tail(size_t rows)
{
    static const char *const name[CHANNELS] = {"store", "sun", "flow"};
    static const char *const unit[CHANNELS] = {"degC", "W_m2", "L_min"};
    nr_tail *t = calloc(1, sizeof *t);
    ck_assert(t != NULL);
    t->rows = rows;
    t->channels = CHANNELS;
    for (size_t c = 0; c < CHANNELS; c++) {
        snprintf(t->channel[c].name, sizeof t->channel[c].name, "%s", name[c]);
        t->channel[c].unit = nr_unit_find(unit[c]);
        ck_assert(t->channel[c].unit != NULL);
    }
    for (size_t i = 0; i < rows; i++)
        t->time_s[i] = (double)i;
    return t;
}

static void fill(nr_tail *t, size_t c, size_t from, size_t to, double value)
{
    nr_tail_channel *ch = &t->channel[c];
    for (size_t i = from; i < to; i++) {
        ch->value[i] = value;
        ch->high = fmax(ch->high, value);
        ch->last = value;
        ch->last_s = t->time_s[i];
    }
}

/* The sun was 1000 W/m2, `least` over one row that is `ago` seconds before the pump stopped, and
 * nowhere else low; the pump stops at 400 s. */
static bool cloud(double least, int ago)
{
    nr_tail *t = a_tail(500);
    fill(t, SUN, 0, 500, 1000);
    size_t at = (size_t)(400 - ago);
    fill(t, SUN, at, at + 1, least);
    fill(t, FLOW, 0, 401, 1.0);
    fill(t, FLOW, 401, 500, 0.0);
    nr_pump_seen pump = nr_pump_seen_in(t);
    ck_assert_int_eq(pump.state, NR_PUMP_STOPPED);
    NEAR(pump.since_s, 400, 0);
    free(t);
    return pump.cloud;
}

START_TEST(a_cloud_or_not)
{
    ck_assert(cloud(699, 0) && !cloud(701, 0)); /* 0.7 of what it had been */
    /* within half a minute of the stop, before and after */
    ck_assert(cloud(100, 30) && !cloud(100, 31));
    ck_assert(cloud(100, -30) && !cloud(100, -31));
}
END_TEST

/* What it had been is that of the five minutes before. */
START_TEST(what_the_sun_had_been)
{
    for (int ago = 300; ago < 302; ago++) {
        nr_tail *t = a_tail(500);
        fill(t, SUN, 0, 500, 500);
        fill(t, SUN, (size_t)(400 - ago), (size_t)(401 - ago), 1000);
        fill(t, FLOW, 0, 401, 1.0);
        fill(t, FLOW, 401, 500, 0.0);
        ck_assert(nr_pump_seen_in(t).cloud == (ago == 300));
        free(t);
    }
}
END_TEST

/* A twentieth of the highest flow is none, nor are 0.03 L/min in any case. */
START_TEST(how_little_is_no_flow)
{
    static const struct {
        double high, now;
        nr_pump_motion state;
    } of[] = {{2.0, 0.101, NR_PUMP_RUNNING},
              {2.0, 0.099, NR_PUMP_STOPPED},
              {0.4, 0.031, NR_PUMP_RUNNING},
              {0.4, 0.029, NR_PUMP_STOPPED}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_tail *t = a_tail(20);
        fill(t, FLOW, 0, 10, of[i].high);
        fill(t, FLOW, 10, 20, of[i].now);
        ck_assert_msg(nr_pump_seen_in(t).state == of[i].state, "%zu", i);
        free(t);
    }
}
END_TEST

static const char *words_of(nr_tail *t, bool fahrenheit, char *(*which)(nr_view_words *))
{
    static nr_view_words words;
    nr_view_options options = {
        .columns = 80, .rows = 24, .utf8 = true, .target_degC = NAN, .fahrenheit = fahrenheit};
    memset(&words, 0, sizeof words);
    nr_view_say(t, &options, &words);
    return which(&words);
}
static char *sun_of(nr_view_words *w)
{
    return w->sun;
}
static char *rate_of(nr_view_words *w)
{
    return w->rate;
}

/* A cloud is less than 0.6 of the best of the last quarter of an hour. */
START_TEST(a_cloud_is_named)
{
    nr_tail *t = a_tail(1000);
    fill(t, STORE, 0, 1000, 20);
    fill(t, SUN, 0, 999, 900);
    fill(t, SUN, 999, 1000, 541);
    ck_assert_str_eq(words_of(t, false, sun_of), "sun 541 W/m²");
    fill(t, SUN, 999, 1000, 539);
    ck_assert_str_eq(words_of(t, false, sun_of), "sun 539 W/m², a cloud");
    fill(t, SUN, 100, 999, 541); /* 900 W/m2 is longer ago than that */
    fill(t, SUN, 999, 1000, 539);
    ck_assert_str_eq(words_of(t, false, sun_of), "sun 539 W/m²");
    free(t);
}
END_TEST

/* 0.6 K a minute with a reading that goes up and down: the interval holds the rate, lower end
 * first.
 */
START_TEST(a_rate_with_its_interval)
{
    nr_tail *t = a_tail(300);
    for (size_t i = 0; i < 300; i++)
        fill(t, STORE, i, i + 1, 20 + 0.01 * (double)i + (i % 7 < 3 ? 0.1 : -0.1));
    for (int us = 0; us < 2; us++) {
        double rate, lo, hi, per_K = us ? 1.8 : 1;
        const char *text = words_of(t, us, rate_of);
        ck_assert_msg(sscanf(text, "%lf %*s a minute (%lf to %lf)", &rate, &lo, &hi) == 3, "%s",
                      text);
        ck_assert_msg(lo < rate && rate < hi, "%s", text);
        NEAR(rate, 0.6 * per_K, 0.02 * per_K);
        NEAR(rate - lo, hi - rate, 0.0101); /* rounded to hundredths */
    }
    free(t);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("pump seen");
    TCase *all = tcase_create("all");
    tcase_add_test(all, a_cloud_or_not);
    tcase_add_test(all, what_the_sun_had_been);
    tcase_add_test(all, how_little_is_no_flow);
    tcase_add_test(all, a_cloud_is_named);
    tcase_add_test(all, a_rate_with_its_interval);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
