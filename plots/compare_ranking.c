/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Many builds: one row each, fastest first, a dot with its interval; who is told apart by letters.
 */
#include "plots/compare_ranking.h"

#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"
#include "plots/letters.h"

#include <math.h>

#define TOP 0.835
#define BOTTOM 0.175
#define HIGHEST_ROW 0.11
#define RANK_X 0.018
#define NAME_X 0.095
/* Names get what they need, up to so much of the width; then right of it the dots, the letters and
 * the times. */
#define NAMES_AT_MOST 0.52
#define TIMES 0.060 /* widest of the times */
#define TIME_RIGHT 0.985
#define GAP 0.015

typedef struct layout {
    nr_box box;
    double row, group_x;
} layout;

static layout lay_out(const nr_picture *p, const nr_compare *c)
{
    double names = 0.1, letters = nr_text_px("group", NR_PX_SMALL) / nr_picture_px(p, 1);
    for (size_t i = 0; i < c->builds; i++) {
        names = fmax(names, nr_text_px(c->label[i], NR_PX_SMALL) / nr_picture_px(p, 1));
        letters = fmax(letters, nr_text_px(c->rank[i].letters, NR_PX_SMALL) / nr_picture_px(p, 1));
    }
    layout l = {.row = fmin((TOP - BOTTOM) / (double)c->builds, HIGHEST_ROW)};
    l.group_x = TIME_RIGHT - TIMES - letters;
    l.box = (nr_box){NAME_X + fmin(names, NAMES_AT_MOST) + GAP, l.group_x - GAP,
                     TOP - l.row * (double)c->builds, TOP};
    return l;
}

/* Whether it is not told apart from the first. */
static bool with_the_first(const nr_compare *c, const nr_rank *r)
{
    return r->build == c->verdict.best || c->verdict.against[r->build].outcome == NR_AGAINST_ALIKE;
}

static void row_words(nr_picture *p, const nr_compare *c, const layout *l, size_t place)
{
    const nr_rank *r = &c->rank[place];
    const nr_quantity *t = &c->heat_up[r->build].time_s;
    char text[3 * NR_NAME], range[32], value[NR_ROUNDED];
    double y = TOP - l->row * ((double)place + 0.5);
    const char *colour = with_the_first(c, r) ? NR_BLACK : NR_TEXT_GREY;
    nr_tell_rank(range, sizeof range, r);
    nr_text_screen(p, RANK_X, y, "left", NR_PX_SMALL, NR_TEXT_GREY, range);
    double room = nr_picture_px(p, l->box.left - GAP - NAME_X);
    nr_text_screen(
        p, NAME_X, y, "left", NR_PX_SMALL, colour,
        nr_text_cut_middle(text, sizeof text, c->label[r->build], NR_PX_SMALL, room + 1));
    nr_text_screen(p, l->group_x, y, "left", NR_PX_SMALL, colour, r->letters);
    if (!t->known) {
        nr_text_screen(p, l->box.right, y, "right", NR_PX_SMALL, NR_TEXT_GREY,
                       "does not get there");
        return;
    }
    nr_quantity d = nr_display_quantity(NR_SHOWN_MINUTES, p->units, t);
    (void)nr_round_text(d.value, nr_round_place(d.u, 2), value);
    nr_text_screen(p, TIME_RIGHT, y, "right", NR_PX_SMALL, colour, value);
}

static void headings(nr_picture *p, const layout *l)
{
    double y = l->box.top + 0.022;
    nr_text_screen(p, RANK_X, y, "left", NR_PX_SMALL, NR_BLACK, "rank");
    nr_text_screen(p, NAME_X, y, "left", NR_PX_SMALL, NR_BLACK, "build");
    nr_text_screen(p, (l->box.left + l->box.right) / 2, y, "center", NR_PX_SMALL, NR_BLACK,
                   "95 % intervals");
    nr_text_screen(p, l->group_x, y, "left", NR_PX_SMALL, NR_BLACK, "group");
    nr_text_screen(p, TIME_RIGHT, y, "right", NR_PX_SMALL, NR_BLACK, "min");
    nr_text_screen(p, RANK_X, 0.056, "left", NR_PX_SMALL, NR_TEXT_GREY,
                   "\u25cf not told apart from the first   \u25cb slower for certain. Builds "
                   "without a letter in common are told apart, all pairs together at 95 %;");
    nr_text_screen(p, RANK_X, 0.026, "left", NR_PX_SMALL, NR_TEXT_GREY,
                   "what builds share moves their intervals together, so that some which overlap "
                   "are told apart. Rank: 95 % range.");
}

static void write_rows(nr_picture *p, const nr_compare *c, bool first_group, const char *name,
                       double *lo, double *hi)
{
    FILE *f = p->script;
    fprintf(f, "$%s << EOD\n", name);
    for (size_t i = 0; i < c->builds; i++) {
        const nr_quantity *t = &c->heat_up[c->rank[i].build].time_s;
        if (!t->known || with_the_first(c, &c->rank[i]) != first_group)
            continue;
        nr_gp_number(f, t->value / 60);
        fprintf(f, " %.6g ", -(double)i);
        nr_gp_number(f, t->lo95 / 60);
        fputc(' ', f);
        nr_gp_number(f, t->hi95 / 60);
        fputc('\n', f);
        nr_stretch(lo, hi, t->lo95 / 60);
        nr_stretch(lo, hi, t->hi95 / 60);
    }
    fputs("NaN NaN NaN NaN\nEOD\n", f);
}

void nr_draw_compare_ranking(nr_picture *p, const nr_compare *c)
{
    FILE *f = p->script;
    layout l = lay_out(p, c);
    double lo = NAN, hi = NAN;
    nr_panel(p, &l.box, NULL);
    headings(p, &l);
    for (size_t i = 0; i < c->builds; i++)
        row_words(p, c, &l, i);
    write_rows(p, c, true, "first", &lo, &hi);
    write_rows(p, c, false, "slower", &lo, &hi);
    nr_limits x = nr_nice(lo, hi, l.box.right - l.box.left > 0.4 ? 6 : 3, false);
    nr_range(p, "x", x.lo, x.hi);
    nr_tics(p, "x", &x);
    nr_range(p, "y", -(double)c->builds + 0.5, 0.5);
    fputs("set grid noytics\n", f);
    nr_x_label(p, "minutes to the target on the reference day");
    fputs("plot NaN, $first using 1:2:3:4 with xerrorbars lw 2.5", f);
    nr_mark(p, 7, 1.4, NR_BLUE);
    fputs(", $slower using 1:2:3:4 with xerrorbars lw 1.5", f);
    nr_mark(p, 6, 1.3, NR_TEXT_GREY);
    fputc('\n', f);
}
