/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the horizontal to the collector's plane: a printed example, and a clear day by another
 * route. */
#include "analyze/plane/plane.h"

#include "analyze/physics/clearsky.h"
#include "tests/unit/fit/simulated.h"

#include <check.h>
#include <math.h>

/* Duffie and Beckman 2.15.1 and 2.16.1, from memory (recomputed): 40 N, tilt 60 to the south, 20
 * February 9 to 10 h, I 1.04, I0 2.34 MJ/m2 on the horizontal, ground 0.60: cosines 0.466 and
 * 0.799, diffuse share 0.766 (Erbs), on the plane 1.25 MJ/m2 by Hay and Davies. As irradiances,
 * over 3600 s.
 */
START_TEST(printed_example)
{
    double zenith = acos(0.466) * 180 / M_PI, incidence = acos(0.799) * 180 / M_PI;
    double normal = 2.34e6 / 3600 / 0.466;
    nr_plane_irradiance on =
        nr_from_horizontal(1.04e6 / 3600, NAN, zenith, incidence, 60, 0.6, normal);
    NEAR(on.total * 3600 / 1e6, 1.25, 0.01);
    NEAR(on.beam * 3600 / 1e6, 0.244 * 0.799 / 0.466, 0.01);
    NEAR(on.ground * 3600 / 1e6, 0.156, 0.001);
    /* The diffuse as measured instead, 0.796 of the same example: the same. */
    on = nr_from_horizontal(1.04e6 / 3600, 0.796e6 / 3600, zenith, incidence, 60, 0.6, normal);
    NEAR(on.total * 3600 / 1e6, 1.25, 0.01);
}
END_TEST

START_TEST(limits)
{
    /* A plane that lies flat sees what lies flat. */
    nr_plane_irradiance flat = nr_from_horizontal(700, NAN, 40, 40, 0, 0.2, 1367);
    NEAR(flat.total, 700, 1e-9);
    /* With the sun down all is diffuse; a low one does not shoot up. */
    nr_plane_irradiance down = nr_from_horizontal(5, NAN, 92, 60, 45, 0, 1367);
    NEAR(down.total, 5 * (1 + cos(M_PI / 4)) / 2, 1e-9);
    nr_plane_irradiance low = nr_from_horizontal(60, 20, 89, 30, 60, 0.2, 1367);
    ck_assert(low.total < 60 / 0.087 + 60 && low.total > 60);
    ck_assert(isnan(nr_from_horizontal(NAN, NAN, 40, 40, 30, 0.2, 1367).total));
}
END_TEST

/* A run of the virtual rig whose sun channel is written over by a clear sky's on the horizontal. */
static nr_virtual_run *lying_flat(bool diffuse, double *asked)
{
    nr_virtual_params p = exact_glazed();
    p.interval_s = 20;
    nr_virtual_run *run = simulated(&p);
    nr_readings *r = run->run.readings;
    nr_rig *rig = &run->run.rig;
    nr_place place = {rig->latitude_deg.value, rig->longitude_deg.value, rig->elevation_m.value,
                      rig->collector.tilt_deg.value, rig->collector.azimuth_deg.value};
    nr_err err;
    double *sun, *dhi = NULL;
    ck_assert(nr_run_own_column(&run->run, "sun", "W_m2", &sun, &err) == NR_OK);
    if (diffuse) {
        ck_assert(nr_run_own_column(&run->run, "diffuse", "W_m2", &dhi, &err) == NR_OK);
        nr_rig_channel *c = &rig->channel[rig->channels++];
        *c = *nr_rig_channel_find(rig, "sun");
        strcpy(c->name, "diffuse");
        strcpy(c->column, "diffuse");
        c->plane = NR_PLANE_HORIZONTAL;
    }
    *asked = 0;
    for (size_t i = 0; i < r->rows; i++) {
        double utc = r->utc_s[0] - r->elapsed_s[0] + r->elapsed_s[i];
        nr_clear_instant now = nr_clear_sky_at(utc, place, 3, 0.2);
        sun[i] = now.sky.ghi;
        if (dhi)
            dhi[i] = now.sky.dhi;
        *asked += now.plane.total / (double)r->rows;
    }
    for (size_t i = 0; i < rig->channels; i++)
        if (strcmp(rig->channel[i].name, "sun") == 0) {
            rig->channel[i].plane = NR_PLANE_HORIZONTAL;
            rig->channel[i].u_gain = 0.03;
        }
    return run;
}

static double mean_sun(const nr_run *run)
{
    double sum = 0;
    for (size_t c = 0; c < run->readings->columns; c++)
        for (size_t i = 0;
             strcmp(run->readings->column[c].channel, "sun") == 0 && i < run->readings->rows; i++)
            sum += run->readings->column[c].value[i] / (double)run->readings->rows;
    return sum;
}

static void done(nr_virtual_run *run)
{
    nr_virtual_run_free(run);
}

/* Ineichen and Perez give the horizontal and the plane; Erbs has to find the diffuse share by
 * itself (within his own tenth), and gets it exactly where it is measured. */
START_TEST(cloudless_day)
{
    double asked;
    nr_err err;
    nr_virtual_run *run = lying_flat(false, &asked);
    ck_assert(nr_plane_bring(&run->run, &err) == NR_OK);
    const nr_rig_channel *c = nr_rig_channel_find(&run->run.rig, "sun");
    ck_assert_int_eq(c->plane, NR_PLANE_BROUGHT);
    ck_assert(c->u_brought > 0.02 && c->u_brought < 0.06);
    NEAR_RELATIVE(c->u_gain, hypot(0.03, c->u_brought), 1e-9);
    ck_assert(fabs(mean_sun(&run->run) / asked - 1) < 2 * c->u_brought);
    double by_model = c->u_brought;
    done(run);
    run = lying_flat(true, &asked);
    ck_assert(nr_plane_bring(&run->run, &err) == NR_OK);
    c = nr_rig_channel_find(&run->run.rig, "sun");
    NEAR_RELATIVE(mean_sun(&run->run), asked, 0.002);
    ck_assert(c->u_brought < by_model);
    ck_assert_int_eq(nr_rig_channel_find(&run->run.rig, "diffuse")->plane, NR_PLANE_BROUGHT);
    done(run);
}
END_TEST

/* Without a site nothing is done, and the fit goes on to widen. */
START_TEST(left_alone)
{
    double asked;
    nr_err err;
    nr_virtual_run *run = lying_flat(false, &asked);
    double before = mean_sun(&run->run);
    run->run.rig.latitude_deg.given = false;
    ck_assert(nr_plane_bring(&run->run, &err) == NR_OK);
    ck_assert_int_eq(nr_rig_channel_find(&run->run.rig, "sun")->plane, NR_PLANE_HORIZONTAL);
    NEAR(mean_sun(&run->run), before, 1e-12);
    done(run);
}
END_TEST

START_TEST(cloudless)
{
    double asked;
    nr_err err;
    nr_virtual_run *run = lying_flat(false, &asked);
    ck_assert(nr_plane_clear_sky(&run->run, &err) == NR_OK);
    ck_assert_int_eq(nr_rig_channel_find(&run->run.rig, "sun")->plane, NR_PLANE_HORIZONTAL);
    for (size_t c = 0; c < run->run.readings->columns; c++) /* measured, but never read */
        for (size_t i = 0; strcmp(run->run.readings->column[c].channel, "sun") == 0 &&
                           i < run->run.readings->rows;
             i++)
            run->run.readings->column[c].value[i] = NAN;
    run->run.rig.collector.tilt_deg.given = false;
    ck_assert(nr_plane_clear_sky(&run->run, &err) == NR_CANNOT);
    run->run.rig.collector.tilt_deg.given = true;
    ck_assert(nr_plane_clear_sky(&run->run, &err) == NR_OK);
    ck_assert_int_eq(nr_rig_channel_find(&run->run.rig, "sun")->plane, NR_PLANE_MODEL);
    NEAR_RELATIVE(mean_sun(&run->run), asked, 1e-4);
    done(run);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("plane");
    TCase *tc = tcase_create("plane");
    tcase_add_test(tc, printed_example);
    tcase_add_test(tc, limits);
    tcase_add_test(tc, cloudless_day);
    tcase_add_test(tc, left_alone);
    tcase_add_test(tc, cloudless);
    suite_add_tcase(suite, tc);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? 1 : 0;
}
