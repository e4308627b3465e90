/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text and numbers on their way into a gnuplot script. */
#ifndef NR_PLOTS_ESCAPE_H
#define NR_PLOTS_ESCAPE_H

#include <stddef.h>
#include <stdio.h>

/* Writes text as one gnuplot string, quotes included. The only way for text from files into a
 * script. gnuplot runs what stands in backquotes, expands @macros and knows escapes and system()
 * calls in double-quoted strings: so the string is single-quoted, where none of that holds, and
 * holds no quote of its own: ' becomes the apostrophe U+2019. Doubling it, as the manual says, was
 * tried first: gnuplot 5.4 reads '''x'' as an empty string followed by commands. Line breaks and
 * other control characters become '?'; backquote and at-sign are replaced as a second wall.
 * Pictures run with enhanced text off, so braces, carets and underscores are plain characters. */
void nr_gp_quote(FILE *to, const char *text);

/* The same for the label of a tic, where gnuplot reads % as a format: it is doubled. */
void nr_gp_quote_tic(FILE *to, const char *text);

/* A number as data: finite ones with 9 significant digits and a decimal point whatever the locale
 * says, everything else as NaN, which gnuplot leaves out. */
void nr_gp_number(FILE *to, double value);

#endif
