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

static void fill_sky(const nr_inspection *look, nr_sky_block *b, nr_place place)
{
    const nr_readings *r = look->run->readings;
    double utc = r->utc_s[0] - r->elapsed_s[0] + b->t_s;
    nr_clear_instant clear = nr_clear_sky_at(utc, place, CLEAN_TURBIDITY, NR_ALBEDO_DEFAULT);
    b->zenith_deg = clear.zenith_deg;
    b->incidence_deg = clear.incidence_deg;
    b->clear_W_m2 = clear.plane.total;
    b->beyond_W_m2 = NR_SOLAR_CONSTANT_W_M2 * nr_extraterrestrial_factor(nr_day_of_year(utc)) *
                     fmax(0.0, cos(clear.incidence_deg * M_PI / 180.0));
}

nr_code nr_sky_blocks(nr_inspection *look, nr_err *err)
{
    const double *t = look->run->readings->elapsed_s;
    const double *sun = look->q->channel[NR_ROLE_SUN].value;
    nr_place place;
    look->place_known = place_of(&look->run->rig, &place);
    look->blocks = (size_t)(look->q->duration_s / NR_SKY_BLOCK_S) + 1;
    look->block = calloc(look->blocks, sizeof *look->block);
    if (!look->block)
        return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
    for (size_t b = 0, i = 0; b < look->blocks; b++) {
        nr_sky_block *block = &look->block[b];
        double end = t[0] + NR_SKY_BLOCK_S * (double)(b + 1), sum = 0.0, n = 0.0, on = 0.0;
        size_t from = i;
        for (; i < look->q->rows && t[i] < end; i++) {
            on += look->q->pump[i] == NR_PUMP_IS_ON;
            bool spike = sun && look->q->channel[NR_ROLE_SUN].bad[i] == NR_BAD_SPIKE;
            if (!sun || isnan(sun[i]) || spike)
                continue;
            sum += sun[i];
            n += 1.0;
        }
        *block = (nr_sky_block){.t_s = end - 0.5 * NR_SKY_BLOCK_S, .sun_W_m2 = sum / n};
        block->pump_share = i > from ? on / (double)(i - from) : 0.0;
        block->zenith_deg = block->incidence_deg = block->clear_W_m2 = block->beyond_W_m2 = NAN;
        if (look->place_known)
            fill_sky(look, block, place);
    }
    return NR_OK;
}

typedef struct tally {
    size_t down, behind, high, beyond;
    double from_s, to_s, worst_W_m2, allowed_W_m2;
} tally;

static tally count(const nr_inspection *look)
{
    tally n = {.from_s = NAN, .to_s = NAN, .worst_W_m2 = 0.0};
    for (size_t b = 0; b < look->blocks; b++) {
        const nr_sky_block *k = &look->block[b];
        double allowed = MOST_W_M2;
        if (look->place_known) {
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

static void wrong_place(nr_inspection *look, nr_severity severity, nr_finding_code code)
{
    look->sky_wrong = true;
    nr_find(look, code, severity, NR_ROLE_SUN, NAN, NAN, NULL);
}

static void look_at_position(nr_inspection *look)
{
    tally n = count(look);
    if (n.down >= TWICE) {
        wrong_place(look, NR_SEVERITY_FAULT, NR_FIND_SUN_BELOW_HORIZON);
        return;
    }
    if (n.behind >= TWICE) {
        wrong_place(look, NR_SEVERITY_FAULT, NR_FIND_SUN_BEHIND);
        return;
    }
    if (n.high < TWICE)
        return;
    if (n.worst_W_m2 < ABSURD_W_M2 && look->place_known) {
        wrong_place(look, NR_SEVERITY_DOUBT, NR_FIND_SUN_BEYOND_SKY);
        return;
    }
    nr_find(look, NR_FIND_SUN_TOO_HIGH, n.beyond >= TWICE ? NR_SEVERITY_FAULT : NR_SEVERITY_DOUBT,
            NR_ROLE_SUN, n.from_s, n.to_s, NR_SEEN(n.worst_W_m2, n.allowed_W_m2));
}

static void look_at_incidence(nr_inspection *look)
{
    double most = 0.0, lo = INFINITY, hi = -INFINITY, sum = 0.0, weight = 0.0;
    for (size_t b = 0; b < look->blocks; b++)
        most = fmax(most, look->block[b].sun_W_m2);
    for (size_t b = 0; b < look->blocks; b++) {
        const nr_sky_block *k = &look->block[b];
        bool ran = k->pump_share > 0.5 || look->q->pump_source == NR_PUMP_FROM_NOTHING;
        /* What is left of the light when the sun is down comes from nowhere in particular. */
        if (!ran || !(k->sun_W_m2 > SUNNY_SHARE * most) || !(k->zenith_deg < SET_DEG))
            continue;
        lo = fmin(lo, k->incidence_deg);
        hi = fmax(hi, k->incidence_deg);
        sum += k->sun_W_m2 * k->incidence_deg;
        weight += k->sun_W_m2;
    }
    if (!(weight > 0.0) || look->sky_wrong)
        return;
    look->out->incidence_lo_deg = lo;
    look->out->incidence_hi_deg = hi;
    if (sum / weight > OBLIQUE_DEG)
        nr_find(look, NR_FIND_OBLIQUE_SUN, NR_SEVERITY_NOTE, NR_ROLE_SUN, NAN, NAN,
                NR_SEEN(lo, hi));
}

static void look_for_sun(nr_inspection *look)
{
    const nr_quality *q = look->q;
    double most = 0.0;
    for (size_t b = 0; b < look->blocks; b++)
        most = fmax(most, look->block[b].sun_W_m2);
    if (!q->channel[NR_ROLE_SUN].readings || look->unit_wrong[NR_ROLE_SUN] || most >= NO_SUN_W_M2)
        return;
    look->dark = true;
    nr_find(look, NR_FIND_NO_SUN, NR_SEVERITY_DOUBT, NR_ROLE_SUN, NAN, NAN, NR_SEEN(most));
}

void nr_look_sky(nr_inspection *look)
{
    look_for_sun(look);
    if (look->dark || look->unit_wrong[NR_ROLE_SUN] || !nr_look_raw(look, NR_ROLE_SUN))
        return;
    look_at_position(look);
    if (look->place_known)
        look_at_incidence(look);
    else
        nr_find(look, NR_FIND_NO_SITE, NR_SEVERITY_NOTE, NR_ROLES, NAN, NAN, NULL);
}
