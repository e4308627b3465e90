/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One picture in the making: a gnuplot script in memory, and the style all pictures share.
 *
 * The canvas is 1200 by 800 in every form (or a portrait one); positions are fractions of it, text
 * sizes pixels on it. A drawing file writes plain gnuplot commands to script; text goes through
 * nr_gp_quote, numbers through nr_gp_number.
 */
#ifndef NR_PLOTS_PICTURE_H
#define NR_PLOTS_PICTURE_H

#include "analyze/tell/display.h"
#include "plots/escape.h"
#include "plots/plots.h"

#include <stdio.h>

#define NR_CANVAS_W 1200.0
#define NR_CANVAS_H 800.0

/* A portrait picture, for a telephone: its letters are larger by the factor. */
#define NR_PORTRAIT_W 1080.0
#define NR_PORTRAIT_H 1350.0
#define NR_PORTRAIT_SCALE 1.65
#define NR_PORTRAIT_LEFT 0.05 /* its edge, a fraction */

/* Text sizes, px. A picture shown at half size still has 9 px letters. */
#define NR_PX_TITLE 27.0
#define NR_PX_TEXT 18.0
#define NR_PX_SMALL 16.0

/* The palette of Okabe and Ito (2008), safe for the common colour-vision deficiencies. */
#define NR_BLACK "#000000"
#define NR_ORANGE "#E69F00"
#define NR_SKY "#56B4E9"
#define NR_GREEN "#009E73"
#define NR_YELLOW "#F0E442"
#define NR_BLUE "#0072B2"
#define NR_VERMILLION "#D55E00"
#define NR_PURPLE "#CC79A7"
#define NR_GREY "#8A8A8A"      /* measured points, lesser lines */
#define NR_TEXT_GREY "#4D4D4D" /* subtitles, notes: 8:1 on white */
#define NR_GRID_GREY "#E3E3E3"

/* Part of the canvas, fractions from the lower left. */
typedef struct nr_box {
    double left, right, bottom, top;
} nr_box;

typedef enum nr_form { NR_FORM_PNG, NR_FORM_SVG, NR_FORM_PDF } nr_form;

typedef struct nr_picture {
    FILE *script;
    char *text; /* behind script */
    size_t length;
    const char *path, *program;
    nr_plot_remark *remark;
    nr_form form;
    nr_units units;
    double scale; /* of letters: 1, or NR_PORTRAIT_SCALE */
    int panels;   /* begun so far */
    nr_box panel; /* the current one */
} nr_picture;

/* Begins a picture: checks the ending, writes terminal, style, title and subtitle. NR_BAD leaves
 * nothing to free. The title is the finding, the subtitle the run, date, place; what is too long
 * is cut. */
nr_code nr_picture_begin(nr_picture *p, const char *path, const nr_plot_style *style,
                         const char *title, const char *subtitle, nr_err *err);
/* A portrait canvas: vertical fractions hold as on the other, its letters are larger by nearly as
 * much as it is higher; horizontally there is half the room. */
bool nr_is_portrait(const nr_picture *p);
/* Where headings begin. */
double nr_left_edge(const nr_picture *p);
/* The same in portrait, without title and subtitle. */
nr_code nr_picture_begin_portrait(nr_picture *p, const char *path, const nr_plot_style *style,
                                  nr_err *err);
/* Runs gnuplot and frees the script, whatever happens. */
nr_code nr_picture_end(nr_picture *p, nr_err *err);

/* A clean panel: margins, no title, no tics, no labels, ranges automatic; heading is written above
 * its left end ("Temperature, °C"), quoted. */
void nr_panel(nr_picture *p, const nr_box *box, const char *heading);

/* " font 'Sans,13.5'" for text of that many px on the canvas. */
void nr_font(nr_picture *p, double px);

/* " pt 7 ps 1.3 lc rgb '#0072B2'", the mark as large in every form. */
void nr_mark(nr_picture *p, int mark, double size, const char *colour);

/* Text at a place of the canvas. align: "left", "right", "center". */
void nr_text_screen(nr_picture *p, double x, double y, const char *align, double px,
                    const char *colour, const char *text);
/* The same with a mark before it: an entry of a legend. */
void nr_text_marked(nr_picture *p, double x, double y, double px, int mark, const char *colour,
                    const char *text);
/* Text just right of the current panel, at a height given in its y axis (first) coordinates. */
void nr_text_end(nr_picture *p, double y, const char *colour, const char *text);

/* Text beside a place of the current panel, given in its first coordinates; right and up: how far
 * beside, in letters and lines. */
void nr_text_point(nr_picture *p, double x, double y, const char *align, double right, double up,
                   double px, const char *colour, const char *text);
/* Text from a place of the canvas downwards, broken at blanks into lines no wider than that part of
 * the canvas; what is beyond the last line is cut, with an ellipsis. Returns the lines written. */
size_t nr_text_block(nr_picture *p, double x, double y, double px, const char *colour,
                     const char *text, double wide, size_t lines);
/* Px of a part of the canvas's width. */
double nr_picture_px(const nr_picture *p, double part);

/* A line across the current panel at a height of its y axis, its words above one end ("left",
 * "right"), or none (NULL). */
void nr_level(nr_picture *p, double y, const char *colour, const char *dash, const char *end,
              const char *text);
/* The same with its words below the line, where another one is near above. */
void nr_level_words(nr_picture *p, double y, const char *colour, const char *dash, const char *end,
                    const char *text, bool below);

/* Words under the x axis of the current panel. */
void nr_x_label(nr_picture *p, const char *text);

/* set AXISrange [lo:hi]; either may be NAN for automatic. axis: "x", "y", "y2". */
void nr_range(nr_picture *p, const char *axis, double lo, double hi);

/* Round limits around the data: a little air, on multiples of the step chosen. with_zero: zero is
 * inside. Data all NAN: 0..1. */
typedef struct nr_limits {
    double lo, hi, step;
} nr_limits;
nr_limits nr_nice(double lo, double hi, int steps, bool with_zero);

/* "set AXIStics" with its style, up to where the numbers follow. */
void nr_tics_style(nr_picture *p, const char *axis);
/* set AXIStics lo,step,hi. */
void nr_tics(nr_picture *p, const char *axis, const nr_limits *limits);

/* A logarithmic axis from lo to hi, both positive, with about `most` round numbers on it. */
void nr_log_axis(nr_picture *p, const char *axis, double lo, double hi, size_t most);

/* Running least and greatest of what is finite. Start with NAN, NAN. */
void nr_stretch(double *lo, double *hi, double value);

/* Moves positions apart so that neighbours are at least gap away and all lie in lo..hi; keeps
 * their order. For direct labels at line ends. */
void nr_spread(double *position, size_t count, double gap, double lo, double hi);

/* The same colour and mark for a build in every picture; 0..NR_BUILDS-1. */
const char *nr_build_colour(size_t build);
int nr_build_mark(size_t build); /* gnuplot point type */
/* The line of the first of two, of the second: apart in grey. */
const char *nr_build_dash(size_t build);
/* The same colour for a channel in every picture; others cycle by index. */
const char *nr_channel_colour(const char *channel, size_t index);
const char *nr_channel_dash(const char *channel, size_t index);

/* A sentence of tell's as a picture sets it, in place: "degC" becomes "°C", "m2" "m²", "+-" "±",
 * a number's hyphen a minus. What would no longer fit stays as it is. */
void nr_pretty(char *text, size_t size);

/* Greek and index letters: "η₀", "a₁". */
#define NR_ETA0 "\u03b7\u2080"
#define NR_A1 "a\u2081"
#define NR_MINUS "\u2212"

#endif
