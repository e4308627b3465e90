/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/forecast/day.h"

#include "analyze/physics/clearsky.h"
#include "analyze/physics/iam.h"
#include "analyze/physics/sun.h"
#include "logger/base/utc.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define EVERY_S 120.0
#define STEADY_LIMIT_S (12 * 3600.0)
#define SOLAR_S_PER_DEG 240.0
/* Past this 1/cos - 1 the beam is as good as gone. */
#define MOST_OBLIQUE 10.0

nr_day nr_day_stated(void)
{
    return (nr_day){.sun_W_m2 = NAN,
                    .air_degC = NAN,
                    .wind_m_s = NAN,
                    .date_s = NAN,
                    .start_s = NAN,
                    .latitude_deg = NAN,
                    .longitude_deg = NAN,
                    .elevation_m = NAN,
                    .tilt_deg = NAN,
                    .azimuth_deg = NAN,
                    .water_kg = NAN,
                    .store_loss_W_K = NAN,
                    .area_m2 = NAN,
                    .from_degC = NAN,
                    .to_degC = NAN};
}

double nr_day_utc_s(const nr_day *d, double solar_s)
{
    return d->date_s + solar_s - d->longitude_deg * SOLAR_S_PER_DEG;
}

static void take(double *open, const nr_value *given)
{
    if (isnan(*open) && given->given)
        *open = given->value;
}

static nr_code complete_sky(const nr_rig *rig, nr_day *d, nr_err *err)
{
    take(&d->latitude_deg, &rig->latitude_deg);
    take(&d->longitude_deg, &rig->longitude_deg);
    take(&d->elevation_m, &rig->elevation_m);
    take(&d->tilt_deg, &rig->collector.tilt_deg);
    take(&d->azimuth_deg, &rig->collector.azimuth_deg);
    if (isnan(d->elevation_m))
        d->elevation_m = 0;
    if (isnan(d->latitude_deg) || isnan(d->longitude_deg))
        return nr_fail_asked(err, "latitude,longitude",
                             "a clear-sky day needs a place, here or as latitude_deg and "
                             "longitude_deg in [site] of rig.ini");
    if (!d->re_aimed && (isnan(d->tilt_deg) || isnan(d->azimuth_deg)))
        return nr_fail_asked(err, "tilt,azimuth,re-aimed",
                             "a clear-sky day needs the collector's plane, here or as tilt_deg and "
                             "azimuth_deg in [collector] of rig.ini");
    if (isnan(d->date_s) || isnan(d->start_s))
        return nr_fail_asked(err, "day,start", "a clear-sky day needs a date and a start");
    if (d->limit_s > 0)
        return NR_OK;
    double start = nr_day_utc_s(d, d->start_s);
    nr_sun_day sun = nr_sun_day_of(start, d->latitude_deg, d->longitude_deg);
    if (sun.kind == NR_SUN_NEVER_RISES)
        return nr_fail(err, NR_CANNOT, NULL, 0, "the sun does not rise there on that day");
    d->limit_s = sun.kind == NR_SUN_RISES_AND_SETS ? sun.set_s - start : STEADY_LIMIT_S;
    if (d->limit_s < 2 * EVERY_S)
        return nr_fail(err, NR_CANNOT, NULL, 0, "the sun has set there before that start");
    return NR_OK;
}

nr_code nr_day_complete(const nr_solved *s, nr_day *d, nr_err *err)
{
    const nr_rig *rig = nr_solved_rig(s);
    if (isnan(d->water_kg))
        d->water_kg = rig->store.water_kg.value;
    if (isnan(d->water_kg))
        return nr_fail_asked(err, "water",
                             "the record has no container: say how much water is to be heated");
    if (isnan(d->wind_m_s))
        d->wind_m_s = s->wind_m_s;
    if (isnan(d->from_degC) || isnan(d->to_degC))
        return nr_fail_asked(err, "from,to", "say what is wanted");
    if (isnan(d->air_degC))
        return nr_fail_asked(err, "air", "say how warm the air is");
    if (d->to_degC <= d->from_degC)
        return nr_fail_asked(err, "to,from", "the target must be warmer than the start");
    if (d->to_degC >= 100)
        return nr_fail_asked(err, "to", "the target must be below the boiling point");
    if (d->clear_sky)
        return complete_sky(rig, d, err);
    if (isnan(d->sun_W_m2))
        return nr_fail_asked(err, "sun,day,start",
                             "say how strong the sun is, or of which clear-sky day and from when");
    if (!(d->limit_s > 0))
        d->limit_s = STEADY_LIMIT_S;
    return NR_OK;
}

double nr_day_unfitted_b0(const nr_solved *s)
{
    if (nr_joint_piece(s->joint, s->at.piece).part->obliquity)
        return 0;
    const nr_value *given = &nr_solved_rig(s)->collector.iam_b0;
    return given->given ? given->value
                        : nr_iam_default_b0(nr_glazing_covers(nr_solved_rig(s)->collector.glazing));
}

typedef struct sky_sample {
    double sun, obliquity, iam;
} sky_sample;

double nr_day_obliquity(const nr_solved *s, double beam_share, double incidence_deg)
{
    double cosine = cos(incidence_deg * M_PI / 180);
    double beam = cosine > 0 ? fmin(1 / cosine - 1, MOST_OBLIQUE) : MOST_OBLIQUE;
    return beam_share * beam + (1 - beam_share) * s->at.conditions.obliquity;
}

double nr_day_modifier(const nr_solved *s, double beam_share, double incidence_deg)
{
    double tested = s->at.conditions.iam;
    if (!(tested > 0))
        return 0;
    double beam = nr_series_modifier_at(&nr_solved_rig(s)->collector.iam, incidence_deg);
    return beam_share * beam + (1 - beam_share) * tested;
}

static sky_sample sky_at(const nr_solved *solved, const nr_day *d, double utc_s)
{
    nr_place place = {.latitude_deg = d->latitude_deg,
                      .longitude_deg = d->longitude_deg,
                      .elevation_m = d->elevation_m,
                      .tilt_deg = d->re_aimed ? 0 : d->tilt_deg,
                      .azimuth_deg = d->re_aimed ? 0 : d->azimuth_deg};
    nr_clear_instant now = nr_clear_sky_at(utc_s, place, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT);
    if (d->re_aimed && now.zenith_deg < 90) {
        place.tilt_deg = now.zenith_deg;
        place.azimuth_deg = now.azimuth_deg;
        now = nr_clear_sky_at(utc_s, place, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT);
    }
    double sun = fmax(now.plane.total, 0), beam = sun > 0 ? now.plane.beam / sun : 0;
    return (sky_sample){sun > 0 ? sun : 0, nr_day_obliquity(solved, beam, now.incidence_deg),
                        nr_day_modifier(solved, beam, now.incidence_deg)};
}

bool nr_day_pump_runs(const nr_solved *s, double sun_W_m2, bool running)
{
    if (isnan(s->panel_stall_W_m2))
        return true;
    return sun_W_m2 >= (running ? s->panel_stall_W_m2 : s->panel_start_W_m2);
}

nr_code nr_day_weather_make(const nr_solved *s, const nr_day *d, nr_day_weather *w, nr_err *err)
{
    size_t n = d->clear_sky ? (size_t)ceil(d->limit_s / EVERY_S) + 1 : 1;
    *w = (nr_day_weather){.values = malloc(5 * n * sizeof(double))};
    if (!w->values)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    double *sun = w->values, *air = w->values + n, *oblique = w->values + 2 * n;
    double *flow = w->values + 3 * n, *iam = w->values + 4 * n;
    bool running = false;
    double b0 = nr_day_unfitted_b0(s);
    const nr_steady_conditions *tested = &s->at.conditions;
    for (size_t k = 0; k < n; k++) {
        sky_sample now = {d->sun_W_m2, tested->obliquity, tested->iam};
        if (d->clear_sky)
            now = sky_at(s, d, nr_day_utc_s(d, d->start_s) + EVERY_S * (double)k);
        running = nr_day_pump_runs(s, now.sun, running);
        flow[k] = running ? 1 : 0;
        sun[k] = now.sun * fmax(1 - b0 * now.obliquity, 0);
        air[k] = d->air_degC;
        oblique[k] = now.obliquity;
        iam[k] = now.iam;
    }
    w->forecast = (nr_forecast){.count = n,
                                .every_s = EVERY_S,
                                .sun_W_m2 = sun,
                                .air_degC = air,
                                .obliquity = oblique,
                                .iam = tested->iam > 0 ? iam : NULL,
                                .flow_share = flow};
    if (isfinite(d->wind_m_s) && isfinite(s->wind_m_s))
        w->forecast.wind_above_mean_m_s = d->wind_m_s - s->wind_m_s;
    return NR_OK;
}

void nr_day_weather_free(nr_day_weather *w)
{
    free(w->values);
    w->values = NULL;
}

nr_heatup_case nr_day_case(const nr_solved *s, const nr_day *d, const nr_day_weather *w)
{
    /* Another container's loss in place of one that nobody told apart. */
    bool other = s->fit->loss_includes_store && !isnan(d->store_loss_W_K);
    const nr_series *series = nr_joint_piece(s->joint, s->at.piece).series;
    double contained = other ? nr_joint_usual_store_loss_W_K(series->water_kg) : 0;
    return (nr_heatup_case){
        .contained_W_K = contained,
        .u_contained_W_K = contained,
        .piece = s->at.piece,
        .weather = w->forecast,
        .water_kg = d->water_kg,
        .store_loss_W_K = d->store_loss_W_K,
        .flow_W_K = s->at.conditions.flow_W_K,
        .grow = d->area_m2 > 0 ? d->area_m2 / nr_solved_rig(s)->collector.gross_area_m2.value : 1,
        .same_meter = d->same_meter,
        .from_degC = d->from_degC,
        .to_degC = d->to_degC,
        .limit_s = d->limit_s};
}

char *nr_day_clock(const nr_day *d, double solar_s, char text[NR_CLOCK_TEXT])
{
    long minutes = lround((solar_s + d->clock_ahead_s) / 60);
    long day = minutes >= 0 ? minutes / 1440 : -1;
    minutes -= day * 1440;
    snprintf(text, NR_CLOCK_TEXT, "%ld:%02ld%s", minutes / 60, minutes % 60,
             day > 0   ? " the next day"
             : day < 0 ? " the day before"
                       : "");
    return text;
}

char *nr_day_clock_name(const nr_day *d, char text[NR_CLOCK_TEXT])
{
    if (!d->clock_given || !isfinite(d->clock_ahead_s + d->longitude_deg)) {
        snprintf(text, NR_CLOCK_TEXT, "solar time");
        return text;
    }
    /* The zone is ahead of UTC by what the clock is ahead of solar time and that of UTC. */
    long minutes = lround((d->clock_ahead_s + d->longitude_deg * SOLAR_S_PER_DEG) / 60);
    long size = labs(minutes);
    if (minutes == 0)
        snprintf(text, NR_CLOCK_TEXT, "UTC");
    else
        snprintf(text, NR_CLOCK_TEXT, "UTC%c%02ld:%02ld", minutes < 0 ? '-' : '+', size / 60,
                 size % 60);
    return text;
}

char *nr_day_date(const nr_day *d, char text[NR_CLOCK_TEXT])
{
    char utc[NR_UTC_SIZE] = "";
    nr_utc_format(d->date_s, utc);
    snprintf(text, NR_CLOCK_TEXT, "%.10s", utc);
    return text;
}
