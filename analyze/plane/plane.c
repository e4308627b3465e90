/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/plane/plane.h"

#include "analyze/physics/clearsky.h"
#include "analyze/physics/sun.h"
#include "analyze/plane/clouds.h"
#include "logger/base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DEG (M_PI / 180)
/* The sun's place is computed this often and joined by straight lines (of cosines). */
#define EVERY_S 60.0
/* Residual standard deviation of the diffuse share of an hour: about a tenth for models of the
 * clearness alone (D. Reindl et al., Solar Energy 45 (1990) 1-7, from memory); with a diffuse
 * channel what its shade leaves open. */
#define DIFFUSE_U 0.10
#define MEASURED_DIFFUSE_U 0.03
/* What models of the plane differ by on south-facing slopes: common practice, no source. */
#define PLANE_U 0.02
/* As the fit's, where no u_gain is stated (joint/terms_sensors.c). */
#define ASSUMED_SUN 0.05
#define SUNNY_SHARE 0.4

static bool place_of(const nr_rig *rig, nr_place *place)
{
    const nr_rig_collector *c = &rig->collector;
    *place = (nr_place){.latitude_deg = rig->latitude_deg.value,
                        .longitude_deg = rig->longitude_deg.value,
                        .elevation_m = rig->elevation_m.given ? rig->elevation_m.value : 0,
                        .tilt_deg = c->tilt_deg.value,
                        .azimuth_deg = c->azimuth_deg.value};
    return rig->latitude_deg.given && rig->longitude_deg.given && c->tilt_deg.given &&
           (c->azimuth_deg.given || c->tilt_deg.value == 0);
}

static nr_rig_channel *channel_of(nr_rig *rig, const char *name)
{
    for (size_t i = 0; i < rig->channels; i++)
        if (strcmp(rig->channel[i].name, name) == 0)
            return &rig->channel[i];
    return NULL;
}

static const double *column_of(const nr_run *run, const char *name)
{
    const nr_readings *r = run->readings;
    for (size_t i = 0; i < r->columns; i++)
        if (strcmp(r->column[i].channel, name) == 0)
            return r->column[i].value;
    return NULL;
}

/* Cosines of the sun on the ground and on the plane; zenith and incidence from them. */
typedef struct sun_place {
    double zenith, plane;
} sun_place;

static sun_place sun_at(double utc_s, const nr_place *p)
{
    nr_sun sun = nr_sun_at(utc_s, p->latitude_deg, p->longitude_deg);
    double angle = nr_incidence_deg(sun.zenith_deg, sun.azimuth_deg, p->tilt_deg, p->azimuth_deg);
    return (sun_place){cos(sun.zenith_deg * DEG), cos(angle * DEG)};
}

typedef struct path {
    const nr_place *place;
    double from_s; /* UTC of the first of the two; NAN: none yet */
    sun_place a, b;
} path;

static sun_place on_path(path *p, double utc_s)
{
    if (!(utc_s >= p->from_s && utc_s <= p->from_s + EVERY_S)) {
        p->from_s = floor(utc_s / EVERY_S) * EVERY_S;
        p->a = sun_at(p->from_s, p->place);
        p->b = sun_at(p->from_s + EVERY_S, p->place);
    }
    double way = (utc_s - p->from_s) / EVERY_S;
    return (sun_place){p->a.zenith + (p->b.zenith - p->a.zenith) * way,
                       p->a.plane + (p->b.plane - p->a.plane) * way};
}

/* When a row is true: its time, or the middle of what it is the mean of. */
static double when(const nr_run *run, size_t row)
{
    const nr_readings *r = run->readings;
    double back = 0;
    if (run->rig.rows == NR_ROWS_MEAN && r->rows > 1)
        back = (row > 0 ? r->elapsed_s[row] - r->elapsed_s[row - 1]
                        : r->elapsed_s[1] - r->elapsed_s[0]) /
               2;
    return r->utc_s[0] - r->elapsed_s[0] + r->elapsed_s[row] - back;
}

typedef struct flat {
    const double *ghi, *dhi; /* [rows]; dhi NULL: not measured */
    double *sun, *diffuse;   /* [rows] in the plane; diffuse NULL: not wanted */
} flat;

/* One reading to the plane; returns how far the beam is enlarged there against the diffuse, as a
 * share of the whole: what a wrong share of diffuse does. */
static double bring_one(const nr_place *place, const flat *f, size_t row, double utc_s,
                        sun_place sun)
{
    double ghi = fmax(f->ghi[row], 0), dhi = f->dhi ? f->dhi[row] : NAN;
    double zenith = acos(fmin(fmax(sun.zenith, -1), 1)) / DEG;
    double incidence = acos(fmin(fmax(sun.plane, -1), 1)) / DEG;
    double extraterrestrial =
        NR_SOLAR_CONSTANT_W_M2 * nr_extraterrestrial_factor(nr_day_of_year(utc_s));
    nr_plane_irradiance on = nr_from_horizontal(ghi, dhi, zenith, incidence, place->tilt_deg,
                                                NR_ALBEDO_DEFAULT, extraterrestrial);
    if (isnan(f->ghi[row]))
        on.total = on.diffuse = on.ground = NAN;
    f->sun[row] = on.total;
    if (f->diffuse)
        f->diffuse[row] = on.diffuse + on.ground;
    if (!(on.total > 0) || !(sun.zenith > 0))
        return NAN;
    double of_beam = fmax(sun.plane, 0) / sun.zenith, of_sky = (1 + cos(place->tilt_deg * DEG)) / 2;
    return fabs(of_beam - of_sky) * ghi / on.total;
}

/* The mean of that over the sunny rows, by irradiance. */
static double bring_all(const nr_run *run, const nr_place *place, const flat *f)
{
    double most = 0, sum = 0, weight = 0;
    path p = {.place = place, .from_s = NAN};
    for (size_t i = 0; i < run->readings->rows; i++)
        most = f->ghi[i] > most ? f->ghi[i] : most;
    for (size_t i = 0; i < run->readings->rows; i++) {
        double utc_s = when(run, i), ghi = f->ghi[i];
        double lever = bring_one(place, f, i, utc_s, on_path(&p, utc_s));
        if (ghi > SUNNY_SHARE * most && isfinite(lever)) {
            sum += lever * ghi;
            weight += ghi;
        }
    }
    return weight > 0 ? sum / weight : 0;
}

nr_code nr_plane_bring(nr_run *run, nr_err *err)
{
    nr_rig_channel *sun = channel_of(&run->rig, "sun"), *dhi = channel_of(&run->rig, "diffuse");
    const double *ghi = column_of(run, "sun");
    nr_place place;
    if (!sun || sun->plane != NR_PLANE_HORIZONTAL || !ghi || !place_of(&run->rig, &place) ||
        run->readings->rows == 0)
        return NR_OK;
    bool with_diffuse = dhi && dhi->plane == NR_PLANE_HORIZONTAL && column_of(run, "diffuse");
    flat f = {.ghi = ghi, .dhi = with_diffuse ? column_of(run, "diffuse") : NULL};
    nr_code code = nr_run_own_column(run, "sun", "W_m2", &f.sun, err);
    if (!code && with_diffuse)
        code = nr_run_own_column(run, "diffuse", "W_m2", &f.diffuse, err);
    if (code)
        return code;
    double lever = bring_all(run, &place, &f);
    double diffuse_u = with_diffuse ? MEASURED_DIFFUSE_U : DIFFUSE_U;
    sun->plane = NR_PLANE_BROUGHT;
    sun->u_brought = place.tilt_deg > 0 ? hypot(diffuse_u * lever, PLANE_U) : 0;
    sun->u_gain = hypot(isnan(sun->u_gain) ? ASSUMED_SUN : sun->u_gain, sun->u_brought);
    if (with_diffuse)
        dhi->plane = NR_PLANE_BROUGHT;
    return NR_OK;
}

static bool any(const double *value, size_t count)
{
    for (size_t i = 0; value && i < count; i++)
        if (isfinite(value[i]))
            return true;
    return false;
}

/* The smallest change from one reading to the next: a coarse thermometer's step, else next to
 * nothing. */
static double step_of(const double *value, size_t rows)
{
    double least = INFINITY, last = NAN;
    for (size_t i = 0; value && i < rows; i++) {
        if (isnan(value[i]))
            continue;
        if (fabs(value[i] - last) > 1e-6)
            least = fmin(least, fabs(value[i] - last));
        last = value[i];
    }
    return isfinite(least) ? least : 0;
}

/* Where clouds show, the model's irradiance is not the sun's. Of a record that is clouded for most
 * of its time it is left, so that the answer can be withheld and asked for all the same. */
static nr_code mask_clouds(nr_run *run, nr_rig_channel *c, double *sun, nr_err *err)
{
    const nr_readings *r = run->readings;
    nr_cloud_signs signs = {.rows = r->rows,
                            .elapsed_s = r->elapsed_s,
                            .clear_W_m2 = sun,
                            .store = column_of(run, "store"),
                            .inlet = column_of(run, "inlet"),
                            .outlet = column_of(run, "outlet"),
                            .box = column_of(run, "box"),
                            .air = column_of(run, "air"),
                            .flow = column_of(run, "flow"),
                            .pump = column_of(run, "pump"),
                            .store_step_K = step_of(column_of(run, "store"), r->rows)};
    nr_clouds seen;
    bool *mask = calloc(r->rows ? r->rows : 1, sizeof *mask);
    if (!mask || !nr_cloud_mask(&signs, mask, &seen)) {
        free(mask);
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    }
    c->cloud_seen_s = seen.seen_s;
    c->cloud_s = seen.cloud_s;
    c->cloud_or_pump_s = seen.unsure_s;
    c->cloud_first_s = seen.first_s;
    bool most = seen.cloud_s + seen.unsure_s > NR_CLOUDS_MOST * seen.seen_s;
    for (size_t i = 0; !most && i < r->rows; i++)
        if (mask[i])
            sun[i] = NAN;
    free(mask);
    return NR_OK;
}

nr_code nr_plane_clear_sky(nr_run *run, nr_err *err)
{
    nr_place place;
    double *sun;
    if (any(column_of(run, "sun"), run->readings->rows))
        return NR_OK;
    if (!place_of(&run->rig, &place))
        return nr_fail(err, NR_CANNOT, run->rig.path, 0,
                       "a clear-sky irradiance needs [site] latitude_deg and longitude_deg and "
                       "[collector] tilt_deg and azimuth_deg");
    nr_rig_channel *c = channel_of(&run->rig, "sun");
    if (!c && run->rig.channels == NR_RIG_CHANNELS)
        return nr_fail(err, NR_BAD, run->rig.path, 0, "there are too many channels for one more");
    nr_code code = nr_run_own_column(run, "sun", "W_m2", &sun, err);
    if (code)
        return code;
    if (!c) {
        c = &run->rig.channel[run->rig.channels++];
        *c = (nr_rig_channel){.unit = nr_unit_canonical(NR_DIM_IRRADIANCE),
                              .law = nr_law_find("none"),
                              .u_offset = NAN,
                              .low = NAN,
                              .high = NAN,
                              .resolution = NAN,
                              .emissivity = NAN};
        nr_copy(c->name, sizeof c->name, "sun");
        nr_copy(c->column, sizeof c->column, "sun");
    }
    c->plane = NR_PLANE_MODEL;
    c->u_gain = NR_CLEAR_SKY_U;
    c->cloud_first_s = NAN;
    double at_s = NAN, here = 0, next = 0;
    for (size_t i = 0; i < run->readings->rows; i++) {
        double utc_s = when(run, i);
        if (!(utc_s >= at_s && utc_s <= at_s + EVERY_S)) {
            at_s = floor(utc_s / EVERY_S) * EVERY_S;
            here = nr_clear_sky_at(at_s, place, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT).plane.total;
            next = nr_clear_sky_at(at_s + EVERY_S, place, NR_LINKE_DEFAULT, NR_ALBEDO_DEFAULT)
                       .plane.total;
        }
        sun[i] = fmax(here + (next - here) * (utc_s - at_s) / EVERY_S, 0);
    }
    return mask_clouds(run, c, sun, err);
}
