/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a run to arrays: the limits, from both sides (ours: common practice, no source), and what
 * counts in the means beside a pump stop. */
#include "analyze/series/series.h"
#include "tests/unit/quality/records.h"

static nr_virtual_params quiet(double duration_s)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.rig_seed = 7;
    p.day_seed = 8;
    p.duration_s = duration_s;
    return p;
}

static nr_series *series_of(const nr_virtual_run *run)
{
    nr_series *s = NULL;
    nr_err err = {0};
    ck_assert_msg(nr_series_build(&run->run, &s, &err) == NR_OK, "%s", err.text);
    return s;
}

/* 60 s/min times what the tube holds over the flow, from 20 s to ten minutes. */
START_TEST(how_long_water_takes)
{
    static const struct {
        double fluid_L, transit_s; /* at 2 L/min; NAN: as computed */
    } rows[] = {{0.1, 20}, {0.7, 21}, {3, 90}, {19.9, 597}, {20.1, 600}, {30, 600}};
    nr_virtual_params p = quiet(900);
    nr_virtual_run *run = simulate(&p);
    double *flow = column(run, "flow");
    for (size_t i = 0; i < run->run.readings->rows; i++)
        flow[i] = 2;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        run->run.rig.collector.fluid_kg = (nr_value){.given = true, .value = rows[i].fluid_L};
        nr_series *s = series_of(run);
        NEAR(s->flow_guess_L_min, 2, 1e-9);
        NEAR(s->transit_s, rows[i].transit_s, 1e-6);
        nr_series_free(s);
    }
    /* A tube of 10 m and 13 mm holds 1.3273 L: 39.8 s. */
    run->run.rig.collector.fluid_kg.given = false;
    run->run.rig.collector.tube_length_m = (nr_value){.given = true, .value = 10};
    run->run.rig.collector.tube_bore_mm = (nr_value){.given = true, .value = 13};
    nr_series *s = series_of(run);
    NEAR(s->transit_s, 39.82, 0.01);
    nr_series_free(s);
    run->run.rig.collector.tube_bore_mm.given = false;
    s = series_of(run);
    NEAR(s->transit_s, 60, 0);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

/* Without a meter: 1.2 L/min to the square metre. */
START_TEST(flow_that_nobody_measured)
{
    nr_virtual_params p = quiet(900);
    p.channels = NR_VC_STORE_SET;
    nr_virtual_run *run = simulate(&p);
    run->run.rig.collector.gross_area_m2.value = 3;
    nr_series *s = series_of(run);
    ck_assert(!s->flow_known);
    NEAR(s->flow_guess_L_min, 3.6, 1e-9);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

START_TEST(the_shortest_record)
{
    for (double duration_s = 298; duration_s <= 302; duration_s += 4) {
        nr_virtual_params p = quiet(duration_s);
        nr_virtual_run *run = simulate(&p);
        nr_series *s = NULL;
        nr_err err = {0};
        nr_code code = nr_series_build(&run->run, &s, &err);
        ck_assert_msg(code == (duration_s < 300 ? NR_CANNOT : NR_OK), "%g s: %s", duration_s,
                      err.text);
        if (code)
            ck_assert_ptr_nonnull(strstr(err.text, "298 s long"));
        else
            nr_series_free(s);
        nr_virtual_run_free(run);
    }
}
END_TEST

/* The steps beside a stop may have been pumped for a part of them only: they do not count. */
START_TEST(means_beside_a_stop)
{
    nr_virtual_params p = quiet(1800);
    p.sky = NR_SKY_CLEAR;
    p.pump_stop_s = 700;
    p.pump_restart_s = 900;
    nr_virtual_run *run = simulate(&p);
    nr_series *s = series_of(run);
    double flow = 0, sun = 0, n = 0;
    size_t stood = 0;
    for (size_t i = 0; i < s->parts; i++) {
        const nr_part *part = &s->part[i];
        for (size_t k = 0; k < part->steps; k++) {
            bool before = k > 0 && !(part->flow_W_K[k - 1] > 0);
            bool after = k + 1 < part->steps && !(part->flow_W_K[k + 1] > 0);
            stood += !(part->flow_W_K[k] > 0);
            if (before || after || !(part->flow_W_K[k] > 0))
                continue;
            flow += part->flow_W_K[k];
            sun += part->sun_W_m2[k];
            n++;
        }
    }
    ck_assert_uint_gt(stood, 10);
    NEAR(s->sunny_steps, n, 0);
    NEAR_RELATIVE(s->mean_flow_W_K, flow / n, 1e-12);
    NEAR_RELATIVE(s->mean_sun_W_m2, sun / n, 1e-12);
    nr_series_free(s);
    nr_virtual_run_free(run);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {how_long_water_takes, flow_that_nobody_measured,
                                  the_shortest_record, means_beside_a_stop, NULL};
    return run_tests("series, limits", tests);
}
