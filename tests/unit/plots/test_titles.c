/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Titles and subtitles by the rules of timeline.h, on names of drawn lengths: what is cut is cut to
 * the room that the rest leaves, and no more; dates, places, several runs; time axes' lengths. */
#include "plots/letters.h"
#include "plots/timeline.h"
#include "tests/unit/chance.h"
#include "tests/unit/near.h"

#include <time.h>

/* 0.965 of the canvas: titles of 27 px letters, subtitles of 18. */
#define ROOM (0.965 * 1200)

static nr_fit fit;
static nr_fit_run run[NR_TIMELINE_RUNS + 2];

static void set_up(void)
{
    ck_assert_int_eq(setenv("TZ", "UTC", 1), 0);
    tzset();
    memset(&fit, 0, sizeof fit);
    memset(run, 0, sizeof run);
    fit.run = run;
    fit.runs = 1;
    for (size_t r = 0; r < NR_TIMELINE_RUNS + 2; r++)
        run[r].start_utc_s = run[r].latitude_deg = run[r].longitude_deg = NAN;
}

/* Words of that many letters in all, none of them at an end. */
static void words_of(char *to, size_t length, uint64_t *chance)
{
    for (size_t i = 0; i < length; i++) {
        unsigned letter = chance_below(chance, 26), blank = chance_below(chance, 7);
        to[i] =
            i > 0 && i + 1 < length && blank == 0 && to[i - 1] != ' ' ? ' ' : (char)('a' + letter);
    }
    to[length] = '\0';
}

START_TEST(titles)
{
    uint64_t chance = 3;
    size_t cut_ones = 0, whole_ones = 0;
    for (int round = 0; round < 300; round++) {
        char name[NR_NAME], finding[128], title[256], due[512], cut[256];
        words_of(name, chance_below(&chance, NR_NAME - 1), &chance);
        words_of(finding, 1 + chance_below(&chance, 70), &chance);
        strcpy(title, finding);
        (void)snprintf(fit.collector_name, sizeof fit.collector_name, "%s", name);
        fit.trust.count = chance_below(&chance, 2);
        const char *mark = fit.trust.count ? "Doubtful: " : "", *whose = *name ? name : "Collector";
        double room = ROOM - nr_text_px(mark, 27) - nr_text_px(": ", 27) - nr_text_px(finding, 27);
        room = room > 5 * 27 ? room : 5 * 27; /* some letters of it in any case */
        (void)nr_text_cut(cut, sizeof cut, whose, 27, room);
        (void)snprintf(due, sizeof due, "%s%s: %s", mark, cut, finding);
        nr_title_of(title, sizeof title, &fit);
        ck_assert_msg(strcmp(title, due) == 0, "%s\ninstead of\n%s", title, due);
        bool whole = nr_text_px(whose, 27) <= room;
        ck_assert(whole == (strcmp(cut, whose) == 0));
        whole_ones += whole;
        cut_ones += !whole;
    }
    ck_assert(cut_ones > 30 && whole_ones > 30);
    char one[64] = "eta0 in 2 m2";
    strcpy(fit.collector_name, "G");
    fit.trust.count = 0;
    nr_title_of(one, sizeof one, &fit);
    ck_assert_str_eq(one, "G: \u03b7\u2080 in 2 m\u00b2");
}
END_TEST

/* The mark before a title of no room pushes out its end. */
START_TEST(marks_of_doubt)
{
    const nr_trust doubtful = {.count = 1}, good = {.count = 0};
    for (size_t size = 1; size < 30; size++)
        for (size_t length = 0; length < size; length++) {
            char title[40] = "abcdefghijklmnopqrstuvwxyzABCDE", due[60];
            title[length] = '\0';
            memset(title + size, '#', sizeof title - size);
            (void)snprintf(due, sizeof due, "Doubtful: %s", title);
            due[size - 1] = '\0';
            if (size < sizeof "Doubtful: ")
                (void)snprintf(due, sizeof due, "%s", title);
            char same[40];
            memcpy(same, title, sizeof same);
            nr_title_trust(title, size, &good);
            ck_assert(memcmp(title, same, sizeof title) == 0);
            nr_title_trust(title, size, &doubtful);
            ck_assert_str_eq(title, due);
            for (size_t i = size; i < sizeof title; i++)
                ck_assert(title[i] == '#');
        }
}
END_TEST

START_TEST(subtitles_of_a_question)
{
    uint64_t chance = 4;
    for (int round = 0; round < 200; round++) {
        char name[NR_NAME], rest[200], text[512], due[512], cut[256];
        words_of(name, chance_below(&chance, NR_NAME - 1), &chance);
        (void)snprintf(rest, sizeof rest, ", ");
        words_of(rest + 2, 1 + chance_below(&chance, 120), &chance);
        double room = ROOM - nr_text_px(rest, 18);
        room = room > 12 * 18 ? room : 12 * 18;
        bool of_run = chance_below(&chance, 2) == 1;
        (void)snprintf(run[0].folder, sizeof run[0].folder, "runs/%s", name);
        (void)snprintf(fit.collector_name, sizeof fit.collector_name, "%s", of_run ? "" : name);
        if (*name == '\0')
            (void)snprintf(run[0].folder, sizeof run[0].folder, "%s", "");
        if (of_run || *name == '\0') /* the end tells runs apart */
            (void)nr_text_cut_front(cut, sizeof cut, name, 18, room);
        else
            (void)nr_text_cut(cut, sizeof cut, name, 18, room);
        (void)snprintf(due, sizeof due, "%s%s", cut, *name ? rest : rest + 2);
        nr_subtitle_of(text, sizeof text, &fit, rest);
        ck_assert_msg(strcmp(text, due) == 0, "%s\ninstead of\n%s", text, due);
    }
    char text[64];
    nr_subtitle_of(text, sizeof text, NULL, ", ; , in full sun");
    ck_assert_str_eq(text, "in full sun");
    fit.runs = 0;
    fit.collector_name[0] = '\0';
    nr_subtitle_of(text, sizeof text, &fit, "; in full sun");
    ck_assert_str_eq(text, "in full sun");
}
END_TEST

/* One run: date and place whole, half of the rest for its folder, what is left for its title. */
static void subtitle_due(char *due, size_t size, const char *lead, const char *rest)
{
    char name[256], title[256];
    const char *folder = strrchr(run[0].folder, '/') + 1;
    double room = ROOM - nr_text_px(rest, 18) - nr_text_px(lead, 18);
    (void)nr_text_cut(name, sizeof name, folder, 18, *run[0].title ? room / 2 : room);
    room -= nr_text_px(name, 18) + nr_text_px(": ", 18);
    (void)nr_text_cut(title, sizeof title, run[0].title, 18, room);
    (void)snprintf(due, size, "%s%s%s%s%s", lead, name, *run[0].title ? ": " : "", title, rest);
}

START_TEST(subtitles_of_a_run)
{
    uint64_t chance = 5;
    for (int round = 0; round < 300; round++) {
        char name[80], text[512], due[1200], lead[300] = "", rest[100] = "", cut[256];
        words_of(name, 1 + chance_below(&chance, 79 - 1), &chance);
        (void)snprintf(run[0].folder, sizeof run[0].folder, "some/%s", name);
        words_of(run[0].title, chance_below(&chance, 100), &chance);
        words_of(fit.collector_name, 1 + chance_below(&chance, NR_NAME - 2), &chance);
        bool dated = chance_below(&chance, 2), placed = chance_below(&chance, 2);
        run[0].start_utc_s = dated ? 1777891353.0 : NAN;
        run[0].latitude_deg = placed ? -51.871 : NAN;
        run[0].longitude_deg = 0.629;
        (void)snprintf(rest, sizeof rest, "%s%s", dated ? ", 4 May 2026" : "",
                       placed ? ", 51.87\u00b0 S, 0.63\u00b0 E" : "");
        nr_subtitle_fit(text, sizeof text, &fit);
        subtitle_due(due, sizeof due, "", rest);
        ck_assert_msg(strcmp(text, due) == 0, "%s\ninstead of\n%s", text, due);
        /* The collector's name before it, in a third of the room, unless the run begins so. */
        if (chance_below(&chance, 4) == 0)
            (void)snprintf(fit.collector_name, sizeof fit.collector_name, "%.5s", name);
        if (strncmp(name, fit.collector_name, strlen(fit.collector_name)) != 0)
            (void)snprintf(lead, sizeof lead,
                           "%s: ", nr_text_cut(cut, sizeof cut, fit.collector_name, 18, ROOM / 3));
        nr_subtitle_named(text, sizeof text, &fit);
        subtitle_due(due, sizeof due, lead, rest);
        ck_assert_msg(strcmp(text, due) == 0, "%s\ninstead of\n%s", text, due);
    }
}
END_TEST

START_TEST(subtitles_of_several_runs)
{
    char text[300];
    strcpy(fit.collector_name, "Stand");
    strcpy(run[0].folder, "Stand");
    fit.runs = 2;
    nr_subtitle_named(text, sizeof text, &fit);
    ck_assert_str_eq(text, "Stand: 2 runs fitted together");
    run[1].start_utc_s = 1777891353.0; /* 4 May 2026; the other's is not known */
    nr_subtitle_fit(text, sizeof text, &fit);
    ck_assert_str_eq(text, "2 runs fitted together, 4 May 2026");
    run[0].start_utc_s = 1777891353.0 + 13 * 3600; /* 23:42 the same day */
    nr_subtitle_fit(text, sizeof text, &fit);
    ck_assert_str_eq(text, "2 runs fitted together, 4 May 2026");
    run[0].start_utc_s = 1777891353.0 + 14 * 3600;
    run[0].latitude_deg = 0;
    run[0].longitude_deg = -0.006;
    nr_subtitle_fit(text, sizeof text, &fit);
    ck_assert_str_eq(text, "2 runs fitted together, 4 May 2026 to 5 May 2026, 0.00\u00b0 N, "
                           "0.01\u00b0 W");
    run[0].longitude_deg = 0;
    fit.runs = 6;
    nr_subtitle_fit(text, sizeof text, &fit);
    ck_assert_str_eq(text, "6 runs fitted together, 4 May 2026 to 5 May 2026, 0.00\u00b0 N, "
                           "0.00\u00b0 E");
    run[0].longitude_deg = NAN;
    fit.runs = 7;
    nr_subtitle_fit(text, sizeof text, &fit);
    ck_assert_str_eq(text, "7 runs fitted together (the first 6 shown), 4 May 2026 to 5 May 2026");
    fit.runs = 0;
    nr_subtitle_fit(text, sizeof text, &fit);
    ck_assert_str_eq(text, "");
}
END_TEST

/* Every month, and the ends of what is a time. */
START_TEST(dates)
{
    static const char *const month[] = {"January",   "February", "March",    "April",
                                        "May",       "June",     "July",     "August",
                                        "September", "October",  "November", "December"};
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    double at = 1767225600.0; /* 1 January 2026 */
    char text[64], due[64];
    for (int m = 0; m < 12; m++)
        for (int d = 1; d <= days[m]; d++, at += 86400) {
            (void)snprintf(due, sizeof due, "%d %s 2026", d, month[m]);
            nr_date_text(text, sizeof text, at + 86399);
            ck_assert_str_eq(text, due);
            nr_calendar_text(text, sizeof text, at);
            ck_assert_str_eq(text, due);
        }
    static const double none[] = {NAN, INFINITY, -1, 1e11, 2e11};
    for (int i = 0; i < 5; i++) {
        nr_date_text(text, sizeof text, none[i]);
        ck_assert_str_eq(text, "");
        nr_calendar_text(text, sizeof text, none[i]);
        ck_assert_str_eq(text, "");
    }
    nr_date_text(text, sizeof text, 0);
    ck_assert_str_eq(text, "");
    nr_calendar_text(text, sizeof text, 0);
    ck_assert_str_eq(text, "1 January 1970");
    ck_assert_int_eq(setenv("TZ", "XXX-2", 1), 0); /* two hours ahead of UTC */
    tzset();
    nr_date_text(text, sizeof text, 1777891353.0 + 12 * 3600);
    ck_assert_str_eq(text, "5 May 2026");
    nr_calendar_text(text, sizeof text, 1777852800.0);
    ck_assert_str_eq(text, "4 May 2026");
    ck_assert_str_eq(nr_base_name("a/b"), "b");
    ck_assert_str_eq(nr_base_name("a/b/"), "a/b/");
    ck_assert_str_eq(nr_base_name("/b"), "b");
    ck_assert_str_eq(nr_base_name("b"), "b");
}
END_TEST

/* Runs one after another: up to six, 3 % of their sum apart; each to its last block's end, a minute
 * at least, up to a whole minute that is less than 12 s away. */
START_TEST(runs_on_one_axis)
{
    uint64_t chance = 6;
    double end[NR_TIMELINE_RUNS + 2];
    for (int round = 0; round < 100; round++) {
        double length[NR_TIMELINE_RUNS + 2], sum = 0, at = 0;
        fit.runs = 1 + chance_below(&chance, NR_TIMELINE_RUNS + 2);
        size_t shown = fit.runs < 6 ? fit.runs : 6;
        for (size_t r = 0; r < fit.runs; r++) {
            double share = chance_share(&chance);
            unsigned kind = chance_below(&chance, 8);
            end[r] = kind == 0 ? 30 : 60 * floor(2 + 200 * share) + (kind == 1 ? -11.9 : 0);
            end[r] += kind == 2 ? -12.1 : kind == 3 ? 25 : 0;
            length[r] = fmax(end[r] / 60, 1);
            if (kind == 1)
                length[r] = ceil(end[r] / 60);
            run[r].t_s = &end[r];
            end[r] -= 5;
            run[r].block_s = 10;
            run[r].blocks = kind == 7 ? 0 : 1;
            length[r] = kind == 7 ? 1 : length[r];
            run[r].start_utc_s = 1000.0 * (double)(r + 1);
            (void)snprintf(run[r].folder, sizeof run[r].folder, "x/%zu", r);
            sum += r < shown ? length[r] : 0;
        }
        nr_timeline t = nr_timeline_of(&fit);
        ck_assert(t.count == shown && isnan(t.clock_s));
        for (size_t r = 0; r < shown; r++) {
            NEAR(t.offset_min[r], at, 1e-9);
            NEAR(t.length_min[r], length[r], 1e-9);
            NEAR(t.start_utc_s[r], 1000.0 * (double)(r + 1), 1e-9);
            ck_assert(atoi(t.name[r]) == (int)r);
            at += length[r] + (r + 1 < shown ? 0.03 * sum : 0);
        }
        NEAR(t.total_min, at, 1e-9);
    }
    fit.runs = 0;
    ck_assert(nr_timeline_of(&fit).total_min == 1);
    static const double odd[] = {0, -5, NAN, INFINITY};
    for (int i = 0; i < 4; i++)
        ck_assert(nr_timeline_single(odd[i], 7).total_min == 1);
    nr_timeline t = nr_timeline_day(5400, 1234, "solar time");
    ck_assert(t.count == 1 && t.total_min == 90 && t.length_min[0] == 90 && t.clock_s == 1234);
    ck_assert(isnan(t.start_utc_s[0]) && strcmp(t.clock_name, "solar time") == 0);
    t = nr_timeline_single(30, 7);
    ck_assert(t.total_min == 0.5 && t.start_utc_s[0] == 7 && isnan(t.clock_s));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {titles,
                                  marks_of_doubt,
                                  subtitles_of_a_question,
                                  subtitles_of_a_run,
                                  subtitles_of_several_runs,
                                  dates,
                                  runs_on_one_axis,
                                  NULL};
    return run_tests_in("titles", tests, set_up, NULL);
}
