/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where `listen` begins to doubt what it heard, from both sides: what was heard is set here, not
 * sent. Limits are those of its messages and of README.md. */
#include "logger/listen/judge.h"
#include "tests/unit/near.h"

static nr_rig rig;
static nr_heard heard;
static nr_advices advices;
enum { STORE, AIR, SUN };

/* A rig that nothing is the matter with: 100 lines, one a second. */
static void begin(void)
{
    static const char text[] = "[adapter]\nport = /dev/null\n[channel store]\nunit = degC\n"
                               "[channel air]\nunit = degC\n[channel sun]\nunit = W_m2\n";
    static const double at[] = {30, 20, 800};
    static const char *const names[] = {"store", "air", "sun"};
    nr_err err = {0};
    ck_assert_msg(nr_rig_parse(text, sizeof text - 1, "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL,
                               &err) == NR_OK,
                  "%s", err.text);
    nr_heard_begin(&heard, &rig);
    heard.seconds = 100;
    nr_heard_adapter *a = &heard.adapter[0];
    snprintf(a->path, sizeof a->path, "/dev/ttyUSB0");
    snprintf(a->good, sizeof a->good, "store=30,air=20,sun=800");
    snprintf(a->bad, sizeof a->bad, "store=?");
    a->bytes = 2400;
    a->lines = a->fault[NR_LINE_GOOD] = 100;
    a->first_good_s = 1;
    a->last_good_s = 100;
    a->keys = 3;
    for (int i = 0; i < 3; i++) {
        nr_heard_channel *c = &heard.channel[i];
        snprintf(a->key[i].name, sizeof a->key[i].name, "%s", names[i]);
        a->key[i].count = 100;
        a->key[i].seen = nr_seen_none();
        c->good = 100;
        c->changes = 50;
        c->raw = c->value = c->raw_low = c->raw_high = c->low = c->high = c->first = at[i];
        c->largest_step = 0.1;
    }
}

static const nr_advice *said(const char *code, const char *channel)
{
    nr_judge(&heard, false, &advices);
    for (size_t i = 0; i < advices.count; i++)
        if (strcmp(advices.advice[i].code, code) == 0 &&
            strcmp(advices.advice[i].channel, channel) == 0)
            return &advices.advice[i];
    return NULL;
}

START_TEST(nothing_the_matter)
{
    begin();
    nr_judge(&heard, false, &advices);
    ck_assert_uint_eq(advices.count, 0);
    ck_assert_uint_eq(nr_judge_good_channels(&heard), 3);
}
END_TEST

/* Lowest and highest reading of a channel, and what is doubted of it. */
START_TEST(ranges)
{
    static const struct {
        int channel;
        double low, high;
        const char *code;
        bool is;
    } of[] = {{STORE, -40, 30, "implausible", false},
              {STORE, -40.1, 30, "implausible", true},
              {STORE, 30, 200, "implausible", false},
              {STORE, 30, 200.1, "implausible", true},
              {STORE, 60, 70, "degF", false},
              {STORE, 60.1, 70, "degF", true},
              {STORE, 60.1, 200, "degF", true},
              {STORE, 60.1, 200.1, "degF", false},
              {AIR, 48, 70, "degF", false},
              {AIR, 48.1, 70, "degF", true},
              {SUN, -20, 800, "implausible", false},
              {SUN, -20.1, 800, "implausible", true},
              {SUN, 0, 1600, "implausible", false},
              {SUN, 0, 1600.1, "implausible", true},
              {SUN, -5, 0, "dark", true},
              {SUN, -5, 0.1, "dark", false}};
    static const char *const names[] = {"store", "air", "sun"};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin();
        heard.channel[of[i].channel].low = of[i].low;
        heard.channel[of[i].channel].high = of[i].high;
        const nr_advice *a = said(of[i].code, names[of[i].channel]);
        ck_assert_msg((a != NULL) == of[i].is, "row %zu", i);
        ck_assert_uint_eq(advices.count, of[i].is || (of[i].high > 200 && of[i].channel == STORE));
    }
    begin();
    heard.channel[AIR].low = heard.channel[AIR].high = 70;
    heard.channel[AIR].unit_said = true;
    ck_assert_ptr_null(said("degF", "air"));
}
END_TEST

/* Whole numbers beyond any temperature are counts; exactly 85 and -127 are a one-wire driver's. */
START_TEST(numbers_that_are_none)
{
    static const struct {
        double value;
        bool whole, counts, power_on;
    } of[] = {{200, true, false, false}, {201, true, true, false},    {201, false, false, false},
              {85, false, false, true},  {85.1, false, false, false}, {-127, true, false, true},
              {-126, true, false, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin();
        nr_heard_channel *c = &heard.channel[STORE];
        c->raw = c->value = c->raw_high = c->high = of[i].value;
        c->raw_whole = of[i].whole;
        ck_assert_msg((said("counts", "store") != NULL) == of[i].counts, "row %zu", i);
        ck_assert_msg((said("power-on", "store") != NULL) == of[i].power_on, "row %zu", i);
    }
}
END_TEST

START_TEST(jumps_and_stillness)
{
    for (int way = 0; way < 2; way++) {
        begin();
        heard.channel[AIR].largest_step = way ? 3.1 : 3.0;
        ck_assert_int_eq(said("jumps", "air") != NULL, way);
        begin();
        heard.channel[AIR].changes = 0;
        heard.channel[AIR].good = way ? 8 : 7;
        ck_assert_int_eq(said("still", "air") != NULL, way);
        heard.channel[AIR].changes = 1;
        ck_assert_ptr_null(said("still", "air"));
        begin();
        heard.channel[SUN].changes = 0; /* the sun may be steady */
        ck_assert_ptr_null(said("still", "sun"));
    }
}
END_TEST

START_TEST(missing_and_unreadable)
{
    begin();
    heard.channel[AIR].missing = 1;
    ck_assert_ptr_nonnull(strstr(said("sometimes", "air")->text, "in 1 of 100 lines"));
    ck_assert_int_eq(said("sometimes", "air")->weight, NR_ADVICE_DOUBT);
    heard.channel[AIR].missing = 99;
    ck_assert(said("sometimes", "air") && !said("missing", "air"));
    heard.channel[AIR].missing = 100;
    ck_assert(!said("sometimes", "air"));
    ck_assert_int_eq(said("missing", "air")->weight, NR_ADVICE_FAULT);
    for (unsigned long good = 0; good < 2; good++) {
        begin();
        heard.channel[AIR].good = good;
        heard.channel[AIR].unreadable = 3;
        const nr_advice *a = said("unreadable", "air");
        ck_assert_int_eq(a->weight, good ? NR_ADVICE_DOUBT : NR_ADVICE_FAULT);
        ck_assert_int_eq(strstr(a->text, "now and then") != NULL, good > 0);
        ck_assert_uint_eq(nr_judge_good_channels(&heard), 2 + good);
        begin();
        heard.channel[AIR].good = good;
        heard.channel[AIR].outside = 3;
        ck_assert_int_eq(said("outside", "air")->weight, good ? NR_ADVICE_DOUBT : NR_ADVICE_FAULT);
    }
}
END_TEST

/* More than 2 in 100 lines that give no reading; a half first line and remarks do not count. */
START_TEST(rejected)
{
    static const struct {
        unsigned long good, bad, half;
        bool is;
    } of[] = {{98, 2, 0, false},  {97, 3, 0, true},  {99, 1, 0, false},
              {98, 2, 50, false}, {49, 1, 0, false}, {48, 1, 0, true}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char words[80];
        begin();
        nr_heard_adapter *a = &heard.adapter[0];
        a->fault[NR_LINE_GOOD] = of[i].good;
        a->fault[NR_LINE_GARBAGE] = of[i].bad;
        a->fault[NR_LINE_HALF] = of[i].half;
        a->lines = of[i].good + of[i].bad + of[i].half;
        a->last_good_s = (double)of[i].good;
        const nr_advice *advice = said("rejected", "");
        ck_assert_msg((advice != NULL) == of[i].is, "row %zu", i);
        snprintf(words, sizeof words, "%lu of %lu lines", of[i].bad, of[i].good + of[i].bad);
        if (advice)
            ck_assert_ptr_nonnull(strstr(advice->text, words));
    }
}
END_TEST

/* Half as much again as the rig says, or two thirds of it, of four lines and more. */
START_TEST(pace)
{
    static const struct {
        double interval_s;
        unsigned long good;
        bool is;
    } of[] = {{1.49, 100, false}, {1.51, 100, true}, {0.67, 100, false},
              {0.66, 100, true},  {1.51, 4, true},   {1.51, 3, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin();
        nr_heard_adapter *a = &heard.adapter[0];
        a->lines = a->fault[NR_LINE_GOOD] = of[i].good;
        a->first_good_s = 7;
        a->last_good_s = 7 + of[i].interval_s * (double)(of[i].good - 1);
        ck_assert_msg((said("interval", "") != NULL) == of[i].is, "row %zu", i);
    }
}
END_TEST

/* A field that rises by 900 to 1100 a second, over more than a second and four lines. */
START_TEST(counts_milliseconds)
{
    static const struct {
        double rate_s, span_s;
        unsigned long count;
        bool rising, is;
    } of[] = {{1000, 10, 10, true, true},  {1000, 10, 10, false, false}, {900, 10, 10, true, false},
              {901, 10, 10, true, true},   {1100, 10, 10, true, false},  {1099, 10, 10, true, true},
              {1000, 10, 4, true, true},   {1000, 10, 3, true, false},   {1000, 1, 10, true, false},
              {1000, 1.01, 10, true, true}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin();
        nr_heard_adapter *a = &heard.adapter[0];
        nr_heard_key *key = &a->key[a->keys++];
        snprintf(key->name, sizeof key->name, "ticks");
        key->count = of[i].count;
        key->seen = (nr_seen){.numbers = of[i].count,
                              .first = 500,
                              .first_s = 3,
                              .rising = of[i].rising,
                              .last_s = 3 + of[i].span_s,
                              .last = 500 + of[i].rate_s * of[i].span_s};
        ck_assert_msg((said("counter", "") != NULL) == of[i].is, "row %zu", i);
        ck_assert_msg((said("unused", "") == NULL) == of[i].is, "row %zu", i);
    }
}
END_TEST

/* A divider's reading within 2 % of either end: a wire that is broken or shorted. */
START_TEST(ends_of_a_divider)
{
    static const char divider[] =
        "[adapter]\nport = /dev/null\n[channel store]\nunit = degC\nconvert = ntc_beta\n"
        "series_ohm = 10000\nr25 = 10000\nbeta = 3950\nfull_scale = 1000\n";
    static const struct {
        double raw;
        bool end;
    } of[] = {{19, true},   {20, true},  {21, false}, {500, false},
              {979, false}, {980, true}, {990, true}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_err err = {0};
        begin();
        ck_assert_msg(nr_rig_parse(divider, sizeof divider - 1, "rig.ini", NR_RIG_FOR_RECORD, &rig,
                                   NULL, &err) == NR_OK,
                      "%s", err.text);
        heard.channel[STORE].raw = of[i].raw;
        heard.channel[STORE].outside = 1;
        const nr_advice *a = said("outside", "store");
        ck_assert_msg((strstr(a->text, "broken or shorted") != NULL) == of[i].end, "row %zu", i);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {nothing_the_matter,
                                  ranges,
                                  numbers_that_are_none,
                                  jumps_and_stillness,
                                  missing_and_unreadable,
                                  rejected,
                                  pace,
                                  counts_milliseconds,
                                  ends_of_a_divider,
                                  NULL};
    return run_tests("judge_limits", tests);
}
