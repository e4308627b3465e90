/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole sentences about predictions and sizes, from answers written by hand, in both systems of
 * units: each number in its place, each choice of words both ways and on both sides of its limit.
 */
#include "analyze/forecast/day.h"
#include "tests/unit/tell/says.h"

static nr_day steady(void)
{
    nr_day d = nr_day_stated();
    d.sun_W_m2 = 812;
    d.air_degC = 17.25;
    d.water_kg = 41.2;
    d.from_degC = 14.5;
    d.to_degC = 40;
    d.limit_s = 7200;
    return d;
}

static nr_day clear(void)
{
    nr_day d = steady();
    d.clear_sky = true;
    d.date_s = 1782000000.0; /* 2026-06-21 */
    d.start_s = 9 * 3600;
    d.latitude_deg = 46.18;
    d.longitude_deg = 7.5;
    return d;
}

START_TEST(reached)
{
    nr_predict a = {.day = steady(), .reached = true, .probability_reached = 0.87};
    a.time_s = quantity(5430, 300);
    SAYS("In 812 W/m2 of sun and air of 17.25 degC, 41.2 kg of water take 91 minutes from 14.5 to "
         "40 degC (95 %: 81 to 100 minutes).",
         "In 257 Btu/(h ft2) of sun and air of 63.05 degF, 10.9 gal of water take 91 minutes from "
         "58.1 to 104 degF (95 %: 81 to 100 minutes).",
         nr_tell_predict, &a);
    SAYS("40 degC after 91 min (95 %: 81 to 100)", "104 degF after 91 min (95 %: 81 to 100)",
         nr_tell_predict_title, &a);
    a.time_s.hi95 = INFINITY;
    SAYS("In 812 W/m2 of sun and air of 17.25 degC, 41.2 kg of water take 91 minutes from 14.5 to "
         "40 degC (at the earliest 81 minutes; with a probability of 13 % they do not get there at "
         "all).",
         "In 257 Btu/(h ft2) of sun and air of 63.05 degF, 10.9 gal of water take 91 minutes from "
         "58.1 to 104 degF (at the earliest 81 minutes; with a probability of 13 % they do not get "
         "there at all).",
         nr_tell_predict, &a);
    SAYS("40 degC after 91 min (at the earliest 81)", "104 degF after 91 min (at the earliest 81)",
         nr_tell_predict_title, &a);
    a.day = clear();
    SAYS("On 2026-06-21 under a clear sky, started at 9:00 solar time, 41.2 kg of water take 91 "
         "minutes from 14.5 to 40 degC, until 10:31 (at the earliest 81 minutes; with a "
         "probability of 13 % they do not get there at all).",
         "On 2026-06-21 under a clear sky, started at 9:00 solar time, 10.9 gal of water take 91 "
         "minutes from 58.1 to 104 degF, until 10:31 (at the earliest 81 minutes; with a "
         "probability of 13 % they do not get there at all).",
         nr_tell_predict, &a);
    SAYS("40 degC at 10:31 (at the earliest 10:21)", "104 degF at 10:31 (at the earliest 10:21)",
         nr_tell_predict_title, &a);
    a.time_s = quantity(15000, 900);
    SAYS("On 2026-06-21 under a clear sky, started at 9:00 solar time, 41.2 kg of water take 4 h "
         "10 min from 14.5 to 40 degC, until 13:10 (95 %: 12:41 to 13:39).",
         "On 2026-06-21 under a clear sky, started at 9:00 solar time, 10.9 gal of water take 4 h "
         "10 min from 58.1 to 104 degF, until 13:10 (95 %: 12:41 to 13:39).",
         nr_tell_predict, &a);
    SAYS("40 degC at 13:10 (95 %: 12:41 to 13:39)", "104 degF at 13:10 (95 %: 12:41 to 13:39)",
         nr_tell_predict_title, &a);
    a.day.clock_given = true;
    a.day.clock_ahead_s = 5400;
    SAYS("On 2026-06-21 under a clear sky, started at 10:30, 41.2 kg of water take 4 h 10 min from "
         "14.5 to 40 degC, until 14:40 (95 %: 14:11 to 15:09).",
         "On 2026-06-21 under a clear sky, started at 10:30, 10.9 gal of water take 4 h 10 min "
         "from 58.1 to 104 degF, until 14:40 (95 %: 14:11 to 15:09).",
         nr_tell_predict, &a);
    a.time_s.known = false;
    SAYS("The water is at the target from the start.", "The water is at the target from the start.",
         nr_tell_predict, &a);
    SAYS("40 degC from the start", "104 degF from the start", nr_tell_predict_title, &a);
}
END_TEST

START_TEST(not_reached)
{
    nr_predict a = {.day = steady(), .probability_reached = 0.0051};
    nr_trace_point trace[] = {{.t_s = 60}, {.t_s = 9000}, {.t_s = 99999}};
    a.final_degC = quantity(34.56, 1.23);
    SAYS("In 812 W/m2 of sun and air of 17.25 degC, 41.2 kg of water do not reach 40 degC: even "
         "after 120 minutes they are at 34.6 degC (95 %: 32.1 to 37.0 degC); the chance of it is 1 "
         "%.",
         "In 257 Btu/(h ft2) of sun and air of 63.05 degF, 10.9 gal of water do not reach 104 "
         "degF: even after 120 minutes they are at 94.2 degF (95 %: 89.9 to 98.5 degF); the chance "
         "of it is 1 %.",
         nr_tell_predict, &a);
    SAYS("40 degC is not reached: 35 degC in the end (95 %: 32 to 37)",
         "104 degF is not reached: 94 degF in the end (95 %: 90 to 99)", nr_tell_predict_title, &a);
    a.probability_reached = 0.0049;
    a.trace = trace;
    a.count = 2;
    a.day.clear_sky = true;
    a.day.date_s = 1782000000.0;
    a.day.start_s = 9 * 3600;
    SAYS("On 2026-06-21 under a clear sky, started at 9:00 solar time, 41.2 kg of water do not "
         "reach 40 degC: at their warmest after 150 minutes they are at 34.6 degC (95 %: 32.1 to "
         "37.0 degC).",
         "On 2026-06-21 under a clear sky, started at 9:00 solar time, 10.9 gal of water do not "
         "reach 104 degF: at their warmest after 150 minutes they are at 94.2 degF (95 %: 89.9 to "
         "98.5 degF).",
         nr_tell_predict, &a);
    a.probability_reached = 0.123;
    SAYS("On 2026-06-21 under a clear sky, started at 9:00 solar time, 41.2 kg of water do not "
         "reach 40 degC: at their warmest after 150 minutes they are at 34.6 degC (95 %: 32.1 to "
         "37.0 degC); the chance of it is 12 %.",
         "On 2026-06-21 under a clear sky, started at 9:00 solar time, 10.9 gal of water do not "
         "reach 104 degF: at their warmest after 150 minutes they are at 94.2 degF (95 %: 89.9 to "
         "98.5 degF); the chance of it is 12 %.",
         nr_tell_predict, &a);
    a.final_degC.known = false;
    SAYS("40 degC is not reached", "104 degF is not reached", nr_tell_predict_title, &a);
}
END_TEST

START_TEST(remedies)
{
    nr_predict a = {.day = steady()};
    SAYS("", "", nr_tell_predict_remedy, &a);
    a.remedy = (nr_remedy){.kind = NR_REMEDY_PANEL, .panel_start_W_m2 = 345};
    SAYS("The pump on its panel would not start in so little sun: it takes 345 W/m2, a larger "
         "panel or a smaller pump.",
         "The pump on its panel would not start in so little sun: it takes 109 Btu/(h ft2), a "
         "larger panel or a smaller pump.",
         nr_tell_predict_remedy, &a);
    a.remedy = (nr_remedy){.kind = NR_REMEDY_WAYS,
                           .water_kg = 23,
                           .times_area = 1.6,
                           .area_m2 = 2.4,
                           .start_degC = 21};
    SAYS("It would be reached with 23 kg of water, with 1.6 times the collector (2.4 m2, flow in "
         "proportion) or from 21 degC at the start.",
         "It would be reached with 6.1 gal of water, with 1.6 times the collector (26 ft2, flow in "
         "proportion) or from 70 degF at the start.",
         nr_tell_predict_remedy, &a);
    a.remedy.water_kg = NAN;
    SAYS("It would be reached with 1.6 times the collector (2.4 m2, flow in proportion) or from 21 "
         "degC at the start.",
         "It would be reached with 1.6 times the collector (26 ft2, flow in proportion) or from 70 "
         "degF at the start.",
         nr_tell_predict_remedy, &a);
    a.remedy.times_area = NAN;
    SAYS("It would be reached from 21 degC at the start.",
         "It would be reached from 70 degF at the start.", nr_tell_predict_remedy, &a);
    a.remedy.water_kg = 23;
    SAYS("It would be reached with 23 kg of water or from 21 degC at the start.",
         "It would be reached with 6.1 gal of water or from 70 degF at the start.",
         nr_tell_predict_remedy, &a);
    a.remedy = (nr_remedy){.kind = NR_REMEDY_OTHER_BUILD};
    SAYS("Neither less water nor a larger collector of this build would reach it there: it takes a "
         "build that loses less (glass, insulation), more sun or a lower target.",
         "Neither less water nor a larger collector of this build would reach it there: it takes a "
         "build that loses less (glass, insulation), more sun or a lower target.",
         nr_tell_predict_remedy, &a);
    SAYS("Water: 41.2 kg.", "Water: 10.9 gal.", nr_tell_predict_water, &a.day);
    SAYS("Steady sun of 812 W/m2, air at 17 degC.",
         "Steady sun of 257 Btu/(h ft2), air at 63 degF.", nr_tell_predict_day, &a.day);
    a.day = clear();
    SAYS("A clear-sky day at 46.18, 7.50 (a model, not a forecast), the collector left standing.",
         "A clear-sky day at 46.18, 7.50 (a model, not a forecast), the collector left standing.",
         nr_tell_predict_day, &a.day);
    a.day.re_aimed = true;
    a.day.water_kg = NAN;
    SAYS("A clear-sky day at 46.18, 7.50 (a model, not a forecast), the collector turned after the "
         "sun.",
         "A clear-sky day at 46.18, 7.50 (a model, not a forecast), the collector turned after the "
         "sun.",
         nr_tell_predict_day, &a.day);
    SAYS("", "", nr_tell_predict_water, &a.day);
    SAYS("", "", nr_tell_predict_shares, &a);
    a.u_parameter = 0.3;
    a.u_model = 0.4;
    a.u_weather = 1.2; /* 1.3 in all */
    SAYS("Standard uncertainty by origin: 0.3 from the collector's parameters, 0.4 from the model, "
         "1.2 from the weather (K).",
         "Standard uncertainty by origin: 0.5 from the collector's parameters, 0.7 from the model, "
         "2.2 from the weather (degF).",
         nr_tell_predict_shares, &a);
    a.reached = true;
    a.u_parameter = 180;
    a.u_model = 240;
    a.u_weather = 720;
    SAYS("Standard uncertainty by origin: 3 from the collector's parameters, 4 from the model, 12 "
         "from the weather (minutes).",
         "Standard uncertainty by origin: 3 from the collector's parameters, 4 from the model, 12 "
         "from the weather (minutes).",
         nr_tell_predict_shares, &a);
}
END_TEST

static nr_size sized(nr_day day)
{
    nr_size z = {.asked = nr_size_open()};
    z.asked.day = day;
    z.asked.by_s = 15 * 3600;
    z.asked.tap_degC = NAN;
    z.warmest_degC = quantity(42.34, 1.5);
    z.probability = 0.96;
    z.area_m2 = (nr_size_bound){1.234, 1.567};
    z.water_kg = (nr_size_bound){45.6, 34.5};
    z.latest_s = (nr_size_bound){10 * 3600, 9.5 * 3600};
    return z;
}

START_TEST(sizes)
{
    static const double chance[] = {0.951, 0.949, 0.501, 0.499, 0.051, 0.049};
    nr_size z = sized(steady());
    SAYS(
        "Within 120 minutes in 812 W/m2 of sun and air of 17.25 degC, 41.2 kg of water get from "
        "14.5 to 42.3 degC (95 %: 39.4 to 45.3 degC): the target of 40 degC is reached.",
        "Within 120 minutes in 257 Btu/(h ft2) of sun and air of 63.05 degF, 10.9 gal of water get "
        "from 58.1 to 108.2 degF (95 %: 102.9 to 113.5 degF): the target of 104 degF is reached.",
        nr_tell_size, &z);
    SAYS("It takes at least 1.23 m2 of this build, 1.57 m2 to be 95 % sure. At most 45.6 kg of "
         "water get there, 34.5 kg of water to be 95 % sure. The latest start is 10:00, 9:30 to be "
         "95 % sure.",
         "It takes at least 13.3 ft2 of this build, 16.9 ft2 to be 95 % sure. At most 12.07 gal of "
         "water get there, 9.13 gal of water to be 95 % sure. The latest start is 10:00, 9:30 to "
         "be 95 % sure.",
         nr_tell_size_bounds, &z);
    SAYS("40 degC within 120 min is reached: 42 degC (95 %: 39 to 45)",
         "104 degF within 120 min is reached: 108 degF (95 %: 103 to 114)", nr_tell_size_title, &z);
    z.area_m2.sure = z.water_kg.sure = z.latest_s.sure = NAN;
    SAYS("It takes at least 1.23 m2 of this build; no size makes it 95 % sure. At most 45.6 kg of "
         "water get there; no amount is 95 % sure to. The latest start is 10:00; no start is 95 % "
         "sure to be early enough.",
         "It takes at least 13.3 ft2 of this build; no size makes it 95 % sure. At most 12.07 gal "
         "of water get there; no amount is 95 % sure to. The latest start is 10:00; no start is 95 "
         "% sure to be early enough.",
         nr_tell_size_bounds, &z);
    z.area_m2.best = z.latest_s.best = NAN;
    SAYS("No size of this build between a twentieth and twenty times is just enough. At most 45.6 "
         "kg of water get there; no amount is 95 % sure to.",
         "No size of this build between a twentieth and twenty times is just enough. At most 12.07 "
         "gal of water get there; no amount is 95 % sure to.",
         nr_tell_size_bounds, &z);
    z.water_kg.best = NAN;
    SAYS("No size of this build between a twentieth and twenty times is just enough.",
         "No size of this build between a twentieth and twenty times is just enough.",
         nr_tell_size_bounds, &z);
    z.warmest_degC.known = false;
    SAYS("40 degC within 120 min: not known", "104 degF within 120 min: not known",
         nr_tell_size_title, &z);
    z = sized(clear());
    SAYS("By 15:00 solar time on a clear 2026-06-21, started at 9:00, 41.2 kg of water get from "
         "14.5 to 42.3 degC (95 %: 39.4 to 45.3 degC): the target of 40 degC is reached.",
         "By 15:00 solar time on a clear 2026-06-21, started at 9:00, 10.9 gal of water get from "
         "58.1 to 108.2 degF (95 %: 102.9 to 113.5 degF): the target of 104 degF is reached.",
         nr_tell_size, &z);
    z.best_start = true;
    z.asked.day.clock_given = true;
    SAYS("By 15:00 on a clear 2026-06-21, started at 9:00 (the best time), 41.2 kg of water get "
         "from 14.5 to 42.3 degC (95 %: 39.4 to 45.3 degC): the target of 40 degC is reached.",
         "By 15:00 on a clear 2026-06-21, started at 9:00 (the best time), 10.9 gal of water get "
         "from 58.1 to 108.2 degF (95 %: 102.9 to 113.5 degF): the target of 104 degF is reached.",
         nr_tell_size, &z);
    SAYS("40 degC by 15:00 is reached: 42 degC (95 %: 39 to 45)",
         "104 degF by 15:00 is reached: 108 degF (95 %: 103 to 114)", nr_tell_size_title, &z);
    for (size_t i = 0; i < 6; i++) {
        static const char *const word[] = {"yes", "likely", "likely", "unlikely", "unlikely", "no"};
        ck_assert_str_eq(nr_chance_word(nr_chance_of(chance[i])), word[i]);
    }
    ck_assert_str_eq(nr_chance_word(NR_CHANCE_NO_SUN), "no sun");
    ck_assert_str_eq(nr_chance_verdict(NR_CHANCE_SURE), "is reached");
    ck_assert_str_eq(nr_chance_verdict(NR_CHANCE_LIKELY), "is more likely reached than not");
    ck_assert_str_eq(nr_chance_verdict(NR_CHANCE_UNLIKELY), "is probably not reached");
    ck_assert_str_eq(nr_chance_verdict(NR_CHANCE_NONE), "is not reached");
    ck_assert_str_eq(nr_chance_verdict(NR_CHANCE_NO_SUN), "is not reached");
    z.asked.tap_degC = 11.5;
    z.asked.use_degC = 38.25;
    z.asked.use_L = 4.5;
    z.use = (nr_size_use){.mixed_L = 56.7, .count = 12.9, .lo95 = 10.8, .hi95 = 14.7};
    SAYS("Mixed with tap water of 11.5 degC down to 38.25 degC that is about 57 L of water, or 12 "
         "uses of 4.5 L (95 %: 10 to 14).",
         "Mixed with tap water of 52.7 degF down to 100.9 degF that is about 15.0 gal of water, or "
         "12 uses of 1.19 gal (95 %: 10 to 14).",
         nr_tell_size_uses, &z);
    z.use.mixed_L = NAN;
    SAYS("", "", nr_tell_size_uses, &z);
    z.use.mixed_L = 3;
    z.asked.tap_degC = NAN;
    SAYS("", "", nr_tell_size_uses, &z);
}
END_TEST

/* s: sure, l: likely, n: no; a letter for each month. */
static const char *months(nr_size *z, const char *of)
{
    static char text[NR_TELL];
    z->months = strlen(of);
    for (size_t m = 0; m < z->months; m++) {
        z->month[m].sun = true;
        z->month[m].warmest_degC = quantity(40, 1);
        z->month[m].probability = of[m] == 's' ? 0.99 : of[m] == 'l' ? 0.7 : 0.01;
    }
    nr_tell_size_title(text, sizeof text, z, NR_UNITS_SI);
    const char *said = strstr(text, "clear sky: ");
    ck_assert_ptr_nonnull(said);
    return said + 11;
}

START_TEST(sure_months)
{
    nr_size z = sized(clear());
    ck_assert_str_eq(months(&z, "ssssssssssss"), "sure in every month");
    ck_assert_str_eq(months(&z, "nnnnnnnnnnnn"), "sure in no month");
    ck_assert_str_eq(months(&z, "nnlnnnnnnnln"), "sure in no month, likely in 2");
    ck_assert_str_eq(months(&z, "nnnlsssslnnn"), "sure from May to August, likely in 2 more");
    ck_assert_str_eq(months(&z, "nnnnnsnnnnnn"), "sure in June only");
    ck_assert_str_eq(months(&z, "nnnsnsnnnnnn"), "sure in 2 months");
    ck_assert_str_eq(months(&z, "ssnnnnnnnnns"), "sure from December to February");
    ck_assert_str_eq(months(&z, "snnnnnnnnnnn"), "sure in January only");
    ck_assert_str_eq(months(&z, "nnnnnnnnnnns"), "sure in December only");
    ck_assert_str_eq(months(&z, "nsssssssssss"), "sure from February to December");
    ck_assert_str_eq(months(&z, "sssssssssssn"), "sure from January to November");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {reached, not_reached, remedies, sizes, sure_months, NULL};
    return run_tests("said of predictions", tests);
}
