/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/tally.h"

#include "analyze/tell/phrase.h"
#include "analyze/tell/round.h"
#include "analyze/tell/tally.h"
#include "analyze/tell/tell.h"
#include "plots/picture.h"
#include "plots/timeline.h"

#include <math.h>
#include <stdio.h>

static const nr_box energies = {0.165, 0.965, 0.545, 0.800};
static const nr_box limits = {0.245, 0.470, 0.105, 0.430};
#define WORDS_X 0.535
#define WORDS_Y (0.430 + 0.022) /* as high as the heading beside it */
#define WORDS_WIDTH 0.43        /* of the canvas */
#define LINE_STEP 0.030

static void write_words(nr_picture *p, const nr_tally *t)
{
    char text[NR_TELL];
    double y = WORDS_Y;
    nr_text_screen(p, WORDS_X, y, "left", NR_PX_TEXT, NR_BLACK,
                   "What three more readings would give");
    y -= 1.3 * LINE_STEP;
    for (int m = 0; m < NR_TALLY_MORES; m++) {
        nr_tell_tally_more(text, sizeof text, t, (nr_tally_more)m, p->units);
        nr_pretty(text, sizeof text);
        if (text[0])
            y -= LINE_STEP * ((double)nr_text_block(p, WORDS_X, y, NR_PX_SMALL, NR_TEXT_GREY, text,
                                                    WORDS_WIDTH, 5) +
                              0.4);
    }
}

/* Two bars: the sun (where it is known) and the heat, whose interval is a line across its end. */
static void draw_energies(nr_picture *p, const nr_tally *t)
{
    FILE *f = p->script;
    const nr_quantity *q = &t->result[NR_TALLY_HEAT];
    nr_quantity heat = nr_display_quantity(NR_SHOWN_ENERGY, p->units, q);
    double sun = nr_display_value(NR_SHOWN_ENERGY, p->units, t->sun_J);
    char heading[80], words[120];
    (void)snprintf(heading, sizeof heading, "Energy, %s",
                   nr_display_of(NR_SHOWN_ENERGY, p->units)->pretty);
    nr_panel(p, &energies, heading);
    write_words(p, t); /* a panel takes what is written on the canvas with it */
    nr_limits x = nr_nice(0, fmax(heat.hi95, t->sun_known ? sun : 0) * 1.25, 6, true);
    nr_range(p, "x", x.lo, x.hi);
    nr_tics(p, "x", &x);
    nr_range(p, "y", -0.6, t->sun_known ? 1.6 : 0.6);
    fputs("set grid noytics\nset ytics nomirror scale 0 tc rgb '" NR_BLACK "'", f);
    nr_font(p, NR_PX_TEXT);
    fputs(" ('in the water' 0", f);
    fputs(t->sun_known ? ", 'sun on the area' 1)\n" : ")\n", f);
    fputs("$bar << EOD\n", f);
    fprintf(f, "0 0 0 %.9g -0.32 0.32\nEOD\n$sun << EOD\n", heat.value);
    fprintf(f, "0 1 0 %.9g 0.68 1.32\nEOD\n", t->sun_known ? sun : 0);
    fprintf(f, "$span << EOD\n%.9g 0 %.9g %.9g\nEOD\n", heat.value, heat.lo95, heat.hi95);
    nr_phrase said = nr_phrase_begin(words, sizeof words, p->units);
    NR_SAY(&said, "{0 energy .2f} (95 %: {1 energy .2f bare} to {2 energy .2f bare})",
           .number = {q->value, q->lo95, q->hi95});
    nr_text_point(p, heat.hi95, 0, "left", 0.8, 0, NR_PX_SMALL, NR_BLACK, words);
    if (t->sun_known) {
        said = nr_phrase_begin(words, sizeof words, p->units);
        NR_SAY(&said, "{0 energy .2f}", .number = {t->sun_J});
        nr_text_point(p, sun, 1, "left", 0.8, 0, NR_PX_SMALL, NR_BLACK, words);
    }
    fprintf(f,
            "plot $sun using 1:2:3:4:5:6 with boxxyerror fs solid 0.85 noborder lc rgb '%s', "
            "$bar using 1:2:3:4:5:6 with boxxyerror fs solid 0.85 noborder lc rgb '%s', "
            "$span using 1:2:3:4 with xerrorbars pt 0 lw 3 lc rgb '%s'\n",
            NR_YELLOW, NR_BLUE, NR_BLACK);
}

/* Bars of the shares, largest first. */
static void draw_limits(nr_picture *p, const nr_tally *t)
{
    const nr_tally_result of = t->sun_known ? NR_TALLY_EFFICIENCY : NR_TALLY_POWER;
    FILE *f = p->script;
    int order[NR_TALLY_INPUTS], n = 0;
    for (int i = 0; i < NR_TALLY_INPUTS; i++) {
        if (!isfinite(t->asked.input[i].value))
            continue;
        int at = n++;
        for (; at > 0 && t->share[of][order[at - 1]] < t->share[of][i]; at--)
            order[at] = order[at - 1];
        order[at] = i;
    }
    nr_panel(p, &limits, "Share of the variance, %");
    const nr_limits x = {0, 100, 25};
    nr_range(p, "x", 0, 112); /* room for "100 %" behind a full bar */
    nr_tics(p, "x", &x);
    nr_range(p, "y", -(double)n + 0.5, 0.5);
    fputs("set grid noytics\nset ytics nomirror scale 0 tc rgb '" NR_BLACK "'", f);
    nr_font(p, NR_PX_SMALL);
    for (int k = 0; k < n; k++) {
        fputs(k == 0 ? " (" : ", ", f);
        nr_gp_quote_tic(f, nr_tally_input_words((nr_tally_input)order[k]));
        fprintf(f, " %d", -k);
    }
    fputs(")\n$limits << EOD\n", f);
    for (int k = 0; k < n; k++)
        fprintf(f, "0 %d 0 %.6g %.6g %.6g\n", -k, 100 * t->share[of][order[k]], -k - 0.33,
                -k + 0.33);
    fputs("EOD\n", f);
    for (int k = 0; k < n; k++) {
        char text[NR_ROUNDED + 8], number[NR_ROUNDED];
        double percent = 100 * t->share[of][order[k]];
        (void)snprintf(text, sizeof text, "%s %%",
                       percent > 0 && percent < 0.95 ? "< 1" : nr_round_text(percent, 0, number));
        nr_text_point(p, percent, -k, "left", 0.7, 0, NR_PX_SMALL, NR_BLACK, text);
    }
    fputs("plot $limits using 1:2:3:4:5:6 with boxxyerror fs solid 0.85 noborder lc rgb '" NR_BLUE
          "'\n",
          f);
}

static void subtitle_of(char *text, size_t size, const nr_tally *t, nr_units units)
{
    const nr_stated *in = t->asked.input;
    nr_phrase p = nr_phrase_begin(text, size, units);
    NR_SAY(&p,
           "{0 water .3g} from {1 temperature .1f bare} to {2 temperature .1f} in {3 span}, "
           "{4 area .2f} of collector",
           .number = {in[NR_TALLY_WATER].value, in[NR_TALLY_FROM].value, in[NR_TALLY_TO].value,
                      in[NR_TALLY_DURATION].value, in[NR_TALLY_AREA].value});
    if (t->sun_known)
        NR_SAY(&p, ", {0 irradiance .0f} of sun{1||, cloudless by a model}",
               .number = {in[NR_TALLY_SUN].value, t->asked.clear_sky});
    nr_pretty(text, size);
}

nr_code nr_plot_tally(const nr_tally *t, const char *path, const nr_plot_style *style, nr_err *err)
{
    nr_picture p;
    char title[256], subtitle[400];
    nr_units units = style && style->us_units ? NR_UNITS_US : NR_UNITS_SI;
    nr_tell_tally_finding(title, sizeof title, t, units);
    nr_title_trust(title, sizeof title, &t->trust);
    subtitle_of(subtitle, sizeof subtitle, t, units);
    nr_code code = nr_picture_begin(&p, path, style, title, subtitle, err);
    if (code)
        return code;
    draw_energies(&p, t);
    draw_limits(&p, t);
    return nr_picture_end(&p, err);
}
