/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A table all of the way to readings: where its first row lies on the calendar, the seconds since,
 * every unit and law of a channel. Seconds are the C library's calendar; readings are worked out
 * here by the laws' own words (convert.h). */
#include "tests/unit/import/whole.h"

#include <time.h>

static whole w;

static const char store[] = "[channel store]\nunit = degC\n";
#define UTC .zone = "UTC"

static double utc_of(int year, int month, int day, int hour, int minute)
{
    struct tm tm = {.tm_year = year - 1900,
                    .tm_mon = month - 1,
                    .tm_mday = day,
                    .tm_hour = hour,
                    .tm_min = minute};
    return (double)timegm(&tm);
}

/* --- when it began ---------------------------------------------------------------------------- */

/* What --start can be: a date that can be read in one way; a time behind it. */
START_TEST(starts)
{
    static const struct {
        const char *start;
        int year, month, day, minute; /* 0: refused */
    } of[] = {
        {"2026-05-16 10:15", 2026, 5, 16, 615},
        {"16 May 2026 0:30", 2026, 5, 16, 30},
        {"5/16/2026 10:15", 2026, 5, 16, 615},
        {"16/5/2026 10:15", 2026, 5, 16, 615},
        {"5/16/26 10:15", 2026, 5, 16, 615},
        {"16-5-26 10:15", 2026, 5, 16, 615},
        {"7/7/2026 10:15", 2026, 7, 7, 615},
        {"12/12/2026 10:15", 2026, 12, 12, 615},
        {"5.6.2026 10:15", 2026, 6, 5, 615},
        {"12.11.2026 10:15", 2026, 11, 12, 615},
        {"5/6/2026 10:15", 0, 0, 0, 0},
        {"12-11-2026 10:15", 0, 0, 0, 0},
        {"13/12/2026 10:15", 2026, 12, 13, 615},
        {"12/13/2026 10:15", 2026, 12, 13, 615},
        {"13/13/2026 10:15", 0, 0, 0, 0},
        {"31/4/2026 10:15", 0, 0, 0, 0},
        {"30/4/2026 10:15", 2026, 4, 30, 615},
        {"10:15", 0, 0, 0, 0},
        {"noon", 0, 0, 0, 0},
        {"1.1.1970", 1970, 1, 1, 0},
    };
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        const nr_import_stated stated = {UTC, .start = of[i].start};
        bool read = whole_read(&w, "Time (s),Tank (C)\n0,20\n10,21\n", store, &stated);
        ck_assert_msg(read == (of[i].year > 0), "%s: %s", of[i].start, w.err.text);
        if (read) {
            ck_assert(w.im.dated);
            NEAR_AT(of[i].start, w.im.zero_utc_s,
                    utc_of(of[i].year, of[i].month, of[i].day, 0, of[i].minute), 1e-6);
        } else {
            ck_assert_str_eq(w.err.text,
                             "--start wants a date and a time like \"2026-05-16 10:15\"");
        }
        whole_forget(&w);
    }
}
END_TEST

/* The first row is at --start, whatever its count says; a count that began within the last day
 * stays as it is. Without --start the count is from 1970. */
START_TEST(counts)
{
    static const struct {
        const char *first;
        double first_s;
        bool kept;
    } of[] = {{"0", 0, true},          {"5", 5, true},         {"86399", 86399, true},
              {"86400", 86400, false}, {"100000", 1e5, false}, {"-5", -5, false}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++)
        for (int known = 0; known < 2; known++) {
            const nr_import_stated stated = {.zone = "+02:00",
                                             .start = known ? "2026-05-16 10:15" : ""};
            char text[200];
            snprintf(text, sizeof text, "Time (s),Tank (C)\n%s,20\n%.4f,21\n%.4f,22\n", of[i].first,
                     of[i].first_s + 10.0004, of[i].first_s + 20.0006);
            ck_assert_msg(whole_read(&w, text, store, &stated), "%s", w.err.text);
            ck_assert_int_eq(w.im.dated, known);
            double first = of[i].kept ? of[i].first_s : 0;
            NEAR(w.im.elapsed_s[0], first, 1e-9);
            NEAR(w.im.elapsed_s[1], first + 10, 1e-9); /* milliseconds */
            NEAR(w.im.elapsed_s[2], first + 20.001, 1e-9);
            if (known)
                NEAR(w.im.zero_utc_s + w.im.elapsed_s[0], utc_of(2026, 5, 16, 8, 15), 1e-6);
            else
                NEAR(w.im.zero_utc_s, 0, 1e-9);
            ck_assert(whole_said(&w, "the table has no date, only the time since its start: "
                                     "time_utc counts from 1970-01-01; where the sun stood is not "
                                     "known (--start \"2026-05-16 10:15\" says when it began)") ==
                      !known);
            whole_forget(&w);
        }
}
END_TEST

/* Times of day: of --start the date alone counts. */
START_TEST(clocks)
{
    for (int known = 0; known < 2; known++) {
        const nr_import_stated stated = {.zone = "-03:00",
                                         .start = known ? "2026-05-16 07:45" : NULL};
        ck_assert(whole_read(&w, "Time,Tank (C)\n10:15,20\n10:17,21\n", store, &stated));
        double first = known ? utc_of(2026, 5, 16, 13, 15) : 36900;
        NEAR(w.im.zero_utc_s, first, 1e-6);
        NEAR(w.im.elapsed_s[0], 0, 1e-9);
        NEAR(w.im.elapsed_s[1], 120, 1e-9);
        ck_assert(whole_said(&w,
                             "the table has times of day without a date: time_utc counts from "
                             "1970-01-01; where the sun stood is not known (--start \"2026-05-16 "
                             "10:15\" says when it began)") == !known);
        whole_forget(&w);
    }
}
END_TEST

/* A line above the head that names a date, and only one; words for it in some languages. */
START_TEST(dates_above)
{
    static const struct {
        const char *above;
        int day; /* of May 2026; 0: not taken */
        int minute;
    } of[] = {
        {"Date: 2026-05-16\n", 16, 615},
        {"Date,2026-05-16\n", 16, 615},
        {"Datum: 16.05.2026\n", 16, 615},
        {"Fecha 17/05/2026\n", 17, 615},
        {"data: 5/18/2026\n", 18, 615},
        {"Day: 19 May 2026\n", 19, 615},
        {"Start: 2026-05-16 08:00\n", 16, 615},
        {"Started: 2026-05-16\n", 16, 615},
        {"Begin: 2026-05-16\n", 16, 615},
        {"Beginn: 2026-05-16\n", 16, 615},
        {"debut: 2026-05-16\n", 16, 615},
        {"inicio: 2026-05-16\n", 16, 615},
        {"inizio: 2026-05-16\n", 16, 615},
        {"Tag: 2026-05-16\n", 16, 615},
        {"jour: 2026-05-16\n", 16, 615},
        {"dia: 2026-05-16\n", 16, 615},
        {"giorno: 2026-05-16\n", 16, 615},
        {"Made: 2026-05-16\n", 0, 615},
        {"Date: 5/6/2026\n", 0, 615},
        {"Date: Friday\n", 0, 615},
        {"Date: 2026-05-16\nDate: 2026-05-17\n", 0, 615},
        {"Date: 2026-05-16\nPlace: garden\n", 16, 615},
        {"Bench 1\nDate: 2026-05-16\n", 16, 615},
        {"", 0, 615},
    };
    const nr_import_stated stated = {UTC};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char text[300], said[200];
        snprintf(text, sizeof text, "%sTime,Tank (C)\n10:15,20\n10:17,21\n", of[i].above);
        ck_assert_msg(whole_read(&w, text, store, &stated), "%s: %s", of[i].above, w.err.text);
        ck_assert_msg(w.im.dated == (of[i].day > 0), "%s", of[i].above);
        NEAR_AT(of[i].above, w.im.zero_utc_s,
                of[i].day ? utc_of(2026, 5, of[i].day, 0, of[i].minute) : 36900, 1e-6);
        bool two = strchr(of[i].above, '\n') != NULL && strchr(of[i].above, '\n')[1] != '\0';
        if (of[i].day && !two && !strchr(of[i].above, ',')) {
            snprintf(said, sizeof said, "the date is from above the head: %.*s",
                     (int)strlen(of[i].above) - 1, of[i].above);
            ck_assert_msg(whole_said(&w, said), "%s:%s", said, whole_all(&w));
        }
        whole_forget(&w);
    }
    /* Cells of one line belong together; what the user says counts first. */
    const nr_import_stated told = {UTC, .start = "2025-01-02 03:04"};
    ck_assert(whole_read(&w, "Date,,2026-05-16\nTime,Tank (C),x\n10:15,20,1\n10:17,21,1\n", store,
                         &stated));
    NEAR(w.im.zero_utc_s, utc_of(2026, 5, 16, 10, 15), 1e-6);
    whole_forget(&w);
    ck_assert(whole_read(&w, "Date: 2026-05-16\nTime (s),Tank (C)\n0,20\n10,21\n", store, &told));
    NEAR(w.im.zero_utc_s, utc_of(2025, 1, 2, 3, 4), 1e-6);
    whole_forget(&w);
    ck_assert(
        whole_read(&w, "Date: 2026-05-16 09:00\nTime (s),Tank (C)\n0,20\n10,21\n", store, &stated));
    NEAR(w.im.zero_utc_s, utc_of(2026, 5, 16, 9, 0), 1e-6);
    whole_forget(&w);
}
END_TEST

/* A thousand million seconds are thirty-one years. */
START_TEST(spans)
{
    const nr_import_stated stated = {UTC};
    ck_assert(whole_read(&w, "Time (s),Tank (C)\n0,20\n1000000000,21\n", store, &stated));
    NEAR(w.im.elapsed_s[1], 1e9, 0);
    whole_forget(&w);
    ck_assert(!whole_read(&w, "Time (s),Tank (C)\n0,20\n1000000001,21\n", store, &stated));
    ck_assert_ptr_nonnull(strstr(w.err.text, "span more than thirty years"));
    whole_forget(&w);
}
END_TEST

/* --- what was read ---------------------------------------------------------------------------- */

/* Units of the head: of the numbers; none: the channel's own. A law's channel takes what no unit
 * fits. Rows: 20 + r in the first column and so on. */
START_TEST(units_and_laws)
{
    static const char rig[] = "[channel hot]\nrole = box\nunit = degC\nconvert = thermocouple_k\n"
                              "cold_channel = cold\n"
                              "[channel air]\nunit = degF\n"
                              "[channel store]\nunit = degC\n"
                              "[channel sun]\nunit = W_m2\nconvert = linear\ngain = 2\noffset = 3\n"
                              "[channel flow]\nunit = L_min\n"
                              "[channel cold]\nunit = degC\n"
                              "[channel wind]\nunit = m_s\nconvert = stated\nvalue = 1.5\n";
    static const char head[] = "Time,cold (C),hot (mV),Tank (F),Air,Sun (mV),Flow (l/h),Mug\n";
    const nr_import_stated stated = {UTC};
    char text[600];
    snprintf(text, sizeof text, "%s", head);
    for (int r = 0; r < 4; r++)
        whole_add(text, sizeof text, "2026-05-16 10:%02d,%d,%.3f,%d,%d,%d,%d,%d\n", 15 + r, 20 + r,
                  2.023 + r, 68 + 9 * r, 50 + 18 * r, 100 + r, 60 * (1 + r), r);
    ck_assert_msg(whole_read(&w, text, rig, &stated), "%s", w.err.text);
    ck_assert_uint_eq(w.rig.channels, 7);
    ck_assert_uint_eq(w.im.rows.count, 4);
    for (size_t r = 0; r < 4; r++) {
        double n = (double)r;
        double hot = w.rig.channel[0].law->eval(2.023 + n, w.rig.channel[0].coefficient, 20 + n);
        NEAR(whole_at(&w, r, 0), hot, 1e-9);
        NEAR(whole_at(&w, r, 1), (50 + 18 * n - 32) * 5 / 9, 1e-9);
        NEAR(whole_at(&w, r, 2), 20 + 5 * n, 1e-9);
        NEAR(whole_at(&w, r, 3), 2 * (100 + n) + 3, 1e-9);
        NEAR(whole_at(&w, r, 4), 1 + n, 1e-9);
        NEAR(whole_at(&w, r, 5), 20 + n, 1e-9);
        NEAR(whole_at(&w, r, 6), 1.5, 1e-9);
    }
    /* IEC 60584-1, type K (from memory): 20 degC is 0.798 mV; 2.821 mV lies between 69 degC (2.810)
     * and 70 (2.851). */
    NEAR(whole_at(&w, 0, 0), 69 + 0.011 / 0.041, 0.03);
    static const char *const units[] = {"mV", "degF", "degF", "mV", "L_h", "degC"};
    static const double first[] = {2.023, 50, 68, 100, 60, 20},
                        last[] = {5.023, 104, 95, 103, 240, 23};
    for (size_t ch = 0; ch < 6; ch++) {
        ck_assert_str_eq(nr_imported_unit(&w.im, &w.rig, ch), units[ch]);
        NEAR(w.im.first[ch], first[ch], 1e-12);
        NEAR(w.im.last[ch], last[ch], 1e-12);
    }
    ck_assert(isnan(w.im.first[6]) && isnan(w.im.last[6]));
    ck_assert_msg(whole_said(&w, "column without a channel, left out: Mug"), "%s", whole_all(&w));
    ck_assert_ptr_null(strstr(whole_all(&w), "no column for"));
    whole_forget(&w);
}
END_TEST

/* A code counts in no column, is neither first nor last, and text is none. */
START_TEST(gaps)
{
    const nr_import_stated stated = {UTC};
    ck_assert(whole_read(&w,
                         "Time,Tank (C),Air (C)\n2026-05-16 10:15,-999.9,15\n2026-05-16 10:16,20,\n"
                         "2026-05-16 10:17,21,16\n2026-05-16 10:18,off,-999.9\n",
                         "[channel store]\nunit = degC\n[channel air]\nunit = degC\n"
                         "[channel sun]\nunit = W_m2\n[channel flow]\nunit = L_min\n",
                         &stated));
    static const double value[4][2] = {{NAN, 15}, {20, NAN}, {21, 16}, {NAN, NAN}};
    for (size_t r = 0; r < 4; r++) {
        for (size_t ch = 0; ch < 2; ch++)
            if (isnan(value[r][ch]))
                ck_assert(isnan(whole_at(&w, r, ch)));
            else
                NEAR(whole_at(&w, r, ch), value[r][ch], 1e-12);
        ck_assert(isnan(whole_at(&w, r, 2)) && isnan(whole_at(&w, r, 3)));
    }
    ck_assert(w.im.first[0] == 20 && w.im.last[0] == 21 && w.im.first[1] == 15 &&
              w.im.last[1] == 16);
    ck_assert_msg(whole_said(&w, "no column for: sun, flow; left empty"), "%s", whole_all(&w));
    whole_forget(&w);
}
END_TEST

/* How the time is read, in words. */
START_TEST(time_in_words)
{
    static const struct {
        const char *text, *words;
    } of[] = {
        {"Time,Tank (C)\n2026-05-16 10:15,20\n2026-05-16 10:16,21\n", "Time"},
        {"Date,Time,Tank (C)\n2026-05-16,10:15,20\n2026-05-16,10:16,21\n", "Date+Time"},
        {"Date,Time,Tank (C)\n16/05/2026,10:15,20\n16/05/2026,10:16,21\n", "Date+Time, day first"},
        {"When,Tank (C)\n5/16/2026 10:15,20\n5/16/2026 10:16,21\n", "When, month first"},
        {"year,month,day,hour,Tank (C)\n2026,5,16,10,20\n2026,5,16,11,21\n", "year+month+day+hour"},
    };
    const nr_import_stated stated = {UTC};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char words[100], cut[8];
        ck_assert_msg(whole_read(&w, of[i].text, store, &stated), "%s", w.err.text);
        nr_imported_time(&w.im, words, sizeof words);
        ck_assert_str_eq(words, of[i].words);
        nr_imported_time(&w.im, cut, sizeof cut);
        ck_assert(strncmp(cut, of[i].words, 7) == 0 && strlen(cut) <= 7);
        whole_forget(&w);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {starts,         counts, clocks,        dates_above, spans,
                                  units_and_laws, gaps,   time_in_words, NULL};
    return run_tests("import_whole", tests);
}
