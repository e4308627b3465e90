/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sun's energy as a flow: a band as wide as the sun on the collector, from which what is lost
 * turns off upwards, drawn over the box, the pump and the bucket. */
#include "plots/energy.h"
#include "plots/letters.h"

#include <math.h>

/* Px on the canvas, from the lower left of the part that is drawn in. */
#define SUN 190.0   /* width of the whole band */
#define LOW 66.0    /* its lower edge */
#define RISES 356.0 /* where the branches end */
#define ARROW 16.0  /* height of their heads */
#define RADIUS 14.0 /* inside of a turn */
#define APART 185.0 /* at least, from one branch's words to the next */
#define SUNLIGHT "#F8D66D"
#define STEPS 14 /* of a quarter circle */
#define SLIM 1.5 /* the least width that is seen */

typedef struct flow {
    nr_picture *p;
    const nr_fit *fit;
    const double *share;
    double wide, high; /* of the part, px */
    nr_box box;
    int blocks; /* of data so far */
    const char *colour[NR_ENERGY_PARTS + 2];
} flow;

/* Begins a polygon; points follow as "x y". */
static FILE *polygon(flow *w, const char *colour)
{
    w->colour[w->blocks] = colour;
    fprintf(w->p->script, "$flow%d << EOD\n", w->blocks++);
    return w->p->script;
}

static double screen_x(const flow *w, double x)
{
    return w->box.left + x / NR_CANVAS_W;
}

static double screen_y(const flow *w, double y)
{
    return w->box.bottom + y / NR_CANVAS_H;
}

/* Two lines of words, centred, above a place. */
static void words(flow *w, double x, double y, int part)
{
    char text[96];
    nr_energy_words(w->fit, w->p->units, w->share[part], text, sizeof text);
    nr_text_screen(w->p, screen_x(w, x), screen_y(w, y + 32), "center", NR_PX_SMALL, NR_BLACK,
                   nr_energy_name(w->fit, part));
    nr_text_screen(w->p, screen_x(w, x), screen_y(w, y + 11), "center", NR_PX_SMALL, NR_TEXT_GREY,
                   text);
}

/* A band whose lower and upper edges are at y and y + width, from x along to the turn and up. */
static void branch(flow *w, double from, double turn, double y, double width, int part)
{
    FILE *f = polygon(w, nr_energy_colour(part));
    double centre = y + width + RADIUS, right = turn + RADIUS + width;
    fprintf(f, "%g %g\n", from, y);
    for (int i = 0; i <= STEPS; i++) {
        double a = acos(-1) / 2 * i / STEPS;
        fprintf(f, "%g %g\n", turn + (RADIUS + width) * sin(a), centre - (RADIUS + width) * cos(a));
    }
    double middle = right - width / 2, head = width / 2 + 5;
    fprintf(f, "%g %g\n%g %g\n%g %g\n%g %g\n%g %g\n", right, RISES - ARROW, middle + head,
            RISES - ARROW, middle, RISES, middle - head, RISES - ARROW, right - width,
            RISES - ARROW);
    for (int i = STEPS; i >= 0; i--) {
        double a = acos(-1) / 2 * i / STEPS;
        fprintf(f, "%g %g\n", turn + RADIUS * sin(a), centre - RADIUS * cos(a));
    }
    fprintf(f, "%g %g\nEOD\n", from, y + width);
    words(w, middle, RISES, part);
}

static void band(flow *w, double from, double to, double y, double width, const char *colour)
{
    FILE *f = polygon(w, colour);
    fprintf(f, "%g %g\n%g %g\n%g %g\n%g %g\nEOD\n", from, y, to, y, to, y + width, from, y + width);
}

static void outline(flow *w, double left, double right, double bottom, double top, const char *word)
{
    fprintf(
        w->p->script,
        "set object rectangle from first %g, first %g to first %g, first %g front lw 1.5 fs empty "
        "border lc rgb '" NR_TEXT_GREY "'\n",
        left, bottom, right, top);
    nr_text_screen(w->p, screen_x(w, (left + right) / 2), screen_y(w, bottom - 17), "center",
                   NR_PX_SMALL, NR_TEXT_GREY, word);
}

/* Open at the top, a little narrower at the foot. */
static void bucket(flow *w, double left, double right)
{
    const double top = LOW + SUN + 16, foot = LOW - 18, slope = 12;
    fprintf(w->p->script,
            "set arrow from first %g, first %g to first %g, first %g nohead front lw 2 lc rgb "
            "'" NR_TEXT_GREY "'\n"
            "set arrow from first %g, first %g to first %g, first %g nohead front lw 2 lc rgb "
            "'" NR_TEXT_GREY "'\n"
            "set arrow from first %g, first %g to first %g, first %g nohead front lw 2 lc rgb "
            "'" NR_TEXT_GREY "'\n",
            left, top, left + slope, foot, left + slope, foot, right - slope, foot, right - slope,
            foot, right, top);
    nr_text_screen(w->p, screen_x(w, (left + right) / 2), screen_y(w, foot - 17), "center",
                   NR_PX_SMALL, NR_TEXT_GREY, "container");
}

static void pump(flow *w, double x, double y)
{
    fprintf(w->p->script,
            "set object circle at first %g, first %g size first 20 front fc rgb 'white' lw 1.5 fs "
            "solid "
            "1.0 border lc rgb '" NR_TEXT_GREY "'\n",
            x, y);
    nr_text_screen(w->p, screen_x(w, x), screen_y(w, y), "center", NR_PX_SMALL, NR_TEXT_GREY, "P");
    nr_text_screen(w->p, screen_x(w, x), screen_y(w, LOW - 35), "center", NR_PX_SMALL, NR_TEXT_GREY,
                   "pump");
}

/* What stays in the collector ends in it, its words above. */
static void warming(flow *w, double from, double to, double y, double width)
{
    char text[96];
    if (w->share[NR_ENERGY_WARMING] <= 0)
        return;
    band(w, from, to, y, fmax(width, SLIM), nr_energy_colour(NR_ENERGY_WARMING));
    nr_energy_words(w->fit, w->p->units, w->share[NR_ENERGY_WARMING], text, sizeof text);
    nr_text_screen(w->p, screen_x(w, to - 6), screen_y(w, y + width + 32), "right", NR_PX_SMALL,
                   NR_BLACK, nr_energy_name(w->fit, NR_ENERGY_WARMING));
    nr_text_screen(w->p, screen_x(w, to - 6), screen_y(w, y + width + 12), "right", NR_PX_SMALL,
                   NR_TEXT_GREY, text);
}

static void kept(flow *w, double from, double left, double right, double width)
{
    char text[96];
    const double slope = 8;
    FILE *f = polygon(w, nr_energy_colour(NR_ENERGY_KEPT));
    fprintf(f, "%g %g\n%g %g\n%g %g\n%g %g\n%g %g\n%g %g\nEOD\n", from, LOW, left + slope, LOW,
            left + slope + 4, LOW - 17, right - slope - 4, LOW - 17, right - 4, LOW + width, from,
            LOW + width);
    nr_energy_words(w->fit, w->p->units, w->share[NR_ENERGY_KEPT], text, sizeof text);
    nr_text_screen(w->p, screen_x(w, right + 14), screen_y(w, LOW + width / 2 + 11), "left",
                   NR_PX_SMALL, NR_BLACK, nr_energy_name(w->fit, NR_ENERGY_KEPT));
    nr_text_screen(w->p, screen_x(w, right + 14), screen_y(w, LOW + width / 2 - 11), "left",
                   NR_PX_SMALL, NR_TEXT_GREY, text);
}

static void the_sun(flow *w, double to)
{
    char text[96];
    band(w, 22, to, LOW, SUN, SUNLIGHT);
    nr_energy_words(w->fit, w->p->units, 1, text, sizeof text);
    nr_text_screen(w->p, screen_x(w, 22), screen_y(w, LOW + SUN + 36), "left", NR_PX_SMALL,
                   NR_BLACK, "sun on the collector");
    nr_text_screen(w->p, screen_x(w, 22), screen_y(w, LOW + SUN + 14), "left", NR_PX_SMALL,
                   NR_TEXT_GREY, text);
}

void nr_draw_energy_flow(nr_picture *p, const nr_fit *fit, const double share[NR_ENERGY_PARTS],
                         const nr_box *box)
{
    flow w = {.p = p, .fit = fit, .share = share, .box = *box};
    double width[NR_ENERGY_PARTS];
    for (int k = 0; k < NR_ENERGY_PARTS; k++)
        width[k] = SUN * share[k];
    w.wide = (box->right - box->left) * NR_CANVAS_W;
    w.high = (box->top - box->bottom) * NR_CANVAS_H;
    nr_panel(p, box, NULL);
    fputs("unset grid\nset border 0\n", p->script);
    nr_range(p, "x", 0, w.wide);
    nr_range(p, "y", 0, w.high);
    double top = LOW + SUN, first = 190, turn = first;
    const double box_left = 172, split = box_left - 8;
    top -= width[NR_ENERGY_OPTICAL];
    branch(&w, split, turn, top, fmax(width[NR_ENERGY_OPTICAL], SLIM), NR_ENERGY_OPTICAL);
    double middle = turn + RADIUS + width[NR_ENERGY_OPTICAL] / 2;
    top -= width[NR_ENERGY_COLLECTOR];
    turn = fmax(middle + APART - RADIUS - width[NR_ENERGY_COLLECTOR] / 2,
                turn + RADIUS + width[NR_ENERGY_OPTICAL] + 10);
    branch(&w, split, turn, top, fmax(width[NR_ENERGY_COLLECTOR], SLIM), NR_ENERGY_COLLECTOR);
    double box_right = fmax(turn + RADIUS + width[NR_ENERGY_COLLECTOR] + 200, 590);
    top -= width[NR_ENERGY_WARMING];
    warming(&w, split, box_right - 12, top, width[NR_ENERGY_WARMING]);
    outline(&w, box_left, box_right, LOW - 18, LOW + SUN + 16, "collector");
    const double left = 790, right = 985;
    if (nr_energy_told(fit, NR_ENERGY_CONTAINER)) {
        top -= width[NR_ENERGY_CONTAINER];
        branch(&w, split, left + 60, top, fmax(width[NR_ENERGY_CONTAINER], SLIM),
               NR_ENERGY_CONTAINER);
    }
    kept(&w, split, left, right, width[NR_ENERGY_KEPT]);
    pump(&w, (box_right + left) / 2, LOW + width[NR_ENERGY_KEPT] / 2);
    bucket(&w, left, right);
    the_sun(&w, split);
    for (int i = 0; i < w.blocks; i++)
        fprintf(p->script,
                "%s $flow%d using 1:2 with filledcurves closed fs solid 0.9 noborder lc "
                "rgb '%s'",
                i == 0 ? "plot" : ",", i, w.colour[i]);
    fputc('\n', p->script);
}
