/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text for a terminal of eighty columns. */
#ifndef NR_BASE_PARAGRAPH_H
#define NR_BASE_PARAGRAPH_H

#include <stddef.h>
#include <stdio.h>

#define NR_LINE_WIDTH 80

/* One paragraph, cleaned and wrapped at blanks, ending in a line break. The first line begins
 * with first, the following ones with as many blanks. Empty text: nothing. */
void nr_paragraph(FILE *to, const char *first, const char *text);

/* The same, printf style. */
void nr_paragraph_of(FILE *to, const char *first, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Columns that so many bytes of UTF-8 take on a terminal, whatever the locale: a wide character
 * two, one that combines with the letter before it none, a byte that is no text one. */
int nr_columns(const char *text, size_t bytes);

/* How many bytes of text fit into so many columns, in whole characters. */
size_t nr_columns_fit(const char *text, int columns);

#endif
