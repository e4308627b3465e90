/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The day that an answer is asked for: times of day with and without a zone, what makes it a day of
 * a clear sky, what is supposed of its weather, the limits of temperatures; and the question that
 * builds are judged by. */
#include "analyze/noonfit/day_options.h"
#include "analyze/noonfit/question_options.h"

#include "tests/unit/command_run.h"

#define NOON 43200.0
#define JUNE_21 1782000000.0 /* 2026-06-21T00:00:00Z (GNU date) */

static nr_rig rig;
static nr_err err;

/* --- a time of day ---------------------------------------------------------------------------- */

static double solar, ahead;
static bool zone;

static bool time_of(const char *text, double longitude)
{
    return nr_day_time_parse(text, longitude, &solar, &ahead, &zone);
}

/* The sun takes four minutes a degree: at 15 degrees east noon is an hour before Greenwich's. */
START_TEST(times)
{
    ck_assert(time_of("10:30", NAN));
    NEAR(solar, 37800, 0);
    NEAR(ahead, 0, 0);
    ck_assert(!zone);
    ck_assert(time_of("11:00Z", 15));
    NEAR(solar, NOON, 1e-9);
    NEAR(ahead, -3600, 1e-9);
    ck_assert(zone);
    ck_assert(time_of("13:00+02:00", 15));
    NEAR(solar, NOON, 1e-9);
    NEAR(ahead, 3600, 1e-9);
    ck_assert(time_of("12:00-07:30", -112.5));
    NEAR(solar, NOON, 1e-9);
    ck_assert(time_of("9:05", NAN) && solar == 32700);
    ck_assert(time_of("0:00", NAN) && time_of("23:59", NAN) && time_of("00:00", NAN));
    ck_assert(!time_of("24:00", NAN) && !time_of("10:60", NAN));
    ck_assert(!time_of("010:30", NAN) && !time_of("10:030", NAN) && !time_of("-1:30", NAN));
    ck_assert(!time_of("10", NAN) && !time_of("10:", NAN) && !time_of("", NAN));
    ck_assert(!time_of("11:00Z", NAN)); /* where? */
    ck_assert(!time_of("11:00z", 15) && !time_of("11:00Zulu", 15) && !time_of("11:00+2", 15));
    ck_assert(!time_of("11:00+02:00x", 15) && !time_of("11:00+", 15) && !time_of("11:00 ", 15));
}
END_TEST

/* --- a day ------------------------------------------------------------------------------------ */

static nr_day_options o;

static void begin(void)
{
    memset(&rig, 0, sizeof rig);
    o = nr_day_options_none(&nr_cmd_predict);
}

static nr_code finish(nr_units units)
{
    err.text[0] = '\0';
    return nr_day_options_finish(&o, units, &rig, &err);
}

START_TEST(a_steady_day)
{
    begin();
    o.day.sun_W_m2 = 800;
    o.air = "20C";
    o.from = "59";
    o.to = "104";
    ck_assert_int_eq(finish(NR_UNITS_US), NR_OK);
    ck_assert(!o.day.clear_sky);
    NEAR(o.day.air_degC, 20, 1e-9);
    NEAR(o.day.from_degC, 15, 1e-9); /* 59 degF */
    NEAR(o.day.to_degC, 40, 1e-9);   /* 104 degF */
    NEAR(o.day.u_sun, 0, 0);
    NEAR(o.day.u_air_K, 0, 0);
    begin();
    o.u_sun_percent = 7;
    o.u_air_K = 1.5;
    ck_assert_int_eq(finish(NR_UNITS_SI), NR_OK);
    NEAR(o.day.u_sun, 0.07, 1e-12);
    NEAR(o.day.u_air_K, 1.5, 0);
    begin();
    o.start = "10:30";
    ck_assert_int_eq(finish(NR_UNITS_SI), NR_BAD);
    SAYS(err.text, "--start belongs to a clear-sky day");
}
END_TEST

/* The sky model is 10 % uncertain, air said beforehand 2 K, unless somebody knows better. */
START_TEST(a_clear_day)
{
    begin();
    o.date = "2026-06-21";
    o.start = "10:30";
    ck_assert_int_eq(finish(NR_UNITS_SI), NR_OK);
    ck_assert(o.day.clear_sky && !o.day.clock_given);
    NEAR(o.day.date_s, JUNE_21, 0);
    NEAR(o.day.start_s, 37800, 0);
    NEAR(o.day.u_sun, 0.1, 0);
    NEAR(o.day.u_air_K, 2, 0);
    o.u_sun_percent = o.u_air_K = 0;
    ck_assert_int_eq(finish(NR_UNITS_SI), NR_OK);
    NEAR(o.day.u_sun, 0, 0);
    NEAR(o.day.u_air_K, 0, 0);
    o.day.sun_W_m2 = 800;
    ck_assert_int_eq(finish(NR_UNITS_SI), NR_BAD);
    SAYS(err.text, "--sun and --day exclude each other");
    o.day.sun_W_m2 = NAN;
    o.date = "21.6.2026";
    ck_assert_int_eq(finish(NR_UNITS_SI), NR_BAD);
    SAYS(err.text, "--day 21.6.2026: give a date such as 2026-06-21");
}
END_TEST

/* A zone wants a longitude: its own, or the site's of a rig whose latitude is meant as well. */
START_TEST(a_zone)
{
    begin();
    o.date = "2026-06-21";
    o.start = "13:00+02:00";
    ck_assert_int_eq(finish(NR_UNITS_SI), NR_BAD);
    SAYS(err.text, "(with a zone, also --longitude)");
    rig.longitude_deg = (nr_value){.given = true, .value = 15};
    ck_assert_int_eq(finish(NR_UNITS_SI), NR_OK);
    NEAR(o.day.start_s, NOON, 1e-9);
    NEAR(o.day.clock_ahead_s, 3600, 1e-9);
    ck_assert(o.day.clock_given);
    NEAR(o.day.longitude_deg, 15, 0);
    o.day.longitude_deg = 0;
    ck_assert_int_eq(finish(NR_UNITS_SI), NR_OK);
    NEAR(o.day.start_s, 11 * 3600, 1e-9);
    o.day.longitude_deg = NAN;
    o.day.latitude_deg = 46; /* another place */
    ck_assert_int_eq(finish(NR_UNITS_SI), NR_BAD);
    o.start = "noon";
    o.day.longitude_deg = 15;
    ck_assert_int_eq(finish(NR_UNITS_SI), NR_BAD);
    SAYS(err.text, "10:30+02:00;");
}
END_TEST

START_TEST(temperatures)
{
    double T;
    begin();
    ck_assert_int_eq(nr_day_temperature(&o, "air", "-60C", NR_UNITS_SI, &T, &err), NR_OK);
    NEAR(T, -60, 0);
    ck_assert_int_eq(nr_day_temperature(&o, "air", "100", NR_UNITS_SI, &T, &err), NR_OK);
    ck_assert_int_eq(nr_day_temperature(&o, "air", "-60.1C", NR_UNITS_SI, &T, &err), NR_BAD);
    ck_assert_int_eq(nr_day_temperature(&o, "air", "100.1C", NR_UNITS_SI, &T, &err), NR_BAD);
    ck_assert_int_eq(nr_day_temperature(&o, "air", "212", NR_UNITS_US, &T, &err), NR_OK);
    NEAR(T, 100, 1e-9);
    char **const texts[] = {(char **)&o.air, (char **)&o.from, (char **)&o.to};
    for (size_t i = 0; i < 3; i++) {
        begin();
        *texts[i] = (char *)"101C";
        ck_assert_int_eq(finish(NR_UNITS_SI), NR_BAD);
    }
}
END_TEST

/* --- what builds are judged by ---------------------------------------------------------------- */

static nr_code question(const char *air, const char *from, const char *to, nr_units units)
{
    nr_question_options q = nr_question_none();
    q.air = air;
    q.from = from;
    q.to = to;
    nr_code code = nr_question_finish(&q, &nr_cmd_compare, units, &err);
    if (!code && units == NR_UNITS_US)
        NEAR(q.day.air_degC, 20, 1e-9);
    return code;
}

START_TEST(questions)
{
    static const struct {
        const char *air, *from, *to;
        nr_code code;
    } of[] = {{"-60C", NULL, NULL, NR_OK},  {"-60.1C", NULL, NULL, NR_BAD},
              {"60C", NULL, NULL, NR_OK},   {"60.1C", NULL, NULL, NR_BAD},
              {NULL, "0C", NULL, NR_OK},    {NULL, "-0.1C", NULL, NR_BAD},
              {NULL, "100C", NULL, NR_OK},  {NULL, "100.1C", NULL, NR_BAD},
              {NULL, NULL, "0C", NR_OK},    {NULL, NULL, "-0.1C", NR_BAD},
              {NULL, NULL, "100C", NR_OK},  {NULL, NULL, "100.1C", NR_BAD},
              {NULL, "40C", "40C", NR_BAD}, {NULL, "40C", "40.1C", NR_OK}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        ck_assert_msg(question(of[i].air, of[i].from, of[i].to, NR_UNITS_SI) == of[i].code, "%zu",
                      i);
    ck_assert_int_eq(question("68", NULL, NULL, NR_UNITS_US), NR_OK);
}
END_TEST

/* Of one build alone it is another command's question. */
START_TEST(of_one_build)
{
    nr_question_options none = nr_question_none(), q = none;
    ck_assert_int_eq(nr_question_for(&q, &nr_cmd_card, 1, NR_UNITS_SI, &err), NR_OK);
    const char **const texts[] = {&q.air, &q.from, &q.to};
    double *const values[] = {&q.day.sun_W_m2, &q.day.store_kg, &q.day.wind_m_s};
    for (size_t i = 0; i < 6; i++) {
        q = none;
        if (i < 3)
            *texts[i] = "20C";
        else
            *values[i - 3] = 20;
        ck_assert_int_eq(nr_question_for(&q, &nr_cmd_card, 1, NR_UNITS_SI, &err), NR_BAD);
        SAYS(err.text, "`noonfit predict`");
        ck_assert_int_eq(nr_question_for(&q, &nr_cmd_card, 2, NR_UNITS_SI, &err), NR_OK);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {times,        a_steady_day, a_clear_day,  a_zone,
                                  temperatures, questions,    of_one_build, NULL};
    return run_tests("a day asked for", tests);
}
