/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What import concludes from numbers and from there being one of a kind: supply and return, the
 * only column, whose a reading is, how wide a table is; each from both sides of its limit. */
#include "logger/import/match.h"
#include "logger/import/table_doubts.h"
#include "tests/unit/import/tables.h"

static looked l;
static nr_rig rig;
static nr_match out;

static nr_code match(const char *text, const char *channels)
{
    nr_err err = {0};
    ck_assert_msg(nr_rig_parse(channels, strlen(channels), "rig.ini", NR_RIG_FOR_READINGS, &rig,
                               NULL, &err) == NR_OK,
                  "%s", err.text);
    ck_assert_msg(read_times(&l, text, "", "", "UTC") == NR_OK, "%s", l.err.text);
    return nr_match_columns(&l.table, &l.plan, &rig, NULL, 0, &out, &l.said, &l.err);
}

static const char loop[] = "[channel inlet]\nunit = degC\n[channel outlet]\nunit = degC\n";

/* The warmer of both, by more than 0.3 K in the mean of the readings that are any (below 500). */
START_TEST(supply_and_return)
{
    static const struct {
        const char *supply[3], *back[3];
        size_t outlet;                                       /* column; 0: left to be asked */
    } of[] = {{{"40", "41", "42"}, {"40", "41", "41.2"}, 0}, /* 0.27 K */
              {{"40", "41", "42"}, {"40", "41", "41"}, 1},   /* 0.33 K */
              {{"40", "41", "41.2"}, {"40", "41", "42"}, 0},
              {{"40", "41", "41"}, {"40", "41", "42"}, 2},
              {{"40", "41", "42"}, {"40", "499", "40"}, 2}, /* 41 and 193 */
              {{"40", "41", "42"}, {"40", "500", "40"}, 1}, /* 41 and 40 */
              {{"40", "41", "42"}, {"40", "-500", "40"}, 1},
              {{"40", "41", "42"}, {"45", "", "41"}, 2}, /* 41 and 43 */
              {{"40", "41", "42"}, {"", "", ""}, 0}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[300] = "Time,Supply (C),Return (C)\n";
        for (int r = 0; r < 3; r++) {
            size_t used = strlen(text);
            snprintf(text + used, sizeof text - used, "2026-05-16 10:%02d:00,%s,%s\n", 15 + r,
                     of[i].supply[r], of[i].back[r]);
        }
        nr_code code = match(text, loop);
        bool told = code == NR_OK && out.of[1].column != NR_NO_COLUMN;
        ck_assert_msg(told == (of[i].outlet > 0), "row %zu", i);
        if (told) {
            ck_assert_uint_eq(out.of[1].column, of[i].outlet);
            ck_assert_uint_eq(out.of[0].column, 3 - of[i].outlet);
            ck_assert(strstr(out.of[1].why, "warmer") && strstr(out.of[0].why, "cooler"));
        }
        forget(&l);
    }
}
END_TEST

/* One column of numbers for the one channel, whatever it is called. */
START_TEST(the_only_one)
{
    static const struct {
        const char *text, *channels;
        size_t column; /* 0: none */
    } of[] = {
        {"Time,Thing\n2026-05-16 10:15,20\n2026-05-16 10:16,21\n", "[channel x]\nunit = degC\n", 1},
        {"Time,Thing,Other\n2026-05-16 10:15,20,a\n2026-05-16 10:16,21,b\n",
         "[channel x]\nunit = degC\n", 1},
        {"Time,Other,Thing\n2026-05-16 10:15,a,20\n2026-05-16 10:16,b,21\n",
         "[channel x]\nunit = degC\n", 2},
        {"Time,Thing,Other\n2026-05-16 10:15,20,3\n2026-05-16 10:16,21,4\n",
         "[channel x]\nunit = degC\n", 0},
        {"Time,Thing (L/min)\n2026-05-16 10:15,20\n2026-05-16 10:16,21\n",
         "[channel x]\nunit = degC\n", 0},
        {"Time,Thing\n2026-05-16 10:15,20\n2026-05-16 10:16,21\n",
         "[channel x]\nunit = degC\n[channel y]\nunit = degC\n", 0},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_code code = match(of[i].text, of[i].channels);
        size_t column = code == NR_OK && out.of[0].column != NR_NO_COLUMN ? out.of[0].column : 0;
        ck_assert_msg(column == of[i].column, "row %zu: %zu %s", i, column, l.err.text);
        if (column > 0)
            ck_assert_str_eq(out.of[0].why, "the only column for the only channel");
        forget(&l);
    }
}
END_TEST

/* Every row says in words whose it is: one number, one moment or one empty cell, and it is no such
 * column; one name all along is no doubt. */
START_TEST(whose)
{
    static const struct {
        const char *cell[4];
        bool is;
    } of[] = {{{"tank", "air", "tank", "air"}, true},  {{"tank", "tank", "tank", "air"}, true},
              {{"air", "tank", "tank", "tank"}, true}, {{"tank", "tank", "tank", "tank"}, false},
              {{"tank", "air", "7", "air"}, false},    {{"tank", "air", "12:05", "air"}, false},
              {{"tank", "air", "tank", ""}, false},    {{"", "air", "tank", "air"}, false}};
    static const char *const heads[] = {"Sensor",
                                        "Probe",
                                        "Channel",
                                        "Kanal",
                                        "F\xc3\xbchler",
                                        "Sonde",
                                        "Sensore",
                                        "Capteur",
                                        "Name",
                                        "Variable",
                                        "Parameter",
                                        "Measurement",
                                        "Tag",
                                        "Sensorname",
                                        ("Gr\xc3\xb6\xc3\x9f"
                                         "e"),
                                        "Quantity",
                                        "Site",
                                        "Weather"};
    size_t count = sizeof heads / sizeof *heads;
    for (size_t h = 0; h < count; h++)
        for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
            char text[300];
            snprintf(text, sizeof text, "Time,%s,Value\n", heads[h]);
            for (int r = 0; r < 4; r++) {
                size_t used = strlen(text);
                snprintf(text + used, sizeof text - used, "2026-05-16 10:%02d,%s,%d\n", 15 + r,
                         of[i].cell[r], 18 + r);
            }
            read_table(&l, text);
            nr_code code = nr_table_doubts(&l.table, &l.err);
            bool is = of[i].is && h < count - 2;
            ck_assert_msg(code == (is ? NR_BAD : NR_OK), "%s, row %zu: %s", heads[h], i,
                          l.err.text);
            if (is)
                ck_assert_ptr_nonnull(
                    strstr(l.err.text, of[i].cell[0][0] == 't' ? "(tank, air)" : "(air, tank)"));
            forget(&l);
        }
}
END_TEST

/* A first column that the head does not name: of times behind row numbers in more than half of the
 * rows. Further columns of numbers in a table of commas: decimal commas. */
START_TEST(width)
{
    static const struct {
        const char *text, *words;
    } of[] = {
        {"Time,Tank\n1,2026-05-16 10:15,20\n2,2026-05-16 10:16,21\n3,2026-05-16 10:17,21\n",
         "of row numbers"},
        {"Time;Tank\n1;2026-05-16 10:15;20\n2;2026-05-16 10:16;21\n3;2026-05-16 10:17;21\n",
         "of row numbers"},
        {"Time,Tank\n12:00,18,5\n12:01,18,6\n12:02,18,7\n", "the rows have 3 cells and the head 2"},
        {"Time,Tank\n12:00,18,x\n12:01,18,y\n12:02,18,z\n", NULL},
        {"Time,Tank\n12:00,18\n12:01,18\n12:02,18\n", NULL},
        {"Time;Tank\n12:00;18;5\n12:01;18;6\n12:02;18;7\n", NULL},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        read_table(&l, of[i].text);
        nr_code code = nr_table_doubts(&l.table, &l.err);
        ck_assert_msg(code == (of[i].words ? NR_BAD : NR_OK), "row %zu: %s", i, l.err.text);
        if (of[i].words)
            ck_assert_msg(strstr(l.err.text, of[i].words), "row %zu: %s", i, l.err.text);
        forget(&l);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {supply_and_return, the_only_one, whose, width, NULL};
    return run_tests("match_limits", tests);
}
