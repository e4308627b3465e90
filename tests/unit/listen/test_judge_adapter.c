/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `listen` says of an adapter, cause by cause: what was heard is set here, and of each advice
 * its code, its weight and the words that name the cure. */
#include "tests/unit/listen/heard_well.h"

static nr_rig rig;
static nr_heard heard;
static nr_advices advices;

#define PAIRS                                                                                      \
    "[channel store]\nunit = degC\n[channel air]\nunit = degC\n[channel sun]\nunit = W_m2\n"
#define VALUES                                                                                     \
    "line = values\n[channel store]\nunit = degC\nfield = 1\n[channel air]\nunit = degC\n"         \
    "field = 2\n[channel sun]\nunit = W_m2\nfield = 3\n"

/* 100 good lines, one a second, of fields that the rig reads. */
static nr_heard_adapter *begin(const char *text)
{
    hear_well(text, &rig, &heard);
    for (size_t c = 0; c < rig.channels; c++)
        heard.channel[c].good = heard.channel[c].changes = 50;
    return &heard.adapter[0];
}

static nr_heard_adapter *begin_with(const char *keys, const char *channels)
{
    char text[600];
    snprintf(text, sizeof text, "[adapter]\nport = /dev/null\n%s%s", keys, channels);
    return begin(text);
}

static const nr_advice *said(const char *code)
{
    nr_judge(&heard, false, &advices);
    for (size_t i = 0; i < advices.count; i++)
        if (strcmp(advices.advice[i].code, code) == 0 && !advices.advice[i].channel[0])
            return &advices.advice[i];
    return NULL;
}

/* words NULL: it is not said. */
static void expect(const char *code, nr_advice_weight weight, const char *words)
{
    const nr_advice *a = said(code);
    ck_assert_msg((a != NULL) == (words != NULL), "%s: %s", code, a ? a->text : "not said");
    if (!a)
        return;
    ck_assert_int_eq(a->weight, weight);
    ck_assert_msg(strstr(a->text, words), "no \"%s\" in \"%s\"", words, a->text);
}

static void key(nr_heard_adapter *a, const char *name)
{
    nr_heard_key *k = &a->key[a->keys++];
    snprintf(k->name, sizeof k->name, "%s", name);
    k->count = 100;
    k->seen = nr_seen_none();
}

START_TEST(nothing_at_all)
{
    nr_heard_adapter *a = begin_with("", PAIRS);
    expect("silent", NR_ADVICE_FAULT, NULL);
    a->bytes = 0;
    expect("silent", NR_ADVICE_FAULT, "nothing came from /dev/tty0 in 100 s");
    ck_assert(!said("no-line") && !said("interval"));
    a->bytes = 1;
    expect("silent", NR_ADVICE_FAULT, NULL);
}
END_TEST

/* Halves, remarks and empty lines are no lines of readings. */
START_TEST(no_whole_line)
{
    for (unsigned more = 0; more < 2; more++) {
        nr_heard_adapter *a = begin_with("baud = 9600\n", PAIRS);
        a->fault[NR_LINE_GOOD] = 0;
        a->fault[NR_LINE_HALF] = 3;
        a->fault[NR_LINE_COMMENT] = 4;
        a->fault[NR_LINE_EMPTY] = 5;
        a->fault[NR_LINE_GARBAGE] = more;
        a->lines = 12 + more;
        snprintf(a->bad, sizeof a->bad, "rubbish");
        expect("no-line", NR_ADVICE_FAULT,
               more ? NULL : "2400 bytes came from /dev/tty0 and no whole line of readings");
        if (!more)
            expect("no-line", NR_ADVICE_FAULT,
                   "(now 9600 baud), or lines further apart than 100 s");
        ck_assert((said("unread") != NULL) == (more == 1));
    }
}
END_TEST

/* None of the lines parses: the likeliest cause and no other. */
START_TEST(unread)
{
    static const struct {
        const char *keys, *bad;
        nr_line_fault fault;
        const char *code, *words;
    } of[] = {
        {"baud = 9600\n", "ab?d???", NR_LINE_GARBAGE, "baud",
         "really 9600 baud? Many adapters use 115200"},
        {"", "ab?d???", NR_LINE_GARBAGE, "baud", "really 115200 baud? Many adapters use 9600"},
        {"", "", NR_LINE_GARBAGE, "baud", "speed"},
        {"", "123456789?", NR_LINE_GARBAGE, "unread", "no line of /dev/tty0 gives a reading"},
        {"", "12345678?", NR_LINE_GARBAGE, "unread", "no line of"}, /* one of nine */
        {"", "12345?", NR_LINE_GARBAGE, "unread", "no line of"},    /* below a fifth */
        {"", "1234?", NR_LINE_GARBAGE, "baud", "speed"},            /* a fifth */
        {"", "1234\x7f", NR_LINE_GARBAGE, "baud", "speed"},
        {"", "12345\x7f", NR_LINE_GARBAGE, "unread", "no line of"},
        {"checksum = xor8\n", "store=1", NR_LINE_NO_CHECKSUM, "checksum",
         "write checksum = none. \"store=1\""},
        {"checksum = xor8\n", "store=1*00", NR_LINE_BAD_CHECKSUM, "checksum",
         "every checksum of /dev/tty0 is wrong"},
        {"", "1,2,3", NR_LINE_NOT_PAIRS, "shape", "write line = values"},
        {"", "store=1,air=2", NR_LINE_GARBAGE, "unread", "\"store=1,air=2\""},
        {"", "store=1;air=2", NR_LINE_GARBAGE, "separator", "write separator = semicolon"},
        {"", "store=1\tair=2", NR_LINE_GARBAGE, "separator", "write separator = tab"},
        {"", "store=1 air=2", NR_LINE_GARBAGE, "separator", "write separator = space"},
        {"separator = space\n", "store=1,air=2", NR_LINE_GARBAGE, "separator",
         "write separator = comma"},
        {"separator = semicolon\n", "a=1;b=2,c", NR_LINE_GARBAGE, "unread", "no line of"},
        {"", "flow=1,x=2", NR_LINE_UNKNOWN, "fields", "carry flow, x, and no channel asks"},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_heard_adapter *a = begin_with(of[i].keys, PAIRS);
        a->fault[NR_LINE_GOOD] = 0;
        a->fault[NR_LINE_HALF] = 90; /* the most, but no cause of their own */
        a->fault[of[i].fault] += 10;
        snprintf(a->bad, sizeof a->bad, "%s", of[i].bad);
        key(a, "flow");
        key(a, "x");
        expect(of[i].code, NR_ADVICE_FAULT, of[i].words);
        size_t faults = 0;
        for (size_t k = 0; k < advices.count; k++)
            faults += !advices.advice[k].channel[0] && advices.advice[k].weight == NR_ADVICE_FAULT;
        ck_assert_msg(faults == 1, "row %zu: %zu faults", i, faults);
    }
    nr_heard_adapter *a = begin_with("", VALUES);
    a->fault[NR_LINE_GOOD] = 0;
    a->fault[NR_LINE_GARBAGE] = 100;
    snprintf(a->bad, sizeof a->bad, "store=1,air=2");
    expect("shape", NR_ADVICE_FAULT, "write line = pairs");
}
END_TEST

/* Of several faults the commonest is named; of equals the first of the list. */
START_TEST(the_commonest)
{
    for (int f = NR_LINE_GARBAGE; f < NR_LINE_FAULTS; f++)
        for (int g = NR_LINE_GARBAGE; g < NR_LINE_FAULTS; g++) {
            nr_heard_adapter *a = begin_with("", PAIRS);
            if (f == NR_LINE_HALF || g == NR_LINE_HALF || f == g)
                continue;
            a->fault[f] = 30;
            a->fault[g] = 29 + (unsigned)(g > f);
            a->fault[NR_LINE_HALF] = 99;
            snprintf(a->bad, sizeof a->bad, "store=");
            char words[200];
            snprintf(words, sizeof words, "%lu of %lu lines of /dev/tty0 gave no reading (%s)",
                     a->fault[f] + a->fault[g], 100 + a->fault[f] + a->fault[g],
                     nr_line_fault_text((nr_line_fault)f));
            expect("rejected", NR_ADVICE_DOUBT, words);
        }
    static const unsigned long bad[] = {0, 1, 2, 3};
    for (int i = 0; i < 4; i++) { /* 2 % are nothing to speak of */
        nr_heard_adapter *a = begin_with("", PAIRS);
        a->fault[NR_LINE_GOOD] = 100 - bad[i];
        a->fault[NR_LINE_FAULTS - 1] = bad[i];
        a->fault[NR_LINE_HALF] = 50;
        expect("rejected", NR_ADVICE_DOUBT, bad[i] > 2 ? "3 of 100 lines" : NULL);
    }
}
END_TEST

/* Pairs that ran together: one field whose value holds the others. */
START_TEST(run_together)
{
    static const struct {
        const char *keys, *channels, *good, *words;
    } of[] = {{"", PAIRS, "store=1;air=2", "write separator = semicolon. \"store=1;air=2\""},
              {"", PAIRS, "store=1 air=2", "write separator = space"},
              {"", PAIRS, "store=1;2", NULL},
              {"", PAIRS, "store=1;air=2,x", NULL},
              {"separator = tab\n", PAIRS, "store=1,air=2", "write separator = comma"},
              {"", VALUES, "a=1;b=2", NULL}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_heard_adapter *a = begin_with(of[i].keys, of[i].channels);
        snprintf(a->good, sizeof a->good, "%s", of[i].good);
        expect("separator", NR_ADVICE_FAULT, of[i].words);
    }
}
END_TEST

/* A bus that takes longer than the rig says has a device that does not answer; lines have a pace of
 * their own. */
START_TEST(pace)
{
    static const struct {
        double ratio;
        const char *lines, *bus;
    } of[] = {{1.49, NULL, NULL},
              {1.51, "every 6 s, and the rig says interval_s = 4: write interval_s = 6",
               "takes 6 s, and the rig says interval_s = 4"},
              {3, "write interval_s = 12", "takes 12 s"},
              {0.67, NULL, NULL},
              {0.66, "write interval_s = 2.6", "write interval_s = 2.6"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (int bus = 0; bus < 2; bus++) {
            nr_heard_adapter *a =
                begin_with(bus ? "interval_s = 4\nkind = modbus\n" : "interval_s = 4\n",
                           bus ? "[channel store]\nunit = degC\nmodbus_register = 1\n" : PAIRS);
            a->fault[NR_LINE_GOOD] = 21;
            a->first_good_s = 50;
            a->last_good_s = 50 + 20 * 4 * of[i].ratio;
            expect("interval", NR_ADVICE_DOUBT, bus ? of[i].bus : of[i].lines);
        }
}
END_TEST

/* Fields that no channel reads, of each of two adapters: a channel of the other reads none of them,
 * and a counter that its adapter's clock uses is used. */
START_TEST(unused)
{
    static const char two[] = "[adapter a]\nport = x\nclock = adapter\nclock_field = t\n"
                              "[adapter b]\nport = y\n"
                              "[channel store]\nunit = degC\nadapter = a\n"
                              "[channel air]\nunit = degC\nadapter = b\nfield = box\n";
    static const struct {
        size_t adapter;
        const char *name;
        bool used;
    } of[] = {{0, "store", true}, {0, "box", false},   {0, "air", false},
              {0, "t", true},     {1, "store", false}, {1, "box", true},
              {1, "air", false},  {1, "t", false},     {1, "ms", false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin(two);
        key(&heard.adapter[of[i].adapter], of[i].name);
        char words[80];
        snprintf(words, sizeof words, "the lines also carry %s, which no channel records",
                 of[i].name);
        expect("unused", NR_ADVICE_NOTE, of[i].used ? NULL : words);
    }
    nr_heard_adapter *a = begin_with("", VALUES);
    key(a, "2");
    key(a, "4");
    key(a, "7");
    expect("unused", NR_ADVICE_NOTE, "the lines also carry field 4, 7, which no channel records");
    a = begin_with("kind = modbus\n", "[channel store]\nunit = degC\nmodbus_register = 1\n");
    key(a, "other");
    expect("unused", NR_ADVICE_NOTE, NULL); /* only what the rig names was asked for */
    a = begin_with("", PAIRS);
    for (int i = 0; i < 8; i++) { /* what has no room is left out whole */
        char name[60];
        snprintf(name, sizeof name, "%c%031d", 'a' + i, i);
        key(a, name);
    }
    const nr_advice *list = said("unused");
    ck_assert(list && strstr(list->text, "which no channel records"));
    for (int i = 0; i < 8;
         i++) { /* five of 32 letters and a comma fit into 200, a sixth does not */
        char name[60];
        snprintf(name, sizeof name, "%c%031d", 'a' + i, i);
        ck_assert_msg((strstr(list->text, name) != NULL) == (i < 5), "%s", list->text);
    }
}
END_TEST

/* A field that counts milliseconds is worth a clock, unless the rig has one already. */
START_TEST(counters)
{
    for (int has = 0; has < 2; has++) {
        nr_heard_adapter *a = begin_with(has ? "clock = adapter\nclock_field = t\n" : "", PAIRS);
        key(a, "ticks");
        a->key[0].seen = (nr_seen){
            .numbers = 100, .first = 0, .last = 99000, .first_s = 1, .last_s = 100, .rising = true};
        expect("counter", NR_ADVICE_NOTE, has ? NULL : "clock = adapter and clock_field = ticks");
        expect("unused", NR_ADVICE_NOTE, has ? "also carry ticks" : NULL);
        a->checksum_unused = has;
        expect("checksum", NR_ADVICE_NOTE,
               has ? "the lines of /dev/tty0 end in a checksum: checksum = xor8" : NULL);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {nothing_at_all, no_whole_line, unread,
                                  the_commonest,  run_together,  pace,
                                  unused,         counters,      NULL};
    return run_tests("judge_adapter", tests);
}
