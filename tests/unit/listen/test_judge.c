/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `listen`'s judgement: what is sent on one side, the finding with its remedy on the other. */
#include "logger/listen/judge.h"
#include "tests/unit/near.h"

#define ADAPTER "[adapter]\nport = /dev/null\n"
#define FULL                                                                                       \
    ADAPTER "[channel store]\nunit = degC\n[channel air]\nunit = degC\n"                           \
            "[channel sun]\nunit = W_m2\n"

#define SEVERAL                                                                                    \
    ADAPTER "[collector left]\n[store left]\n[collector right]\n[store right]\n"                   \
            "[channel a]\nrole = store\nof = left\nunit = degC\n"                                  \
            "[channel air]\nunit = degC\n[channel sun]\nunit = W_m2\n"

static nr_rig rig;
static nr_heard heard;
static nr_advices advices;

/* Twelve lines, one a second; %d in the format is 0, 1, 2... A NULL format: silence. */
static void listen_to(const char *rig_text, const char *format)
{
    nr_err err = {0};
    ck_assert_msg(nr_rig_parse(rig_text, strlen(rig_text), "rig.ini", NR_RIG_FOR_RECORD, &rig, NULL,
                               &err) == NR_OK,
                  "%s", err.text);
    nr_sampler *sampler = nr_sampler_new(&rig, -1, NULL, NULL);
    nr_heard_begin(&heard, &rig);
    for (int i = 0; format && i < 12; i++) {
        char text[400];
        nr_sample row;
        bool is_row;
        snprintf(text, sizeof text, format, i, i, i, i);
        nr_wire_line line = {.text = text, .length = strlen(text), .first = i == 0};
        nr_stamp stamp = {.utc_s = 1.7e9 + i, .elapsed_s = i};
        nr_line_fault fault = nr_sampler_line(sampler, 0, stamp, &line, &row, &is_row);
        nr_heard_line(&heard, 0, &line, fault, i);
        heard.adapter[0].bytes += line.length + 1;
    }
    nr_heard_end(&heard, sampler, 12);
    nr_sampler_free(sampler);
    snprintf(heard.adapter[0].path, sizeof heard.adapter[0].path, "/dev/ttyUSB0");
    nr_judge(&heard, false, &advices);
}

static const nr_advice *find(const char *code, const char *channel)
{
    for (size_t i = 0; i < advices.count; i++)
        if (strcmp(advices.advice[i].code, code) == 0 &&
            strcmp(advices.advice[i].channel, channel) == 0)
            return &advices.advice[i];
    return NULL;
}

static void print_all(const char *what)
{
    printf("%s:\n", what);
    for (size_t i = 0; i < advices.count; i++)
        printf("  %s %s: %s\n", advices.advice[i].code, advices.advice[i].channel,
               advices.advice[i].text);
}

static const struct {
    const char *rig, *line;
    const char *code, *channel, *words; /* the finding, and words its text must have */
    nr_advice_weight weight;
} rows[] = {
    {FULL, NULL, "silent", "", "/dev/ttyUSB0 in 12 s", NR_ADVICE_FAULT},
    {FULL, "\x8f\x10~\xff\xfe\x9d\x81\x80\x8f\x03", "baud", "", "really 115200 baud",
     NR_ADVICE_FAULT},
    {FULL, "21.%d,19.5,800", "shape", "", "line = values", NR_ADVICE_FAULT},
    {FULL, "top=1%d,bottom=2", "fields", "", "carry top, bottom", NR_ADVICE_FAULT},
    {FULL, "store=2%d;air=19;sun=800", "separator", "", "separator = semicolon", NR_ADVICE_FAULT},
    {ADAPTER "line = values\n[channel store]\nunit = degC\nfield = 2\n", "21.%d;19.5;800",
     "separator", "", "separator = semicolon", NR_ADVICE_FAULT},
    {ADAPTER "line = values\n[channel store]\nunit = degC\nfield = 2\n", "store=21.%d", "shape", "",
     "line = pairs", NR_ADVICE_FAULT},
    {ADAPTER "checksum = xor8\n[channel store]\nunit = degC\n", "store=2%d", "checksum", "",
     "checksum = none", NR_ADVICE_FAULT},
    {ADAPTER "checksum = xor8\n[channel store]\nunit = degC\n", "store=2%d*00", "checksum", "",
     "exclusive or", NR_ADVICE_FAULT},
    {ADAPTER "[channel store]\nunit = degC\n", "store=21.50*6A", "checksum", "", "checksum = xor8",
     NR_ADVICE_NOTE},
    {FULL, "store=2%d,air=19.%d,moon=1", "missing", "sun", "store, air, moon", NR_ADVICE_FAULT},
    {FULL, "store=2%d,air=ERR,sun=800", "unreadable", "air", "\"ERR\"", NR_ADVICE_FAULT},
    {FULL, "store=2%d,air=,sun=800", "unreadable", "air", "sends nothing", NR_ADVICE_FAULT},
    {ADAPTER "kind = modbus\n[channel store]\nunit = degC\nmodbus_unit = 9\nmodbus_register = 4\n",
     "store=", "no-answer", "store", "device 9 on the bus does not answer for register 4",
     NR_ADVICE_FAULT},
    {FULL, "store=2%d,air=-127,sun=800", "power-on", "air", "onewire_degC", NR_ADVICE_DOUBT},
    {FULL, "store=51%d,air=19.%d,sun=800", "counts", "store", "choose a convert", NR_ADVICE_FAULT},
    {FULL, "store=21.5,air=19.%d,sun=80%d", "still", "store", "hold the probe", NR_ADVICE_NOTE},
    {FULL, "store=%d0,air=19.%d,sun=800", "jumps", "store", "10.0 K", NR_ADVICE_DOUBT},
    {FULL, "store=68.%d,air=71.%d,sun=800", "degF", "air", "unit = degF", NR_ADVICE_DOUBT},
    {FULL, "store=68.%d,air=21.%d,sun=800", "degF", "store", "unit = degF", NR_ADVICE_DOUBT},
    {FULL, "store=2%d,air=19.%d,sun=4000", "implausible", "sun", "about 1000", NR_ADVICE_DOUBT},
    {FULL, "store=2%d,air=19.%d,sun=0", "dark", "sun", "not connected", NR_ADVICE_NOTE},
    {FULL, "store=2%d,air=2%d,sun=800", "same-numbers", "air", "read twice", NR_ADVICE_DOUBT},
    {FULL, "ms=%d000,store=2%d,air=19.%d,sun=8", "counter", "", "clock_field = ms", NR_ADVICE_NOTE},
    {FULL, "store=2%d,air=19.%d,sun=8,hum=40", "unused", "", "carry hum", NR_ADVICE_NOTE},
    {ADAPTER "interval_s = 5\n[channel store]\nunit = degC\n", "store=2%d", "interval", "",
     "interval_s = 1", NR_ADVICE_DOUBT},
    {ADAPTER "[channel store]\nunit = degC\n", "store=2%d", "not-enough", "", "channel air, sun",
     NR_ADVICE_NOTE},
    {SEVERAL, "a=2%d,sun=80%d,air=2%d", "not-enough", "", "no channel store of right;",
     NR_ADVICE_NOTE},
    {SEVERAL "[channel pond]\nunit = degC\n", "a=2%d,pond=1%d", "no-meaning", "", "noonfit: pond",
     NR_ADVICE_NOTE},
    {ADAPTER "[channel shed]\nunit = degC\n", "shed=2%d", "no-meaning", "", "shed", NR_ADVICE_NOTE},
    {ADAPTER "[channel store]\nunit = degC\nconvert = ntc_beta\nseries_ohm = 10000\nr25 = 10000\n"
             "beta = 3950\nfull_scale = 1023\n",
     "store=1023", "outside", "store", "broken or shorted", NR_ADVICE_FAULT},
    {ADAPTER "[channel store]\nunit = degC\nconvert = onewire_degC\n", "store=85", "outside",
     "store", "power-on value", NR_ADVICE_FAULT},
    {ADAPTER "[channel store]\nunit = degC\nconvert = pt100\n", "store=512", "outside", "store",
     "no answer for 512", NR_ADVICE_FAULT},
    {ADAPTER "[channel store]\nunit = degC\nlow = 0\nhigh = 90\n", "store=99.%d", "outside",
     "store", "low 0, high 90", NR_ADVICE_FAULT},
};

START_TEST(finding)
{
    listen_to(rows[_i].rig, rows[_i].line);
    const nr_advice *a = find(rows[_i].code, rows[_i].channel);
    if (!a || !strstr(a->text, rows[_i].words))
        print_all(rows[_i].line ? rows[_i].line : "silence");
    ck_assert_msg(a != NULL, "%s: not found", rows[_i].code);
    ck_assert_msg(strstr(a->text, rows[_i].words) != NULL, "%s", a->text);
    ck_assert_int_eq(a->weight, rows[_i].weight);
    for (size_t i = 1; i < advices.count; i++)
        ck_assert_int_ge(advices.advice[i - 1].weight, advices.advice[i].weight);
}
END_TEST

/* 68 degF is 20 degC; a step of 10 K is 18 degF; 1000 W/m2 are 316.998 Btu/(h ft2) (NIST SP 811).
 */
/* A warm bucket in the warm air is nothing odd, nor are numbers that say what they are. */
START_TEST(no_degF_where_there_is_none)
{
    listen_to(FULL, "store=58.%d,air=46.%d,sun=80%d");
    ck_assert(!find("degF", "store") && !find("degF", "air"));
    listen_to(FULL, "store=68.%dF,air=71.%dF,sun=80%d");
    ck_assert(!find("degF", "store") && !find("degF", "air"));
    ck_assert(fabs(heard.channel[0].value - 20.5) < 0.5); /* degF brought to the channel's degC */
    listen_to(FULL, "store=12.%dV,air=21.%d,sun=80%d");
    ck_assert(isnan(heard.channel[0].value)); /* volts are no temperature */
}
END_TEST

START_TEST(said_in_us_units)
{
    listen_to(FULL, "store=%d0,air=19.%d,sun=800");
    nr_judge(&heard, true, &advices);
    ck_assert(strstr(find("jumps", "store")->text, "jumps by 18.0 degF"));
    listen_to(FULL, "store=2%d,air=19.%d,sun=4000");
    nr_judge(&heard, true, &advices);
    ck_assert(strstr(find("implausible", "sun")->text, "1268 Btu/(h ft2); full sun is about 317"));
}
END_TEST

START_TEST(a_good_rig_is_left_alone)
{
    listen_to(FULL, "store=21.%d,air=19.%d,sun=8%d");
    if (advices.count)
        print_all("good");
    ck_assert_uint_eq(advices.count, 0);
    ck_assert_uint_eq(nr_judge_good_channels(&heard), 3);
    NEAR(heard.channel[0].low, 21.1, 1e-9); /* the first line may be half a line */
    NEAR(heard.channel[0].value, 21.11, 1e-9);
}
END_TEST

START_TEST(text_from_the_wire_is_data)
{
    listen_to(FULL, "store=\x1b[31mred,air=19.%d,sun=800");
    for (size_t i = 0; i < advices.count; i++)
        ck_assert_ptr_null(strchr(advices.advice[i].text, '\x1b'));
    ck_assert_ptr_null(strchr(heard.adapter[0].good, '\x1b'));
    ck_assert_ptr_null(strchr(heard.adapter[0].bad, '\x1b'));
    ck_assert_ptr_null(strchr(heard.channel[0].unreadable_text, '\x1b'));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("judge");
    TCase *all = tcase_create("judge");
    tcase_add_loop_test(all, finding, 0, (int)(sizeof rows / sizeof *rows));
    tcase_add_test(all, no_degF_where_there_is_none);
    tcase_add_test(all, said_in_us_units);
    tcase_add_test(all, a_good_rig_is_left_alone);
    tcase_add_test(all, text_from_the_wire_is_data);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
