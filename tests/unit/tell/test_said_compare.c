/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole sentences about comparisons, inspections and reasons to doubt, from answers written by
 * hand, in both systems of units: each choice of words both ways and on both sides of its limit. */
#include "tests/unit/tell/says.h"

static nr_compare c;

/* Builds by rank: 2, 0, 1, 3, ... */
static void begin(size_t builds)
{
    static nr_fit fit, other;
    memset(&c, 0, sizeof c);
    memset(&fit, 0, sizeof fit);
    c.builds = builds;
    c.day = (nr_reference_day){.sun_W_m2 = 812,
                               .air_degC = 17.25,
                               .wind_m_s = NAN,
                               .store_kg = 41.2,
                               .from_degC = 14.5,
                               .to_degC = 40};
    for (size_t i = 0; i < builds; i++) {
        snprintf(c.label[i], sizeof c.label[i], "B%zu", i);
        c.build[i] = i ? &other : &fit;
        c.heat_up[i].time_s = quantity(6000 + 600 * (double)i, 300);
        c.rank[i].build = i == 0 ? 2 % builds : i <= 2 ? (i - 1 + (builds == 2)) % 2 : i;
        c.verdict.against[i] =
            (nr_against){NR_AGAINST_SLOWER, 930 + 60 * (double)i, 330, 1530, 306};
    }
    c.verdict.reached = true;
    c.verdict.best = 2 % builds;
    c.verdict.next = builds == 2 ? 1 : 0;
}

START_TEST(days_and_basis)
{
    begin(2);
    SAYS("The reference day, taken from the records: 812 W/m2 of sun, air at 17.3 degC, 41.2 kg of "
         "water from 14.5 to 40 degC.",
         "The reference day, taken from the records: 257 Btu/(h ft2) of sun, air at 63.1 degF, "
         "10.9 gal of water from 58.1 to 104 degF.",
         nr_tell_compare_day, &c.day);
    c.day.stated = true;
    c.day.wind_m_s = 2.25;
    SAYS("The reference day, as stated: 812 W/m2 of sun, air at 17.3 degC, wind 2.3 m/s, 41.2 kg "
         "of water from 14.5 to 40 degC.",
         "The reference day, as stated: 257 Btu/(h ft2) of sun, air at 63.1 degF, wind 5 mph, 10.9 "
         "gal of water from 58.1 to 104 degF.",
         nr_tell_compare_day, &c.day);
    SAYS_ONE("All on gross area and the inlet temperature of the collector. What builds share (the "
             "same sensors) cancels in their differences.",
             nr_tell_compare_basis, &c);
    c.like = true;
    c.skies = 2;
    c.build[0]->reference = NR_REFERENCE_MEAN;
    c.exchanged_count = 1;
    c.exchanged[0] = "sun";
    c.exchanged[1] = "flow";
    c.exchanged[2] = "inlet";
    SAYS_ONE("All on gross area and the mean fluid temperature of the collector. What builds share "
             "(the same sensors; of one kind, tested together, most of the model's own error and "
             "half of what nobody stated of them) cancels in their differences. Sensors changed "
             "places between the records (sun): what one of them gets wrong is in both builds "
             "alike, and cancels, too. The records were taken under 2 different skies: wind and "
             "clouds that nobody measured are in the differences.",
             nr_tell_compare_basis, &c);
    c.exchanged_count = 3;
    c.skies = 1;
    SAYS_ONE("All on gross area and the mean fluid temperature of the collector. What builds share "
             "(the same sensors; of one kind, tested together, most of the model's own error and "
             "half of what nobody stated of them) cancels in their differences. Sensors changed "
             "places between the records (sun, flow and inlet): what one of them gets wrong is in "
             "both builds alike, and cancels, too.",
             nr_tell_compare_basis, &c);
    c.exchanged_count = 2;
    SAYS_ONE("All on gross area and the mean fluid temperature of the collector. What builds share "
             "(the same sensors; of one kind, tested together, most of the model's own error and "
             "half of what nobody stated of them) cancels in their differences. Sensors changed "
             "places between the records (sun and flow): what one of them gets wrong is in both "
             "builds alike, and cancels, too.",
             nr_tell_compare_basis, &c);
    c.builds = 0;
    SAYS_ONE("", nr_tell_compare_basis, &c);
    begin(2);
    SAYS_ONE("B0 against B1", nr_tell_compare_title, &c);
    SAYS_ONE("B1: heat-up on the reference day", nr_tell_heat_up_title, &c, 1);
    SAYS_ONE("", nr_tell_ranking, &c);
    begin(3);
    SAYS_ONE("3 solar collectors compared", nr_tell_compare_title, &c);
    SAYS_ONE("Fastest first, values with their 95 % intervals. Rank: its 95 % range over 20000 "
             "draws of all that is uncertain. Group: builds without a letter in common are told "
             "apart, all pairs together at 95 %.",
             nr_tell_ranking, &c);
    nr_rank rank = {.lo95 = 2, .hi95 = 2};
    SAYS_ONE("2", nr_tell_rank, &rank);
    rank.hi95 = 5;
    SAYS_ONE("2 to 5", nr_tell_rank, &rank);
}
END_TEST

START_TEST(pairs)
{
    begin(3);
    nr_difference d = {.of = 0, .against = 1, .probability_better = NAN, .power = NAN};
    SAYS("", "", nr_tell_compare_pair, &c, &d);
    d.probability_better = 0.5;
    SAYS("B0 heats up faster than B1 with a probability of 50 %.",
         "B0 heats up faster than B1 with a probability of 50 %.", nr_tell_compare_pair, &c, &d);
    d.probability_better = 0.123;
    d.crossing_known = true;
    d.crossing_K = 12.34;
    d.power = 0.994;
    SAYS("B1 heats up faster than B0 with a probability of 87.7 %; their curves cross 12.3 K above "
         "the air; a test like this shows a difference of 10 % in eta0 99 times in 100.",
         "B1 heats up faster than B0 with a probability of 87.7 %; their curves cross 22.2 degF "
         "above the air; a test like this shows a difference of 10 % in eta0 99 times in 100.",
         nr_tell_compare_pair, &c, &d);
    d.crossing_K = -12.34;
    d.crossing = quantity(-12.34, 2);
    d.power = 0.996;
    d.probability_better = 0.0009;
    SAYS("B1 heats up faster than B0 with a probability of more than 99.9 %; their curves cross "
         "12.3 K below the air (95 %: -16.3 to -8.4 K over it); a test like this shows a "
         "difference of 10 % in eta0 practically always.",
         "B1 heats up faster than B0 with a probability of more than 99.9 %; their curves cross "
         "22.2 degF below the air (95 %: -29.3 to -15.2 degF over it); a test like this shows a "
         "difference of 10 % in eta0 practically always.",
         nr_tell_compare_pair, &c, &d);
    d.probability_better = 0.9989;
    d.crossing_known = false;
    SAYS("B0 heats up faster than B1 with a probability of 99.9 %; a test like this shows a "
         "difference of 10 % in eta0 practically always.",
         "B0 heats up faster than B1 with a probability of 99.9 %; a test like this shows a "
         "difference of 10 % in eta0 practically always.",
         nr_tell_compare_pair, &c, &d);
    c.heat_up[0].time_s.known = false;
    SAYS("B0 heats up faster than B1 with a probability of 99.9 %; a test like this shows a "
         "difference of 10 % in eta0 practically always.",
         "B0 heats up faster than B1 with a probability of 99.9 %; a test like this shows a "
         "difference of 10 % in eta0 practically always.",
         nr_tell_compare_pair, &c, &d);
    c.heat_up[0].time_s.known = true;
    c.heat_up[1].time_s.known = false;
    SAYS("B0 heats up faster than B1 with a probability of 99.9 %; a test like this shows a "
         "difference of 10 % in eta0 practically always.",
         "B0 heats up faster than B1 with a probability of 99.9 %; a test like this shows a "
         "difference of 10 % in eta0 practically always.",
         nr_tell_compare_pair, &c, &d);
    c.heat_up[0].time_s.known = false;
    SAYS("Neither B1 nor B0 gets there; a test like this shows a difference of 10 % in eta0 "
         "practically always.",
         "Neither B1 nor B0 gets there; a test like this shows a difference of 10 % in eta0 "
         "practically always.",
         nr_tell_compare_pair, &c, &d);
    SAYS_ONE("", nr_tell_compare_all_pairs, &c);
    c.differences = 1;
    c.difference[0].confidence_adjusted = 0.98765;
    SAYS_ONE("", nr_tell_compare_all_pairs, &c);
    c.differences = 3;
    SAYS_ONE("With 3 pairs looked at together, each difference was judged at the 98.77 % level, so "
             "that all statements together hold at 95 %.",
             nr_tell_compare_all_pairs, &c);
    c.difference[0].confidence_adjusted = NAN;
    SAYS_ONE("", nr_tell_compare_all_pairs, &c);
}
END_TEST

START_TEST(of_two)
{
    begin(2);
    SAYS("For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B0 beats B1: 100.0 "
         "minutes against 110.0, a gain of 16.5 (95 %: 5.5 to 25.5). ",
         "For heating 10.9 gal from 58 to 104 degF at 257 Btu/(h ft2) and 63 degF air, B0 beats "
         "B1: 100.0 minutes against 110.0, a gain of 16.5 (95 %: 5.5 to 25.5). ",
         nr_tell_compare_verdict, &c);
    SAYS_ONE("Best is 16.5 min faster than Next (95 %: 5.5 to 25.5)", nr_tell_compare_headline, &c,
             "Best", "Next");
    c.verdict.crossing = true;
    c.verdict.cold = 1;
    c.verdict.hot = 0;
    c.difference[0].crossing_K = 7.25;
    c.verdict.against[1].outcome = NR_AGAINST_NOT_REACHED;
    SAYS("For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B0 gets there in 100.0 "
         "minutes, B1 does not within twelve hours. Below 7.3 K over the air B1 gathers more, "
         "above it B0.",
         "For heating 10.9 gal from 58 to 104 degF at 257 Btu/(h ft2) and 63 degF air, B0 gets "
         "there in 100.0 minutes, B1 does not within twelve hours. Below 13.1 degF over the air B1 "
         "gathers more, above it B0.",
         nr_tell_compare_verdict, &c);
    c.verdict.crossing = false;
    c.verdict.against[1].outcome = NR_AGAINST_ALIKE;
    c.verdict.settle = NR_SETTLE_SAME_ENOUGH;
    c.verdict.tests = 7;
    SAYS("For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B0 and B1 cannot be "
         "told apart: 100.0 minutes against 110.0, a difference of 16.5 (95 %: 5.5 to 25.5). "
         "Whatever the difference is, it is below 5 % of the time. ",
         "For heating 10.9 gal from 58 to 104 degF at 257 Btu/(h ft2) and 63 degF air, B0 and B1 "
         "cannot be told apart: 100.0 minutes against 110.0, a difference of 16.5 (95 %: 5.5 to "
         "25.5). Whatever the difference is, it is below 5 % of the time. ",
         nr_tell_compare_verdict, &c);
    SAYS_ONE("No clear difference in heat-up time (95 %): Best, Next", nr_tell_compare_headline, &c,
             "Best", "Next");
    c.verdict.settle = NR_SETTLE_MORE_TESTS;
    SAYS("For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B0 and B1 cannot be "
         "told apart: 100.0 minutes against 110.0, a difference of 16.5 (95 %: 5.5 to 25.5). About "
         "7 tests like these, fitted together, would settle it. ",
         "For heating 10.9 gal from 58 to 104 degF at 257 Btu/(h ft2) and 63 degF air, B0 and B1 "
         "cannot be told apart: 100.0 minutes against 110.0, a difference of 16.5 (95 %: 5.5 to "
         "25.5). About 7 tests like these, fitted together, would settle it. ",
         nr_tell_compare_verdict, &c);
    c.verdict.settle = NR_SETTLE_BETTER_SENSORS;
    SAYS("For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B0 and B1 cannot be "
         "told apart: 100.0 minutes against 110.0, a difference of 16.5 (95 %: 5.5 to 25.5). More "
         "of the same would not settle it: sensors shared by both builds (or second records with "
         "all sensors exchanged), or better ones, and a test that ends hotter would. ",
         "For heating 10.9 gal from 58 to 104 degF at 257 Btu/(h ft2) and 63 degF air, B0 and B1 "
         "cannot be told apart: 100.0 minutes against 110.0, a difference of 16.5 (95 %: 5.5 to "
         "25.5). More of the same would not settle it: sensors shared by both builds (or second "
         "records with all sensors exchanged), or better ones, and a test that ends hotter would. ",
         nr_tell_compare_verdict, &c);
    c.exchanged_count = 1;
    SAYS("For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B0 and B1 cannot be "
         "told apart: 100.0 minutes against 110.0, a difference of 16.5 (95 %: 5.5 to 25.5). More "
         "of the same would not settle it: sensors shared by both builds, or better ones, and a "
         "test that ends hotter would. ",
         "For heating 10.9 gal from 58 to 104 degF at 257 Btu/(h ft2) and 63 degF air, B0 and B1 "
         "cannot be told apart: 100.0 minutes against 110.0, a difference of 16.5 (95 %: 5.5 to "
         "25.5). More of the same would not settle it: sensors shared by both builds, or better "
         "ones, and a test that ends hotter would. ",
         nr_tell_compare_verdict, &c);
    c.verdict.best = 1;
    c.verdict.next = 1;
    SAYS_ONE("Only Best reaches the target on the reference day", nr_tell_compare_headline, &c,
             "Best", "Next");
    c.verdict.reached = false;
    SAYS("For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, no build gets there "
         "within twelve hours.",
         "For heating 10.9 gal from 58 to 104 degF at 257 Btu/(h ft2) and 63 degF air, no build "
         "gets there within twelve hours.",
         nr_tell_compare_verdict, &c);
    SAYS_ONE("No build reaches the target on the reference day", nr_tell_compare_headline, &c,
             "Best", "Next");
}
END_TEST

START_TEST(of_many)
{
    begin(3);
    SAYS("For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B2 heats up first of "
         "3: 120.0 minutes (95 %: 110.2 to 129.8). Slower for certain (95 %, all pairs together): "
         "B0 by 15.5 minutes (5.5 to 25.5), B1 by 16.5 minutes (5.5 to 25.5). ",
         "For heating 10.9 gal from 58 to 104 degF at 257 Btu/(h ft2) and 63 degF air, B2 heats up "
         "first of 3: 120.0 minutes (95 %: 110.2 to 129.8). Slower for certain (95 %, all pairs "
         "together): B0 by 15.5 minutes (5.5 to 25.5), B1 by 16.5 minutes (5.5 to 25.5). ",
         nr_tell_compare_verdict, &c);
    SAYS_ONE("Best heats up first of 3: 120.0 min (95 %: 110.2 to 129.8)", nr_tell_compare_headline,
             &c, "Best", "Next");
    c.verdict.against[0].outcome = NR_AGAINST_ALIKE;
    c.verdict.against[1].outcome = NR_AGAINST_NOT_REACHED;
    SAYS("For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B2 heats up first of "
         "3: 120.0 minutes (95 %: 110.2 to 129.8). B0 cannot be told apart from it. B1 does not "
         "get there within twelve hours.",
         "For heating 10.9 gal from 58 to 104 degF at 257 Btu/(h ft2) and 63 degF air, B2 heats up "
         "first of 3: 120.0 minutes (95 %: 110.2 to 129.8). B0 cannot be told apart from it. B1 "
         "does not get there within twelve hours.",
         nr_tell_compare_verdict, &c);
    for (size_t builds = 6; builds <= 8; builds++) { /* others: 5, 6, 7 */
        static const char *const slower[] = {
            "For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B2 heats up first "
            "of 6: 120.0 minutes (95 %: 110.2 to 129.8). Slower for certain (95 %, all pairs "
            "together): B0 by 15.5 minutes (5.5 to 25.5), B1 by 16.5 minutes (5.5 to 25.5), B3 by "
            "18.5 minutes (5.5 to 25.5), B4 by 19.5 minutes (5.5 to 25.5), B5 by 20.5 minutes (5.5 "
            "to 25.5). ",
            "For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B2 heats up first "
            "of 7: 120.0 minutes (95 %: 110.2 to 129.8). Slower for certain (95 %, all pairs "
            "together): B0 by 15.5 minutes (5.5 to 25.5), B1 by 16.5 minutes (5.5 to 25.5), B3 by "
            "18.5 minutes (5.5 to 25.5), B4 by 19.5 minutes (5.5 to 25.5), B5 by 20.5 minutes (5.5 "
            "to 25.5), B6 by 21.5 minutes (5.5 to 25.5). ",
            "For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B2 heats up first "
            "of 8: 120.0 minutes (95 %: 110.2 to 129.8). Slower for certain (95 %, all pairs "
            "together): B0 by 15.5 minutes (5.5 to 25.5), B1 by 16.5 minutes (5.5 to 25.5), B3 by "
            "18.5 minutes (5.5 to 25.5), B4 by 19.5 minutes (5.5 to 25.5), B5 by 20.5 minutes (5.5 "
            "to 25.5) and 2 more. "};
        static const char *const alike[] = {
            "For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B2 heats up first "
            "of 6: 120.0 minutes (95 %: 110.2 to 129.8). B0, B1, B3, B4 and B5 cannot be told "
            "apart from it. ",
            "For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B2 heats up first "
            "of 7: 120.0 minutes (95 %: 110.2 to 129.8). B0, B1, B3, B4, B5 and B6 cannot be told "
            "apart from it. ",
            "For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B2 heats up first "
            "of 8: 120.0 minutes (95 %: 110.2 to 129.8). B0, B1, B3, B4, B5 and 2 more cannot be "
            "told apart from it. "};
        static const char *const never[] = {
            "For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B2 heats up first "
            "of 6: 120.0 minutes (95 %: 110.2 to 129.8). B0, B1, B3, B4 and B5 do not get there "
            "within twelve hours.",
            "For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B2 heats up first "
            "of 7: 120.0 minutes (95 %: 110.2 to 129.8). B0, B1, B3, B4, B5 and B6 do not get "
            "there within twelve hours.",
            "For heating 41 kg from 15 to 40 degC at 812 W/m2 and 17 degC air, B2 heats up first "
            "of 8: 120.0 minutes (95 %: 110.2 to 129.8). B0, B1, B3, B4, B5 and 2 more do not get "
            "there within twelve hours."};
        begin(builds);
        SAYS_ONE(slower[builds - 6], nr_tell_compare_verdict, &c, NR_UNITS_SI);
        for (size_t i = 0; i < builds; i++)
            c.verdict.against[i].outcome = NR_AGAINST_ALIKE;
        SAYS_ONE(alike[builds - 6], nr_tell_compare_verdict, &c, NR_UNITS_SI);
        for (size_t i = 0; i < builds; i++)
            c.verdict.against[i].outcome = NR_AGAINST_NOT_REACHED;
        SAYS_ONE(never[builds - 6], nr_tell_compare_verdict, &c, NR_UNITS_SI);
    }
}
END_TEST

/* --- reasons to doubt --------------------------------------------------------------------------
 */

START_TEST(reasons)
{
    static const char *const less[NR_TRUST_CODES] = {
        "",
        "It turns -12.3 % of the sun into heat (95 %: 66000.0 % to 0.0 %), and 100 % is the most "
        "that such a collector can. Check the sun sensor's conversion, its plane, and that nothing "
        "shaded it; then gross_area_m2, water_kg and the flow meter.",
        "The record does not determine the collector's gain (standard uncertainty -12 % of the "
        "sun). What the sun and the pump did between its 660 readings is not known: read more "
        "often, or in an hour without clouds.",
        "It turns only -12.3 % of the sun into heat, which no collector that is worth testing "
        "does. Check gross_area_m2 and the sun sensor's conversion and unit.",
        "Its loss of -0.1 W/(m2 K) lies beyond 660.0 W/(m2 K), which collectors of its kind keep "
        "to. Something changed while the water warmed, or the air's probe or the container is not "
        "what it seems.",
        "The water took up -12 % of the sun's heat on the collector, more than there was. Check "
        "the sun sensor's conversion and plane, gross_area_m2, water_kg and the flow meter.",
        "From minute 11 on the collector gained 12 % less for the same irradiance: a shadow or dew "
        "on the collector, another aim, or a sensor that got more sun.",
        "From minute 11 to 0 the collector gained 12 % less for the same irradiance: a shadow or "
        "dew on the collector, another aim, or a sensor that got more sun.",
        "The collector's gain drifts by -12 % over the record: the irradiance sensor fades or is "
        "in another plane than the collector, or something dries or gets dirty.",
        "The irradiance drifts by -12 % over the record against a cloudless sky's course and "
        "against what the collector made of it: the sensor fades, leans or is in another plane "
        "than the collector.",
        "From minute 11 on the record gives 12 % less efficiency than before: wind, water, a probe "
        "or the collector changed on the way.",
        "At minute 11 the inlet probe jumped by -4.56 K against everything else: it was bumped, "
        "came loose or its contact changed.",
        "The inlet probe drifts by -0.12 K over the record against everything else: look at its "
        "supply, its contact and what warms it.",
        "From minute 11 on the container warms as if it held 12 % less water: water was drawn off, "
        "leaked or was added, or its layers moved past the probe.",
        "At minute 11 the container's temperature stepped by -0.12 K by itself: water was poured "
        "in or mixed, or its probe was moved.",
        "From minute 11 on what the loop carried is not found in the container: -12 % of the rise "
        "are astray. Water came or went, the container is layered, air was in the loop, or a probe "
        "moved.",
        "At first the collector gained -12 % less for the same irradiance, and less and less so: "
        "it dried, or it was shaded or cold. If it was wet, say `dew = yes` in [collector]; else "
        "leave the beginning out.",
        "About minute 11 the inlet's reading moved by -4.56 K against the container's: one of the "
        "two probes was bumped or came loose, or water came in.",
        "The water enters the collector 4.6 K colder than the container is: the container is "
        "layered, the inlet probe does not touch the water, or it is not fed from there.",
        "From the first third of the record to the last the inlet's reading moved by -4.56 K "
        "against the container's: one of the two probes drifts or hangs loose, is held at a hose "
        "and feels the air, or layers grew in the container.",
        "What is behind the absorber is not stated, and the answer hangs on it: -456 % in the "
        "middle of the tested range with the board that the record seems to have, 66000 % without "
        "one. State `back` in rig.ini. If it is light, something else came late: another aim, dew, "
        "a sensor that fades.",
        "The record contradicts what is usual where nothing is stated: inlet comes out 4.6 times "
        "its uncertainty below. Look at it, and state it.",
        "The stated values contradict the record together: they had to move -4.6 times as far as "
        "their uncertainties allow. Check gains, offsets, masses and the area in rig.ini."};
    static const char *const more[NR_TRUST_CODES] = {
        "",
        "It turns 12.3 % of the sun into heat (95 %: 66000.0 % to 100.0 %), and 0 % is the most "
        "that such a collector can. Check the sun sensor's conversion, its plane, and that nothing "
        "shaded it; then gross_area_m2, water_kg and the flow meter.",
        "The record does not determine the collector's gain (standard uncertainty 12 % of the "
        "sun). What the sun and the pump did between its 660 readings is not known: read more "
        "often, or in an hour without clouds.",
        "It turns only 12.3 % of the sun into heat, which no collector that is worth testing does. "
        "Check gross_area_m2 and the sun sensor's conversion and unit.",
        "Its loss of 0.02 Btu/(h ft2 degF) lies beyond 116.23 Btu/(h ft2 degF), which collectors "
        "of its kind keep to. Something changed while the water warmed, or the air's probe or the "
        "container is not what it seems.",
        "The water took up 12 % of the sun's heat on the collector, more than there was. Check the "
        "sun sensor's conversion and plane, gross_area_m2, water_kg and the flow meter.",
        "From minute 11 on the collector gained 12 % more for the same irradiance: a shadow, dirt "
        "or a hand on the irradiance sensor, another aim, or dew that dried on the collector.",
        "From minute 11 to 0 the collector gained 12 % more for the same irradiance: a shadow, "
        "dirt or a hand on the irradiance sensor, another aim, or dew that dried on the collector.",
        "The collector's gain drifts by +12 % over the record: the irradiance sensor fades or is "
        "in another plane than the collector, or something dries or gets dirty.",
        "The irradiance drifts by +12 % over the record against a cloudless sky's course and "
        "against what the collector made of it: the sensor fades, leans or is in another plane "
        "than the collector.",
        "From minute 11 on the record gives 12 % more efficiency than before: wind, water, a probe "
        "or the collector changed on the way.",
        "At minute 11 the inlet probe jumped by +8.21 degF against everything else: it was bumped, "
        "came loose or its contact changed.",
        "The inlet probe drifts by +0.22 degF over the record against everything else: look at its "
        "supply, its contact and what warms it.",
        "From minute 11 on the container warms as if it held 12 % more water: water was drawn off, "
        "leaked or was added, or its layers moved past the probe.",
        "At minute 11 the container's temperature stepped by +0.22 degF by itself: water was "
        "poured in or mixed, or its probe was moved.",
        "From minute 11 on what the loop carried is not found in the container: 12 % of the rise "
        "are astray. Water came or went, the container is layered, air was in the loop, or a probe "
        "moved.",
        "At first the collector gained 12 % less for the same irradiance, and less and less so: it "
        "dried, or it was shaded or cold. If it was wet, say `dew = yes` in [collector]; else "
        "leave the beginning out.",
        "About minute 11 the inlet's reading moved by +8.21 degF against the container's: one of "
        "the two probes was bumped or came loose, or water came in.",
        "The water enters the collector 8.2 degF warmer than the container is: the container is "
        "layered, the inlet probe does not touch the water, or it is not fed from there.",
        "From the first third of the record to the last the inlet's reading moved by +8.21 degF "
        "against the container's: one of the two probes drifts or hangs loose, is held at a hose "
        "and feels the air, or layers grew in the container.",
        "What is behind the absorber is not stated, and the answer hangs on it: 456 % in the "
        "middle of the tested range with the board that the record seems to have, 66000 % without "
        "one. State `back` in rig.ini. If it is light, something else came late: another aim, dew, "
        "a sensor that fades.",
        "The record contradicts a stated value: inlet comes out 4.6 times its uncertainty above. "
        "Check it, or state a larger uncertainty.",
        "The stated values contradict the record together: they had to move 4.6 times as far as "
        "their uncertainties allow. Check gains, offsets, masses and the area in rig.ini."};
    for (int i = 1; i < NR_TRUST_CODES; i++) {
        nr_trust_reason r = {
            .code = (nr_trust_code)i, .number = {-0.123, 660, 0, 1}, .name = "inlet"};
        if (i == NR_TRUST_PROBE_JUMP || i >= NR_TRUST_INLET_STEP)
            r.number[0] = -4.56;
        SAYS_ONE(less[i], nr_tell_trust, &r, NR_UNITS_SI);
        r.number[0] *= -1;
        r.number[2] = 1;
        r.number[3] = 0;
        SAYS_ONE(more[i], nr_tell_trust, &r, NR_UNITS_US);
    }
}
END_TEST

START_TEST(a_finding)
{
    nr_trust_reason r = {.code = NR_TRUST_FINDING, .whose = "May"};
    r.finding = (nr_finding){.code = NR_FIND_NOISY, .channel = "store", .number = {0.25}};
    SAYS("May: store jumps about by 0.25 K from reading to reading. Use a shielded or twisted wire "
         "away from the pump's, a steadier supply, or let the adapter average.",
         "May: store jumps about by 0.45 degF from reading to reading. Use a shielded or twisted "
         "wire away from the pump's, a steadier supply, or let the adapter average.",
         nr_tell_trust, &r);
}
END_TEST

START_TEST(inspections)
{
    static nr_inspect x;
    x = (nr_inspect){.folder = "may",
                     .rows = 1234,
                     .duration_s = 5430,
                     .interval_s = 4.4,
                     .start_utc_s = 1782000000.0 + 9 * 3600 + 5 * 60 + 59,
                     .gaps = 2,
                     .steady_windows = 3,
                     .incidence_lo_deg = NAN,
                     .incidence_hi_deg = 41.2};
    x.finding[0] = (nr_finding){.code = NR_FIND_NOISY, .channel = "store", .number = {0.25}};
    x.finding[1] = (nr_finding){.code = NR_FIND_BRIEF, .number = {600}};
    for (int use = 0; use < 4; use++) {
        static const char *const used[] = {
            "Usable for: no fit, as it stands.",
            "Usable for: the container's heat balance (store), not the loop's.",
            "Usable for: the loop's heat balance, not the container's (store).",
            "Usable for: the container's heat balance (store) and the loop's."};
        static const char *const good[] = {
            "This record of 91 minutes is good: the collector can be fitted from the loop.",
            "This record of 91 minutes is good: the collector can be fitted from the container's "
            "temperature.",
            "This record of 91 minutes is good: the collector can be fitted from the loop.",
            "This record of 91 minutes is good: the collector can be fitted from the container's "
            "temperature and from the loop."};
        static const char *const title[] = {
            "A good record: not usable for a fit", "A good record: usable for the store alone",
            "A good record: usable for the loop alone", "A good record: usable for store and loop"};
        x.usable_for_store = use & 1;
        x.usable_for_loop = use & 2;
        SAYS_ONE(used[use], nr_tell_inspect_use, &x);
        SAYS_ONE(title[use], nr_tell_inspect_title, &x);
        SAYS_ONE(good[use], nr_tell_inspect, &x, NR_UNITS_SI);
    }
    x.verdict = NR_RECORD_LACKING;
    SAYS("This record of 91 minutes is sound but does not hold what a fit needs.",
         "This record of 91 minutes is sound but does not hold what a fit needs.", nr_tell_inspect,
         &x);
    x.verdict = NR_RECORD_DARK;
    SAYS("This record of 91 minutes has no sun: as a cool-down it tells the container's loss "
         "(`noonfit fit`), and with a sunny run of the same build the collector's.",
         "This record of 91 minutes has no sun: as a cool-down it tells the container's loss "
         "(`noonfit fit`), and with a sunny run of the same build the collector's.",
         nr_tell_inspect, &x);
    x.verdict = NR_RECORD_DOUBTFUL;
    x.doubts = 1;
    SAYS("This record of 91 minutes can be fitted from the container's temperature and from the "
         "loop, but with a doubt: store jumps about by 0.25 K from reading to reading.",
         "This record of 91 minutes can be fitted from the container's temperature and from the "
         "loop, but with a doubt: store jumps about by 0.45 degF from reading to reading.",
         nr_tell_inspect, &x);
    x.verdict = NR_RECORD_FAULTY;
    x.doubts = 2;
    SAYS("This record of 91 minutes can be fitted from the container's temperature and from the "
         "loop, but with a fault to mend first: store jumps about by 0.25 K from reading to "
         "reading. 1 more below.",
         "This record of 91 minutes can be fitted from the container's temperature and from the "
         "loop, but with a fault to mend first: store jumps about by 0.45 degF from reading to "
         "reading. 1 more below.",
         nr_tell_inspect, &x);
    x.verdict = NR_RECORD_UNFIT;
    x.finding[0] = (nr_finding){.code = NR_FIND_HEAT_BALANCE_OPEN, .number = {1.23, 0.04}};
    SAYS("This record of 91 minutes cannot be fitted as it is: The loop carried 1.23 times the "
         "heat found in the container (standard uncertainty 0.04). 1 more below.",
         "This record of 91 minutes cannot be fitted as it is: The loop carried 1.23 times the "
         "heat found in the container (standard uncertainty 0.04). 1 more below.",
         nr_tell_inspect, &x);
    x.findings = 2;
    x.finding[0].severity = NR_SEVERITY_FAULT;
    x.finding[1].severity = NR_SEVERITY_DOUBT;
    x.finding[2].severity = NR_SEVERITY_FAULT;
    SAYS_ONE("1 fault, 1 doubt: usable for store and loop", nr_tell_inspect_title, &x);
    x.findings = 3;
    x.finding[1].severity = NR_SEVERITY_NOTE;
    SAYS_ONE("2 faults, 0 doubts: usable for store and loop", nr_tell_inspect_title, &x);
    x.finding[0].severity = x.finding[2].severity = NR_SEVERITY_DOUBT;
    SAYS_ONE("0 faults, 2 doubts: usable for store and loop", nr_tell_inspect_title, &x);
    SAYS_ONE("may: 1234 rows in 90.5 min from 2026-06-21 09:05 UTC, one every 4.4 s; gaps: 2; "
             "steady windows: 3.",
             nr_tell_inspect_record, &x);
    snprintf(x.title, sizeof x.title, "W");
    SAYS_ONE("may (W): 1234 rows in 90.5 min from 2026-06-21 09:05 UTC, one every 4.4 s; gaps: 2; "
             "steady windows: 3.",
             nr_tell_inspect_record, &x);
    x.start_utc_s = NAN;
    SAYS_ONE(
        "may (W): 1234 rows in 90.5 min from  UTC, one every 4.4 s; gaps: 2; steady windows: 3.",
        nr_tell_inspect_record, &x);
    SAYS_ONE("", nr_tell_inspect_angle, &x);
    x.incidence_lo_deg = 12.6;
    SAYS_ONE("The sun stood 13 to 41 degrees from perpendicular.", nr_tell_inspect_angle, &x);
    ck_assert_str_eq(nr_severity_word(NR_SEVERITY_NOTE), "note");
    ck_assert_str_eq(nr_severity_word(NR_SEVERITY_DOUBT), "doubt");
    ck_assert_str_eq(nr_severity_word(NR_SEVERITY_FAULT), "fault");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {days_and_basis, pairs,     of_two,      of_many,
                                  reasons,        a_finding, inspections, NULL};
    return run_tests("said of comparisons", tests);
}
