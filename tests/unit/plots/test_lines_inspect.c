/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every line of the picture of a record: what was found and noted in its strip, panels by dimension
 * one below the other, axes, shades, flags and names; and its data, gathered again by the rules its
 * source states. Places are how the picture is laid out; factors are NIST SP 811's. */
#include "plots/letters.h"
#include "tests/unit/plots/lines.h"

/* --- a record to draw ----------------------------------------------------------------------- */

static nr_run *run;
static nr_inspect *in;

static double reading(size_t column, size_t row)
{
    return run->readings->column[column].value[row];
}
static double seconds(size_t row)
{
    return run->readings->elapsed_s[row];
}

/* Temperature, sun, flow, wind, the rest. */
static int kind_of(size_t column)
{
    static const char *const units[] = {"degC", "W_m2", "L_min", "m_s"};
    for (int i = 0; i < 4; i++)
        if (strcmp(run->readings->column[column].unit, units[i]) == 0)
            return i;
    return 4;
}

static double shown(int kind, double v)
{
    if (!style.us_units)
        return v;
    return kind == 0   ? 32 + 1.8 * v
           : kind == 1 ? v * 3600 * 0.3048 * 0.3048 / 1055.05585262
           : kind == 2 ? v / 3.785411784
           : kind == 3 ? v / 0.44704
                       : v;
}

/* --- data ----------------------------------------------------------------------------------- */

/* The row behind a bin: so many rows that 450 bins hold all, none across a gap. */
static size_t bin_end(size_t from)
{
    size_t rows = run->readings->rows, end = from + 1;
    for (; end < rows && end < from + rows / 450 + 1; end++)
        for (size_t g = 0; g < in->gaps; g++)
            if (in->gap[g].start_s > seconds(end - 1) - 1e-3 && in->gap[g].start_s < seconds(end))
                return end;
    return end;
}

static bool extremes(size_t column, size_t from, size_t end, size_t *low, size_t *high)
{
    bool any = false;
    for (size_t i = from; i < end; i++) {
        double v = reading(column, i);
        if (isnan(v))
            continue;
        *low = !any || v < reading(column, *low) ? i : *low;
        *high = !any || v > reading(column, *high) ? i : *high;
        any = true;
    }
    return any;
}

/* Rows of the script's block, blank lines as rows of nothing. */
static const char *block_at;
static void row_is(const char *what, size_t row, double y)
{
    char *after;
    double t = strtod(block_at, &after), v = strtod(after, &after);
    double minute = (seconds(row) - seconds(0)) / 60;
    if (*block_at == '\n' || *after != '\n' || !(fabs(t - minute) <= 1e-6) ||
        !(fabs(v - y) <= 1e-6 * fmax(1, fabs(y))))
        ck_abort_msg("%s, row %zu (%g, %g): %.30s", what, row, minute, y, block_at);
    block_at = after + 1;
}

static void start_block(const char *name, size_t number)
{
    char start[40];
    (void)snprintf(start, sizeof start, "$%s%zu << EOD\n", name, number);
    block_at = strstr(script, start);
    ck_assert_msg(block_at != NULL, "no %s", start);
    block_at += strlen(start);
}

static void end_block(const char *name)
{
    ck_assert_msg(strncmp(block_at, "NaN NaN\nEOD\n", 12) == 0, "%s ends: %.30s", name, block_at);
}

/* Least and greatest of each bin as they came; a blank line where readings are missing. */
static void column_is(size_t column, size_t number)
{
    size_t low = 0, high = 0, end, last = 0;
    bool drawn_before = false;
    start_block("channel", number);
    for (size_t i = 0; i < run->readings->rows; i = end) {
        end = bin_end(i);
        bool any = extremes(column, i, end, &low, &high), hole = !any;
        for (size_t g = 0; drawn_before && g < in->gaps; g++)
            hole = hole ||
                   (in->gap[g].start_s > seconds(last) - 1e-3 && in->gap[g].start_s < seconds(i));
        if (drawn_before && hole) {
            ck_assert_msg(*block_at == '\n', "no hole before row %zu: %.30s", i, block_at);
            block_at++;
            drawn_before = false;
        }
        if (!any)
            continue;
        int kind = kind_of(column);
        size_t first = low < high ? low : high, second = low < high ? high : low;
        row_is("first", first, shown(kind, reading(column, first)));
        if (second != first)
            row_is("second", second, shown(kind, reading(column, second)));
        last = end - 1;
        drawn_before = true;
    }
    end_block("channel");
}

/* Bins that go beyond the axis, on its edge. */
static void clipped(size_t column, size_t number, double lo, double hi)
{
    int kind = kind_of(column);
    for (int up = 0; up < 2; up++) {
        size_t low = 0, high = 0, end;
        start_block(up ? "above" : "below", number);
        for (size_t i = 0; i < run->readings->rows; i = end) {
            end = bin_end(i);
            if (!extremes(column, i, end, &low, &high))
                continue;
            if (up && shown(kind, reading(column, high)) > hi)
                row_is("above", high, hi);
            if (!up && shown(kind, reading(column, low)) < lo)
                row_is("below", low, lo);
        }
        end_block("clipped");
    }
}

/* --- the strip below the title --------------------------------------------------------------- */

typedef struct told {
    const char *colour, *words;
} told;

/* Column by column of the canvas less its edges; a finding's mark is 0.4 of 16 px from there, its
 * words 16 px from the mark. */
static void strip_is(const told *of, size_t count, size_t across)
{
    double wide = (1 - 2 * 0.018) / (double)across;
    for (size_t i = 0; i < count; i++) {
        double left = 0.018 + wide * (double)(i % across),
               up = 0.881 - 0.034 * (double)(i / across);
        if (of[i].colour) {
            left += 0.4 * 16 / 1200;
            says("set label '' at screen %.6f,%.6f front point pt 5 ps 0.88 lc rgb '%s'", left, up,
                 of[i].colour);
            left += 16.0 / 1200;
        }
        words_at(of[i].words, left, up, "left", SMALL, BLACK);
    }
}

#define FAULT "#D55E00"
#define DOUBT "#E69F00"
#define NOTE "#BDBDBD"

/* --- panels ---------------------------------------------------------------------------------- */

typedef struct group {
    const char *heading, *us_heading;
    size_t first, count; /* columns, and numbers of blocks: one after another */
    bool zero;           /* its axis begins there */
} group;

/* A shaded stretch and the columns it concerns; SIZE_MAX: all. */
typedef struct shade {
    double from, to; /* minutes */
    size_t column;
    const char *colour;
    double dark;
} shade;

static const char *colour_of(size_t column)
{
    static const char *const colours[] = {"#0072B2", "#CC79A7", "#D55E00", "#009E73", "#000000",
                                          "#E69F00", "#0072B2", "#009E73", "#000000"};
    return colours[column];
}
/* Letters of the light colours are darker. */
static const char *letters_of(size_t column)
{
    static const char *const colours[] = {"#0072B2", "#A2477A", "#BF5300", "#007A5A", "#000000",
                                          "#8A5F00", "#0072B2", "#007A5A", "#000000"};
    return colours[column];
}
static const char *dash_of(size_t column)
{
    static const char *const dashes[] = {"solid", "(5,4)", "(20,3)", "(10,5)", "(12,4,3,4)",
                                         "solid", "solid", "solid",  "solid"};
    return dashes[column];
}

static nr_limits axis_of(const group *g, double high)
{
    double lo = INFINITY, hi = -INFINITY;
    int steps = (int)floor(high * 800 / 36), kind = kind_of(g->first); /* 36 px a number */
    for (size_t k = g->first; k < g->first + g->count; k++) {
        lo = fmin(lo, in->channel[k].min);
        hi = fmax(hi, in->channel[k].max);
    }
    return axis_around("y", shown(kind, lo), shown(kind, hi),
                       steps > 6   ? 6
                       : steps < 2 ? 2
                                   : steps,
                       g->zero);
}

static void names_are(const group *g, const nr_limits *y, double high)
{
    double at[8];
    for (size_t k = 0; k < g->count; k++) {
        size_t row = run->readings->rows - 1;
        while (isnan(reading(g->first + k, row)))
            row--;
        at[k] = shown(kind_of(g->first), reading(g->first + k, row));
    }
    nr_spread(at, g->count, (y->hi - y->lo) * 20 / (high * 800), y->lo, y->hi); /* 20 px apart */
    for (size_t k = 0; k < g->count; k++)
        says("set label '%s' at graph 1, first %.9g left offset 0.6,0 front tc rgb '%s' font "
             "'sans-serif,16'",
             run->readings->column[g->first + k].channel, at[k], letters_of(g->first + k));
}

static void plot_is(const group *g)
{
    char plot[1900] = "plot NaN";
    for (size_t k = g->first; k < g->first + g->count; k++)
        (void)snprintf(plot + strlen(plot), sizeof plot - strlen(plot),
                       ", $channel%zu using 1:2 with lines lw 1.5 dt %s lc rgb '%s'", k, dash_of(k),
                       colour_of(k));
    for (size_t k = g->first; k < g->first + g->count; k++)
        for (int up = 1; up >= 0; up--)
            (void)snprintf(plot + strlen(plot), sizeof plot - strlen(plot),
                           ", $%s%zu using 1:2 with points pt %d ps 0.77 lc rgb '%s'",
                           up ? "above" : "below", k, up ? 9 : 11, colour_of(k));
    says("%s", plot);
}

/* Flags at 20 and 40 min; their numbers in the first panel only. */
static void flags_are(bool first)
{
    static const char *const number[] = {"\u2460", "\u2461"};
    for (int i = 0; i < 2; i++) {
        says("set arrow from first %d, graph 0 to first %d, graph 1 nohead front lw 1 dt (3,3) lc "
             "rgb '" GREY "'",
             20 * i + 20, 20 * i + 20);
        if (first)
            says("set label '%s' at first %d, graph 1 left offset 0.2,-0.6 front tc rgb '" BLACK
                 "' font 'sans-serif,18'",
                 number[i], 20 * i + 20);
    }
}

static void panel_is(const group *g, double top, double high, bool first, bool last,
                     const shade *shades, size_t count)
{
    static const char *const tics[] = {
        "'' 0, '' 10, '' 20, '' 30, '' 40, '' 50, '' 60, '' 70, '' 80, '' 90",
        "'0' 0, '10' 10, '20' 20, '30' 30, '40' 40, '50' 50, '60' 60, '70' 70, '80' 80, '90' 90"};
    panel_at(0.065, 0.89, top - high, top);
    words_at(style.us_units ? g->us_heading : g->heading, 0.018, top + (first ? 0.06 : 0.025),
             "left", TEXT, BLACK);
    nr_limits y = axis_of(g, high);
    range_is("x", 0, 90);
    says("set xtics nomirror out scale 0.5 tc rgb '" GREY
         "' offset 0,0.45 font 'sans-serif,16' (%s)",
         tics[last]);
    if (last) /* 50 px under the axis */
        words_at("minutes from the start", 0.4775, top - high - 50 / 800.0, "center", SMALL, GREY);
    if (first) {
        range_is("x2", 0, 90);
        begins("set x2tics nomirror out scale 0.5");
        says("set border 5");
        words_at("UTC", 0.89 + 0.028, top + 0.027, "left", SMALL, GREY);
    }
    for (size_t i = 0; i < count; i++)
        if (shades[i].column == SIZE_MAX ||
            (shades[i].column >= g->first && shades[i].column < g->first + g->count))
            says("set object rectangle from first %.9g, graph 0 to first %.9g, graph 1 behind fc "
                 "rgb '%s' fs transparent solid %.2f noborder",
                 shades[i].from, shades[i].to, shades[i].colour, shades[i].dark);
    flags_are(first);
    names_are(g, &y, high);
    plot_is(g);
    for (size_t k = g->first; k < g->first + g->count; k++) {
        column_is(k, k);
        clipped(k, k, y.lo, y.hi);
    }
}

static const group groups[] = {
    {"Temperature, \u00b0C", "Temperature, \u00b0F", 0, 5, false},
    {"Irradiance, W/m\u00b2", "Irradiance, Btu/(h ft\u00b2)", 5, 1, true},
    {"Flow, L/min", "Flow, gal/min", 6, 1, true},
    {"Wind, m/s", "Wind, mph", 7, 1, true},
    {"Voltage, V", "Voltage, V", 8, 1, false}};

/* Panels of that many columns from under the strip down to 0.09, 0.06 between them; that of
 * temperatures 2.2 times as high. */
static void panels_are(size_t count, size_t strip_rows, const shade *shades, size_t shaded)
{
    double top = 0.881 - 0.061 - 0.034 * (double)strip_rows;
    double one = (top - 0.09 - 0.06 * (double)(count - 1)) / (1.2 + (double)count);
    for (size_t i = 0; i < count; i++) {
        double high = i == 0 ? 2.2 * one : one;
        panel_is(&groups[i], top, high, i == 0, i + 1 == count, shades, shaded);
        top -= high + 0.06;
    }
    that_is_all();
}

static void draw(void)
{
    drawn(nr_plot_inspect(in, run, path, &style, &err));
    from_the_start();
    begins("set label '");
    words_at("wash-stand-glazed: Wash stand behind the seedling tunnel, 4 May 2026", 0.018, 0.92,
             "left", TEXT, GREY);
}

START_TEST(all_lines)
{
    static const told strip[] = {{FAULT, "fault: air stuck, 70 to 80 min"},
                                 {DOUBT, "doubt: gaps, 52 to 57 min"},
                                 {NOTE, "note: outlet spikes, at 25 min"},
                                 {NULL, "\u2460 20 min, note: lid off"},
                                 {NULL, "\u2461 40 min, pump: off: shade"}};
    /* A spike of a second is two pixels of 800: 90/400 min. */
    static const shade shades[] = {
        {52, 57, SIZE_MAX, DOUBT, 0.4}, {70, 80, 3, FAULT, 0.45}, {25, 25.225, 2, NOTE, 0.3}};
    in = fixture_inspect(&x, 9, &run);
    for (int us = 0; us < 2; us++) {
        style.us_units = us;
        in->channel[2].max = 44; /* a spike was rejected: it does not set the axis */
        in->channel[0].min = 19;
        draw();
        strip_is(strip, 5, 3);
        panels_are(5, 2, shades, 3);
    }
}
END_TEST

/* Gaps without a missing reading, at a reading's own time and between two; holes of all kinds;
 * fewer rows than bins and just as many; a clock that does not begin at nothing. */
START_TEST(holes_and_bins)
{
    static const size_t rows[] = {449, 450, 901};
    in = fixture_inspect(&x, 1, &run);
    for (size_t k = 0; k < 3; k++) {
        nr_readings *r = run->readings;
        r->rows = rows[k];
        for (size_t i = 0; i < r->rows; i++) {
            r->elapsed_s[i] = 100 + 3 * (double)i;
            r->column[0].value[i] =
                i % 97 > 91 || (i > 20 && i < 30) ? NAN : 20 + fixture_noise(&x);
        }
        r->column[0].value[r->rows - 1] = 20;
        r->column[0].value[40] = r->column[0].value[41] = 20.5; /* of equals, the first */
        in->gaps = 3;
        in->gap[0] = (nr_gap){100 + 3 * 50, 3};
        in->gap[1] = (nr_gap){100 + 3 * 61 + 1.5, 1};
        in->gap[2] = (nr_gap){100 + 3 * 22, 20};
        in->channel[0].min = 19.3;
        in->channel[0].max = 20.7;
        drawn(nr_plot_inspect(in, run, path, &style, &err));
        nr_limits y = nr_nice(19.3, 20.7, 6, false);
        column_is(0, 0);
        clipped(0, 0, y.lo, y.hi);
        double axis[2];
        numbers_of("\nset xrange [", 1, 2, axis); /* an interval behind the last reading */
        NEAR(axis[1], (3 * (double)(r->rows - 1) + 1) / 60, 1e-6);
    }
}
END_TEST

/* The worst first, six at most, notes only where they have a place; six flags, the rest counted. */
START_TEST(what_is_named)
{
    in = fixture_inspect(&x, 1, &run);
    run->readings->rows = 60;
    in->findings = 0;
    for (int i = 0; i < 4; i++)
        fixture_finding(in, NR_FIND_SPIKES, NR_SEVERITY_NOTE, i == 1 ? "" : "store",
                        i == 0 ? NAN : 60,
                        i == 2   ? NAN
                        : i == 1 ? 120
                                 : 119,
                        1);
    for (int i = 0; i < 2; i++)
        fixture_finding(in, NR_FIND_STUCK, NR_SEVERITY_DOUBT, "store", i ? NAN : 600, 1800, 600);
    for (int i = 0; i < 2; i++)
        fixture_finding(in, NR_FIND_GAP, NR_SEVERITY_FAULT, "", NAN, NAN, 0);
    static nr_note notes[9];
    static const nr_note_kind kinds[] = {NR_NOTE_NOTE,  NR_NOTE_GAP,  NR_NOTE_PORT,
                                         NR_NOTE_CLOCK, NR_NOTE_PUMP, NR_NOTE_TARGET,
                                         NR_NOTE_START, NR_NOTE_STOP, NR_NOTE_NOTE};
    for (int i = 0; i < 9; i++) {
        notes[i] = (nr_note){.elapsed_s = 60.0 * (i + 1), .kind = kinds[i]};
        (void)snprintf(notes[i].text, sizeof notes[i].text, "words %d", i);
    }
    notes[8].elapsed_s = NAN; /* nobody knows when */
    run->notes->note = notes;
    run->notes->count = 9;
    static const told strip[] = {{FAULT, "fault: gaps"},
                                 {FAULT, "fault: gaps"},
                                 {DOUBT, "doubt: store stuck, 10 to 30 min"},
                                 {DOUBT, "doubt: store stuck"},
                                 {NOTE, "note: spikes, 1 to 2 min"},
                                 {NOTE, "note: store spikes, at 1 min"},
                                 {NULL, "\u2460 1 min, note: words 0"},
                                 {NULL, "\u2461 2 min, gap: words 1"},
                                 {NULL, "\u2462 5 min, pump: words 4"},
                                 {NULL, "\u2463 6 min, target: words 5"}};
    draw();
    strip_is(strip, 10, 3);
    double top[1];
    numbers_of("set tmargin at screen ", 0, 1, top); /* four rows */
    NEAR(top[0], 0.881 - 0.061 - 4 * 0.034, 1e-4);
    /* Nine of a kind: six of them, and how many more. */
    for (int i = 0; i < 9; i++)
        notes[i] = (nr_note){.elapsed_s = 60.0 * i, .kind = NR_NOTE_NOTE, .text = "lid"};
    in->findings = 0;
    for (int more = 0; more < 2; more++) {
        static const char *const number[] = {"\u2460", "\u2461", "\u2462",
                                             "\u2463", "\u2464", "\u2465"};
        run->notes->count = more ? 9 : 6;
        draw();
        for (int i = 0; i < 6; i++) {
            char words[60];
            (void)snprintf(words, sizeof words, "%s %d min, note: lid%s", number[i], i,
                           more && i == 5 ? " (3 more)" : "");
            words_at(words, 0.018 + 0.964 / 3 * (i % 3), 0.881 - 0.034 * (i / 3), "left", SMALL,
                     BLACK);
        }
        numbers_of("set tmargin at screen ", 0, 1, top);
        NEAR(top[0], 0.881 - 0.061 - 2 * 0.034, 1e-4);
    }
    run->notes = NULL; /* a record may have none */
    draw();
    begins("set lmargin");
}
END_TEST

/* Six findings have names, also where there are more. */
START_TEST(six_at_most)
{
    in = fixture_inspect(&x, 1, &run);
    run->readings->rows = 60;
    for (int i = 0; i < 9; i++)
        fixture_finding(in, NR_FIND_STUCK, NR_SEVERITY_FAULT, "store", 600, 1800, 600);
    draw();
    const char *last = script;
    for (int i = 0; i < 6; i++) {
        last = strstr(last, "'fault: store stuck, 10 to 30 min'");
        ck_assert_ptr_nonnull(last);
        last++;
    }
    ck_assert_ptr_null(strstr(last, "'fault: "));
    ck_assert_ptr_null(strstr(script, "'doubt: "));
    /* The name of a line: from 0.6 of a letter right of the panel to 0.995 of the canvas. */
    char cut[100];
    memset(run->readings->column[0].channel, 'n', 40);
    draw();
    (void)nr_text_cut(cut, sizeof cut, run->readings->column[0].channel, SMALL,
                      (0.995 - 0.89) * 1200 - 0.6 * SMALL);
    strcat(cut, "' at graph 1");
    ck_assert_msg(strstr(script, cut) != NULL, "%s", cut);
}
END_TEST

/* Three a row where the widest has room (385.6 px less 16); else two or one, where that makes no
 * more than three rows; what is too long then is cut. */
START_TEST(rows_of_the_strip)
{
    in = fixture_inspect(&x, 1, &run);
    run->readings->rows = 60;
    in->findings = 0;
    static nr_note notes[6];
    run->notes->note = notes;
    static const size_t counts[] = {1, 3, 4, 6}, lengths[] = {24, 26, 28, 43, 45, 47, 120};
    for (size_t k = 0; k < 4; k++)
        for (size_t j = 0; j < 7; j++) {
            size_t count = counts[k], letters = lengths[j];
            double widest = 0;
            for (size_t i = 0; i < count; i++) {
                notes[i] = (nr_note){.elapsed_s = 0, .kind = NR_NOTE_NOTE, .text = "n"};
                char words[200];
                if (i == count / 2)
                    memset(notes[i].text, 'n', letters);
                (void)snprintf(words, sizeof words, "\u2460 0 min, note: %s", notes[i].text);
                widest = fmax(widest, nr_text_px(words, SMALL));
            }
            run->notes->count = count;
            size_t across = 3;
            for (size_t fewer = 2; fewer > 0; fewer--) {
                double room = 0.964 * 1200 / (double)across - (across > 1 ? 16 : 0);
                if (widest > room && (count + fewer - 1) / fewer <= 3)
                    across = fewer;
            }
            draw();
            double top, room = 0.964 * 1200 / (double)across - (across > 1 ? 16 : 0);
            char cut[300], words[200];
            for (size_t i = 0; i < count; i++) {
                (void)snprintf(words, sizeof words, "\u2460 0 min, note: %s", notes[i].text);
                words[2] = (char)(words[2] + (int)i); /* circled one, two ... */
                words_at(nr_text_cut(cut, sizeof cut, words, SMALL, room),
                         0.018 + 0.964 / (double)across * (double)(i % across),
                         0.881 - 0.034 * (double)(i / across), "left", SMALL, BLACK);
            }
            numbers_of("set tmargin at screen ", 0, 1, &top);
            NEAR(top, 0.881 - 0.061 - 0.034 * (double)((count + across - 1) / across), 1e-4);
        }
}
END_TEST

/* Stops of the pump: all of them shaded, whatever the finding's own stretch; at least 90/400 min
 * wide, and none beyond the record. */
START_TEST(stops_are_shaded)
{
    in = fixture_inspect(&x, 9, &run);
    in->findings = 0;
    fixture_finding(in, NR_FIND_PUMP_STOPS, NR_SEVERITY_NOTE, "pump", 600, 900, 0);
    fixture_finding(in, NR_FIND_STUCK, NR_SEVERITY_DOUBT, "flow", 600, NAN, 0);
    in->stops = 3;
    in->stop[0] = (nr_gap){600, 300};
    in->stop[1] = (nr_gap){1200, 6};
    in->stop[2] = (nr_gap){-60, 9000};
    static const told strip[] = {{DOUBT, "doubt: flow stuck"},
                                 {NOTE, "note: pump pump stops, 10 to 15 min"},
                                 {NULL, "\u2460 20 min, note: lid off"},
                                 {NULL, "\u2461 40 min, pump: off: shade"}};
    static const shade shades[] = {{10, 15, SIZE_MAX, NOTE, 0.3},
                                   {20, 20.225, SIZE_MAX, NOTE, 0.3},
                                   {0, 90, SIZE_MAX, NOTE, 0.3}};
    draw();
    strip_is(strip, 4, 3);
    panels_are(5, 2, shades, 3);
}
END_TEST

/* Channels of one panel beyond eight and of further dimensions beyond six are counted. */
START_TEST(too_many_channels)
{
    static nr_column columns[16];
    in = fixture_inspect(&x, 1, &run);
    run->readings->rows = 60;
    nr_readings *r = run->readings;
    double *value = r->column[0].value;
    for (size_t many = 8; many <= 10; many++) {
        for (size_t k = 0; k < many; k++) {
            columns[k] = r->column[0];
            (void)snprintf(columns[k].channel, sizeof columns[k].channel, "probe%zu", k);
        }
        nr_column *before = r->column;
        r->column = columns;
        r->columns = many;
        drawn(nr_plot_inspect(in, run, path, &style, &err));
        char words[100] = "'Temperature, \u00b0C' at screen";
        if (many > 8)
            (void)snprintf(words, sizeof words,
                           "'Temperature, \u00b0C (%zu more channels not drawn)' at screen",
                           many - 8);
        ck_assert_msg(strstr(script, words) != NULL, "%s", words);
        ck_assert(strstr(script, "$channel7 <<") && !strstr(script, "$channel8 <<"));
        /* Units nobody knows have a panel each. */
        for (size_t k = 0; k < many; k++)
            (void)snprintf(columns[k].unit, sizeof columns[k].unit, "u%zu", k / 2);
        drawn(nr_plot_inspect(in, run, path, &style, &err));
        ck_assert(strstr(script, "'Other, u0' at screen") && strstr(script, "'Other, u3' at"));
        ck_assert_ptr_null(strstr(script, "channels of other units not drawn"));
        for (size_t k = 0; k < many; k++)
            (void)snprintf(columns[k].unit, sizeof columns[k].unit, "u%zu", k);
        drawn(nr_plot_inspect(in, run, path, &style, &err));
        (void)snprintf(words, sizeof words, "; %zu channels of other units not drawn'", many - 6);
        ck_assert_msg(strstr(script, words) != NULL, "%s", words);
        ck_assert(strstr(script, "'Other, u5' at screen") && !strstr(script, "'Other, u6' at"));
        for (size_t k = 0; k < many; k++) /* empty ones are not drawn */
            columns[k].value = k == 6 ? value : fixture_numbers(&x, r->rows);
        drawn(nr_plot_inspect(in, run, path, &style, &err));
        ck_assert(strstr(script, "'Other, u6' at screen") && !strstr(script, "'Other, u5' at"));
        ck_assert(!strstr(script, "$channel1 <<"));
        columns[6].value = columns[5].value;
        ck_assert_int_eq(nr_plot_inspect(in, run, path, &style, &err), NR_CANNOT);
        r->column = before;
    }
}
END_TEST

/* The order people ask in, whatever the order in the file. */
START_TEST(order_of_dimensions)
{
    static const char *const units[] = {"lux", "W", "A", "V", "m_s", "L_min", "W_m2", "degC"};
    static const char *const heading[] = {"'Temperature, ", "'Irradiance, ", "'Flow, ",   "'Wind, ",
                                          "'Voltage, V'",   "'Current, A'",  "'Power, W'"};
    static nr_column columns[8];
    in = fixture_inspect(&x, 1, &run);
    run->readings->rows = 60;
    for (size_t left_out = 0; left_out < 8; left_out++) {
        size_t n = 0;
        for (size_t k = 0; k < 8; k++)
            if (k != left_out && k != (left_out + 4) % 8) {
                columns[n] = run->readings->column[0];
                (void)snprintf(columns[n].unit, sizeof columns[n].unit, "%s", units[k]);
                (void)snprintf(columns[n++].channel, sizeof columns[0].channel, "probe%zu", k);
            }
        nr_column *before = run->readings->column;
        run->readings->column = columns;
        run->readings->columns = n;
        drawn(nr_plot_inspect(in, run, path, &style, &err));
        const char *at = script;
        for (size_t i = 0; i < 7; i++) { /* the i-th here is the 7-th less i there */
            size_t k = 7 - i;
            if (k == left_out || k == (left_out + 4) % 8)
                continue;
            const char *next = strstr(at, heading[i]);
            ck_assert_msg(next != NULL, "%s", heading[i]);
            at = next;
        }
        ck_assert((strstr(script, "'Other, lux'") != NULL) == (left_out % 4 != 0));
        run->readings->column = before;
    }
}
END_TEST

int main(void)
{
    const TTest *const tests[] = {all_lines,         holes_and_bins,      what_is_named,
                                  six_at_most,       rows_of_the_strip,   stops_are_shaded,
                                  too_many_channels, order_of_dimensions, NULL};
    fixture_all_used();
    return run_tests_in("lines of a record's picture", tests, set_up, tear_down);
}
