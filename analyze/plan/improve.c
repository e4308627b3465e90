/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "analyze/plan/improve.h"

#include "logger/base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define COOL_DOWN 0.05 /* container's loss from an evening's cool-down */
#define COLDEST_DEGC 2.0
#define LONGEST_S (5 * 3600.0)
#define LID_SAVES 2.5

static nr_rig_channel *channel(nr_rig *rig, const char *name)
{
    for (size_t i = 0; i < rig->channels; i++)
        if (!strcmp(rig->channel[i].name, name))
            return &rig->channel[i];
    return NULL;
}

static bool has(const nr_rig *rig, const char *name)
{
    return nr_rig_channel_find(rig, name) != NULL;
}

void nr_plan_name_sensor(nr_rig_channel *c, const char *which)
{
    char sensor[sizeof c->sensor];
    snprintf(sensor, sizeof sensor, "%s %.40s", which, c->name);
    nr_copy(c->sensor, sizeof c->sensor, sensor);
}

void nr_plan_name_sensors(nr_rig *rig)
{
    for (size_t i = 0; i < rig->channels; i++)
        if (!rig->channel[i].sensor[0])
            nr_plan_name_sensor(&rig->channel[i], "planned");
}

static bool is_short(const nr_rig *rig, const nr_plan_test *t)
{
    (void)rig;
    return NR_PLAN_TIMES_LONGER * t->duration_s <= LONGEST_S;
}
static void longer(nr_plan_test *t)
{
    t->duration_s *= NR_PLAN_TIMES_LONGER;
}

static bool is_warm(const nr_rig *rig, const nr_plan_test *t)
{
    (void)rig;
    return t->day.from_degC - NR_PLAN_COLDER_K >= COLDEST_DEGC;
}
static void colder(nr_plan_test *t)
{
    t->day.from_degC -= NR_PLAN_COLDER_K;
}

static bool always(const nr_rig *rig, const nr_plan_test *t)
{
    (void)rig;
    (void)t;
    return true;
}
static void hot(nr_plan_test *t)
{
    t->day.from_degC = t->day.air_degC + NR_PLAN_HOT_START_K;
    t->seed++;
}

static bool open_store(const nr_rig *rig, const nr_plan_test *t)
{
    (void)t;
    return rig->store.lid == NR_LID_NO;
}
static void put_lid(nr_rig *rig, const void *unused)
{
    (void)unused;
    rig->store.lid = NR_LID_YES;
}
static void lose_less(nr_plan_test *t)
{
    t->store_loss_W_K /= LID_SAVES;
}

static bool loss_unknown(const nr_rig *rig, const nr_plan_test *t)
{
    (void)t;
    return !rig->store.loss_W_K.given ||
           (rig->store.loss_W_K.u_given &&
            rig->store.loss_W_K.u > 2 * COOL_DOWN * rig->store.loss_W_K.value);
}
static void state_loss(nr_rig *rig, const void *test)
{
    double value = ((const nr_plan_test *)test)->store_loss_W_K;
    rig->store.loss_W_K =
        (nr_value){.given = true, .value = value, .u_given = true, .u = COOL_DOWN * value};
}

static bool probes_rough(const nr_rig *rig, const nr_plan_test *t)
{
    (void)t;
    static const char *const name[] = {"store", "inlet", "outlet"};
    for (size_t i = 0; i < 3; i++) {
        const nr_rig_channel *c = nr_rig_channel_find(rig, name[i]);
        if (c && !(c->u_offset <= NR_PLAN_BATH_K))
            return true;
    }
    return false;
}
static void bath(nr_rig *rig, const void *unused)
{
    (void)unused;
    static const char *const name[] = {"store", "inlet", "outlet", "air"};
    for (size_t i = 0; i < 4; i++) {
        nr_rig_channel *c = channel(rig, name[i]);
        if (c && !(c->u_offset <= NR_PLAN_BATH_K))
            c->u_offset = NR_PLAN_BATH_K;
    }
}

static bool flow_rough(const nr_rig *rig, const nr_plan_test *t)
{
    (void)t;
    const nr_rig_channel *c = nr_rig_channel_find(rig, "flow");
    return c && !(c->u_gain <= NR_PLAN_BUCKET_U);
}
static void bucket(nr_rig *rig, const void *unused)
{
    (void)unused;
    channel(rig, "flow")->u_gain = NR_PLAN_BUCKET_U;
}

static bool not_weighed(const nr_rig *rig, const nr_plan_test *t)
{
    (void)t;
    return !(rig->store.water_kg.u <= NR_PLAN_WEIGHED * rig->store.water_kg.value);
}
static void weigh(nr_rig *rig, const void *unused)
{
    (void)unused;
    rig->store.water_kg.u_given = true;
    rig->store.water_kg.u = NR_PLAN_WEIGHED * rig->store.water_kg.value;
}

static bool loop_blind(const nr_rig *rig, const nr_plan_test *t)
{
    (void)t;
    return !has(rig, "outlet") && !has(rig, "inlet") && !has(rig, "flow");
}

static bool sun_rough(const nr_rig *rig, const nr_plan_test *t)
{
    (void)t;
    const nr_rig_channel *c = nr_rig_channel_find(rig, "sun");
    return c && !(c->u_gain <= NR_PLAN_GOOD_SUN);
}
static void good_sun(nr_rig *rig, const void *unused)
{
    (void)unused;
    channel(rig, "sun")->u_gain = NR_PLAN_GOOD_SUN;
}

/* NR_PLAN_PROBE_K and NR_PLAN_METER_U. */
static const char loop_sensors[] = "\n[channel inlet]\nunit = degC\nu_offset = 0.15\nlag_s = 4\n"
                                   "[channel outlet]\nunit = degC\nu_offset = 0.15\nlag_s = 4\n"
                                   "[channel flow]\nunit = L_min\nu_gain = 0.02\n";

const nr_plan_idea nr_plan_ideas[NR_PLAN_ACTIONS] = {
    {NR_PLAN_LONGER, NR_COST_NOTHING, is_short, NULL, longer, NULL, NULL},
    {NR_PLAN_COLDER_START, NR_COST_NOTHING, is_warm, NULL, colder, NULL, NULL},
    {NR_PLAN_HOT_START, NR_COST_NOTHING, always, NULL, NULL, NULL, hot},
    {NR_PLAN_WEIGH, NR_COST_NOTHING, not_weighed, weigh, NULL, NULL, NULL},
    {NR_PLAN_LID, NR_COST_AN_EVENING, open_store, put_lid, lose_less, NULL, NULL},
    {NR_PLAN_COOL_DOWN, NR_COST_AN_EVENING, loss_unknown, state_loss, NULL, NULL, NULL},
    {NR_PLAN_BATH, NR_COST_AN_EVENING, probes_rough, bath, NULL, NULL, NULL},
    {NR_PLAN_BUCKET, NR_COST_AN_EVENING, flow_rough, bucket, NULL, NULL, NULL},
    {NR_PLAN_LOOP_SENSORS, NR_COST_MONEY, loop_blind, NULL, NULL, loop_sensors, NULL},
    {NR_PLAN_BETTER_SUN, NR_COST_MONEY, sun_rough, good_sun, NULL, NULL, NULL},
};

const char *nr_plan_action_name(nr_plan_action action)
{
    static const char *const name[NR_PLAN_ACTIONS] = {
        [NR_PLAN_LONGER] = "longer",
        [NR_PLAN_COLDER_START] = "colder-start",
        [NR_PLAN_HOT_START] = "hot-start",
        [NR_PLAN_WEIGH] = "weigh",
        [NR_PLAN_LID] = "lid",
        [NR_PLAN_COOL_DOWN] = "cool-down",
        [NR_PLAN_BATH] = "bath",
        [NR_PLAN_BUCKET] = "bucket",
        [NR_PLAN_LOOP_SENSORS] = "loop-sensors",
        [NR_PLAN_BETTER_SUN] = "better-sun",
    };
    return (unsigned)action < NR_PLAN_ACTIONS ? name[action] : "";
}
