/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clear sky; see clearsky.h. */
#include "analyze/physics/clearsky.h"

#include "analyze/physics/atmosphere.h"
#include "analyze/physics/sun.h"

#include <math.h>
#include <time.h>

#define DEG (3.14159265358979323846 / 180.0)

/* Near the horizon the part of the diffuse that follows the sun is divided by cos(zenith); held at
 * 85 degrees so that the last minutes of a day cannot shoot up. Common practice, no source. */
#define LOWEST_COSINE 0.08716

/* Air temperature only enters through refraction: 20 K change it by 7 % of 0.03 degrees. */
#define REFRACTION_AIR_DEGC 15.0

double nr_air_mass(double apparent_zenith_deg)
{
    double z = apparent_zenith_deg;
    if (!(z >= 0.0 && z <= 90.0))
        return NAN;
    return 1.0 / (cos(z * DEG) + 0.50572 * pow(96.07995 - z, -1.6364));
}

double nr_extraterrestrial_factor(int day_of_year)
{
    if (day_of_year < 1 || day_of_year > 366)
        return NAN;
    double b = 360.0 * DEG * (day_of_year - 1) / 365.0;
    return 1.00011 + 0.034221 * cos(b) + 0.00128 * sin(b) + 0.000719 * cos(2.0 * b) +
           0.000077 * sin(2.0 * b);
}

int nr_day_of_year(double unix_s)
{
    struct tm parts;
    time_t seconds = (time_t)floor(unix_s);
    return gmtime_r(&seconds, &parts) ? parts.tm_yday + 1 : 0;
}

nr_sky nr_ineichen(double zenith_deg, double air_mass, double turbidity, double elevation_m,
                   double extraterrestrial_W_m2)
{
    nr_sky unknown = {NAN, NAN, NAN}, dark = {0.0, 0.0, 0.0};
    if (!(zenith_deg >= 0.0 && zenith_deg <= 180.0) || !(turbidity >= 1.0 && turbidity <= 10.0) ||
        !(elevation_m >= -500.0 && elevation_m <= 9000.0) || !(extraterrestrial_W_m2 > 0.0))
        return unknown;
    if (zenith_deg >= 90.0)
        return dark;
    if (!(air_mass > 0.0))
        return unknown;
    double h = elevation_m, cosine = cos(zenith_deg * DEG);
    double f1 = exp(-h / 8000.0), f2 = exp(-h / 1250.0);
    double ghi = (5.09e-5 * h + 0.868) * extraterrestrial_W_m2 * cosine *
                 exp(-(3.92e-5 * h + 0.0387) * air_mass * (f1 + f2 * (turbidity - 1.0)));
    double b = 0.664 + 0.163 / f1;
    double direct = extraterrestrial_W_m2 * b * exp(-0.09 * air_mass * (turbidity - 1.0));
    double cap = ghi * (1.0 - (0.1 - 0.2 * exp(-turbidity)) / (0.1 + 0.882 / f1)) / cosine;
    double dni = fmax(0.0, fmin(direct, cap));
    return (nr_sky){ghi, dni, ghi - dni * cosine};
}

double nr_erbs_diffuse_fraction(double clearness)
{
    double k = clearness;
    if (!(k >= 0.0 && k <= 1.5))
        return NAN;
    if (k <= 0.22)
        return 1.0 - 0.09 * k;
    if (k > 0.80)
        return 0.165;
    return 0.9511 + k * (-0.1604 + k * (4.388 + k * (-16.638 + k * 12.336)));
}

nr_plane_irradiance nr_on_plane(nr_sky_model model, nr_sky sky, double zenith_deg,
                                double incidence_deg, double tilt_deg, double albedo,
                                double extraterrestrial_W_m2)
{
    if (!(tilt_deg >= 0.0 && tilt_deg <= 90.0) || !(albedo >= 0.0 && albedo <= 1.0) ||
        isnan(sky.ghi + sky.dni + sky.dhi + zenith_deg + incidence_deg))
        return (nr_plane_irradiance){NAN, NAN, NAN, NAN};
    double facing = fmax(0.0, cos(incidence_deg * DEG)), cosine = cos(zenith_deg * DEG);
    double sky_view = (1.0 + cos(tilt_deg * DEG)) / 2.0;
    double anisotropy = 0.0, horizon = 1.0;
    if (model != NR_SKY_ISOTROPIC)
        anisotropy = fmax(0.0, fmin(1.0, sky.dni / extraterrestrial_W_m2));
    if (model == NR_SKY_HDKR && sky.ghi > 0.0) {
        double beam_share = fmax(0.0, fmin(1.0, sky.dni * cosine / sky.ghi));
        horizon += sqrt(beam_share) * pow(sin(tilt_deg * DEG / 2.0), 3.0);
    }
    double around_sun = sky.dhi * anisotropy * facing / fmax(cosine, LOWEST_COSINE);
    nr_plane_irradiance plane = {
        .beam = sky.dni * facing,
        .diffuse = around_sun + sky.dhi * (1.0 - anisotropy) * sky_view * horizon,
        .ground = sky.ghi * albedo * (1.0 - sky_view),
    };
    plane.total = plane.beam + plane.diffuse + plane.ground;
    return plane;
}

nr_plane_irradiance nr_from_horizontal(double ghi, double dhi, double zenith_deg,
                                       double incidence_deg, double tilt_deg, double albedo,
                                       double extraterrestrial_W_m2)
{
    double cosine = cos(zenith_deg * DEG), held = fmax(cosine, LOWEST_COSINE);
    double clearness = fmin(ghi / (extraterrestrial_W_m2 * held), 1.0);
    double diffuse = isnan(dhi) ? ghi * nr_erbs_diffuse_fraction(clearness) : fmin(dhi, ghi);
    if (cosine <= 0.0)
        diffuse = ghi; /* twilight */
    nr_sky sky = {
        .ghi = ghi, .dni = fmin((ghi - diffuse) / held, extraterrestrial_W_m2), .dhi = diffuse};
    return nr_on_plane(NR_SKY_HAY_DAVIES, sky, zenith_deg, incidence_deg, tilt_deg, albedo,
                       extraterrestrial_W_m2);
}

nr_clear_instant nr_clear_sky_of(const nr_sun *sun, double unix_s, nr_place place, double turbidity,
                                 double albedo)
{
    nr_clear_instant now;
    double pressure_Pa = nr_pressure_at_elevation_Pa(place.elevation_m);
    now.zenith_deg =
        sun->zenith_deg - nr_refraction_deg(sun->zenith_deg, pressure_Pa, REFRACTION_AIR_DEGC);
    now.azimuth_deg = sun->azimuth_deg;
    now.incidence_deg =
        nr_incidence_deg(now.zenith_deg, now.azimuth_deg, place.tilt_deg, place.azimuth_deg);
    int day = isnan(sun->zenith_deg) ? 0 : nr_day_of_year(unix_s);
    double extraterrestrial = NR_SOLAR_CONSTANT_W_M2 * nr_extraterrestrial_factor(day);
    double air_mass = nr_air_mass(now.zenith_deg) * pressure_Pa / NR_STANDARD_PRESSURE_PA;
    now.sky = nr_ineichen(now.zenith_deg, air_mass, turbidity, place.elevation_m, extraterrestrial);
    now.plane = nr_on_plane(NR_SKY_HAY_DAVIES, now.sky, now.zenith_deg, now.incidence_deg,
                            place.tilt_deg, albedo, extraterrestrial);
    return now;
}

nr_clear_instant nr_clear_sky_at(double unix_s, nr_place place, double turbidity, double albedo)
{
    nr_sun sun = nr_sun_at(unix_s, place.latitude_deg, place.longitude_deg);
    return nr_clear_sky_of(&sun, unix_s, place, turbidity, albedo);
}
