/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands where in an SVG that gnuplot left: words, lines, areas, marks. As much of the format
 * as gnuplot's terminal writes (one element a line, no nested transforms but that of a text).
 * Places are px from the upper left corner. */
#ifndef TESTS_SVG_H
#define TESTS_SVG_H

#include "plots/letters.h"
#include "tests/unit/near.h"

#define SVG_WORDS 400
#define SVG_SHAPES 4000
#define SVG_POINTS 120000

typedef struct svg_words {
    char text[240], colour[8]; /* "rrggbb" */
    double x, y, px;           /* of the anchor, on the base line */
    double left, right, top, bottom;
    char anchor; /* s, m, e */
} svg_words;

typedef enum svg_kind { SVG_LINE, SVG_AREA, SVG_MARK } svg_kind;

/* A mark has one point, its size is scale; a line that is taken up again is another shape. */
typedef struct svg_shape {
    svg_kind kind;
    char colour[8];
    size_t first, count;
    double scale;
} svg_shape;

typedef struct svg {
    double wide, high;
    svg_words words[SVG_WORDS];
    svg_shape shape[SVG_SHAPES];
    double x[SVG_POINTS], y[SVG_POINTS];
    size_t words_count, shapes, points;
} svg;

static inline void svg_colour(const char *at, char to[8])
{
    int r = 0, g = 0, b = 0;
    (void)strcpy(to, "000000");
    if (at && (sscanf(at, "rgb( %d , %d , %d )", &r, &g, &b) == 3 ||
               sscanf(at, "#%2x%2x%2x", (unsigned *)&r, (unsigned *)&g, (unsigned *)&b) == 3))
        (void)snprintf(to, 8, "%02X%02X%02X", r & 255, g & 255, b & 255);
}

/* Behind name and its quote, or NULL. */
static inline const char *svg_value(const char *line, const char *name)
{
    const char *at = strstr(line, name);
    return at ? at + strlen(name) + strspn(at + strlen(name), " =\"'") : NULL;
}

static inline void svg_plain(const char *from, char *to, size_t size)
{
    static const char *const escaped[] = {"&amp;", "&lt;", "&gt;", "&quot;", "&apos;"};
    size_t n = 0;
    for (; *from && strncmp(from, "</text>", 7) != 0 && n + 1 < size; from++) {
        to[n] = *from;
        for (size_t i = 0; i < 5; i++)
            if (strncmp(from, escaped[i], strlen(escaped[i])) == 0) {
                to[n] = "&<>\"'"[i];
                from += strlen(escaped[i]) - 1;
                break;
            }
        n++;
    }
    to[n] = '\0';
}

/* A typographic apostrophe is as narrow as a blank (DejaVu Sans: 0.318), which nr_text_px takes for
 * a letter. */
static inline double svg_text_px(const char *text, double px)
{
    double wide = nr_text_px(text, px);
    for (; *text; text++)
        if (strncmp(text, "\u2018", 3) == 0 || strncmp(text, "\u2019", 3) == 0)
            wide -= nr_text_px("\u2019", px) - nr_text_px(" ", px);
    return wide;
}

/* Capitals are 0.74 of the letters' size high, what hangs below the line 0.20. */
static inline void svg_add_words(svg *s, const char *group, const char *text)
{
    ck_assert_uint_lt(s->words_count, SVG_WORDS);
    svg_words *w = &s->words[s->words_count];
    svg_plain(text, w->text, sizeof w->text);
    const char *words = w->text + strspn(w->text, " ");
    memmove(w->text, words, strlen(words) + 1);
    if (!w->text[0])
        return;
    ck_assert_int_eq(sscanf(strstr(group, "translate("), "translate(%lf,%lf)", &w->x, &w->y), 2);
    w->px = atof(svg_value(group, "font-size"));
    svg_colour(svg_value(group, "fill="), w->colour);
    const char *anchor = svg_value(group, "text-anchor");
    w->anchor = anchor ? *anchor : 's';
    double wide = svg_text_px(w->text, w->px);
    w->left = w->x - (w->anchor == 'm' ? wide / 2 : w->anchor == 'e' ? wide : 0);
    w->right = w->left + wide;
    w->top = w->y - 0.74 * w->px;
    w->bottom = w->y + 0.20 * w->px;
    s->words_count++;
}

static inline svg_shape *svg_add_shape(svg *s, svg_kind kind, const char *colour)
{
    ck_assert_uint_lt(s->shapes, SVG_SHAPES);
    svg_shape *shape = &s->shape[s->shapes++];
    *shape = (svg_shape){.kind = kind, .first = s->points, .scale = 1};
    svg_colour(colour, shape->colour);
    return shape;
}

static inline void svg_add_points(svg *s, svg_kind kind, const char *colour, const char *at)
{
    svg_shape *shape = NULL;
    for (; *at && *at != '\''; at += strcspn(at, " \t\n'"), at += strspn(at, " \t\nZ")) {
        double x, y;
        if (!shape || *at == 'M')
            shape = svg_add_shape(s, kind, colour);
        if (sscanf(at + (*at == 'M' || *at == 'L'), "%lf,%lf", &x, &y) != 2)
            continue;
        ck_assert_uint_lt(s->points, SVG_POINTS);
        s->x[s->points] = x;
        s->y[s->points++] = y;
        shape->count++;
    }
}

static inline void svg_add_mark(svg *s, const char *at)
{
    double x, y, scale;
    if (sscanf(svg_value(at, "transform="), "translate(%lf,%lf) scale(%lf)", &x, &y, &scale) != 3)
        return; /* a definition */
    svg_shape *shape = svg_add_shape(s, SVG_MARK, svg_value(at, "color="));
    shape->scale = scale;
    shape->count = 1;
    s->x[s->points] = x;
    s->y[s->points++] = y;
}

static inline svg *svg_read(const char *path)
{
    FILE *file = fopen(path, "rb");
    ck_assert_msg(file != NULL, "no %s", path);
    fseek(file, 0, SEEK_END);
    size_t size = (size_t)ftell(file);
    rewind(file);
    char *text = calloc(1, size + 1);
    svg *s = calloc(1, sizeof *s);
    ck_assert(text && s && fread(text, 1, size, file) == size);
    fclose(file);
    ck_assert_int_eq(sscanf(strstr(text, "viewBox="), "viewBox=\"0 0 %lf %lf", &s->wide, &s->high),
                     2);
    const char *group = NULL;
    char *at = strstr(text, "</defs>");
    for (at = at ? at + 1 : text; (at = strchr(at, '<')) != NULL; at++) {
        if (strncmp(at, "<g transform=", 13) == 0)
            group = at;
        else if (strncmp(at, "<text>", 6) == 0)
            svg_add_words(s, group, at + 6);
        else if (strncmp(at, "<path", 5) == 0)
            svg_add_points(s, SVG_LINE, svg_value(at, "stroke="), svg_value(at, " d="));
        else if (strncmp(at, "<polygon", 8) == 0)
            svg_add_points(s, SVG_AREA, svg_value(at, "fill ="), svg_value(at, "points ="));
        else if (strncmp(at, "<use", 4) == 0 && strstr(at, "transform="))
            svg_add_mark(s, at);
    }
    free(text);
    return s;
}

static inline const svg_words *svg_find(const svg *s, const char *words)
{
    for (size_t i = 0; i < s->words_count; i++)
        if (strcmp(s->words[i].text, words) == 0)
            return &s->words[i];
    ck_abort_msg("no \"%s\"", words);
    return NULL;
}

static inline double svg_lowest_x(const svg *s, const svg_shape *shape)
{
    double x = INFINITY;
    for (size_t i = 0; i < shape->count; i++)
        x = fmin(x, s->x[shape->first + i]);
    return x;
}

static inline double svg_highest_x(const svg *s, const svg_shape *shape)
{
    double x = -INFINITY;
    for (size_t i = 0; i < shape->count; i++)
        x = fmax(x, s->x[shape->first + i]);
    return x;
}

/* --- axes --------------------------------------------------------------------------------- */

/* px = at + per * value; the numbers at both ends. */
typedef struct svg_axis {
    double at, per, lo, hi, step;
    size_t count;
} svg_axis;

static inline double svg_px(const svg_axis *a, double value)
{
    return a->at + a->per * value;
}

/* The number that a text is, with a true minus sign; NAN. */
static inline double svg_number(const char *text)
{
    bool minus = strncmp(text, "\u2212", 3) == 0;
    char *end;
    double value = strtod(text + (minus ? 3 : 0), &end);
    return *end || end == text || (!minus && strchr("-+", *text)) ? NAN : minus ? -value : value;
}

/* The axis whose numbers stand in that part of the canvas (anchor m: along x, e: along y, right of
 * it). Numbers are at equal steps of 1, 2, 2.5 or 5 and their tens, each in its place. */
static inline svg_axis svg_axis_at(const svg *s, char anchor, double left, double right, double top,
                                   double bottom)
{
    svg_axis a = {.lo = NAN, .hi = NAN};
    double first_px = NAN, last_px = NAN;
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < s->words_count; i++) {
            const svg_words *w = &s->words[i];
            double value = svg_number(w->text), px = anchor == 'm' ? w->x : w->y - 0.325 * w->px;
            if (isnan(value) || w->anchor != anchor || w->x < left || w->x > right || w->y < top ||
                w->y > bottom)
                continue;
            if (pass == 1) {
                NEAR_AT(w->text, px, svg_px(&a, value), 0.6);
                NEAR_AT(w->text, fmod((value - a.lo) / a.step + 0.5, 1), 0.5, 1e-6);
                continue;
            }
            a.count++;
            if (!(value >= a.lo)) {
                a.lo = value;
                first_px = px;
            }
            if (!(value <= a.hi)) {
                a.hi = value;
                last_px = px;
            }
            a.per = (last_px - first_px) / (a.hi - a.lo);
            a.at = first_px - a.per * a.lo;
            a.step = (a.hi - a.lo) / (double)(a.count - 1);
        }
    ck_assert_msg(a.count >= 2, "no axis of %zu numbers", a.count);
    double tens = a.step / pow(10, floor(log10(a.step) + 1e-9));
    bool whole = false;
    static const double usual[] = {1, 1.5, 2, 2.5, 3, 5, 6};
    for (size_t i = 0; i < sizeof usual / sizeof *usual; i++)
        whole = whole || fabs(tens - usual[i]) < 1e-6;
    ck_assert_msg(whole, "steps of %g", a.step);
    return a;
}

/* --- what holds for every picture ---------------------------------------------------------- */

#define SVG_TOUCH 1.5 /* px by which boxes may meet */

static inline bool svg_over(const svg_words *a, const svg_words *b)
{
    return fmin(a->right, b->right) - fmax(a->left, b->left) > SVG_TOUCH &&
           fmin(a->bottom, b->bottom) - fmax(a->top, b->top) > SVG_TOUCH;
}

/* Nothing beyond the canvas, no words over words. */
static inline void svg_holds(const svg *s, const char *name)
{
    for (size_t i = 0; i < s->words_count; i++) {
        const svg_words *a = &s->words[i];
        ck_assert_msg(a->left >= 0 && a->top >= 0 && a->right <= s->wide && a->bottom <= s->high,
                      "%s: beyond the canvas: \"%s\" (%.0f to %.0f, %.0f)", name, a->text, a->left,
                      a->right, a->y);
        for (size_t k = 0; k < i; k++)
            ck_assert_msg(!svg_over(a, &s->words[k]), "%s: \"%s\" over \"%s\"", name, a->text,
                          s->words[k].text);
    }
    for (size_t i = 1; i < s->shapes; i++) { /* what is cleared for a mark is no halo around it */
        const svg_shape *under = &s->shape[i - 1], *mark = &s->shape[i];
        if (under->kind == SVG_MARK && mark->kind == SVG_MARK &&
            s->x[under->first] == s->x[mark->first] && s->y[under->first] == s->y[mark->first] &&
            strcmp(under->colour, "FFFFFF") == 0)
            ck_assert_msg(under->scale <= mark->scale + 0.1, "%s: %g cleared for a mark of %g",
                          name, under->scale, mark->scale);
    }
    for (size_t i = 0; i < s->points; i++)
        ck_assert_msg(s->x[i] >= -1 && s->y[i] >= -1 && s->x[i] <= s->wide + 1 &&
                          s->y[i] <= s->high + 1,
                      "%s: drawn beyond the canvas: %.0f, %.0f", name, s->x[i], s->y[i]);
}

#endif
