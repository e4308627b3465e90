/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Values with their uncertainty on a command line, and `tally`, which is made of them. */
#include "analyze/noonfit/commands.h"
#include "analyze/noonfit/stated.h"

#include "tests/unit/command_run.h"

static nr_err err;
static nr_stated s;

static nr_code quantity(const char *text)
{
    s = (nr_stated){NAN, NAN};
    err.text[0] = '\0';
    return nr_stated_quantity(&nr_cmd_tally, "water", text, "kg", 0.1, 10000, &s, &err);
}

static nr_code temperature(const char *text, bool fahrenheit)
{
    s = (nr_stated){NAN, NAN};
    err.text[0] = '\0';
    return nr_stated_temperature(&nr_cmd_tally, "from", text, fahrenheit, 0, 99, &s, &err);
}

static nr_code duration(const char *text)
{
    s = (nr_stated){NAN, NAN};
    err.text[0] = '\0';
    return nr_stated_duration(&nr_cmd_tally, "in", text, 60, 86400, &s, &err);
}

START_TEST(quantities)
{
    ck_assert_int_eq(quantity(NULL), NR_OK);
    ck_assert(isnan(s.value) && isnan(s.u));
    ck_assert_int_eq(quantity("20"), NR_OK);
    NEAR(s.value, 20, 0);
    ck_assert(isnan(s.u));
    ck_assert_int_eq(quantity("20+-0.5"), NR_OK);
    NEAR(s.u, 0.5, 1e-12);
    ck_assert_int_eq(quantity("20 \u00b1 0.5"), NR_OK);
    NEAR(s.u, 0.5, 1e-12);
    ck_assert_int_eq(quantity("20+-5%"), NR_OK);
    NEAR(s.u, 1, 1e-12);
    ck_assert_int_eq(quantity("20+-0"), NR_OK);
    NEAR(s.u, 0, 0);
    ck_assert_int_eq(quantity("20+-0%"), NR_OK);
    /* 1 lb = 0.45359237 kg (NIST SP 811) */
    ck_assert_int_eq(quantity("100lb+-2"), NR_OK);
    NEAR(s.value, 45.359237, 1e-6);
    NEAR(s.u, 0.90718474, 1e-6);
    ck_assert_int_eq(quantity("100lb+-1kg"), NR_OK);
    NEAR(s.u, 1, 1e-9);
    static const char *const bad[] = {"20+-", "20+- ", "20+--1", "20+--1%", "20+-x", "20+-%"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(quantity(bad[i]) == NR_BAD, "%s is taken", bad[i]);
    SAYS(err.text, "--water: +-% is no standard uncertainty");
    ck_assert(quantity("0.1") == NR_OK && quantity("10000") == NR_OK);
    ck_assert(quantity("0.09") == NR_BAD && quantity("10001") == NR_BAD);
    SAYS(err.text, "--water 10001: give 0.1 to 10000 kg");
    ck_assert(quantity("heavy") == NR_BAD && quantity("5 V") == NR_BAD);
}
END_TEST

/* A side of 63 letters is read, one of 64 is none. */
START_TEST(long_ones)
{
    char text[200];
    snprintf(text, sizeof text, "%-63s", "20");
    ck_assert_int_eq(quantity(text), NR_OK);
    snprintf(text, sizeof text, "%-64s", "20");
    ck_assert_int_eq(quantity(text), NR_BAD);
    snprintf(text, sizeof text, "20+-%-63s", "1");
    ck_assert_int_eq(quantity(text), NR_OK);
    snprintf(text, sizeof text, "20+-%-64s", "1");
    ck_assert_int_eq(quantity(text), NR_BAD);
}
END_TEST

/* An uncertainty has no zero: 1 degF is 5/9 K. */
START_TEST(temperatures)
{
    ck_assert_int_eq(temperature("64F+-1F", false), NR_OK);
    NEAR(s.value, 32 / 1.8, 1e-9);
    NEAR(s.u, 1 / 1.8, 1e-9);
    ck_assert_int_eq(temperature("64+-1", true), NR_OK);
    NEAR(s.value, 32 / 1.8, 1e-9);
    NEAR(s.u, 1 / 1.8, 1e-9);
    ck_assert_int_eq(temperature("20C+-0.3", true), NR_OK);
    NEAR(s.value, 20, 1e-9);
    NEAR(s.u, 0.3, 1e-9);
    ck_assert_int_eq(temperature("20", false), NR_OK);
    ck_assert(isnan(s.u));
    ck_assert(temperature("20+-5%", false) == NR_BAD && temperature("20+-x", false) == NR_BAD);
    ck_assert(temperature("0C", false) == NR_OK && temperature("99C", false) == NR_OK);
    ck_assert(temperature("-0.1C", false) == NR_BAD && temperature("99.1C", false) == NR_BAD);
    ck_assert(temperature("20+-", false) == NR_BAD && temperature(NULL, false) == NR_OK);
}
END_TEST

START_TEST(durations)
{
    ck_assert_int_eq(duration("1h15m+-1m"), NR_OK);
    NEAR(s.value, 4500, 0);
    NEAR(s.u, 60, 1e-9);
    ck_assert_int_eq(duration("75m+-10%"), NR_OK);
    NEAR(s.u, 450, 1e-9);
    ck_assert(duration("60s") == NR_OK && duration("24h") == NR_OK);
    ck_assert(duration("59s") == NR_BAD && duration("86401s") == NR_BAD);
    SAYS(err.text, "from 1 min to 24 h");
    ck_assert(duration("soon") == NR_BAD && duration("75m+-x") == NR_BAD);
    ck_assert(duration(NULL) == NR_OK);
}
END_TEST

/* --- tally ------------------------------------------------------------------------------------ */

#define SCRAP "--water=20", "--area=0.7", "--in=100m"
#define TALLY(code, ...) ENDS(code, &nr_cmd_tally, "", SCRAP, __VA_ARGS__)

static void refused(const char *option, const char *bad)
{
    char text[80], named[80];
    snprintf(text, sizeof text, "--%s=%s", option, bad);
    snprintf(named, sizeof named, "--%s", option);
    ENDS(NR_BAD, &nr_cmd_tally, "", SCRAP, "--from=20C", "--to=45C", "--sun=800", "--units=si",
         text);
    SAYS(said.err.text, named);
}

START_TEST(limits_of_tally)
{
    static const char *const of[][5] = {
        {"water", "0.09", "0.1", "10000", "10001"}, {"area", "0.009", "0.01", "1000", "1001"},
        {"from", "-0.1C", "0C", "44C", "99.1C"},    {"to", "-0.1C", "21C", "100C", "100.1C"},
        {"in", "59s", "60s", "1d", "86401s"},       {"sun", "49.9", "50", "1500", "1501"},
        {"air", "-60.1C", "-60C", "60C", "60.1C"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[80], named[80];
        refused(of[i][0], of[i][1]);
        refused(of[i][0], of[i][4]);
        snprintf(named, sizeof named, "--%s ", of[i][0]);
        for (int k = 2; k < 4; k++) {
            snprintf(text, sizeof text, "--%s=%s", of[i][0], of[i][k]);
            command_run(&nr_cmd_tally, "", SCRAP, "--from=20C", "--to=45C", "--sun=800", "--anyway",
                        text, NULL);
            SAYS_NOT(said.err.text, named);
        }
    }
    TALLY(NR_OK, "--from=99C", "--to=100C", "--sun=800", "--anyway", "--units=si");
}
END_TEST

/* 20 kg of water, 25 K warmer in 100 minutes: 2.09 MJ, 348 W (c of water 4.18 kJ/(kg K)). */
START_TEST(heat)
{
    TALLY(NR_OK, "--from=20C", "--to=45C", "--sun=800", "--units=si");
    SAYS(said.out, "100 minutes");
    SAYS(said.out, " MJ");
    TALLY(NR_OK, "--from=68", "--to=113", "--sun=800", "--units=us");
    SAYS(said.out, "degF");
    TALLY(NR_OK, "--from=20C", "--to=45C", "--sun=800", "--json");
    SAYS(said.out, "{");
}
END_TEST

#define SKY "--from=20C", "--to=45C", "--date=2026-05-16", "--tilt=30", "--azimuth=180"

START_TEST(a_cloudless_sky)
{
    TALLY(NR_OK, SKY, "--site=46.18,9.9", "--start=11:00", "--anyway");
    TALLY(NR_BAD, SKY, "--site=46.18,9.9", "--start=11:00", "--sun=800");
    SAYS(said.err.text, "--sun and --site exclude each other");
    static const char *const good[] = {"--site=90,180", "--site=-90,-180"};
    static const char *const bad[] = {"--site=90.1,9.9",  "--site=-90.1,9.9", "--site=46,180.1",
                                      "--site=46,-180.1", "--site=46",        "--site=north,9.9",
                                      "--site=46,east"};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        command_run(&nr_cmd_tally, "", SCRAP, SKY, good[i], "--start=11:00", "--anyway", NULL);
        SAYS_NOT(said.err.text, "--site");
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        TALLY(NR_BAD, SKY, bad[i], "--start=11:00");
        SAYS(said.err.text, "give latitude and longitude");
    }
    TALLY(NR_BAD, SKY, "--site=46.18,9.9", "--start=noon");
    SAYS(said.err.text, "--start noon: give a time such as 11:00");
    TALLY(NR_BAD, SKY, "--site=46.18,9.9", "--start=11:00", "--date=16.5.");
    SAYS(said.err.text, "--date 16.5.: give a date");
    TALLY(NR_BAD, "--from=20C", "--to=45C", "--date=2026-05-16"); /* the rest of it is missing */
    TALLY(NR_BAD, "--from=20C", "--to=45C", "--start=11:00");
    TALLY(NR_BAD, "--from=20C", "--to=45C", "--site=46.18,9.9");
}
END_TEST

/* 64 and 95 of a kitchen thermometer are degF: more heat than the sun gave, and no well is at 40
 * degC. */
START_TEST(the_wrong_unit)
{
    static const char words[] = "if the thermometer shows degF, write 64F and 95F";
    TALLY(NR_CANNOT, "--from=64", "--to=95", "--sun=300", "--units=si");
    SAYS(said.err.text, words);
    TALLY(NR_CANNOT, "--from=64C", "--to=95C", "--sun=300", "--units=si");
    SAYS_NOT(said.err.text, "degF");
    TALLY(NR_CANNOT, "--from=64", "--to=95C", "--sun=300", "--units=si");
    SAYS_NOT(said.err.text, "degF");
    TALLY(NR_CANNOT, "--from=40", "--to=95", "--sun=300", "--units=si");
    SAYS(said.err.text, "write 40F and 95F");
    TALLY(NR_CANNOT, "--from=39.9", "--to=95", "--sun=300", "--units=si");
    SAYS_NOT(said.err.text, "degF");
    TALLY(NR_CANNOT, "--from=64", "--to=170", "--sun=300", "--units=us");
    SAYS_NOT(said.err.text, "were read as");
    TALLY(NR_OK, "--from=64", "--to=95", "--sun=300", "--units=si", "--anyway");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {quantities,      long_ones,       temperatures,
                                  durations,       limits_of_tally, heat,
                                  a_cloudless_sky, the_wrong_unit,  NULL};
    return run_tests("stated values", tests);
}
