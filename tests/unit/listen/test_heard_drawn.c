/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is remembered of lines that were heard, counted a second time over all of them: of each
 * field, of each channel, of each adapter. */
#include "logger/listen/heard.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#define LINES 60
#define RIG                                                                                        \
    "[adapter a]\nport = x\n[adapter b]\nport = y\nline = values\n"                                \
    "[channel store]\nunit = degC\nadapter = a\n[channel hot]\nunit = degC\nadapter = a\n"         \
    "convert = thermocouple_k\ncold_channel = store\n"                                             \
    "[channel sun]\nunit = W_m2\nadapter = b\nfield = 2\n[channel fan]\nunit = rpm\nadapter = b\n" \
    "field = 3\n"
enum { STORE, HOT, SUN, FAN };

static nr_rig rig;
static nr_heard heard;
static uint64_t state;

static unsigned draw(unsigned below)
{
    return chance_below(&state, below);
}

static void begin(void)
{
    nr_err err;
    ck_assert_msg(nr_rig_parse(RIG, strlen(RIG), "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err) ==
                      NR_OK,
                  "%s", err.text);
    nr_heard_begin(&heard, &rig);
}

static void hear(size_t adapter, const char *text, nr_line_fault fault, double at_s)
{
    nr_wire_line line = {.text = text, .length = strlen(text)};
    nr_heard_line(&heard, adapter, &line, fault, at_s);
}

/* --- channels and fields -------------------------------------------------------------------------
 */

typedef struct series {
    int count; /* of numbers */
    double number[LINES], at_s[LINES];
    unsigned long lines; /* that had it */
} series;

static void check_key(const nr_heard_adapter *a, const char *name, const series *s)
{
    const nr_heard_key *key = NULL;
    bool rising = true, each_one = true;
    for (size_t i = 0; i < a->keys; i++)
        key = strcmp(a->key[i].name, name) == 0 ? &a->key[i] : key;
    ck_assert_msg((key != NULL) == (s->lines > 0), "%s", name);
    if (!key)
        return;
    ck_assert_uint_eq(key->count, s->lines);
    ck_assert_uint_eq(key->seen.numbers, (unsigned long)s->count);
    for (int i = 0; i < s->count; i++) {
        each_one = each_one && s->number[i] == floor(s->number[i]);
        if (i > 0) {
            rising = rising && s->number[i] > s->number[i - 1];
            each_one = each_one && s->number[i] == s->number[i - 1] + 1;
        }
    }
    ck_assert(key->seen.rising == rising && key->seen.each_one == each_one);
    if (s->count == 0)
        return;
    NEAR(key->seen.first, s->number[0], 0);
    NEAR(key->seen.first_s, s->at_s[0], 0);
    NEAR(key->seen.last, s->number[s->count - 1], 0);
    NEAR(key->seen.last_s, s->at_s[s->count - 1], 0);
}

static void check_channel(int index, const series *s)
{
    const nr_heard_channel *c = &heard.channel[index];
    unsigned long changes = 0;
    double low = NAN, high = NAN, step = 0;
    bool whole = true;
    for (int i = 0; i < s->count; i++) {
        double by = i ? fabs(s->number[i] - s->number[i - 1]) : 0;
        low = fmin(low, s->number[i]); /* of one that is no number, the other */
        high = fmax(high, s->number[i]);
        step = fmax(step, by);
        changes += by > 0 ? 1 : 0;
        whole = whole && fmod(s->number[i], 1) == 0;
    }
    ck_assert_uint_eq(c->changes, changes);
    NEAR(c->largest_step, step, 1e-12);
    ck_assert(c->raw_whole == whole);
    if (s->count == 0) {
        ck_assert(isnan(c->raw) && isnan(c->value) && isnan(c->low) && isnan(c->high) &&
                  isnan(c->first) && isnan(c->raw_low) && isnan(c->raw_high));
        return;
    }
    NEAR(c->low, low, 0);
    NEAR(c->high, high, 0);
    NEAR(c->raw_low, low, 0);
    NEAR(c->raw_high, high, 0);
    NEAR(c->first, s->number[0], 0);
    NEAR(c->raw, s->number[s->count - 1], 0);
    NEAR(c->value, s->number[s->count - 1], 0);
}

static void note(series *s, const char *text, double at_s)
{
    char *end;
    double number = strtod(text, &end);
    s->lines++;
    if (end == text || *end)
        return;
    s->number[s->count] = number;
    s->at_s[s->count++] = at_s;
}

/* A field of a line: a number of halves, one that counts up, or none. */
static void field(char *to, size_t size, int kind, int line)
{
    if (draw(9) == 0)
        snprintf(to, size, "%s", draw(2) ? "?" : "err");
    else if (kind == 0)
        snprintf(to, size, "%d.%d", (int)draw(30) - 5, draw(3) ? 0 : 5);
    else
        snprintf(to, size, "%d", kind == 1 ? 7 + line : 7 + line * 2);
}

START_TEST(drawn)
{
    state = 6;
    for (int round = 0; round < 40; round++) {
        static series store, other, one, two, three;
        int kind = round % 3;
        unsigned long good = 0, bad = 0;
        store = other = one = two = three = (series){0};
        begin();
        for (int i = 0; i < LINES; i++) {
            char text[100], x[20], y[20];
            double at_s = 3 + i * 0.25;
            field(x, sizeof x, kind, i);
            field(y, sizeof y, (kind + 1) % 3, i);
            if (draw(2)) {
                snprintf(text, sizeof text, "store=%s,z=%s", x, y);
                hear(0, text, NR_LINE_GOOD, at_s);
                note(&store, x, at_s);
                note(&other, y, at_s);
            } else { /* one that is too short still shows its fields, but is none of the readings */
                bool fine = draw(3) > 0;
                snprintf(text, sizeof text, "5,%s,%s", x, y);
                hear(1, text, fine ? NR_LINE_GOOD : NR_LINE_TOO_SHORT, at_s);
                note(&one, "5", at_s);
                note(&two, x, at_s);
                note(&three, y, at_s);
                good += fine;
                bad += !fine;
            }
        }
        check_key(&heard.adapter[0], "store", &store);
        check_key(&heard.adapter[0], "z", &other);
        check_key(&heard.adapter[1], "1", &one);
        check_key(&heard.adapter[1], "2", &two);
        check_key(&heard.adapter[1], "3", &three);
        check_channel(STORE, &store);
        ck_assert(heard.adapter[0].keys == 2 && heard.adapter[1].keys == 3);
        ck_assert(heard.adapter[1].fault[NR_LINE_GOOD] == good);
        ck_assert(heard.adapter[1].fault[NR_LINE_TOO_SHORT] == bad);
        ck_assert(heard.adapter[1].lines == good + bad);
        ck_assert(isnan(heard.channel[HOT].raw));
    }
}
END_TEST

/* Times and texts of the lines that parsed and of those that did not, by their faults. */
START_TEST(lines_by_their_faults)
{
    for (int fault = NR_LINE_GOOD; fault < NR_LINE_FAULTS; fault++) {
        begin();
        const nr_heard_adapter *a = &heard.adapter[0];
        bool good = fault == NR_LINE_GOOD,
             none = fault == NR_LINE_COMMENT || fault == NR_LINE_EMPTY;
        hear(0, "store=1\x1b", (nr_line_fault)fault, 4);
        hear(0, "store=2", (nr_line_fault)fault, 6);
        hear(0, "store=3", (nr_line_fault)fault, 7);
        ck_assert_str_eq(a->good, good ? "store=3" : "");
        ck_assert_str_eq(a->bad, good || none || fault == NR_LINE_HALF ? "" : "store=3");
        NEAR(a->first_good_s, good ? 4 : 0, 0);
        NEAR(a->last_good_s, good ? 7 : 0, 0);
        ck_assert(a->lines == 3 && a->fault[fault] == 3);
        bool keys = good || fault == NR_LINE_UNKNOWN || fault == NR_LINE_TOO_SHORT;
        ck_assert_msg((a->keys > 0) == keys, "fault %d", fault);
    }
    begin();
    hear(0, "store=ab\x1b[2J", NR_LINE_GARBAGE, 1);
    ck_assert_str_eq(heard.adapter[0].bad, "store=ab?[2J");
    hear(0, "store=x y", NR_LINE_GOOD, 1);
    ck_assert_str_eq(heard.channel[STORE].unreadable_text, "x y");
}
END_TEST

/* A right *HH that nobody asked for: the exclusive or of all before it, in either case. */
START_TEST(checksums)
{
    static const char *const texts[] = {"store=1", "a", "*", "store=20.5,z=3"};
    for (size_t i = 0; i < 4; i++)
        for (unsigned off = 0; off < 256; off += 17)
            for (int lower = 0; lower < 2; lower++) {
                char line[60];
                unsigned sum = 0;
                for (const char *p = texts[i]; *p; p++)
                    sum ^= (unsigned char)*p;
                snprintf(line, sizeof line, lower ? "%s*%02x" : "%s*%02X", texts[i], sum ^ off);
                begin();
                hear(0, line, NR_LINE_GARBAGE, 1);
                ck_assert_msg(heard.adapter[0].checksum_unused == (off == 0), "%s", line);
                ck_assert(!heard.adapter[1].checksum_unused);
            }
    static const char *const none[] = {"*00", "", "*", "x=1", "ab 12", "x*6"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        begin();
        hear(0, none[i], NR_LINE_GARBAGE, 1);
        ck_assert_msg(!heard.adapter[0].checksum_unused, "%s", none[i]);
    }
}
END_TEST

/* As many fields as there is room for; a thermocouple by the junction of its own line; units. */
START_TEST(many_fields)
{
    begin();
    for (int i = 0; i < NR_HEARD_KEYS + 5; i++) {
        char text[60];
        snprintf(text, sizeof text, "k%d=%d", i, i);
        hear(0, text, NR_LINE_UNKNOWN, 1);
    }
    ck_assert_uint_eq(heard.adapter[0].keys, NR_HEARD_KEYS);
    for (int i = 0; i < NR_HEARD_KEYS; i++)
        NEAR(heard.adapter[0].key[i].seen.first, i, 0);
    begin();
    hear(0, "hot=0,store=25", NR_LINE_GOOD, 1);
    NEAR(heard.channel[HOT].value, 25, 0.01); /* no voltage: as warm as its junction */
    ck_assert(!heard.channel[STORE].unit_said);
    hear(0, "store=77F", NR_LINE_GOOD, 2);
    NEAR(heard.channel[STORE].raw, 77, 0);
    NEAR(heard.channel[STORE].value, 25, 1e-9);
    ck_assert(heard.channel[STORE].unit_said);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {drawn, lines_by_their_faults, checksums, many_fields, NULL};
    return run_tests("heard_drawn", tests);
}
