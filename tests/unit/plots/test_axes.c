/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Axes, levels, letters and labels as they go into a gnuplot script, without a gnuplot: where the
 * numbers of an axis stand, how many, which; what a picture's text takes. Expected places are
 * worked out by hand from what the headers say. */
#include "plots/letters.h"
#include "plots/picture.h"
#include "plots/timeline.h"
#include "tests/unit/near.h"

#include <time.h>

static nr_picture picture;

static void fresh(nr_form form, double scale)
{
    picture = (nr_picture){.form = form, .scale = scale, .panel = {0.1, 0.9, 0.2, 0.8}};
    picture.script = open_memstream(&picture.text, &picture.length);
    ck_assert_ptr_nonnull(picture.script);
}

/* The script so far; it begins anew. */
static char script[60000];
static const char *written(void)
{
    ck_assert_int_eq(fclose(picture.script), 0);
    (void)snprintf(script, sizeof script, "%s", picture.text);
    free(picture.text);
    picture.script = open_memstream(&picture.text, &picture.length);
    return script;
}

static void done(void)
{
    (void)fclose(picture.script);
    free(picture.text);
}

/* The tics of an axis, "('9:00' 12, '' 3)". */
typedef struct tics {
    size_t count;
    char name[200][24];
    double at[200];
} tics;

static tics tics_of(const char *text, const char *axis)
{
    tics t = {0};
    char start[24];
    (void)snprintf(start, sizeof start, "set %stics ", axis);
    const char *at = strstr(text, start);
    ck_assert_msg(at != NULL, "no %s in:\n%s", start, text);
    at = strstr(at, " (");
    ck_assert_ptr_nonnull(at);
    for (at += 2; *at != ')' && *at != '\0';) {
        ck_assert_uint_lt(t.count, 200);
        int used = 0;
        if (sscanf(at, "'' %lf%n", &t.at[t.count], &used) != 1)
            ck_assert_int_eq(sscanf(at, "'%23[^']' %lf%n", t.name[t.count], &t.at[t.count], &used),
                             2);
        at += used;
        at += strspn(at, ", ");
        t.count++;
    }
    ck_assert_int_eq(*at, ')');
    return t;
}

/* --- minutes ------------------------------------------------------------------------------- */

START_TEST(minutes_from_the_start)
{
    /* 75 px a number at least: in half of 1200 px eight of them, so steps are the least of 1, 2, 5,
     * 10, 15, 20, 30 min, 1, 2, 3, 4, 6, 12 h, 1 d that give no more steps than that. */
    static const struct {
        double minutes, wide, step;
        size_t count;
        const char *last;
    } axis[] = {
        {3, 0.5, 1, 4, "3"},         {8, 0.5, 1, 9, "8"},          {9, 0.5, 2, 5, "8"},
        {16, 0.5, 2, 9, "16"},       {40, 0.5, 5, 9, "40"},        {41, 0.5, 10, 5, "40"},
        {80, 0.5, 10, 9, "80"},      {90, 0.5, 15, 7, "90"},       {120, 0.5, 15, 9, "120"},
        {121, 0.5, 20, 7, "120"},    {160, 0.5, 20, 9, "160"},     {200, 0.5, 30, 7, "180"},
        {240, 0.5, 30, 9, "240"},    {360, 0.5, 60, 7, "360"},     {361, 0.5, 60, 7, "6"},
        {480, 0.5, 60, 9, "8"},      {900, 0.5, 120, 8, "14"},     {1200, 0.5, 180, 7, "18"},
        {1900, 0.5, 240, 8, "28"},   {2800, 0.5, 360, 8, "42"},    {5000, 0.5, 720, 7, "72"},
        {9000, 0.5, 1440, 7, "144"}, {20000, 0.5, 2880, 7, "288"}, {90, 0.1, 30, 4, "90"},
        {90, 0.2, 30, 4, "90"},      {90, 0.25, 30, 4, "90"},      {90, 0.3125, 20, 5, "80"}};
    for (size_t i = 0; i < sizeof axis / sizeof *axis; i++) {
        char what[60];
        (void)snprintf(what, sizeof what, "%g min on %g", axis[i].minutes, axis[i].wide);
        fresh(NR_FORM_PNG, 1);
        nr_timeline t = nr_timeline_single(axis[i].minutes * 60, NAN);
        NEAR_AT(what, t.total_min, axis[i].minutes, 1e-9);
        nr_timeline_axis(&picture, &t, true, axis[i].wide);
        const char *text = written();
        tics x = tics_of(text, "x");
        ck_assert_msg(x.count == axis[i].count, "%s: %zu numbers", what, x.count);
        for (size_t k = 0; k < x.count; k++)
            NEAR_AT(what, x.at[k], axis[i].step * (double)k, 1e-6);
        ck_assert_msg(strcmp(x.name[x.count - 1], axis[i].last) == 0, "%s: \"%s\"", what,
                      x.name[x.count - 1]);
        bool hours = axis[i].minutes > 360 && axis[i].step >= 60;
        ck_assert_ptr_nonnull(
            strstr(text, hours ? "'hours from the start'" : "'minutes from the start'"));
        nr_timeline_axis(&picture, &t, false, axis[i].wide);
        text = written();
        ck_assert_uint_eq(tics_of(text, "x").count, axis[i].count);
        ck_assert(tics_of(text, "x").name[1][0] == '\0' && !strstr(text, "from the start"));
        done();
    }
}
END_TEST

START_TEST(lengths_of_runs)
{
    ck_assert(nr_timeline_single(0, 5).total_min == 1 && nr_timeline_single(-5, 5).total_min == 1);
    ck_assert(nr_timeline_single(NAN, 5).total_min == 1);
    ck_assert(nr_timeline_single(30, 5).total_min == 0.5);
    /* The last block's end; a few seconds short of a minute it is the minute; a minute at least. */
    static double blocks[][2] = {{15, 5385}, {15, 5379}, {15, 5300}, {15, 20}, {15, NAN}};
    static const double minutes[] = {90, 90, 88.583333333333, 1, 1};
    static nr_fit fit;
    static nr_fit_run run[1];
    for (size_t i = 0; i < 5; i++) {
        fit = (nr_fit){.runs = 1, .run = run};
        fit.run[0].blocks = 2;
        fit.run[0].block_s = 30;
        fit.run[0].t_s = blocks[i];
        nr_timeline t = nr_timeline_of(&fit);
        NEAR(t.total_min, minutes[i], 1e-9);
        ck_assert(t.count == 1 && t.offset_min[0] == 0 && isnan(t.clock_s));
    }
    /* 5367 + 15 s = 89.7 min: left alone. */
    blocks[0][1] = 5367;
    fit.run[0].t_s = blocks[0];
    NEAR(nr_timeline_of(&fit).total_min, 89.7, 1e-9);
    fit.runs = 0;
    ck_assert(nr_timeline_of(&fit).total_min == 1 && nr_timeline_of(&fit).count == 0);
}
END_TEST

/* Three runs of 60, 30 and 60 min, 3 % of 150 min between them. */
START_TEST(runs_one_after_another)
{
    static double an_hour[] = {15, 3585}, half[] = {15, 1785};
    static nr_fit fit;
    static nr_fit_run run[8];
    fit = (nr_fit){.runs = 3, .run = run};
    for (int i = 0; i < 3; i++) {
        fit.run[i].blocks = 2;
        fit.run[i].block_s = 30;
        fit.run[i].t_s = i == 1 ? half : an_hour;
        fit.run[i].start_utc_s = 1e9 + i;
        (void)snprintf(fit.run[i].folder, sizeof fit.run[i].folder, "runs/day %d", i + 1);
    }
    nr_timeline t = nr_timeline_of(&fit);
    ck_assert_uint_eq(t.count, 3);
    NEAR(t.offset_min[1], 64.5, 1e-9);
    NEAR(t.offset_min[2], 99, 1e-9);
    NEAR(t.total_min, 159, 1e-9);
    ck_assert(t.start_utc_s[2] == 1e9 + 2 && strcmp(t.name[2], "day 3") == 0);
    fresh(NR_FORM_PNG, 1);
    nr_timeline_axis(&picture, &t, true, 0.5); /* eight: steps of 20 */
    const char *text = written();
    tics x = tics_of(text, "x");
    static const double at[] = {0, 20, 40, 64.5, 84.5, 99, 119, 139, 159};
    ck_assert_msg(x.count == 9, "%zu:\n%s", x.count, text);
    for (size_t k = 0, w = 0; k < x.count; k++, w++) { /* 40 of 60 is kept; no 60 before the next */
        NEAR_AT(x.name[k], x.at[k], at[w], 1e-6);
    }
    ck_assert_ptr_nonnull(strstr(text, "'minutes from the start of each run'"));
    nr_timeline_separators(&picture, &t);
    double a, b, c, d;
    text = written();
    ck_assert_int_eq(
        sscanf(strstr(text, "from first"), "from first %lf, graph 0 to first %lf", &a, &b), 2);
    text = strstr(strstr(text, "from first") + 5, "from first");
    ck_assert_int_eq(sscanf(text, "from first %lf, graph 0 to first %lf", &c, &d), 2);
    ck_assert(fabs(a - 60) < 1e-6 && fabs(b - 64.5) < 1e-6);
    ck_assert(fabs(c - 94.5) < 1e-6 && fabs(d - 99) < 1e-6);
    ck_assert_ptr_null(strstr(text + 5, "from first")); /* none behind the last */
    nr_box box = {0.1, 0.9, 0.2, 0.8};
    nr_timeline_top(&picture, &t, &box);
    text = written();
    for (int i = 0; i < 3; i++) {
        char name[24];
        double left, up;
        (void)snprintf(name, sizeof name, "'day %d' at screen", i + 1);
        ck_assert_ptr_nonnull(strstr(text, name));
        ck_assert_int_eq(sscanf(strstr(text, name) + strlen(name), "%lf,%lf center", &left, &up),
                         2);
        NEAR(left, 0.1 + 0.8 * (t.offset_min[i] + t.length_min[i] / 2) / 159, 1e-4);
        NEAR(up, 0.818, 1e-4);
    }
    done();
    /* Half a step and more before the next run: a number; less: none. */
    static const double end_s[] = {52 * 60 - 15, 53 * 60 - 15};
    for (int more = 0; more < 2; more++) {
        fit.runs = 2;
        half[1] = end_s[more];
        fit.run[0] = fit.run[1];
        fit.run[0].t_s = half;
        fit.run[1].t_s = an_hour;
        t = nr_timeline_of(&fit);
        fresh(NR_FORM_PNG, 1);
        nr_timeline_axis(&picture, &t, true, 0.5);
        x = tics_of(written(), "x");
        size_t before = 0;
        for (size_t k = 0; k < x.count; k++)
            before += x.at[k] < t.length_min[0];
        ck_assert_uint_eq(before,
                          more ? 4u : 3u); /* 0, 15, 30, 45 of 53 min; of 52 without the 45 */
        done();
    }
    for (size_t i = 0; i < 8; i++)
        fit.run[i] = fit.run[0];
    fit.runs = 8;
    ck_assert_uint_eq(nr_timeline_of(&fit).count, NR_TIMELINE_RUNS);
}
END_TEST

/* --- clocks -------------------------------------------------------------------------------- */

START_TEST(round_clock_times)
{
    static const struct {
        double minutes, start_s, wide, first, step;
        const char *name;
        size_t count;
    } clock[] = {
        {90, 9 * 3600 + 7 * 60, 0.5, 8, 15, "9:15", 6},
        {90, 9 * 3600, 0.5, 0, 15, "9:00", 7},
        {30, 9 * 3600 + 7 * 60 + 30, 0.5, 2.5, 5, "9:10", 6},
        {5, 9 * 3600, 0.5, 0, 5, "9:00", 2},
        {600, 9 * 3600 + 30 * 60, 0.5, 30, 120, "10:00", 5},
        {360, 22 * 3600 + 30 * 60, 0.5, 30, 60, "23:00", 6},
        {90, 9 * 3600 + 7 * 60, 0.1, 23, 30, "9:30", 3},
        {420, 20 * 3600, 0.5, 0, 60, "20:00", 8},
    };
    for (size_t i = 0; i < sizeof clock / sizeof *clock; i++) {
        char what[60];
        (void)snprintf(what, sizeof what, "%g min from %g s", clock[i].minutes, clock[i].start_s);
        fresh(NR_FORM_PNG, 1);
        nr_timeline t = nr_timeline_day(clock[i].minutes * 60, clock[i].start_s, "solar time");
        nr_timeline_clock_axis(&picture, &t, true, clock[i].wide);
        const char *text = written();
        tics x = tics_of(text, "x");
        ck_assert_msg(x.count == clock[i].count, "%s: %zu in\n%s", what, x.count, text);
        ck_assert_msg(strcmp(x.name[0], clock[i].name) == 0, "%s: %s", what, x.name[0]);
        for (size_t k = 0; k < x.count; k++) {
            double s = clock[i].start_s + 60 * x.at[k];
            char name[24];
            NEAR_AT(what, x.at[k], clock[i].first + clock[i].step * (double)k, 1e-6);
            (void)snprintf(name, sizeof name, "%d:%02d", (int)(s / 3600) % 24, (int)(s / 60) % 60);
            ck_assert_str_eq(x.name[k], name);
        }
        ck_assert_ptr_nonnull(strstr(text, "'solar time'"));
        nr_timeline_clock_axis(&picture, &t, false, clock[i].wide);
        ck_assert_ptr_null(strstr(written(), "solar time"));
        done();
    }
    fresh(NR_FORM_PNG, 1);
    nr_timeline none = nr_timeline_day(5400, NAN, "");
    nr_timeline_clock_axis(&picture, &none, true, 0.5);
    ck_assert_ptr_nonnull(strstr(written(), "minutes from the start"));
    done();
}
END_TEST

START_TEST(clock_above_a_panel)
{
    ck_assert_int_eq(setenv("TZ", "UTC", 1), 0);
    tzset();
    const nr_box box = {0.1, 0.9, 0.2, 0.8};
    fresh(NR_FORM_PNG, 1);
    nr_timeline t = nr_timeline_single(5400, 1778926620); /* 2026-05-16 10:17:00 UTC */
    nr_timeline_top(&picture, &t, &box);
    const char *text = written();
    tics x = tics_of(text, "x2"); /* six at most: each quarter of an hour */
    ck_assert_uint_eq(x.count, 6);
    NEAR(x.at[0], 13, 1e-6);
    ck_assert_str_eq(x.name[0], "10:30");
    ck_assert_str_eq(x.name[5], "11:45");
    ck_assert_ptr_nonnull(strstr(text, "set x2range [0:90]"));
    ck_assert_ptr_nonnull(strstr(text, "'UTC' at screen 0.9280,0.8270 left"));
    done();
    fresh(NR_FORM_PNG, NR_PORTRAIT_SCALE); /* four at most */
    nr_timeline_top(&picture, &t, &box);
    text = written();
    x = tics_of(text, "x2");
    ck_assert_uint_eq(x.count, 3);
    ck_assert_str_eq(x.name[0], "10:30");
    ck_assert_str_eq(x.name[1], "11:00");
    ck_assert_ptr_nonnull(strstr(text, "'UTC' at screen 0.9500,0.8270 left"));
    nr_timeline day = nr_timeline_day(5400, 36000, "solar time");
    nr_timeline_top(&picture, &day, &box);
    ck_assert_ptr_nonnull(strstr(written(), "'solar time' at screen 0.9000,0.8660 right"));
    static const double unknown[] = {NAN, 0, -5, 1e12};
    for (size_t i = 0; i < 4; i++) {
        t = nr_timeline_single(5400, unknown[i]);
        nr_timeline_top(&picture, &t, &box);
        ck_assert_str_eq(written(), "");
    }
    done();
    char text_of[64];
    nr_date_text(text_of, sizeof text_of, 1778926620);
    ck_assert_str_eq(text_of, "16 May 2026");
    nr_calendar_text(text_of, sizeof text_of, 0);
    ck_assert_str_eq(text_of, "1 January 1970");
    nr_calendar_text(text_of, sizeof text_of, 1798675200); /* 2026-12-31 */
    ck_assert_str_eq(text_of, "31 December 2026");
    nr_calendar_text(text_of, sizeof text_of, NAN);
    ck_assert_str_eq(text_of, "");
    nr_date_text(text_of, sizeof text_of, NAN);
    ck_assert_str_eq(text_of, "");
    ck_assert_str_eq(nr_base_name("a/b/c"), "c");
    ck_assert_str_eq(nr_base_name("c"), "c");
    ck_assert_str_eq(nr_base_name("a/"), "a/");
}
END_TEST

/* --- round limits -------------------------------------------------------------------------- */

START_TEST(nice_limits)
{
    static const struct {
        double lo, hi;
        int steps;
        bool zero;
        double at_lo, at_hi, step;
    } nice[] = {{0, 5, 5, false, 0, 5, 1},
                {0, 5.1, 5, false, 0, 6, 2},
                {0, 10, 5, false, 0, 10, 2},
                {0, 10.1, 5, false, 0, 12.5, 2.5},
                {0, 12.5, 5, false, 0, 12.5, 2.5},
                {0, 12.6, 5, false, 0, 15, 5},
                {0, 25, 5, false, 0, 25, 5},
                {0, 25.1, 5, false, 0, 30, 10},
                {3, 4, 5, false, 3, 4, 0.2},
                {3, 4, 5, true, 0, 4, 1},
                {-4, -3, 5, true, -4, 0, 1},
                {-3, 4, 5, false, -4, 4, 2},
                {0.031, 0.044, 4, false, 0.03, 0.045, 0.005},
                {100, 100, 5, false, 94, 106, 2},
                {0, 0, 5, true, 0, 0.05, 0.01},
                {NAN, 3, 5, false, 0, 1, 0.2},
                {3, INFINITY, 5, false, 0, 1, 0.2}};
    for (size_t i = 0; i < sizeof nice / sizeof *nice; i++) {
        char what[60];
        nr_limits l = nr_nice(nice[i].lo, nice[i].hi, nice[i].steps, nice[i].zero);
        (void)snprintf(what, sizeof what, "%g to %g", nice[i].lo, nice[i].hi);
        NEAR_AT(what, l.step, nice[i].step, 1e-9);
        NEAR_AT(what, l.lo, nice[i].at_lo, 1e-9);
        NEAR_AT(what, l.hi, nice[i].at_hi, 1e-9);
    }
}
END_TEST

START_TEST(logarithmic_axes)
{
    static const struct {
        double lo, hi;
        size_t most, count;
        double at[12];
    } axis[] = {
        {1, 10, 7, 7, {1, 1.5, 2, 3, 5, 7, 10}},
        {1, 10, 6, 5, {1, 2, 3, 5, 10}},
        {1, 10, 4, 4, {1, 2, 5, 10}},
        {1, 10, 3, 3, {1, 3, 10}},
        {1, 10, 2, 2, {1, 10}},
        {0.25, 4, 6, 6, {0.3, 0.5, 1, 2, 3, 0}},
        {2, 300, 5, 4, {3, 10, 30, 100, 300}},
        {0.02, 0.03, 5, 2, {0.02, 0.03}},
        {1, 1000, 4, 4, {1, 10, 100, 1000}},
        {20, 300, 7, 6, {20, 30, 50, 100, 200, 300}},
        {-1, 5, 7, 7, {1, 1.5, 2, 3, 5, 7, 10}},
        {5, 5, 7, 7, {1, 1.5, 2, 3, 5, 7, 10}},
        {5, INFINITY, 7, 7, {1, 1.5, 2, 3, 5, 7, 10}},
    };
    for (size_t i = 0; i < sizeof axis / sizeof *axis; i++) {
        char what[60];
        (void)snprintf(what, sizeof what, "%g to %g, %zu", axis[i].lo, axis[i].hi, axis[i].most);
        fresh(NR_FORM_PNG, 1);
        nr_log_axis(&picture, "y", axis[i].lo, axis[i].hi, axis[i].most);
        const char *text = written();
        tics y = tics_of(text, "y");
        ck_assert_ptr_nonnull(strstr(text, "set logscale y\n"));
        if (axis[i].lo == 0.25) { /* 0.3 0.5 0.7 1 1.5 2 3 are seven: the next has 0.3 0.5 1 2 3 */
            ck_assert_uint_eq(y.count, 5);
        } else if (axis[i].lo == 2 && axis[i].hi == 300) { /* 1, 3 gives five */
            ck_assert_uint_eq(y.count, 5);
        } else {
            ck_assert_msg(y.count == axis[i].count, "%s: %zu", what, y.count);
        }
        for (size_t k = 0; k < y.count; k++) {
            NEAR_AT(what, y.at[k], axis[i].at[k], 1e-9);
            NEAR_AT(what, atof(y.name[k]), axis[i].at[k], 1e-9);
        }
        done();
    }
    fresh(NR_FORM_PNG, 1);
    nr_log_axis(&picture, "y", 1.1, 1.4, 5); /* no round number within */
    ck_assert_ptr_nonnull(strstr(written(), "('' 1)"));
    done();
}
END_TEST

START_TEST(labels_apart)
{
    double one[] = {5}, two[] = {5, 5.5}, far[] = {1, 9}, low[] = {-3, 2}, high[] = {9, 14};
    nr_spread(one, 1, 2, 0, 4); /* inside */
    NEAR(one[0], 4, 1e-9);
    nr_spread(two, 2, 2, 0, 10); /* evenly about their middle */
    NEAR(two[0], 4.25, 1e-6);
    NEAR(two[1], 6.25, 1e-6);
    nr_spread(far, 2, 2, 0, 10);
    ck_assert(far[0] == 1 && far[1] == 9);
    nr_spread(low, 2, 3, 0, 10);
    NEAR(low[0], 0, 1e-9);
    NEAR(low[1], 3, 1e-9);
    nr_spread(high, 2, 3, 0, 10);
    NEAR(high[1], 10, 1e-9);
    NEAR(high[0], 7, 1e-9);
    double turned[] = {5.5, 5}; /* their order stays */
    nr_spread(turned, 2, 2, 0, 10);
    NEAR(turned[0], 6.25, 1e-6);
    NEAR(turned[1], 4.25, 1e-6);
    double lo = NAN, hi = NAN;
    nr_stretch(&lo, &hi, NAN);
    nr_stretch(&lo, &hi, INFINITY);
    ck_assert(isnan(lo) && isnan(hi));
    nr_stretch(&lo, &hi, 3);
    ck_assert(lo == 3 && hi == 3);
    nr_stretch(&lo, &hi, 1);
    nr_stretch(&lo, &hi, 2);
    nr_stretch(&lo, &hi, 7);
    ck_assert(lo == 1 && hi == 7);
}
END_TEST

/* --- letters ------------------------------------------------------------------------------- */

/* Advance widths of ' ' to '~' in 2048ths of the size, from the table hmtx of DejaVu Sans 2.37. */
static const short hmtx[95] = {
    651,  821,  942,  1716, 1303, 1946, 1597, 563,  799,  799,  1024, 1716, 651,  739,  651,  690,
    1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 690,  690,  1716, 1716, 1716, 1087,
    2048, 1401, 1405, 1430, 1577, 1294, 1178, 1587, 1540, 604,  604,  1343, 1141, 1767, 1532, 1612,
    1235, 1612, 1423, 1300, 1251, 1499, 1401, 2025, 1403, 1251, 1403, 799,  690,  799,  1716, 1024,
    1024, 1255, 1300, 1126, 1300, 1260, 721,  1300, 1298, 569,  569,  1186, 569,  1995, 1298, 1253,
    1300, 1300, 842,  1067, 803,  1298, 1212, 1675, 1212, 1212, 1075, 1303, 690,  1303, 1716};

START_TEST(widths_are_the_fonts)
{
    for (int c = ' '; c <= '~'; c++) {
        const char text[] = {(char)c, '\0'};
        NEAR_AT(text, nr_text_px(text, 1000), hmtx[c - ' '] * 1000.0 / 2048, 0.51);
    }
    ck_assert_double_eq_tol(nr_text_px("Wi", 20), 20 * (2025 + 569) / 2048.0, 0.03);
    ck_assert(nr_text_px("", 10) == 0);
    /* An accent on its letter takes none, a wide letter and the ellipsis an em and a little. */
    ck_assert(nr_text_px("e\u0301", 10) == nr_text_px("e", 10));
    ck_assert(nr_text_px("\u65e5", 100) == nr_text_px("\u2026", 100));
    ck_assert(nr_text_px("\u65e5", 100) >= 100 && nr_text_px("\u65e5", 100) <= 110);
    ck_assert(nr_text_px("\u00e9", 100) > 61 && nr_text_px("\u00e9", 100) < 80);
}
END_TEST

START_TEST(a_block_of_text)
{
    fresh(NR_FORM_PNG, 1);
    /* 1200 px wide: a tenth is 120 px; lines are 1.25 letters apart on 800 px. */
    size_t n = nr_text_block(&picture, 0.3, 0.5, 16, NR_BLACK, "one two three four five six seven",
                             0.1, 3);
    const char *text = written();
    ck_assert_uint_eq(n, 3);
    ck_assert_ptr_nonnull(strstr(text, "'one two three' at screen 0.3000,0.5000 left"));
    ck_assert_ptr_nonnull(strstr(text, "'four five six' at screen 0.3000,0.4750 left"));
    ck_assert_ptr_nonnull(strstr(text, "'seven' at screen 0.3000,0.4500 left"));
    n = nr_text_block(&picture, 0.3, 0.5, 16, NR_BLACK, "one two three four five six seven", 0.1,
                      2);
    text = written();
    ck_assert_uint_eq(n, 2);
    ck_assert_ptr_nonnull(strstr(text, "'four five six\u2026'"));
    ck_assert_ptr_null(strstr(text, "seven"));
    ck_assert_uint_eq(nr_text_block(&picture, 0.3, 0.5, 16, NR_BLACK, "", 0.1, 3), 0);
    ck_assert_uint_eq(nr_text_block(&picture, 0.3, 0.5, 16, NR_BLACK, "one", 0.1, 3), 1);
    done();
    fresh(NR_FORM_PNG, NR_PORTRAIT_SCALE); /* 1080 by 1350 px, letters larger */
    n = nr_text_block(&picture, 0.3, 0.5, 16, NR_BLACK, "one two three", 0.1, 3);
    text = written();
    ck_assert_uint_eq(n, 2); /* 108 px: two words of 26 px letters */
    ck_assert_ptr_nonnull(strstr(text, "'one two' at screen 0.3000,0.5000"));
    ck_assert_ptr_nonnull(strstr(text, "'three' at screen 0.3000,0.4756")); /* 33/1350 below */
    NEAR(nr_picture_px(&picture, 0.5), 540, 1e-9);
    ck_assert(nr_is_portrait(&picture));
    NEAR(nr_left_edge(&picture), 0.05, 1e-9);
    done();
    fresh(NR_FORM_PNG, 1);
    NEAR(nr_picture_px(&picture, 0.5), 600, 1e-9);
    ck_assert(!nr_is_portrait(&picture));
    done();
}
END_TEST

/* --- what goes into the script -------------------------------------------------------------- */

START_TEST(levels_and_words)
{
    fresh(NR_FORM_SVG, 1);
    nr_level(&picture, 42.5, NR_ORANGE, "(5,3)", "right", "target");
    const char *text = written();
    ck_assert_ptr_nonnull(strstr(text, "set arrow from graph 0, first 42.5 to graph 1, first 42.5 "
                                       "nohead lw 1.5 dt (5,3) lc rgb '#E69F00'"));
    /* Letters on white in a darker shade. */
    ck_assert_ptr_nonnull(strstr(text,
                                 "'target' at graph 1, first 42.5 right offset -0.6,0.7 front "
                                 "tc rgb '#8A5F00'"));
    nr_level_words(&picture, 42.5, NR_BLACK, "solid", "left", "below it", true);
    text = written();
    ck_assert_ptr_nonnull(strstr(text, "'below it' at graph 0, first 42.5 left offset 0.6,-0.7"));
    nr_level(&picture, 42.5, NR_BLACK, "solid", "left", NULL);
    ck_assert_ptr_null(strstr(written(), "label"));
    nr_level(&picture, NAN, NR_BLACK, "solid", "left", "x");
    nr_text_end(&picture, NAN, NR_BLACK, "x");
    nr_text_point(&picture, NAN, 1, "left", 0, 0, 16, NR_BLACK, "x");
    nr_text_point(&picture, 1, INFINITY, "left", 0, 0, 16, NR_BLACK, "x");
    ck_assert_str_eq(written(), "");
    nr_text_end(&picture, 7, NR_BLUE, "store");
    ck_assert_ptr_nonnull(
        strstr(written(), "'store' at graph 1, first 7 left offset 0.6,0 front tc rgb '#0072B2'"));
    nr_text_point(&picture, 1.5, 2.5, "center", 0.5, -1, 16, NR_GREEN, "here");
    ck_assert_ptr_nonnull(strstr(written(), "'here' at first 1.5, first 2.5 center offset 0.5,-1 "
                                            "front tc rgb '#007A5A'"));
    nr_range(&picture, "y2", NAN, 3);
    ck_assert_str_eq(written(), "set y2range [*:3]\n");
    nr_range(&picture, "x", -1, NAN);
    ck_assert_str_eq(written(), "set xrange [-1:*]\n");
    nr_limits l = {10, 50, 10};
    nr_tics(&picture, "y", &l);
    ck_assert_ptr_nonnull(strstr(written(), " 10,10,50.00001\n"));
    nr_x_label(&picture, "minutes"); /* in the middle, 50 px below */
    ck_assert_ptr_nonnull(strstr(written(), "'minutes' at screen 0.5000,0.1375 center"));
    nr_text_marked(&picture, 0.5, 0.4, 16, 7, NR_BLUE, "measured"); /* a letter of 16 px aside */
    text = written();
    ck_assert_ptr_nonnull(strstr(text, "'' at screen 0.5000,0.4000 front point pt 7"));
    ck_assert_ptr_nonnull(strstr(text, "'measured' at screen 0.5133,0.4000 left"));
    done();
    fresh(NR_FORM_SVG, NR_PORTRAIT_SCALE);
    picture.panel = (nr_box){0.1, 0.9, 0.2, 0.8};
    nr_x_label(&picture, "minutes"); /* 82.5 of 1350 px */
    ck_assert_ptr_nonnull(strstr(written(), "'minutes' at screen 0.5000,0.1389 center"));
    done();
}
END_TEST

/* As large in every form: letters of 16 px are 12 pt of 1/96 inch; of a mark the terminals' own. */
START_TEST(sizes_by_form)
{
    static const struct {
        nr_form form;
        const char *font, *mark, *offset;
    } of[] = {{NR_FORM_PNG, " font 'Sans,12'", " pt 6 ps 2 lc", NULL},
              {NR_FORM_SVG, " font 'sans-serif,16'", " pt 6 ps 1.1 lc", " offset 0,0.45"},
              {NR_FORM_PDF, " font 'Sans,13.84'", " pt 6 ps 1.3 lc", NULL}};
    for (size_t i = 0; i < 3; i++) {
        fresh(of[i].form, 1);
        nr_font(&picture, 16);
        ck_assert_str_eq(written(), of[i].font);
        nr_mark(&picture, 6, 2, NR_BLACK);
        ck_assert_ptr_nonnull(strstr(written(), of[i].mark));
        nr_tics_style(&picture, "x");
        ck_assert((of[i].offset && strstr(written(), of[i].offset)) ||
                  (!of[i].offset && !strstr(written(), " offset ")));
        nr_tics_style(&picture, "y");
        ck_assert_ptr_null(strstr(written(), " offset "));
        done();
    }
    fresh(NR_FORM_SVG, NR_PORTRAIT_SCALE);
    nr_font(&picture, 16);
    ck_assert_str_eq(written(), " font 'sans-serif,26.4'");
    nr_tics_style(&picture, "x2");
    ck_assert_ptr_nonnull(strstr(written(), " offset 0,-0.45"));
    done();
}
END_TEST

/* Okabe and Ito (2008): a colour and a mark a build, six and then again; two builds' lines apart in
 * grey. */
START_TEST(builds_are_told_apart)
{
    for (size_t a = 0; a < 6; a++) {
        for (size_t b = 0; b < a; b++)
            ck_assert(strcmp(nr_build_colour(a), nr_build_colour(b)) != 0 &&
                      nr_build_mark(a) != nr_build_mark(b) &&
                      strcmp(nr_channel_dash("other", a), nr_channel_dash("other", b)) != 0);
        ck_assert_str_eq(nr_build_colour(a + 6), nr_build_colour(a));
        ck_assert_int_eq(nr_build_mark(a + 12), nr_build_mark(a));
        ck_assert_str_eq(nr_channel_colour("other", a), nr_build_colour(a));
    }
    ck_assert(strcmp(nr_build_dash(0), "solid") == 0 && strcmp(nr_build_dash(1), "solid") != 0);
    ck_assert_str_eq(nr_build_dash(2), nr_build_dash(0));
    static const char *const of_heat[] = {"store", "outlet", "inlet", "air", "box"};
    for (size_t a = 0; a < 5; a++)
        for (size_t b = 0; b < a; b++)
            ck_assert(strcmp(nr_channel_colour(of_heat[a], 0), nr_channel_colour(of_heat[b], 0)) !=
                          0 &&
                      strcmp(nr_channel_dash(of_heat[a], 0), nr_channel_dash(of_heat[b], 0)) != 0);
    ck_assert_str_eq(nr_channel_colour("store", 0), nr_channel_colour("store", 3));
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {minutes_from_the_start, lengths_of_runs,
                                  runs_one_after_another, round_clock_times,
                                  clock_above_a_panel,    nice_limits,
                                  logarithmic_axes,       labels_apart,
                                  widths_are_the_fonts,   a_block_of_text,
                                  levels_and_words,       sizes_by_form,
                                  builds_are_told_apart,  NULL};
    return run_tests("axes", tests);
}
