/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each sentence that import says of a table, word for word, and a table beside it of which it is
 * not said: one and several of a thing, limits from both sides. */
#include "tests/unit/import/whole.h"

static whole w;

static const char plain_rig[] = "[channel store]\nunit = degC\n[channel air]\nunit = degC\n";
#define HEAD "Time,Tank (C),Air (C)\n"
#define ROWS "2026-05-16 10:15,20.5,18.5\n2026-05-16 10:16,20.75,18.25\n"
#define LATER "2026-05-16 10:17,21,18\n"

/* said[i] is there, but not where the table is `without`. */
typedef struct pair {
    const char *with, *without, *said;
} pair;

static void check_pairs(const pair *pairs, size_t count, const char *rig,
                        const nr_import_stated *stated)
{
    for (size_t i = 0; i < count; i++) {
        ck_assert_msg(whole_read(&w, pairs[i].with, rig, stated), "%s: %s", pairs[i].with,
                      w.err.text);
        ck_assert_msg(whole_said(&w, pairs[i].said), "%s\nof:%s", pairs[i].said, whole_all(&w));
        whole_forget(&w);
        if (!pairs[i].without)
            continue;
        ck_assert_msg(whole_read(&w, pairs[i].without, rig, stated), "%s: %s", pairs[i].without,
                      w.err.text);
        ck_assert_msg(!whole_said(&w, pairs[i].said), "%s", pairs[i].said);
        whole_forget(&w);
    }
}

START_TEST(of_the_table)
{
    static const pair pairs[] = {
        {"Time,Tank (\xb0"
         "C),Air (\xb0"
         "C)\n" ROWS,
         "Time,Tank (\xc2\xb0"
         "C),Air (\xc2\xb0"
         "C)\n" ROWS,
         "the text is WINDOWS-1252"},
        {"Time;Tank (C);Air (C)\n2026-05-16 10:15;20,5;18\n2026-05-16 10:16;20,7;18\n", HEAD ROWS,
         "cells are parted by semicolon, numbers have a decimal comma"},
        {"Time;Tank (C);Air (C)\n2026-05-16 10:15;20.5;18\n2026-05-16 10:16;20.7;18\n", HEAD ROWS,
         "cells are parted by semicolon, numbers have a decimal point"},
        {"Time\tTank (C)\tAir (C)\n2026-05-16 10:15\t20.5\t18\n2026-05-16 10:16\t20.7\t18\n",
         HEAD ROWS, "cells are parted by tab, numbers have a decimal point"},
        {"Time|Tank (C)|Air (C)\n2026-05-16 10:15|20.5|18\n2026-05-16 10:16|20.7|18\n", HEAD ROWS,
         "cells are parted by bar, numbers have a decimal point"},
        {"Time Tank_C Air_C\n2026-05-16T10:15 20.5 18\n2026-05-16T10:16 20.7 18\n", HEAD ROWS,
         "cells are parted by blanks, numbers have a decimal point"},
        {HEAD "2026-05-16 10:15,\"20,5\",18\n2026-05-16 10:16,\"20,7\",18\n", HEAD ROWS,
         "cells are parted by comma, numbers have a decimal comma"},
        {"Garden bench\n" HEAD ROWS, HEAD ROWS, "1 line before the head left out"},
        {"Garden bench\nby hand\n" HEAD ROWS, "Garden bench\n" HEAD ROWS,
         "2 lines before the head left out"},
        {HEAD ROWS HEAD LATER, HEAD ROWS LATER, "the head is there again 1 time: left out"},
        {HEAD ROWS HEAD LATER HEAD, HEAD ROWS HEAD LATER,
         "the head is there again 2 times: left out"},
        {HEAD ROWS "paused,,\n" LATER, HEAD ROWS LATER,
         "1 line is no reading and left out, the first is line 4"},
        {HEAD ROWS "paused,,\n" LATER "end of it,,\n", HEAD ROWS "paused,,\n" LATER,
         "2 lines are no readings and left out, the first is line 4"},
        {HEAD "2026-05-16 10:15,n/a,18.5\n2026-05-16 10:16,20.75,18.25\n2026-05-16 10:17,21,18\n",
         HEAD ROWS LATER, "store: 1 cell with text (\"n/a\"): left empty"},
        {HEAD "2026-05-16 10:15,n/a,18\n2026-05-16 10:16,20.75,18\n2026-05-16 10:17,none,18\n",
         HEAD "2026-05-16 10:15,,18\n2026-05-16 10:16,20.75,18\n2026-05-16 10:17,,18\n",
         "store: 2 cells with text (\"n/a\"): left empty"},
        {HEAD "2026-05-16 10:15,20,18\n2026-05-16 10:16,-999.9,18\n2026-05-16 10:17,21,18\n",
         HEAD ROWS LATER, "store: 1 time a code for no reading (-999.9): left empty"},
        {HEAD "2026-05-16 10:15,20,18\n2026-05-16 10:16,-999.9,18\n2026-05-16 10:17,-999.9,18\n",
         HEAD ROWS LATER, "store: 2 times a code for no reading (-999.9): left empty"},
        {HEAD "2026-05-16 10:15,20,-127\n2026-05-16 10:16,20,-127\n2026-05-16 10:17,20,-127\n",
         HEAD ROWS LATER, "air: no reading in the whole column; it stays empty"},
        {"Time,Tank (C),Air (C),Mug\n2026-05-16 10:15,20,18,5\n2026-05-16 10:16,20,18,5\n",
         "Time,Tank (C),Air (C),Mug\n2026-05-16 10:15,20,18,\n2026-05-16 10:16,20,18,\n",
         "column without a channel, left out: Mug"},
        {"Time,Tank (C),Air (C),Mug,Pan\n2026-05-16 10:15,20,18,5,6\n2026-05-16 10:16,20,18,5,6\n",
         "Time,Tank (C),Air (C),Mug,Pan\n2026-05-16 10:15,20,18,,6\n2026-05-16 10:16,20,18,,6\n",
         "columns without a channel, left out: Mug, Pan"},
        {"Time,Tank (C)\n2026-05-16 10:15,20.5\n2026-05-16 10:16,20.75\n", HEAD ROWS,
         "no column for: air; left empty"},
        {HEAD ROWS, NULL, "times are by the clocks of UTC"},
        {"Time UTC+02:00,Tank (C),Air (C)\n" ROWS, HEAD ROWS,
         "the table says that its times are of UTC+02:00; --zone UTC was asked for and counts"},
    };
    const nr_import_stated stated = {.zone = "UTC"};
    check_pairs(pairs, sizeof pairs / sizeof *pairs, plain_rig, &stated);
    const nr_import_stated mapped = {
        .zone = "UTC", .map = (const char *const[]){"2=store degC", "3=air degC"}, .maps = 2};
    static const pair bare[] = {
        {ROWS, HEAD ROWS, "the table has no head: columns are named by their number from 1"}};
    check_pairs(bare, 1, plain_rig, &mapped);
}
END_TEST

/* Whose clocks: what the user says, the table, this computer. */
START_TEST(of_the_zone)
{
    static const struct {
        const char *head, *zone, *said;
        double shift_s;
    } of[] = {
        {"Time", "+01:00", "times are by the clocks of UTC+01:00", -3600},
        {"Time (UTC+03:00)", "",
         "times are by the clocks of UTC+03:00, as the table says (--zone says another)", -10800},
        {"Time", NULL,
         "times are by the clocks of UTC, as this computer is set (--zone says another)", 0},
    };
    setenv("TZ", "UTC", 1);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        const nr_import_stated stated = {.zone = of[i].zone};
        char text[200];
        snprintf(text, sizeof text, "%s,Tank (C)\n2026-05-16 10:15,20\n2026-05-16 10:16,21\n",
                 of[i].head);
        ck_assert_msg(whole_read(&w, text, plain_rig, &stated), "%s", w.err.text);
        ck_assert_msg(whole_said(&w, of[i].said), "%s\nof:%s", of[i].said, whole_all(&w));
        ck_assert(w.im.dated);
        /* 2026-05-16 00:00 UTC: day 20589 of 1970 (date -u -d 2026-05-16 +%s). */
        NEAR(w.im.zero_utc_s, 1778889600.0 + 36900 + of[i].shift_s, 1e-6);
        whole_forget(&w);
    }
    /* The same zone twice is no contradiction. */
    const nr_import_stated same = {.zone = "+03:00"};
    ck_assert(whole_read(&w, "Time (UTC+03:00),Tank (C)\n2026-05-16 10:15,20\n2026-05-16 10:16,2\n",
                         plain_rig, &same));
    ck_assert_ptr_null(strstr(whole_all(&w), "was asked for and counts"));
    whole_forget(&w);
}
END_TEST

/* Noon of the clocks, 3.5 hours from the sun's: 52.5 degrees of longitude. */
START_TEST(of_the_site)
{
    static const struct {
        const char *zone, *longitude, *said;
    } of[] = {
        {"UTC", "52.4", NULL},
        {"UTC", "-52.4", NULL},
        {"UTC", "60",
         "noon by the clocks of UTC is 4 hours from the sun's noon at the site (longitude 60): is "
         "the zone right? --zone"},
        {"UTC", "-60",
         "noon by the clocks of UTC is 4 hours from the sun's noon at the site (longitude -60): is "
         "the zone right? --zone"},
        {"UTC", "52.6",
         "noon by the clocks of UTC is 4 hours from the sun's noon at the site (longitude 52.6): "
         "is the zone right? --zone"},
        {"+05:00", "0",
         "noon by the clocks of UTC+05:00 is 5 hours from the sun's noon at the site (longitude "
         "0): is the zone right? --zone"},
        {"+05:00", "75", NULL},
        {"-05:00", "-75", NULL},
        {"-05:00", "0",
         "noon by the clocks of UTC-05:00 is 5 hours from the sun's noon at the site (longitude "
         "0): is the zone right? --zone"},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        const nr_import_stated stated = {.zone = of[i].zone};
        char rig[200];
        snprintf(rig, sizeof rig,
                 "[site]\nlatitude_deg = 45\nlongitude_deg = %s\n[channel store]\nunit = degC\n",
                 of[i].longitude);
        ck_assert_msg(whole_read(&w, HEAD ROWS, rig, &stated), "%s", w.err.text);
        if (of[i].said)
            ck_assert_msg(whole_said(&w, of[i].said), "%s\nof:%s", of[i].said, whole_all(&w));
        else
            ck_assert_msg(!strstr(whole_all(&w), "is the zone right"), "%s", whole_all(&w));
        whole_forget(&w);
    }
    /* Stamps with an offset of their own, or no date, or no site: nothing to doubt. */
    const nr_import_stated utc = {.zone = "UTC"};
    ck_assert(whole_read(&w, "Time,Tank (C)\n2026-05-16T10:15Z,20\n2026-05-16T10:16Z,21\n",
                         "[site]\nlongitude_deg = 150\n[channel store]\nunit = degC\n", &utc));
    ck_assert_ptr_null(strstr(whole_all(&w), "is the zone right"));
    whole_forget(&w);
    ck_assert(whole_read(&w, "Time,Tank (C)\n10:15,20\n10:16,21\n",
                         "[site]\nlongitude_deg = 150\n[channel store]\nunit = degC\n", &utc));
    ck_assert_ptr_null(strstr(whole_all(&w), "is the zone right"));
    whole_forget(&w);
    ck_assert(whole_read(&w, HEAD ROWS, plain_rig, &utc));
    ck_assert_ptr_null(strstr(whole_all(&w), "is the zone right"));
    whole_forget(&w);
}
END_TEST

/* A column without a unit, for a channel in degC: of ten rows the second lowest is above 60 (50 for
 * air). */
START_TEST(of_degrees)
{
    static const struct {
        const char *head, *channel, *unit;
        double low;
        int lows; /* so many of ten rows are at low, the others at 90 */
        bool doubted;
    } of[] = {
        {"Tank", "store", "degC", 60, 2, false},    {"Tank", "store", "degC", 60.5, 2, true},
        {"Tank", "store", "degC", 20, 1, true},     {"Tank", "store", "degC", 20, 2, false},
        {"Inlet", "inlet", "degC", 60, 2, false},   {"Inlet", "inlet", "degC", 60.5, 2, true},
        {"Air", "air", "degC", 50, 2, false},       {"Air", "air", "degC", 50.5, 2, true},
        {"Outlet", "outlet", "degC", 70, 2, false}, {"Tank (C)", "store", "degC", 70, 2, false},
        {"Tank", "store", "degF", 70, 2, false},
    };
    const nr_import_stated stated = {.zone = "UTC"};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[600], rig[100], said[200];
        snprintf(text, sizeof text, "Time,%s\n", of[i].head);
        for (int r = 0; r < 10; r++)
            whole_add(text, sizeof text, "2026-05-16 10:%02d,%g\n", 15 + r,
                      (r * 7) % 10 < of[i].lows ? of[i].low : 90);
        snprintf(rig, sizeof rig, "[channel %s]\nunit = %s\n", of[i].channel, of[i].unit);
        ck_assert_msg(whole_read(&w, text, rig, &stated), "%s", w.err.text);
        snprintf(said, sizeof said,
                 "%s: numbers like 90 look like degF, but the channel is in degC and the table "
                 "names no unit; if so, say --map \"2=%s degF\"",
                 of[i].channel, of[i].channel);
        ck_assert_msg(whole_said(&w, said) == of[i].doubted, "row %zu:%s", i, whole_all(&w));
        whole_forget(&w);
    }
}
END_TEST

/* Beyond low and high, from both sides; what a law does not answer. */
START_TEST(of_what_is_outside)
{
    static const struct {
        const char *cell[3];
        int outside;
    } of[] = {{{"5", "50", "20"}, 0}, {{"4.9", "50", "20"}, 1}, {{"5", "50.1", "20"}, 1},
              {{"4", "51", "20"}, 2}, {{"4", "51", "52"}, 3},   {{"", "51", "20"}, 1}};
    const nr_import_stated stated = {.zone = "UTC"};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[300] = "Time,Tank (C),Air (C)\n", said[160];
        for (int r = 0; r < 3; r++)
            whole_add(text, sizeof text, "2026-05-16 10:%02d,%s,15\n", 15 + r, of[i].cell[r]);
        ck_assert(whole_read(&w, text,
                             "[channel store]\nunit = degC\nlow = 5\nhigh = 50\n"
                             "[channel air]\nunit = degC\n",
                             &stated));
        snprintf(said, sizeof said,
                 "store: %d value%s beyond its low or high, or none its `convert` answers: left "
                 "empty",
                 of[i].outside, of[i].outside == 1 ? "" : "s");
        ck_assert_msg(whole_said(&w, said) == (of[i].outside > 0), "row %zu:%s", i, whole_all(&w));
        for (size_t r = 0; r < 3; r++) {
            double v = of[i].cell[r][0] ? strtod(of[i].cell[r], NULL) : NAN;
            if (v >= 5 && v <= 50)
                NEAR(whole_at(&w, r, 0), v, 1e-12);
            else
                ck_assert(isnan(whole_at(&w, r, 0)));
            NEAR(whole_at(&w, r, 1), 15, 1e-12);
        }
        whole_forget(&w);
    }
}
END_TEST

START_TEST(of_planes_and_units)
{
    static const char sun[] = "[channel sun]\nunit = W_m2\n[channel store]\nunit = degC\n";
    static const char level[] =
        "[channel sun]\nunit = W_m2\nplane = horizontal\n[channel store]\nunit = degC\n";
    const nr_import_stated utc = {.zone = "UTC"};
#define SUN_ROWS "2026-05-16 10:15,700,20\n2026-05-16 10:16,705,20\n"
    static const char *const heads[] = {"GHI (W/m2)", "Global irradiance (W/m2)",
                                        "Horizontal irradiance (W/m2)"};
    for (size_t i = 0; i < 3; i++) {
        char text[200], said[200];
        snprintf(text, sizeof text, "Time,%s,Tank (C)\n" SUN_ROWS, heads[i]);
        snprintf(said, sizeof said,
                 "sun: \"%s\" is on the horizontal, as a weather station measures; say `plane = "
                 "horizontal` in [channel sun]",
                 heads[i]);
        ck_assert(whole_read(&w, text, sun, &utc));
        ck_assert_msg(whole_said(&w, said), "%s", whole_all(&w));
        whole_forget(&w);
        ck_assert(whole_read(&w, text, level, &utc));
        ck_assert_ptr_null(strstr(whole_all(&w), "on the horizontal"));
        whole_forget(&w);
    }
    ck_assert(whole_read(&w, "Time,POA (W/m2),Tank (C)\n" SUN_ROWS, sun, &utc));
    ck_assert_ptr_null(strstr(whole_all(&w), "on the horizontal"));
    whole_forget(&w);
    ck_assert(whole_read(&w, "Time,Global thing,Tank (C)\n" SUN_ROWS, plain_rig, &utc));
    ck_assert_ptr_null(strstr(whole_all(&w), "on the horizontal"));
    whole_forget(&w);
    ck_assert(whole_read(&w, "Time,Mug (mol/m3),Tank (C)\n" SUN_ROWS, plain_rig, &utc));
    ck_assert_msg(strstr(whole_all(&w), "left out: Mug (mol/m3) (its unit is not known here)"),
                  "%s", whole_all(&w));
    whole_forget(&w);
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {of_the_table,       of_the_zone,         of_the_site, of_degrees,
                                  of_what_is_outside, of_planes_and_units, NULL};
    return run_tests("import_said", tests);
}
