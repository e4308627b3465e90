/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every picture is made of, letter by letter as it goes to gnuplot: begin, panel, words,
 * marks, levels, axes; in each form, on each canvas. Places are those the header names. */
#include "plots/letters.h"
#include "plots/picture.h"
#include "tests/unit/near.h"

#include <stdarg.h>

typedef struct form_of_three {
    nr_form form;
    const char *family, *ending;
    double points;     /* of a px: pngcairo counts 96 px an inch as 72 points; pdf as measured */
    double mark_scale; /* of a mark */
} form_of_three;

static const form_of_three forms[] = {{NR_FORM_PNG, "Sans", "png", 0.75, 1.0},
                                      {NR_FORM_SVG, "sans-serif", "svg", 1.0, 0.55},
                                      {NR_FORM_PDF, "Sans", "pdf", 0.865, 0.65}};
#define FORMS 3
static const double scales[] = {1.0, 1.65};

static nr_picture p;
static const form_of_three *of;

static void open_script(size_t form, double scale)
{
    of = &forms[form];
    p = (nr_picture){.form = of->form, .scale = scale, .panel = {0.1, 0.7, 0.2, 0.8}};
    p.script = open_memstream(&p.text, &p.length);
    ck_assert_ptr_nonnull(p.script);
}

/* All that was written since the last time is this. */
__attribute__((format(printf, 1, 2))) static void wrote(const char *format, ...)
{
    char expected[4000];
    va_list more;
    va_start(more, format);
    (void)vsnprintf(expected, sizeof expected, format, more);
    va_end(more);
    ck_assert_int_eq(fclose(p.script), 0);
    if (strcmp(p.text, expected) != 0) /* what says nothing when it holds costs nothing */
        ck_abort_msg("\n%s\ninstead of\n%s", p.text, expected);
    free(p.text);
    p.script = open_memstream(&p.text, &p.length);
    ck_assert_ptr_nonnull(p.script);
}

static void close_script(void)
{
    wrote("%s", "");
    (void)fclose(p.script);
    free(p.text);
}

/* "'Sans,12'": that many px on the canvas. */
static const char *font(double px)
{
    static char text[4][40];
    static int next;
    char *to = text[next++ % 4];
    (void)snprintf(to, sizeof text[0], "font '%s,%.4g'", of->family, px * p.scale * of->points);
    return to;
}

static const char *mark(int kind, double size, const char *colour)
{
    static char text[60];
    (void)snprintf(text, sizeof text, "pt %d ps %.3g lc rgb '%s'", kind, size * of->mark_scale,
                   colour);
    return text;
}

#define EVERY_FORM                                                                                 \
    for (size_t form = 0; form < FORMS; form++)                                                    \
        for (size_t canvas = 0; canvas < 2; canvas++)

START_TEST(words_and_marks)
{
    EVERY_FORM
    {
        open_script(form, scales[canvas]);
        nr_font(&p, 20);
        wrote(" %s", font(20));
        nr_mark(&p, 7, 1.3, NR_BLUE);
        wrote(" %s", mark(7, 1.3, "#0072B2"));
        nr_text_screen(&p, 0.25, 0.75, "right", 18, NR_BLACK, "it's");
        wrote("set label 'it\u2019s' at screen 0.2500,0.7500 right front tc rgb '#000000' %s\n",
              font(18));
        double across = 0.1 + (canvas ? 16 * 1.65 / 1080 : 16.0 / 1200);
        nr_text_marked(&p, 0.1, 0.2, 16, 5, NR_SKY, "entry");
        wrote("set label '' at screen 0.1000,0.2000 front point %s\n"
              "set label 'entry' at screen %.4f,0.2000 left front tc rgb '#000000' %s\n",
              mark(5, 1.6, "#56B4E9"), across, font(16));
        nr_text_end(&p, 12.5, NR_BLUE, "store");
        wrote("set label 'store' at graph 1, first 12.5 left offset 0.6,0 front tc rgb '#0072B2' "
              "%s\n",
              font(16));
        nr_text_point(&p, 3, -4.25, "center", -0.75, 1.5, 27, NR_GREY, "here");
        wrote("set label 'here' at first 3, first -4.25 center offset -0.75,1.5 front tc rgb "
              "'#8A8A8A' %s\n",
              font(27));
        /* Nothing that is nowhere. */
        nr_text_end(&p, NAN, NR_BLUE, "store");
        nr_text_point(&p, NAN, 1, "left", 0, 0, 16, NR_BLUE, "here");
        nr_text_point(&p, 1, INFINITY, "left", 0, 0, 16, NR_BLUE, "here");
        nr_level(&p, NAN, NR_BLUE, "solid", "left", "level");
        close_script();
    }
}
END_TEST

START_TEST(levels)
{
    EVERY_FORM
    {
        open_script(form, scales[canvas]);
        for (int right = 0; right < 2; right++)
            for (int below = 0; below < 2; below++) {
                nr_level_words(&p, 40, NR_GREEN, "(3,3)", right ? "right" : "left", "target",
                               below);
                wrote("set arrow from graph 0, first 40 to graph 1, first 40 nohead lw 1.5 dt "
                      "(3,3) lc rgb '#009E73'\n"
                      "set label 'target' at graph %d, first 40 %s offset %s,%s front tc rgb "
                      "'#007A5A' %s\n",
                      right, right ? "right" : "left", right ? "-0.6" : "0.6",
                      below ? "-0.7" : "0.7", font(16));
            }
        nr_level(&p, -2.5, NR_BLACK, "solid", "right", "above");
        wrote("set arrow from graph 0, first -2.5 to graph 1, first -2.5 nohead lw 1.5 dt solid lc "
              "rgb '#000000'\nset label 'above' at graph 1, first -2.5 right offset -0.6,0.7 "
              "front tc rgb '#000000' %s\n",
              font(16));
        nr_level(&p, 1, NR_BLACK, "solid", "right", NULL);
        wrote("set arrow from graph 0, first 1 to graph 1, first 1 nohead lw 1.5 dt solid lc rgb "
              "'#000000'\n");
        /* In the middle of the panel, 50 px of letters' scale below it. */
        nr_x_label(&p, "minutes");
        wrote("set label 'minutes' at screen 0.4000,%.4f center front tc rgb '#4D4D4D' %s\n",
              0.2 - (canvas ? 50 * 1.65 / 1350 : 50.0 / 800), font(16));
        close_script();
    }
}
END_TEST

START_TEST(axes)
{
    EVERY_FORM
    {
        open_script(form, scales[canvas]);
        const bool svg = form == 1;
        const struct {
            const char *axis, *way, *scale, *offset;
        } axis[] = {{"x", "nomirror out", "0.5", svg ? " offset 0,0.45" : ""},
                    {"x2", "nomirror out", "0.5", svg ? " offset 0,-0.45" : ""},
                    {"y", "nomirror", "0", ""},
                    {"y2", "nomirror", "0", ""}};
        for (int a = 0; a < 4; a++) {
            nr_tics(&p, axis[a].axis, &(nr_limits){-10, 40, 12.5});
            wrote("set %stics %s scale %s tc rgb '#4D4D4D'%s %s -10,12.5,40.0000125\n",
                  axis[a].axis, axis[a].way, axis[a].scale, axis[a].offset, font(16));
            nr_range(&p, axis[a].axis, -10, 40);
            wrote("set %srange [-10:40]\n", axis[a].axis);
        }
        nr_range(&p, "y", NAN, 40);
        wrote("set yrange [*:40]\n");
        nr_range(&p, "x", 1, INFINITY);
        wrote("set xrange [1:*]\n");
        close_script();
    }
}
END_TEST

/* Round numbers of a logarithmic axis: the fullest of five choices of a decade's numbers that has
 * no more on the axis than wanted, or the emptiest. */
START_TEST(logarithmic_numbers)
{
    static const char *const between_1_and_10[] = {
        "'1' 1, '1.5' 1.5, '2' 2, '3' 3, '5' 5, '7' 7, '10' 10",
        "'1' 1, '2' 2, '3' 3, '5' 5, '10' 10", "'1' 1, '2' 2, '5' 5, '10' 10",
        "'1' 1, '3' 3, '10' 10", "'1' 1, '10' 10"};
    for (size_t most = 0; most < 9; most++) {
        size_t choice = most >= 7 ? 0 : most >= 5 ? 1 : most == 4 ? 2 : most == 3 ? 3 : 4;
        open_script(0, 1);
        nr_log_axis(&p, "y", 1, 10, most);
        wrote("set logscale y\nset yrange [1:10]\nset ytics nomirror scale 0 tc rgb '#4D4D4D' %s "
              "(%s)\n",
              font(16), between_1_and_10[choice]);
        close_script();
    }
    static const struct {
        double lo, hi;
        const char *range, *numbers;
    } other[] = {{0.2, 3, "0.2:3",
                  "'0.2' 0.2, '0.3' 0.3, '0.5' 0.5, '0.7' 0.7, '1' 1, '1.5' 1.5, '2' 2, "
                  "'3' 3"},
                 {11, 14, "11:14", "'' 1"},
                 {20.000001, 70, "20.000001:70", "'30' 30, '50' 50, '70' 70"},
                 /* A billionth beyond its end a number still counts. */
                 {2 * (1 + 0.5e-9), 7 * (1 - 0.5e-9), "2:7", "'2' 2, '3' 3, '5' 5, '7' 7"},
                 {2 * (1 + 1.5e-9), 7, "2:7", "'3' 3, '5' 5, '7' 7"},
                 {2, 7 * (1 - 1.5e-9), "2:6.99999999", "'2' 2, '3' 3, '5' 5"},
                 {0, 10, "1:10", "'1' 1, '1.5' 1.5, '2' 2, '3' 3, '5' 5, '7' 7, '10' 10"},
                 {-1, 10, "1:10", "'1' 1, '1.5' 1.5, '2' 2, '3' 3, '5' 5, '7' 7, '10' 10"},
                 {5, 5, "1:10", "'1' 1, '1.5' 1.5, '2' 2, '3' 3, '5' 5, '7' 7, '10' 10"},
                 {5, INFINITY, "1:10", "'1' 1, '1.5' 1.5, '2' 2, '3' 3, '5' 5, '7' 7, '10' 10"}};
    for (size_t i = 0; i < sizeof other / sizeof *other; i++) {
        open_script(2, 1);
        nr_log_axis(&p, "y", other[i].lo, other[i].hi, 8);
        wrote("set logscale y\nset yrange [%s]\nset ytics nomirror scale 0 tc rgb '#4D4D4D' %s "
              "(%s)\n",
              other[i].range, font(16), other[i].numbers);
        close_script();
    }
}
END_TEST

START_TEST(panels)
{
    static const char *const clean =
        "unset arrow\nunset object\nunset xtics\nunset ytics\nunset y2tics\nunset x2tics\n"
        "unset xlabel\nunset x2label\nunset logscale\nset xrange [*:*]\nset yrange [*:*]\n"
        "set y2range [*:*]\nset border 1\nset lmargin at screen 0.1250\n"
        "set rmargin at screen 0.8750\nset bmargin at screen 0.0625\nset tmargin at screen "
        "0.6875\nset grid xtics ytics back ls 100\n";
    static const nr_box box = {0.125, 0.875, 0.0625, 0.6875};
    open_script(1, 1);
    nr_panel(&p, &box, NULL); /* the first leaves the title where it is */
    wrote("%s", clean);
    nr_panel(&p, &box, "");
    wrote("unset label\n%s", clean);
    nr_panel(&p, &box, "Flow");
    wrote("unset label\n%sset label 'Flow' at screen 0.1250,0.7095 left front tc rgb '#000000' "
          "%s\n",
          clean, font(18));
    ck_assert(memcmp(&p.panel, &box, sizeof box) == 0);
    ck_assert_int_eq(p.panels, 3);
    close_script();
}
END_TEST

/* WCAG 2's contrast with white (relative luminance of sRGB, from memory). */
static double contrast_on_white(const char *hex)
{
    static const double part[] = {0.2126, 0.7152, 0.0722};
    unsigned long rgb = strtoul(hex + 1, NULL, 16);
    double luminance = 0;
    for (int k = 0; k < 3; k++) {
        double c = (double)((rgb >> (16 - 8 * k)) & 255) / 255;
        luminance += part[k] * (c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return 1.05 / (luminance + 0.05);
}

/* Light colours of lines become letters that can be read; the others stay. */
START_TEST(colours_of_letters)
{
    static const char *const colour[][2] = {
        {NR_ORANGE, "#8A5F00"}, {NR_SKY, "#1A72A8"},    {NR_GREEN, "#007A5A"},
        {NR_PURPLE, "#A2477A"}, {NR_YELLOW, "#766F00"}, {NR_VERMILLION, "#BF5300"},
        {NR_BLUE, NR_BLUE},     {NR_BLACK, NR_BLACK},   {NR_TEXT_GREY, NR_TEXT_GREY}};
    for (size_t i = 0; i < sizeof colour / sizeof *colour; i++) {
        const char *ink = colour[i][1];
        open_script(0, 1);
        ck_assert_msg(contrast_on_white(ink) >= 4.5, "%s", ink);
        ck_assert(ink == colour[i][0] || contrast_on_white(colour[i][0]) < 4.5);
        nr_text_screen(&p, 0, 1, "left", 16, colour[i][0], "a");
        wrote("set label 'a' at screen 0.0000,1.0000 left front tc rgb '%s' %s\n", ink, font(16));
        nr_text_end(&p, 0, colour[i][0], "a");
        wrote("set label 'a' at graph 1, first 0 left offset 0.6,0 front tc rgb '%s' %s\n", ink,
              font(16));
        nr_text_point(&p, 0, 0, "left", 0, 0, 16, colour[i][0], "a");
        wrote("set label 'a' at first 0, first 0 left offset 0,0 front tc rgb '%s' %s\n", ink,
              font(16));
        close_script();
    }
}
END_TEST

#define TITLE "set label '%s' at screen %.4f,%.4f left front tc rgb '%s' %s\n"

static void head_is(bool portrait)
{
    static const char *const canvas[2][3] = {
        {"pngcairo size 1200,800 noenhanced background rgb 'white'",
         "svg size 1200,800 dynamic noenhanced background rgb 'white'",
         "pdfcairo size 24cm,16cm noenhanced background rgb 'white' linewidth 0.75"},
        {"pngcairo size 1080,1350 noenhanced background rgb 'white'",
         "svg size 1080,1350 dynamic noenhanced background rgb 'white'",
         "pdfcairo size 21.6cm,27cm noenhanced background rgb 'white' linewidth 0.75"}};
    char words[500], rest[300];
    (void)snprintf(rest, sizeof rest,
                   "\nset minussign\nset border 1 lw 1 lc rgb '#9A9A9A'\nset style line 100 lw 1 "
                   "lc rgb '#E3E3E3' dt solid\nset style fill transparent solid 0.18 noborder\n"
                   "set errorbars 0.5\nset key noautotitle\nunset key\nset multiplot\n");
    char one[200], two[200];
    double left = portrait ? 0.05 : 0.018;
    (void)snprintf(one, sizeof one, TITLE, "Title", left, portrait ? 0.966 : 0.962, "#000000",
                   font(portrait ? 1.15 * 18 : 27));
    (void)snprintf(two, sizeof two, TITLE, "Below", left, portrait ? 0.930 : 0.920, "#4D4D4D",
                   font(portrait ? 0.9 * 16 : 18));
    (void)snprintf(words, sizeof words, "%s%s", one, two);
    wrote("set encoding utf8\nset format '%%h'\nset terminal %s %s%s%s%s",
          canvas[portrait][of - forms], font(16),
          of == &forms[1] ? "\nset pointintervalbox 0.5" : "", rest, words);
}

START_TEST(beginnings)
{
    nr_err err;
    EVERY_FORM
    for (int us = 0; us < 2; us++) {
        char path[40];
        of = &forms[form];
        nr_plot_style style = {.us_units = us, .portrait = canvas == 1, .gnuplot = "some/gnuplot"};
        (void)snprintf(path, sizeof path, "a.svg.b/picture.%s", of->ending);
        ck_assert_int_eq(nr_picture_begin(&p, path, &style, "Title", "Below", &err), NR_OK);
        head_is(style.portrait);
        ck_assert_int_eq((int)p.form, (int)of->form);
        ck_assert_int_eq((int)p.units, (int)(us ? NR_UNITS_US : NR_UNITS_SI));
        ck_assert_str_eq(p.program, "some/gnuplot");
        ck_assert(nr_is_portrait(&p) == style.portrait);
        NEAR(nr_left_edge(&p), style.portrait ? 0.05 : 0.018, 1e-12);
        NEAR(nr_picture_px(&p, 0.25), style.portrait ? 270 : 300, 1e-9);
        close_script();
    }
    ck_assert_int_eq(nr_picture_begin(&p, "x.png", NULL, "Title", "Below", &err), NR_OK);
    of = &forms[0];
    head_is(false);
    ck_assert(p.program == NULL && p.remark == NULL && p.units == NR_UNITS_SI);
    close_script();
    static const char *const bad[] = {"x", "x.jpg", "png", "x.PNG", "x.svgz", "x.png/y", ""};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(nr_picture_begin(&p, bad[i], NULL, "T", "B", &err) == NR_BAD, "%s", bad[i]);
}
END_TEST

/* A portrait title of two lines pushes what is below it down; each line is 1.25 of its letters. */
START_TEST(long_titles)
{
    nr_err err;
    char title[300] = "", script[6000];
    for (int i = 0; i < 12; i++)
        strcat(title, i ? " collector" : "collector");
    nr_plot_style style = {.portrait = true};
    ck_assert_int_eq(nr_picture_begin(&p, "x.svg", &style, title, "Below", &err), NR_OK);
    ck_assert_int_eq(fclose(p.script), 0);
    (void)snprintf(script, sizeof script, "%s", p.text);
    free(p.text);
    double line = 1.25 * 1.15 * 18 * 1.65 / 1350;
    const double expected[] = {0.966, 0.966 - line, 0.898};
    const char *at = script;
    for (int i = 0; i < 3; i++) {
        at = strstr(at, " at screen 0.0500,");
        ck_assert_ptr_nonnull(at);
        at += strlen(" at screen 0.0500,");
        NEAR(strtod(at, NULL), expected[i], 6e-5);
    }
    ck_assert_ptr_null(strstr(at, " at screen"));
    /* Never more than two of each. */
    char longest[1200] = "";
    for (int i = 0; i < 100; i++)
        strcat(longest, i ? " collector" : "collector");
    ck_assert_int_eq(nr_picture_begin(&p, "x.svg", &style, longest, longest, &err), NR_OK);
    ck_assert_int_eq(fclose(p.script), 0);
    size_t labels = 0;
    for (at = p.text; (at = strstr(at, "set label ")) != NULL; at++)
        labels++;
    ck_assert_uint_eq(labels, 4);
    free(p.text);
    /* On the other canvas: cut to 0.965 of it, each in its own letters. */
    char cut[512], below[512], words[600];
    ck_assert_int_eq(nr_picture_begin(&p, "x.svg", NULL, title, title, &err), NR_OK);
    ck_assert_int_eq(fclose(p.script), 0);
    (void)snprintf(words, sizeof words, "'%s' at screen 0.0180,0.9620",
                   nr_text_cut(cut, sizeof cut, title, 27, 0.965 * 1200));
    ck_assert_ptr_nonnull(strstr(p.text, words));
    (void)snprintf(words, sizeof words, "'%s' at screen 0.0180,0.9200",
                   nr_text_cut(below, sizeof below, title, 18, 0.965 * 1200));
    ck_assert_ptr_nonnull(strstr(p.text, words));
    ck_assert_str_ne(cut, below);
    free(p.text);
}
END_TEST

/* The palette's order and the channels' own colours; beyond the sixth it begins again. */
START_TEST(palettes)
{
    static const struct {
        const char *colour, *dash;
        int mark;
    } build[] = {{"#0072B2", "solid", 7},           {"#D55E00", "(14,4)", 5},
                 {"#009E73", "(14,4,3,4)", 9},      {"#CC79A7", "(5,3)", 13},
                 {"#E69F00", "(14,3,3,3,3,3)", 11}, {"#000000", "(2,3)", 6}};
    for (size_t i = 0; i < 20; i++) {
        ck_assert_str_eq(nr_build_colour(i), build[i % 6].colour);
        ck_assert_str_eq(nr_channel_colour("tank 2", i), build[i % 6].colour);
        ck_assert_str_eq(nr_channel_dash("tank 2", i), build[i % 6].dash);
        ck_assert_int_eq(nr_build_mark(i), build[i % 6].mark);
        ck_assert_str_eq(nr_build_dash(i), i % 2 == 1 ? "(14,4)" : "solid");
    }
    static const char *const channel[][3] = {
        {"store", "#0072B2", "solid"},    {"outlet", "#D55E00", "(20,3)"},
        {"inlet", "#CC79A7", "(5,4)"},    {"air", "#009E73", "(10,5)"},
        {"box", "#000000", "(12,4,3,4)"}, {"sun", "#E69F00", "solid"},
        {"flow", "#0072B2", "solid"},     {"wind", "#009E73", "solid"},
        {"pump", "#000000", "solid"}};
    for (size_t i = 0; i < 9; i++)
        for (size_t index = 0; index < 7; index++) {
            ck_assert_str_eq(nr_channel_colour(channel[i][0], index), channel[i][1]);
            ck_assert_str_eq(nr_channel_dash(channel[i][0], index), channel[i][2]);
        }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {
        words_and_marks, levels,      axes,     logarithmic_numbers, panels,
        beginnings,      long_titles, palettes, colours_of_letters,  NULL};
    return run_tests("lines of every picture", tests);
}
