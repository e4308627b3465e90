/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Weather: geometry of the sun, clouds as a random telegraph, wind and air as first-order
 * autoregressive noise. */
#include "sample-runs/rig/weather.h"

#include "sample-runs/rig/chance.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

/* Mean lengths of clear and of cloudy spells, and how long a cloud's edge takes to pass, s.
 * Fair-weather cumulus over a garden; common practice, no source. */
#define CLEAR_SPELL_S 240.0
#define CLOUD_SPELL_S 120.0
#define EDGE_LO_S 4.0
#define EDGE_HI_S 25.0
/* Correlation times: haze on a clear day, gusts, air in the shade, s. */
#define HAZE_S 20.0
#define HAZE_W_M2 2.0
#define GUST_S 45.0
#define AIR_S 300.0
#define WIND_FLOOR_M_S 0.05

static double radians(double degrees)
{
    return degrees * M_PI / 180.0;
}

/* Low-precision coordinates of the sun after the Astronomical Almanac (from memory), of the date:
 * 0.01 degrees from 1950 to 2050. The analyzer uses another method. Declination and Greenwich hour
 * angle, rad. */
static void almanac(double unix_s, double *declination, double *greenwich)
{
    double days = (unix_s - 946728000.0) / 86400.0; /* since 2000-01-01T12:00Z */
    double anomaly = radians(fmod(357.529 + 0.98560028 * days, 360.0));
    double mean_longitude = fmod(280.459 + 0.98564736 * days, 360.0);
    double longitude = radians(mean_longitude + 1.915 * sin(anomaly) + 0.020 * sin(2.0 * anomaly));
    double obliquity = radians(23.439 - 0.00000036 * days);
    double ascension = atan2(cos(obliquity) * sin(longitude), cos(longitude));
    double sidereal_h = fmod(18.697374558 + 24.06570982441908 * days, 24.0);
    *declination = asin(sin(obliquity) * sin(longitude));
    *greenwich = radians(15.0 * sidereal_h) - ascension;
}

void nr_weather_sun(double unix_s, double latitude_deg, double longitude_deg, double tilt_deg,
                    double azimuth_deg, double *cos_zenith, double *cos_incidence)
{
    double declination, greenwich;
    almanac(unix_s, &declination, &greenwich);
    double hour_angle = greenwich + radians(longitude_deg);

    double phi = radians(latitude_deg), beta = radians(tilt_deg);
    double gamma = radians(azimuth_deg - 180.0); /* the textbook counts from south, west positive */
    double sd = sin(declination), cd = cos(declination);
    double sp = sin(phi), cp = cos(phi), sb = sin(beta), cb = cos(beta);
    double sg = sin(gamma), cg = cos(gamma), sw = sin(hour_angle), cw = cos(hour_angle);
    *cos_zenith = sd * sp + cd * cp * cw;
    /* Duffie and Beckman, Solar Engineering of Thermal Processes, equation 1.6.2. */
    *cos_incidence = sd * sp * cb - sd * cp * sb * cg + cd * cp * cb * cw + cd * sp * sb * cg * cw +
                     cd * sb * sg * sw;
}

/* Cloudless irradiance on the plane: Meinel's beam 1353 * 0.7^(m^0.678) (from memory), air mass
 * after Kasten and Young 1989, and a tenth of the beam as diffuse light from the whole sky. Haze
 * and site are in params.clearness. */
static double clear_sky(double cos_zenith, double cos_incidence, double tilt_deg)
{
    if (cos_zenith <= 0.01) {
        return 0.0;
    }
    double zenith_deg = acos(fmin(cos_zenith, 1.0)) * 180.0 / M_PI;
    double mass = 1.0 / (cos_zenith + 0.50572 * pow(96.07995 - zenith_deg, -1.6364));
    double beam = 1353.0 * pow(0.7, pow(mass, 0.678));
    double direct = cos_incidence > 0.0 ? beam * cos_incidence : 0.0;
    return direct + 0.1 * beam * (1.0 + cos(radians(tilt_deg))) / 2.0;
}

/* One step of first-order autoregressive noise of standard deviation sd and correlation time. */
static double wander(gsl_rng *rng, double x, double sd, double dt_s, double correlation_s)
{
    double keep = exp(-dt_s / correlation_s);
    return keep * x + sd * sqrt(1.0 - keep * keep) * gsl_ran_gaussian_ziggurat(rng, 1.0);
}

typedef struct clouds {
    bool cloudy;
    double left_s;       /* of the present spell */
    double transmission; /* now */
    double target;       /* where the passing edge leads */
    double rate;         /* 1/s */
} clouds;

/* One second of clouds: a random telegraph whose edges are ramps. */
static void clouds_step(clouds *c, gsl_rng *rng, double depth_lo, double depth_hi)
{
    c->left_s -= 1.0;
    if (c->left_s <= 0.0) {
        c->cloudy = !c->cloudy;
        c->left_s = gsl_ran_exponential(rng, c->cloudy ? CLOUD_SPELL_S : CLEAR_SPELL_S);
        double depth = gsl_ran_flat(rng, depth_lo, depth_hi);
        c->target = c->cloudy ? 1.0 - depth : 1.0;
        double edge_s = gsl_ran_flat(rng, EDGE_LO_S, EDGE_HI_S);
        c->rate = fabs(c->target - c->transmission) / edge_s;
    }
    double way = c->target - c->transmission;
    c->transmission += fabs(way) < c->rate ? way : copysign(c->rate, way);
}

static void draw_sun(const nr_virtual_params *p, nr_weather *w, gsl_rng *rng)
{
    bool broken = p->sky == NR_SKY_BROKEN;
    double depth_lo = broken ? 0.4 : 0.1, depth_hi = broken ? 0.85 : 0.7;
    clouds sky = {.transmission = 1.0, .target = 1.0};
    sky.left_s = gsl_ran_exponential(rng, CLEAR_SPELL_S);
    double haze = 0.0;
    for (size_t i = 0; i < w->seconds; i++) {
        double cos_zenith, cos_incidence;
        nr_weather_sun(p->start_utc_s + (double)i, p->latitude_deg, p->longitude_deg, p->tilt_deg,
                       p->azimuth_deg, &cos_zenith, &cos_incidence);
        haze = wander(rng, haze, HAZE_W_M2, 1.0, HAZE_S);
        if (p->sky != NR_SKY_CLEAR) {
            clouds_step(&sky, rng, depth_lo, depth_hi);
        }
        double clear = p->clearness * clear_sky(cos_zenith, cos_incidence, p->tilt_deg);
        w->sun_W_m2[i] = fmax(0.0, sky.transmission * clear + (clear > 0.0 ? haze : 0.0));
        w->cos_incidence[i] = cos_incidence;
    }
}

static void steady_sun(const nr_virtual_params *p, nr_weather *w)
{
    for (size_t i = 0; i < w->seconds; i++) {
        w->sun_W_m2[i] = p->steady_sun_W_m2;
        w->cos_incidence[i] = 1.0;
    }
}

static void draw_air_and_wind(const nr_virtual_params *p, nr_weather *w, gsl_rng *rng)
{
    double air = 0.0, gust = 0.0;
    /* The first gust is drawn from the long-run spread, or every test would start in the mean. */
    gust = p->wind_noise_m_s * gsl_ran_gaussian_ziggurat(rng, 1.0);
    for (size_t i = 0; i < w->seconds; i++) {
        w->air_degC[i] = p->air_degC + p->air_rise_K_h * (double)i / 3600.0 + air;
        w->wind_m_s[i] = fmax(WIND_FLOOR_M_S, p->wind_m_s + gust);
        air = wander(rng, air, p->air_noise_K, 1.0, AIR_S);
        gust = wander(rng, gust, p->wind_noise_m_s, 1.0, GUST_S);
    }
}

nr_code nr_weather_draw(const nr_virtual_params *p, nr_weather *w, nr_err *err)
{
    size_t n = (size_t)ceil(p->duration_s) + 2;
    double *block = calloc(4 * n, sizeof *block);
    gsl_rng *rng = nr_chance_open(p->day_seed, "weather", "sky");
    gsl_rng *rng_air = nr_chance_open(p->day_seed, "weather", "air");
    if (!block || !rng || !rng_air) {
        free(block);
        gsl_rng_free(rng);
        gsl_rng_free(rng_air);
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory for the weather");
    }
    *w = (nr_weather){n, block, block + n, block + 2 * n, block + 3 * n};
    if (p->sky == NR_SKY_STEADY) {
        steady_sun(p, w);
    } else {
        draw_sun(p, w, rng);
    }
    draw_air_and_wind(p, w, rng_air);
    gsl_rng_free(rng);
    gsl_rng_free(rng_air);
    return NR_OK;
}

void nr_weather_free(nr_weather *w)
{
    free(w->sun_W_m2); /* the start of the one block */
    *w = (nr_weather){0};
}

double nr_weather_at(const nr_weather *w, const double *series, double t_s)
{
    size_t i = (size_t)t_s;
    if (i + 1 >= w->seconds) {
        return series[w->seconds - 1];
    }
    double part = t_s - (double)i;
    return series[i] + part * (series[i + 1] - series[i]);
}
