/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The probe in a hand, and what an adapter says of itself. What is expected follows from the
 * headers' definitions; identities are made with the CRC that unit.test_firmware holds against its
 * sources. */
#include "logger/base/text.h"
#include "logger/draft/draft.h"
#include "logger/listen/identity.h"
#include "logger/listen/touch.h"
#include "tests/unit/near.h"

#include <string.h>

#define STORE "2870BB06519CE784"
#define INLET "28DF74099E33C8B3"

static nr_touch touch;

static const char *found(void)
{
    double rise_K;
    const nr_touch_field *f = nr_touch_found(&touch, &rise_K);
    return f ? f->name : "none";
}

static void take(double a, double b, double c)
{
    nr_touch_take(&touch, "a", a);
    nr_touch_take(&touch, "b", b);
    nr_touch_take(&touch, "c", c);
}

START_TEST(rises)
{
    memset(&touch, 0, sizeof touch);
    ck_assert_str_eq(found(), "none");
    take(20, 20, 20);
    take(20.9375, 20, NAN);
    ck_assert_str_eq(found(), "none"); /* below a kelvin */
    take(21, 20, NAN);
    ck_assert_str_eq(found(), "a"); /* a kelvin */
    take(22, 21.0625, NAN);
    ck_assert_str_eq(found(), "none"); /* the sun came out: all of them rise */
    take(22.125, 21.0625, NAN);
    ck_assert_str_eq(found(), "a"); /* twice as much */
}
END_TEST

/* From the lowest: a probe that cools first is not behind the others for it. */
START_TEST(from_the_lowest)
{
    memset(&touch, 0, sizeof touch);
    take(20, 20, 20);
    take(20, 18, 20);
    take(20, 19, 20);
    ck_assert_str_eq(found(), "b");
    nr_touch_begin(&touch);
    ck_assert_str_eq(found(), "none");
    take(20, 19, 20); /* still warm from the hand: no rise */
    take(20, 18, 21);
    ck_assert_str_eq(found(), "c");
}
END_TEST

START_TEST(taken)
{
    double rise_K = 0;
    memset(&touch, 0, sizeof touch);
    take(20, 20, 20);
    take(23, 20, 20);
    nr_touch_found(&touch, &rise_K)->taken = true;
    NEAR(rise_K, 3, 1e-12);
    ck_assert_str_eq(found(), "none");
    take(25, 21, 20); /* the first is still in the hand: that does not hide the next */
    ck_assert_str_eq(found(), "b");
}
END_TEST

START_TEST(many)
{
    memset(&touch, 0, sizeof touch);
    for (int turn = 0; turn < 2; turn++)
        for (int i = 0; i < NR_TOUCH_FIELDS + 5; i++) {
            char name[16];
            snprintf(name, sizeof name, "t%d", i);
            nr_touch_take(&touch, name, 20 + (i >= 47 ? 9 * turn : 0));
        }
    ck_assert_uint_eq(touch.fields, NR_TOUCH_FIELDS);
    ck_assert_str_eq(found(), "t47");
}
END_TEST

/* --- identity ------------------------------------------------------------------------------ */

START_TEST(probes)
{
    static const char *const not_one[] = {"",
                                          "store",
                                          "2870BB06519CE785",   /* checksum */
                                          "0070BB06519CE784",   /* family */
                                          "2870BB06519CE7",     /* short */
                                          "2870BB06519CE78400", /* long */
                                          "2870BB06519CE78G"};
    ck_assert(nr_identity_is_probe(STORE) && nr_identity_is_probe(INLET));
    ck_assert(nr_identity_is_probe("2870bb06519ce784"));
    for (size_t i = 0; i < sizeof not_one / sizeof *not_one; i++)
        ck_assert_msg(!nr_identity_is_probe(not_one[i]), "%s", not_one[i]);
}
END_TEST

static void say(nr_identity *identity, const char *text)
{
    nr_wire_line line = {.text = text, .length = strlen(text)};
    nr_identity_line(identity, &line);
}

START_TEST(answer)
{
    nr_identity id = {0};
    say(&id, "# probe " STORE); /* nobody was asked */
    ck_assert_uint_eq(id.probes, 0);
    say(&id, "# noonrun adapter 1");
    say(&id, "ms=1," STORE "=20.0*00");
    say(&id, "# probe " STORE);
    say(&id, "# probe 2870BB06519CE785"); /* damaged on the way */
    say(&id, "# probe " INLET);
    ck_assert(id.known && !id.complete);
    say(&id, "# end");
    ck_assert(id.complete);
    ck_assert_str_eq(id.version, "1");
    ck_assert_uint_eq(id.probes, 2);
    ck_assert_str_eq(id.probe[1], INLET);
    for (int i = 0; i < 30; i++)
        say(&id, "# probe " INLET);
    ck_assert_uint_eq(id.probes, NR_IDENTITY_PROBES);
}
END_TEST

/* --- drafting from a reference adapter ----------------------------------------------------- */

static nr_draft draft;
static nr_draft_guess guess;
static nr_rig rig;
static char text[40000];

static void hear(bool identified, int ms_step)
{
    memset(&draft, 0, sizeof draft);
    for (int i = 0; i < 10; i++) {
        char line[300];
        int n = snprintf(line, sizeof line,
                         "ms=%d," STORE "=20.0625," INLET "=,ntc1=,div1=7,cell=%d.25,pump=750.1,"
                         "pulses1=7,hz1=7.5",
                         100 + ms_step * i, 700 + i % 3);
        unsigned char sum = 0;
        for (int k = 0; k < n; k++)
            sum ^= (unsigned char)line[k];
        snprintf(line + n, sizeof line - (size_t)n, "*%02X", sum);
        nr_wire_line l = {.text = line, .length = strlen(line)};
        nr_draft_line(&draft, &l, i);
    }
    ck_assert(nr_draft_may_ask(&draft));
    if (identified)
        say(&draft.identity, "# noonrun adapter 1");
}

static void write_it(void)
{
    nr_err err = {.text = ""};
    FILE *to = fmemopen(text, sizeof text, "w");
    nr_draft_write(to, &guess, "/dev/ttyUSB0", "/dev/ttyUSB0", 38400, false);
    long size = ftell(to);
    fclose(to);
    ck_assert_msg(
        nr_rig_parse(text, (size_t)size, "draft.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err) == NR_OK,
        "%s\n%s", err.text, text);
}

START_TEST(drafted)
{
    size_t known;
    hear(true, 1000);
    ck_assert_int_eq(nr_draft_guess_of(&draft, &guess, NULL), NR_OK);
    nr_copy(nr_draft_field_find(&guess, STORE)->channel, NR_NAME, "store");
    write_it();
    const nr_rig_channel *store = nr_rig_channel_find(&rig, "store");
    ck_assert_ptr_nonnull(store);
    ck_assert_str_eq(store->sensor, STORE);
    ck_assert_str_eq(store->field, STORE);
    ck_assert_str_eq(store->law->name, "onewire_degC");
    ck_assert_str_eq(store->unit->name, "degC");
    ck_assert_int_eq(rig.adapter[0].clock, NR_CLOCK_ADAPTER);
    ck_assert_int_eq(rig.adapter[0].checksum, NR_CHECKSUM_XOR8);
    /* A probe that gives nothing now is still one. */
    ck_assert_ptr_nonnull(nr_rig_channel_find(&rig, "probe-" INLET));
    ck_assert_ptr_null(nr_rig_channel_find(&rig, "ms"));
    ck_assert_ptr_null(nr_rig_channel_find(&rig, "ntc1"));    /* nothing on it */
    ck_assert_ptr_null(nr_rig_channel_find(&rig, "pulses1")); /* hz1 says it better */
    /* 750.1 mV behind 150 and 10 kilohm are 12 V, not 750. */
    const nr_rig_channel *pump = nr_rig_channel_find(&rig, "pump");
    NEAR(pump->law->eval(750.1, pump->coefficient, NAN), 12.0016, 1e-9);
    ck_assert_uint_eq(nr_draft_channels(&guess, &known), rig.channels);
    ck_assert_uint_eq(known, 2); /* store, pump */
}
END_TEST

/* Probes are known by their identity alone; the rest is not taken for the reference adapter's. */
START_TEST(not_asked)
{
    hear(false, 1000);
    ck_assert_int_eq(nr_draft_guess_of(&draft, &guess, NULL), NR_OK);
    write_it();
    ck_assert_str_eq(nr_rig_channel_find(&rig, "probe-" STORE)->sensor, STORE);
    ck_assert_ptr_nonnull(nr_rig_channel_find(&rig, "pulses1"));
    ck_assert_str_eq(nr_rig_channel_find(&rig, "pump")->law->name, "none");
    ck_assert_int_eq(rig.adapter[0].clock, NR_CLOCK_ADAPTER);
    ck_assert(nr_draft_touchable(&guess, nr_draft_field_find(&guess, STORE)));
    ck_assert(!nr_draft_touchable(&guess, nr_draft_field_find(&guess, "cell")));
}
END_TEST

/* A simulated adapter may hurry; its own count says how often it speaks. */
START_TEST(hurried)
{
    hear(true, 5000); /* a line a second of ours, five of its own */
    ck_assert_int_eq(nr_draft_guess_of(&draft, &guess, NULL), NR_OK);
    write_it();
    ck_assert_int_eq(rig.adapter[0].clock, NR_CLOCK_ADAPTER);
    NEAR(rig.adapter[0].interval_s, 5, 1e-12);
}
END_TEST

/* Only lines of that shape are answered with a question. */
START_TEST(may_ask)
{
    static const char *const others[] = {"store=20.0,air=19*5A", "ms=1000,store=20.0",
                                         "20.0,19.1,ms=4", "ms=1*"};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        memset(&draft, 0, sizeof draft);
        nr_wire_line line = {.text = others[i], .length = strlen(others[i])};
        nr_draft_line(&draft, &line, 0);
        ck_assert_msg(!nr_draft_may_ask(&draft), "%s", others[i]);
    }
    memset(&draft, 0, sizeof draft);
    ck_assert(!nr_draft_may_ask(&draft));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {rises,   from_the_lowest, taken,   many,    probes, answer,
                                  drafted, not_asked,       hurried, may_ask, NULL};
    return run_tests("touch", tests);
}
