/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/weather/weather.h"

#include "analyze/physics/clearsky.h"
#include "analyze/physics/sun.h"

#include <math.h>
#include <stdlib.h>

/* Instants an hour is made of. */
#define PARTS 12
#define DEG (M_PI / 180)
/* Below this the sun's height above the horizon, as its sine, is not divided by: 2 degrees. */
#define LOWEST_COSINE 0.035

/* The sun's path over a place for some hours: declination and hour angle go in straight lines
 * (within a day to 0.01 degrees), so that the full theory is asked twice a day and not ten thousand
 * times. */
typedef struct path {
    double from_s, sin_latitude, cos_latitude;
    double declination, declination_s, hour_angle, hour_angle_s; /* radians, and per second */
} path;

typedef struct place_of_sun {
    double cosine; /* of the zenith angle */
    double zenith_deg, azimuth_deg;
} place_of_sun;

#define PATH_S 86400.0

static path path_at(const nr_hourly *w, double utc_s)
{
    double from_s = floor(utc_s / PATH_S) * PATH_S;
    nr_sun a = nr_sun_at(from_s, w->latitude_deg, w->longitude_deg);
    nr_sun b = nr_sun_at(from_s + PATH_S, w->latitude_deg, w->longitude_deg);
    /* Once round in about a day: the hour angle's gain on 360 degrees. */
    double turned = 360 + remainder(b.hour_angle_deg - a.hour_angle_deg, 360);
    return (path){.from_s = from_s,
                  .sin_latitude = sin(w->latitude_deg * DEG),
                  .cos_latitude = cos(w->latitude_deg * DEG),
                  .declination = a.declination_deg * DEG,
                  .declination_s = (b.declination_deg - a.declination_deg) * DEG / PATH_S,
                  .hour_angle = a.hour_angle_deg * DEG,
                  .hour_angle_s = turned * DEG / PATH_S};
}

static place_of_sun sun_on(const path *p, double utc_s)
{
    double t = utc_s - p->from_s;
    double d = p->declination + p->declination_s * t, h = p->hour_angle + p->hour_angle_s * t;
    double c = p->sin_latitude * sin(d) + p->cos_latitude * cos(d) * cos(h);
    double azimuth = atan2(sin(h), cos(h) * p->sin_latitude - tan(d) * p->cos_latitude) / DEG + 180;
    return (place_of_sun){c, acos(fmin(fmax(c, -1), 1)) / DEG, fmod(azimuth + 360, 360)};
}

/* What holds in one row: normal irradiance of the beam while the sun is up, and the diffuse per
 * cosine of the zenith angle. */
typedef struct hour {
    double dni;
    double dhi_per_cosine;
} hour;

static hour spread(const nr_hourly *w, const path *p, const nr_hourly_row *row)
{
    double sum = 0, up = 0;
    for (int k = 0; k < PARTS; k++) {
        double c = fmax(sun_on(p, row->from_s + w->step_s * (k + 0.5) / PARTS).cosine, 0);
        sum += c;
        up += c > 0;
    }
    if (!(sum > 0))
        return (hour){0, 0};
    double mean = sum / PARTS, ghi = row->ghi_W_m2, dni = row->dni_W_m2, dhi = row->dhi_W_m2;
    double extraterrestrial =
        NR_SOLAR_CONSTANT_W_M2 * nr_extraterrestrial_factor(nr_day_of_year(row->from_s));
    if (isnan(dhi) && !isnan(ghi + dni))
        dhi = fmax(ghi - dni * mean, 0);
    else if (isnan(dhi))
        dhi = ghi * nr_erbs_diffuse_fraction(fmin(ghi / (extraterrestrial * mean), 1));
    if (isnan(ghi))
        ghi = dni * mean + dhi;
    ghi = fmax(ghi, 0);
    dhi = fmin(fmax(dhi, 0), ghi);
    /* The beam that the horizontal sums leave: the same as the table's own where it is consistent,
     * and never more than the sun sends. */
    double beam = fmin((ghi - dhi) / fmax(mean, LOWEST_COSINE * up / PARTS), extraterrestrial);
    return (hour){.dni = beam, .dhi_per_cosine = dhi / mean};
}

static const nr_hourly_row *row_at(const nr_hourly *w, double utc_s, size_t *hint)
{
    while (*hint > 0 && w->row[*hint].from_s > utc_s)
        --*hint;
    while (*hint + 1 < w->rows && w->row[*hint + 1].from_s <= utc_s)
        ++*hint;
    const nr_hourly_row *row = &w->row[*hint];
    return utc_s >= row->from_s && utc_s < row->from_s + w->step_s * 1.001 ? row : NULL;
}

/* Air and wind are means of their hours: straight lines between the middles. */
static double between(const nr_hourly *w, size_t at, double utc_s,
                      double of_row(const nr_hourly_row *))
{
    double middle = w->row[at].from_s + w->step_s / 2, here = of_row(&w->row[at]);
    size_t other = utc_s < middle ? at - 1 : at + 1;
    if (other >= w->rows) /* also at - 1 of the first */
        return here;
    double apart = w->row[other].from_s + w->step_s / 2 - middle;
    if (fabs(apart) > 1.5 * w->step_s)
        return here;
    return here + (of_row(&w->row[other]) - here) * (utc_s - middle) / apart;
}

static double air_of(const nr_hourly_row *row)
{
    return row->air_degC;
}

static double wind_of(const nr_hourly_row *row)
{
    return row->wind_m_s;
}

static nr_hourly_sample on_plane(const nr_hourly_plane *plane, const path *p, hour h, double utc_s)
{
    nr_hourly_sample s = {.incidence_deg = 90};
    place_of_sun sun = sun_on(p, utc_s);
    if (!(sun.cosine > 0) || !(h.dni + h.dhi_per_cosine > 0))
        return s;
    double tilt = plane->re_aimed ? fmin(sun.zenith_deg, 90) : plane->tilt_deg;
    double facing = plane->re_aimed ? sun.azimuth_deg : plane->azimuth_deg;
    s.incidence_deg = nr_incidence_deg(sun.zenith_deg, sun.azimuth_deg, tilt, facing);
    nr_sky sky = {.dni = h.dni, .dhi = h.dhi_per_cosine * sun.cosine};
    sky.ghi = sky.dni * sun.cosine + sky.dhi;
    double extraterrestrial =
        NR_SOLAR_CONSTANT_W_M2 * nr_extraterrestrial_factor(nr_day_of_year(utc_s));
    nr_plane_irradiance on = nr_on_plane(NR_SKY_HAY_DAVIES, sky, sun.zenith_deg, s.incidence_deg,
                                         tilt, plane->albedo, extraterrestrial);
    s.sun_W_m2 = on.total;
    s.beam_W_m2 = on.beam;
    return s;
}

void nr_hourly_samples(const nr_hourly *w, const nr_hourly_plane *plane, double from_s,
                       double every_s, size_t count, nr_hourly_sample *out)
{
    size_t hint = 0;
    const nr_hourly_row *last = NULL;
    hour h = {0, 0};
    path p = {.from_s = NAN};
    for (size_t k = 0; k < count; k++) {
        double utc_s = from_s + every_s * ((double)k + 0.5);
        if (k == 0) { /* the table is long, and ascending */
            size_t low = 0, high = w->rows;
            while (high - low > 1) {
                size_t middle = (low + high) / 2;
                if (w->row[middle].from_s <= utc_s)
                    low = middle;
                else
                    high = middle;
            }
            hint = low;
        }
        const nr_hourly_row *row = row_at(w, utc_s, &hint);
        if (!row) {
            out[k] = (nr_hourly_sample){NAN, NAN, NAN, NAN, NAN};
            continue;
        }
        if (!(fabs(utc_s - p.from_s) <= PATH_S))
            p = path_at(w, utc_s);
        if (row != last)
            h = spread(w, &p, row);
        last = row;
        out[k] = on_plane(plane, &p, h, utc_s);
        out[k].air_degC = between(w, hint, utc_s, air_of);
        out[k].wind_m_s = between(w, hint, utc_s, wind_of);
    }
}
