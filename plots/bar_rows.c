/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/bar_rows.h"

#include "analyze/tell/round.h"
#include "plots/letters.h"

#include <math.h>

/* Fractions of the canvas: words, the bars' left ends and length, their numbers' right ends. */
#define WORDS_LEFT 0.018
#define WORDS_WIDE 0.470
#define BAR_WIDE 0.120
static const double bar_left[2] = {0.505, 0.760};
static const double number_left[2] = {0.635, 0.890};

static const char *const colour[2] = {NR_BLUE, NR_SKY};

void nr_bar_halves(const nr_picture *p, double eta0, double a1, double out[2])
{
    out[0] = nr_display_difference(NR_SHOWN_NUMBER, p->units, eta0);
    out[1] = nr_display_difference(NR_SHOWN_COLLECTOR_LOSS, p->units, a1);
}

void nr_bar_headings(nr_picture *p, double y, const char *words)
{
    char heading[96];
    nr_text_screen(p, WORDS_LEFT, y, "left", NR_PX_TEXT, NR_BLACK, words);
    nr_text_screen(p, bar_left[0], y, "left", NR_PX_SMALL, NR_BLACK,
                   "\u00b1 of " NR_ETA0 " (95 %)");
    (void)snprintf(heading, sizeof heading, "\u00b1 of " NR_A1 ", %s",
                   nr_display_of(NR_SHOWN_COLLECTOR_LOSS, p->units)->pretty);
    nr_text_screen(p, bar_left[1], y, "left", NR_PX_SMALL, NR_BLACK, heading);
}

static void number(nr_picture *p, const nr_bar_row *r, int which, double y, double most)
{
    char text[96], n[NR_ROUNDED];
    double v = r->value[which];
    if (!isfinite(v)) {
        nr_text_screen(p, bar_left[which], y, "left", NR_PX_SMALL, NR_TEXT_GREY, "not determined");
        return;
    }
    if (v < 0.005 * most)
        (void)snprintf(text, sizeof text, "nearly none");
    else
        (void)snprintf(text, sizeof text, "%s%s%s", nr_round_text(v, nr_round_place(most, 2), n),
                       r->less[which][0] != '\0' ? " " : "", r->less[which]);
    nr_text_screen(p, number_left[which], y, "left", NR_PX_SMALL, NR_BLACK, text);
}

static void bar(nr_picture *p, const nr_bar_row *r, int which, double y, double high, double most)
{
    double v = r->value[which];
    if (!(v > 0) || !(most > 0))
        return;
    fprintf(
        p->script,
        "set object rectangle from screen %.4f, screen %.4f to screen %.4f, screen %.4f front fc "
        "rgb '%s' fs %s border lc rgb '%s'\n",
        bar_left[which], y - 0.30 * high, bar_left[which] + BAR_WIDE * fmin(v / most, 1),
        y + 0.30 * high, r->total ? NR_GREY : colour[which],
        r->hollow[which] ? "empty" : "solid 0.85", r->total ? NR_GREY : colour[which]);
}

static void words(nr_picture *p, const nr_bar_row *r, double y)
{
    const double half = 0.62 * NR_PX_SMALL / NR_CANVAS_H;
    const char *ink = r->total ? NR_TEXT_GREY : NR_BLACK;
    bool two =
        r->more[0] != '\0' || nr_text_px(r->words, NR_PX_SMALL) > nr_picture_px(p, WORDS_WIDE);
    (void)nr_text_block(p, WORDS_LEFT, two ? y + half : y, NR_PX_SMALL, ink, r->words, WORDS_WIDE,
                        r->more[0] != '\0' ? 1 : 2);
    if (r->more[0] != '\0')
        (void)nr_text_block(p, WORDS_LEFT + 0.012, y - half, NR_PX_SMALL, NR_TEXT_GREY, r->more,
                            WORDS_WIDE - 0.012, 1);
}

void nr_bar_rows(nr_picture *p, const nr_bar_row *row, size_t count, double top, double high,
                 const double most[2], const double line[2])
{
    for (size_t i = 0; i < count; i++) {
        double y = top - high * ((double)i + 0.5);
        words(p, &row[i], y);
        for (int k = 0; k < 2; k++) {
            bar(p, &row[i], k, y, high, most[k]);
            number(p, &row[i], k, y, most[k]);
        }
    }
    for (int k = 0; k < 2; k++)
        if (isfinite(line[k]) && line[k] < most[k])
            fprintf(p->script,
                    "set arrow from screen %.4f, screen %.4f to screen %.4f, screen %.4f nohead lw "
                    "1.2 dt (5,4) lc rgb '" NR_TEXT_GREY "'\n",
                    bar_left[k] + BAR_WIDE * line[k] / most[k], top,
                    bar_left[k] + BAR_WIDE * line[k] / most[k], top - high * (double)count);
}
