/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/size_map.h"

#include "plots/letters.h"

#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>

#define SURE_FILL "#7FB8D8"
#define LIKELY_FILL "#CFE3F0"
/* Air above and right of what has to be seen. */
#define AIR 1.25
#define SURE_PX 120.0 /* what "sure 0.81 m2" takes beside its point */
#define LINE_PX 20.0  /* and above or below it */
#define LETTER_PX 10.0
#define FIRST_LINE 1.0 /* below the point asked about, where its words are */
#define LAST_LINE 4.0

typedef struct map {
    nr_picture *p;
    const nr_size *z;
    nr_box box;
    double area, water;  /* as asked, in the units shown */
    double right, top;   /* ends of the axes */
    double per_x, per_y; /* px for one of these units */
    nr_box taken[2];     /* px from the origin: words below the border of what is sure */
    size_t words;
} map;

static double shown(const map *m, nr_shown what, double si)
{
    return nr_display_value(what, m->p->units, si);
}

static void ends_of(map *m)
{
    const nr_size *z = m->z;
    double best = z->area_m2.best, sure = z->area_m2.sure, most = z->water_kg.best;
    double last = z->map[NR_SIZE_MAP - 1].area_m2;
    double own = z->asked.day.area_m2 > 0 ? z->asked.day.area_m2 : z->fit->gross_area_m2;
    double right = AIR * fmax(own, fmax(isfinite(best) ? best : 0, isfinite(sure) ? sure : 0));
    m->area = shown(m, NR_SHOWN_AREA, own);
    m->water = shown(m, NR_SHOWN_WATER, z->asked.day.water_kg);
    m->right = shown(m, NR_SHOWN_AREA, isfinite(last) && last > 0 ? fmin(right, last) : right);
    m->top = AIR * fmax(m->water, isfinite(most) ? shown(m, NR_SHOWN_WATER, most) : m->water);
}

/* Where a border meets the right or the upper end of the map, for its name: the last place on it
 * that is still inside. */
static bool last_inside(const map *m, bool sure, double *x, double *y)
{
    bool any = false;
    for (size_t i = 0; i < NR_SIZE_MAP; i++) {
        const nr_size_border *b = &m->z->map[i];
        double at = shown(m, NR_SHOWN_AREA, b->area_m2);
        double up = shown(m, NR_SHOWN_WATER, sure ? b->water_kg.sure : b->water_kg.best);
        if (!(at <= m->right * 1.0001) || !(up <= m->top))
            continue;
        any = true;
        *x = at;
        *y = up;
    }
    return any;
}

/* Areas begin with their lines: no water that nothing was solved for. */
static void write_borders(const map *m)
{
    FILE *f = m->p->script;
    fputs("$borders << EOD\n", f);
    for (size_t i = 0; i < NR_SIZE_MAP; i++) {
        const nr_size_border *b = &m->z->map[i];
        double best = shown(m, NR_SHOWN_WATER, b->water_kg.best);
        double sure = shown(m, NR_SHOWN_WATER, b->water_kg.sure);
        const double row[] = {shown(m, NR_SHOWN_AREA, b->area_m2), best,
                              isfinite(sure) || isnan(best) ? sure : 0, best, sure};
        for (size_t k = 0; k < 5; k++) {
            nr_gp_number(f, row[k]);
            fputc(k < 4 ? ' ' : '\n', f);
        }
    }
    fputs("NaN NaN NaN NaN NaN\nEOD\n", f);
}

/* Where a line through what was asked meets a border. */
typedef struct crossing {
    double x, y; /* on the map; NAN: not there */
    char words[NR_ROUNDED + 32];
} crossing;

static crossing crossing_at(const map *m, nr_shown what, double si, int decimals)
{
    char n[NR_ROUNDED];
    double at = shown(m, what, si);
    bool across = what == NR_SHOWN_AREA;
    crossing c = {.x = across ? at : m->area, .y = across ? m->water : at};
    if (!isfinite(at) || c.x > m->right || c.y > m->top)
        return (crossing){.x = NAN, .y = NAN};
    (void)snprintf(c.words, sizeof c.words, "%s %s",
                   nr_round_text(at, nr_display_place(what, m->p->units, decimals), n),
                   nr_display_of(what, m->p->units)->pretty);
    fprintf(m->p->script, "set label '' at first %.9g, first %.9g front point", c.x, c.y);
    nr_mark(m->p, 6, 1.4, NR_BLACK);
    fputc('\n', m->p->script);
    return c;
}

/* The borders rise: above to the left and below to the right the map is free. */
static void put_words(map *m, double x, double y, bool above, const char *words)
{
    bool left = above && x * m->per_x > nr_text_px(words, NR_PX_SMALL) + LETTER_PX;
    double from = x * m->per_x + LETTER_PX;
    if (!above)
        m->taken[m->words++] = (nr_box){.left = from,
                                        .right = from + nr_text_px(words, NR_PX_SMALL),
                                        .top = y * m->per_y,
                                        .bottom = y * m->per_y - 1.5 * LINE_PX};
    nr_text_point(m->p, x, y, left ? "right" : "left", left ? -0.7 : 0.8, above ? 0.7 : -0.75,
                  NR_PX_SMALL, NR_BLACK, words);
}

/* "just 0.44 m\u00b2" and "just 35 kg" on one border; as one where they would meet. */
static void crossings(map *m, const char *how, double area_m2, double water_kg, bool above)
{
    crossing c[2] = {crossing_at(m, NR_SHOWN_AREA, area_m2, 2),
                     crossing_at(m, NR_SHOWN_WATER, water_kg, 1)};
    char words[2 * sizeof c[0].words + 32];
    if (fabs(c[0].x - c[1].x) * m->per_x < SURE_PX && fabs(c[0].y - c[1].y) * m->per_y < LINE_PX) {
        (void)snprintf(words, sizeof words, "%s %s, %s", how, c[0].words, c[1].words);
        put_words(m, above ? fmin(c[0].x, c[1].x) : fmax(c[0].x, c[1].x),
                  above ? fmax(c[0].y, c[1].y) : fmin(c[0].y, c[1].y), above, words);
        return;
    }
    for (int i = 0; i < 2; i++) {
        (void)snprintf(words, sizeof words, "%s %s", how, c[i].words);
        if (isfinite(c[i].x))
            put_words(m, c[i].x, c[i].y, above, words);
    }
}

static void guide(const map *m)
{
    fprintf(
        m->p->script,
        "set arrow from first 0, first %.9g to first %.9g, first %.9g nohead front lw 1 dt (5,4) "
        "lc rgb '" NR_TEXT_GREY "'\n"
        "set arrow from first %.9g, first 0 to first %.9g, first %.9g nohead front lw 1 dt (5,4) "
        "lc rgb '" NR_TEXT_GREY "'\n",
        m->water, m->right, m->water, m->area, m->area, m->top);
}

/* Whether words stand where others would, that many lines below y; px. */
static bool is_taken(const map *m, double from, double to, double y, double lines)
{
    double top = y - (lines - 0.5) * LINE_PX, bottom = top - LINE_PX;
    for (size_t i = 0; i < m->words; i++) {
        const nr_box *b = &m->taken[i];
        if (b->left < to && b->right > from && b->bottom < top && b->top > bottom)
            return true;
    }
    return false;
}

static void as_asked(const map *m)
{
    char text[128], T[NR_ROUNDED];
    const nr_size *z = m->z;
    fprintf(m->p->script, "set label '' at first %.9g, first %.9g front point", m->area, m->water);
    nr_mark(m->p, 7, 1.9, NR_BLACK);
    fputc('\n', m->p->script);
    if (z->warmest_degC.known)
        (void)snprintf(text, sizeof text, "as asked: %s %s",
                       nr_round_text(shown(m, NR_SHOWN_TEMPERATURE, z->warmest_degC.value), 0, T),
                       nr_display_of(NR_SHOWN_TEMPERATURE, m->p->units)->pretty);
    else
        (void)snprintf(text, sizeof text, "as asked");
    /* Left of the point only where there is no room to its right; a line lower, and another, where
     * the border's own words are. */
    double wide = nr_text_px(text, NR_PX_TEXT) + LETTER_PX, x = m->area * m->per_x;
    bool left = wide + LETTER_PX > m->right * m->per_x - x;
    double lines = FIRST_LINE;
    while (lines < LAST_LINE &&
           is_taken(m, left ? x - wide : x, left ? x : x + wide, m->water * m->per_y, lines))
        lines += 1.2;
    nr_text_point(m->p, m->area, m->water, left ? "right" : "left", left ? -1.0 : 1.0, -lines,
                  NR_PX_TEXT, NR_BLACK, text);
}

static void border_names(const map *m)
{
    static const char *const name[2] = {"more likely than not", "sure (95 %)"};
    double y[2];
    int which[2], n = 0;
    for (int sure = 0; sure < 2; sure++) {
        double x, at;
        if (last_inside(m, sure, &x, &at)) {
            /* Carried on to the edge, along the line from the origin: the border nearly is one. */
            y[n] = at * m->right / x;
            which[n++] = sure;
        }
    }
    /* Beyond the top in their order still. */
    for (int i = n - 1, over = 0; i >= 0; i--)
        if (y[i] > m->top)
            y[i] = m->top * (1 + 1e-6 * over++);
    nr_spread(y, (size_t)n, 24 * m->top / ((m->box.top - m->box.bottom) * NR_CANVAS_H), 0, m->top);
    for (int i = 0; i < n; i++)
        nr_text_end(m->p, y[i], which[i] ? NR_BLUE : NR_TEXT_GREY, name[which[i]]);
}

/* No border on the map: all of it, or none. */
static void no_border(const map *m)
{
    const nr_size *z = m->z;
    double x, y;
    if (last_inside(m, false, &x, &y))
        return;
    bool all = z->warmest_degC.value >= z->asked.day.to_degC;
    nr_text_screen(m->p, (m->box.left + m->box.right) / 2, m->box.top - 0.04, "center", NR_PX_TEXT,
                   NR_BLACK, all ? "any of these reaches it" : "no size and no amount reaches it");
}

void nr_draw_size_map(nr_picture *p, const nr_size *z, const nr_box *box)
{
    map m = {.p = p, .z = z, .box = *box};
    char text[160], T[NR_ROUNDED];
    ends_of(&m);
    m.per_x = (box->right - box->left) * NR_CANVAS_W / m.right;
    m.per_y = (box->top - box->bottom) * NR_CANVAS_H / m.top;
    nr_panel(p, box, NULL);
    (void)snprintf(text, sizeof text, "Water that reaches %s %s, %s (below the lines)",
                   nr_round_text(shown(&m, NR_SHOWN_TEMPERATURE, z->asked.day.to_degC), 0, T),
                   nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty,
                   nr_display_of(NR_SHOWN_WATER, p->units)->pretty);
    nr_text_screen(p, 0.018, box->top + 0.026, "left", NR_PX_TEXT, NR_BLACK, text);
    nr_limits x = nr_nice(0, m.right, 6, true), y = nr_nice(0, m.top, 6, true);
    x.hi = m.right;
    y.hi = m.top;
    nr_range(p, "x", 0, m.right);
    nr_range(p, "y", 0, m.top);
    nr_tics(p, "x", &x);
    nr_tics(p, "y", &y);
    (void)snprintf(text, sizeof text, "gross area of this build, %s",
                   nr_display_of(NR_SHOWN_AREA, p->units)->pretty);
    nr_x_label(p, text);
    write_borders(&m);
    guide(&m);
    crossings(&m, "just", z->area_m2.best, z->water_kg.best, true);
    crossings(&m, "sure", z->area_m2.sure, z->water_kg.sure, false);
    if (isfinite(z->water_kg.best) && !isfinite(z->water_kg.sure))
        nr_text_screen(p, box->left + 0.01, box->top - 0.03, "left", NR_PX_SMALL, NR_BLACK,
                       "none is 95 % sure"); /* above the border, which rises to the right */
    as_asked(&m);
    border_names(&m);
    no_border(&m);
    fputs("plot NaN, $borders using 1:2 with filledcurves y1=0 fs solid 1.0 noborder lc rgb "
          "'" LIKELY_FILL
          "', $borders using 1:3 with filledcurves y1=0 fs solid 1.0 noborder lc rgb '" SURE_FILL
          "', $borders using 1:4 with lines lw 2 dt (8,4) lc rgb '" NR_TEXT_GREY
          "', $borders using 1:5 with lines lw 3 lc rgb '" NR_BLUE "'\n",
          p->script);
}
