/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clear sky, air mass, tilted plane and incidence angle modifier. */
#include "analyze/physics/atmosphere.h"
#include "analyze/physics/clearsky.h"
#include "analyze/physics/iam.h"
#include "analyze/physics/sun.h"
#include "logger/base/utc.h"
#include "tests/unit/near.h"

#define DEG (3.14159265358979323846 / 180.0)

START_TEST(air_mass)
{
    /* Kasten and Young 1989, computed from the printed formula. */
    static const double rows[][3] = {{0, 0.9997, 1e-4},  {30, 1.1540, 1e-4},  {48.19, 1.4980, 1e-4},
                                     {60, 1.9943, 1e-4}, {70, 2.9031, 1e-4},  {75, 3.8129, 1e-4},
                                     {80, 5.5860, 1e-4}, {85, 10.3058, 1e-4}, {90, 37.92, 0.01}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        NEAR(nr_air_mass(rows[i][0]), rows[i][1], rows[i][2]);
    ck_assert(isnan(nr_air_mass(90.1)));
    ck_assert(isnan(nr_air_mass(NAN)));
}
END_TEST

START_TEST(ineichen_perez)
{
    /* Ineichen and Perez 2002: found in the tests of a general photovoltaic modelling library. */
    static const double rows[][8] = {
        {10, 1, 3, 0, 1364, 1038.159, 942.208, 110.265},
        {10, 1, 3, 2000, 1364, 1134.243, 994.954, 154.405},
        {10, 1, 3, 0, 1370, 1042.726, 946.353, 110.750},
        {0, 1, 2, 0, 1364, 1095.771, 1014.388, 81.383},
        {0, 1, 4, 0, 1364, 1014.157, 861.113, 153.044},
        {46.0467599, 1.32355476, 3, 0, 1364, 704.697, 888.901, 87.736},
        {82.85457044, 6.97935524, 3, 0, 1364, 65.494, 321.161, 25.546},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double *r = rows[i];
        nr_sky sky = nr_ineichen(r[0], r[1], r[2], r[3], r[4]);
        NEAR(sky.ghi, r[5], 0.001);
        NEAR(sky.dni, r[6], 0.001);
        NEAR(sky.dhi, r[7], 0.001);
    }
    nr_sky night = nr_ineichen(95, NAN, 3, 0, 1364);
    NEAR(night.ghi + night.dni + night.dhi, 0, 0);
    ck_assert(isnan(nr_ineichen(50, 1.5, NAN, 0, 1364).ghi));
    ck_assert(isnan(nr_ineichen(NAN, 1.5, 3, 0, 1364).ghi));
}
END_TEST

/* Haurwitz 1945, global horizontal, with k = 0.059 (0.057 is also in print): needs no turbidity. */
static double haurwitz_ghi(double zenith_deg)
{
    double cosine = cos(zenith_deg * DEG);
    return 1098.0 * cosine * exp(-0.059 / cosine);
}

START_TEST(haurwitz)
{
    /* Haurwitz 1945 with k = 0.059: found in the same library's tests. */
    static const double rows[][2] = {
        {0, 1035.092}, {40, 778.767}, {60, 487.894}, {80, 135.742}, {85, 48.630}};
    for (int i = 0; i < 5; i++)
        NEAR(haurwitz_ghi(rows[i][0]), rows[i][1], 0.001);
    /* Against the other model at sea level, turbidity 3: an independent computation of both. */
    static const double ratio[][2] = {{20, -0.01}, {30, -0.01}, {45, 0.01}, {60, 0.04}, {75, 0.16}};
    for (int i = 0; i < 5; i++) {
        double z = ratio[i][0];
        double other = nr_ineichen(z, nr_air_mass(z), 3, 0, NR_SOLAR_CONSTANT_W_M2).ghi;
        NEAR(haurwitz_ghi(z) / other - 1.0, ratio[i][1], 0.01);
    }
}
END_TEST

START_TEST(ashrae_cross_check)
{
    /* ASHRAE's tau model (Handbook of Fundamentals 2013, ch. 14; coefficients from memory, no
     * printed answer seen): another clear sky, at air mass 1.02674. The two agree as models do. */
    double m = 1.02674, e0 = 1323.70, tb = 0.440, td = 2.202;
    double ab = 1.454 - 0.406 * tb - 0.268 * td + 0.021 * tb * td;
    double ad = 0.507 + 0.205 * tb - 0.080 * td - 0.190 * tb * td;
    double beam = e0 * exp(-tb * pow(m, ab)), diffuse = e0 * exp(-td * pow(m, ad));
    NEAR(beam, 845.5, 0.1);
    NEAR(diffuse, 144.4, 0.1);
    nr_sky sky = nr_ineichen(13, m, 4, 0, e0);
    NEAR_RELATIVE(sky.dni, beam, 0.05);
    NEAR_RELATIVE(sky.ghi, beam * cos(13 * DEG) + diffuse, 0.05);
}
END_TEST

START_TEST(erbs)
{
    /* Erbs 1982, from memory. */
    static const double rows[][2] = {{0.1, 0.9910}, {0.3, 0.9486}, {0.4, 0.8400},  {0.5, 0.6591},
                                     {0.6, 0.4395}, {0.7, 0.2440}, {0.75, 0.1831}, {0.9, 0.165}};
    for (int i = 0; i < 8; i++)
        NEAR(nr_erbs_diffuse_fraction(rows[i][0]), rows[i][1], 1e-4);
    NEAR(nr_erbs_diffuse_fraction(0.2200001), nr_erbs_diffuse_fraction(0.22), 4e-4);
    NEAR(nr_erbs_diffuse_fraction(0.8000001), nr_erbs_diffuse_fraction(0.80), 4e-4);
    ck_assert(isnan(nr_erbs_diffuse_fraction(-0.1)));
}
END_TEST

START_TEST(extraterrestrial)
{
    /* Spencer 1971, from memory. */
    static const double rows[][2] = {{1, 1.03505}, {81, 1.00732}, {182, 0.96665}, {290, 1.00709}};
    for (int i = 0; i < 4; i++)
        NEAR(nr_extraterrestrial_factor((int)rows[i][0]), rows[i][1], 1e-5);
    ck_assert(isnan(nr_extraterrestrial_factor(0)));
    double unix_s;
    ck_assert(nr_utc_parse("2024-12-31T23:59:59Z", &unix_s));
    ck_assert_int_eq(nr_day_of_year(unix_s), 366);
}
END_TEST

START_TEST(tilted_plane)
{
    /* Duffie and Beckman 2.15.1 and 2.16.1, from memory: 40 N, tilt 60 south, an hour's energies in
     * MJ/m2, ground 0.60. cos(incidence) 0.799, cos(zenith) 0.466. */
    double cosine = 0.466, zenith = acos(cosine) / DEG, incidence = acos(0.799) / DEG;
    nr_sky sky = {.ghi = 1.04, .dni = 0.244 / cosine, .dhi = 0.796};
    double outside = 2.34 / cosine;
    nr_plane_irradiance flat =
        nr_on_plane(NR_SKY_ISOTROPIC, sky, zenith, incidence, 60, 0.60, outside);
    NEAR(flat.beam, 0.417, 0.002);
    NEAR(flat.diffuse, 0.597, 0.001);
    NEAR(flat.ground, 0.156, 0.001);
    NEAR(flat.total, 1.17, 0.01);
    NEAR(nr_on_plane(NR_SKY_HAY_DAVIES, sky, zenith, incidence, 60, 0.60, outside).total, 1.25,
         0.01);
    NEAR(nr_on_plane(NR_SKY_HDKR, sky, zenith, incidence, 60, 0.60, outside).total, 1.28, 0.01);
}
END_TEST

START_TEST(plane_limits)
{
    nr_sky sky = {800, 850, 100};
    double zenith = acos(700.0 / 850.0) / DEG;
    /* lying flat, every model gives back the horizontal (HDKR has no horizon to see) */
    for (int model = NR_SKY_ISOTROPIC; model <= NR_SKY_HDKR; model++)
        NEAR(nr_on_plane((nr_sky_model)model, sky, zenith, zenith, 0, 0.2, 1361).total, 800, 1e-9);
    /* sun behind the plane: no beam, nothing from around the sun */
    nr_plane_irradiance behind = nr_on_plane(NR_SKY_HAY_DAVIES, sky, zenith, 120, 90, 0.2, 1361);
    NEAR(behind.beam, 0, 0);
    NEAR(behind.diffuse, 100 * (1 - 850.0 / 1361) / 2, 1e-9);
    NEAR(behind.ground, 80, 1e-9);
    ck_assert(isnan(nr_on_plane(NR_SKY_HDKR, sky, zenith, NAN, 30, 0.2, 1361).total));
    ck_assert(isnan(nr_on_plane(NR_SKY_HDKR, sky, zenith, 30, 30, 1.2, 1361).total));
}
END_TEST

START_TEST(clear_sky_of_a_place)
{
    /* The whole chain equals its parts, each checked above. */
    double unix_s;
    ck_assert(nr_utc_parse("2026-06-21T11:30:00Z", &unix_s));
    nr_place place = {47, 10, 500, 35, 180};
    nr_clear_instant now = nr_clear_sky_at(unix_s, place, 3.0, 0.2);
    NEAR(now.zenith_deg, 23.6202, 0.02);   /* Solar Position Algorithm, less refraction */
    NEAR(now.incidence_deg, 11.601, 0.02); /* the same */
    double pressure = nr_pressure_at_elevation_Pa(500);
    double outside = NR_SOLAR_CONSTANT_W_M2 * nr_extraterrestrial_factor(172);
    nr_sky sky = nr_ineichen(now.zenith_deg, nr_air_mass(now.zenith_deg) * pressure / 101325, 3.0,
                             500, outside);
    NEAR(now.sky.ghi, sky.ghi, 1e-9);
    NEAR(now.sky.ghi, now.sky.dni * cos(now.zenith_deg * DEG) + now.sky.dhi, 1e-9);
    NEAR(now.plane.total,
         nr_on_plane(NR_SKY_HAY_DAVIES, sky, now.zenith_deg, now.incidence_deg, 35, 0.2, outside)
             .total,
         1e-9);
    NEAR(now.plane.total, now.plane.beam + now.plane.diffuse + now.plane.ground, 1e-9);
    /* night, and nonsense */
    NEAR(nr_clear_sky_at(unix_s + 43200, place, 3.0, 0.2).plane.total, 0, 0);
    ck_assert(isnan(nr_clear_sky_at(NAN, place, 3.0, 0.2).plane.total));
    place.latitude_deg = NAN;
    ck_assert(isnan(nr_clear_sky_at(unix_s, place, 3.0, 0.2).plane.total));
}
END_TEST

START_TEST(incidence_angle_modifier)
{
    /* A certified single-glass flat plate (ISO 9806:2017 data sheet). */
    static const double sheet[][2] = {{10, 1.00}, {20, 0.99}, {30, 0.98}, {40, 0.97},
                                      {50, 0.94}, {60, 0.90}, {70, 0.80}, {80, 0.50}};
    for (int i = 0; i < 8; i++)
        NEAR(1 - nr_iam_default_b0(1) * (1 / cos(sheet[i][0] * DEG) - 1), sheet[i][1], 0.025);
    NEAR(nr_iam_default_b0(0), 0, 0);
    NEAR(nr_iam_default_b0(2), 0.17, 0); /* Duffie and Beckman, from memory */
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {air_mass,
                                  ineichen_perez,
                                  haurwitz,
                                  ashrae_cross_check,
                                  erbs,
                                  extraterrestrial,
                                  tilted_plane,
                                  plane_limits,
                                  clear_sky_of_a_place,
                                  incidence_angle_modifier,
                                  NULL};
    return run_tests("clearsky", tests);
}
