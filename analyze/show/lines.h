/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines for a terminal: wrapped sentences and rows of quantities. Used by show/ only. */
#ifndef NR_SHOW_LINES_H
#define NR_SHOW_LINES_H

#include "analyze/result/warning.h"
#include "analyze/fit/trust.h"
#include "analyze/tell/display.h"
#include "logger/base/paragraph.h"

#include <stdio.h>

/* Heading and rows of the quantity table: label, value, 95 % interval, random and sensor part of
 * the standard uncertainty, unit. Not known: "not determined". */
void nr_quantity_heading(FILE *to);
/* The same where the intervals are not single 95 % ones: what they are, at most 18 letters. */
void nr_quantity_heading_as(FILE *to, const char *interval);
void nr_quantity_row(FILE *to, const char *label, nr_shown what, nr_units units,
                     const nr_quantity *q);

/* The verdict on an answer, in front of it: the doubt, its most likely cause first; nothing where the
 * answer is good. */
void nr_trust_lines(FILE *to, const nr_trust *trust, nr_units units);

/* The warnings of an answer under one heading; nothing when there are none. The code left_out is
 * not repeated here; NR_WARN_COUNT leaves out none. */
void nr_warning_lines(FILE *to, const char *heading, const nr_warnings *warnings, nr_units units,
                      nr_warning_code left_out);

/* A label padded to a number of columns, counted in characters, cut with "~" when longer. */
void nr_padded(FILE *to, const char *label, int columns);

#endif
