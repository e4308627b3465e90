/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every key of what the page is told, worked out from a run set up in memory. */
#include "logger/serve/state.h"
#include "logger/watch/heat.h"
#include "logger/watch/view_words.h"
#include "tests/unit/near.h"

#include <jansson.h>

static nr_tail t;
static nr_view_options o;
static nr_view_words w;
static nr_notes notes;
static nr_note note[25];
static json_t *root;

static void begin(double rate_s, double scatter)
{
    static const char *const names[] = {"store", "air", "sun", "flow", "outlet", "inlet"};
    static const char *const units[] = {"degC", "degC", "W_m2", "L_min", "degC", "degC"};
    memset(&t, 0, sizeof t);
    snprintf(t.folder, sizeof t.folder, "runs/wash-stand");
    t.rows = 500;
    t.channels = 6;
    t.recording = true;
    t.state.elapsed_s = 499;
    nr_history_begin(&t.history);
    for (size_t i = 0; i < t.rows; i++)
        t.time_s[i] = (double)i;
    for (size_t c = 0; c < t.channels; c++) {
        nr_tail_channel *ch = &t.channel[c];
        snprintf(ch->name, sizeof ch->name, "%s", names[c]);
        ch->unit = nr_unit_find(units[c]);
        for (size_t i = 0; i < t.rows; i++)
            ch->value[i] = 30 + 2.0 * (double)c +
                           (c ? 0 : rate_s * (t.time_s[i] - 499) + (i % 2 ? scatter : -scatter));
        ch->low = ch->high = ch->last = ch->value[499];
        ch->last_s = ch->changed_s = 499;
        for (int i = 0; i < 40; i++)
            if (i % 6 != 3)
                nr_history_take(&t.history, c, i, 10.0 * (double)c + i);
    }
    t.rig.store.water_kg = (nr_value){.given = true, .value = 40};
    t.rig.collector.gross_area_m2 = (nr_value){.given = true, .value = 1.5};
    t.rig.collector.glazing = NR_GLAZING_SINGLE;
    for (size_t i = 0; i < 25; i++) {
        note[i] =
            (nr_note){.elapsed_s = 60.0 * (double)i, .kind = i % 2 ? NR_NOTE_NOTE : NR_NOTE_GAP};
        snprintf(note[i].text, sizeof note[i].text, "number %zu", i);
    }
    notes = (nr_notes){.count = 25, .note = note};
    t.notes = &notes;
    o = (nr_view_options){.columns = 80, .rows = 24, .utf8 = true, .target_degC = NAN};
}

static const json_t *told(nr_topic topic)
{
    char *text = nr_state_json(topic, &t, &o);
    json_decref(root);
    root = json_loads(text, 0, NULL);
    free(text);
    ck_assert_ptr_nonnull(root);
    nr_view_say(&t, &o, &w);
    return root;
}

static const json_t *at(const json_t *of, const char *key)
{
    const json_t *value = json_object_get(of, key);
    ck_assert_msg(value != NULL, "no %s", key);
    return value;
}

static void is(const json_t *of, const char *key, const char *words)
{
    ck_assert_str_eq(json_string_value(at(of, key)), words);
}

static void flag(const char *key, bool yes)
{
    ck_assert_msg(json_is_boolean(at(root, key)) && json_is_true(at(root, key)) == yes, "%s", key);
}

START_TEST(sentences)
{
    begin(0.01, 0);
    o.target_degC = 45;
    for (int us = 0; us < 2; us++) {
        o.fahrenheit = us;
        t.has_rig = us;
        snprintf(t.rig.title, sizeof t.rig.title, "a stand");
        snprintf(t.trouble, sizeof t.trouble, "something");
        told(NR_TOPIC_STATE);
        is(root, "title", us ? "a stand" : "wash-stand");
        is(root, "water", w.water);
        is(root, "unit", w.unit);
        is(root, "rate", w.rate);
        is(root, "heat", w.heat);
        is(root, "target", w.target);
        is(root, "sun", w.sun);
        is(root, "pump", w.pump);
        is(root, "state", w.state);
        is(root, "warning", w.warning);
        is(root, "supply", w.supply);
        is(root, "trouble", "something");
        NEAR(json_number_value(at(root, "target_value")), us ? 113 : 45, 1e-9);
    }
    t.rig.title[0] = '\0';
    snprintf(t.folder, sizeof t.folder, "stand/");
    told(NR_TOPIC_STATE);
    is(root, "title", "stand/");
    o.target_degC = NAN;
    told(NR_TOPIC_STATE);
    ck_assert(json_is_null(at(root, "target_value")));
}
END_TEST

START_TEST(flags)
{
    begin(0.01, 0);
    for (int i = 0; i < 2; i++) {
        t.recording = i;
        t.state_age_s = i ? 11 : 0;
        for (size_t k = 0; k < t.rows; k++)
            t.channel[3].value[k] = k < 400 || !i ? 2 : 0;
        o.target_degC = i ? 29.9 : 30.1;
        told(NR_TOPIC_STATE);
        flag("recording", i);
        flag("strange", i);
        flag("stopped", i);
        flag("reached", i);
        flag("scald", false);
    }
    o.target_degC = NAN;
    told(NR_TOPIC_STATE);
    flag("reached", false);
    static const size_t wet[] = {0, 4, 5}, dry[] = {1, 2, 3};
    for (int i = 0; i < 3; i++) { /* store, outlet, inlet from 48.8 degC on: cautions.h */
        begin(0.01, 0);
        t.channel[wet[i]].last = 48.7;
        t.channel[dry[i]].last = 90;
        told(NR_TOPIC_STATE);
        flag("scald", false);
        t.channel[wet[i]].last = 48.9;
        told(NR_TOPIC_STATE);
        flag("scald", true);
    }
}
END_TEST

START_TEST(each_channel)
{
    begin(0.01, 0);
    t.channel[1].last_s = 300; /* silent since */
    const json_t *list = at(told(NR_TOPIC_STATE), "channels");
    ck_assert_uint_eq(json_array_size(list), 6);
    for (size_t i = 0; i < 6; i++) {
        const json_t *one = json_array_get(list, i);
        char number[24], remark[80];
        nr_view_remark(&t, &t.channel[i], remark, sizeof remark);
        nr_view_number(&t.channel[i], false, i == 1 ? NAN : t.channel[i].last, number,
                       sizeof number);
        is(one, "name", t.channel[i].name);
        is(one, "now", number);
        is(one, "unit", nr_view_label(&t.channel[i], &o));
        is(one, "remark", remark);
        ck_assert_int_eq(remark[0] != '\0', i == 1);
    }
}
END_TEST

/* From now on: a quarter of an hour at least, three hours at most; to a little behind the target,
 * or behind one and a half times its middle where it may take for ever. */
START_TEST(forecast)
{
    static const struct {
        double rate_s, scatter, target;
    } of[] = {{0.01, 0, NAN},      {0.01, 0, 31},    {0.01, 0, 38},   {0.01, 0.3, 45},
              {0.002, 0.01, 70},   {0.01, 0.01, 44}, {0.001, 0, 60},  {-0.01, 0, 45},
              {0.004, 0.25, 34.5}, {0.01, 0.02, 29}, {0.012, 0.5, 60}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        begin(of[i].rate_s, of[i].scatter);
        t.has_rig = i % 2;
        o.target_degC = of[i].target;
        o.fahrenheit = i % 3 == 0;
        const json_t *points = at(told(NR_TOPIC_STATE), "forecast");
        nr_trend trend = nr_trend_of(t.time_s, t.channel[0].value, t.rows);
        nr_slowing slowing = nr_heat_slowing(i % 2 ? &t.rig : NULL);
        nr_time_to eta = nr_trend_time_to(&trend, of[i].target, slowing);
        double ahead = 0;
        if (eta.kind == NR_TIME_TO_COMING) {
            ahead = 1.65 * eta.seconds;
            if (eta.hi95_s * 1.1 < ahead)
                ahead = eta.hi95_s * 1.1;
        }
        ahead = ahead < 900 ? 900 : ahead > 3 * 3600 ? 3 * 3600 : ahead;
        ck_assert_uint_eq(json_array_size(points), 25);
        for (size_t k = 0; k < 25; k++) {
            const json_t *point = json_array_get(points, k);
            double after = ahead * (double)k / 24, value[3];
            value[0] = nr_trend_ahead(&trend, slowing, after, &value[1], &value[2]);
            NEAR(json_number_value(json_array_get(point, 0)), 499 + after, 0.05); /* six digits */
            for (size_t j = 0; j < 3; j++)
                NEAR(json_number_value(json_array_get(point, j + 1)),
                     o.fahrenheit ? value[j] * 9 / 5 + 32 : value[j], 1e-3);
        }
    }
    for (int why = 0; why < 4;
         why++) { /* none of what has ended, stands, is short or has no store */
        begin(0.01, 0);
        t.recording = why != 0;
        for (size_t k = 0; k < t.rows && why == 1; k++)
            t.channel[3].value[k] = k < 400 ? 2 : 0;
        t.rows = why == 2 ? 19 : 500;
        if (why == 3)
            t.channel[0].name[0] = 'S';
        ck_assert_uint_eq(json_array_size(at(told(NR_TOPIC_STATE), "forecast")), 0);
    }
}
END_TEST

START_TEST(curves)
{
    static const char *const keys[] = {"store", "air", "sun", "flow", "outlet"};
    begin(0.01, 0);
    t.channel[4].name[0] = 'x'; /* no outlet */
    for (int us = 0; us < 2; us++) {
        o.fahrenheit = us;
        told(NR_TOPIC_CURVE);
        is(root, "unit", us ? "°F" : "°C");
        is(root, "sun_unit", us ? "Btu/(h ft²)" : "W/m²");
        NEAR(json_number_value(at(root, "span_s")), 1, 0);
        ck_assert(json_is_null(at(root, "outlet")));
        ck_assert_uint_eq(json_array_size(at(root, "store")), 39);
        for (size_t c = 0; c < 4; c++)
            for (size_t i = 0; i < 39; i++) {
                const json_t *value = json_array_get(at(root, keys[c]), i);
                if (i % 6 == 3)
                    ck_assert(json_is_null(value));
                else
                    NEAR_RELATIVE(json_number_value(value),
                                  nr_view_shown(&t.channel[c], us, 10.0 * (double)c + (double)i),
                                  1e-5);
            }
    }
    t.channel[2].name[0] = 'x';
    told(NR_TOPIC_CURVE);
    is(root, "sun_unit", "");
}
END_TEST

/* The last twenty. */
START_TEST(last_notes)
{
    begin(0.01, 0);
    for (size_t n = 19; n < 26; n++) {
        notes.count = n;
        const json_t *list = at(told(NR_TOPIC_TOLD), "notes");
        size_t shown = n < 20 ? n : 20;
        ck_assert_uint_eq(json_array_size(list), shown);
        for (size_t i = 0; i < shown; i++) {
            const nr_note *of = &note[n - shown + i];
            const json_t *one = json_array_get(list, i);
            char clock[32];
            nr_view_clock(of->elapsed_s, clock, sizeof clock);
            is(one, "at", clock);
            is(one, "kind", nr_note_kind_name(of->kind));
            is(one, "text", of->text);
            NEAR(json_number_value(at(one, "s")), of->elapsed_s, 0);
        }
    }
    t.notes = NULL;
    ck_assert_uint_eq(json_array_size(at(told(NR_TOPIC_TOLD), "notes")), 0);
}
END_TEST

START_TEST(what_noonfit_says)
{
    static nr_interim from;
    begin(0.01, 0);
    told(NR_TOPIC_TOLD);
    is(root, "why_not", "");
    is(root, "grade", "");
    from = (nr_interim){.collectors = 2, .findings = 2, .why_not = "no sun", .grade = "good"};
    from.finding[0] = (nr_interim_finding){"too-short", "fault", "brief"};
    from.finding[1] = (nr_interim_finding){"stuck", "doubt", "air"};
    o.interim = &from;
    told(NR_TOPIC_TOLD);
    is(root, "why_not", "no sun");
    is(root, "grade", "good");
    ck_assert_uint_eq(json_array_size(at(root, "findings")), 2);
    is(json_array_get(at(root, "findings"), 0), "severity", "note");
    is(json_array_get(at(root, "findings"), 1), "severity", "doubt");
    is(json_array_get(at(root, "findings"), 1), "text", "air");
    from.fitted = true;
    from.collector[1].efficiency = (nr_interim_range){0.5, 0.4, 0.6};
    told(NR_TOPIC_TOLD);
    is(root, "why_not", "");
    ck_assert_uint_eq(json_array_size(at(root, "efficiency")), 1); /* the other has none */
    ck_assert_uint_eq(json_array_size(at(root, "stop")), 2);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {sentences, flags,      each_channel,      forecast,
                                  curves,    last_notes, what_noonfit_says, NULL};
    return run_tests("keys of the page", tests);
}
