/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The live view: follows a growing run, says what matters, and fits every terminal. */
#include "logger/watch/target.h"
#include "logger/watch/view.h"
#include "tests/unit/near.h"

#include <stdbool.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[64], path[128];

static void in_folder(const char *name)
{
    snprintf(path, sizeof path, "%s/%s", folder, name);
}

static void write_file(const char *name, const char *mode, const char *text)
{
    in_folder(name);
    FILE *file = fopen(path, mode);
    ck_assert(file != NULL);
    fputs(text, file);
    fclose(file);
}

static const char header[] =
    "time_utc,elapsed_s,store_degC,outlet_degC,air_degC,sun_W_m2,flow_L_min\n";

static void make_run(void)
{
    snprintf(folder, sizeof folder, "/tmp/test_view.XXXXXX");
    ck_assert(mkdtemp(folder) != NULL);
    write_file("rig.ini", "w",
               "[test]\ntitle = Wäschestand am Gartentor, zweiter Versuch\n"
               "[collector]\ngross_area_m2 = 1\nglazing = single\n"
               "[store]\nwater_kg = 40\n[adapter]\nport = /dev/null\n"
               "[channel store]\nunit = degC\n[channel outlet]\nunit = degC\n"
               "[channel air]\nunit = degC\n[channel sun]\nunit = W_m2\n[channel flow]\n"
               "unit = L_min\n");
    write_file("notes.csv", "w",
               "time_utc,elapsed_s,kind,text\n"
               "2026-05-04T10:00:00.000Z,0,start,recording starts\n");
    write_file("readings.csv", "w", header);
}

static void remove_run(void)
{
    static const char *const names[] = {"rig.ini", "notes.csv", "readings.csv", "fresh"};
    for (int i = 0; i < 4; i++) {
        in_folder(names[i]);
        unlink(path);
    }
    rmdir(folder);
}

/* Rows from..to-1, a second apart. Store warms by 0.01 K/s from 20; at `stop` a cloud stops the
 * pump. */
static void add_rows(int from, int to, int stop)
{
    in_folder("readings.csv");
    FILE *file = fopen(path, "a");
    for (int i = from; i < to; i++) {
        bool on = i < stop;
        fprintf(file, "2026-05-04T%02d:%02d:%02d.000Z,%d.000,%.4f,%.4f,18.5000,%.2f,%.4f\n",
                10 + i / 3600, i / 60 % 60, i % 60, i, 20 + 0.01 * i, 30 + 0.01 * i,
                on ? 900.0 : 200.0, on ? 1.0 : 0.0);
    }
    fclose(file);
}

static nr_tail *open_tail(void)
{
    nr_tail *t;
    nr_err err = {0};
    ck_assert_msg(nr_tail_open(folder, &t, &err) == NR_OK, "%s", err.text);
    return t;
}

static nr_view view;

static const char *compose(nr_tail *t, int columns, int rows, bool fahrenheit, bool utf8,
                           double target)
{
    static char all[NR_VIEW_LINES * NR_VIEW_BYTES];
    nr_view_options options = {.columns = columns,
                               .rows = rows,
                               .fahrenheit = fahrenheit,
                               .utf8 = utf8,
                               .target_degC = target,
                               .leave_hint = true};
    nr_view_compose(t, &options, &view);
    all[0] = '\0';
    size_t used = 0;
    for (size_t i = 0; i < view.count; i++)
        used += (size_t)snprintf(all + used, sizeof all - used, "%s\n", view.line[i].text);
    return all;
}

static void has(const char *text, const char *words)
{
    ck_assert_msg(strstr(text, words) != NULL, "\"%s\" is not in:\n%s", words, text);
}

/* What a recording lives on is said while there is still something to do about it, and in front of
 * the table; of a run that has ended it is no news. */
START_TEST(what_it_lives_on)
{
    make_run();
    add_rows(0, 100, 9999);
    nr_tail *t = open_tail();
    t->recording = t->has_state = true;
    t->state.elapsed_s = 99;
    t->state.supply = (nr_supply){.free_bytes = 90e6, .battery_percent = 8};
    t->state.awake = NR_AWAKE_NOT;
    const char *text = compose(t, 80, 24, false, true, NAN);
    has(text, "the disk is filling up: 90 MB are free; the battery is at 8 %");
    has(text, "not kept awake");
    ck_assert(strstr(text, "filling up") < strstr(text, "channel"));
    has(compose(t, 30, 10, false, false, NAN), "filling up");
    t->state.supply = (nr_supply){.free_bytes = 900e6, .battery_percent = 80};
    t->state.awake = NR_AWAKE_LID;
    text = compose(t, 80, 24, false, true, NAN);
    ck_assert(!strstr(text, "filling") && !strstr(text, "battery") && !strstr(text, "awake"));
    t->state.supply.free_bytes = 90e6;
    t->recording = false;
    ck_assert_ptr_null(strstr(compose(t, 80, 24, false, true, NAN), "filling"));
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(follows_a_growing_run)
{
    make_run();
    nr_tail *t = open_tail();
    ck_assert_uint_eq(t->rows, 0);
    has(compose(t, 80, 24, false, true, NAN), "no reading yet");
    add_rows(0, 100, 9999);
    nr_tail_update(t);
    ck_assert_uint_eq(t->rows, 100);
    /* half a row is not taken until it is whole */
    write_file("readings.csv", "a", "2026-05-04T10:01:40.000Z,100.000,21.0000,31.0");
    nr_tail_update(t);
    ck_assert_uint_eq(t->rows, 100);
    write_file("readings.csv", "a", "000,18.5000,900.00,1.0000\n");
    nr_tail_update(t);
    ck_assert_uint_eq(t->rows, 101);
    NEAR(nr_tail_find(t, "store")->last, 21.0, 1e-9);
    NEAR(nr_tail_find(t, "store")->low, 20.0, 1e-9);
    /* a damaged row is said and passed over */
    write_file("readings.csv", "a", "2026-05-04T10:01:41.000Z,101.000,bad,1,1,1,1\n");
    nr_tail_update(t);
    has(t->trouble, "bad");
    add_rows(102, 110, 9999);
    nr_tail_update(t);
    ck_assert_uint_eq(t->rows, 109);
    ck_assert_str_eq(t->trouble, "");
    /* made again by rebuild: another file under the same name */
    char to[128];
    in_folder("readings.csv");
    snprintf(to, sizeof to, "%s", path);
    write_file("fresh", "w", header);
    in_folder("fresh");
    ck_assert_int_eq(rename(path, to), 0);
    add_rows(0, 150, 9999); /* longer than the old one: its size alone would not tell */
    nr_tail_update(t);
    ck_assert_uint_eq(t->rows, 150);
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(long_runs_keep_their_extremes)
{
    make_run();
    add_rows(0, 3000, 9999);
    nr_tail *t = open_tail();
    for (int i = 3000; i < 21000; i += 3000) {
        add_rows(i, i + 3000, 9999);
        nr_tail_update(t);
    }
    ck_assert_uint_eq(t->all_rows, 21000);
    ck_assert_uint_le(t->rows, NR_TAIL_ROWS);
    ck_assert_uint_ge(t->rows, NR_TAIL_ROWS / 2);
    NEAR(t->time_s[t->rows - 1], 20999, 1e-9);
    NEAR(nr_tail_find(t, "store")->low, 20.0, 1e-9);
    NEAR(nr_tail_find(t, "store")->high, 20 + 0.01 * 20999, 1e-3);
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(says_what_matters)
{
    make_run();
    add_rows(0, 600, 9999);
    write_file("notes.csv", "a", "2026-05-04T10:05:00.000Z,300,note,glass on\n");
    nr_tail *t = open_tail();
    const char *text = compose(t, 80, 24, false, true, 40.0);
    has(text, "ended after 0:09:59");
    has(text, "+0.60 °C a minute");
    has(text, "water in the store: +1672 W"); /* 40 kg x 4181 J/(kg K) x 0.01 K/s */
    has(text, "▁▁▂▂");
    has(text, "▇██  store, 20.0 to 26.0 °C");
    has(text, "40.0 °C was not reached");
    t->recording = true;
    text = compose(t, 80, 24, false, true, 40.0);
    has(text, "40.0 °C in "); /* 14 K at 0.6 K a minute: 23.4 min, and a little for the losses */
    has(text, "sun 900 W/m²");
    has(text, "pump running");
    has(text, "0:05:00  note    glass on");
    has(text, "q ends this view");
    /* What is read from across the driveway stands out: the rate and when the target is there. */
    size_t strong = 0;
    for (size_t i = 0; i < view.count; i++)
        strong +=
            view.line[i].style == NR_STYLE_STRONG &&
            (strstr(view.line[i].text, "C a minute") || strstr(view.line[i].text, "40.0 °C in "));
    ck_assert_uint_eq(strong, 2);
    has(compose(t, 80, 24, true, true, 40.0), "104.0 °F in ");
    has(compose(t, 80, 24, true, true, NAN), "+1.08 °F a minute");
    /* 900 W/m2 = 285.3 Btu/(h ft2), 1 L/min = 0.264 gal/min (NIST SP 811) */
    has(compose(t, 80, 24, true, true, NAN), "sun 285 Btu/(h ft²)");
    has(compose(t, 80, 24, true, true, NAN), "0.26 gal/min");
    has(compose(t, 80, 24, false, true, 25.0), "25.0 °C is reached");
    nr_tail_free(t);
    remove_run();
}
END_TEST

/* An interval within its own rounding is not printed: never "14 min (14 to 14)". */
START_TEST(an_interval_that_says_nothing)
{
    make_run();
    add_rows(0, 600, 9999);
    nr_tail *t = open_tail();
    t->recording = true;
    const char *text = compose(t, 80, 24, false, true, 27.2);
    has(text, "27.2 °C in 2 min in this sun");
    has(compose(t, 80, 24, false, true, 45.0), "(32 to 3");
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(tells_what_noonfit_says)
{
    static nr_interim told = {.fitted = true, .collectors = 1};
    told.collector[0].efficiency = (nr_interim_range){0.62, 0.58, 0.66};
    told.collector[0].eta0 = (nr_interim_range){0.71, 0.66, 0.76};
    make_run();
    add_rows(0, 600, 9999);
    nr_tail *t = open_tail();
    nr_view_options options = {
        .columns = 80, .rows = 24, .utf8 = true, .target_degC = NAN, .interim = &told};
    nr_view_compose(t, &options, &view);
    bool efficiency = false, stop = false;
    for (size_t i = 0; i < view.count; i++) {
        efficiency |=
            strcmp(view.line[i].text, "  62 % of the sun so far in the water (58 to 66)") == 0;
        stop |= strcmp(view.line[i].text, "  this run: eta0 0.71 +- 0.05 (95 %)") == 0;
        ck_assert_int_le(nr_view_width(view.line[i].text), 80);
    }
    ck_assert(efficiency && stop);
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(a_cloud_stops_the_pump)
{
    make_run();
    add_rows(0, 600, 420);
    nr_tail *t = open_tail();
    t->recording = true;
    const char *text = compose(t, 80, 24, false, true, 40.0);
    has(text, "pump stopped 3 min ago: cloud");
    has(text, "no telling while the pump stands");
    has(text, "a cloud");
    nr_pump_seen pump = nr_pump_seen_in(t);
    NEAR(pump.since_s, 419, 0);
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(a_meter_at_rest_is_no_flow)
{
    make_run();
    for (int i = 0; i < 60; i++) {
        char row[160];
        snprintf(row, sizeof row, "2026-05-04T10:00:%02d.000Z,%d.000,20.0,20.0,18.0,900.00,0.0%d\n",
                 i, i, i % 3);
        write_file("readings.csv", "a", row);
    }
    nr_tail *t = open_tail();
    ck_assert_int_eq(nr_pump_seen_in(t).state, NR_PUMP_STOPPED);
    nr_tail_free(t);
    remove_run();
    make_run(); /* and nothing at all is none either */
    write_file("readings.csv", "a", "2026-05-04T10:00:00.000Z,0.000,20.0,20.0,18.0,900.00,0.0\n");
    t = open_tail();
    ck_assert_int_eq(nr_pump_seen_in(t).state, NR_PUMP_STOPPED);
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(pump_by_notes)
{
    make_run();
    write_file("readings.csv", "w", "time_utc,elapsed_s,store_degC\n");
    write_file("readings.csv", "a", "2026-05-04T10:00:00.000Z,0.000,20.0000\n");
    nr_tail *t = open_tail();
    ck_assert_int_eq(nr_pump_seen_in(t).state, NR_PUMP_UNKNOWN);
    write_file("notes.csv", "a", "2026-05-04T10:00:00.000Z,0,pump,on\n");
    write_file("notes.csv", "a", "2026-05-04T10:00:30.000Z,30,pump,off: hose off\n");
    nr_tail_update(t);
    ck_assert_int_eq(nr_pump_seen_in(t).state, NR_PUMP_STOPPED);
    NEAR(nr_pump_seen_in(t).since_s, 30, 0);
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(cautions_and_faults)
{
    make_run();
    add_rows(0, 600, 9999);
    for (int i = 600; i < 640; i++) { /* store hot, air gone */
        char row[200];
        snprintf(row, sizeof row,
                 "2026-05-04T10:%02d:%02d.000Z,%d.000,52.0000,53.0000,,900.00,1.0000\n", i / 60,
                 i % 60, i);
        write_file("readings.csv", "a", row);
    }
    nr_tail *t = open_tail();
    const char *text = compose(t, 80, 24, false, true, NAN);
    has(text, "CAUTION, store: Water of 52 °C scalds");
    has(text, "no reading for 40 s");
    bool warned = false;
    for (size_t i = 0; i < view.count; i++)
        warned = warned ||
                 (view.line[i].style == NR_STYLE_WARNING && strstr(view.line[i].text, "CAUTION"));
    ck_assert(warned);
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(a_stuck_probe)
{
    make_run();
    in_folder("readings.csv");
    FILE *file = fopen(path, "a");
    for (int i = 0; i < 1000; i++)
        fprintf(file, "2026-05-04T10:%02d:%02d.000Z,%d.000,%.4f,33.0000,18.5,900.00,1.0\n", i / 60,
                i % 60, i, 20 + 0.01 * i);
    fclose(file);
    nr_tail *t = open_tail();
    has(compose(t, 80, 24, false, true, NAN), "stuck for 17 min?");
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(fits_every_terminal)
{
    make_run();
    add_rows(0, 600, 420);
    write_file("notes.csv", "a",
               "2026-05-04T10:05:00.000Z,300,note,a very long note that goes on and on about the "
               "weather and the neighbours and does not end before the line does\n");
    write_file("readings.csv", "a",
               "2026-05-04T10:10:00.000Z,600.000,60.0000,60.0000,18.5000,900.00,1.0000\n");
    nr_tail *t = open_tail();
    has(compose(t, 80, 40, false, true, 70.0),
        "a very long note that goes on and on about the weather and …\n");
    has(compose(t, 80, 40, false, false, 70.0),
        "a very long note that goes on and on about the weather an...\n");
    has(compose(t, 158, 40, false, true, 70.0), "before the line does\n");
    /* Head and text are 131 columns wide: that is room enough, one less is not. */
    has(compose(t, 131, 40, false, true, 70.0), "before the line does\n");
    has(compose(t, 130, 40, false, true, 70.0), "before the line do…\n");
    for (int columns = 1; columns <= 130; columns += columns < 40 ? 1 : 3) {
        for (int rows = 1; rows <= 45; rows += columns % 7 + 1) {
            for (int utf8 = 0; utf8 < 2; utf8++) {
                const char *text = compose(t, columns, rows, false, utf8, 70.0);
                ck_assert_uint_le(view.count, (size_t)rows);
                for (size_t i = 0; i < view.count; i++)
                    ck_assert_int_le(nr_view_width(view.line[i].text), columns);
                bool ascii = true; /* asserted once a text: Check notes each assertion in a file */
                for (const char *p = text; !utf8 && *p; p++)
                    ascii = ascii && (unsigned char)*p < 0x80;
                ck_assert_msg(ascii, "not ASCII: %s", text);
                if (columns >= 20)
                    has(text, columns >= 78 && rows >= 16 ? "water in the store" : "water 60.0");
            }
        }
    }
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(hostile_text)
{
    make_run();
    write_file("notes.csv", "a", "2026-05-04T10:05:00.000Z,300,note,\x1b]0;x\x07 evil \x9b 31m\n");
    write_file("readings.csv", "w", "time_utc,elapsed_s,store_degC,a\x1b[31mb_degC\n");
    write_file("readings.csv", "a", "2026-05-04T10:00:00.000Z,0.000,20.0000,1\n");
    nr_tail *t = open_tail();
    const char *text = compose(t, 80, 24, false, true, NAN);
    for (const char *p = text; *p; p++)
        ck_assert_msg((unsigned char)*p >= 0x20 || *p == '\n', "control character in %s", text);
    nr_tail_free(t);
    remove_run();
}
END_TEST

START_TEST(no_run)
{
    nr_tail *t;
    nr_err err = {0};
    ck_assert_int_eq(nr_tail_open("/tmp/not-there-at-all", &t, &err), NR_BAD);
    ck_assert_ptr_nonnull(strstr(err.text, "no run folder"));
    ck_assert_ptr_null(t);
}
END_TEST

/* Two collectors on one adapter: a column each, told apart by role and owner, and who leads. */
START_TEST(several_collectors)
{
    make_run();
    write_file("rig.ini", "w",
               "[test]\ntitle = Side by side\n"
               "[collector left]\ngross_area_m2 = 1\nglazing = single\n"
               "[collector right]\ngross_area_m2 = 1\nglazing = none\n"
               "[store left]\nwater_kg = 40\n[store right]\nwater_kg = 20\n"
               "[adapter]\nport = /dev/null\n"
               "[channel tank_a]\nunit = degC\nrole = store\nof = left\n"
               "[channel tank_b_at_the_wall]\nunit = degC\nrole = store\nof = right\n"
               "[channel sun]\nunit = W_m2\n");
    write_file("readings.csv", "w",
               "time_utc,elapsed_s,tank_a_degC,tank_b_at_the_wall_degC,sun_W_m2\n");
    in_folder("readings.csv");
    FILE *file = fopen(path, "a");
    for (int i = 0; i < 600; i++) /* by hand: 0.6 and 0.3 K a minute; 40 kg take 4.181 kJ/(kg K) */
        fprintf(file, "2026-05-04T10:%02d:%02d.000Z,%d.000,%.4f,%.4f,900.00\n", i / 60, i % 60, i,
                20 + 0.01 * i, 22 + 0.005 * i);
    fclose(file);
    nr_tail *t = open_tail();
    ck_assert_uint_eq(t->file.builds, 2);
    ck_assert_str_eq(nr_tail_find(t, "store")->name, "tank_a");
    nr_tail_choose(t, 1);
    ck_assert_str_eq(nr_tail_find(t, "store")->name, "tank_b_at_the_wall");
    ck_assert_ptr_null(nr_tail_find(t, "tank_a")); /* the other's */
    const char *all = compose(t, 80, 24, false, true, 40);
    has(all, "left");
    has(all, "right");
    has(all, "water       26.0");
    has(all, "25.0");
    has(all, "+0.60");
    has(all, "+0.30");
    has(all, "+1672 W"); /* 40 kg * 4181 J/(kg K) * 0.01 K/s */
    has(all, "+418 W");
    has(all, "to 40.0 °C  not reached");
    has(all, "left ended warmest, 1.0 K above right");
    t->recording = true;
    all = compose(t, 80, 24, false, true, 40);
    has(all, "left leads: there");
    has(all, "min before right");
    has(all, "sun 900");
    has(all, "tank_b_at_the_wall");
    /* the bell rings once a collector; 25 degC: the left one passed it, the right one did not yet
     */
    bool known = false;
    t->recording = false; /* nothing is written */
    ck_assert(nr_target_look(t, 25.2, &known) && !known);
    ck_assert(!nr_target_look(t, 25.2, &known) && !known);
    file = fopen(path, "a");
    for (int i = 600; i < 700; i++)
        fprintf(file, "2026-05-04T10:%02d:%02d.000Z,%d.000,%.4f,%.4f,900.00\n", i / 60, i % 60, i,
                20 + 0.01 * i, 22 + 0.005 * i);
    fclose(file);
    nr_tail_update(t);
    ck_assert(nr_target_look(t, 25.2, &known) && known);
    ck_assert_uint_eq(t->build, 0);
    known = false; /* another target is another question */
    ck_assert(nr_target_look(t, 25.4, &known) && known);
    t->recording = true;
    has(compose(t, 80, 24, false, true, NAN), "left is warmest, 1.5 K above right");
    has(compose(t, 80, 24, true, true, NAN), "left is warmest, 2.7 °F above right");
    /* What shows as a difference of 0.0 is none. */
    static const struct {
        double right;
        const char *words;
    } close[] = {{26.94, "left ended warmest, 0.1 K above right"},
                 {26.96, "left and right ended level"}};
    for (int i = 0; i < 2; i++) {
        file = fopen(path, "a");
        fprintf(file, "2026-05-04T10:%02d:00.000Z,%d.000,27.00,%.2f,900.00\n", 12 + i, 720 + 60 * i,
                close[i].right);
        fclose(file);
        nr_tail_update(t);
        has(compose(t, 80, 24, false, true, NAN), close[i].words);
    }
    for (int columns = 1; columns < 100; columns += 7)
        for (int rows = 1; rows < 30; rows += 3) {
            compose(t, columns, rows, false, true, 40);
            ck_assert_uint_le(view.count, (size_t)rows);
            for (size_t i = 0; i < view.count; i++)
                ck_assert_int_le(nr_view_width(view.line[i].text), columns);
        }
    nr_tail_free(t);
    remove_run();
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {several_collectors,
                                  what_it_lives_on,
                                  follows_a_growing_run,
                                  long_runs_keep_their_extremes,
                                  says_what_matters,
                                  an_interval_that_says_nothing,
                                  tells_what_noonfit_says,
                                  a_cloud_stops_the_pump,
                                  a_meter_at_rest_is_no_flow,
                                  pump_by_notes,
                                  cautions_and_faults,
                                  a_stuck_probe,
                                  fits_every_terminal,
                                  hostile_text,
                                  no_run,
                                  NULL};
    return run_tests("view", tests);
}
