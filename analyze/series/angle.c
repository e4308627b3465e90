/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/physics/sun.h"
#include "analyze/series/inside.h"

#include <math.h>
#include <stdlib.h>

/* Positions are computed this often and joined by straight lines: the incidence angle bends by
 * less than 0.01 degrees in between. */
#define EVERY_S 300.0
/* Irradiance above this while the sun is down or behind the plane: the clock or site is wrong. */
#define BRIGHT_W_M2 250.0
#define DOWN_ZENITH_DEG 88.0
#define BEHIND_DEG 80.0
/* At grazing angles the modifier's form is not to be trusted; obliquity is held there. */
#define HELD_DEG 75.0

static double incidence_at(nr_sun_path *path, const nr_rig *rig, double utc_s, double *zenith_deg)
{
    nr_sun sun = nr_sun_along(path, utc_s, rig->latitude_deg.value, rig->longitude_deg.value);
    *zenith_deg = sun.zenith_deg;
    return nr_incidence_deg(sun.zenith_deg, sun.azimuth_deg, rig->collector.tilt_deg.value,
                            rig->collector.azimuth_deg.value);
}

/* Past this the sun is too low to judge a collector by: series.c leaves it out. */
#define JUDGED_DEG 60.0

double nr_series_diffuse_deg(double tilt_deg)
{
    return 59.7 - 0.1388 * tilt_deg + 0.001497 * tilt_deg * tilt_deg;
}

double nr_series_modifier_at(const nr_iam_table *t, double angle)
{
    for (size_t i = 1; i < t->points; i++)
        if (angle <= t->angle_deg[i]) {
            double way = (angle - t->angle_deg[i - 1]) / (t->angle_deg[i] - t->angle_deg[i - 1]);
            return t->factor[i - 1] + (t->factor[i] - t->factor[i - 1]) * fmax(way, 0);
        }
    return t->factor[t->points - 1];
}

/* Beam and diffuse light each at its own angle. */
static double mixed(const nr_part *part, size_t k, double beam, double diffuse)
{
    double share = part->diffuse ? part->diffuse[k] / part->sun_W_m2[k] : 0;
    share = share > 0 && share < 1 ? share : share >= 1 ? 1 : 0;
    return beam + share * (diffuse - beam);
}

static double obliquity_of(double incidence_deg)
{
    return 1 / cos(fmin(incidence_deg, HELD_DEG) * M_PI / 180) - 1;
}

/* Fills one part; false when bright sun and computed position contradict each other. */
static bool part_angles(const nr_series *s, const nr_part *part, double *obliquity,
                        double *incidence)
{
    const nr_rig *rig = &s->run->rig;
    nr_values utc = nr_readings_utc(s->run->readings);
    nr_values elapsed = nr_readings_elapsed(s->run->readings);
    double utc0 = nr_number(&utc, 0) - nr_number(&elapsed, 0) + part->start_s;
    size_t stride = (size_t)fmax(EVERY_S / s->step_s, 1);
    double sky = nr_series_diffuse_deg(rig->collector.tilt_deg.value);
    nr_sun_path path = {0};
    double zenith0, zenith1, b = incidence_at(&path, rig, utc0, &zenith1);
    for (size_t k = 0; k < part->steps; k += stride) {
        double a = b;
        zenith0 = zenith1;
        b = incidence_at(&path, rig, utc0 + s->step_s * (double)(k + stride), &zenith1);
        for (size_t i = k; i < part->steps && i < k + stride; i++) {
            double part_way = (double)(i - k) / (double)stride;
            incidence[i] = a + (b - a) * part_way;
            obliquity[i] = obliquity_of(incidence[i]);
            if (part->iam)
                part->iam[i] =
                    mixed(part, i, nr_series_modifier_at(&rig->collector.iam, incidence[i]),
                          nr_series_modifier_at(&rig->collector.iam, sky));
            else if (incidence[i] <= JUDGED_DEG)
                obliquity[i] = mixed(part, i, obliquity[i], obliquity_of(sky));
            if (part->sun_W_m2[i] > BRIGHT_W_M2 &&
                (fmin(zenith0, zenith1) > DOWN_ZENITH_DEG || incidence[i] > BEHIND_DEG))
                return false;
        }
    }
    return true;
}

/* Sums over sunny, pumped steps, weighted by irradiance. */
typedef struct sums {
    double weight, angle, obliquity, iam, lo, hi;
} sums;

static void add_sums(const nr_series *s, const nr_part *part, const double *incidence, sums *sum)
{
    for (size_t k = 0; k < part->steps; k++) {
        double sun = part->sun_W_m2[k];
        if (!nr_series_sun_counts(s, sun) || incidence[k] > JUDGED_DEG)
            continue;
        sum->weight += sun;
        sum->angle += sun * incidence[k];
        sum->obliquity += sun * part->obliquity[k];
        sum->iam += part->iam ? sun * part->iam[k] : 0;
        sum->lo = fmin(sum->lo, incidence[k]);
        sum->hi = fmax(sum->hi, incidence[k]);
    }
}

static void forget(nr_series *s)
{
    for (size_t i = 0; i < s->parts; i++) {
        free(s->part[i].obliquity);
        free(s->part[i].iam);
        s->part[i].obliquity = s->part[i].iam = NULL;
    }
}

nr_code nr_series_angles(nr_series *s, nr_err *err)
{
    const nr_rig *rig = &s->run->rig;
    s->incidence_mean_deg = s->incidence_lo_deg = s->incidence_hi_deg = s->obliquity_mean = NAN;
    if (!rig->latitude_deg.given || !rig->longitude_deg.given || !rig->collector.tilt_deg.given ||
        !rig->collector.azimuth_deg.given)
        return NR_OK;
    sums sum = {.lo = INFINITY, .hi = -INFINITY};
    for (size_t i = 0; i < s->parts; i++) {
        nr_part *part = &s->part[i];
        double *incidence = malloc(part->steps * sizeof(double));
        part->obliquity = malloc(part->steps * sizeof(double));
        bool table = rig->collector.iam.points > 0;
        part->iam = table ? malloc(part->steps * sizeof(double)) : NULL;
        if (!incidence || !part->obliquity || (table && !part->iam)) {
            free(incidence);
            return nr_fail(err, NR_BAD, NULL, 0, "out of memory");
        }
        if (part_angles(s, part, part->obliquity, incidence))
            add_sums(s, part, incidence, &sum);
        else
            s->sun_position_doubtful = true;
        free(incidence);
    }
    if (s->sun_position_doubtful || sum.weight <= 0) {
        forget(s);
        return NR_OK;
    }
    s->incidence_mean_deg = sum.angle / sum.weight;
    s->obliquity_mean = sum.obliquity / sum.weight;
    s->iam_mean = sum.iam / sum.weight;
    s->incidence_lo_deg = sum.lo;
    s->incidence_hi_deg = sum.hi;
    return NR_OK;
}
