/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lines of a picture's script one after another: each label, line, area, axis, margin and plot
 * has to be the expected one, numbers alike to a tenth of a pixel, and none may be there beside
 * them. Data blocks are left to those who read them (script.h). For the tests of plots/. */
#ifndef TESTS_LINES_H
#define TESTS_LINES_H

#include "tests/unit/plots/script.h"

#include <stdarg.h>

#define SMALL 16
#define TEXT 18
#define BLACK "#000000"
#define GREY "#4D4D4D"

static const char *at_line;

static inline void from_the_start(void)
{
    at_line = script;
}

/* A line that draws or places something; what only clears the way for it does not count. */
static inline bool spoken(const char *line)
{
    static const char *const kinds[] = {
        "plot ",           "set label ",   "set object ",  "set arrow ",   "set xrange ",
        "set yrange ",     "set x2range ", "set y2range ", "set xtics ",   "set ytics ",
        "set x2tics ",     "set y2tics ",  "set lmargin ", "set rmargin ", "set bmargin ",
        "set tmargin ",    "set border ",  "set grid no",  "set logscale", "unset border",
        "set style fill ", "unset grid"};
    if (strstr(line, "range [*:*]") == line + 5 || strstr(line, "range [*:*]") == line + 6)
        return false;
    if (strncmp(line, "set border 1\n", 13) == 0 || strncmp(line, "set border 1 lw", 15) == 0 ||
        strncmp(line, "set style fill transparent solid 0.18 nob", 40) == 0)
        return false;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (strncmp(line, kinds[i], strlen(kinds[i])) == 0)
            return true;
    return false;
}

/* The next spoken line; NULL: there is none. Data is passed over. */
static inline const char *next_line(void)
{
    for (; *at_line != '\0'; at_line += strcspn(at_line, "\n") + 1) {
        if (*at_line == '$')
            at_line = strstr(at_line, "\nEOD\n") + 1;
        else if (spoken(at_line))
            return at_line;
    }
    return NULL;
}

static inline bool is_figure(char c)
{
    return c >= '0' && c <= '9';
}

/* Letter by letter, numbers by their value; sizes of letters are written in four figures. */
static inline bool alike(const char *got, const char *expected)
{
    const char *size = strstr(got, "sans-serif,");
    while (*got != '\0' && *got != '\n') {
        if (is_figure(*got) && is_figure(*expected)) {
            char *after, *behind;
            double a = strtod(got, &after), b = strtod(expected, &behind);
            double figures = size != NULL && got > size ? 2e-4 : 1e-6;
            if (!(fabs(a - b) <= 1.1e-4 + figures * fabs(b)))
                return false;
            got = after;
            expected = behind;
        } else if (*got++ != *expected++) {
            return false;
        }
    }
    return *expected == '\0';
}

__attribute__((format(printf, 1, 2))) static inline void says(const char *format, ...)
{
    char expected[2000];
    va_list more;
    va_start(more, format);
    (void)vsnprintf(expected, sizeof expected, format, more);
    va_end(more);
    const char *line = next_line();
    if (line == NULL)
        ck_abort_msg("the script ends before: %s", expected);
    if (!alike(line, expected)) /* what says nothing when it holds costs nothing */
        ck_abort_msg("\n%.*s\ninstead of\n%s", (int)strcspn(line, "\n"), line, expected);
    at_line += strcspn(at_line, "\n") + 1;
}

/* A line of which only the beginning is said here. */
static inline void begins(const char *expected)
{
    const char *line = next_line();
    ck_assert_msg(line != NULL && strncmp(line, expected, strlen(expected)) == 0,
                  "\n%.*s\ninstead of\n%s...", line ? (int)strcspn(line, "\n") : 0,
                  line ? line : "", expected);
    at_line += strcspn(at_line, "\n") + 1;
}

static inline void that_is_all(void)
{
    const char *line = next_line();
    ck_assert_msg(line == NULL, "beyond: %.*s", line ? (int)strcspn(line, "\n") : 0,
                  line ? line : "");
}

static inline void panel_at(double left, double right, double bottom, double top)
{
    says("set lmargin at screen %.6f", left);
    says("set rmargin at screen %.6f", right);
    says("set bmargin at screen %.6f", bottom);
    says("set tmargin at screen %.6f", top);
}

/* font_px: on the canvas; portrait pictures say it already enlarged. */
static inline void words_at(const char *words, double across, double up, const char *align,
                            double font_px, const char *colour)
{
    says("set label '%s' at screen %.6f,%.6f %s front tc rgb '%s' font 'sans-serif,%.6g'", words,
         across, up, align, colour, font_px);
}

static inline void words_beside(const char *words, double across, double up, const char *align,
                                double right, double higher, double font_px, const char *colour)
{
    says("set label '%s' at first %.9g, first %.9g %s offset %.6g,%.6g front tc rgb '%s' font "
         "'sans-serif,%.6g'",
         words, across, up, align, right, higher, colour, font_px);
}

static inline void range_is(const char *axis, double lo, double hi)
{
    says("set %srange [%.9g:%.9g]", axis, lo, hi);
}

/* Round numbers up an axis from lo to hi. */
static inline void tics_are(const char *axis, double lo, double step, double hi, double font_px)
{
    if (axis[0] == 'x')
        says("set %stics nomirror out scale 0.5 tc rgb '" GREY
             "' offset 0,0.45 font 'sans-serif,%.6g' %.9g,%.9g,%.9g",
             axis, font_px, lo, step, hi + 1e-6 * step);
    else
        says("set %stics nomirror scale 0 tc rgb '" GREY "' font 'sans-serif,%.6g' %.9g,%.9g,%.9g",
             axis, font_px, lo, step, hi + 1e-6 * step);
}

/* An axis with limits and round numbers around these data. */
static inline nr_limits axis_around(const char *axis, double lo, double hi, int steps, bool zero)
{
    nr_limits y = nr_nice(lo, hi, steps, zero);
    range_is(axis, y.lo, y.hi);
    tics_are(axis, y.lo, y.step, y.hi, SMALL);
    return y;
}

#endif
