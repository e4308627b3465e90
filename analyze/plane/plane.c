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

/* An array of a channel's readings for a while; NULL: not recorded. */
static double *array_of(const nr_run *run, const nr_values *numbers, bool *no_memory)
{
    if (!nr_values_there(numbers))
        return NULL;
    size_t rows = run->readings->rows;
    double *value = malloc((rows ? rows : 1) * sizeof *value);
    nr_cursor of;
    nr_cursor_begin(&of, numbers);
    for (size_t i = 0; value && i < rows; i++)
        value[i] = nr_at(&of, i);
    *no_memory = *no_memory || !value;
    return value;
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
typedef struct times {
    const nr_run *run;
    nr_cursor elapsed_s;
    double zero_s; /* UTC at no elapsed time */
} times;

static times times_of(const nr_run *run)
{
    nr_values utc = nr_readings_utc(run->readings), elapsed = nr_readings_elapsed(run->readings);
    times t = {.run = run, .zero_s = nr_number(&utc, 0) - nr_number(&elapsed, 0)};
    nr_cursor_begin(&t.elapsed_s, &elapsed);
    return t;
}

static double when(times *t, size_t row)
{
    double at_s = nr_at(&t->elapsed_s, row), back = 0;
    if (t->run->rig.rows == NR_ROWS_MEAN && t->run->readings->rows > 1)
        back =
            (row > 0 ? at_s - nr_at(&t->elapsed_s, row - 1) : nr_at(&t->elapsed_s, 1) - at_s) / 2;
    return t->zero_s + at_s - back;
}

typedef struct flat {
    nr_cursor ghi, dhi;    /* [rows] */
    bool with_dhi;         /* it was measured */
    double *sun, *diffuse; /* [rows] in the plane; diffuse NULL: not wanted */
} flat;

/* One reading to the plane; returns how far the beam is enlarged there against the diffuse, as a
 * share of the whole: what a wrong share of diffuse does. */
static double bring_one(const nr_place *place, flat *f, size_t row, double utc_s, sun_place sun)
{
    double given = nr_at(&f->ghi, row), dhi = f->with_dhi ? nr_at(&f->dhi, row) : NAN;
    double ghi = fmax(given, 0);
    double zenith = acos(fmin(fmax(sun.zenith, -1), 1)) / DEG;
    double incidence = acos(fmin(fmax(sun.plane, -1), 1)) / DEG;
    double extraterrestrial =
        NR_SOLAR_CONSTANT_W_M2 * nr_extraterrestrial_factor(nr_day_of_year(utc_s));
    nr_plane_irradiance on = nr_from_horizontal(ghi, dhi, zenith, incidence, place->tilt_deg,
                                                NR_ALBEDO_DEFAULT, extraterrestrial);
    if (isnan(given))
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
static double bring_all(const nr_run *run, const nr_place *place, flat *f)
{
    times t = times_of(run);
    double most = 0, sum = 0, weight = 0;
    path p = {.place = place, .from_s = NAN};
    for (size_t i = 0; i < run->readings->rows; i++)
        most = nr_at(&f->ghi, i) > most ? nr_at(&f->ghi, i) : most;
    for (size_t i = 0; i < run->readings->rows; i++) {
        double utc_s = when(&t, i), ghi = nr_at(&f->ghi, i);
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
    nr_values ghi = nr_readings_values(run->readings, "sun");
    nr_values diffuse = nr_readings_values(run->readings, "diffuse");
    nr_place place;
    if (!sun || sun->plane != NR_PLANE_HORIZONTAL || !nr_values_there(&ghi) ||
        !place_of(&run->rig, &place) || run->readings->rows == 0)
        return NR_OK;
    bool with_diffuse = dhi && dhi->plane == NR_PLANE_HORIZONTAL && nr_values_there(&diffuse);
    flat f = {.with_dhi = with_diffuse};
    nr_cursor_begin(&f.ghi, &ghi);
    nr_cursor_begin(&f.dhi, &diffuse);
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

static bool any(const nr_values *value, size_t count)
{
    nr_cursor of;
    nr_cursor_begin(&of, value);
    for (size_t i = 0; nr_values_there(value) && i < count; i++)
        if (isfinite(nr_at(&of, i)))
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
    enum { STORE, INLET, OUTLET, BOX, AIR, FLOW, PUMP, ELAPSED, SEEN };
    static const char *const name[] = {"store", "inlet", "outlet", "box", "air", "flow", "pump"};
    double *of[SEEN];
    bool no_memory = false;
    for (size_t k = 0; k < SEEN; k++) {
        nr_values numbers = k < ELAPSED ? nr_readings_values(r, name[k]) : nr_readings_elapsed(r);
        of[k] = array_of(run, &numbers, &no_memory);
    }
    nr_cloud_signs signs = {.rows = r->rows,
                            .elapsed_s = of[ELAPSED],
                            .clear_W_m2 = sun,
                            .store = of[STORE],
                            .inlet = of[INLET],
                            .outlet = of[OUTLET],
                            .box = of[BOX],
                            .air = of[AIR],
                            .flow = of[FLOW],
                            .pump = of[PUMP],
                            .store_step_K = step_of(of[STORE], r->rows)};
    nr_clouds seen;
    bool *mask = calloc(r->rows ? r->rows : 1, sizeof *mask);
    bool good = mask && !no_memory && nr_cloud_mask(&signs, mask, &seen);
    for (size_t k = 0; k < SEEN; k++)
        free(of[k]);
    if (!good) {
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
    nr_values seen = nr_readings_values(run->readings, "sun");
    if (any(&seen, run->readings->rows))
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
    times t = times_of(run);
    double at_s = NAN, here = 0, next = 0;
    for (size_t i = 0; i < run->readings->rows; i++) {
        double utc_s = when(&t, i);
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
