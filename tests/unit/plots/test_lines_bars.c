/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows of words with two bars and two numbers, line by line, beside the words or (on a portrait
 * canvas) below them. Columns are how the picture is laid out, as fractions of the canvas. */
#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"
#include "plots/bar_rows.h"
#include "plots/budget.h"
#include "plots/letters.h"
#include "tests/unit/chance.h"
#include "tests/unit/plots/lines.h"

#define LIGHT "#8A8A8A"

typedef struct layout {
    double words, wide, bar[2], longest, number[2];
} layout;

/* Of 1200 by 800, of 1080 by 1350. */
static const layout layouts[2] = {{0.018, 0.47, {0.505, 0.76}, 0.12, {0.635, 0.89}},
                                  {0.05, 0.90, {0.05, 0.52}, 0.22, {0.285, 0.755}}};
static const layout *l;
static bool portrait;

static void start(bool on_portrait)
{
    portrait = on_portrait;
    l = &layouts[portrait];
    begin();
    inner.form = NR_FORM_SVG;
    inner.scale = portrait ? 1.65 : 1;
}

/* Letters are larger on a portrait canvas. */
static double px(double plain)
{
    return portrait ? 1.65 * plain : plain;
}

static void said_at(const char *words, double across, double height, const char *colour)
{
    words_at(words, across, height, "left", px(SMALL), colour);
}

/* Half the distance of two lines, 1.24 of their letters; words that fit stand alone. */
static void words_are(const nr_bar_row *row, double height)
{
    const char *ink = row->total ? GREY : BLACK;
    double half = 0.62 * 16 / 800, room = l->wide * (portrait ? 1080 : 1200);
    char line[512];
    if (row->more[0] != '\0') {
        said_at(nr_text_cut(line, sizeof line, row->words, px(SMALL), room), l->words,
                height + half, ink);
        said_at(nr_text_cut(line, sizeof line, row->more, px(SMALL),
                            room - 0.012 * (portrait ? 1080 : 1200)),
                l->words + 0.012, height - half, GREY);
        return;
    }
    bool two = nr_text_px(row->words, SMALL) > room;
    double next = 1.25 * px(SMALL) / (portrait ? 1350 : 800), at = two ? height + half : height;
    size_t first = nr_text_line(row->words, px(SMALL), room);
    (void)snprintf(line, sizeof line, "%.*s", (int)first, row->words);
    said_at(nr_text_cut(line, sizeof line, line, px(SMALL), room), l->words, at, ink);
    if (row->words[first] != '\0') {
        const char *rest = row->words + first + (row->words[first] == ' ');
        said_at(nr_text_cut(line, sizeof line, rest, px(SMALL), room), l->words, at - next, ink);
    }
}

static void bar_is(const nr_bar_row *row, int k, double height, double half, double most)
{
    double v = row->value[k];
    const char *colour = row->total ? LIGHT : k ? "#56B4E9" : "#0072B2";
    if (!(v > 0))
        return;
    says("set object rectangle from screen %.4f, screen %.4f to screen %.4f, screen %.4f front fc "
         "rgb '%s' fs %s border lc rgb '%s'",
         l->bar[k], height - half, l->bar[k] + l->longest * (v > most ? 1 : v / most),
         height + half, colour, row->hollow[k] ? "empty" : "solid 0.85", colour);
}

/* As many decimals as two figures of the longest have; below half of the last, or below half a
 * hundredth of the longest: nearly none. */
static void number_is(const nr_bar_row *row, int k, double height, double most, int decimals)
{
    double v = row->value[k];
    char text[96];
    if (isnan(v)) {
        said_at("not determined", l->bar[k], height, GREY);
        return;
    }
    (void)snprintf(text, sizeof text, "%.*f%s%s", decimals, v, row->less[k][0] ? " " : "",
                   row->less[k]);
    bool none = v < 0.005 * most || v < 0.5 * pow(10, -decimals);
    said_at(none ? "nearly none" : text, l->number[k], height, BLACK);
}

static void rows_are(const nr_bar_row *row, size_t count, double top, double high,
                     const double most[2], const int decimals[2], const double line[2])
{
    for (size_t i = 0; i < count; i++) {
        double middle = top - high / 2 - high * (double)i;
        double bars = portrait ? middle - 0.24 * high : middle;
        words_are(&row[i], portrait ? middle + 0.18 * high : middle);
        for (int k = 0; k < 2; k++) {
            bar_is(&row[i], k, bars, 0.3 * high * (portrait ? 0.45 : 1), most[k]);
            number_is(&row[i], k, bars, most[k], decimals[k]);
        }
    }
    for (int k = 0; k < 2; k++)
        if (line[k] < most[k])
            says("set arrow from screen %.4f, screen %.4f to screen %.4f, screen %.4f nohead lw "
                 "1.2 dt (5,4) lc rgb '" GREY "'",
                 l->bar[k] + l->longest * line[k] / most[k], top,
                 l->bar[k] + l->longest * line[k] / most[k], top - (double)count * high);
    that_is_all();
}

static const nr_bar_row rows[] = {
    {.words = "As planned", .value = {0.044, 1.3}, .total = true},
    {.words = "Half of it", .value = {0.022, 0.66}, .less = {"(\u221250 %)", ""}},
    {.words = "Another quantity, which is a longer bar than the longest of the others",
     .value = {0.0881, 2.64},
     .hollow = {false, true}},
    {.words = "A sentence over two lines, as a plan tells what would have to be changed for this "
              "improvement, and who gains by it, and how much of it is left in the end",
     .value = {0.01, NAN},
     .less = {"", "(+3 %)"},
     .hollow = {true, false}},
    {.words = "One with a second line", .more = "of its own", .value = {NAN, 0.13}},
    {.words = "A first line too long for its room, which is cut here because the second one has "
              "words of its own, and never goes into a line below that is taken by others",
     .more = "and so is the second when it is as long as the other one, for it has even less room "
             "than that, by what it is moved to the right",
     .value = {0.0, 0.0}},
    {.words = "Of one thing in all", .value = {0.00049, 0.0499}, .total = true}};
#define ROWS (sizeof rows / sizeof *rows)

START_TEST(all_rows)
{
    static const double most[2] = {0.044, 1.3};
    static const int decimals[2] = {3, 1}; /* 0.044 and 1.3: two figures */
    static const double line[][2] = {{0.022, NAN}, {NAN, 0.325},   {0.011, 1.2},
                                     {0.044, 1.3}, {0.0439, 1.31}, {NAN, NAN}};
    for (int canvas = 0; canvas < 2; canvas++)
        for (size_t i = 0; i < sizeof line / sizeof *line; i++) {
            start(canvas);
            nr_bar_rows(&inner, rows, ROWS, 0.82, 0.09, most, line[i]);
            end();
            from_the_start();
            rows_are(rows, ROWS, 0.82, 0.09, most, decimals, line[i]);
        }
}
END_TEST

/* From both sides of what is told as nearly none. */
START_TEST(nearly_none)
{
    static const struct {
        double most, value;
        int decimals;
    } of[] = {{20, 0.49, 0},    {20, 0.51, 0},   {99, 0.494, 0},  {99, 0.51, 0},
              {400, 1.99, -1},  {2.0, 0.049, 1}, {2.0, 0.051, 1}, {0.5, 0.0049, 2},
              {0.5, 0.0051, 2}, {1.0, 0.051, 1}, {1.0, 0.049, 1}};
    static const double no[2] = {NAN, NAN};
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        nr_bar_row row = {.words = "Row", .value = {of[i].value, of[i].value}};
        const double most[2] = {of[i].most, of[i].most};
        const int decimals[2] = {of[i].decimals, of[i].decimals};
        start(false);
        nr_bar_rows(&inner, &row, 1, 0.5, 0.1, most, no);
        end();
        from_the_start();
        rows_are(&row, 1, 0.5, 0.1, most, decimals, no);
    }
}
END_TEST

/* What has no longest has no bars. */
START_TEST(nothing_to_compare)
{
    static const double none[2] = {0, NAN}, no[2] = {NAN, NAN};
    nr_bar_row row = {.words = "Row", .value = {1, NAN}};
    start(false);
    nr_bar_rows(&inner, &row, 1, 0.5, 0.1, none, no);
    end();
    ck_assert_ptr_null(strstr(script, "rectangle"));
    ck_assert_ptr_nonnull(strstr(script, "'not determined' at screen 0.7600,0.4500"));
}
END_TEST

START_TEST(headings)
{
    for (int k = 0; k < 4; k++) {
        double halves[2], both[2] = {0.031, -2.5};
        start(k / 2);
        inner.units = k % 2 ? NR_UNITS_US : NR_UNITS_SI;
        nr_bar_headings(&inner, 0.8, "What limits it");
        nr_bar_halves(&inner, both[0], both[1], halves);
        end();
        from_the_start();
        words_at("What limits it", l->words, portrait ? 0.832 : 0.8, "left", px(TEXT), BLACK);
        said_at("\u00b1 of \u03b7\u2080 (95 %)", l->bar[0], 0.8, BLACK);
        said_at(k % 2 ? "\u00b1 of a\u2081, Btu/(h ft\u00b2 \u00b0F)"
                      : "\u00b1 of a\u2081, W/(m\u00b2 K)",
                l->bar[1], 0.8, BLACK);
        that_is_all();
        NEAR(halves[0], 0.031, 1e-15);
        /* NIST SP 811: 1 Btu/(h ft2 degF) = 5.678263 W/(m2 K) */
        NEAR(halves[1], k % 2 ? -2.5 / 5.678263 : -2.5, 1e-6);
    }
}
END_TEST

static double of_share(double share)
{
    return share > 0 ? share : 0; /* NAN, too */
}
static double worth(const nr_budget_item *item)
{
    return fmax(of_share(item->share[NR_SHARE_ETA0]), of_share(item->share[NR_SHARE_A1]));
}

/* Which items have a bar: one by one the most worth (of equals the first), while they are worth
 * half a percent; at most nine. */
static size_t chosen_of(const nr_fit *f, size_t most, bool chosen[])
{
    size_t n = 0;
    for (; n < most && n < 9; n++) {
        size_t best = 99;
        for (size_t i = 0; i < f->budget_items; i++)
            if (!chosen[i] && (best == 99 || worth(&f->budget[i]) > worth(&f->budget[best])))
                best = i;
        if (best == 99 || worth(&f->budget[best]) < 0.005)
            break;
        chosen[best] = true;
    }
    return n;
}

static void rows_of_bars(const nr_bars *b, size_t most)
{
    nr_bar_row row[12];
    const double half[2] = {0.04, 1.3};
    size_t n = nr_budget_rows(b, half, row, most);
    ck_assert_uint_eq(n, b->count < most ? b->count : most);
    for (size_t i = 0; i < n; i++) {
        ck_assert_str_eq(row[i].words, b->label[i]);
        ck_assert_str_eq(row[i].more, b->action[i]);
        NEAR(row[i].value[0] * row[i].value[0], 0.04 * 0.04 * b->share[i][0], 1e-12);
        NEAR(row[i].value[1] * row[i].value[1], 1.3 * 1.3 * b->share[i][1], 1e-12);
        ck_assert(!row[i].total && !row[i].hollow[0] && !row[i].hollow[1]);
    }
}

START_TEST(what_has_a_bar)
{
    static const double shares[] = {0.3, 0.02, 0.005, 0.00499, 0.004, 0.001, 0, -0.1, NAN, 0.02};
    uint64_t chance = 8;
    nr_fit *f = fixture_fit(&x, &fixture_glazed, 1);
    for (int round = 0; round < 400; round++) {
        double rest[2] = {0, 0};
        bool chosen[20] = {false};
        size_t items = chance_below(&chance, 15), most = chance_below(&chance, 12), at = 0;
        f->budget_items = 0;
        for (size_t i = 0; i < items; i++) {
            char label[32];
            unsigned eta0 = chance_below(&chance, 10), a1 = chance_below(&chance, 10);
            (void)snprintf(label, sizeof label, "input %zu", i);
            fixture_item(f, label, "", NAN, "", shares[eta0], shares[a1]);
        }
        size_t bars = chosen_of(f, most, chosen);
        nr_bars b = nr_budget_bars(f, most);
        for (size_t i = 0; i < items; i++) {
            double eta0 = of_share(f->budget[i].share[NR_SHARE_ETA0]);
            double a1 = of_share(f->budget[i].share[NR_SHARE_A1]);
            if (chosen[i]) {
                ck_assert_str_eq(b.label[at], f->budget[i].label);
                ck_assert_str_eq(b.action[at], nr_cause_action(&f->budget[i]));
                ck_assert(b.share[at][0] == eta0 && b.share[at][1] == a1);
                at++;
            }
            rest[0] += chosen[i] ? 0 : eta0;
            rest[1] += chosen[i] ? 0 : a1;
        }
        bool more = fmax(rest[0], rest[1]) > 0;
        ck_assert_uint_eq(b.count, bars + more);
        if (!more)
            continue;
        char words[40];
        (void)snprintf(words, sizeof words, "everything else (%zu)", items - bars);
        ck_assert_str_eq(b.label[bars], words);
        ck_assert_str_eq(b.action[bars], "");
        NEAR(b.share[bars][0], rest[0], 1e-12);
        NEAR(b.share[bars][1], rest[1], 1e-12);
        rows_of_bars(&b, most);
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {all_rows, nearly_none,    nothing_to_compare,
                                  headings, what_has_a_bar, NULL};
    fixture_all_used();
    return run_tests_in("lines of bars", tests, set_up, tear_down);
}
