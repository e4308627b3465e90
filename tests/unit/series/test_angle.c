/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The modifiers of incidence as the fit gets them: the rig's table and b0 for the beam at the sun's
 * angle, and for diffuse light at the angle that stands for the whole sky,
 *
 *      59.7 - 0.1388 tilt + 0.001497 tilt^2 degrees
 *
 * (M. Brandemuehl and W. Beckman, Solar Energy 24 (1980) 511-513, as Duffie and Beckman have it,
 * eq. 5.4.2; from memory). Where the sun stands is test_sun's business. */
#include "analyze/physics/sun.h"
#include "analyze/series/series.h"
#include "tests/unit/quality/records.h"

#define DEG (M_PI / 180)
/* Of the cosine: positions are joined by straight lines over five minutes. */
#define CLOSE 2e-3

static const nr_iam_table steep = {4, {0, 20, 40, 60}, {1, 0.9, 0.7, 0.5}, 0};

/* By hand: 20 degrees a step. */
static double steep_at(double angle)
{
    return angle < 20   ? 1 - 0.1 * angle / 20
           : angle < 40 ? 0.9 - 0.2 * (angle - 20) / 20
                        : 0.7 - 0.2 * (angle - 40) / 20;
}

static nr_virtual_run *record(double diffuse_share)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.rig_seed = 7;
    p.day_seed = 8;
    p.interval_s = 5;
    p.duration_s = 3600;
    nr_virtual_run *run = simulate(&p);
    double *diffuse = NULL;
    nr_err err = {.text = ""};
    if (diffuse_share > 0) {
        ck_assert_msg(!nr_run_own_column(&run->run, "diffuse", "W_m2", &diffuse, &err), "%s",
                      err.text);
        double *sun = column(run, "sun");
        for (size_t i = 0; i < run->run.readings->rows; i++) {
            sun[i] *= i % 2 ? 1.0 : 0.8; /* each step's share is of its own sun */
            diffuse[i] = diffuse_share * sun[i];
        }
    }
    return run;
}

static nr_series *series_of(nr_virtual_run *run)
{
    nr_series *s = NULL;
    nr_err err = {.text = ""};
    ck_assert_msg(!nr_series_build(&run->run, &s, &err), "%s", err.text);
    return s;
}

static double incidence(const nr_series *s, size_t k)
{
    const nr_rig *rig = &s->run->rig;
    double at = s->run->readings->utc_s[0] + s->part[0].start_s + s->step_s * ((double)k + 0.5) -
                s->run->readings->elapsed_s[0];
    nr_sun sun = nr_sun_at(at, rig->latitude_deg.value, rig->longitude_deg.value);
    return nr_incidence_deg(sun.zenith_deg, sun.azimuth_deg, rig->collector.tilt_deg.value,
                            rig->collector.azimuth_deg.value);
}

static double sky_deg(const nr_series *s)
{
    double tilt = s->run->rig.collector.tilt_deg.value;
    return 59.7 - 0.1388 * tilt + 0.001497 * tilt * tilt;
}

START_TEST(the_table_holds_at_the_suns_angle)
{
    nr_virtual_run *run = record(0);
    run->run.rig.collector.iam = steep;
    nr_series *s = series_of(run);
    ck_assert(s->part[0].iam != NULL && !s->part[0].diffuse);
    for (size_t k = 0; k < s->part[0].steps; k += 37)
        NEAR(s->part[0].iam[k], steep_at(incidence(s, k)), CLOSE);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

START_TEST(diffuse_light_has_its_own)
{
    double shares[] = {0.2, 0.7};
    for (size_t i = 0; i < 2; i++) {
        nr_virtual_run *run = record(shares[i]);
        run->run.rig.collector.iam = steep;
        nr_series *s = series_of(run);
        ck_assert(s->part[0].diffuse != NULL);
        double whole_sky = steep_at(sky_deg(s));
        for (size_t k = 0; k < s->part[0].steps; k += 37)
            NEAR(s->part[0].iam[k],
                 (1 - shares[i]) * steep_at(incidence(s, k)) + shares[i] * whole_sky, CLOSE);
        nr_series_free(s);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* The same by b0: 1/cos - 1 of each, mixed by the shares (Souka and Safwat's form is linear in it).
 */
START_TEST(so_has_b0)
{
    double share = 0.4;
    nr_virtual_run *plain = record(0), *run = record(share);
    nr_series *beam = series_of(plain), *s = series_of(run);
    double whole_sky = 1 / cos(sky_deg(s) * DEG) - 1;
    for (size_t k = 0; k < s->part[0].steps; k += 37) {
        double of_beam = 1 / cos(incidence(s, k) * DEG) - 1;
        NEAR(beam->part[0].obliquity[k], of_beam, CLOSE);
        NEAR(s->part[0].obliquity[k], (1 - share) * of_beam + share * whole_sky, CLOSE);
    }
    nr_series_free(s);
    nr_series_free(beam);
    nr_virtual_run_free(run);
    nr_virtual_run_free(plain);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_table_holds_at_the_suns_angle, diffuse_light_has_its_own,
                                  so_has_b0, NULL};
    return run_tests("angle", tests);
}
