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

/* Two columns want one channel, and what speaks for each is weighed: four times the word's points
 * (role_words.c), 30 for all words of the channel's name, 6 for each word of its own, 1 for a unit
 * of its kind and 1 for its very unit, 2 for or against the plane of the sun's sensor; the name
 * itself is above all. */
START_TEST(contests)
{
#define NORTH "[channel north-side]\nunit = degC\nrole = store\n"
#define SUN "[channel sun]\nunit = W_m2\nplane = "
    static const struct {
        const char *channels, *a, *b;
        size_t wins; /* 0: both as good */
    } of[] = {
        {"[channel north-upper-tank]\nunit = degC\nrole = store\n", "north-upper-tank (C)",
         "Tank of north upper (C)", 1},                  /* the name, and 24 + 30 + 18 + 2 */
        {NORTH, "Side north (C)", "Tank (C)", 1},        /* 30 + 12 + 2 and 24 + 2 */
        {NORTH, "North tank side", "Tank (C)", 1},       /* 24 + 30 + 12 and 26 */
        {NORTH, "North tank side", "Side north (C)", 1}, /* 66 and 44 */
        {NORTH, "Tank (F)", "Tank", 1},                  /* 25 and 24 */
        {NORTH, "Tank (F)", "Tank (C)", 2},              /* 25 and 26 */
        {NORTH, "Water (C)", "Tank", 2},                 /* 14 and 24 */
        {NORTH, "Tank (C)", "Storage (C)", 0},           /* 26 and 26 */
        {"[channel store-a]\nunit = degC\nrole = store\n", "Tank A (C)", "Tank B (C)", 1},
        {"[channel store-a]\nunit = degC\nrole = store\n", "Tank A (C)", "Store (C)",
         1}, /* the role's own name is no word of one's own: 24 + 6 + 2 and 24 + 2 */
        {"[channel garden-air]\nunit = degC\nrole = air\n", "Garden (C)", "Ambient (C)",
         2}, /* 12 + 6 + 2 and 24 + 2 */
        {"[channel garden-air]\nunit = degC\nrole = air\n", "Garden garden (C)", "Ambient", 2},
        {"[channel outlet]\nunit = degC\n", "Out (C)", "Hot (C)", 2},        /* 4 + 2 and 16 + 2 */
        {"[channel outlet]\nunit = degC\n", "Out (C),In (C)", "Hot (C)", 0}, /* there is an inlet */
        {"[channel outlet]\nunit = degC\n", "Outflow (C)", "Hot (C)", 1},    /* 24 and 16 */
        {SUN "horizontal\n", "GHI", "POA", 1},
        {SUN "collector\n", "GHI", "POA", 2},
        {SUN "horizontal\n", "Irradiance", "Horizontal irradiance", 2}, /* 24 and 26 */
        {SUN "collector\n", "Irradiance", "Horizontal irradiance", 1},  /* 24 and 22 */
        {SUN "horizontal\n", "Irradiance", "Tilted irradiance", 1},
        {SUN "collector\n", "Irradiance", "Tilted irradiance", 2},
        {SUN "horizontal\n", "Irradiance", "Global tilted irradiance", 0}, /* both are said */
        {SUN "collector\n", "Irradiance", "Global tilted irradiance", 0},
        {SUN "horizontal\n", "Horizontal sol", "Irradiance", 2}, /* 20 + 2 and 24 */
        {SUN "collector\n", "Tilted sol", "Irradiance", 2},
        {SUN "collector\n", "GHI (W/m2)", "Sol (W/m2)", 1}, /* 24 - 2 and 20, and both units */
        {SUN "horizontal\n", "POA (W/m2)", "Sol (W/m2)", 1},
        {SUN "collector\n", "Sol (W/m2)", "Irradiance", 2}, /* 22 and 24 */
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (int turned = 0; turned < 2; turned++) {
            char text[300];
            bool more = strchr(of[i].a, ',') != NULL;
            snprintf(text, sizeof text, "Time,%s,%s\n", turned ? of[i].b : of[i].a,
                     turned ? of[i].a : of[i].b);
            for (int r = 0; r < 3; r++) {
                size_t used = strlen(text);
                snprintf(text + used, sizeof text - used, "2026-05-16 10:%02d:00,%d,%d%s\n", 15 + r,
                         20 + r, 40 - 3 * r, more ? ",7" : "");
            }
            nr_code code = match(text, of[i].channels);
            size_t wins = turned && of[i].wins ? 3 - of[i].wins : of[i].wins;
            ck_assert_msg(code == (wins ? NR_OK : NR_BAD), "row %zu: %s", i, l.err.text);
            if (wins)
                ck_assert_msg(out.of[0].column == wins, "row %zu: %s", i, out.of[0].why);
            else
                ck_assert_ptr_nonnull(strstr(l.err.text, "two columns can be the channel"));
            forget(&l);
        }
}
END_TEST

/* Where no word speaks: the only column of a kind for the only channel of that kind; of a
 * temperature only where its head says nothing else, but then without a unit too. */
START_TEST(by_unit_alone)
{
#define TWO "[channel x]\nunit = degC\n[channel y]\nunit = L_min\n"
    static const struct {
        const char *channels, *heads;
        size_t column[2]; /* of x, y; 0: none */
        const char *refused;
    } of[] = {
        {TWO, "Thing (L/min),Probe 3 (C)", {2, 1}, NULL},
        {TWO, "Thing (L/min),Temp", {2, 1}, NULL},
        {TWO, "Thing (L/min),Thing (C)", {0, 1}, NULL},
        {TWO, "Thing (L/min),Dew point (C)", {0, 1}, NULL},
        {TWO, "Thing (m3/h),Setpoint (C)", {0, 1}, NULL},
        {TWO, "Wind (C),Probe (F)", {2, 0}, NULL}, /* wind's, by its word */
        {TWO, "Thing (V),Probe (F)", {2, 0}, NULL},
        {TWO, "Thing (L/min),Other (L/h)", {0, 0}, "two columns can be the channel y"},
        {TWO, "Probe 1 (C),Probe 2 (C)", {0, 0}, "two columns can be the channel x"},
        {"[channel x]\nunit = degC\n[channel z]\nunit = degC\n",
         "Probe (C),Thing (V)",
         {0, 0},
         "can be the channel x or z"},
        {TWO,
         "Thing (V),Other (kPa)",
         {0, 0},
         "no column can be told to be one of the rig's channels; the columns are: Thing (V), Other "
         "(kPa). Say it: --map \"COLUMN=x\""},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[300];
        snprintf(text, sizeof text, "Time,%s\n", of[i].heads);
        for (int r = 0; r < 3; r++) {
            size_t used = strlen(text);
            snprintf(text + used, sizeof text - used, "2026-05-16 10:%02d:00,%d,%d\n", 15 + r,
                     20 + r, 40 - 3 * r);
        }
        nr_code code = match(text, of[i].channels);
        ck_assert_msg(code == (of[i].refused ? NR_BAD : NR_OK), "row %zu: %s", i, l.err.text);
        for (size_t ch = 0; ch < 2 && code == NR_OK; ch++)
            ck_assert_msg(out.of[ch].column == (of[i].column[ch] ? of[i].column[ch] : NR_NO_COLUMN),
                          "row %zu, channel %zu: %s", i, ch, out.of[ch].why);
        if (of[i].refused)
            ck_assert_msg(strstr(l.err.text, of[i].refused), "row %zu: %s", i, l.err.text);
        forget(&l);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {contests, by_unit_alone, supply_and_return, the_only_one, whose,
                                  width,    NULL};
    return run_tests("match_limits", tests);
}
