/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers inside sentences that keep their value.
 *
 * Answers word their sentences in SI; whoever shows one may want other units, and a number that was
 * rounded once cannot be converted to its last digit (0.4 K written as 0 is 0 degF, but it is 1).
 * So a computed number stands in a sentence twice: marked, with its format and all its digits, and
 * as it reads in SI. nr_display_text (show/display.h) shows it in the units wanted; nr_figure_strip
 * leaves the SI text. Numbers that are exact as they are written ("1000 W/m2") need no mark.
 *
 * The mark is made of control characters, which text from outside never holds once cleaned.
 */
#ifndef NR_ANSWER_FIGURE_H
#define NR_ANSWER_FIGURE_H

#include <stdbool.h>
#include <stddef.h>

#define NR_FIGURE_OPEN '\x02' /* then the format, '|', the value in 17 digits */
#define NR_FIGURE_READ '\x03' /* then the number as it reads in SI */
#define NR_FIGURE_ROOM 64

/* A number for a sentence, for %s. format: one printf conversion of a double, "%.0f", "%+.1f" or
 * "%.3g". Not finite: "?" without a mark. Returns room. */
const char *nr_figure(char room[NR_FIGURE_ROOM], const char *format, double value);

/* The same in an argument list; lives as long as the enclosing block. */
#define NR_FIGURE(format, value) nr_figure((char[NR_FIGURE_ROOM]){""}, format, value)

/* How a marked number wants to be written. */
typedef struct nr_figure_mark {
    double value;
    bool plus;        /* "+" before a positive one */
    bool significant; /* digits counts significant digits, else decimals */
    int digits;
    const char *read; /* the SI text behind the mark */
} nr_figure_mark;

/* Is there a whole mark at text? */
bool nr_figure_at(const char *text, nr_figure_mark *mark);

/* Copies a sentence without its marks: SI as it reads. to may be text. Always terminates. */
void nr_figure_strip(char *to, size_t size, const char *text);

#endif
