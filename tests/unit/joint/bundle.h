/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Records that are fitted together, for the tests of the joint problem and of its solution. */
#ifndef NR_TEST_BUNDLE_H
#define NR_TEST_BUNDLE_H

#include "analyze/joint/inside.h"
#include "tests/unit/quality/records.h"

#define RUNS 3
#ifndef BUNDLE_S
#define BUNDLE_S 1500 /* of each record */
#endif

typedef struct bundle {
    nr_virtual_run *run[RUNS];
    nr_series *series[RUNS];
    nr_joint *joint;
} bundle;

/* Two short runs of the glazed build and one of the bare; wind, gains and offsets everywhere, a
 * pump stop, one pyranometer for all. */
static inline nr_virtual_params params_of(int which)
{
    nr_virtual_params p = which == 2 ? nr_virtual_bare() : nr_virtual_glazed();
    p.rig_seed = 3;
    p.day_seed = (unsigned long)which + 1;
    p.duration_s = BUNDLE_S;
    p.interval_s = 5;
    p.sky = which ? NR_SKY_CLOUDY : NR_SKY_CLEAR;
    p.channels |= NR_VC_BIT(NR_VC_WIND);
    p.wind_noise_m_s = 0.8;
    if (which == 1) {
        p.store_above_air_K = 15;
        p.pump_stop_s = 700;
        p.pump_restart_s = 900;
    }
    snprintf(p.sensor[NR_VC_SUN].identity, sizeof p.sensor[0].identity, "shed pyranometer");
    p.sensor[NR_VC_SUN].u_offset = 3;
    p.sensor[NR_VC_STORE].u_gain = p.sensor[NR_VC_INLET].u_gain = 0.002;
    p.sensor[NR_VC_OUTLET].u_gain = 0.002;
    return p;
}

/* Nothing is said of what a driveway adds: each has its term. Two probes are of kinds that drift.
 */
static inline void say_nothing(nr_rig *rig)
{
    rig->collector.back.kind = NR_BACK_UNKNOWN;
    rig->store.lid = NR_LID_UNKNOWN;
    rig->store.pump_W.given = false;
    for (size_t c = 0; c < rig->channels; c++)
        rig->channel[c].shaded = NR_SHADED_UNKNOWN;
    for (size_t c = 0; c < rig->channels; c++) {
        const char *name = rig->channel[c].name;
        const char *kind = !strcmp(name, "store")    ? "glass"
                           : !strcmp(name, "outlet") ? "thermocouple"
                                                     : NULL;
        if (kind) {
            rig->channel[c].kind = nr_instrument_find(kind, NR_DIM_TEMPERATURE);
            rig->channel[c].u_drift = rig->channel[c].kind->u_drift;
        }
    }
}

static inline void set_up(bundle *b)
{
    static const size_t build_of[RUNS] = {0, 0, 1};
    nr_err err = {0};
    for (int i = 0; i < RUNS; i++) {
        nr_virtual_params p = params_of(i);
        b->run[i] = simulate(&p);
        say_nothing(&b->run[i]->run.rig);
        nr_code code = nr_series_build(&b->run[i]->run, &b->series[i], &err);
        ck_assert_msg(code == NR_OK, "%s", err.text);
    }
    nr_joint_options options = {.use_store = true, .use_loop = true};
    nr_code code = nr_joint_setup((const nr_series *const *)b->series, build_of, RUNS, 2, &options,
                                  &b->joint, &err);
    ck_assert_msg(code == NR_OK, "%s", err.text);
}

static inline void solve_it(nr_joint *j)
{
    nr_err err = {0};
    ck_assert_msg(nr_joint_solve(j, &err) == NR_OK, "%s", err.text);
}

static inline void tear_down(bundle *b)
{
    nr_joint_free(b->joint);
    for (int i = 0; i < RUNS; i++) {
        nr_series_free(b->series[i]);
        nr_virtual_run_free(b->run[i]);
    }
}

/* Away from the start, so that nothing is at a special value. */
static inline void somewhere(const nr_joint *j, double *x)
{
    for (size_t i = 0; i < j->parameters; i++) {
        double u = j->parameter[i].term == NR_TERM_T_COLLECTOR ? 3 : j->parameter[i].scale;
        x[i] = j->parameter[i].start + 0.2 * u * sin((double)i + 1);
    }
}

/* Store, air and sun, and a pump on a panel of its own that stalls: seeds of the benchmark. */
static inline nr_joint *stalling(unsigned long seed, nr_virtual_run **run, nr_series **series)
{
    nr_virtual_params p = nr_virtual_glazed();
    p.rig_seed = p.day_seed = seed;
    nr_virtual_stall_day(&p);
    p.channels = NR_VC_STORE_SET | NR_VC_BIT(NR_VC_PUMP);
    p.state_store_loss = true;
    p.stated.iam_b0 = 0.1;
    *run = simulate(&p);
    nr_joint *j = NULL;
    nr_err err = {0};
    static const size_t build_of[1] = {0};
    nr_joint_options options = {.use_store = true, .use_loop = true};
    ck_assert_int_eq(nr_series_build(&(*run)->run, series, &err), NR_OK);
    const nr_series *one = *series;
    ck_assert_int_eq(nr_joint_setup(&one, build_of, 1, 1, &options, &j, &err), NR_OK);
    return j;
}

#endif
