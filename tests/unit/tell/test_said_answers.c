/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole sentences about pumps, plans, seasons and two readings, from answers written by hand, in
 * both systems of units. */
#include "analyze/tell/season.h"
#include "analyze/tell/tally.h"
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

START_TEST(pumps)
{
    nr_pump p = {.flow_measured = true,
                 .flow_L_min = quantity(3.456, 0.123),
                 .tube = {.length_m = 18.4},
                 .water_degC = 25,
                 .sun_W_m2 = 812,
                 .air_degC = 17.25,
                 .transit_s = 43,
                 .loss_W_m2K = 5.43,
                 .efficiency_factor = 0.912,
                 .rows = 7,
                 .power_at_twice = {NAN, NAN}};
    static const double times[] = {0.25, 0.5, 0.75, 1, 1.5, 2, 4};
    for (size_t i = 0; i < 7; i++)
        p.row[i] = (nr_pump_row){
            .times = times[i],
            .reynolds = 1000 * times[i] + 234,
            .outlet_degC = 25 + 3.21 / times[i],
            .drop_Pa = {.low = 4000 * times[i], .high = 4000 * times[i], .regime = NR_FLOW_LAMINAR},
            .change = quantity(0.04 * (times[i] - 1), 0.005)};
    SAYS("The pump moves 3.46 L/min (95 %: 3.21 to 3.70 L/min); in 812 W/m2 of sun the water "
         "leaves the collector 3.2 K warmer than it came.",
         "The pump moves 0.913 gal/min (95 %: 0.849 to 0.977 gal/min); in 257 Btu/(h ft2) of sun "
         "the water leaves the collector 5.8 degF warmer than it came.",
         nr_tell_pump, &p);
    p.tube_known = true;
    p.row[3].drop_Pa.high = 4000 * 1.019;
    SAYS("The pump moves 3.46 L/min (95 %: 3.21 to 3.70 L/min); in 812 W/m2 of sun the water "
         "leaves the collector 3.2 K warmer than it came. It takes 43 s through the 18.4 m of "
         "tube, at a Reynolds number of 1234 (laminar), and loses 4 kPa to friction.",
         "The pump moves 0.913 gal/min (95 %: 0.849 to 0.977 gal/min); in 257 Btu/(h ft2) of sun "
         "the water leaves the collector 5.8 degF warmer than it came. It takes 43 s through the "
         "60.4 ft of tube, at a Reynolds number of 1234 (laminar), and loses 0.58 psi to friction.",
         nr_tell_pump, &p);
    p.flow_measured = false;
    p.row[3].drop_Pa.high = 4000 * 1.3;
    SAYS("The pump moves 3.46 L/min (95 %: 3.21 to 3.70 L/min), worked out from inlet and outlet; "
         "in 812 W/m2 of sun the water leaves the collector 3.2 K warmer than it came. It takes 43 "
         "s through the 18.4 m of tube, at a Reynolds number of 1234 (laminar), and loses 4 to 5.2 "
         "kPa to friction.",
         "The pump moves 0.913 gal/min (95 %: 0.849 to 0.977 gal/min), worked out from inlet and "
         "outlet; in 257 Btu/(h ft2) of sun the water leaves the collector 5.8 degF warmer than it "
         "came. It takes 43 s through the 60.4 ft of tube, at a Reynolds number of 1234 (laminar), "
         "and loses 0.58 to 0.75 psi to friction.",
         nr_tell_pump, &p);
    p.row[3].drop_Pa.low = NAN;
    SAYS("The pump moves 3.46 L/min (95 %: 3.21 to 3.70 L/min), worked out from inlet and outlet; "
         "in 812 W/m2 of sun the water leaves the collector 3.2 K warmer than it came.",
         "The pump moves 0.913 gal/min (95 %: 0.849 to 0.977 gal/min), worked out from inlet and "
         "outlet; in 257 Btu/(h ft2) of sun the water leaves the collector 5.8 degF warmer than it "
         "came.",
         nr_tell_pump, &p);
    SAYS("Water cannot be pumped too fast to pick up heat: at half this flow it would leave 6.4 K "
         "warmer instead of 3.2 K, but the whole collector would run hotter, lose more and gather "
         "2.0 % less; at twice the flow it would leave only 1.6 K warmer and gather 4.0 % more.",
         "Water cannot be pumped too fast to pick up heat: at half this flow it would leave 11.6 "
         "degF warmer instead of 5.8 degF, but the whole collector would run hotter, lose more and "
         "gather 2.0 % less; at twice the flow it would leave only 2.9 degF warmer and gather 4.0 "
         "% more.",
         nr_tell_pump_faster, &p);
    SAYS_ONE("Twice the flow gathers 4.0 % more heat, half of it 2.0 % less", nr_tell_pump_title,
             &p);
    p.power_at_twice[0] = p.power_at_twice[1] = 0;
    SAYS("Water cannot be pumped too fast to pick up heat: at half this flow it would leave 6.4 K "
         "warmer instead of 3.2 K, but the whole collector would run hotter, lose more and gather "
         "2.0 % less; at twice the flow it would leave only 1.6 K warmer and gather 4.0 % more.",
         "Water cannot be pumped too fast to pick up heat: at half this flow it would leave 11.6 "
         "degF warmer instead of 5.8 degF, but the whole collector would run hotter, lose more and "
         "gather 2.0 % less; at twice the flow it would leave only 2.9 degF warmer and gather 4.0 "
         "% more.",
         nr_tell_pump_faster, &p);
    SAYS_ONE("Twice the flow gathers 4.0 % more heat, half of it 2.0 % less", nr_tell_pump_title,
             &p);
    p.power_at_twice[0] = 4;
    p.power_at_twice[1] = 4 * 1.049;
    SAYS("Water cannot be pumped too fast to pick up heat: at half this flow it would leave 6.4 K "
         "warmer instead of 3.2 K, but the whole collector would run hotter, lose more and gather "
         "2.0 % less; at twice the flow it would leave only 1.6 K warmer and gather 4.0 % more, at "
         "4 times the pumping power.",
         "Water cannot be pumped too fast to pick up heat: at half this flow it would leave 11.6 "
         "degF warmer instead of 5.8 degF, but the whole collector would run hotter, lose more and "
         "gather 2.0 % less; at twice the flow it would leave only 2.9 degF warmer and gather 4.0 "
         "% more, at 4 times the pumping power.",
         nr_tell_pump_faster, &p);
    SAYS_ONE("Twice the flow gathers 4.0 % more heat for 4 times the pumping power",
             nr_tell_pump_title, &p);
    p.power_at_twice[1] = 7.3;
    SAYS("Water cannot be pumped too fast to pick up heat: at half this flow it would leave 6.4 K "
         "warmer instead of 3.2 K, but the whole collector would run hotter, lose more and gather "
         "2.0 % less; at twice the flow it would leave only 1.6 K warmer and gather 4.0 % more, at "
         "4 to 7 times the pumping power.",
         "Water cannot be pumped too fast to pick up heat: at half this flow it would leave 11.6 "
         "degF warmer instead of 5.8 degF, but the whole collector would run hotter, lose more and "
         "gather 2.0 % less; at twice the flow it would leave only 2.9 degF warmer and gather 4.0 "
         "% more, at 4 to 7 times the pumping power.",
         nr_tell_pump_faster, &p);
    SAYS_ONE("Twice the flow gathers 4.0 % more heat for 4 to 7 times the pumping power",
             nr_tell_pump_title, &p);
    p.row[1].change.known = false;
    SAYS_ONE("More flow always gathers more heat, ever less of it", nr_tell_pump_title, &p);
    p.row[1].change.known = true;
    p.row[5].change.known = false;
    SAYS_ONE("More flow always gathers more heat, ever less of it", nr_tell_pump_title, &p);
    SAYS("FR by Duffie and Beckman from the fitted loss UL = 5.4 W/(m2 K) and efficiency factor F' "
         "= 0.912, water entering at 25.0 degC, air at 17.3 degC.",
         "FR by Duffie and Beckman from the fitted loss UL = 0.96 Btu/(h ft2 degF) and efficiency "
         "factor F' = 0.912, water entering at 77.0 degF, air at 63.1 degF.",
         nr_tell_pump_basis, &p);
    SAYS("", "", nr_tell_pump_panel, &p);
    p.panel = (nr_panel_pump){.driven = true, .stall = {1, quantity(212, 12)}};
    SAYS("On its panel the pump stalls below 212 W/m2 (95 %: 188 to 236 W/m2, 1 stop); it was not "
         "seen to start again.",
         "On its panel the pump stalls below 67 Btu/(h ft2) (95 %: 60 to 75 Btu/(h ft2), 1 stop); "
         "it was not seen to start again.",
         nr_tell_pump_panel, &p);
    p.panel.start = (nr_pump_threshold){3, quantity(345, 23)};
    SAYS("On its panel the pump stalls below 212 W/m2 (95 %: 188 to 236 W/m2, 1 stop) and starts "
         "again at 345 W/m2 (95 %: 300 to 390 W/m2, 3 starts); a pump that draws twice the current "
         "needs about twice that, a smaller one less.",
         "On its panel the pump stalls below 67 Btu/(h ft2) (95 %: 60 to 75 Btu/(h ft2), 1 stop) "
         "and starts again at 109 Btu/(h ft2) (95 %: 95 to 124 Btu/(h ft2), 3 starts); a pump that "
         "draws twice the current needs about twice that, a smaller one less.",
         nr_tell_pump_panel, &p);
}
END_TEST

START_TEST(plans)
{
    static nr_fit fit;
    fit.eta0 = quantity(0.72, 0.0123);
    fit.a1 = quantity(4.5, 0.234);
    nr_plan a = {
        .fit = &fit, .u_side_by_side = NAN, .u_apart = 0.02, .u_twice = NAN, .u_swapped = 0.01};
    a.test = nr_plan_test_open();
    a.test.duration_s = 5400;
    a.test.day = steady();
    a.test.day.wind_m_s = 1.25;
    a.test.flow_L_min = 3.45;
    a.test.store_loss_W_K = 2.34;
    SAYS("A test of 90 minutes from 14.5 degC would tell the zero-loss efficiency to +-0.024 and "
         "the loss coefficient to +-0.46 W/(m2 K) (95 %), for an ordinary collector of eta0 0.72 "
         "and a1 4.5 W/(m2 K).",
         "A test of 90 minutes from 58.1 degF would tell the zero-loss efficiency to +-0.024 and "
         "the loss coefficient to +-0.081 Btu/(h ft2 degF) (95 %), for an ordinary collector of "
         "eta0 0.72 and a1 0.79 Btu/(h ft2 degF).",
         nr_tell_plan, &a);
    fit.loss_includes_store = true;
    SAYS("A test of 90 minutes from 14.5 degC would tell the zero-loss efficiency to +-0.024 and "
         "the loss coefficient, the container's included, to +-0.46 W/(m2 K) (95 %), for an "
         "ordinary collector of eta0 0.72 and a1 4.5 W/(m2 K).",
         "A test of 90 minutes from 58.1 degF would tell the zero-loss efficiency to +-0.024 and "
         "the loss coefficient, the container's included, to +-0.081 Btu/(h ft2 degF) (95 %), for "
         "an ordinary collector of eta0 0.72 and a1 0.79 Btu/(h ft2 degF).",
         nr_tell_plan, &a);
    SAYS("In 90 minutes: eta0 +-0.024, a1 +-0.46 W/(m2 K) (95 %)",
         "In 90 minutes: eta0 +-0.024, a1 +-0.081 Btu/(h ft2 degF) (95 %)", nr_tell_plan_title, &a);
    a.loss_includes_store = true;
    SAYS("In 90 minutes: eta0 +-0.024, a1 with the container +-0.46 W/(m2 K) (95 %)",
         "In 90 minutes: eta0 +-0.024, a1 with the container +-0.081 Btu/(h ft2 degF) (95 %)",
         nr_tell_plan_title, &a);
    fit.a1.known = false;
    SAYS("In 90 minutes: eta0 +-0.024, a1 with the container not determined",
         "In 90 minutes: eta0 +-0.024, a1 with the container not determined", nr_tell_plan_title,
         &a);
    SAYS("", "", nr_tell_plan_limits, &a);
    fit.budget_items = 3;
    for (int i = 0; i < 3; i++) {
        snprintf(fit.budget[i].label, sizeof fit.budget[i].label, "input %d", i);
        fit.budget[i].share[NR_SHARE_ETA0] = i == 1 ? 0.6 : 0.2;
        fit.budget[i].share[NR_SHARE_A1] = i == 2 ? 0.5 : 0.25;
    }
    SAYS("What limits it: for the efficiency input 1 (60 % of the variance), for the loss input 2 "
         "(50 %).",
         "What limits it: for the efficiency input 1 (60 % of the variance), for the loss input 2 "
         "(50 %).",
         nr_tell_plan_limits, &a);
    SAYS("Supposed: steady sun, air at 17.25 degC, wind 1.3 m/s, flow 3.5 L/min, a container "
         "losing 2.3 W/K, no clouds.",
         "Supposed: steady sun, air at 63.05 degF, wind 2.8 mph, flow 0.91 gal/min, a container "
         "losing 4.4 Btu/(h degF), no clouds.",
         nr_tell_plan_supposed, &a);
    a.test.day.clear_sky = true;
    SAYS("Supposed: a clear-sky day, air at 17.25 degC, wind 1.3 m/s, flow 3.5 L/min, a container "
         "losing 2.3 W/K, no clouds.",
         "Supposed: a clear-sky day, air at 63.05 degF, wind 2.8 mph, flow 0.91 gal/min, a "
         "container losing 4.4 Btu/(h degF), no clouds.",
         nr_tell_plan_supposed, &a);
    SAYS_ONE("", nr_tell_plan_side_by_side, &a);
    a.u_side_by_side = 0.01;
    a.power_side_by_side = 0.994;
    SAYS_ONE("Against another build side by side, under the same pyranometer and in the same air, "
             "the difference in eta0 would be known to +-0.020 (95 %) instead of +-0.039 each with "
             "its own; a difference of 10 % would show 99 times in 100.",
             nr_tell_plan_side_by_side, &a);
    a.power_side_by_side = 0.996;
    a.u_twice = 0.015;
    SAYS_ONE("Against another build side by side, under the same pyranometer and in the same air, "
             "the difference in eta0 would be known to +-0.020 (95 %) instead of +-0.039 each with "
             "its own; a difference of 10 % would show practically always. Where each has sensors "
             "of its own, a second record with all sensors exchanged makes that +-0.020; a second "
             "one with the sensors as they are, +-0.029.",
             nr_tell_plan_side_by_side, &a);
    a.u_swapped = NAN;
    SAYS_ONE("Against another build side by side, under the same pyranometer and in the same air, "
             "the difference in eta0 would be known to +-0.020 (95 %) instead of +-0.039 each with "
             "its own; a difference of 10 % would show practically always.",
             nr_tell_plan_side_by_side, &a);
    a.u_apart = NAN;
    SAYS_ONE("", nr_tell_plan_side_by_side, &a);
    ck_assert_str_eq(nr_plan_cost_word(NR_COST_NOTHING), "free");
    ck_assert_str_eq(nr_plan_cost_word(NR_COST_AN_EVENING), "an evening");
    ck_assert_str_eq(nr_plan_cost_word(NR_COST_MONEY), "money");
}
END_TEST

START_TEST(steps_of_a_plan)
{
    static const char *const si[NR_PLAN_ACTIONS] = {
        "Let the test run twice as long.",
        "Start with water 8 K colder.",
        "Do a second run that starts 25 K above the air, and fit both together.",
        "Weigh the water to 0.2 % and state u_water_kg.",
        "Put an insulating lid on the container.",
        "Record the container cooling down alone, pump off, for an evening, and state loss_W_K.",
        "Put all probes into one stirred bath (noonlog bath), to 0.05 K.",
        "Check the flow meter with bucket, scales and watch, to 1 %.",
        "Add inlet and outlet probes (0.15 K) and a flow meter (2 %).",
        "Use a pyranometer calibrated to 1.5 %."};
    static const char *const us[NR_PLAN_ACTIONS] = {
        "Let the test run twice as long.",
        "Start with water 14 degF colder.",
        "Do a second run that starts 45 degF above the air, and fit both together.",
        "Weigh the water to 0.2 % and state u_water_kg.",
        "Put an insulating lid on the container.",
        "Record the container cooling down alone, pump off, for an evening, and state loss_W_K.",
        "Put all probes into one stirred bath (noonlog bath), to 0.09 degF.",
        "Check the flow meter with bucket, scales and watch, to 1 %.",
        "Add inlet and outlet probes (0.27 degF) and a flow meter (2 %).",
        "Use a pyranometer calibrated to 1.5 %."};
    for (int i = 0; i < NR_PLAN_ACTIONS; i++) {
        nr_plan_step s = {.action = (nr_plan_action)i};
        SAYS(si[i], us[i], nr_tell_plan_step, &s);
    }
    nr_plan_step s = {.action = NR_PLAN_LID, .separates = true};
    SAYS("Put an insulating lid on the container. It tells the container's loss from the "
         "collector's; u(a1) is then that of the collector's own.",
         "Put an insulating lid on the container. It tells the container's loss from the "
         "collector's; u(a1) is then that of the collector's own.",
         nr_tell_plan_step, &s);
    s = (nr_plan_step){.action = NR_PLAN_LID, .eta0_by_part = true, .a1_by_part = true};
    SAYS("Put an insulating lid on the container. Both are told best by the first run alone.",
         "Put an insulating lid on the container. Both are told best by the first run alone.",
         nr_tell_plan_step, &s);
    s = (nr_plan_step){.action = NR_PLAN_LOOP_SENSORS, .eta0_by_part = true};
    SAYS("Add inlet and outlet probes (0.15 K) and a flow meter (2 %). The zero-loss efficiency is "
         "told best by the container alone (--store-only).",
         "Add inlet and outlet probes (0.27 degF) and a flow meter (2 %). The zero-loss efficiency "
         "is told best by the container alone (--store-only).",
         nr_tell_plan_step, &s);
    s = (nr_plan_step){.action = NR_PLAN_LONGER, .a1_by_part = true};
    SAYS("Let the test run twice as long. The loss is told best by the first half alone (--use).",
         "Let the test run twice as long. The loss is told best by the first half alone (--use).",
         nr_tell_plan_step, &s);
}
END_TEST

START_TEST(seasons)
{
    nr_season s = {
        .days = 730, .years = 2, .heat_kWh = 311.4, .heat_lo95 = 287.6, .heat_hi95 = 335.2};
    s.asked = nr_season_open();
    s.asked.to_degC = 40;
    s.asked.use_L = 5;
    s.asked.use_degC = 38;
    s.reached = (nr_season_count){182.4, 160.3, 201.2, NAN, NAN};
    s.uses = (nr_season_count){1012.3, 930.4, 1090.2, NAN, NAN};
    SAYS("The water reaches 40 degC on 182 of 365 days a year (95 %: 160 to 201 by what the record "
         "leaves open about the collector).",
         "The water reaches 104 degF on 182 of 365 days a year (95 %: 160 to 201 by what the "
         "record leaves open about the collector).",
         nr_tell_season, &s);
    SAYS("40 degC on 182 of 365 days (95 %: 160 to 201 by the collector)",
         "104 degF on 182 of 365 days (95 %: 160 to 201 by the collector)", nr_tell_season_title,
         &s);
    SAYS_ONE("1012 uses a year (95 %: 930 to 1090), 311 kWh of heat", nr_tell_season_legend, &s);
    SAYS("At its warmest it is good for 1012 uses a year of 5 L at 38 degC (95 %: 930 to 1090) and "
         "holds 311 kWh of heat (288 to 335).",
         "At its warmest it is good for 1012 uses a year of 1.3 gal at 100 degF (95 %: 930 to "
         "1090) and holds 311 kWh of heat (288 to 335).",
         nr_tell_season_uses, &s);
    s.years = 1;
    s.days = 364;
    s.reached.year_lo95 = 170.3;
    s.reached.year_hi95 = 195.1;
    SAYS("The water reaches 40 degC on 182 of 364 days (95 %: 160 to 201 by what the record leaves "
         "open about the collector, and one year differs from another: 170 to 195).",
         "The water reaches 104 degF on 182 of 364 days (95 %: 160 to 201 by what the record "
         "leaves open about the collector, and one year differs from another: 170 to 195).",
         nr_tell_season, &s);
    SAYS_ONE("", nr_tell_season_price, &s, NAN);
    SAYS_ONE("At a price of 450.00 and ten years of use a kWh of it costs 0.14 (0.13 to 0.16), "
             "without pump and repairs.",
             nr_tell_season_price, &s, 450);
    s.heat_kWh = 0;
    SAYS_ONE("", nr_tell_season_price, &s, 450);
    s.frost_nights = 0.9;
    SAYS_ONE("", nr_tell_season_frost, &s);
    s.frost_nights = 1;
    SAYS_ONE(
        "Frost: on 1 day a year the air falls below freezing. Drain collector and tube before "
        "such nights; under a clear sky a bare collector freezes in air of some degrees above.",
        nr_tell_season_frost, &s);
    s.years = 0;
    SAYS("40 degC on 182 of 364 days (95 %: 160 to 201 by the collector)",
         "104 degF on 182 of 364 days (95 %: 160 to 201 by the collector)", nr_tell_season_title,
         &s);
}
END_TEST

START_TEST(two_readings)
{
    static nr_tally t;
    t.asked = nr_tally_open();
    const double value[] = {20.3, 0.71, 19.5, 44.5, 6120, 812};
    for (int i = 0; i < NR_TALLY_INPUTS; i++)
        t.asked.input[i] = (nr_stated){value[i], 0.1};
    t.result[NR_TALLY_HEAT] = quantity(2.121e6, 0.05e6);
    t.result[NR_TALLY_POWER] = quantity(346.6, 8.5);
    t.over_air_K = NAN;
    t.share[NR_TALLY_POWER][NR_TALLY_WATER] = 0.43;
    t.share[NR_TALLY_EFFICIENCY][NR_TALLY_WATER] = 0.21;
    t.dominates = NR_TALLY_WATER;
    t.u_stated[NR_TALLY_WATER] = t.u_stated[NR_TALLY_FROM] = t.u_stated[NR_TALLY_TO] = true;
    SAYS("The 20.3 kg of water gained 2.12 MJ (95 %: 2.02 to 2.22 MJ) in 102 minutes, 347 W on "
         "average (330 to 363 W). What share of the sun that is needs the irradiance (--sun, or "
         "--site).",
         "The 5.37 gal of water gained 2010 Btu (95 %: 1920 to 2100 Btu) in 102 minutes, 1180 "
         "Btu/h on average (1130 to 1240 Btu/h). What share of the sun that is needs the "
         "irradiance (--sun, or --site).",
         nr_tell_tally, &t);
    SAYS("347 W went into the water (95 %: 330 to 363 W)",
         "1180 Btu/h went into the water (95 %: 1130 to 1240 Btu/h)", nr_tell_tally_finding, &t);
    SAYS("What limits this answer: the water's mass, 43 % of the variance (as stated).",
         "What limits this answer: the water's mass, 43 % of the variance (as stated).",
         nr_tell_tally_limits, &t);
    SAYS("Two readings cannot tell the loss: how much of the rest the collector did not take up, "
         "how much it or the container lost again, and how it would do in other weather. The heat "
         "in the container's walls and in the collector is not counted, that of a pump in the "
         "water is.",
         "Two readings cannot tell the loss: how much of the rest the collector did not take up, "
         "how much it or the container lost again, and how it would do in other weather. The heat "
         "in the container's walls and in the collector is not counted, that of a pump in the "
         "water is.",
         nr_tell_tally_cannot, &t);
    t.sun_known = true;
    t.result[NR_TALLY_EFFICIENCY] = quantity(0.6011, 0.0312);
    t.asked.clear_sky = true;
    t.incidence_deg = 23.4;
    t.u_stated[NR_TALLY_FROM] = false;
    t.over_air_K = 7.25;
    SAYS("Of the sun on the collector 60 % went into the water (95 %: 54 to 66 %). The 20.3 kg of "
         "water gained 2.12 MJ (95 %: 2.02 to 2.22 MJ) in 102 minutes, 347 W on average (330 to "
         "363 W). The sun, 812 W/m2 at 23 degrees from straight on, is a cloudless sky's and was "
         "not measured: with any cloud the share is larger.",
         "Of the sun on the collector 60 % went into the water (95 %: 54 to 66 %). The 5.37 gal of "
         "water gained 2010 Btu (95 %: 1920 to 2100 Btu) in 102 minutes, 1180 Btu/h on average "
         "(1130 to 1240 Btu/h). The sun, 257 Btu/(h ft2) at 23 degrees from straight on, is a "
         "cloudless sky's and was not measured: with any cloud the share is larger.",
         nr_tell_tally, &t);
    SAYS("60 % of the sun went into the water (95 %: 54 to 66 %)",
         "60 % of the sun went into the water (95 %: 54 to 66 %)", nr_tell_tally_finding, &t);
    SAYS("What limits this answer: the water's mass, 21 % of the variance (as stated). The errors "
         "of the two readings count as independent; what one thermometer shows wrong both times "
         "cancels: state the smaller rest, such as --to 35C+-0.3.",
         "What limits this answer: the water's mass, 21 % of the variance (as stated). The errors "
         "of the two readings count as independent; what one thermometer shows wrong both times "
         "cancels: state the smaller rest, such as --to 35C+-0.3.",
         nr_tell_tally_limits, &t);
    SAYS("Two readings cannot tell the loss: how much of the rest the collector did not take up, "
         "how much it or the container lost again, and how it would do in other weather. The heat "
         "in the container's walls and in the collector is not counted, that of a pump in the "
         "water is. The share holds for water 7.3 K warmer than the air, as it was on average.",
         "Two readings cannot tell the loss: how much of the rest the collector did not take up, "
         "how much it or the container lost again, and how it would do in other weather. The heat "
         "in the container's walls and in the collector is not counted, that of a pump in the "
         "water is. The share holds for water 13.1 degF warmer than the air, as it was on average.",
         nr_tell_tally_cannot, &t);
    t.over_air_K = -7.25;
    SAYS("Two readings cannot tell the loss: how much of the rest the collector did not take up, "
         "how much it or the container lost again, and how it would do in other weather. The heat "
         "in the container's walls and in the collector is not counted, that of a pump in the "
         "water is. The share holds for water 7.3 K colder than the air, as it was on average.",
         "Two readings cannot tell the loss: how much of the rest the collector did not take up, "
         "how much it or the container lost again, and how it would do in other weather. The heat "
         "in the container's walls and in the collector is not counted, that of a pump in the "
         "water is. The share holds for water 13.1 degF colder than the air, as it was on average.",
         nr_tell_tally_cannot, &t);
    t.u_stated[NR_TALLY_FROM] = true;
    t.u_stated[NR_TALLY_TO] = false;
    SAYS("What limits this answer: the water's mass, 21 % of the variance (as stated). The errors "
         "of the two readings count as independent; what one thermometer shows wrong both times "
         "cancels: state the smaller rest, such as --to 35C+-0.3.",
         "What limits this answer: the water's mass, 21 % of the variance (as stated). The errors "
         "of the two readings count as independent; what one thermometer shows wrong both times "
         "cancels: state the smaller rest, such as --to 35C+-0.3.",
         nr_tell_tally_limits, &t);
    t.supposed_loss_W_m2K = 5; /* 1.96 u against a half of it: u of 1.2755 */
    t.supposed_container_W_K = 2;
    t.more_u[NR_TALLY_BETWEEN] = 1.27;
    t.more_u[NR_TALLY_LATER] = 1.28;
    t.more_u[NR_TALLY_COOLING] = 0.52;
    SAYS("Three in between, at even times: the loss of collector and container together to +- 2.5 "
         "W/(m2 K) (95 %; one glass has about 5 W/(m2 K)), which is worth having.",
         "Three in between, at even times: the loss of collector and container together to +- 0.44 "
         "Btu/(h ft2 degF) (95 %; one glass has about 0.88 Btu/(h ft2 degF)), which is worth "
         "having.",
         nr_tell_tally_more, &t, NR_TALLY_BETWEEN);
    SAYS("Three afterwards, over as long again in the same sun: the loss of collector and "
         "container together to +- 2.5 W/(m2 K) (95 %; one glass has about 5 W/(m2 K)), which is "
         "little to go by.",
         "Three afterwards, over as long again in the same sun: the loss of collector and "
         "container together to +- 0.44 Btu/(h ft2 degF) (95 %; one glass has about 0.88 Btu/(h "
         "ft2 degF)), which is little to go by.",
         nr_tell_tally_more, &t, NR_TALLY_LATER);
    SAYS("Three of water and air with the pump off, over the next 6 h: the container's loss to +- "
         "1 W/K (95 %; a bucket with a lid has about 2 W/K), which is little to go by.",
         "Three of water and air with the pump off, over the next 6 h: the container's loss to +- "
         "1.9 Btu/(h degF) (95 %; a bucket with a lid has about 3.8 Btu/(h degF)), which is little "
         "to go by.",
         nr_tell_tally_more, &t, NR_TALLY_COOLING);
    t.more_u[NR_TALLY_COOLING] = 0.50;
    SAYS("Three of water and air with the pump off, over the next 6 h: the container's loss to +- "
         "0.98 W/K (95 %; a bucket with a lid has about 2 W/K), which is worth having.",
         "Three of water and air with the pump off, over the next 6 h: the container's loss to +- "
         "1.9 Btu/(h degF) (95 %; a bucket with a lid has about 3.8 Btu/(h degF)), which is worth "
         "having.",
         nr_tell_tally_more, &t, NR_TALLY_COOLING);
    t.more_u[NR_TALLY_COOLING] = NAN;
    SAYS("", "", nr_tell_tally_more, &t, NR_TALLY_COOLING);
    ck_assert_int_eq(nr_tally_input_shown(NR_TALLY_WATER), NR_SHOWN_WATER);
    ck_assert_int_eq(nr_tally_input_shown(NR_TALLY_AREA), NR_SHOWN_AREA);
    ck_assert_int_eq(nr_tally_input_shown(NR_TALLY_FROM), NR_SHOWN_TEMPERATURE);
    ck_assert_int_eq(nr_tally_input_shown(NR_TALLY_TO), NR_SHOWN_TEMPERATURE);
    ck_assert_int_eq(nr_tally_input_shown(NR_TALLY_DURATION), NR_SHOWN_MINUTES);
    ck_assert_int_eq(nr_tally_input_shown(NR_TALLY_SUN), NR_SHOWN_IRRADIANCE);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {pumps, plans, steps_of_a_plan, seasons, two_readings, NULL};
    return run_tests("said of answers", tests);
}
