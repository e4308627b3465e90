/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The temperature somebody waits for: whether it is reached worked out a second time on drawn
 * readings with holes, the note that says so, and who is told again. What writes notes into a run
 * is played by the test. */
#include "logger/watch/target.h"

#include "logger/record/stamp.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

static nr_tail t;
static nr_note noted[8];
static int notes;
static char noted_in[80];

nr_code nr_stamp_write(const char *folder, const nr_note *note, nr_err *err)
{
    ck_assert(err == NULL && notes < 8);
    snprintf(noted_in, sizeof noted_in, "%s", folder);
    noted[notes++] = *note;
    return NR_OK;
}

nr_code nr_stamp_place(const char *folder, double at_s, nr_note *note, nr_err *err)
{
    (void)folder, (void)at_s, (void)note, (void)err;
    ck_abort_msg("nobody asks where a note belongs");
    return NR_BAD;
}

/* A recording of one store, or of two collectors with a store each. */
static void begin(size_t builds)
{
    static const char *const names[] = {"tank_a", "tank_b"};
    memset(&t, 0, sizeof t);
    notes = 0;
    snprintf(t.folder, sizeof t.folder, "/somewhere/run");
    t.recording = true;
    t.target_degC = NAN;
    t.channels = 2;
    for (size_t c = 0; c < 2; c++)
        snprintf(t.channel[c].name, sizeof t.channel[c].name, "%s", names[c]);
    if (builds < 2) {
        snprintf(t.channel[1].name, sizeof t.channel[1].name, "store");
        return;
    }
    static const char rig[] = "[collector left]\ngross_area_m2 = 1\n[collector right]\n"
                              "gross_area_m2 = 1\n[store left]\nwater_kg = 40\n"
                              "[store right]\nwater_kg = 20\n[adapter]\nport = /dev/null\n"
                              "[channel tank_a]\nunit = degC\nrole = store\nof = left\n"
                              "[channel tank_b]\nunit = degC\nrole = store\nof = right\n";
    nr_err err;
    ck_assert_msg(
        nr_rig_parse(rig, strlen(rig), "rig.ini", NR_RIG_FOR_RECORD, &t.file, NULL, &err) == NR_OK,
        "%s", err.text);
    ck_assert_uint_eq(t.file.builds, 2);
    t.has_rig = true;
    nr_tail_choose(&t, 0);
}

static void add(double a, double b)
{
    t.time_s[t.rows] = 10.0 * (double)t.rows + 1;
    t.utc_s[t.rows] = 1777888800 + t.time_s[t.rows];
    t.channel[0].value[t.rows] = a;
    t.channel[1].value[t.rows++] = b;
}

/* The header's rule in plain words: of the readings there are, the last three are at or over it. */
static bool is_reached(double target)
{
    double seen[64];
    size_t n = 0;
    for (size_t i = 0; i < t.rows; i++)
        if (!isnan(t.channel[1].value[i]))
            seen[n++] = t.channel[1].value[i];
    return n >= 3 && seen[n - 1] >= target && seen[n - 2] >= target && seen[n - 3] >= target;
}

START_TEST(reached)
{
    static const double kinds[] = {39.5, 40, 40, 40.5, 41, NAN};
    uint64_t state = 4;
    int yes = 0, no = 0;
    begin(1);
    ck_assert(!nr_target_reached(&t, 40)); /* no row yet */
    for (int k = 0; k < 2000; k++) {
        t.rows = 0;
        for (unsigned n = chance_below(&state, 9); n > 0; n--) {
            unsigned kind = chance_below(&state, 6);
            add(99, kinds[kind]);
        }
        bool is = is_reached(40);
        ck_assert_int_eq(nr_target_reached(&t, 40), is);
        yes += is;
        no += !is;
    }
    ck_assert(yes > 200 && no > 200);
    snprintf(t.channel[1].name, sizeof t.channel[1].name, "air"); /* no store at all */
    ck_assert(!nr_target_reached(&t, 0));
}
END_TEST

/* Once, with the time of the row that made it so; and known from then on. */
START_TEST(one_store)
{
    bool known = false;
    begin(1);
    add(0, 40), add(0, 40);
    ck_assert(!nr_target_look(&t, NAN, &known) && !known && isnan(t.target_degC));
    ck_assert(!nr_target_look(&t, 40, &known) && !known && notes == 0);
    add(0, 40);
    ck_assert(nr_target_look(&t, 40, &known) && known);
    ck_assert_int_eq(notes, 1);
    ck_assert_str_eq(noted_in, "/somewhere/run");
    ck_assert_int_eq(noted[0].kind, NR_NOTE_TARGET);
    ck_assert_str_eq(noted[0].text, "store has reached 40.0 degC (104.0 degF)");
    NEAR(noted[0].elapsed_s, 21, 0);
    NEAR(noted[0].utc_s, 1777888821, 0);
    ck_assert(!nr_target_look(&t, 40, &known) && known); /* known: not looked at again */
    known = false;
    ck_assert(!nr_target_look(&t, 40, &known) && known && notes == 1); /* told before */
    known = false; /* no target: nothing is looked at, and what was told stays told */
    ck_assert(!nr_target_look(&t, NAN, &known) && !known && t.target_degC == 40 && t.reached[0]);
    known = true; /* whoever knows is not asked, not even for another one */
    ck_assert(!nr_target_look(&t, 30, &known) && known && t.target_degC == 40);
    known = false; /* another target is another question */
    ck_assert(nr_target_look(&t, 39, &known) && known && notes == 2);
    ck_assert_str_eq(noted[1].text, "store has reached 39.0 degC (102.2 degF)");
    known = false;
    ck_assert(!nr_target_look(&t, 60, &known) && !known && notes == 2);
    t.recording = false; /* a run that has ended rings, and is not written to */
    ck_assert(nr_target_look(&t, 38, &known) && known && notes == 2);
}
END_TEST

/* Of one collector it is the store, whatever its column is called. */
START_TEST(one_store_of_a_rig)
{
    static const char rig[] = "[adapter]\nport = /dev/null\n"
                              "[channel tank_a]\nunit = degC\nrole = store\n";
    nr_err err;
    bool known = false;
    begin(1);
    ck_assert_msg(
        nr_rig_parse(rig, strlen(rig), "rig.ini", NR_RIG_FOR_RECORD, &t.file, NULL, &err) == NR_OK,
        "%s", err.text);
    t.has_rig = true;
    nr_tail_choose(&t, 0);
    for (int i = 0; i < 3; i++)
        add(50, 0);
    ck_assert(nr_target_look(&t, 50, &known) && known && notes == 1);
    ck_assert_str_eq(noted[0].text, "store has reached 50.0 degC (122.0 degF)");
}
END_TEST

/* A note of another watcher's keeps the bell and the pen still; one of other words or another kind
 * does not, wherever among the notes it stands. */
START_TEST(noted_by_another)
{
    static nr_note written[3];
    nr_notes all = {.count = 3, .note = written};
    for (int at = -1; at < 6; at++) {
        begin(1);
        add(0, 50), add(0, 50), add(0, 50);
        for (int i = 0; i < 3; i++) {
            written[i].kind = NR_NOTE_TARGET;
            snprintf(written[i].text, sizeof written[i].text, "store has reached %d.0 degC", i);
        }
        if (at >= 0)
            snprintf(written[at % 3].text, sizeof written[0].text,
                     "store has reached 50.0 degC (122.0 degF)");
        if (at > 2)
            written[at % 3].kind = NR_NOTE_NOTE;
        t.notes = &all;
        bool known = false, theirs = at >= 0 && at < 3;
        ck_assert_int_eq(nr_target_look(&t, 50, &known), !theirs);
        ck_assert(known && notes == !theirs && t.reached[0]);
    }
}
END_TEST

/* Each collector's store for itself, in any order; known once all have. */
START_TEST(two_stores)
{
    for (int first = 0; first < 2; first++) {
        static const char *const said[] = {"tank_a has reached 45.5 degC (113.9 degF)",
                                           "tank_b has reached 45.5 degC (113.9 degF)"};
        bool known = false;
        begin(2);
        for (int i = 0; i < 3; i++)
            add(first ? 20 : 46, first ? 46 : 20);
        ck_assert(nr_target_look(&t, 45.5, &known) && !known && notes == 1);
        ck_assert_str_eq(noted[0].text, said[first]);
        ck_assert_uint_eq(t.build, 0); /* as before */
        ck_assert(t.reached[first] && !t.reached[1 - first]);
        ck_assert(!nr_target_look(&t, 45.5, &known) && !known && notes == 1);
        for (int i = 0; i < 3; i++)
            add(46, 46);
        ck_assert(nr_target_look(&t, 45.5, &known) && known && notes == 2);
        ck_assert_str_eq(noted[1].text, said[1 - first]);
        known = false;
        ck_assert(!nr_target_look(&t, 45.5, &known) && known);
        known = false; /* both at once, by another target */
        ck_assert(nr_target_look(&t, 44, &known) && known && notes == 4);
        ck_assert_str_eq(t.rig.channel[0].column, "tank_a");
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {reached,          one_store,  one_store_of_a_rig,
                                  noted_by_another, two_stores, NULL};
    return run_tests("target", tests);
}
