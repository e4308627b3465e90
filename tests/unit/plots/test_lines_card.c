/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every line of a card to post, of one build and of several: what it says, where, in which size.
 * Places are so many px below the upper edge of 1080 by 1350, as the card is laid out; sizes those
 * of the landscape pictures, 1.65 times. Numbers are worked out from the answer. */
#include "analyze/fit/trust.h"
#include "plots/energy.h"
#include "plots/letters.h"
#include "plots/timeline.h"
#include "tests/unit/plots/lines.h"

#define ENLARGED 1.65
#define LARGE 44

static double down(double px)
{
    return 1 - px / 1350;
}

/* A line at the left edge. */
static void line(const char *words, double px_down, double px, const char *colour)
{
    words_at(words, 0.05, down(px_down), "left", px * ENLARGED, colour);
}

/* --- one build ------------------------------------------------------------------------------ */

/* One of the three numbers: large, its half interval below, what it is in two lines. */
static void number_is(int column, const char *value, const char *half, const char *one,
                      const char *two)
{
    double across = 0.05 + 0.32 * column;
    words_at(value, across, down(209), "left", LARGE * ENLARGED, BLACK);
    words_at(half, across, down(265), "left", TEXT * ENLARGED, BLACK);
    words_at(one, across, down(303), "left", SMALL * ENLARGED, GREY);
    words_at(two, across, down(335), "left", SMALL * ENLARGED, GREY);
}

static void curve_is(const nr_fit *f)
{
    const nr_fit_run *r = &f->run[0];
    double lo = INFINITY, hi = -INFINITY;
    for (size_t i = 0; i < r->blocks; i += 2) {
        lo = fmin(lo, fmin(r->channel[0].measured[i], r->air_degC[i]));
        hi = fmax(hi, fmax(r->channel[0].measured[i], r->air_degC[i]));
    }
    nr_limits y = nr_nice(lo, hi, 5, false);
    range_is("y", y.lo, y.hi);
    tics_are("y", y.lo, y.step, y.hi, SMALL * ENLARGED);
    range_is("x", 0, 90);
    /* 0.85 of the width over 1.65, 75 px a number: eight. */
    says("set xtics nomirror out scale 0.5 tc rgb '" GREY "' offset 0,0.45 font 'sans-serif,26.4' "
         "('0' 0, '15' 15, '30' 30, '45' 45, '60' 60, '75' 75, '90' 90)");
    words_at("minutes from the start", 0.52, 0.448 - 50 * ENLARGED / 1350, "center",
             SMALL * ENLARGED, GREY);
    words_at("Water (thick) and air, \u00b0C", 0.05, 0.685 + 0.022, "left", TEXT * ENLARGED, BLACK);
}

static void bar_is(const nr_fit *f)
{
    double share[NR_ENERGY_PARTS], at = 0.05;
    int told = 0;
    if (!nr_energy_shares(f, share))
        return;
    words_at("Where the sun\u2019s energy went", 0.05, 0.314 + 0.018, "left", TEXT * ENLARGED,
             BLACK);
    for (int k = 0; k < NR_ENERGY_PARTS; k++) {
        if (!nr_energy_told(f, k))
            continue;
        double left = told % 2 ? 0.51 : 0.05, up = down(1008 + 40 * (told / 2));
        char words[100], name[60];
        (void)snprintf(name, sizeof name, "%s", nr_energy_name(f, k));
        char *mark = strchr(name, '\'');
        (void)snprintf(words, sizeof words, "%.*s%s%s", mark ? (int)(mark - name) : 59, name,
                       mark ? "\u2019" : "", mark ? mark + 1 : "");
        if (share[k] < 0.005)
            strcat(words, " under 1 %");
        else
            (void)snprintf(words + strlen(words), 10, " %.0f %%", 100 * share[k]);
        says("set object rectangle from screen %.6f, screen 0.278 to screen %.6f, screen 0.314 "
             "front fc rgb '%s' fs solid 0.9 border lc rgb 'white'",
             at, at + 0.895 * share[k], nr_energy_colour(k));
        says("set object rectangle from screen %.6f, screen %.6f to screen %.6f, screen %.6f front "
             "fc rgb '%s' fs solid 0.9 border lc rgb '" GREY "'",
             left, up - 0.009, left + 0.024, up + 0.009, nr_energy_colour(k));
        words_at(words, left + 0.036, up, "left", SMALL * ENLARGED, BLACK);
        at += 0.895 * share[k];
        told++;
    }
}

static void begins_the_card(const nr_card *card)
{
    drawn(nr_plot_card(card, path, &style, &err));
    from_the_start();
    panel_at(0.095, 0.945, 0.448, 0.685);
}

static void ends_the_card(void)
{
    says("plot NaN, $water using 1:3 with lines lw 2 dt (10,4) lc rgb '#009E73', $water using 1:2 "
         "with lines lw 5 lc rgb '#0072B2'");
    that_is_all();
}

static void subtitle_is(void)
{
    /* Two lines, 1.25 of 16 px apart, enlarged. */
    words_at("wash-stand-glazed: Wash stand behind the seedling tunnel, 4 May 2026,", 0.05,
             down(114), "left", SMALL * ENLARGED, GREY);
    words_at("51.87\u00b0 N, 0.63\u00b0 E", 0.05, down(114 + 1.25 * 16 * ENLARGED), "left",
             SMALL * ENLARGED, GREY);
}

START_TEST(a_card)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    nr_card card = {f, 0, 0, "0123456789abcdef0123456789abcdef"};
    begins_the_card(&card);
    line("Glazed wash stand", 62, 27, BLACK);
    subtitle_is();
    number_is(0, "71.2", "\u00b1 4.4 %", "of the sun into heat,", "warm as the air");
    number_is(1, "8.1", "\u00b1 1.3 W/(m\u00b2 K)", "lost for each degree", "warmer");
    number_is(2, "61.2", "\u00b1 3.6 %", "of this test\u2019s sun", "in the water");
    curve_is(f);
    bar_is(f);
    line("mean sun 880 W/m\u00b2, air 19.5 \u00b0C", 1158, SMALL, GREY);
    line("flow 1.05 L/min, area 1.1 m\u00b2", 1196, SMALL, GREY);
    line("Grade: good", 1246, SMALL, BLACK);
    line("\u00b1 is half of the 95 % interval; efficiency on the gross area.", 1284, SMALL, GREY);
    line("noonfit " NOONRUN_VERSION "; readings.csv SHA-256 0123456789abcdef01234567\u2026", 1322,
         0.85 * SMALL, GREY);
    ends_the_card();
}
END_TEST

/* Little known, a doubt, wind, no name: what else the same lines say. */
START_TEST(a_poor_card)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    nr_card card = {f, 1, 1, "0123456789abcdef01234567"};
    f->collector_name[0] = '\0';
    f->a1 = fixture_unknown(NR_UNIT_W_M2K);
    f->loss_includes_store = true;
    f->mean_flow_L_min = NAN;
    f->mean_wind_m_s = 1.62;
    f->mean_sun_W_m2 = NAN;
    f->trust.count = 1;
    f->sun_J = 0; /* no shares of it */
    begins_the_card(&card);
    line("Solar collector", 62, 27, BLACK);
    subtitle_is();
    number_is(0, "71.2", "\u00b1 4.4 %", "of the sun into heat,", "warm as the air");
    number_is(1, "?", "not determined", "lost for each degree", "warmer, with bucket");
    number_is(2, "61.2", "\u00b1 3.6 %", "of this test\u2019s sun", "in the water");
    curve_is(f);
    line("air 19.5 \u00b0C", 1158, SMALL, GREY);
    line("wind 1.6 m/s, area 1.1 m\u00b2", 1196, SMALL, GREY);
    char grade[80];
    (void)snprintf(grade, sizeof grade, "Grade: %s; inspection: 1 fault, 1 doubt",
                   nr_trust_grade(&f->trust));
    line(grade, 1246, SMALL, "#BF5300");
    line("\u00b1 is half of the 95 % interval; efficiency on the gross area.", 1284, SMALL, GREY);
    line("noonfit " NOONRUN_VERSION "; readings.csv SHA-256 0123456789abcdef01234567", 1322,
         0.85 * SMALL, GREY);
    ends_the_card();
}
END_TEST

/* A name is never cut: too long for a line of 972 px it is 0.7 as large over two, and ever smaller
 * by a twentieth while it takes more than 1.6 of them. */
START_TEST(names_of_any_length)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    nr_card card = {f, 0, 0, ""};
    for (size_t n = 1; n < sizeof f->collector_name - 2; n++) {
        f->collector_name[n - 1] = n % 6 ? 'n' : ' ';
        f->collector_name[n] = 'n';
        f->collector_name[n + 1] = '\0';
        double wide = nr_text_px(f->collector_name, 27 * ENLARGED), px = 27;
        if (n % 11)
            continue;
        if (wide > 972)
            for (px *= 0.7; nr_text_px(f->collector_name, px * ENLARGED) > 1.6 * 972;)
                px *= 0.95;
        drawn(nr_plot_card(&card, path, &style, &err));
        from_the_start();
        panel_at(0.095, 0.945, 0.448, 0.685);
        if (wide <= 972)
            line(f->collector_name, 62, 27, BLACK);
        else {
            const char *label = next_line(), *end = strstr(label, "' at screen");
            char first[200];
            (void)snprintf(first, sizeof first, "%.*s", (int)(end - label - 11), label + 11);
            ck_assert_msg(strncmp(first, f->collector_name, strlen(first)) == 0, "%s", first);
            line(first, 34, px, BLACK);
            if (strlen(first) < strlen(f->collector_name))
                line(f->collector_name + strlen(first) + 1, 34 + 1.25 * px * ENLARGED, px, BLACK);
        }
    }
}
END_TEST

/* A run without water or air is drawn all the same; the channel of the store is looked for. */
START_TEST(water_of_a_card)
{
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 2);
    nr_card card = {f, 0, 0, ""};
    nr_fit_channel swap = f->run[1].channel[0];
    f->run[1].channel[0] = f->run[1].channel[2];
    f->run[1].channel[2] = swap;
    double *air = f->run[0].air_degC;
    f->run[0].air_degC = NULL;
    f->run[0].channels = 0;
    for (size_t blocks = 399; blocks < 401; blocks++) { /* 400 and more: every second */
        f->run[1].blocks = blocks;
        drawn(nr_plot_card(&card, path, &style, &err));
        nr_timeline t = nr_timeline_of(f);
        const block *b = rows_of("water", 3, 0);
        size_t step = blocks < 400 ? 1 : 2;
        ck_assert_uint_eq(b->rows, 270 + (blocks + step - 1) / step);
        for (size_t i = 0; i < b->rows; i++) {
            size_t k = i < 270 ? 2 * i : step * (i - 270);
            const nr_fit_run *r = &f->run[i >= 270];
            same("minutes", b->v[i][0], t.offset_min[i >= 270] + r->t_s[k] / 60);
            same("water", b->v[i][1], i < 270 ? NAN : swap.measured[k]);
            same("air", b->v[i][2], i < 270 ? NAN : r->air_degC[k]);
        }
        /* Grey between the runs. */
        double gap[4];
        numbers_of("set object rectangle from first ", 0, 4, gap);
        NEAR(gap[0], t.length_min[0], 1e-6);
        NEAR(gap[2], t.offset_min[1], 1e-6);
    }
    f->run[0].air_degC = air;
}
END_TEST

/* --- several -------------------------------------------------------------------------------- */

static void time_of(const nr_quantity *t, char *words, size_t size)
{
    /* u of the fixture, hypot(60, 140) s: half of 95 % is 5.0 min. */
    if (t->known)
        (void)snprintf(words, size, "%.1f \u00b1 5.0 min", t->value / 60);
    else
        (void)snprintf(words, size, "does not get there");
}

static const nr_compare *of_so_many(size_t n)
{
    static fixture_build many[12];
    for (size_t i = 0; i < n; i++) {
        many[i] = i % 2 ? fixture_bare : fixture_glazed;
        many[i].eta0 -= 0.01 * (double)i;
    }
    many[n - 1].eta0 = 0.1;
    return fixture_compare(&x, many, n);
}

static void begins_the_ranking(double bottom)
{
    from_the_start();
    panel_at(0.05, 0.945, bottom, 0.84);
    line("Who heats up first", 62, 27, BLACK);
    line("900 W/m\u00b2", 108, SMALL, GREY);
    line("noonfit " NOONRUN_VERSION, 1322, 0.85 * SMALL, GREY);
}

/* Up to eight a row of dots each, as high as fit between 0.24 and 0.84 but not over 0.135. */
START_TEST(dots_of_builds)
{
    static const char *const colour[] = {"#0072B2", "#D55E00", "#009E73",
                                         "#CC79A7", "#E69F00", "#000000"};
    static const int mark[] = {7, 5, 9, 13, 11, 6};
    for (size_t n = 2; n <= 8; n++) {
        const nr_compare *c = of_so_many(n);
        double row = fmin(0.6 / (double)n, 0.135), bottom = 0.84 - row * (double)n, hi = 1;
        char words[100], plot[1200] = "plot NaN";
        drawn(nr_plot_ranking(c, "900 W/m2", path, &style, &err));
        begins_the_ranking(bottom);
        for (size_t i = 0; i < n; i++)
            if (c->heat_up[i].time_s.known)
                hi = fmax(hi, c->heat_up[i].time_s.hi95 / 60);
        nr_limits at = nr_nice(0, hi, 5, true);
        range_is("x", 0, at.hi);
        tics_are("x", at.lo, at.step, at.hi, SMALL * ENLARGED);
        range_is("y", 0, (double)n);
        words_at("minutes on the reference day; lines are 95 % intervals", 0.4975,
                 bottom - 50 * ENLARGED / 1350, "center", SMALL * ENLARGED, GREY);
        for (size_t place = 0; place < n; place++) {
            size_t build = c->rank[place].build;
            double up = 0.84 - row * (double)place - 0.03;
            (void)snprintf(words, sizeof words, "%zu. %s", place + 1, c->label[build]);
            words_at(words, 0.05, up, "left", TEXT * ENLARGED, BLACK);
            time_of(&c->heat_up[build].time_s, words, sizeof words);
            words_at(words, 0.945, up, "right", TEXT * ENLARGED, BLACK);
            (void)snprintf(plot + strlen(plot), sizeof plot - strlen(plot),
                           ", $build%zu using 1:2:3:4 with xerrorbars lw 4 pt %d ps 1.32 lc rgb "
                           "'%s'",
                           place, mark[build % 6], colour[build % 6]);
            const char block_name[] = {'b', 'u', 'i', 'l', 'd', (char)('0' + place), '\0'};
            const block *b = rows_of(block_name, 4, 0);
            ck_assert_uint_eq(b->rows, c->heat_up[build].time_s.known ? 1 : 0);
            const nr_quantity *t = &c->heat_up[build].time_s;
            if (b->rows) { /* 78 px under the row's upper edge */
                NEAR(b->v[0][1], (double)(n - place) - 78 / (row * 1350), 1e-4);
                NEAR(b->v[0][0], t->value / 60, 1e-5);
                NEAR(b->v[0][2], t->lo95 / 60, 1e-5);
                NEAR(b->v[0][3], t->hi95 / 60, 1e-5);
            }
        }
        double foot = 1350 * (1 - bottom) + 219;
        line("Intervals that overlap may still differ for sure, or not: the builds share", foot,
             SMALL, GREY);
        line("sensors. noonfit compare tells the differences with their own intervals.", foot + 36,
             SMALL, GREY);
        /* The verdict as far as two lines and more of it fit above 1290 px. */
        int room = (int)((1290 - foot - 105) / (1.25 * TEXT * ENLARGED)), lines = 0;
        for (const char *next = next_line(); strncmp(next, "set label", 9) == 0;
             next = next_line(), lines++) {
            double got[2];
            ck_assert_int_eq(sscanf(strstr(next, "' at screen ") + 12, "%lf,%lf", got, got + 1), 2);
            NEAR(got[0], 0.05, 1e-4);
            NEAR(got[1], down(foot + 105 + lines * 1.25 * TEXT * ENLARGED), 1e-4);
            at_line = strchr(next, '\n') + 1;
        }
        ck_assert_msg(room < 2 ? lines == 0 : lines >= 2 && lines <= room, "%d lines of %d", lines,
                      room);
        says("%s", plot);
        that_is_all();
    }
}
END_TEST

/* More have a line each, with letters before it. */
START_TEST(a_list_of_builds)
{
    for (size_t n = 9; n <= 12; n += 3) {
        const nr_compare *c = of_so_many(n);
        drawn(nr_plot_ranking(c, "900 W/m2", path, &style, &err));
        begins_the_ranking(0.24);
        range_is("x", 0, 1);
        range_is("y", 0, 1);
        for (size_t place = 0; place < n; place++) {
            size_t build = c->rank[place].build;
            double up = 0.84 - 0.6 / (double)n * ((double)place + 0.5),
                   px = 0.95 * SMALL * ENLARGED;
            char words[80];
            words_at(c->rank[place].letters, 0.05, up, "left", px, GREY);
            words_at(c->label[build], 0.16, up, "left", px, BLACK);
            time_of(&c->heat_up[build].time_s, words, sizeof words);
            words_at(words, 0.945, up, "right", px, BLACK);
        }
        line("\u00b1 is half of the 95 % interval.", 1120, SMALL, GREY);
        line("Builds without a letter in common are told apart,", 1160, SMALL, GREY);
        line("all pairs together at 95 %.", 1196, SMALL, GREY);
        says("unset border");
        says("plot NaN");
        that_is_all();
    }
}
END_TEST

/* A name beside its time: smaller by 3 % at a time down to 0.6 of its size, then cut in the middle;
 * 24 px of 966.6 between them (20 of a list's 847.8). */
START_TEST(long_names)
{
    for (size_t n = 2; n <= 9; n += 7) {
        nr_compare *c = fixture_get(&x, 1, sizeof *c);
        *c = *of_so_many(n);
        size_t build = c->rank[0].build;
        for (size_t length = 10; length < 60; length += 7) {
            char name[100], cut[200], time[60];
            double px = n == 2 ? TEXT : 0.95 * SMALL;
            memset(c->label[build], 'm', length);
            c->label[build][length] = '\0';
            (void)snprintf(name, sizeof name, "%s%s", n == 2 ? "1. " : "", c->label[build]);
            time_of(&c->heat_up[build].time_s, time, sizeof time);
            double room = n == 2 ? 0.895 * 1080 - 24 : (0.945 - 0.16) * 1080 - 20;
            room -= nr_text_px(time, px * ENLARGED);
            while (n == 2 && nr_text_px(name, px * ENLARGED) > room && px > 0.6 * TEXT)
                px *= 0.97;
            (void)nr_text_cut_middle(cut, sizeof cut, name, px * ENLARGED, room);
            drawn(nr_plot_ranking(c, "", path, &style, &err));
            char expected[300];
            (void)snprintf(expected, sizeof expected, "set label '%s' at screen 0.", cut);
            const char *found = strstr(script, expected);
            ck_assert_msg(found != NULL, "no %s", expected);
            double size = strtod(strstr(found, "font 'sans-serif,") + 17, NULL);
            NEAR(size, px * ENLARGED, 5e-3);
        }
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        a_card,         a_poor_card,      names_of_any_length, water_of_a_card,
        dots_of_builds, a_list_of_builds, long_names,          NULL};
    fixture_all_used();
    return run_tests_in("lines of a card", tests, set_up, tear_down);
}
