/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole sentences about a container's loss, an uncertainty budget and results in the terms of the
 * test standard, from answers written by hand, in both systems of units. */
#include "analyze/tell/budget.h"
#include "analyze/tell/cooldown.h"
#include "analyze/tell/standard.h"
#include "tests/unit/tell/says.h"

static nr_fit fit;

START_TEST(container)
{
    nr_cooldown x = {.loss_W_K = quantity(2.468, 0.123),
                     .from_degC = 48.76,
                     .to_degC = 41.23,
                     .air_degC = 17.65,
                     .duration_s = 3 * 3600 + 25 * 60,
                     .time_constant_s = 40000,
                     .over_air_K = {23.6, 31.2}};
    SAYS("The container loses 2.47 W/K (95 %: 2.23 to 2.71 W/K)",
         "The container loses 4.68 Btu/(h degF) (95 %: 4.22 to 5.14 Btu/(h degF))",
         nr_tell_cooldown_finding, &x);
    SAYS("cool-down: the container's loss only, 2.47 W/K (95 %: 2.23 to 2.71)",
         "cool-down: the container's loss only, 4.68 Btu/(h degF) (95 %: 4.22 to 5.14)",
         nr_tell_cooldown_listed, &x.loss_W_K);
    SAYS("Standing by itself the container loses 2.47 W/K (95 %: 2.23 to 2.71 W/K). It cooled from "
         "48.8 degC to 41.2 degC in 3 h 25 min, in air of 17.7 degC; half of its warmth is gone "
         "after 7 h 42 min. A mean over 24 to 31 K above the air; with the lid off it is another.",
         "Standing by itself the container loses 4.68 Btu/(h degF) (95 %: 4.22 to 5.14 Btu/(h "
         "degF)). It cooled from 119.8 degF to 106.2 degF in 3 h 25 min, in air of 63.8 degF; half "
         "of its warmth is gone after 7 h 42 min. A mean over 42 to 56 degF above the air; with "
         "the lid off it is another.",
         nr_tell_cooldown, &x);
    char value[NR_COOLDOWN_KEY], u[NR_COOLDOWN_KEY];
    nr_tell_cooldown_keys(value, u, &x);
    ck_assert_str_eq(value, "2.47");
    ck_assert_str_eq(u, "0.12");
    double *const share[] = {&x.share_probes, &x.share_noise, &x.share_water, &x.share_model};
    static const char *const limit[] = {
        "What limits this answer: what the two thermometers differ by: put both into one bath (40 "
        "% of the variance).",
        "What limits this answer: the readings themselves: a longer evening, or warmer water (40 % "
        "of the variance).",
        "What limits this answer: the water's mass and the container's heat capacity: weigh them "
        "(40 % of the variance).",
        "What limits this answer: the law itself: a container's loss is not quite in proportion "
        "(40 % of the variance)."};
    for (int i = 0; i < 4; i++) {
        for (int k = 0; k < 4; k++)
            *share[k] = k == i ? 0.4 : 0.2;
        SAYS_ONE(limit[i], nr_tell_cooldown_limits, &x);
    }
}
END_TEST

START_TEST(budget)
{
    nr_gum_budget b = {.of = NR_BUDGET_A1,
                       .result = quantity(4.321, 0.37),
                       .degrees_of_freedom = 23.4,
                       .k95 = 2.069,
                       .expanded = 0.7655};
    SAYS("Loss coefficient a1: 4.32 W/(m2 K), combined standard uncertainty 0.37; 23 effective "
         "degrees of freedom (Welch-Satterthwaite), so k = 2.07 and U = 0.77 W/(m2 K) for 95 %.",
         "Loss coefficient a1: 0.761 Btu/(h ft2 degF), combined standard uncertainty 0.065; 23 "
         "effective degrees of freedom (Welch-Satterthwaite), so k = 2.07 and U = 0.135 Btu/(h ft2 "
         "degF) for 95 %.",
         nr_tell_budget, &b, NR_SHOWN_COLLECTOR_LOSS);
    b.of = NR_BUDGET_ETA0;
    b.result = quantity(0.7123, 0.0225);
    b.expanded = 0.0441;
    b.k95 = 1.96;
    b.degrees_of_freedom = INFINITY;
    SAYS("Zero-loss efficiency eta0: 0.712, combined standard uncertainty 0.023; degrees of "
         "freedom without limit, so k = 1.96 and U = 0.044 for 95 %.",
         "Zero-loss efficiency eta0: 0.712, combined standard uncertainty 0.023; degrees of "
         "freedom without limit, so k = 1.96 and U = 0.044 for 95 %.",
         nr_tell_budget, &b, NR_SHOWN_NUMBER);
    nr_monte_carlo m = {.trials = 500,
                        .failed = 4,
                        .eta0 = {.u = 0.02399, .u_error = 0.0005},
                        .a1 = {.u = 0.38, .u_error = 0.02}};
    SAYS("Monte Carlo (496 records simulated and fitted): u(eta0) = 0.02399 +- 0.00050 against "
         "0.0225 here: 3.0 of its own sampling errors apart, in agreement.",
         "Monte Carlo (496 records simulated and fitted): u(eta0) = 0.02399 +- 0.00050 against "
         "0.0225 here: 3.0 of its own sampling errors apart, in agreement.",
         nr_tell_budget_check, &b, &m, NR_SHOWN_NUMBER); /* 3 errors of sampling are most */
    m.eta0.u = 0.02401;
    SAYS("Monte Carlo (496 records simulated and fitted): u(eta0) = 0.02401 +- 0.00050 against "
         "0.0225 here: 3.0 of its own sampling errors apart, no agreement.",
         "Monte Carlo (496 records simulated and fitted): u(eta0) = 0.02401 +- 0.00050 against "
         "0.0225 here: 3.0 of its own sampling errors apart, no agreement.",
         nr_tell_budget_check, &b, &m, NR_SHOWN_NUMBER);
    b.of = NR_BUDGET_A1;
    b.result = quantity(4.321, 0.37);
    SAYS("Monte Carlo (496 records simulated and fitted): u(a1) = 0.380 +- 0.020 against 0.37 "
         "here: 0.5 of its own sampling errors apart, in agreement.",
         "Monte Carlo (496 records simulated and fitted): u(a1) = 0.0669 +- 0.0035 against 0.0652 "
         "here: 0.5 of its own sampling errors apart, in agreement.",
         nr_tell_budget_check, &b, &m, NR_SHOWN_COLLECTOR_LOSS);
    b.of = NR_BUDGET_A5;
    SAYS("", "", nr_tell_budget_check, &b, &m, NR_SHOWN_CAPACITY);
}
END_TEST

START_TEST(standard_terms)
{
    nr_standard s = {.basis = NR_MODIFIER_FITTED,
                     .kd = 0.9123,
                     .gross_area_m2 = 1.517,
                     .wind_reference_m_s = NAN};
    memset(&fit, 0, sizeof fit);
    fit.standard = &s;
    fit.mean_wind_m_s = 2.34;
    for (int i = 0; i < NR_REQS; i++)
        s.requirement[i].met = i < 4 ? NR_MET_YES : i < 9 ? NR_MET_NO : NR_MET_UNKNOWN;
    SAYS("In the terms of ISO 9806, from a record that was not made by it: no certificate. Of 15 "
         "requirements looked at: 4 met, 5 not met, 6 not known.",
         "In the terms of ISO 9806, from a record that was not made by it: no certificate. Of 15 "
         "requirements looked at: 4 met, 5 not met, 6 not known.",
         nr_tell_standard, &fit);
    SAYS("Gross area 1.517 m2; mean fluid temperature; FR by the published conversion. U = k u for "
         "95 %, k from the degrees of freedom (dof). The diffuse share was not measured: the light "
         "is taken as it was for hemispherical, and eta0,b supposes 15 % diffuse. The wind was not "
         "recorded, or hardly changed: eta0 and a1 are for what blew.",
         "Gross area 16.33 ft2; mean fluid temperature; FR by the published conversion. U = k u "
         "for 95 %, k from the degrees of freedom (dof). The diffuse share was not measured: the "
         "light is taken as it was for hemispherical, and eta0,b supposes 15 % diffuse. The wind "
         "was not recorded, or hardly changed: eta0 and a1 are for what blew.",
         nr_tell_standard_basis, &fit);
    s.basis = NR_MODIFIER_NO_ANGLE;
    SAYS("Gross area 1.517 m2; mean fluid temperature; FR by the published conversion. U = k u for "
         "95 %, k from the degrees of freedom (dof). The diffuse share was not measured: the light "
         "is taken as it was for hemispherical. eta0,b, Kd and K are not told: that takes the "
         "sun's angle, and with it [site] and the collector's tilt_deg and azimuth_deg. eta0,hem "
         "is of the angle that was. The wind was not recorded, or hardly changed: eta0 and a1 are "
         "for what blew.",
         "Gross area 16.33 ft2; mean fluid temperature; FR by the published conversion. U = k u "
         "for 95 %, k from the degrees of freedom (dof). The diffuse share was not measured: the "
         "light is taken as it was for hemispherical. eta0,b, Kd and K are not told: that takes "
         "the sun's angle, and with it [site] and the collector's tilt_deg and azimuth_deg. "
         "eta0,hem is of the angle that was. The wind was not recorded, or hardly changed: eta0 "
         "and a1 are for what blew.",
         nr_tell_standard_basis, &fit);
    s.basis = NR_MODIFIER_STATED;
    s.diffuse_measured = true;
    s.wind_reference_m_s = 3;
    SAYS("Gross area 1.517 m2; mean fluid temperature; FR by the published conversion. U = k u for "
         "95 %, k from the degrees of freedom (dof). The diffuse share was measured; eta0,hem is "
         "for 15 % of it. K and Kd (0.912) are by the rig file's b0, taken as exact. eta0 and a1 "
         "are for a wind of 3.0 m/s where 2.3 m/s blew.",
         "Gross area 16.33 ft2; mean fluid temperature; FR by the published conversion. U = k u "
         "for 95 %, k from the degrees of freedom (dof). The diffuse share was measured; eta0,hem "
         "is for 15 % of it. K and Kd (0.912) are by the rig file's b0, taken as exact. eta0 and "
         "a1 are for a wind of 6.7 mph where 5.2 mph blew.",
         nr_tell_standard_basis, &fit);
    s.basis = NR_MODIFIER_TABLE;
    SAYS("Gross area 1.517 m2; mean fluid temperature; FR by the published conversion. U = k u for "
         "95 %, k from the degrees of freedom (dof). The diffuse share was measured; eta0,hem is "
         "for 15 % of it. K and Kd (0.912) are the rig file's table, taken as exact. eta0 and a1 "
         "are for a wind of 3.0 m/s where 2.3 m/s blew.",
         "Gross area 16.33 ft2; mean fluid temperature; FR by the published conversion. U = k u "
         "for 95 %, k from the degrees of freedom (dof). The diffuse share was measured; eta0,hem "
         "is for 15 % of it. K and Kd (0.912) are the rig file's table, taken as exact. eta0 and "
         "a1 are for a wind of 6.7 mph where 5.2 mph blew.",
         nr_tell_standard_basis, &fit);
    s.basis = NR_MODIFIER_NONE;
    SAYS("Gross area 1.517 m2; mean fluid temperature; FR by the published conversion. U = k u for "
         "95 %, k from the degrees of freedom (dof). The diffuse share was measured; eta0,hem is "
         "for 15 % of it. A bare absorber has no pane to lose light at: Kd is taken as 1. eta0 and "
         "a1 are for a wind of 3.0 m/s where 2.3 m/s blew.",
         "Gross area 16.33 ft2; mean fluid temperature; FR by the published conversion. U = k u "
         "for 95 %, k from the degrees of freedom (dof). The diffuse share was measured; eta0,hem "
         "is for 15 % of it. A bare absorber has no pane to lose light at: Kd is taken as 1. eta0 "
         "and a1 are for a wind of 6.7 mph where 5.2 mph blew.",
         nr_tell_standard_basis, &fit);
    s.span[NR_SPAN_SUN].mean = 876.5;
    SAYS("The powers take the gain as proportional to the irradiance, which is exact at the "
         "record's 877 W/m2 only.",
         "The powers take the gain as proportional to the irradiance, which is exact at the "
         "record's 278 Btu/(h ft2) only.",
         nr_tell_standard_power, &fit);
    s.value[NR_STD_CONSTANT].q = quantity(-34.5, 6.4);
    SAYS("The powers are of the record's mean sky and wind as above: of eta0,hem times the mean "
         "irradiance 877 W/m2, -35 W/m2 (u 6 W/m2) do not go with the sun (sky, diffuse light), "
         "and are the same in each column.",
         "The powers are of the record's mean sky and wind as above: of eta0,hem times the mean "
         "irradiance 278 Btu/(h ft2), -11 Btu/(h ft2) (u 2 Btu/(h ft2)) do not go with the sun "
         "(sky, diffuse light), and are the same in each column.",
         nr_tell_standard_power, &fit);
    s.pressure_drop_Pa = (nr_bounds){.low = NAN, .high = NAN};
    SAYS("Pressure drop: not measured, and the tube is not stated.",
         "Pressure drop: not measured, and the tube is not stated.", nr_tell_standard_drop, &fit);
    s.pressure_drop_Pa = (nr_bounds){.low = 4321, .high = 4321 * 1.0009};
    SAYS("Pressure drop at the mean flow: 4.3 kPa, computed for the straight tube as stated, not "
         "measured.",
         "Pressure drop at the mean flow: 0.63 psi, computed for the straight tube as stated, not "
         "measured.",
         nr_tell_standard_drop, &fit);
    s.pressure_drop_Pa.high = 4321 * 1.2;
    SAYS("Pressure drop at the mean flow: 4.3 kPa to 5.2 kPa, computed for the straight tube as "
         "stated, not measured.",
         "Pressure drop at the mean flow: 0.63 psi to 0.75 psi, computed for the straight tube as "
         "stated, not measured.",
         nr_tell_standard_drop, &fit);
    s.day = (nr_day_output){.days = 2};
    SAYS("No day's output in the form of ISO 9459-2: it takes 4 records or more of whole days with "
         "different sun and different cold water (2 here).",
         "No day's output in the form of ISO 9459-2: it takes 4 records or more of whole days with "
         "different sun and different cold water (2 here).",
         nr_tell_day_output, &fit);
    s.day = (nr_day_output){.known = true,
                            .days = 6,
                            .per_irradiation = quantity(0.876, 0.021),
                            .per_difference = quantity(12345, 678),
                            .constant = quantity(-2.34e5, 4.5e4),
                            .residual_J = 3.21e5};
    SAYS("Output of a record in the form of ISO 9459-2, from 6 of them: Q = 0.876 m2 H +12300 J/K "
         "(air - cold water) -234000 J, H the irradiation of the plane; standard uncertainties "
         "0.021 m2, 680 J/K, 45000 J; records scatter by 0.321 MJ.",
         "Output of a record in the form of ISO 9459-2, from 6 of them: Q = 9.43 ft2 H +12300 J/K "
         "(air - cold water) -234000 J, H the irradiation of the plane; standard uncertainties "
         "0.23 ft2, 680 J/K, 45000 J; records scatter by 304 Btu.",
         nr_tell_day_output, &fit);
}
END_TEST

START_TEST(requirements)
{
    static const char *const si[NR_REQS] = {"irradiance at least 246 W/m2: 1368 W/m2",
                                            "irradiance within 369 W/m2 of its mean: 1824 W/m2",
                                            "diffuse share at most 49 %: 228 %",
                                            "light lost to the angle at most 62 %: 273.6 %",
                                            "mean wind at least 1 m/s: 3.2 m/s",
                                            "mean wind at most 1 m/s: 3.6 m/s",
                                            "air within 1.0 K of its mean: 4.1 K",
                                            "inlet within 1.1 K of its mean: 4.6 K",
                                            "flow within 123 % of its mean: 501.6 %",
                                            "flow per area within 135 % of 0.02 kg/(s m2): 547 %",
                                            "mean rise in the collector at least 1 K: 5.9 K",
                                            "steady points at least 2: 6",
                                            "inlet temperatures among them at least 2: 7",
                                            "u of inlet and outlet probe at most 1.8 K: 7.30 K",
                                            "u of the flow meter at most 197 %: 775.2 %"};
    static const char *const us[NR_REQS] = {
        "irradiance at least 78 Btu/(h ft2): 434 Btu/(h ft2)",
        "irradiance within 117 Btu/(h ft2) of its mean: 578 Btu/(h ft2)",
        "diffuse share at most 49 %: 228 %",
        "light lost to the angle at most 62 %: 273.6 %",
        "mean wind at least 2 mph: 7.1 mph",
        "mean wind at most 2 mph: 8.2 mph",
        "air within 1.8 degF of its mean: 7.4 degF",
        "inlet within 2.0 degF of its mean: 8.2 degF",
        "flow within 123 % of its mean: 501.6 %",
        "flow per area within 135 % of 0.02 kg/(s m2): 547 %",
        "mean rise in the collector at least 3 degF: 10.7 degF",
        "steady points at least 2: 6",
        "inlet temperatures among them at least 2: 7",
        "u of inlet and outlet probe at most 3.3 degF: 13.13 degF",
        "u of the flow meter at most 197 %: 775.2 %"};
    nr_standard s = {.basis = NR_MODIFIER_FITTED};
    memset(&fit, 0, sizeof fit);
    fit.standard = &s;
    for (int i = 0; i < NR_REQS; i++) {
        s.requirement[i] = (nr_requirement){.limit = 0.123 * (i + 2), .measured = 0.456 * (i + 3)};
        if (i <= NR_REQ_SUN_BAND) {
            s.requirement[i].limit *= 1000;
            s.requirement[i].measured *= 1000;
        }
        SAYS(si[i], us[i], nr_tell_requirement, &fit, (nr_requirement_code)i);
    }
    s.requirement[0].met = NR_MET_UNKNOWN;
    SAYS("irradiance at least 246 W/m2: not recorded or not stated",
         "irradiance at least 78 Btu/(h ft2): not recorded or not stated", nr_tell_requirement,
         &fit, NR_REQ_SUN);
    ck_assert_str_eq(nr_met_word(NR_MET_YES), "met");
    ck_assert_str_eq(nr_met_word(NR_MET_NO), "NOT met");
    ck_assert_str_eq(nr_met_word(NR_MET_UNKNOWN), "not known");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {container, budget, standard_terms, requirements, NULL};
    return run_tests("said of a standard test", tests);
}
