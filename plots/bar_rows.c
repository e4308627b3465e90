/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/bar_rows.h"

#include "analyze/tell/round.h"
#include "plots/letters.h"

#include <math.h>

/* Fractions of the canvas: words, the bars' left ends and length, their numbers' left ends. On a
 * portrait canvas the bars stand below the words. */
typedef struct columns {
    double words_left, words_wide, bar_wide;
    double bar_left[2], number_left[2];
} columns;

static const columns landscape = {0.018, 0.470, 0.120, {0.505, 0.760}, {0.635, 0.890}};
static const columns portrait = {
    NR_PORTRAIT_LEFT, 1 - 2 * NR_PORTRAIT_LEFT, 0.220, {NR_PORTRAIT_LEFT, 0.520}, {0.285, 0.755}};

static const columns *columns_of(const nr_picture *p)
{
    return nr_is_portrait(p) ? &portrait : &landscape;
}

static const char *const colour[2] = {NR_BLUE, NR_SKY};

void nr_bar_halves(const nr_picture *p, double eta0, double a1, double out[2])
{
    out[0] = nr_display_difference(NR_SHOWN_NUMBER, p->units, eta0);
    out[1] = nr_display_difference(NR_SHOWN_COLLECTOR_LOSS, p->units, a1);
}

void nr_bar_headings(nr_picture *p, double y, const char *words)
{
    const columns *c = columns_of(p);
    char heading[96];
    nr_text_screen(p, c->words_left, nr_is_portrait(p) ? y + 0.032 : y, "left", NR_PX_TEXT,
                   NR_BLACK, words);
    nr_text_screen(p, c->bar_left[0], y, "left", NR_PX_SMALL, NR_BLACK,
                   "\u00b1 of " NR_ETA0 " (95 %)");
    (void)snprintf(heading, sizeof heading, "\u00b1 of " NR_A1 ", %s",
                   nr_display_of(NR_SHOWN_COLLECTOR_LOSS, p->units)->pretty);
    nr_text_screen(p, c->bar_left[1], y, "left", NR_PX_SMALL, NR_BLACK, heading);
}

static void number(nr_picture *p, const nr_bar_row *r, int which, double y, double most)
{
    const columns *c = columns_of(p);
    char text[96], n[NR_ROUNDED];
    double v = r->value[which];
    if (!isfinite(v)) {
        nr_text_screen(p, c->bar_left[which], y, "left", NR_PX_SMALL, NR_TEXT_GREY,
                       "not determined");
        return;
    }
    if (v < 0.005 * most || v < 0.5 * pow(10, -nr_round_place(most, 2)))
        (void)snprintf(text, sizeof text, "nearly none");
    else
        (void)snprintf(text, sizeof text, "%s%s%s", nr_round_text(v, nr_round_place(most, 2), n),
                       r->less[which][0] != '\0' ? " " : "", r->less[which]);
    nr_text_screen(p, c->number_left[which], y, "left", NR_PX_SMALL, NR_BLACK, text);
}

static void bar(nr_picture *p, const nr_bar_row *r, int which, double y, double high, double most)
{
    const columns *c = columns_of(p);
    double v = r->value[which];
    if (!(v > 0) || !(most > 0))
        return;
    fprintf(
        p->script,
        "set object rectangle from screen %.4f, screen %.4f to screen %.4f, screen %.4f front fc "
        "rgb '%s' fs %s border lc rgb '%s'\n",
        c->bar_left[which], y - 0.30 * high, c->bar_left[which] + c->bar_wide * fmin(v / most, 1),
        y + 0.30 * high, r->total ? NR_GREY : colour[which],
        r->hollow[which] ? "empty" : "solid 0.85", r->total ? NR_GREY : colour[which]);
}

static void words(nr_picture *p, const nr_bar_row *r, double y)
{
    const columns *c = columns_of(p);
    const double half = 0.62 * NR_PX_SMALL / NR_CANVAS_H; /* the same part of a portrait canvas */
    const char *ink = r->total ? NR_TEXT_GREY : NR_BLACK;
    bool two =
        r->more[0] != '\0' || nr_text_px(r->words, NR_PX_SMALL) > nr_picture_px(p, c->words_wide);
    (void)nr_text_block(p, c->words_left, two ? y + half : y, NR_PX_SMALL, ink, r->words,
                        c->words_wide, r->more[0] != '\0' ? 1 : 2);
    if (r->more[0] != '\0')
        (void)nr_text_block(p, c->words_left + 0.012, y - half, NR_PX_SMALL, NR_TEXT_GREY, r->more,
                            c->words_wide - 0.012, 1);
}

void nr_bar_rows(nr_picture *p, const nr_bar_row *row, size_t count, double top, double high,
                 const double most[2], const double line[2])
{
    const columns *c = columns_of(p);
    for (size_t i = 0; i < count; i++) {
        double y = top - high * ((double)i + 0.5);
        bool below = nr_is_portrait(p);
        double bars = below ? y - 0.24 * high : y;
        words(p, &row[i], below ? y + 0.18 * high : y);
        for (int k = 0; k < 2; k++) {
            bar(p, &row[i], k, bars, below ? 0.45 * high : high, most[k]);
            number(p, &row[i], k, bars, most[k]);
        }
    }
    for (int k = 0; k < 2; k++)
        if (isfinite(line[k]) && line[k] < most[k])
            fprintf(p->script,
                    "set arrow from screen %.4f, screen %.4f to screen %.4f, screen %.4f nohead lw "
                    "1.2 dt (5,4) lc rgb '" NR_TEXT_GREY "'\n",
                    c->bar_left[k] + c->bar_wide * line[k] / most[k], top,
                    c->bar_left[k] + c->bar_wide * line[k] / most[k], top - high * (double)count);
}
