/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A rig file to begin with, drafted from lines: what was sent is known here, so is what the file
 * has to say. */
#include "logger/draft/builds.h"
#include "logger/draft/draft.h"
#include "logger/run/unstated.h"
#include "tests/unit/near.h"

static nr_draft draft;
static nr_draft_guess guess;
static nr_rig rig;
static char text[40000];

/* 20 lines, one every step_s, made with the count (up to three times) or as they are. */
static void hear(const char *format, double step_s)
{
    char line[400];
    memset(&draft, 0, sizeof draft);
    for (int i = 0; i < 20; i++) {
        snprintf(line, sizeof line, format, i % 7, (i * 3) % 10, i);
        nr_wire_line l = {.text = line, .length = strlen(line), .first = i == 0};
        nr_draft_line(&draft, &l, step_s * i);
    }
}

static void guess_it(bool us)
{
    nr_err err = {.text = ""};
    ck_assert(nr_draft_readable(&draft));
    ck_assert_msg(nr_draft_guess_of(&draft, &guess, &err) == NR_OK, "%s", err.text);
    FILE *to = fmemopen(text, sizeof text, "w");
    nr_draft_write(to, &guess, "/dev/ttyUSB0", "/dev/ttyUSB0", 9600, us);
    long size = ftell(to);
    fclose(to);
    ck_assert_msg(
        nr_rig_parse(text, (size_t)size, "draft.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err) == NR_OK,
        "%s\n%s", err.text, text);
}

START_TEST(words_and_units_of_keys)
{
    hear("Tank=68.%dF,outside_temp=71.%d,flow=2.%d", 1);
    guess_it(false);
    ck_assert_str_eq(nr_rig_channel_find(&rig, "store")->unit->name, "degF");
    ck_assert_str_eq(nr_rig_channel_find(&rig, "store")->field, "Tank");
    ck_assert_str_eq(nr_rig_channel_find(&rig, "air")->unit->name, "degF"); /* 71 degC is no air */
    hear("store=4%d,air=3%d,sun=80%d", 1);                                  /* a warm day in degC */
    guess_it(false);
    ck_assert_str_eq(nr_rig_channel_find(&rig, "store")->unit->name, "degC");
    ck_assert_str_eq(nr_rig_channel_find(&rig, "air")->unit->name, "degC");
}
END_TEST

/* The file, with `line` in its section as the person answers it. */
static void answered(const char *section, const char *line, nr_unstated open[NR_UNSTATEDS],
                     size_t *count)
{
    static char filled[sizeof text + 400];
    nr_err err = {.text = ""};
    char *at = strstr(text, section);
    ck_assert_msg(at != NULL, "no %s in\n%s", section, text);
    size_t before = (size_t)(at - text) + strlen(section);
    snprintf(filled, sizeof filled, "%.*s\n%s\n%s", (int)before, text, line, text + before);
    ck_assert_msg(nr_rig_parse(filled, strlen(filled), "draft.ini", NR_RIG_FOR_RECORD, &rig, NULL,
                               &err) == NR_OK,
                  "%s: %s", line, err.text);
    *count = nr_rig_unstated(&rig, open);
}

/* What no test can see is asked in the file, and each answer that it names closes its question. */
START_TEST(questions)
{
    static const struct {
        nr_unstated question;
        const char *section, *line;
    } answers[] = {
        {NR_UNSTATED_PLANE, "\n[channel sun]", "plane = collector"},
        {NR_UNSTATED_AIM, "\n[collector]", "aim = fixed"},
        {NR_UNSTATED_SHADED, "\n[channel air]", "shaded = yes"},
        {NR_UNSTATED_BACK, "\n[collector]", "back = plywood 6 mm"},
        {NR_UNSTATED_DEW, "\n[collector]", "dew = no"},
        {NR_UNSTATED_DRIFT, "\n[channel store]", "u_drift = 0.05"},
        {NR_UNSTATED_PUMP, "\n[store]", "pump_W = 3"},
        {NR_UNSTATED_LID, "\n[store]", "lid = no"},
    };
    nr_unstated open[NR_UNSTATEDS];
    size_t count = 0, all;
    hear("store=4%d,air=3%d,sun=80%d", 1);
    guess_it(false);
    for (int q = 0; q < NR_UNSTATEDS; q++) {
        ck_assert_msg(strstr(text, nr_unstated_question((nr_unstated)q)), "not asked: %s",
                      nr_unstated_question((nr_unstated)q));
        ck_assert_msg(strstr(text, nr_unstated_answer((nr_unstated)q)), "no answer: %s",
                      nr_unstated_answer((nr_unstated)q));
    }
    all = nr_rig_unstated(&rig, open);
    for (size_t a = 0; a < sizeof answers / sizeof *answers; a++) {
        bool asked = false;
        answered(answers[a].section, answers[a].line, open, &count);
        for (size_t k = 0; k < count; k++)
            asked = asked || open[k] == answers[a].question;
        ck_assert_msg(!asked && count == all - 1, "%s: %zu of %zu are open", answers[a].line, count,
                      all);
    }
}
END_TEST

/* Whose a reading is stands in its key: two collectors, each with its container. */
START_TEST(two_collectors)
{
    hear("store_left=2%d,store_right=3%d,left-flow=1.%d,flow_right=1.5,air=20.1,sun=812", 1);
    guess_it(false);
    ck_assert_uint_eq(rig.builds, 2);
    ck_assert_str_eq(rig.build[0].collector.name, "left");
    ck_assert_str_eq(rig.build[1].collector.name, "right");
    const nr_rig_channel *c = nr_rig_channel_find(&rig, "store_right");
    ck_assert_str_eq(c->role, "store");
    ck_assert_str_eq(c->of, "right");
    ck_assert_str_eq(c->unit->name, "degC");
    c = nr_rig_channel_find(&rig, "left-flow");
    ck_assert_str_eq(c->role, "flow");
    ck_assert_str_eq(c->of, "left");
    ck_assert_str_eq(nr_rig_channel_find(&rig, "air")->of, "");
    hear("store1=2%d,store2=3%d,sun=81%d", 1);
    guess_it(false);
    ck_assert_uint_eq(rig.builds, 2);
    ck_assert_str_eq(nr_rig_channel_find(&rig, "store2")->of, "build-2");
}
END_TEST

/* Two places in one container are no two collectors; one collector needs no name. */
START_TEST(one_collector_with_more_probes)
{
    hear("store_top=2%d,store_bottom=3%d,sun=81%d", 1);
    guess_it(false);
    ck_assert_uint_eq(guess.builds, 0);
    hear("store_left=2%d,flow_rate=1.%d,sun=81%d", 1);
    guess_it(false);
    ck_assert_uint_eq(guess.builds, 0);
}
END_TEST

/* A collector that a person names, where the keys do not tell. */
START_TEST(named_collectors)
{
    nr_err err = {.text = ""};
    hear("a=2%d,b=3%d,sun=81%d", 1);
    guess_it(false);
    ck_assert_int_eq(nr_draft_add_build(&guess, "left", &err), NR_OK);
    ck_assert_int_eq(nr_draft_add_build(&guess, "left", &err), NR_OK);
    ck_assert_int_eq(nr_draft_add_build(&guess, "right", &err), NR_OK);
    ck_assert_uint_eq(guess.builds, 2);
    ck_assert_int_eq(nr_draft_add_build(&guess, "two words", &err), NR_BAD);
    ck_assert_int_eq(nr_draft_add_build(&guess, "", &err), NR_BAD);
    for (char name[] = "a"; guess.builds < NR_RIG_BUILDS; name[0]++)
        ck_assert_int_eq(nr_draft_add_build(&guess, name, &err), NR_OK);
    ck_assert_int_eq(nr_draft_add_build(&guess, "one-more", &err), NR_BAD);
    FILE *to = fmemopen(text, sizeof text, "w");
    nr_draft_write(to, &guess, "/dev/ttyUSB0", "/dev/ttyUSB0", 9600, true);
    long size = ftell(to);
    fclose(to);
    ck_assert_msg(
        nr_rig_parse(text, (size_t)size, "draft.ini", NR_RIG_FOR_RECORD, &rig, NULL, &err) == NR_OK,
        "%s", err.text);
    ck_assert_uint_eq(rig.builds, NR_RIG_BUILDS);
}
END_TEST

START_TEST(json_objects)
{
    hear("{\"store\": 20.%d, \"air\": 2%d.5, \"n\": %d}", 1);
    guess_it(false);
    ck_assert_int_eq(rig.adapter[0].line, NR_LINE_PAIRS);
    ck_assert_uint_eq(rig.channels, 2); /* n counts lines */
    ck_assert_str_eq(nr_rig_channel_find(&rig, "store")->unit->name, "degC");
}
END_TEST

START_TEST(pairs)
{
    size_t known;
    hear("store=20.%d,sun=70%d,t7=%d.5", 0.5);
    guess_it(false);
    ck_assert_int_eq(rig.adapter[0].line, NR_LINE_PAIRS);
    ck_assert_int_eq(rig.adapter[0].separator, ',');
    ck_assert_int_eq(rig.adapter[0].baud, 9600);
    ck_assert_str_eq(rig.adapter[0].port, "/dev/ttyUSB0");
    NEAR(rig.adapter[0].interval_s, 0.5, 1e-12);
    ck_assert_uint_eq(rig.channels, 3);
    ck_assert_uint_eq(nr_draft_channels(&guess, &known), 3);
    ck_assert_uint_eq(known, 2);
    ck_assert_str_eq(nr_rig_channel_find(&rig, "store")->unit->name, "degC");
    ck_assert_str_eq(nr_rig_channel_find(&rig, "sun")->unit->name, "W_m2");
    ck_assert_str_eq(nr_rig_channel_find(&rig, "t7")->unit->name, "raw");
    ck_assert(strstr(text, "gross_area_m2") && strstr(text, "water_L"));
    guess_it(true);
    ck_assert(strstr(text, "gross_area_ft2") && strstr(text, "water_gal"));
    ck_assert_str_eq(rig.units, "us");
}
END_TEST

START_TEST(values)
{
    static const struct {
        const char *format;
        char separator;
    } shapes[] = {
        {"21.%d,0.%d", ','}, {"21.%d; 0.%d", ';'}, {"21.%d\t0.%d", '\t'}, {"21.%d  0.%d", ' '}};
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
        hear(shapes[i].format, 2);
        guess_it(false);
        ck_assert_int_eq(rig.adapter[0].line, NR_LINE_VALUES);
        ck_assert_int_eq(rig.adapter[0].separator, shapes[i].separator);
        ck_assert_uint_eq(rig.channels, 2);
        ck_assert_str_eq(rig.channel[0].field, "1");
        ck_assert_str_eq(rig.channel[1].field, "2");
        NEAR(rig.adapter[0].interval_s, 2, 1e-12);
    }
}
END_TEST

/* XOR of "a=1" is 0x61 ^ 0x3d ^ 0x31 = 0x6d, and so on: worked out by hand. */
START_TEST(checksum)
{
    static const char *const lines[] = {"x", "a=1*6D", "a=2*6E", "a=7*6B", "a=4*68", "a=1*6d"};
    memset(&draft, 0, sizeof draft);
    for (int i = 0; i < 6; i++) {
        nr_wire_line l = {.text = lines[i], .length = strlen(lines[i]), .first = i == 0};
        nr_draft_line(&draft, &l, i);
    }
    guess_it(false);
    ck_assert_int_eq(rig.adapter[0].checksum, NR_CHECKSUM_XOR8);
    ck_assert_uint_eq(rig.channels, 1);
    NEAR(guess.field[0].seen.last, 1, 0);
}
END_TEST

/* Counters are no channels: milliseconds become the adapter's clock, a line number nothing. A
 * sensor whose name has a meaning is one, whatever it happens to read. */
START_TEST(counters)
{
    char line[80];
    memset(&draft, 0, sizeof draft);
    for (int i = 0; i < 10; i++) {
        snprintf(line, sizeof line, "n=%d,ms=%d,sun=%d,t1=5.%d", i, 7000 + 502 * i, 700 + i, i % 3);
        nr_wire_line l = {.text = line, .length = strlen(line), .first = i == 0};
        nr_draft_line(&draft, &l, 0.5 * i);
    }
    guess_it(false);
    ck_assert_int_eq(rig.adapter[0].clock, NR_CLOCK_ADAPTER);
    ck_assert_uint_eq(rig.channels, 2);
    ck_assert_ptr_nonnull(nr_rig_channel_find(&rig, "sun"));
    ck_assert_ptr_nonnull(nr_rig_channel_find(&rig, "t1"));
}
END_TEST

/* Keys that a rig file would take for something else, too long ones, and two that come out alike.
 */
START_TEST(odd_keys)
{
    hear("t.1=2%d,t_1=3%d,[x]=%d,a;b=1,7up=4.5,\"q\"=5,"
         "abcdefghijklmnopqrstuvwxyzabcdefghijklmnopqrstuvwxyzabcdefghijklmnopqrstuvwxyz=3.1",
         1);
    guess_it(false);
    ck_assert_uint_eq(rig.channels, 3);
    ck_assert_str_eq(rig.channel[0].field, "t.1");
    ck_assert_str_eq(rig.channel[1].field, "t_1");
    ck_assert_str_ne(rig.channel[0].name, rig.channel[1].name);
    ck_assert_str_eq(rig.channel[2].field, "7up");
}
END_TEST

START_TEST(nothing_to_read)
{
    nr_err err = {.text = ""};
    memset(&draft, 0, sizeof draft);
    ck_assert(!nr_draft_readable(&draft));
    hear("\xfe\xe0\x80\x01%d%d%d", 1); /* a wrong speed */
    ck_assert(!nr_draft_readable(&draft));
    ck_assert_uint_eq(draft.garbled, 20);
    hear("# %d %d %d", 1); /* an adapter that only talks to people */
    ck_assert(!nr_draft_readable(&draft));
    hear("hello, world", 1);
    ck_assert(nr_draft_readable(&draft));
    ck_assert_int_eq(nr_draft_guess_of(&draft, &guess, &err), NR_CANNOT);
    ck_assert_ptr_nonnull(strstr(err.text, "hello, world"));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {two_collectors,
                                  one_collector_with_more_probes,
                                  named_collectors,
                                  words_and_units_of_keys,
                                  json_objects,
                                  pairs,
                                  values,
                                  checksum,
                                  counters,
                                  odd_keys,
                                  questions,
                                  nothing_to_read,
                                  NULL};
    return run_tests("draft", tests);
}
