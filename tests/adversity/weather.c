/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tests/adversity/truth.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

#define RAD (M_PI / 180)
#define GROUND 0.2 /* reflected by grass; common practice */

/* Spencer, Search 2 (1971): declination and equation of time by Fourier series. */
void ad_sun(double utc_s, double latitude, double longitude, double *altitude, double *azimuth)
{
    double day = floor(utc_s / 86400), hour = (utc_s - 86400 * day) / 3600;
    double of_year = fmod(day - 20454 + 3650, 365); /* 1 January 2026 is day 20454 of the epoch */
    double g = 2 * M_PI * (of_year + (hour - 12) / 24) / 365;
    double decl = 0.006918 - 0.399912 * cos(g) + 0.070257 * sin(g) - 0.006758 * cos(2 * g) +
                  0.000907 * sin(2 * g) - 0.002697 * cos(3 * g) + 0.00148 * sin(3 * g);
    double minutes = 229.18 * (0.000075 + 0.001868 * cos(g) - 0.032077 * sin(g) -
                               0.014615 * cos(2 * g) - 0.040849 * sin(2 * g));
    double angle = RAD * (15 * (hour - 12 + minutes / 60) + longitude), lat = RAD * latitude;
    double up = sin(lat) * sin(decl) + cos(lat) * cos(decl) * cos(angle);
    double north = cos(lat) * sin(decl) - sin(lat) * cos(decl) * cos(angle);
    double east = -cos(decl) * sin(angle);
    *altitude = asin(up) / RAD;
    *azimuth = fmod(atan2(east, north) / RAD + 360, 360);
}

static double cosine_on(ad_plane p, double altitude, double azimuth)
{
    return sin(RAD * altitude) * cos(RAD * p.tilt_deg) +
           cos(RAD * altitude) * sin(RAD * p.tilt_deg) * cos(RAD * (azimuth - p.azimuth_deg));
}

static bool allocate(ad_weather *w, size_t n)
{
    double **arrays[] = {&w->beam_W_m2, &w->diffuse_W_m2, &w->cosine,  &w->sensed_W_m2,
                         &w->air_degC,  &w->wind_m_s,     &w->sky_degC};
    *w = (ad_weather){.seconds = n};
    double *all = calloc(n * 7, sizeof *all);
    for (size_t i = 0; i < 7; i++)
        *arrays[i] = all ? all + i * n : NULL;
    return all != NULL;
}

void ad_weather_free(ad_weather *w)
{
    free(w->beam_W_m2);
}

/* Share of the beam that comes through, second by second: clouds come and go by chance, with edges
 * of some seconds and ragged middles. */
typedef struct clouds {
    double until_s, target, now, cover_s, clear_s, rag;
    bool inside;
} clouds;

static double pass_clouds(clouds *c, double t, gsl_rng *rng)
{
    if (t >= c->until_s) {
        c->inside = !c->inside;
        c->until_s = t + (c->inside ? c->cover_s : c->clear_s) * gsl_ran_gamma(rng, 1.5, 1 / 1.5);
        c->target = c->inside ? gsl_ran_flat(rng, 0.02, 0.55) : 1;
    }
    c->rag += -c->rag / 12 + gsl_ran_gaussian(rng, 0.02);
    double toward = c->inside ? c->target + c->rag : 1;
    c->now += (toward - c->now) / 5;
    return fmin(fmax(c->now, 0), 1);
}

static clouds clouds_of(ad_sky sky, gsl_rng *rng)
{
    clouds c = {.now = 1, .target = 1, .until_s = INFINITY};
    if (sky == AD_CLEAR)
        return c;
    c.cover_s = sky == AD_BROKEN ? 150 : 60;
    c.clear_s = sky == AD_BROKEN ? 260 : 420;
    c.until_s = c.clear_s * gsl_ran_flat(rng, 0.3, 1.5);
    return c;
}

static void light(const ad_day *day, ad_plane collector, ad_plane sensor, double through, size_t i,
                  ad_weather *w)
{
    double altitude, azimuth;
    ad_sun(day->start_utc_s + (double)i, day->latitude_deg, day->longitude_deg, &altitude,
           &azimuth);
    if (day->turns_every_s > 0) {
        double turned = floor((double)i / day->turns_every_s) * day->turns_every_s, low;
        ad_sun(day->start_utc_s + turned + day->turns_every_s / 2, day->latitude_deg,
               day->longitude_deg, &low, &collector.azimuth_deg);
        collector.tilt_deg = 90 - low;
    }
    double up = sin(RAD * fmax(altitude, 1));
    /* Meinel's fit of the direct beam, 1976. */
    double direct = altitude > 1 ? 1361 * pow(day->turbidity, pow(1 / up, 0.678)) : 0;
    double scattered = (0.11 + 0.16 * (1 - through)) * direct * up + (altitude > 0 ? 20 : 0);
    direct *= through;
    w->cosine[i] = cosine_on(collector, altitude, azimuth);
    w->beam_W_m2[i] = direct * fmax(w->cosine[i], 0);
    double open = (1 + cos(RAD * collector.tilt_deg)) / 2;
    double ground = GROUND * (direct * up + scattered);
    w->diffuse_W_m2[i] = scattered * open + ground * (1 - open);
    double sees = (1 + cos(RAD * sensor.tilt_deg)) / 2;
    w->sensed_W_m2[i] = direct * fmax(cosine_on(sensor, altitude, azimuth), 0) + scattered * sees +
                        ground * (1 - sees);
}

bool ad_weather_draw(const ad_day *day, ad_plane collector, ad_plane sensor, gsl_rng *rng,
                     ad_weather *w)
{
    size_t n = (size_t)day->seconds + 2;
    if (!allocate(w, n))
        return false;
    clouds c = clouds_of(day->sky, rng);
    double gust = 0, slow = gsl_ran_gaussian(rng, 0.25), wander = 0;
    for (size_t i = 0; i < n; i++) {
        double share = (double)i / (double)n;
        light(day, collector, sensor, pass_clouds(&c, (double)i, rng), i, w);
        gust += -gust / day->gust_s + gsl_ran_gaussian(rng, sqrt(2 / day->gust_s));
        slow += -slow / 500 + gsl_ran_gaussian(rng, 0.25 * sqrt(2.0 / 500));
        wander += -wander / 700 + gsl_ran_gaussian(rng, 0.25 * sqrt(2.0 / 700));
        double mean = day->wind_m_s * (1 + day->wind_trend * (share - 0.5));
        double level = day->gust_share * day->gust_share / 2 + 0.0308; /* of exp(), nearly */
        w->wind_m_s[i] = mean * exp(gust * day->gust_share + slow - level);
        w->air_degC[i] = day->air_degC + day->air_rise_K * share + wander;
        w->sky_degC[i] = w->air_degC[i] - day->sky_below_K * (day->sky == AD_CLEAR ? 1 : 0.7);
    }
    return true;
}
