/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/curve.h"

#include "analyze/tell/round.h"

#include <math.h>
#include <string.h>

static const nr_box landscape_box = {0.060, 0.500, 0.370, 0.760};
static const nr_box portrait_box = {0.120, 0.950, 0.390, 0.715};

static const nr_box *curve_box(const nr_picture *p)
{
    return nr_is_portrait(p) ? &portrait_box : &landscape_box;
}

/* The sun in which the second axis gives degrees, W/m2: a clear day. */
#define AXIS_SUN 900.0

/* Datablock $NAME: x, eta, lo, hi, eta inside the tested range, eta outside. The first point
 * outside is written on both sides, so that solid and dashed meet. */
static void write_curve(nr_picture *p, const char *name, const nr_fit *fit)
{
    FILE *f = p->script;
    fprintf(f, "$%s << EOD\n", name);
    for (size_t i = 0; i < fit->curve_points; i++) {
        const nr_curve_point *c = &fit->curve[i];
        bool beside = (i > 0 && fit->curve[i - 1].tested != c->tested) ||
                      (i + 1 < fit->curve_points && fit->curve[i + 1].tested != c->tested);
        const double row[] = {nr_display_value(NR_SHOWN_REDUCED, p->units, c->x),
                              c->eta,
                              c->lo95,
                              c->hi95,
                              c->tested ? c->eta : NAN,
                              !c->tested || beside ? c->eta : NAN};
        for (size_t k = 0; k < sizeof row / sizeof *row; k++) {
            nr_gp_number(f, row[k]);
            fputc(k + 1 < sizeof row / sizeof *row ? ' ' : '\n', f);
        }
    }
    fputs("NaN NaN NaN NaN NaN NaN\nEOD\n", f);
}

static void write_points(nr_picture *p, const nr_fit *fit, bool steady, const char *name)
{
    FILE *f = p->script;
    fprintf(f, "$%s << EOD\n", name);
    for (size_t i = 0; i < fit->points; i++) {
        const nr_point *q = &fit->point[i];
        if (q->steady != steady)
            continue;
        nr_gp_number(f, nr_display_value(NR_SHOWN_REDUCED, p->units, q->x));
        fputc(' ', f);
        nr_gp_number(f, q->eta);
        fputc(' ', f);
        nr_gp_number(f, isfinite(q->u) ? q->u : 0);
        fputc('\n', f);
    }
    fputs("NaN NaN NaN\nEOD\n", f);
}

/* Fitted to its data, in steps of 0.05 to 0.2. A band that widens out of reason far outside the
 * tested range, or a point at a cloud's edge, does not shrink the curve. */
static nr_limits eta_limits(double lo, double hi)
{
    if (!isfinite(lo) || !isfinite(hi))
        return (nr_limits){0, 1, 0.2};
    hi = fmin(fmax(hi, 0.1), 1.2);
    lo = fmax(fmin(lo, hi - 0.1), -0.4);
    double step = hi - lo > 0.8 ? 0.2 : hi - lo > 0.35 ? 0.1 : 0.05;
    return (nr_limits){step * floor(lo / step + 1e-9), step * ceil(hi / step - 1e-9), step};
}

static void stretch_curve(const nr_fit *fit, double *lo, double *hi, double *x_lo, double *x_hi)
{
    for (size_t i = 0; i < fit->curve_points; i++) {
        const nr_curve_point *c = &fit->curve[i];
        nr_stretch(lo, hi, c->eta);
        nr_stretch(lo, hi, c->lo95);
        nr_stretch(lo, hi, c->hi95);
        nr_stretch(x_lo, x_hi, c->x);
    }
}

static void x_axis(nr_picture *p, double lo, double hi, int steps)
{
    if (!isfinite(lo) || !(hi > lo)) {
        lo = 0;
        hi = 0.05;
    }
    lo = nr_display_value(NR_SHOWN_REDUCED, p->units, lo);
    hi = nr_display_value(NR_SHOWN_REDUCED, p->units, hi);
    nr_limits x = nr_nice(lo, hi, steps, false);
    double air = 0.03 * (hi - lo);
    nr_range(p, "x", lo - air, hi + air);
    nr_tics(p, "x", &x);
    char label[96];
    (void)snprintf(label, sizeof label, "(temperature \u2212 air) / irradiance, %s",
                   nr_display_of(NR_SHOWN_REDUCED, p->units)->pretty);
    nr_x_label(p, label);
}

/* How much warmer than the air that is in good sun, above the panel. */
static void degrees_axis(nr_picture *p, double lo, double hi)
{
    char label[96], sun[NR_ROUNDED];
    double per = nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, AXIS_SUN);
    double air = 0.03 * (hi - lo);
    if (!isfinite(lo) || !(hi > lo))
        return;
    nr_limits x = nr_nice((lo - air) * per, (hi + air) * per, 6, false);
    nr_range(p, "x2", (lo - air) * per, (hi + air) * per);
    x.lo = x.step * ceil((lo - air) * per / x.step - 1e-9);
    x.hi = x.step * floor((hi + air) * per / x.step + 1e-9);
    nr_tics(p, "x2", &x);
    fputs("set border 5\n", p->script);
    (void)snprintf(label, sizeof label, "%s warmer than the air, in %s %s of sun",
                   nr_display_of(NR_SHOWN_DIFFERENCE, p->units)->pretty,
                   nr_round_text(nr_display_value(NR_SHOWN_IRRADIANCE, p->units, AXIS_SUN), 0, sun),
                   nr_display_of(NR_SHOWN_IRRADIANCE, p->units)->pretty);
    nr_text_screen(p, (p->panel.left + p->panel.right) / 2, p->panel.top + 0.056, "center",
                   NR_PX_SMALL, NR_TEXT_GREY, label);
}

static double value_right(const nr_picture *p)
{
    return nr_is_portrait(p) ? 0.620 : 0.350;
}

static void number_line(nr_picture *p, double y, const char *label, nr_shown what,
                        const nr_quantity *q)
{
    char value[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED], text[160];
    nr_text_screen(p, nr_left_edge(p), y, "left", NR_PX_SMALL, NR_TEXT_GREY, label);
    if (!q->known) {
        nr_text_screen(p, value_right(p) - 0.050, y, "left", NR_PX_SMALL, NR_TEXT_GREY,
                       "not determined");
        return;
    }
    nr_quantity d = nr_display_quantity(what, p->units, q);
    int place = nr_round_place(d.u, 2);
    nr_text_screen(p, value_right(p), y, "right", NR_PX_TEXT, NR_BLACK,
                   nr_round_text(d.value, place, value));
    (void)snprintf(text, sizeof text, "%s to %s", nr_round_text(d.lo95, place, lo),
                   nr_round_text(d.hi95, place, hi));
    nr_text_screen(p, value_right(p) + 0.015, y, "left", NR_PX_SMALL, NR_TEXT_GREY, text);
}

static void numbers(nr_picture *p, const nr_fit *fit)
{
    char label[96];
    double y = p->panel.bottom - 0.132;
    const double line = 0.034;
    nr_text_screen(p, nr_left_edge(p), y + 0.004, "left", NR_PX_TEXT, NR_BLACK, "Numbers");
    nr_text_screen(p, value_right(p) + 0.015, y + 0.004, "left", NR_PX_SMALL, NR_TEXT_GREY,
                   "95 % interval");
    number_line(p, y - line, "zero-loss efficiency " NR_ETA0, NR_SHOWN_NUMBER, &fit->eta0);
    (void)snprintf(label, sizeof label, "loss " NR_A1 ", %s",
                   nr_display_of(NR_SHOWN_COLLECTOR_LOSS, p->units)->pretty);
    number_line(p, y - 2 * line, label, NR_SHOWN_COLLECTOR_LOSS, &fit->a1);
    number_line(p, y - 3 * line, "efficiency of the run", NR_SHOWN_NUMBER, &fit->run_efficiency);
    (void)snprintf(label, sizeof label, "stagnation above air, %s",
                   nr_display_of(NR_SHOWN_DIFFERENCE, p->units)->pretty);
    number_line(p, y - 4 * line, label, NR_SHOWN_DIFFERENCE, &fit->stagnation_K);
    nr_text_screen(p, nr_left_edge(p), y - 5 * line, "left", NR_PX_SMALL, NR_TEXT_GREY,
                   fit->reference == NR_REFERENCE_MEAN
                       ? "per gross area; collector at its mean temperature"
                       : "per gross area; collector at its inlet temperature");
    nr_text_screen(p, nr_left_edge(p), y - 6 * line, "left", NR_PX_SMALL, NR_TEXT_GREY,
                   fit->loss_includes_store ? "the loss includes the container\u2019s"
                                            : "stagnation may well be higher than this");
}

void nr_draw_fit_curve(nr_picture *p, const nr_fit *fit)
{
    FILE *f = p->script;
    double lo = NAN, hi = NAN, x_lo = NAN, x_hi = NAN;
    bool steady = false;
    stretch_curve(fit, &lo, &hi, &x_lo, &x_hi);
    for (size_t i = 0; i < fit->points; i++) {
        nr_stretch(&lo, &hi, fit->point[i].eta);
        nr_stretch(&x_lo, &x_hi, fit->point[i].x);
        steady = steady || fit->point[i].steady;
    }
    nr_panel(p, curve_box(p), NULL);
    nr_text_screen(p, nr_left_edge(p), p->panel.top + 0.100, "left", NR_PX_TEXT, NR_BLACK,
                   nr_is_portrait(p)
                       ? "Efficiency, 95 % band (dashed: extrapolated)"
                       : "Efficiency on gross area, 95 % band (dashed: extrapolated)");
    nr_limits y = eta_limits(lo, hi);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    x_axis(p, x_lo, x_hi, nr_is_portrait(p) ? 4 : 5);
    degrees_axis(p, x_lo, x_hi);
    numbers(p, fit);
    write_curve(p, "curve", fit);
    write_points(p, fit, false, "loose");
    write_points(p, fit, true, "steady");
    if (fit->points > 0)
        nr_text_screen(p, p->panel.left + 0.010, p->panel.bottom + 0.024, "left", NR_PX_SMALL,
                       NR_TEXT_GREY,
                       steady ? "\u25cf steady, \u25cb other means of some minutes"
                              : "\u25cb means of some minutes, none steady");
    fputs(
        "plot NaN, $curve using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb '" NR_BLUE
        "', $curve using 1:6 with lines lw 2 dt (8,5) lc rgb '" NR_BLUE
        "', $curve using 1:5 with lines lw 3 lc rgb '" NR_BLUE
        "', $loose using 1:2:3 with yerrorbars lw 1",
        f);
    nr_mark(p, 6, 1.0, NR_TEXT_GREY);
    fputs(", $steady using 1:2:3 with yerrorbars lw 1.5", f);
    nr_mark(p, 7, 1.1, NR_BLACK);
    fputc('\n', f);
}

/* The crossing of two curves, marked where it lies on them. */
static void crossing(nr_picture *p, const nr_compare *c, const nr_difference *d)
{
    if (!d->crossing_known || !(c->day.sun_W_m2 > 0))
        return;
    const nr_fit *fit = c->build[d->of];
    double x = d->crossing_K / c->day.sun_W_m2;
    for (size_t i = 1; i < fit->curve_points; i++) {
        const nr_curve_point *a = &fit->curve[i - 1], *b = &fit->curve[i];
        if (!(x >= a->x && x <= b->x) || !(b->x > a->x))
            continue;
        double eta = a->eta + (b->eta - a->eta) * (x - a->x) / (b->x - a->x);
        char text[96], n[NR_ROUNDED];
        double K = nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, d->crossing_K);
        (void)snprintf(text, sizeof text, "cross at %s %s %s air", nr_round_text(fabs(K), 0, n),
                       nr_display_of(NR_SHOWN_DIFFERENCE, p->units)->pretty,
                       K < 0 ? "below" : "over");
        fputs("set label ", p->script);
        nr_gp_quote(p->script, text);
        fputs(" at first ", p->script);
        nr_gp_number(p->script, nr_display_value(NR_SHOWN_REDUCED, p->units, x));
        fputs(", first ", p->script);
        nr_gp_number(p->script, eta);
        fputs(" left offset 0.4,1.0 front tc rgb '" NR_BLACK "' point lw 2", p->script);
        nr_mark(p, 6, 2.0, NR_BLACK);
        nr_font(p, NR_PX_SMALL);
        fputc('\n', p->script);
        return;
    }
}

void nr_draw_compare_curves(nr_picture *p, const nr_compare *c, const nr_box *box)
{
    FILE *f = p->script;
    double lo = NAN, hi = NAN, x_lo = NAN, x_hi = NAN;
    for (size_t b = 0; b < c->builds; b++) {
        stretch_curve(c->build[b], &lo, &hi, &x_lo, &x_hi);
    }
    nr_panel(p, box, "Efficiency on gross area, 95 % bands (dashed: extrapolated)");
    nr_limits y = eta_limits(lo, hi);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    x_axis(p, x_lo, x_hi, 5);
    for (size_t i = 0; c->builds == 2 && i < c->differences; i++)
        crossing(p, c, &c->difference[i]);
    for (size_t b = 0; b < c->builds; b++) {
        char name[32];
        (void)snprintf(name, sizeof name, "curve%zu", b);
        write_curve(p, name, c->build[b]);
    }
    fputs("plot NaN", f);
    for (size_t b = 0; b < c->builds; b++)
        fprintf(f,
                ", $curve%zu using 1:3:4 with filledcurves fs transparent solid 0.15 lc rgb '%s'",
                b, nr_build_colour(b));
    for (size_t b = 0; b < c->builds; b++) {
        /* No marks along the lines: they would read as measurements. */
        fprintf(f,
                ", $curve%zu using 1:6 with lines lw 1.5 dt (6,5) lc rgb '%s'"
                ", '' using 1:5 with lines lw 3 dt %s lc rgb '%s'",
                b, nr_build_colour(b), nr_build_dash(b), nr_build_colour(b));
    }
    fputc('\n', f);
}
