/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What can be done better about a test, idea by idea: when it is still to be had, from both sides
 * of its limit, and what it changes and what it leaves. The sizes are those of plan.h, which the
 * sentences name; the limits are decisions. */
#include "analyze/plan/improve.h"
#include "tests/unit/near.h"

static nr_rig rig, before;
static nr_plan_test test;

#define BASE                                                                                       \
    "[collector]\ngross_area_m2 = 1.2\nglazing = single\n[store]\nwater_kg = 30\nlid = no\n"       \
    "[channel sun]\nunit = W_m2\n[channel air]\nunit = degC\n[channel store]\nunit = degC\n"

static void parse(const char *more)
{
    char text[2000];
    nr_err err;
    snprintf(text, sizeof text, "%s%s", BASE, more);
    ck_assert_msg(
        nr_rig_parse(text, strlen(text), "rig.ini", NR_RIG_FOR_ANALYSIS, &rig, NULL, &err) == NR_OK,
        "%s", err.text);
    test = nr_plan_test_open();
    test.duration_s = 3600;
    test.day.from_degC = 15;
    test.day.air_degC = 21;
    test.store_loss_W_K = 4;
    test.seed = 7;
}

#define LOOP                                                                                       \
    "[channel inlet]\nunit = degC\n[channel outlet]\nunit = degC\n[channel flow]\nunit = L_min\n"

static nr_rig_channel *channel(const char *name)
{
    for (size_t i = 0; i < rig.channels; i++)
        if (!strcmp(rig.channel[i].name, name))
            return &rig.channel[i];
    ck_abort_msg("no channel %s", name);
}

static const nr_plan_idea *idea(nr_plan_action action)
{
    ck_assert_int_eq(nr_plan_ideas[action].action, action);
    return &nr_plan_ideas[action];
}

static bool applies(nr_plan_action action)
{
    return idea(action)->applies(&rig, &test);
}

static void change_rig(nr_plan_action action)
{
    before = rig;
    idea(action)->rig(&rig, &test);
}

/* Each changes one thing: the rig, the test, what is measured, or there is a second run. */
START_TEST(the_list)
{
    static const struct {
        nr_plan_action action;
        nr_plan_cost cost;
        const char *name;
        int rig, test, more, second;
    } of[] = {{NR_PLAN_LONGER, NR_COST_NOTHING, "longer", 0, 1, 0, 0},
              {NR_PLAN_COLDER_START, NR_COST_NOTHING, "colder-start", 0, 1, 0, 0},
              {NR_PLAN_HOT_START, NR_COST_NOTHING, "hot-start", 0, 0, 0, 1},
              {NR_PLAN_WEIGH, NR_COST_NOTHING, "weigh", 1, 0, 0, 0},
              {NR_PLAN_LID, NR_COST_AN_EVENING, "lid", 1, 1, 0, 0},
              {NR_PLAN_COOL_DOWN, NR_COST_AN_EVENING, "cool-down", 1, 0, 0, 0},
              {NR_PLAN_BATH, NR_COST_AN_EVENING, "bath", 1, 0, 0, 0},
              {NR_PLAN_BUCKET, NR_COST_AN_EVENING, "bucket", 1, 0, 0, 0},
              {NR_PLAN_LOOP_SENSORS, NR_COST_MONEY, "loop-sensors", 0, 0, 1, 0},
              {NR_PLAN_BETTER_SUN, NR_COST_MONEY, "better-sun", 1, 0, 0, 0}};
    ck_assert_uint_eq(sizeof of / sizeof *of, NR_PLAN_ACTIONS);
    for (size_t i = 0; i < NR_PLAN_ACTIONS; i++) {
        const nr_plan_idea *one = idea(of[i].action);
        ck_assert_int_eq(one->cost, of[i].cost);
        ck_assert_str_eq(nr_plan_action_name(of[i].action), of[i].name);
        ck_assert_int_eq(one->rig != NULL, of[i].rig);
        ck_assert_int_eq(one->test != NULL, of[i].test);
        ck_assert_int_eq(one->more_rig != NULL, of[i].more);
        ck_assert_int_eq(one->second != NULL, of[i].second);
    }
    ck_assert_str_eq(nr_plan_action_name(NR_PLAN_ACTIONS), "");
    ck_assert_str_eq(nr_plan_action_name((nr_plan_action)-1), "");
}
END_TEST

/* Twice as long, but no day has more than five good hours; eight kelvins colder, but not ice; and a
 * second run 25 K above the air, in other weather. */
START_TEST(of_the_test)
{
    parse("");
    test.duration_s = 2.5 * 3600;
    ck_assert(applies(NR_PLAN_LONGER));
    test.duration_s += 1;
    ck_assert(!applies(NR_PLAN_LONGER));
    test.duration_s = 3600;
    idea(NR_PLAN_LONGER)->test(&test);
    NEAR(test.duration_s, 7200, 0);
    test.day.from_degC = 10;
    ck_assert(applies(NR_PLAN_COLDER_START));
    test.day.from_degC = 9.9;
    ck_assert(!applies(NR_PLAN_COLDER_START));
    idea(NR_PLAN_COLDER_START)->test(&test);
    NEAR(test.day.from_degC, 1.9, 1e-12);
    ck_assert(applies(NR_PLAN_HOT_START));
    idea(NR_PLAN_HOT_START)->second(&test);
    NEAR(test.day.from_degC, 46, 0);
    ck_assert(test.seed == 8 && test.duration_s == 7200 && test.store_loss_W_K == 4 &&
              test.day.air_degC == 21);
}
END_TEST

START_TEST(of_the_container)
{
    parse("");
    ck_assert(applies(NR_PLAN_LID)); /* one stands open and is said to */
    change_rig(NR_PLAN_LID);
    ck_assert_int_eq(rig.store.lid, NR_LID_YES);
    ck_assert(!applies(NR_PLAN_LID));
    rig.store.lid = NR_LID_UNKNOWN;
    ck_assert(!applies(NR_PLAN_LID));
    idea(NR_PLAN_LID)->test(&test);
    NEAR(test.store_loss_W_K, 4 / 2.5, 1e-12);

    /* An evening tells the loss within 5 %: worth it where nobody knows it to twice that. */
    nr_value *loss = &rig.store.loss_W_K;
    ck_assert(!loss->given && applies(NR_PLAN_COOL_DOWN));
    *loss = (nr_value){.given = true, .value = 3, .u_given = true, .u = 0.29};
    ck_assert(!applies(NR_PLAN_COOL_DOWN));
    loss->u = 0.31;
    ck_assert(applies(NR_PLAN_COOL_DOWN));
    *loss = (nr_value){.given = true, .value = 10, .u_given = true, .u = 1};
    ck_assert(!applies(NR_PLAN_COOL_DOWN)); /* just twice that */
    loss->u_given = false;
    ck_assert(!applies(NR_PLAN_COOL_DOWN));
    test.store_loss_W_K = 6;
    change_rig(NR_PLAN_COOL_DOWN);
    ck_assert(loss->given && loss->u_given);
    NEAR(loss->value, 6, 0);
    NEAR(loss->u, 0.3, 1e-12);

    nr_value *water = &rig.store.water_kg;
    water->u_given = false;
    water->u = NAN;
    ck_assert(applies(NR_PLAN_WEIGH));
    water->u = 0.061;
    ck_assert(applies(NR_PLAN_WEIGH));
    water->u = 0.059;
    ck_assert(!applies(NR_PLAN_WEIGH));
    change_rig(NR_PLAN_WEIGH);
    ck_assert(water->u_given && water->value == 30);
    NEAR(water->u, 0.002 * 30, 1e-12);
    ck_assert(!applies(NR_PLAN_WEIGH)); /* and is done */
}
END_TEST

/* Held against each other in one stirred bath are the water's probes and the air's; the air's alone
 * is no reason for it. What is better already stays. */
START_TEST(of_the_probes)
{
    static const char *const probe[] = {"store", "inlet", "outlet", "air"};
    parse(LOOP);
    for (size_t rough = 0; rough < 4; rough++)
        for (int side = 0; side < 3; side++) {
            for (size_t i = 0; i < 4; i++)
                channel(probe[i])->u_offset = 0.04;
            channel(probe[rough])->u_offset = side == 0 ? 0.0501 : side == 1 ? NAN : 0.0499;
            ck_assert_msg(applies(NR_PLAN_BATH) == (side < 2 && rough < 3), "%s %d", probe[rough],
                          side);
            change_rig(NR_PLAN_BATH);
            for (size_t i = 0; i < 4; i++)
                NEAR_AT(probe[i], channel(probe[i])->u_offset,
                        i != rough ? 0.04
                        : side < 2 ? 0.05
                                   : 0.0499,
                        0);
        }
    parse(""); /* no loop: of what there is */
    channel("store")->u_offset = channel("air")->u_offset = 0.5;
    ck_assert(applies(NR_PLAN_BATH));
    change_rig(NR_PLAN_BATH);
    ck_assert(channel("store")->u_offset == 0.05 && channel("air")->u_offset == 0.05);
    ck_assert(!applies(NR_PLAN_BATH));
}
END_TEST

START_TEST(of_flow_and_sun)
{
    static const struct {
        nr_plan_action action;
        const char *channel;
        double u;
    } of[] = {{NR_PLAN_BUCKET, "flow", 0.01}, {NR_PLAN_BETTER_SUN, "sun", 0.015}};
    parse("");
    ck_assert(!applies(NR_PLAN_BUCKET)); /* no meter */
    parse(LOOP);
    for (int i = 0; i < 2; i++) {
        nr_rig_channel *c = channel(of[i].channel);
        c->u_gain = NAN;
        ck_assert(applies(of[i].action));
        c->u_gain = of[i].u * 0.99;
        ck_assert(!applies(of[i].action));
        c->u_gain = of[i].u * 1.01;
        ck_assert(applies(of[i].action));
        change_rig(of[i].action);
        NEAR(c->u_gain, of[i].u, 0);
        ck_assert(!applies(of[i].action)); /* is done */
        c->u_gain = before.channel[c - rig.channel].u_gain;
        ck_assert(!memcmp(&rig, &before, sizeof rig)); /* and nothing else */
    }
}
END_TEST

/* Two probes and a meter as bought, where the loop has none of them. */
START_TEST(of_the_loop)
{
    static const char *const one[] = {"[channel inlet]\nunit = degC\n",
                                      "[channel outlet]\nunit = degC\n",
                                      "[channel flow]\nunit = L_min\n"};
    for (int i = 0; i < 3; i++) {
        parse(one[i]);
        ck_assert(!applies(NR_PLAN_LOOP_SENSORS));
    }
    parse("");
    ck_assert(applies(NR_PLAN_LOOP_SENSORS));
    parse(idea(NR_PLAN_LOOP_SENSORS)->more_rig);
    ck_assert_uint_eq(rig.channels, 6);
    for (int i = 0; i < 2; i++) {
        const nr_rig_channel *c = channel(i ? "outlet" : "inlet");
        NEAR(c->u_offset, 0.15, 0);
        NEAR(c->lag_s, 4, 0);
        ck_assert_str_eq(c->unit->name, "degC");
    }
    NEAR(channel("flow")->u_gain, 0.02, 0);
    ck_assert_str_eq(channel("flow")->unit->name, "L_min");
    ck_assert(!applies(NR_PLAN_LOOP_SENSORS));
}
END_TEST

/* A sensor that has a name keeps it. */
START_TEST(names_of_sensors)
{
    parse("[channel inlet]\nunit = degC\nsensor = T7\n");
    nr_plan_name_sensors(&rig);
    ck_assert_str_eq(channel("inlet")->sensor, "T7");
    ck_assert_str_eq(channel("sun")->sensor, "planned sun");
    ck_assert_str_eq(channel("air")->sensor, "planned air");
    ck_assert_str_eq(channel("store")->sensor, "planned store");
    nr_plan_name_sensor(channel("inlet"), "other");
    ck_assert_str_eq(channel("inlet")->sensor, "other inlet");
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {the_list,        of_the_test, of_the_container, of_the_probes,
                                  of_flow_and_sun, of_the_loop, names_of_sensors, NULL};
    return run_tests("plan ideas", tests);
}
