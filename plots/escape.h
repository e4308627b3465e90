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

/* Copies text cut to at most so many columns (a wide character takes two, as on a terminal), with
 * an ellipsis where cut. Cleaned. Returns to. nr_gp_shorten_front keeps the end instead of the
 * beginning: names of runs differ there. */
char *nr_gp_shorten(char *to, size_t size, const char *text, size_t columns);
char *nr_gp_shorten_front(char *to, size_t size, const char *text, size_t columns);

/* The same so that names which differ stay apart: what all of them begin with gives way first.
 * at: the column from which text differs from the others (nr_gp_differs_at). The beginning and
 * what stands from there on are kept, an ellipsis for what is between. */
char *nr_gp_shorten_apart(char *to, size_t size, const char *text, size_t columns, size_t at);

/* The column, counted from 0, where text begins to differ from the other. 0 when they are the same.
 */
size_t nr_gp_differs_at(const char *text, const char *other);

/* Columns that text takes: letters, of which a wide one counts two. */
size_t nr_gp_letters(const char *text);

#endif
