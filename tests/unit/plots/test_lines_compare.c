/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every line of the picture of two builds: heat-ups with their names and times, the target, the
 * differences as strips, in both systems of units, whether they get there or not. Places are how
 * the picture is laid out; numbers are worked out from the answer, factors are NIST SP 811's. */
#include "plots/letters.h"
#include "tests/unit/plots/lines.h"

static nr_compare *c;

static double shown(double degC)
{
    return style.us_units ? 32 + 1.8 * degC : degC;
}
static const char *either(const char *si, const char *us)
{
    return style.us_units ? us : si;
}
static const char *colour_of(size_t build)
{
    return build ? "#D55E00" : "#0072B2";
}
static const char *letters_of(size_t build)
{
    return build ? "#BF5300" : "#0072B2";
}

/* The time axis: a quarter beyond the slowest that gets there; all of it when none does. */
static double end_of(void)
{
    double slowest = -INFINITY, all = 0;
    for (int b = 0; b < 2; b++) {
        all = fmax(all, c->heat_up[b].t_s[c->heat_up[b].count - 1] / 60);
        if (c->heat_up[b].time_s.known)
            slowest = fmax(slowest, c->heat_up[b].time_s.hi95 / 60);
    }
    return isfinite(slowest) ? 1.25 * slowest : all;
}

/* When a rising trace is so warm; NAN: never. */
static double minute_of(const nr_heat_up *h, const double *trace, double degC)
{
    for (size_t i = 0; i + 1 < h->count; i++)
        if (trace[i] < degC && trace[i + 1] >= degC) {
            double part = (degC - trace[i]) / (trace[i + 1] - trace[i]);
            return (h->t_s[i] + part * (h->t_s[i + 1] - h->t_s[i])) / 60;
        }
    return NAN;
}

/* The first of two that are there. */
static double earlier(double a, double b)
{
    return isnan(a) || b < a ? b : a;
}
static double later(double a, double b)
{
    return isnan(a) || b > a ? b : a;
}

static double warmest(const nr_heat_up *h, const double *trace, double end)
{
    double most = -INFINITY;
    for (size_t i = 0; i < h->count && h->t_s[i] / 60 <= end; i++)
        most = fmax(most, trace[i]);
    return most;
}

/* The left one's name at four fifths of the way up, where the first band is so warm; the right
 * one's at a third of it, where the last one is; 1.7 lines clear of the target and of the axis. */
static void name_is(size_t b, bool left, double end, const nr_limits *y, const char *rest)
{
    const nr_heat_up *h = c->heat_up;
    double from = c->day.from_degC, to = c->day.to_degC, degC, minute;
    double line = 1.25 * TEXT / (0.33 * 800) * (y->hi - y->lo) / (shown(1) - shown(0));
    double foot = (y->lo - shown(0)) / (shown(1) - shown(0));
    if (left) {
        degC = from + 0.8 * (fmin(to, warmest(&h[b], h[b].hi95, end)) - from);
        degC = fmin(degC, to - 1.7 * line);
        minute = earlier(minute_of(&h[0], h[0].hi95, degC), minute_of(&h[1], h[1].hi95, degC));
    } else {
        double top = fmin(to, warmest(&h[b], h[b].lo95, end));
        degC = fmax(from + 0.33 * (top - from), fmin(foot + 1.7 * line, top));
        minute = later(minute_of(&h[0], h[0].lo95, degC), minute_of(&h[1], h[1].lo95, degC));
    }
    if (!(minute < end))
        minute = left ? end / 2 : end / 3;
    char words[200];
    (void)snprintf(words, sizeof words, "%s%s", c->label[b], rest);
    double room = 0.93 * 1200 * (left ? minute / end : 1 - minute / end) - 30;
    double px = nr_text_px(words, TEXT) > room ? SMALL : TEXT;
    words_beside(words, minute, shown(degC), left ? "right" : "left", left ? -1.5 : 1.5,
                 left ? 0.9 : -0.9, px, letters_of(b));
}

/* u of the fixture's times is hypot(60, 140) s = 2.5 min: one decimal. */
static void time_is(size_t b, bool left, double aside)
{
    const nr_quantity *t = &c->heat_up[b].time_s;
    char words[80];
    double up = shown(c->day.to_degC) + (left ? aside : -aside);
    (void)snprintf(words, sizeof words, "%.1f min (%.1f to %.1f)", t->value / 60, t->lo95 / 60,
                   t->hi95 / 60);
    const block *row = rows_of(b ? "time1" : "time0", 4, 0);
    if (!t->known) {
        ck_assert_uint_eq(row->rows, 0);
        return;
    }
    NEAR(row->v[0][0], t->value / 60, 1e-5);
    NEAR(row->v[0][1], up, 1e-5);
    NEAR(row->v[0][2], t->lo95 / 60, 1e-5);
    NEAR(row->v[0][3], t->hi95 / 60, 1e-5);
    words_beside(words, (left ? t->lo95 : t->hi95) / 60, up, left ? "right" : "left", left ? -1 : 1,
                 left ? 0.75 : -0.75, SMALL, letters_of(b));
}

static void heat_ups_are(size_t ahead, bool overlap, const char *const rest[2])
{
    double end = end_of(), lo = c->day.from_degC, to = shown(c->day.to_degC);
    double hi = c->day.to_degC + 0.1 * (c->day.to_degC - c->day.from_degC);
    for (int b = 0; b < 2; b++) {
        const nr_heat_up *h = &c->heat_up[b];
        for (size_t i = 0; i < h->count && h->t_s[i] / 60 <= end; i++) {
            lo = fmin(lo, fmin(h->lo95[i], h->store_degC[i]));
            hi = fmax(hi, fmax(h->lo95[i], h->store_degC[i]));
        }
    }
    panel_at(0.055, 0.985, 0.53, 0.86);
    words_at(either("40 kg of water on the reference day, 900 W/m\u00b2; water in \u00b0C, 95 % "
                    "bands",
                    "10.6 gal of water on the reference day, 285 Btu/(h ft\u00b2); water in "
                    "\u00b0F, 95 % bands"),
             0.055, 0.882, "left", TEXT, BLACK);
    nr_limits y = axis_around("y", shown(lo), shown(hi), 5, false);
    range_is("x", 0, end);
    tics_are("x", 0, nr_nice(0, end, 8, true).step, end, SMALL);
    words_at("minutes", 0.52, 0.53 - 50 / 800.0, "center", SMALL, GREY);
    says("set arrow from graph 0, first %.9g to graph 1, first %.9g nohead lw 1.5 dt (3,3) lc rgb "
         "'" BLACK "'",
         to, to);
    says("set label 'target %.0f %s' at graph 0, first %.9g left offset 0.6,0.7 front tc rgb "
         "'" BLACK "' font 'sans-serif,16'",
         to, either("\u00b0C", "\u00b0F"), to);
    for (size_t b = 0; b < 2; b++) {
        time_is(b, b == ahead, overlap ? 0.014 * (y.hi - y.lo) : 0);
        name_is(b, b == ahead, end, &y, rest[b]);
    }
    says("plot NaN, $heat0 using 1:3:4 with filledcurves fs transparent solid 0.15 lc rgb '%s', "
         "$heat1 using 1:3:4 with filledcurves fs transparent solid 0.15 lc rgb '%s', $heat0 using "
         "1:2 with lines lw 3 dt solid lc rgb '%s', $heat1 using 1:2 with lines lw 3 dt (14,4) lc "
         "rgb '%s', $time0 using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 0.935 lc rgb '%s', $time1 "
         "using 1:2:3:4 with xerrorbars lw 2.5 pt 5 ps 0.935 lc rgb '%s'",
         colour_of(0), colour_of(1), colour_of(0), colour_of(1), colour_of(0), colour_of(1));
}

/* The efficiency curves have their own tests; here only where they are. */
static void curves_are(void)
{
    panel_at(0.055, 0.48, 0.085, 0.369);
    const char *line = next_line();
    while (strncmp(line, "plot ", 5) != 0) {
        at_line = strchr(line, '\n') + 1;
        line = next_line();
    }
    begins("plot NaN, $curve0");
}

static void signed_text(char *text, size_t size, double v, int decimals)
{
    (void)snprintf(text, size, "%s%.*f", v < 0 ? "\u2212" : "", decimals, fabs(v));
}

/* A strip 0.045 high: its words above, zero, the difference. */
static void strip_is(int by, const nr_quantity *q, double factor, int decimals, const char *words)
{
    static const double top[] = {0.335, 0.215, 0.095};
    char text[200], value[30], lo[30], hi[30];
    panel_at(0.555, 0.985, top[by] - 0.045, top[by]);
    if (by == 0)
        words_at("Glazed wash stand \u2212 Bare wash stand, 95 %", 0.555, 0.335 + 0.056, "left",
                 TEXT, BLACK);
    signed_text(value, sizeof value, factor * q->value, decimals);
    signed_text(lo, sizeof lo, factor * q->lo95, decimals);
    signed_text(hi, sizeof hi, factor * q->hi95, decimals);
    (void)snprintf(text, sizeof text, "%s: %s (%s to %s)", words, value, lo, hi);
    if (!q->known)
        (void)snprintf(text, sizeof text, "%s: not determined", words);
    words_at(text, 0.555, top[by] + 0.02, "left", SMALL, GREY);
    if (!q->known) {
        says("set border 0");
        range_is("x", 0, 1);
        range_is("y", 0, 1);
        says("plot NaN");
        return;
    }
    nr_limits at = nr_nice(factor * q->lo95, factor * q->hi95, 5, true);
    double air = 0.04 * (at.hi - at.lo);
    range_is("x", at.lo - air, at.hi + air);
    tics_are("x", at.lo, at.step, at.hi, SMALL);
    range_is("y", -1, 1);
    says("set grid noytics");
    says("set arrow from first 0, graph 0 to first 0, graph 1 nohead lw 2 lc rgb '" GREY "'");
    says("plot NaN, $difference%d using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 0.825 lc rgb "
         "'" BLACK "'",
         by);
}

static void differences_are(void)
{
    const nr_difference *d = &c->difference[0];
    /* Two figures of u: 0.0072, 0.76 W/(m2 K) = 0.13 Btu/(h ft2 degF), 2.0 min. */
    strip_is(0, &d->eta0, 1, 4, "zero-loss efficiency \u03b7\u2080");
    strip_is(1, &d->a1, style.us_units ? 0.1761101838 : 1, 2,
             either("loss a\u2081, W/(m\u00b2 K)", "loss a\u2081, Btu/(h ft\u00b2 \u00b0F)"));
    strip_is(2, &d->heat_up_s, 1 / 60.0, 1, "heat-up time, min");
    that_is_all();
}

static void draw(void)
{
    drawn(nr_plot_compare(c, path, &style, &err));
    from_the_start();
    begins("set label '");
    words_at(either("2 builds, one joint fit; heating from 15 to 40 \u00b0C, air at 22 \u00b0C",
                    "2 builds, one joint fit; heating from 59 to 104 \u00b0F, air at 72 \u00b0F"),
             0.018, 0.92, "left", TEXT, GREY);
}

static const char *const nothing[2] = {"", ""};
static const fixture_build two[2] = {{"Glazed wash stand", "sample-runs/wash-stand-glazed", "",
                                      1.10, 0.712, 8.1, 40, 16.2, 19.5, 90, true, false},
                                     {"Bare wash stand", "sample-runs/wash-stand-bare", "", 1.10,
                                      0.802, 17.4, 40, 16.2, 19.5, 90, true, false}};

START_TEST(all_lines)
{
    for (int us = 0; us < 2; us++) {
        style.us_units = us;
        c = fixture_compare(&x, two, 2);
        draw();
        heat_ups_are(0, true, nothing);
        curves_are();
        differences_are();
    }
}
END_TEST

/* Times whose intervals do not overlap stand at the target's own height; the faster is left,
 * whichever it is. */
START_TEST(apart_and_the_other_way_round)
{
    for (int faster = 0; faster < 2; faster++)
        for (int apart = 0; apart < 2; apart++) {
            c = fixture_compare(&x, two, 2);
            double slow = c->heat_up[1].time_s.value + 1800;
            c->heat_up[1 - faster].time_s = fixture_quantity(slow, 60, 140, NR_UNIT_S);
            const nr_quantity *t = &c->heat_up[1 - faster].time_s;
            double before = t->lo95 + (apart ? -1 : 1) - 1.96 * hypot(60, 140);
            c->heat_up[faster].time_s = fixture_quantity(before, 60, 140, NR_UNIT_S);
            c->difference[0].heat_up_s = fixture_unknown(NR_UNIT_S);
            nr_verdict_judge(c);
            c->verdict.best = (size_t)faster;
            c->verdict.reached = true;
            draw();
            heat_ups_are((size_t)faster, !apart, nothing);
            curves_are();
            differences_are();
        }
}
END_TEST

/* None gets there: the warmer is left, and the names say so, and whose loss is the container's. */
START_TEST(not_reached)
{
    static const char *const rest[2] = {": not reached",
                                        " (loss with the container\u2019s): not reached"};
    for (int warmer = 0; warmer < 2; warmer++) {
        fixture_build builds[2] = {two[0], two[1]};
        builds[0].eta0 = warmer ? 0.3 : 0.4;
        builds[1].eta0 = 0.45;
        builds[1].a1 = 10;
        if (!warmer)
            builds[1].eta0 = 0.2;
        c = fixture_compare(&x, builds, 2);
        c->build[1]->loss_includes_store = true;
        for (int b = 0; b < 2; b++)
            c->heat_up[b].time_s = fixture_unknown(NR_UNIT_S);
        c->difference[0].heat_up_s = fixture_unknown(NR_UNIT_S);
        c->verdict.reached = false;
        draw();
        heat_ups_are((size_t)warmer, false, rest);
    }
}
END_TEST

/* Nothing gets warmer: no line to stand at, so the names stand in the half and the third of the
 * time. */
START_TEST(flat_lines)
{
    static const char *const rest[2] = {": not reached", ": not reached"};
    c = fixture_compare(&x, two, 2);
    for (int b = 0; b < 2; b++) {
        nr_heat_up *h = &c->heat_up[b];
        for (size_t i = 0; i < h->count; i++)
            h->store_degC[i] = h->lo95[i] = h->hi95[i] = 15;
        h->time_s = fixture_unknown(NR_UNIT_S);
    }
    c->difference[0].heat_up_s = fixture_unknown(NR_UNIT_S);
    c->verdict.reached = false;
    draw();
    heat_ups_are(0, false, rest);
}
END_TEST

/* Two names too long for a line: each its own, of small letters, cut in front. */
START_TEST(long_names)
{
    c = fixture_compare(&x, two, 2);
    char one[200], other[200], words[300];
    for (int b = 0; b < 2; b++) {
        memset(c->label[b], b ? 'b' : 'a', NR_NAME - 1);
        c->label[b][NR_NAME - 1] = '\0';
    }
    drawn(nr_plot_compare(c, path, &style, &err));
    double got[2];
    (void)snprintf(words, sizeof words, "'%s' at screen ",
                   nr_text_cut_front(one, sizeof one, c->label[0], SMALL, 0.43 * 1200));
    numbers_of(words, 0, 2, got);
    NEAR(got[0], 0.555, 1e-4);
    NEAR(got[1], 0.391 + 1.25 * SMALL / 800, 1e-4);
    (void)snprintf(words, sizeof words, "'\u2212 %s, 95 %%' at screen ",
                   nr_text_cut_front(other, sizeof other, c->label[1], SMALL, 0.43 * 1200 - 80));
    numbers_of(words, 0, 2, got);
    NEAR(got[0], 0.555, 1e-4);
    NEAR(got[1], 0.391, 1e-4);
}
END_TEST

/* What both begin with, up to behind a separator, is left out of their difference. */
START_TEST(common_beginnings)
{
    static const char *const of[][3] = {
        {"wash-stand-bare", "wash-stand-glazed", "bare \u2212 glazed"},
        {"wash stand", "wash stand 2", "stand \u2212 stand 2"},
        {"coil_a", "coil_b", "a \u2212 b"},
        {"a/b 1", "a/b 2", "1 \u2212 2"},
        {"bare", "barn", "bare \u2212 barn"},
        {"a-", "a-b", "a- \u2212 a-b"},
        {"a-b", "a-", "a-b \u2212 a-"},
        {"x-1", "y-1", "x-1 \u2212 y-1"}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char words[100];
        c = fixture_compare(&x, two, 2);
        for (int b = 0; b < 2; b++)
            (void)snprintf(c->label[b], sizeof c->label[b], "%s", of[i][b]);
        drawn(nr_plot_compare(c, path, &style, &err));
        (void)snprintf(words, sizeof words, "'%s, 95 %%' at screen 0.5550,0.3910", of[i][2]);
        ck_assert_msg(strstr(script, words) != NULL, "no %s", words);
    }
}
END_TEST

/* The name between two words of the title. */
static void name_in_title(char *to, const char *from, const char *until)
{
    const char *at = strstr(script, from) + strlen(from), *end = strstr(at, until);
    ck_assert_ptr_nonnull(end);
    (void)snprintf(to, 200, "%.*s", (int)(end - at), at);
}

/* Names of a title: whole where both fit; else without what both begin with, where what is left
 * says enough (more than half of the room); else both from their beginnings, so that they stay
 * apart. What one leaves free of its half the other may have. */
START_TEST(names_of_a_title)
{
    static const struct {
        size_t common, end[2];
    } of[] = {{10, {4, 5}},  {20, {3, 4}},   {40, {3, 5}},   {40, {5, 3}},   {30, {30, 28}},
              {25, {5, 35}}, {25, {35, 5}},  {38, {12, 12}}, {38, {12, 11}}, {38, {11, 11}},
              {12, {50, 4}}, {12, {50, 50}}, {0, {60, 20}},  {0, {20, 60}},  {50, {12, 13}}};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        char name[2][200], whole[2][200], ends[2][200];
        c = fixture_compare(&x, two, 2);
        for (int b = 0; b < 2; b++) {
            char *l = c->label[b];
            size_t common = of[i].common, all = common + of[i].end[b];
            memset(l, 'o', common);
            if (common > 0)
                l[common - 1] = '-';
            memset(l + common, b ? 'b' : 'a', all - common);
            l[all] = '\0';
            (void)snprintf(whole[b], sizeof whole[b], "%s", l);
            (void)snprintf(ends[b], sizeof ends[b], "\u2026%s", l + common);
        }
        drawn(nr_plot_compare(c, path, &style, &err));
        name_in_title(name[0], "set label '", " is ");
        name_in_title(name[1], " faster than ", " (95 %");
        char words[300];
        name_in_title(words, "set label '", "' at screen");
        double px[2], room = 1158 - (nr_text_px(words, 27) - nr_text_px(name[0], 27) -
                                     nr_text_px(name[1], 27));
        bool fit = nr_text_px(whole[0], 27) + nr_text_px(whole[1], 27) <= room;
        bool cut = !fit && of[i].common > 0 &&
                   nr_text_px(ends[0], 27) + nr_text_px(ends[1], 27) > room / 2;
        for (int b = 0; b < 2; b++) {
            const char *of_it = cut ? ends[b] : whole[b];
            px[b] = nr_text_px(of_it, 27);
            size_t first = strlen("\u2026") + 1;
            if (!cut)
                ck_assert_msg(*name[b] == *whole[b], "%s for %s", name[b], whole[b]);
            else
                ck_assert_msg(strncmp(name[b], of_it, first) == 0, "%s for %s", name[b], of_it);
            ck_assert(!fit || strcmp(name[b], whole[b]) == 0);
        }
        for (int b = 0; b < 2; b++) {
            double own = px[!b] < room / 2 ? room - px[!b] : room / 2;
            bool is_cut = strcmp(name[b], cut ? ends[b] : whole[b]) != 0;
            ck_assert_msg(is_cut == (px[b] > own), "%s of %g in %g", name[b], px[b], own);
            ck_assert(nr_text_px(name[b], 27) <= fmax(own, 1e-9));
            /* No letter less than fits. */
            ck_assert(!is_cut || nr_text_px(name[b], 27) > own - 27);
        }
        ck_assert_str_ne(name[0], name[1]);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {all_lines,        apart_and_the_other_way_round,
                                  not_reached,      long_names,
                                  flat_lines,       common_beginnings,
                                  names_of_a_title, NULL};
    fixture_all_used();
    return run_tests_in("lines of two builds' picture", tests, set_up, tear_down);
}
