/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What in a rig file belongs together, case by case: every combination of what may stand in it, and
 * whether it is refused, by rules said here once more. */
#include "tests/unit/run/rig_fixture.h"

static nr_rig rig;
static told heard;

/* The problems that are told of a rig; *rig is usable where there are none. */
static int problems(const char *text, nr_rig_need need)
{
    nr_sink sink = {tell, &heard};
    heard.count = 0;
    nr_code code = nr_rig_parse(text, strlen(text), "rig.ini", need, &rig, &sink, NULL);
    ck_assert((code == NR_OK) == (heard.count == 0));
    return heard.count;
}

/* One that says this, or none of them where it is not expected. */
static void check(const char *text, nr_rig_need need, bool refused, const char *words)
{
    int count = problems(text, need), with = 0;
    for (int i = 0; i < count; i++)
        with += strstr(heard.line[i], words) != NULL;
    ck_assert_msg((with > 0) == refused, "\"%s\" %s of:\n%s\n%s", words,
                  refused ? "is not said" : "is said", text, count ? heard.line[0] : "");
}

/* An infrared thermometer's keys are its own, and the first two of them go together. */
START_TEST(emissivities)
{
    static const char *const lines[] = {"emissivity = 0.9\n", "surroundings = 20\n",
                                        "emissivity_set = 0.95\n", "instrument = 25\n"};
    static const char *const kinds[] = {"", "kind = infrared\n", "kind = glass\n"};
    for (unsigned set = 0; set < 16; set++)
        for (int kind = 0; kind < 3; kind++) {
            char text[300];
            snprintf(text, sizeof text, "[channel x]\nunit = degC\n%s", kinds[kind]);
            for (unsigned i = 0; i < 4; i++)
                if (set & 1u << i)
                    strcat(text, lines[i]);
            bool alien = set != 0 && kind != 1, surface = set & 1, around = set & 2;
            check(text, NR_RIG_FOR_READINGS, alien, "is of an infrared thermometer");
            check(text, NR_RIG_FOR_READINGS, !alien && surface != around, "belong together");
            if (heard.count)
                continue;
            const nr_rig_channel *c = &rig.channel[0];
            ck_assert(surface ? c->emissivity == 0.9 : isnan(c->emissivity));
            ck_assert(around ? c->surroundings == 20 : isnan(c->surroundings));
            NEAR(c->emissivity_set, 0.95, 0); /* the usual setting is the same */
            if (set & 8)
                NEAR(c->instrument, 25, 0);
            else
                ck_assert(around ? c->instrument == 20 : isnan(c->instrument));
        }
}
END_TEST

/* A thermocouple has one reference junction: stated, or a temperature of a sensor that wants none;
 * other laws have none. */
START_TEST(junctions)
{
    static const char *const laws[] = {"none", "thermocouple_k", "thermocouple_t", "linear"};
    static const struct {
        const char *line;
        bool there, good;
    } colds[] = {{"", false, false},
                 {"cold_channel = board\n", true, true},
                 {"cold_channel = nowhere\n", true, false},
                 {"cold_channel = volts\n", true, false},
                 {"cold_channel = other\n", true, false}};
    for (int law = 0; law < 4; law++)
        for (size_t cold = 0; cold < sizeof colds / sizeof *colds; cold++)
            for (int fixed = 0; fixed < 2; fixed++) {
                char text[600];
                bool wants = law == 1 || law == 2;
                if (fixed && !wants)
                    continue; /* then it is another law's key, which is refused as such */
                snprintf(text, sizeof text,
                         "[channel board]\nunit = degC\nfield = a\n[channel volts]\nunit = V\n"
                         "field = b\n[channel other]\nunit = degC\nfield = c\n"
                         "convert = thermocouple_k\ncold_degC = 20\n"
                         "[channel x]\nunit = degC\nfield = d\nconvert = %s\n%s%s",
                         laws[law], colds[cold].line, fixed ? "cold_degC = 20\n" : "");
                check(text, NR_RIG_FOR_READINGS, !wants && colds[cold].there, "has no use for it");
                check(text, NR_RIG_FOR_READINGS, wants && !colds[cold].there && !fixed,
                      "needs the temperature of the reference junction");
                check(text, NR_RIG_FOR_READINGS, wants && colds[cold].there && fixed,
                      "both cold_channel and cold_degC");
                check(text, NR_RIG_FOR_READINGS, wants && cold == 2 && !fixed,
                      "there is no section [channel nowhere]");
                check(text, NR_RIG_FOR_READINGS, wants && cold > 2 && !fixed,
                      "that must be a temperature");
                bool good = wants ? fixed != colds[cold].good && (colds[cold].good || cold == 0)
                                  : cold == 0;
                ck_assert_msg((heard.count == 0) == good, "%s: %d problems", text, heard.count);
            }
}
END_TEST

/* Where a channel's number is in the line: for each kind of line, with and without the adapter's
 * own counter, with and without a field, for recording and for readings that are there. */
START_TEST(fields)
{
    static const char *const kinds[] = {"line = pairs\n", "line = values\n", "kind = modbus\n"};
    static const char *const clocks[] = {"", "clock = adapter\n", "clock_field = 2\n",
                                         "clock = adapter\nclock_field = 2\n",
                                         "clock = adapter\nclock_field = t\n"};
    static const char *const places[] = {"",
                                         "field = 1\n",
                                         "field = 2\n",
                                         "field = t\n",
                                         "field = ms\n",
                                         "field = 1000\n",
                                         "field = 1001\n"};
    for (int kind = 0; kind < 3; kind++)
        for (int clock = 0; clock < 5; clock++)
            for (int place = 0; place < 7; place++)
                for (int record = 0; record < 2; record++) {
                    char text[400];
                    nr_rig_need need = record ? NR_RIG_FOR_RECORD : NR_RIG_FOR_READINGS;
                    snprintf(text, sizeof text, "[adapter]\n%s%s[channel x]\nunit = degC\n%s",
                             kinds[kind], clocks[clock], places[place]);
                    bool values = kind == 1, counts = clock == 1 || clock > 2;
                    bool index = place == 1 || place == 2 || place == 5;
                    /* where the counter stands when nothing is said of it */
                    const char *counter = clock == 1   ? (values ? "1" : "ms")
                                          : clock == 4 ? "t"
                                                       : "2";
                    char field[20] = "";
                    sscanf(places[place], "field = %19s", field);
                    bool bad_index = values && place > 0 && !index;
                    check(text, need, clock == 2, "clock = host does not read it");
                    check(text, need, values && clock == 4, "clock_field = \"t\"");
                    check(text, need, kind == 2 && counts, "it has no clock of its own");
                    check(text, need, record && kind == 2, "modbus_register is missing");
                    check(text, need, record && values && place == 0, "field is missing");
                    check(text, need, bad_index, "] field = \"");
                    check(text, need,
                          counts && place > 0 && !bad_index && !(record && kind == 2) &&
                              strcmp(field, counter) == 0,
                          "is where the adapter's clock stands");
                    if (heard.count)
                        continue;
                    ck_assert_str_eq(rig.channel[0].field, place ? field : values ? "" : "x");
                    if (counts)
                        ck_assert_str_eq(rig.adapter[0].clock_field, counter);
                }
}
END_TEST

/* Two channels are one where they read the same place of the same adapter by the same law. */
START_TEST(copies)
{
    for (unsigned other = 0; other < 16; other++) { /* what the second has of its own */
        char text[500];
        snprintf(text, sizeof text,
                 "[adapter a]\nline = values\n[adapter b]\nline = values\n"
                 "[channel x]\nunit = degC\nadapter = a\nfield = 1\n"
                 "[channel y]\nunit = %s\nadapter = %s\nfield = %s\nconvert = %s\n",
                 other & 1 ? "V" : "degC", other & 2 ? "b" : "a", other & 4 ? "2" : "1",
                 other & 8 ? "linear" : "none");
        check(text, NR_RIG_FOR_RECORD, (other & 14) == 0, "reads the same field as [channel x]");
        snprintf(text, sizeof text,
                 "[adapter]\nkind = modbus\n"
                 "[channel x]\nunit = degC\nmodbus_register = 5\nmodbus_unit = 2\n"
                 "[channel y]\nunit = degC\nmodbus_register = %s\nmodbus_unit = %s\n%s%s",
                 other & 1 ? "6" : "5", other & 2 ? "3" : "2",
                 other & 4 ? "modbus_type = u16\n" : "", other & 8 ? "convert = linear\n" : "");
        check(text, NR_RIG_FOR_RECORD, other == 0, "reads the same field as [channel x]");
    }
}
END_TEST

/* In degF: a temperature is (t - 32) 5/9, a difference 5/9 of it, whatever the key is called. */
START_TEST(numbers_in_the_channels_unit)
{
    problems("[channel x]\nunit = degF\nlow = 14\nhigh = 212\noffset = 1.8\nu_offset = 0.9\n"
             "u_drift = 0.36\nresolution = 0.18\nu_gain = 0.02\nlag_s = 7\nkind = infrared\n"
             "emissivity = 0.8\nsurroundings = 50\ninstrument = 68\nemissivity_set = 0.9\n",
             NR_RIG_FOR_READINGS);
    ck_assert_msg(heard.count == 0, "%s", heard.line[0]);
    const nr_rig_channel *c = &rig.channel[0];
    const struct {
        double is, wanted;
    } of[] = {{c->low, -10},         {c->high, 100},      {c->correct_offset, 1},
              {c->u_offset, 0.5},    {c->u_drift, 0.2},   {c->resolution, 0.1},
              {c->u_gain, 0.02},     {c->lag_s, 7},       {c->emissivity, 0.8},
              {c->surroundings, 10}, {c->instrument, 20}, {c->emissivity_set, 0.9}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        NEAR(of[i].is, of[i].wanted, 1e-12);
    static const double lows[] = {20, 20, 20.1};
    for (int i = 0; i < 3; i++) {
        char text[200];
        snprintf(text, sizeof text, "[channel x]\nunit = degC\nlow = %g\nhigh = %g\n", lows[i],
                 i == 0 ? 20.1 : 20.0);
        check(text, NR_RIG_FOR_READINGS, i > 0, "low is not below high");
    }
}
END_TEST

/* Each key of each law: as believed as its own limits say, on both sides of both, and its default
 * where it is left out. */
START_TEST(keys_of_laws)
{
    for (const nr_law *law = nr_laws; law->name; law++)
        for (int i = 0; i < NR_LAW_MAX_KEYS && law->keys[i].name; i++) {
            const nr_law_key *key = &law->keys[i];
            double low = key->low, high = key->high, tiny = 1e-9;
            const double at[] = {low - tiny * fmax(fabs(low), 1e-9), low, high,
                                 high + tiny * fabs(high)};
            if (strcmp(key->name, "offset") == 0)
                continue; /* of a linear law: the channel's own */
            for (int k = 0; k < 4; k++) {
                char text[300], words[100];
                snprintf(text, sizeof text, "[channel x]\nunit = %s\nconvert = %s\n%s = %.17g\n",
                         law->unit ? law->unit : "V", law->name, key->name, at[k]);
                snprintf(words, sizeof words, "] %s = \"", key->name);
                check(text, NR_RIG_FOR_READINGS, k == 0 || k == 3, words);
                if (k == 1 || k == 2)
                    NEAR(rig.channel[0].coefficient[i], at[k], 0);
            }
        }
}
END_TEST

/* --- whose is it? -------------------------------------------------------------------------------
 */

/* Two builds, two channels: each with a name, a role and an owner of every sort. */
static const char *const names[] = {"store", "air", "x"};
static const char *const roles[] = {"", "store", "air"};
static const char *const owners[] = {"", "a", "b"};

static const char *meant(int name, int role)
{
    return role ? roles[role] : name < 2 ? names[name] : "";
}

START_TEST(two_of_one_meaning)
{
    for (int k = 0; k < 81; k++) {
        int role[2] = {k % 3, k / 3 % 3}, owner[2] = {k / 9 % 3, k / 27 % 3};
        for (int n = 0; n < 6; n++) {
            int name[2] = {n % 3, (n % 3 + 1 + n / 3) % 3};
            char text[600] = "[collector a]\ngross_area_m2 = 1\n[collector b]\ngross_area_m2 = 1\n";
            for (int i = 0; i < 2; i++) {
                size_t used = strlen(text);
                snprintf(text + used, sizeof text - used, "[channel %s]\nunit = degC\n%s%s%s%s%s%s",
                         names[name[i]], role[i] ? "role = " : "", roles[role[i]],
                         role[i] ? "\n" : "", owner[i] ? "of = " : "", owners[owner[i]],
                         owner[i] ? "\n" : "");
            }
            const char *of[2] = {meant(name[0], role[0]), meant(name[1], role[1])};
            bool rivals = of[0][0] && strcmp(of[0], of[1]) == 0 && owner[0] == owner[1];
            check(text, NR_RIG_FOR_ANALYSIS, rivals, "give one of them another role");
            bool whose = false; /* a container is one collector's, the air is everybody's */
            for (int i = 0; i < 2; i++)
                whose = whose || (strcmp(of[i], "store") == 0 && owner[i] == 0);
            check(text, NR_RIG_FOR_ANALYSIS, whose, "whose is it?");
            if (heard.count)
                continue;
            for (size_t build = 0; build < 2; build++)
                for (int m = 1; m < 3; m++) {
                    int wanted = -1; /* a build's own before one that is shared */
                    for (int i = 0; i < 2; i++)
                        if (strcmp(of[i], roles[m]) == 0 &&
                            (owner[i] == (int)build + 1 || (owner[i] == 0 && wanted < 0)))
                            wanted = i;
                    const nr_rig_channel *is = nr_rig_channel_of(&rig, build, roles[m]);
                    ck_assert_msg(is == (wanted < 0 ? NULL : &rig.channel[wanted]), "%s in\n%s",
                                  roles[m], text);
                    static nr_rig view;
                    nr_rig_view(&rig, build, &view);
                    const nr_rig_channel *seen = nr_rig_channel_find(&view, roles[m]);
                    ck_assert((seen != NULL) == (wanted >= 0));
                    ck_assert(!seen || strcmp(seen->column, rig.channel[wanted].column) == 0);
                }
        }
    }
}
END_TEST

/* A sensor in two places is refused where analysis knows both. */
START_TEST(sensors)
{
    for (int k = 0; k < 12; k++) {
        char text[300];
        bool known = k % 2, same = k / 2 % 2;
        int named = k / 4; /* both, the first, none */
        snprintf(text, sizeof text,
                 "[channel store]\nunit = degC\n%s[channel %s]\nunit = degC\n%s%s\n",
                 named < 2 ? "sensor = p1\n" : "", known ? "air" : "y",
                 named < 1 ? "sensor = " : "", named < 1 ? (same ? "p1" : "p2") : "");
        check(text, NR_RIG_FOR_READINGS, known && same && named == 0, "cannot be in two places");
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        emissivities, junctions,          fields,  copies, numbers_in_the_channels_unit,
        keys_of_laws, two_of_one_meaning, sensors, NULL};
    return run_tests("rig_cases", tests);
}
