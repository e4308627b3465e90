/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which column is which channel: words, units, names, what the user maps, and what is asked. */
#include "logger/import/match.h"
#include "logger/import/zone_told.h"
#include "tests/unit/import/tables.h"

#include <check.h>
#include <stdlib.h>

static nr_code match(looked *l, nr_rig *rig, nr_match *out, const char *head, const char *channels,
                     const char *const *maps, size_t count)
{
    char text[1200], rig_text[600] = "", copy[200], *rest = copy;
    size_t columns = 1;
    for (const char *p = head; *p; p++)
        columns += *p == ',';
    snprintf(text, sizeof text, "Time,%s\n", head);
    for (int r = 0; r < 3; r++) {
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "2026-05-16 10:%02d:00", 15 + r);
        for (size_t c = 0; c < columns; c++) {
            used = strlen(text);
            snprintf(text + used, sizeof text - used, ",%zu.%d", 20 + 3 * c, r);
        }
        strcat(text, "\n");
    }
    snprintf(copy, sizeof copy, "%s", channels);
    for (char *one; (one = strsep(&rest, " ")) != NULL;) {
        char *unit = strchr(one, '=');
        *unit++ = '\0';
        size_t used = strlen(rig_text);
        snprintf(rig_text + used, sizeof rig_text - used, "[channel %s]\nunit = %s\n", one, unit);
    }
    nr_err err = {0};
    ck_assert_msg(nr_rig_parse(rig_text, strlen(rig_text), "rig.ini", NR_RIG_FOR_READINGS, rig,
                               NULL, &err) == NR_OK,
                  "%s", err.text);
    ck_assert_msg(read_times(l, text, "", "", "UTC") == NR_OK, "%s", l->err.text);
    return nr_match_columns(&l->table, &l->plan, rig, maps, count, out, &l->said, &l->err);
}

/* columns: of the channels in their order, from 1 (the time is 1), 0: none; units as in the head.
 */
static const struct {
    const char *head, *channels;
    size_t column[5];
    const char *unit[5];
} good[] = {
    {"Tank (F),Air (F)", "store=degF air=degF", {2, 3}, {"degF", "degF"}},
    {"Air_C,Tank_C,RH_%", "store=degC air=degC", {3, 2}, {"degC", "degC"}},
    {"Irradiance [W/m\xc2\xb2],Au\xc3\x9f"
     "entemperatur [\xc2\xb0"
     "C],Speicher [\xc2\xb0"
     "C]",
     "store=degC air=degC sun=W_m2",
     {4, 3, 2},
     {"degC", "degC", "W_m2"}},
    {"store_degC,sun_W_m2", "store=degF sun=W_m2", {2, 3}, {"degC", "W_m2"}},
    {"Collector in C,Collector out C", "inlet=degC outlet=degC", {2, 3}, {"degC", "degC"}},
    /* A weather station's "out" is the air, with no inlet beside it. */
    {"Temp In (C),Temp Out (C),Tank (C)", "store=degC air=degC", {4, 3}, {"degC", "degC"}},
    {"Temp In (C),Temp Out (C)",
     "inlet=degC outlet=degC air=degC",
     {2, 3, 0},
     {"degC", "degC", ""}},
    {"Wind (km/h),Wind dir,Temp water (C)", "store=degC wind=m_s", {4, 2}, {"degC", "km_h"}},
    {"Dew point (C),Air (C),Tank (C)", "store=degC air=degC", {4, 3}, {"degC", "degC"}},
    {"Tank setpoint (C),Tank (C)", "store=degC", {3}, {"degC"}},
    {"Tank max (C),Tank (C)", "store=degC", {3}, {"degC"}},
    {"Tank,Pressure (kPa)", "store=degC", {2}, {""}},
    {"GHI (W/m2),POA (W/m2)", "sun=W_m2", {3}, {"W_m2"}},
    {"Tank (C),Air temp (C)", "store=degC air=degC sun=W_m2", {2, 3, 0}, {"degC", "degC", ""}},
    {"D\xc3\xa9"
     "bit (l/h),D\xc3\xa9part (\xc2\xb0"
     "C),Retour (\xc2\xb0"
     "C)",
     "flow=L_min",
     {2},
     {"L_h"}},
};

START_TEST(words_and_units)
{
    static looked l;
    static nr_rig rig;
    static nr_match out;
    const char *head = good[_i].head;
    nr_code code = match(&l, &rig, &out, head, good[_i].channels, NULL, 0);
    ck_assert_msg(code == NR_OK, "%s: %s", head, l.err.text);
    for (size_t ch = 0; ch < rig.channels; ch++) {
        size_t wanted = good[_i].column[ch] ? good[_i].column[ch] - 1 : NR_NO_COLUMN;
        ck_assert_msg(out.of[ch].column == wanted, "%s: %s from column %zu", head,
                      rig.channel[ch].name, out.of[ch].column + 1);
        const nr_stated_unit *unit = &out.of[ch].unit;
        bool has = wanted != NR_NO_COLUMN && unit->measure == NR_MEASURE_UNIT;
        ck_assert_msg(strcmp(has ? unit->unit->name : "", good[_i].unit[ch]) == 0, "%s: %s in %s",
                      head, rig.channel[ch].name, has ? unit->unit->name : "nothing");
    }
    forget(&l);
}
END_TEST

static const struct {
    const char *head, *channels, *words;
    const char *map[2];
    size_t maps;
} asked[] = {
    {"Tank top,Tank bottom",
     "store=degC",
     "--map \"Tank top=store\" or --map \"Tank bottom=store\"",
     {NULL},
     0},
    {"Tank (C),Tank (C)", "store=degC", "--map \"2=store\" or --map \"3=store\"", {NULL}, 0},
    {"Temp Out (C),Tank (C)",
     "outlet=degC air=degC",
     "--map \"Temp Out (C)=outlet\" or",
     {NULL},
     0},
    {"Alpha (C),Beta (C),Gamma (C)", "store=degC air=degC", "--map", {NULL}, 0},
    {"Tank (C)", "store=degC", "there is no column \"Barrel\"", {"Barrel=store"}, 1},
    {"Tank (C)", "store=degC", "the rig has no channel \"barrel\"", {"Tank (C)=barrel"}, 1},
    {"Tank (C)", "store=degC", "the unit is not known", {"2=store furlong"}, 1},
    {"Tank (C),Air (C)", "store=degC air=degC", "twice", {"2=store", "3=store"}, 2},
    {"Tank (C)", "store=degC", "--map wants COLUMN=CHANNEL", {"store"}, 1},
};

START_TEST(what_is_asked)
{
    static looked l;
    static nr_rig rig;
    static nr_match out;
    nr_code code =
        match(&l, &rig, &out, asked[_i].head, asked[_i].channels, asked[_i].map, asked[_i].maps);
    ck_assert_msg(code == NR_BAD, "guessed: %s", asked[_i].head);
    ck_assert_msg(strstr(l.err.text, asked[_i].words) != NULL, "%s: %s", asked[_i].head,
                  l.err.text);
    forget(&l);
}
END_TEST

START_TEST(the_user_counts)
{
    static looked l;
    static nr_rig rig;
    static nr_match out;
    const char *const maps[] = {"Tank bottom=store degF", "Tank top=", "4=air"};
    ck_assert_msg(match(&l, &rig, &out, "Tank top,Tank bottom,Thing", "store=degC air=degC", maps,
                        3) == NR_OK,
                  "%s", l.err.text);
    ck_assert_uint_eq(out.of[0].column, 2);
    ck_assert_str_eq(out.of[0].unit.unit->name, "degF");
    ck_assert_uint_eq(out.of[1].column, 3);
    ck_assert_int_eq(out.of[1].unit.measure, NR_MEASURE_NONE); /* the channel's own */
    forget(&l);
}
END_TEST

/* --- the zone that a table names ------------------------------------------------------------- */

static const struct {
    const char *text, *zone;
} zones[] = {
    {"Time (UTC),x\n2026-05-16 10:15,1\n2026-05-16 10:16,2\n", "UTC"},
    {"\"Date Time, GMT-07:00\",x\n2026-05-16 10:15,1\n2026-05-16 10:16,2\n", "UTC-07:00"},
    {"Time zone: Europe/Berlin\n\nTime,x\n2026-05-16 10:15,1\n2026-05-16 10:16,2\n",
     "Europe/Berlin"},
    {"# all times UTC+2\nTime,x\n2026-05-16 10:15,1\n2026-05-16 10:16,2\n", "UTC+02:00"},
    {"Time,x\n2026-05-16 10:15,1\n2026-05-16 10:16,2\n", ""},
    {"Time,UTC offset\n2026-05-16 10:15,2\n2026-05-16 10:16,2\n", ""},
    {"UTC offset of the clock: +2\nTime,x\n2026-05-16 10:15,1\n2026-05-16 10:16,2\n", ""},
    {"Made by the GMT works\nTime,x\n2026-05-16 10:15,1\n2026-05-16 10:16,2\n", ""},
    {"Times UTC\nTime zone: UTC\nTime,x\n2026-05-16 10:15,1\n2026-05-16 10:16,2\n", "UTC"},
    {"Times UTC\nTimes GMT+1\nTime,x\n2026-05-16 10:15,1\n2026-05-16 10:16,2\n", ""},
};

START_TEST(zones_told)
{
    static looked l;
    char zone[NR_ZONE];
    ck_assert_msg(read_times(&l, zones[_i].text, "", "", "UTC") == NR_OK, "%s", l.err.text);
    nr_zone_told(&l.table, &l.plan, zone);
    ck_assert_msg(strcmp(zone, zones[_i].zone) == 0, "\"%s\" of:\n%s", zone, zones[_i].text);
    forget(&l);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("match");
    TCase *all = tcase_create("all");
    tcase_add_loop_test(all, words_and_units, 0, (int)(sizeof good / sizeof *good));
    tcase_add_loop_test(all, what_is_asked, 0, (int)(sizeof asked / sizeof *asked));
    tcase_add_test(all, the_user_counts);
    tcase_add_loop_test(all, zones_told, 0, (int)(sizeof zones / sizeof *zones));
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
