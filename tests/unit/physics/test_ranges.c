/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ranges that the headers promise, each end tried on both sides: there is an answer at the end
 * itself and none just beyond. The ranges are those of the formulas' sources, which stand in the
 * headers. */
#include "analyze/physics/atmosphere.h"
#include "analyze/physics/cautions.h"
#include "analyze/physics/clearsky.h"
#include "analyze/physics/longwave.h"
#include "analyze/physics/sun.h"
#include "analyze/physics/tube.h"
#include "analyze/physics/water.h"
#include "tests/unit/near.h"

#define NOON_S 1781953200.0 /* 2026-06-20T11:00Z */

static double air_mass(double v)
{
    return nr_air_mass(v);
}
static double day(double v)
{
    return nr_extraterrestrial_factor((int)v);
}
static double ineichen_zenith(double v)
{
    return nr_ineichen(v, 1.2, 3, 100, 1330).ghi;
}
static double ineichen_turbidity(double v)
{
    return nr_ineichen(40, 1.3, v, 100, 1330).ghi;
}
static const nr_sky sky = {800, 850, 120};
static double tilt(double v)
{
    return nr_on_plane(NR_SKY_HAY_DAVIES, sky, 35, 20, v, 0.2, 1330).total;
}
static double albedo(double v)
{
    return nr_on_plane(NR_SKY_HAY_DAVIES, sky, 35, 20, 40, v, 1330).total;
}
static double sun_time(double v)
{
    return nr_sun_at(v, 51, 1).zenith_deg;
}
static double latitude(double v)
{
    return nr_sun_at(NOON_S, v, 1).zenith_deg;
}
static double longitude(double v)
{
    return nr_sun_at(NOON_S, 51, v).zenith_deg;
}
static double friction(double v)
{
    return nr_friction_turbulent(v);
}
static double gnielinski_re(double v)
{
    return nr_nusselt_gnielinski(v, 7);
}
static double gnielinski_pr(double v)
{
    return nr_nusselt_gnielinski(5000, v);
}
static double ito(double v)
{
    return nr_ito_critical_re(v);
}
static double white(double v)
{
    return nr_coil_laminar_factor(v * 10, 0.01);
} /* Dean number v */
static double density(double v)
{
    return nr_water_density_kg_m3(v);
}
static double cp(double v)
{
    return nr_water_cp_J_kgK(v);
}
static double viscosity(double v)
{
    return nr_water_viscosity_Pa_s(v);
}
static double conductivity(double v)
{
    return nr_water_conductivity_W_mK(v);
}
static double pressure(double v)
{
    return nr_pressure_at_elevation_Pa(v);
}
static double boiling(double v)
{
    return nr_boiling_degC(v);
}
static double dew(double v)
{
    return nr_dew_point_degC(15, v);
}

typedef struct range {
    const char *name;
    double (*of)(double);
    double low, high; /* NAN: no such end */
    double step;      /* beyond it */
} range;

START_TEST(an_answer_at_both_ends_and_none_beyond)
{
    const range ranges[] = {
        {"air mass, zenith", air_mass, 0, 90, 0.01},
        {"day of the year", day, 1, 366, 1},
        {"Ineichen and Perez, zenith", ineichen_zenith, 0, 180, 0.01},
        {"Ineichen and Perez, turbidity", ineichen_turbidity, 1, 10, 0.01},
        {"on a plane, tilt", tilt, 0, 90, 0.01},
        {"on a plane, albedo", albedo, 0, 1, 0.001},
        {"sun, years 1900 to 2200", sun_time, -2208988800.0, 7258118400.0, 1},
        {"sun, latitude", latitude, -90, 90, 0.01},
        {"sun, longitude", longitude, -180, 180, 0.01},
        {"Petukhov", friction, NR_RE_TURBULENT, 5e6, 1},
        {"Gnielinski, Re", gnielinski_re, NR_RE_TURBULENT, 5e6, 1},
        {"Gnielinski, Pr", gnielinski_pr, 0.5, 2000, 0.001},
        {"Ito", ito, 0, 1 / 15.0, 1e-4},
        {"White, Dean number", white, 0, 2000, 0.1},
        {"density", density, NR_WATER_LOW_DEGC, NR_WATER_HIGH_DEGC, 0.001},
        {"heat capacity", cp, NR_WATER_LOW_DEGC, NR_WATER_HIGH_DEGC, 0.001},
        {"viscosity", viscosity, NR_WATER_LOW_DEGC, NR_WATER_HIGH_DEGC, 0.001},
        {"conductivity", conductivity, NR_WATER_LOW_DEGC, NR_WATER_HIGH_DEGC, 0.001},
        {"standard atmosphere", pressure, -500, 11000, 0.1},
        /* the triple and the critical point (IAPWS) */
        {"boiling", boiling, 611.213, 22.064e6, 0.001},
        {"dew point, humidity", dew, 1e-6, 110, 0.1}};
    for (size_t i = 0; i < sizeof ranges / sizeof *ranges; i++) {
        const range *r = &ranges[i];
        ck_assert_msg(isfinite(r->of(r->low)), "%s: none at %g", r->name, r->low);
        ck_assert_msg(isfinite(r->of(r->high)), "%s: none at %g", r->name, r->high);
        ck_assert_msg(isnan(r->of(r->low - r->step)), "%s: one below %g", r->name, r->low);
        ck_assert_msg(isnan(r->of(r->high + r->step)), "%s: one above %g", r->name, r->high);
        ck_assert_msg(isnan(r->of(r->of == day ? -5 : NAN)), "%s: one of nothing", r->name);
    }
}
END_TEST

/* White: 1 up to a Dean number of 11.6, more above; Ito: straighter than 1/860 is straight. */
START_TEST(where_formulas_begin)
{
    NEAR(white(11.6), 1, 1e-12);
    NEAR(white(11.59), 1, 1e-12);
    ck_assert(white(11.7) > 1 && white(11.7) < 1.01);
    NEAR(ito(0.999 / 860), 2300, 1e-9);
    NEAR_RELATIVE(ito(1.001 / 860), 20000 * pow(1.001 / 860, 0.32), 1e-9);
    /* A straight tube: laminar up to 2300, turbulent from 3000 on. */
    ck_assert_int_eq(nr_flow_regime_of(0, 0), NR_FLOW_NONE);
    ck_assert_int_eq(nr_flow_regime_of(1, 0), NR_FLOW_LAMINAR);
    ck_assert_int_eq(nr_flow_regime_of(2300, 0), NR_FLOW_LAMINAR);
    ck_assert_int_eq(nr_flow_regime_of(2301, 0), NR_FLOW_UNCERTAIN);
    ck_assert_int_eq(nr_flow_regime_of(2999, 0), NR_FLOW_UNCERTAIN);
    ck_assert_int_eq(nr_flow_regime_of(3001, 0), NR_FLOW_TURBULENT);
    ck_assert_int_eq(nr_flow_regime_of(-1, 0), NR_FLOW_UNKNOWN);
    /* One of 1/50: Ito's 20000/50^0.32 = 5719. */
    ck_assert_int_eq(nr_flow_regime_of(5700, 0.02), NR_FLOW_UNCERTAIN);
    ck_assert_int_eq(nr_flow_regime_of(5740, 0.02), NR_FLOW_TURBULENT);
    ck_assert_int_eq(nr_flow_regime_of(2299, 0.02), NR_FLOW_LAMINAR);
}
END_TEST

/* The sun is on a plane up to 90 degrees; no beam from behind it, none below the horizon. */
START_TEST(where_the_beam_ends)
{
    nr_plane_irradiance p = nr_on_plane(NR_SKY_ISOTROPIC, sky, 35, 89.9, 90, 0, 1330);
    NEAR(p.beam, 850 * cos(89.9 * M_PI / 180), 1e-6);
    p = nr_on_plane(NR_SKY_ISOTROPIC, sky, 35, 90.1, 90, 0, 1330);
    NEAR(p.beam, 0, 0);
    NEAR(p.diffuse, 60, 1e-9); /* half of the sky (Liu and Jordan) */
    NEAR(ineichen_zenith(90), 0, 0);
    NEAR(nr_refraction_deg(91.1, 101325, 10), 0, 0);
    ck_assert(nr_refraction_deg(90.9, 101325, 10) > 0.2);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {an_answer_at_both_ends_and_none_beyond, where_formulas_begin,
                                  where_the_beam_ends, NULL};
    return run_tests("ranges", tests);
}
