/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the page is told: whole JSON, text from outside as data, numbers in the units shown. */
#include "logger/serve/state.h"
#include "tests/unit/near.h"

#include <jansson.h>
#include <unistd.h>

static char folder[64];

static void write_file(const char *name, const char *text)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "w");
    ck_assert_ptr_nonnull(file);
    fputs(text, file);
    fclose(file);
}

/* A run that warms by 0.01 K/s from 20 degC with a gap, and a title and a note that mean harm. */
static nr_tail *open_run(void)
{
    static char rows[40000];
    nr_tail *t;
    nr_err err = {0};
    size_t used = (size_t)snprintf(rows, sizeof rows, "time_utc,elapsed_s,store_degC,sun_W_m2\n");
    for (int i = 0; i < 400; i++)
        if (i < 100 || i >= 130)
            used += (size_t)snprintf(rows + used, sizeof rows - used,
                                     "2026-05-04T10:%02d:%02d.000Z,%d.000,%.4f,900.00\n", i / 60,
                                     i % 60, i, 20 + 0.01 * i);
    snprintf(folder, sizeof folder, "/tmp/test_state.XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    write_file("readings.csv", rows);
    write_file("notes.csv", "time_utc,elapsed_s,kind,text\n2026-05-04T10:00:09.000Z,9,note,"
                            "\"</script><b>\"\"x\"\"\n\"\n");
    write_file("rig.ini", "[test]\ntitle = <i>stand</i>\n[collector]\ngross_area_m2 = 1\n"
                          "glazing = single\n[store]\nwater_kg = 40\n[adapter]\nport = /dev/null\n"
                          "[channel store]\nunit = degC\n[channel sun]\nunit = W_m2\n");
    ck_assert_msg(nr_tail_open(folder, &t, &err) == NR_OK, "%s", err.text);
    return t;
}

static void close_run(nr_tail *t)
{
    static const char *const names[] = {"readings.csv", "notes.csv", "rig.ini"};
    char path[128];
    for (int i = 0; i < 3; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        unlink(path);
    }
    rmdir(folder);
    nr_tail_free(t);
}

static json_t *say(nr_topic topic, const nr_tail *t, const nr_view_options *o)
{
    char *text = nr_state_json(topic, t, o);
    ck_assert_ptr_nonnull(text);
    ck_assert_ptr_null(strpbrk(text, "\r\n")); /* one line of an event */
    json_t *root = json_loads(text, 0, NULL);
    ck_assert_ptr_nonnull(root);
    free(text);
    return root;
}

static const char *word(const json_t *root, const char *key)
{
    return json_string_value(json_object_get(root, key));
}

START_TEST(state_of_a_recording)
{
    nr_tail *t = open_run();
    nr_view_options o = {.columns = 80, .rows = 24, .utf8 = true, .target_degC = 30.0};
    t->recording = true;
    json_t *root = say(NR_TOPIC_STATE, t, &o);
    ck_assert_str_eq(word(root, "title"), "<i>stand</i>");
    ck_assert_str_eq(word(root, "water"), "24.0");
    ck_assert_str_eq(word(root, "unit"), "°C");
    ck_assert(!json_is_true(json_object_get(root, "scald")));
    ck_assert(!json_is_true(json_object_get(root, "reached")));
    const json_t *ahead = json_object_get(root, "forecast");
    ck_assert_uint_gt(json_array_size(ahead), 5);
    const json_t *now = json_array_get(ahead, 0), *end = json_array_get(ahead, 24);
    NEAR(json_number_value(json_array_get(now, 0)), 399, 1e-3);
    NEAR(json_number_value(json_array_get(now, 1)), 23.99, 1e-3);
    /* to the target and a little beyond, the band around the middle */
    ck_assert_double_gt(json_number_value(json_array_get(end, 1)), 30.0);
    ck_assert_double_lt(json_number_value(json_array_get(end, 2)),
                        json_number_value(json_array_get(end, 1)));
    ck_assert_double_gt(json_number_value(json_array_get(end, 3)),
                        json_number_value(json_array_get(end, 1)));
    json_decref(root);
    o.fahrenheit = true;
    root = say(NR_TOPIC_STATE, t, &o);
    ck_assert_str_eq(word(root, "water"), "75.2"); /* 23.99 degC */
    NEAR(json_number_value(json_object_get(root, "target_value")), 86.0, 1e-9);
    json_decref(root);
    o.target_degC = 23.5;
    root = say(NR_TOPIC_STATE, t, &o);
    ck_assert(json_is_true(json_object_get(root, "reached")));
    json_decref(root);
    close_run(t);
}
END_TEST

START_TEST(an_ended_run_has_no_forecast)
{
    nr_tail *t = open_run();
    nr_view_options o = {.columns = 80, .rows = 24, .utf8 = true, .target_degC = 30.0};
    json_t *root = say(NR_TOPIC_STATE, t, &o);
    ck_assert_uint_eq(json_array_size(json_object_get(root, "forecast")), 0);
    ck_assert_str_eq(word(root, "target"), "30.0 °C was not reached");
    json_decref(root);
    close_run(t);
}
END_TEST

START_TEST(scald_on_both_sides_of_its_limit)
{
    nr_tail *t = open_run();
    nr_view_options o = {.columns = 80, .rows = 24, .utf8 = true, .target_degC = NAN};
    static const double degC[] = {48.7, 48.9};
    for (int i = 0; i < 2; i++) {
        t->channel[0].last = degC[i];
        json_t *root = say(NR_TOPIC_STATE, t, &o);
        ck_assert_int_eq(json_is_true(json_object_get(root, "scald")), i);
        ck_assert_int_eq(word(root, "warning")[0] != '\0', i);
        json_decref(root);
    }
    close_run(t);
}
END_TEST

START_TEST(curve_with_its_gap)
{
    nr_tail *t = open_run();
    nr_view_options o = {.columns = 80, .rows = 24, .utf8 = true, .target_degC = NAN};
    json_t *root = say(NR_TOPIC_CURVE, t, &o);
    const json_t *store = json_object_get(root, "store");
    ck_assert_uint_eq(json_array_size(store), 400);
    NEAR(json_number_value(json_array_get(store, 50)), 20.5, 1e-3);
    ck_assert(json_is_null(json_array_get(store, 110)));
    ck_assert(json_is_null(json_object_get(root, "air")));
    json_decref(root);
    close_run(t);
}
END_TEST

START_TEST(told_and_notes)
{
    static nr_interim told = {.fitted = true, .collectors = 1, .findings = 1};
    nr_tail *t = open_run();
    nr_view_options o = {
        .columns = 80, .rows = 24, .utf8 = true, .target_degC = NAN, .interim = &told};
    told.collector[0].eta0 = (nr_interim_range){0.71, 0.66, 0.76};
    told.finding[0] = (nr_interim_finding){"too-short", "fault", "brief"};
    for (int recording = 0; recording < 2; recording++) {
        t->recording = recording;
        json_t *root = say(NR_TOPIC_TOLD, t, &o);
        const json_t *finding = json_array_get(json_object_get(root, "findings"), 0);
        ck_assert_str_eq(word(finding, "severity"), recording ? "note" : "fault");
        const json_t *note = json_array_get(json_object_get(root, "notes"), 0);
        ck_assert_str_eq(word(note, "text"), "</script><b>\"x\"?");
        ck_assert_str_eq(json_string_value(json_array_get(json_object_get(root, "stop"), 0)),
                         recording ? "if you stop now: eta0 0.71 +- 0.05 (95 %)"
                                   : "this run: eta0 0.71 +- 0.05 (95 %)");
        json_decref(root);
    }
    close_run(t);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {state_of_a_recording,
                                  an_ended_run_has_no_forecast,
                                  scald_on_both_sides_of_its_limit,
                                  curve_with_its_gap,
                                  told_and_notes,
                                  NULL};
    return run_tests("what the page is told", tests);
}
