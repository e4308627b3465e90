/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole sentences about a fit, a container's loss and an uncertainty budget, from answers written
 * by hand, in both systems of units: each number in its place, rounded as its uncertainty says,
 * each choice of words both ways and on both sides of its limit. Factors: NIST SP 811 (display.h).
 */
#include "tests/unit/tell/says.h"

static nr_fit fit;

static void begin(void)
{
    memset(&fit, 0, sizeof fit);
    fit.eta0 = quantity(0.7123, 0.0225);
    fit.a1 = quantity(4.321, 0.37);
    fit.run_efficiency = quantity(0.5432, 0.0151);
    fit.gross_area_m2 = 1.517;
    fit.water_J = 6.2e6;
    fit.pump_J = 0.2e6;
    fit.counted_s = 5000;
    fit.sun_J = 9.876e6;
}

START_TEST(result)
{
    begin();
    SAYS("Warm as the air around it, this collector turns 71 % (95 %: 67 to 76) of the sunlight on "
         "it into heat; each kelvin warmer costs 4.3 (95 %: 3.6 to 5.0) W per square metre.",
         "Warm as the air around it, this collector turns 71 % (95 %: 67 to 76) of the sunlight on "
         "it into heat; each degree Fahrenheit warmer costs 0.76 (95 %: 0.63 to 0.89) Btu/h per "
         "square foot.",
         nr_tell_fit_result, &fit);
    fit.loss_includes_store = true;
    SAYS("Warm as the air around it, this collector turns 71 % (95 %: 67 to 76) of the sunlight on "
         "it into heat; each kelvin warmer costs 4.3 (95 %: 3.6 to 5.0) W per square metre. That "
         "loss includes the container's: this record cannot tell the two apart.",
         "Warm as the air around it, this collector turns 71 % (95 %: 67 to 76) of the sunlight on "
         "it into heat; each degree Fahrenheit warmer costs 0.76 (95 %: 0.63 to 0.89) Btu/h per "
         "square foot. That loss includes the container's: this record cannot tell the two apart.",
         nr_tell_fit_result, &fit);
    fit.a1.known = false;
    SAYS("Warm as the air around it, this collector turns 71 % (95 %: 67 to 76) of the sunlight on "
         "it into heat; what a warmer collector loses, this record does not tell.",
         "Warm as the air around it, this collector turns 71 % (95 %: 67 to 76) of the sunlight on "
         "it into heat; what a warmer collector loses, this record does not tell.",
         nr_tell_fit_result, &fit);
    fit.eta0.u = 2 * fit.run_efficiency.u; /* just not */
    SAYS("Warm as the air around it, this collector turns 71 % (95 %: 67 to 76) of the sunlight on "
         "it into heat; what a warmer collector loses, this record does not tell.",
         "Warm as the air around it, this collector turns 71 % (95 %: 67 to 76) of the sunlight on "
         "it into heat; what a warmer collector loses, this record does not tell.",
         nr_tell_fit_result, &fit);
    fit.eta0.u *= 1.001;
    SAYS("In this run the water took up 54 % (95 %: 51 to 57) of the sunlight on the collector, "
         "1200 W on average. How much of it is gain and how much loss, these readings hardly tell: "
         "warm as the air around it, 71 % (95 %: 67 to 76).",
         "In this run the water took up 54 % (95 %: 51 to 57) of the sunlight on the collector, "
         "1200 W on average. How much of it is gain and how much loss, these readings hardly tell: "
         "warm as the air around it, 71 % (95 %: 67 to 76).",
         nr_tell_fit_result, &fit);
    fit.run_efficiency.known = false;
    SAYS("Warm as the air around it, this collector turns 71 % (95 %: 67 to 76) of the sunlight on "
         "it into heat; what a warmer collector loses, this record does not tell.",
         "Warm as the air around it, this collector turns 71 % (95 %: 67 to 76) of the sunlight on "
         "it into heat; what a warmer collector loses, this record does not tell.",
         nr_tell_fit_result, &fit);
    fit.eta0.known = false;
    SAYS("This record does not tell the collector's zero-loss efficiency.",
         "This record does not tell the collector's zero-loss efficiency.", nr_tell_fit_result,
         &fit);
    begin();
    SAYS("Per 1.517 m2 of gross area; temperature of the collector: inlet. Stagnation: rise over "
         "the air in 1000 W/m2; it may well be more, because losses were not measured that hot.",
         "Per 16.33 ft2 of gross area; temperature of the collector: inlet. Stagnation: rise over "
         "the air in 317 Btu/(h ft2); it may well be more, because losses were not measured that "
         "hot.",
         nr_tell_fit_basis, &fit);
    fit.reference = NR_REFERENCE_MEAN;
    SAYS("Per 1.517 m2 of gross area; temperature of the collector: mean of inlet and outlet. "
         "Stagnation: rise over the air in 1000 W/m2; it may well be more, because losses were not "
         "measured that hot.",
         "Per 16.33 ft2 of gross area; temperature of the collector: mean of inlet and outlet. "
         "Stagnation: rise over the air in 317 Btu/(h ft2); it may well be more, because losses "
         "were not measured that hot.",
         nr_tell_fit_basis, &fit);
}
END_TEST

START_TEST(bend_and_correlation)
{
    begin();
    SAYS("", "", nr_tell_fit_bend, &fit);
    fit.a2 = quantity(0.01, 0.01);
    SAYS("This record cannot tell a2: its value is what collectors usually have, drawn a little by "
         "the record, and its interval says so. By the standard's rule (value over standard "
         "uncertainty at least 3) a2 would be left out.",
         "This record cannot tell a2: its value is what collectors usually have, drawn a little by "
         "the record, and its interval says so. By the standard's rule (value over standard "
         "uncertainty at least 3) a2 would be left out.",
         nr_tell_fit_bend, &fit);
    fit.a2_told = true;
    SAYS("", "", nr_tell_fit_bend, &fit);
    SAYS("", "", nr_tell_fit_correlation, &fit);
    fit.covariance = (nr_covariance){.count = 3, .name = {"a5", "a1", "eta0"}};
    fit.covariance.matrix[1][2] = fit.covariance.matrix[2][1] = -1.2;
    fit.covariance.matrix[1][1] = 16;
    fit.covariance.matrix[2][2] = 0.25; /* -1.2/(4 0.5) */
    fit.covariance.matrix[0][0] = 9;
    SAYS("eta0 and a1 are correlated by r = -0.60: for eta0 - a1 x, u^2 = u(eta0)^2 + x^2 u(a1)^2 "
         "- 2 r x u(eta0) u(a1).",
         "eta0 and a1 are correlated by r = -0.60: for eta0 - a1 x, u^2 = u(eta0)^2 + x^2 u(a1)^2 "
         "- 2 r x u(eta0) u(a1).",
         nr_tell_fit_correlation, &fit);
    fit.covariance.matrix[1][2] = fit.covariance.matrix[2][1] = 1.75;
    SAYS("eta0 and a1 are correlated by r = +0.88: for eta0 - a1 x, u^2 = u(eta0)^2 + x^2 u(a1)^2 "
         "- 2 r x u(eta0) u(a1).",
         "eta0 and a1 are correlated by r = +0.88: for eta0 - a1 x, u^2 = u(eta0)^2 + x^2 u(a1)^2 "
         "- 2 r x u(eta0) u(a1).",
         nr_tell_fit_correlation, &fit);
    fit.covariance.name[1] = "a2";
    SAYS("", "", nr_tell_fit_correlation, &fit);
    fit.covariance.name[1] = "eta0";
    fit.covariance.name[2] = "b0";
    SAYS("", "", nr_tell_fit_correlation, &fit);
}
END_TEST

START_TEST(standstill)
{
    begin();
    fit.standstill = (nr_standstill){.sun_W_m2 = 1000,
                                     .gain = 0.7654,
                                     .loss_W_m2K = 4.567,
                                     .loss2_W_m2K2 = 0,
                                     .loss2_u = 0.0123,
                                     .straight_K = NAN,
                                     .loss2_taken = true};
    SAYS("", "", nr_tell_fit_standstill, &fit);
    fit.stagnation_K = quantity(123.4, 10);
    SAYS("Stagnation of 123 K is where the absorber, without flow, loses what it takes in: 0.765 "
         "of 1000 W/m2 = d times (4.57 W/(m2 K)), d the rise.",
         "Stagnation of 222 degF is where the absorber, without flow, loses what it takes in: "
         "0.765 of 317 Btu/(h ft2) = d times (0.804 Btu/(h ft2 degF)), d the rise.",
         nr_tell_fit_standstill, &fit);
    fit.standstill.loss2_W_m2K2 = 0.0234;
    fit.standstill.straight_K = 167.8;
    SAYS("Stagnation of 123 K is where the absorber, without flow, loses what it takes in: 0.765 "
         "of 1000 W/m2 = d times (4.57 W/(m2 K) + 0.0234 W/(m2 K2) times d), d the rise. This "
         "record hardly tells that growth (standard uncertainty 0.0123). The straight line eta0 - "
         "a1 x would end at 168 K.",
         "Stagnation of 222 degF is where the absorber, without flow, loses what it takes in: "
         "0.765 of 317 Btu/(h ft2) = d times (0.804 Btu/(h ft2 degF) + 0.00229 Btu/(h ft2 degF2) "
         "times d), d the rise. This record hardly tells that growth (standard uncertainty "
         "0.00120). The straight line eta0 - a1 x would end at 302 degF.",
         nr_tell_fit_standstill, &fit);
    fit.standstill.loss2_taken = false;
    SAYS("Stagnation of 123 K is where the absorber, without flow, loses what it takes in: 0.765 "
         "of 1000 W/m2 = d times (4.57 W/(m2 K) + 0.0234 W/(m2 K2) times d), d the rise. The "
         "straight line eta0 - a1 x would end at 168 K.",
         "Stagnation of 222 degF is where the absorber, without flow, loses what it takes in: "
         "0.765 of 317 Btu/(h ft2) = d times (0.804 Btu/(h ft2 degF) + 0.00229 Btu/(h ft2 degF2) "
         "times d), d the rise. The straight line eta0 - a1 x would end at 302 degF.",
         nr_tell_fit_standstill, &fit);
}
END_TEST

static void item(size_t i, const char *label, const char *channel, double stated_u,
                 const char *unit, double eta0, double a1)
{
    nr_budget_item *b = &fit.budget[i];
    *b = (nr_budget_item){.stated_u = stated_u, .share = {eta0, a1, 0}};
    snprintf(b->label, sizeof b->label, "%s", label);
    snprintf(b->channel, sizeof b->channel, "%s", channel);
    snprintf(b->unit, sizeof b->unit, "%s", unit);
    fit.budget_items = i + 1;
}

static void asks(size_t i, const char *ask, double bought)
{
    snprintf(fit.budget[i].ask, sizeof fit.budget[i].ask, "%s", ask);
    fit.budget[i].bought = bought;
}

START_TEST(limits)
{
    begin();
    SAYS("", "", nr_tell_fit_limits, &fit);
    item(0, "sun, gain", "sun", 0.03, "", 0.1, 0.05);
    item(1, "air, offset", "air", 0.5, "K", 0.09, 0.08);
    SAYS("What limits this answer: nothing stands out among many small things.",
         "What limits this answer: nothing stands out among many small things.", nr_tell_fit_limits,
         &fit);
    fit.budget[0].share[NR_SHARE_ETA0] = 0.101;
    SAYS("What limits this answer: sun, gain (taken as 3 %): 10 % of the variance of eta0; air, "
         "offset (taken as 0.5 K): 8 % of that of a1. With half that uncertainty eta0 would be "
         "known to 0.022 instead of 0.023 (standard uncertainty).",
         "What limits this answer: sun, gain (taken as 3 %): 10 % of the variance of eta0; air, "
         "offset (taken as 0.9 degF): 8 % of that of a1. With half that uncertainty eta0 would be "
         "known to 0.022 instead of 0.023 (standard uncertainty).",
         nr_tell_fit_limits, &fit);
    fit.budget[0].share[NR_SHARE_ETA0] = 0.64; /* 0.0225 sqrt(1 - 0.48) = 0.0162 */
    fit.budget[0].share[NR_SHARE_A1] = 0.5;
    SAYS("What limits this answer: sun, gain (taken as 3 %): 64 % of the variance of eta0 and 50 % "
         "of that of a1. With half that uncertainty eta0 would be known to 0.016 instead of 0.023 "
         "(standard uncertainty).",
         "What limits this answer: sun, gain (taken as 3 %): 64 % of the variance of eta0 and 50 % "
         "of that of a1. With half that uncertainty eta0 would be known to 0.016 instead of 0.023 "
         "(standard uncertainty).",
         nr_tell_fit_limits, &fit);
    fit.budget[0].channel[0] = '\0';
    SAYS("What limits this answer: sun, gain (taken as 3 %): 64 % of the variance of eta0 and 50 % "
         "of that of a1.",
         "What limits this answer: sun, gain (taken as 3 %): 64 % of the variance of eta0 and 50 % "
         "of that of a1.",
         nr_tell_fit_limits, &fit);
    item(0, "noise", "sun", NAN, "", 0.64, 0.05);
    fit.budget_items = 2;
    SAYS("What limits this answer: noise: 64 % of the variance of eta0; air, offset (taken as 0.5 "
         "K): 8 % of that of a1.",
         "What limits this answer: noise: 64 % of the variance of eta0; air, offset (taken as 0.9 "
         "degF): 8 % of that of a1.",
         nr_tell_fit_limits, &fit);
}
END_TEST

/* What is not stated and would help: three of them, no less than a thirtieth of a variance each,
 * all that one key buys added up, said once and of the result that gains more. */
START_TEST(not_stated)
{
    begin();
    item(0, "a", "", NAN, "", 0.20, 0.10);
    item(1, "b", "", NAN, "", 0.10, 0.20);
    item(2, "c", "", NAN, "", 0.05, 0.40);
    item(3, "d", "", NAN, "", 0.03, 0.01);
    item(4, "e", "", NAN, "", 0.04, 0.04);
    item(6, "none of them", "", NAN, "", 0.60, 0.60);
    asks(6, "beyond", 1);
    item(5, "f", "", NAN, "", 0.30, 0.01);
    asks(0, "back", 0.5); /* with 1: 0.1 + 0.1 of eta0, 0.05 + 0.2 of a1: u(a1) sqrt(0.75) */
    asks(1, "back", 1);
    SAYS("What limits this answer: f: 30 % of the variance of eta0; c: 40 % of that of a1. Not "
         "stated, and so it widens the answer: back (stated, a1 would be known to 0.32 instead of "
         "0.37).",
         "What limits this answer: f: 30 % of the variance of eta0; c: 40 % of that of a1. Not "
         "stated, and so it widens the answer: back (stated, a1 would be known to 0.32 instead of "
         "0.37).",
         nr_tell_fit_limits, &fit);
    asks(2, "lid", 0.5);   /* 0.2 of a1 */
    asks(3, "none", 0.99); /* 0.0297 */
    asks(5, "plane", 1);   /* 0.3 of eta0 */
    SAYS("What limits this answer: f: 30 % of the variance of eta0; c: 40 % of that of a1. Not "
         "stated, and so it widens the answer: back (stated, a1 would be known to 0.32 instead of "
         "0.37), lid (stated, a1 would be known to 0.33 instead of 0.37), plane (stated, eta0 "
         "would be known to 0.019 instead of 0.023).",
         "What limits this answer: f: 30 % of the variance of eta0; c: 40 % of that of a1. Not "
         "stated, and so it widens the answer: back (stated, a1 would be known to 0.32 instead of "
         "0.37), lid (stated, a1 would be known to 0.33 instead of 0.37), plane (stated, eta0 "
         "would be known to 0.019 instead of 0.023).",
         nr_tell_fit_limits, &fit);
    asks(3, "pump", 1);
    asks(4, "site", 1);
    fit.budget[3].share[NR_SHARE_ETA0] = 0.0301;
    SAYS("What limits this answer: f: 30 % of the variance of eta0; c: 40 % of that of a1. Not "
         "stated, and so it widens the answer: back (stated, a1 would be known to 0.32 instead of "
         "0.37), lid (stated, a1 would be known to 0.33 instead of 0.37), pump (stated, eta0 would "
         "be known to 0.022 instead of 0.023).",
         "What limits this answer: f: 30 % of the variance of eta0; c: 40 % of that of a1. Not "
         "stated, and so it widens the answer: back (stated, a1 would be known to 0.32 instead of "
         "0.37), lid (stated, a1 would be known to 0.33 instead of 0.37), pump (stated, eta0 would "
         "be known to 0.022 instead of 0.023).",
         nr_tell_fit_limits, &fit); /* not the fourth */
    asks(0, "", 0);
    asks(1, "", 0);
    asks(2, "", 0);
    asks(5, "all", 5); /* no more than everything */
    SAYS("What limits this answer: f: 30 % of the variance of eta0; c: 40 % of that of a1. Not "
         "stated, and so it widens the answer: pump (stated, eta0 would be known to 0.022 instead "
         "of 0.023), site (stated, eta0 would be known to 0.022 instead of 0.023), all (stated, "
         "eta0 would be known to 0.00071 instead of 0.023).",
         "What limits this answer: f: 30 % of the variance of eta0; c: 40 % of that of a1. Not "
         "stated, and so it widens the answer: pump (stated, eta0 would be known to 0.022 instead "
         "of 0.023), site (stated, eta0 would be known to 0.022 instead of 0.023), all (stated, "
         "eta0 would be known to 0.00071 instead of 0.023).",
         nr_tell_fit_limits, &fit);
    fit.a1.known = false;
    fit.eta0.known = false;
    asks(2, "lid", 0.5);
    SAYS("What limits this answer: f: 30 % of the variance of eta0; c: 40 % of that of a1.",
         "What limits this answer: f: 30 % of the variance of eta0; c: 40 % of that of a1.",
         nr_tell_fit_limits, &fit);
}
END_TEST

START_TEST(range_and_angle)
{
    begin();
    fit.dT_range[0] = -12.3;
    fit.dT_range[1] = 34.4;
    fit.sun_range[0] = 412;
    fit.sun_range[1] = 967;
    SAYS("Tested from 12 K below to 34 K above the air, in 410 to 970 W/m2 of sun; beyond that the "
         "curve is an extrapolation.",
         "Tested from 22 degF below to 62 degF above the air, in 130 to 310 Btu/(h ft2) of sun; "
         "beyond that the curve is an extrapolation.",
         nr_tell_fit_range, &fit);
    fit.dT_range[0] = 0;
    SAYS("Tested from 0 K above to 34 K above the air, in 410 to 970 W/m2 of sun; beyond that the "
         "curve is an extrapolation.",
         "Tested from 0 degF above to 62 degF above the air, in 130 to 310 Btu/(h ft2) of sun; "
         "beyond that the curve is an extrapolation.",
         nr_tell_fit_range, &fit);
    fit.dT_range[0] = NAN;
    SAYS("", "", nr_tell_fit_range, &fit);
    fit.dT_range[0] = 3;
    fit.dT_range[1] = NAN;
    SAYS("", "", nr_tell_fit_range, &fit);
    SAYS_ONE("", nr_tell_fit_incidence, &fit);
    fit.incidence = (nr_incidence){
        .known = true, .mean_deg = 23.4, .lo_deg = 12.6, .hi_deg = 41.2, .modifier = 1 - 0.00049};
    SAYS_ONE("The sun stood 23 degrees from perpendicular on average (13 to 41).",
             nr_tell_fit_incidence, &fit);
    fit.incidence.modifier = 1 - 0.00051;
    SAYS_ONE("The sun stood 23 degrees from perpendicular on average (13 to 41); the collector "
             "takes in 0.1 % less of its light than at right angles.",
             nr_tell_fit_incidence, &fit);
    fit.incidence.modifier = 0.937;
    SAYS_ONE("The sun stood 23 degrees from perpendicular on average (13 to 41); the collector "
             "takes in 6.3 % less of its light than at right angles.",
             nr_tell_fit_incidence, &fit);
}
END_TEST

START_TEST(energy)
{
    nr_fit_run run[2] = {{.block_s = 10, .blocks = 300}, {.block_s = 20, .blocks = 107}};
    begin();
    fit.run = run;
    fit.runs = 2;
    fit.counted_s = 0.971 * 5140;
    SAYS("Sun on the collector: 9.88 MJ (2.74 kWh); gained by the water: 6.2 MJ, 0.2 MJ of it from "
         "the pump.",
         "Sun on the collector: 9360 Btu (2.74 kWh); gained by the water: 5880 Btu, 200 Btu of it "
         "from the pump.",
         nr_tell_fit_energy, &fit);
    fit.counted_s = 0.969 * 5140;
    fit.pump_J = 0.0031 * fit.water_J;
    SAYS("Sun on the collector while it was pumped (83 of 86 min): 9.88 MJ (2.74 kWh); gained by "
         "the water: 6.2 MJ, 0.02 MJ of it from the pump.",
         "Sun on the collector while it was pumped (83 of 86 min): 9360 Btu (2.74 kWh); gained by "
         "the water: 5880 Btu, 20 Btu of it from the pump.",
         nr_tell_fit_energy, &fit);
    fit.pump_J = 0.0029 * fit.water_J;
    fit.counted_s = 3000;
    SAYS("Sun on the collector while it was pumped (50 of 86 min): 9.88 MJ (2.74 kWh); gained by "
         "the water: 6.2 MJ.",
         "Sun on the collector while it was pumped (50 of 86 min): 9360 Btu (2.74 kWh); gained by "
         "the water: 5880 Btu.",
         nr_tell_fit_energy, &fit);
    fit.sun_J = NAN;
    SAYS("", "", nr_tell_fit_energy, &fit);
    fit.sun_J = 1e6;
    fit.water_J = NAN;
    SAYS("", "", nr_tell_fit_energy, &fit);
}
END_TEST

START_TEST(second_opinions)
{
    begin();
    SAYS("", "", nr_tell_fit_second_opinion, &fit);
    fit.classical = (nr_classical){
        .known = true, .points = 7, .eta0 = quantity(0.678, 0.034), .a1 = quantity(5.43, 0.61)};
    SAYS("Second opinion, a straight line through 7 points (few of them steady): eta0 0.678 (95 %: "
         "0.611 to 0.745), a1 5.43 W/(m2 K) (95 %: 4.23 to 6.63).",
         "Second opinion, a straight line through 7 points (few of them steady): eta0 0.678 (95 %: "
         "0.611 to 0.745), a1 0.96 Btu/(h ft2 degF) (95 %: 0.75 to 1.17).",
         nr_tell_fit_second_opinion, &fit);
    fit.classical.steady_only = true;
    SAYS("Second opinion, a straight line through 7 steady points: eta0 0.678 (95 %: 0.611 to "
         "0.745), a1 5.43 W/(m2 K) (95 %: 4.23 to 6.63).",
         "Second opinion, a straight line through 7 steady points: eta0 0.678 (95 %: 0.611 to "
         "0.745), a1 0.96 Btu/(h ft2 degF) (95 %: 0.75 to 1.17).",
         nr_tell_fit_second_opinion, &fit);
    fit.means = (nr_means){
        .known = true, .windows = 9, .eta0 = quantity(0.701, 0.012), .a1 = quantity(4.87, 0.29)};
    SAYS("Second opinion, a plain regression of the record's own 9 ten-minute means, which knows "
         "no sensor's error: eta0 0.701 (95 %: 0.677 to 0.725), a1 4.87 W/(m2 K) (95 %: 4.30 to "
         "5.44). Of the mean fluid temperature.",
         "Second opinion, a plain regression of the record's own 9 ten-minute means, which knows "
         "no sensor's error: eta0 0.701 (95 %: 0.677 to 0.725), a1 0.858 Btu/(h ft2 degF) (95 %: "
         "0.758 to 0.958). Of the mean fluid temperature.",
         nr_tell_fit_second_opinion, &fit);
    fit.reference = NR_REFERENCE_MEAN;
    SAYS(
        "Second opinion, a plain regression of the record's own 9 ten-minute means, which knows no "
        "sensor's error: eta0 0.701 (95 %: 0.677 to 0.725), a1 4.87 W/(m2 K) (95 %: 4.30 to 5.44).",
        "Second opinion, a plain regression of the record's own 9 ten-minute means, which knows no "
        "sensor's error: eta0 0.701 (95 %: 0.677 to 0.725), a1 0.858 Btu/(h ft2 degF) (95 %: 0.758 "
        "to 0.958).",
        nr_tell_fit_second_opinion, &fit);
    SAYS("", "", nr_tell_fit_monte_carlo, &fit);
    fit.monte_carlo = (nr_monte_carlo){.trials = 400,
                                       .failed = 3,
                                       .seed = 17,
                                       .eta0 = {0.0231, 0.0012, 0.667, 0.756},
                                       .a1 = {0.382, 0.0153, 3.6, 5.1}};
    SAYS("Monte Carlo (397 trials, seed 17): standard uncertainty of eta0 0.0231 +- 0.0012 where "
         "the table has 0.0225, 95 % 0.667 to 0.756; of a1 0.382 +- 0.015 where the table has "
         "0.370 W/(m2 K). Some trials found no minimum and were left out.",
         "Monte Carlo (397 trials, seed 17): standard uncertainty of eta0 0.0231 +- 0.0012 where "
         "the table has 0.0225, 95 % 0.667 to 0.756; of a1 0.0673 +- 0.0027 where the table has "
         "0.0652 Btu/(h ft2 degF). Some trials found no minimum and were left out.",
         nr_tell_fit_monte_carlo, &fit);
    fit.monte_carlo.failed = 0;
    SAYS("Monte Carlo (400 trials, seed 17): standard uncertainty of eta0 0.0231 +- 0.0012 where "
         "the table has 0.0225, 95 % 0.667 to 0.756; of a1 0.382 +- 0.015 where the table has "
         "0.370 W/(m2 K).",
         "Monte Carlo (400 trials, seed 17): standard uncertainty of eta0 0.0231 +- 0.0012 where "
         "the table has 0.0225, 95 % 0.667 to 0.756; of a1 0.0673 +- 0.0027 where the table has "
         "0.0652 Btu/(h ft2 degF).",
         nr_tell_fit_monte_carlo, &fit);
}
END_TEST

START_TEST(runs_and_inputs)
{
    nr_fit_run run = {.folder = "may", .rows = 1234, .duration_s = 5430, .used_s = 4830};
    SAYS_ONE("may: 1234 rows, 91 min, 81 min of it used.", nr_tell_fit_run, &run);
    snprintf(run.title, sizeof run.title, "W");
    SAYS_ONE("may (W): 1234 rows, 91 min, 81 min of it used.", nr_tell_fit_run, &run);
    SAYS_ONE("Wash stand: a heat-up test", nr_tell_page_title, "Wash stand");
    nr_learned l = {.unit = "K", .stated = 0, .stated_u = 0.15, .found = 0.04, .found_u = 0.08};
    SAYS("0.00 +- 0.15 -> 0.040 +- 0.080 K", "0.00 +- 0.27 -> 0.07 +- 0.14 degF",
         nr_tell_fit_learned, &l);
    l = (nr_learned){.unit = "degC", .stated = 0, .stated_u = 0.5, .found = 1.25, .found_u = 0.3};
    SAYS("0.00 +- 0.50 -> 1.25 +- 0.30 degC", "0.00 +- 0.90 -> 2.25 +- 0.54 degF",
         nr_tell_fit_learned, &l);
    l = (nr_learned){.unit = "kJ/(m2 K)", .stated = 8, .stated_u = 4, .found = 12, .found_u = 1};
    SAYS("8.0 +- 4.0 -> 12.0 +- 1.0 kJ/(m2 K)", "0.39 +- 0.20 -> 0.587 +- 0.049 Btu/(ft2 degF)",
         nr_tell_fit_learned, &l);
    l = (nr_learned){.unit = "furlong", .stated = 8, .stated_u = 4, .found = 12, .found_u = 1};
    SAYS("8.0 +- 4.0 -> 12.0 +- 1.0 furlong", "8.0 +- 4.0 -> 12.0 +- 1.0 furlong",
         nr_tell_fit_learned, &l);
    l = (nr_learned){.unit = "K", .stated = 0, .stated_u = 0.15, .found = 0, .found_u = 0.15};
    SAYS("", "", nr_tell_fit_learned, &l);
}
END_TEST

START_TEST(titles)
{
    begin();
    SAYS("71 % at zero loss, 4.3 W/(m2 K)", "71 % at zero loss, 0.76 Btu/(h ft2 degF)",
         nr_tell_fit_title, &fit);
    fit.a1.known = false;
    SAYS("71 % at zero loss", "71 % at zero loss", nr_tell_fit_title, &fit);
    SAYS_ONE("54 % of the sun's energy stayed in the water", nr_tell_energy_title, &fit);
    fit.run_efficiency.known = false;
    SAYS_ONE("where the sun's energy went", nr_tell_energy_title, &fit);
    fit.eta0.known = false;
    SAYS("the efficiency could not be determined", "the efficiency could not be determined",
         nr_tell_fit_title, &fit);
    SAYS_ONE("What limits the answer: nothing", nr_tell_budget_title, &fit);
    item(0, "sun, gain", "sun", 0.03, "", 0.3, 0.05);
    item(1, "air, offset", "air", 0.5, "K", 0.4, 0.08);
    SAYS_ONE("What limits the answer: air, offset", nr_tell_budget_title, &fit);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        result, bend_and_correlation, standstill,      limits, not_stated, range_and_angle,
        energy, second_opinions,      runs_and_inputs, titles, NULL};
    return run_tests("said of a fit", tests);
}
