/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plots/picture.h"

#include "plots/glyphs.h"
#include "plots/letters.h"
#include "plots/pipe.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The forms count text sizes differently: png in points of 1/96 inch, pdf in points on a page of
 * 24 cm with the terminal's own half scale. Factors found by measuring text on the canvas. */
static double px_factor(nr_form form)
{
    return form == NR_FORM_PNG ? 0.75 : form == NR_FORM_PDF ? 0.865 : 1.0;
}

void nr_mark(nr_picture *p, int mark, double size, const char *colour)
{
    double factor = p->form == NR_FORM_PNG ? 1.0 : p->form == NR_FORM_PDF ? 0.65 : 0.55;
    fprintf(p->script, " pt %d ps %.3g lc rgb '%s'", mark, size * factor, colour);
}

/* The light colours of the palette are lines and areas, not letters: darker shades of the same hue
 * for text, at least 4.5:1 on white (WCAG 2, from memory). */
static const char *letter_colour(const char *colour)
{
    static const char *const pairs[][2] = {{NR_ORANGE, "#8A5F00"}, {NR_SKY, "#1A72A8"},
                                           {NR_GREEN, "#007A5A"},  {NR_PURPLE, "#A2477A"},
                                           {NR_YELLOW, "#766F00"}, {NR_VERMILLION, "#BF5300"}};
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        if (strcmp(pairs[i][0], colour) == 0)
            return pairs[i][1];
    return colour;
}

static const char *family(nr_form form)
{
    return form == NR_FORM_SVG ? "sans-serif" : "Sans";
}

static nr_code form_of(const char *path, nr_form *form, nr_err *err)
{
    const char *dot = strrchr(path, '.');
    if (dot != NULL && strcmp(dot, ".png") == 0)
        *form = NR_FORM_PNG;
    else if (dot != NULL && strcmp(dot, ".svg") == 0)
        *form = NR_FORM_SVG;
    else if (dot != NULL && strcmp(dot, ".pdf") == 0)
        *form = NR_FORM_PDF;
    else
        return nr_fail(err, NR_BAD, path, 0,
                       "a picture's name ends in .png, .svg or .pdf; that decides its form");
    return NR_OK;
}

void nr_font(nr_picture *p, double px)
{
    fprintf(p->script, " font '%s,%.4g'", family(p->form), px * p->scale * px_factor(p->form));
}

static void terminal(nr_picture *p)
{
    static const char *const name[2][3] = {
        {[NR_FORM_PNG] = "pngcairo size 1200,800 noenhanced background rgb 'white'",
         [NR_FORM_SVG] = "svg size 1200,800 dynamic noenhanced background rgb 'white'",
         [NR_FORM_PDF] = "pdfcairo size 24cm,16cm noenhanced background rgb 'white' linewidth "
                         "0.75"},
        {[NR_FORM_PNG] = "pngcairo size 1080,1350 noenhanced background rgb 'white'",
         [NR_FORM_SVG] = "svg size 1080,1350 dynamic noenhanced background rgb 'white'",
         [NR_FORM_PDF] = "pdfcairo size 21.6cm,27cm noenhanced background rgb 'white' linewidth "
                         "0.75"}};
    bool portrait = p->scale > 1.0;
    fprintf(p->script, "set encoding utf8\nset format '%%h'\nset terminal %s",
            name[portrait][p->form]);
    nr_font(p, NR_PX_SMALL);
    /* What is cleared behind a mark with error bars: in SVG else twice as wide as the mark. */
    if (p->form == NR_FORM_SVG)
        fputs("\nset pointintervalbox 0.5", p->script);
    fputs("\nset minussign\n"
          "set border 1 lw 1 lc rgb '#9A9A9A'\n"
          "set style line 100 lw 1 lc rgb '" NR_GRID_GREY "' dt solid\n"
          "set style fill transparent solid 0.18 noborder\n"
          "set errorbars 0.5\nset key noautotitle\nunset key\n"
          "set multiplot\n",
          p->script);
}

void nr_text_screen(nr_picture *p, double x, double y, const char *align, double px,
                    const char *colour, const char *text)
{
    fputs("set label ", p->script);
    nr_gp_quote(p->script, text);
    fprintf(p->script, " at screen %.4f,%.4f %s front tc rgb '%s'", x, y, align,
            letter_colour(colour));
    nr_font(p, px);
    fputc('\n', p->script);
}

void nr_text_marked(nr_picture *p, double x, double y, double px, int mark, const char *colour,
                    const char *text)
{
    /* Two labels: gnuplot sets the words of a marked one higher than others. */
    fprintf(p->script, "set label '' at screen %.4f,%.4f front point", x, y);
    nr_mark(p, mark, 1.6, colour);
    fputc('\n', p->script);
    nr_text_screen(p, x + px * p->scale / nr_picture_px(p, 1), y, "left", px, NR_BLACK, text);
}

void nr_text_end(nr_picture *p, double y, const char *colour, const char *text)
{
    if (!isfinite(y))
        return;
    fputs("set label ", p->script);
    nr_gp_quote(p->script, text);
    fputs(" at graph 1, first ", p->script);
    nr_gp_number(p->script, y);
    fprintf(p->script, " left offset 0.6,0 front tc rgb '%s'", letter_colour(colour));
    nr_font(p, NR_PX_SMALL);
    fputc('\n', p->script);
}

void nr_text_point(nr_picture *p, double x, double y, const char *align, double right, double up,
                   double px, const char *colour, const char *text)
{
    if (!isfinite(x) || !isfinite(y))
        return;
    fputs("set label ", p->script);
    nr_gp_quote(p->script, text);
    fputs(" at first ", p->script);
    nr_gp_number(p->script, x);
    fputs(", first ", p->script);
    nr_gp_number(p->script, y);
    fprintf(p->script, " %s offset %.3g,%.3g front tc rgb '%s'", align, right, up,
            letter_colour(colour));
    nr_font(p, px);
    fputc('\n', p->script);
}

double nr_picture_px(const nr_picture *p, double part)
{
    return part * (p->scale > 1 ? NR_PORTRAIT_W : NR_CANVAS_W);
}

size_t nr_text_block(nr_picture *p, double x, double y, double px, const char *colour,
                     const char *text, double wide, size_t lines)
{
    double high = p->scale > 1 ? NR_PORTRAIT_H : NR_CANVAS_H;
    double room = nr_picture_px(p, wide), letters = px * p->scale;
    size_t n = 0;
    while (*text != '\0' && n < lines) {
        char line[512];
        size_t length = n + 1 < lines ? nr_text_line(text, letters, room) : strlen(text);
        (void)snprintf(line, sizeof line, "%.*s", (int)(length < 500 ? length : 500), text);
        (void)nr_text_cut(line, sizeof line, line, letters, room);
        nr_text_screen(p, x, y - 1.25 * letters / high * (double)n, "left", px, colour, line);
        text += length;
        text += *text == ' ';
        n++;
    }
    return n;
}

void nr_level_words(nr_picture *p, double y, const char *colour, const char *dash, const char *end,
                    const char *text, bool below)
{
    if (!isfinite(y))
        return;
    fputs("set arrow from graph 0, first ", p->script);
    nr_gp_number(p->script, y);
    fputs(" to graph 1, first ", p->script);
    nr_gp_number(p->script, y);
    fprintf(p->script, " nohead lw 1.5 dt %s lc rgb '%s'\n", dash, colour);
    if (text == NULL)
        return;
    bool right = strcmp(end, "right") == 0;
    fputs("set label ", p->script);
    nr_gp_quote(p->script, text);
    fprintf(p->script, " at graph %d, first ", right);
    nr_gp_number(p->script, y);
    fprintf(p->script, " %s offset %s,%s front tc rgb '%s'", end, right ? "-0.6" : "0.6",
            below ? "-0.7" : "0.7", letter_colour(colour));
    nr_font(p, NR_PX_SMALL);
    fputc('\n', p->script);
}

void nr_level(nr_picture *p, double y, const char *colour, const char *dash, const char *end,
              const char *text)
{
    nr_level_words(p, y, colour, dash, end, text, false);
}

/* At the same place in every form: gnuplot's own labels hang lower in SVG, out of the canvas. */
void nr_x_label(nr_picture *p, const char *text)
{
    double high = p->scale > 1 ? NR_PORTRAIT_H : NR_CANVAS_H;
    nr_text_screen(p, (p->panel.left + p->panel.right) / 2, p->panel.bottom - 50 * p->scale / high,
                   "center", NR_PX_SMALL, NR_TEXT_GREY, text);
}

/* The title belongs to the canvas, not to a panel: an invisible plot carries it. */
static void heading(nr_picture *p, const char *title, const char *subtitle)
{
    char cut[512];
    const double room = 0.965 * NR_CANVAS_W;
    nr_text_screen(p, 0.018, 0.962, "left", NR_PX_TITLE, NR_BLACK,
                   nr_text_cut(cut, sizeof cut, title, NR_PX_TITLE, room));
    nr_text_screen(p, 0.018, 0.920, "left", NR_PX_TEXT, NR_TEXT_GREY,
                   nr_text_cut(cut, sizeof cut, subtitle, NR_PX_TEXT, room));
}

static nr_code begin(nr_picture *p, const char *path, const nr_plot_style *style, double scale,
                     nr_err *err)
{
    *p = (nr_picture){.path = path, .scale = scale};
    nr_code code = form_of(path, &p->form, err);
    if (code != NR_OK)
        return code;
    p->units = style != NULL && style->us_units ? NR_UNITS_US : NR_UNITS_SI;
    p->program = style != NULL ? style->gnuplot : NULL;
    p->remark = style != NULL ? style->remark : NULL;
    p->script = open_memstream(&p->text, &p->length);
    if (p->script == NULL)
        return nr_fail_errno(err, NR_BAD, path, errno, "cannot prepare the picture");
    terminal(p);
    return NR_OK;
}

/* On a portrait canvas over two lines each. */
static void heading_portrait(nr_picture *p, const char *title, const char *subtitle)
{
    size_t lines = nr_text_block(p, NR_PORTRAIT_LEFT, 0.966, 1.15 * NR_PX_TEXT, NR_BLACK, title,
                                 1 - 2 * NR_PORTRAIT_LEFT, 2);
    (void)nr_text_block(p, NR_PORTRAIT_LEFT, lines > 1 ? 0.898 : 0.930, NR_PX_SMALL * 0.9,
                        NR_TEXT_GREY, subtitle, 1 - 2 * NR_PORTRAIT_LEFT, 2);
}

nr_code nr_picture_begin(nr_picture *p, const char *path, const nr_plot_style *style,
                         const char *title, const char *subtitle, nr_err *err)
{
    bool portrait = style != NULL && style->portrait;
    nr_code code = begin(p, path, style, portrait ? NR_PORTRAIT_SCALE : 1.0, err);
    if (code == NR_OK)
        (portrait ? heading_portrait : heading)(p, title, subtitle);
    return code;
}

bool nr_is_portrait(const nr_picture *p)
{
    return p->scale > 1;
}

double nr_left_edge(const nr_picture *p)
{
    return nr_is_portrait(p) ? NR_PORTRAIT_LEFT : 0.018;
}

nr_code nr_picture_begin_portrait(nr_picture *p, const char *path, const nr_plot_style *style,
                                  nr_err *err)
{
    return begin(p, path, style, NR_PORTRAIT_SCALE, err);
}

/* An SVG has its letters as text: whoever looks at it brings the fonts. */
static void replace_unknown_letters(nr_picture *p)
{
    nr_glyphs glyphs = {0};
    if (p->form == NR_FORM_SVG || !nr_glyphs_wanted(p->text))
        return;
    bool known = nr_glyphs_installed(&glyphs);
    if (known && nr_glyphs_replace(&glyphs, p->text) > 0 && p->remark != NULL && !p->remark->said) {
        p->remark->said = true;
        p->remark->say(
            "no font here has some of the letters in these names: they are drawn as empty "
            "squares. A font that has them helps (for Chinese, Japanese and Korean \"sudo "
            "apt install fonts-noto-cjk\"), and .svg leaves it to whoever looks at it");
    }
    p->length = strlen(p->text);
    nr_glyphs_free(&glyphs);
}

nr_code nr_picture_end(nr_picture *p, nr_err *err)
{
    fputs("unset multiplot\nunset output\n", p->script);
    bool failed = ferror(p->script) != 0;
    failed = fclose(p->script) != 0 || failed;
    if (!failed)
        replace_unknown_letters(p);
    nr_code code = failed ? nr_fail(err, NR_BAD, p->path, 0, "not enough memory for the picture")
                          : nr_gp_run(p->program, p->text, p->length, p->path, err);
    free(p->text);
    p->text = NULL;
    p->script = NULL;
    return code;
}

void nr_panel(nr_picture *p, const nr_box *box, const char *title)
{
    FILE *f = p->script;
    p->panel = *box;
    /* The canvas title is label 1 and 2 of the first panel and must not be drawn twice: doubled
     * antialiasing makes letters fat. */
    if (p->panels++ > 0)
        fputs("unset label\n", f);
    fprintf(f,
            "unset arrow\nunset object\nunset xtics\nunset ytics\nunset y2tics\nunset x2tics\n"
            "unset xlabel\nunset x2label\nunset logscale\n"
            "set xrange [*:*]\nset yrange [*:*]\nset y2range [*:*]\nset border 1\n"
            "set lmargin at screen %.4f\nset rmargin at screen %.4f\n"
            "set bmargin at screen %.4f\nset tmargin at screen %.4f\n"
            "set grid xtics ytics back ls 100\n",
            box->left, box->right, box->bottom, box->top);
    if (title != NULL && title[0] != '\0')
        nr_text_screen(p, box->left, box->top + 0.022, "left", NR_PX_TEXT, NR_BLACK, title);
}

void nr_range(nr_picture *p, const char *axis, double lo, double hi)
{
    fprintf(p->script, "set %srange [", axis);
    if (isfinite(lo))
        nr_gp_number(p->script, lo);
    else
        fputc('*', p->script);
    fputc(':', p->script);
    if (isfinite(hi))
        nr_gp_number(p->script, hi);
    else
        fputc('*', p->script);
    fputs("]\n", p->script);
}

void nr_tics_style(nr_picture *p, const char *axis)
{
    bool x = axis[0] == 'x';
    fprintf(p->script, "set %stics %s scale %s tc rgb '" NR_TEXT_GREY "'", axis,
            x ? "nomirror out" : "nomirror", x ? "0.5" : "0");
    /* In SVG the numbers stand half a line off. */
    if (x && p->form == NR_FORM_SVG)
        fprintf(p->script, " offset 0,%s", strcmp(axis, "x2") == 0 ? "-0.45" : "0.45");
    nr_font(p, NR_PX_SMALL);
}

void nr_tics(nr_picture *p, const char *axis, const nr_limits *limits)
{
    nr_tics_style(p, axis);
    fputc(' ', p->script);
    nr_gp_number(p->script, limits->lo);
    fputc(',', p->script);
    nr_gp_number(p->script, limits->step);
    fputc(',', p->script);
    /* A hair beyond the end, or rounding swallows the last one. */
    nr_gp_number(p->script, limits->hi + 1e-6 * limits->step);
    fputc('\n', p->script);
}

/* Round numbers of a logarithmic axis, ever fewer a decade. */
static const double round_parts[][7] = {{1, 1.5, 2, 3, 5, 7, 0},
                                        {1, 2, 3, 5, 0, 0, 0},
                                        {1, 2, 5, 0, 0, 0, 0},
                                        {1, 3, 0, 0, 0, 0, 0},
                                        {1, 0, 0, 0, 0, 0, 0}};

/* Writes them as tics where to is not NULL; returns how many lie within. */
static size_t log_tics(FILE *to, const double *parts, double lo, double hi)
{
    size_t n = 0;
    for (double decade = pow(10, floor(log10(lo))); decade <= hi; decade *= 10)
        for (const double *part = parts; *part > 0; part++) {
            double at = decade * *part;
            if (at < lo * (1 - 1e-9) || at > hi * (1 + 1e-9))
                continue;
            if (to != NULL) {
                fprintf(to, "%s'%.4g' ", n > 0 ? ", " : "", at);
                nr_gp_number(to, at);
            }
            n++;
        }
    return n;
}

void nr_log_axis(nr_picture *p, const char *axis, double lo, double hi, size_t most)
{
    size_t choice = 0, last = sizeof round_parts / sizeof *round_parts - 1;
    if (!(lo > 0) || !(hi > lo) || !isfinite(hi)) {
        lo = 1;
        hi = 10;
    }
    while (choice < last && log_tics(NULL, round_parts[choice], lo, hi) > most)
        choice++;
    fprintf(p->script, "set logscale %s\n", axis);
    nr_range(p, axis, lo, hi);
    nr_tics_style(p, axis);
    fputs(" (", p->script);
    if (log_tics(p->script, round_parts[choice], lo, hi) == 0)
        fputs("'' 1", p->script);
    fputs(")\n", p->script);
}

void nr_stretch(double *lo, double *hi, double value)
{
    if (!isfinite(value))
        return;
    if (isnan(*lo) || value < *lo)
        *lo = value;
    if (isnan(*hi) || value > *hi)
        *hi = value;
}

nr_limits nr_nice(double lo, double hi, int steps, bool with_zero)
{
    if (!isfinite(lo) || !isfinite(hi)) {
        lo = 0;
        hi = 1;
    }
    if (with_zero) {
        lo = fmin(lo, 0);
        hi = fmax(hi, 0);
    }
    double span = hi - lo;
    if (!(span > 1e-9 * fmax(fabs(lo), fabs(hi))) || span == 0) {
        span = fmax(fabs(hi), 1) * 0.1;
        lo -= with_zero && lo == 0 ? 0 : span / 2;
        hi += span / 2;
    }
    double raw = (hi - lo) / steps, decade = pow(10, floor(log10(raw)));
    double part = raw / decade;
    double step = decade * (part <= 1.0   ? 1
                            : part <= 2.0 ? 2
                            : part <= 2.5 ? 2.5
                            : part <= 5   ? 5
                                          : 10);
    return (nr_limits){step * floor(lo / step + 1e-9), step * ceil(hi / step - 1e-9), step};
}

void nr_spread(double *position, size_t count, double gap, double lo, double hi)
{
    size_t order[64];
    if (count == 0 || count > sizeof order / sizeof *order)
        return;
    for (size_t i = 0; i < count; i++) {
        size_t k = i;
        for (; k > 0 && position[order[k - 1]] > position[i]; k--)
            order[k] = order[k - 1];
        order[k] = i;
    }
    if (gap * (double)(count - 1) > hi - lo)
        gap = (hi - lo) / (double)(count > 1 ? count - 1 : 1);
    /* Push overlapping neighbours apart evenly until none is left; a few sweeps do. */
    for (int sweep = 0; sweep < 100; sweep++) {
        for (size_t i = 1; i < count; i++) {
            double short_by = gap - (position[order[i]] - position[order[i - 1]]);
            if (short_by > 0) {
                position[order[i]] += short_by / 2;
                position[order[i - 1]] -= short_by / 2;
            }
        }
    }
    double floor_at = lo;
    for (size_t i = 0; i < count; i++) {
        position[order[i]] = fmax(position[order[i]], floor_at);
        floor_at = position[order[i]] + gap;
    }
    double ceiling = hi;
    for (size_t i = count; i-- > 0;) {
        position[order[i]] = fmin(position[order[i]], ceiling);
        ceiling = position[order[i]] - gap;
    }
}

typedef struct setting {
    const char *ascii, *set;
} setting;

/* Longer ones first where one begins with another; none grows. */
static const setting settings[] = {
    {"degC", "\u00b0C"}, {"degF2", "\u00b0F\u00b2"}, {"degF", "\u00b0F"},
    {"ft2", "ft\u00b2"}, {"m2", "m\u00b2"},          {"K2", "K\u00b2"},
    {"+-", "\u00b1"},    {"eta0", NR_ETA0},          {"a1", NR_A1}};

/* Words of their own only: not the "m2" of a name. */
static const setting *setting_at(const char *text, char before)
{
    if (before != '\0' && strchr(" (/", before) == NULL)
        return NULL;
    for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) {
        size_t n = strlen(settings[i].ascii);
        bool number = settings[i].ascii[0] == '+' && text[n] >= '0' && text[n] <= '9';
        if (strncmp(text, settings[i].ascii, n) == 0 &&
            (number || text[n] == '\0' || strchr(" )/,.;:", text[n]) != NULL))
            return &settings[i];
    }
    return NULL;
}

void nr_pretty(char *text, size_t size)
{
    char before = '\0';
    size_t length = strlen(text);
    for (size_t at = 0; at < length;) {
        const setting *s = setting_at(text + at, before);
        const char *old = s != NULL ? s->ascii : "-", *set = s != NULL ? s->set : NR_MINUS;
        bool minus = text[at] == '-' && text[at + 1] >= '0' && text[at + 1] <= '9' &&
                     (before == '\0' || strchr(" (", before) != NULL);
        before = text[at];
        if ((s == NULL && !minus) || length + strlen(set) - strlen(old) >= size) {
            at++;
            continue;
        }
        memmove(text + at + strlen(set), text + at + strlen(old), length - at - strlen(old) + 1);
        memcpy(text + at, set, strlen(set));
        length += strlen(set) - strlen(old);
        at += strlen(set);
    }
}

/* A palette holds so many; builds beyond begin it again, and pictures of that many name them. */
#define COLOURS 6

static const char *const build_colours[COLOURS] = {NR_BLUE,   NR_VERMILLION, NR_GREEN,
                                                   NR_PURPLE, NR_ORANGE,     NR_BLACK};

const char *nr_build_colour(size_t build)
{
    return build_colours[build % COLOURS];
}

int nr_build_mark(size_t build)
{
    /* Filled circle, square, triangle, diamond, triangle down, open circle. */
    static const int marks[COLOURS] = {7, 5, 9, 13, 11, 6};
    return marks[build % COLOURS];
}

const char *nr_build_dash(size_t build)
{
    return build % 2 ? "(14,4)" : "solid";
}

static const char *dash_of(size_t build)
{
    static const char *const dashes[COLOURS] = {"solid", "(14,4)",         "(14,4,3,4)",
                                                "(5,3)", "(14,3,3,3,3,3)", "(2,3)"};
    return dashes[build % COLOURS];
}

typedef struct channel_style {
    const char *name, *colour, *dash;
} channel_style;

static const channel_style channel_styles[] = {
    {"store", NR_BLUE, "solid"}, {"outlet", NR_VERMILLION, "(20,3)"}, {"inlet", NR_PURPLE, "(5,4)"},
    {"air", NR_GREEN, "(10,5)"}, {"box", NR_BLACK, "(12,4,3,4)"},     {"sun", NR_ORANGE, "solid"},
    {"flow", NR_BLUE, "solid"},  {"wind", NR_GREEN, "solid"},         {"pump", NR_BLACK, "solid"},
};

static const channel_style *find_channel(const char *channel)
{
    for (size_t i = 0; i < sizeof channel_styles / sizeof *channel_styles; i++)
        if (strcmp(channel_styles[i].name, channel) == 0)
            return &channel_styles[i];
    return NULL;
}

const char *nr_channel_colour(const char *channel, size_t index)
{
    const channel_style *s = find_channel(channel);
    return s != NULL ? s->colour : build_colours[index % COLOURS];
}

const char *nr_channel_dash(const char *channel, size_t index)
{
    const channel_style *s = find_channel(channel);
    return s != NULL ? s->dash : dash_of(index);
}
