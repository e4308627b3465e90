/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines for a terminal: wrapped sentences and rows of quantities. Used by show/ only. */
#ifndef NR_SHOW_LINES_H
#define NR_SHOW_LINES_H

#include "analyze/show/display.h"
#include "logger/base/paragraph.h"

#include <stdio.h>

/* nr_paragraph for text made by printf, in the units wanted (nr_display_text is applied). */
void nr_sentence(FILE *to, nr_units units, const char *first, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* Heading and rows of the quantity table: label, value, 95 % interval, random and sensor part of
 * the standard uncertainty, unit. Not known: "not determined". */
void nr_quantity_heading(FILE *to);
void nr_quantity_row(FILE *to, const char *label, nr_shown what, nr_units units,
                     const nr_quantity *q);

/* "0.712 (95 %: 0.667 to 0.757)", digits significant digits of u; sign: "+" before positive
 * values. With the unit when with_unit. Returns text. */
char *nr_interval_text(char *text, size_t size, nr_shown what, nr_units units, const nr_quantity *q,
                       int digits, const char *sign, bool with_unit);

/* The warnings of an answer under one heading; nothing when there are none. The code left_out (may
 * be NULL) is not repeated here. */
void nr_warning_lines(FILE *to, const char *heading, const nr_warnings *warnings, nr_units units,
                      const char *left_out);

/* A label padded to a number of columns, counted in characters, cut with "~" when longer. */
void nr_padded(FILE *to, const char *label, int columns);

#endif
