/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a pump: what more or less flow would gather and what it would cost, all against
 * flow on one logarithmic axis; below, where a pump on its own panel stalls and starts. */
#include "plots/letters.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include "analyze/tell/round.h"
#include "analyze/tell/tell.h"

#include <math.h>
#include <string.h>

/* Width of a letter of small text, px, for names that must fit above a part of an axis. */
#define LETTER_PX 7.5

typedef struct layout {
    nr_box heat, outlet, removal, friction, panel;
} layout;

/* The strip of thresholds takes its place from the panels above it. */
static layout lay_out(bool with_panel)
{
    double high = with_panel ? 0.585 : 0.540, mid = with_panel ? 0.475 : 0.400;
    double low = with_panel ? 0.310 : 0.105;
    return (layout){.heat = {0.065, 0.485, high, 0.800},
                    .outlet = {0.560, 0.980, high, 0.800},
                    .removal = {0.065, 0.485, low, mid},
                    .friction = {0.560, 0.980, low, mid},
                    .panel = {0.160, 0.700, 0.065, 0.150}};
}

static double shown_flow(const nr_picture *p, double L_min)
{
    return nr_display_value(NR_SHOWN_FLOW, p->units, L_min);
}

static const nr_pump_row *row_of(const nr_pump *q, double times)
{
    for (size_t i = 0; i < q->rows; i++)
        if (q->row[i].times == times)
            return &q->row[i];
    return NULL;
}

/* Pumping power, W, bounds: of the water, what a pump draws is several times as much. Watts in
 * either system of units, as on any pump. */
static nr_bounds power_of(const nr_pump_row *r)
{
    nr_bounds b = r->drop_Pa;
    b.low *= r->flow_L_min / 60000;
    b.high *= r->flow_L_min / 60000;
    return b;
}

/* "53", "9.5 to 16" */
static void bounds_text(char *text, size_t size, double low, double high)
{
    char a[NR_ROUNDED], b[NR_ROUNDED];
    if (high > 1.05 * low)
        (void)snprintf(text, size, "%s to %s", nr_plain_text(low, 2, a), nr_plain_text(high, 2, b));
    else
        (void)snprintf(text, size, "%s", nr_plain_text(low, 2, a));
}

/* Datablocks: flow, change and its interval, FR, outlet, pressure drop; of the curve and of the
 * rows of the table. */
static void write_rows(nr_picture *p, const char *name, const nr_pump_row *row, size_t count)
{
    FILE *f = p->script;
    fprintf(f, "$%s << EOD\n", name);
    for (size_t i = 0; i < count; i++) {
        const nr_pump_row *r = &row[i];
        nr_quantity change = nr_display_quantity(NR_SHOWN_PERCENT, p->units, &r->change);
        const double value[] = {shown_flow(p, r->flow_L_min),
                                change.value,
                                change.lo95,
                                change.hi95,
                                r->removal,
                                nr_display_value(NR_SHOWN_TEMPERATURE, p->units, r->outlet_degC),
                                nr_display_value(NR_SHOWN_PRESSURE, p->units, r->drop_Pa.low),
                                nr_display_value(NR_SHOWN_PRESSURE, p->units, r->drop_Pa.high)};
        for (size_t k = 0; k < sizeof value / sizeof *value; k++) {
            nr_gp_number(f, value[k]);
            fputc(k + 1 < sizeof value / sizeof *value ? ' ' : '\n', f);
        }
    }
    fputs("NaN NaN NaN NaN NaN NaN NaN NaN\nEOD\n", f);
}

/* Where the curve's regime changes from one point to the next, the flow between; NAN: nowhere. */
static double regime_begins(const nr_pump *q, nr_flow_regime regime)
{
    for (int i = 1; i < NR_PUMP_CURVE; i++)
        if (q->curve[i].drop_Pa.regime == regime && q->curve[i - 1].drop_Pa.regime != regime)
            return sqrt(q->curve[i].flow_L_min * q->curve[i - 1].flow_L_min);
    return NAN;
}

/* A regime's name above the part of the axis where it holds. */
static void regime_name(nr_picture *p, const nr_pump *q, const nr_box *box, nr_flow_regime regime)
{
    double first = q->curve[0].flow_L_min, last = q->curve[NR_PUMP_CURVE - 1].flow_L_min;
    int from = -1, to = -1;
    for (int i = 0; i < NR_PUMP_CURVE; i++)
        if (q->curve[i].drop_Pa.regime == regime) {
            from = from < 0 ? i : from;
            to = i;
        }
    if (from < 0)
        return;
    double lo = from > 0 ? regime_begins(q, regime) : first;
    double hi = to + 1 < NR_PUMP_CURVE ? regime_begins(q, q->curve[to + 1].drop_Pa.regime) : last;
    double wide = (box->right - box->left) / log(last / first);
    double px = wide * log(hi / lo) * NR_CANVAS_W;
    const char *name = nr_flow_regime_name(regime);
    if (regime == NR_FLOW_UNCERTAIN)
        name = px > 160 ? "laminar or turbulent" : px > 45 ? "either" : "?";
    if (px > LETTER_PX * (double)strlen(name))
        nr_text_screen(p, box->left + wide * (log(lo / first) + log(hi / lo) / 2), box->top + 0.018,
                       "center", NR_PX_SMALL, NR_TEXT_GREY, name);
}

/* The flow axis: grey where nobody knows the regime, the record's flow as a line in its interval.
 */
static void flow_axis(nr_picture *p, const nr_pump *q, bool labelled)
{
    FILE *f = p->script;
    char text[64];
    double lo = shown_flow(p, q->curve[0].flow_L_min);
    double hi = shown_flow(p, q->curve[NR_PUMP_CURVE - 1].flow_L_min);
    nr_log_axis(p, "x", lo, hi, 8);
    double from = regime_begins(q, NR_FLOW_UNCERTAIN), to = regime_begins(q, NR_FLOW_TURBULENT);
    if (q->curve[0].drop_Pa.regime == NR_FLOW_UNCERTAIN)
        from = q->curve[0].flow_L_min;
    if (isfinite(from))
        fprintf(f,
                "set object rectangle from first %.9g, graph 0 to first %.9g, graph 1 behind "
                "fc rgb '#F1F1F1' fs solid noborder\n",
                shown_flow(p, from), isfinite(to) ? shown_flow(p, to) : hi);
    nr_quantity now = nr_display_quantity(NR_SHOWN_FLOW, p->units, &q->flow_L_min);
    if (now.known)
        fprintf(f,
                "set object rectangle from first %.9g, graph 0 to first %.9g, graph 1 behind "
                "fc rgb '#DADADA' fs solid noborder\n"
                "set arrow from first %.9g, graph 0 to first %.9g, graph 1 nohead lw 1.2 lc rgb "
                "'" NR_TEXT_GREY "'\n",
                fmax(now.lo95, lo), fmin(now.hi95, hi), now.value, now.value);
    (void)snprintf(text, sizeof text, "flow, %s", nr_display_of(NR_SHOWN_FLOW, p->units)->pretty);
    if (labelled)
        nr_x_label(p, text);
}

/* "now 0.97 L/min" and its interval, low beside the line in the first panel. */
static void name_the_record(nr_picture *p, const nr_pump *q, const nr_limits *y)
{
    char text[96], a[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
    nr_quantity now = nr_display_quantity(NR_SHOWN_FLOW, p->units, &q->flow_L_min);
    if (!now.known)
        return;
    int place = nr_round_place(now.u, 1);
    (void)snprintf(text, sizeof text, "the record: %s %s", nr_round_text(now.value, place, a),
                   nr_display_of(NR_SHOWN_FLOW, p->units)->pretty);
    nr_text_point(p, now.value, y->lo, "left", 0.8, 2.8, NR_PX_SMALL, NR_BLACK, text);
    (void)snprintf(text, sizeof text, "95 %%: %s to %s", nr_round_text(now.lo95, place, lo),
                   nr_round_text(now.hi95, place, hi));
    nr_text_point(p, now.value, y->lo, "left", 0.8, 1.6, NR_PX_SMALL, NR_TEXT_GREY, text);
    if (!q->flow_measured)
        nr_text_point(p, now.value, y->lo, "left", 0.8, 0.5, NR_PX_SMALL, NR_TEXT_GREY,
                      "by inlet and outlet");
}

static void change_label(nr_picture *p, const nr_pump *q, double times, const char *words,
                         const char *align, double right, double up)
{
    const nr_pump_row *r = row_of(q, times);
    char text[96], n[NR_ROUNDED];
    if (r == NULL || !r->change.known)
        return;
    nr_quantity d = nr_display_quantity(NR_SHOWN_PERCENT, p->units, &r->change);
    (void)snprintf(text, sizeof text, "%s%s%s %%", words, d.value < 0 ? NR_MINUS : "+",
                   nr_round_text(fabs(d.value), nr_round_place(d.u, 1), n));
    nr_text_point(p, shown_flow(p, r->flow_L_min), d.value, align, right, up, NR_PX_SMALL, NR_BLUE,
                  text);
}

static void heat(nr_picture *p, const nr_pump *q, const nr_box *box)
{
    double lo = NAN, hi = NAN;
    nr_panel(p, box, NULL);
    nr_text_screen(p, box->left, box->top + 0.060, "left", NR_PX_TEXT, NR_BLACK,
                   "Heat gathered against the record\u2019s flow, % (95 %)");
    for (int i = 0; i < NR_PUMP_CURVE; i++) {
        nr_stretch(&lo, &hi, 100 * q->curve[i].change.lo95);
        nr_stretch(&lo, &hi, 100 * q->curve[i].change.hi95);
    }
    /* Room above the curve's flat end for its words. */
    hi += 0.1 * (hi - lo);
    nr_limits y = nr_nice(lo, hi, 5, true);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    flow_axis(p, q, false);
    for (int r = NR_FLOW_LAMINAR; r <= NR_FLOW_TURBULENT; r++)
        regime_name(p, q, box, (nr_flow_regime)r);
    name_the_record(p, q, &y);
    change_label(p, q, 0.25, "a quarter: ", "left", 0.8, -0.4);
    change_label(p, q, 0.5, "half: ", "left", 0.8, -0.7);
    change_label(p, q, 2, "twice: ", "right", -0.5, 1.0);
    change_label(p, q, 4, "", "right", 0, 1.0);
    fputs("set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '" NR_TEXT_GREY
          "'\nplot NaN, $curve using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb "
          "'" NR_BLUE "', $curve using 1:2 with lines lw 3 lc rgb '" NR_BLUE
          "', $rows using 1:2 with points",
          p->script);
    nr_mark(p, 7, 1.1, NR_BLUE);
    fputc('\n', p->script);
}

/* "half: +14.7 K", where the water would leave. */
static void rise_label(nr_picture *p, const nr_pump *q, double times, const char *words)
{
    const nr_pump_row *r = row_of(q, times);
    char text[96], n[NR_ROUNDED];
    if (r == NULL)
        return;
    double rise =
        nr_display_difference(NR_SHOWN_DIFFERENCE, p->units, r->outlet_degC - q->water_degC);
    (void)snprintf(text, sizeof text, "%s+%s %s", words, nr_round_text(rise, 1, n),
                   nr_display_of(NR_SHOWN_DIFFERENCE, p->units)->pretty);
    nr_text_point(p, shown_flow(p, r->flow_L_min),
                  nr_display_value(NR_SHOWN_TEMPERATURE, p->units, r->outlet_degC), "left", 0.6,
                  0.7, NR_PX_SMALL, NR_VERMILLION, text);
}

static void outlet(nr_picture *p, const nr_pump *q, const nr_box *box)
{
    const char *unit = nr_display_of(NR_SHOWN_TEMPERATURE, p->units)->pretty;
    double lo = NAN, hi = NAN;
    char text[120], n[NR_ROUNDED];
    (void)snprintf(text, sizeof text, "Water leaving the collector, %s, and its rise", unit);
    nr_panel(p, box, NULL);
    nr_text_screen(p, box->left, box->top + 0.060, "left", NR_PX_TEXT, NR_BLACK, text);
    for (int i = 0; i < NR_PUMP_CURVE; i++)
        nr_stretch(&lo, &hi, q->curve[i].outlet_degC);
    nr_stretch(&lo, &hi, q->water_degC);
    lo = nr_display_value(NR_SHOWN_TEMPERATURE, p->units, lo);
    hi = nr_display_value(NR_SHOWN_TEMPERATURE, p->units, hi);
    nr_limits y = nr_nice(lo - 0.05 * (hi - lo), hi, 5, false);
    nr_range(p, "y", y.lo, y.hi);
    nr_tics(p, "y", &y);
    flow_axis(p, q, false);
    for (int r = NR_FLOW_LAMINAR; r <= NR_FLOW_TURBULENT; r++)
        regime_name(p, q, box, (nr_flow_regime)r);
    double in = nr_display_value(NR_SHOWN_TEMPERATURE, p->units, q->water_degC);
    (void)snprintf(text, sizeof text, "enters at %s %s", nr_round_text(in, 1, n), unit);
    nr_level(p, in, NR_BLUE, "(8,4)", "left", text);
    rise_label(p, q, 0.5, "half: ");
    rise_label(p, q, 1, "");
    rise_label(p, q, 2, "twice: ");
    fputs("plot NaN, $curve using 1:6 with lines lw 3 lc rgb '" NR_VERMILLION
          "', $rows using 1:6 with points",
          p->script);
    nr_mark(p, 5, 1.1, NR_VERMILLION);
    fputc('\n', p->script);
}

static void removal(nr_picture *p, const nr_pump *q, const nr_box *box)
{
    FILE *f = p->script;
    char text[96], n[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
    nr_panel(p, box, "Heat removal factor FR");
    const nr_limits y = {0, 1, 0.25};
    nr_range(p, "y", 0, 1.05);
    nr_tics(p, "y", &y);
    flow_axis(p, q, true);
    const nr_quantity *fr = &q->removal;
    double now = shown_flow(p, q->flow_L_min.value);
    fputs("$removal << EOD\n", f);
    const double row[] = {now, fr->value, fr->lo95, fr->hi95};
    for (size_t k = 0; k < 4; k++) {
        nr_gp_number(f, fr->known ? row[k] : NAN);
        fputc(k < 3 ? ' ' : '\n', f);
    }
    fputs("NaN NaN NaN NaN\nEOD\n", f);
    if (fr->known) {
        const int place = 3;
        (void)snprintf(text, sizeof text, "%s (95 %%: %s to %s)",
                       nr_round_text(fr->value, place, n), nr_round_text(fr->lo95, place, lo),
                       nr_round_text(fr->hi95, place, hi));
        nr_text_point(p, now, fr->lo95, "left", 0.8, -1.0, NR_PX_SMALL, NR_GREEN, text);
    }
    fputs("plot NaN, $curve using 1:5 with lines lw 3 dt (14,4) lc rgb '" NR_GREEN
          "', $removal using 1:2:3:4 with yerrorbars lw 2",
          f);
    nr_mark(p, 9, 1.5, NR_GREEN);
    fputc('\n', f);
}

/* Where words left of a flow begin: beside it, or, too long for the panel, at the panel's edge. */
static double words_from(const nr_picture *p, const nr_pump *q, double flow_L_min,
                         const char *words, const char **align, double *right)
{
    double first = q->curve[0].flow_L_min, last = q->curve[NR_PUMP_CURVE - 1].flow_L_min;
    double room = nr_picture_px(p, p->panel.right - p->panel.left) * log(flow_L_min / first) /
                  log(last / first);
    if (*align[0] != 'r' || nr_text_px(words, NR_PX_SMALL) + 12 < room)
        return shown_flow(p, flow_L_min);
    *align = "left";
    *right = 0.6;
    return shown_flow(p, first);
}

static void friction_label(nr_picture *p, const nr_pump *q, double times, const char *words,
                           const char *align, double right, double up)
{
    const nr_pump_row *r = row_of(q, times);
    char text[240], drop[2 * NR_ROUNDED + 8], watts[2 * NR_ROUNDED + 8];
    if (r == NULL || !isfinite(r->drop_Pa.low))
        return;
    double low = nr_display_value(NR_SHOWN_PRESSURE, p->units, r->drop_Pa.low);
    double high = nr_display_value(NR_SHOWN_PRESSURE, p->units, r->drop_Pa.high);
    nr_bounds power = power_of(r);
    bounds_text(drop, sizeof drop, low, high);
    bounds_text(watts, sizeof watts, power.low, power.high);
    (void)snprintf(text, sizeof text, "%s%s %s", words, drop,
                   nr_display_of(NR_SHOWN_PRESSURE, p->units)->pretty);
    double x = words_from(p, q, r->flow_L_min, text, &align, &right);
    up += x < shown_flow(p, r->flow_L_min) ? 1.1 : 0; /* clear of the loop of both regimes */
    nr_text_point(p, x, sqrt(low * high), align, right, up, NR_PX_SMALL, NR_BLACK, text);
    (void)snprintf(text, sizeof text, "%s W", watts);
    nr_text_point(p, x, sqrt(low * high), align, right, up - 1.1, NR_PX_SMALL, NR_BLACK, text);
}

static void friction(nr_picture *p, const nr_pump *q, const nr_box *box)
{
    double lo = NAN, hi = NAN;
    char heading[120];
    (void)snprintf(heading, sizeof heading, "Friction in the %s tube, %s; power, W",
                   q->tube.coil_diameter_m > 0 ? "coiled" : "straight",
                   nr_display_of(NR_SHOWN_PRESSURE, p->units)->pretty);
    nr_panel(p, box, heading);
    for (int i = 0; i < NR_PUMP_CURVE; i++) {
        nr_stretch(&lo, &hi, q->curve[i].drop_Pa.low);
        nr_stretch(&lo, &hi, q->curve[i].drop_Pa.high);
    }
    nr_log_axis(p, "y", nr_display_value(NR_SHOWN_PRESSURE, p->units, lo) / 1.8,
                nr_display_value(NR_SHOWN_PRESSURE, p->units, hi) * 1.3, 6);
    flow_axis(p, q, true);
    friction_label(p, q, 0.5, "half: ", "right", -0.8, 1.9);
    friction_label(p, q, 1, "", "left", 0.8, -0.6);
    friction_label(p, q, 2, "twice: ", "left", 0.8, -0.4);
    fputs("plot NaN, $curve using 1:7:8 with filledcurves fs transparent solid 0.18 lc rgb "
          "'" NR_PURPLE "', $curve using 1:7 with lines lw 2.5 lc rgb '" NR_PURPLE
          "', $curve using 1:8 with lines lw 2.5 lc rgb '" NR_PURPLE
          "', $rows using 1:(sqrt($7*$8)) with points",
          p->script);
    nr_mark(p, 13, 1.2, NR_PURPLE);
    fputc('\n', p->script);
}

/* In place of a panel that would be empty. */
static void no_friction(nr_picture *p, const nr_box *box)
{
    nr_panel(p, box, "Friction and pumping power: not known");
    (void)nr_text_block(p, box->left, box->top - 0.03, NR_PX_SMALL, NR_TEXT_GREY,
                        "Length and bore of the tube (tube_length_m, tube_bore_mm in [collector] "
                        "of rig.ini) would tell. More flow costs ever more power, about seven "
                        "times as much for twice the flow where it is turbulent.",
                        box->right - box->left, 6);
    /* Labels are drawn with a plot only; this one shows nothing else. */
    fputs("set border 0\nset xrange [0:1]\nset yrange [0:1]\nplot NaN\n", p->script);
}

static void threshold(nr_picture *p, const nr_pump_threshold *t, int row, const char *event)
{
    char text[160] = "not seen in this record", n[NR_ROUNDED], lo[NR_ROUNDED], hi[NR_ROUNDED];
    nr_quantity d = nr_display_quantity(NR_SHOWN_IRRADIANCE, p->units, &t->W_m2);
    if (t->events > 0 && d.known)
        (void)snprintf(text, sizeof text, "%s (%s to %s), %zu %s%s", nr_round_text(d.value, 0, n),
                       nr_round_text(d.lo95, 0, lo), nr_round_text(d.hi95, 0, hi), t->events, event,
                       t->events == 1 ? "" : "s");
    nr_text_end(p, -row, NR_BLACK, text);
    fprintf(p->script, "$threshold%d << EOD\n", row);
    const double value[] = {d.value, -row, d.lo95, d.hi95};
    for (size_t k = 0; k < 4; k++) {
        nr_gp_number(p->script, t->events > 0 && d.known ? value[k] : NAN);
        fputc(k < 3 ? ' ' : '\n', p->script);
    }
    fputs("NaN NaN NaN NaN\nEOD\n", p->script);
}

static void thresholds(nr_picture *p, const nr_pump *q, const nr_box *box)
{
    FILE *f = p->script;
    double lo = NAN, hi = NAN;
    char heading[160];
    (void)snprintf(heading, sizeof heading,
                   "The pump on its own panel: irradiance in the collector plane, %s (95 %%)",
                   nr_display_of(NR_SHOWN_IRRADIANCE, p->units)->pretty);
    nr_panel(p, box, NULL);
    nr_text_screen(p, 0.018, box->top + 0.026, "left", NR_PX_TEXT, NR_BLACK, heading);
    nr_stretch(&lo, &hi, q->sun_W_m2);
    nr_stretch(&lo, &hi, q->panel.stall.W_m2.hi95);
    nr_stretch(&lo, &hi, q->panel.start.W_m2.hi95);
    nr_limits x = nr_nice(0, nr_display_value(NR_SHOWN_IRRADIANCE, p->units, hi), 6, true);
    nr_range(p, "x", 0, x.hi);
    nr_tics(p, "x", &x);
    nr_range(p, "y", -1.6, 0.6);
    fputs("set grid noytics\nset ytics nomirror scale 0 tc rgb '" NR_BLACK "'", f);
    nr_font(p, NR_PX_TEXT);
    fputs(" ('stalls below' 0, 'starts again at' -1)\n", f);
    threshold(p, &q->panel.stall, 0, "stop");
    threshold(p, &q->panel.start, 1, "start");
    fputs("plot NaN, $threshold0 using 1:2:3:4 with xerrorbars lw 2.5", f);
    nr_mark(p, 7, 1.4, NR_BLACK);
    fputs(", $threshold1 using 1:2:3:4 with xerrorbars lw 2.5", f);
    nr_mark(p, 5, 1.3, NR_BLACK);
    fputc('\n', f);
}

static void subtitle_of(char *text, size_t size, const nr_pump *q, nr_units units)
{
    const nr_fit *fit = q->fit;
    const char *degrees = nr_display_of(NR_SHOWN_TEMPERATURE, units)->pretty;
    char runs[64], rest[256], sun[NR_ROUNDED], water[NR_ROUNDED], air[NR_ROUNDED];
    double G = nr_display_value(NR_SHOWN_IRRADIANCE, units, q->sun_W_m2);
    double in = nr_display_value(NR_SHOWN_TEMPERATURE, units, q->water_degC);
    double around = nr_display_value(NR_SHOWN_TEMPERATURE, units, q->air_degC);
    if (fit->runs == 1)
        nr_date_text(runs, sizeof runs, fit->run[0].start_utc_s);
    else
        (void)snprintf(runs, sizeof runs, "%zu runs", fit->runs);
    (void)snprintf(rest, sizeof rest, "%s%s; %s %s of sun, water at %s %s, air at %s %s",
                   runs[0] != '\0' ? ", " : "", runs, nr_round_text(G, 0, sun),
                   nr_display_of(NR_SHOWN_IRRADIANCE, units)->pretty, nr_round_text(in, 1, water),
                   degrees, nr_round_text(around, 1, air), degrees);
    nr_subtitle_of(text, size, fit, rest);
}

nr_code nr_plot_pump(const nr_pump *q, const char *path, const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[512];
    if (q->rows == 0)
        return nr_fail(err, NR_BAD, path, 0, "this answer holds no flows to draw");
    nr_tell_pump_title(title, sizeof title, q);
    nr_title_trust(title, sizeof title, &q->fit->trust);
    subtitle_of(subtitle, sizeof subtitle, q,
                style != NULL && style->us_units ? NR_UNITS_US : NR_UNITS_SI);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code != NR_OK)
        return code;
    layout at = lay_out(q->panel.driven);
    write_rows(&p, "curve", q->curve, NR_PUMP_CURVE);
    write_rows(&p, "rows", q->row, q->rows);
    heat(&p, q, &at.heat);
    outlet(&p, q, &at.outlet);
    removal(&p, q, &at.removal);
    if (q->tube_known)
        friction(&p, q, &at.friction);
    else
        no_friction(&p, &at.friction);
    if (q->panel.driven)
        thresholds(&p, q, &at.panel);
    return nr_picture_end(&p, err);
}
