/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every line of the picture of a pump: five panels in their places, each with its axes, areas and
 * words, in both systems of units, with and without a tube and a panel of its own. Places of panels
 * and words are how this picture is laid out; numbers are worked out from the answer, with NIST SP
 * 811's factors. */
#include "plots/letters.h"
#include "tests/unit/plots/lines.h"

static double shown(double degC)
{
    return style.us_units ? 32 + 1.8 * degC : degC;
}
static double litres(double L_min)
{
    return style.us_units ? L_min / 3.785411784 : L_min;
}
static double difference(double K)
{
    return style.us_units ? 1.8 * K : K;
}
/* Btu/(h ft2) */
static double sun(double W_m2)
{
    return style.us_units ? W_m2 * 3600 * 0.3048 * 0.3048 / 1055.05585262 : W_m2;
}
static double pressure(double Pa)
{
    return Pa / (style.us_units ? 6894.757293 : 1000);
}
static const char *either(const char *si, const char *us)
{
    return style.us_units ? us : si;
}

/* Flow halfway (on its logarithmic axis) before a point of the curve. */
static double before(const nr_pump *q, int i)
{
    return sqrt(q->curve[i].flow_L_min * q->curve[i - 1].flow_L_min);
}

/* The axis of a panel, its grey stretch from to, and the record. */
static void flow_axis(const nr_pump *q, double from, double to, const char *label, double middle,
                      double foot)
{
    const nr_quantity *now = &q->flow_L_min;
    says("set logscale x");
    range_is("x", litres(q->row[0].flow_L_min), litres(q->row[6].flow_L_min));
    /* At most eight round numbers. */
    says("set xtics nomirror out scale 0.5 tc rgb '" GREY
         "' offset 0,0.45 font 'sans-serif,16' (%s)",
         either("'0.3' 0.3, '0.5' 0.5, '0.7' 0.7, '1' 1, '1.5' 1.5, '2' 2, '3' 3",
                "'0.07' 0.07, '0.1' 0.1, '0.15' 0.15, '0.2' 0.2, '0.3' 0.3, '0.5' 0.5, '0.7' 0.7, "
                "'1' 1"));
    if (isfinite(from))
        says("set object rectangle from first %.9g, graph 0 to first %.9g, graph 1 behind fc rgb "
             "'#F1F1F1' fs solid noborder",
             litres(from), litres(to));
    if (now->known) {
        says("set object rectangle from first %.9g, graph 0 to first %.9g, graph 1 behind fc rgb "
             "'#DADADA' fs solid noborder",
             litres(fmax(now->lo95, q->row[0].flow_L_min)),
             litres(fmin(now->hi95, q->row[6].flow_L_min)));
        says("set arrow from first %.9g, graph 0 to first %.9g, graph 1 nohead lw 1.2 lc rgb '" GREY
             "'",
             litres(now->value), litres(now->value));
    }
    if (label) /* 50 px under the axis */
        words_at(label, middle, foot - 50 / 800.0, "center", SMALL, GREY);
}

static void named(const char *regime, double left, double from, double to, const nr_pump *q)
{
    double lo = log(q->row[0].flow_L_min), wide = 0.42 / (log(q->row[6].flow_L_min) - lo);
    words_at(regime, left + wide * ((log(from) + log(to)) / 2 - lo), 0.818, "center", SMALL, GREY);
}

static void change(const nr_pump *q, size_t row, const char *words, const char *align, double right,
                   double up)
{
    char text[60];
    double percent = 100 * q->row[row].change.value;
    (void)snprintf(text, sizeof text, "%s%s%.1f %%", words, percent < 0 ? "\u2212" : "+",
                   fabs(percent));
    words_beside(text, litres(q->row[row].flow_L_min), percent, align, right, up, SMALL, "#0072B2");
}

static void heat_is(const nr_pump *q, double foot, double from, double to)
{
    double lo = INFINITY, hi = -INFINITY, now = litres(1.05);
    for (int i = 0; i < NR_PUMP_CURVE; i++) {
        lo = fmin(lo, 100 * q->curve[i].change.lo95);
        hi = fmax(hi, 100 * q->curve[i].change.hi95);
    }
    panel_at(0.065, 0.485, foot, 0.8);
    words_at("Heat gathered against the record\u2019s flow, % (95 %)", 0.065, 0.86, "left", TEXT,
             BLACK);
    nr_limits y = axis_around("y", lo, hi + 0.1 * (hi - lo), 5, true);
    flow_axis(q, from, to, NULL, 0, 0);
    if (isfinite(from)) {
        named("laminar", 0.065, q->row[0].flow_L_min, from, q);
        named("either", 0.065, from, to, q);
        named("turbulent", 0.065, to, q->row[6].flow_L_min, q);
    }
    if (q->flow_L_min.known) {
        words_beside(either("the record: 1.05 L/min", "the record: 0.277 gal/min"), now, y.lo,
                     "left", 0.8, 2.8, SMALL, BLACK);
        words_beside(either("95 %: 1.02 to 1.08", "95 %: 0.271 to 0.284"), now, y.lo, "left", 0.8,
                     1.6, SMALL, GREY);
        if (!q->flow_measured)
            words_beside("by inlet and outlet", now, y.lo, "left", 0.8, 0.5, SMALL, GREY);
    }
    change(q, 0, "a quarter: ", "left", 0.8, -0.4);
    change(q, 1, "half: ", "left", 0.8, -0.7);
    change(q, 5, "twice: ", "right", -0.5, 1);
    change(q, 6, "", "right", 0, 1);
    says("set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '" GREY "'");
    says("plot NaN, $curve using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb "
         "'#0072B2', $curve using 1:2 with lines lw 3 lc rgb '#0072B2', $rows using 1:2 with "
         "points pt 7 ps 0.605 lc rgb '#0072B2'");
}

static void rise(const nr_pump *q, size_t row, const char *words)
{
    char text[60];
    (void)snprintf(text, sizeof text, "%s+%.1f %s", words,
                   difference(q->row[row].outlet_degC - q->water_degC), either("K", "\u00b0F"));
    words_beside(text, litres(q->row[row].flow_L_min), shown(q->row[row].outlet_degC), "left", 0.6,
                 0.7, SMALL, "#BF5300");
}

static void outlet_is(const nr_pump *q, double foot, double from, double to)
{
    double lo = q->water_degC, hi = lo;
    for (int i = 0; i < NR_PUMP_CURVE; i++) {
        lo = fmin(lo, q->curve[i].outlet_degC);
        hi = fmax(hi, q->curve[i].outlet_degC);
    }
    panel_at(0.56, 0.98, foot, 0.8);
    words_at(either("Water leaving the collector, \u00b0C, and its rise",
                    "Water leaving the collector, \u00b0F, and its rise"),
             0.56, 0.86, "left", TEXT, BLACK);
    (void)axis_around("y", shown(lo - 0.05 * (hi - lo)), shown(hi), 5, false);
    flow_axis(q, from, to, NULL, 0, 0);
    if (isfinite(from)) {
        named("laminar", 0.56, q->row[0].flow_L_min, from, q);
        named("either", 0.56, from, to, q);
        named("turbulent", 0.56, to, q->row[6].flow_L_min, q);
    }
    says("set arrow from graph 0, first %.9g to graph 1, first %.9g nohead lw 1.5 dt (8,4) lc rgb "
         "'#0072B2'",
         shown(q->water_degC), shown(q->water_degC));
    says("set label 'enters at %.1f %s' at graph 0, first %.9g left offset 0.6,0.7 front tc rgb "
         "'#0072B2' font 'sans-serif,16'",
         shown(q->water_degC), either("\u00b0C", "\u00b0F"), shown(q->water_degC));
    rise(q, 1, "half: ");
    rise(q, 3, "");
    rise(q, 5, "twice: ");
    says("plot NaN, $curve using 1:6 with lines lw 3 lc rgb '#D55E00', $rows using 1:6 with points "
         "pt 5 ps 0.605 lc rgb '#D55E00'");
}

static void removal_is(const nr_pump *q, double foot, double top, double from, double to)
{
    char text[60];
    panel_at(0.065, 0.485, foot, top);
    words_at("Heat removal factor FR", 0.065, top + 0.022, "left", TEXT, BLACK);
    range_is("y", 0, 1.05);
    tics_are("y", 0, 0.25, 1, SMALL);
    flow_axis(q, from, to, either("flow, L/min", "flow, gal/min"), 0.275, foot);
    (void)snprintf(text, sizeof text, "%.3f (95 %%: %.3f to %.3f)", q->removal.value,
                   q->removal.lo95, q->removal.hi95);
    if (q->removal.known)
        words_beside(text, litres(1.05), q->removal.lo95, "left", 0.8, -1, SMALL, "#007A5A");
    says("plot NaN, $curve using 1:5 with lines lw 3 dt (14,4) lc rgb '#009E73', $removal using "
         "1:2:3:4 with yerrorbars lw 2 pt 9 ps 0.825 lc rgb '#009E73'");
}

/* Words of a pressure drop and of the water's power at it, from a flow on. */
static void drop(const nr_pump *q, size_t row, double across, const char *words, const char *power,
                 double right, double up)
{
    double middle = pressure(sqrt(q->row[row].drop_Pa.low * q->row[row].drop_Pa.high));
    words_beside(words, litres(across), middle, "left", right, up, SMALL, BLACK);
    words_beside(power, litres(across), middle, "left", right, up - 1.1, SMALL, BLACK);
}

static void friction_is(const nr_pump *q, double foot, double top, double from, double to)
{
    double lo = INFINITY, hi = 0;
    for (int i = 0; i < NR_PUMP_CURVE; i++) {
        lo = fmin(lo, q->curve[i].drop_Pa.low);
        hi = fmax(hi, q->curve[i].drop_Pa.high);
    }
    panel_at(0.56, 0.98, foot, top);
    says("set label 'Friction in the %s tube, %s; power, W' at screen 0.56,%.6f left front tc rgb "
         "'" BLACK "' font 'sans-serif,18'",
         q->tube.coil_diameter_m > 0 ? "coiled" : "straight", either("kPa", "psi"), top + 0.022);
    says("set logscale y");
    range_is("y", pressure(lo) / 1.8, pressure(hi) * 1.3);
    /* At most six, so of 1 and 3: of 1, 2 and 5 there would be seven and more. */
    says("set ytics nomirror scale 0 tc rgb '" GREY "' font 'sans-serif,16' (%s)",
         either("'3' 3, '10' 10, '30' 30, '100' 100, '300' 300",
                "'1' 1, '3' 3, '10' 10, '30' 30, '100' 100"));
    flow_axis(q, from, to, either("flow, L/min", "flow, gal/min"), 0.77, foot);
    /* 18000 and 55000 * 0.525^1.75 Pa at half, W = flow / 60000 * Pa; the words of the half do not
     * fit left of it: a line and a tenth higher, from the panel's edge on. */
    drop(q, 1, q->row[0].flow_L_min, either("half: 9.5 to 18 kPa", "half: 1.4 to 2.6 psi"),
         "0.083 to 0.16 W", 0.6, 1.9 + 1.1);
    drop(q, 3, 1.05, either("60 kPa", "8.7 psi"), "1 W", 0.8, -0.6);
    drop(q, 5, 2.1, either("twice: 200 kPa", "twice: 29 psi"), "7.1 W", 0.8, -0.4);
    says("plot NaN, $curve using 1:7:8 with filledcurves fs transparent solid 0.18 lc rgb "
         "'#CC79A7', $curve using 1:7 with lines lw 2.5 lc rgb '#CC79A7', $curve using 1:8 with "
         "lines lw 2.5 lc rgb '#CC79A7', $rows using 1:(sqrt($7*$8)) with points pt 13 ps 0.66 lc "
         "rgb '#CC79A7'");
}

static void no_friction_is(double foot, double top)
{
    static const char *const line[] = {
        "Length and bore of the tube (tube_length_m, tube_bore_mm",
        "in [collector] of rig.ini) would tell. More flow costs ever more",
        "power, about seven times as much for twice the flow where it", "is turbulent."};
    panel_at(0.56, 0.98, foot, top);
    words_at("Friction and pumping power: not known", 0.56, top + 0.022, "left", TEXT, BLACK);
    for (int i = 0; i < 4; i++) /* lines of 1.25 of their letters' 16 px */
        words_at(line[i], 0.56, top - 0.03 - i * 1.25 * 16 / 800, "left", SMALL, GREY);
    says("set border 0");
    range_is("x", 0, 1);
    range_is("y", 0, 1);
    says("plot NaN");
}

/* Its own panel: stalls and starts, as dots with their intervals and in words. */
static void thresholds_are(const nr_pump *q)
{
    const nr_pump_threshold *of[] = {&q->panel.stall, &q->panel.start};
    panel_at(0.16, 0.7, 0.065, 0.15);
    words_at(
        either("The pump on its own panel: irradiance in the collector plane, W/m\u00b2 (95 %)",
               "The pump on its own panel: irradiance in the collector plane, Btu/(h ft\u00b2) "
               "(95 %)"),
        0.018, 0.176, "left", TEXT, BLACK);
    double hi = fmax(q->sun_W_m2, fmax(q->panel.stall.W_m2.hi95, q->panel.start.W_m2.hi95));
    (void)axis_around("x", 0, sun(hi), 6, true);
    range_is("y", -1.6, 0.6);
    says("set grid noytics");
    says("set ytics nomirror scale 0 tc rgb '" BLACK "' font 'sans-serif,18' ('stalls below' 0, "
         "'starts again at' -1)");
    for (int i = 0; i < 2; i++) {
        char words[80] = "not seen in this record";
        const nr_quantity *w = &of[i]->W_m2;
        if (of[i]->events > 0)
            (void)snprintf(words, sizeof words, "%.0f (%.0f to %.0f), %zu %s%s", sun(w->value),
                           sun(w->lo95), sun(w->hi95), of[i]->events, i ? "start" : "stop",
                           of[i]->events == 1 ? "" : "s");
        says("set label '%s' at graph 1, first %d left offset 0.6,0 front tc rgb '" BLACK
             "' font 'sans-serif,16'",
             words, -i);
        const block *b = rows_of(i ? "threshold1" : "threshold0", 4, 0);
        bool any = of[i]->events > 0;
        const double row[] = {sun(w->value), -i, sun(w->lo95), sun(w->hi95)};
        for (int k = 0; k < 4; k++)
            NEAR_AT(words, any ? b->v[0][k] : isnan(b->v[0][k]), any ? row[k] : 1, 1e-4);
    }
    says("plot NaN, $threshold0 using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 0.77 lc rgb '" BLACK
         "', $threshold1 using 1:2:3:4 with xerrorbars lw 2.5 pt 5 ps 0.715 lc rgb '" BLACK "'");
}

/* With a panel of its own the others are lower, for its strip. */
static void picture_is(const nr_pump *q, double from, double to)
{
    bool with = q->panel.driven;
    double high = with ? 0.585 : 0.54, mid = with ? 0.475 : 0.4, low = with ? 0.31 : 0.105;
    drawn(nr_plot_pump(q, path, &style, &err));
    from_the_start();
    begins("set label 'Twice the flow gathers 4.7 % more heat");
    words_at(either("Glazed wash stand, 4 May 2026; 880 W/m\u00b2 of sun, water at 20.5 \u00b0C, "
                    "air at 19.5 \u00b0C",
                    "Glazed wash stand, 4 May 2026; 279 Btu/(h ft\u00b2) of sun, water at 68.9 "
                    "\u00b0F, air at 67.1 \u00b0F"),
             0.018, 0.92, "left", TEXT, GREY);
    heat_is(q, high, from, to);
    outlet_is(q, high, from, to);
    removal_is(q, low, mid, from, to);
    if (q->tube_known)
        friction_is(q, low, mid, from, to);
    else
        no_friction_is(low, mid);
    if (with)
        thresholds_are(q);
    that_is_all();
}

START_TEST(all_lines)
{
    for (int us = 0; us < 2; us++)
        for (int with = 0; with < 2; with++) {
            style.us_units = us;
            nr_pump *q = fixture_pump(&x, with, true);
            int u = 0, t = 0;
            while (q->curve[u].flow_L_min < 0.5)
                u++;
            while (q->curve[t].flow_L_min < 0.65)
                t++;
            picture_is(q, before(q, u), before(q, t));
            q = fixture_pump(&x, with, false);
            q->flow_measured = with;
            q->panel.stall.events = 0;
            q->panel.stall.W_m2 = fixture_unknown(NR_UNIT_W_M2);
            q->panel.start.events *= 2;
            picture_is(q, NAN, NAN);
        }
}
END_TEST

/* What is not known has no words; a record at the axis' ends does not leave it. */
START_TEST(little_known)
{
    nr_pump *q = fixture_pump(&x, true, false);
    q->flow_L_min.lo95 = 0.2;
    q->flow_L_min.hi95 = 4.4;
    drawn(nr_plot_pump(q, path, &style, &err));
    double edge[4];
    numbers_of("set object rectangle from first ", 0, 4, edge);
    NEAR(edge[0], 0.2625, 1e-6);
    NEAR(edge[2], 4.2, 1e-6);
    q = fixture_pump(&x, false, true);
    q->flow_L_min = fixture_unknown(NR_UNIT_L_MIN);
    q->removal.known = false;
    q->tube.coil_diameter_m = 0.3;
    drawn(nr_plot_pump(q, path, &style, &err));
    ck_assert_ptr_null(strstr(script, "'the record"));
    ck_assert_ptr_null(strstr(script, "'#DADADA'"));
    ck_assert_ptr_null(strstr(script, "'0.860"));
    ck_assert_ptr_nonnull(strstr(script, "'Friction in the coiled tube, kPa"));
    const block *b = rows_of("removal", 4, 0);
    for (int k = 0; k < 4; k++)
        ck_assert(isnan(b->v[0][k]));
    q->tube.coil_diameter_m = 0;
    drawn(nr_plot_pump(q, path, &style, &err));
    ck_assert_ptr_nonnull(strstr(script, "'Friction in the straight tube, kPa"));
    q->rows = 0;
    ck_assert_int_eq(nr_plot_pump(q, path, &style, &err), NR_BAD);
}
END_TEST

/* 64 steps of the curve on 504 px: 7.875 px each. A name stands where 7.5 px a letter are
 * room: 52.5 for laminar, 67.5 for turbulent; what may be either is "laminar or turbulent" over 160
 * px, "either" over 45, else "?". A regime ends half a step beside its last point. */
START_TEST(names_of_regimes)
{
    static const struct {
        int uncertain, turbulent; /* where they begin */
        bool laminar, named;
        const char *between;
    } of[] = {{8, 14, true, true, "'either'"},
              {7, 13, false, true, "'either'"},
              {20, 25, true, true, "'?'"},
              {20, 21, true, true, "'?'"},
              {20, 41, true, true, "'laminar or turbulent'"},
              {20, 40, true, true, "'either'"},
              {30, 55, true, true, "'laminar or turbulent'"},
              {40, 56, true, false, "'either'"}};
    for (size_t k = 0; k < sizeof of / sizeof *of; k++) {
        nr_pump *q = fixture_pump(&x, false, true);
        for (int i = 0; i < NR_PUMP_CURVE; i++)
            q->curve[i].drop_Pa.regime = i < of[k].uncertain   ? NR_FLOW_LAMINAR
                                         : i < of[k].turbulent ? NR_FLOW_UNCERTAIN
                                                               : NR_FLOW_TURBULENT;
        drawn(nr_plot_pump(q, path, &style, &err));
        ck_assert_msg((strstr(script, "'laminar'") != NULL) == of[k].laminar, "case %zu", k);
        ck_assert_msg((strstr(script, "'turbulent'") != NULL) == of[k].named, "case %zu", k);
        ck_assert_msg(strstr(script, of[k].between) != NULL, "case %zu", k);
        for (int i = 0; i < 3; i++) {
            static const char *const others[] = {"'either'", "'?'", "'laminar or turbulent'"};
            ck_assert(strcmp(others[i], of[k].between) == 0 || !strstr(script, others[i]));
        }
        double grey[4];
        numbers_of("set object rectangle from first ", 0, 4, grey);
        NEAR(grey[0], before(q, of[k].uncertain), 1e-6);
        NEAR(grey[2], before(q, of[k].turbulent), 1e-6);
    }
    /* All of it unsure: grey and named from edge to edge. */
    nr_pump *q = fixture_pump(&x, false, true);
    for (int i = 0; i < NR_PUMP_CURVE; i++)
        q->curve[i].drop_Pa.regime = NR_FLOW_UNCERTAIN;
    double at[4];
    drawn(nr_plot_pump(q, path, &style, &err));
    numbers_of("set object rectangle from first ", 0, 4, at);
    NEAR(at[0], 0.2625, 1e-6);
    NEAR(at[2], 4.2, 1e-6);
    numbers_of("'laminar or turbulent' at screen ", 0, 1, at);
    NEAR(at[0], 0.275, 1e-4);
}
END_TEST

/* Two bounds are said as such where the higher is more than a twentieth above the lower. */
START_TEST(bounds_in_words)
{
    static const double higher[] = {1.049, 1.051};
    for (int apart = 0; apart < 2; apart++) {
        nr_pump *q = fixture_pump(&x, false, true);
        q->row[3].drop_Pa.low = 60e3;
        q->row[3].drop_Pa.high = 60e3 * higher[apart];
        drawn(nr_plot_pump(q, path, &style, &err));
        ck_assert((strstr(script, "'60 to 63 kPa'") != NULL) == (apart == 1));
        ck_assert((strstr(script, "'60 kPa'") != NULL) == (apart == 0));
    }
    /* Room left of the half, a quarter of the panel's 504 px at first: the words (with 12 px beside
     * them) stand there when they fit, right-aligned. */
    nr_pump *q = fixture_pump(&x, false, true);
    double at[2], wide = nr_text_px("half: 9.5 to 18 kPa", SMALL) + 12;
    for (int fit = 0; fit < 2; fit++) {
        /* The axis from so far below the half that its part of 504 px is a pixel more or less. */
        double part = (wide + (fit ? 1 : -1)) / 504, down = part / (1 - part) * log(8);
        q->curve[0].flow_L_min = 0.525 * exp(-down);
        drawn(nr_plot_pump(q, path, &style, &err));
        numbers_of("'half: 9.5 to 18 kPa' at first ", 0, 1, at);
        NEAR(at[0], fit ? 0.525 : q->curve[0].flow_L_min, 1e-6);
        const char *words = strstr(script, "'half: 9.5 to 18 kPa' at first ");
        ck_assert((strstr(words, " right offset -0.8,1.9 front") != NULL) == (fit == 1));
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {all_lines, little_known, names_of_regimes, bounds_in_words, NULL};
    fixture_all_used();
    return run_tests_in("lines of a pump's picture", tests, set_up, tear_down);
}
