/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text to cells: the separator is found by what the cells then are. */
#ifndef NR_IMPORT_CELLS_H
#define NR_IMPORT_CELLS_H

#include "logger/base/err.h"

#include <stddef.h>

/* More columns than this are no table of a test's readings. */
#define NR_CELLS_COLUMNS 256

typedef struct nr_cells_row {
    size_t first, count; /* cells */
    long line;           /* in the file, from 1 */
} nr_cells_row;

typedef struct nr_cells {
    char separator; /* ',', ';', '\t', '|' or ' ' for any blanks */
    size_t rows, cells;
    nr_cells_row *row; /* without those that are empty */
    size_t *start;     /* [cells] where in text each begins: trimmed, ended by a NUL */
    char *text;
} nr_cells;

/* skip: lines at the top that are left out. NR_BAD: no separator gives columns of numbers, or
 * there is no memory. */
nr_code nr_cells_read(const char *text, size_t length, const char *path, long skip, nr_cells *out,
                      nr_err *err);
void nr_cells_free(nr_cells *grid);

/* "" where the row is shorter. */
const char *nr_cells_at(const nr_cells *grid, size_t row, size_t column);

/* "comma", "tab" ... */
const char *nr_separator_word(char separator);

#endif
