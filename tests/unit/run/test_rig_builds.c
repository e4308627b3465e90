/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several collectors on one rig: whose is which channel, what is refused, and the view of one. */
#include "logger/run/folder.h"
#include "tests/unit/one_run.h"
#include "tests/unit/run/rig_fixture.h"

#include <unistd.h>

#define TWO                                                                                        \
    "[collector left]\ngross_area_m2 = 1\nglazing = single\n"                                      \
    "[collector right]\ngross_area_m2 = 2\nglazing = none\n"                                       \
    "[store right]\nwater_kg = 20\n[store left]\nwater_kg = 10\n"
#define TWO_LINES 10
#define CHANNELS                                                                                   \
    "[channel sun]\nunit = W_m2\n[channel air]\nunit = degC\n"                                     \
    "[channel tank_left]\nunit = degC\nrole = store\nof = left\n"                                  \
    "[channel tank_right]\nunit = degC\nrole = store\nof = right\n"                                \
    "[channel air_right]\nunit = degC\nrole = air\nof = right\n"                                   \
    "[channel fan]\nunit = rpm\n[channel dial]\nunit = turns\nof = right\n"

#define REFUSE(more, line, words) refuse(TWO more, NR_RIG_FOR_ANALYSIS, TWO_LINES + (line), (words))

START_TEST(two_collectors)
{
    static nr_rig rig, view;
    accept(&rig, TWO CHANNELS, NR_RIG_FOR_ANALYSIS);
    ck_assert_uint_eq(rig.builds, 2);
    ck_assert_str_eq(rig.build[0].collector.name, "left"); /* NAME is the label */
    ck_assert_int_eq(rig.build[1].collector.glazing, NR_GLAZING_NONE);
    NEAR(rig.build[0].store.water_kg.value, 10, 0); /* by name, not by order */
    NEAR(rig.build[1].store.water_kg.value, 20, 0);
    ck_assert_uint_eq(rig.channels, 7);
    ck_assert_str_eq(rig.channel[2].name, "tank_left"); /* not in view yet */
    ck_assert_uint_eq(nr_rig_build_find(&rig, "right"), 1);
    ck_assert_uint_eq(nr_rig_build_find(&rig, "middle"), 2);

    nr_rig_view(&rig, 0, &view);
    ck_assert_uint_eq(view.builds, 1);
    ck_assert_uint_eq(view.channels, 4); /* sun, air, store, fan */
    ck_assert_str_eq(nr_rig_channel_find(&view, "store")->column, "tank_left");
    ck_assert_str_eq(nr_rig_channel_find(&view, "air")->column, "air");
    ck_assert_ptr_null(nr_rig_channel_find(&view, "dial"));
    NEAR(view.collector.gross_area_m2.value, 1, 0);

    nr_rig_view(&rig, 1, &view);
    ck_assert_uint_eq(view.channels, 5); /* sun, store, air of its own, fan, dial */
    ck_assert_str_eq(nr_rig_channel_find(&view, "store")->column, "tank_right");
    ck_assert_str_eq(nr_rig_channel_find(&view, "air")->column, "air_right");
    ck_assert_str_eq(view.collector.name, "right");
    NEAR(view.store.water_kg.value, 20, 0);
    const nr_rig_channel *fan = nr_rig_channel_find(&view, "fan");
    const nr_rig_channel *dial = nr_rig_channel_find(&view, "dial");
    ck_assert_ptr_eq(fan->unit, &fan->own_unit); /* not into the rig it was taken from */
    ck_assert_str_eq(dial->unit->name, "turns");
    ck_assert(dial->unit->name == dial->own_unit_name);
}
END_TEST

START_TEST(one_collector_stays_as_it_was)
{
    static nr_rig rig;
    accept(&rig, MINIMAL "[channel store]\nunit=degC\n", NR_RIG_FOR_ANALYSIS);
    ck_assert_uint_eq(rig.builds, 1);
    ck_assert_str_eq(rig.build[0].name, "");
    NEAR(rig.build[0].collector.gross_area_m2.value, 1.5, 0);
    /* A named one may do with a plain store; roles are followed; `of` may name it. */
    accept(&rig,
           "[collector box]\ngross_area_m2=1\n[store]\nwater_kg=3\n"
           "[channel tank]\nunit=degC\nrole=store\nof=box\n",
           NR_RIG_FOR_ANALYSIS);
    NEAR(rig.store.water_kg.value, 3, 0);
    ck_assert_str_eq(rig.collector.name, "box");
    ck_assert_ptr_nonnull(nr_rig_channel_find(&rig, "store"));
    /* A recorder needs the names of the file. */
    accept(&rig, "[adapter]\n[collector box]\n[channel tank]\nunit=degC\nrole=store\n",
           NR_RIG_FOR_RECORD);
    ck_assert_str_eq(rig.channel[0].name, "tank");
    /* And the key still names a plain one. */
    accept(&rig, "[collector]\nname = old box\ngross_area_m2=1\n", NR_RIG_FOR_ANALYSIS);
    ck_assert_str_eq(rig.collector.name, "old box");
}
END_TEST

START_TEST(what_cannot_be)
{
    REFUSE("[collector]\ngross_area_m2=1\n", 1, "[collector left] has a name|line 1");
    REFUSE("[store middle]\nwater_kg=1\n", 1, "no [collector middle]");
    REFUSE("[channel store]\nunit=degC\n", 1, "whose is it|store|left, right");
    REFUSE("[channel flow]\nunit=L_min\n", 1, "whose is it|flow");
    REFUSE("[channel box]\nunit=degC\nof=middle\n", 1, "middle|left, right");
    REFUSE("[channel a]\nunit=degC\nrole=box\nof=left\n[channel box]\nunit=degC\nof=left\n", 5,
           "is box|[channel a]|another role");
    REFUSE("[channel a]\nunit=degC\nrole=air\n[channel air]\nunit=degC\n", 4, "is air|[channel a]");
    REFUSE("[channel a]\nunit=degC\nrole=box\nof=left\nsensor=p\n"
           "[channel b]\nunit=degC\nrole=box\nof=right\nsensor=p\n",
           6, "sensor|[channel a]");
    refuse("[collector left]\ngross_area_m2=1\nname=other\n", NR_RIG_FOR_ANALYSIS, 1,
           "heading|name = other");
    refuse("[collector left]\n[collector right]\ngross_area_m2=1\n", NR_RIG_FOR_ANALYSIS, 1,
           "[collector left]|gross_area_m2");
    /* One container and two collectors: refused, and why. */
    refuse("[collector left]\ngross_area_m2=1\n[collector right]\ngross_area_m2=1\n"
           "[store]\nwater_kg=10\n",
           NR_RIG_FOR_ANALYSIS, 5, "one container|whose|[store left]");
    refuse("[collector left]\ngross_area_m2=1\n[store]\nwater_kg=10\n[store left]\nwater_kg=10\n",
           NR_RIG_FOR_ANALYSIS, 3, "[store left]|keep one");
}
END_TEST

START_TEST(up_to_eight)
{
    static nr_rig rig;
    char text[1000] = "";
    size_t used = 0;
    for (int i = 0; i < NR_RIG_BUILDS; i++)
        used += (size_t)snprintf(text + used, sizeof text - used,
                                 "[collector c%d]\ngross_area_m2=1\n", i);
    accept(&rig, text, NR_RIG_FOR_ANALYSIS);
    ck_assert_uint_eq(rig.builds, 8);
    snprintf(text + used, sizeof text - used, "[collector c8]\ngross_area_m2=1\n");
    refuse(text, NR_RIG_FOR_ANALYSIS, 2 * NR_RIG_BUILDS + 1, "[collector c8]|more than 8");
}
END_TEST

static void put(const char *folder, const char *name, const char *text)
{
    char path[200];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fputs(text, f);
    fclose(f);
}

static void clear(const char *folder)
{
    char path[200];
    snprintf(path, sizeof path, "%s/%s", folder, NR_RIG_FILE);
    unlink(path);
    snprintf(path, sizeof path, "%s/%s", folder, NR_READINGS_FILE);
    unlink(path);
    rmdir(folder);
}

/* Each build sees its own columns under the roles' names; what is shared is the same memory. */
START_TEST(a_record_of_two)
{
    char folder[] = "/tmp/nr-two-XXXXXX";
    nr_run *run[NR_RIG_BUILDS], *only[NR_RIG_BUILDS];
    size_t count;
    nr_err err = {0}, no_such = {0};
    ck_assert_ptr_nonnull(mkdtemp(folder));
    put(folder, NR_RIG_FILE, TWO CHANNELS);
    put(folder, NR_READINGS_FILE,
        "time_utc,elapsed_s,sun_W_m2,air_degC,tank_left_degC,tank_right_degC,air_right_degC,"
        "fan_rpm,extra_V\n2026-05-04T11:22:33Z,0,800,20,30,40,21,900,5\n");
    nr_code code = nr_run_open_builds(folder, NULL, run, &count, NULL, &err);
    nr_code right = nr_run_open_builds(folder, "right", only, &(size_t){0}, NULL, &err);
    nr_run *none[NR_RIG_BUILDS];
    size_t nothing = 9;
    nr_code absent = nr_run_open_builds(folder, "middle", none, &nothing, NULL, &no_such);
    clear(folder);
    ck_assert_msg(code == NR_OK && right == NR_OK, "%s", err.text);
    ck_assert_uint_eq(count, 2);
    nr_run *one = only[0];
    NEAR(nr_readings_channel(run[0]->readings, "store")[0], 30, 0);
    NEAR(nr_readings_channel(run[1]->readings, "store")[0], 40, 0);
    NEAR(nr_readings_channel(run[0]->readings, "air")[0], 20, 0);
    NEAR(nr_readings_channel(run[1]->readings, "air")[0], 21, 0);
    ck_assert_ptr_eq(nr_readings_channel(run[0]->readings, "sun"),
                     nr_readings_channel(run[1]->readings, "sun"));
    ck_assert_ptr_null(nr_readings_channel(run[0]->readings, "tank_right"));
    NEAR(nr_readings_channel(run[0]->readings, "extra")[0], 5, 0);
    ck_assert_str_eq(run[1]->rig.collector.name, "right");
    ck_assert(nr_run_same_record(run[0], run[1]) && !nr_run_same_record(run[0], one));
    nr_run_free(run[0]); /* the other goes on */
    NEAR(nr_readings_channel(run[1]->readings, "sun")[0], 800, 0);
    nr_run_free(run[1]);
    NEAR(nr_readings_channel(one->readings, "store")[0], 40, 0);
    nr_run_free(one);
    ck_assert_int_eq(absent, NR_BAD);
    ck_assert_uint_eq(nothing, 0);
    ck_assert_msg(strstr(no_such.text, "middle") && strstr(no_such.text, "left, right"), "%s",
                  no_such.text);
}
END_TEST

/* A hand-edited column may be in another unit, not in another quantity. */
START_TEST(columns_that_cannot_play_their_role)
{
    char folder[] = "/tmp/nr-two-XXXXXX";
    nr_run *run = NULL;
    nr_err err = {0};
    ck_assert_ptr_nonnull(mkdtemp(folder));
    put(folder, NR_RIG_FILE, MINIMAL "[channel tank]\nunit=degC\nrole=store\n");
    put(folder, NR_READINGS_FILE, "time_utc,elapsed_s,tank_degF\n2026-05-04T11:22:33Z,0,68\n");
    ck_assert_int_eq(one_run(folder, &run, &err), NR_OK);
    NEAR(nr_readings_channel(run->readings, "store")[0], 20, 1e-12);
    nr_run_free(run);
    put(folder, NR_READINGS_FILE, "time_utc,elapsed_s,tank_V\n2026-05-04T11:22:33Z,0,68\n");
    ck_assert_int_eq(one_run(folder, &run, &err), NR_BAD);
    clear(folder);
    ck_assert_msg(strstr(err.text, "role store") && strstr(err.text, "\"V\""), "%s", err.text);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {two_collectors,
                                  one_collector_stays_as_it_was,
                                  what_cannot_be,
                                  up_to_eight,
                                  a_record_of_two,
                                  columns_that_cannot_play_their_role,
                                  NULL};
    return run_tests("rig_builds", tests);
}
