/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `listen` says of channels together: two that send the same numbers, meanings that a
 * collector lacks, and faults before doubts before notes; every combination of what it goes by. */
#include "tests/unit/listen/heard_well.h"

static nr_rig rig;
static nr_heard heard;
static nr_advices advices;

static void begin(const char *text)
{
    hear_well(text, &rig, &heard);
    for (size_t i = 0; i < rig.channels; i++) {
        nr_heard_channel *c = &heard.channel[i];
        c->good = 100;
        c->changes = 3;
        c->raw = c->value = c->high = c->first = c->raw_high = 21;
        c->low = c->raw_low = 20;
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

/* Two fields of one adapter with the same range, the same last number and as many changes, three at
 * least: each of these alone tells them apart. */
START_TEST(twins)
{
    for (unsigned other = 0; other < 64; other++) {
        char text[300];
        snprintf(text, sizeof text,
                 "[adapter a]\nport = x\n[adapter b]\nport = y\n[channel p]\nunit = degC\n"
                 "adapter = a\nfield = f\n[channel q]\nunit = degC\nadapter = %s\n%s",
                 other & 1 ? "b" : "a",
                 other & 32 ? "field = f\nconvert = linear\n" : "field = g\n");
        begin(text);
        nr_heard_channel *q = &heard.channel[1];
        q->changes += other >> 1 & 1;
        q->raw_low -= other >> 2 & 1;
        q->raw_high += other >> 3 & 1;
        q->raw += 0.5 * (other >> 4 & 1);
        const nr_advice *a = said("same-numbers", "q");
        bool alike = other == 0; /* of one field it is the rig's own business */
        ck_assert_msg((a != NULL) == alike, "%u", other);
        if (a)
            ck_assert(a->weight == NR_ADVICE_DOUBT && strstr(a->text, "same numbers as p"));
        ck_assert_ptr_null(said("same-numbers", "p"));
    }
    begin("[adapter]\nport = x\n[channel p]\nunit = degC\n[channel q]\nunit = degC\n");
    heard.channel[0].changes = heard.channel[1].changes = 2;
    ck_assert_ptr_null(said("same-numbers", "q"));
}
END_TEST

/* Store, air and sun are wanted: of the collectors that lack one, by name; of all, once. */
START_TEST(meanings_that_are_missing)
{
    for (unsigned has = 0; has < 32; has++) {
        char text[900], wanted[300] = "";
        snprintf(text, sizeof text,
                 "[adapter]\nport = x\n[collector left]\n[collector right]\n[channel odd]\n"
                 "unit = rpm\n%s%s%s%s%s",
                 has & 1 ? "[channel s1]\nunit = degC\nrole = store\nof = left\n" : "",
                 has & 2 ? "[channel s2]\nunit = degC\nrole = store\nof = right\n" : "",
                 has & 4 ? "[channel air]\nunit = degC\n" : "",
                 has & 8 ? "[channel r1]\nunit = W_m2\nrole = sun\nof = left\n" : "",
                 has & 16 ? "[channel r2]\nunit = W_m2\nrole = sun\nof = right\n" : "");
        static const char *const roles[] = {"store", "air", "sun"};
        const unsigned left[] = {1, 4, 8}, right[] = {2, 4, 16};
        for (int i = 0; i < 3; i++) {
            bool l = has & left[i], r = has & right[i];
            const char *of = l == r ? "" : l ? " of right" : " of left";
            if (l && r)
                continue;
            size_t used = strlen(wanted);
            snprintf(wanted + used, sizeof wanted - used, "%s%s%s", used ? ", " : "", roles[i], of);
        }
        begin(text);
        const nr_advice *a = said("not-enough", "");
        ck_assert_msg((a != NULL) == (wanted[0] != '\0'), "%u", has);
        char words[400];
        snprintf(words, sizeof words, "the rig has no channel %s; without", wanted);
        ck_assert_msg(!a || strstr(a->text, words), "%s, not %s", a ? a->text : "", words);
        a = said("no-meaning", "");
        ck_assert(a && strcmp(a->text, "recorded and plotted but not used by noonfit: odd") == 0);
    }
}
END_TEST

/* Faults, then doubts, then notes, each kind in the order of what it is about. */
START_TEST(the_worst_first)
{
    begin("[adapter]\nport = x\n[channel store]\nunit = degC\n[channel air]\nunit = degC\n"
          "[channel sun]\nunit = W_m2\n[channel odd]\nunit = rpm\n");
    heard.channel[0].largest_step = 9; /* a doubt */
    heard.channel[1].missing = 100;    /* a fault */
    heard.channel[2].low = -90;        /* a doubt */
    heard.channel[2].missing = 5;      /* another, before it */
    heard.channel[3].good = 0;         /* a fault, with what follows */
    heard.channel[3].unreadable = 7;
    static const char *const wanted[][2] = {{"missing", "air"},     {"unreadable", "odd"},
                                            {"jumps", "store"},     {"sometimes", "sun"},
                                            {"implausible", "sun"}, {"no-meaning", ""}};
    (void)said("", "");
    size_t at = 0;
    for (size_t i = 0; i < advices.count; i++) {
        const nr_advice *a = &advices.advice[i];
        ck_assert(i == 0 || a->weight <= a[-1].weight);
        if (strcmp(a->code, "same-numbers") == 0)
            continue; /* these were set alike */
        ck_assert_uint_lt(at, sizeof wanted / sizeof *wanted);
        ck_assert_str_eq(a->code, wanted[at][0]);
        ck_assert_str_eq(a->channel, wanted[at++][1]);
    }
    ck_assert_uint_eq(at, sizeof wanted / sizeof *wanted);
    ck_assert_uint_eq(nr_judge_good_channels(&heard), 3);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {twins, meanings_that_are_missing, the_worst_first, NULL};
    return run_tests("judge_parts", tests);
}
