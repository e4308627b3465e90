/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sun: is there any, is it more than the sky can give, and does it shine where the clock, the site
 * and the plane say the sun is? Five-minute means: the edge of a cloud outshines the clear sky for
 * a minute or two. */
#include "analyze/inspect/subjects.h"

#include "analyze/physics/clearsky.h"
#include "analyze/physics/sun.h"

#include <math.h>
#include <stdlib.h>

#define CLEAN_TURBIDITY 2.0 /* the clearest air: what a cloudless sky can give at most */
#define SKY_FACTOR 1.3      /* over that: bright clouds, snow, a generous sensor */
#define SKY_MARGIN_W_M2 60.0
#define MOST_W_M2 1400.0   /* with no site known */
#define ABSURD_W_M2 1250.0 /* a sensor's fault rather than a wrong angle */
#define DOWN_DEG 92.0      /* zenith: the sun is down, twilight gives next to nothing */
#define DOWN_SUN_W_M2 50.0
#define BEHIND_DEG 93.0
#define BEHIND_SUN_W_M2 450.0 /* diffuse light alone is less */
#define TWICE 2               /* blocks that must say so */
#define NO_SUN_W_M2 50.0
#define SET_DEG 89.0
#define OBLIQUE_DEG 45.0
#define SUNNY_SHARE 0.4 /* of the largest irradiance: blocks that count for the incidence */

static bool place_of(const nr_rig *rig, nr_place *place)
{
    *place = (nr_place){
        .latitude_deg = rig->latitude_deg.value,
        .longitude_deg = rig->longitude_deg.value,
        .elevation_m = rig->elevation_m.given ? rig->elevation_m.value : 0.0,
        .tilt_deg = rig->collector.tilt_deg.value,
        .azimuth_deg = rig->collector.azimuth_deg.value,
    };
    return rig->latitude_deg.given && rig->longitude_deg.given && rig->collector.tilt_deg.given &&
           rig->collector.azimuth_deg.given;
}

static void fill_sky(const nr_inspection *inspection, nr_sky_block *b, nr_place place,
                     nr_sun_path *path)
{
    const nr_readings *r = inspection->run->readings;
    nr_values labels = nr_readings_utc(r);
    double utc = nr_number(&labels, 0) - nr_number(&inspection->q->elapsed_s, 0) + b->t_s;
    nr_sun sun = nr_sun_along(path, utc, place.latitude_deg, place.longitude_deg);
    nr_clear_instant clear = nr_clear_sky_of(&sun, utc, place, CLEAN_TURBIDITY, NR_ALBEDO_DEFAULT);
    b->zenith_deg = clear.zenith_deg;
    b->incidence_deg = clear.incidence_deg;
    b->clear_W_m2 = clear.plane.total;
    b->beyond_W_m2 = NR_SOLAR_CONSTANT_W_M2 * nr_extraterrestrial_factor(nr_day_of_year(utc)) *
                     fmax(0.0, cos(clear.incidence_deg * M_PI / 180.0));
}

nr_code nr_sky_blocks(nr_inspection *inspection, nr_err *err)
{
    const nr_quality_channel *c = &inspection->q->channel[NR_ROLE_SUN];
    nr_cursor t, busy, sun;
    nr_cursor_begin(&t, &inspection->q->elapsed_s);
    nr_cursor_begin(&busy, &inspection->q->busy_s);
    if (c->value)
        nr_cursor_begin(&sun, c->value);
    nr_place place;
    nr_sun_path path = {0};
    inspection->place_known = place_of(&inspection->run->rig, &place);
    inspection->blocks = (size_t)(nr_at(&busy, inspection->q->rows - 1) / NR_SKY_BLOCK_S) + 1;
    inspection->block = calloc(inspection->blocks, sizeof *inspection->block);
    if (!inspection->block)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t b = 0, i = 0; b < inspection->blocks; b++) {
        nr_sky_block *block = &inspection->block[b];
        double end = NR_SKY_BLOCK_S * (double)(b + 1), sum = 0.0, n = 0.0, on = 0.0;
        size_t from = i;
        for (; i < inspection->q->rows && nr_at(&busy, i) < end; i++) {
            on += inspection->q->pump[i] == NR_PUMP_IS_ON;
            double v = c->value && c->bad[i] != NR_BAD_SPIKE ? nr_at(&sun, i) : NAN;
            if (isnan(v))
                continue;
            sum += v;
            n += 1.0;
        }
        double at_s =
            i > from ? end + nr_at(&t, from) - nr_at(&busy, from) - 0.5 * NR_SKY_BLOCK_S : NAN;
        *block = (nr_sky_block){.t_s = at_s, .sun_W_m2 = sum / n};
        block->pump_share = i > from ? on / (double)(i - from) : 0.0;
        block->zenith_deg = block->incidence_deg = block->clear_W_m2 = block->beyond_W_m2 = NAN;
        if (inspection->place_known && i > from)
            fill_sky(inspection, block, place, &path);
    }
    return NR_OK;
}

typedef struct tally {
    size_t down, behind, high, beyond;
    double from_s, to_s, worst_W_m2, allowed_W_m2;
} tally;

static tally count(const nr_inspection *inspection)
{
    tally n = {.from_s = NAN, .to_s = NAN, .worst_W_m2 = 0.0};
    for (size_t b = 0; b < inspection->blocks; b++) {
        const nr_sky_block *k = &inspection->block[b];
        double allowed = MOST_W_M2;
        if (inspection->place_known) {
            allowed = SKY_FACTOR * k->clear_W_m2 + SKY_MARGIN_W_M2;
            n.down += k->zenith_deg > DOWN_DEG && k->sun_W_m2 > DOWN_SUN_W_M2;
            n.behind += k->incidence_deg > BEHIND_DEG && k->sun_W_m2 > BEHIND_SUN_W_M2;
            n.beyond += k->sun_W_m2 > k->beyond_W_m2 + SKY_MARGIN_W_M2;
        }
        if (!(k->sun_W_m2 > allowed))
            continue;
        n.high++;
        if (isnan(n.from_s))
            n.from_s = k->t_s - 0.5 * NR_SKY_BLOCK_S;
        n.to_s = k->t_s + 0.5 * NR_SKY_BLOCK_S;
        if (k->sun_W_m2 > n.worst_W_m2) {
            n.worst_W_m2 = k->sun_W_m2;
            n.allowed_W_m2 = allowed;
        }
    }
    return n;
}

static void wrong_place(nr_inspection *inspection, nr_severity severity, nr_finding_code code)
{
    inspection->sky_wrong = true;
    nr_find(inspection, code, severity, NR_ROLE_SUN, NAN, NAN, NULL);
}

static void look_at_position(nr_inspection *inspection)
{
    tally n = count(inspection);
    if (n.down >= TWICE) {
        wrong_place(inspection, NR_SEVERITY_FAULT, NR_FIND_SUN_BELOW_HORIZON);
        return;
    }
    if (n.behind >= TWICE) {
        wrong_place(inspection, NR_SEVERITY_FAULT, NR_FIND_SUN_BEHIND);
        return;
    }
    if (n.high < TWICE)
        return;
    if (n.worst_W_m2 < ABSURD_W_M2 && inspection->place_known) {
        wrong_place(inspection, NR_SEVERITY_DOUBT, NR_FIND_SUN_BEYOND_SKY);
        return;
    }
    nr_find(inspection, NR_FIND_SUN_TOO_HIGH,
            n.beyond >= TWICE ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT, NR_ROLE_SUN, n.from_s,
            n.to_s, NR_SEEN(n.worst_W_m2, n.allowed_W_m2));
}

static void look_at_incidence(nr_inspection *inspection)
{
    double most = 0.0, lo = INFINITY, hi = -INFINITY, sum = 0.0, weight = 0.0;
    for (size_t b = 0; b < inspection->blocks; b++)
        most = fmax(most, inspection->block[b].sun_W_m2);
    for (size_t b = 0; b < inspection->blocks; b++) {
        const nr_sky_block *k = &inspection->block[b];
        bool ran = k->pump_share > 0.5 || inspection->q->pump_source == NR_PUMP_FROM_NOTHING;
        /* What is left of the light when the sun is down comes from nowhere in particular. */
        if (!ran || !(k->sun_W_m2 > SUNNY_SHARE * most) || !(k->zenith_deg < SET_DEG))
            continue;
        lo = fmin(lo, k->incidence_deg);
        hi = fmax(hi, k->incidence_deg);
        sum += k->sun_W_m2 * k->incidence_deg;
        weight += k->sun_W_m2;
    }
    if (!(weight > 0.0) || inspection->sky_wrong)
        return;
    inspection->out->incidence_lo_deg = lo;
    inspection->out->incidence_hi_deg = hi;
    if (sum / weight > OBLIQUE_DEG)
        nr_find(inspection, NR_FIND_OBLIQUE_SUN, NR_SEVERITY_NOTE, NR_ROLE_SUN, NAN, NAN,
                NR_SEEN(lo, hi));
}

static void look_for_sun(nr_inspection *inspection)
{
    const nr_quality *q = inspection->q;
    double most = 0.0;
    for (size_t b = 0; b < inspection->blocks; b++)
        most = fmax(most, inspection->block[b].sun_W_m2);
    if (!q->channel[NR_ROLE_SUN].readings || inspection->unit_wrong[NR_ROLE_SUN] ||
        most >= NO_SUN_W_M2)
        return;
    inspection->dark = true;
    nr_find(inspection, NR_FIND_NO_SUN, NR_SEVERITY_DOUBT, NR_ROLE_SUN, NAN, NAN, NR_SEEN(most));
}

void nr_inspect_sky(nr_inspection *inspection)
{
    look_for_sun(inspection);
    if (inspection->dark || inspection->unit_wrong[NR_ROLE_SUN] ||
        !nr_inspect_raw(inspection, NR_ROLE_SUN))
        return;
    look_at_position(inspection);
    if (inspection->place_known)
        look_at_incidence(inspection);
    else
        nr_find(inspection, NR_FIND_NO_SITE, NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN, NULL);
}
