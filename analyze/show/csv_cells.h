/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cells of CSV (RFC 4180, line ends as on this system). Used by show/ only. */
#ifndef NR_SHOW_CSV_CELLS_H
#define NR_SHOW_CSV_CELLS_H

#include "analyze/result/quantity.h"
#include "logger/base/err.h"

#include <stdio.h>

/* A cell of a row, behind a comma unless it is the first. Text is cleaned, quoted where it has to
 * be, and begins with ' where a spreadsheet would take it for a formula; a number has 17 digits, so
 * that the same double comes back, and NAN is an empty cell. */
void nr_csv_text(FILE *to, bool first, const char *text);
void nr_csv_number(FILE *to, double value);

/* value,u,u_random,u_systematic,lo95,hi95,unit: seven cells, empty where it is not known. */
#define NR_CSV_QUANTITY "value,u,u_random,u_systematic,lo95,hi95,unit"
void nr_csv_quantity(FILE *to, const nr_quantity *q);

/* The last thing to do: NR_BAD when something could not be written. */
nr_code nr_csv_done(FILE *to, nr_err *err);

#endif
