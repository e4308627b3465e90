/* SPDX-License-Identifier: GPL-3.0-or-later */
/* When what the page shows is made anew: by a clock of the test, on a run that grows. And every key
 * of what is shown, from the run. */
#include "logger/serve/inside.h"
#include "tests/unit/command_run.h"

#include <jansson.h>

static nr_source s;
static nr_err err;
static nr_serve_options o;
static int have;

static void add_rows(int to)
{
    FILE *file = fopen(in_scratch("run/readings.csv"), "a");
    for (; have < to; have++)
        fprintf(file, "2026-05-04T10:%02d:%02d.000Z,%d.000,%.4f\n", have / 60, have % 60, have,
                20 + 0.01 * have);
    fclose(file);
}

static void open_with(int rows, const char *units, double target)
{
    char rig[300];
    scratch_make();
    scratch_folder("run");
    scratch_file("run/readings.csv", "time_utc,elapsed_s,store_degC\n");
    snprintf(rig, sizeof rig,
             "[test]\n%s\n[collector]\ngross_area_m2 = 1\n[store]\nwater_kg = 40\n[adapter]\n"
             "port = /dev/null\n[channel store]\nunit = degC\n",
             units);
    scratch_file("run/rig.ini", rig);
    have = 0;
    add_rows(rows);
    o.folder = in_scratch("run");
    o.noonfit = "/bin/true";
    o.target_degC = target;
    memset(&s, 0, sizeof s);
    ck_assert_msg(nr_source_open(&s, &o, &err) == NR_OK, "%s", err.text);
}

static void end(void)
{
    nr_source_close(&s);
    scratch_remove();
}

static void set_up(void)
{
    o = (nr_serve_options){.units = ""};
}

/* Numbers of the frames, state, curve, told. */
static void numbers(unsigned long state, unsigned long curve, unsigned long told)
{
    ck_assert_msg(s.frame[NR_TOPIC_STATE].number == state &&
                      s.frame[NR_TOPIC_CURVE].number == curve &&
                      s.frame[NR_TOPIC_TOLD].number == told,
                  "%lu %lu %lu, not %lu %lu %lu", s.frame[0].number, s.frame[1].number,
                  s.frame[2].number, state, curve, told);
}

/* Of a run of more than a minute the curve is made every ten seconds at most; of a younger one each
 * time there is more. What says nothing new is not made; but a state is, every ten seconds. */
START_TEST(when)
{
    open_with(61, "", NAN);
    numbers(1, 1, 1);
    nr_source_turn(&s, false, 9.9);
    numbers(1, 1, 1);
    add_rows(62);
    nr_source_turn(&s, false, 9.95);
    numbers(2, 1, 1);
    nr_source_turn(&s, false, 10);
    numbers(2, 2, 1);
    add_rows(63);
    nr_source_turn(&s, false, 19.9);
    numbers(3, 2, 1);
    nr_source_turn(&s, false, 20);
    numbers(3, 3, 1);
    nr_source_turn(&s, false, 29.85);
    numbers(3, 3, 1);
    nr_source_turn(&s, false, 29.95); /* alive */
    numbers(4, 3, 1);
    scratch_file("run/notes.csv",
                 "time_utc,elapsed_s,kind,text\n2026-05-04T10:00:09.000Z,9,note,x\n");
    nr_source_turn(&s, false, 30);
    numbers(4, 3, 2);
    end();
    open_with(59, "", NAN);
    add_rows(60);
    nr_source_turn(&s, false, 1);
    numbers(2, 2, 1);
    add_rows(61);
    nr_source_turn(&s, false, 2);
    numbers(3, 2, 1);
    end();
}
END_TEST

START_TEST(a_frame)
{
    char start[80];
    open_with(70, "", NAN);
    for (int topic = 0; topic < NR_TOPICS; topic++) {
        const nr_frame *f = &s.frame[topic];
        char *json = nr_state_json((nr_topic)topic, s.tail, &s.view);
        snprintf(start, sizeof start, "event: %s\ndata: ", nr_topic_name[topic]);
        ck_assert_uint_eq(f->length, strlen(f->text));
        ck_assert_uint_eq(f->length, strlen(start) + strlen(json) + 1);
        ck_assert(strncmp(f->text, start, strlen(start)) == 0);
        ck_assert(strncmp(f->text + strlen(start), json, strlen(json)) == 0);
        ck_assert_str_eq(f->text + f->length - 1, "\n");
        free(json);
    }
    end();
}
END_TEST

/* noonfit is asked of a run that somebody looks at, and has rows. */
START_TEST(who_looks)
{
    open_with(70, "", NAN);
    nr_source_turn(&s, false, 1);
    ck_assert_int_eq(s.ask.turn, NR_ASK_REST);
    ck_assert_ptr_null(s.view.interim);
    nr_source_turn(&s, true, 2);
    ck_assert_int_eq(s.ask.turn, NR_ASK_INSPECT);
    end();
}
END_TEST

/* Units: said, else the rig file's; and a target that was reached long ago is no news. */
START_TEST(how)
{
    static const struct {
        const char *said, *rig;
        bool us;
    } of[] = {{"", "", false},
              {"us", "", true},
              {"", "units = us", true},
              {"si", "units = us", false},
              {"us", "units = si", true}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        o.units = of[i].said;
        open_with(70, of[i].rig, i % 2 ? 20.1 : 90);
        ck_assert_int_eq(s.view.fahrenheit, of[i].us);
        ck_assert(s.view.utf8);
        ck_assert_int_eq(s.reached, i % 2);
        NEAR(s.view.target_degC, i % 2 ? 20.1 : 90, 0);
        ck_assert_uint_ne(s.boot, 0);
        nr_source_target(&s, 20.2);
        ck_assert(!s.reached);
        NEAR(s.view.target_degC, 20.2, 0);
        nr_source_again(&s, 1);
        ck_assert(s.reached);
        end();
    }
    o.folder = "/tmp/not-there-at-all";
    memset(&s, 0, sizeof s);
    ck_assert_int_eq(nr_source_open(&s, &o, &err), NR_BAD);
    nr_source_close(&s);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {when, a_frame, who_looks, how, NULL};
    return run_tests_in("what the page shows, and when", tests, set_up, NULL);
}
