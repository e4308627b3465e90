/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which runs were under one sky, what weather does to a result that nobody measured, and which
 * sensors changed places: joint estimates that are set up, not solved, of short simulated runs. The
 * uncertainties are those of skies.c (common practice, no source), a uniform distribution's half
 * over the root of three (JCGM 100:2008, 4.3.7). */
#include "analyze/compare/exchanged.h"
#include "analyze/compare/skies.h"
#include "analyze/joint/inside.h"
#include "tests/unit/quality/records.h"

#define MOST 4
static nr_virtual_run *run[MOST];
static nr_series *series[MOST];
static nr_joint *joint;
static size_t runs;

static void name_sensor(size_t r, const char *channel, const char *sensor)
{
    nr_rig *rig = &run[r]->run.rig;
    for (size_t i = 0; i < rig->channels; i++)
        if (strcmp(rig->channel[i].name, channel) == 0)
            (void)snprintf(rig->channel[i].sensor, sizeof rig->channel[i].sensor, "%s", sensor);
}

/* Runs of a quarter of an hour, each at its hour after nine. */
static void record(size_t count, const double *hour, bool glazed)
{
    runs = count;
    for (size_t r = 0; r < count; r++) {
        nr_virtual_params p = glazed ? nr_virtual_glazed() : nr_virtual_bare();
        nr_err err = {.text = ""};
        p.duration_s = 900;
        p.interval_s = 10;
        p.start_utc_s += 3600 * hour[r];
        run[r] = simulate(&p);
        ck_assert_msg(!nr_series_build(&run[r]->run, &series[r], &err), "%s", err.text);
    }
}

static void set_up_joint(const size_t *build_of, size_t builds)
{
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_err err = {.text = ""};
    const nr_series *all[MOST];
    for (size_t r = 0; r < runs; r++)
        all[r] = series[r];
    ck_assert_msg(!nr_joint_setup(all, build_of, runs, builds, &options, &joint, &err), "%s",
                  err.text);
}

static void forget(void)
{
    nr_joint_free(joint);
    for (size_t r = 0; r < runs; r++) {
        nr_series_free(series[r]);
        nr_virtual_run_free(run[r]);
    }
}

START_TEST(one_sky_or_several)
{
    static const double together[2] = {0, 0}, apart[2] = {0, 2}, mixed[4] = {0, 2, 2, 0};
    static const size_t two[2] = {0, 1}, four[4] = {0, 0, 1, 1};
    nr_skies w;
    record(2, together, true);
    set_up_joint(two, 2);
    nr_skies_find(joint, &w);
    ck_assert_uint_eq(w.count, 1);
    ck_assert_uint_eq(nr_skies_factors(&w), 0);
    ck_assert(w.share[0][0] == 1 && w.share[1][0] == 1);
    forget();
    record(2, apart, true);
    set_up_joint(two, 2);
    nr_skies_find(joint, &w);
    ck_assert_uint_eq(w.count, 2);
    ck_assert_uint_eq(nr_skies_factors(&w), 4);
    ck_assert(w.share[0][0] == 1 && w.share[0][1] == 0 && w.share[1][0] == 0 && w.share[1][1] == 1);
    forget();
    /* Both builds under both skies, in another order. */
    record(4, mixed, true);
    set_up_joint(four, 2);
    nr_skies_find(joint, &w);
    ck_assert_uint_eq(w.count, 2);
    for (int b = 0; b < 2; b++)
        for (int s = 0; s < 2; s++)
            NEAR(w.share[b][s], 0.5, 1e-12);
    forget();
}
END_TEST

/* A calm or a breezy hour: 1.25 m/s over the root of three, times 0.3 W/(m2 K) of a pane, 3 of a
 * bare absorber, which loses 0.7 % of its gain a m/s as well; clouds: a pane takes a tenth of the
 * diffuse light, whose share is 0.2 +- 0.1. */
START_TEST(what_a_sky_does)
{
    static const double apart[2] = {0, 2};
    static const size_t two[2] = {0, 1};
    for (int glazed = 0; glazed < 2; glazed++) {
        nr_skies w;
        double gradient[64] = {0}, effect[4] = {9, 9, 9, 9};
        record(2, apart, glazed);
        set_up_joint(two, 2);
        nr_skies_find(joint, &w);
        int loss = nr_joint_index(joint, 0, NR_TERM_LOSS);
        int gain = nr_joint_index(joint, 0, NR_TERM_OPTICAL);
        ck_assert(loss >= 0 && gain >= 0 && joint->parameters <= 64);
        double optical = nr_joint_term(joint, 0, NR_TERM_OPTICAL, nr_joint_x(joint));
        gradient[loss] = 7;
        gradient[gain] = -5;
        series[0]->mean_wind_m_s = NAN;
        nr_skies_effect(&w, joint, 0, gradient, effect);
        double wind = 1.25 / sqrt(3);
        wind *= glazed ? 0.3 * 7 : 3.0 * 7 - 0.007 * optical * -5;
        NEAR(effect[0], wind, 1e-9);
        NEAR(effect[1], glazed ? 0.1 * 0.1 / sqrt(3) * optical * -5 : 0, 1e-9);
        ck_assert(effect[2] == 0 && effect[3] == 0);
        series[0]->mean_wind_m_s = 1.5; /* who measured it has it in the fit */
        nr_skies_effect(&w, joint, 0, gradient, effect);
        ck_assert(effect[0] == 0);
        w.count = 1;
        effect[0] = 9;
        nr_skies_effect(&w, joint, 0, gradient, effect);
        ck_assert(effect[0] == 9); /* one sky: no factor */
        forget();
    }
}
END_TEST

/* The outlet's probes A and B, run by run: changed places, or not. */
START_TEST(sensors_that_changed_places)
{
    static const double days[4] = {0, 0, 2, 2};
    static const size_t four[4] = {0, 1, 0, 1};
    static const struct {
        const char *probe[4];
        bool exchanged;
    } of[] = {{{"A", "B", "B", "A"}, true},  {{"A", "B", "A", "B"}, false},
              {{"A", "A", "B", "B"}, false}, {{"A", "B", "B", "C"}, false},
              {{"A", "B", "A", "A"}, false}, {{"", "B", "B", ""}, false},
              {{"A", "A", "A", "A"}, false}};
    record(4, days, true);
    set_up_joint(four, 2);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        static nr_compare c;
        for (size_t r = 0; r < 4; r++) {
            const char *others[] = {"store", "inlet", "air", "sun", "flow", "box", "wind", "pump"};
            for (size_t k = 0; k < 8; k++)
                name_sensor(r, others[k], "");
            name_sensor(r, "outlet", of[i].probe[r]);
        }
        c.exchanged_count = 99;
        nr_exchanged_find(joint, &c);
        ck_assert_msg(c.exchanged_count == of[i].exchanged, "%s%s%s%s: %zu", of[i].probe[0],
                      of[i].probe[1], of[i].probe[2], of[i].probe[3], c.exchanged_count);
        ck_assert(!of[i].exchanged || strcmp(c.exchanged[0], "outlet") == 0);
    }
    forget();
    /* One probe, first in this build and then in that, has changed places with none. */
    static const double apart[2] = {0, 2};
    static const size_t two[2] = {0, 1};
    static nr_compare c;
    record(2, apart, true);
    set_up_joint(two, 2);
    for (size_t r = 0; r < 2; r++)
        name_sensor(r, "outlet", "A");
    nr_exchanged_find(joint, &c);
    for (size_t i = 0; i < c.exchanged_count; i++)
        ck_assert_str_ne(c.exchanged[i], "outlet");
    forget();
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {one_sky_or_several, what_a_sky_does, sensors_that_changed_places,
                                  NULL};
    return run_tests("skies", tests);
}
